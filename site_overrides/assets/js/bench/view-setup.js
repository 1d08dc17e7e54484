/*
 * What is on the bench: family, revision, symptoms in the customer's words, meter.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, button, refusalOf } = benchlore.dom;

  /**
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  function render(page) {
    const { job, book } = page;
    const listed = book.families.find((family) => family.id === job.family);
    return h(
      "section",
      { class: "panel setup", "aria-labelledby": "setup-title" },
      h("h2", { id: "setup-title", tabindex: "-1" }, "What is on the bench?"),
      families(page),
      listed ? revisions(page, listed) : null,
      listed ? symptoms(page, listed) : null,
      h("div", { class: "setup-row" }, meters(page), label(page)),
      h(
        "p",
        { class: "actions" },
        button(
          job.entries.length ? "Go on with the job" : "Show what to measure first",
          () => page.act.work(),
          { class: "primary", id: "setup-go", key: "g" },
        ),
      ),
    );
  }

  /** @param {BenchPage} page */
  function families(page) {
    const { job, book } = page;
    const locked = job.entries.length > 0;
    return h(
      "fieldset",
      { class: "choices" },
      h("legend", null, "Board family"),
      job.family ? null : refusalOf(page.ui.refusals.setup, "setup-refusal"),
      locked
        ? h(
            "p",
            { class: "aside" },
            "Readings are in this job, so its family stays. Begin a new job for another board.",
          )
        : null,
      book.families.map((family) =>
        h(
          "label",
          { class: "choice" },
          h("input", {
            type: "radio",
            name: "family",
            id: "family-" + family.id,
            value: family.id,
            checked: family.id === job.family,
            disabled: locked && family.id !== job.family,
            onchange: () => page.act.set({ family: family.id, revision: "", symptoms: [] }),
          }),
          h("span", null, h("b", null, family.title), h("span", { class: "aside" }, family.kind)),
        ),
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   */
  function revisions(page, listed) {
    /** @type {[string, string, string, string][]} */
    const offers = Object.entries(listed.revisions).map(([name, one]) => [
      name,
      "Revision " + name,
      one ? one.tell : "",
      one ? one.picture : "",
    ]);
    offers.push(["", "Not known", "All revisions are shown. Find out before you probe.", ""]);
    return h(
      "fieldset",
      { class: "choices choices-revision" },
      h("legend", null, "Revision"),
      offers.map(([value, title, tell, picture]) =>
        h(
          "label",
          { class: "choice choice-picture" },
          h("input", {
            type: "radio",
            name: "revision",
            id: "revision-" + (value || "unknown"),
            value,
            checked: value === page.job.revision,
            onchange: () => page.act.set({ revision: value }),
          }),
          h(
            "span",
            null,
            h("b", null, title),
            rich("span", { class: "aside" }, tell),
            picture ? rich("span", { class: "picture" }, picture) : null,
          ),
        ),
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   */
  function symptoms(page, listed) {
    const { job, book, ui } = page;
    const typed = ui.drafts.symptom || "";
    const offers = benchlore.symptoms.find(book, listed.symptoms, typed);
    const list = h(
      "ul",
      { class: "offers", id: "symptom-offers", "aria-label": "Symptoms" },
      offers.map((offer, n) => {
        const symptom = /** @type {BenchSymptom} */ (book.symptoms[offer.id]);
        const chosen = job.symptoms.includes(offer.id);
        return h(
          "li",
          null,
          h(
            "button",
            {
              type: "button",
              id: "symptom-" + offer.id,
              class: "offer" + (n === 0 && typed ? " offer-best" : ""),
              "aria-pressed": String(chosen),
              onclick: () => page.act.toggleSymptom(offer.id),
            },
            h("span", { class: "tick", "aria-hidden": "true" }, chosen ? "\u2713" : ""),
            h(
              "b",
              null,
              symptom.title,
              n === 0 && typed ? [" ", h("kbd", { "aria-hidden": "true" }, "Enter")] : null,
            ),
            offer.phrase ? h("span", { class: "aside" }, "\u201c" + offer.phrase + "\u201d") : null,
          ),
        );
      }),
    );
    return h(
      "fieldset",
      { class: "choices choices-symptom" },
      h("legend", null, "What does it do?"),
      h(
        "div",
        { class: "chosen", role: "group", "aria-label": "Chosen symptoms" },
        job.symptoms.map((id) => {
          const symptom = book.symptoms[id];
          const title = symptom ? symptom.title : id;
          return button(title + " \u00d7", () => page.act.toggleSymptom(id), {
            class: "chip",
            name: "Remove " + title,
          });
        }),
        job.symptoms.length === 0
          ? h("span", { class: "aside" }, "Nothing chosen yet. Choose all that you see.")
          : null,
      ),
      h("label", { class: "field", for: "symptom-text" }, "In the customer\u2019s words"),
      h("input", {
        type: "text",
        id: "symptom-text",
        autocomplete: "off",
        spellcheck: "false",
        value: typed,
        placeholder: "won\u2019t see the new battery",
        "aria-controls": "symptom-offers",
        "aria-describedby": "symptom-hint",
        oninput: (/** @type {Event} */ event) =>
          page.act.typeSymptom(/** @type {HTMLInputElement} */ (event.target).value),
        onkeydown: (/** @type {Event} */ event) => {
          if (/** @type {KeyboardEvent} */ (event).key !== "Enter") return;
          event.preventDefault();
          if (!typed.trim() && job.symptoms.length) page.act.work();
          else if (typed.trim() && offers[0]) page.act.pickSymptom(offers[0].id);
        },
      }),
      h(
        "p",
        { class: "hint", id: "symptom-hint", "aria-live": "polite" },
        offers.length === 0
          ? "No symptom of this board fits these words. Try others, or clear the field to see all."
          : "Enter takes the first of the list; Enter in the empty field goes on.",
      ),
      job.family ? refusalOf(page.ui.refusals.setup, "setup-refusal") : null,
      list,
      benchlore.parts.symptomNotes(page),
    );
  }

  /** @param {BenchPage} page */
  function meters(page) {
    const { job, book } = page;
    const known = Object.entries(book.meters);
    const chosen = book.meters[job.meter];
    return h(
      "div",
      { class: "field-group" },
      h("label", { class: "field", for: "meter" }, "Meter"),
      h(
        "select",
        {
          id: "meter",
          onchange: (/** @type {Event} */ event) =>
            page.act.set({ meter: /** @type {HTMLSelectElement} */ (event.target).value }),
        },
        known.map(([id, meter]) =>
          h("option", { value: id, selected: id === job.meter }, meter ? meter.title : id),
        ),
        chosen ? null : h("option", { value: job.meter, selected: true }, job.meter + " (not in the book)"),
      ),
      chosen?.html.note ? rich("p", { class: "hint" }, chosen.html.note) : null,
    );
  }

  /** @param {BenchPage} page */
  function label(page) {
    return h(
      "div",
      { class: "field-group" },
      h("label", { class: "field", for: "label" }, "Job number (no customer\u2019s name)"),
      h("input", {
        type: "text",
        id: "label",
        maxlength: "60",
        autocomplete: "off",
        value: page.job.label,
        onchange: (/** @type {Event} */ event) =>
          page.act.set({ label: /** @type {HTMLInputElement} */ (event.target).value.trim() }),
      }),
    );
  }

  benchlore.setupView = { render };
})();
