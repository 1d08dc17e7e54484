/*
 * Checks what comes from outside (a file, an address, the store) by the JSON Schema of its form, and what is typed into
 * the form for a fault pattern; says what is wrong and where. Knows the keywords that the schemas of jobs, of progress
 * and of fault patterns use; another one is an error, so that no demand is passed over.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));

  const TYPES = {
    array: "a list",
    boolean: "true or false",
    integer: "a whole number",
    null: "nothing",
    number: "a number",
    object: "an object",
    string: "a text",
  };
  // Asked of an object together; then words for people and for parts, which demand nothing.
  const OF_OBJECTS = ["properties", "required", "additionalProperties", "propertyNames"];
  const SILENT = [
    "format",
    "$defs",
    "$schema",
    "$id",
    "$comment",
    "title",
    "description",
    "if",
    "then",
    "else",
  ];

  /**
   * One function a keyword: what is wrong with a value, in its place and inside it.
   * @type {Record<string, (demand: any, value: any, where: FormPlace, root: FormSchema) => FormFound[]>}
   */
  const KEYWORDS = {
    $ref: (name, value, where, root) => trouble(root.$defs[name.replace("#/$defs/", "")], value, where, root),
    type: (name, value, where) =>
      [name].flat().some((one) => is(one, value))
        ? []
        : one(where, "type", name, " is not " + [name].flat().map(typeSaid).join(" or ")),
    const: (wanted, value, where) =>
      value === wanted ? [] : one(where, "const", wanted, " is " + shown(value) + ", not " + shown(wanted)),
    enum: (names, value, where) =>
      names.includes(value)
        ? []
        : one(where, "enum", names, " is " + shown(value) + ", not " + names.map(shown).join(" or ")),
    not: (schema, value, where, root) =>
      trouble(schema, value, where, root).length
        ? []
        : one(where, "not", schema, " must not be " + shown(value)),
    pattern: (pattern, value, where) =>
      typeof value !== "string" || new RegExp(pattern, "u").test(value)
        ? []
        : one(where, "pattern", pattern, " is " + shown(value) + ", which has another form"),
    minLength: (least, value, where) =>
      typeof value !== "string" || [...value].filter(isSeen).length >= least
        ? []
        : one(where, "minLength", least, " is empty"),
    maxLength: (most, value, where) =>
      typeof value === "string" && [...value].length > most
        ? one(where, "maxLength", most, " is longer than " + most + " characters")
        : [],
    minimum: (least, value, where) =>
      is("number", value) && value < least
        ? one(where, "minimum", least, " is " + value + ", less than " + least)
        : [],
    maximum: (most, value, where) =>
      is("number", value) && value > most
        ? one(where, "maximum", most, " is " + value + ", more than " + most)
        : [],
    exclusiveMinimum: (least, value, where) =>
      is("number", value) && value <= least
        ? one(where, "exclusiveMinimum", least, " is " + value + ", not more than " + least)
        : [],
    exclusiveMaximum: (most, value, where) =>
      is("number", value) && value >= most
        ? one(where, "exclusiveMaximum", most, " is " + value + ", not less than " + most)
        : [],
    minItems: (least, value, where) =>
      Array.isArray(value) && value.length < least
        ? one(where, "minItems", least, " has fewer than " + least + " entries")
        : [],
    uniqueItems: (_, value, where) =>
      Array.isArray(value) && new Set(value.map((each) => JSON.stringify(each))).size < value.length
        ? one(where, "uniqueItems", true, " has an entry twice")
        : [],
    minProperties: (least, value, where) =>
      is("object", value) && Object.keys(value).length < least
        ? one(where, "minProperties", least, " has fewer than " + least + " entries")
        : [],
    maxProperties: (most, value, where) =>
      is("object", value) && Object.keys(value).length > most
        ? one(where, "maxProperties", most, " has more than " + most + " entries")
        : [],
    items: (schema, value, where, root) =>
      Array.isArray(value) ? value.flatMap((each, n) => trouble(schema, each, where.concat(n), root)) : [],
    oneOf: (branches, value, where, root) => oneOf(branches, value, where, root),
    anyOf: (branches, value, where, root) =>
      branches.some((/** @type {FormSchema} */ branch) => !trouble(branch, value, where, root).length)
        ? []
        : trouble(branches[branches.length - 1], value, where, root),
  };

  /**
   * Everything that is wrong with a value.
   * @type {(schema: FormSchema, value: unknown, where: FormPlace, root: FormSchema) => FormFound[]}
   */
  function trouble(schema, value, where, root) {
    const words = Object.keys(schema).filter((word) => !OF_OBJECTS.includes(word) && !SILENT.includes(word));
    const found = words.flatMap((word) => {
      if (!Object.hasOwn(KEYWORDS, word))
        throw new Error("This page does not know the demand '" + word + "'.");
      return KEYWORDS[word](schema[word], value, where, root);
    });
    if (schema.if) {
      const branch = trouble(schema.if, value, where, root).length ? schema.else : schema.then;
      if (branch) found.push(...trouble(branch, value, where, root));
    }
    if (!is("object", value)) return found;
    return [...found, ...fields(schema, /** @type {any} */ (value), where, root)];
  }

  /**
   * @param {FormSchema} schema
   * @param {Record<string, unknown>} value
   * @param {FormPlace} where
   * @param {FormSchema} root
   * @returns {FormFound[]}
   */
  function fields(schema, value, where, root) {
    const known = schema.properties || {};
    const missing = (schema.required || []).filter((/** @type {string} */ key) => !Object.hasOwn(value, key));
    const found = missing.flatMap((/** @type {string} */ key) =>
      one(where.concat(key), "required", key, " is missing"),
    );
    for (const [key, each] of Object.entries(value)) {
      const inside = where.concat(key.slice(0, 60));
      const name = schema.propertyNames
        ? trouble(schema.propertyNames, key, where.concat("a name"), root)
        : [];
      if (name.length) found.push(...name);
      else if (Object.hasOwn(known, key)) found.push(...trouble(known[key], each, inside, root));
      else if (schema.additionalProperties === false)
        found.push(...one(inside, "additionalProperties", false, " is unknown to this page"));
      else if (schema.additionalProperties)
        found.push(...trouble(schema.additionalProperties, each, inside, root));
    }
    return found;
  }

  /**
   * Branches that differ by a property that is constant in each: it says which one the value must have. Others differ
   * by their type.
   * @type {(branches: FormSchema[], value: any, where: FormPlace, root: FormSchema) => FormFound[]}
   */
  function oneOf(branches, value, where, root) {
    const told = Object.entries(branches[0].properties || {}).find(([, each]) => "const" in each);
    if (!told) {
      const fits = branches.filter((branch) => !KEYWORDS.type(branch.type, value, where, root).length);
      if (!fits.length) return one(where, "oneOf", branches, " is of another kind than it must be");
      return trouble(fits[0], value, where, root);
    }
    if (!is("object", value)) return one(where, "type", "object", " is not an object");
    const [key] = told;
    if (!Object.hasOwn(value, key)) return one(where.concat(key), "required", key, " is missing");
    const found = branches.find((branch) => branch.properties[key].const === value[key]);
    if (!found) return one(where, "oneOf", branches, " is of the unknown kind " + shown(value[key]));
    return trouble(found, value, where, root);
  }

  /** @type {(where: FormPlace, keyword: string, demand: unknown, says: string) => FormFound[]} */
  function one(where, keyword, demand, says) {
    return [{ where, keyword, demand, says: at(where) + says }];
  }

  /** @param {string} char */
  function isSeen(char) {
    return !/[\p{C}\p{Z}\p{M}\u115f\u1160\u2800\u3164\uffa0]/u.test(char);
  }

  /** @param {string} name */
  function typeSaid(name) {
    return TYPES[/** @type {keyof TYPES} */ (name)];
  }

  /** @type {(type: string, value: unknown) => boolean} */
  function is(type, value) {
    if (type === "array") return Array.isArray(value);
    if (type === "null") return value === null;
    if (type === "integer") return Number.isInteger(value);
    if (type === "object") return typeof value === "object" && value !== null && !Array.isArray(value);
    return typeof value === type;
  }

  /** @param {FormPlace} where */
  function at(where) {
    const said = where.map((step) => (typeof step === "number" ? "number " + (step + 1) : step));
    return said.length ? "'" + said.join(", ") + "'" : "it";
  }

  /** @param {unknown} value */
  function shown(value) {
    return typeof value === "string"
      ? "'" + value.slice(0, 60) + "'"
      : String(JSON.stringify(value)).slice(0, 60);
  }

  /**
   * Throws Error that says what is wrong and where, unless the value has the form.
   * @param {FormSchema} schema
   * @param {unknown} value
   * @param {string} what "job"
   * @param {string} [where] the name of the value
   * @param {FormSchema} [root] the schema that holds the definitions, where `schema` is a part of it
   */
  function check(schema, value, what, where, root) {
    const [found] = trouble(schema, value, where ? [where] : [], root || schema);
    if (found) throw new Error("Damaged " + what + ": " + found.says + ".");
  }

  /**
   * Everything in which a value departs from a schema, in order.
   * @type {(schema: FormSchema, value: unknown) => FormFound[]}
   */
  function findings(schema, value) {
    return trouble(schema, value, [], schema);
  }

  /**
   * The data in a file's text, in the form of its schema. Throws Error with the reason in words.
   * @param {FormSchema} schema
   * @param {string} text
   * @param {{what: string, name: string, limit: number}} told how a message names the file; its largest length
   * @returns {any}
   */
  function read(schema, text, told) {
    if (text.length > told.limit)
      throw new Error(
        "The file is too large for a " +
          told.name +
          " (over " +
          told.limit / 1000000 +
          " million characters).",
      );
    if (!text.trim()) throw new Error("The file is empty.");
    let data;
    try {
      data = JSON.parse(text);
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      throw new Error("The file is not JSON, or it is cut short: " + reason);
    }
    if (!is("object", data)) throw new Error("Damaged " + told.what + ": the file is not an object.");
    const { format, version } = schema.properties;
    if (data.format !== format.const)
      throw new Error(
        "This is not a " + told.name + " saved by this site ('format' is not " + shown(format.const) + ").",
      );
    if (typeof data.version === "number" && data.version !== version.const)
      throw new Error(
        "The file was saved in form " +
          data.version +
          "; this page reads form " +
          version.const +
          ". Open it with the site that saved it.",
      );
    check(schema, data, told.what);
    return data;
  }

  /** @type {(name: string, text: string, type?: string) => void} */
  function download(name, text, type = "application/json") {
    const url = URL.createObjectURL(new Blob([text], { type }));
    const link = Object.assign(document.createElement("a"), { href: url, download: name, hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
    window.setTimeout(() => URL.revokeObjectURL(url), 10000);
  }

  benchlore.form = { check, read, findings, download };
})();
