/*
 * The debrief: what was wrong with the board, how the trainee went about it, and how the plan would have.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, button, mark, svg } = benchlore.dom;
  const { link, measureName, shown, verdictWord } = study.parts;
  const { minutes, share, plural } = benchlore.quantity;

  const LANE = 600;
  const HIGH = 34;

  /** One debrief is computed once: it looks ahead at every step. @type {WeakMap<StudySession, StudyDebrief>} */
  const kept = new WeakMap();

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay) => HTMLElement} */
  function render(page, job, played) {
    const session = /** @type {StudySession} */ (page.progress.session);
    const found = kept.get(session) || study.debrief.debrief(job, page.context.deck, played);
    kept.set(session, found);
    return h(
      "article",
      { class: "debrief" },
      h("h2", { id: "debrief-title", tabindex: "-1" }, headline(job, played, found)),
      hiddenFault(job),
      figures(found),
      h(
        "section",
        { class: "panel", "aria-labelledby": "better-title" },
        h("h3", { id: "better-title" }, "What to take from it"),
        h("ul", { class: "lessons" }, lessons(page, job, played, found)),
      ),
      h(
        "div",
        { class: "lanes" },
        h(
          "section",
          { class: "panel", "aria-labelledby": "yours-title" },
          h("h3", { id: "yours-title" }, "Your path: " + minutes(found.minutes)),
          lane(
            "Your path",
            found.steps
              .map((step) => step.entry.minutes)
              .concat(played.end === "came-back" ? [job.book.shop.escalate.minutes] : []),
            found,
          ),
          mine(page, job, played, found),
        ),
        h(
          "section",
          { class: "panel", "aria-labelledby": "plans-title" },
          h(
            "h3",
            { id: "plans-title" },
            "The plan\u2019s path on this same board: " + minutes(found.plan.minutes),
          ),
          lane(
            "The plan\u2019s path",
            found.plan.steps.map((step) => step.minutes),
            found,
          ),
          plans(page, job, found),
        ),
      ),
      h(
        "p",
        { class: "hint" },
        "\u201cSaves\u201d is what a measurement was worth: the bench minutes that it saves on the average over all boards with this symptom and these readings, against fixing by guess from there. One board can be luckier or unluckier than the average, so the plan can lose a single job.",
      ),
      h(
        "p",
        { class: "actions" },
        button("Another job", () => page.act.begin("job"), { class: "primary", id: "another" }),
        button("This job again", () => page.act.repeatSame(), { id: "repeat" }),
        button("Back to the path", () => page.act.home(), { id: "home" }),
      ),
    );
  }

  /** @type {(job: StudyJob, played: StudyPlay, found: StudyDebrief) => string} */
  function headline(job, played, found) {
    const spent = minutes(found.minutes);
    if (played.end === "mended")
      return (
        "Mended and proved in " + spent + "; the plan needs " + minutes(found.plan.minutes) + " on this board"
      );
    if (played.end === "came-back") return "The board came back: the fault was still in it";
    return study.job.isKnown(job)
      ? "Escalated after " + spent + ", though this bench could have mended it"
      : "Rightly escalated after " + spent;
  }

  /** @param {StudyJob} job */
  function hiddenFault(job) {
    const id = job.one.faults[job.hidden];
    if (!id)
      return h(
        "p",
        { class: "asks" },
        "The hidden fault was none of the book\u2019s. Its readings fit no record, and no fix of the book mends it: that is when to escalate.",
      );
    const tried = study.job.tryOf(job, id);
    if (!tried.page) {
      const outside = job.family.suspects[id]?.outside;
      const settled = outside === "settings" ? "bring them to their defaults" : "try another one";
      return h(
        "p",
        { class: "asks" },
        "The hidden fault has no record: ",
        h("b", null, tried.title),
        ". To " + (outside ? settled : "find and change it") + " takes " + shares(job, id) + ".",
      );
    }
    return h(
      "p",
      { class: "asks" },
      "The hidden fault: ",
      h("b", null, link(tried.page, tried.title)),
      ". Its fix: ",
      h("b", null, tried.action),
      ", " + minutes(tried.minutes) + ": " + shares(job, id) + ".",
    );
  }

  /**
   * What the minutes of a fix are made of: `10 min of work, 8 min for parts, 2 min for the proof`.
   * @type {(job: StudyJob, id: string) => string}
   */
  function shares(job, id) {
    const fault = job.family.faults[id];
    if (!fault)
      return minutes(study.job.tryOf(job, id).minutes) + " on the average, with a look at the symptom";
    const { work, parts, proof, risk } = study.debrief.sharesOf(job.book, job.family, fault);
    const said = [minutes(work) + " of work"];
    if (parts > 0) said.push(minutes(parts) + " for the price of parts");
    if (proof > 0) said.push(minutes(proof) + " for the proof and for setting the bench up for it");
    if (risk > 0) said.push(minutes(risk) + " for what it risks");
    return said.join(", ");
  }

  /** @param {StudyDebrief} found */
  function figures(found) {
    const { complaint } = found;
    /** @type {[string, string, string][]} */
    const average = complaint
      ? [
          ["The plan on the average", minutes(complaint.expected), "over all boards with this symptom"],
          ["Fixing by guess", minutes(complaint.guess), "on the average, the likeliest and cheapest first"],
        ]
      : [];
    /** @type {[string, string, string][]} */
    const rows = [
      [
        "You",
        minutes(found.minutes),
        plural(found.steps.filter((step) => step.entry.kind === "measure").length, "measurement") +
          ", " +
          plural(found.steps.filter((step) => step.entry.kind === "fix").length, "fix", "fixes"),
      ],
      [
        "The plan on this board",
        minutes(found.plan.minutes),
        plural(found.plan.steps.filter((step) => step.kind === "measure").length, "measurement") +
          ", " +
          plural(found.plan.steps.filter((step) => step.kind === "fix").length, "fix", "fixes"),
      ],
      ...average,
    ];
    return h(
      "dl",
      { class: "figures" },
      rows.map(([name, value, more]) =>
        h(
          "div",
          null,
          h("dt", null, name),
          h("dd", null, h("b", { class: "reading" }, value), h("span", { class: "aside" }, more)),
        ),
      ),
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay, found: StudyDebrief) => HTMLElement[]} */
  function lessons(page, job, played, found) {
    const { book } = page.context;
    /** @type {HTMLElement[]} */
    const said = [];
    const add = (/** @type {string} */ status, /** @type {BenchChild[]} */ ...words) =>
      said.push(h("li", null, mark(status), h("span", null, ...words)));
    if (found.left < 0) add("normal", "Your path never left the plan, or was as good at every step.");
    else {
      const step = found.steps[found.left];
      add(
        "fault",
        "Your path left the plan at step " + (found.left + 1) + ": ",
        h("b", null, did(page, job, step.entry)),
        ". The plan there: ",
        h("b", null, wouldDo(page, job, step.best)),
        ". ",
        step.entry.kind === "set-up"
          ? "The wrong set-up gave no reading and cost " + minutes(step.lost) + "."
          : "Your step costs " + minutes(step.lost) + " more on the average.",
      );
    }
    const costliest = found.steps.reduce(
      (worst, step, n) => (step.lost > found.steps[worst].lost ? n : worst),
      0,
    );
    if (found.left >= 0 && costliest !== found.left && found.steps[costliest].lost > 1) {
      const step = found.steps[costliest];
      add(
        "fault",
        "Your most expensive step was step " + (costliest + 1) + ": ",
        h("b", null, did(page, job, step.entry)),
        ". The plan there: ",
        h("b", null, wouldDo(page, job, step.best)),
        ". Your step costs " + minutes(step.lost) + " more on the average.",
      );
    }
    for (const entry of played.entries) {
      const fault = entry.kind === "fix" ? job.family.faults[entry.fault] : undefined;
      if (fault && entry.action !== fault.fix.words.action)
        add(
          "fault",
          "The record\u2019s fix of \u201c",
          link(fault.page, fault.title),
          "\u201d is: ",
          h("b", null, fault.fix.words.action),
          ". You chose: " + entry.action + ".",
        );
    }
    const powered = played.entries.map((entry) => entry.harms.find((one) => one.what === "power"));
    if (found.missed.length === 0 && found.wrong.length === 0 && !powered.some(Boolean))
      add("normal", "No safety step was missed.");
    for (const id of found.missed) {
      const hazard = book.hazards[id];
      const at = played.entries.findIndex((entry) => entry.missed.includes(id)) + 1;
      if (hazard)
        add(
          "fault",
          "Safety step missed at step " + at + ": ",
          link(hazard.page, hazard.title),
          ". ",
          benchlore.dom.plain(hazard.html.avoid[0] || ""),
        );
    }
    powered.forEach(
      (harm, n) => harm && add("fault", "Safety step missed at step " + (n + 1) + ": " + harm.text),
    );
    for (const entry of found.wrong) {
      const harm = entry.harms.find((one) => one.what !== "hazard" && one.what !== "power");
      if (harm)
        add("fault", "Set up wrongly for " + measureName(page.context, entry.measure) + ": " + harm.text);
    }
    played.entries.forEach((entry, n) => {
      const blunder = entry.readings.find((taken) => taken.blunder);
      if (blunder) add("undecided", blundered(job, blunder, n + 1));
    });
    if (played.end === "came-back")
      add(
        "fault",
        "You called it proved while the symptom was still there. A fix is proved when the confirming reading is healthy and the symptom is gone.",
      );
    return said;
  }

  /**
   * What came between the board and a reading that means nothing. What is looked at or heard slips from no probe.
   * @type {(job: StudyJob, taken: StudyReading, step: number) => string}
   */
  function blundered(job, taken, step) {
    const seen = job.family.measurements[taken.measure].links.unit === null;
    const why = seen
      ? "What you found at step " +
        step +
        " was misread: another place was looked at, or what was there was taken for something else"
      : "The reading at step " + step + " meant nothing: the probe had slipped";
    return (
      why +
      ", as it goes in two of a hundred. When it fits nothing else, " +
      (seen ? "look" : "measure") +
      " again."
    );
  }

  /**
   * Both paths to one scale, a piece a step; the words stand below.
   * @type {(name: string, steps: readonly number[], found: StudyDebrief) => HTMLDivElement}
   */
  function lane(name, steps, found) {
    const scale = LANE / Math.max(found.minutes, found.plan.minutes, 1);
    let x = 0;
    const pieces = steps.map((spent, n) => {
      const width = Math.max(spent * scale, 2);
      const piece = [
        svg("rect", {
          class: "lane-step" + (n % 2 ? " lane-odd" : ""),
          x: x + 1,
          y: 1,
          width: Math.max(width - 2, 1),
          height: HIGH - 2,
        }),
      ];
      if (width > 22) {
        const label = svg("text", { x: x + width / 2, y: HIGH / 2 + 6, "text-anchor": "middle" });
        label.textContent = String(n + 1);
        piece.push(label);
      }
      x += width;
      return svg("g", {}, ...piece);
    });
    const drawing = svg(
      "svg",
      {
        class: "lane",
        viewBox: "0 0 " + (LANE + 4) + " " + HIGH,
        role: "img",
        "aria-label":
          name + ", minutes a step: " + steps.map((spent) => Math.round(spent * 10) / 10).join(", "),
      },
      ...pieces,
    );
    return h("div", { class: "lane-box" }, drawing);
  }

  /** @type {(page: StudyPage, job: StudyJob, played: StudyPlay, found: StudyDebrief) => HTMLOListElement} */
  function mine(page, job, played, found) {
    const right = job.one.faults[job.hidden];
    return h(
      "ol",
      { class: "steps-taken" },
      found.steps.map((step, n) => {
        const { entry } = step;
        return h(
          "li",
          null,
          h(
            "p",
            { class: "step-line" },
            h("b", null, did(page, job, entry)),
            h("span", { class: "step-minutes" }, minutes(entry.minutes)),
          ),
          entry.kind === "measure"
            ? readingLine(
                page,
                entry.readings[0].measure,
                entry.readings[0].reading,
                entry.readings[0].verdict,
              )
            : null,
          entry.kind === "measure" ? worth(step.worth) : null,
          entry.kind === "fix"
            ? h("p", { class: "aside" }, benchlore.dom.capital(shares(job, entry.fault)) + ".")
            : null,
          entry.kind === "fix"
            ? h(
                "p",
                null,
                mark(study.job.mends(job, entry.fault) ? "normal" : "fault"),
                entry.fault === right
                  ? "It was the fault."
                  : study.job.mends(job, entry.fault)
                    ? "It was not the fault, but it mends it."
                    : "It was not the fault.",
                " " + benchlore.dom.capital(share(step.probability)) + " likely before.",
              )
            : null,
          step.same
            ? h("p", null, mark("normal"), "As the plan, or as good.")
            : entry.kind === "set-up" && step.best.id === entry.measure
              ? h("p", null, mark("fault"), "The measurement was the plan\u2019s; its set-up was not.")
              : h(
                  "p",
                  null,
                  mark("fault"),
                  n === found.left ? "Here it left the plan. " : "",
                  "The plan: " + wouldDo(page, job, step.best) + ".",
                  step.best.kind === "measure" && step.best.worth > 0.05
                    ? " Saves " + minutes(step.best.worth) + "."
                    : "",
                ),
          entry.harms
            .filter((one) => one.what === "power")
            .map((one) => h("p", null, mark("fault"), "Missed: " + one.text)),
          entry.missed.length
            ? h(
                "p",
                null,
                mark("fault"),
                "Missed: " +
                  entry.missed
                    .map((id) => (page.context.book.hazards[id] || { title: id }).title)
                    .join(", ") +
                  ".",
              )
            : null,
        );
      }),
      played.end === "came-back"
        ? h(
            "li",
            null,
            h(
              "p",
              { class: "step-line" },
              h("b", null, "The board came back and goes to " + job.book.shop.escalate.to),
              h("span", { class: "step-minutes" }, minutes(job.book.shop.escalate.minutes)),
            ),
          )
        : null,
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, found: StudyDebrief) => HTMLOListElement} */
  function plans(page, job, found) {
    return h(
      "ol",
      { class: "steps-taken" },
      found.plan.steps.map((step) =>
        h(
          "li",
          null,
          h(
            "p",
            { class: "step-line" },
            h("b", null, benchlore.dom.capital(wouldDo(page, job, step))),
            h("span", { class: "step-minutes" }, minutes(step.minutes)),
          ),
          step.reading && step.verdict ? readingLine(page, step.id, step.reading, step.verdict) : null,
          step.kind === "measure" ? worth(step.worth) : null,
          step.kind === "fix"
            ? h("p", { class: "aside" }, benchlore.dom.capital(shares(job, step.id)) + ".")
            : null,
          step.kind === "fix"
            ? h(
                "p",
                null,
                mark(step.mended ? "normal" : "fault"),
                step.mended ? "It was the fault." : "It was not the fault.",
                " " + benchlore.dom.capital(share(step.probability)) + " likely before.",
              )
            : null,
        ),
      ),
    );
  }

  /**
   * @param {StudyPage} page
   * @param {string} measure
   * @param {BenchReading} reading
   * @param {BenchVerdict} verdict
   */
  function readingLine(page, measure, reading, verdict) {
    const measurement = page.context.family.measurements[measure];
    const outcome =
      verdict.kind === "decided" ? Object.values(measurement.outcomes)[verdict.index] : undefined;
    const named = reading.outcome !== null;
    return h(
      "p",
      null,
      "Found ",
      h("b", { class: "reading" }, shown(page.context, measure, reading)),
      named
        ? ""
        : [
            ": ",
            mark(outcome ? (outcome.normal ? "normal" : "other") : "undecided"),
            verdictWord(page.context, measure, verdict),
          ],
    );
  }

  /** @param {number} saves */
  function worth(saves) {
    return h(
      "p",
      { class: "aside" },
      saves > 0.05 ? "Saves " + minutes(saves) + " on the average." : "Saves nothing on the average.",
    );
  }

  /** @type {(page: StudyPage, job: StudyJob, entry: StudyEntry) => string} */
  function did(page, job, entry) {
    if (entry.kind === "measure") return "Measured " + measureName(page.context, entry.measure);
    if (entry.kind === "set-up") return "Set up wrongly for " + measureName(page.context, entry.measure);
    if (entry.kind === "no-proof")
      return "Measured " + measureName(page.context, entry.measure) + ", which proves nothing";
    if (entry.kind === "escalate") return "Escalated to " + job.book.shop.escalate.to;
    const { title, page: recorded } = study.job.tryOf(job, entry.fault);
    return (recorded ? "Fixed: " : "Tried: ") + title;
  }

  /** @type {(page: StudyPage, job: StudyJob, action: {kind: BenchKind, id: string}) => string} */
  function wouldDo(page, job, action) {
    if (action.kind === "measure") return "measure " + measureName(page.context, action.id);
    if (action.kind === "escalate") return "escalate to " + job.book.shop.escalate.to;
    const { title, page: recorded } = study.job.tryOf(job, action.id);
    return (recorded ? "fix: " : "try: ") + title;
  }

  study.debriefView = { render, blundered };
})();
