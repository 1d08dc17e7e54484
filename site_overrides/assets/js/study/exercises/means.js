/*
 * What does it mean? A reading at a point: its outcome, and what it rules in and out.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h, mark: sign } = benchlore.dom;
  const { radios, told, shown } = study.parts;

  const FAULTS_OF_A_KIND = 2;
  const LIKELY = 0.5; // probability of an outcome from which a fault fits it
  const UNLIKELY = 0.05; // and below which it speaks against it; a fault in between is not asked
  /** @type {Readonly<Record<StudyBearing, string>>} */
  const WORDS = { fits: "fits", against: "ruled out", silent: "says nothing" };

  /**
   * A reading, what it can be called, and faults to weigh it against.
   * @param {StudyContext} context
   * @param {StudyCard} card
   * @param {StudyChance} chance
   */
  function ask(context, card, chance) {
    const { one, family } = context;
    const measure = card.measure || "";
    const measurement = family.measurements[measure];
    const doubt = card.between !== undefined;
    const names = card.between || [/** @type {string} */ (card.outcome)];
    const index = Object.values(measurement.outcomes).findIndex((outcome) => outcome.id === card.outcome);
    const reading = doubt
      ? study.simulate.doubtful(one, measure, /** @type {number[]} */ (card.span), chance)
      : study.simulate.clear(one, measure, index, chance);
    const named = measurement.links.unit === null;
    const faults = weighed(context, measure, names, chance);
    const ids = Object.values(measurement.outcomes).map((outcome) => outcome.id);
    // What is seen has its name already; it is asked only where nothing else can be.
    return {
      reading,
      doubt,
      outcomes: named ? (faults.length ? [] : ids) : ids.concat(["undecided"]),
      faults,
    };
  }

  /**
   * Some faults with what the outcomes say of them, in random order: only such as are known to read something, stated
   * or predicted, since of the others there is nothing to know.
   * @param {StudyContext} context
   * @param {string} measure
   * @param {readonly string[]} names of the outcomes that are possible
   * @param {StudyChance} chance
   * @returns {StudyWeighed[]}
   */
  function weighed(context, measure, names, chance) {
    /** @type {StudyWeighed[]} */
    const fitting = [];
    /** @type {StudyWeighed[]} */
    const against = [];
    for (const fault of Object.values(context.family.faults)) {
      const known = benchlore.cases.expectedReading(context.family, fault.id, measure);
      if (!known) continue;
      const p = names.reduce((sum, name) => sum + (known[name] || 0), 0);
      if (p >= LIKELY) fitting.push({ fault: fault.id, bearing: "fits" });
      else if (p < UNLIKELY) against.push({ fault: fault.id, bearing: "against" });
    }
    return chance.shuffled(
      [fitting, against].flatMap((kind) => chance.shuffled(kind).slice(0, FAULTS_OF_A_KIND)),
    );
  }

  /** @type {(context: StudyContext, question: StudyQuestion, answer: StudyAnswer) => StudyPart[]} */
  function mark(context, question, answer) {
    const measurement = context.family.measurements[question.measure];
    /** @param {string | undefined} id */
    const name = (id) => {
      if (id === "undecided") return "the meter cannot decide";
      const outcome = Object.values(measurement.outcomes).find((one) => one.id === id);
      return outcome ? outcome.name : "nothing";
    };
    /** @type {StudyPart[]} */
    const parts = [];
    if (question.outcomes.length) {
      const truth = question.doubt ? "undecided" : question.card.outcome;
      parts.push({
        name: "Outcome",
        yours: name(answer.outcome),
        truth: name(truth),
        right: answer.outcome === truth,
      });
    }
    for (const one of question.faults) {
      const said = answer.faults?.[one.fault];
      parts.push({
        name: context.family.faults[one.fault].title,
        yours: said ? WORDS[said] : "nothing",
        truth: WORDS[one.bearing],
        right: said === one.bearing,
        page: context.family.faults[one.fault].page,
        why: expected(context.family, context.family.faults[one.fault], question.measure),
      });
    }
    return parts;
  }

  /**
   * What is expected of a measurement with a fault, and who says so: `Its record expects: low (90 %) or normal (10 %).`
   * @type {(family: BenchFamily, fault: BenchFault, measure: string) => string}
   */
  function expected(family, fault, measure) {
    const known = benchlore.cases.expectedReading(family, fault.id, measure) || {};
    const stated = fault.test_points.some((one) => one.measure === measure && !one.predicted);
    const shares = Object.values(family.measurements[measure].outcomes)
      .map((outcome) => ({ name: outcome.name, p: known[outcome.id] || 0 }))
      .filter((one) => one.p > 0);
    shares.sort((a, b) => b.p - a.p);
    const said = shares.map((one) =>
      shares.length > 1 ? one.name + " (" + benchlore.quantity.share(one.p) + ")" : one.name,
    );
    return (stated ? "Its record expects: " : "The circuit predicts: ") + said.join(" or ") + ".";
  }

  /** @type {(page: StudyPage, asked: StudyQuestion) => BenchChild[]} */
  function view(page, asked) {
    const { family } = page.context;
    const measurement = family.measurements[asked.measure];
    const reading = /** @type {BenchReading} */ (asked.reading);
    const bearings = /** @type {StudyBearing[]} */ (["fits", "against"]);
    return [
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        measurement.links.unit === null
          ? "What does it mean when you find this?"
          : "What does this reading mean?",
      ),
      told(page, asked.measure, true, true),
      h(
        "p",
        { class: "meter-shows" },
        measurement.links.unit === null ? "You find: " : "The meter shows ",
        h("b", { class: "reading" }, shown(page.context, asked.measure, reading)),
      ),
      asked.outcomes.length
        ? radios(
            page,
            "outcome",
            "Which outcome is it?",
            asked.outcomes.map((id) => {
              const outcome = Object.values(measurement.outcomes).find((one) => one.id === id);
              return {
                value: id,
                label: outcome ? outcome.name : "The meter cannot decide",
                aside: outcome ? "" : "It lies between two outcomes, within the meter\u2019s accuracy.",
              };
            }),
          )
        : null,
      asked.faults.length ? h("h3", null, "What does it say of these faults?") : null,
      asked.faults.map((one, n) =>
        radios(
          page,
          "fault-" + n,
          family.faults[one.fault].title,
          bearings.map((bearing) => ({
            value: bearing,
            label: benchlore.dom.capital(WORDS[bearing]),
          })),
          { class: "choices-row" },
        ),
      ),
    ];
  }

  /** @type {(page: StudyPage, asked: StudyQuestion) => (HTMLElement | null)[]} */
  function after(page, asked) {
    const { one, family, book, deck } = page.context;
    const measurement = family.measurements[asked.measure];
    const reading = /** @type {BenchReading} */ (asked.reading);
    const said = benchlore.verdict.judge(one, asked.measure, reading);
    const meter = book.meters[deck.meter];
    const names = asked.card.between
      ? asked.card.between.map(
          (id) => (Object.values(measurement.outcomes).find((found) => found.id === id) || { name: id }).name,
        )
      : [];
    return [
      h(
        "p",
        { class: "verdict-words" },
        sign(
          said.kind !== "decided"
            ? "undecided"
            : Object.values(measurement.outcomes)[said.index].normal
              ? "normal"
              : "other",
        ),
        h("b", { class: "reading" }, shown(page.context, asked.measure, reading)),
        ": ",
        study.parts.verdictWord(page.context, asked.measure, said),
      ),
      asked.doubt
        ? h(
            "p",
            null,
            "This meter (" +
              (meter ? meter.title : deck.meter) +
              ") is off by up to " +
              benchlore.quantity.format(said.spread, measurement.links.unit || "", 2) +
              " here, so the board may have " +
              names.join(" or ") +
              ". Say that it is undecided, and measure with a better meter or elsewhere.",
          )
        : h("p", null, benchlore.parts.means(Object.values(measurement.outcomes)[said.index])),
      benchlore.parts.strip(measurement, reading, said.spread),
    ];
  }

  /** @type {(page: StudyPage, asked: StudyQuestion) => StudyGiven} */
  function answer({ drafts }, asked) {
    if (asked.outcomes.length && !drafts.outcome)
      return study.parts.missing("no outcome was chosen", "choose one", "outcome-0");
    const open = asked.faults.findIndex((_, n) => !drafts["fault-" + n]);
    if (open >= 0)
      return study.parts.missing(
        "a fault has no answer yet",
        "choose what the reading says of it",
        "fault-" + open + "-0",
      );
    const faults = Object.fromEntries(asked.faults.map((one, n) => [one.fault, drafts["fault-" + n]]));
    return { outcome: drafts.outcome, faults };
  }

  study.exercises.means = {
    words: "A reading of ",
    tells: { setUp: true, metered: true },
    ask,
    mark,
    view,
    answer,
    after,
  };
})();
