/*
 * Checks what comes from outside (a file, an address, the store) by the JSON Schema of its form, and says what is wrong
 * and where. Knows the keywords that schema/job.schema.json and schema/progress.schema.json use; another one is an
 * error, so that no demand is passed over.
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
  const SILENT = ["format", "$defs", "$schema", "$id", "title", "description"];

  /**
   * One function a keyword: what is wrong with a value, or nothing.
   * @type {Record<string, (demand: any, value: any, where: string[], root: FormSchema) => string>}
   */
  const KEYWORDS = {
    $ref: (name, value, where, root) => trouble(root.$defs[name.replace("#/$defs/", "")], value, where, root),
    type: (name, value, where) =>
      is(name, value) ? "" : at(where) + " is not " + TYPES[/** @type {keyof TYPES} */ (name)],
    const: (wanted, value, where) =>
      value === wanted ? "" : at(where) + " is " + shown(value) + ", not " + shown(wanted),
    enum: (names, value, where) =>
      names.includes(value)
        ? ""
        : at(where) + " is " + shown(value) + ", not " + names.map(shown).join(" or "),
    not: (schema, value, where, root) =>
      trouble(schema, value, where, root) ? "" : at(where) + " must not be " + shown(value),
    maxLength: (most, value, where) =>
      typeof value === "string" && [...value].length > most
        ? at(where) + " is longer than " + most + " characters"
        : "",
    minimum: (least, value, where) =>
      value < least ? at(where) + " is " + value + ", less than " + least : "",
    maximum: (most, value, where) => (value > most ? at(where) + " is " + value + ", more than " + most : ""),
    minItems: (least, value, where) =>
      Array.isArray(value) && value.length < least ? at(where) + " has fewer than " + least + " entries" : "",
    items: (schema, value, where, root) =>
      Array.isArray(value)
        ? first(value, (one, n) => trouble(schema, one, where.concat("number " + (n + 1)), root))
        : "",
    oneOf: (branches, value, where, root) => oneOf(branches, value, where, root),
    anyOf: (branches, value, where, root) =>
      branches.some((/** @type {FormSchema} */ branch) => !trouble(branch, value, where, root))
        ? ""
        : trouble(branches[branches.length - 1], value, where, root),
  };

  /**
   * What is wrong with a value, in words; nothing when it has the form.
   * @param {FormSchema} schema
   * @param {unknown} value
   * @param {string[]} where
   * @param {FormSchema} root
   * @returns {string}
   */
  function trouble(schema, value, where, root) {
    const words = Object.keys(schema).filter((word) => !OF_OBJECTS.includes(word) && !SILENT.includes(word));
    const found = first(words, (word) => {
      if (!Object.hasOwn(KEYWORDS, word))
        throw new Error("This page does not know the demand '" + word + "'.");
      return KEYWORDS[word](schema[word], value, where, root);
    });
    return found || !is("object", value) ? found : fields(schema, /** @type {any} */ (value), where, root);
  }

  /**
   * @param {FormSchema} schema
   * @param {Record<string, unknown>} value
   * @param {string[]} where
   * @param {FormSchema} root
   */
  function fields(schema, value, where, root) {
    const known = schema.properties || {};
    const missing = (schema.required || []).find((/** @type {string} */ key) => !Object.hasOwn(value, key));
    if (missing !== undefined) return at(where.concat(missing)) + " is missing";
    return first(Object.entries(value), ([key, one]) => {
      const inside = where.concat(key.slice(0, 60));
      if (schema.propertyNames) {
        const name = trouble(schema.propertyNames, key, where.concat("a name"), root);
        if (name) return name;
      }
      if (Object.hasOwn(known, key)) return trouble(known[key], one, inside, root);
      if (schema.additionalProperties === false) return at(inside) + " is unknown to this page";
      return schema.additionalProperties ? trouble(schema.additionalProperties, one, inside, root) : "";
    });
  }

  /**
   * The branches differ by a property that is constant in each: it says which one the value must have.
   * @param {FormSchema[]} branches
   * @param {any} value
   * @param {string[]} where
   * @param {FormSchema} root
   */
  function oneOf(branches, value, where, root) {
    if (!is("object", value)) return at(where) + " is not an object";
    const key =
      Object.keys(branches[0].properties).find((name) => "const" in branches[0].properties[name]) || "";
    if (!Object.hasOwn(value, key)) return at(where.concat(key)) + " is missing";
    const found = branches.find((branch) => branch.properties[key].const === value[key]);
    if (!found) return at(where) + " is of the unknown kind " + shown(value[key]);
    return trouble(found, value, where, root);
  }

  /**
   * @template T
   * @param {T[]} items
   * @param {(item: T, place: number) => string} ask
   */
  function first(items, ask) {
    for (let place = 0; place < items.length; place += 1) {
      const found = ask(items[place], place);
      if (found) return found;
    }
    return "";
  }

  /**
   * @param {string} type
   * @param {unknown} value
   */
  function is(type, value) {
    if (type === "array") return Array.isArray(value);
    if (type === "null") return value === null;
    if (type === "integer") return Number.isInteger(value);
    if (type === "object") return typeof value === "object" && value !== null && !Array.isArray(value);
    return typeof value === type;
  }

  /** @param {string[]} where */
  function at(where) {
    return where.length ? "'" + where.join(", ") + "'" : "it";
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
    const found = trouble(schema, value, where ? [where] : [], root || schema);
    if (found) throw new Error("Damaged " + what + ": " + found + ".");
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

  benchlore.form = { check, read };
})();
