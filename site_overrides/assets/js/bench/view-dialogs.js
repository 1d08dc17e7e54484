/*
 * What opens over the page: all measurements, the jobs of this browser, the page of keys.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button, mark, plain } = benchlore.dom;
  const { minutes, plural } = benchlore.quantity;

  /** @type {[string, string][]} */
  const KEYS = [
    ["0\u20269 . \u2212", "Start typing the reading, from anywhere on the card"],
    ["Enter", "Enter the reading, or press the button in focus"],
    ["1\u20269", "Answer a look, listen or scope question by its number"],
    ["r", "Go to the field of the reading, or of the proof"],
    ["d", "A step of the fix is done: the next one"],
    ["v", "Standing hazards: read"],
    ["s", "Second-best action"],
    ["t", "Third-best action"],
    ["l", "List of all measurements and fixes"],
    ["b", "Back to the best action"],
    ["a", "Measure the last one again"],
    ["w", "What if: try a reading, typed before or after it, without entering it"],
    ["u", "Undo"],
    ["y", "Redo"],
    ["k", "Go to the ranking"],
    ["h", "Go to the entries"],
    ["e", "Change family, revision, symptoms or meter"],
    ["j", "Jobs: open, save, load, begin"],
    ["n", "New job"],
    ["p", "Print the job sheet"],
    ["/", "Search the book"],
    ["?", "This page of keys"],
    ["Esc", "Close what is open; leave a field"],
  ];

  /**
   * @param {string} title
   * @param {BenchPage} page
   * @param {...BenchChild} children
   */
  function dialog(title, page, ...children) {
    return h(
      "dialog",
      {
        class: "over",
        id: "over",
        "aria-labelledby": "over-title",
        onclose: () => page.act.closed(),
        oncancel: (/** @type {Event} */ event) => {
          event.preventDefault();
          page.act.open("");
        },
      },
      h(
        "header",
        { class: "over-head" },
        h("h2", { id: "over-title", tabindex: "-1" }, title),
        button("Close", () => page.act.open(""), { key: "Esc", id: "over-close" }),
      ),
      children,
    );
  }

  /** @param {BenchPage} page */
  function keys(page) {
    return dialog(
      "Keys",
      page,
      h("p", null, "Letters work while no field is in focus. Press Esc to leave a field."),
      h(
        "dl",
        { class: "keys" },
        KEYS.map(([key, what]) =>
          h(
            "div",
            null,
            h(
              "dt",
              null,
              key.split(" ").map((one) => [h("kbd", null, one), " "]),
            ),
            h("dd", null, what),
          ),
        ),
      ),
    );
  }

  /** @param {BenchPage} page */
  function list(page) {
    const { assessment, family, book, ui } = page;
    const typed = (ui.drafts.list || "").toLowerCase().trim();
    const rows = Object.keys(family.measurements)
      .filter((id) => assessment.one.scales[id])
      .map((id) => {
        const measurement = family.measurements[id];
        const choice = assessment.choices.find((one) => one.kind === "measure" && one.id === id);
        const name = benchlore.parts.nameOf(family, id);
        const text = (name + " " + plain(measurement.html.asks) + " " + id).toLowerCase();
        return { id, name, asks: plain(measurement.html.asks), choice, text };
      })
      .filter((row) => !typed || typed.split(/\s+/).every((word) => row.text.includes(word)))
      .sort(
        (a, b) =>
          (a.choice ? a.choice.expected : Infinity) - (b.choice ? b.choice.expected : Infinity) ||
          (a.id < b.id ? -1 : 1),
      );
    const fixes = assessment.ranking
      .filter((row) => row.id && !row.out)
      .map((row) => ({ row, title: page.faultTitle(row.id) }))
      .filter(
        ({ title }) => !typed || typed.split(/\s+/).every((word) => title.toLowerCase().includes(word)),
      );
    /** @param {Event} event */
    const takeFirst = (event) => {
      if (/** @type {KeyboardEvent} */ (event).key !== "Enter") return;
      event.preventDefault();
      if (rows[0]) page.act.choose("measure", rows[0].id);
      else if (fixes[0]) page.act.choose("fix", fixes[0].row.id);
    };
    return dialog(
      "All steps",
      page,
      h("label", { class: "field", for: "list-text" }, "Net, point, part or words"),
      h("input", {
        type: "text",
        id: "list-text",
        autocomplete: "off",
        spellcheck: "false",
        value: ui.drafts.list || "",
        oninput: (/** @type {Event} */ event) =>
          page.act.typeList(/** @type {HTMLInputElement} */ (event.target).value),
        onkeydown: takeFirst,
      }),
      h("p", { class: "hint" }, "Enter takes the first."),
      h("h3", null, "Measurements, the best first"),
      h(
        "ul",
        { class: "offers" },
        rows.map((row) =>
          h(
            "li",
            null,
            h(
              "button",
              {
                type: "button",
                class: "offer",
                id: "list-" + row.id,
                onclick: () => page.act.choose("measure", row.id),
              },
              h("b", null, row.name),
              h("span", { class: "aside" }, row.asks),
              h(
                "span",
                { class: "aside" },
                benchlore.interlock.bars(assessment.locks, family.measurements[row.id].state)
                  ? benchlore.nextView.heldBack(page, row.id)
                  : assessment.measured.includes(row.id)
                    ? "measured already"
                    : row.choice
                      ? "job then " + minutes(row.choice.expected)
                      : benchlore.nextView.heldBack(page, row.id) || "settles nothing",
              ),
            ),
          ),
        ),
        rows.length === 0 ? h("li", { class: "aside" }, "No measurement fits these words.") : null,
      ),
      h("h3", null, "Fixes, the likeliest first"),
      h(
        "ul",
        { class: "offers" },
        fixes.map(({ row, title }) =>
          h(
            "li",
            null,
            h(
              "button",
              { type: "button", class: "offer", onclick: () => page.act.choose("fix", row.id) },
              h("b", null, title),
              h(
                "span",
                { class: "aside" },
                benchlore.quantity.share(row.p) + ", " + minutes(row.minutes) + " to try",
              ),
              shut(page, row.id),
            ),
          ),
        ),
      ),
      h(
        "p",
        { class: "actions" },
        button("Escalate: " + book.shop.escalate.to, () => page.act.choose("escalate", ""), {
          id: "list-escalate",
        }),
      ),
    );
  }

  /**
   * The readings that bar a fix; null where none does.
   * @param {BenchPage} page
   * @param {string} fix
   */
  function shut({ assessment, family }, fix) {
    const found = assessment.locks.filter(({ lock, measure }) =>
      benchlore.interlock.shuts(family, lock, fix, measure),
    );
    const said = found.map(
      ({ measure, outcome }) =>
        benchlore.parts.nameOf(family, measure) +
        ", " +
        benchlore.cases.outcomeOf(family, measure, outcome).name,
    );
    return said.length ? h("span", { class: "aside" }, "barred: " + said.join("; ")) : null;
  }

  /** @param {BenchPage} page */
  function jobs(page) {
    const all = page.ui.jobs;
    return dialog(
      "Jobs on this browser",
      page,
      h(
        "p",
        { class: "actions" },
        button("New job", () => page.act.newJob(), { class: "primary", id: "jobs-new" }),
        button("Save this job to a file", () => page.act.saveFile("json"), { id: "jobs-save" }),
        button("Save as Markdown", () => page.act.saveFile("md"), { id: "jobs-md" }),
        h(
          "label",
          { class: "file" },
          "Open a job\u2019s file",
          h("input", {
            type: "file",
            id: "jobs-file",
            accept: ".json,application/json",
            onchange: (/** @type {Event} */ event) =>
              page.act.openFile(/** @type {HTMLInputElement} */ (event.target)),
          }),
        ),
      ),
      h(
        "ul",
        { class: "jobs" },
        all.map((kept) =>
          h(
            "li",
            { class: kept.id === page.job.id ? "job-here" : "" },
            kept.log ? job(page, kept, kept.log) : damaged(page, kept),
          ),
        ),
        all.length === 0
          ? h("li", { class: "aside" }, "None is kept. A job is kept from its first symptom on.")
          : null,
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchKept} kept
   * @param {BenchLog} log
   */
  function job(page, kept, log) {
    const one = benchlore.job.present(log);
    const listed = page.book.families.find((family) => family.id === one.family);
    const symptoms = benchlore.parts.complaints(page.book, one);
    const outcome = benchlore.job.outcome(one).state;
    const title = [
      one.label,
      listed ? listed.title : one.family,
      one.revision ? "revision " + one.revision : "",
    ]
      .filter(Boolean)
      .join(", ");
    const here = one.id === page.job.id;
    return [
      h(
        "p",
        null,
        mark(outcome === "proved" ? "normal" : "other"),
        h("b", null, title || "Board not chosen"),
        here ? " (open now)" : "",
      ),
      h(
        "p",
        { class: "aside" },
        (symptoms.join("; ") || "no symptom") +
          ". " +
          plural(one.entries.length, "entry", "entries") +
          ", " +
          outcome +
          (kept.time ? ", " + kept.time.slice(0, 16).replace("T", " ") : ""),
      ),
      h(
        "p",
        { class: "actions" },
        here
          ? null
          : button("Open", () => page.act.openJob(one.id), { name: "Open " + title, id: "open-" + one.id }),
        page.ui.removing === one.id
          ? [
              h("span", null, "Remove it for good?"),
              button("Remove", () => page.act.removeJob(one.id, true), { id: "remove-yes" }),
              button("Keep", () => page.act.removeJob("", false), { id: "remove-no" }),
            ]
          : button("Remove", () => page.act.removeJob(one.id, false), {
              class: "quiet",
              name: "Remove " + title,
            }),
      ),
    ];
  }

  /**
   * @param {BenchPage} page
   * @param {BenchKept} kept
   */
  function damaged(page, kept) {
    return [
      h("p", null, mark("undecided"), h("b", null, "A job that cannot be read"), " (" + kept.id + ")"),
      h("p", { class: "aside" }, kept.damage + " It is left as it is."),
      h(
        "p",
        { class: "actions" },
        button("Save it as it is", () => page.act.saveRaw(kept), {
          name: "Save the damaged job " + kept.id + " to a file",
        }),
      ),
    ];
  }

  benchlore.dialogs = { keys, list, jobs };
})();
