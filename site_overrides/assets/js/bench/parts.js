/*
 * Pieces that several views share: hazards, how to set the bench up, where to probe, a reading on its strip.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ (window.benchlore = window.benchlore || {});
  const { h, rich, mark, sign, svg, plain } = benchlore.dom;

  const SEVERITY = ["danger", "warning", "caution", "notice"];
  const STRIP_WIDTH = 640;
  const OPEN_MIDDLE = STRIP_WIDTH - 27;

  /**
   * The hazards of an action, the most serious first. Those already met in this job keep their signal word and what
   * can happen; how to avoid it is one key away.
   * @param {BenchBook} book
   * @param {readonly string[]} ids
   * @param {readonly string[]} met
   */
  function hazards(book, ids, met) {
    const known = [...new Set(ids)].filter((id) => book.hazards[id]);
    /** @param {string} id */
    const rank = (id) => SEVERITY.indexOf(/** @type {BenchHazard} */ (book.hazards[id]).signal);
    known.sort((a, b) => Number(met.includes(a)) - Number(met.includes(b)) || rank(a) - rank(b));
    if (known.length === 0) return null;
    return h(
      "div",
      { class: "hazards", role: "group", "aria-label": "Hazards of this work" },
      known.map((id) => hazard(/** @type {BenchHazard} */ (book.hazards[id]), met.includes(id)))
    );
  }

  /**
   * @param {BenchHazard} one
   * @param {boolean} met
   */
  function hazard(one, met) {
    const word = one.signal.toUpperCase();
    const controls = h("ul", { class: "avoid" }, one.avoid.map((line) => rich("li", null, line)));
    return h(
      "section",
      { class: "hazard hazard-" + one.signal + (met ? " hazard-met" : ""), "aria-label": word + ": " + one.title },
      h("p", { class: "signal" }, one.signal === "notice" ? null : sign(), h("span", null, word)),
      h(
        "div",
        { class: "hazard-words" },
        h("p", { class: "harm" }, h("a", { href: one.page }, one.title), ". ", rich("span", null, one.harm)),
        met ? h("details", null, h("summary", null, "How to avoid it"), controls) : controls
      )
    );
  }

  /**
   * How to set the bench up for a measurement, from how it stands now.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchSetUp} stands
   * @param {BenchSetUp} needs
   */
  function setUp(book, family, stands, needs) {
    const state = needs.state === null ? undefined : book.states[needs.state];
    if (!state) return null;
    const same = stands.state === needs.state;
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
        h("p", { class: "step-main" }, state.title, same ? h("span", { class: "already" }, "as it stands") : null),
        same
          ? h("details", null, h("summary", null, "How to set it up"), h("ol", { class: "do" }, state.how.map((line) => rich("li", null, line))))
          : h("ol", { class: "do" }, state.how.map((line) => rich("li", null, line))),
        out.length ? h("p", { class: "plug" }, "Unplug ", parts(family, out), ", with all power out.") : null,
        still.length ? h("p", { class: "plug" }, "Leave ", parts(family, still), " unplugged.") : null,
        back.length ? h("p", { class: "plug" }, "Plug ", parts(family, back), " in again, with all power out.") : null
      )
    );
  }

  /**
   * `J7 (gauge board) and J3`.
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
   * Meter function, polarity, injection.
   * @param {BenchBook} book
   * @param {BenchMeasurement} measurement
   */
  function meter(book, measurement) {
    const mode = book.modes[measurement.mode];
    const technique = measurement.technique ? book.techniques[measurement.technique] : undefined;
    return h(
      "li",
      { class: "step step-meter" },
      h("span", { class: "step-what" }, measurement.unit === null ? "Do" : "Meter"),
      h(
        "div",
        { class: "step-how" },
        h("p", { class: "step-main" }, mode ? mode.word : measurement.mode),
        measurement.leads ? h("p", null, measurement.leads) : null,
        measurement.inject
          ? h("p", null, "Inject at most ", h("b", { class: "reading" }, measurement.inject.volts), ", current limit ", h("b", { class: "reading" }, measurement.inject.limit), ".")
          : null,
        technique ? h("p", null, "Technique: ", h("a", { href: technique.page }, technique.title)) : null
      )
    );
  }

  /**
   * Where to probe, with the sketch of the revision; of every revision when it is not known.
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {BenchMeasurement} measurement
   */
  function where(family, revision, measurement) {
    const point = family.points[measurement.point];
    if (!point) return null;
    const net = family.nets[point.net];
    const revisions = revision && point.locator[revision] ? [revision] : Object.keys(point.locator);
    return h(
      "li",
      { class: "step step-probe" },
      h("span", { class: "step-what" }, measurement.unit === null ? "Here" : "Probe"),
      h(
        "div",
        { class: "step-how" },
        h(
          "p",
          { class: "step-main" },
          h("b", { class: "id" }, measurement.point),
          " on ",
          net ? h("a", { class: "id", href: net.page }, point.net) : point.net,
          h("span", { class: "side" }, point.side + " side")
        ),
        revisions.map((name) => [
          h("p", { class: "where-words" }, revisions.length > 1 ? h("b", null, "Revision " + name + ": ") : null, rich("span", null, point.where[name] || "")),
          rich("div", { class: "locator-box" }, point.locator[name] || ""),
        ])
      )
    );
  }

  /**
   * The strip of a measurement with a reading and its accuracy limits on it; null where outcomes are named.
   * @param {BenchMeasurement} measurement
   * @param {BenchReading} reading
   * @param {number} spread half width of the accuracy limits
   */
  function strip(measurement, reading, spread) {
    if (!measurement.strip) return null;
    const box = rich("div", { class: "strip-box" }, measurement.strip);
    const drawing = box.querySelector("svg");
    if (!drawing || reading.outcome !== null) return box;
    /** @type {[number, number][]} */
    const scale = JSON.parse(drawing.getAttribute("data-scale") || "[]");
    const [, , width, height] = (drawing.getAttribute("viewBox") || "").split(" ").map(Number);
    drawing.setAttribute("viewBox", "0 -30 " + width + " " + (height + 30));
    const value = reading.value;
    const x = value === null ? OPEN_MIDDLE : place(scale, value);
    const unit = measurement.unit || "";
    const label = svg("text", { class: "strip-reading", x: Math.min(Math.max(x, 34), STRIP_WIDTH - 34), y: -12, "text-anchor": "middle" });
    label.textContent = value === null ? "open" : benchlore.quantity.format(value, unit);
    const marks = [label, svg("path", { class: "strip-needle", d: "M" + x.toFixed(1) + " -7l6 9h-12zM" + x.toFixed(1) + " 2V38" })];
    if (value !== null && spread > 0) {
      const left = place(scale, value - spread);
      const right = Math.max(place(scale, value + spread), left + 2);
      const ends = "M" + left.toFixed(1) + " -1v8m0-4H" + right.toFixed(1) + "m0-4v8";
      marks.push(svg("path", { class: "strip-spread", d: ends }));
    }
    drawing.append(svg("g", { class: "strip-taken" }, ...marks));
    return box;
  }

  /**
   * Where a value lies on a strip, between the ends that the strip knows; beyond them, at the edge.
   * @param {readonly [number, number][]} scale
   * @param {number} value
   */
  function place(scale, value) {
    if (scale.length === 0) return STRIP_WIDTH / 2;
    const [first, last] = [scale[0], scale[scale.length - 1]];
    if (value <= first[0]) return value === first[0] ? first[1] : Math.max(first[1] / 2, 6);
    if (value >= last[0]) return value === last[0] ? last[1] : Math.min((last[1] + STRIP_WIDTH) / 2, STRIP_WIDTH - 6);
    const n = scale.findIndex(([end]) => end >= value);
    const [low, left] = scale[n - 1];
    const [high, right] = scale[n];
    return left + ((value - low) / (high - low)) * (right - left);
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
      outcome.text ? h("span", { class: "reading" }, outcome.text) : null
    );
  }

  /**
   * A measurement in few words: `MAIN at F1, DC volts`.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {string} id
   */
  function nameOf(book, family, id) {
    const measurement = family.measurements[id];
    if (!measurement) return id;
    const point = family.points[measurement.point];
    const mode = book.modes[measurement.mode];
    const unplugged = measurement.unplugged.length ? ", " + measurement.unplugged.join(" and ") + " out" : "";
    return (point ? point.net + " at " : "") + measurement.point + ", " + (mode ? mode.word : measurement.mode) + unplugged;
  }

  /**
   * A reading as the meter showed it, or the outcome that was named.
   * @param {BenchMeasurement} measurement
   * @param {BenchReading} reading
   */
  function shown(measurement, reading) {
    if (reading.outcome !== null) return reading.outcome.replace(/-/g, " ");
    if (reading.value === null) return "open";
    return benchlore.quantity.format(reading.value, measurement.unit || "");
  }

  /**
   * The question that a measurement answers, as text.
   * @param {BenchMeasurement} measurement
   */
  function asks(measurement) {
    return plain(measurement.asks);
  }

  benchlore.parts = { hazards, setUp, parts, meter, where, strip, outcome, nameOf, shown, asks };
})();
