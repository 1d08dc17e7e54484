/*
 * What is done in a fix: the board before each step, as tools/benchlore/rules/steps.py walks it; the step in words, as
 * site/steps.py says it; the hazards that the work brings, as book/work.py finds them.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  const PACK = "pack";
  const ADAPTER = "adapter";
  const HOT = /\b(hot[- ]air|iron|nozzle|(de)?solder\w*|reflow\w*|reball\w*)\b/i;
  const PACKS = /\b(pack|battery|cell)s?\b/i;
  const WET = /\b(alcohol|solvent|cleaner|adhesive remover)\b/i;

  /**
   * One step, whatever form it has: its verb, what it is done to, and its words.
   * @type {(step: any) => WriteStepRead}
   */
  function readStep(step) {
    if (typeof step === "string") return { verbs: [], verb: "", names: [], uses: [], say: step, raw: {} };
    const raw = step && typeof step === "object" ? step : {};
    const verbs = Object.keys(raw).filter((key) => Object.hasOwn(benchlore.writeBook.verbs, key));
    const verb = verbs[0] || "";
    const held = raw[verb];
    const many = Array.isArray(held) ? held : held === undefined || held === "" ? [] : [held];
    const uses = many.map((one) => (one && typeof one === "object" ? one : { part: String(one) }));
    return { verbs, verb, names: uses.map((one) => String(one.part || "")), uses, say: raw.say || "", raw };
  }

  /** @param {WriteRecord} record @returns {WriteStepRead[]} */
  function stepsOf(record) {
    return (record.fix?.steps || []).map(readStep);
  }

  /**
   * The parts that the fix puts on.
   * @type {(record: WriteRecord) => WriteRecord[]}
   */
  function fitted(record) {
    return stepsOf(record).flatMap(({ verb, uses }) => (verb === "fit" || verb === "replace" ? uses : []));
  }

  /**
   * Each step with the board before it, and the board at the end. A device comes in with all its sources.
   * @param {WriteContext} context
   * @param {WriteRecord} record
   */
  function walked({ family, own }, record) {
    /** @type {WriteBoard} */
    let board = { sources: [...own.sources], charged: true, wet: false, off: [] };
    const steps = stepsOf(record).map((step) => {
      const before = board;
      board = after(step, board);
      return { step, before };
    });
    return { steps, end: board };

    /** @type {(step: WriteStepRead, before: WriteBoard) => WriteBoard} */
    function after({ verb, names, raw }, before) {
      const packs = Object.keys(own.parts).filter((id) => own.parts[id].kind === PACK);
      const all = verb === "unplug" && names.includes(benchlore.writeBook.everything);
      let sources = before.sources;
      let off = before.off;
      if (verb === "unplug") {
        sources = all ? [] : sources.filter((one) => !names.includes(one));
        if (names.some((name) => packs.includes(name))) sources = sources.filter((one) => one !== PACK);
        off = [...off, ...names, ...(all || names.includes(PACK) ? packs : [])];
      }
      if (verb === "remove") off = [...off, ...names];
      if (verb === "fit" || verb === "plug") off = off.filter((name) => !names.includes(name));
      if (verb === "plug")
        sources = [...new Set([...sources, ...names.filter((name) => own.sources.includes(name))])];
      if (verb === "try" || (verb === "plug" && names.some((name) => packs.includes(name))))
        sources = [...own.sources];
      for (const name of verb === "measure" ? names : []) {
        const measurement = family.measurements[name];
        const state = measurement && family.states[measurement.state];
        const power = measurement && benchlore.vocabulary.functions[measurement.mode]?.power;
        if (state?.sources.length && power !== "off") sources = [...state.sources];
      }
      const charged = sources.length > 0 || (before.charged && verb !== "discharge");
      const wet = (before.wet || wets({ verb, raw })) && verb !== "dry";
      return { sources, charged, wet, off };
    }
  }

  /** @param {{verb: string, raw: any}} step */
  function wets({ verb, raw }) {
    return verb === "wash" || (verb === "clean" && raw.with !== "brush");
  }

  /**
   * The parts that a step solders or takes off with heat.
   * @type {(own: WriteFamily, step: WriteStepRead) => string[]}
   */
  function soldered(own, { verb, names }) {
    if (!["remove", "fit", "replace", "reflow"].includes(verb)) return [];
    return names.filter((name) => own.parts[name] && (own.parts[name].skill !== "none" || verb === "reflow"));
  }

  /**
   * True for a step that handles adapters and no other part, and whose words name neither heat nor what wets.
   * @type {(own: WriteFamily, step: WriteStepRead) => boolean}
   */
  function ofAdapter(own, { verb, names, say }) {
    const parts = names.filter((name) => own.parts[name]);
    const moves = ["remove", "fit", "replace", "reflow", "clean", "unplug", "plug"].includes(verb);
    const alone = parts.length > 0 && parts.every((name) => own.parts[name].kind === ADAPTER);
    return moves && alone && !hotOrWet(say);
  }

  /* In words. */

  /**
   * A step as the page will say it.
   * @type {(context: WriteContext, step: any) => string}
   */
  function sentence(context, step) {
    const { verb, raw, say } = readStep(step);
    const said = verb ? SAID[verb](context, readStep(step)) + "." + (say ? " " + say : "") : say;
    if (!raw.if) return said;
    return "If " + condition(context, String(raw.if)) + ": " + said.slice(0, 1).toLowerCase() + said.slice(1);
  }

  /**
   * When a step is done, a measurement in it by its meter function and place.
   * @type {(context: WriteContext, text: string) => string}
   */
  function condition(context, text) {
    return text.replace(/[a-z0-9]+(?:-[a-z0-9]+)+/g, (id) => asked(context, id));
  }

  /** @type {Record<string, (context: WriteContext, step: WriteStepRead) => string>} */
  const SAID = {
    unplug: (c, s) => {
      const names = s.names.flatMap((n) => (n === benchlore.writeBook.everything ? c.own.sources : [n]));
      return "Unplug " + names.map((n) => named(c, n)).join(", then ");
    },
    plug: (c, s) => "Plug in " + listed(c, s.names),
    discharge: (c, s) =>
      c.own.empties
        ? "Wait for " + s.raw.discharge + ", as *" + c.own.empties + "* has it"
        : "Hold the power key for " + s.raw.discharge,
    wait: (_, s) => "Wait for " + s.raw.wait,
    look: (c, s) => "Look at " + listed(c, s.names),
    press: (c, s) => "Press on " + listed(c, s.names),
    measure: (c, s) =>
      ["Measure " + listing(s.names.map((n) => asked(c, n))) + wanted(c, s), ...besides(c, s.names)].join(
        ". ",
      ),
    inject: (_, s) =>
      "Inject " +
      benchlore.writeBook.first_volts +
      " into " +
      s.raw.inject +
      (s.raw.limit ? ", limit " + shown(s.raw.limit) : "") +
      ", and look for heat. While nothing warms up, raise the voltage in small steps" +
      (s.raw.up_to ? ", to " + shown(s.raw.up_to) + " at most" : ""),
    remove: (c, s) => "Take " + listed(c, s.names) + " off",
    fit: (c, s) => "Fit " + uses(c, s),
    replace: (c, s) => "Replace " + uses(c, s),
    reflow: (c, s) => "Reflow the joints of " + listed(c, s.names),
    clean: (c, s) =>
      "Clean " + listed(c, s.names) + " with " + (benchlore.writeBook.cleaners[s.raw.with || "brush"] || ""),
    wash: () => "Wash the board",
    dry: (_, s) => "Let it dry for " + s.raw.dry,
    program: (c, s) => "Write the program of " + listed(c, s.names),
    set: (c, s) => "Change a setting of " + listed(c, s.names),
    try: (c, s) => "Try a known good " + listed(c, s.names),
  };

  /** @type {(context: WriteContext, name: string) => string} */
  function named({ own }, name) {
    const source = benchlore.writeBook.sources[name];
    if (source) return source;
    const part = own.parts[name];
    if (part) return name + " (" + part.name + ")";
    return own.landmarks.includes(name) ? "the " + name : name;
  }

  /**
   * A value as pages show it.
   * @param {unknown} text
   */
  function shown(text) {
    return String(text)
      .replace(/ohm\b/g, "\u03a9")
      .replace(/ ([0-9.]+)\s*%$/, " \u00b1$1%");
  }

  /** @param {readonly string[]} words */
  function listing(words) {
    const last = words[words.length - 1] || "";
    return words.length > 1 ? words.slice(0, -1).join(", ") + " and " + last : last;
  }

  /** @type {(context: WriteContext, names: readonly string[]) => string} */
  function listed(context, names) {
    return listing(names.map((name) => named(context, name)));
  }

  /** @type {(context: WriteContext, step: WriteStepRead) => string} */
  function uses(context, { verb, uses: used }) {
    return listing(
      used.map(
        (use) =>
          (verb === "fit" && !use.donor ? "a new " : "") +
          named(context, use.part || "") +
          (use.value ? " with " + shown(use.value) : ""),
      ),
    );
  }

  /** @type {(context: WriteContext, id: string) => string} */
  function asked({ family }, id) {
    const m = family.measurements[id];
    if (!m) return id;
    const phrase = benchlore.vocabulary.functions[m.mode]?.phrase || m.mode;
    const where = m.between.length ? "between " + m.between.join(" and ") : "at " + m.at;
    return phrase + " " + where + (m.links.net && " on " + m.links.net);
  }

  /** @type {(context: WriteContext, names: readonly string[]) => string[]} */
  function besides({ own }, names) {
    const all = names.flatMap((id) => own.measured[id]?.besides || []);
    return [...new Set(all.map((text) => text.replace(/\.$/, "")))].map(
      (text) => text.slice(0, 1).toUpperCase() + text.slice(1),
    );
  }

  /** @type {(context: WriteContext, step: WriteStepRead) => string} */
  function wanted({ family }, { names, raw }) {
    if (!raw.reads) return "";
    const outcomes = names.flatMap((id) => Object.values(family.measurements[id]?.outcomes || {}));
    const found = outcomes.find((one) => one.id === raw.reads);
    const range = found?.range ? found.words.range + " (" + found.name + ")" : found?.name || raw.reads;
    return ": it must read " + range;
  }

  /* What can hurt. */

  /**
   * The hazards of the work on a fault, each with the reason; the gravest first.
   * @type {(context: WriteContext, record: WriteRecord) => {id: string, why: string}[]}
   */
  function hazards(context, record) {
    const { book, family, own } = context;
    /** @type {Map<string, string>} */
    const found = new Map();
    const add = (/** @type {string} */ id, /** @type {string} */ why) => {
      if (!found.has(id) && book.hazards[id]) found.set(id, why);
    };
    const steps = stepsOf(record);
    const told = new Set([
      ...(record.test_points || []).map((/** @type {any} */ one) => one?.measure),
      ...(record.reads_normal || []),
      ...Object.keys(record.worked_example || {}),
      ...steps.flatMap(({ verb, names }) => (verb === "measure" ? names : [])),
    ]);
    const proof = Object.keys(record.fix?.confirm || {});
    const handled = [record.cause?.part, ...fitted(record).map((use) => use.part)].filter(
      (id) => own.parts[id],
    );
    for (const step of steps) {
      if (handlesPack(own, step)) add("lithium-pack", "a step handles the pack");
      for (const part of soldered(own, step)) {
        add("burn", "a step solders " + part);
        add("fumes", "a step solders " + part);
      }
      if (HOT.test(step.say)) {
        add("burn", "a step names hot air or the iron");
        add("fumes", "a step names hot air or the iron");
      }
      if (step.verb === "inject") add("burn", "a step injects current");
      if (wets(step) || WET.test(step.say)) add("solvent", "a step is wet");
      for (const id of techniquesOf(own, step))
        for (const hazard of benchlore.writeBook.techniques[id].hazard)
          add(hazard, "\u201c" + benchlore.writeBook.techniques[id].title + "\u201d brings it");
    }
    if (record.fix?.action === "jumper") {
      add("burn", "the fix is to jumper");
      add("fumes", "the fix is to jumper");
    }
    for (const id of [...told, ...proof]) {
      const measurement = family.measurements[id];
      if (!measurement) continue;
      const state = family.states[measurement.state];
      if (state?.sources.includes(PACK)) add("lithium-pack", "it is measured with the pack in");
      if (own.measured[id]?.shock || own.shock.includes(measurement.links.net))
        add("shock", "a measurement meets a voltage that can hurt");
      if (measurement.inject && told.has(id)) add("burn", "a measurement heats the short");
    }
    for (const id of handled) {
      if (own.parts[id].pack) add("lithium-pack", id + " sits on the pack\u2019s own net");
      if (own.parts[id].nets.some((net) => own.shock.includes(net)))
        add("shock", id + " sits on a net that can hurt");
    }
    for (const id of told)
      for (const hazard of family.measurements[id]?.links.hazards || [])
        add(hazard, "it comes with a measurement\u2019s bench state or procedure");
    const opening = steps.some((step) => opens(own, step)) ? [own.opening] : [];
    for (const id of [...(record.techniques || []), ...opening])
      for (const hazard of benchlore.writeBook.techniques[id]?.hazard || [])
        add(hazard, "\u201c" + benchlore.writeBook.techniques[id].title + "\u201d brings it");
    if (steps.some(({ verb }) => verb === "discharge"))
      for (const hazard of own.discharged) add(hazard, "the board is emptied of its charge");
    for (const id of record.hazard || []) add(id, "the record names it");
    const kept = [...found.keys()].filter((id) => !family.spared.includes(id) || record.hazard?.includes(id));
    const order = benchlore.hazards.bySeverity(book, kept);
    return order.map(({ id }) => ({ id, why: found.get(id) || "" }));
  }

  /** @type {(own: WriteFamily, step: WriteStepRead) => boolean} */
  function handlesPack(own, { verb, names, say }) {
    const moved = verb === "unplug" || verb === "plug" ? names : [];
    const all = moved.includes(benchlore.writeBook.everything) && own.sources.includes(PACK);
    return moved.includes(PACK) || all || PACKS.test(say);
  }

  /**
   * True where the device is opened for a step, as `technique_of_opening` of book/work.py has it.
   * @type {(own: WriteFamily, step: WriteStepRead) => boolean}
   */
  function opens(own, step) {
    const touches = ["remove", "fit", "replace", "reflow", "unplug", "plug", "clean"].includes(step.verb);
    const inside = touches && step.names.some((id) => own.parts[id] && !own.without.includes(id));
    return Boolean(own.opening) && (step.verb === "wash" || soldered(own, step).length > 0 || inside);
  }

  /**
   * The techniques of the skills that a step takes, of washing and of injecting.
   * @type {(own: WriteFamily, step: WriteStepRead) => string[]}
   */
  function techniquesOf(own, step) {
    const skills = soldered(own, step).map((id) => own.parts[id].skill);
    const { techniques } = benchlore.writeBook;
    return Object.keys(techniques).filter((id) => {
      const one = techniques[id];
      return (
        (step.verb === "wash" && one.wash) ||
        (step.verb === "inject" && one.inject) ||
        (one.skill && skills.includes(one.skill))
      );
    });
  }

  /** @param {string} words True where they name heat or what wets. */
  function hotOrWet(words) {
    return HOT.test(words) || WET.test(words);
  }

  benchlore.work = {
    readStep,
    stepsOf,
    fitted,
    walked,
    wets,
    hotOrWet,
    soldered,
    ofAdapter,
    sentence,
    hazards,
    asked,
  };
})();
