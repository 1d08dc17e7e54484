/*
 * What the last reading means, in words and on its strip; also for a reading that is only tried out.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, mark, button, plain, refusalOf } = benchlore.dom;
  const { share } = benchlore.quantity;

  /**
   * @param {BenchPage} page
   * @returns {HTMLElement | null}
   */
  function render(page) {
    const trial = page.trial;
    if (trial) return trying(page, trial);
    const last = lastEntry(page);
    if (!last) return null;
    return h(
      "section",
      { class: "panel verdict", "aria-labelledby": "verdict-title" },
      h("h2", { id: "verdict-title" }, "Last reading"),
      last,
    );
  }

  /**
   * Whether the last entry is a reading that is decided: it can stand below what follows from it.
   * @param {BenchPage} page
   */
  function settled(page) {
    const last = page.job.entries.length - 1;
    return (
      !page.trial &&
      page.job.entries[last]?.kind === "reading" &&
      page.assessment.taken.every((one) => one.entry !== last || one.verdict?.kind === "decided")
    );
  }

  /**
   * The last reading in one line, where it is decided.
   * @param {BenchPage} page
   */
  function short(page) {
    const { taken } = page.assessment;
    const judged = taken[taken.length - 1];
    const measurement = judged && page.family.measurements[judged.measure];
    const now = judged?.entry === page.job.entries.length - 1;
    if (!now || !settled(page) || !measurement || !judged.verdict) return null;
    return h(
      "p",
      { class: "last-read" },
      mark(statusOf(measurement, judged.verdict)),
      h("b", null, [sayReading(measurement, judged), word(measurement, judged.verdict)].join(" ")),
      ": " + benchlore.parts.nameOf(page.family, judged.measure),
    );
  }

  /** @param {BenchPage} page */
  function lastEntry(page) {
    const { job, assessment } = page;
    const at = job.entries.length - 1;
    const entry = job.entries[at];
    if (!entry) return null;
    const judged = assessment.taken.filter((one) => one.entry === at);
    if (entry.kind === "fix") {
      const title = page.faultTitle(entry.fault);
      const words =
        entry.result === "proved"
          ? "Repaired and verified: " + title + "."
          : "Not proved, so ruled out: " + title + ".";
      return [
        h(
          "p",
          { class: "verdict-words" },
          mark(entry.result === "proved" ? "normal" : "fault"),
          h("b", null, words),
        ),
        judged.map((one) => reading(page, one)),
      ];
    }
    return judged.map((one) => reading(page, one));
  }

  /**
   * @param {BenchPage} page
   * @param {BenchJudged} judged
   * @returns {BenchChild}
   */
  function reading(page, judged) {
    const measurement = page.family.measurements[judged.measure];
    if (!measurement || !judged.reading || !judged.verdict) {
      return h(
        "p",
        { class: "verdict-words" },
        mark("undecided"),
        h(
          "b",
          null,
          "\u201c" +
            judged.text +
            "\u201d says nothing: " +
            (judged.refusal ? judged.refusal.reason : "") +
            ".",
        ),
      );
    }
    const { verdict } = judged;
    return h(
      "div",
      { class: "verdict-one" + (verdict.kind === "decided" && !page.trial ? " verdict-decided" : "") },
      h("p", { class: "verdict-name" }, benchlore.parts.nameOf(page.family, judged.measure)),
      h(
        "p",
        { class: "verdict-words" },
        mark(statusOf(measurement, verdict)),
        h("b", { class: "reading" }, sayReading(measurement, judged)),
        " ",
        h("b", null, word(measurement, verdict)),
      ),
      verdict.kind === "decided"
        ? h(
            "p",
            { class: "means" },
            benchlore.parts.means(Object.values(measurement.outcomes)[verdict.index]),
          )
        : h("p", { class: "means" }, doubt(page, measurement, judged)),
      judged.reading.note
        ? h("p", { class: "means" }, benchlore.dom.capital(judged.reading.note) + ".")
        : null,
      benchlore.parts.strip(measurement, judged.reading, verdict.spread),
      likely(measurement, verdict),
      verdict.kind === "decided" || page.trial ? null : again(page, judged.measure, measurement),
    );
  }

  /**
   * A field of its own for the reading that is taken again: the card's field asks for another one.
   * @param {BenchPage} page
   * @param {string} id
   * @param {BenchMeasurement} measurement
   */
  function again(page, id, measurement) {
    const key = "read-" + id;
    const refusal = page.ui.refusals[key];
    const there = page.next.kind === "measure" && page.next.id === id;
    const numbered = measurement.links.unit !== null && !there;
    return h(
      "form",
      {
        class: "again",
        autocomplete: "off",
        onsubmit: (/** @type {Event} */ event) => {
          event.preventDefault();
          page.act.enter(id, page.ui.drafts[key] || "", "again-reading");
        },
      },
      numbered
        ? [
            h(
              "label",
              { class: "field", for: "again-reading" },
              "Again: " + benchlore.nextView.titleOf(page, id),
            ),
            h(
              "div",
              { class: "entry-row" },
              benchlore.field.field({
                id: "again-reading",
                unit: benchlore.nextView.unitOf(measurement),
                value: page.ui.drafts[key] || "",
                refused: refusal !== undefined,
                by: "again-refusal" + (measurement.compare ? " again-hint" : ""),
                act: (text) => page.act.type(key, text),
              }),
              h("button", { type: "submit", id: "enter-again" }, "Enter again"),
              benchlore.field.keys("again-reading", measurement.compare !== null),
            ),
            measurement.compare
              ? h("p", { class: "hint", id: "again-hint" }, benchlore.nextView.bothOf(measurement))
              : null,
            refusalOf(refusal, "again-refusal", (choice) => page.act.enter(id, choice, "again-reading")),
          ]
        : null,
      there
        ? null
        : h(
            "p",
            { class: "actions" },
            button("Show how it is measured", () => page.act.choose("measure", id), {
              key: "a",
              id: "again",
              class: "quiet",
            }),
          ),
    );
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {BenchVerdict} verdict
   */
  function statusOf(measurement, verdict) {
    if (verdict.kind !== "decided") return "undecided";
    return Object.values(measurement.outcomes)[verdict.index].normal ? "normal" : "other";
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {BenchVerdict} verdict
   */
  function word(measurement, verdict) {
    if (verdict.kind === "undecided") return "undecided";
    if (verdict.kind === "outside") return "fits no outcome";
    const outcome = Object.values(measurement.outcomes)[verdict.index];
    return outcome.name + (outcome.normal && outcome.name !== "normal" ? ", normal" : "");
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {BenchJudged} judged
   */
  function sayReading(measurement, judged) {
    const { reading, verdict } = judged;
    if (!reading || !verdict || reading.outcome !== null) return "";
    if (reading.value === null) return "OL:";
    if (reading.span) return benchlore.parts.shown(measurement, reading) + ", unsteady:";
    return benchlore.quantity.withSpread(reading.value, verdict.spread, measurement.links.unit || "") + ":";
  }

  /**
   * @param {BenchSnapshot} page
   * @param {BenchMeasurement} measurement
   * @param {BenchJudged} judged
   */
  function doubt(page, measurement, judged) {
    const { verdict } = judged;
    if (!verdict) return "";
    if (verdict.kind === "outside")
      return "It fits no outcome of this measurement. Check the point, the bench state and the leads, and measure again.";
    const names = verdict.between.map((index) => Object.values(measurement.outcomes)[index].name);
    if (verdict.beside)
      return (
        "The reading lies between " +
        names.join(" and ") +
        ", and may be either. The ranking takes both into account."
      );
    const meter = page.book.meters[judged.meter];
    return (
      "This meter cannot decide between " +
      names.join(" and ") +
      ": the reading lies within its accuracy of both. " +
      "The ranking takes both into account. A better meter than \u201c" +
      (meter ? meter.title : judged.meter) +
      "\u201d may settle it."
    );
  }

  /**
   * The outcomes that are possible, when more than one is.
   * @param {BenchMeasurement} measurement
   * @param {BenchVerdict} verdict
   */
  function likely(measurement, verdict) {
    const rows = verdict.outcomes.map((p, index) => ({ p, index })).filter((row) => row.p >= 0.005);
    if (rows.length < 2) return null;
    rows.sort((a, b) => b.p - a.p);
    return h(
      "p",
      { class: "likely" },
      rows.map((row) => [
        h(
          "span",
          { class: "likely-one" },
          benchlore.parts.outcome(Object.values(measurement.outcomes)[row.index]),
          " ",
          share(row.p),
        ),
        " ",
      ]),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchTrial} trial
   */
  function trying(page, trial) {
    const next = trial.assessment.choices[0];
    const leader = trial.assessment.ranking[0];
    return h(
      "section",
      { class: "panel verdict verdict-trial", "aria-labelledby": "verdict-title" },
      h("h2", { id: "verdict-title", tabindex: "-1" }, "What if \u2014 not entered"),
      reading(page, trial.judged),
      h(
        "p",
        null,
        "Then first: ",
        h("b", null, page.titleOf(leader.index)),
        ", " + share(leader.p) + ". Next would be: " + page.actionName(next) + ".",
      ),
      h(
        "p",
        { class: "actions" },
        button("Enter it", () => page.act.enter(trial.judged.measure, trial.judged.text), {
          class: "primary",
          id: "trial-enter",
        }),
        button("Forget it", () => page.act.forget(), { key: "Esc", id: "trial-forget" }),
      ),
    );
  }

  /**
   * The verdict in one sentence, to be read out.
   * @param {BenchSnapshot} page
   * @param {BenchJudged} judged
   */
  function say(page, judged) {
    const measurement = page.family.measurements[judged.measure];
    if (!measurement || !judged.reading || !judged.verdict) return "";
    const start = sayReading(measurement, judged);
    if (judged.verdict.kind !== "decided")
      return start + " " + word(measurement, judged.verdict) + ". " + doubt(page, measurement, judged);
    const outcome = Object.values(measurement.outcomes)[judged.verdict.index];
    return (
      start +
      " " +
      word(measurement, judged.verdict) +
      ". " +
      plain(outcome.html.means) +
      (outcome.stop ? " " + benchlore.parts.STOP : "")
    );
  }

  benchlore.verdictView = { render, say, settled, short, word, statusOf };
})();
