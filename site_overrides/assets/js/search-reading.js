/**
 * Reading search: `MAIN 8.19` or `pack data 0.007 V` finds the outcomes that the reading fits, and so the faults.
 * The data are those of tools/benchlore/site/search/readings.py. No access to the page.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));

  const FORMAT = 1;
  const NUMBER = "[-+]?(?:\\d+(?:[.,]\\d+)?|[.,]\\d+)";
  const TOKEN = new RegExp(`^(${NUMBER})(\\D*)$`);
  /** A value with the letter at the decimal point, 2k2 (IEC 60062). */
  const CODED = /^(\d+)([RkKM])(\d+)$/;
  /** Meter functions that have no reading above their range. */
  const OVER_RANGE = ["junction", "ohms"];
  const OVER = /^(?:o\.?l\.?|0l|open|inf|∞)$/i;
  const POWERS = new Map([
    ["p", -12],
    ["n", -9],
    ["u", -6],
    ["m", -3],
    ["", 0],
    ["k", 3],
    ["K", 3],
    ["M", 6],
    ["G", 9],
  ]);
  const BASES = ["ohm", "Hz", "degC", "V", "A", "s", "F", "H"];
  const SPELLINGS = new Map([
    ["volt", "V"],
    ["volts", "V"],
    ["amp", "A"],
    ["amps", "A"],
    ["ohms", "ohm"],
    ["c", "degC"],
    ["°c", "degC"],
    ["r", "ohm"],
  ]);
  /** Bases that are never measured in millions here, so that MV is read as mV. */
  const SMALL = ["V", "A", "s"];
  /** How far beside its normal range a net's own value may lie. */
  const CLOSE = 0.2;
  const UNIT_SIGNS = new Map([
    ["ohm", "Ω"],
    ["degC", "°C"],
  ]);

  /**
   * `mV` -> power -3, base V; `k` and `R` are ohms. Null when it is no unit.
   * @param {string} text @returns {{power: number, base: string, sign: string} | null}
   */
  function parseUnit(text) {
    const clean = text.replace(/[Ωω\u2126]/g, "ohm").replace(/[µμ]/g, "u");
    if (/^[kKM]$/.test(clean)) return parseUnit(`${clean}ohm`);
    const spelled = SPELLINGS.get(clean.toLowerCase());
    if (spelled) return parseUnit(spelled);
    const base = BASES.find((unit) => clean.toLowerCase().endsWith(unit.toLowerCase()));
    if (!base) return null;
    let prefix = clean.slice(0, clean.length - base.length);
    if (prefix === "M" && SMALL.includes(base)) prefix = "m";
    const power = POWERS.get(prefix);
    if (power === undefined || (prefix && base === "degC")) return null;
    return { power, base, sign: prefix.replace("K", "k").replace("u", "µ") + (UNIT_SIGNS.get(base) || base) };
  }

  /**
   * The last reading in a text: `MAIN 8,19 V`, `819mV on F1`, `pack data OL`, `R12 2k2`. Null when there is none. The
   * decimal text is scaled, so that 819 mV is exactly 0.819.
   * @param {string} text @returns {TypedReading | null}
   */
  function parse(text) {
    const tokens = text
      .replace(/\u2212/g, "-")
      .trim()
      .split(/\s+/);
    for (let at = tokens.length - 1; at >= 0; at -= 1) {
      const token = tokens[at];
      /** @param {number} used */
      const rest = (used) => [...tokens.slice(0, at), ...tokens.slice(at + used)].join(" ");
      if (OVER.test(token)) return { value: Infinity, unit: "", shown: "OL", where: rest(1) };
      const coded = CODED.exec(token);
      const plain = coded ? [token, `${coded[1]}.${coded[3]}`, coded[2]] : TOKEN.exec(token);
      if (!plain) continue;
      const number = plain[1].replace(",", ".");
      const glued = plain[2] ? parseUnit(plain[2]) : null;
      if (plain[2] && !glued) continue;
      const apart = glued || at + 1 >= tokens.length ? null : parseUnit(tokens[at + 1]);
      const unit = glued || apart;
      return {
        value: Number(`${number}e${unit ? unit.power : 0}`),
        unit: unit ? unit.base : "",
        shown: unit ? `${number}\u00a0${unit.sign}` : number,
        where: rest(apart ? 2 : 1),
      };
    }
    return null;
  }

  /** @param {OutcomeRow} outcome @param {number} value */
  function fits([, low, high], value) {
    if (low === "open") return value === Infinity;
    if (value === Infinity) return high === null;
    return (low === null || low <= value) && (high === null || value <= high);
  }

  /** How far a value lies from an outcome. @param {OutcomeRow} outcome @param {number} value */
  function distance([, low, high], value) {
    if (low === "open") return Infinity;
    return Math.max(low === null ? -Infinity : low - value, high === null ? -Infinity : value - high);
  }

  /** The outcomes that a value fits, else the two next to it. @param {OutcomeRow[]} outcomes @param {number} value */
  function outcomesOf(outcomes, value) {
    const fitting = outcomes.filter((outcome) => fits(outcome, value));
    if (fitting.length || value === Infinity) return { fitting, near: [] };
    const apart = outcomes.filter((outcome) => Number.isFinite(distance(outcome, value)));
    return { fitting, near: apart.sort((a, b) => distance(a, value) - distance(b, value)).slice(0, 2) };
  }

  /** How much an outcome says: its width for its size. @param {OutcomeRow} outcome */
  function widthOf([, low, high]) {
    if (low === null || high === null || low === "open") return Infinity;
    return (high - low) / Math.max(Math.abs(high), Number.MIN_VALUE);
  }

  /**
   * True when a value is the net's own in the unit of a measurement: it lies in a normal outcome, or close to it. So
   * 8.30 on a rail of 8.4 V is volts first, though the rail shorted would read 8.30 ohms, too.
   * @param {OutcomeRow[]} outcomes @param {number} value
   */
  function isOwn(outcomes, value) {
    return outcomes.some(
      ([, low, high, normal]) =>
        normal === 1 &&
        typeof low === "number" &&
        high !== null &&
        low > 0 &&
        low * (1 - CLOSE) <= value &&
        value <= high * (1 + CLOSE),
    );
  }

  /** @param {OutcomeRow} outcome */
  function faultsOf([, , , , , numbers]) {
    const faults = [];
    for (let i = 0; i < numbers.length; i += 2) {
      faults.push({ number: numbers[i], probability: numbers[i + 1] });
    }
    return faults;
  }

  /** @param {string} id */
  const spoken = (id) => id.replace(/-/g, " ");
  /** @param {string} text */
  const lowered = (text) => (/^[A-Z][a-z]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text);
  /** @param {number} count */
  const faultCount = (count) =>
    count === 0 ? "no fault" : `${count}\u00a0${count === 1 ? "fault" : "faults"}`;

  /**
   * @param {ReadingData} data
   * @param {SearchEngine} engine
   * @returns {SearchReadings}
   */
  function open(data, engine) {
    if (data.format !== FORMAT)
      throw new Error(`The readings have format ${data.format}, this page reads ${FORMAT}.`);

    const language = benchlore.searchEngine;
    if (!language) throw new Error("search-engine.js is missing.");
    const { words, isNear } = language;

    /** How well typed words name a measurement: its net or point whole or in part, its id, or what else it says. */
    const WHOLE = 2;
    const NAMED = 2;
    const MENTIONED = 1;
    const ASIDE = 0.5;

    const rows = data.measurements.map((row) => {
      const [family, id, net, point, mode, , state] = row;
      const [familyId, familyTitle] = engine.families[family] || ["", ""];
      const split = (/** @type {string} */ text) => words(text).flat();
      return {
        row,
        familyId,
        familyTitle,
        names: [split(net).join(""), split(point).join("")],
        named: [...split(net), split(net).join(""), ...split(point)],
        mentioned: split(id),
        aside: [...split(`${familyTitle} ${mode} ${data.modes[mode] || ""} ${state}`)],
      };
    });

    /** @param {string} typed @param {string[]} list */
    const names = (typed, list) =>
      list.some(
        (word) =>
          word === typed ||
          (typed.length > 2 && word.startsWith(typed)) ||
          (typed.length > 3 && !/\d/.test(typed) && isNear(typed, word, false)),
      );

    /** @param {typeof rows[0]} entry @param {string[]} typed @param {Set<string>} wholes */
    function match(entry, typed, wholes) {
      let score = entry.names.some((name) => wholes.has(name)) ? WHOLE : 0;
      let named = false;
      for (const word of typed) {
        if (names(word, entry.named)) {
          score += NAMED;
          named = true;
        } else if (names(word, entry.mentioned)) score += MENTIONED;
        else if (names(word, entry.aside)) score += ASIDE;
      }
      return named ? score : 0;
    }

    /**
     * @param {typeof rows[0]} entry @param {TypedReading} reading @param {boolean} named
     * @returns {(SearchReadingResult & {width: number, unit: string})[]}
     */
    function resultsOf(entry, reading, named) {
      const [, id, net, point, mode, unit, state, unplugged, outcomes] = entry.row;
      const { fitting, near } = outcomesOf(outcomes, reading.value);
      const bare = !reading.unit && reading.value !== Infinity;
      const shown = bare ? `${reading.shown}\u00a0${UNIT_SIGNS.get(unit) || unit}` : reading.shown;
      const start = `${shown} on ${net}, ${lowered(state)}${unplugged ? `, ${unplugged} unplugged` : ""}: `;
      const place = `${point}, ${data.modes[mode] || mode}. `;
      const path = `${entry.familyId}/nets/${net}.html#measure-${id}`;
      const common = { family: entry.familyTitle, path, named, unit };
      const results = fitting.map((outcome) => {
        const [name, , , normal, means] = outcome;
        const faults = faultsOf(outcome);
        const health = normal && !/normal/.test(name) ? ", normal" : "";
        const title = `${start}${spoken(name)}${health} \u2014 ${faultCount(faults.length)}`;
        const width = widthOf(outcome);
        return { ...common, title, detail: place + means, fits: true, normal: normal === 1, faults, width };
      });
      if (results.length || !near.length) return results;
      const title =
        start +
        (near.length > 1 ? "between " : "next to ") +
        near.map(([name]) => spoken(name)).join(" and ");
      const detail = `${place}No outcome in the book reads so.`;
      return [{ ...common, title, detail, fits: false, normal: false, faults: [], width: Infinity }];
    }

    /**
     * The outcomes that a typed reading fits, best first. Without a net or point the unit must be typed.
     * @param {string} text @param {SearchOptions} [options] @returns {SearchReadingResult[]}
     */
    function find(text, { family = "", limit = 6 } = {}) {
      const reading = parse(text);
      if (!reading) return [];
      const typed = words(reading.where).flat();
      if (!typed.length && !reading.unit) return [];
      const whole = words(text).flat().join("");
      if (rows.some((entry) => entry.names.includes(whole))) return []; // J7 2 is the point J7_2
      const wholes = new Set(
        typed.flatMap((_, at) => [1, 2, 3].map((size) => typed.slice(at, at + size).join(""))),
      );
      const over = reading.value === Infinity;
      const fitting = rows
        .filter((entry) => !family || entry.familyId === family)
        .filter((entry) => !reading.unit || entry.row[5] === reading.unit)
        .filter((entry) => !over || OVER_RANGE.includes(entry.row[4]))
        .map((entry) => ({ entry, score: typed.length ? match(entry, typed, wholes) : MENTIONED }));
      const most = Math.max(0, ...fitting.map(({ score }) => score));
      if (!most || (over && !typed.length)) return [];
      const best = fitting.filter(({ score }) => score === most);
      const results = best.flatMap(({ entry }) => resultsOf(entry, reading, typed.length > 0));
      const owned = best
        .filter(({ entry }) => isOwn(entry.row[8], reading.value))
        .map(({ entry }) => entry.row[5]);
      const units = new Set(results.filter((result) => result.fits).map((result) => result.unit));
      if (!typed.length) {
        const telling = results.filter((result) => result.normal || result.faults.length);
        return telling.sort((a, b) => a.width - b.width).slice(0, limit);
      }
      /** @param {{unit: string}} result */
      const own = (result) => Number(owned.includes(result.unit));
      return results
        .filter((result) => result.fits || !units.size || units.has(result.unit) || own(result))
        .sort(
          (a, b) =>
            own(b) - own(a) ||
            Number(b.fits) - Number(a.fits) ||
            Number(a.normal) - Number(b.normal) ||
            a.width - b.width,
        )
        .slice(0, limit);
    }

    return { find };
  }

  benchlore.searchReading = { parse, open };
})();
