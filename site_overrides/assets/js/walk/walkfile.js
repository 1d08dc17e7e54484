/*
 * Saved walks: the check of what comes from outside (a file, the store), and the text that is saved. The form is that of
 * schema/walk.schema.json.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));

  const FORM = benchlore.walkBook.form;
  const TOLD = { what: "walk", name: "walk", limit: 2000000 };

  /**
   * The walk in a file's text. Throws Error with the reason in words.
   * @type {(text: string) => WalkRecord}
   */
  function parse(text) {
    return whole(benchlore.form.read(FORM, text, TOLD));
  }

  /**
   * The walk, or Error with what is wrong and where.
   * @type {(data: unknown) => WalkRecord}
   */
  function check(data) {
    benchlore.form.check(FORM, data, TOLD.what);
    return whole(/** @type {WalkRecord} */ (data));
  }

  /**
   * A walk with everything that its file may leave out, in one order.
   * @type {(walk: Partial<WalkRecord>) => WalkRecord}
   */
  function whole(walk) {
    const { id = "", title = "", family = "", revision = "", label = "", meter = "", started = "" } = walk;
    const { points = [], readings = [] } = walk;
    return {
      format: FORM.properties.format.const,
      version: FORM.properties.version.const,
      id,
      title,
      family,
      revision,
      label,
      meter,
      started,
      points: points.map(({ id, net, at, mode, state, where = "" }) => ({ id, net, at, mode, state, where })),
      readings: readings.map(({ measure, meter, text, at = "" }) => ({ measure, meter, text, at })),
    };
  }

  /** @param {WalkRecord} walk */
  function format(walk) {
    return JSON.stringify(walk, null, 2) + "\n";
  }

  walks.file = { parse, check, whole, format };
})();
