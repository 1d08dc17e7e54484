/*
 * Which faults are likely: probability as number and bar, minutes to try, the move of the last entry, and why.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, mark, button, details } = benchlore.dom;
  const { share, minutes } = benchlore.quantity;

  const SHOWN = 6;
  const LEAST_MOVE = 0.005;

  const TRIED = "Its fix was tried and not proved.";
  const RENEWED = "Its part was new then: a fix that would have mended this, too, was tried and not proved.";
  const SWAPPED = "Another one that is good was tried, and the symptom stayed.";

  /**
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  function render(page) {
    const { assessment, ui } = page;
    const source = page.trial ? page.trial.assessment : assessment;
    const rows = source.ranking;
    const whose = benchlore.assess.whose(source);
    const unknown = rows.find((row) => row.id === "");
    const shown = ui.allFaults ? rows : rows.filter((row, n) => n < SHOWN || row === unknown);
    const more = rows.length > shown.length;
    return h(
      "section",
      { class: "panel ranking", "aria-labelledby": "ranking-title" },
      h("h2", { id: "ranking-title", tabindex: "-1" }, page.trial ? "Ranking, what if" : "Ranking"),
      h(
        "p",
        { class: "whose" },
        "Whose fault: ",
        whose.map(([name, p], n) => [n ? ", " : "", name + " ", h("b", null, share(p))]),
        ".",
      ),
      source.both.map((pair) => both(page, pair)),
      h(
        "ol",
        { class: more ? "ranks ranks-few" : "ranks" },
        shown.map((row) => rank(page, source, row)),
      ),
      more || ui.allFaults
        ? button(
            ui.allFaults ? "Show the likely ones" : "Show all " + rows.length,
            () => page.act.allFaults(),
            { id: "all-faults" },
          )
        : null,
    );
  }

  /**
   * Two faults that explain what no single one does.
   * @param {BenchPage} page
   * @param {BenchBoth} pair
   */
  function both(page, { faults, probability }) {
    return h(
      "p",
      { class: "both" },
      mark("undecided"),
      h("b", null, "Perhaps both, " + share(probability) + ": "),
      faults.map((index, n) => [n ? " and " : "", page.titleOf(index)]),
      ". No single fault explains all the readings; below, each by itself.",
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchAssessment} source
   * @param {BenchRank} row
   */
  function rank(page, source, row) {
    const known = page.family.faults[row.id] || page.family.suspects[row.id];
    const bar = h("span", { class: "bar", "aria-hidden": "true" }, h("span", { class: "bar-fill" }));
    const fill = /** @type {HTMLElement} */ (bar.firstElementChild);
    fill.style.width = (100 * row.p).toFixed(2) + "%";
    return h(
      "li",
      { class: "rank" + (row.out ? " rank-out" : "") + (row.id ? "" : " rank-else") },
      details(
        "rank-" + (known ? row.id.replace("/", "-") : "unknown"),
        [
          h("span", { class: "rank-title" }, page.titleOf(row.index), suspected(page, row)),
          bar,
          h(
            "span",
            { class: "rank-figures" },
            h("b", { class: "rank-share" }, row.out ? "out" : share(row.p)),
            h("span", { class: "rank-minutes" }, minutes(row.minutes) + (known ? " to try" : " to escalate")),
            move(row),
          ),
        ],
        () => why(page, source, row),
      ),
    );
  }

  /**
   * A mark on what has no record: the circuit alone suspects it, or it is outside the board.
   * @param {BenchPage} page
   * @param {BenchRank} row
   */
  function suspected(page, row) {
    const suspect = page.family.suspects[row.id];
    return suspect
      ? h("span", { class: "aside" }, suspect.outside ? " (not the board)" : " (suspected, no record)")
      : null;
  }

  /** @param {BenchRank} row */
  function move(row) {
    if (row.out || Math.abs(row.move) < LEAST_MOVE)
      return h("span", { class: "rank-move" }, "\u2013", h("span", { class: "unseen" }, " no change"));
    const points = Math.max(1, Math.round(Math.abs(row.move) * 100));
    const up = row.move > 0;
    return h(
      "span",
      { class: "rank-move" },
      h("span", { "aria-hidden": "true" }, up ? "\u25b2" : "\u25bc"),
      h("span", { class: "unseen" }, up ? "up " : "down "),
      benchlore.quantity.plural(points, "point"),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchAssessment} source
   * @param {BenchRank} row
   */
  function why(page, source, row) {
    const fault = page.family.faults[row.id];
    const suspect = page.family.suspects[row.id];
    if (!fault) {
      return h(
        "div",
        { class: "rank-why" },
        ruledOut(page, source, row),
        suspect
          ? benchlore.suspectView.why(page, row.id, suspect)
          : h(
              "p",
              null,
              "A fault that neither the book nor the circuit foresees. Most of such a board reads healthy; it gains where everything does, and where nothing explains the readings.",
            ),
        evidence(page, source, row),
      );
    }
    return h(
      "div",
      { class: "rank-why" },
      ruledOut(page, source, row),
      rich("div", null, fault.html.summary),
      evidence(page, source, row),
      h(
        "p",
        { class: "actions" },
        h("a", { href: fault.page }, "Its page"),
        row.out ? null : button("Show its fix", () => page.act.choose("fix", row.id)),
      ),
    );
  }

  /**
   * Why a fault is out.
   * @param {BenchPage} page
   * @param {BenchAssessment} source
   * @param {BenchRank} row
   */
  function ruledOut({ family }, { one, evidence }, row) {
    if (!row.out) return null;
    const by = row.tried
      ? [row.id]
      : evidence.tried.filter((id) => one.bench.mends[one.faults.indexOf(id)].includes(row.index));
    const swapped = by.every((id) => !["", "settings"].includes(family.suspects[id]?.outside || ""));
    return h("p", null, mark("fault"), swapped ? SWAPPED : row.tried ? TRIED : RENEWED);
  }

  /**
   * @param {BenchPage} page
   * @param {BenchAssessment} source
   * @param {BenchRank} row
   */
  function evidence(page, source, row) {
    const reasons = row.out ? [] : benchlore.assess.reasons(source, row.index);
    const fault = page.family.faults[row.id];
    const symptoms = source.evidence.symptoms.map((id) => {
      const symptom = page.book.symptoms[id];
      const often = fault ? fault.symptom[id] : undefined;
      const words = fault ? (often ? often + " shows it" : "does not list it") : "unknown";
      return h(
        "li",
        null,
        mark(!fault ? "undecided" : often ? "normal" : "fault"),
        h("b", null, (symptom ? symptom.title : id) + ": "),
        words,
      );
    });
    const taken = reasons.map((reason) => {
      const measurement = page.family.measurements[reason.measure];
      const said =
        benchlore.parts.nameOf(page.family, reason.measure) +
        ", " +
        benchlore.parts.shown(measurement, reason.reading);
      const [status, words] = weigh(reason.factor);
      const note = noteOf(fault, reason.measure);
      return h(
        "li",
        null,
        mark(status),
        h("b", null, said + ": "),
        words,
        note ? rich("p", { class: "aside" }, note) : null,
      );
    });
    return h("ul", { class: "for-and-against" }, symptoms, taken);
  }

  /**
   * What a fault's record says of a measurement: why it reads so.
   * @param {BenchFault | undefined} fault
   * @param {string} measure
   */
  function noteOf(fault, measure) {
    return fault?.test_points.find((one) => one.measure === measure)?.html.note;
  }

  /**
   * @param {number} factor how many times likelier the reading is with the fault than with the others
   * @returns {[string, string]}
   */
  function weigh(factor) {
    if (factor > 1.1) return ["normal", "fits " + times(factor) + " better than the rest"];
    if (factor < 0.9) return ["fault", "fits " + times(1 / factor) + " worse than the rest"];
    return ["other", "says nothing about it"];
  }

  /** @param {number} factor */
  function times(factor) {
    if (factor >= 100) return "over 100 times";
    return (factor >= 9.95 ? Math.round(factor) : Math.round(factor * 10) / 10) + " times";
  }

  benchlore.rankingView = { render };
})();
