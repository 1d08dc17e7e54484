/*
 * One step of a walk: what can hurt, how to set up, where to probe, the reading. What the records say comes behind the
 * reading, so that nobody reads what they expect.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));
  const { h, rich, mark, button, refusalOf, capital } = benchlore.dom;
  const { minutes } = benchlore.quantity;

  /** @type {(page: WalkPage, walk: WalkRecord, step: WalkStep) => HTMLDivElement} */
  function render(page, walk, step) {
    const { book, family } = page;
    const measurement = family.measurements[step.measure];
    const barred = page.locks.filter((one) => one.lock.states.includes(step.setUp.state || ""));
    return h(
      "div",
      { class: "walk-work" },
      last(page, walk),
      benchlore.hazards.before(
        /** @type {any} */ ({ ...page, ui: { read: page.ui.read }, outcome: { state: "open" } }),
      ),
      h(
        "article",
        { class: "panel next", "aria-labelledby": "next-title" },
        barred.length
          ? benchlore.parts.stop(/** @type {any} */ ({ assessment: { locks: barred }, family }))
          : benchlore.hazards.top(book, measurement.links.hazards),
        h("p", { class: "kicker" }, progress(walk, step)),
        h("h2", { id: "next-title", tabindex: "-1" }, titleOf(page, step.measure)),
        barred.length ? refused(page, step) : work(page, walk, step),
      ),
      h(
        "p",
        { class: "actions walk-ways" },
        button("Point before", () => page.act.back(), { id: "back", disabled: walk.readings.length === 0 }),
        button("What was read", () => page.act.end(), { id: "end" }),
        walk.family ? null : button("Points", () => page.act.points(), { id: "points" }),
        button("All walks", () => page.act.leave(), { id: "leave" }),
      ),
    );
  }

  /**
   * @param {WalkPage} page
   * @param {WalkRecord} walk
   * @param {WalkStep} step
   */
  function work(page, walk, step) {
    const { book, family } = page;
    const measurement = family.measurements[step.measure];
    const { added, lines } = benchlore.hazards;
    const point = walk.points.find((one) => one.id === step.measure);
    const answered = measurement.links.unit === null;
    return [
      h(
        "ol",
        { class: "card-steps" },
        benchlore.parts.setUp(family, page.stands, step.setUp),
        benchlore.parts.meter(
          book,
          measurement,
          lines(book, added(family, measurement.links.hazards), page.met),
        ),
        benchlore.parts.where(family, walk.revision, measurement) || (point ? free(point) : null),
        answered
          ? h(
              "li",
              { class: "step step-read" },
              h("span", { class: "step-what" }, "Answer"),
              h(
                "div",
                { class: "step-how" },
                measurement.html.asks ? rich("p", null, measurement.html.asks) : null,
                named(page, step),
              ),
            )
          : null,
      ),
      answered ? skip(page, step) : entry(page, step),
    ];
  }

  /** @param {WalkPoint} point */
  function free(point) {
    return h(
      "li",
      { class: "step step-probe" },
      h("span", { class: "step-what" }, "Probe"),
      h(
        "div",
        { class: "step-how" },
        h(
          "p",
          { class: "step-main" },
          h("b", { class: "id" }, point.at),
          " on ",
          h("b", { class: "id" }, point.net),
        ),
        point.where ? h("p", { class: "where-words" }, point.where) : null,
      ),
    );
  }

  /** @type {(page: WalkPage, step: WalkStep) => HTMLFormElement} */
  function entry(page, step) {
    const measurement = page.family.measurements[step.measure];
    const refusal = page.ui.refusals.reading;
    return h(
      "form",
      {
        class: "entry pinned",
        autocomplete: "off",
        onsubmit: (/** @type {Event} */ event) => {
          event.preventDefault();
          page.act.enter(step.measure, page.ui.drafts.reading || "");
        },
      },
      h(
        "label",
        { class: "asked", for: "reading" },
        h("b", null, titleOf(page, step.measure)),
        " \u00b7 " + (page.family.states[step.setUp.state || ""]?.short || ""),
      ),
      h(
        "div",
        { class: "entry-row" },
        benchlore.field.field({
          id: "reading",
          unit: measurement.links.unit || "",
          value: page.ui.drafts.reading || "",
          refused: refusal !== undefined,
          by: "reading-refusal reading-hint",
          act: (text) => page.act.draft("reading", text),
        }),
        h("button", { type: "submit", class: "primary", id: "enter-reading" }, "Enter"),
        benchlore.field.keys("reading"),
        leaveOut(page, step),
      ),
      h(
        "p",
        { class: "hint", id: "reading-hint" },
        "Type the unit that you see: 22k, 470m; OL when it is over range.",
      ),
      refusalOf(refusal, "reading-refusal", (choice) => page.act.enter(step.measure, choice)),
    );
  }

  /** @type {(page: WalkPage, step: WalkStep) => HTMLOListElement} */
  function named(page, step) {
    return h(
      "ol",
      { class: "answers" },
      Object.values(page.family.measurements[step.measure].outcomes).map((outcome, n) =>
        benchlore.parts.answer(n, () => page.act.enter(step.measure, outcome.id), h("b", null, outcome.name)),
      ),
    );
  }

  /** @type {(page: WalkPage, step: WalkStep) => HTMLParagraphElement} */
  function skip(page, step) {
    return h("p", { class: "actions" }, leaveOut(page, step));
  }

  /** @type {(page: WalkPage, step: WalkStep) => HTMLButtonElement} */
  function leaveOut(page, step) {
    return button("Leave out", () => page.act.skip(step.measure), {
      class: "quiet",
      id: "leave-out",
      name: "Leave this point out",
    });
  }

  /**
   * No power while a reading bars it: a good board does not read so.
   * @type {(page: WalkPage, step: WalkStep) => HTMLParagraphElement[]}
   */
  function refused(page, step) {
    return [
      h(
        "p",
        null,
        "A good board does not read so. If it was mistyped, take it back and type what the meter showed. If not, this board is no pattern for others: end the walk.",
      ),
      h(
        "p",
        { class: "actions" },
        page.locks.map(({ measure }) =>
          button("Mistyped: take back " + benchlore.parts.nameOf(page.family, measure), () =>
            page.act.takeBack(measure),
          ),
        ),
        leaveOut(page, step),
      ),
    ];
  }

  /**
   * `12 of 38, about 40 min to go`.
   * @type {(walk: WalkRecord, step: WalkStep) => string}
   */
  function progress(walk, step) {
    const steps = walks.route.steps(walk);
    const place = steps.findIndex((one) => one.measure === step.measure) + 1;
    return place + " of " + steps.length + ", about " + minutes(walks.route.minutesLeft(walk)) + " to go";
  }

  /** @type {(page: WalkPage, id: string) => string} */
  function titleOf(page, id) {
    const { at, mode, unplugged, links } = page.family.measurements[id];
    const word = benchlore.vocabulary.functions[mode]?.label || mode;
    const out = benchlore.parts.outOf(unplugged);
    return links.unit === null ? word + " at " + at + out : word + " on " + links.net + " at " + at + out;
  }

  /**
   * What was read last, and how it stands beside the records.
   * @type {(page: WalkPage, walk: WalkRecord) => HTMLParagraphElement | null}
   */
  function last(page, walk) {
    const taken = walk.readings[walk.readings.length - 1];
    const measurement = taken && page.family.measurements[taken.measure];
    if (!taken || !measurement) return null;
    const said = taken.text ? judged(page, measurement, taken) : ["left out"];
    return h(
      "p",
      { class: "walk-last", id: "last", role: "status" },
      "Last: " + titleOf(page, taken.measure) + ": ",
      said,
      " ",
      button("Read it again", () => page.act.again(taken.measure), { class: "quiet" }),
    );
  }

  /**
   * A reading in words, with its verdict.
   * @type {(page: WalkPage, measurement: BenchMeasurement, taken: WalkTaken) => BenchChild}
   */
  function judged(page, measurement, taken) {
    const shown = walks.compare.show(measurement, page.book.meters[taken.meter], taken.text);
    if (!walks.compare.isShown(shown)) return [h("b", null, taken.text), " cannot be read: " + shown.reason];
    const words = h("b", { class: "reading" }, capital(benchlore.parts.shown(measurement, shown.reading)));
    if (Object.keys(measurement.outcomes).length === 0) return words;
    return [words, ", ", verdict(measurement, walks.compare.judge(measurement, shown))];
  }

  /**
   * `as the book says`, `0.12 V below what the book says (8.35 to 8.45 V)`.
   * @type {(measurement: BenchMeasurement, judged: WalkJudged) => BenchChild}
   */
  function verdict(measurement, judged) {
    if (judged.verdict === "agrees") return [mark("normal"), " as the book says"];
    const off = Number.isFinite(judged.off)
      ? benchlore.quantity.format(Math.abs(judged.off), measurement.links.unit || "", 2) +
        (judged.off > 0 ? " above" : " below") +
        " what the book says"
      : "not what the book says";
    const edge = judged.verdict === "edge";
    return [mark(edge ? "undecided" : "other"), " " + off, edge ? ", within the meter\u2019s error" : ""];
  }

  walks.stepView = { render, titleOf, judged, verdict };
})();
