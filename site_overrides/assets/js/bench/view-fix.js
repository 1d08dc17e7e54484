/*
 * A fix: what can hurt, the steps, the parts and their donors, and the proof that closes the job.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, plain, mark, button, details, refusalOf } = benchlore.dom;
  const { share, minutes } = benchlore.quantity;

  /** Readings that the card offers to be surer by. */
  const MOST_SURER = 3;
  const MOST_SETTLED = 3;

  /**
   * @param {BenchPage} page
   * @param {string} id
   * @returns {HTMLElement}
   */
  function render(page, id) {
    const { book, assessment } = page;
    const fault = page.family.faults[id];
    const row = assessment.ranking.find((one) => one.id === id);
    const cost = row ? row.minutes : fault.fix.minutes;
    /** @type {Set<string>} */
    const shown = new Set();
    /** @type {Set<string>} */
    const drawn = new Set();
    const brought = benchlore.hazards.brought(page);
    const asked = [...brought, ...benchlore.hazards.ofWork(page.family, fault).all];
    const [worst] = benchlore.hazards.bySeverity(book, asked);
    /** The hazards of which the card has said what to do. */
    const told = new Set([...brought, ...benchlore.hazards.above(page), ...(worst ? [worst.id] : [])]);
    const begun = (page.ui.steps[id] || 0) > 0;
    const out = fault.links.bare ? unpower(page, begun || takesOut(fault)) : null;
    // What has been done already makes room for the work.
    const safe = begun || (bare(page.family) || "") === assessment.stands.state;
    const read = fault.fix.first.every((one) => assessment.measured.includes(one));
    return h(
      "article",
      { class: "panel next fix", "aria-labelledby": "next-title" },
      benchlore.parts.stop(page),
      benchlore.hazards.top(book, asked, [...brought, ...benchlore.hazards.above(page)]),
      benchlore.hazards.lines(book, brought, brought),
      h(
        "div",
        null,
        h("p", { class: "kicker" }, benchlore.nextView.chosenWord(page, "Next: fix")),
        h("h2", { id: "next-title", tabindex: "-1" }, benchlore.parts.done(fault) + ": " + fault.title),
        benchlore.parts.placeInWords(page.family, page.job.revision, fault.cause.part),
        benchlore.verdictView.short(page),
      ),
      h(
        "ol",
        { class: "card-steps" },
        safe ? null : out,
        read ? null : checkFirst(page, fault),
        work(page, fault, shown),
        read ? checkFirst(page, fault) : null,
        safe ? out : null,
        benchlore.parts.wherePart(page.family, page.job.revision, fault.cause.part, drawn),
        takes(page, fault),
        proof(page, fault, shown, drawn, told),
      ),
      h(
        "p",
        { class: "why fix-cost" },
        [minutes(cost) + " with its proof", fault.fix.price, row ? share(row.p) + " likely" : ""]
          .filter(Boolean)
          .join(" \u00b7 "),
      ),
      settles(page, id),
      why(page, id),
      fault.cause.says ? h("p", { class: "why" }, fault.cause.part + ": " + fault.cause.says + ".") : null,
      surer(page, fault),
      benchlore.nextView.others(page),
    );
  }

  /**
   * Whether the steps begin with what the bench state without sources asks for: they unplug, or handle the pack itself,
   * which a swollen one must not get by the way.
   * @param {BenchFault} fault
   */
  function takesOut({ fix, cause, links }) {
    const first = plain(fix.html.steps[0] || "");
    return /^(Unplug|Take out) /.test(first) || (links.outside === "pack" && first.includes(cause.part));
  }

  /**
   * The work is done with everything out: the bench state without sources comes first.
   * @param {BenchPage} page
   * @param {boolean} [begun] whether the steps begin with it: how it is done is folded
   */
  function unpower(page, begun = false) {
    const { family, assessment } = page;
    const state = bare(family);
    if (!state) return null;
    const needs = { state, unplugged: assessment.stands.unplugged };
    return benchlore.parts.setUp(family, assessment.stands, needs, begun);
  }

  /** The bench state without sources and without charge. @param {BenchFamily} family */
  function bare(family) {
    return Object.keys(family.states).find((id) => {
      const state = family.states[id];
      return state && state.sources.length === 0 && state.discharged;
    });
  }

  /**
   * What is read with the part in place, before anything is heated or taken off.
   * @param {BenchPage} page
   * @param {BenchFault} fault
   */
  function checkFirst(page, fault) {
    const { family, assessment } = page;
    const open = fault.fix.first.filter((id) => assessment.one.scales[id]);
    if (open.length === 0) return null;
    return h(
      "li",
      { class: "step step-first" },
      h("span", { class: "step-what" }, "Before the iron"),
      h(
        "div",
        { class: "step-how" },
        open.map((id) =>
          h(
            "p",
            null,
            assessment.measured.includes(id)
              ? ["\u2713 ", benchlore.parts.nameOf(family, id), " was read"]
              : button(
                  benchlore.parts.nameOf(family, id) + " (" + minutes(family.measurements[id].minutes) + ")",
                  () => page.act.choose("measure", id),
                  { class: "other" },
                ),
            ", with this fault ",
            benchlore.parts.outcome(mostly(family, fault, id)),
          ),
        ),
      ),
    );
  }

  /**
   * One step of the work: done, the one that is next, or a later one. The next one has what it brings by name above
   * it where the card's first line may be out of sight, what to do about that below it, then the way on.
   * @param {BenchPage} page
   * @param {BenchFault} fault
   * @param {number} n
   * @param {number} at the step that is next
   * @param {readonly string[]} above the hazards whose lines the card begins with, the most serious first
   * @param {Set<string>} shown the hazards that the card has in full, which this adds to
   * @param {BenchChild} besides what the record names besides, at the step that is next
   */
  function oneStep({ book, met, act }, fault, n, at, above, shown, besides) {
    const { steps } = fault.fix.html;
    const [worst] = above;
    const before = fault.fix.hazards.slice(0, n).flat();
    // The job has shown all of it.
    const told = worst && met.includes(worst) ? worst : "";
    const brought = fault.fix.hazards[n] || [];
    const now = n === at;
    const inFull = brought.filter((id) => id !== told);
    return h(
      "li",
      { class: n < at ? "step-past" : now ? "step-now" : "step-later" },
      n < at ? h("span", { class: "unseen" }, "Done: ") : null,
      // A later step stands at the top of a phone, where the card's own line is out of sight.
      now && n > 0 ? named(book, brought) : null,
      rich("span", null, steps[n]),
      now ? benchlore.hazards.lines(book, inFull, [...met, ...before], shown, above) : null,
      n > at
        ? named(
            book,
            brought.filter((id) => !shown.has(id)),
          )
        : null,
      now && n === 0 && brought.includes(told) ? named(book, [told]) : null,
      now ? besides : null,
      now && n + 1 < steps.length
        ? h(
            "p",
            { class: "actions" },
            button("Done: next step", () => act.stepped(fault.id, n + 1), {
              key: "d",
              id: "step-done",
              class: "primary",
            }),
          )
        : null,
    );
  }

  /** @param {BenchBook} book @param {readonly string[]} ids */
  function named(book, ids) {
    if (ids.length === 0) return null;
    return h("div", { class: "hazards hazards-named" }, benchlore.hazards.names(book, ids));
  }

  /**
   * The steps one at a time: the one that is next with the hazards that it brings and what to do about them, later ones
   * with the names of theirs; with the next one what the record names besides, after the first step by name.
   * @param {BenchPage} page
   * @param {BenchFault} fault
   * @param {Set<string>} shown the hazards that the card has in full, which this adds to
   */
  function work(page, fault, shown) {
    const { book, family } = page;
    const { besides, all } = benchlore.hazards.ofWork(family, fault);
    const complaint = benchlore.hazards.brought(page);
    const [worst] = benchlore.hazards.bySeverity(book, [...complaint, ...all]);
    const above = worst ? [worst.id, ...complaint] : [];
    const steps = fault.fix.html.steps;
    const at = Math.min(page.ui.steps[fault.id] || 0, steps.length);
    const more =
      at === 0 ? benchlore.hazards.lines(book, besides, besides, shown, above) : named(book, besides);
    return h(
      "li",
      { class: "step step-work" },
      h("span", { class: "step-what" }, "Step " + (at + 1) + " of " + steps.length),
      h(
        "div",
        { class: "step-how" },
        h(
          "ol",
          { class: "do" },
          steps.map((_, n) => oneStep(page, fault, n, at, above, shown, more)),
        ),
        h(
          "p",
          { class: "actions" },
          at > 0
            ? button("One step back", () => page.act.stepped(fault.id, at - 1), {
                id: "step-back",
                class: "quiet",
              })
            : null,
          button("Work done: go to the proof", () => page.act.toField(), {
            key: "r",
            id: "to-proof",
            class: at + 1 >= steps.length ? "primary" : "",
          }),
        ),
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchFault} fault
   */
  function takes(page, fault) {
    if (fault.fix.parts.length === 0 && fault.links.techniques.length === 0) return null;
    return h(
      "li",
      { class: "step step-parts" },
      h("span", { class: "step-what" }, "Takes"),
      h(
        "div",
        { class: "step-how" },
        h(
          "ul",
          { class: "takes-list" },
          fault.fix.parts.map((use) => {
            const part = page.family.parts[use.part];
            const donor = use.words.donor || (part ? part.replace.words.donor : "");
            return h(
              "li",
              null,
              benchlore.parts.part(page.family, use.part),
              part ? " " + part.name + ", " + part.package + "; " + part.replace.words.skill : "",
              donor ? [h("br"), "Donor: ", h("b", null, donor)] : null,
            );
          }),
        ),
        fault.links.techniques.length
          ? h(
              "p",
              null,
              "Techniques: ",
              fault.links.techniques.map((id, n) => {
                const technique = page.book.techniques[id];
                return [n ? ", " : "", technique ? h("a", { href: technique.page }, technique.title) : id];
              }),
            )
          : null,
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchFault} fault
   * @param {Set<string>} shown the hazards that the card has in full
   * @param {Set<string>} drawn the points whose sketch the card has
   * @param {Set<string>} told the hazards of which the card has said what to do
   */
  function proof(page, fault, shown, drawn, told) {
    const measures = benchlore.cases.proofMeasures(page.family, fault);
    return h(
      "li",
      { class: "step step-read" },
      h("span", { class: "step-what" }, "Prove"),
      h(
        "div",
        { class: "step-how" },
        h(
          "p",
          null,
          "First take off what was put on for the work, and plug in again what was unplugged, but for what a step here leaves out.",
        ),
        h(
          "p",
          null,
          "Proved when ",
          measures.length > 1 ? "all of these read" : "this reads",
          " as it should and the symptom is gone. If not, the fault is ruled out and the job goes on.",
        ),
        h(
          "p",
          null,
          measures.length > 1 ? "Stop at the first that does not" : "Stop where it does not",
          " read so: enter it, and nothing further.",
        ),
        proofForm(page, fault.id, [
          measures.map((id, n) => one(page, fault, id, n, shown, drawn, told)),
          measures.some((id) => page.family.measurements[id].links.unit !== null)
            ? benchlore.nextView.takenWith(page)
            : null,
        ]),
      ),
    );
  }

  /**
   * What proves a fix or a trial: its readings, if it has any, and the symptom.
   * @param {BenchPage} page
   * @param {string} id
   * @param {BenchChild} readings
   */
  function proofForm(page, id, readings) {
    return h(
      "form",
      {
        class: "entry proof",
        autocomplete: "off",
        onsubmit: (/** @type {Event} */ event) => {
          event.preventDefault();
          page.act.prove(id);
        },
      },
      readings,
      symptom(page, id),
      h(
        "p",
        { class: "actions" },
        h("button", { type: "submit", class: "primary", id: "enter-proof" }, "Enter the proof"),
      ),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {BenchFault} fault
   * @param {string} id
   * @param {number} n
   * @param {Set<string>} shown
   * @param {Set<string>} drawn
   * @param {Set<string>} told of these the name alone, which this adds to
   */
  function one(page, fault, id, n, shown, drawn, told) {
    const { family, book, ui } = page;
    const measurement = family.measurements[id];
    const wanted = Object.values(measurement.outcomes).find(
      (outcome) => outcome.id === fault.fix.confirm[id],
    );
    const key = "proof-" + fault.id + "-" + id;
    const point = family.test_points[measurement.at];
    const before =
      n === 0
        ? { state: null, unplugged: page.assessment.stands.unplugged }
        : benchlore.cases.setUpOf(family, benchlore.cases.proofMeasures(family, fault)[n - 1]);
    const inputId = "proof-" + (n + 1);
    return h(
      "fieldset",
      { class: "proof-one" },
      h("legend", null, benchlore.parts.nameOf(family, id)),
      worstOf(book, measurement.links.hazards, told, shown),
      h(
        "ol",
        { class: "card-steps" },
        benchlore.parts.setUp(family, before, benchlore.cases.setUpOf(family, id)),
        benchlore.parts.meter(
          book,
          measurement,
          benchlore.hazards.lines(
            book,
            benchlore.hazards.added(family, measurement.links.hazards),
            page.met,
            shown,
            [...told],
          ),
        ),
        point ? benchlore.parts.where(family, page.job.revision, measurement, drawn) : null,
      ),
      h(
        "p",
        { class: "healthy" },
        "It must read: ",
        wanted ? benchlore.parts.outcome(wanted) : fault.fix.confirm[id],
      ),
      measurement.links.unit === null
        ? h(
            "div",
            { class: "answers-row", role: "radiogroup", "aria-label": "What is it?" },
            Object.values(measurement.outcomes).map((outcome, place) =>
              h(
                "label",
                { class: "choice" },
                h("input", {
                  type: "radio",
                  name: inputId,
                  id: inputId + "-" + (place + 1),
                  value: outcome.id,
                  checked: ui.drafts[key] === outcome.id,
                  onchange: () => page.act.type(key, outcome.id),
                }),
                benchlore.parts.outcome(outcome),
              ),
            ),
          )
        : [
            h("label", { class: "field", for: inputId }, benchlore.nextView.titleOf(page, id)),
            h(
              "div",
              { class: "entry-row" },
              benchlore.field.field({
                id: inputId,
                unit: benchlore.nextView.unitOf(measurement),
                value: ui.drafts[key] || "",
                refused: ui.refusals[key] !== undefined,
                by: inputId + "-refusal" + (measurement.compare ? " " + inputId + "-hint" : ""),
                act: (text) => page.act.type(key, text),
                next: () => (page.act.failed(fault.id) ? toEnter() : toUnanswered(inputId)),
              }),
              benchlore.field.keys(inputId, measurement.compare !== null),
            ),
            measurement.compare
              ? h("p", { class: "hint", id: inputId + "-hint" }, benchlore.nextView.bothOf(measurement))
              : null,
          ],
      refusalOf(ui.refusals[key], inputId + "-refusal", (choice) => page.act.pick(key, choice, inputId)),
    );
  }

  /**
   * The most serious hazard of a proof in one line: what to do where the card has not said it.
   * @param {BenchBook} book
   * @param {readonly string[]} ids
   * @param {Set<string>} told
   * @param {Set<string>} shown
   */
  function worstOf(book, ids, told, shown) {
    const [worst] = benchlore.hazards.bySeverity(book, ids);
    if (!worst) return null;
    if (told.has(worst.id) || shown.has(worst.id)) return named(book, [worst.id]);
    told.add(worst.id);
    return benchlore.hazards.top(book, ids);
  }

  /**
   * Go from a field of the proof to the first question that is not answered; false when all are.
   * @param {string} id
   */
  function toUnanswered(id) {
    const form = document.getElementById(id)?.closest("form");
    for (const part of form?.querySelectorAll(".proof-one") || []) {
      const inputs = /** @type {HTMLInputElement[]} */ ([...part.querySelectorAll("input")]);
      const radio = inputs.find((one) => one.type === "radio");
      const open = radio ? !inputs.some((one) => one.checked) : inputs.some((one) => one.value.trim() === "");
      if (!open || inputs.length === 0) continue;
      inputs[0].focus();
      part.scrollIntoView({ block: "nearest" });
      return true;
    }
    return false;
  }

  /** Go to what enters the proof. */
  function toEnter() {
    document.getElementById("enter-proof")?.focus();
    return true;
  }

  /**
   * A measurement may have read healthy before the fix, too; the symptom has not been gone.
   * @param {BenchPage} page
   * @param {string} id of the fault or the suspect
   */
  function symptom(page, id) {
    const key = "symptom-" + id;
    const titles = benchlore.parts.complaints(page.book, page.job);
    /** @type {[string, string][]} */
    const answers = [
      ["gone", "Gone"],
      ["still", "Still there"],
    ];
    return h(
      "fieldset",
      { class: "proof-one" },
      h("legend", null, (titles.join("; ") || "What was wrong with it") + ":"),
      h("p", { class: "hint" }, "Seen with everything plugged in as the customer has it."),
      h(
        "div",
        { class: "answers-row" },
        answers.map(([value, label]) =>
          h(
            "label",
            { class: "choice" },
            h("input", {
              type: "radio",
              name: "symptom-after",
              id: "symptom-" + value,
              value,
              checked: page.ui.drafts[key] === value,
              onchange: () => page.act.type(key, value),
            }),
            h("span", null, label),
          ),
        ),
      ),
      refusalOf(page.ui.refusals[key], "symptom-refusal"),
    );
  }

  /**
   * @param {BenchPage} page
   * @param {string} id
   */
  function why(page, id) {
    const { assessment } = page;
    const choice = assessment.choices.find((other) => other.kind === "fix" && other.id === id);
    if (!choice)
      return h("p", { class: "why" }, mark("undecided"), "This fix is not among those worth trying now.");
    const measuring = assessment.choices.find((other) => other.kind === "measure");
    const rest = measuring ? "; measuring first would take " + minutes(measuring.expected) + " in all" : "";
    return h(
      "p",
      { class: "why" },
      h("b", null, "Why: "),
      "trying it takes " +
        minutes(choice.minutes) +
        ", and the job about " +
        minutes(choice.expected) +
        " in all" +
        rest +
        ".",
    );
  }

  /**
   * What else the same work mends.
   * @param {BenchPage} page
   * @param {string} id
   */
  function settles(page, id) {
    const also = benchlore.assess.mendsAlso(page.assessment, id);
    if (!also.length) return null;
    const more = also.length - MOST_SETTLED;
    return h(
      "p",
      { class: "why" },
      h("b", null, "Settles also: "),
      also
        .slice(0, MOST_SETTLED)
        .map(({ index, p }, n) => [n ? "; " : "", page.titleOf(index), ", " + share(p)]),
      more > 0 ? "; and " + more + " more." : ".",
    );
  }

  /**
   * What tells of this fault and nobody has measured yet: whoever wants to be surer before the work can.
   * @param {BenchPage} page
   * @param {BenchFault} fault
   */
  function surer(page, fault) {
    const { family, assessment } = page;
    const open = fault.test_points
      .map((one) => ({ id: one.measure, predicted: one.predicted }))
      .filter(
        ({ id }) => family.measurements[id] && assessment.one.scales[id] && !assessment.measured.includes(id),
      )
      .filter(({ id }) => !benchlore.interlock.bars(assessment.locks, family.measurements[id].state))
      .map((one) => ({ ...one, reads: mostly(family, fault, one.id) }))
      .filter(({ reads }) => !reads.normal)
      .sort((a, b) => family.measurements[a.id].minutes - family.measurements[b.id].minutes)
      .slice(0, MOST_SURER);
    if (open.length === 0) return null;
    const list = () =>
      h(
        "ul",
        { class: "surer" },
        open.map(({ id, reads, predicted }) =>
          h(
            "li",
            null,
            button(
              benchlore.parts.nameOf(family, id) + " (" + minutes(family.measurements[id].minutes) + ")",
              () => page.act.choose("measure", id),
              { class: "other" },
            ),
            " reads ",
            benchlore.parts.outcome(reads),
            predicted ? ", predicted" : null,
          ),
        ),
      );
    return h(
      "div",
      { class: "why" },
      details(
        "surer",
        "Be surer first: " + benchlore.quantity.plural(open.length, "reading", "readings") + " not taken yet",
        list,
      ),
    );
  }

  /**
   * The outcome that is expected most of a measurement with a fault.
   * @param {BenchFamily} family
   * @param {BenchFault} fault
   * @param {string} measure
   */
  function mostly(family, fault, measure) {
    const expects = benchlore.cases.expectedReading(family, fault.id, measure) || {};
    const outcomes = Object.values(family.measurements[measure].outcomes);
    return outcomes.reduce((best, outcome) =>
      (expects[outcome.id] || 0) > (expects[best.id] || 0) ? outcome : best,
    );
  }

  /**
   * The card of a job that is over.
   * @param {BenchPage} page
   * @returns {HTMLElement}
   */
  function closed(page) {
    const outcome = page.outcome;
    const proved = outcome.state === "proved";
    return h(
      "article",
      { class: "panel next closed", "aria-labelledby": "next-title" },
      h("p", { class: "kicker" }, "Job closed"),
      h(
        "h2",
        { id: "next-title", tabindex: "-1" },
        mark(proved ? "normal" : "other"),
        proved
          ? "Repaired and verified: " + page.faultTitle(outcome.fault)
          : "Escalated: " + page.book.shop.escalate.to,
      ),
      h(
        "p",
        { class: "asks" },
        proved
          ? "The proof reads as it should, and the symptom is gone."
          : "The readings stay in the job sheet for whoever goes on.",
      ),
      h(
        "p",
        { class: "actions" },
        button("Print the job sheet", () => page.act.print(), { class: "primary", key: "p", id: "print" }),
        button("Save the job", () => page.act.saveFile("json"), { id: "save-json" }),
        button("Save as Markdown", () => page.act.saveFile("md"), { id: "save-md" }),
        button("New job", () => page.act.newJob(), { key: "n", id: "new-job-closed" }),
      ),
      h(
        "div",
        { class: "sheet-shown" },
        benchlore.sheet.page(benchlore.sheet.sheetOf(page.book, page.family, page.job, page.assessment)),
      ),
    );
  }

  benchlore.fixView = { render, closed, unpower, proofForm, settles };
})();
