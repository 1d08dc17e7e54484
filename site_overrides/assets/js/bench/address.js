/*
 * A job in the part of the address behind `#`, so that it can be bookmarked or sent.
 *
 *   #v=1&job=ID&family=petrel-13&revision=A&symptom=pack-not-seen&meter=hand-held-3-half
 *   &entry=r~main-rail-pack-out~~7.92 V&entry=f~FAULT~failed~still~MEASURE~METER~7.92 V
 *
 * Fields of an entry are joined by `~` and percent-encoded. An empty meter means the meter of the job. A link that
 * starts a job (from a symptom's page, say) leaves out `job`; it may bring the customer's words, and a reading that was
 * taken already.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const VERSION = "1";
  const KEYS = ["v", "job", "label", "family", "revision", "symptom", "words", "meter", "notes", "entry"];

  /**
   * @param {BenchJob} job
   * @returns {string} without the `#`
   */
  function encode(job) {
    const pairs = new URLSearchParams();
    pairs.append("v", VERSION);
    if (job.id) pairs.append("job", job.id);
    if (job.label) pairs.append("label", job.label);
    if (job.family) pairs.append("family", job.family);
    if (job.revision) pairs.append("revision", job.revision);
    job.symptoms.forEach((id) => pairs.append("symptom", id));
    if (job.words) pairs.append("words", job.words);
    if (job.meter) pairs.append("meter", job.meter);
    if (job.notes) pairs.append("notes", job.notes);
    job.entries.forEach((entry) => pairs.append("entry", fields(job, entry).map(encoded).join("~")));
    return pairs.toString();
  }

  /** @type {(job: BenchJob, entry: BenchEntry) => string[]} */
  function fields(job, entry) {
    if (entry.kind === "escalate") return ["e"];
    if (entry.kind === "reading") return ["r", ...reading(job, entry)];
    const proof = entry.confirm.map((taken) => reading(job, taken));
    return ["f", entry.fault, entry.result, entry.symptom].concat(...proof);
  }

  /** @type {(job: BenchJob, taken: BenchTaken) => string[]} */
  function reading(job, taken) {
    return [taken.measure, taken.meter === job.meter ? "" : taken.meter, taken.text];
  }

  /**
   * The job that an address holds, null for an empty one.
   * Throws Error, with words for the person who opened it, for an address that cannot be read.
   * @param {string} hash with or without `#`
   * @returns {BenchJob | null}
   */
  function decode(hash) {
    const text = hash.replace(/^#/, "");
    if (!text?.includes("=")) return null;
    const pairs = new URLSearchParams(text);
    const version = pairs.get("v");
    if (version !== null && version !== VERSION) {
      throw new Error(
        "This address was made by another version of this page (form " +
          version +
          ", this page reads form " +
          VERSION +
          "). Open the job from its file instead, or open the address with the site that made it.",
      );
    }
    for (const key of pairs.keys()) {
      if (!KEYS.includes(key))
        throw new Error("This address holds '" + key + "', which this page does not know.");
    }
    const meter = pairs.get("meter") || "";
    return benchlore.jobfile.check({
      format: benchlore.job.FORMAT,
      version: benchlore.job.VERSION,
      id: pairs.get("job") || "",
      label: pairs.get("label") || "",
      family: pairs.get("family") || "",
      revision: pairs.get("revision") || "",
      symptoms: pairs.getAll("symptom"),
      words: pairs.get("words") || "",
      meter: meter,
      started: "",
      notes: pairs.get("notes") || "",
      entries: pairs.getAll("entry").map((entry) => readEntry(entry, meter)),
    });
  }

  /** @type {(text: string, meter: string) => unknown} */
  function readEntry(text, meter) {
    const parts = text.split("~").map(decoded);
    const [kind, ...rest] = parts;
    if (kind === "e" && rest.length === 0) return { kind: "escalate", at: "" };
    if (kind === "r" && rest.length === 3)
      return Object.assign({ kind: "reading", at: "" }, taken(rest, meter));
    if (kind === "f" && rest.length >= 3 && rest.length % 3 === 0) {
      const confirm = [];
      for (let place = 3; place < rest.length; place += 3)
        confirm.push(taken(rest.slice(place, place + 3), meter));
      return { kind: "fix", fault: rest[0], result: rest[1], symptom: rest[2], confirm: confirm, at: "" };
    }
    throw new Error("This address is cut short or damaged: its entry '" + text + "' cannot be read.");
  }

  /**
   * @param {string[]} parts
   * @param {string} meter
   */
  function taken(parts, meter) {
    return { measure: parts[0], meter: parts[1] || meter, text: parts[2] };
  }

  /** @param {string} text */
  function encoded(text) {
    return encodeURIComponent(text).replace(/~/g, "%7E");
  }

  /** @param {string} text */
  function decoded(text) {
    try {
      return decodeURIComponent(text);
    } catch {
      throw new Error("This address is cut short or damaged: '" + text + "' cannot be read.");
    }
  }

  /**
   * True when two jobs hold the same setup and entries; times and label do not count.
   * @type {(one: BenchJob, other: BenchJob) => boolean}
   */
  function same(one, other) {
    return encode(one) === encode(other);
  }

  benchlore.address = { encode, decode, same };
})();
