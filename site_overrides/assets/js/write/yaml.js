/*
 * Records as text. `write` gives the form of tools/benchlore/starter/writing.py, line for line; `read` takes what the
 * book's records are written in (blocks, lists, braces, quotes, remarks) and refuses the rest with line and mend.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  const WIDTH = 110;
  const LONGEST_NUMBER = 40;
  // Written in braces wherever they fit, as in writing.py.
  const BRACES = [
    "source",
    "path",
    "converter",
    "pull",
    "load",
    "junction",
    "signal",
    "draw",
    "replace",
    "at",
    "size",
    "inject",
    "usual_state",
    "compare",
    "symptom",
    "expected_reading",
    "confirm",
    "worked_example",
  ];

  /* Which texts stand without quotes: the scalars of tools/benchlore/book/yaml_reader.py. */

  const INTEGER = /^[-+]?(?:0|[1-9][0-9]*)$/;
  const FLOAT = /^[-+]?(?:\.[0-9]+|(?:0|[1-9][0-9]*)(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$/;
  const WORDS = new Map(
    /** @type {[string, unknown][]} */ ([
      ["true", true],
      ["false", false],
      ["null", null],
      ["~", null],
      ["", null],
    ]),
  );
  const AMBIGUOUS = [
    /^(?:[yY][eE][sS]|[nN][oO]|[oO][nN]|[oO][fF][fF]|[yY]|[nN]|True|TRUE|False|FALSE|Null|NULL)$/,
    /^[tT][rR][uU][eE]$|^[fF][aA][lL][sS][eE]$/,
    /^[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9]*)?$/,
    /^(?:[-+]?0[0-9_]+|[-+]?0[xob][0-9a-fA-F_]+)$/,
    /^[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?:[Tt ].*)?$/,
    /^[-+]?[0-9]+(?:_[0-9_]*)(?:\.[0-9_]*)?$/,
    /^(?:[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))$/,
  ];
  const NO_START = /^[,[\]{}#&*!|>'"%@`]|^[-?:](?:\s|$)/;
  const NO_START_IN_BRACES = /^[?:]/;

  /**
   * True where a text is read as itself when it stands without quotes.
   * @type {(text: string, inBraces: boolean) => boolean}
   */
  function isPlain(text, inBraces) {
    if (text !== text.trim() || /[\t\n\r\u0085\u2028\u2029]/.test(text)) return false;
    if (NO_START.test(text) || /:(?: |$)| #/.test(text)) return false;
    if (inBraces && (NO_START_IN_BRACES.test(text) || /[,?[\]{}]|:[,[\]{}]|[.?]$/.test(text))) return false;
    return typeof resolve(text) === "string" && !isAmbiguous(text);
  }

  /** @param {string} text */
  function isAmbiguous(text) {
    return text !== "true" && text !== "false" && AMBIGUOUS.some((pattern) => pattern.test(text));
  }

  /** @param {string} text */
  function resolve(text) {
    if (WORDS.has(text)) return WORDS.get(text);
    const number = text.length <= LONGEST_NUMBER && (INTEGER.test(text) || FLOAT.test(text));
    return number ? Number(text) : text;
  }

  /* Writing. */

  /**
   * The text of a record: `benchlore check` reads it back as the same data.
   * @type {(kind: string, data: WriteRecord) => string}
   */
  function write(kind, data) {
    const lines = ["# yaml-language-server: $schema=../../schema/" + kind + ".schema.json"];
    for (const [key, value] of Object.entries(data)) lines.push(...field(key, value, 0));
    return lines.join("\n") + "\n";
  }

  /** @type {(key: string, value: any, indent: number) => string[]} */
  function field(key, value, indent) {
    const pad = " ".repeat(indent);
    const name = scalar(key);
    if (isMapping(value) && Object.keys(value).length) {
      const line = pad + name + ": " + flow(value);
      if (BRACES.includes(key) && width(line) <= WIDTH) return [line];
      return [
        pad + name + ":",
        ...Object.entries(value).flatMap(([inner, one]) =>
          key === "cause" && isMapping(one)
            ? [pad + "  " + scalar(inner) + ": " + flow(one)]
            : field(inner, one, indent + 2),
        ),
      ];
    }
    if (Array.isArray(value) && value.length) {
      const line = pad + name + ": " + flow(value);
      if (width(line) <= WIDTH && !value.some(isMapping)) return [line];
      if (value.every((one) => typeof one === "string" && !one.includes(" ")))
        return wrapped(pad + name + ": ", pad + "  ", flow(value));
      return [pad + name + ":", ...value.flatMap((one) => item(one, indent + 2))];
    }
    const line = pad + name + ": " + scalar(value);
    if (width(line) <= WIDTH || typeof value !== "string") return [line];
    return folded(pad + name + ": ", pad + "  ", value);
  }

  /** @type {(one: any, indent: number) => string[]} */
  function item(one, indent) {
    const pad = " ".repeat(indent);
    if (typeof one === "string") return textItem(pad, one);
    const keys = isMapping(one) ? Object.keys(one) : [];
    const read = keys.find((key) => key !== "note");
    if (read !== undefined && keys.length === 2 && keys[0] === read && keys[1] === "note")
      return [pad + "- " + scalar(read) + ": " + flow(one[read]), ...field("note", one.note, indent + 2)];
    if (keys.length === 1) return [pad + "- " + scalar(keys[0]) + ": " + flow(one[keys[0]])];
    const line = pad + "- " + flow(one);
    if (!keys.length || width(line) <= WIDTH) return [line];
    const lines = keys.flatMap((key) => field(key, one[key], indent + 2));
    return [pad + "- " + lines[0].trim(), ...lines.slice(1)];
  }

  /** @type {(pad: string, text: string) => string[]} */
  function textItem(pad, text) {
    const line = pad + "- " + scalar(text);
    return width(line) <= WIDTH ? [line] : folded(pad + "- ", pad + "  ", text);
  }

  /**
   * A long text from behind its name or dash, going on below; on one line where folding would change it.
   * @type {(head: string, pad: string, text: string) => string[]}
   */
  function folded(head, pad, text) {
    const value = scalar(text);
    return text !== text.trim() || /\s\s|[^\S ]/.test(text) ? [head + value] : wrapped(head, pad, value);
  }

  /** @type {(head: string, pad: string, value: string) => string[]} */
  function wrapped(head, pad, value) {
    const [first, ...words] = value.split(" ");
    const lines = [head + first];
    for (const word of words) {
      const last = lines.length - 1;
      if (width(lines[last]) + 1 + width(word) <= WIDTH) lines[last] += " " + word;
      else lines.push(pad + word);
    }
    return lines;
  }

  /** @type {(value: any) => string} */
  function flow(value) {
    if (Array.isArray(value)) return "[" + value.map(flow).join(", ") + "]";
    if (isMapping(value)) {
      const inside = Object.entries(value).map(([key, one]) => scalar(key) + ": " + flow(one));
      return "{" + inside.join(", ") + "}";
    }
    if (typeof value !== "string") return scalar(value);
    return isPlain(value, true) ? value : quoted(value);
  }

  /** @param {any} value */
  function scalar(value) {
    if (typeof value === "string") return isPlain(value, false) ? value : quoted(value);
    if (typeof value !== "number" || Number.isInteger(value)) return String(value);
    return String(Number(value.toPrecision(6)));
  }

  /** @param {string} text */
  function quoted(text) {
    return '"' + text.replaceAll("\\", "\\\\").replaceAll('"', '\\"') + '"';
  }

  /** @param {string} text */
  function width(text) {
    return [...text].length;
  }

  /** @param {unknown} value */
  function isMapping(value) {
    return typeof value === "object" && value !== null && !Array.isArray(value);
  }

  /* Reading. */

  /** A text that is no record: where, why and what mends it. */
  class YamlError extends Error {
    /**
     * @param {number} line from 1
     * @param {string} reason
     * @param {string} mend
     */
    constructor(line, reason, mend) {
      super("Line " + line + ": " + reason + "; " + mend + ".");
    }
  }

  /** @typedef {{number: number, indent: number, text: string}} Line */

  /**
   * The data of a record's text. Throws YamlError.
   * @type {(text: string) => WriteRecord}
   */
  function read(text) {
    const lines = text
      .replace(/^\ufeff/, "")
      .split(/\r?\n/)
      .map((line, n) => lineOf(line, n + 1))
      .filter((line) => line.text && !line.text.startsWith("#") && line.text !== "---");
    const reader = { lines, at: 0 };
    if (!lines.length) throw new YamlError(1, "the file holds no record", "choose another file");
    const data = block(reader, lines[0].indent);
    const left = reader.lines[reader.at];
    if (left) throw strange(left);
    if (!isMapping(data))
      throw new YamlError(lines[0].number, "the file is a list, no record", "choose the file of a fault");
    return /** @type {WriteRecord} */ (data);
  }

  /** @type {(raw: string, number: number) => Line} */
  function lineOf(raw, number) {
    const text = raw.trim();
    const front = raw.slice(0, raw.length - raw.trimStart().length);
    if (text && front.includes("\t"))
      throw new YamlError(number, "a tab stands in front", "put blanks in its place");
    return { number, indent: front.length, text };
  }

  /** @param {Line} line */
  function strange(line) {
    return new YamlError(
      line.number,
      "'" + line.text.slice(0, 40) + "' does not go on with what stands above",
      "look at this line and the one above: is a colon, a dash or a quote missing, or are there too many blanks in front?",
    );
  }

  /** @type {(reader: {lines: Line[], at: number}, indent: number) => unknown} */
  function block(reader, indent) {
    return isItem(reader.lines[reader.at]) ? list(reader, indent) : mapping(reader, indent);
  }

  /** @param {Line | undefined} line */
  function isItem(line) {
    return line !== undefined && (line.text === "-" || line.text.startsWith("- "));
  }

  /** @type {(reader: {lines: Line[], at: number}, indent: number) => unknown[]} */
  function list(reader, indent) {
    const found = [];
    for (;;) {
      const line = reader.lines[reader.at];
      if (!line || line.indent !== indent || !isItem(line)) return found;
      const inside = line.text.slice(1).trimStart();
      const deeper = indent + line.text.length - inside.length;
      if (!inside || inside.startsWith("#")) {
        reader.at += 1;
        found.push(below(reader, indent, line));
      } else if (isItem({ ...line, text: inside }) || keyOf(inside)) {
        reader.lines[reader.at] = { number: line.number, indent: deeper, text: inside };
        found.push(block(reader, deeper));
      } else {
        reader.at += 1;
        found.push(value(reader, inside, indent, line));
      }
    }
  }

  /** @type {(reader: {lines: Line[], at: number}, indent: number) => WriteRecord} */
  function mapping(reader, indent) {
    /** @type {WriteRecord} */
    const found = {};
    for (;;) {
      const line = reader.lines[reader.at];
      if (!line || line.indent !== indent || isItem(line)) return found;
      const key = keyOf(line.text);
      if (!key) throw strange(line);
      if (Object.hasOwn(found, key.name))
        throw new YamlError(line.number, "'" + key.name + "' stands twice", "keep one of them");
      reader.at += 1;
      const rest = key.rest.startsWith("#") ? "" : key.rest;
      put(found, key.name, rest ? value(reader, rest, indent, line) : below(reader, indent, line));
    }
  }

  /**
   * What stands below a name or a dash; nothing where nothing stands deeper.
   * @type {(reader: {lines: Line[], at: number}, indent: number, over: Line) => unknown}
   */
  function below(reader, indent, over) {
    const line = reader.lines[reader.at];
    if (!line || line.indent < indent || (line.indent === indent && !(isItem(line) && !isItem(over))))
      return null;
    if (isItem(line) || keyOf(line.text)) return block(reader, line.indent);
    reader.at += 1;
    return value(reader, line.text, indent, line);
  }

  /**
   * The name at the start of a line, and what stands behind its colon.
   * @type {(text: string) => {name: string, rest: string} | null}
   */
  function keyOf(text) {
    const in2 = /^"((?:[^"\\]|\\.)*)"\s*:(?:\s+(.*))?$/.exec(text);
    if (in2) return { name: unescaped(in2[1]), rest: in2[2] || "" };
    const in1 = /^'((?:[^']|'')*)'\s*:(?:\s+(.*))?$/.exec(text);
    if (in1) return { name: in1[1].replaceAll("''", "'"), rest: in1[2] || "" };
    const end = text.search(/:(?:\s|$)/);
    const name = end < 0 ? "" : text.slice(0, end).trim();
    if (!name || NO_START.test(name) || /\s#/.test(name)) return null;
    return { name, rest: text.slice(end + 1).trim() };
  }

  /**
   * A value that begins on a line: in quotes, in braces, or plain and perhaps going on below.
   * @type {(reader: {lines: Line[], at: number}, start: string, indent: number, line: Line) => unknown}
   */
  function value(reader, start, indent, line) {
    let text = start;
    const more = () => {
      const next = reader.lines[reader.at];
      if (!next || next.indent <= indent) return false;
      text += " " + next.text;
      reader.at += 1;
      return true;
    };
    if (/^[&*!]/.test(text))
      throw new YamlError(
        line.number,
        "'" + text.slice(0, 20) + "' is a sign of its own",
        "put it in quotes",
      );
    if (/^[|>]/.test(text))
      throw new YamlError(
        line.number,
        "a block of text by '" + text[0] + "' is not read here",
        "write the text behind the colon or below it, without the sign",
      );
    if (/^["'[{]/.test(text)) {
      for (;;) {
        const piece = new Piece(text, line.number);
        const found = piece.attempt();
        if (found.whole) return found.data;
        if (!more()) throw new YamlError(line.number, "a quote or a bracket is not closed", "close it");
      }
    }
    if (/:(?: |$)/.test(text)) throw strange(line);
    while (more()) {
      const last = reader.lines[reader.at - 1];
      if (/:(?: |$)/.test(last.text)) throw strange(last);
    }
    const end = text.search(/\s#/);
    return resolve((end < 0 ? text : text.slice(0, end)).trim());
  }

  /** What stands in quotes or in brackets. */
  class Piece {
    /**
     * @param {string} text
     * @param {number} line
     */
    constructor(text, line) {
      this.text = text;
      this.line = line;
      this.at = 0;
    }

    /** @returns {{whole: boolean, data?: unknown}} not whole: it goes on below */
    attempt() {
      const data = this.one();
      if (data === undefined) return { whole: false };
      this.blanks();
      if (this.at < this.text.length && this.text[this.at] !== "#")
        throw new YamlError(this.line, "something stands behind a quote or a bracket", "take it out");
      return { whole: true, data };
    }

    blanks() {
      while (this.text[this.at] === " ") this.at += 1;
    }

    /** @returns {unknown} undefined where the text ends before */
    one() {
      this.blanks();
      const sign = this.text[this.at];
      if (sign === '"' || sign === "'") return this.quoted(sign);
      if (sign === "[" || sign === "{") return this.several(sign);
      const found = /^(?:[^,[\]{}:\s]|:(?![\s,[\]{}]|$)|\s+(?![\s#]))+/.exec(this.text.slice(this.at));
      if (!found) return sign === undefined ? undefined : null;
      this.at += found[0].length;
      return resolve(found[0].trim());
    }

    /** @param {string} sign */
    quoted(sign) {
      const pattern = sign === '"' ? /^"((?:[^"\\]|\\.)*)"/ : /^'((?:[^']|'')*)'/;
      const found = pattern.exec(this.text.slice(this.at));
      if (!found) return undefined;
      this.at += found[0].length;
      return sign === '"' ? unescaped(found[1]) : found[1].replaceAll("''", "'");
    }

    /** @param {string} open */
    several(open) {
      const close = open === "[" ? "]" : "}";
      /** @type {unknown[]} */
      const items = [];
      /** @type {WriteRecord} */
      const fields = {};
      this.at += 1;
      for (;;) {
        this.blanks();
        if (this.at >= this.text.length) return undefined;
        if (this.text[this.at] === close) {
          this.at += 1;
          return open === "[" ? items : fields;
        }
        const first = this.one();
        if (first === undefined) return undefined;
        this.blanks();
        if (this.text[this.at] === ":") {
          this.at += 1;
          const data = this.one();
          if (data === undefined) return undefined;
          if (open === "[") items.push(put({}, String(first), data));
          else put(fields, String(first), data);
          this.blanks();
        } else if (open === "[") items.push(first);
        else throw new YamlError(this.line, "a name in braces has no colon", "write {name: value}");
        if (this.text[this.at] === ",") this.at += 1;
        else if (this.at < this.text.length && this.text[this.at] !== close)
          throw new YamlError(this.line, "a comma or a closing bracket is missing", "look at this line");
      }
    }
  }

  /** @param {string} text */
  function unescaped(text) {
    return text.replace(/\\(.)/g, (_, char) => (char === "n" ? "\n" : char === "t" ? "\t" : char));
  }

  /**
   * A field of its own, whatever its name.
   * @type {(into: WriteRecord, name: string, data: unknown) => WriteRecord}
   */
  function put(into, name, data) {
    Object.defineProperty(into, name, { value: data, enumerable: true, configurable: true, writable: true });
    return into;
  }

  benchlore.yaml = { write, read };
})();
