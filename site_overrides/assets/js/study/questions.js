/*
 * The three exercises with cards: what a card asks with a seed, and what an answer is worth.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const WRONG_RANGES = 3;
  const FAULTS_OF_A_KIND = 2;
  const LIKELY = 0.5; // probability of an outcome from which a fault fits it
  const UNLIKELY = 0.05; // and below which it speaks against it; a fault in between is not asked
  const END = 0.05; // an end of a typed range may be off by this share of it, or by the meter's accuracy

  /**
   * What a card asks.
   * @param {StudyContext} context
   * @param {StudyCard} card
   * @param {string} seed
   * @returns {StudyQuestion}
   */
  function ask(context, card, seed) {
    const chance = study.random.stream(seed, card.id);
    const measure = /** @type {string} */ (card.measure);
    /** @type {StudyQuestion} */
    const bare = { card, measure, ranges: [], reading: null, doubt: false, outcomes: [], faults: [] };
    if (card.kind === "reads") return Object.assign(bare, { ranges: ranges(context, measure, chance) });
    if (card.kind === "means") return Object.assign(bare, meaning(context, card, measure, chance));
    return bare;
  }

  /**
   * The healthy range among wrong ones, in random order.
   * @param {StudyContext} context
   * @param {string} measure
   * @param {StudyChance} chance
   * @returns {StudyRange[]}
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

  /**
   * A reading, what it can be called, and faults to weigh it against.
   * @param {StudyContext} context
   * @param {StudyCard} card
   * @param {string} measure
   * @param {StudyChance} chance
   */
  function meaning(context, card, measure, chance) {
    const { one, family } = context;
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
   * Some faults with what the outcomes say of them, in random order: only such as state the measurement, since a record
   * that is silent about it leaves nothing to know.
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
      const stated = benchlore.cases.expectedReading(fault, measure);
      if (!stated) continue;
      const p = names.reduce((sum, name) => sum + (stated[name] || 0), 0);
      if (p >= LIKELY) fitting.push({ fault: fault.id, bearing: "fits" });
      else if (p < UNLIKELY) against.push({ fault: fault.id, bearing: "against" });
    }
    return chance.shuffled(
      [fitting, against].flatMap((kind) => chance.shuffled(kind).slice(0, FAULTS_OF_A_KIND)),
    );
  }

  /**
   * What an answer is worth, part by part.
   * @param {StudyContext} context
   * @param {StudyQuestion} question
   * @param {StudyAnswer} answer
   * @returns {StudyMarked}
   */
  function mark(context, question, answer) {
    const kind = question.card.kind;
    const parts =
      kind === "reads"
        ? markRange(context, question, answer)
        : kind === "means"
          ? markMeaning(context, question, answer)
          : markSetUp(context, question, answer);
    const right = !answer.unknown && parts.every((part) => part.right);
    return { parts, right, grade: gradeOf(answer, parts) };
  }

  /**
   * The grade of SM-2. Right: 5 sure, 4 fairly sure, 3 a guess. Wrong: 2 with a part right, 1 with none, 0 "I don't know".
   * @param {StudyAnswer} answer
   * @param {readonly StudyPart[]} parts
   */
  function gradeOf(answer, parts) {
    if (answer.unknown) return 0;
    if (parts.every((part) => part.right)) return { sure: 5, fairly: 4, guess: 3 }[answer.sure];
    return parts.some((part) => part.right) ? 2 : 1;
  }

  /**
   * @param {StudyContext} context
   * @param {StudyQuestion} question
   * @param {StudyAnswer} answer
   * @returns {StudyPart[]}
   */
  function markRange(context, question, answer) {
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
    const range = outcome.range;
    if (range === null) return [from, to].some((text) => text.toLowerCase() === outcome.name.toLowerCase());
    const low = end(context, measurement, from);
    const high = end(context, measurement, to);
    if (range.low === null && range.high === null) return low === Infinity || high === Infinity;
    /** @param {number | null | undefined} typed @param {number} wanted */
    const near = (typed, wanted) => {
      if (typed === null || typed === undefined) return false;
      return Math.abs(typed - wanted) <= slack(measurement, outcome, one.scales[measure].ranges, wanted);
    };
    const lowRight =
      range.low === null ? low === null || low === undefined || near(low, 0) : near(low, range.low);
    const highRight = range.high === null ? high === null || high === Infinity : near(high, range.high);
    return lowRight && highRight;
  }

  /**
   * How far a typed end may be off: a share of it or the meter's accuracy, but never past half the gap to the next
   * outcome or half the range itself; where outcomes touch, the meter's last digit.
   * @param {BenchMeasurement} measurement
   * @param {BenchOutcome} outcome
   * @param {readonly BenchMeterRange[]} ranges
   * @param {number} wanted
   */
  function slack(measurement, outcome, ranges, wanted) {
    const { low, high } = /** @type {BenchQuantity} */ (outcome.range);
    const ends = Object.values(measurement.outcomes)
      .filter((other) => other !== outcome)
      .flatMap((other) => (other.range ? [other.range.low, other.range.high] : []))
      .filter((end) => end !== null);
    const gaps = (
      wanted === low ? ends.filter((end) => end <= wanted) : ends.filter((end) => end >= wanted)
    ).map((end) => Math.abs(end - wanted));
    const width = low !== null && high !== null ? high - low : Infinity;
    const near = Math.max(END * Math.abs(wanted), benchlore.meter.accuracyLimit(ranges, wanted));
    const digit = benchlore.meter.exact(benchlore.meter.rangeFor(ranges, wanted).resolution);
    return Math.max(Math.min(near, width / 2, ...gaps.map((gap) => gap / 2)), digit);
  }

  /**
   * A typed end: its value, Infinity for over-range, null where nothing was typed, undefined where it is no reading.
   * @param {StudyContext} context
   * @param {BenchMeasurement} measurement
   * @param {string} typed
   * @returns {number | null | undefined}
   */
  function end(context, measurement, typed) {
    if (!typed) return null;
    const found = benchlore.reading.read(measurement, context.one.meter, typed);
    if (benchlore.reading.refused(found)) return undefined;
    return found.value === null ? Infinity : found.value;
  }

  /**
   * Why a typed end cannot be read, or null.
   * @param {StudyContext} context
   * @param {string} measure
   * @param {string} typed
   * @returns {BenchRefusal | null}
   */
  function refusal(context, measure, typed) {
    const measurement = context.family.measurements[measure];
    if (!typed.trim() || measurement.links.unit === null) return null;
    const found = benchlore.reading.read(measurement, context.one.meter, typed);
    if (benchlore.reading.refused(found)) return found;
    return found.span
      ? { reason: "this field takes one end", mend: "type the other end into the other field" }
      : null;
  }

  /**
   * Why two typed ends, each read by itself, are no range; null where they are one, or where one is left open.
   * @param {StudyContext} context
   * @param {string} measure
   * @param {string} from
   * @param {string} to
   * @returns {BenchRefusal | null}
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
   * @param {StudyContext} context
   * @param {StudyQuestion} question
   * @param {StudyAnswer} answer
   * @returns {StudyPart[]}
   */
  function markMeaning(context, question, answer) {
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
        why: expected(
          measurement,
          benchlore.cases.expectedReading(context.family.faults[one.fault], question.measure) || {},
        ),
      });
    }
    return parts;
  }

  /**
   * What a fault's record expects of a measurement: `Its record expects: low (90 %) or normal (10 %).`
   * @param {BenchMeasurement} measurement
   * @param {Readonly<Record<string, number | undefined>>} stated
   */
  function expected(measurement, stated) {
    const shares = Object.values(measurement.outcomes)
      .map((outcome) => ({ name: outcome.name, p: stated[outcome.id] || 0 }))
      .filter((one) => one.p > 0);
    shares.sort((a, b) => b.p - a.p);
    const said = shares.map((one) =>
      shares.length > 1 ? one.name + " (" + benchlore.quantity.share(one.p) + ")" : one.name,
    );
    return "Its record expects: " + said.join(" or ") + ".";
  }

  /** @type {Readonly<Record<StudyBearing, string>>} */
  const WORDS = { fits: "fits", against: "ruled out", silent: "says nothing" };

  /**
   * @param {StudyContext} context
   * @param {StudyQuestion} question
   * @param {StudyAnswer} answer
   * @returns {StudyPart[]}
   */
  function markSetUp(context, question, answer) {
    const { book, family, deck } = context;
    const need = family.measurements[question.measure];
    const more = deck.measures[question.measure];
    const choice = answer.choice || {};
    const state = book.states[need.state];
    const chosen = book.states[choice.state || ""];
    /** @param {string | undefined} mode */
    const word = (mode) => {
      const found = benchlore.vocabulary.functions[mode || ""];
      return found ? found.label : "nothing";
    };
    const guards = choice.guards || [];
    /** @param {readonly string[]} ids */
    const titles = (ids) => ids.map((id) => (book.hazards[id] || { title: id }).title).join(", ") || "none";
    const unplugged = choice.unplugged || [];
    /** @type {StudyPart[]} */
    const parts = [
      {
        name: "Bench state",
        yours: chosen ? chosen.title : "nothing",
        truth: state ? state.title : need.state,
        right: choice.state === need.state,
      },
      {
        name: "Function",
        yours: word(choice.mode),
        truth: word(need.mode),
        right: choice.mode === need.mode,
      },
    ];
    if (more.leads)
      parts.push({
        name: "Leads",
        yours: choice.leads || "nothing",
        truth: more.leads,
        right: choice.leads === more.leads,
      });
    if (deck.parts.length) {
      const same =
        unplugged.length === need.unplugged.length &&
        unplugged.every((part) => need.unplugged.includes(part));
      parts.push({
        name: "Unplugged",
        yours: unplugged.join(", ") || "nothing",
        truth: need.unplugged.join(", ") || "nothing",
        right: same,
      });
    }
    if (need.inject && more.ceilings.length)
      parts.push({
        name: "Ceiling voltage",
        yours: choice.ceiling || "nothing",
        truth: more.ceilings[0].text,
        right: choice.ceiling === more.ceilings[0].text,
      });
    // A hazard too many costs nothing, but to tick most of those that do not apply is no answer.
    const others = deck.hazards.filter((id) => !need.links.hazards.includes(id));
    const ticked = others.filter((id) => guards.includes(id));
    const chosenWell = ticked.length * 2 <= others.length;
    parts.push({
      name: "Hazards",
      yours: titles(guards),
      truth: titles(need.links.hazards),
      right: chosenWell && need.links.hazards.every((id) => guards.includes(id)),
    });
    return parts;
  }

  study.questions = { ask, mark, healthy, refusal, refusedEnds, WORDS };
})();
