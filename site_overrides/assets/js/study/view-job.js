/*
 * A simulated job at the bench: measure, fix and confirm, until it is over.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, button, mark } = benchlore.dom;
  const { form, radios, checks, unplugged, chosen, measureName, shown, verdictWord } = study.parts;
  const { minutes, plural } = benchlore.quantity;

  /** @param {StudyPage} page */
  function render(page) {
    const session = /** @type {StudySession} */ (page.progress.session);
    const { book, family, deck } = page.context;
    const symptom = (session.cards[0] || "").replace(/^job\//, "");
    const job = study.job.begin(book, family, deck.meter, symptom, session.seed);
    const played = study.job.play(job, deck, session.events);
    return h(
      "div",
      { class: "study-session" },
      h(
        "div",
        { class: "bench-bar" },
        h("p", { class: "bar-facts" }, "Fault on the bench \u00b7 seed " + study.seed.shown(deck, session)),
        h(
          "div",
          { class: "bar-buttons" },
          button(played.stage === "over" ? "Close the job" : "Leave the job", () => page.act.home(), {
            class: "quiet",
            id: "leave",
          }),
        ),
      ),
      played.stage === "over"
        ? study.debriefView.render(page, job, played)
        : h(
            "div",
            { class: "job-desk" },
            h(
              "div",
              { class: "job-main" },
              facts(page, job, played),
              last(page, job, played),
              stage(page, job, played),
            ),
            entries(page, job, played),
          ),
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLDListElement} */
  function facts(page, job, played) {
    const state = page.context.family.states[played.stands.state || ""];
    const meter = page.context.book.meters[page.context.deck.meter];
    /** @type {[string, BenchChild][]} */
    const rows = [
      ["The customer says", h("b", null, "\u201c" + job.words + "\u201d")],
      ["Board", job.family.title + ", revision " + job.revision],
      [
        "The bench stands",
        state
          ? [
              state.title,
              played.stands.unplugged.length ? ", " + played.stands.unplugged.join(" and ") + " out" : "",
            ]
          : "with nothing set up",
      ],
      ["Meter", meter ? meter.title : ""],
      ["Bench minutes so far", h("b", { class: "reading", id: "minutes" }, minutes(played.minutes))],
    ];
    return h(
      "dl",
      { class: "told job-facts" },
      rows.map(([name, value]) => h("div", null, h("dt", null, name), h("dd", null, value))),
    );
  }

  /**
   * What came of the last thing done.
   * @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLElement | null}
   */
  function last(page, job, played) {
    const entry = played.entries[played.entries.length - 1];
    if (!entry) return null;
    const title = h("h2", { id: "came", tabindex: "-1" }, cameOf(page, job, played, entry));
    const inside = [
      entry.kind === "measure" ? reading(page, entry.readings[0]) : null,
      entry.kind === "no-proof"
        ? h(
            "p",
            null,
            "The record proves this fix by another reading. Which one would be wrong as long as the fault is there?",
          )
        : null,
      entry.harms.length
        ? [
            h(
              "h3",
              null,
              entry.kind === "set-up"
                ? "The bench is not set up for it, so there is no reading"
                : "A safety step was missed",
            ),
            study.parts.harms(entry.harms),
          ]
        : null,
      entry.missed.length ? benchlore.hazards.lines(page.context.book, entry.missed, []) : null,
    ];
    return h("section", { class: "panel verdict", "aria-labelledby": "came" }, title, inside);
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay, entry: StudyEntry) => string} */
  function cameOf(page, job, played, entry) {
    if (entry.kind === "measure") return measureName(page.context, entry.measure);
    if (entry.kind === "set-up") return "Set up wrongly for " + measureName(page.context, entry.measure);
    if (entry.kind === "no-proof")
      return measureName(page.context, entry.measure) + " does not prove this fix";
    const { title } = study.job.tryOf(job, entry.fault);
    return played.stage === "work" ? "Not proved: " + title + " was not the fault" : "Fix tried: " + title;
  }

  /**
   * A reading, and behind a press what it means.
   * @type {(page: StudyPage, taken: StudyReading) => (HTMLParagraphElement | HTMLDetailsElement)[]}
   */
  function reading(page, taken) {
    const measurement = page.context.family.measurements[taken.measure];
    const { verdict } = taken;
    const outcome =
      verdict.kind === "decided" ? Object.values(measurement.outcomes)[verdict.index] : undefined;
    return [
      h(
        "p",
        { class: "meter-shows" },
        measurement.links.unit === null ? "You find: " : "The meter shows ",
        h("b", { class: "reading" }, shown(page.context, taken.measure, taken.reading)),
      ),
      h("p", { class: "asks" }, "It asks: " + benchlore.parts.asks(measurement)),
      h(
        "details",
        null,
        h("summary", null, "What it means"),
        h(
          "p",
          { class: "verdict-words" },
          mark(outcome ? (outcome.normal ? "normal" : "other") : "undecided"),
          benchlore.dom.capital(verdictWord(page.context, taken.measure, verdict)),
          outcome ? [": ", benchlore.parts.means(outcome)] : ".",
        ),
        benchlore.parts.strip(measurement, taken.reading, verdict.spread),
      ),
    ];
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLElement} */
  function stage(page, job, played) {
    if (played.stage === "confirm") return confirming(page, job, played);
    if (played.stage === "proof") return proving(page, job, played);
    const next = page.drafts.next || "measure";
    const offers = [
      { value: "measure", label: "Measure" },
      { value: "fix", label: "Name the fault and fix it" },
      { value: "escalate", label: "Escalate" },
    ];
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "do-title" },
      h("h2", { id: "do-title", tabindex: "-1" }, "What do you do next?"),
      h(
        "div",
        { class: "tabs", role: "group", "aria-label": "What next" },
        offers.map((offer) =>
          h(
            "button",
            {
              type: "button",
              id: "do-" + offer.value,
              "aria-pressed": String(offer.value === next),
              onclick: () => choose(page, offer.value),
            },
            offer.value === next ? h("span", { "aria-hidden": "true" }, "\u2713") : null,
            offer.label,
          ),
        ),
      ),
      next === "measure"
        ? measuring(page, job, played)
        : next === "fix"
          ? fixing(page, job, played)
          : escalating(page, job),
    );
  }

  /** @type {(page: StudyPage, next: string) => void} */
  function choose(page, next) {
    page.act.draft("next", next);
    page.act.redraw("do-" + next);
  }

  /**
   * The hazards that are still to be guarded against; nothing once all are.
   * @type {(page: StudyPage, open: readonly string[]) => HTMLElement | null}
   */
  function guards(page, open) {
    if (!open.length) return null;
    const { hazards } = page.context.book;
    const choices = open.map((id) => ({ value: id, label: (hazards[id] || { title: id }).title }));
    const hint = "Those met earlier in this job stay guarded.";
    return checks(page, "guards", "Which hazards do you guard against?", choices, { hint });
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLFormElement} */
  function measuring(page, job, played) {
    const { book, family, deck } = page.context;
    const measure = page.drafts.measure || "";
    const measurement = family.measurements[measure];
    const open = deck.hazards.filter((id) => !played.met.includes(id));
    const send = () => sendMeasure(page, measure);
    return form(
      send,
      measurePicker(page, job, "measure", "Measurement", true),
      measurement
        ? h(
            "p",
            { class: "asks" },
            "It asks: " +
              benchlore.parts.asks(measurement) +
              " It takes " +
              minutes(measurement.minutes) +
              " once the bench is set up.",
          )
        : null,
      radios(
        page,
        "state",
        "Set the bench up",
        deck.states.map((id) => {
          const state = family.states[id];
          const stands = played.stands.state === id;
          return {
            value: id,
            label: state ? state.title : id,
            aside: stands ? "already set up, no minutes" : state ? minutes(state.minutes) + " to set up" : "",
          };
        }),
      ),
      unplugged(
        page,
        "Beside what the bench state takes out; " + minutes(book.shop.unplug_minutes) + " each way and part.",
      ),
      guards(page, open),
      h(
        "p",
        { class: "actions" },
        h("button", { type: "submit", class: "primary", id: "send" }, "Set up and measure"),
      ),
    );
  }

  /**
   * The list of measurements, by net along the path.
   * @param {StudyPage} page
   * @param {StudyJob} job
   * @param {string} name
   * @param {string} label
   * @param {boolean} redraw
   */
  function measurePicker(page, job, name, label, redraw) {
    const { deck, family } = page.context;
    const nets = [...deck.rails, ...deck.lines].map((stop) => stop.net);
    const ids = Object.keys(deck.measures).filter((id) => job.one.scales[id]);
    /** @param {string} id */
    const netOf = (id) => (family.test_points[family.measurements[id].at] || { net: "" }).net;
    const onchange = (/** @type {Event} */ event) => {
      page.act.draft(name, /** @type {HTMLSelectElement} */ (event.target).value);
      if (redraw) page.act.redraw(name);
    };
    return [
      h("label", { class: "field", for: name }, label),
      h(
        "select",
        { id: name, autocomplete: "off", "aria-describedby": name + "-refusal", onchange },
        h("option", { value: "" }, "Choose a measurement"),
        nets.map((net) => {
          const here = ids.filter((id) => netOf(id) === net);
          return here.length
            ? h(
                "optgroup",
                { label: net },
                here.map((id) =>
                  h("option", { value: id, selected: page.drafts[name] === id }, option(page, id)),
                ),
              )
            : null;
        }),
      ),
      benchlore.dom.refusalOf(page.refusals[name], name + "-refusal"),
    ];
  }

  /** @type {(page: StudyPage, id: string) => string} */
  function option(page, id) {
    const name = measureName(page.context, id);
    const asks = benchlore.parts.asks(page.context.family.measurements[id]);
    return name.includes(asks) ? name : name + " \u2013 " + asks;
  }

  /**
   * Say at a question what is wrong with its answer.
   * @type {(page: StudyPage, name: string, reason: string, mend: string, focus: string) => void}
   */
  function refuse(page, name, reason, mend, focus) {
    page.act.refuse(name, { reason, mend }, focus);
  }

  /** @type {(page: StudyPage, measure: string) => void} */
  function sendMeasure(page, measure) {
    const { drafts, act } = page;
    if (!measure)
      return refuse(page, "measure", "no measurement is chosen", "choose what to measure", "measure");
    if (!drafts.state)
      return refuse(page, "state", "no bench state is chosen", "choose how you set the bench up", "state-0");
    act.event({
      do: "measure",
      measure,
      state: drafts.state,
      unplugged: chosen(page, "unplugged"),
      guards: chosen(page, "guards"),
    });
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLFormElement} */
  function fixing(page, job, played) {
    const { family, deck } = page.context;
    const open = deck.hazards.filter((id) => !played.met.includes(id));
    const titles = new Map(job.one.faults.map((id) => [id, study.job.tryOf(job, id).title]));
    /** @param {string} id */
    const titleOf = (id) => titles.get(id) || "";
    const out = benchlore.cases.ruledOut(job.one, played.evidence.tried);
    const left = job.one.faults
      .filter((_, index) => !out.has(index))
      .sort((a, b) => (titleOf(a) < titleOf(b) ? -1 : 1));
    /** @type {[string, string[]][]} */
    const kinds = [
      ["With a record", left.filter((id) => family.faults[id])],
      ["Not the board", left.filter((id) => family.suspects[id]?.outside)],
      ["Possible by the circuit, without a record", left.filter((id) => family.suspects[id]?.outside === "")],
    ];
    const send = () => {
      const { drafts, act } = page;
      if (!drafts.fault)
        return refuse(page, "fault", "no fault is named", "choose the one that you take it for", "fault");
      if (!drafts.action)
        return refuse(page, "action", "no fix is named", "choose what you do about it", "action-0");
      if (!drafts["fix-state"])
        return refuse(
          page,
          "fix-state",
          "nothing says how the bench stands",
          "choose its state while you work",
          "fix-state-0",
        );
      act.event({
        do: "fix",
        fault: drafts.fault,
        action: drafts.action,
        state: drafts["fix-state"],
        guards: chosen(page, "guards"),
      });
    };
    const bare = Object.keys(family.states).filter(
      (id) => (family.states[id] || { sources: [""] }).sources.length === 0,
    );
    const states = bare.filter((id) => !deck.states.includes(id)).concat(deck.states);
    return form(
      send,
      h("label", { class: "field", for: "fault" }, "The fault"),
      h(
        "select",
        {
          id: "fault",
          autocomplete: "off",
          "aria-describedby": "fault-refusal",
          onchange: (/** @type {Event} */ event) =>
            page.act.draft("fault", /** @type {HTMLSelectElement} */ (event.target).value),
        },
        h("option", { value: "" }, "Choose the fault"),
        kinds
          .filter(([, ids]) => ids.length)
          .map(([label, ids]) =>
            h(
              "optgroup",
              { label },
              ids.map((id) => h("option", { value: id, selected: page.drafts.fault === id }, titleOf(id))),
            ),
          ),
      ),
      benchlore.dom.refusalOf(page.refusals.fault, "fault-refusal"),
      radios(
        page,
        "action",
        "What do you do?",
        deck.actions.map((action) => ({ value: action, label: action })),
        { class: "choices-row" },
      ),
      radios(
        page,
        "fix-state",
        "How does the bench stand while you work?",
        states.map((id) => ({
          value: id,
          label: (family.states[id] || { title: id }).title,
          aside: played.stands.state === id ? "already set up" : "",
        })),
      ),
      guards(page, open),
      h(
        "p",
        { class: "hint" },
        "It costs the minutes of the work, the parts and the proof; how the bench stands meanwhile costs none of its own.",
      ),
      h("p", { class: "actions" }, h("button", { type: "submit", class: "primary", id: "send" }, "Fix it")),
    );
  }

  /** @type {(page: StudyPage, job: StudyJob) => HTMLFormElement} */
  function escalating(page, job) {
    const { shop } = job.book;
    return form(
      () => page.act.event({ do: "escalate" }),
      h(
        "p",
        null,
        "Hand the job on to ",
        h("b", null, shop.escalate.to),
        ". It costs as much as " +
          minutes(shop.escalate.minutes) +
          " at the bench, and ends the job. It is right when nothing in the book explains the readings, or when going on costs more.",
      ),
      h("p", { class: "actions" }, h("button", { type: "submit", class: "primary", id: "send" }, "Escalate")),
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLElement} */
  function confirming(page, job, played) {
    const send = () => {
      if (!page.drafts.proof)
        return refuse(
          page,
          "proof",
          "no measurement is chosen",
          "choose the one that proves the fix",
          "proof",
        );
      page.act.event({ do: "confirm", measure: page.drafts.proof });
    };
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "do-title" },
      h("h2", { id: "do-title", tabindex: "-1" }, "What proves the fix?"),
      h(
        "p",
        null,
        "The work is done: " +
          study.job.tryOf(job, played.fixing).title +
          ". Choose the measurement that reads healthy only if that was the fault.",
      ),
      form(
        send,
        measurePicker(page, job, "proof", "Measurement", false),
        h(
          "p",
          { class: "actions" },
          h("button", { type: "submit", class: "primary", id: "send" }, "Confirm with it"),
        ),
      ),
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLElement} */
  function proving(page, job, played) {
    const entry = played.entries.filter((one) => one.kind === "fix").pop();
    const gone = study.job.mends(job, played.fixing);
    const symptom = job.book.symptoms[job.symptom];
    return h(
      "section",
      { class: "panel study-now", "aria-labelledby": "do-title" },
      h("h2", { id: "do-title", tabindex: "-1" }, "Is the fix proved?"),
      (entry ? entry.readings : []).map((taken) => [
        h("p", { class: "verdict-name" }, measureName(page.context, taken.measure)),
        reading(page, taken),
      ]),
      h(
        "p",
        null,
        "The customer\u2019s symptom (" + (symptom ? symptom.title : job.symptom) + "): ",
        h("b", null, gone ? "gone." : "still there."),
      ),
      h(
        "p",
        { class: "actions" },
        button("Proved: close the job", () => page.act.event({ do: "judge", proved: true }), {
          class: "primary",
          id: "proved",
        }),
        button("Not proved: go on", () => page.act.event({ do: "judge", proved: false }), {
          id: "not-proved",
        }),
      ),
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLElement} */
  function entries(page, job, played) {
    return h(
      "section",
      { class: "panel", "aria-labelledby": "entries-title" },
      h("h2", { id: "entries-title" }, "Done so far: " + plural(played.entries.length, "step")),
      played.entries.length
        ? h(
            "ol",
            { class: "entries" },
            played.entries.map((entry) =>
              h(
                "li",
                null,
                h(
                  "b",
                  null,
                  entry.kind === "fix"
                    ? "Fix: " + study.job.tryOf(job, entry.fault).title
                    : measureName(page.context, entry.measure),
                ),
                entry.kind === "set-up" ? h("span", null, mark("fault"), "set up wrongly") : null,
                entry.kind === "no-proof" ? h("span", null, mark("fault"), "proves nothing") : null,
                entry.readings.map((taken) =>
                  h("span", { class: "reading" }, shown(page.context, taken.measure, taken.reading)),
                ),
                study.job.missedSteps([entry])
                  ? h(
                      "span",
                      null,
                      mark("fault"),
                      plural(study.job.missedSteps([entry]), "safety step") + " missed",
                    )
                  : null,
                h("span", { class: "aside" }, minutes(entry.minutes)),
              ),
            ),
          )
        : h(
            "p",
            { class: "aside" },
            "Nothing yet. Each measurement costs minutes; so does each change of the bench.",
          ),
    );
  }

  study.jobView = { render };
})();
