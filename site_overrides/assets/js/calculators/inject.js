/*
 * Settings for an injection into a short.
 * The same arithmetic and words as tools/benchlore/circuit/injection.py, value for value.
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ (window.benchlore);
  const { Refusal, positive, middleOf, seenBy, show, HEAT } = benchlore.calculators;
  /** @typedef {{ low: number, high: number, nominal: number | null }} Value */
  const FIRST_VOLTS = 0.5;
  const FIRST_POWER = 0.5;
  const FIRST_LIMIT = 1;
  const LEAST_SHORT = 0.005;

  /**
   * Settings for an injection into a short.
   * @param {{ rail: Value, short: Value }} given
   */
  function work({ rail, short }) {
    positive("rail", rail);
    positive("short", short);
    const resistance = middleOf(short);
    if (resistance < LEAST_SHORT) {
      throw new Refusal(
        "short",
        "is less than leads and meter can show; write 0.01 ohm and start from there",
      );
    }
    const ceiling = rail.nominal === null ? rail.low : rail.nominal;
    const most = ceiling / resistance;
    const begin = Math.min(FIRST_VOLTS, ceiling);
    const limit = Math.min(Math.sqrt(FIRST_POWER / resistance), FIRST_LIMIT, most);
    const amps = Math.min(limit, begin / resistance);
    const startPower = amps * amps * resistance;
    const mostPower = ceiling * most;
    return {
      begin,
      limit,
      ceiling,
      start_volts: amps * resistance,
      start_amps: amps,
      start_power: startPower,
      most,
      most_power: mostPower,
      start_heat: seenBy(startPower),
      most_heat: seenBy(mostPower),
    };
  }

  /**
   * The voltage to begin at, as a supply shows it and as the cautions say it.
   * @param {number} volts
   */
  function supplyVolts(volts) {
    return volts === 0.5 ? "0.5\u00a0V" : show(volts, "V");
  }

  /** @param {any} found */
  function said(found) {
    const [begin, ceiling] = [supplyVolts(found.begin), show(found.ceiling, "V")];
    const held = found.start_amps < found.limit ? ", below the limit" : ", held by the limit";
    return [
      ["Begin at", begin + ", current limit " + show(found.limit, "A", 2)],
      ["Never above", ceiling + ", the rail's normal voltage"],
      ["The rail then reads", show(found.start_volts, "V", 2) + held],
      ["Power in the short", show(found.start_power, "W", 2) + ": " + HEAT[found.start_heat]],
      [
        "Then",
        "raise the voltage slowly, or the limit where the supply stands at it, and only while nothing warms up",
      ],
      [
        "At the ceiling",
        show(found.most, "A", 2) + " and " + show(found.most_power, "W", 2) + " in the short",
      ],
    ];
  }

  benchlore.calculators.kinds.inject = { work, said };
})();
