/*
 * What a wrong set-up can do: to the person, to the board, or to the reading.
 *
 * Meters are driven outside their function at the user's risk (IEC 61010-2-033 for hand-held meters); what happens on
 * a board is common practice of the trade, no source.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  /** @type {Readonly<Record<string, string>>} */
  const SOURCES = { adapter: "the adapter", pack: "the pack", "usb-c": "the USB-C supply" };
  /** @type {(mode: string) => VocabularyFunction | undefined} */
  function functionOf(mode) {
    return benchlore.vocabulary.functions[mode];
  }

  /** @param {string} mode */
  function isUnpowered(mode) {
    return functionOf(mode)?.power === "off";
  }

  /**
   * What the choice can do, the worst first; nothing when it is right. Parts of the choice that were not asked for are
   * left undefined.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {StudyDeck} deck
   * @param {string} measure
   * @param {StudyChoice} choice
   * @returns {StudyHarm[]}
   */
  function harms(book, family, deck, measure, choice) {
    const need = family.measurements[measure];
    const more = deck.measures[measure];
    const found = [
      ...ofState(family, need, choice),
      ...ofFunction(family, need, choice),
      ...ofLeads(family, deck, measure, choice),
      ...ofParts(family, deck, measure, choice),
      ...ofCeiling(family, need, more, choice),
      ...ofHazards(book, need, choice),
    ];
    const order = ["person", "board", "reading"];
    return found.sort((a, b) => order.indexOf(a.who) - order.indexOf(b.who));
  }

  /** @type {(who: StudyHarm["who"], what: StudyHarm["what"], text: string, page?: string) => StudyHarm} */
  function harm(who, what, text, page = "") {
    return { who, what, text, page };
  }

  /** @type {(family: BenchFamily, need: BenchMeasurement, choice: StudyChoice) => StudyHarm[]} */
  function ofState(family, need, choice) {
    if (choice.state === undefined || choice.state === need.state) return [];
    const chosen = family.states[choice.state];
    const right = family.states[need.state];
    if (!chosen || !right)
      return [
        harm("reading", "state", "No bench state was chosen, so nobody knows what the reading belongs to."),
      ];
    const mode = choice.mode === undefined ? need.mode : choice.mode;
    const extra = chosen.sources.filter((source) => !right.sources.includes(source));
    const lacking = right.sources.filter((source) => !chosen.sources.includes(source));
    /** @type {StudyHarm[]} */
    const found = [];
    if (chosen.sources.length === 0) {
      found.push(
        harm(
          "board",
          "state",
          "Without power every rail reads 0 V. A healthy board looks dead, and good parts get replaced.",
        ),
      );
      return found;
    }
    if (isUnpowered(need.mode) || isUnpowered(mode)) found.push(...live(chosen.sources));
    else if (need.inject) found.push(...live(chosen.sources));
    if (found.length === 0 && extra.includes("pack")) {
      found.push(
        harm(
          "person",
          "state",
          "The pack is in although it should be out. It cannot be switched off: a probe that slips shorts it, with sparks and burns.",
        ),
      );
    }
    if (found.length === 0 && right.sources.length === 0) {
      found.push(
        harm(
          "board",
          "state",
          "The board is live although it should be dead: what you touch, unplug or bridge can be shorted.",
        ),
      );
    }
    if (extra.length && right.sources.length) {
      found.push(
        harm(
          "reading",
          "state",
          capital(named(extra)) + " feeds the board too, so the reading no longer answers the question.",
        ),
      );
    }
    if (lacking.length)
      found.push(
        harm(
          "reading",
          "state",
          "Without " + named(lacking) + " the net is not in the state that the record's numbers are for.",
        ),
      );
    if (found.length === 0)
      found.push(
        harm("reading", "state", "The record's numbers are for another bench state: " + right.title + "."),
      );
    return found;
  }

  /**
   * A meter's own current, or an injected one, into a board that is live.
   * @type {(sources: readonly string[]) => StudyHarm[]}
   */
  function live(sources) {
    const found = [
      harm(
        "board",
        "state",
        "The meter drives its own current into a live board. It can damage the part under test and the meter, and the number means nothing.",
      ),
    ];
    if (sources.includes("pack")) {
      found.unshift(
        harm(
          "person",
          "state",
          "The pack is in. It cannot be switched off: shorted through a probe it gives tens of amps, burns, and can vent or catch fire.",
        ),
      );
    }
    return found;
  }

  /** @type {(family: BenchFamily, need: BenchMeasurement, choice: StudyChoice) => StudyHarm[]} */
  function ofFunction(family, need, choice) {
    if (choice.mode === undefined || choice.mode === need.mode) return [];
    const chosen = choice.mode;
    const state = family.states[choice.state === undefined ? need.state : choice.state];
    const powered = Boolean(state?.sources.length);
    if (chosen === "amps" && powered) {
      return [
        harm(
          "person",
          "function",
          "On its amps range a meter is nearly a short. Across a rail it takes all that the source gives: the probe arcs and burns.",
        ),
        harm(
          "board",
          "function",
          "The short through the meter takes the rail down and can burn tracks, and blows the meter\u2019s fuse.",
        ),
      ];
    }
    if (isUnpowered(chosen) && powered) {
      return [
        harm(
          "board",
          "function",
          "This function drives the meter\u2019s own current into the point. On a live board it can damage the part and the meter.",
        ),
      ];
    }
    if (isUnpowered(need.mode) && functionOf(chosen)?.power === "on") {
      return [
        harm(
          "reading",
          "function",
          "The board is dead here, as it should be: this function shows nothing of the line.",
        ),
      ];
    }
    const asked = functionOf(need.mode);
    const usual =
      asked?.unit === null && asked.power === "either"
        ? "No meter tells this: it has to be seen or heard."
        : "The record\u2019s numbers are for: " + (asked?.label || need.mode) + ".";
    return [harm("reading", "function", asked?.instead[chosen] || usual)];
  }

  /**
   * Leads do harm by what they make of the meter: in its current input, or on its amps range, it is nearly a short.
   * @type {(family: BenchFamily, deck: StudyDeck, measure: string, choice: StudyChoice) => StudyHarm[]}
   */
  function ofLeads(family, deck, measure, choice) {
    const need = family.measurements[measure];
    const right = deck.measures[measure].leads;
    if (choice.leads === undefined || !right || choice.leads === right) return [];
    if (!choice.leads) return [harm("reading", "leads", "No leads were chosen: " + right + ".")];
    const kind = deck.lead_kinds[choice.leads] || "other";
    const laid = kind === "usual" || kind === "turned";
    const mode = choice.mode === undefined ? need.mode : choice.mode;
    const state = family.states[choice.state === undefined ? need.state : choice.state];
    const live = Boolean(state?.sources.length);
    const point = family.test_points[need.at];
    const net = point ? point.net : "the net";
    if (need.mode === "amps") {
      if (laid && live && mode === "amps")
        return shorted(
          "On its amps range the meter is nearly a short, and the current has to flow through it, in line. Laid from " +
            net +
            " to ground",
          net,
        );
      if (laid)
        return [
          harm(
            "reading",
            "leads",
            "The current has to flow through the meter, in line. Probes laid on the net measure no current.",
          ),
        ];
    }
    if (kind === "ammeter" && need.mode !== "amps") {
      // The amps range has been marked as the wrong function already.
      if (live && mode !== "amps")
        return shorted(
          "In the current input the meter is nearly a short, whatever its dial says. Laid from " +
            net +
            " to ground",
          net,
        );
      return [
        harm(
          "reading",
          "leads",
          "In the current input the meter is nearly a short and shows only what flows through it. The record\u2019s numbers are for: " +
            right +
            ".",
        ),
      ];
    }
    if (laid && kind !== (deck.lead_kinds[right] || "other")) {
      const turned = functionOf(need.mode)?.turned;
      if (turned) return [harm("reading", "leads", turned)];
    }
    return [harm("reading", "leads", "The record\u2019s numbers are for other leads: " + right + ".")];
  }

  /**
   * The meter as a short across a live net.
   * @type {(how: string, net: string) => StudyHarm[]}
   */
  function shorted(how, net) {
    return [
      harm(
        "person",
        "leads",
        how + ", it takes all that the source gives: the probe arcs and burns, and hot metal flies.",
      ),
      harm(
        "board",
        "leads",
        "The short through the meter takes " +
          net +
          " down, can burn tracks and parts, and blows the meter\u2019s fuse.",
      ),
    ];
  }

  /**
   * A part that is out too many matters where it belongs to what is measured, and not elsewhere on the board.
   * @type {(family: BenchFamily, deck: StudyDeck, measure: string, choice: StudyChoice) => StudyHarm[]}
   */
  function ofParts(family, deck, measure, choice) {
    if (choice.unplugged === undefined) return [];
    const chosen = choice.unplugged;
    const need = family.measurements[measure];
    const forgotten = need.unplugged.filter((part) => !chosen.includes(part));
    const more = chosen.filter((part) => !need.unplugged.includes(part));
    const extra = more.filter((part) => sits(family, deck, need, part));
    const other = more.filter((part) => !extra.includes(part) && apart(family, need, part));
    const said = [
      forgotten.length
        ? forgotten.join(" and ") +
          " is still plugged in, so its fault stays in the reading: board and accessory cannot be told apart."
        : "",
      extra.length
        ? "With " +
          extra.join(" and ") +
          " out the net is another one than the record\u2019s: its numbers do not apply."
        : "",
      other.length
        ? "With " +
          other.join(" and ") +
          " out it is another measurement of this point, with a question of its own."
        : "",
    ];
    return said.filter(Boolean).map((text) => harm("reading", "parts", text));
  }

  /**
   * Whether a part sits on the net of a measurement.
   * @type {(family: BenchFamily, deck: StudyDeck, need: BenchMeasurement, part: string) => boolean}
   */
  function sits(family, deck, need, part) {
    const point = family.test_points[need.at];
    return point !== undefined && (deck.part_nets[part] || []).includes(point.net);
  }

  /**
   * Whether the family measures the same with a part out, too, and so takes the two apart.
   * @type {(family: BenchFamily, need: BenchMeasurement, part: string) => boolean}
   */
  function apart(family, need, part) {
    return Object.values(family.measurements).some(
      (other) =>
        other.at === need.at &&
        other.between.join() === need.between.join() &&
        other.mode === need.mode &&
        other.unplugged.includes(part),
    );
  }

  /**
   * @param {BenchFamily} family
   * @param {BenchMeasurement} need
   * @param {StudyMeasure} more
   * @param {StudyChoice} choice
   * @returns {StudyHarm[]}
   */
  function ofCeiling(family, need, more, choice) {
    if (choice.ceiling === undefined || !need.inject) return [];
    const chosen = more.ceilings.find((one) => one.text === choice.ceiling);
    const right = more.ceilings[0];
    if (!chosen || !right || chosen.text === right.text) return [];
    const point = family.test_points[need.at];
    const net = point ? point.net : "the net";
    const rated = more.nominal ? " (" + more.nominal.text + ")" : "";
    // A line's ceiling lies below its own voltage: what its clamps let through feeds the chips.
    const why =
      family.nets[need.links.net]?.kind === "rail"
        ? " lies above " +
          net +
          rated +
          ". Every part on it gets more than it is made for, the healthy ones too: the injection destroys what it should find."
        : " is too much for " +
          net +
          ", a line: above " +
          right.text +
          " the clamps in the chips on it conduct and feed them from the line, which can destroy healthy ones.";
    return [harm("board", "ceiling", chosen.text + why)];
  }

  /** @type {(book: BenchBook, need: BenchMeasurement, choice: StudyChoice) => StudyHarm[]} */
  function ofHazards(book, need, choice) {
    if (choice.guards === undefined) return [];
    const guards = choice.guards;
    return need.links.hazards.filter((id) => !guards.includes(id)).map((id) => missed(book, id));
  }

  /**
   * A hazard that nobody guarded against. Notices are about the board or the work, the others about people.
   * @type {(book: BenchBook, id: string) => StudyHarm}
   */
  function missed(book, id) {
    const hazard = book.hazards[id];
    if (!hazard) return harm("board", "hazard", id);
    const who = hazard.signal === "notice" ? "board" : "person";
    return harm(who, "hazard", hazard.title + ": " + benchlore.dom.plain(hazard.html.harm), hazard.page);
  }

  /**
   * Power, by the bench state that was chosen, on a board whose last readings bar it; nothing when it is not so.
   * @type {(state: string, locks: readonly BenchStanding[]) => StudyHarm[]}
   */
  function repowered(state, locks) {
    if (!benchlore.interlock.bars(locks, state)) return [];
    return [
      harm(
        "board",
        "power",
        "A reading had barred this: the source stays out. You put power on the board again before anything was mended, and what is left of it can go, too.",
      ),
    ];
  }

  /**
   * A fix begun with a source in; nothing when the bench is bare.
   * @param {BenchFamily} family
   * @param {string | null} id of the bench state in which the work is done; null: nothing is set up
   * @returns {StudyHarm[]}
   */
  function workedLive(family, id) {
    const state = id === null ? undefined : family.states[id];
    if (!state || state.sources.length === 0) return [];
    const pack = state.sources.includes("pack")
      ? " The pack cannot be switched off: shorted it gives tens of amps, burns, and can catch fire."
      : "";
    return [
      harm(
        "person",
        "power",
        "You began the fix with " +
          named(state.sources) +
          " in. Every fix starts with every source out and the board discharged: on a live board an iron, tweezers or a lifted part shorts what it touches." +
          pack,
      ),
    ];
  }

  /** @param {readonly string[]} sources */
  function named(sources) {
    return sources.map((source) => SOURCES[source] || source).join(" and ");
  }

  /** @param {string} text */
  function capital(text) {
    return text.slice(0, 1).toUpperCase() + text.slice(1);
  }

  study.setup = { harms, missed, repowered, workedLive };
})();
