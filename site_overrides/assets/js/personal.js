/**
 * Words that tell whose device it was, as in tools/benchlore/personal.py: names behind a title, e-mail addresses, phone
 * and serial numbers. A name by itself nobody can tell from a word.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));

  const DIGITS =
    /(?<![\p{L}\p{N}_.,])(?<!IEC )(?<!ISO )(?<!EN )(?<!UN )(?<!UL )\+?\(?[0-9](?:[ /()-]{0,2}[0-9]){6,}(?![\p{L}\p{N}_.,]|\s?(?:[kMm]?ohm|[kMmu]?(?:V|A|Hz|F|s)(?![\p{L}\p{N}_])))/gu;
  const DATE = /^[0-9]{4}-[0-9][0-9]-[0-9][0-9](?:[ T][0-9][0-9])?$/;
  /** @type {[string, RegExp][]} */
  const KINDS = [
    [
      "a name",
      /(?<![\p{L}\p{N}_])(?:Mr|Mrs|Ms|Dr|Herr|Frau|Mme|Mlle|Sr|Sra)(?![\p{L}\p{N}_])\.?\s+[A-Z][\p{L}\p{N}_]*/gu,
    ],
    ["an e-mail address", /[\p{L}\p{N}_.+-]+@[\p{L}\p{N}_-]+(?:\.[\p{L}\p{N}_-]+)+/gu],
    ["a phone or serial number", DIGITS],
    [
      "a serial number",
      /(?<![\p{L}\p{N}_.-])(?=[0-9-]*[A-Z])(?=(?:[A-Z-]*[0-9]){4})[A-Z0-9-]{8,}(?![\p{L}\p{N}_-])/gu,
    ],
    [
      "a serial number",
      /(?<![\p{L}\p{N}_])(?:[Ss]erial(?![\p{L}\p{N}_])(?!\s+(?:adapter|bus|cable|clock|data|interface|line|link|plug|port|resistor|wire)s?(?![\p{L}\p{N}_]))|S\/N(?![\p{L}\p{N}_])|IMEI(?![\p{L}\p{N}_]))/gu,
    ],
  ];

  /**
   * The first words of a text that tell whose device it was, where they begin (from 0), and what they look like.
   * @param {string} text @returns {{text: string, at: number, looksLike: string} | null}
   */
  function find(text) {
    const found = KINDS.flatMap(([looksLike, pattern]) =>
      [...text.matchAll(pattern)]
        .filter((match) => pattern !== DIGITS || !DATE.test(match[0]))
        .map((match) => ({ text: match[0], at: match.index, looksLike })),
    );
    return found.reduce(
      (first, one) => (first && first.at <= one.at ? first : one),
      /** @type {{text: string, at: number, looksLike: string} | null} */ (null),
    );
  }

  /** Why a text is refused, with the place; empty where it is not. @param {string} text */
  function refusal(text) {
    const found = find(text);
    return found
      ? `\u201c${found.text}\u201d, at letter ${[...text.slice(0, found.at)].length + 1}, looks like ${found.looksLike}`
      : "";
  }

  benchlore.personal = { find, refusal };
})();
