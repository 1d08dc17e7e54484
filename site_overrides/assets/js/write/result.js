/*
 * What comes of the form: what is still to do, the page as it will be, what changes in the ranking, the file.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, button, mark, details } = benchlore.dom;
  const { idOf } = benchlore.fields;

  const RANKED = 6;
  /** @type {Record<WriteFinding["kind"], [string, string]>} */
  const KINDS = {
    wrong: ["fault", "To mend"],
    todo: ["undecided", "Still to fill in"],
    note: ["other", "Worth a look"],
  };

  /**
   * The parts of the result, each empty until `refresh` fills it.
   * @param {WriteDesk} desk
   */
  function render(desk) {
    return h(
      "section",
      { class: "panel write-part", "aria-labelledby": "part-result" },
      h("h2", { id: "part-result", tabindex: "-1" }, "What comes of it"),
      h("div", { id: "to-do" }),
      fold("preview", "The page as it will be", desk),
      fold("effect", "How rankings would change", desk),
      h(
        "div",
        { class: "place", "data-place": "name" },
        h("label", { class: "field", for: "f-name" }, "Name of the file"),
        h(
          "p",
          { class: "hint", id: "f-name-hint" },
          "The fault in two to four words. It is the fault\u2019s id for good.",
        ),
        h("input", {
          type: "text",
          id: "f-name",
          autocomplete: "off",
          spellcheck: "false",
          "aria-describedby": "f-name-hint said-name",
          value: desk.draft.name,
          oninput: (event) => desk.name(benchlore.fields.typed(event)),
        }),
        h("div", { class: "said", id: "said-name" }),
      ),
      h("p", { class: "actions" }, button("Save the file", desk.save, { class: "primary", id: "save-file" })),
      h("div", { id: "saved", "aria-live": "polite" }),
      fold("file", "The file, as it is written", desk),
      h("div", { id: "python" }, pythonOnly()),
    );
  }

  /** @type {(id: string, title: string, desk: WriteDesk) => HTMLDetailsElement} */
  function fold(id, title, desk) {
    const element = details(id, title, () => h("div", { id: id + "-inside" }));
    element.addEventListener("toggle", () => refresh(desk, desk.result()));
    return element;
  }

  /** What no page can check. */
  function pythonOnly() {
    const left = benchlore.writeBook.rules.filter((rule) => !benchlore.findings.KNOWN.includes(rule.id));
    return details("only-check", "What is checked later, by benchlore check", () => [
      h(
        "p",
        null,
        "This page checks the form of the record and most of its rules as you type. These need the whole book, or the circuit worked out anew:",
      ),
      h(
        "ul",
        null,
        left.map((rule) => h("li", null, rule.says)),
      ),
    ]);
  }

  /**
   * Show all that follows from the record as it is now.
   * @type {(desk: WriteDesk, result: WriteResult) => void}
   */
  function refresh(desk, { record, findings }) {
    fill("to-do", toDo(desk, findings));
    if (isOpen("preview")) fill("preview-inside", preview(desk, record));
    if (isOpen("effect")) fill("effect-inside", effect(desk, record));
    if (isOpen("file")) fill("file-inside", file(desk, record));
    fill("hazards-found", benchlore.sections.hazardsFound(desk, record));
    beside(desk, findings);
    const wrong = findings.filter((one) => one.kind === "wrong").length;
    const todo = findings.filter((one) => one.kind === "todo").length;
    fill("bar-count", [
      wrong ? h("b", { class: "count-wrong" }, mark("fault"), wrong + " to mend") : null,
      todo ? h("b", null, mark("undecided"), todo + " to fill in") : null,
      wrong || todo ? null : h("b", null, mark("normal"), "ready to save"),
    ]);
  }

  /** @param {string} id */
  function isOpen(id) {
    const found = document.getElementById(id);
    return found instanceof HTMLDetailsElement && found.open && document.getElementById(id + "-inside");
  }

  /** @type {(id: string, content: BenchChild) => void} */
  function fill(id, content) {
    document.getElementById(id)?.replaceChildren(...h("div", null, content).childNodes);
  }

  /**
   * The findings, each beside its field: where the field is not there, beside what it belongs to.
   * @type {(desk: WriteDesk, findings: readonly WriteFinding[]) => void}
   */
  function beside(desk, findings) {
    for (const box of document.querySelectorAll("#write .said")) box.replaceChildren();
    for (const finding of findings) {
      if (finding.kind === "todo" && !desk.tried) continue;
      for (let length = finding.where.length; length > 0; length -= 1) {
        const box = document.getElementById(idOf(finding.where.slice(0, length), "said"));
        if (!box) continue;
        box.append(said(finding));
        break;
      }
    }
  }

  /** @param {WriteFinding} finding */
  function said({ kind, why, mend }) {
    return h("p", { class: "finding finding-" + kind }, mark(KINDS[kind][0]), h("b", null, why), " " + mend);
  }

  /**
   * @param {WriteDesk} desk
   * @param {readonly WriteFinding[]} findings
   */
  function toDo(desk, findings) {
    if (!findings.length)
      return h(
        "p",
        { class: "ready" },
        mark("normal"),
        h("b", null, "Nothing is missing."),
        " Read the page below as somebody who has never seen this fault, then save the file.",
      );
    const kinds = /** @type {WriteFinding["kind"][]} */ (["wrong", "todo", "note"]);
    return kinds.map((kind) => {
      const own = findings.filter((one) => one.kind === kind);
      if (!own.length) return null;
      return [
        h("h3", null, KINDS[kind][1]),
        h(
          "ul",
          { class: "to-do" },
          own.map((one) =>
            h(
              "li",
              { class: "finding-" + kind },
              mark(KINDS[kind][0]),
              h("span", { class: "to-do-where" }, benchlore.labels.place(one.where)),
              " ",
              one.why,
              " ",
              one.mend,
              " ",
              button("Go there", () => desk.goTo(one.where), {
                class: "quiet",
                name: "Go to: " + benchlore.labels.place(one.where),
              }),
            ),
          ),
        ),
      ];
    });
  }

  /* The page. */

  /** @type {(desk: WriteDesk, record: WriteRecord) => HTMLElement} */
  function preview(desk, record) {
    const { book, family, own } = desk;
    const { modes, actions } = benchlore.writeBook;
    const one = record.cause || {};
    const part = own.parts[one.part];
    const reads = benchlore.circuit.reads(own, record);
    const stated = (record.test_points || []).map((/** @type {any} */ point) => point.measure);
    const nets = part?.nets || [];
    const shown = [
      ...stated,
      ...benchlore.circuit
        .telling(family, reads, nets)
        .filter((id) => !stated.includes(id))
        .slice(0, 8),
      ...(record.reads_normal || []).filter((/** @type {string} */ id) => !stated.includes(id)),
    ].filter((id) => family.measurements[id]);
    const mode = one.mode
      ? modes[one.mode]?.label
      : (one.variants || []).map((/** @type {any} */ v) => modes[v?.mode]?.label).join(", or ");
    return h(
      "article",
      { class: "preview" },
      h("p", { class: "kind" }, "Fault of " + family.title),
      h("h3", { class: "preview-title" }, record.title || "\u2026"),
      h(
        "ul",
        { class: "hazards-found" },
        benchlore.work.hazards(desk, record).map(({ id }) => {
          const hazard = /** @type {BenchHazard} */ (book.hazards[id]);
          return h(
            "li",
            { class: "hazard-" + hazard.signal },
            h("b", { class: "signal-word" }, hazard.signal.toUpperCase()),
            " ",
            h("b", null, hazard.title),
            ": ",
            rich("span", null, hazard.html.avoid[0] || ""),
          );
        }),
      ),
      h("h4", null, "Shows"),
      h(
        "ul",
        null,
        Object.entries(record.symptom || {}).map(([id, often]) =>
          h("li", null, (book.symptoms[id]?.title || id) + ", " + often),
        ),
      ),
      record.summary ? h("p", null, record.summary) : null,
      h("h4", null, "Where to measure, and what it reads"),
      h(
        "div",
        { class: "sideways", tabindex: "0", role: "group", "aria-label": "What it reads" },
        h(
          "table",
          null,
          h(
            "thead",
            null,
            h(
              "tr",
              null,
              ["Measure", "With this fault", "Healthy"].map((text) => h("th", { scope: "col" }, text)),
            ),
          ),
          h(
            "tbody",
            null,
            shown.map((id) => {
              const outcomes = Object.values(family.measurements[id].outcomes);
              const normal = outcomes.filter((o) => o.normal).map((o) => o.words.range || o.name);
              const point = (record.test_points || []).find((/** @type {any} */ p) => p.measure === id);
              return h(
                "tr",
                null,
                h("th", { scope: "row" }, benchlore.work.asked(desk, id)),
                h(
                  "td",
                  null,
                  reads[id] ? benchlore.circuit.said(family, id, reads[id]) : "\u2026",
                  point || (record.reads_normal || []).includes(id)
                    ? null
                    : h("span", { class: "tag" }, "predicted"),
                  point?.note ? h("span", { class: "aside" }, point.note) : null,
                ),
                h("td", null, normal.join(" or ")),
              );
            }),
          ),
        ),
      ),
      h("h4", null, "Cause"),
      h(
        "p",
        null,
        [one.part, part ? "(" + part.name + ")" : "", mode, one.at ? "on " + one.at : ""]
          .filter(Boolean)
          .join(" "),
      ),
      one.how ? h("p", null, one.how) : null,
      h("h4", null, "Fix: " + (actions[record.fix?.action] || "\u2026")),
      h(
        "ol",
        { class: "do" },
        (record.fix?.steps || []).map((/** @type {any} */ step) =>
          h("li", null, benchlore.work.sentence(desk, step)),
        ),
      ),
      h("h4", null, "Proof"),
      h(
        "ul",
        null,
        Object.entries(record.fix?.confirm || {}).map(([id, outcome]) => {
          const found = Object.values(family.measurements[id]?.outcomes || {}).find((o) => o.id === outcome);
          return h(
            "li",
            null,
            benchlore.work.asked(desk, id) + ": " + (found?.words.range || found?.name || outcome),
          );
        }),
      ),
    );
  }

  /* The ranking. */

  /**
   * @param {WriteDesk} desk
   * @param {WriteRecord} record
   */
  function effect(desk, record) {
    const more = benchlore.effect.faultOf(desk, desk.draft.name, record);
    if (!more)
      return h(
        "p",
        null,
        "Symptom, part and fix must be there first: then this shows how likely the fault is beside the others.",
      );
    const { before, after, family, symptoms } = benchlore.effect.effect(desk, more, record);
    const titles = symptoms.map((id) => desk.book.symptoms[id]?.title || id).join(", ");
    const readings = Object.keys(record.worked_example || {}).length;
    return [
      h(
        "p",
        { class: "hint" },
        "Among the recorded faults of " + desk.family.title + ", by the bench\u2019s own arithmetic.",
      ),
      table("Before any reading, with \u201c" + titles + "\u201d", before),
      readings ? table("With the readings of your real case", after) : null,
      nextStep(before),
    ];

    /** @type {(title: string, pair: readonly BenchAssessment[]) => HTMLHeadingElement[]} */
    function table(title, [without, withIt]) {
      const old = new Map(without.ranking.map((row) => [row.id, row.p]));
      const rows = withIt.ranking.slice(0, RANKED);
      const own = withIt.ranking.find((row) => row.id === /** @type {WriteFault} */ (more).fault.id);
      if (own && !rows.includes(own)) rows.push(own);
      return [
        h("h4", null, title),
        h(
          "table",
          { class: "ranked" },
          h(
            "thead",
            null,
            h(
              "tr",
              null,
              ["Fault", "now", "with this record"].map((text) => h("th", { scope: "col" }, text)),
            ),
          ),
          h(
            "tbody",
            null,
            rows.map((row) =>
              h(
                "tr",
                { class: row === own ? "own" : "" },
                h("th", { scope: "row" }, row.id ? family.faults[row.id].title : "Something else"),
                h("td", null, old.has(row.id) ? benchlore.quantity.share(old.get(row.id) || 0) : "\u2014"),
                h("td", null, h("b", null, benchlore.quantity.share(row.p))),
              ),
            ),
          ),
        ),
      ];
    }

    /** @param {readonly BenchAssessment[]} pair */
    function nextStep([without, withIt]) {
      const [old, now] = [without, withIt].map((one) => stepSaid(one));
      if (!now) return null;
      return h(
        "p",
        null,
        "First at the bench: ",
        h("b", null, now),
        old === now ? ", as before." : ". Without this record: " + old + ".",
      );
    }

    /** @param {BenchAssessment} one */
    function stepSaid(one) {
      const [choice] = one.choices;
      if (!choice) return "";
      if (choice.kind === "measure") return benchlore.work.asked(desk, choice.id);
      return choice.id ? "the fix of \u201c" + family.faults[choice.id].title + "\u201d" : "escalate";
    }
  }

  /* The file. */

  /** @type {(desk: WriteDesk, record: WriteRecord) => HTMLParagraphElement[]} */
  function file(desk, record) {
    const text = benchlore.yaml.write("fault", benchlore.short.shortened(desk, record));
    return [
      h("p", { class: "id" }, pathOf(desk)),
      h(
        "div",
        { class: "sideways", tabindex: "0", role: "group", "aria-label": "Text of the file" },
        h("pre", { class: "sample", id: "file-text" }, h("code", null, text)),
      ),
    ];
  }

  /** @param {WriteDesk} desk */
  function pathOf({ own, draft }) {
    return own.folder + "/" + (draft.name || "NAME") + ".yaml";
  }

  /**
   * What to do with the file that was saved.
   * @param {WriteDesk} desk
   * @param {readonly WriteFinding[]} findings
   */
  function savedNote(desk, findings) {
    const open = findings.filter((one) => one.kind !== "note").length;
    return [
      h(
        "p",
        null,
        mark("normal"),
        h("b", null, desk.draft.name + ".yaml was saved"),
        " to the folder where this browser saves files.",
      ),
      open
        ? h(
            "p",
            null,
            "It is not whole yet: " +
              open +
              (open === 1 ? " thing is" : " things are") +
              " still open above. The draft stays here.",
          )
        : null,
      h(
        "ol",
        { class: "do" },
        h(
          "li",
          null,
          "Put it into the book as ",
          h("code", null, pathOf(desk)),
          ", or send it to whoever keeps the book.",
        ),
        h(
          "li",
          null,
          "Run ",
          h("code", null, "benchlore check"),
          ": it checks the record against the whole book.",
        ),
        h("li", null, "Build the site, and look at the page of your fault."),
      ),
    ];
  }

  benchlore.result = { render, refresh, fill, savedNote };
})();
