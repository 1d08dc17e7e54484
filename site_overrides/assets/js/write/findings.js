/*
 * What `benchlore check` would say of a record while it is typed, in words for people who know boards. Those of its
 * rules that need no circuit are worked out here as in tools/benchlore/rules; `KNOWN` names them. Each finding says
 * where, why, and what mends it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  const KNOWN = [
    ..."unknown-field missing-field wrong-type wrong-value malformed-quantity unknown-symptom".split(" "),
    ..."unknown-measurement unknown-outcome unknown-part unknown-hazard unknown-technique".split(" "),
    ..."unknown-revision unknown-operand step-not-one-action work-under-power".split(" "),
    ..."wet-at-heat-or-power fit-not-cause part-left-off action-without-step shares-not-one".split(" "),
    ..."repeated-measurement nothing-abnormal confirm-not-normal confirm-proves-nothing".split(" "),
    ..."example-not-stated example-without-unit example-not-readable example-misleads".split(" "),
    ..."fix-faster-than-part impossible-mode field-of-another-mode mode-beside-variants".split(" "),
    ..."cause-off-net then-not-mended contradicts-circuit repeats-prediction not-told-apart".split(" "),
    ..."placeholder-left link-not-https tag-in-text part-number-named person-named".split(" "),
    ..."hidden-character hazards-out-of-order file-misnamed".split(" "),
    // Of the text of a file: this page writes it.
    ..."file-unreadable file-too-large not-utf-8 empty-file not-yaml tab-in-indent".split(" "),
    ..."duplicate-key ambiguous-value remark-behind-value alias-in-record tag-on-value".split(" "),
    ..."nested-too-deep findings-left-out".split(" "),
  ];

  const CONVINCED = 0.5;
  const FORESEEN = 0.05;
  const SAME = 0.05;
  const NUMBER = "[-+]?(?:[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+)";
  const UNIT = "(?:[pnumkMG]?(?:V|A|ohm|F|H|Hz|s|W)|degC|mm|min|h|%)";
  const QUANTITY = new RegExp(
    "^(?:open|(?:under|over)\\s+N\\s*U|N\\s*U?\\s+to\\s+N\\s*U|N\\s*U(?:\\s+(?:\\+-\\s*)?N\\s*%)?)$"
      .replaceAll("N", NUMBER)
      .replaceAll("U", UNIT),
  );

  /**
   * Everything that is still missing or wrong, in the order of the form.
   * @param {WriteContext} context
   * @param {WriteDraft} draft
   * @param {WriteRecord} record as it would be written
   * @returns {WriteFinding[]}
   */
  function findings(context, draft, record) {
    /** @type {WriteFinding[]} */
    const found = [];
    /** @type {WriteSay} */
    const say = (kind, where, why, mend, rule) => {
      found.push({ kind, where, why, mend, rule });
    };
    const name = benchlore.record.nameTrouble(draft.name, context.own.taken, draft.before);
    if (name) say(draft.name ? "wrong" : "todo", ["name"], name.why, name.mend, "file-misnamed");
    form(record, say);
    if (record.moved_to || record.retired) return found;
    if (record.like) {
      say(
        "note",
        ["like"],
        "It takes from another record what it does not say, so this page cannot judge the whole.",
        "Run benchlore check when it is saved.",
        "unknown-like",
      );
      return found;
    }
    if (misshapen(record)) return found;
    texts(context, record, [], benchlore.writeForm, say);
    names(context, record, say);
    cause(context, record, say);
    reads(context, record, say);
    steps(context, record, say);
    proof(context, record, say);
    example(context, record, say);
    ranking(context, draft, record, found, say);
    const order = ["name", ...benchlore.sections.order()];
    const place = (/** @type {WriteFinding} */ one) => order.indexOf(String(one.where[0]));
    return found.sort((a, b) => place(a) - place(b));
  }

  /* The form: what the schema demands, in other words. */

  /**
   * What of a record is a list or holds fields where it must not, or the other way round: no form shows that. Its label,
   * or nothing.
   * @param {WriteRecord} record
   */
  function misshapen(record) {
    const found = benchlore.form.findings(benchlore.writeForm, record).find(({ keyword, demand, where }) => {
      if (keyword !== "type" && keyword !== "oneOf") return false;
      const value = benchlore.record.get(record, where);
      return typeof value === "object" || keyword === "oneOf" || /array|object/.test(String(demand));
    });
    return found ? benchlore.labels.label(found.where) : "";
  }

  /** @type {(record: WriteRecord, say: WriteSay) => void} */
  function form(record, say) {
    for (const one of benchlore.form.findings(benchlore.writeForm, record)) {
      const schema = benchlore.record.schemaAt(one.where);
      const what = benchlore.labels.hint(one.where, schema);
      const label = "\u201c" + benchlore.labels.label(one.where) + "\u201d";
      const [kind, why, mend, rule] = inWords(one, label, what);
      say(kind, one.where, why, mend, rule);
    }
  }

  /** What a number must be, and how it is written; nothing for other types. @param {string} demand */
  function ofType(demand) {
    if (demand.includes("integer")) return ["a whole number, in digits", "Write a whole number: 3."];
    if (demand.includes("number"))
      return ["a number, in digits", "Write it with a point, without a unit: 12.5."];
    return undefined;
  }

  /** @type {(one: FormFound, label: string, what: string) => ["todo" | "wrong", string, string, string]} */
  function inWords({ keyword, demand }, label, what) {
    if (keyword === "required") return ["todo", label + " is still empty.", what, "missing-field"];
    if (["minItems", "minProperties", "minLength"].includes(keyword))
      return ["todo", label + " is still empty.", what, "missing-field"];
    if (keyword === "additionalProperties")
      return ["wrong", label + " is no field of a fault pattern.", "Take it out.", "unknown-field"];
    if (keyword === "maxLength")
      return [
        "wrong",
        label + " is too long: at most " + demand + " characters.",
        "Shorten it.",
        "wrong-value",
      ];
    if (keyword === "type") {
      const [must, mend] = ofType(String(demand)) || ["filled in", what];
      return ["wrong", label + " must be " + must + ".", mend, "wrong-type"];
    }
    if (/imum$/i.test(keyword))
      return [
        "wrong",
        label +
          " must be " +
          {
            minimum: "at least ",
            maximum: "at most ",
            exclusiveMinimum: "more than ",
            exclusiveMaximum: "less than ",
          }[keyword] +
          demand +
          ".",
        "Check the number.",
        "wrong-value",
      ];
    if (keyword === "enum")
      return [
        "wrong",
        label + " is none of those that there are.",
        "Choose one of: " + demand.join(", ") + ".",
        "wrong-value",
      ];
    if (keyword === "uniqueItems")
      return ["wrong", label + " has an entry twice.", "Take one out.", "wrong-value"];
    return ["wrong", label + " is not in the form that it must have.", what, "wrong-value"];
  }

  /* Texts. */

  const PLACEHOLDER = /\b(?:TODO|FIXME|TBD|XXX)\b|\?\?\?|\bto be done\b/i;
  const TAG = /<\/?[a-zA-Z][^<>]*>|<!--/;
  const LINK = /\]\(\s*<?(?!https:\/\/)([a-z][a-z0-9+.-]*:|[/\\#?])/i;
  const PART_NUMBER = /\b[A-Z]{2,}[0-9]{3,}[A-Z0-9]*\b/;
  const HIDDEN = /[\p{Cc}\p{Cf}\p{Cs}\p{Co}\u2028\u2029]/u;

  /**
   * Every text of the record, also within lists.
   * @type {(context: WriteContext, value: any, where: WriteStep[], schema: FormSchema, say: WriteSay) => void}
   */
  function texts(context, value, where, schema, say) {
    if (typeof value === "string") {
      const own = benchlore.record.branch(schema);
      if (own.format === "quantity" && !isQuantity(value))
        say(
          "wrong",
          where,
          "\u201c" + value + "\u201d is no value with its unit.",
          "Write a number, a blank and a unit: " + (benchlore.labels.example(schema) || "2.2 kohm") + ".",
          "malformed-quantity",
        );
      text(context, value, where, say);
    } else if (Array.isArray(value))
      value.forEach((one, n) =>
        texts(context, one, [...where, n], benchlore.record.schemaAt([...where, n]), say),
      );
    else if (value && typeof value === "object")
      for (const [key, one] of Object.entries(value))
        texts(context, one, [...where, key], benchlore.record.schemaAt([...where, key]), say);
  }

  /** @param {string} value */
  function isQuantity(value) {
    const clean = value
      .trim()
      .replaceAll("\u00b0C", "degC")
      .replaceAll("\u00b1", "+-")
      .replace(/[\u03a9\u2126]/g, "ohm")
      .replace(/[\u00b5\u03bc]/g, "u");
    return QUANTITY.test(clean);
  }

  /** @type {(context: WriteContext, value: string, where: WriteStep[], say: WriteSay) => void} */
  function text({ family, own }, value, where, say) {
    /** @type {(why: string, mend: string, rule: string) => void} */
    const note = (why, mend, rule) => say("note", where, why, mend, rule);
    let found = PLACEHOLDER.exec(value);
    if (found)
      say(
        "todo",
        where,
        "\u201c" + found[0] + "\u201d still waits to be written.",
        "Write it, or empty the field.",
        "placeholder-left",
      );
    if (TAG.test(value))
      note(
        "What stands in < > is shown as it is typed.",
        "Take it out. *Stars* make a word stand out.",
        "tag-in-text",
      );
    if (LINK.test(value))
      note(
        "A link leads to a page that begins with https.",
        "Write the address with https://.",
        "link-not-https",
      );
    const person = benchlore.personal.find(value);
    if (person)
      note(
        "\u201c" +
          person.text +
          "\u201d looks like " +
          person.looksLike +
          ": it may tell whose device it was.",
        "Take it out; say how it came about, never who did it.",
        "person-named",
      );
    found = PART_NUMBER.exec(value);
    if (found && !own.parts[found[0]] && !family.nets[found[0]] && !family.test_points[found[0]])
      note(
        "\u201c" + found[0] + "\u201d looks like a maker\u2019s part number.",
        "Say what it is, so that any maker\u2019s part fits: buck controller, QFN-28.",
        "part-number-named",
      );
    if (HIDDEN.test(value))
      say(
        "wrong",
        where,
        "Signs stand in this text that nobody sees; they came with a copied text.",
        "Empty the field and type it by hand.",
        "hidden-character",
      );
  }

  /* Names: of a record that was opened, or written before the family changed. */

  /** @type {(context: WriteContext, record: WriteRecord, say: WriteSay) => void} */
  function names({ book, family, own }, record, say) {
    /**
     * @param {WriteStep[]} where
     * @param {unknown} name
     * @param {(name: string) => unknown} known
     * @param {string} what
     * @param {string} rule
     */
    const has = (where, name, known, what, rule) => {
      if (typeof name !== "string" || !name || known(name)) return;
      const why = "\u201c" + name + "\u201d is no " + what + " of " + family.title + ".";
      say("wrong", where, why, "Choose another one from the list.", rule);
    };
    const measured = (/** @type {string} */ id) => Object.hasOwn(family.measurements, id);
    const part = (/** @type {string} */ id) => Object.hasOwn(own.parts, id);
    for (const id of Object.keys(record.symptom || {}))
      has(["symptom", id], id, (one) => book.symptoms[one], "symptom", "unknown-symptom");
    (record.revisions || []).forEach((/** @type {string} */ id, /** @type {number} */ n) =>
      has(["revisions", n], id, (one) => family.revisions[one], "revision", "unknown-revision"),
    );
    has(["cause", "part"], record.cause?.part, part, "part", "unknown-part");
    (record.cause?.then || []).forEach((/** @type {any} */ one, /** @type {number} */ n) =>
      has(["cause", "then", n, "part"], one?.part, part, "part", "unknown-part"),
    );
    (record.test_points || []).forEach((/** @type {any} */ one, /** @type {number} */ n) => {
      const at = /** @type {WriteStep[]} */ (["test_points", n]);
      has([...at, "measure"], one?.measure, measured, "measurement", "unknown-measurement");
      const outcomes = measured(one?.measure) ? outcomeIds(family, one.measure) : null;
      const reads = one?.expected_reading;
      for (const id of typeof reads === "string" ? [reads] : Object.keys(reads || {}))
        if (outcomes)
          has([...at, "expected_reading"], id, (o) => outcomes.includes(o), "outcome", "unknown-outcome");
    });
    (record.reads_normal || []).forEach((/** @type {string} */ id, /** @type {number} */ n) =>
      has(["reads_normal", n], id, measured, "measurement", "unknown-measurement"),
    );
    for (const [id, outcome] of Object.entries(record.fix?.confirm || {})) {
      has(["fix", "confirm", id], id, measured, "measurement", "unknown-measurement");
      if (measured(id))
        has(
          ["fix", "confirm", id],
          outcome,
          (o) => outcomeIds(family, id).includes(o),
          "outcome",
          "unknown-outcome",
        );
    }
    for (const id of Object.keys(record.worked_example || {}))
      has(["worked_example", id], id, measured, "measurement", "unknown-measurement");
    (record.hazard || []).forEach((/** @type {string} */ id, /** @type {number} */ n) =>
      has(["hazard", n], id, (one) => book.hazards[one], "hazard", "unknown-hazard"),
    );
    (record.techniques || []).forEach((/** @type {string} */ id, /** @type {number} */ n) =>
      has(
        ["techniques", n],
        id,
        (one) => benchlore.writeBook.techniques[one],
        "technique",
        "unknown-technique",
      ),
    );
    const order = benchlore.hazards.bySeverity(book, record.hazard || []).map((one) => one.id);
    const known = (record.hazard || []).filter((/** @type {string} */ id) => book.hazards[id]);
    if (order.join() !== known.join())
      say(
        "note",
        ["hazard"],
        "The gravest hazard comes first.",
        "In this order: " + order.join(", ") + ".",
        "hazards-out-of-order",
      );
  }

  /** @type {(family: BenchFamily, measure: string) => string[]} */
  function outcomeIds(family, measure) {
    return Object.values(family.measurements[measure].outcomes).map((one) => one.id);
  }

  /* The cause. */

  /** @type {(context: WriteContext, record: WriteRecord, say: WriteSay) => void} */
  function cause({ own }, record, say) {
    const one = record.cause;
    if (!one) return;
    failure(own, one, one.part, ["cause"], say);
    (one.variants || []).forEach((/** @type {any} */ variant, /** @type {number} */ n) =>
      failure(own, variant || {}, variant?.part || one.part, ["cause", "variants", n], say),
    );
    const taken = benchlore.work.fitted(record).map((use) => use.part);
    for (const { more, where } of takenAlong(one)) {
      failure(own, more || {}, more?.part, where, say);
      if (more?.part && !taken.includes(more.part))
        say(
          "wrong",
          where,
          more.part + " goes with it, and no step of the fix replaces it: the board stays dead.",
          "Add a step that replaces " + more.part + ".",
          "then-not-mended",
        );
    }
    if (one.variants?.length) {
      sharesOne(
        one.variants.map((/** @type {any} */ v) => v?.share || 0),
        ["cause", "variants"],
        say,
      );
      for (const name of ["mode", "ohms", "volts", "share_of_time"])
        if (one[name] !== undefined)
          say(
            "wrong",
            ["cause", name],
            "It stands here and in the several ways below: only one can be meant.",
            "Empty it here.",
            "mode-beside-variants",
          );
    }
  }

  /**
   * What a cause takes along, whichever way it fails, with its place.
   * @type {(one: any) => {more: any, where: WriteStep[]}[]}
   */
  function takenAlong(one) {
    /** @type {WriteStep[][]} */
    const holders = [
      ["cause"],
      ...(one?.variants || []).map((/** @type {any} */ _, /** @type {number} */ n) => [
        "cause",
        "variants",
        n,
      ]),
    ];
    return holders.flatMap((where) =>
      (benchlore.record.get({ cause: one }, where)?.then || []).map(
        (/** @type {any} */ more, /** @type {number} */ n) => ({ more, where: [...where, "then", n] }),
      ),
    );
  }

  /** @type {(own: WriteFamily, one: any, id: string, where: WriteStep[], say: WriteSay) => void} */
  function failure(own, one, id, where, say) {
    const part = own.parts[id];
    const { modes, kinds } = benchlore.writeBook;
    const mode = modes[one.mode];
    if (!part || !mode) return;
    const kind = kinds[part.kind];
    if (!kind.modes.includes(one.mode))
      say(
        "wrong",
        [...where, "mode"],
        "A " + kind.label + " never fails like this: " + mode.label + ".",
        "It is " + kind.modes.map((name) => modes[name].label).join(", or ") + ".",
        "impossible-mode",
      );
    for (const name of ["ohms", "volts", "to", "share_of_time"])
      if (one[name] !== undefined && !mode.says.includes(name))
        say(
          "wrong",
          [...where, name],
          "It says nothing of a part that is " + mode.label + ".",
          "Empty the field.",
          "field-of-another-mode",
        );
    for (const name of ["at", "to"])
      if (one[name] && part.nets.length && !part.nets.includes(one[name]))
        say(
          "wrong",
          [...where, name],
          id + " is not on " + one[name] + ".",
          "It sits on " + part.nets.join(", ") + ".",
          "cause-off-net",
        );
  }

  /** @type {(shares: readonly number[], where: WriteStep[], say: WriteSay) => void} */
  function sharesOne(shares, where, say) {
    const total = shares.reduce((sum, share) => sum + share, 0);
    if (Math.abs(total - 1) > 1e-6)
      say(
        "wrong",
        where,
        "The shares come to " + percent(total) + ", not to 100\u00a0%.",
        "Change one of them.",
        "shares-not-one",
      );
  }

  /** @param {number} share */
  function percent(share) {
    return Number((share * 100).toPrecision(4)) + "\u00a0%";
  }

  /* What it reads. */

  /** @type {(context: WriteContext, record: WriteRecord, say: WriteSay) => void} */
  function reads({ family, own }, record, say) {
    const foretold = benchlore.circuit.foretold(own, record.cause);
    /** @type {string[]} */
    const seen = [];
    (record.test_points || []).forEach((/** @type {any} */ point, /** @type {number} */ n) => {
      const at = /** @type {WriteStep[]} */ (["test_points", n]);
      const measurement = family.measurements[point?.measure];
      if (!measurement) return;
      if (seen.includes(point.measure))
        say(
          "wrong",
          at,
          "This measurement stands twice.",
          "Take one out; if it can read several things, press each of them in one.",
          "repeated-measurement",
        );
      seen.push(point.measure);
      const stated = benchlore.circuit.stated(own, { test_points: [point] }, point.measure);
      const known = outcomeIds(family, point.measure);
      if (!stated || !Object.keys(stated).every((id) => known.includes(id))) return;
      if (typeof point.expected_reading === "object")
        sharesOne(Object.values(stated).map(Number), [...at, "expected_reading"], say);
      const row = foretold?.rows[point.measure];
      if (!row || foretold?.about) return;
      const unforeseen = Object.entries(stated).reduce(
        (sum, [id, share]) => sum + ((row[id] || 0) < FORESEEN ? Number(share) : 0),
        0,
      );
      const apart = known.reduce((sum, id) => sum + Math.abs((stated[id] || 0) - (row[id] || 0)), 0) / 2;
      if (unforeseen > 0.5)
        say(
          "wrong",
          [...at, "expected_reading"],
          "By the circuit it reads " + benchlore.circuit.said(family, point.measure, row) + ".",
          "Correct the reading, or how the part has failed. Did you really read it so? Then say so in a " +
            "waiver (further down), with the reason.",
          "contradicts-circuit",
        );
      else if (!point.note && apart < SAME)
        say(
          "note",
          at,
          "The circuit says the same already.",
          "Take it out, or say in the note why it reads so.",
          "repeats-prediction",
        );
    });
    const all = benchlore.circuit.reads(own, record);
    const odd = Object.entries(all).some(
      ([id, row]) => family.measurements[id] && benchlore.circuit.oddness(family, id, row) > 0,
    );
    if (record.cause?.part && !odd)
      say(
        foretold ? "wrong" : "todo",
        ["test_points"],
        "Nothing reads otherwise than on a healthy board yet.",
        "Say how the part has failed, or add a measurement that this fault disturbs.",
        "nothing-abnormal",
      );
  }

  /* The fix. */

  /** @type {(context: WriteContext, record: WriteRecord, say: WriteSay) => void} */
  function steps(context, record, say) {
    const { own, family } = context;
    if (!record.fix?.steps) return;
    const { verbs, everything, actions } = benchlore.writeBook;
    const { steps: walk, end } = benchlore.work.walked(context, record);
    const ways = (record.cause?.variants || []).map((/** @type {any} */ one) => one?.part);
    const blamed = [
      record.cause?.part,
      ...ways.filter(Boolean),
      ...takenAlong(record.cause).map(({ more }) => more?.part),
    ];
    const sound = blamed.every((id) => own.parts[id]); // a part that is not there may be the one
    let wet = -1;
    walk.forEach(({ step, before }, n) => {
      const at = /** @type {WriteStep[]} */ (["fix", "steps", n]);
      /** @type {(why: string, mend: string, rule: string) => void} */
      const wrong = (why, mend, rule) => say("wrong", at, why, mend, rule);
      const { verb, uses, raw, verbs: all } = step;
      if (all.length > 1)
        wrong("Two things are done in one step.", "Make a step of each.", "step-not-one-action");
      if (!verb && !step.say && Object.keys(raw).length)
        say(
          "todo",
          at,
          "The step does nothing yet.",
          "Choose what is done, or write it.",
          "step-not-one-action",
        );
      for (const name of Object.keys(raw))
        if (
          verb &&
          !["say", "if", verb].includes(name) &&
          !all.includes(name) &&
          !verbs[verb].takes.includes(name)
        )
          wrong(
            "\u201c" + benchlore.labels.label([name]) + "\u201d does not belong to this step.",
            "Take it out.",
            "step-not-one-action",
          );
      const live = before.sources.join(" and ");
      const what = withoutPower(family, step);
      if (what && live)
        wrong(
          capital(what) + " with power still in (" + live + "): it can burn you, the part or the meter.",
          "Put the steps \u201cUnplug everything\u201d and \u201cDischarge 10 s\u201d before it.",
          "work-under-power",
        );
      else if (what && before.charged && !benchlore.work.ofAdapter(own, step))
        wrong(
          capital(what) + " on a board that still holds charge.",
          "Put the step \u201cDischarge 10 s\u201d before it.",
          "work-under-power",
        );
      if (benchlore.work.wets(step)) {
        wet = n;
        if (live)
          wrong(
            "It is made wet with power still in (" + live + ").",
            "Put \u201cUnplug everything\u201d before it.",
            "wet-at-heat-or-power",
          );
      }
      const heats = benchlore.work.soldered(own, step).length || ["plug", "try"].includes(verb);
      if (before.wet && heats)
        wrong(
          "The board is still wet here.",
          "Put the step \u201cLet it dry 5 min\u201d before it.",
          "wet-at-heat-or-power",
        );
      if (verb === "inject" && (!raw.limit || !raw.up_to))
        wrong(
          "Current is injected without a limit.",
          "Fill in the current limit, such as 1 A, and the highest voltage: at most the rail\u2019s own.",
          "unsafe-injection-step",
        );
      const isUse = verb === "fit" || verb === "replace";
      const known = benchlore.options.places(context, verb);
      uses.forEach((use) => {
        const id = use.part;
        if (known && id && !known.includes(id))
          wrong(
            "\u201c" + id + "\u201d is nothing that this can be done to.",
            verb === "unplug" || verb === "plug"
              ? "Choose " + everything + ", a source, or a part that unplugs."
              : "Choose from the list.",
            "unknown-operand",
          );
        if (isUse && id && own.parts[id] && sound && !blamed.includes(id) && !step.say && !raw.if)
          wrong(
            id + " is not at fault: the cause is " + blamed.filter(Boolean).join(", ") + ".",
            "Choose the part at fault, or say in words why this one goes, too.",
            "fit-not-cause",
          );
        if (verb === "fit" && id && own.parts[id] && !before.off.includes(id))
          wrong(
            id + " is put on, and no step has taken it off.",
            "Choose \u201cReplace\u201d, or add a step before that takes it off.",
            "part-left-off",
          );
        if (verb === "remove" && end.off.includes(id) && record.fix.action !== "remove")
          wrong(
            id + " is taken off and never put on again.",
            "Add the step \u201cFit " + id + "\u201d after it.",
            "part-left-off",
          );
        if (verb === "program" && before.off.includes(id))
          wrong(id + " is programmed while it is off the board.", "Fit it first.", "part-left-off");
      });
    });
    if (end.wet && wet >= 0)
      say(
        "wrong",
        ["fix", "steps", wet],
        "The board is never dried, and the proof puts power on it.",
        "Add the step \u201cLet it dry 5 min\u201d, or as long as it takes.",
        "wet-at-heat-or-power",
      );
    const { action, minutes } = record.fix;
    const actors = Object.keys(verbs).filter((verb) => verbs[verb].action === action);
    const done = benchlore.work.stepsOf(record).flatMap((step) => step.verbs);
    if (action && actors.length && !done.some((verb) => actors.includes(verb)))
      say(
        "wrong",
        ["fix", "action"],
        "The fix is to " + String(actions[action]).toLowerCase() + ", and no step does that.",
        "Add such a step, or choose another fix.",
        "action-without-step",
      );
    const slow = benchlore.work
      .fitted(record)
      .flatMap((use) => (own.parts[use.part] ? [{ id: use.part, minutes: own.parts[use.part].minutes }] : []))
      .sort((a, b) => b.minutes - a.minutes)[0];
    if (slow && typeof minutes === "number" && minutes < slow.minutes)
      say(
        "note",
        ["fix", "minutes"],
        "Replacing " + slow.id + " alone takes " + slow.minutes + " minutes.",
        "Write at least " + slow.minutes + ".",
        "fix-faster-than-part",
      );
  }

  /**
   * What of a step is done without power and charge; empty where nothing is.
   * @type {(family: BenchFamily, step: WriteStepRead) => string}
   */
  function withoutPower(family, { verb, names: held }) {
    if (verb && benchlore.writeBook.verbs[verb].handles) return "this is done";
    for (const id of verb === "measure" ? held : []) {
      const m = family.measurements[id];
      const power = m && benchlore.vocabulary.functions[m.mode]?.power;
      if (m && (power === "off" || m.inject)) return "this is measured";
    }
    return "";
  }

  /** @param {string} text */
  function capital(text) {
    return text.slice(0, 1).toUpperCase() + text.slice(1);
  }

  /* The proof and the real case. */

  /** @type {(context: WriteContext, record: WriteRecord, say: WriteSay) => void} */
  function proof({ family, own }, record, say) {
    const confirmed = Object.entries(record.fix?.confirm || {});
    const before = benchlore.circuit.reads(own, record);
    let changes = false;
    for (const [id, outcome] of confirmed) {
      const measurement = family.measurements[id];
      const found = measurement && Object.values(measurement.outcomes).find((one) => one.id === outcome);
      if (found && !found.normal)
        say(
          "wrong",
          ["fix", "confirm", id],
          "That is not what a healthy board reads, so it proves no fix.",
          "Press an outcome that is marked healthy.",
          "confirm-not-normal",
        );
      if (((before[id] || { [outcome]: 1 })[outcome] || 0) < 0.5) changes = true;
    }
    if (confirmed.length && !changes)
      say(
        "wrong",
        ["fix", "confirm"],
        "The proof reads the same before the fix, as far as is known.",
        "Prove it by a measurement that reads wrong with the fault.",
        "confirm-proves-nothing",
      );
  }

  const BARE = /^([-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+))\s*(.*)$/;

  /** @type {(context: WriteContext, record: WriteRecord, say: WriteSay) => void} */
  function example({ book, family, own }, record, say) {
    const meter = book.meters[book.shop.default_meter];
    const known = benchlore.circuit.reads(own, record);
    for (const [id, typed] of Object.entries(record.worked_example || {})) {
      const measurement = family.measurements[id];
      const where = ["worked_example", id];
      if (!measurement || !meter) continue;
      /** @type {(why: string, mend: string, rule: string) => void} */
      const wrong = (why, mend, rule) => say("wrong", where, why, mend, rule);
      /** @type {(why: string, mend: string, rule: string) => void} */
      const note = (why, mend, rule) => say("note", where, why, mend, rule);
      if (!known[id])
        wrong(
          "Nothing says yet what this fault reads there.",
          "Add the measurement above, under what you read, or take the reading out here.",
          "example-not-stated",
        );
      if (measurement.links.unit === null) {
        if (typed && !outcomeIds(family, id).includes(String(typed)))
          wrong(
            "\u201c" + typed + "\u201d is no outcome of this measurement.",
            "Choose another one from the list.",
            "unknown-outcome",
          );
        continue;
      }
      if (!String(typed).trim()) continue;
      const found = benchlore.reading.read(measurement, meter, String(typed));
      if (benchlore.reading.refused(found)) {
        const choices = found.choices?.length ? " It may be " + found.choices.join(" or ") + "." : "";
        wrong(
          capital(found.reason) + "." + choices,
          capital(found.mend || "Type what the meter showed") + ".",
          "example-not-readable",
        );
        continue;
      }
      const { unit } = measurement.links;
      const bare = unit && BARE.exec(String(typed).trim());
      if (bare && /^[pnumkMG]?$/.test(bare[2]))
        note(
          "It has no unit.",
          "Write " + bare[1].replace(",", ".") + " " + bare[2] + unit + ".",
          "example-without-unit",
        );
      else if (bare?.[1].includes(","))
        note(
          "It has a comma; the book writes a point.",
          "Write " + bare[1].replace(",", ".") + " " + bare[2] + ".",
          "example-without-unit",
        );
    }
  }

  /* Against the other faults. */

  /**
   * @param {WriteContext} context
   * @param {WriteDraft} draft
   * @param {WriteRecord} record
   * @param {readonly WriteFinding[]} found so far
   * @param {WriteSay} say
   */
  function ranking(context, draft, record, found, say) {
    const spoilt = found.some(
      (one) => ["cause", "test_points"].includes(String(one.where[0])) && one.kind === "wrong",
    );
    const more = benchlore.effect.faultOf(context, draft.name, record);
    if (!more || spoilt || !record.worked_example) return;
    if (found.some((one) => one.rule === "example-not-readable" || one.rule === "example-not-stated")) return;
    const { after, family } = benchlore.effect.effect(context, more, record);
    const { ranking: ranked, one } = after[1];
    const own = ranked.find((row) => row.id === more.fault.id);
    const rival = ranked.find((row) => row.id !== more.fault.id);
    if (own && rival && (own.p <= CONVINCED || own.p < rival.p))
      say(
        "wrong",
        ["worked_example"],
        "By these readings this fault is " +
          percent(Math.round(own.p * 100) / 100) +
          " likely, and \u201c" +
          (family.faults[rival.id]?.title || "something else") +
          "\u201d " +
          percent(Math.round(rival.p * 100) / 100) +
          ".",
        "Add the reading that tells it from that one.",
        "example-misleads",
      );
    for (const id of benchlore.effect.alike(one, more, record).slice(0, 3))
      say(
        "wrong",
        ["test_points"],
        "No measurement tells it from \u201c" + family.faults[id].title + "\u201d.",
        "Add one that reads otherwise with that fault.",
        "not-told-apart",
      );
  }

  benchlore.findings = { KNOWN, findings, misshapen };
})();
