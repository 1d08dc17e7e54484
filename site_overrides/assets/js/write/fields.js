/*
 * Fields from the schema: every kind of value has its field, so that a field that is added to the schema later is there
 * by itself. Names that lead to something of the board are chosen from a list, by typing.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button } = benchlore.dom;

  const SHOWN = 8;

  /**
   * The id of an element at a place.
   * @type {(where: FormPlace, what?: string) => string}
   */
  function idOf(where, what = "f") {
    return what + "-" + where.map((step) => String(step).replace(/[^\w-]/g, "_")).join("-");
  }

  /**
   * Around a field: its question, what it wants, and where its findings show.
   * @param {FormPlace} where
   * @param {FormSchema} schema
   * @param {BenchChild} control
   * @param {{group?: boolean, label?: string, hint?: string, optional?: boolean}} [more]
   */
  function place(where, schema, control, more = {}) {
    const id = idOf(where);
    const label = more.label ?? benchlore.labels.label(where);
    const hint = more.hint ?? benchlore.labels.hint(where, schema);
    const optional = more.optional ? h("span", { class: "optional" }, " if it applies") : null;
    const head = more.group
      ? h("p", { class: "field", id: id + "-label" }, label, optional)
      : h("label", { class: "field", for: id, id: id + "-label" }, label, optional);
    return h(
      "div",
      {
        class: "place",
        "data-place": where.join("/"),
        role: more.group ? "group" : null,
        "aria-labelledby": more.group ? id + "-label" : null,
        tabindex: more.group ? "-1" : null,
        id: more.group ? id : null,
      },
      head,
      hint ? h("p", { class: "hint", id: id + "-hint" }, hint) : null,
      control,
      h("div", { class: "said", id: idOf(where, "said") }),
    );
  }

  /** @param {FormPlace} where @param {boolean} [hint] */
  function describedBy(where, hint = true) {
    return (hint ? idOf(where) + "-hint " : "") + idOf(where, "said");
  }

  /**
   * The field of a value by its schema.
   * @type {(desk: WriteDesk, where: WriteStep[], schema: FormSchema, required?: boolean) => HTMLElement}
   */
  function field(desk, where, schema, required = false) {
    const optional = !required;
    const own = benchlore.record.branch(schema);
    const list = schema.type === "array" ? schema : null;
    const options = benchlore.options.of(desk, where);
    if (list?.items?.enum || (list && options && options.length <= SHOWN))
      return place(where, schema, checks(desk, where, list.items?.enum, options), { group: true, optional });
    if (list && options) return place(where, schema, names(desk, where, options), { group: true, optional });
    if (list) return place(where, schema, items(desk, where, list), { group: true, optional });
    if (own.type === "object" && own.properties)
      return place(where, schema, h("div", { class: "inside" }, inside(desk, where, own)), {
        group: true,
        optional,
      });
    if (own.type === "object")
      return place(where, schema, pairs(desk, where, own), { group: true, optional });
    if (options)
      return place(where, schema, one(desk, where, options), { optional, group: options.length > SHOWN });
    return place(where, schema, simple(desk, where, schema), { optional });
  }

  /**
   * The fields of an object.
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {FormSchema} schema
   * @param {readonly string[]} [without]
   */
  function inside(desk, where, schema, without = []) {
    return Object.entries(schema.properties || {})
      .filter(([name]) => !without.includes(name))
      .map(([name, each]) => field(desk, [...where, name], each, (schema.required || []).includes(name)));
  }

  /**
   * A text, a number, a choice, yes or no.
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {FormSchema} schema
   */
  function simple(desk, where, schema) {
    const value = benchlore.record.get(desk.draft.record, where);
    const base = { id: idOf(where), "aria-describedby": describedBy(where) };
    const type = (schema.oneOf || [schema])[0].type ?? schema.type;
    if (schema.enum)
      return choice(
        base,
        schema.enum.map((/** @type {string} */ id) => ({ id, title: benchlore.options.word(where, id) })),
        value,
        (id) => desk.set(where, id || undefined, true),
      );
    if (type === "boolean")
      return h("input", {
        ...base,
        type: "checkbox",
        checked: value === true,
        onchange: (event) => desk.set(where, checked(event) || undefined),
      });
    if (type === "number" || type === "integer") return number(desk, where, base, value);
    if (benchlore.labels.isProse(schema))
      return area(desk, where, base, typeof value === "string" ? value : "");
    return h("input", {
      ...base,
      type: "text",
      value: typeof value === "string" || typeof value === "number" ? value : "",
      placeholder: benchlore.labels.example(schema) || null,
      autocomplete: "off",
      oninput: (event) => desk.set(where, typed(event) || undefined),
    });
  }

  /**
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {BenchProperties} base
   * @param {unknown} value
   */
  function number(desk, where, base, value) {
    return h("input", {
      ...base,
      type: "text",
      class: "short",
      inputmode: "decimal",
      autocomplete: "off",
      value: value === undefined ? "" : String(value),
      oninput: (event) => desk.set(where, numeral(typed(event))),
    });
  }

  /**
   * What is typed as a number; as it stands where it is none, so that it is found and not lost.
   * @param {string} text
   */
  function numeral(text) {
    const clean = text.trim().replace(",", ".");
    if (!clean) return undefined;
    return /^[-+]?[0-9]*\.?[0-9]+$/.test(clean) ? Number(clean) : text;
  }

  /**
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {BenchProperties} base
   * @param {string} value
   */
  function area(desk, where, base, value) {
    const box = h("textarea", {
      ...base,
      rows: "3",
      oninput: (event) => desk.set(where, typed(event) || undefined),
    });
    box.value = value;
    return box;
  }

  /**
   * @param {BenchProperties} base
   * @param {readonly WriteOption[]} options
   * @param {unknown} value
   * @param {(id: string) => void} act
   * @param {string} [none]
   */
  function choice(base, options, value, act, none = "\u2014") {
    const strange = typeof value === "string" && value && !options.some((one) => one.id === value);
    return h(
      "select",
      { ...base, onchange: (event) => act(/** @type {HTMLSelectElement} */ (event.target).value) },
      h("option", { value: "" }, none),
      options.map((one) => h("option", { value: one.id, selected: one.id === value }, optionSaid(one))),
      strange ? h("option", { value: String(value), selected: true }, value + " (not known)") : null,
    );
  }

  /** @param {WriteOption} one */
  function optionSaid(one) {
    return one.title === one.id || !one.titled ? one.title : one.id + ": " + one.title;
  }

  /**
   * One of several names: a short list to choose from, a long one by typing.
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {readonly WriteOption[]} options
   */
  function one(desk, where, options) {
    const value = benchlore.record.get(desk.draft.record, where);
    const id = idOf(where);
    if (options.length <= SHOWN)
      return choice({ id, "aria-describedby": describedBy(where) }, options, value, (name) =>
        desk.set(where, name || undefined, true),
      );
    if (typeof value === "string" && value)
      return h(
        "p",
        { class: "chosen" },
        chip(options, value, () => desk.set(where, undefined, true, id + "-type")),
      );
    return pick(desk, id + "-type", options, benchlore.labels.label(where), (name) =>
      desk.set(where, name, true, id),
    );
  }

  /**
   * Several names, those that are chosen above.
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {readonly WriteOption[]} options
   */
  function names(desk, where, options) {
    const held = benchlore.record.get(desk.draft.record, where) || [];
    const chosen = /** @type {string[]} */ (
      [held].flat().map((each) => (typeof each === "string" ? each : each?.part || ""))
    );
    const id = idOf(where);
    const put = (/** @type {string[]} */ all) =>
      desk.set(where, all.length ? all : undefined, true, id + "-type");
    return [
      chosen.length
        ? h(
            "p",
            { class: "chosen" },
            chosen.map((name, n) => chip(options, name, () => put(chosen.filter((_, i) => i !== n)))),
          )
        : null,
      pick(
        desk,
        id + "-type",
        options.filter((each) => !chosen.includes(each.id)),
        benchlore.labels.label(where),
        (name) => put([...chosen, name]),
      ),
    ];
  }

  /** @type {(options: readonly WriteOption[], id: string, drop: () => void) => HTMLButtonElement} */
  function chip(options, id, drop) {
    const found = options.find((one) => one.id === id);
    const said = found ? optionSaid(found) : id;
    return button(said + " \u00d7", drop, { class: "chip", name: "Take out " + said });
  }

  /**
   * A list that gets shorter while one types; Enter takes the first.
   * @param {WriteDesk} desk
   * @param {string} id
   * @param {readonly WriteOption[]} options
   * @param {string} label
   * @param {(id: string) => void} take
   * @param {{placeholder?: string, find?: (typed: string) => WriteOption[] | null,
   *   load?: () => Promise<void>}} [more] `find`: null while what it asks is not loaded
   */
  function pick(desk, id, options, label, take, more = {}) {
    const list = h("ul", { class: "offers", id: id + "-offers" });
    const input = h("input", {
      type: "text",
      id,
      autocomplete: "off",
      spellcheck: "false",
      "aria-label": label + ": type to choose",
      "aria-controls": id + "-offers",
      placeholder: more.placeholder || "type to choose",
      value: desk.typed[id] || "",
      oninput: (event) => {
        desk.typed[id] = typed(event);
        fill();
        load();
      },
      onfocus: () => fill(),
      onkeydown: (event) => {
        const { key } = /** @type {KeyboardEvent} */ (event);
        if (key === "Escape") {
          desk.typed[id] = "";
          input.value = "";
          fill();
        }
        if (key !== "Enter") return;
        event.preventDefault();
        const first = found()?.[0];
        if (first && input.value.trim()) choose(first.id);
      },
    });
    const found = () => (more.find ? more.find(input.value) : fit(options, input.value));
    const load = () =>
      more
        .load?.()
        .then(fill, (error) => list.replaceChildren(h("li", { class: "hint" }, String(error.message))));
    const choose = (/** @type {string} */ name) => {
      desk.typed[id] = "";
      take(name);
    };
    const fill = () => {
      const offers = input.value.trim() || document.activeElement === input ? found() : [];
      if (!offers) return list.replaceChildren(h("li", { class: "hint" }, "One moment."));
      return list.replaceChildren(
        ...offers.slice(0, SHOWN).map((one, n) =>
          h(
            "li",
            null,
            h(
              "button",
              {
                type: "button",
                class: "offer" + (n === 0 && input.value.trim() ? " offer-best" : ""),
                onclick: () => choose(one.id),
              },
              h("b", null, optionSaid(one)),
              one.aside ? h("span", { class: "aside" }, one.aside) : null,
            ),
          ),
        ),
        ...(offers.length > SHOWN
          ? [h("li", { class: "hint" }, offers.length - SHOWN + " more: go on typing.")]
          : []),
        ...(!offers.length && input.value.trim()
          ? [h("li", { class: "hint" }, "Nothing fits these words. Try others.")]
          : []),
      );
    };
    if (input.value) fill();
    return h("div", { class: "pick" }, input, list);
  }

  /**
   * The options that hold every word that is typed; those whose id begins with it first.
   * @type {(options: readonly WriteOption[], text: string) => WriteOption[]}
   */
  function fit(options, text) {
    const words = text.toLowerCase().split(/\s+/).filter(Boolean);
    const hits = options.filter((one) => {
      const all = (one.id + " " + one.title + " " + (one.aside || "")).toLowerCase();
      return words.every((word) => all.includes(word));
    });
    const begins = (/** @type {WriteOption} */ one) =>
      Number(!one.id.toLowerCase().startsWith(words[0] || ""));
    return words.length ? hits.sort((a, b) => begins(a) - begins(b)) : hits;
  }

  /**
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {readonly string[] | undefined} ids
   * @param {readonly WriteOption[] | null} options
   */
  function checks(desk, where, ids, options) {
    const chosen = benchlore.record.get(desk.draft.record, where) || [];
    const all = options || (ids || []).map((id) => ({ id, title: benchlore.options.word(where, id) }));
    return h(
      "div",
      { class: "checks" },
      all.map(({ id, title }) =>
        h(
          "label",
          { class: "check" },
          h("input", {
            type: "checkbox",
            id: idOf([...where, id]),
            checked: chosen.includes(id),
            onchange: (event) => {
              const now = benchlore.record.get(desk.draft.record, where) || [];
              const next = checked(event) ? [...now, id] : now.filter((/** @type {string} */ o) => o !== id);
              desk.set(
                where,
                next.length ? all.map((o) => o.id).filter((o) => next.includes(o)) : undefined,
                true,
              );
            },
          }),
          title,
        ),
      ),
    );
  }

  /**
   * A list of anything else.
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {FormSchema} schema
   */
  function items(desk, where, schema) {
    const held = benchlore.record.get(desk.draft.record, where) || [];
    const own = benchlore.record.branch(schema.items || {});
    const what = benchlore.labels.label(where);
    return [
      held.map((/** @type {unknown} */ _, /** @type {number} */ n) =>
        h(
          "div",
          { class: "item", "data-place": [...where, n].join("/") },
          own.properties ? inside(desk, [...where, n], own) : simple(desk, [...where, n], schema.items || {}),
          h("div", { class: "said", id: idOf([...where, n], "said") }),
          button("Take it out", () => desk.set([...where, n], undefined, true, idOf(where, "add")), {
            class: "quiet",
            name: "Take out number " + (n + 1) + ": " + what,
          }),
        ),
      ),
      button(
        held.length ? "Another one" : "Add one",
        () =>
          desk.set(
            where,
            [...held, own.properties ? {} : ""],
            true,
            idOf([...where, held.length, ...Object.keys(own.properties || {}).slice(0, 1)]),
          ),
        {
          id: idOf(where, "add"),
          class: "quiet",
          name: (held.length ? "Another one: " : "Add one: ") + what,
        },
      ),
    ];
  }

  /**
   * Names that the writer chooses, each with a value.
   * @param {WriteDesk} desk
   * @param {WriteStep[]} where
   * @param {FormSchema} schema
   */
  function pairs(desk, where, schema) {
    const held = Object.entries(benchlore.record.get(desk.draft.record, where) || {});
    const id = idOf(where, "add");
    const input = h("input", {
      type: "text",
      id,
      "aria-label": benchlore.labels.label(where) + ": name",
      class: "short",
    });
    const add = () => {
      const name = input.value.trim();
      if (name) desk.set([...where, name], "", true, idOf([...where, name]));
    };
    return [
      held.map(([name]) =>
        h(
          "div",
          { class: "item" },
          place(
            [...where, name],
            schema.additionalProperties || {},
            simple(desk, [...where, name], schema.additionalProperties || {}),
            { label: name },
          ),
          button(
            "Take it out",
            () => {
              const left = { ...benchlore.record.get(desk.draft.record, where) };
              delete left[name];
              desk.set(where, Object.keys(left).length ? left : undefined, true, id);
            },
            { class: "quiet", name: "Take out " + name },
          ),
        ),
      ),
      h(
        "p",
        { class: "actions" },
        input,
        button("Add", add, { class: "quiet", name: "Add: " + benchlore.labels.label(where) }),
      ),
    ];
  }

  /** @param {Event} event */
  function typed(event) {
    return /** @type {HTMLInputElement} */ (event.target).value;
  }

  /** @param {Event} event */
  function checked(event) {
    return /** @type {HTMLInputElement} */ (event.target).checked;
  }

  benchlore.fields = { idOf, place, describedBy, field, inside, simple, pick, choice, chip, typed };
})();
