/*
 * The job sheet: what was on the bench, what was read, what it meant, what mended it. As rows of words, from which the
 * printed page and the Markdown file are made.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, plain } = benchlore.dom;
  const { share, minutes } = benchlore.quantity;

  const RANKS = 5;

  /**
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchJob} job
   * @param {BenchAssessment} assessment
   * @returns {BenchSheet}
   */
  function sheetOf(book, family, job, assessment) {
    const meter = book.meters[job.meter];
    const outcome = benchlore.job.outcome(job);
    const meant = fixMeant(outcome.fault, outcome.state === "open" ? assessment : null);
    return {
      title: "Job sheet" + (job.label ? " " + job.label : ""),
      facts: [
        ["Board", family.title + (job.revision ? ", revision " + job.revision : ", revision not known")],
        ["Symptoms", benchlore.parts.complaints(book, job).join("; ")],
        ["Meter", meter ? meter.title : job.meter],
        ["Begun", job.started.slice(0, 16).replace("T", " ")],
        ["Result", result(book, family, outcome)],
        ...(job.notes ? [/** @type {[string, string]} */ (["Notes", job.notes])] : []),
      ],
      entries: job.entries.map((entry, at) => entryOf(book, family, job, assessment, entry, at)),
      ranking: assessment.ranking
        .filter((row) => !row.out)
        .slice(0, RANKS)
        .map((row) => [titleOf(family, row.id), share(row.p)]),
      fix: fixOf(family, meant),
      hazards: hazardsOf(book, family, job, meant.fault),
      problems: assessment.problems,
    };
  }

  /** @type {(family: BenchFamily, id: string) => string} */
  function titleOf(family, id) {
    if (id === "") return "Something else";
    const known = family.faults[id] || family.suspects[id];
    return known ? known.title : id;
  }

  /** @type {(book: BenchBook, family: BenchFamily, outcome: {state: string, fault: string}) => string} */
  function result(book, family, outcome) {
    if (outcome.state === "proved") return "Proved: " + titleOf(family, outcome.fault);
    return outcome.state === "escalated" ? "Escalated: " + book.shop.escalate.to : "Open";
  }

  /**
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchJob} job
   * @param {BenchAssessment} assessment
   * @param {BenchEntry} entry
   * @param {number} at
   * @returns {[string, string, string, string]} what, bench state, reading, verdict
   */
  function entryOf(book, family, job, assessment, entry, at) {
    if (entry.kind === "escalate") return ["Escalated", "", "", book.shop.escalate.to];
    const judged = assessment.taken.filter((one) => one.entry === at);
    if (entry.kind === "fix") {
      const readings = judged.map((one) => nameOf(family, one) + ": " + textOf(family, one)).join("; ");
      return [
        "Fix: " + titleOf(family, entry.fault),
        "",
        readings,
        (entry.result === "proved" ? "proved; " : "not proved; ") + benchlore.parts.symptomAfter(entry),
      ];
    }
    const one = judged[0];
    const measurement = family.measurements[entry.measure];
    const state = measurement ? family.states[measurement.state] : undefined;
    const unplugged = measurement?.unplugged.length ? ", " + measurement.unplugged.join(", ") + " out" : "";
    const verdict =
      one?.verdict && measurement
        ? benchlore.verdictView.word(measurement, one.verdict) + healthy(measurement, one.verdict)
        : "says nothing";
    const other = book.meters[one.meter];
    const by = one.meter !== job.meter && other ? " (" + other.title + ")" : "";
    return [nameOf(family, one), (state ? state.title : "") + unplugged, textOf(family, one) + by, verdict];
  }

  /**
   * What the reading would be on a sound board, where it is not that.
   * @type {(measurement: BenchMeasurement, verdict: BenchVerdict) => string}
   */
  function healthy(measurement, verdict) {
    if (benchlore.verdictView.statusOf(measurement, verdict) === "normal") return "";
    const normal = Object.values(measurement.outcomes)
      .filter((outcome) => outcome.normal && outcome.words.range)
      .map((outcome) => outcome.words.range);
    return normal.length ? "; healthy: " + normal.join(" or ") : "";
  }

  /** @type {(family: BenchFamily, judged: BenchJudged) => string} */
  function nameOf(family, judged) {
    return benchlore.parts.nameOf(family, judged.measure);
  }

  /** @type {(family: BenchFamily, judged: BenchJudged) => string} */
  function textOf(family, judged) {
    const measurement = family.measurements[judged.measure];
    return measurement && judged.reading ? benchlore.parts.shown(measurement, judged.reading) : judged.text;
  }

  /**
   * The fix that the sheet prints: the one that was proved, else that of the likeliest fault; none for a closed job.
   * @param {string} proved
   * @param {BenchAssessment | null} open
   */
  function fixMeant(proved, open) {
    const row = open ? open.ranking.find((one) => one.id !== "" && !one.out) : undefined;
    return { fault: proved || (row ? row.id : ""), proved: proved !== "" };
  }

  /** @type {(family: BenchFamily, meant: {fault: string, proved: boolean}) => BenchSheet["fix"]} */
  function fixOf(family, meant) {
    const { proved } = meant;
    const fault = family.faults[meant.fault];
    if (!fault) return null;
    const parts = fault.fix.parts.map((use) => {
      const part = family.parts[use.part];
      const donor = use.words.donor || (part ? part.replace.words.donor : "");
      return (
        use.part + (part ? " " + part.name + ", " + part.package : "") + (donor ? "; donor: " + donor : "")
      );
    });
    return {
      title:
        (proved ? "Fix: " : "Likeliest fix: ") +
        benchlore.parts.done(fault).replace(/^./, (first) => first.toLowerCase()) +
        ", " +
        minutes(fault.fix.minutes),
      steps: fault.fix.html.steps.map(plain),
      parts,
    };
  }

  /**
   * The hazards of what the sheet prints, with what to do.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchJob} job
   * @param {string} fix the fault whose fix is printed
   * @returns {{signal: string, says: string}[]}
   */
  function hazardsOf(book, family, job, fix) {
    const ids = [...(family.faults[fix]?.links.hazards || [])];
    for (const entry of job.entries) {
      const measurement = entry.kind === "reading" ? family.measurements[entry.measure] : undefined;
      if (measurement) ids.push(...measurement.links.hazards);
    }
    return benchlore.hazards.bySeverity(book, ids).map((one) => ({
      signal: one.signal,
      says: one.title + ". " + [one.html.harm, ...one.html.avoid].map(plain).join(" "),
    }));
  }

  /** @type {(sheet: BenchSheet) => HTMLElement} */
  function page(sheet) {
    return h(
      "article",
      { class: "sheet", "aria-label": sheet.title },
      h("h2", { class: "sheet-title" }, sheet.title),
      h(
        "dl",
        { class: "sheet-facts" },
        sheet.facts.map(([name, words]) =>
          h("div", null, h("dt", null, name), h("dd", null, words || "\u2013")),
        ),
      ),
      sheet.hazards.length
        ? h(
            "ul",
            { class: "sheet-hazards" },
            sheet.hazards.map(({ signal, says }) =>
              h(
                "li",
                null,
                h("b", { class: "sheet-signal sheet-" + signal }, signal.toUpperCase()),
                " ",
                says,
              ),
            ),
          )
        : null,
      h(
        "table",
        { class: "sheet-entries" },
        h(
          "thead",
          null,
          h(
            "tr",
            null,
            ["No.", "What", "Bench state", "Reading", "Meaning"].map((name) =>
              h("th", { scope: "col" }, name),
            ),
          ),
        ),
        h(
          "tbody",
          null,
          sheet.entries.map((row, n) =>
            h(
              "tr",
              null,
              h("th", { scope: "row" }, String(n + 1)),
              row.map((words) => h("td", null, words)),
            ),
          ),
        ),
      ),
      h("div", { class: "sheet-two" }, ranking(sheet), fix(sheet)),
      sheet.problems.map((line) => h("p", null, line)),
      h("p", { class: "sheet-sign" }, "Done by: ____________________   Date: ____________"),
      h("p", { class: "sheet-foot" }, "Local codes and licensed practice come before anything printed here."),
    );
  }

  /** @param {BenchSheet} sheet */
  function ranking(sheet) {
    return h(
      "section",
      null,
      h("h3", null, "Ranking by the readings"),
      h(
        "ol",
        null,
        sheet.ranking.map(([title, p]) => h("li", null, title + ", " + p)),
      ),
    );
  }

  /** @param {BenchSheet} sheet */
  function fix(sheet) {
    if (!sheet.fix) return null;
    return h(
      "section",
      null,
      h("h3", null, sheet.fix.title),
      h(
        "ol",
        null,
        sheet.fix.steps.map((line) => h("li", null, line)),
      ),
      sheet.fix.parts.length ? h("p", null, "Takes: " + sheet.fix.parts.join("; ")) : null,
    );
  }

  /**
   * The sheet as Markdown.
   * @param {BenchSheet} sheet
   */
  function markdown(sheet) {
    const lines = ["# " + text(sheet.title), ""];
    for (const [name, words] of sheet.facts) lines.push("- **" + name + ":** " + (text(words) || "\u2013"));
    if (sheet.hazards.length)
      lines.push(
        "",
        "## Hazards",
        "",
        ...sheet.hazards.map(({ signal, says }) => "- " + text(signal.toUpperCase() + ": " + says)),
      );
    lines.push(
      "",
      "## Entries",
      "",
      "| No. | What | Bench state | Reading | Meaning |",
      "| --- | --- | --- | --- | --- |",
    );
    sheet.entries.forEach((row, n) =>
      lines.push("| " + [String(n + 1), ...row].map(text).join(" | ") + " |"),
    );
    lines.push(
      "",
      "## Ranking",
      "",
      ...sheet.ranking.map(([title, p], n) => n + 1 + ". " + text(title) + ", " + text(p)),
    );
    if (sheet.fix) {
      lines.push(
        "",
        "## " + text(sheet.fix.title),
        "",
        ...sheet.fix.steps.map((line, n) => n + 1 + ". " + text(line)),
      );
      if (sheet.fix.parts.length) lines.push("", "Takes: " + text(sheet.fix.parts.join("; ")));
    }
    if (sheet.problems.length)
      lines.push("", "## Notes", "", ...sheet.problems.map((line) => "- " + text(line)));
    lines.push("", "Local codes and licensed practice come before anything written here.", "");
    return lines.join("\n");
  }

  /**
   * Words that Markdown leaves as they are.
   * @param {string} words
   */
  function text(words) {
    return words
      .replace(/\s+/g, " ")
      .trim()
      .replace(/[\\`*_{}[\]<>#|~]/g, "\\$&");
  }

  benchlore.sheet = { sheetOf, page, markdown };
})();
