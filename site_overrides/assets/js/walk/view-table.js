/*
 * What was read, board beside board, with the spread, and what the records say; also on paper.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));
  const { h, button } = benchlore.dom;
  const { format, plural } = benchlore.quantity;

  const ORDER = ["differs", "edge", "agrees", ""];

  /** @type {(page: WalkPage, walk: WalkRecord) => HTMLElement} */
  function render(page, walk) {
    const rows = rowsOf(page, walk);
    const boards = boardsOf(page, walk);
    const whole = walks.route.next(walk) === undefined;
    const off = rows.filter((row) => row.verdict === "differs").length;
    return h(
      "section",
      { class: "panel walk-read", "aria-labelledby": "read-title" },
      h("h2", { id: "read-title", tabindex: "-1" }, whole ? "The board is walked" : "What was read so far"),
      h(
        "p",
        null,
        page.family.title +
          ", " +
          boards.map(walks.beginView.nameOf).join("; ") +
          ". " +
          plural(rows.length, "reading") +
          ".",
        walk.family
          ? " " +
              (off
                ? plural(off, "difference") + " from what the book says."
                : "No difference from what the book says.")
          : "",
      ),
      h(
        "p",
        { class: "actions no-print" },
        whole ? null : button("Go on", () => page.act.go(), { class: "primary", id: "go" }),
        button("Save to a file", () => page.act.save(walk.id), { id: "save", class: whole ? "primary" : "" }),
        button("Next board", () => page.act.nextBoard(), { id: "next-board" }),
        button("Print", () => page.act.print(), { id: "print" }),
        button("All walks", () => page.act.leave(), { id: "leave", class: "quiet" }),
      ),
      boards.length < 2
        ? h(
            "p",
            { class: "hint" },
            "One board does not say how much good boards differ. Walk a second one of the same revision.",
          )
        : null,
      rows.length ? table(page, boards, rows) : null,
      after(walk),
    );
  }

  /** What to do with the file. @param {WalkRecord} walk */
  function after(walk) {
    const command = walk.family
      ? "benchlore walk " + walk.family + " FILE ..."
      : "benchlore new family NAME --from-walk FILE ...";
    return h(
      "p",
      { class: "hint no-print" },
      walk.family
        ? "With the saved files of all boards, this says the same in a terminal, with what the circuit gives: "
        : "With the saved files of all boards, this starts the family\u2019s records: ",
      h("code", null, command),
    );
  }

  /**
   * This walk, and the others that go with it: of the same revision, or with the same points.
   * @type {(page: WalkPage, walk: WalkRecord) => WalkRecord[]}
   */
  function boardsOf(page, walk) {
    const points = JSON.stringify(walk.points);
    const others = page.boards.filter(
      (one) =>
        one.id !== walk.id &&
        one.readings.length > 0 &&
        one.revision === walk.revision &&
        JSON.stringify(one.points) === points,
    );
    return [walk, ...others];
  }

  /**
   * A row for each measurement that was read on some board, differences first.
   * @type {(page: WalkPage, walk: WalkRecord) => WalkRow[]}
   */
  function rowsOf(page, walk) {
    const boards = boardsOf(page, walk).map(walks.route.taken);
    const rows = walks.route.steps(walk).flatMap(({ measure }) => {
      const measurement = page.family.measurements[measure];
      const shown = boards.map((taken) => {
        const one = taken.get(measure);
        const found = one?.text
          ? walks.compare.show(measurement, page.book.meters[one.meter], one.text)
          : null;
        return found && walks.compare.isShown(found) ? found : null;
      });
      const read = shown.filter((one) => one !== null);
      if (read.length === 0) return [];
      const known = Object.keys(measurement.outcomes).length > 0;
      const judged = known ? read.map((one) => walks.compare.judge(measurement, one)) : [];
      const worst = judged.reduce(
        (/** @type {WalkJudged | null} */ worst, one) => (worst && !worse(one, worst) ? worst : one),
        null,
      );
      return [
        {
          measure,
          shown,
          judged: worst,
          verdict: worst ? worst.verdict : "",
          range: walks.compare.rangeOf(measurement, read),
        },
      ];
    });
    return rows.sort((a, b) => ORDER.indexOf(a.verdict) - ORDER.indexOf(b.verdict));
  }

  /** @type {(one: WalkJudged, other: WalkJudged) => boolean} */
  function worse(one, other) {
    const place = ORDER.indexOf(one.verdict) - ORDER.indexOf(other.verdict);
    return place < 0 || (place === 0 && Math.abs(one.off) > Math.abs(other.off));
  }

  /** @type {(page: WalkPage, boards: readonly WalkRecord[], rows: readonly WalkRow[]) => HTMLDivElement} */
  function table(page, boards, rows) {
    const known = boards[0]?.family !== "";
    const heads = [
      "Point",
      ...boards.map((walk, n) => walk.label || "Board " + (n + 1)),
      "Range, meter\u2019s error in it",
      "Spread",
      ...(known ? ["Healthy by the book", "Verdict"] : []),
    ];
    const cell = (/** @type {number} */ n, /** @type {BenchChild} */ child) =>
      h("td", { "data-label": heads[n] }, child);
    return h(
      "div",
      { class: "table-wrap" },
      h(
        "table",
        { class: "grid" },
        h(
          "thead",
          null,
          h(
            "tr",
            null,
            heads.map((name) => h("th", { scope: "col" }, name)),
          ),
        ),
        h(
          "tbody",
          null,
          rows.map((row) => {
            const measurement = page.family.measurements[row.measure];
            const unit = measurement.links.unit || "";
            const count = row.shown.length;
            return h(
              "tr",
              null,
              h(
                "th",
                { scope: "row", "data-label": heads[0] },
                walks.stepView.titleOf(page, row.measure) + stateOf(page, row),
              ),
              row.shown.map((one, n) =>
                cell(n + 1, one ? benchlore.parts.shown(measurement, one.reading) : "\u2013"),
              ),
              cell(count + 1, row.range ? rangeOf(row.range, unit) : "\u2013"),
              cell(
                count + 2,
                row.range && row.range.spread !== null ? format(row.range.spread, unit, 2) : "\u2013",
              ),
              known
                ? [
                    cell(
                      count + 3,
                      Object.values(measurement.outcomes)
                        .filter((outcome) => outcome.normal)
                        .map((outcome, n) => (n ? " or " : "") + (outcome.words.range || outcome.name)),
                    ),
                    cell(count + 4, row.judged ? walks.stepView.verdict(measurement, row.judged) : "\u2013"),
                  ]
                : null,
            );
          }),
        ),
      ),
    );
  }

  /** @type {(page: WalkPage, row: WalkRow) => string} */
  function stateOf(page, row) {
    const state = page.family.states[page.family.measurements[row.measure].state];
    return state ? " (" + state.short + ")" : "";
  }

  /** @type {(range: WalkRange, unit: string) => string} */
  function rangeOf(range, unit) {
    if (!Number.isFinite(range.high)) return "over " + format(range.low, unit, 3);
    return format(range.low, unit) + " to " + format(range.high, unit);
  }

  walks.tableView = { render };
})();
