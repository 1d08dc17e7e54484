/*
 * Every entry of the job, with undo, redo, edit and remove.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, mark, button, refusalOf } = benchlore.dom;

  /**
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  function render(page) {
    const { job, log } = page;
    return h(
      "section",
      { class: "panel history", "aria-labelledby": "history-title" },
      h("h2", { id: "history-title", tabindex: "-1" }, "Entries"),
      job.entries.length
        ? h(
            "ol",
            { class: "entries" },
            job.entries.map((entry, at) => item(page, entry, at)),
          )
        : h("p", { class: "aside" }, "None yet."),
      h(
        "p",
        { class: "actions" },
        button("Undo", () => page.act.undo(), {
          key: "u",
          id: "undo",
          disabled: !benchlore.job.canUndo(log),
        }),
        button("Redo", () => page.act.redo(), {
          key: "y",
          id: "redo",
          disabled: !benchlore.job.canRedo(log),
        }),
      ),
      notes(page),
    );
  }

  /** What is worth writing down beside the entries. @param {BenchPage} page */
  function notes(page) {
    const typed = page.ui.drafts.notes;
    const refused = noteRefusal(typed || "");
    return [
      h("label", { class: "field", for: "notes" }, "Notes"),
      h(
        "textarea",
        {
          id: "notes",
          rows: "2",
          maxlength: "2000",
          placeholder: "no customer\u2019s name or number",
          "aria-invalid": refused.hidden ? null : "true",
          "aria-describedby": "notes-refusal",
          oninput: (/** @type {Event} */ event) =>
            page.act.type("notes", /** @type {HTMLTextAreaElement} */ (event.target).value),
          onchange: (/** @type {Event} */ event) =>
            page.act.note(/** @type {HTMLTextAreaElement} */ (event.target).value),
        },
        typed === undefined ? page.job.notes : typed,
      ),
      refused,
    ];
  }

  /** Why notes are not kept; hidden where they are. @param {string} text */
  function noteRefusal(text) {
    const reason = benchlore.personal.refusal(text);
    return refusalOf(reason ? { reason, mend: benchlore.parts.NAMELESS } : undefined, "notes-refusal");
  }

  /**
   * @param {BenchPage} page
   * @param {BenchEntry} entry
   * @param {number} at
   */
  function item(page, entry, at) {
    const number = String(at + 1);
    const remove = button("Remove", () => page.act.removeEntry(at), {
      class: "quiet",
      name: "Remove entry " + number,
      id: "remove-" + number,
    });
    if (entry.kind === "escalate")
      return h("li", null, h("p", null, mark("other"), "Escalated."), h("p", { class: "actions" }, remove));
    if (entry.kind === "fix") {
      const known = page.family.faults[entry.fault] || page.family.suspects[entry.fault];
      const again = known
        ? button("Edit", () => page.act.editProof(at), {
            class: "quiet",
            name: "Edit entry " + number + ", the proof",
            id: "edit-" + number,
          })
        : null;
      const words =
        (entry.result === "proved" ? "proved" : "not proved, ruled out") +
        "; " +
        benchlore.parts.symptomAfter(entry);
      return h(
        "li",
        null,
        h(
          "p",
          null,
          mark(entry.result === "proved" ? "normal" : "fault"),
          "Fix tried: ",
          h("b", null, page.faultTitle(entry.fault)),
          ", " + words + ".",
        ),
        page.assessment.taken
          .filter((judged) => judged.entry === at)
          .map((judged) => h("p", null, said(page, judged))),
        h("p", { class: "actions" }, again, remove),
      );
    }
    const judged = page.assessment.taken.find((one) => one.entry === at);
    if (page.ui.editing === at) return h("li", null, edit(page, entry, at));
    return h(
      "li",
      null,
      h("p", null, judged ? said(page, judged) : entry.text),
      h(
        "p",
        { class: "actions" },
        button("Edit", () => page.act.edit(at), {
          class: "quiet",
          name: "Edit entry " + number,
          id: "edit-" + number,
        }),
        remove,
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchJudged} judged
   * @returns {BenchChild}
   */
  function said(page, judged) {
    const measurement = page.family.measurements[judged.measure];
    const name = benchlore.parts.nameOf(page.family, judged.measure) + ": ";
    if (!measurement || !judged.reading || !judged.verdict) {
      return [mark("undecided"), name, h("b", { class: "reading" }, judged.text), " says nothing."];
    }
    const status = benchlore.verdictView.statusOf(measurement, judged.verdict);
    const word = benchlore.verdictView.word(measurement, judged.verdict);
    const shown = benchlore.parts.shown(measurement, judged.reading);
    return [
      mark(status),
      name,
      judged.reading.outcome === null ? [h("b", { class: "reading" }, shown), ", "] : "",
      h("b", null, word),
    ];
  }

  /**
   * @param {BenchPage} page
   * @param {BenchReadingEntry} entry
   * @param {number} at
   */
  function edit(page, entry, at) {
    const key = "edit-" + at;
    const { book, ui } = page;
    return h(
      "form",
      {
        class: "entry",
        autocomplete: "off",
        onsubmit: (/** @type {Event} */ event) => {
          event.preventDefault();
          const meter = /** @type {HTMLSelectElement} */ (document.getElementById("edit-meter")).value;
          page.act.change(at, page.ui.drafts[key] || "", meter);
        },
      },
      h("label", { class: "field", for: "edit-text" }, benchlore.parts.nameOf(page.family, entry.measure)),
      h(
        "div",
        { class: "entry-row" },
        h("input", {
          type: "text",
          id: "edit-text",
          class: "reading-field",
          maxlength: "60",
          spellcheck: "false",
          value: ui.drafts[key] === undefined ? entry.text : ui.drafts[key],
          "aria-invalid": ui.refusals[key] ? "true" : null,
          "aria-describedby": "edit-refusal",
          oninput: (/** @type {Event} */ event) =>
            page.act.type(key, /** @type {HTMLInputElement} */ (event.target).value),
        }),
        h("button", { type: "submit", class: "primary", id: "edit-enter" }, "Change"),
        button("Leave it", () => page.act.edit(-1), { id: "edit-leave" }),
      ),
      h(
        "label",
        { class: "inline-field" },
        "Meter used ",
        h(
          "select",
          { id: "edit-meter" },
          Object.entries(book.meters).map(([name, meter]) =>
            h("option", { value: name, selected: name === entry.meter }, meter ? meter.title : name),
          ),
        ),
      ),
      refusalOf(ui.refusals[key], "edit-refusal", (choice) => page.act.pick(key, choice, "edit-text")),
    );
  }

  benchlore.historyView = { render, noteRefusal };
})();
