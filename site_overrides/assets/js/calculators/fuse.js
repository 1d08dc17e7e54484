/*
 * The current through a fuse, from the voltage across it.
 * The same arithmetic and words as tools/benchlore/circuit/fuse.py, value for value.
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ (window.benchlore);
  const { positive, notNegative, middleOf, spread } = benchlore.calculators;
  /** @typedef {{ low: number, high: number, nominal: number | null }} Value */
  const OPEN_DROP = 1;

  /**
   * The current through a fuse, from the voltage across it.
   * @param {{ drop: Value, resistance: Value, rating: Value | null }} given
   */
  function work({ drop, resistance, rating }) {
    notNegative("drop", drop);
    positive("resistance", resistance);
    if (rating) positive("rating", rating);
    const [d, r] = [middleOf(drop), middleOf(resistance)];
    const current = { low: drop.low / resistance.high, middle: d / r, high: drop.high / resistance.low };
    return {
      open: d >= OPEN_DROP,
      current,
      power: {
        low: (drop.low * drop.low) / resistance.high,
        middle: (d * d) / r,
        high: (drop.high * drop.high) / resistance.low,
      },
      share: rating ? current.middle / rating.low : null,
    };
  }

  /** @param {any} found */
  function said(found) {
    if (found.open) return [["Fuse open", "a whole fuse never drops as much; it carries no current"]];
    /** @type {[string, string][]} */
    const said = [["Current", spread(found.current, "A")]];
    if (found.share !== null) said.push(["Share of the rating", Math.round(found.share * 100) + "\u00a0%"]);
    said.push(["Power in the fuse", spread(found.power, "W")]);
    said.push(["Mind", "a warm fuse has more resistance, so the current is, if anything, less"]);
    return said;
  }

  benchlore.calculators.kinds.fuse = { work, said };
})();
