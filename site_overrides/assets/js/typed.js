/*
 * Values as people type them, read value for value as tools/benchlore/typed.py reads them; the grammar stands there.
 * The words are those of the vocabulary (data/vocabulary.js). No access to the page.
 */
(function () {
  "use strict";
  const benchlore = /** @type {TypedScripts} */ ((window.benchlore = window.benchlore || {}));
  const { units: UNITS, prefixes: PREFIXES, prefix_words: PREFIX_WORDS } = benchlore.vocabulary;
  const OVER_RANGE = new Set(benchlore.vocabulary.over_range);

  const LONGEST = 60;
  /** @type {[RegExp, string][]} */
  const LOOKALIKES = [
    [/[\u03a9\u2126]/g, "ohm"],
    [/[\u00b5\u03bc]/g, "u"],
    [/[\u2010\u2011\u2012\u2013\u2014\u2212]/g, "-"],
    [/[\u00a0\u2007\u2008\u2009\u200a\u202f\t]/g, " "],
    [/\u2019/g, "'"],
    [/\u00ba/g, "\u00b0"],
    [/\u2103/g, "\u00b0C"],
    [/\u2109/g, "\u00b0F"],
    [/\u00b1/g, "+-"],
    [/\u2026/g, "..."],
  ];
  const EXPONENT = "(?:[eE][-+]?[0-9]{1,2}(?![0-9.,]))?";
  const GROUPED = "[0-9]{1,3}(?:[ '][0-9]{3})+(?![0-9])(?:[.,][0-9]*)?";
  const NUMBER = "[-+]? ?(?:" + GROUPED + "|[.,]?[0-9][0-9.,]*)" + EXPONENT;
  const UNIT = "(?:[A-Za-z\u00b0%][A-Za-z\u00b0%. ]*(?:p-p)?)?~?";
  const TOLERANCE = "(?: ?\\+- ?| )([0-9]+(?:[.,][0-9]*)?) ?%";
  const VALUE = new RegExp("^(" + NUMBER + ") ?(" + UNIT + ")$");
  const CODED = new RegExp("^([-+]?) ?([0-9]*)([A-Za-z])([0-9]+) ?(" + UNIT + ")$");
  const WITH_TOLERANCE = new RegExp("^([^%]*[A-Za-z0-9.])(?:" + TOLERANCE + ")$");
  const SEPARATOR = / to | and |\.{2,3}|(?<=[0-9A-Za-z.%])(?<![0-9.][eE]) ?-+ ?(?=[-+]?[.,]?[0-9])/;
  const ABOUT = /^(?:(?:about|approximately|approx\.?|around|roughly|circa|ca\.?|c\.) |[~\u2248] ?)/i;
  const OR_SO = / (?:or so|approx\.?|approximately|about)$/i;
  const CLOCK = /^(?:([0-9]{1,2}):)?([0-9]{1,3}):([0-5][0-9](?:[.,][0-9]+)?)$/;
  const MINUTES =
    /^([0-9]{1,3}) ?(?:m|mins?|minutes?|') ?([0-5]?[0-9](?:[.,][0-9]+)?) ?(?:s|secs?|seconds?|"|'')?$/i;
  const PLAIN = /^[0-9]+$/;
  const DECIMAL = /^[0-9]*[.,][0-9]*$/;
  const TWO_WAYS = /^[1-9][0-9]{0,2},[0-9]{3}$/;
  const COMMAS = /^[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?$/;
  const POINTS = /^[0-9]{1,3}(?:\.[0-9]{3})+(?:,[0-9]*)?$/;
  const CURRENT = /^(.*?)(dc|ac|rms|~|pp|p-p)$/i;
  const SEVERAL = /^[^0-9]*[0-9][0-9.,]*[^0-9.,]+[0-9].*$/;
  /** Units that are never read in millions on a bench. */
  const SMALL = ["V", "A", "s", "W", "F", "H"];
  const WITH_CURRENT = ["V", "A"];
  /** @type {Readonly<Record<string, string>>} */
  const SLACK_LETTERS = { K: "k", U: "u", N: "n", P: "p", g: "G" };
  /** @type {Readonly<Record<string, string>>} */
  const EXAMPLES = {
    V: "3.05 V",
    ohm: "2.2 kohm",
    A: "500 mA",
    Hz: "32.768 kHz",
    s: "1.5 s",
    degC: "45 degC",
  };

  /** A typed text that is no value, or has several meanings. */
  class TypedError extends Error {
    /**
     * @param {string} reason
     * @param {string} mend
     * @param {readonly string[]} [choices] what may be meant, to be typed instead
     */
    constructor(reason, mend, choices = []) {
      super(reason + "; " + mend);
      this.reason = reason;
      this.mend = mend;
      this.choices = choices;
    }
  }

  /** A typed unit that can be two, or none that a bench has; each with the power of ten that the number takes. */
  class TwoUnitsError extends TypedError {
    /**
     * @param {string} reason
     * @param {[number, string][]} units
     */
    constructor(reason, ...units) {
      super(reason, "type " + units.map(([, unit]) => unit).join(" or "));
      this.units = units;
    }
  }

  /** @typedef {{ prefix: string, base: string, current: string, factor: number, offset: number }} Unit */

  /** @type {(prefix: string, base: string) => Unit} */
  function plain(prefix, base) {
    return { prefix, base, current: "", factor: 1, offset: 0 };
  }

  /**
   * A typed text with its look-alike signs replaced and its blanks single.
   * @param {string} text
   */
  function clean(text) {
    return trimmed(
      LOOKALIKES.reduce((said, [found, simple]) => said.replace(found, simple), text).replace(/ +/g, " "),
    );
  }

  /**
   * A text without the blanks at its ends; other white space stays, and is refused.
   * @param {string} text
   */
  function trimmed(text) {
    return text.replace(/^ +/, "").replace(/ +$/, "");
  }

  /**
   * The value that a text stands for, in `unit` where none is typed; any unit where `unit` is empty.
   * Throws TypedError.
   * @type {(text: string, unit?: string) => TypedValue}
   */
  function typed(text, unit = "") {
    let said = clean(text);
    if (!said) throw new TypedError("nothing was typed", example(unit));
    if ([...said].length > LONGEST) {
      throw new TypedError("a value is at most " + LONGEST + " characters long", example(unit));
    }
    said = said.replace(ABOUT, "").replace(OR_SO, "");
    const time = unit === "" || unit === "s" ? seconds(said) : null;
    if (time !== null) {
      return {
        low: time,
        high: time,
        nominal: time,
        unit: "s",
        number: said,
        prefix: "",
        bare: false,
        current: "",
      };
    }
    const spread = WITH_TOLERANCE.exec(said);
    if (spread) {
      const middle = value(String(spread[1]), unit);
      const percent = Number(String(spread[2]).replace(",", "."));
      if (percent >= 100) {
        throw new TypedError("a tolerance of " + spread[2] + " %", "type a tolerance below 100 %");
      }
      const width = (Math.abs(middle.low) * percent) / 100;
      return { ...middle, low: middle.low - width, high: middle.low + width, nominal: middle.low };
    }
    const range = said.replace(/^between /, "");
    const apart = SEPARATOR.exec(range);
    if (apart && apart.index > 0) {
      return span(range.slice(0, apart.index), range.slice(apart.index + apart[0].length), unit);
    }
    return value(apart ? range : said, unit);
  }

  /**
   * A time with its minutes, `1:30` or `1 min 30 s`; null where it is none.
   * @param {string} text
   */
  function seconds(text) {
    const clock = CLOCK.exec(text);
    if (clock) {
      return (
        3600 * Number(clock[1] || 0) + 60 * Number(clock[2]) + Number(String(clock[3]).replace(",", "."))
      );
    }
    const words = MINUTES.exec(text);
    return words ? 60 * Number(words[1]) + Number(String(words[2]).replace(",", ".")) : null;
  }

  /**
   * True for what a meter shows where no number comes: `OL`, `0.L`, `OL Mohm`, `open`, or infinity.
   * @type {(text: string, unit?: string) => boolean}
   */
  function isOverRange(text, unit = "") {
    const said = clean(text).toLowerCase().replace(/[.-]/g, "");
    const at = said.indexOf(" ");
    const [word, rest] = at < 0 ? [said, ""] : [said.slice(0, at), said.slice(at + 1)];
    if (OVER_RANGE.has(word) && rest && unit) {
      const found = attempt(() => unitOf(rest, unit));
      if (!(found instanceof TypedError)) return found.base === unit;
    }
    return OVER_RANGE.has((word + rest).replace(/ /g, ""));
  }

  /**
   * What a function gives, or the TypedError that it throws.
   * @template T
   * @param {() => T} work
   * @returns {T | TypedError}
   */
  function attempt(work) {
    try {
      return work();
    } catch (error) {
      if (error instanceof TypedError) return error;
      throw error;
    }
  }

  /** @type {(lowText: string, highText: string, unit: string) => TypedValue} */
  function span(lowText, highText, unit) {
    const high = value(trimmed(highText), unit);
    const first = trimmed(lowText);
    let low = value(first, unit);
    // The unit stands once, behind both: `3 to 8 mV`.
    if (low.bare && !high.bare) low = value(first + " " + high.prefix + high.unit, unit);
    if (low.unit !== high.unit) {
      throw new TypedError(
        "'" + lowText + " ... " + highText + "' has two units",
        "type both ends in one unit",
      );
    }
    if (low.low === high.low) {
      throw new TypedError("both ends are the same", "type one value, or both ends");
    }
    if (low.low > high.low) {
      const apart = /\p{L}$/u.test(lowText) || (low.bare && high.bare);
      const turned = apart
        ? highText + " to " + lowText
        : high.number + " to " + lowText + " " + high.prefix + high.unit;
      throw new TypedError("the range does not rise", "type " + turned, [turned]);
    }
    return { ...high, low: low.low, high: high.low, nominal: null };
  }

  /** @type {(text: string, unit: string) => TypedValue} */
  function value(text, unit) {
    const found = VALUE.exec(text);
    if (found) return numbered(text, String(found[1]), found[2] || "", unit);
    const coded = CODED.exec(text);
    if (coded) {
      const number = (coded[1] || "") + (coded[2] || "0") + "." + coded[4];
      return lettered(text, number, String(coded[3]), coded[5] || "", unit);
    }
    throw noValue(text, unit);
  }

  /**
   * `4k7`: the letter stands for the decimal point, and is a unit, or the prefix of one.
   * @type {(text: string, number: string, letter: string, written: string, unit: string) => TypedValue}
   */
  function lettered(text, number, letter, written, unit) {
    const isPrefix = letterOf(letter) !== undefined;
    const said = attempt(() => {
      const found = unitOf(letter, unit || (isPrefix ? "ohm" : ""));
      if (written && (unitOf(written, found.base).prefix || !isPrefix)) throw noValue(text, unit);
      return found;
    });
    if (said instanceof TypedError) throw asked(said, number);
    return made(number, said, false);
  }

  /** @type {(text: string, number: string, written: string, unit: string) => TypedValue} */
  function numbered(text, number, written, unit) {
    const meanings = numbers(number);
    const first = meanings[0];
    if (first === undefined) throw noValue(text, unit);
    const said = attempt(() => unitOf(written, unit));
    if (said instanceof TypedError) throw asked(said, first);
    // Nobody writes thousands of a kilo: with such a prefix, the comma is the decimal one.
    if (meanings.length > 1 && (PREFIXES[said.prefix] || 0) <= 0) {
      const choices = meanings.map((one) => trimmed(one + " " + said.prefix + said.base));
      throw new TypedError(
        "'" + trimmed(number) + "' can be read in two ways",
        "type " + choices.join(" or "),
        choices,
      );
    }
    return made(first, said, !written);
  }

  /**
   * An error about a unit, with its choices as they are typed for a number.
   * @type {(error: TypedError, number: string) => TypedError}
   */
  function asked(error, number) {
    if (!(error instanceof TwoUnitsError)) return error;
    const choices = error.units.map(([power, unit]) => shifted(number, power) + " " + unit);
    return new TypedError(error.reason, "type " + choices.join(" or "), choices);
  }

  /** @type {(number: string, said: Unit, bare: boolean) => TypedValue} */
  function made(number, said, bare) {
    const found = (scaled(number, PREFIXES[said.prefix] || 0) - said.offset) * said.factor;
    return {
      low: found,
      high: found,
      nominal: found,
      unit: said.base,
      number,
      prefix: said.prefix,
      bare,
      current: said.current,
    };
  }

  /**
   * The float nearest to `number` x 10^power, by way of the decimal text: 819 mV is exactly 0.819.
   * @type {(number: string, power: number) => number}
   */
  function scaled(number, power) {
    return Number(number + "e" + power);
  }

  /**
   * What a typed number may mean, each with a decimal point and no exponent: none, one or two.
   * @type {(text: string) => string[]}
   */
  function numbers(text) {
    const [all, exponent] = text.replace(/[ ']/g, "").toLowerCase().split("e");
    const sign = String(all).startsWith("-") ? "-" : "";
    const digits = String(all).replace(/^[-+]+/, "");
    /** @type {string[]} */
    let meanings = [];
    if (PLAIN.test(digits)) meanings = [digits];
    else if (TWO_WAYS.test(digits)) meanings = [digits.replace(",", "."), digits.replace(",", "")];
    else if (DECIMAL.test(digits)) meanings = [digits.replace(",", ".")];
    else if (COMMAS.test(digits)) meanings = [digits.replace(/,/g, "")];
    else if (POINTS.test(digits)) meanings = [digits.replace(/\./g, "").replace(",", ".")];
    return meanings.map((one) => shifted(sign + one, Number(exponent || 0)));
  }

  /**
   * A decimal text x 10^power, with its digits as they are: `25`, -3 -> `0.025`.
   * @type {(number: string, power: number) => string}
   */
  function shifted(number, power) {
    if (power === 0) return number;
    const sign = number.startsWith("-") ? "-" : "";
    const [whole = "", part = ""] = number.slice(sign.length).split(".");
    const place = whole.length + power;
    const digits = whole + part;
    const padded =
      "0".repeat(Math.max(1 - place, 0)) + digits + "0".repeat(Math.max(place - digits.length, 0));
    const at = Math.max(place, 1);
    return sign + padded.slice(0, at) + (padded.slice(at) ? "." + padded.slice(at) : "");
  }

  /**
   * What a typed unit says; where it is empty, `base`; an empty `base` stands for any. Throws TypedError.
   * @type {(text: string, base: string) => Unit}
   */
  function unitOf(text, base) {
    const short = text.replace(/[. ]/g, "");
    if (!short) return plain("", base);
    const others = base ? /** @type {VocabularyUnit} */ (UNITS[base]).others : {};
    const other = Object.hasOwn(others, short.toLowerCase()) ? others[short.toLowerCase()] : undefined;
    if (other) return { ...plain("", base), factor: other[0], offset: other[1] };
    const found = plainUnit(short, base) || withCurrent(short, base);
    if (!found) throw new TypedError("'" + trimmed(text) + "' is not a unit", example(base));
    if (!base || found.base === base) return found;
    const [typed, wanted] = [found.base, base].map((one) => /** @type {VocabularyUnit} */ (UNITS[one]));
    throw new TypedError(
      "this is " + typed.measures + ", in " + typed.sign + "; " + wanted.words.at(-1) + " belong here",
      "check the dial, or " + example(base),
    );
  }

  /**
   * A unit with AC or DC behind it, or null.
   * @type {(text: string, base: string) => Unit | null}
   */
  function withCurrent(text, base) {
    const current = CURRENT.exec(text);
    if (!current) return null;
    const kind = String(current[2]).toLowerCase();
    const said = current[1] ? plainUnit(current[1], base) : plain("", base);
    if (!said || !WITH_CURRENT.includes(said.base)) return null;
    if (kind === "pp" || kind === "p-p") {
      throw new TwoUnitsError("a meter shows r.m.s., not peak to peak", [0, said.prefix + said.base + " AC"]);
    }
    return { ...said, current: kind === "dc" ? "dc" : "ac" };
  }

  /**
   * Prefix and base of a unit without AC or DC; null where it is none. Throws TwoUnitsError.
   * @type {(text: string, base: string) => Unit | null}
   */
  function plainUnit(text, base) {
    if (Object.hasOwn(UNITS, text)) return plain("", text);
    const [head, rest] = [text.slice(0, 1), text.slice(1)];
    const exact = Object.hasOwn(UNITS, rest) ? UNITS[rest] : undefined;
    if (exact?.prefixed && Object.hasOwn(PREFIXES, head)) return prefixed(head, rest, true);
    const lone = letterOf(text);
    if (lone !== undefined) return loneOf(text, lone, base);
    const lower = text.toLowerCase();
    /** @type {Unit[]} */
    const matches = [];
    for (const [id, unit] of Object.entries(UNITS)) {
      for (const word of [id.toLowerCase(), .../** @type {VocabularyUnit} */ (unit).words]) {
        if (!lower.endsWith(word)) continue;
        const found = worded(
          text.slice(0, text.length - word.length),
          id,
          /** @type {VocabularyUnit} */ (unit).prefixed,
        );
        if (found) matches.push(found);
      }
    }
    return matches.find((one) => one.base === base) || matches[0] || null;
  }

  /**
   * The prefix that a text is, by letter or word, `m` and `M` as written; undefined where it is none.
   * @type {(text: string) => string | undefined}
   */
  function letterOf(text) {
    if (Object.hasOwn(PREFIXES, text)) return text;
    const word = text.toLowerCase();
    if (Object.hasOwn(SLACK_LETTERS, text)) return SLACK_LETTERS[text];
    return Object.hasOwn(PREFIX_WORDS, word) ? PREFIX_WORDS[word] : undefined;
  }

  /**
   * A prefix without its unit: `22k`. Of `470 m` alone nobody knows what it is.
   * @type {(text: string, prefix: string, base: string) => Unit | null}
   */
  function loneOf(text, prefix, base) {
    if (!base) return prefix === "k" || prefix === "M" ? plain(prefix, "ohm") : null;
    if (base === "degC" && text === "K") {
      throw new TwoUnitsError("a probe shows degrees Celsius, not kelvin", [0, "degC"]);
    }
    if (!(/** @type {VocabularyUnit} */ (UNITS[base]).prefixed)) return null;
    if (base === "s" && text === "m") {
      throw new TwoUnitsError("'m' can be minutes or milliseconds", [0, "min"], [0, "ms"]);
    }
    return prefixed(prefix, base, true);
  }

  /**
   * @param {string} head
   * @param {string} base
   * @param {boolean} takes whether the unit takes prefixes
   * @returns {Unit | null}
   */
  function worded(head, base, takes) {
    if (!head) return plain("", base);
    const letter = letterOf(head);
    return takes && letter !== undefined ? prefixed(letter, base, head.length > 1) : null;
  }

  /**
   * A prefix of a unit; asked where `m` may be meant for `M`, or `M` for `m`.
   * @param {string} prefix
   * @param {string} base
   * @param {boolean} exact written as in SI
   * @returns {Unit}
   */
  function prefixed(prefix, base, exact) {
    if (prefix === "M" && SMALL.includes(base)) {
      throw new TwoUnitsError("M" + base + " is a million " + base, [0, "m" + base], [0, base]);
    }
    if (base === "Hz" && (prefix === "m" || (prefix === "M" && !exact))) {
      throw new TwoUnitsError("'m' before Hz can be read in two ways", [0, "MHz"], [-3, "Hz"]);
    }
    return plain(prefix, base);
  }

  /** @type {(text: string, unit: string) => TypedError} */
  function noValue(text, unit) {
    if (/^[<>~\u2264\u2265\u2248]/.test(text)) {
      return new TypedError("'" + text + "' is not a reading", "type what the meter shows");
    }
    if (SEVERAL.test(text)) {
      return new TypedError("'" + text + "' holds more than one number", "type one value");
    }
    return new TypedError("'" + text + "' is no value", example(unit));
  }

  /** @param {string} unit */
  function example(unit) {
    return "type a value, such as " + (unit ? EXAMPLES[unit] || "50 " + unit : "7.92 V");
  }

  benchlore.typed = { typed, attempt, clean, isOverRange, scaled, TypedError, LONGEST };
})();
