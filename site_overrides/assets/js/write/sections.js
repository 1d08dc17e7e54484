/*
 * The form, in the order in which somebody at a bench thinks. What a section asks has its own view where a list or a
 * click is quicker than a field; every other field of the schema stands where it belongs by itself, a new one at the end.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button, mark, details } = benchlore.dom;
  const { idOf, place, field, inside, pick, chip, describedBy } = benchlore.fields;
  const { get } = benchlore.record;

  /** @param {WriteOption} option */
  function titleOf(option) {
    return h(
      "p",
      { class: "item-title" },
      h("b", null, option.title),
      h("span", { class: "aside" }, option.aside || ""),
    );
  }

  /** @typedef {{id: string, title: string, lead: string, fields: string[]}} Section */
  /** @type {Section[]} */
  const SECTIONS = [
    {
      id: "says",
      title: "What does the customer say?",
      lead: "Type it as it was said at the counter; the symptoms that fit are listed.",
      fields: ["symptom", "revisions"],
    },
    {
      id: "fault",
      title: "What is at fault?",
      lead: "The part, and how it has failed. From these two the circuit foretells what every point reads.",
      fields: ["cause", "title", "summary", "seen"],
    },
    {
      id: "read",
      title: "What do you read?",
      lead: "",
      fields: ["test_points", "reads_normal"],
    },
    {
      id: "mend",
      title: "How do you mend it, and prove it?",
      lead: "",
      fields: ["fix"],
    },
    {
      id: "hurt",
      title: "What can hurt?",
      lead: "",
      fields: ["hazard", "techniques"],
    },
    {
      id: "case",
      title: "A real case",
      lead: "What the meter showed on one board with this fault, before the fix. The readings must lead to this fault.",
      fields: ["worked_example"],
    },
  ];
  const REST = {
    id: "rest",
    title: "What is seldom needed",
    lead: "",
  };

  /** The fields of a record in the order of the form. */
  function order() {
    const named = SECTIONS.flatMap((one) => one.fields);
    return [...named, ...Object.keys(benchlore.writeForm.properties).filter((name) => !named.includes(name))];
  }

  /**
   * All sections.
   * @type {(desk: WriteDesk) => HTMLElement[]}
   */
  function render(desk) {
    const named = SECTIONS.flatMap((one) => one.fields);
    const rest = order().filter((name) => !named.includes(name));
    return [
      ...SECTIONS.map((one, n) =>
        h(
          "section",
          { class: "panel write-part", "aria-labelledby": "part-" + one.id },
          h("h2", { id: "part-" + one.id, tabindex: "-1" }, n + 1 + ". " + one.title),
          one.lead ? h("p", { class: "lead" }, one.lead) : null,
          one.fields
            .filter((name) => benchlore.writeForm.properties[name])
            .map((name) => topField(desk, name)),
        ),
      ),
      h(
        "section",
        { class: "panel write-part", "aria-labelledby": "part-" + REST.id },
        details(
          "rest-fields",
          h("span", { id: "part-" + REST.id }, REST.title),
          () => rest.map((name) => topField(desk, name)),
          rest.some((name) => desk.draft.record[name] !== undefined),
        ),
      ),
    ];
  }

  /**
   * The fields that a whole record must have: where it takes nothing from others.
   * @type {(schema: FormSchema) => string[]}
   */
  function requiredOf(schema) {
    return [...(schema.required || []), ...(schema.else ? requiredOf(schema.else) : [])];
  }

  /** @type {(desk: WriteDesk, name: string) => BenchChild} */
  function topField(desk, name) {
    const own = VIEWS[name];
    const schema = benchlore.writeForm.properties[name];
    const required = requiredOf(benchlore.writeForm).includes(name);
    return own ? own(desk, schema) : field(desk, [name], schema, required);
  }

  /** @type {Record<string, (desk: WriteDesk, schema: FormSchema) => BenchChild>} */
  const VIEWS = {
    symptom,
    cause,
    test_points: testPoints,
    fix,
    hazard,
    worked_example: example,
  };

  /* What the customer says. */

  /** @type {(desk: WriteDesk, schema: FormSchema) => HTMLElement} */
  function symptom(desk, schema) {
    const chosen = Object.entries(desk.draft.record.symptom || {});
    const often = schema.additionalProperties.enum.map((/** @type {string} */ id) => ({ id, title: id }));
    const ids = Object.keys(desk.book.symptoms).filter((id) => !chosen.some(([one]) => one === id));
    const listed = desk.book.families.find((one) => one.id === desk.family.id)?.symptoms || [];
    const first = [...ids].sort((a, b) => Number(!listed.includes(a)) - Number(!listed.includes(b)));
    const find = (/** @type {string} */ typed) => {
      const { offers, ready } = benchlore.symptoms.find(first, typed);
      if (!ready) return null;
      return offers.map((one) => ({
        id: one.id,
        title: desk.book.symptoms[one.id]?.title || one.id,
        aside: one.phrase ? "\u201c" + one.phrase + "\u201d" : "",
      }));
    };
    return place(
      ["symptom"],
      schema,
      [
        chosen.map(([id, value]) =>
          h(
            "div",
            { class: "row place", "data-place": "symptom/" + id },
            chip([{ id, title: desk.book.symptoms[id]?.title || id }], id, () =>
              desk.set(["symptom", id], undefined, true, "symptom-type"),
            ),
            h("label", { class: "unseen", for: idOf(["symptom", id]) }, "How often"),
            benchlore.fields.choice({ id: idOf(["symptom", id]) }, often, value, (word) =>
              desk.set(["symptom", id], word || "always", true),
            ),
            h("div", { class: "said", id: idOf(["symptom", id], "said") }),
          ),
        ),
        pick(
          desk,
          "symptom-type",
          [],
          "Symptom",
          (id) => desk.set(["symptom", id], "always", true, "symptom-type"),
          { placeholder: "in the customer\u2019s words", find, load: benchlore.symptoms.load },
        ),
      ],
      { group: true, hint: "Then say how often this fault shows it: always, often or sometimes." },
    );
  }

  /* What is at fault. */

  /** @type {(desk: WriteDesk, schema: FormSchema) => (HTMLElement | HTMLElement[] | null)[]} */
  function cause(desk, schema) {
    const one = desk.draft.record.cause || {};
    const part = desk.own.parts[one.part];
    const mode = benchlore.writeBook.modes[one.mode];
    const properties = schema.properties;
    const shown = ["part", "mode", "at", "to", "ohms", "volts", "share_of_time"];
    const wanted = shown.filter((name) => {
      if (name === "part" || one[name] !== undefined) return true;
      if (name === "mode") return part !== undefined && !one.variants;
      if (name === "at") return part && mode && (mode.at || one.mode === "open") && part.nets.length > 1;
      if (name === "to") return part && mode?.says.includes(name) && part.nets.length > 2;
      return mode?.says.includes(name);
    });
    const rest = Object.keys(properties).filter((name) => !shown.includes(name) && name !== "how");
    return [
      wanted.map((name) =>
        name === "mode" && part
          ? modeOf(desk, part)
          : field(desk, ["cause", name], properties[name], name === "part"),
      ),
      properties.how
        ? field(desk, ["cause", "how"], properties.how, (schema.required || []).includes("how"))
        : null,
      details(
        "cause-more",
        "It comes and goes, fails in several ways, or takes something along",
        () => rest.map((name) => field(desk, ["cause", name], properties[name])),
        rest.some((name) => one[name] !== undefined),
      ),
    ];
  }

  /**
   * How a part fails: the ways of its kind, the likeliest first.
   * @type {(desk: WriteDesk, part: WritePart) => HTMLElement}
   */
  function modeOf(desk, part) {
    const { kinds, modes } = benchlore.writeBook;
    const value = get(desk.draft.record, ["cause", "mode"]);
    const known = kinds[part.kind].modes;
    const all = value && !known.includes(value) ? [...known, value] : known;
    return place(
      ["cause", "mode"],
      {},
      h(
        "div",
        { class: "checks" },
        all
          .map((id) =>
            button(modes[id]?.label || id, () => setMode(desk, value === id ? undefined : id), {
              class: "choice-small" + (value === id ? " pressed" : ""),
              id: idOf(["cause", "mode", id]),
            }),
          )
          .map((key, n) => {
            key.setAttribute("aria-pressed", String(all[n] === value));
            return key;
          }),
      ),
      { group: true, hint: "The ways in which a " + kinds[part.kind].label + " fails, the likeliest first." },
    );
  }

  /** @type {(desk: WriteDesk, mode: string | undefined) => void} */
  function setMode(desk, mode) {
    const one = { ...desk.draft.record.cause, mode };
    const { modes } = benchlore.writeBook;
    const part = desk.own.parts[one.part];
    const says = mode ? modes[mode].says : [];
    for (const name of ["ohms", "volts", "to", "share_of_time"]) if (!says.includes(name)) delete one[name];
    if (mode && modes[mode].at && !one.at && part.nets.length) one.at = part.nets[0];
    if (mode && !modes[mode].at && mode !== "open") delete one.at;
    if (!mode) delete one.mode;
    desk.set(["cause"], one, true, idOf(["cause", "mode", mode || "open"]));
  }

  /* What is read. */

  /** @type {(desk: WriteDesk, schema: FormSchema) => HTMLElement[]} */
  function testPoints(desk, schema) {
    const held = desk.draft.record.test_points || [];
    const add = (/** @type {string} */ measure) =>
      desk.set(
        ["test_points"],
        [...held, { measure, expected_reading: likeliest(desk, measure) }],
        true,
        idOf(["test_points", held.length, "expected_reading"]),
      );
    const stated = held.map((/** @type {any} */ one) => one?.measure);
    return [
      predictions(desk, stated, add),
      place(
        ["test_points"],
        schema,
        [
          held.map((/** @type {any} */ point, /** @type {number} */ n) =>
            testPoint(desk, schema, point || {}, n),
          ),
          pick(
            desk,
            "test_points-type",
            benchlore.options.measurements(desk).filter((one) => !stated.includes(one.id)),
            "Measurement",
            add,
            { placeholder: "a rail, a point, what is asked: type to choose" },
          ),
        ],
        {
          group: true,
          label: "What the circuit does not say, or what wants a word",
          hint: "Looks, sounds, scope views, and what reads otherwise than foretold. First what shows the fault, then what rules out those that look like it.",
        },
      ),
    ];
  }

  /**
   * What stands ready for a measurement that is added: what the circuit foretells, where it is sure.
   * @type {(desk: WriteDesk, measure: string) => string}
   */
  function likeliest(desk, measure) {
    const row = benchlore.circuit.foretold(desk.own, desk.draft.record.cause)?.rows[measure] || {};
    return Object.keys(row).find((id) => (row[id] || 0) >= 0.7) || "";
  }

  /**
   * What the circuit foretells, beside what is typed.
   * @param {WriteDesk} desk
   * @param {readonly string[]} stated
   * @param {(measure: string) => void} add
   */
  function predictions(desk, stated, add) {
    const { cause: one } = desk.draft.record;
    const foretold = benchlore.circuit.foretold(desk.own, one);
    if (!one?.part)
      return h("p", { class: "lead" }, "Choose the part first: then this says what the circuit foretells.");
    if (!foretold)
      return h(
        "p",
        { class: "lead" },
        one.mode || one.variants
          ? "The circuit does not speak of this part and this way of failing: state below all that you read."
          : "Say above how it has failed: then this says what the circuit foretells.",
      );
    const telling = benchlore.circuit.telling(
      desk.family,
      foretold.rows,
      desk.own.parts[one.part]?.nets || [],
    );
    return h(
      "div",
      { class: "foretold" },
      h(
        "p",
        null,
        telling.length
          ? "By the circuit, these read otherwise than on a healthy board. You need not write them: the page shows them by itself."
          : "By the circuit, every point reads as on a healthy board. State below what you read otherwise.",
        foretold.about
          ? " What you say beside part and mode is not in these figures; the check works it out."
          : "",
      ),
      h(
        "ul",
        { class: "foretold-list" },
        telling.slice(0, 12).map((id) => {
          const option = benchlore.options.measurement(desk, id);
          return h(
            "li",
            null,
            h("b", null, option.title),
            h("span", { class: "aside" }, option.aside || ""),
            h(
              "span",
              { class: "foretold-reads" },
              "predicted: ",
              h("b", null, benchlore.circuit.said(desk.family, id, foretold.rows[id])),
            ),
            stated.includes(id)
              ? null
              : button("Say more of it", () => add(id), {
                  class: "quiet",
                  name: "Say more of it: " + option.title,
                }),
          );
        }),
      ),
      telling.length > 12
        ? h("p", { class: "hint" }, telling.length - 12 + " more read otherwise, too.")
        : null,
    );
  }

  /** @type {(desk: WriteDesk, schema: FormSchema, point: any, n: number) => HTMLDivElement} */
  function testPoint(desk, schema, point, n) {
    const where = /** @type {WriteStep[]} */ (["test_points", n]);
    const at = [...where, "expected_reading"];
    const option = benchlore.options.measurement(desk, point.measure);
    const measurement = desk.family.measurements[point.measure];
    const reads = point.expected_reading;
    const several = typeof reads === "object" && reads !== null;
    const foretold = benchlore.circuit.foretold(desk.own, desk.draft.record.cause)?.rows[point.measure];
    const put = (/** @type {unknown} */ value) => desk.set(at, value, true);
    const known = ["measure", "expected_reading"];
    const held = desk.draft.record.test_points;
    const up = () => {
      const all = [...held];
      const [moved] = all.splice(n, 1);
      all.splice(n - 1, 0, moved);
      desk.set(["test_points"], all, true, idOf(["test_points", n - 1, "expected_reading"]));
    };
    return h(
      "div",
      { class: "item place", "data-place": where.join("/") },
      titleOf(option),
      foretold
        ? h(
            "p",
            { class: "hint" },
            "Predicted: " + benchlore.circuit.said(desk.family, point.measure, foretold),
          )
        : h("p", { class: "hint" }, "The circuit does not say what it reads."),
      h(
        "div",
        {
          role: "group",
          class: "place",
          "data-place": at.join("/"),
          "aria-label": "It reads",
          id: idOf(at),
          tabindex: "-1",
        },
        Object.values(measurement?.outcomes || {}).map((outcome) => {
          const pressed = several ? outcome.id in reads : reads === outcome.id;
          const act = () => {
            if (!several) return put(outcome.id);
            const ids = Object.keys(reads);
            return put(evenly(pressed ? ids.filter((id) => id !== outcome.id) : [...ids, outcome.id]));
          };
          return [
            outcomeKey(at, outcome, pressed, act, foretold),
            pressed && several ? share(desk, at, outcome.id) : null,
          ];
        }),
        h("div", { class: "said", id: idOf(at, "said") }),
      ),
      h(
        "label",
        { class: "check" },
        h("input", {
          type: "checkbox",
          checked: several,
          id: idOf([...at, "several"]),
          onchange: () => put(several ? Object.keys(reads)[0] || "" : reads ? { [reads]: 1 } : {}),
        }),
        "It can read several things",
      ),
      inside(desk, where, schema.items, known),
      h("div", { class: "said", id: idOf(where, "said") }),
      h(
        "p",
        { class: "actions" },
        n > 0 ? button("Up", up, { class: "quiet", name: "Up: " + option.title }) : null,
        button("Take it out", () => desk.set(where, undefined, true, "test_points-type"), {
          class: "quiet",
          name: "Take out: " + option.title,
        }),
      ),
    );
  }

  /** @param {readonly string[]} ids */
  function evenly(ids) {
    const each = Math.floor(100 / Math.max(ids.length, 1)) / 100;
    return Object.fromEntries(
      ids.map((id, n) => [id, n ? each : Number((1 - each * (ids.length - 1)).toFixed(2))]),
    );
  }

  /** @type {(desk: WriteDesk, at: readonly WriteStep[], id: string) => HTMLLabelElement} */
  function share(desk, at, id) {
    const value = get(desk.draft.record, [...at, id]);
    return h(
      "label",
      { class: "small share-of" },
      h("input", {
        type: "text",
        class: "tiny",
        inputmode: "decimal",
        id: idOf([...at, id, "share"]),
        value: String(Number((Number(value) * 100).toPrecision(4))),
        oninput: (event) => {
          const typed = Number(benchlore.fields.typed(event).replace(",", "."));
          if (Number.isFinite(typed) && typed > 0)
            desk.set([...at, id], Number((typed / 100).toPrecision(4)));
        },
      }),
      "% of the jobs",
    );
  }

  /**
   * An outcome to press: by shape, name and range; whether a healthy board reads it, and whether it is foretold.
   * @param {FormPlace} where
   * @param {BenchOutcome} outcome
   * @param {boolean} pressed
   * @param {() => void} act
   * @param {WriteRow} [foretold]
   */
  function outcomeKey(where, outcome, pressed, act, foretold) {
    const said = [outcome.normal ? "healthy" : "", (foretold?.[outcome.id] || 0) >= 0.05 ? "predicted" : ""];
    return h(
      "button",
      {
        type: "button",
        class: "choice-small" + (pressed ? " pressed" : ""),
        id: idOf([...where, outcome.id]),
        "aria-pressed": String(pressed),
        onclick: act,
      },
      mark(outcome.normal ? "normal" : "fault"),
      h("b", null, outcome.name),
      outcome.words.range && outcome.words.range !== outcome.name ? " " + outcome.words.range : null,
      said.filter(Boolean).map((word) => h("span", { class: "tag" }, word)),
    );
  }

  /* The fix. */

  /** @type {(desk: WriteDesk, schema: FormSchema) => (HTMLElement | HTMLElement[])[]} */
  function fix(desk, schema) {
    const { properties } = schema;
    const own = ["action", "minutes", "steps", "confirm"];
    const rest = Object.keys(properties).filter((name) => !own.includes(name));
    return [
      action(desk, properties.action),
      field(desk, ["fix", "minutes"], properties.minutes, true),
      place(["fix", "steps"], properties.steps, benchlore.stepsView.view(desk), {
        group: true,
        hint: "One thing a step, in order. First everything unplugged and the charge gone.",
      }),
      confirm(desk, properties.confirm),
      rest.map((name) => field(desk, ["fix", name], properties[name])),
    ];
  }

  /** @type {(desk: WriteDesk, schema: FormSchema) => HTMLElement} */
  function action(desk, schema) {
    const value = get(desk.draft.record, ["fix", "action"]);
    const minutes = desk.own.parts[desk.draft.record.cause?.part]?.minutes;
    const act = (/** @type {string} */ id) => {
      const before = desk.draft.record.fix || {};
      const ready = before.minutes === undefined && minutes ? { minutes } : {};
      desk.set(["fix"], { ...before, ...ready, action: id }, true, idOf(["fix", "action", id]));
    };
    return place(
      ["fix", "action"],
      schema,
      h(
        "div",
        { class: "checks" },
        schema.enum.map((/** @type {string} */ id) =>
          h(
            "button",
            {
              type: "button",
              id: idOf(["fix", "action", id]),
              class: "choice-small" + (value === id ? " pressed" : ""),
              "aria-pressed": String(value === id),
              onclick: () => act(id),
            },
            benchlore.writeBook.actions[id] || id,
          ),
        ),
      ),
      { group: true },
    );
  }

  /** @type {(desk: WriteDesk, schema: FormSchema) => HTMLElement} */
  function confirm(desk, schema) {
    const held = Object.entries(desk.draft.record.fix?.confirm || {});
    const rows = benchlore.circuit.reads(desk.own, desk.draft.record);
    const nets = desk.own.parts[desk.draft.record.cause?.part]?.nets || [];
    const telling = benchlore.circuit.telling(desk.family, rows, nets);
    const names = held.map(([id]) => id);
    const offered = [
      ...telling,
      ...Object.keys(desk.family.measurements).filter((id) => !telling.includes(id)),
    ];
    const options = offered
      .filter((id) => !names.includes(id))
      .map((id) => benchlore.options.measurement(desk, id));
    return place(
      ["fix", "confirm"],
      schema,
      [
        held.map(([id, value]) => {
          const where = ["fix", "confirm", id];
          const option = benchlore.options.measurement(desk, id);
          const outcomes = Object.values(desk.family.measurements[id]?.outcomes || {});
          return h(
            "div",
            { class: "item place", "data-place": where.join("/") },
            titleOf(option),
            h(
              "div",
              { role: "group", "aria-label": "It must read", id: idOf(where), tabindex: "-1" },
              outcomes
                .filter((one) => one.normal || one.id === value)
                .map((one) => outcomeKey(where, one, one.id === value, () => desk.set(where, one.id, true))),
            ),
            h("div", { class: "said", id: idOf(where, "said") }),
            button("Take it out", () => desk.set(where, undefined, true, "confirm-type"), {
              class: "quiet",
              name: "Take out: " + option.title,
            }),
          );
        }),
        pick(
          desk,
          "confirm-type",
          options,
          "Measurement that proves the fix",
          (id) => {
            const normal = Object.values(desk.family.measurements[id].outcomes).find((one) => one.normal);
            desk.set(["fix", "confirm", id], normal?.id || "", true, idOf(["fix", "confirm", id]));
          },
          { placeholder: telling.length ? "those that this fault disturbs come first" : "type to choose" },
        ),
      ],
      { group: true },
    );
  }

  /* What can hurt. */

  /** @type {(desk: WriteDesk, schema: FormSchema) => HTMLElement[]} */
  function hazard(desk, schema) {
    return [h("div", { id: "hazards-found" }), field(desk, ["hazard"], schema)];
  }

  /**
   * The hazards that follow from the record as it is now.
   * @type {(desk: WriteDesk, record: WriteRecord) => BenchChild}
   */
  function hazardsFound(desk, record) {
    const found = benchlore.work.hazards(desk, record);
    if (!found.length)
      return h(
        "p",
        { class: "lead" },
        "Nothing follows from the record yet: the steps of the fix bring the hazards.",
      );
    return [
      h("p", { class: "lead" }, "These follow from what the record does. The page warns of them by itself:"),
      h(
        "ul",
        { class: "hazards-found" },
        found.map(({ id, why }) => {
          const one = /** @type {BenchHazard} */ (desk.book.hazards[id]);
          return h(
            "li",
            { class: "hazard-" + one.signal },
            h("b", { class: "signal-word" }, one.signal.toUpperCase()),
            " ",
            h("b", null, one.title),
            h("span", { class: "aside" }, "because " + why),
          );
        }),
      ),
    ];
  }

  /* A real case. */

  /** @type {(desk: WriteDesk, schema: FormSchema) => HTMLElement} */
  function example(desk, schema) {
    const held = Object.entries(desk.draft.record.worked_example || {});
    const names = held.map(([id]) => id);
    const rows = benchlore.circuit.reads(desk.own, desk.draft.record);
    const nets = desk.own.parts[desk.draft.record.cause?.part]?.nets || [];
    const telling = benchlore.circuit.telling(desk.family, rows, nets);
    const known = Object.keys(rows).filter((id) => !telling.includes(id));
    const rest = Object.keys(desk.family.measurements).filter((id) => !(id in rows));
    const options = [...telling, ...known, ...rest]
      .filter((id) => !names.includes(id))
      .map((id) => benchlore.options.measurement(desk, id));
    return place(
      ["worked_example"],
      schema,
      [
        held.map(([id, typed]) => reading(desk, id, typed)),
        pick(
          desk,
          "worked_example-type",
          options,
          "Measurement of the real job",
          (id) => desk.set(["worked_example", id], "", true, idOf(["worked_example", id])),
          { placeholder: "what was measured? Type to choose" },
        ),
      ],
      { group: true },
    );
  }

  /** @type {(desk: WriteDesk, id: string, typed: unknown) => HTMLDivElement} */
  function reading(desk, id, typed) {
    const where = ["worked_example", id];
    const option = benchlore.options.measurement(desk, id);
    const measurement = desk.family.measurements[id];
    const base = { id: idOf(where), "aria-label": "Reading", "aria-describedby": describedBy(where, false) };
    const named = measurement && measurement.links.unit === null;
    const outcomes = Object.values(measurement?.outcomes || {}).map((one) => ({
      id: one.id,
      title: one.name,
    }));
    const row = benchlore.circuit.reads(desk.own, desk.draft.record)[id];
    return h(
      "div",
      { class: "item place", "data-place": where.join("/") },
      titleOf(option),
      row && measurement
        ? h("p", { class: "hint" }, "With this fault: " + benchlore.circuit.said(desk.family, id, row))
        : null,
      h(
        "p",
        { class: "row" },
        named
          ? benchlore.fields.choice(base, outcomes, typed, (value) => desk.set(where, value, true))
          : h("input", {
              ...base,
              type: "text",
              class: "short",
              autocomplete: "off",
              inputmode: "text",
              placeholder: "as the meter shows it",
              value: String(typed ?? ""),
              oninput: (event) => desk.set(where, benchlore.fields.typed(event)),
            }),
        h(
          "span",
          { class: "taken-for", id: idOf(where, "taken") },
          named ? "" : takenFor(desk, id, String(typed ?? "")),
        ),
        button("Take it out", () => desk.set(where, undefined, true, "worked_example-type"), {
          class: "quiet",
          name: "Take out: " + option.title,
        }),
      ),
      h("div", { class: "said", id: idOf(where, "said") }),
    );
  }

  /**
   * The outcome that a typed reading is taken for, in words; nothing while it cannot be read.
   * @type {(desk: WriteDesk, id: string, typed: string) => string}
   */
  function takenFor(desk, id, typed) {
    const measurement = desk.family.measurements[id];
    const meter = desk.book.meters[desk.book.shop.default_meter];
    if (!measurement || !meter || !typed.trim()) return "";
    const found = benchlore.reading.read(measurement, meter, typed);
    if (benchlore.reading.refused(found)) return "";
    const scale = benchlore.likelihood.scaleOf(measurement, meter);
    if (!scale.ranges.length) return "";
    const { outcome } = scale.bands[benchlore.likelihood.classOf(scale, found)];
    const named = Object.values(measurement.outcomes).find((one) => one.id === outcome);
    return named ? "is read as: " + named.name + (named.normal ? " (healthy)" : "") : "";
  }

  benchlore.sections = { render, order, hazardsFound, takenFor };
})();
