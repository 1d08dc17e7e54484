/*
 * What the fields are called on the form: questions as somebody at the bench asks them. A field without a question of
 * its own is called by its name, and its description in the schema stands beside it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  const PROSE = " Plain words; *emphasis*, `code` and links to https pages are allowed.";

  /** By the names that lead to a field, without the places in lists. @type {Record<string, string>} */
  const LABELS = {
    name: "Name of the file",
    title: "The fault in one line",
    revisions: "Only on these revisions",
    symptom: "What it shows",
    summary: "How does the fault make the symptom?",
    test_points: "What it reads",
    "test_points/measure": "Measurement",
    "test_points/expected_reading": "It reads",
    "test_points/note": "Why does it read so?",
    reads_normal: "What reads as on a healthy board",
    cause: "What is at fault",
    "cause/part": "Which part?",
    "cause/mode": "How has it failed?",
    "cause/at": "On which net?",
    "cause/to": "To which net?",
    "cause/ohms": "How many ohms?",
    "cause/volts": "At what level?",
    "cause/share_of_time": "How much of the time is it there?",
    "cause/when": "Only under these conditions",
    "cause/then": "What it takes along",
    "cause/variants": "Or it fails in several ways",
    "cause/how": "How did it come about?",
    seen: "In how many jobs was it proved?",
    fix: "The fix",
    "fix/action": "What mends it?",
    "fix/minutes": "Minutes of that work",
    "fix/steps": "Step by step",
    "fix/confirm": "What proves it?",
    hazard: "What else can hurt",
    techniques: "Procedures that it takes besides",
    worked_example: "Readings of one real job",
    waive: "A finding that is right as it stands",
    moved_to: "Renamed to",
    retired: "Withdrawn, because",
    limit: "Current limit",
    up_to: "Highest voltage",
    reads: "It must read",
    with: "Cleaned with",
    if: "Only when",
    say: "In words",
  };

  // What the schema says in the file's own words, said for the form.
  /** @type {Record<string, string>} */
  const HINTS = {
    title: "The part, and what is wrong with it: Input fuse is open.",
    symptom: "Type what was said at the counter, and choose what fits.",
    revisions: "Leave all empty when every revision can have it.",
    summary: "Two or three short sentences, for somebody who has never met it.",
    seen: "Jobs in which this fault was proved. 0 is an honest number.",
    test_points: "A measurement, and what it reads with this fault.",
    reads_normal: "Where the circuit does not say so by itself: a look, a sound, a scope view.",
    cause: "The part, how it has failed, and how that came about.",
    "cause/part": "Type what stands on the board, or what it is: F1, or fuse.",
    "cause/mode": "Leave it open when it is not known.",
    "cause/at": "The net that is shorted, leaks or is held.",
    "cause/how": "What did it, never who: metal that levered the pack connector.",
    "cause/share_of_time": "A number between 0 and 1: 0.3 is three tenths of the time.",
    "cause/variants": "Each way with its share of the jobs; the shares add up to 1.",
    fix: "What mends it, step by step, and what proves it.",
    "fix/action": "What is done to the part.",
    "fix/minutes": "At the bench, without the proof.",
    "fix/steps": "Choose what is done, and to what.",
    "fix/confirm": "A measurement that reads healthy when the work is done, and did not before.",
    hazard: "What does not follow from the work by itself, such as broken glass.",
    techniques: "Those that follow neither from the steps nor from the measurements.",
    worked_example: "As the meter showed them, with the unit: 8.19 V.",
    waive: "The name of the check, and the reason why the record is right all the same.",
  };

  /** @param {FormPlace} where */
  function key(where) {
    return where.filter((step) => typeof step === "string").join("/");
  }

  /**
   * What a field is called; within a list with its number.
   * @type {(where: FormPlace) => string}
   */
  function label(where) {
    const last = where[where.length - 1];
    if (typeof last === "number") return label(where.slice(0, -1)) + ", number " + (last + 1);
    const name = String(last ?? "");
    return LABELS[key(where)] || LABELS[name] || spaced(name);
  }

  /**
   * Where a finding is, in words: a field within a list with its number.
   * @param {FormPlace} where
   */
  function place(where) {
    const at = where.findLastIndex((step) => typeof step === "number");
    if (at < 0 || at === where.length - 1) return label(where);
    return label(where.slice(0, at + 1)) + ": " + label(where);
  }

  /** @param {string} name */
  function spaced(name) {
    const words = name.replace(/[_-]+/g, " ");
    return words.slice(0, 1).toUpperCase() + words.slice(1);
  }

  /**
   * What a field wants, in a sentence.
   * @type {(where: FormPlace, schema: FormSchema) => string}
   */
  function hint(where, schema) {
    return HINTS[key(where)] ?? what(schema);
  }

  /**
   * The description of a field without the words on markup.
   * @param {FormSchema} schema
   */
  function what(schema) {
    return String(schema.description || "").replace(PROSE, "");
  }

  /** @param {FormSchema} schema */
  function isProse(schema) {
    return String(schema.description || "").endsWith(PROSE.trim()) || schema.maxLength >= 2000;
  }

  /**
   * The example that a description gives: `such as '10 s'`.
   * @param {FormSchema} schema
   */
  function example(schema) {
    return /such as '([^']+)'/.exec(String(schema.description || ""))?.[1] || "";
  }

  benchlore.labels = { label, place, hint, what, isProse, example, key };
})();
