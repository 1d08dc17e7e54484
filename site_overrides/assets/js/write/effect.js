/*
 * How rankings change with one fault more, by the bench's own arithmetic: among the recorded faults and something else,
 * as `diagnosis/hypotheses.py` has them without suspects.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));

  const DIGITS = 1e9;
  /** Two faults are told apart by a measurement that reads differently on at least this share of their boards. */
  const APART = 0.5;

  /**
   * The family with the recorded faults alone, and with one of them new or in another form.
   * @type {(context: WriteContext, more: WriteFault | null) => BenchFamily}
   */
  function familyWith(context, more) {
    const { family } = context;
    const faults = more ? { ...family.faults, [more.fault.id]: more.fault } : family.faults;
    /** @type {Record<string, BenchHypotheses>} */
    const hypotheses = {};
    for (const [revision, known] of Object.entries(family.hypotheses))
      if (known) hypotheses[revision] = hypothesesWith(context, known, more, revision);
    return { ...family, suspects: {}, faults, hypotheses };
  }

  /**
   * @param {WriteContext} context
   * @param {BenchHypotheses} known
   * @param {WriteFault | null} more
   * @param {string} revision
   * @returns {BenchHypotheses}
   */
  function hypothesesWith({ book, family, own }, known, more, revision) {
    const old = known.names.slice(0, known.recorded);
    const has = more && (!revision || !more.revisions.length || more.revisions.includes(revision));
    const names = has
      ? [...old.filter((id) => id !== more.fault.id), more.fault.id].sort((a, b) => (a < b ? -1 : 1))
      : old;
    const isNew = (/** @type {string} */ id) => has && id === more.fault.id;
    const base = priors(names.map((id) => (has && id === more.fault.id ? more.seen : own.seen[id] || 0)));
    const last = base[base.length - 1];
    /** @type {Record<string, BenchRows>} */
    const reads = {};
    for (const [measure, found] of Object.entries(known.reads)) {
      if (!found) continue;
      const said = names.map((id) => {
        if (has && isNew(id)) return rowOf(family, measure, more.rows[measure]);
        const place = old.indexOf(id);
        return found.says.includes(place) ? found.rows[found.of[place]] : null;
      });
      const silent = silentRow(family.measurements[measure], said, base);
      reads[measure] = {
        rows: said.map((row) => row || silent),
        of: said.map((_, n) => n),
        ways: [],
        says: said.flatMap((row, n) => (row ? [n] : [])),
        stray: 1,
      };
    }
    const { not_listed: any, always } = benchlore.writeBook.constants;
    /** @type {Record<string, number[]>} */
    const shows = {};
    const mass = 1 - last;
    /** @type {Record<string, number[]>} */
    const mends = {};
    for (const [i, mended] of Object.entries(known.mends)) {
      const faults = (mended || []).map((h) => names.indexOf(known.names[h])).filter((h) => h >= 0);
      const at = names.indexOf(known.names[Number(i)]);
      if (at >= 0 && faults.length > 1) mends[at] = faults.sort((a, b) => a - b);
    }
    const says = names.map((id) => (has && isNew(id) ? more.fault : family.faults[id]).symptom);
    const rare = any / Math.max(new Set(says.flatMap(Object.keys)).size, 1);
    for (const symptom of Object.keys(book.symptoms)) {
      const shown = says.map((said) => (said[symptom] && always[said[symptom]]) || rare);
      const mean = mass > 0 ? shown.reduce((sum, s, n) => sum + base[n] * s, 0) / mass : rare;
      shows[symptom] = [...shown, mean];
    }
    return {
      names,
      recorded: names.length,
      prior: base,
      shows,
      // What a record has of ways of failing, only the circuit can tell apart.
      split: [],
      reads,
      minutes: names.map((id) =>
        has && isNew(id)
          ? benchlore.cases.fixMinutes(book, family, more.fault)
          : known.minutes[old.indexOf(id)],
      ),
      hot: names.map((id) => (has && isNew(id) ? more.hot : known.hot[old.indexOf(id)])),
      // What else the new fix mends, and what mends the new fault, the build finds out.
      mends,
    };
  }

  /**
   * As `priors` of diagnosis/hypotheses.py.
   * @param {readonly number[]} seen
   */
  function priors(seen) {
    const { least_unknown: least, most_unknown: most } = benchlore.writeBook.constants;
    const jobs = seen.reduce((sum, count) => sum + count, 0);
    const once = seen.filter((count) => count === 1).length;
    const unknown = jobs ? Math.min(Math.max(once / jobs, least), most) : most;
    if (!seen.length) return [1];
    const whole = jobs + seen.length / 2;
    return [...seen.map((count) => ((1 - unknown) * (count + 0.5)) / whole), unknown];
  }

  /** @type {(family: BenchFamily, measure: string, shares: WriteRow | undefined) => number[] | null} */
  function rowOf(family, measure, shares) {
    const outcomes = Object.values(family.measurements[measure].outcomes);
    const row = outcomes.map(({ id }) => shares?.[id] || 0);
    const total = row.reduce((sum, share) => sum + share, 0);
    return total > 0 ? row.map((share) => rounded(share / total)) : null;
  }

  /**
   * What a fault reads of which nothing is told: the mixture of all, of which those that say nothing either read mostly
   * healthy, as `_silent` of tools/benchlore/diagnosis/hypotheses.py has it.
   * @param {BenchMeasurement} measurement
   * @param {readonly (readonly number[] | null)[]} said
   * @param {readonly number[]} base
   */
  function silentRow(measurement, said, base) {
    const { quiet } = benchlore.writeBook.constants;
    const outcomes = Object.values(measurement.outcomes);
    const normal = outcomes.filter((one) => one.normal).length;
    const whole = 1 - base[base.length - 1];
    const share = said.map((row, n) => (row && whole > 0 ? base[n] / whole : 0));
    const rest = 1 - share.reduce((sum, one) => sum + one, 0);
    return outcomes.map((one, o) => {
      const other = normal
        ? (one.normal ? quiet / normal : 0) + (1 - quiet) / outcomes.length
        : 1 / outcomes.length;
      return rounded(said.reduce((all, row, n) => all + (row ? share[n] * row[o] : 0), rest * other));
    });
  }

  /** @param {number} value */
  function rounded(value) {
    return Math.round(value * DIGITS) / DIGITS;
  }

  /**
   * A record that is written as a fault of the bench; null while it says too little.
   * @type {(context: WriteContext, name: string, record: WriteRecord) => WriteFault | null}
   */
  function faultOf(context, name, record) {
    const { family, own } = context;
    const confirm = Object.fromEntries(
      Object.entries(record.fix?.confirm || {}).filter(([id]) => family.measurements[id]),
    );
    if (!record.cause?.part || !record.symptom || !record.fix?.action) return null;
    const parts = benchlore.work.fitted(record).filter((use) => own.parts[use.part]);
    const skill = skillOf(own, record, parts);
    const { actions, risk } = benchlore.writeBook;
    const { action, minutes } = record.fix;
    const share = risk[action] ?? risk[skill] ?? 0;
    const hazards = benchlore.work.hazards(context, record).map(({ id }) => id);
    const fault = /** @type {BenchFault} */ (
      /** @type {unknown} */ ({
        id: own.id + "/" + (name || "new"),
        title: record.title || "This fault",
        symptom: record.symptom,
        cause: { part: record.cause.part, says: "", html: { how: "" } },
        fix: {
          minutes: typeof minutes === "number" ? minutes : 0,
          confirm,
          words: { action: actions[action] || action },
          html: { steps: [] },
          hazards: [],
          parts: parts.map((use) => ({ part: use.part, donor: null, words: { value: null } })),
        },
        html: { summary: "" },
        page: "",
        test_points: [],
        links: {
          outside: "",
          risk: (share / 100) * context.book.shop.escalate.minutes,
          // Which rail is made of one that is injected, only the circuit says.
          checks: [],
          hazards,
          techniques: [],
        },
      })
    );
    return {
      fault,
      seen: typeof record.seen === "number" ? record.seen : 0,
      revisions: record.revisions || [],
      rows: benchlore.circuit.reads(own, record),
      hot: skill !== "none",
    };
  }

  /** @type {(own: WriteFamily, record: WriteRecord, parts: readonly WriteRecord[]) => string} */
  function skillOf(own, record, parts) {
    const { hot, skills } = benchlore.writeBook;
    if (!hot.includes(record.fix.action)) return "none";
    const order = Object.keys(skills);
    const names = parts.length ? parts.map((use) => use.part) : [record.cause.part];
    const found = names.flatMap((id) => (own.parts[id] ? [own.parts[id].skill] : []));
    return found.sort((a, b) => order.indexOf(b) - order.indexOf(a))[0] || "iron";
  }

  /**
   * Where the fault stands: before any reading, and after those of the worked example, without the record and with it.
   * @type {(context: WriteContext, more: WriteFault, record: WriteRecord) => WriteEffect}
   */
  function effect(context, more, record) {
    const meter = context.book.shop.default_meter;
    const families = [familyWith(context, null), familyWith(context, more)];
    const seen = Object.entries(record.symptom)
      .filter(([, often]) => often !== "sometimes")
      .map(([id]) => id);
    const symptoms = seen.length ? seen : Object.keys(record.symptom);
    const entries = Object.entries(record.worked_example || {}).map(([measure, text]) => ({
      kind: "reading",
      measure,
      meter,
      text: String(text),
      at: "",
    }));
    const [before, after] = [[], entries].map((taken) =>
      families.map((family) => {
        const job = /** @type {BenchJob} */ (
          /** @type {unknown} */ ({
            family: family.id,
            revision: more.revisions[0] || "",
            symptoms,
            meter,
            label: "",
            entries: taken,
          })
        );
        return benchlore.assess.assess(context.book, family, job);
      }),
    );
    return { symptoms, before, after, family: families[1] };
  }

  /**
   * The faults that share a symptom with the new one and are told from it by no measurement that is known of both.
   * @type {(one: BenchCase, more: WriteFault, record: WriteRecord) => string[]}
   */
  function alike(one, more, record) {
    const { bench, family } = one;
    const place = one.faults.indexOf(more.fault.id);
    const reads = /** @type {BenchHypotheses} */ (family.hypotheses[one.revision] || family.hypotheses[""])
      .reads;
    return one.faults.filter((id, other) => {
      const fault = family.faults[id];
      const shared = Object.keys(fault.symptom).some((symptom) => symptom in more.fault.symptom);
      const sameFix =
        fault.cause.part === record.cause.part && fault.fix.words.action === more.fault.fix.words.action;
      if (other === place || !shared || sameFix) return false;
      return !bench.measures.some((measure, m) => {
        const says = reads[measure]?.says || [];
        if (!says.includes(place) || !says.includes(other)) return false;
        const apart = bench.tables[m].reduce((sum, row) => sum + Math.abs(row[place] - row[other]), 0) / 2;
        return apart >= APART;
      });
    });
  }

  benchlore.effect = { familyWith, faultOf, effect, alike };
})();
