/*
 * Set it up: bench state, function, leads, what to unplug, and the hazards of a measurement.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h } = benchlore.dom;
  const { radios, checks, unplugged, chosen, told } = study.parts;

  /** @type {(context: StudyContext, question: StudyQuestion, answer: StudyAnswer) => StudyPart[]} */
  function mark(context, question, answer) {
    const { book, family, deck } = context;
    const need = family.measurements[question.measure];
    const more = deck.measures[question.measure];
    const choice = answer.choice || {};
    const state = family.states[need.state];
    const chosen = family.states[choice.state || ""];
    /** @param {string | undefined} mode */
    const word = (mode) => {
      const found = benchlore.vocabulary.functions[mode || ""];
      return found ? found.label : "nothing";
    };
    const guards = choice.guards || [];
    /** @param {readonly string[]} ids */
    const titles = (ids) => ids.map((id) => (book.hazards[id] || { title: id }).title).join(", ") || "none";
    const unplugged = choice.unplugged || [];
    /** @type {StudyPart[]} */
    const parts = [
      {
        name: "Bench state",
        yours: chosen ? chosen.title : "nothing",
        truth: state ? state.title : need.state,
        right: choice.state === need.state,
      },
      {
        name: "Function",
        yours: word(choice.mode),
        truth: word(need.mode),
        right: choice.mode === need.mode,
      },
    ];
    if (more.leads)
      parts.push({
        name: "Leads",
        yours: choice.leads || "nothing",
        truth: more.leads,
        right: choice.leads === more.leads,
      });
    if (deck.parts.length) {
      const same =
        unplugged.length === need.unplugged.length &&
        unplugged.every((part) => need.unplugged.includes(part));
      parts.push({
        name: "Unplugged",
        yours: unplugged.join(", ") || "nothing",
        truth: need.unplugged.join(", ") || "nothing",
        right: same,
      });
    }
    if (need.inject && more.ceilings.length)
      parts.push({
        name: "Ceiling voltage",
        yours: choice.ceiling || "nothing",
        truth: more.ceilings[0].text,
        right: choice.ceiling === more.ceilings[0].text,
      });
    // A hazard too many costs nothing, but to tick most of those that do not apply is no answer.
    const others = deck.hazards.filter((id) => !need.links.hazards.includes(id));
    const ticked = others.filter((id) => guards.includes(id));
    const chosenWell = ticked.length * 2 <= others.length;
    parts.push({
      name: "Hazards",
      yours: titles(guards),
      truth: titles(need.links.hazards),
      right: chosenWell && need.links.hazards.every((id) => guards.includes(id)),
    });
    return parts;
  }

  /** @type {(page: StudyPage, asked: StudyQuestion) => BenchChild[]} */
  function view(page, asked) {
    const { book, family, deck } = page.context;
    const measurement = family.measurements[asked.measure];
    const more = deck.measures[asked.measure];
    return [
      h("h2", { id: "question", tabindex: "-1" }, "How do you set this measurement up?"),
      told(page, asked.measure, false),
      h("p", { class: "asks" }, "It asks: " + benchlore.parts.asks(measurement)),
      measurement.inject ? h("p", null, "Current is injected for it from a bench supply.") : null,
      radios(
        page,
        "state",
        "Bench state",
        deck.states.map((id) => ({ value: id, label: (family.states[id] || { title: id }).title })),
      ),
      radios(
        page,
        "mode",
        "Function",
        deck.modes.map((id) => ({
          value: id,
          label: (benchlore.vocabulary.functions[id] || { label: id }).label,
        })),
        { class: "choices-row" },
      ),
      more.leads
        ? radios(
            page,
            "leads",
            "Leads",
            deck.leads.map((text) => ({ value: text, label: benchlore.dom.capital(text) })),
          )
        : null,
      unplugged(page, "Beside what the bench state takes out. Leave all empty when nothing."),
      measurement.inject && more.ceilings.length
        ? radios(
            page,
            "ceiling",
            "Ceiling voltage of the supply",
            more.ceilings
              .slice()
              .sort((a, b) => a.volts - b.volts)
              .map((one) => ({ value: one.text, label: h("b", { class: "reading" }, one.text) })),
            { class: "choices-row" },
          )
        : null,
      checks(
        page,
        "guards",
        "Hazards that apply",
        deck.hazards.map((id) => ({ value: id, label: (book.hazards[id] || { title: id }).title })),
      ),
    ];
  }

  /**
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   * @param {StudyAnswer} answer
   */
  function after(page, asked, answer) {
    const { book, family, deck } = page.context;
    const measurement = family.measurements[asked.measure];
    const found = answer.choice ? study.setup.harms(book, family, deck, asked.measure, answer.choice) : [];
    return [
      found.length ? [h("h3", null, "What your set-up can do"), study.parts.harms(found)] : null,
      h("h3", null, "Set up rightly"),
      h(
        "ul",
        { class: "card-steps" },
        benchlore.parts.setUp(
          family,
          { state: null, unplugged: [] },
          benchlore.cases.setUpOf(family, asked.measure),
        ),
        benchlore.parts.meter(book, measurement),
      ),
      benchlore.hazards.lines(book, measurement.links.hazards, []),
    ];
  }

  /** @type {(page: StudyPage) => StudyGiven} */
  function answer(page) {
    const { drafts } = page;
    if (!drafts.state || !drafts.mode)
      return study.parts.missing(
        "bench state and function are not both chosen",
        "choose them",
        drafts.state ? "mode-0" : "state-0",
      );
    return {
      choice: {
        state: drafts.state,
        mode: drafts.mode,
        leads: drafts.leads || "",
        unplugged: chosen(page, "unplugged"),
        ceiling: drafts.ceiling || "",
        guards: chosen(page, "guards"),
      },
    };
  }

  study.exercises.setup = {
    words: "Set-up of ",
    tells: { setUp: false, metered: false },
    ask: () => ({}),
    mark,
    view,
    answer,
    after,
  };
})();
