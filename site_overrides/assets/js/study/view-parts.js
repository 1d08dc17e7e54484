/*
 * Pieces that the study's views share: fields that remember what was chosen, words with their shapes, links.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, mark } = benchlore.dom;

  /** @type {Readonly<Record<StudyHarm["who"], string>>} */
  const WHO = { person: "To the person", board: "To the board", reading: "To the reading" };
  /** @type {Readonly<Record<StudyStatus, string>>} */
  const SHAPE = { known: "normal", shaky: "undecided", unseen: "other" };

  /**
   * A form that is sent with Enter or its button, and never leaves the page.
   * @type {(submit: () => void, ...children: BenchChild[]) => HTMLFormElement}
   */
  function form(submit, ...children) {
    const listener = (/** @type {Event} */ event) => {
      event.preventDefault();
      submit();
    };
    return h("form", { class: "study-form", novalidate: true, onsubmit: listener }, ...children);
  }

  /**
   * One choice of several. What is chosen stands in the drafts under `name`.
   * @param {StudyPage} page
   * @param {string} name
   * @param {string} legend
   * @param {readonly StudyOffer[]} choices
   * @param {{class?: string}} [more]
   */
  function radios(page, name, legend, choices, more = {}) {
    return fields(page, name, legend, choices, "radio", more.class || "", "");
  }

  /**
   * Any of several; an array in the drafts.
   * @param {StudyPage} page
   * @param {string} name
   * @param {string} legend
   * @param {readonly StudyOffer[]} choices
   * @param {{hint?: string}} [more]
   */
  function checks(page, name, legend, choices, more = {}) {
    return fields(page, name, legend, choices, "checkbox", "", more.hint || "");
  }

  /**
   * The parts to unplug beside what the bench state takes out; nothing where the family has none to unplug.
   * @type {(page: StudyPage, hint: string) => HTMLFieldSetElement | null}
   */
  function unplugged(page, hint) {
    const { family, deck } = page.context;
    if (!deck.parts.length) return null;
    const choices = deck.parts.map((id) => ({
      value: id,
      label: id,
      aside: (family.parts[id] || { name: "" }).name,
    }));
    return checks(page, "unplugged", "Unplug also", choices, { hint });
  }

  /**
   * @param {StudyPage} page
   * @param {string} name
   * @param {string} legend
   * @param {readonly StudyOffer[]} choices
   * @param {"radio" | "checkbox"} type
   * @param {string} className
   * @param {string} hint
   */
  function fields(page, name, legend, choices, type, className, hint) {
    const refusal = page.refusals[name];
    return h(
      "fieldset",
      { class: "choices " + className, "aria-describedby": refusal ? name + "-refusal" : null },
      h("legend", null, legend),
      hint ? h("p", { class: "hint" }, hint) : null,
      // Before the choices: a long list would push it off the screen.
      refusal ? benchlore.dom.refusalOf(refusal, name + "-refusal") : null,
      choices.map((choice, n) =>
        h(
          "label",
          { class: "choice" },
          h("input", {
            type,
            name,
            id: name + "-" + n,
            value: choice.value,
            checked:
              type === "radio"
                ? page.drafts[name] === choice.value
                : chosen(page, name).includes(choice.value),
            onchange: (/** @type {Event} */ event) =>
              changed(page, name, type, choice.value, /** @type {HTMLInputElement} */ (event.target).checked),
          }),
          h("span", null, choice.label, choice.aside ? h("span", { class: "aside" }, choice.aside) : null),
        ),
      ),
    );
  }

  /** @type {(page: StudyPage, name: string, type: string, value: string, on: boolean) => void} */
  function changed(page, name, type, value, on) {
    if (type === "radio") page.act.draft(name, value);
    else
      page.act.draft(
        name,
        on ? chosen(page, name).concat([value]) : chosen(page, name).filter((one) => one !== value),
      );
  }

  /**
   * What is ticked under a name.
   * @type {(page: StudyPage, name: string) => string[]}
   */
  function chosen(page, name) {
    return page.drafts[name] || [];
  }

  /**
   * Known, shaky or unseen: the word with its shape, and how many.
   * @type {(status: StudyStatus, count?: number) => HTMLSpanElement}
   */
  function status(status, count) {
    return h(
      "span",
      { class: "status status-" + status },
      mark(SHAPE[status]),
      status + (count === undefined ? "" : "\u00a0" + count),
    );
  }

  /**
   * Right or wrong, in a word and a shape.
   * @type {(right: boolean, words: string) => HTMLSpanElement}
   */
  function verdict(right, words) {
    return h("span", { class: "study-verdict" }, mark(right ? "normal" : "fault"), words);
  }

  /**
   * What a set-up can do, and to whom.
   * @param {readonly StudyHarm[]} found
   */
  function harms(found) {
    if (found.length === 0) return null;
    const groups = /** @type {const} */ (["person", "board", "reading"])
      .map((who) => ({ who, mine: found.filter((harm) => harm.who === who) }))
      .filter((group) => group.mine.length);
    return h(
      "div",
      { class: "effects" },
      groups.map(({ who, mine }) =>
        h(
          "section",
          { class: "effect effect-" + who, "aria-label": WHO[who] },
          h(
            "p",
            { class: "effect-who" },
            mark(who === "reading" ? "undecided" : "fault"),
            h("b", null, WHO[who]),
          ),
          h(
            "ul",
            null,
            mine.map((harm) =>
              h(
                "li",
                null,
                harm.page
                  ? [h("span", { class: "aside" }, "Not guarded against: "), link(harm.page, harm.text)]
                  : harm.text,
              ),
            ),
          ),
        ),
      ),
    );
  }

  /**
   * A link to a page of the site, named from its root.
   * @type {(page: string, ...children: BenchChild[]) => HTMLAnchorElement}
   */
  function link(page, ...children) {
    return h("a", { href: page }, ...children);
  }

  /**
   * A measurement in few words.
   * @type {(context: StudyContext, id: string) => string}
   */
  function measureName(context, id) {
    return benchlore.parts.nameOf(context.family, id);
  }

  /**
   * What the meter shows, with as many digits as it has there, or what is seen.
   * @type {(context: StudyContext, measure: string, reading: BenchReading) => string}
   */
  function shown(context, measure, reading) {
    const measurement = context.family.measurements[measure];
    if (reading.outcome !== null) return benchlore.parts.shown(measurement, reading);
    if (reading.value === null) return "OL (over-range)";
    const resolution = benchlore.meter.exact(
      benchlore.meter.rangeFor(context.one.scales[measure].ranges, reading.value).resolution,
    );
    const steps = Math.round(Math.abs(reading.value) / resolution);
    return benchlore.quantity.format(
      reading.value,
      measurement.links.unit || "",
      Math.max(1, String(steps).length),
    );
  }

  /**
   * What a reading is taken for, in words.
   * @type {(context: StudyContext, measure: string, verdict: BenchVerdict) => string}
   */
  function verdictWord(context, measure, verdict) {
    if (verdict.kind === "undecided") return "the meter cannot decide";
    if (verdict.kind === "outside") return "fits no outcome";
    const outcome = Object.values(context.family.measurements[measure].outcomes)[verdict.index];
    return outcome.name + (outcome.normal && outcome.name !== "normal" ? ", normal" : "");
  }

  /**
   * Where and how, as the question states it.
   * @param {StudyPage} page
   * @param {string} id
   * @param {boolean} setUp whether bench state, function and leads are told
   * @param {boolean} [metered] whether the meter is named: what it can decide hangs on it
   */
  function told(page, id, setUp, metered = false) {
    const { book, family, deck } = page.context;
    const measurement = family.measurements[id];
    const point = family.test_points[measurement.at];
    const state = family.states[measurement.state];
    const mode = benchlore.vocabulary.functions[measurement.mode];
    /** @type {[string, BenchChild][]} */
    const rows = [
      ["Net", point?.net ? h("b", { class: "id" }, point.net) : ""],
      ["Point", h("b", { class: "id" }, measurement.between.join(" to ") || measurement.at)],
    ];
    if (setUp) {
      rows.push(
        ["Bench state", state ? state.title : measurement.state],
        ["Function", mode ? mode.label : measurement.mode],
      );
      const meter = book.meters[deck.meter];
      if (metered && meter && measurement.links.unit !== null) rows.push(["Meter", meter.title]);
      if (deck.measures[id].leads) rows.push(["Leads", deck.measures[id].leads]);
      if (measurement.unplugged.length)
        rows.push(["Unplugged", benchlore.parts.parts(family, measurement.unplugged)]);
      if (measurement.inject)
        rows.push([
          "Injected",
          "at most " + measurement.inject.words.volts + ", limit " + measurement.inject.words.limit,
        ]);
    }
    const where = benchlore.parts.where(family, /** @type {any} */ (benchlore).site.revision(), measurement);
    return [
      h(
        "dl",
        { class: "told" },
        rows.map(([name, value]) => h("div", null, h("dt", null, name), h("dd", null, value))),
      ),
      where
        ? h("details", null, h("summary", null, "Where is that?"), h("ul", { class: "card-steps" }, where))
        : null,
    ];
  }

  /**
   * What is said where an answer lacks something.
   * @param {string} reason
   * @param {string} mend
   * @param {string} focus id of the element to go to
   * @returns {StudyGiven}
   */
  function missing(reason, mend, focus) {
    return {
      key: "answer",
      refusal: { reason, mend: mend + ", or press \u201cI don\u2019t know\u201d" },
      focus,
    };
  }

  study.parts = {
    form,
    missing,
    told,
    radios,
    checks,
    unplugged,
    chosen,
    status,
    verdict,
    harms,
    link,
    measureName,
    shown,
    verdictWord,
  };
})();
