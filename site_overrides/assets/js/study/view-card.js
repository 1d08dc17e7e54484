/*
 * A session of cards: the question, what the answer was worth, and at the end what came of it all.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, button, mark } = benchlore.dom;
  const { form, radios, checks, chosen, verdict, link, measureName, shown } = study.parts;

  const SURE = [
    { value: "sure", label: "Sure" },
    { value: "fairly", label: "Fairly sure" },
    { value: "guess", label: "A guess" },
  ];

  /** @param {StudyPage} page */
  function render(page) {
    const session = /** @type {StudySession} */ (page.progress.session);
    const at = session.answers.length;
    if (page.drafts.feedback) return frame(page, session, at - 1, feedback(page, session, at - 1));
    if (at >= session.cards.length) return ended(page, session);
    return frame(page, session, at, question(page, session, at));
  }

  /**
   * @param {StudyPage} page
   * @param {StudySession} session
   * @param {number} at
   */
  function questionOf(page, session, at) {
    const card = page.context.deck.cards.find((one) => one.id === session.cards[at]);
    return card ? study.questions.ask(page.context, card, session.seed) : null;
  }

  /**
   * @param {StudyPage} page
   * @param {StudySession} session
   * @param {number} at
   * @param {HTMLElement} inside
   */
  function frame(page, session, at, inside) {
    return h(
      "div",
      { class: "study-session" },
      h(
        "div",
        { class: "bench-bar" },
        h(
          "p",
          { class: "bar-facts" },
          study.deck.EXERCISES[session.exercise].title +
            " \u00b7 card " +
            (at + 1) +
            " of " +
            session.cards.length +
            " \u00b7 seed " +
            study.seed.shown(page.context.deck, session),
        ),
        h(
          "div",
          { class: "bar-buttons" },
          button("Leave the session", () => page.act.home(), { class: "quiet", id: "leave" }),
        ),
      ),
      inside,
    );
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
    const state = book.states[measurement.state];
    const mode = benchlore.vocabulary.functions[measurement.mode];
    /** @type {[string, BenchChild][]} */
    const rows = [
      ["Net", point ? h("b", { class: "id" }, point.net) : ""],
      ["Point", h("b", { class: "id" }, measurement.at)],
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
   * @param {StudyPage} page
   * @param {StudySession} session
   * @param {number} at
   */
  function question(page, session, at) {
    const asked = questionOf(page, session, at);
    if (!asked) {
      return h(
        "section",
        { class: "panel" },
        h("h2", { id: "question", tabindex: "-1" }, "This card is no longer in the book"),
        h(
          "p",
          { class: "actions" },
          button("Next card", () => page.act.next(), { class: "primary" }),
        ),
      );
    }
    const body =
      asked.card.kind === "reads"
        ? askRange(page, session, asked)
        : asked.card.kind === "means"
          ? askMeaning(page, asked)
          : askSetUp(page, asked);
    const send = () => sendAnswer(page, session, asked);
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "question" },
      form(
        send,
        body,
        radios(page, "sure", "How sure are you?", SURE, { class: "choices-row" }),
        benchlore.dom.refusalOf(page.refusals.answer, "answer-refusal"),
        h(
          "p",
          { class: "actions" },
          h("button", { type: "submit", class: "primary", id: "send" }, "Check the answer"),
          button("I don\u2019t know", () => page.act.answer({ sure: "guess", unknown: true }), {
            class: "quiet",
            id: "unknown",
          }),
        ),
      ),
    );
  }

  /**
   * @param {StudyPage} page
   * @param {StudySession} session
   * @param {StudyQuestion} asked
   */
  function askRange(page, session, asked) {
    const measurement = page.context.family.measurements[asked.measure];
    const seen = measurement.links.unit === null;
    return [
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        seen ? "What should you find on a healthy board?" : "What should it read on a healthy board?",
      ),
      told(page, asked.measure, true),
      session.typed && !seen
        ? h(
            "div",
            { class: "setup-row" },
            typed(page, asked, "from", "From (empty where the range has no lower end)"),
            typed(page, asked, "to", "To (empty where it has no upper end; OL for over-range)"),
          )
        : radios(
            page,
            "range",
            seen ? "Pick what is healthy" : "Pick the healthy range",
            asked.ranges.map((range) => ({
              value: range.text,
              label: h("b", { class: "reading" }, range.text),
            })),
          ),
    ];
  }

  /**
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   * @param {"from" | "to"} name
   * @param {string} label
   */
  function typed(page, asked, name, label) {
    const unit = page.context.family.measurements[asked.measure].links.unit || "";
    const refusal = page.refusals[name];
    return h(
      "div",
      { class: "field-group" },
      h(
        "label",
        { class: "field", for: "typed-" + name },
        label + ", in " + unit.replace("ohm", "\u03a9").replace("degC", "\u00b0C"),
      ),
      h("input", {
        type: "text",
        id: "typed-" + name,
        class: "reading-field",
        autocomplete: "off",
        spellcheck: "false",
        value: page.drafts[name] || "",
        "aria-describedby": name + "-refusal",
        "aria-invalid": refusal ? "true" : null,
        oninput: (/** @type {Event} */ event) =>
          page.act.draft(name, /** @type {HTMLInputElement} */ (event.target).value),
      }),
      benchlore.dom.refusalOf(refusal, name + "-refusal", (choice) => {
        page.act.draft(name, choice);
        const input = document.getElementById("typed-" + name);
        if (input instanceof HTMLInputElement) input.value = choice;
      }),
    );
  }

  /**
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   */
  function askMeaning(page, asked) {
    const { family } = page.context;
    const measurement = family.measurements[asked.measure];
    const reading = /** @type {BenchReading} */ (asked.reading);
    const bearings = /** @type {StudyBearing[]} */ (["fits", "against"]);
    return [
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        measurement.links.unit === null
          ? "What does it mean when you find this?"
          : "What does this reading mean?",
      ),
      told(page, asked.measure, true, true),
      h(
        "p",
        { class: "meter-shows" },
        measurement.links.unit === null ? "You find: " : "The meter shows ",
        h("b", { class: "reading" }, shown(page.context, asked.measure, reading)),
      ),
      asked.outcomes.length
        ? radios(
            page,
            "outcome",
            "Which outcome is it?",
            asked.outcomes.map((id) => {
              const outcome = Object.values(measurement.outcomes).find((one) => one.id === id);
              return {
                value: id,
                label: outcome ? outcome.name : "The meter cannot decide",
                aside: outcome ? "" : "It lies between two outcomes, within the meter\u2019s accuracy.",
              };
            }),
          )
        : null,
      asked.faults.length ? h("h3", null, "What does it say of these faults?") : null,
      asked.faults.map((one, n) =>
        radios(
          page,
          "fault-" + n,
          family.faults[one.fault].title,
          bearings.map((bearing) => ({
            value: bearing,
            label: benchlore.dom.capital(study.questions.WORDS[bearing]),
          })),
          { class: "choices-row" },
        ),
      ),
    ];
  }

  /**
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   */
  function askSetUp(page, asked) {
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
        deck.states.map((id) => ({ value: id, label: (book.states[id] || { title: id }).title })),
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
      deck.parts.length
        ? checks(
            page,
            "unplugged",
            "Unplug also",
            deck.parts.map((id) => ({
              value: id,
              label: id,
              aside: (family.parts[id] || { name: "" }).name,
            })),
            { hint: "Beside what the bench state takes out. Leave all empty when nothing." },
          )
        : null,
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
   * @param {StudySession} session
   * @param {StudyQuestion} asked
   */
  function sendAnswer(page, session, asked) {
    const { act, drafts } = page;
    const measurement = page.context.family.measurements[asked.measure];
    const sure = drafts.sure || "guess"; // who claims nothing has claimed the least
    const refuse = (/** @type {string} */ reason, /** @type {string} */ mend, /** @type {string} */ focus) =>
      act.refuse("answer", { reason, mend }, focus);
    if (asked.card.kind === "reads" && session.typed && measurement.links.unit !== null) {
      const [from, to] = [drafts.from || "", drafts.to || ""];
      for (const [key, text] of /** @type {const} */ ([
        ["from", from],
        ["to", to],
      ])) {
        const refusal = study.questions.refusal(page.context, asked.measure, text);
        if (refusal) return act.refuse(key, refusal, "typed-" + key);
      }
      if (!from.trim() && !to.trim())
        return refuse("no range was typed", "type it, or press \u201cI don\u2019t know\u201d", "typed-from");
      const ends = study.questions.refusedEnds(page.context, asked.measure, from, to);
      if (ends) return act.refuse("to", ends, "typed-to");
      return act.answer({ sure, from, to });
    }
    if (asked.card.kind === "reads") {
      if (!drafts.range)
        return refuse("nothing was picked", "pick one, or press \u201cI don\u2019t know\u201d", "range-0");
      return act.answer({ sure, range: drafts.range });
    }
    if (asked.card.kind === "means") {
      if (asked.outcomes.length && !drafts.outcome)
        return refuse(
          "no outcome was chosen",
          "choose one, or press \u201cI don\u2019t know\u201d",
          "outcome-0",
        );
      const open = asked.faults.findIndex((_, n) => !drafts["fault-" + n]);
      if (open >= 0)
        return refuse(
          "a fault has no answer yet",
          "choose what the reading says of it",
          "fault-" + open + "-0",
        );
      const faults = Object.fromEntries(asked.faults.map((one, n) => [one.fault, drafts["fault-" + n]]));
      return act.answer({ sure, outcome: drafts.outcome, faults });
    }
    if (!drafts.state || !drafts.mode)
      return refuse(
        "bench state and function are not both chosen",
        "choose them, or press \u201cI don\u2019t know\u201d",
        drafts.state ? "mode-0" : "state-0",
      );
    act.answer({
      sure,
      choice: {
        state: drafts.state,
        mode: drafts.mode,
        leads: drafts.leads || "",
        unplugged: chosen(page, "unplugged"),
        ceiling: drafts.ceiling || "",
        guards: chosen(page, "guards"),
      },
    });
  }

  /**
   * @param {StudyPage} page
   * @param {StudySession} session
   * @param {number} at
   */
  function feedback(page, session, at) {
    const asked = questionOf(page, session, at);
    const answer = /** @type {StudyAnswer} */ (session.answers[at]);
    if (!asked)
      return h(
        "section",
        { class: "panel" },
        h("h2", { id: "question", tabindex: "-1" }, "This card is no longer in the book"),
        next(page, session, at),
      );
    const marked = study.questions.mark(page.context, asked, answer);
    const state = page.progress.cards[asked.card.id];
    const comes = state
      ? state.again && state.last === page.day
        ? "It comes back today."
        : "It comes back on " + study.schedule.dateOf(state.due) + "."
      : "";
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "question" },
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        verdict(marked.right, marked.right ? "Right" : answer.unknown ? "This is the answer" : "Not right"),
      ),
      told(page, asked.measure, asked.card.kind !== "setup", asked.card.kind === "means"),
      marks(marked, answer),
      asked.card.kind === "reads"
        ? working(page, asked, session)
        : asked.card.kind === "means"
          ? meaning(page, asked)
          : settingUp(page, asked, answer),
      h(
        "p",
        { class: marked.right ? "" : "to-record" },
        marked.right ? "Its record: " : "Read its record: ",
        link(page.context.deck.measures[asked.measure].page, measureName(page.context, asked.measure)),
      ),
      h("p", { class: "hint" }, comes),
      next(page, session, at),
    );
  }

  /**
   * @param {StudyPage} page
   * @param {StudySession} session
   * @param {number} at
   */
  function next(page, session, at) {
    const last = at + 1 >= session.cards.length;
    return h(
      "p",
      { class: "actions" },
      button(last ? "Close the session" : "Next card", () => page.act.next(), {
        class: "primary",
        id: "next",
      }),
    );
  }

  /**
   * Part by part: what was answered, what is true.
   * @param {StudyMarked} marked
   * @param {StudyAnswer} answer
   */
  function marks(marked, answer) {
    return h(
      "table",
      { class: "grid marks" },
      h(
        "thead",
        null,
        h(
          "tr",
          null,
          ["Asked", "Your answer", "True"].map((name) => h("th", { scope: "col" }, name)),
        ),
      ),
      h(
        "tbody",
        null,
        marked.parts.map((part) =>
          h(
            "tr",
            null,
            h(
              "th",
              { scope: "row", "data-label": "Asked" },
              h("span", null, part.page ? link(part.page, part.name) : part.name),
            ),
            h(
              "td",
              { "data-label": "Your answer" },
              answer.unknown
                ? "\u2013"
                : h(
                    "span",
                    null,
                    verdict(part.right, part.right ? "right: " : "wrong: "),
                    part.yours || "nothing",
                  ),
            ),
            h(
              "td",
              { "data-label": "True" },
              h(
                "span",
                null,
                h("b", null, part.truth),
                part.why ? h("span", { class: "aside" }, part.why) : null,
              ),
            ),
          ),
        ),
      ),
    );
  }

  /**
   * How the healthy range follows from the circuit facts, and what the picked one belongs to.
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   * @param {StudySession} session
   */
  function working(page, asked, session) {
    const { deck, family } = page.context;
    const found = deck.measures[asked.measure].working;
    const answer = /** @type {StudyAnswer} */ (session.answers[session.answers.length - 1]);
    const range = asked.ranges.find((one) => one.text === answer.range);
    const other =
      range && !range.right
        ? Object.values(family.measurements[range.measure].outcomes).find((one) => one.id === range.outcome)
        : undefined;
    const said =
      other && range
        ? h(
            "p",
            null,
            "What you picked is ",
            range.measure === asked.measure
              ? "the outcome \u201c" + other.name + "\u201d of this measurement: "
              : "the healthy range of " + measureName(page.context, range.measure) + ": ",
            benchlore.parts.means(other),
          )
        : null;
    const strip = benchlore.parts.strip(family.measurements[asked.measure], { value: null, outcome: "" }, 0);
    if (!found)
      return [
        said,
        h(
          "p",
          null,
          family.measurements[asked.measure].links.unit === null
            ? "It is looked at, not read: no circuit fact gives it."
            : "No circuit fact gives this range; the record states it from the bench.",
        ),
        strip,
      ];
    return [
      said,
      h("h3", null, "Where the range comes from"),
      h(
        "ol",
        { class: "working" },
        found.steps.map((step) =>
          h(
            "li",
            null,
            h("p", null, h("b", { class: "id" }, step.net), ": ", step.formula),
            step.filled ? h("p", { class: "working-filled" }, step.filled) : null,
            step.given.length
              ? h(
                  "p",
                  { class: "aside" },
                  "with " + step.given.map(([name, text]) => name + " " + text).join(", "),
                )
              : null,
            h(
              "p",
              null,
              "Worst case over all tolerances: ",
              h("b", { class: "reading" }, step.worst),
              step.source ? h("span", { class: "aside" }, " (" + step.source + ")") : null,
            ),
          ),
        ),
      ),
      strip,
    ];
  }

  /**
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   */
  function meaning(page, asked) {
    const { one, family, book, deck } = page.context;
    const measurement = family.measurements[asked.measure];
    const reading = /** @type {BenchReading} */ (asked.reading);
    const said = benchlore.verdict.judge(one, asked.measure, reading);
    const meter = book.meters[deck.meter];
    const names = asked.card.between
      ? asked.card.between.map(
          (id) => (Object.values(measurement.outcomes).find((found) => found.id === id) || { name: id }).name,
        )
      : [];
    return [
      h(
        "p",
        { class: "verdict-words" },
        mark(
          said.kind !== "decided"
            ? "undecided"
            : Object.values(measurement.outcomes)[said.index].normal
              ? "normal"
              : "other",
        ),
        h("b", { class: "reading" }, shown(page.context, asked.measure, reading)),
        ": ",
        study.parts.verdictWord(page.context, asked.measure, said),
      ),
      asked.doubt
        ? h(
            "p",
            null,
            "This meter (" +
              (meter ? meter.title : deck.meter) +
              ") is off by up to " +
              benchlore.quantity.format(said.spread, measurement.links.unit || "", 2) +
              " here, so the board may have " +
              names.join(" or ") +
              ". Say that it is undecided, and measure with a better meter or elsewhere.",
          )
        : h("p", null, benchlore.parts.means(Object.values(measurement.outcomes)[said.index])),
      benchlore.parts.strip(measurement, reading, said.spread),
    ];
  }

  /**
   * @param {StudyPage} page
   * @param {StudyQuestion} asked
   * @param {StudyAnswer} answer
   */
  function settingUp(page, asked, answer) {
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
          book,
          family,
          { state: null, unplugged: [] },
          benchlore.cases.setUpOf(family, asked.measure),
        ),
        benchlore.parts.meter(book, measurement),
      ),
      benchlore.parts.hazards(book, measurement.links.hazards, []),
    ];
  }

  /**
   * @param {StudyPage} page
   * @param {StudySession} session
   */
  function ended(page, session) {
    const rows = session.cards.map((id, n) => {
      const asked = questionOf(page, session, n);
      return {
        id,
        asked,
        marked:
          asked && session.answers[n] ? study.questions.mark(page.context, asked, session.answers[n]) : null,
      };
    });
    const right = rows.filter((row) => row.marked?.right).length;
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "question" },
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        "Session closed: " + right + " of " + rows.length + " right",
      ),
      h(
        "p",
        null,
        study.deck.EXERCISES[session.exercise].title + ", seed ",
        h("b", { class: "id" }, study.seed.shown(page.context.deck, session)),
        ". Wrong ones come back today and tomorrow; each leads to its record.",
      ),
      h(
        "ul",
        { class: "links" },
        rows.map((row) =>
          h(
            "li",
            null,
            row.marked ? verdict(row.marked.right, row.marked.right ? "right" : "wrong") : null,
            " ",
            row.asked
              ? link(
                  page.context.deck.measures[row.asked.measure].page,
                  kindWord(row.asked) + measureName(page.context, row.asked.measure),
                )
              : row.id,
          ),
        ),
      ),
      h(
        "p",
        { class: "actions" },
        button("Study on", () => page.act.begin(session.exercise), { class: "primary", id: "study-on" }),
        button("Repeat this session", () => page.act.repeatSame(), { id: "repeat" }),
        button("Back to the path", () => page.act.home(), { id: "home" }),
      ),
    );
  }

  /** @param {StudyQuestion} asked */
  function kindWord(asked) {
    if (asked.card.kind === "setup") return "Set-up of ";
    return asked.card.kind === "means" ? "A reading of " : "Healthy range of ";
  }

  study.cardView = { render };
})();
