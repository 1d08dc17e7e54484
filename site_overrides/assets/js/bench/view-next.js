/*
 * What to do next, on one card: its worst hazard, set-up, place, meter, the reading. And what else could be done.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, mark, button, details, refusalOf, capital } = benchlore.dom;
  const { minutes, share } = benchlore.quantity;

  /**
   * The card of the chosen action, or of the best one, where that is no fix.
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  function render(page) {
    const action = page.next;
    if (action.kind === "escalate") return escalate(page);
    return measure(page, action.id);
  }

  /**
   * @param {BenchPage} page
   * @param {string} id
   */
  function measure(page, id) {
    const { book, family, assessment } = page;
    const measurement = family.measurements[id];
    const answered = measurement.links.unit === null;
    const begins = page.job.entries.length <= page.ui.opened;
    const brought = benchlore.hazards.brought(page);
    const top = benchlore.hazards.bySeverity(book, [...brought, ...measurement.links.hazards])[0];
    /** @param {readonly string[]} [beside] */
    const worst = (beside) => benchlore.hazards.top(book, [...brought, ...measurement.links.hazards], beside);
    // Unfolded is the most serious of them, and what this step brings itself: all would push what to do off the screen.
    const lesser = benchlore.hazards
      .bySeverity(book, brought)
      .slice(1)
      .map(({ id }) => id)
      .filter((id) => !measurement.links.hazards.includes(id));
    const above = benchlore.hazards.above(page);
    const barred = assessment.locks.filter((one) => benchlore.interlock.bars([one], measurement.state));
    const early = readFirst(page, id);
    const head = answered && barred.length === 0 ? "pinned" : null;
    return h(
      "article",
      { class: "panel next", "aria-labelledby": "next-title" },
      benchlore.parts.stop(page),
      worst([...brought, ...above]),
      benchlore.hazards.lines(book, brought, [...page.met, ...lesser]),
      begins ? benchlore.parts.symptomNotes(page) : null,
      h(
        "div",
        { class: head },
        head ? pinnedHazard(page, worst) : null,
        h("p", { class: "kicker" }, chosenWord(page, "Next")),
        h("h2", { id: "next-title", tabindex: "-1" }, titleOf(page, id)),
        measurement.between.length || measurement.compare
          ? null
          : benchlore.parts.pointInWords(family, page.job.revision, measurement.at),
        rich("p", { class: "asks" }, measurement.html.asks),
      ),
      barred.length
        ? barred.map((one) => barredBy(page, one))
        : [early ? h("p", { class: "note" }, capital(early) + ".") : null, work()],
      clash(page),
      barred.length ? null : why(page, id),
      others(page),
    );

    function work() {
      return [
        h(
          "ol",
          { class: "card-steps" },
          benchlore.parts.setUp(family, assessment.stands, benchlore.cases.setUpOf(family, id)),
          benchlore.parts.meter(
            book,
            measurement,
            benchlore.hazards.lines(
              book,
              benchlore.hazards.added(family, measurement.links.hazards),
              page.met,
              new Set(brought),
              top ? [top.id] : [],
            ),
          ),
          benchlore.parts.where(family, page.job.revision, measurement),
          answered
            ? h(
                "li",
                { class: "step step-read" },
                h("span", { class: "step-what" }, "Answer"),
                h("div", { class: "step-how" }, named(page, id), healthy(measurement)),
              )
            : null,
        ),
        answered
          ? null
          : [field(page, id, worst), h("div", { class: "read-more" }, healthy(measurement), taken(page, id))],
      ];
    }
  }

  /**
   * Why a measurement is not made while a reading bars its source, and what clears that.
   * @param {BenchPage} page
   * @param {BenchStanding} one
   */
  function barredBy(page, { measure, outcome, lock }) {
    const { family } = page;
    return h(
      "p",
      { class: "note" },
      "Barred by " + benchlore.parts.nameOf(family, measure) + ": ",
      h("b", null, benchlore.cases.outcomeOf(family, measure, outcome).name),
      ". " + benchlore.parts.until(page, lock),
    );
  }

  /**
   * What is read before a source goes in for a measurement, in words; "" where nothing is.
   * @param {BenchPage} page
   * @param {string} id
   */
  function readFirst({ family, assessment }, id) {
    const { choices, place } = assessment;
    if (!benchlore.cases.isLive(family, family.measurements[id])) return "";
    const best = choices.find(({ kind, index }) => kind === "measure" && place.first.includes(index));
    if (!best) return "";
    return "read first, before a source goes in: " + benchlore.parts.nameOf(family, best.id);
  }

  /**
   * Why a measurement is none of the choices, in few words; "" where nothing in the book says what it reads.
   * @param {BenchPage} page
   * @param {string} id
   */
  function heldBack(page, id) {
    const { family, assessment } = page;
    const measurement = family.measurements[id];
    if (benchlore.interlock.bars(assessment.locks, measurement.state)) return "barred: no power now";
    const lacks = measurement.links.unit !== null && assessment.one.scales[id].ranges.length === 0;
    return readFirst(page, id) || (lacks ? "this meter has no such function" : "");
  }

  /**
   * `DC volts on MAIN at C55, E7 out`, `Look at J5`.
   * @param {BenchPage} page
   * @param {string} id
   */
  function titleOf(page, id) {
    const measurement = page.family.measurements[id];
    const { at, mode, unplugged } = measurement;
    const known = benchlore.vocabulary.functions[mode];
    const place = page.family.test_points[at];
    const word = known ? known.label : mode;
    const out = benchlore.parts.outOf(unplugged);
    if (benchlore.parts.isFelt(measurement)) return word + " at " + at + out;
    return word + " on " + (place?.net ? place.net + " at " : "") + at + out;
  }

  /** @param {BenchMeasurement} measurement */
  function healthy(measurement) {
    const normal = Object.values(measurement.outcomes).filter((outcome) => outcome.normal);
    return h(
      "p",
      { class: "healthy" },
      "Healthy: ",
      normal.map((outcome) => [benchlore.parts.outcome(outcome), " "]),
    );
  }

  /**
   * What the field asks for, in one line, as its label: it stays in sight with the field.
   * @param {BenchPage} page
   * @param {string} id
   */
  function asked(page, id) {
    const measurement = page.family.measurements[id];
    const state = page.family.states[measurement.state];
    const normal = Object.values(measurement.outcomes).filter((outcome) => outcome.normal);
    return h(
      "label",
      { class: "asked", id: "reading-asked", for: "reading" },
      page.ui.supposing ? "What if, not entered: " : null,
      h("b", null, titleOf(page, id)),
      state ? " \u00b7 " + state.short : null,
      normal.length ? " \u00b7 healthy " : null,
      normal.map((outcome, n) => [n ? " or " : "", outcome.words.range || outcome.name]),
    );
  }

  /**
   * The worst hazard of what is asked, within what a phone keeps in sight: until the standing hazards are read, the
   * card is below its window.
   * @param {BenchPage} page
   * @param {() => HTMLElement | null} worst
   */
  function pinnedHazard(page, worst) {
    return page.ui.read ? null : worst();
  }

  /**
   * The field of the reading; it stays in sight while the card is longer than the window.
   * @param {BenchPage} page
   * @param {string} id
   * @param {() => HTMLElement | null} worst
   */
  function field(page, id, worst) {
    const { ui, family } = page;
    const measurement = family.measurements[id];
    const key = "read-" + id;
    const refusal = ui.refusals[key];
    return h(
      "form",
      {
        class: "entry pinned",
        autocomplete: "off",
        onsubmit: (/** @type {Event} */ event) => {
          event.preventDefault();
          const typed = page.ui.drafts[key] || "";
          if (ui.supposing) page.act.whatIf(id, typed);
          else page.act.enter(id, typed);
        },
      },
      pinnedHazard(page, worst),
      asked(page, id),
      h(
        "div",
        { class: "entry-row" },
        benchlore.field.field({
          id: "reading",
          unit: unitOf(measurement),
          value: ui.drafts[key] || "",
          refused: refusal !== undefined,
          by: "reading-refusal reading-hint",
          act: (text) => page.act.type(key, text),
          trial: (text) => page.act.whatIf(id, text),
        }),
        h(
          "button",
          { type: "submit", class: "primary", id: "enter-reading" },
          ui.supposing ? "Try it" : "Enter",
        ),
        benchlore.field.keys("reading", measurement.compare !== null),
        button("What if", () => page.act.suppose(id), {
          name: "What if: show what a reading would mean, without entering it",
          id: "what-if",
          class: "quiet",
          pressed: ui.supposing,
        }),
      ),
      refusalOf(refusal, "reading-refusal", (choice) => page.act.enter(id, choice)),
    );
  }

  /** The unit of what is typed: of a comparison that of both readings. @param {BenchMeasurement} measurement */
  function unitOf({ compare, mode, links }) {
    return (compare ? benchlore.vocabulary.functions[mode]?.unit : links.unit) || "";
  }

  /** How a comparison is typed. @param {BenchMeasurement} measurement */
  function bothOf({ at }) {
    return `Both readings, ${at} first, with a slash between: A / B.`;
  }

  /**
   * How a reading is typed, and which meter took it.
   * @param {BenchPage} page
   * @param {string} id
   */
  function taken(page, id) {
    const { book, family } = page;
    const has = (book.meters[page.readingMeter] || { accuracy: /** @type {BenchMeter["accuracy"]} */ ({}) })
      .accuracy[family.measurements[id].mode];
    return [
      h(
        "p",
        { class: "hint", id: "reading-hint" },
        family.measurements[id].compare
          ? bothOf(family.measurements[id])
          : "Type the unit that you see: 22k, 470m; OL when it is over range.",
      ),
      takenWith(page),
      has ? null : namedToo(page, id),
    ];
  }

  /** The meter of this reading. @param {BenchPage} page */
  function takenWith(page) {
    return h(
      "label",
      { class: "inline-field" },
      "Meter used ",
      h(
        "select",
        {
          id: "reading-meter",
          onchange: (/** @type {Event} */ event) =>
            page.act.useMeter(/** @type {HTMLSelectElement} */ (event.target).value),
        },
        Object.entries(page.book.meters).map(([name, meter]) =>
          h("option", { value: name, selected: name === page.readingMeter }, meter ? meter.title : name),
        ),
      ),
    );
  }

  /**
   * Where the meter lacks the function the outcome can still be named.
   * @param {BenchPage} page
   * @param {string} id
   */
  function namedToo(page, id) {
    return [
      h(
        "p",
        { class: "note" },
        "This meter has no such function. Choose the meter that was used, or name what was seen:",
      ),
      named(page, id),
    ];
  }

  /**
   * @param {BenchPage} page
   * @param {string} id
   */
  function named(page, id) {
    const measurement = page.family.measurements[id];
    return h(
      "ol",
      { class: "answers" },
      Object.values(measurement.outcomes).map((outcome, n) =>
        benchlore.parts.answer(n, () => page.act.enter(id, outcome.id), [
          benchlore.parts.outcome(outcome),
          h("span", { class: "means" }, benchlore.parts.means(outcome)),
        ]),
      ),
      h("li", { class: "refusal-item" }, refusalOf(page.ui.refusals["read-" + id], "answer-refusal")),
      h(
        "li",
        null,
        details("what-ifs", "What if: see what an answer would mean, without entering it", () =>
          whatIfs(page, id),
        ),
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {string} id
   */
  function whatIfs(page, id) {
    const outcomes = Object.values(page.family.measurements[id].outcomes);
    return h(
      "p",
      { class: "actions" },
      outcomes.map((outcome) =>
        button(outcome.name, () => page.act.whatIf(id, outcome.id), {
          class: "quiet",
          name: "What if: " + outcome.name,
        }),
      ),
    );
  }

  /**
   * Why this is next: what it costs and saves, and what each outcome would settle.
   * @param {BenchPage} page
   * @param {string} id
   */
  function why(page, id) {
    const { assessment } = page;
    const choice = assessment.choices.find((one) => one.kind === "measure" && one.id === id);
    if (!choice) {
      const done = assessment.measured.includes(id);
      if (!done && readFirst(page, id)) return null; // said above its set-up
      return h(
        "p",
        { class: "why" },
        done
          ? "Measured already. The last reading of a measurement counts."
          : capital(
              heldBack(page, id) || "no fault of the book says what this reads; it cannot change the ranking",
            ) + ".",
      );
    }
    if (assessment.measured.includes(id)) {
      return h(
        "p",
        { class: "why" },
        "Measured already, and it contradicts another entry. It takes " + minutes(choice.minutes) + ".",
      );
    }
    return h(
      "div",
      { class: "why" },
      h("p", null, "It takes " + minutes(choice.minutes) + ". ", worth(assessment, choice)),
      details("settles", "What each result tells", () => settles(page, id)),
    );
  }

  /**
   * What a measurement saves. While nothing explains the readings, no promise is made.
   * @param {BenchAssessment} assessment
   * @param {BenchAction} choice
   */
  function worth(assessment, choice) {
    if (!assessment.explained) return null;
    const togo = ["About ", h("b", null, minutes(choice.expected)), " to go"];
    const saved = assessment.guess - choice.expected;
    return saved > 0.5
      ? [togo, ", " + minutes(saved) + " less than without measuring."]
      : [togo, ", as with fixing straight away."];
  }

  /**
   * @param {BenchPage} page
   * @param {string} id
   */
  function settles(page, id) {
    const outcomes = Object.values(page.family.measurements[id].outcomes);
    const rows = benchlore.assess
      .settles(page.assessment, id)
      .map((row, n) =>
        h(
          "tr",
          null,
          h("th", { scope: "row", "data-label": "If it reads" }, benchlore.parts.outcome(outcomes[n])),
          h("td", { "data-label": "Likely" }, share(row.probability)),
          h("td", { "data-label": "Then first" }, page.titleOf(row.leader) + ", " + share(row.share)),
        ),
      );
    const heads = ["If it reads", "Likely", "Then first"].map((name) => h("th", { scope: "col" }, name));
    const table = h(
      "table",
      { class: "grid" },
      h("thead", null, h("tr", null, heads)),
      h("tbody", null, rows),
    );
    return h("div", { class: "table-wrap" }, table);
  }

  /**
   * The two next-best actions, each one key away, and the way to all the others.
   * @param {BenchPage} page
   */
  function others(page) {
    const rest = page.assessment.choices
      .filter((one) => one.kind !== page.next.kind || one.id !== page.next.id)
      .slice(0, 2);
    return h(
      "div",
      { class: "others" },
      h("p", { class: "field" }, rest.some(({ kind }) => kind !== "measure") ? "Or" : "Or measure"),
      rest.map((action, n) =>
        button(
          page.actionName(action) + " (" + minutes(action.expected) + ")",
          () => page.act.choose(action.kind, action.id),
          { key: n === 0 ? "s" : "t", class: "other", id: "other-" + (n + 1) },
        ),
      ),
      button("All steps", () => page.act.open("list"), { key: "l", class: "other", id: "any-other" }),
    );
  }

  /** @param {BenchPage} page */
  function escalate(page) {
    const { book, assessment } = page;
    return h(
      "article",
      { class: "panel next", "aria-labelledby": "next-title" },
      benchlore.parts.stop(page),
      h("p", { class: "kicker" }, chosenWord(page, "Next")),
      h("h2", { id: "next-title", tabindex: "-1" }, "Escalate: " + book.shop.escalate.to),
      h(
        "p",
        { class: "asks" },
        "No measurement or fix is worth its time now. " +
          capital(book.shop.escalate.to) +
          " costs " +
          minutes(book.shop.escalate.minutes) +
          ".",
      ),
      leader(page),
      clash(page),
      h(
        "p",
        { class: "actions" },
        button("Close the job as escalated", () => page.act.escalate(), { class: "primary", id: "escalate" }),
      ),
      assessment.choices.length > 1
        ? others(page)
        : h(
            "p",
            { class: "actions" },
            button("All steps", () => page.act.open("list"), { key: "l" }),
          ),
    );
  }

  /**
   * Whoever goes on wants to know what it most likely is, and why this bench does not mend it.
   * @param {BenchPage} page
   */
  function leader(page) {
    const row = page.assessment.ranking[0];
    if (row.id === "" || row.out) return null;
    return h(
      "p",
      null,
      "Likeliest: ",
      h("b", null, page.faultTitle(row.id)),
      ", " + share(row.p) + ". Its fix takes " + minutes(row.minutes) + ".",
    );
  }

  /**
   * Two entries that contradict each other, and which to measure again.
   * @param {BenchPage} page
   */
  function contradiction(page) {
    const { assessment, family } = page;
    return assessment.contradictions.map(({ readings, again }) =>
      h(
        "div",
        { class: "note clash" },
        h("p", null, mark("undecided"), h("b", null, "Two entries contradict each other:")),
        h(
          "ul",
          null,
          readings.map((id) => h("li", null, entry(page, id))),
        ),
        again.length
          ? h(
              "p",
              null,
              "One of them is wrong, or the board changed in between. Before anything else measure this one again: ",
              h("b", null, benchlore.parts.nameOf(family, again[0])),
              again.length > 1 ? ", or the other." : ".",
            )
          : h(
              "p",
              null,
              "Each was read twice, or is barred now: the board changed in between, or a point or a set-up is another one.",
            ),
      ),
    );
  }

  /**
   * A measurement with its last reading.
   * @param {BenchPage} page
   * @param {string} id
   */
  function entry(page, id) {
    const { assessment, family } = page;
    const found = assessment.evidence.readings.find((taken) => taken.measure === id);
    const read = found ? benchlore.parts.shown(family.measurements[id], found.reading) : "";
    return benchlore.parts.nameOf(family, id) + ": " + read;
  }

  /** @param {BenchPage} page */
  function clash(page) {
    const { assessment, family } = page;
    if (assessment.contradictions.length) return contradiction(page);
    if (assessment.explained) return null;
    const names = assessment.clashes.map((id) => benchlore.parts.nameOf(family, id));
    return h(
      "div",
      { class: "note clash" },
      h(
        "p",
        null,
        mark("undecided"),
        h("b", null, "Nothing in the book explains this."),
        names.length
          ? " The likeliest fault leaves these readings unexplained; check them before you go on:"
          : " Check the readings before you go on.",
      ),
      h(
        "ul",
        null,
        names.map((name) => h("li", null, name)),
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {string} usual
   */
  function chosenWord(page, usual) {
    return page.ui.chosen ? "Your choice" : usual;
  }

  benchlore.nextView = { render, others, bothOf, chosenWord, heldBack, takenWith, titleOf, unitOf };
})();
