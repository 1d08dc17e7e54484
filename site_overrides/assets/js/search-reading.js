/**
 * Reading search: `MAIN 7.92` or `pack data 0.007 V` finds the outcomes that the reading fits, and so the faults.
 * The data are those of tools/benchlore/site/search/readings.py. No access to the page.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore & TypedScripts} */ ((window.benchlore = window.benchlore || {}));

  const FORMAT = 5;
  const { attempt, clean, isOverRange, typed: typedValue } = benchlore.typed;
  const { functions: FUNCTIONS, units: UNITS } = benchlore.vocabulary;
  const MOST_WORDS = 5;
  const STARTS = /^[-+]?[.,]?[0-9]/;
  /** Values with the letter at the decimal point that no net is called: 2k2 (IEC 60062), never 3V3. */
  const CODED = /^\d+[A-Za-z]\d+$/;
  const CODED_OHMS = /^\d+[RrkKM]\d+$/;
  /** How far beside its normal range a net's own value may lie. */
  const CLOSE = 0.2;

  /** @typedef {{readonly low: number, readonly high: number}} Ends the same for one value */

  /** A rail by its voltage: 3.3V, 3V3, 5 volt. */
  const VOLTAGE = /(?:^|\s)\+?(?:(\d+(?:[.,]\d+)?)\s*(?:v|volts?)|(\d+)v(\d+))(?=\s|$)/i;
  /** How far a rail's own voltage may lie beside what it is called. */
  const CALLED = 0.15;
  const FIRST_VOLTAGE = /^(\d{1,2}(?:[.,]\d)?\s?v)\s+(\S+)/i;
  const ON = /^(?:on|at|=)$/i;
  const RAIL_WORDS = ["rail", "line", "supply", "at", "on", "the", "of"];

  /** @param {string} unit */
  const signOf = (unit) => UNITS[unit]?.sign || unit;

  /**
   * The last reading in a text: `MAIN 7,92 V`, `819mV on F1`, `pack data OL`, `R12 2k2`. Null when there is none.
   * @param {string} text @returns {TypedReading | null}
   */
  function parse(text) {
    const tokens = clean(text).split(/\s+/);
    for (let at = tokens.length - 1; at >= 0; at -= 1) {
      const over = isOverRange(tokens[at]) && tokens[at].toLowerCase() !== "over";
      if (over) {
        const where = [...tokens.slice(0, at), ...tokens.slice(at + 1)].join(" ");
        return { low: Infinity, high: Infinity, unit: "", shown: "OL", where, asks: "" };
      }
      const found = longest(tokens, at);
      if (!found) continue;
      const before = [4, 3, 2, 1]
        .map((back) => longest(tokens, at - back))
        .find((one) => one && one.to >= found.to);
      return before || found;
    }
    return null;
  }

  /**
   * The most words from a place on that are a value, or have several meanings.
   * @type {(tokens: readonly string[], at: number) => (TypedReading & {to: number}) | null}
   */
  function longest(tokens, at) {
    const token = tokens[at];
    if (token === undefined || !STARTS.test(token) || (CODED.test(token) && !CODED_OHMS.test(token)))
      return null;
    for (let size = Math.min(MOST_WORDS, tokens.length - at); size > 0; size -= 1) {
      const said = tokens.slice(at, at + size).join(" ");
      const to = at + size;
      const where = [...tokens.slice(0, at), ...tokens.slice(to)].join(" ");
      const found = attempt(() => typedValue(said));
      if ("reason" in found) {
        if (!found.choices.length) continue;
        return {
          low: NaN,
          high: NaN,
          unit: "",
          shown: said,
          where,
          to,
          asks: `${found.reason}; ${found.mend}`,
        };
      }
      if (found.nominal === null && found.bare) continue; // 1-2 is a name
      const sign = found.prefix.replace("u", "µ") + signOf(found.unit);
      const shown = found.nominal === null ? said : `${found.number}\u00a0${sign}`.trim();
      return { low: found.low, high: found.high, unit: found.unit, shown, where, to, asks: "" };
    }
    return null;
  }

  /**
   * The voltage by which a text calls a rail, and the rest of the text; null where it calls none so.
   * @param {string} where @returns {{volts: number, rest: string} | null}
   */
  function called(where) {
    const found = VOLTAGE.exec(where);
    if (!found) return null;
    const volts = found[1] ? Number(found[1].replace(",", ".")) : Number(`${found[2]}.${found[3]}`);
    const rest = `${where.slice(0, found.index)} ${where.slice(found.index + found[0].length)}`;
    const words = rest.split(/\s+/).filter((word) => word && !RAIL_WORDS.includes(word.toLowerCase()));
    return { volts, rest: words.join(" ") };
  }

  /** @param {OutcomeRow} outcome @param {Ends} ends */
  function fits([, low, high], ends) {
    if (low === "open") return ends.low === Infinity;
    if (ends.low === Infinity) return high === null;
    return (low === null || low <= ends.high) && (high === null || ends.low <= high);
  }

  /** How far a reading lies from an outcome. @param {OutcomeRow} outcome @param {Ends} ends */
  function distance([, low, high], ends) {
    if (low === "open") return Infinity;
    return Math.max(low === null ? -Infinity : low - ends.high, high === null ? -Infinity : ends.low - high);
  }

  /** The outcomes that a reading fits, else the two next to it. @param {readonly OutcomeRow[]} outcomes @param {Ends} ends */
  function outcomesOf(outcomes, ends) {
    const fitting = outcomes.filter((outcome) => fits(outcome, ends));
    if (fitting.length || ends.low === Infinity) return { fitting, near: [] };
    const apart = outcomes.filter((outcome) => Number.isFinite(distance(outcome, ends)));
    return { fitting, near: apart.sort((a, b) => distance(a, ends) - distance(b, ends)).slice(0, 2) };
  }

  /** How much an outcome says: its width for its size. @param {OutcomeRow} outcome */
  function widthOf([, low, high]) {
    if (low === null || high === null || low === "open") return Infinity;
    return (high - low) / Math.max(Math.abs(high), Number.MIN_VALUE);
  }

  /**
   * True when a value is the net's own in the unit of a measurement: it lies in a normal outcome, or close to it. So
   * 8.30 on a rail of 8.4 V is volts first, though the rail shorted would read 8.30 ohms, too.
   * @param {readonly OutcomeRow[]} outcomes @param {Ends} ends
   */
  function isOwn(outcomes, ends) {
    return outcomes.some(
      ([, low, high, normal]) =>
        normal === 1 &&
        typeof low === "number" &&
        high !== null &&
        low > 0 &&
        low * (1 - CLOSE) <= ends.high &&
        ends.low <= high * (1 + CLOSE),
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
    count === 0 ? "no fault recorded" : `${count}\u00a0${count === 1 ? "fault" : "faults"}`;

  /** @type {(data: SearchReadingData, engine: SearchEngine) => SearchReadings} */
  function open(data, engine) {
    if (data.format !== FORMAT)
      throw new Error(`The readings have format ${data.format}, this page reads ${FORMAT}.`);

    const language = benchlore.searchEngine;
    if (!language) throw new Error("search-engine.js is missing.");
    const { words, isNear, address } = language;

    /** How well typed words name a measurement: its net or point whole or in part, its id, or what else it says. */
    const WHOLE = 2;
    const NAMED = 2;
    const MENTIONED = 1;
    const ASIDE = 0.5;

    const rows = data.measurements.map((row) => {
      const [family, id, net, point, mode, , state, , , volts] = row;
      const [familyId, familyTitle] = engine.families[family] || ["", ""];
      const split = (/** @type {string} */ text) => words(text).flat();
      return {
        row,
        familyId,
        familyTitle,
        volts,
        names: [split(net).join(""), split(point).join("")],
        pieces: [split(net), split(point)],
        named: [...split(net), split(net).join(""), ...split(point)],
        mentioned: split(id),
        aside: [...split(`${familyTitle} ${mode} ${FUNCTIONS[mode]?.label || ""} ${state}`)],
      };
    });

    /** @param {string} typed @param {string[]} list */
    const names = (typed, list) =>
      list.some(
        (word) =>
          word === typed ||
          (typed.length > 2 && word.startsWith(typed)) ||
          typed === `${word}s` ||
          (typed.length > 3 && !/\d/.test(typed) && !engine.knows(typed) && isNear(typed, word, false)),
      );

    /** @param {number | null} own @param {number} volts */
    const isCalled = (own, volts) => own !== null && Math.abs(own - volts) <= CALLED * volts;

    /** The nearest voltage of a rail to that which a text calls it by. @param {string} where @param {string} family */
    function railOf(where, family) {
      const rail = called(where);
      if (!rail) return null;
      const own = rows.filter((entry) => !family || entry.familyId === family).map((entry) => entry.volts);
      const known = own.filter((volts) => isCalled(volts, rail.volts)).map((volts) => volts || 0);
      if (!known.length) return null;
      const nearest = known.reduce((a, b) => (Math.abs(b - rail.volts) < Math.abs(a - rail.volts) ? b : a));
      return { volts: nearest, rest: rail.rest };
    }

    /**
     * A rail by its voltage alone, before other words: `3v ldo`, `5V missing`.
     * @param {string} text @param {string} family
     */
    const callsRail = (text, family) => {
      const first = FIRST_VOLTAGE.exec(clean(text));
      return Boolean(first && !ON.test(first[2]) && railOf(first[1], family));
    };

    /**
     * How well a text names a measurement, in its own words or in the records'.
     * @param {typeof rows[0]} entry @param {string[][]} ways @param {boolean} isRail its voltage names it already
     */
    function worth(entry, ways, isRail) {
      if (!ways[0].length) return MENTIONED;
      const least = isRail ? MENTIONED : 0;
      return Math.max(least, ...ways.map((typed) => match(entry, typed) + (isRail ? MENTIONED : 0)));
    }

    /** @param {typeof rows[0]} entry @param {string[]} typed */
    function match(entry, typed) {
      const wholes = new Set(
        typed.flatMap((_, at) => [1, 2, 3].map((size) => typed.slice(at, at + size).join(""))),
      );
      // `core gfx` is GFX_CORE, in whatever order.
      const whole = (/** @type {string[]} */ name) => name.every((piece) => typed.includes(piece));
      const called = entry.names.some((name) => wholes.has(name)) || entry.pieces.some(whole);
      let score = called ? WHOLE : 0;
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
     * @returns {(SearchReadingResult & {width: number, unit: string, place: number})[]}
     */
    function resultsOf(entry, reading, named) {
      const [, id, net, point, mode, unit, state, unplugged, outcomes] = entry.row;
      const { fitting, near } = outcomesOf(outcomes, reading);
      const bare = !reading.unit && reading.low !== Infinity;
      const shown = bare ? `${reading.shown}\u00a0${signOf(unit)}` : reading.shown;
      const start = `${shown} on ${net}, ${lowered(state)}${unplugged ? `, ${unplugged} unplugged` : ""}: `;
      const place = `${point}, ${FUNCTIONS[mode]?.label || mode}. `;
      const path = address(data.path, entry.familyId, net, id);
      const typed = shown.replace(/\u00a0/g, " ");
      const job = { familyId: entry.familyId, measure: id, typed };
      const common = { family: entry.familyTitle, path, named, unit, place: rows.indexOf(entry), job };
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
      const detail = `${place}No outcome in the book has this reading.`;
      return [{ ...common, title, detail, fits: false, normal: false, faults: [], width: Infinity }];
    }

    /**
     * True when half of what is said beside a bare number names the measurement: `clock is back to 2001` does not.
     * @param {typeof rows[0]} entry @param {string[][]} ways
     */
    const mostly = (entry, ways) =>
      ways.some((way) => {
        const telling = way.filter((word) => engine.tells(word));
        const hits = telling.filter((word) =>
          names(word, [...entry.named, ...entry.mentioned, ...entry.aside]),
        );
        return 2 * hits.length >= telling.length;
      });

    /**
     * The outcomes that a typed reading fits, best first. Without a net or point the unit must be typed.
     * @param {string} text @param {SearchOptions} [options] @returns {SearchReadingResult[]}
     */
    function find(text, { family = "", limit = 6 } = {}) {
      const reading = parse(text);
      if (!reading || reading.asks) return [];
      const rail = railOf(reading.where, family);
      const where = rail ? rail.rest : reading.where;
      const meant = engine.otherwise(`${where} `);
      const ways = (meant.length ? meant : [where]).map((way) => words(way).flat());
      const typed = ways[0];
      if (!rail && (callsRail(text, family) || (!typed.length && !reading.unit))) return [];
      const whole = words(text).flat().join("");
      if (rows.some((entry) => entry.names.includes(whole))) return []; // J15 2 is the point J15_2
      const over = reading.low === Infinity;
      const fitting = rows
        .filter((entry) => !family || entry.familyId === family)
        .filter((entry) => !reading.unit || entry.row[5] === reading.unit)
        .filter((entry) => !over || FUNCTIONS[entry.row[4]]?.over_range)
        .filter((entry) => !rail || entry.volts === rail.volts)
        .map((entry) => ({ entry, score: worth(entry, ways, Boolean(rail)) }));
      const most = Math.max(0, ...fitting.map(({ score }) => score));
      if (!most || (over && !rail && !typed.length)) return [];
      const best = fitting.filter(({ score }) => score === most);
      const named =
        Boolean(rail) ||
        (typed.length > 0 && (reading.unit !== "" || mostly(best[0].entry, [words(where).flat(), ...ways])));
      const results = best.flatMap(({ entry }) => resultsOf(entry, reading, named));
      const owned = best.filter(({ entry }) => isOwn(entry.row[8], reading)).map(({ entry }) => entry.row[5]);
      const units = new Set(results.filter((result) => result.fits).map((result) => result.unit));
      if (!named) {
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
            (rail ? a.place - b.place : 0) ||
            Number(a.normal) - Number(b.normal) ||
            a.width - b.width,
        )
        .slice(0, limit);
    }

    return { find };
  }

  benchlore.searchReading = { parse, open };
})();
