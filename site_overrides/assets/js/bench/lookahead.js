/*
 * Look ahead over measurements, fixes and escalation, as in tools/benchlore/diagnosis/lookahead.py, which says why.
 * Weights are joint, P(hypothesis, what has been seen), not normalised.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** Actions ahead. */
  const DEPTH = 2;
  const BEAM = 5;
  const WIDE = 8;
  const ALIKE = 0.9;
  const TELLS = 1e-9;
  /** Probability below which a fault is no longer told from one that is not in the book. */
  const UNLIKELY = 1e-4;
  const GAIN = 1e-9;
  const NEVER = 1e300;
  const KINDS = ["measure", "fix", "escalate"];

  /**
   * A bench with what every step looks up, and the memory that the steps work in: a page asks some thousand times
   * between a press of Enter and its answer, so nothing is allocated on the way.
   * @param {BenchPlanBase} bench
   * @param {readonly number[]} [before] the weights before any reading: a guarded fix is not tried unless its fault has
   *   gained on something else since then
   * @returns {BenchLook}
   */
  function lookAt(bench, before) {
    const { fixMinutes, escalate, guarded, extra, mends } = bench;
    const faults = fixMinutes.length;
    const begins = before ? benchlore.cases.foldedInto(bench, before, new Float64Array(faults + 1)) : null;
    const guards = Float64Array.from(fixMinutes, (_, i) =>
      begins && guarded[i] ? begins[i] / begins[faults] : 0,
    );
    const floors = [...fixMinutes, escalate].map((minutes) => Math.min(minutes, escalate));
    mends.forEach((mended, i) => {
      for (const h of mended) floors[h] = Math.min(floors[h], fixMinutes[i]);
    });
    return {
      bench,
      wide: widest(bench),
      inverse: Float64Array.from(fixMinutes, (minutes) => 1 / minutes),
      floors: Float64Array.from([...floors.slice(0, -1), ...extra.map((h) => floors[h]), escalate]),
      hopeless: Float64Array.from(fixMinutes, (minutes) =>
        minutes < escalate ? minutes / (escalate - minutes) : NEVER,
      ),
      guards,
      ...room(faults),
    };
  }

  /**
   * The same job without the faults that are unlikely, whose weight counts as something else's; and the indices of the
   * faults that stay.
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @returns {{look: BenchLook, place: BenchPlace, live: number[]}}
   */
  function amongLikely(look, place) {
    const { bench } = look;
    const count = bench.faults.length;
    const total = sum(place.weights);
    const mine = benchlore.cases.foldedInto(bench, place.weights, look.folded);
    const live = [...bench.faults.keys()].filter((i) => mine[i] > total * UNLIKELY);
    const kept = new Map([...live, count].map((h, n) => [h, n]));
    const further = [...bench.extra.keys()].filter((n) => kept.has(bench.extra[n]));
    const columns = [...live, ...further.map((n) => count + n), place.weights.length - 1];
    const weights = gather(place.weights, columns);
    weights[weights.length - 1] = 0;
    weights[weights.length - 1] = total - sum(weights);
    /** @param {readonly (readonly (Uint8Array | null)[])[]} known */
    const among = (known) => known.map((row) => row.map((bits) => bits && bits8(bits, live)));
    const smaller = Object.assign({}, bench, {
      faults: live.map((i) => bench.faults[i]),
      fixMinutes: live.map((i) => bench.fixMinutes[i]),
      tables: bench.tables.map((table, m) =>
        place.open.includes(m) ? table.map((row) => gather(row, columns)) : [],
      ),
      shuts: among(bench.shuts),
      opens: among(bench.opens),
      checks: live.map((i) => bench.checks[i]),
      extra: further.map((n) => /** @type {number} */ (kept.get(bench.extra[n]))),
      mends: live.map((i) => bench.mends[i].flatMap((h) => kept.get(h) ?? [])),
    });
    return {
      live,
      look: {
        bench: smaller,
        wide: widest(smaller),
        inverse: gather(look.inverse, live),
        floors: gather(look.floors, columns),
        hopeless: gather(look.hopeless, live),
        guards: gather(look.guards, live),
        ...room(live.length),
      },
      place: Object.assign({}, place, {
        weights,
        locked: bits8(place.locked, live),
        shut: bits8(place.shut, live),
      }),
    };
  }

  /**
   * What can be done next, best first, among the faults that are not unlikely.
   * @param {BenchLook} from
   * @param {BenchPlace} here
   * @param {number} [depth] actions ahead
   */
  function next(from, here, depth = DEPTH) {
    const { look, place, live } = amongLikely(from, here);
    return choices(look, place, depth).map((one) =>
      one.kind === "fix" ? Object.assign({}, one, { index: live[one.index] }) : one,
    );
  }

  /**
   * The values at some places, put into an array that is as long.
   * @template {Float64Array | Uint8Array} T
   * @param {T} values
   * @param {readonly number[]} at
   * @param {T} into
   */
  function picked(values, at, into) {
    for (let i = 0; i < at.length; i += 1) into[i] = values[at[i]];
    return into;
  }

  /** @param {Float64Array} values @param {readonly number[]} at */
  const gather = (values, at) => picked(values, at, new Float64Array(at.length));

  /** @param {Uint8Array} bits @param {readonly number[]} at */
  const bits8 = (bits, at) => picked(bits, at, new Uint8Array(at.length));

  /**
   * What looking ahead works in, made once for so many faults.
   * @param {number} faults
   */
  function room(faults) {
    return {
      folded: new Float64Array(faults + 1),
      mended: new Float64Array(faults),
      waiting: new Float64Array(faults + 1),
      order: new Int32Array(faults),
      ratios: new Float64Array(faults),
      levels: [],
      locked: new Uint8Array(faults),
    };
  }

  /**
   * The fixes that mend more than their own fault.
   * @param {BenchPlanBase} bench
   */
  function widest({ mends }) {
    return [...mends.keys()].filter((i) => mends[i].length > 1);
  }

  /**
   * The place of a job with these probabilities, some measurements already made.
   * @param {BenchPlanBase} bench
   * @param {readonly number[]} probabilities
   * @param {readonly string[]} measured
   * @param {number} setUp
   * @param {{closed: (measure: string) => boolean, shut: (fault: string) => boolean, any: boolean}} locks what
   *   interlocks bar
   * @param {(fault: number) => boolean} spoken whether an abnormal reading speaks for a fix
   * @param {boolean} railsFirst the supply rails are measured before a source goes in
   * @param {boolean} unknown no symptom is known and nothing read wrong: it goes down the rails
   * @param {readonly string[]} symptoms what the family names for one of them is measured before a source goes in
   * @returns {BenchPlace}
   */
  function start(bench, probabilities, measured, setUp, locks, spoken, railsFirst, unknown, symptoms) {
    const open = bench.measures
      .map((_, place) => place)
      .filter((place) => !measured.includes(bench.measures[place]) && !locks.closed(bench.measures[place]));
    const shut = Uint8Array.from(bench.faults, (fault) => Number(locks.shut(fault)));
    const named = symptoms.flatMap((symptom) => bench.beforePower[symptom] || []);
    const before = [...new Set([...(railsFirst ? bench.railsFirst : []), ...named])];
    const first = locks.any ? stillFirst(bench, before, open) : before.filter((m) => open.includes(m));
    const locked = shut.map((lock, i) => lock | Number(bench.guarded[i] && !spoken(i)));
    const down = unknown ? bench.down.filter((place) => open.includes(place)) : [];
    return { weights: Float64Array.from(probabilities), open, setUp, locked, shut, first, down };
  }

  /**
   * @param {BenchPlanBase} bench
   * @param {BenchPlace} place
   * @param {number} measure
   * @param {number} outcome
   * @returns {BenchPlace}
   */
  function afterOutcome(bench, place, measure, outcome) {
    const row = bench.tables[measure][outcome];
    const weights = place.weights.map((weight, i) => weight * row[i]);
    return left(bench, place, weights, others(place, measure), measure, outcome);
  }

  /**
   * The open measurements without one.
   * @param {BenchPlace} place
   * @param {number} measure
   */
  function others(place, measure) {
    return place.open.filter((other) => other !== measure);
  }

  /**
   * The place after an outcome: which of the others are open, which fixes are not, and how it leaves the bench. One that
   * bars its own bench state leaves nothing plugged in.
   * @param {BenchPlanBase} bench
   * @param {BenchPlace} place
   * @param {Float64Array} weights
   * @param {readonly number[]} rest
   * @param {number} measure
   * @param {number} outcome
   * @returns {BenchPlace}
   */
  function left(bench, place, weights, rest, measure, outcome) {
    const closed = bench.closes[measure][outcome];
    const { shut, first, down } = place;
    const opens = bench.opens[measure][outcome];
    const shuts = bench.shuts[measure][outcome];
    const locked =
      opens || shuts ? lockedAfter(bench, place, measure, outcome, place.locked.slice()) : place.locked;
    if (!closed) {
      const later = first.length ? first.filter((other) => other !== measure) : first;
      return { weights, open: rest, setUp: bench.measureSetUp[measure], locked, shut, first: later, down };
    }
    const still = rest.filter((other) => !closed[other]);
    return {
      weights,
      open: still,
      setUp: closed[measure] ? 0 : bench.measureSetUp[measure],
      locked,
      shut: shuts ? shut.map((lock, i) => lock | shuts[i]) : shut,
      first: first.length ? stillFirst(bench, first, still) : first,
      down,
    };
  }

  /**
   * What comes before power where an interlock bars some: all that is open, unless no source goes in.
   * @param {BenchPlanBase} bench
   * @param {readonly number[]} first
   * @param {readonly number[]} still
   */
  function stillFirst(bench, first, still) {
    return still.some((other) => bench.live[other]) ? first.filter((other) => still.includes(other)) : [];
  }

  /**
   * The fixes that may not be tried after an outcome, written into `into`: it opens those that it speaks for, unless an
   * interlock bars them.
   * @param {BenchPlanBase} bench
   * @param {BenchPlace} place
   * @param {number} measure
   * @param {number} outcome
   * @param {Uint8Array} into
   */
  function lockedAfter(bench, place, measure, outcome, into) {
    const opens = bench.opens[measure][outcome];
    const shuts = bench.shuts[measure][outcome];
    const { locked, shut } = place;
    for (let i = 0; i < into.length; i += 1)
      into[i] = (opens?.[i] ? 0 : locked[i]) | shut[i] | (shuts ? shuts[i] : 0);
    return into;
  }

  /**
   * The place after a fix whose proof did not read normal: all that it mends is out.
   * @param {BenchPlanBase} bench
   * @param {BenchPlace} place
   * @param {number} fault
   * @returns {BenchPlace}
   */
  function afterFailedFix(bench, place, fault) {
    const weights = Float64Array.from(place.weights);
    const out = bench.mends[fault];
    for (const h of out) weights[h] = 0;
    bench.extra.forEach((h, n) => {
      if (out.includes(h)) weights[bench.faults.length + n] = 0;
    });
    return Object.assign({}, place, { weights, setUp: 0 });
  }

  /**
   * Minutes of a measurement, with the change of set-up.
   * @param {BenchPlanBase} bench
   * @param {number} setUp
   * @param {number} measure
   */
  function measureCost(bench, setUp, measure) {
    return bench.change[setUp][bench.measureSetUp[measure]] + bench.measureMinutes[measure];
  }

  /**
   * V0: minutes of the fix order without measuring, times the weights' sum. A fix that mends no more than the weight of
   * "not in the book" times its `hopeless` is in no best order, and one that may not be tried in none.
   * @param {BenchLook} look
   * @param {Float64Array} columns
   * @param {Uint8Array} locked
   */
  function withoutMeasuring(look, columns, locked) {
    const weights = benchlore.cases.foldedInto(look.bench, columns, look.folded);
    const mended = summed(look, weights);
    const { hopeless, order } = look;
    const { escalate, fixMinutes } = look.bench;
    const faults = mended.length;
    const unmended = weights[faults];
    let count = 0;
    let left = 0;
    for (let i = 0; i < faults; i += 1) {
      left += weights[i];
      if (mended[i] > hopeless[i] * unmended && may(look, weights, locked, i)) {
        insert(look, count, i);
        count += 1;
      }
    }
    left += unmended;
    if (look.wide.length) {
      newly(look, weights, count);
      for (let n = 0; n < count; n += 1) insert(look, n, order[n]);
      newly(look, weights, count);
    }
    let best = left * escalate;
    let spent = 0;
    for (let n = 0; n < count; n += 1) {
      const i = order[n];
      if (mended[i] <= 0) continue;
      spent += fixMinutes[i] * left;
      if (spent >= best) break;
      left -= mended[i];
      best = Math.min(best, spent + left * escalate);
    }
    return best;
  }

  /**
   * Put a fix in its place among the first `count` of the order, by what it mends / minutes; of equals the first by id.
   * @param {BenchLook} look
   * @param {number} count
   * @param {number} fix
   */
  function insert({ inverse, mended, order, ratios }, count, fix) {
    const ratio = mended[fix] * inverse[fix];
    let at = count;
    for (; at > 0; at -= 1) {
      const other = ratios[at - 1];
      if (other > ratio || (other === ratio && order[at - 1] < fix)) break;
      ratios[at] = other;
      order[at] = order[at - 1];
    }
    ratios[at] = ratio;
    order[at] = fix;
  }

  /**
   * The weight that each fix mends, written into the look's `mended`.
   * @param {BenchLook} look
   * @param {Float64Array} weights of the hypotheses
   */
  function summed({ bench, wide, mended }, weights) {
    for (let i = 0; i < mended.length; i += 1) mended[i] = weights[i];
    for (const i of wide) {
      let more = 0;
      for (const h of bench.mends[i]) more += weights[h];
      mended[i] = more;
    }
    return mended;
  }

  /**
   * What each of the first `count` fixes of the order mends that none before it has, written into the look's `mended`.
   * @param {BenchLook} look
   * @param {Float64Array} weights of the hypotheses
   * @param {number} count
   */
  function newly({ bench, mended, order, waiting }, weights, count) {
    waiting.set(weights);
    for (let n = 0; n < count; n += 1) {
      const i = order[n];
      let more = 0;
      for (const h of bench.mends[i]) {
        more += waiting[h];
        waiting[h] = 0;
      }
      mended[i] = more;
    }
  }

  /**
   * True for a fix that may be tried: its own fault stands, whatever else it would mend.
   * @param {BenchLook} look
   * @param {Float64Array} weights of the hypotheses
   * @param {Uint8Array} locked
   * @param {number} fault
   */
  function may(look, weights, locked, fault) {
    return !locked[fault] && weights[fault] > look.guards[fault] * weights[weights.length - 1];
  }

  /**
   * The fix with the largest weight / minutes, the first of equals; -1 when none may be tried.
   * @param {BenchLook} look
   * @param {BenchPlace} place
   */
  function bestRatio(look, place) {
    const { inverse } = look;
    const weights = benchlore.cases.foldedInto(look.bench, place.weights, look.folded);
    const mended = summed(look, weights);
    let best = 0;
    let found = -1;
    for (let i = 0; i < inverse.length; i += 1) {
      const ratio = mended[i] * inverse[i];
      if (ratio > best * (1 + GAIN) && may(look, weights, place.locked, i)) {
        best = ratio;
        found = i;
      }
    }
    return found;
  }

  /**
   * Vd: expected minutes times the weights' sum, looking `depth` actions ahead.
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @param {number} depth
   * @returns {number}
   */
  function value(look, place, depth) {
    const { weights, open, setUp } = place;
    let best = withoutMeasuring(look, weights, place.locked);
    if (depth === 0) return best;
    const least = dot(weights, look.floors);
    const total = sum(weights);
    for (const m of open) {
      const spent = measureCost(look.bench, setUp, m) * total;
      if (spent + least < best) {
        best = Math.min(best, spent + afterMeasuring(look, place, m, depth - 1, best - spent, least));
      }
    }
    if (depth > 1) {
      const i = bestRatio(look, place);
      const spent = i >= 0 ? look.bench.fixMinutes[i] * total : best;
      if (spent < best) {
        const failed = afterFailedFix(look.bench, place, i);
        if (spent + dot(failed.weights, look.floors) < best)
          best = Math.min(best, spent + value(look, failed, depth - 1));
      }
    }
    return best;
  }

  /**
   * Sum of V(depth) over the outcomes of a measurement; given up, as too large, once it must reach `limit`.
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @param {number} measure
   * @param {number} depth
   * @param {number} limit
   * @param {number} least L of the place
   */
  function afterMeasuring(look, place, measure, depth, limit, least) {
    const bench = look.bench;
    const rest = depth > 0 ? others(place, measure) : [];
    const weights = level(look, depth);
    const rows = bench.tables[measure];
    let spent = 0;
    let ahead = least;
    for (let o = 0; o < rows.length; o += 1) {
      ahead -= product(place.weights, rows[o], weights, look.floors);
      if (depth > 0) {
        spent += value(look, left(bench, place, weights, rest, measure, o), depth);
      } else spent += withoutMeasuring(look, weights, lockedThen(look, place, measure, o));
      if (spent + ahead >= limit) return limit;
    }
    return spent;
  }

  /**
   * The fixes that may not be tried after an outcome, in memory that is used again.
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @param {number} measure
   * @param {number} outcome
   */
  function lockedThen({ bench, locked }, place, measure, outcome) {
    if (!bench.opens[measure][outcome] && !bench.shuts[measure][outcome]) return place.locked;
    return lockedAfter(bench, place, measure, outcome, locked);
  }

  /**
   * The weights that an outcome leaves with so many actions to come; used again for the next outcome.
   * @param {BenchLook} look
   * @param {number} depth
   */
  function level(look, depth) {
    while (look.levels.length <= depth) look.levels.push(new Float64Array(look.floors.length));
    return look.levels[depth];
  }

  /**
   * What can be done next, best first: every open measurement, the fixes worth trying, escalation. What comes `first`
   * stands before all else, and no live measurement with it; what goes `down` comes in its order; what is checked before
   * the best fix comes before it.
   * @param {BenchLook} look
   * @param {BenchPlace} from
   * @param {number} [depth] actions ahead
   * @returns {BenchChoice[]}
   */
  function choices(look, from, depth = DEPTH) {
    const total = sum(from.weights);
    const escalate = look.bench.escalate;
    if (!(total > 0)) return [{ kind: "escalate", index: -1, minutes: escalate, expected: escalate }];
    const place = Object.assign({}, from, { weights: from.weights.map((weight) => weight / total) });
    const found = actions(look, place).map(([kind, index]) => choice(look, place, kind, index, 1));
    found.sort(byRank);
    if (depth < 2) return firstOf(look, place, found);
    const kept = differing(look, place, found);
    const open = kept.filter((one) => one.kind === "measure").map((one) => one.index);
    const narrow = Object.assign({}, place, { open: open.sort((a, b) => a - b) });
    const beam = kept.slice(0, BEAM);
    const again = beam.map((one) => choice(look, narrow, one.kind, one.index, depth));
    return firstOf(look, place, again.concat(found.filter((one) => !beam.includes(one))).sort(byRank));
  }

  /**
   * The choices that may follow, of sorted ones: of measurements the first WIDE that tell something and do not tell
   * alike, and where there are fewer, last, the first of the others.
   * @param {BenchLook} look
   * @param {BenchPlace} place weights normalised
   * @param {readonly BenchChoice[]} found
   */
  function differing(look, place, found) {
    /** @type {BenchChoice[]} */
    const kept = [];
    /** @type {BenchChoice[]} */
    const others = [];
    /** @type {{told: Float64Array, own: number}[]} */
    const taken = [];
    const roots = place.weights.map(Math.sqrt);
    for (const one of found) {
      if (one.kind === "measure") {
        const told = toldBy(look.bench.tables[one.index], place.weights, roots);
        const own = dot(told, told);
        if (own < TELLS || taken.some((other) => dot(told, other.told) ** 2 >= ALIKE * own * other.own)) {
          others.push(one);
          continue;
        }
        taken.push({ told, own });
      }
      kept.push(one);
      if (taken.length === WIDE) break;
    }
    return kept.concat(others.slice(0, WIDE - taken.length));
  }

  /**
   * sqrt(w) (p - P) of a measurement, p of its likeliest outcome, by column: the sum of the products of two is how they
   * go together.
   * @param {readonly Float64Array[]} rows
   * @param {Float64Array} weights normalised
   * @param {Float64Array} roots of the weights
   */
  function toldBy(rows, weights, roots) {
    let likeliest = rows[0];
    let mean = dot(weights, likeliest);
    for (let o = 1; o < rows.length; o += 1) {
      const chance = dot(weights, rows[o]);
      if (tieKey(chance, 1e-9) > tieKey(mean, 1e-9)) [likeliest, mean] = [rows[o], chance];
    }
    const told = new Float64Array(roots.length);
    for (let i = 0; i < told.length; i += 1) told[i] = roots[i] * (likeliest[i] - mean);
    return told;
  }

  /**
   * An open measurement, valued one action ahead.
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @param {number} measure
   */
  function measuredFirst(look, place, measure) {
    const total = sum(place.weights);
    const here = Object.assign({}, place, { weights: place.weights.map((weight) => weight / total) });
    return choice(look, here, "measure", measure, 1);
  }

  /**
   * The choices, what is checked before the first of them in front of it.
   * @param {BenchLook} look
   * @param {readonly number[]} open
   * @param {BenchChoice[]} found
   */
  function checked(look, open, found) {
    const checks = found[0].kind === "fix" ? look.bench.checks[found[0].index] : [];
    const unread = checks.filter((measure) => open.includes(measure));
    if (!unread.length) return found;
    /** @param {BenchChoice} one */
    const begins = (one) => one.kind === "measure" && unread.includes(one.index);
    return found.filter(begins).concat(found.filter((one) => !begins(one)));
  }

  /**
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @param {BenchChoice[]} found
   */
  function firstOf(look, { first, down, open }, found) {
    const begin = first.length ? first : down;
    if (!begin.length) return checked(look, open, found);
    const measures = found.filter((one) => one.kind === "measure" && begin.includes(one.index));
    const led = down.flatMap((measure) => measures.filter((one) => one.index === measure));
    const barred = (/** @type {number} */ measure) => first.length > 0 && look.bench.live[measure];
    const later = found.filter(
      (one) => one.kind !== "measure" || !(begin.includes(one.index) || barred(one.index)),
    );
    return [...led, ...measures.filter((one) => !down.includes(one.index)), ...later];
  }

  /**
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @returns {[BenchKind, number][]}
   */
  function actions(look, place) {
    const weights = benchlore.cases.foldedInto(look.bench, place.weights, look.folded);
    const mended = summed(look, weights);
    const keys = look.inverse.map((inverse, i) => tieKey(mended[i] * inverse, 1e-9));
    const fixes = [...keys.keys()].filter((i) => may(look, weights, place.locked, i));
    fixes.sort((a, b) => keys[b] - keys[a] || tieKey(weights[b], 1e-9) - tieKey(weights[a], 1e-9) || a - b);
    /** @type {[BenchKind, number][]} */
    const found = place.open.map((m) => ["measure", m]);
    worthTrying(look.bench, weights, fixes).forEach((i) => found.push(["fix", i]));
    found.push(["escalate", -1]);
    return found;
  }

  /**
   * Of sorted fixes the first BEAM, without those that mend no more than another of them and cost no less.
   * @param {BenchPlanBase} bench
   * @param {Float64Array} weights of the hypotheses
   * @param {readonly number[]} fixes
   */
  function worthTrying({ fixMinutes, mends }, weights, fixes) {
    /** @type {number[]} */
    const kept = [];
    for (const i of fixes) {
      const real = mends[i].filter((h) => weights[h] > 0);
      const asGood = (/** @type {number} */ k) =>
        fixMinutes[k] <= fixMinutes[i] && real.every((h) => mends[k].includes(h));
      if (!kept.some(asGood)) kept.push(i);
      if (kept.length === BEAM) break;
    }
    return kept;
  }

  /**
   * @param {BenchLook} look
   * @param {BenchPlace} place
   * @param {BenchKind} kind
   * @param {number} index
   * @param {number} depth
   * @returns {BenchChoice}
   */
  function choice(look, place, kind, index, depth) {
    const bench = look.bench;
    if (kind === "escalate") return { kind, index, minutes: bench.escalate, expected: bench.escalate };
    if (kind === "fix") {
      const minutes = bench.fixMinutes[index];
      return {
        kind,
        index,
        minutes,
        expected: minutes + value(look, afterFailedFix(bench, place, index), depth - 1),
      };
    }
    const minutes = measureCost(bench, place.setUp, index);
    const later = afterMeasuring(look, place, index, depth - 1, Infinity, 0);
    return { kind, index, minutes, expected: minutes + later };
  }

  /**
   * @param {BenchChoice} one
   * @param {BenchChoice} other
   */
  function byRank(one, other) {
    return (
      tieKey(one.expected, 1e-6) - tieKey(other.expected, 1e-6) ||
      KINDS.indexOf(other.kind) - KINDS.indexOf(one.kind) ||
      one.index - other.index
    );
  }

  /**
   * A value in whole steps: what differs by rounding only compares as equal, in every language.
   * @param {number} amount
   * @param {number} step
   */
  function tieKey(amount, step) {
    return Math.trunc(amount / step + 0.5);
  }

  /**
   * The weights after an outcome, put into `into`; their sum with each times its factor.
   * @param {Float64Array} weights
   * @param {Float64Array} row
   * @param {Float64Array} into
   * @param {Float64Array} factors
   */
  function product(weights, row, into, factors) {
    let total = 0;
    for (let i = 0; i < weights.length; i += 1) {
      const weight = weights[i] * row[i];
      into[i] = weight;
      total += weight * factors[i];
    }
    return total;
  }

  /**
   * @param {Float64Array} weights
   * @param {Float64Array} factors
   */
  function dot(weights, factors) {
    let total = 0;
    for (let i = 0; i < weights.length; i += 1) total += weights[i] * factors[i];
    return total;
  }

  /** @param {Float64Array} values */
  function sum(values) {
    let total = 0;
    for (let i = 0; i < values.length; i += 1) total += values[i];
    return total;
  }

  benchlore.lookahead = {
    DEPTH,
    lookAt,
    start,
    choices,
    next,
    measuredFirst,
    withoutMeasuring,
    afterOutcome,
    afterFailedFix,
    measureCost,
  };
})();
