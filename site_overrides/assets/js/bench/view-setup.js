/*
 * What is on the bench: family, revision, symptoms in the customer's words, meter.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, button, details, refusalOf } = benchlore.dom;

  const FIRST = "Enter takes the first of the list.";
  const ABSENT = "Not in the book. Enter keeps these words with the job, and it goes down the rails.";

  /**
   * One question after the other: the next one stands where the last was answered. The revision starts the job.
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  function render(page) {
    const { job, book } = page;
    const listed = book.families.find((family) => family.id === job.family);
    const begun = job.entries.length > 0;
    return h(
      "section",
      { class: "panel setup", "aria-labelledby": "setup-title" },
      label(page),
      listed ? board(page, listed) : families(page),
      listed ? symptoms(page, listed) : null,
      listed && (begun || job.revision || benchlore.job.told(job)) ? revisions(page, listed) : null,
      listed && benchlore.job.told(job)
        ? details("more-symptoms", "It does more than that", () => search(page, listed))
        : null,
      listed && (begun || job.revision)
        ? h(
            "p",
            { class: "actions" },
            button(begun ? "Go on with the job" : "Show what to measure first", () => page.act.work(), {
              class: "primary",
              id: "setup-go",
              key: "g",
            }),
          )
        : null,
      h("div", { class: "setup-row" }, meters(page)),
    );
  }

  /** @param {BenchPage} page */
  function families(page) {
    return h(
      "div",
      { class: "choices", role: "group", "aria-labelledby": "family-asked" },
      h("p", { class: "field", id: "family-asked", tabindex: "-1" }, "Which board?"),
      refusalOf(page.ui.refusals.setup, "setup-refusal"),
      page.book.families.map((family) =>
        h(
          "button",
          {
            type: "button",
            class: "choice",
            id: "family-" + family.id,
            onclick: () => page.act.set({ family: family.id, revision: "", symptoms: [] }),
          },
          h(
            "span",
            null,
            h("b", null, family.title),
            family.kind === "other" ? null : h("span", { class: "aside" }, family.kind),
          ),
        ),
      ),
    );
  }

  /**
   * The board that was chosen, and the way to another.
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   */
  function board(page, listed) {
    return h(
      "p",
      { class: "chosen" },
      "Board: ",
      h("b", null, listed.title),
      page.job.entries.length
        ? h("span", { class: "aside" }, "Readings are in this job: begin a new one for another board.")
        : button("Another board", () => page.act.set({ family: "", revision: "", symptoms: [] }), {
            class: "quiet",
            id: "other-board",
          }),
    );
  }

  /**
   * Asked for each job, each with what tells it; the answer starts the job.
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   */
  function revisions(page, listed) {
    const names = Object.keys(listed.revisions);
    const offers = names.length > 1 ? [...names, ""] : names;
    const starts = page.job.entries.length === 0 && page.job.revision === "";
    return h(
      "div",
      { class: "choices choices-revision", role: "group", "aria-labelledby": "revision-asked" },
      h(
        "p",
        { class: "field", id: "revision-asked", tabindex: "-1" },
        starts ? "Which revision? Look, then press: the job starts." : "Revision",
      ),
      offers.map((name, n) => revisionKey(page, listed, name, name ? String(n + 1) : "0")),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   * @param {string} name of the revision, empty for one that is not known
   * @param {string} key
   */
  function revisionKey(page, listed, name, key) {
    const one = listed.revisions[name];
    return h(
      "button",
      {
        type: "button",
        class: "choice choice-revision",
        id: "revision-" + (name || "unknown"),
        "aria-pressed": page.job.revision ? String(page.job.revision === name) : null,
        "aria-keyshortcuts": key,
        onclick: () => page.act.revise(name),
      },
      h("kbd", { "aria-hidden": "true" }, key),
      h(
        "span",
        null,
        h("b", null, name ? "Revision " + name : "Not known"),
        one
          ? rich("span", { class: "aside" }, one.tell)
          : h("span", { class: "aside" }, "The places of all revisions are shown."),
        one?.picture ? rich("span", { class: "picture" }, one.picture) : null,
      ),
    );
  }

  /**
   * What is wrong with it: asked for while nothing is chosen, else what was chosen.
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   */
  function symptoms(page, listed) {
    const { job, book } = page;
    return h(
      "div",
      { class: "choices choices-symptom", role: "group", "aria-label": "Symptoms of this job" },
      benchlore.job.told(job)
        ? h(
            "div",
            { class: "chosen" },
            "Shows:",
            job.words
              ? button("\u201c" + job.words + "\u201d \u00d7", () => page.act.set({ words: "" }), {
                  class: "chip",
                  name: "Remove the customer\u2019s words",
                })
              : null,
            job.symptoms.map((id) => {
              const symptom = book.symptoms[id];
              const title = symptom ? symptom.title : id;
              return button(title + " \u00d7", () => page.act.toggleSymptom(id), {
                class: "chip",
                name: "Remove " + title,
              });
            }),
          )
        : [h("p", { class: "field" }, "What does it do?"), search(page, listed)],
      benchlore.hazards.lines(page.book, benchlore.hazards.spoken(page.book, job.family, job.words), []),
      benchlore.parts.symptomNotes(page),
    );
  }

  /**
   * The symptoms of a board by the customer's words.
   * @param {BenchPage} page
   * @param {BenchListedFamily} listed
   */
  function search(page, listed) {
    const { job, book, ui } = page;
    const typed = ui.drafts.symptom || "";
    const { offers, known, ready } = benchlore.symptoms.find(listed.symptoms, typed);
    const best = typed.trim() !== "" && ready && known;
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
              class: "offer" + (n === 0 && best ? " offer-best" : ""),
              "aria-pressed": String(chosen),
              onclick: () =>
                !chosen && typed.trim()
                  ? page.act.pickSymptom(offer, typed)
                  : page.act.toggleSymptom(offer.id),
            },
            h("span", { class: "tick", "aria-hidden": "true" }, chosen ? "\u2713" : ""),
            h(
              "b",
              null,
              symptom.title,
              n === 0 && best ? [" ", h("kbd", { "aria-hidden": "true" }, "Enter")] : null,
            ),
            offer.phrase
              ? h(
                  "span",
                  { class: "aside", lang: offer.language || null },
                  "\u201c" + offer.phrase + "\u201d",
                )
              : null,
          ),
        );
      }),
    );
    return [
      h("label", { class: "unseen", for: "symptom-text" }, "In the customer\u2019s words"),
      h("input", {
        type: "text",
        id: "symptom-text",
        autocomplete: "off",
        spellcheck: "false",
        value: typed,
        placeholder: "in the customer\u2019s words",
        maxlength: String(benchlore.vocabulary.most_words),
        "aria-controls": "symptom-offers",
        "aria-describedby": "symptom-hint",
        oninput: (/** @type {Event} */ event) =>
          page.act.typeSymptom(/** @type {HTMLInputElement} */ (event.target).value),
        onkeydown: (/** @type {Event} */ event) => {
          if (/** @type {KeyboardEvent} */ (event).key !== "Enter") return;
          event.preventDefault();
          if (!typed.trim() && benchlore.job.told(job)) page.act.work();
          else if (typed.trim()) page.act.takeSymptom(typed);
        },
      }),
      benchlore.hazards.lines(book, benchlore.hazards.spoken(book, job.family, typed), []),
      h(
        "p",
        { class: "hint", id: "symptom-hint", "aria-live": "polite" },
        ready ? (known ? FIRST : ABSENT) : "The index is loading.",
      ),
      refusalOf(page.ui.refusals.setup, "setup-refusal"),
      refusalOf(page.ui.refusals.words, "words-refusal"),
      known ? [list, other(page, typed, false)] : [other(page, typed, true), list],
    ];
  }

  /**
   * The way on for what the book does not know.
   * @param {BenchPage} page
   * @param {string} typed
   * @param {boolean} best whether Enter takes it
   */
  function other(page, typed, best) {
    const said = typed.trim();
    return h(
      "button",
      {
        type: "button",
        id: "symptom-other",
        class: "offer" + (best ? " offer-best" : ""),
        onclick: () => page.act.keepWords(typed),
      },
      h("span", { class: "tick", "aria-hidden": "true" }),
      h("b", null, "Something else", best ? [" ", h("kbd", { "aria-hidden": "true" }, "Enter")] : null),
      h(
        "span",
        { class: "aside" },
        said
          ? "Keep \u201c" + said + "\u201d, and go down the rails from the source on"
          : "Type what the customer says: it goes down the rails from the source on",
      ),
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
      h("label", { class: "field", for: "meter" }, "Meter used"),
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
      { class: "field-group job-number" },
      h("label", { class: "field", for: "label" }, "Job number"),
      h("input", {
        type: "text",
        id: "label",
        maxlength: "60",
        autocomplete: "off",
        placeholder: "no names",
        value: page.job.label,
        onchange: (/** @type {Event} */ event) =>
          page.act.label(/** @type {HTMLInputElement} */ (event.target).value.trim()),
      }),
    );
  }

  benchlore.setupView = { render };
})();
