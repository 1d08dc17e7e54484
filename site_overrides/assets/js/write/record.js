/*
 * A fault pattern while it is written: the data of its file, perhaps not whole yet. Pure functions; nothing is changed
 * in place.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  const NAME = /^[a-z0-9]+(-[a-z0-9]+)*$/;
  const LONGEST_NAME = 80;
  // Words that a file's name does without.
  const SMALL = ["a", "an", "and", "are", "by", "in", "is", "its", "of", "on", "the", "to"];

  /**
   * What stands at a place; undefined where nothing does.
   * @type {(record: any, path: readonly WriteStep[]) => any}
   */
  function get(record, path) {
    return path.reduce((one, key) => (one === null || one === undefined ? undefined : one[key]), record);
  }

  /**
   * The record with another value at a place; what is undefined is taken out.
   * @type {(record: any, path: readonly WriteStep[], value: unknown) => any}
   */
  function set(record, path, value) {
    if (!path.length) return value;
    const [key, ...rest] = path;
    const inside = typeof key === "number" ? [...(record || [])] : { ...record };
    const made = set(/** @type {any} */ (inside)[key], rest, value);
    if (made !== undefined) /** @type {any} */ (inside)[key] = made;
    else if (Array.isArray(inside)) inside.splice(Number(key), 1);
    else delete inside[key];
    return inside;
  }

  /**
   * The record as it is written: in the order of the schema, without what is empty.
   * @param {FormSchema} schema
   * @param {WriteRecord} record
   * @param {boolean} [items] empty entries of lists stay, so that each keeps its place
   * @returns {WriteRecord}
   */
  function whole(schema, record, items = false) {
    return pruned(ordered(schema, record), items) || {};
  }

  /** @type {(schema: FormSchema, value: any) => any} */
  function ordered(schema, value) {
    if (Array.isArray(value)) return value.map((one) => ordered(schema.items || {}, one));
    if (typeof value !== "object" || value === null) return value;
    const own = branch(schema);
    const known = Object.keys(own.properties || {});
    const keys = Object.keys(value);
    const sorted = [
      ...known.filter((key) => keys.includes(key)),
      ...keys.filter((key) => !known.includes(key)),
    ];
    return Object.fromEntries(
      sorted.map((key) => [
        key,
        ordered(own.properties?.[key] || own.additionalProperties || {}, value[key]),
      ]),
    );
  }

  /**
   * The part of a schema that says what an object holds.
   * @type {(schema: FormSchema) => FormSchema}
   */
  function branch(schema) {
    return (schema.oneOf || []).find((/** @type {FormSchema} */ one) => one.type === "object") || schema;
  }

  /**
   * The part of the schema that a place is held to.
   * @type {(where: FormPlace) => FormSchema}
   */
  function schemaAt(where) {
    /** @type {FormSchema} */
    let schema = benchlore.writeForm;
    for (const step of where) {
      const own = branch(schema);
      if (typeof step === "number") {
        const list = (schema.oneOf || []).find((/** @type {FormSchema} */ one) => one.type === "array");
        schema = (list || own).items || {};
      } else schema = own.properties?.[step] || own.additionalProperties || {};
    }
    return schema;
  }

  /**
   * @param {any} value
   * @param {boolean} items
   * @param {boolean} [within] a list whose entries stay
   * @returns {any}
   */
  function pruned(value, items, within = false) {
    if (typeof value === "string") return value.replace(/\s+/g, " ").trim() || (within ? "" : undefined);
    if (Array.isArray(value)) {
      const kept = value.map((one) => pruned(one, items, items)).filter((one) => one !== undefined);
      return kept.length ? kept : undefined;
    }
    if (typeof value !== "object") return value;
    if (value === null) return undefined;
    const kept = Object.entries(value)
      .map(([key, one]) => [key, pruned(one, items, within)])
      .filter(([, one]) => one !== undefined);
    return kept.length ? Object.fromEntries(kept) : within ? {} : undefined;
  }

  /**
   * A file's name made of a title: `Input fuse is open` gives `input-fuse-open`.
   * @param {string} title
   */
  function nameOf(title) {
    const words = (
      title
        .normalize("NFD")
        .toLowerCase()
        .replace(/[\u0300-\u036f'\u2019]/g, "")
        .match(/[a-z0-9]+/g) || []
    ).filter((word) => !SMALL.includes(word));
    let name = "";
    for (const word of words) {
      const longer = name ? name + "-" + word : word;
      if (longer.length > LONGEST_NAME) break;
      name = longer;
    }
    return name;
  }

  /**
   * What is wrong with a file's name, with its mend; or nothing.
   * @param {string} name
   * @param {readonly string[]} taken
   * @param {string} before the name of the record that was opened
   */
  function nameTrouble(name, taken, before) {
    if (!name) return { why: "The file has no name yet.", mend: "Two to four words that say the fault." };
    if (!NAME.test(name))
      return {
        why: "A file\u2019s name is of small letters and figures, its words joined by hyphens.",
        mend: "Write " + (nameOf(name) || "input-fuse-open") + ".",
      };
    if (name.length > LONGEST_NAME)
      return { why: "The name is longer than " + LONGEST_NAME + " letters.", mend: "Shorten it." };
    if (name === "family" || (taken.includes(name) && name !== before))
      return {
        why: "A record of that name is in the book, or was.",
        mend: "Choose another name, or open that record and change it.",
      };
    return null;
  }

  /**
   * What a job of the bench page gives: its symptoms, and its readings as the worked example. Of a measurement that was
   * taken twice the first reading stands, which was taken before the fix.
   * @type {(job: BenchJob, family: BenchFamily) => WriteRecord}
   */
  function fromJob(job, family) {
    /** @type {Record<string, string>} */
    const symptom = {};
    /** @type {Record<string, string>} */
    const example = {};
    for (const id of job.symptoms) symptom[id] = "always";
    for (const entry of job.entries) {
      if (entry.kind === "reading" && family.measurements[entry.measure] && !(entry.measure in example))
        example[entry.measure] = entry.text;
    }
    return pruned({ symptom, worked_example: example }, false) || {};
  }

  benchlore.record = { get, set, whole, branch, schemaAt, nameOf, nameTrouble, fromJob };
})();
