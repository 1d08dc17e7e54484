/*
 * The points of a board without records: what is measured where, in which bench state.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));
  const { h, button, refusalOf } = benchlore.dom;

  const FUNCTIONS = benchlore.vocabulary.functions;
  const { states: STATES, order: ORDER } = benchlore.walkBook;

  /** @type {(page: WalkPage, walk: WalkRecord) => HTMLElement} */
  function render(page, walk) {
    return h(
      "section",
      { class: "panel walk-points", "aria-labelledby": "points-title" },
      h("h2", { id: "points-title", tabindex: "-1" }, "Points of this board"),
      h(
        "p",
        null,
        "One line a reading. They are walked without power first, then one bench state after the other. Read the rails to ground in ohms before anything is switched on.",
      ),
      h(
        "form",
        {
          class: "walk-point",
          autocomplete: "off",
          onsubmit: (/** @type {Event} */ event) => {
            event.preventDefault();
            page.act.addPoint();
          },
        },
        input(page, "net", "Net", "MAIN_3V3"),
        input(page, "at", "Point", "C12, F1_OUT"),
        choice(page, "mode", "Function", metered()),
        choice(
          page,
          "state",
          "Bench state",
          ORDER.map((id) => [id, STATES[id]?.title || id]),
        ),
        input(page, "where", "What the eye finds there", "upper end of the capacitor beside the DC-in jack"),
        refusalOf(page.ui.refusals.point, "point-refusal"),
        h("p", { class: "actions" }, h("button", { type: "submit", id: "add-point" }, "Add the point")),
      ),
      walk.points.length
        ? h(
            "ol",
            { class: "walk-listed" },
            walk.points.map((point) =>
              h(
                "li",
                null,
                h("b", { class: "id" }, point.net),
                " at ",
                h("b", { class: "id" }, point.at),
                ", " + (FUNCTIONS[point.mode]?.label || point.mode) + ", " + stateName(point.state) + " ",
                button("Take out", () => page.act.dropPoint(point.id), {
                  class: "quiet",
                  name: "Take out " + point.net + " at " + point.at,
                }),
              ),
            ),
          )
        : null,
      h(
        "p",
        { class: "actions" },
        button("Walk these points", () => page.act.go(), {
          class: "primary",
          id: "go",
          disabled: walk.points.length === 0,
        }),
        button("All walks", () => page.act.leave(), { class: "quiet", id: "leave" }),
      ),
    );
  }

  /** @param {string} id */
  function stateName(id) {
    return STATES[id]?.short || id;
  }

  /** Functions that read a value. @returns {[string, string][]} */
  function metered() {
    return Object.entries(FUNCTIONS).flatMap(([id, one]) =>
      one && one.unit !== null ? [/** @type {[string, string]} */ ([id, one.label])] : [],
    );
  }

  /** @type {(page: WalkPage, name: string, label: string, example: string) => HTMLDivElement} */
  function input(page, name, label, example) {
    const id = "point-" + name;
    return h(
      "div",
      { class: "field-group" },
      h("label", { class: "field", for: id }, label),
      h("input", {
        type: "text",
        id,
        maxlength: name === "where" ? "200" : "60",
        spellcheck: "false",
        placeholder: example,
        value: page.ui.drafts[id] || "",
        oninput: (/** @type {Event} */ event) =>
          page.act.draft(id, /** @type {HTMLInputElement} */ (event.target).value),
      }),
    );
  }

  /**
   * @param {WalkPage} page
   * @param {string} name
   * @param {string} label
   * @param {readonly [string, string][]} choices
   */
  function choice(page, name, label, choices) {
    const id = "point-" + name;
    return h(
      "div",
      { class: "field-group" },
      h("label", { class: "field", for: id }, label),
      h(
        "select",
        {
          id,
          onchange: (/** @type {Event} */ event) =>
            page.act.draft(id, /** @type {HTMLSelectElement} */ (event.target).value),
        },
        choices.map(([value, words]) =>
          h("option", { value, selected: value === page.ui.drafts[id] }, words),
        ),
      ),
    );
  }

  walks.pointsView = { render };
})();
