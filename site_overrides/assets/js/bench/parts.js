/*
 * Pieces that several views share: how to set the bench up, where to probe, a reading on its strip.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { h, rich, mark, svg, details, plain } = benchlore.dom;

  /** Room for the needle, left of the strip, in its own units. */
  const STRIP_MARGIN = 22;
  const STOP = "Stop: unplug every source.";

  /**
   * How to set the bench up for a measurement, from how it stands now.
   * @param {BenchFamily} family
   * @param {BenchSetUp} stands
   * @param {BenchSetUp} needs
   * @param {boolean} [folded] how it is done is a press away
   */
  function setUp(family, stands, needs, folded = false) {
    const state = needs.state === null ? undefined : family.states[needs.state];
    if (!state) return null;
    const same = stands.state === needs.state;
    const how = () =>
      h(
        "ol",
        { class: "do" },
        state.html.how.map((line) => rich("li", null, line)),
      );
    const out = needs.unplugged.filter((part) => !stands.unplugged.includes(part));
    const back = stands.unplugged.filter((part) => !needs.unplugged.includes(part));
    const still = needs.unplugged.filter((part) => stands.unplugged.includes(part));
    return h(
      "li",
      { class: "step step-setup" },
      h("span", { class: "step-what" }, "Set up"),
      h(
        "div",
        { class: "step-how" },
        h(
          "p",
          { class: "step-main" },
          state.title,
          same ? h("span", { class: "already" }, "already set up") : null,
        ),
        same || folded ? null : how(),
        out.length ? h("p", { class: "plug" }, "Unplug ", parts(family, out), ", with all power out.") : null,
        still.length ? h("p", { class: "plug" }, "Leave ", parts(family, still), " unplugged.") : null,
        back.length
          ? h("p", { class: "plug" }, "Plug ", parts(family, back), " in again, with all power out.")
          : null,
        same || folded ? details("how-" + needs.state, "How to set it up", how) : null,
      ),
    );
  }

  /**
   * The designator of a part, a link to its page where the family has the part.
   * @param {BenchFamily} family
   * @param {string} id
   */
  function part(family, id) {
    const known = family.parts[id];
    return known ? h("a", { class: "id", href: known.page }, id) : h("b", { class: "id" }, id);
  }

  /**
   * `J15 (pen bay) and J3`.
   * @param {BenchFamily} family
   * @param {readonly string[]} ids
   */
  function parts(family, ids) {
    return ids.map((id, n) => {
      const part = family.parts[id];
      const before = n === 0 ? "" : n === ids.length - 1 ? " and " : ", ";
      return [before, h("b", { class: "id" }, id), part ? " (" + part.name + ")" : ""];
    });
  }

  /**
   * Meter function, polarity, injection, and the hazards that these bring.
   * @param {BenchBook} book
   * @param {BenchMeasurement} measurement
   * @param {BenchChild} [hazards]
   */
  function meter(book, measurement, hazards = null) {
    const mode = benchlore.vocabulary.functions[measurement.mode];
    const technique = measurement.technique ? book.techniques[measurement.technique] : undefined;
    return h(
      "li",
      { class: "step step-meter" },
      h("span", { class: "step-what" }, measurement.links.unit === null ? "Do" : "Meter"),
      h(
        "div",
        { class: "step-how" },
        hazards,
        h("p", { class: "step-main" }, mode ? mode.label : measurement.mode),
        measurement.words.leads ? h("p", null, measurement.words.leads) : null,
        measurement.html.note
          ? h("p", { class: "note" }, mark("other"), rich("span", null, measurement.html.note))
          : null,
        measurement.inject
          ? h(
              "p",
              null,
              "Inject at most ",
              h("b", { class: "reading" }, measurement.inject.words.volts),
              ", current limit ",
              h("b", { class: "reading" }, measurement.inject.words.limit),
              ".",
            )
          : null,
        technique ? h("p", null, "Technique: ", h("a", { href: technique.page }, technique.title)) : null,
      ),
    );
  }

  /** What to do with words that tell whose device it is. */
  const NAMELESS = "leave it out: a job keeps nothing that tells whose device it is";

  /**
   * What is wrong: the job's symptoms, then the customer's words.
   * @param {BenchBook} book
   * @param {BenchJob} job
   */
  function complaints(book, job) {
    const titles = job.symptoms.map((id) => book.symptoms[id]?.title || id);
    return job.words ? [...titles, "\u201c" + job.words + "\u201d"] : titles;
  }

  /**
   * What a fix does to its part: `Replace F1`, `Change a setting of U80`.
   * @param {BenchFault} fault
   */
  function done({ fix, cause }) {
    // An action in several words has its own object.
    return fix.words.action + (fix.words.action.includes(" ") ? " of " : " ") + cause.part;
  }

  /**
   * What is to be known of the job's symptoms before anything is measured.
   * @param {BenchPage} page
   */
  function symptomNotes(page) {
    const found = page.job.symptoms
      .map((id) => page.book.symptoms[id])
      .filter((symptom) => symptom?.html.note);
    return found.map((symptom) =>
      h(
        "p",
        { class: "note" },
        mark("other"),
        rich("span", null, /** @type {BenchSymptom} */ (symptom).html.note),
      ),
    );
  }

  /**
   * Where to probe, with the sketch of the revision; of every revision when it is not known. Between two points, both.
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {BenchMeasurement} measurement
   * @param {Set<string>} [drawn] the points whose sketch the card has already, which this adds to
   */
  function where(family, revision, measurement, drawn = new Set()) {
    const { at, between, compare } = measurement;
    const ids = between.length ? between : compare ? [at, compare.with] : [at];
    const found = ids.filter((id) => family.test_points[id]);
    if (found.length === 0) return null;
    return h(
      "li",
      { class: "step step-probe" },
      h("span", { class: "step-what" }, measurement.links.unit === null ? "Here" : "Probe"),
      h(
        "div",
        { class: "step-how" },
        found.map((id, n) =>
          place(
            family,
            revision,
            id,
            between.length ? (n ? "Black on " : "Red on ") : n ? "Then " : "",
            !isFelt(measurement),
            drawn,
          ),
        ),
      ),
    );
  }

  /**
   * The test point on a part, which says where the part is: `C55`, or `F1_OUT` for the fuse F1.
   * @param {BenchFamily} family
   * @param {string} part
   */
  function pointOn(family, part) {
    const ids = Object.keys(family.test_points);
    return ids.find((id) => id.startsWith(part + "_")) || ids.find((id) => id === part);
  }

  /**
   * Where a part is, with its sketch; nothing where no test point lies on it.
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} part
   * @param {Set<string>} drawn the points whose sketch the card has already, which this adds to
   */
  function wherePart(family, revision, part, drawn) {
    const id = pointOn(family, part);
    if (id === undefined) return null;
    return h(
      "li",
      { class: "step step-probe" },
      h("span", { class: "step-what" }, "Where"),
      h("div", { class: "step-how" }, place(family, revision, id, "", true, drawn)),
    );
  }

  /**
   * Where a part is, in one line.
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} part
   */
  function placeInWords(family, revision, part) {
    return pointInWords(family, revision, pointOn(family, part) || "");
  }

  /**
   * Where a test point is, in one line; nothing while the revision is not known.
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} id
   */
  function pointInWords(family, revision, id) {
    const point = family.test_points[id];
    const where = point?.html.where[revision];
    return point && where
      ? rich(
          "p",
          { class: "where-words where-short" },
          (onBoard(point) ? point.side + " side, " : "") + where,
        )
      : null;
  }

  /** False for what is plugged in, and for a part of which nobody says where it is. @param {BenchTestPoint} point */
  function onBoard(point) {
    return Object.keys(point.locator).length > 0;
  }

  /** True for what no probe touches. @param {BenchMeasurement} measurement */
  function isFelt({ mode }) {
    return mode === "look" || mode === "listen";
  }

  /**
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} id of the test point
   * @param {string} lead which lead goes there, where both go to the board
   * @param {boolean} probed a probe goes there, so that the net is named
   * @param {Set<string>} drawn the points whose sketch the card has already, which this adds to
   */
  function place(family, revision, id, lead, probed, drawn) {
    const point = /** @type {BenchTestPoint} */ (family.test_points[id]);
    const net = family.nets[point.net];
    // A part that is looked at may have no place on the board; its words are there all the same.
    const named = Object.keys(point.html.where);
    const revisions =
      revision && named.includes(revision) ? [revision] : onBoard(point) ? named : named.slice(0, 1);
    const again = drawn.has(id);
    drawn.add(id);
    return [
      h(
        "p",
        { class: "step-main" },
        lead,
        h("b", { class: "id" }, id),
        probed && point.net
          ? [" on ", net ? h("a", { class: "id", href: net.page }, point.net) : point.net]
          : null,
        onBoard(point) ? h("span", { class: "side" }, point.side + " side") : null,
      ),
      revisions.map((name) => [
        h(
          "p",
          { class: "where-words" },
          revisions.length > 1 ? h("b", null, "Revision " + name + ": ") : null,
          rich("span", null, point.html.where[name] || ""),
        ),
        point.locator[name] && !again ? rich("div", { class: "locator-box" }, point.locator[name]) : null,
        point.locator[name] && again ? h("p", { class: "aside" }, "Its sketch stands above.") : null,
      ]),
    ];
  }

  /**
   * The strip of a measurement with a reading and its accuracy limits beside it; null where outcomes are named.
   * @param {BenchMeasurement} measurement
   * @param {BenchReading} reading
   * @param {number} spread half width of the accuracy limits
   */
  function strip(measurement, reading, spread) {
    if (!measurement.strip) return null;
    const box = rich("div", { class: "strip-box" }, measurement.strip);
    const drawing = box.querySelector("svg");
    if (!drawing || reading.outcome !== null) return box;
    const [, top, width, height] = (drawing.getAttribute("viewBox") || "").split(" ").map(Number);
    drawing.setAttribute("viewBox", [-STRIP_MARGIN, top, width + STRIP_MARGIN, height].join(" "));
    const value = reading.value;
    const y = heightOf(drawing, value === null ? Infinity : value);
    const marks = [svg("path", { class: "strip-needle", d: "M-2 " + y.toFixed(1) + "l-9-6v12z" })];
    if (value !== null && spread > 0) {
      const [low, high] = reading.span || [value, value];
      const upper = heightOf(drawing, high + spread);
      const lower = Math.max(heightOf(drawing, low - spread), upper + 2);
      marks.push(
        svg("path", {
          class: "strip-spread",
          d: "M-20 " + upper.toFixed(1) + "h6m-3 0V" + lower.toFixed(1) + "m-3 0h6",
        }),
      );
    }
    drawing.append(svg("g", { class: "strip-taken" }, ...marks));
    return box;
  }

  /**
   * How far down the strip a value lies: in proportion between two ends, half-way in an outcome with an open end.
   * @param {Element} drawing
   * @param {number} value
   */
  function heightOf(drawing, value) {
    /** @type {[number, number][]} value and height of each finite end, rising */
    const scale = JSON.parse(drawing.getAttribute("data-scale") || "[]");
    const next = scale.findIndex(([end]) => end >= value);
    if (next > 0) {
      const [low, bottom] = scale[next - 1];
      const [high, top] = scale[next];
      return bottom + ((value - low) / (high - low)) * (top - bottom);
    }
    const bands = drawing.querySelectorAll("rect.band");
    if (next === 0 && value === scale[0][0]) return scale[0][1];
    const end = next === 0 ? bands[bands.length - 1] : bands[0];
    return end ? Number(end.getAttribute("y")) + Number(end.getAttribute("height")) / 2 : 0;
  }

  /**
   * An outcome as a word with its shape and range.
   * @param {BenchOutcome} outcome
   */
  function outcome(outcome) {
    return h(
      "span",
      { class: "outcome outcome-" + (outcome.normal ? "normal" : "other") },
      mark(outcome.normal ? "normal" : "other"),
      h("b", null, outcome.name),
      outcome.words.range && outcome.words.range !== outcome.name
        ? [" ", h("span", { class: "reading" }, outcome.words.range)]
        : null,
    );
  }

  /** What became of the symptom. @param {BenchFixEntry} entry */
  function symptomAfter({ symptom }) {
    return "symptom " + { gone: "gone", still: "still there", unseen: "not looked for" }[symptom];
  }

  /**
   * What an outcome means, and that the board must not stay powered where it must not.
   * @param {BenchOutcome} outcome
   */
  function means(outcome) {
    return [rich("span", null, outcome.html.means), outcome.stop ? [" ", h("b", null, STOP)] : null];
  }

  /**
   * What comes before all else while a reading bars power, why, and what clears it; null while none does.
   * @param {BenchPage} page
   */
  function stop(page) {
    const { locks } = page.assessment;
    const { family } = page;
    if (locks.length === 0) return null;
    const powered = Object.keys(family.states).filter(
      (id) => /** @type {BenchState} */ (family.states[id]).sources.length,
    );
    const whole = powered.every((id) => benchlore.interlock.bars(locks, id));
    const barred = powered.filter((id) => benchlore.interlock.bars(locks, id));
    return h(
      "section",
      { class: "stop", "aria-labelledby": "stop-title" },
      h(
        "p",
        { class: "stop-word", id: "stop-title" },
        whole ? STOP : "Barred: " + barred.map((id) => family.states[id]?.title).join("; ") + ".",
      ),
      h(
        "ul",
        null,
        locks.map(({ measure, outcome, lock }) =>
          h(
            "li",
            null,
            nameOf(family, measure) + ": ",
            h("b", null, benchlore.cases.outcomeOf(family, measure, outcome).name),
            ". " + lock.why + " ",
            until(page, lock),
          ),
        ),
      ),
    );
  }

  /**
   * What clears an interlock.
   * @param {BenchPage} page
   * @param {BenchInterlock} lock
   */
  function until({ family }, lock) {
    if (lock.clears.length === 0) return "No power on this board again before something is mended.";
    const names = lock.clears.map((id) => nameOf(family, id));
    return "No power before a new reading clears it: " + names.join(", or ") + ".";
  }

  /**
   * A measurement in few words: `MAIN at F1, DC volts`, `Look at E8`; with its bench state, or the question of a look,
   * where another one differs by that alone.
   * @param {BenchFamily} family
   * @param {string} id
   */
  function nameOf(family, id) {
    const measurement = family.measurements[id];
    if (!measurement) return id;
    const point = family.test_points[measurement.at];
    const mode = benchlore.vocabulary.functions[measurement.mode];
    const state = family.states[measurement.state];
    const felt = isFelt(measurement);
    const label = mode ? mode.label : measurement.mode;
    const twins = Object.values(family.measurements).filter(
      (other) => other !== measurement && alike(other, measurement),
    );
    const asked = felt && twins.length ? ": " + plain(measurement.html.asks) : "";
    const elsewhere = twins.some(
      (other) => other.state !== measurement.state && (!felt || other.html.asks === measurement.html.asks),
    );
    const name = felt
      ? label + " at " + measurement.at
      : (point?.net ? point.net + " at " : "") +
        (measurement.between.join(" to ") || measurement.at) +
        (measurement.polarity ? " (leads turned)" : "") +
        ", " +
        label;
    const inState = elsewhere && state ? " (" + state.title.toLowerCase() + ")" : "";
    return name + outOf(measurement.unplugged) + asked + inState;
  }

  /**
   * `, E7 and J3 out`; nothing where nothing is unplugged.
   * @param {readonly string[]} unplugged
   */
  function outOf(unplugged) {
    return unplugged.length ? ", " + unplugged.join(" and ") + " out" : "";
  }

  /**
   * @param {BenchMeasurement} one
   * @param {BenchMeasurement} other
   */
  function alike(one, other) {
    const points = one.at === other.at && one.between.join() === other.between.join();
    return (
      points &&
      one.polarity === other.polarity &&
      one.mode === other.mode &&
      one.unplugged.join() === other.unplugged.join()
    );
  }

  /**
   * A reading as the meter showed it, or the outcome that was named.
   * @param {BenchMeasurement} measurement
   * @param {BenchReading} reading
   */
  function shown(measurement, reading) {
    if (reading.outcome !== null) return reading.outcome.replace(/-/g, " ");
    if (reading.value === null) return "OL";
    return readings(reading.span || [reading.value], measurement.links.unit || "");
  }

  /**
   * One reading, or the ends of an unsteady one.
   * @param {readonly number[]} values
   * @param {string} unit
   */
  function readings(values, unit) {
    return values.map((value) => benchlore.quantity.reading(value, unit)).join(" to ");
  }

  /**
   * The question that a measurement answers, as text.
   * @param {BenchMeasurement} measurement
   */
  function asks(measurement) {
    return plain(measurement.html.asks);
  }

  /**
   * An outcome to click, or to choose by the digit that stands on it.
   * @param {number} n its place, from 0
   * @param {() => void} act
   * @param {BenchChild} inside
   */
  function answer(n, act, inside) {
    return h(
      "li",
      null,
      h(
        "button",
        {
          type: "button",
          id: "answer-" + (n + 1),
          class: "answer",
          "aria-keyshortcuts": String(n + 1),
          onclick: act,
        },
        h("kbd", { "aria-hidden": "true" }, String(n + 1)),
        h("span", null, inside),
      ),
    );
  }

  benchlore.parts = {
    NAMELESS,
    complaints,
    done,
    symptomNotes,
    setUp,
    part,
    parts,
    meter,
    where,
    wherePart,
    placeInWords,
    pointInWords,
    isFelt,
    strip,
    outcome,
    symptomAfter,
    means,
    stop,
    until,
    STOP,
    nameOf,
    outOf,
    shown,
    asks,
    answer,
  };
})();
