/*
 * The beginning of a walk: which board, with which meter; and the walks that are there already.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));
  const { h, plain, button, refusalOf } = benchlore.dom;
  const { minutes, plural } = benchlore.quantity;

  /** @type {(page: WalkPage) => HTMLElement} */
  function render(page) {
    const free = page.family.id === "";
    return h(
      "div",
      { class: "walk-begin" },
      h(
        "section",
        { class: "panel", "aria-labelledby": "begin-title" },
        h("h2", { id: "begin-title", tabindex: "-1" }, "A board that is known to be good"),
        h(
          "p",
          null,
          free
            ? "For a board that the book has no records of: name the points, then read each. What was read starts the records of a new family."
            : "Every point of the family, one reading and Enter after the other, the set-ups in the order that costs the fewest minutes. What was read stands beside what the records say. " +
                plural(page.all, "point") +
                ", about " +
                minutes(page.minutes) +
                ".",
        ),
        h(
          "p",
          null,
          "Take a board that works in all it does. What is read on a faulty one would become what is healthy.",
        ),
        h(
          "form",
          {
            class: "walk-setup",
            autocomplete: "off",
            onsubmit: (/** @type {Event} */ event) => {
              event.preventDefault();
              page.act.begin();
            },
          },
          free ? text(page, "title", "What is the board called?", "its code, or your word") : null,
          text(page, "label", "Which board is it?", "the shop\u2019s number, no names"),
          revisions(page),
          meters(page),
          refusalOf(page.ui.refusals.begin, "begin-refusal"),
          h(
            "p",
            { class: "actions" },
            h("button", { type: "submit", class: "primary", id: "begin" }, "Begin the walk"),
            load(page),
          ),
        ),
      ),
      kept(page),
    );
  }

  /** @type {(page: WalkPage, name: "title" | "label", label: string, hint: string) => HTMLDivElement} */
  function text(page, name, label, hint) {
    return h(
      "div",
      { class: "field-group" },
      h("label", { class: "field", for: name }, label),
      h("input", {
        type: "text",
        id: name,
        maxlength: "60",
        placeholder: hint,
        value: page.ui.drafts[name] || "",
        oninput: (/** @type {Event} */ event) =>
          page.act.draft(name, /** @type {HTMLInputElement} */ (event.target).value),
      }),
    );
  }

  /** @param {WalkPage} page */
  function revisions(page) {
    const known = Object.keys(page.family.revisions);
    if (known.length === 0) return null;
    return select(page, "revision", "Revision", [
      ["", "not known"],
      ...known.map((id) => /** @type {[string, string]} */ ([id, id])),
    ]);
  }

  /** @param {WalkPage} page */
  function meters(page) {
    const known = Object.entries(page.book.meters).map(
      ([id, meter]) => /** @type {[string, string]} */ ([id, meter ? meter.title : id]),
    );
    return select(page, "meter", "Meter used", known);
  }

  /**
   * @param {WalkPage} page
   * @param {string} name
   * @param {string} label
   * @param {readonly [string, string][]} choices
   */
  function select(page, name, label, choices) {
    return h(
      "div",
      { class: "field-group" },
      h("label", { class: "field", for: name }, label),
      h(
        "select",
        {
          id: name,
          onchange: (/** @type {Event} */ event) =>
            page.act.draft(name, /** @type {HTMLSelectElement} */ (event.target).value),
        },
        choices.map(([value, words]) =>
          h("option", { value, selected: value === (page.ui.drafts[name] || "") }, words),
        ),
      ),
    );
  }

  /** @param {WalkPage} page */
  function load(page) {
    return h(
      "label",
      { class: "file", for: "load" },
      "Open a saved walk",
      h("input", {
        type: "file",
        id: "load",
        accept: ".json,application/json",
        onchange: (/** @type {Event} */ event) =>
          page.act.load(/** @type {HTMLInputElement} */ (event.target)),
      }),
    );
  }

  /** @param {WalkPage} page */
  function kept(page) {
    if (page.boards.length === 0) return null;
    return h(
      "section",
      { class: "panel", "aria-labelledby": "kept-title" },
      h("h2", { id: "kept-title" }, "Walks in this browser"),
      h(
        "ul",
        { class: "walk-boards" },
        page.boards.map((walk) => {
          const done = walks.route.taken(walk).size;
          const name = nameOf(walk);
          return h(
            "li",
            null,
            h("b", null, name),
            " ",
            h("span", { class: "aside" }, done + " of " + plural(walks.route.steps(walk).length, "point")),
            h(
              "span",
              { class: "actions" },
              button("Go on", () => page.act.open(walk.id), { name: "Go on with " + name }),
              button("Save to a file", () => page.act.save(walk.id), { name: "Save " + name + " to a file" }),
              page.ui.asking === walk.id
                ? [
                    button("Keep it", () => page.act.ask(""), { class: "primary", name: "Keep " + name }),
                    button("Remove it for good", () => page.act.remove(walk.id), {
                      name: "Remove " + name + " for good",
                    }),
                  ]
                : button("Remove", () => page.act.ask(walk.id), { class: "quiet", name: "Remove " + name }),
            ),
          );
        }),
      ),
    );
  }

  /**
   * What a walk is called in lists.
   * @param {WalkRecord} walk
   */
  function nameOf(walk) {
    const name =
      [walk.title, walk.label].filter(Boolean).join(", ") || "Board of " + walk.started.slice(0, 10);
    return plain(h("p", null, name).innerHTML) + (walk.revision ? ", revision " + walk.revision : "");
  }

  walks.beginView = { render, nameOf };
})();
