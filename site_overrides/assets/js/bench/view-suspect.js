/*
 * What the circuit suspects without a record: on the board, which part it is, in the order in which to look; outside,
 * the trial with one that is known good.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, button } = benchlore.dom;
  const { share, minutes } = benchlore.quantity;

  /**
   * The card of a suspect, in place of a fix.
   * @param {BenchPage} page
   * @param {string} id
   * @param {BenchSuspect} suspect
   * @returns {HTMLElement}
   */
  function render(page, id, suspect) {
    const row = page.assessment.ranking.find((one) => one.id === id);
    const brought = benchlore.hazards.brought(page);
    return h(
      "article",
      { class: "panel next fix", "aria-labelledby": "next-title" },
      benchlore.parts.stop(page),
      benchlore.hazards.top(
        page.book,
        [...brought, ...suspect.hazards],
        [...brought, ...benchlore.hazards.above(page)],
      ),
      benchlore.hazards.lines(page.book, brought, brought),
      h(
        "div",
        null,
        h(
          "p",
          { class: "kicker" },
          benchlore.nextView.chosenWord(page, suspect.outside ? "Next: try" : "Next: find"),
        ),
        h("h2", { id: "next-title", tabindex: "-1" }, suspect.title),
      ),
      h(
        "ol",
        { class: "card-steps" },
        // A swollen pack is not handled by the way: how it comes out is folded.
        suspect.outside === "settings" ? null : benchlore.fixView.unpower(page, suspect.outside === "pack"),
        h(
          "li",
          { class: "step step-work" },
          h("span", { class: "step-what" }, "Do"),
          h(
            "div",
            { class: "step-how" },
            benchlore.hazards.lines(
              page.book,
              benchlore.hazards.added(page.family, suspect.hazards),
              page.met,
            ),
            steps(suspect).map((line) => h("p", null, line)),
            members(page, suspect),
            suspect.along.map((fuse) =>
              h(
                "p",
                null,
                "Read " +
                  fuse +
                  " once the short is gone. Where it has blown, change it, too: the same rating.",
              ),
            ),
          ),
        ),
        proof(page, id),
      ),
      h(
        "p",
        { class: "why" },
        told(suspect) + " ",
        row ? share(row.p) + " likely. About " + minutes(row.minutes) + "." : "",
      ),
      benchlore.fixView.settles(page, id),
      benchlore.nextView.others(page),
    );
  }

  /** Why there is no record to go by. @param {BenchSuspect} suspect */
  function told(suspect) {
    return suspect.outside
      ? "It is not the board. No record says so; most such jobs end here."
      : "No record says so: the circuit makes it possible.";
  }

  /** @param {BenchSuspect} suspect */
  function steps(suspect) {
    if (suspect.outside === "settings")
      return ["Bring the settings to their defaults, and see whether the symptom is gone."];
    if (suspect.outside)
      return [
        "With all power out, put one in its place that is known to be good. See whether the symptom is gone.",
        "Where it was not that, put the old one back, with all power out.",
      ];
    const parts = new Set(suspect.members.map((one) => one.part));
    if (suspect.by_hand)
      return [
        "Clean or reseat it, and look again; where that does not help, change it, and measure before power.",
      ];
    if (suspect.reflowed)
      return [
        "Reflow its joints by the station's profile, and measure before power; where that does not hold, change it, or offer a board; see the price first.",
      ];
    if (parts.size < 2) return ["Change it, and measure again before power."];
    return [
      "See what warms up under a limited current, and what changes when something is unplugged or a leg is lifted.",
      "Then change one after the other, in this order, and measure again after each, before power:",
    ];
  }

  /**
   * What it may be, in the order of the search.
   * @param {BenchPage} page
   * @param {BenchSuspect} suspect
   */
  function members(page, suspect) {
    if (suspect.outside) return null;
    return h(
      "ol",
      { class: "takes-list" },
      suspect.members.map((one) => {
        const part = page.family.parts[one.part];
        return h(
          "li",
          null,
          benchlore.parts.part(page.family, one.part),
          " " + [part ? part.name : "", one.mode, one.at].filter(Boolean).join(", ") + ": ",
          h("b", null, share(one.share)),
          " of it, " + minutes(one.minutes),
        );
      }),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {string} id
   */
  function proof(page, id) {
    return h(
      "li",
      { class: "step step-read" },
      h("span", { class: "step-what" }, "Prove"),
      h("div", { class: "step-how" }, benchlore.fixView.proofForm(page, id, null)),
    );
  }

  /**
   * What the ranking says of a suspect.
   * @param {BenchPage} page
   * @param {string} id
   * @param {BenchSuspect} suspect
   */
  function why(page, id, suspect) {
    return [
      h("p", null, told(suspect)),
      members(page, suspect),
      h(
        "p",
        { class: "actions" },
        button(suspect.outside ? "Try it" : "Show how to find it", () => page.act.choose("fix", id)),
      ),
    ];
  }

  benchlore.suspectView = { render, why };
})();
