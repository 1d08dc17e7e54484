/*
 * What should it read? A point, a bench state, a meter function: the healthy range is picked or typed.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));
  const { h } = benchlore.dom;
  const { radios, told, measureName } = study.parts;

  const WRONG_RANGES = 3;
  const STEPS = [1e3, 1e-3, 1e6, 1e-6]; // between one prefix and another
  const ROUNDING = 1e-9; // of a number that was typed with another prefix
  const END = 0.05; // an end of a typed range may be off by this share of it, or by the meter's accuracy

  /**
   * The healthy range among wrong ones, in random order.
   * @type {(context: StudyContext, measure: string, chance: StudyChance) => StudyRange[]}
   */
  function ranges(context, measure, chance) {
    const right = healthy(context.family.measurements[measure]);
    const wrong = context.deck.measures[measure].rivals.map((rival) => ({
      text: rival.text,
      right: false,
      measure: rival.measure,
      outcome: rival.outcome,
    }));
    const chosen = chance.shuffled(wrong).slice(0, WRONG_RANGES);
    return chance.shuffled([{ text: right, right: true, measure, outcome: "" }, ...chosen]);
  }

  /**
   * The healthy outcomes in words: `8.35 to 8.45 V`, `clean`.
   * @param {BenchMeasurement} measurement
   */
  function healthy(measurement) {
    const normal = Object.values(measurement.outcomes).filter((outcome) => outcome.normal);
    return normal.map((outcome) => outcome.words.range || outcome.name).join(" or ");
  }

  /** @type {(context: StudyContext, question: StudyQuestion, answer: StudyAnswer) => StudyPart[]} */
  function mark(context, question, answer) {
    const measurement = context.family.measurements[question.measure];
    const truth = healthy(measurement);
    if (answer.range !== undefined) {
      const chosen = question.ranges.find((range) => range.text === answer.range);
      return [{ name: "Healthy range", yours: answer.range, truth, right: chosen?.right ?? false }];
    }
    const [from, to] = [(answer.from || "").trim(), (answer.to || "").trim()];
    const yours = from && to && from !== to ? from + " to " + to : from || to;
    return [
      {
        name: "Healthy range",
        yours,
        truth,
        right: Object.values(measurement.outcomes).some(
          (outcome) => outcome.normal && sameRange(context, question.measure, outcome, from, to),
        ),
      },
    ];
  }

  /**
   * Whether typed ends are those of an outcome's range, near enough.
   * @param {StudyContext} context
   * @param {string} measure
   * @param {BenchOutcome} outcome
   * @param {string} from
   * @param {string} to
   */
  function sameRange(context, measure, outcome, from, to) {
    const { one, family } = context;
    const measurement = family.measurements[measure];
    const { range } = outcome;
    if (range === null) return [from, to].some((text) => text.toLowerCase() === outcome.name.toLowerCase());
    const low = end(context, measurement, from);
    const high = end(context, measurement, to);
    if (range.low === null && range.high === null) return low === Infinity || high === Infinity;
    const { ranges } = one.scales[measure];
    /** @param {number | null | undefined} typed @param {number} wanted @param {1 | -1} outward */
    const near = (typed, wanted, outward) => {
      if (typed === null || typed === undefined) return false;
      const off = (typed - wanted) * outward;
      const most = slack(measurement, outcome, ranges, wanted, outward);
      return off <= most.outward && -off <= most.inward;
    };
    const lowRight = range.low === null ? low === null || near(low, 0, -1) : near(low, range.low, -1);
    const highRight = range.high === null ? high === null || high === Infinity : near(high, range.high, 1);
    return lowRight && highRight;
  }

  /**
   * How far a typed end may be off: a share of it or the meter's accuracy, but outward never past half the gap to the
   * next outcome, and inward by no more than half the range, though by the meter's last digit.
   * @param {BenchMeasurement} measurement
   * @param {BenchOutcome} outcome
   * @param {readonly BenchMeterRange[]} ranges
   * @param {number} wanted
   * @param {1 | -1} outward the way out of the range
   */
  function slack(measurement, outcome, ranges, wanted, outward) {
    const { low, high } = /** @type {BenchQuantity} */ (outcome.range);
    const gaps = Object.values(measurement.outcomes)
      .filter((other) => other !== outcome)
      .flatMap((other) => (other.range ? [other.range.low, other.range.high] : []))
      .filter((end) => end !== null)
      .map((end) => (end - wanted) * outward)
      .filter((gap) => gap >= 0);
    const width = low !== null && high !== null ? high - low : Infinity;
    const near = Math.max(END * Math.abs(wanted), benchlore.meter.accuracyLimit(ranges, wanted));
    const digit = benchlore.meter.exact(benchlore.meter.rangeFor(ranges, wanted).resolution);
    const rounding = ROUNDING * Math.abs(wanted);
    return {
      outward: Math.min(near, ...gaps.map((gap) => gap / 2)) + rounding,
      inward: Math.max(Math.min(near, width / 2), digit) + rounding,
    };
  }

  /**
   * A typed end: its value, Infinity for over-range, null where nothing was typed, undefined where it is no reading.
   * @type {(context: StudyContext, measurement: BenchMeasurement, typed: string) => number | null | undefined}
   */
  function end(context, measurement, typed) {
    if (!typed) return null;
    const found = benchlore.reading.read(measurement, context.one.meter, typed);
    if (benchlore.reading.refused(found)) return undefined;
    return found.value === null ? Infinity : found.value;
  }

  /**
   * Why a typed end cannot be read, or null.
   * @type {(context: StudyContext, measure: string, typed: string) => BenchRefusal | null}
   */
  function refused(context, measure, typed) {
    const measurement = context.family.measurements[measure];
    if (!typed.trim() || measurement.links.unit === null) return null;
    const found = benchlore.reading.read(measurement, context.one.meter, typed);
    if (benchlore.reading.refused(found)) return found;
    return found.span
      ? { reason: "this field takes one end", mend: "type the other end into the other field" }
      : null;
  }

  /**
   * Asks back where an end is healthy but for its prefix: `8.41 mV` on a rail of 8.35 to 8.45 V.
   * @type {(context: StudyContext, measure: string, typed: string) => BenchRefusal | null}
   */
  function slipped(context, measure, typed) {
    const measurement = context.family.measurements[measure];
    const value = end(context, measurement, typed.trim());
    if (typeof value !== "number" || !Number.isFinite(value) || value === 0) return null;
    const ranges = Object.values(measurement.outcomes).flatMap((one) => (one.normal && one.range) || []);
    /** @param {number} one */
    const healthy = (one) =>
      ranges.some(
        ({ low, high }) => (low ?? one / 2) * (1 - END) <= one && one <= (high ?? one * 2) * (1 + END),
      );
    const unit = measurement.links.unit || "";
    const meant = healthy(value) ? undefined : STEPS.map((step) => value * step).find(healthy);
    if (meant === undefined || !benchlore.vocabulary.units[unit]?.prefixed) return null;
    const choice = benchlore.quantity.format(meant, unit);
    return {
      reason: "'" + typed.trim() + "' would be healthy with another prefix",
      mend: "type " + choice + " if you meant that, or check the answer once more as it is",
      choices: [typed.trim(), choice],
    };
  }

  /**
   * Why two typed ends, each read by itself, are no range; null where they are one, or where one is left open.
   * @type {(context: StudyContext, measure: string, from: string, to: string) => BenchRefusal | null}
   */
  function refusedEnds(context, measure, from, to) {
    const measurement = context.family.measurements[measure];
    const [low, high] = [end(context, measurement, from.trim()), end(context, measurement, to.trim())];
    if (typeof low !== "number" || typeof high !== "number") return null;
    if (low > high) return { reason: "the range does not rise", mend: "type the smaller value first" };
    if (low === high && low !== Infinity) {
      return { reason: "both ends are the same", mend: "type the lower end and the upper end" };
    }
    return null;
  }

  /**
   * Whether the range is picked in a session that types it: what is looked at has none, and that of two readings which
   * are compared is a share (%), which no meter shows and no field for a reading takes.
   * @param {BenchMeasurement} measurement
   */
  function onlyPicked(measurement) {
    return measurement.links.unit === null || measurement.compare !== null;
  }

  /** @type {(page: StudyPage, asked: StudyQuestion, session: StudySession) => BenchChild[]} */
  function view(page, asked, session) {
    const measurement = page.context.family.measurements[asked.measure];
    const seen = measurement.links.unit === null;
    return [
      h(
        "h2",
        { id: "question", tabindex: "-1" },
        seen ? "What should you find on a healthy board?" : "What should it read on a healthy board?",
      ),
      told(page, asked.measure, true),
      session.typed && !onlyPicked(measurement)
        ? h(
            "div",
            { class: "setup-row" },
            typed(page, asked, "from", "From (empty where the range has no lower end)"),
            typed(page, asked, "to", "To (empty where it has no upper end; OL for over-range)"),
          )
        : radios(
            page,
            "range",
            seen ? "Pick what is healthy" : "Pick the healthy range",
            asked.ranges.map((range) => ({
              value: range.text,
              label: h("b", { class: "reading" }, range.text),
            })),
          ),
    ];
  }

  /** @type {(page: StudyPage, asked: StudyQuestion, name: "from" | "to", label: string) => HTMLDivElement} */
  function typed(page, asked, name, label) {
    const unit = page.context.family.measurements[asked.measure].links.unit || "";
    const refusal = page.refusals[name];
    return h(
      "div",
      { class: "field-group" },
      h(
        "label",
        { class: "field", for: "typed-" + name },
        label + ", in " + unit.replace("ohm", "\u03a9").replace("degC", "\u00b0C"),
      ),
      h("input", {
        type: "text",
        id: "typed-" + name,
        class: "reading-field",
        autocomplete: "off",
        spellcheck: "false",
        value: page.drafts[name] || "",
        "aria-describedby": name + "-refusal",
        "aria-invalid": refusal ? "true" : null,
        oninput: (/** @type {Event} */ event) =>
          page.act.draft(name, /** @type {HTMLInputElement} */ (event.target).value),
      }),
      benchlore.dom.refusalOf(refusal, name + "-refusal", (choice) => {
        page.act.draft(name, choice);
        const input = document.getElementById("typed-" + name);
        if (input instanceof HTMLInputElement) input.value = choice;
      }),
    );
  }

  /**
   * How the healthy range follows from the circuit, and what the picked one belongs to.
   * @type {(page: StudyPage, asked: StudyQuestion, answer: StudyAnswer) => (HTMLElement | null)[]}
   */
  function after(page, asked, answer) {
    const { deck, family } = page.context;
    const found = deck.measures[asked.measure].working;
    const range = asked.ranges.find((one) => one.text === answer.range);
    const other =
      range && !range.right
        ? Object.values(family.measurements[range.measure].outcomes).find((one) => one.id === range.outcome)
        : undefined;
    const said =
      other && range
        ? h(
            "p",
            null,
            "What you picked is ",
            range.measure === asked.measure
              ? "the outcome \u201c" + other.name + "\u201d of this measurement: "
              : "the healthy range of " + measureName(page.context, range.measure) + ": ",
            benchlore.parts.means(other),
          )
        : null;
    const strip = benchlore.parts.strip(family.measurements[asked.measure], { value: null, outcome: "" }, 0);
    if (!found)
      return [
        said,
        h(
          "p",
          null,
          family.measurements[asked.measure].links.unit === null
            ? "It is looked at, not read: the circuit does not give it."
            : "The circuit does not give this range; the record states it from the bench.",
        ),
        strip,
      ];
    return [
      said,
      h("h3", null, "Where the range comes from"),
      h(
        "ol",
        { class: "derivation" },
        found.steps.map((step) =>
          h(
            "li",
            null,
            h("p", null, h("b", { class: "id" }, step.net), ": ", step.formula),
            step.filled ? h("p", { class: "derivation-filled" }, step.filled) : null,
            step.given.length
              ? h(
                  "p",
                  { class: "aside" },
                  "with " + step.given.map(([name, text]) => name + " " + text).join(", "),
                )
              : null,
            h(
              "p",
              null,
              "Worst case over all tolerances: ",
              h("b", { class: "reading" }, step.worst),
              step.source ? h("span", { class: "aside" }, " (" + step.source + ")") : null,
            ),
          ),
        ),
      ),
      strip,
    ];
  }

  /** @type {(page: StudyPage, asked: StudyQuestion, session: StudySession) => StudyGiven} */
  function answer(page, asked, session) {
    const { drafts, context } = page;
    if (!session.typed || onlyPicked(context.family.measurements[asked.measure])) {
      if (drafts.range) return { range: drafts.range };
      return study.parts.missing("nothing was picked", "pick one", "range-0");
    }
    const [from, to] = [drafts.from || "", drafts.to || ""];
    for (const [key, text] of [
      ["from", from],
      ["to", to],
    ]) {
      const refusal = refused(context, asked.measure, text);
      if (refusal) return { key, refusal, focus: "typed-" + key };
      const slip = drafts["asked-" + key] === text ? null : slipped(context, asked.measure, text);
      page.act.draft("asked-" + key, text); // who sends it once more means it
      if (slip) return { key, refusal: slip, focus: "typed-" + key };
    }
    if (!from.trim() && !to.trim()) return study.parts.missing("no range was typed", "type it", "typed-from");
    const ends = refusedEnds(context, asked.measure, from, to);
    return ends ? { key: "to", refusal: ends, focus: "typed-to" } : { from, to };
  }

  study.exercises.reads = {
    words: "Healthy range of ",
    tells: { setUp: true, metered: false },
    ask: (context, card, chance) => ({ ranges: ranges(context, card.measure || "", chance) }),
    mark,
    view,
    answer,
    after,
  };
})();
