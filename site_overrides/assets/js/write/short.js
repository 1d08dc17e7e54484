/*
 * What a record writes shorter or leaves to its family, as tools/benchlore/book/short.py and `opened` of book/work.py
 * have it: the form works on the record in full.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  /**
   * The data of a record's file in full.
   * @type {(context: WriteContext, record: WriteRecord) => WriteRecord}
   */
  function inFull(context, record) {
    if (!isMapping(record)) return record;
    const full = { ...record };
    if (Array.isArray(record.test_points)) full.test_points = record.test_points.map(stated);
    if (isMapping(record.cause)) full.cause = causeInFull(record.cause);
    if (!isMapping(record.fix)) return full;
    const { confirm: proof, steps } = record.fix;
    full.fix = { ...record.fix };
    if (Array.isArray(proof))
      full.fix.confirm = Object.fromEntries(proof.map((id) => [id, normalOf(context, id)]));
    if (!Array.isArray(steps)) return full;
    const action = record.fix.action || actionOf(full);
    const [out] = opening(context);
    full.fix = { ...(action ? { action } : {}), ...full.fix };
    full.fix.steps = emptied(context, isOpened(context, steps) ? [out, ...steps] : steps);
    return full;
  }

  /**
   * The data of a record as its file has them; `inFull` gives them back.
   * @type {(context: WriteContext, record: WriteRecord) => WriteRecord}
   */
  function shortened(context, record) {
    const short = { ...record };
    if (record.test_points) short.test_points = record.test_points.map(written);
    if (record.cause) short.cause = causeShortened(record.cause);
    if (!record.fix) return short;
    const { action, ...fix } = record.fix;
    if (fix.steps) fix.steps = lessened(context, fix.steps);
    const proof = Object.entries(fix.confirm || {});
    if (proof.length && proof.every(([id, outcome]) => outcome && outcome === normalOf(context, id)))
      fix.confirm = proof.map(([id]) => id);
    short.fix = action && action !== actionOf(record) ? { action, ...fix } : fix;
    return short;
  }

  /**
   * The normal outcome of a measurement; empty where it has none, or several.
   * @type {(context: WriteContext, id: string) => string}
   */
  function normalOf({ family }, id) {
    const normal = Object.values(family.measurements[id]?.outcomes || {}).filter((one) => one.normal);
    return normal.length === 1 ? normal[0].id : "";
  }

  /** @param {any} cause */
  function causeInFull(cause) {
    const parts = Object.keys(cause).filter((key) => /^[A-Z]/.test(key));
    if (parts.length !== 1 || ["part", "mode", "variants"].some((key) => key in cause)) return cause;
    const { [parts[0]]: failed, ...rest } = cause;
    if (!isMapping(failed)) return { part: parts[0], mode: failed, ...rest };
    return {
      part: parts[0],
      variants: Object.entries(failed).map(([mode, share]) => ({ mode, share })),
      ...rest,
    };
  }

  /** @param {any} cause */
  function causeShortened(cause) {
    const { part, mode, variants, ...rest } = cause;
    if (part && mode && !variants?.length) return { [part]: mode, ...rest };
    const ways = (variants || []).filter(
      (/** @type {any} */ one) => Object.keys(one).sort().join() === "mode,share",
    );
    const modes = Object.fromEntries(ways.map((/** @type {any} */ one) => [one.mode, one.share]));
    const all = ways.length > 0 && Object.keys(modes).length === variants.length;
    return part && mode === undefined && all ? { [part]: modes, ...rest } : cause;
  }

  /** @param {any} point */
  function stated(point) {
    const names = isMapping(point) ? Object.keys(point).filter((key) => key !== "note") : [];
    if (names.length !== 1 || names[0] === "measure" || names[0] === "expected_reading") return point;
    const note = "note" in point ? { note: point.note } : {};
    return { measure: names[0], expected_reading: point[names[0]], ...note };
  }

  /** @param {any} point */
  function written(point) {
    const { measure, expected_reading: reads, ...rest } = point;
    return measure && reads !== undefined ? { [measure]: reads, ...rest } : point;
  }

  /** @param {WriteRecord} record */
  function actionOf(record) {
    const { verbs } = benchlore.writeBook;
    const done = benchlore.work.stepsOf(record).filter(({ verb }) => verb && verbs[verb].action);
    const toPart = done.filter(({ names }) => names.includes(record.cause?.part));
    const always = toPart.filter(({ raw }) => !("if" in raw));
    const last = [
      ...done.filter(({ raw }) => "if" in raw),
      ...done.filter(({ raw }) => !("if" in raw)),
      ...toPart,
      ...always,
    ].pop();
    const found = last ? verbs[last.verb].action : "";
    return found === "remove" ? "replace" : found;
  }

  /**
   * The steps, with the charge let out wherever everything is unplugged, and on the same condition.
   * @param {WriteContext} context
   * @param {any[]} steps
   */
  function emptied(context, steps) {
    if (!context.own.discharge || ofAdapterAlone(context, steps)) return steps;
    return steps.flatMap((step, n) => {
      const { verb, raw } = benchlore.work.readStep(steps[n + 1]);
      const said = verb === "discharge" && [undefined, ifOf(step)].includes(raw.if);
      return unplugsAll(step) && !said ? [step, heldAfter(context, step)] : [step];
    });
  }

  /**
   * How the charge goes after a step, on the same condition.
   * @param {WriteContext} context
   * @param {any} step
   */
  function heldAfter(context, step) {
    const [, held] = opening(context);
    return ifOf(step) === undefined ? held : { ...held, if: ifOf(step) };
  }

  /** @param {any} step */
  function ifOf(step) {
    return benchlore.work.readStep(step).raw.if;
  }

  /**
   * The steps without those that `inFull` puts in again.
   * @param {WriteContext} context
   * @param {any[]} steps
   */
  function lessened(context, steps) {
    if (!context.own.discharge) return steps;
    const [out] = opening(context).map((step) => JSON.stringify(step));
    const isHeld = (/** @type {any} */ step, /** @type {any} */ before) =>
      unplugsAll(before) && JSON.stringify(step) === JSON.stringify(heldAfter(context, before));
    const held = !ofAdapterAlone(context, steps);
    const own = steps.filter((step, n) => !(held && n && isHeld(step, steps[n - 1])));
    const rest = own.slice(1);
    return JSON.stringify(own[0]) === out && isOpened(context, rest) ? rest : own;
  }

  /** @param {any} step */
  function unplugsAll(step) {
    const { verb, names } = benchlore.work.readStep(step);
    return verb === "unplug" && names.includes(benchlore.writeBook.everything);
  }

  /**
   * True for steps without power that do not say when everything is unplugged.
   * @type {(context: WriteContext, steps: any[]) => boolean}
   */
  function isOpened(context, steps) {
    const read = steps.map(benchlore.work.readStep);
    const said = read.some(
      ({ verb, raw }, n) => raw.if === undefined && (verb === "discharge" || unplugsAll(steps[n])),
    );
    if (!context.own.discharge || said) return false;
    return read.some((step) => takesPowerOut(context, step));
  }

  /**
   * True where the power goes out for an adapter, and for nothing else.
   * @type {(context: WriteContext, steps: any[]) => boolean}
   */
  function ofAdapterAlone(context, steps) {
    const read = steps.map(benchlore.work.readStep);
    const others = read.filter((step) => !benchlore.work.ofAdapter(context.own, step));
    return others.length < read.length && !others.some((step) => takesPowerOut(context, step));
  }

  /**
   * True for a step that takes a board without power.
   * @type {(context: WriteContext, step: WriteStepRead) => boolean}
   */
  function takesPowerOut({ own, family }, { verb, names, say }) {
    if (benchlore.work.hotOrWet(say)) return true;
    if (!verb) return false;
    const { handles, wet } = benchlore.writeBook.verbs[verb];
    if (handles || wet) return true;
    if (verb === "measure")
      return names.some((id) => {
        const m = family.measurements[id];
        return m && (benchlore.vocabulary.functions[m.mode]?.power === "off" || m.inject);
      });
    return (verb === "unplug" || verb === "plug") && names.some((name) => own.parts[name]);
  }

  /** @param {WriteContext} context */
  function opening({ own }) {
    return [{ unplug: benchlore.writeBook.everything }, { discharge: own.discharge || "10 s" }];
  }

  /** @param {unknown} value */
  function isMapping(value) {
    return typeof value === "object" && value !== null && !Array.isArray(value);
  }

  benchlore.short = { inFull, shortened, opening };
})();
