/*
 * The steps of a fix on the form: a verb, what it is done to, and words beside it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button, details } = benchlore.dom;
  const { idOf, choice, pick, chip, simple, place } = benchlore.fields;

  const WHERE = /** @type {const} */ (["fix", "steps"]);
  /** @type {Record<string, string>} */
  const VERBS = {
    unplug: "Unplug",
    plug: "Plug in",
    discharge: "Discharge: hold the power key",
    wait: "Wait",
    look: "Look at",
    press: "Press on",
    measure: "Measure",
    inject: "Inject current into",
    remove: "Take off",
    fit: "Fit",
    replace: "Replace",
    reflow: "Reflow the joints of",
    clean: "Clean",
    wash: "Wash the board",
    dry: "Let it dry",
    program: "Write the program of",
    set: "Change a setting of",
    try: "Try a known good",
  };
  /** @type {Record<string, string>} */
  const USUAL = { discharge: "10 s", wait: "10 min", dry: "5 min" };

  /** @type {(desk: WriteDesk) => BenchChild} */
  function view(desk) {
    const steps = desk.draft.record.fix?.steps || [];
    const { part } = desk.draft.record.cause || {};
    const action = desk.draft.record.fix?.action;
    return [
      h(
        "ol",
        { class: "write-steps" },
        steps.map((/** @type {any} */ step, /** @type {number} */ n) =>
          h("li", { class: "item place", "data-place": [...WHERE, n].join("/") }, one(desk, step, n)),
        ),
      ),
      h(
        "p",
        { class: "actions" },
        !steps.length && part && action
          ? button(
              "Fill in the usual steps",
              () => desk.set([...WHERE], usual(desk, action, part), true, "add-step"),
              {
                id: "usual-steps",
                class: "primary",
              },
            )
          : null,
        button(
          steps.length ? "Another step" : "Add a step",
          () => desk.set([...WHERE], [...steps, {}], true, idOf([...WHERE, steps.length, "verb"])),
          { id: "add-step" },
        ),
      ),
    ];
  }

  /**
   * What is usually done, as the conversation of `benchlore new fault` has it.
   * @type {(desk: WriteDesk, action: string, part: string) => WriteRecord[]}
   */
  function usual(desk, action, part) {
    /** @type {Record<string, WriteRecord[]>} */
    const own = {
      replace: [{ replace: part }],
      reflow: [{ reflow: part }],
      remove: [{ remove: part }],
      clean: [{ clean: part, with: "alcohol" }, { dry: "5 min" }],
      reseat: [{ unplug: part }, { plug: part }],
      reprogram: [{ program: part }],
      set: [{ set: part }],
    };
    return [...benchlore.short.opening(desk), ...(own[action] || [])];
  }

  /** @type {(desk: WriteDesk, step: any, n: number) => BenchChild} */
  function one(desk, step, n) {
    const where = [...WHERE, n];
    const read = benchlore.work.readStep(step);
    const { verb, raw, say } = read;
    const count = desk.draft.record.fix.steps.length;
    const move = (/** @type {number} */ by) => {
      const all = [...desk.draft.record.fix.steps];
      const [moved] = all.splice(n, 1);
      all.splice(n + by, 0, moved);
      desk.set([...WHERE], all, true, idOf([...WHERE, n + by, "verb"]));
    };
    const inWords = (/** @type {string} */ words) => {
      const now = benchlore.record.get(desk.draft.record, where);
      const kept = typeof now === "string" ? {} : now;
      if (!verb) return desk.set(where, words || {});
      return desk.set(where, words ? { ...kept, say: words } : without(kept, "say"));
    };
    const box = h("textarea", {
      id: idOf([...where, "say"]),
      rows: "2",
      oninput: (event) => inWords(benchlore.fields.typed(event)),
    });
    box.value = say;
    const options = Object.keys(benchlore.writeBook.verbs).map((id) => ({ id, title: VERBS[id] || id }));
    const words = h(
      "div",
      null,
      h(
        "label",
        { class: "small", for: idOf([...where, "say"]) },
        verb ? "Words beside it" : "The step in words",
      ),
      box,
    );
    return [
      h(
        "div",
        { class: "step-head" },
        h("label", { class: "unseen", for: idOf([...where, "verb"]) }, "Step " + (n + 1) + ": what is done"),
        choice(
          { id: idOf([...where, "verb"]), "aria-describedby": idOf(where, "said") },
          options,
          verb,
          (id) => desk.set(where, changed(raw, id, say), true, idOf([...where, id ? "on" : "say"])),
          "in words alone",
        ),
        verb ? operand(desk, where, read) : null,
      ),
      verb ? beside(desk, where, benchlore.writeBook.verbs[verb].takes) : null,
      verb
        ? details(
            idOf([...where, "more"]),
            "Words beside it, or only in some cases",
            () => [words, values(desk, where, read), beside(desk, where, ["if"])],
            Boolean(say || raw.if || read.uses.some((use) => use.value || use.donor)),
          )
        : words,
      h("div", { class: "said", id: idOf(where, "said") }),
      h(
        "p",
        { class: "actions" },
        n > 0 ? button("Up", () => move(-1), { class: "quiet", name: "Step " + (n + 1) + " up" }) : null,
        n < count - 1
          ? button("Down", () => move(1), { class: "quiet", name: "Step " + (n + 1) + " down" })
          : null,
        button("Take it out", () => desk.set(where, undefined, true, "add-step"), {
          class: "quiet",
          name: "Take out step " + (n + 1),
        }),
      ),
    ];
  }

  /**
   * The step with another verb; what it was done to stays where the new one takes names, too.
   * @param {WriteRecord} raw
   * @param {string} verb
   * @param {string} say
   */
  function changed(raw, verb, say) {
    if (!verb) return say || {};
    const kept = say ? { say } : {};
    const wanted = verb === "wash" ? true : USUAL[verb] || "";
    return { [verb]: wanted, ...(raw.if ? { if: raw.if } : {}), ...kept };
  }

  /**
   * @param {any} step
   * @param {string} name
   */
  function without(step, name) {
    return Object.fromEntries(Object.entries(step).filter(([key]) => key !== name));
  }

  /**
   * What a verb is done to: names that are chosen, or a time that is typed.
   * @type {(desk: WriteDesk, where: readonly WriteStep[], read: WriteStepRead) => BenchChild}
   */
  function operand(desk, where, { verb, uses, names, raw }) {
    if (verb === "wash") return null;
    const id = idOf([...where, "on"]);
    const known = benchlore.options.places(desk, verb);
    if (!known)
      return h("input", {
        type: "text",
        class: "short",
        id,
        "aria-label": "How long",
        value: raw[verb] || "",
        placeholder: USUAL[verb] || null,
        oninput: (event) => desk.set([...where, verb], benchlore.fields.typed(event)),
      });
    const options = known.map((name) => optionOf(desk, verb, name));
    if (verb === "inject")
      return choice({ id, "aria-label": "Into which rail" }, options, raw.inject, (name) =>
        desk.set([...where, verb], name, true),
      );
    const put = (/** @type {WriteRecord[]} */ all) => {
      const plain = all.map((use) => (Object.keys(use).length === 1 ? use.part : use));
      desk.set([...where, verb], plain.length > 1 ? plain : plain[0] || "", true, id);
    };
    return h(
      "div",
      { class: "operand" },
      names.some(Boolean)
        ? h(
            "p",
            { class: "chosen" },
            uses.map((use, i) => chip(options, use.part, () => put(uses.filter((_, other) => other !== i)))),
          )
        : null,
      pick(
        desk,
        id,
        options.filter((each) => !names.includes(each.id)),
        VERBS[verb] || verb,
        (name) => put([...uses.filter((use) => use.part), { part: name }]),
        { placeholder: names.some(Boolean) ? "and what else?" : "what? Type to choose" },
      ),
    );
  }

  /**
   * What the parts that are put on must be.
   * @param {WriteDesk} desk
   * @param {readonly WriteStep[]} where
   * @param {WriteStepRead} read
   */
  function values(desk, where, { verb, uses }) {
    if (verb !== "fit" && verb !== "replace") return null;
    const held = uses.filter((use) => use.part);
    return held.map((use, i) =>
      h(
        "p",
        { class: "row" },
        line(use.part + ": its value, if it matters", use.value, "2.2 kohm 5%", (text) =>
          put(i, "value", text),
        ),
        line("from where, if not new", use.donor, "same family, either revision", (text) =>
          put(i, "donor", text),
        ),
      ),
    );

    /** @type {(i: number, name: string, text: string) => void} */
    function put(i, name, text) {
      const all = benchlore.work
        .readStep(benchlore.record.get(desk.draft.record, where))
        .uses.filter((use) => use.part);
      const plain = all.map((use, n) => {
        const own = n !== i ? use : text ? { ...use, [name]: text } : without(use, name);
        return Object.keys(own).length === 1 ? own.part : own;
      });
      desk.set([...where, verb], plain.length > 1 ? plain : plain[0]);
    }
  }

  /**
   * @param {string} label
   * @param {unknown} value
   * @param {string} sample
   * @param {(text: string) => void} act
   */
  function line(label, value, sample, act) {
    return h(
      "label",
      { class: "small" },
      label,
      h("input", {
        type: "text",
        class: "short",
        value: String(value || ""),
        placeholder: sample,
        oninput: (event) => act(benchlore.fields.typed(event).trim()),
      }),
    );
  }

  /** @type {(desk: WriteDesk, verb: string, name: string) => WriteOption} */
  function optionOf(desk, verb, name) {
    if (verb === "measure") return benchlore.options.measurement(desk, name);
    const part = desk.own.parts[name];
    if (part) return { id: name, title: part.name, titled: true };
    if (name === benchlore.writeBook.everything)
      return { id: name, title: "everything", aside: "every source" };
    return { id: name, title: name };
  }

  /**
   * The fields beside a verb, and the condition.
   * @type {(desk: WriteDesk, where: WriteStep[], names: readonly string[]) => HTMLElement[]}
   */
  function beside(desk, where, names) {
    const step = desk.draft.record.fix.steps[/** @type {number} */ (where[2])];
    return names.map((name) => {
      const at = [...where, name];
      const schema = benchlore.record.schemaAt(at);
      if (name === "reads") {
        const [measure] = benchlore.work.readStep(step).names;
        const outcomes = Object.values(desk.family.measurements[measure]?.outcomes || {});
        const options = outcomes.map((one) => ({
          id: one.id,
          title: one.name + (one.normal ? " (healthy)" : ""),
        }));
        return place(
          at,
          schema,
          choice({ id: idOf(at) }, options, step.reads, (id) => desk.set(at, id || undefined, true)),
          { hint: "" },
        );
      }
      return place(at, schema, simple(desk, at, schema), { hint: "", optional: name === "if" });
    });
  }

  benchlore.stepsView = { view };
})();
