"""Look ahead over measurements, fixes and escalation.

Everything works on joint weights: P(hypothesis, what has been seen), not normalised. Then the minutes of the
branches of a measurement simply add up, and the same evidence in another order has the same weights.

Each value is the expected minutes of a plan that can be carried out, so a deeper look never makes it worse:

    V0(w) = the fix order without measuring (`minutes.ratio_order`), the best one where no two mend the same
    Vd(w) = least of V0(w);
            for each open measurement m: cost(m) |w| + sum over its outcomes o of V(d-1)(w P(o | .)); and,
            from depth 2, for the fix with the best weight / minutes: its cost |w| + V(d-1) when it fails.

The weight of a fix is that of all that it mends (`mends`); when it fails, all of that is out.

No plan is better than L(w) = sum of w_h min(minutes of a fix that mends h, escalation): each hypothesis costs
at least the cheapest, known for nothing. Measuring does not change L, so a measurement that costs more than
V - L is not looked at.

What is looked at deeper differs in what it tells: six readings of one rail would take all places, and one
that pays only two actions ahead would have none. Two measurements tell alike where the chances p of their
likeliest outcomes go together over the columns, by Pearson's correlation r:

    cov(m, n) = sum over columns of w (p_m - P_m) (p_n - P_n), P = sum of w p
    alike     where r^2 = cov(m, n)^2 / (cov(m, m) cov(n, n)) is ALIKE or more

Of those that tell alike the one with the least expected minutes is kept; one that tells nothing is not.
Where fewer than WIDE differ the best of the others follow, too.
What their outcomes open or bar is not compared, for nearly every measurement of a large bench opens guarded
fixes of its own: none would be alike. So a fix that only one left out opens is not seen behind the others,
and what is expected may be too much, never too little."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import fsum, sqrt
from operator import mul
from typing import Literal

from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.minutes import newly, summed, tie_key
from benchlore.diagnosis.ways import folded

Kind = Literal["measure", "fix", "escalate"]
DEPTH = 2  # actions ahead
BEAM = 5  # actions that are looked at again, deeper
WIDE = 8  # measurements that may follow there
ALIKE = 0.9  # r^2 from which two measurements tell alike
TELLS = 1e-9  # variance from which a measurement tells anything
UNLIKELY = 1e-4  # probability below which a fault is no longer told from one that is not in the book
EQUAL = 1e-6  # minutes below which two choices cost the same
GAIN = 1e-9  # a smaller gain in weight / minutes, as a share, is a tie: the first by id counts
_NEVER = 1e300
_KINDS = ("measure", "fix", "escalate")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a job stands: joint weights of the columns (see `ways.Columns`), open measurements (indices), and
    the set-up.

    `locked`: the fixes that may not be tried, one bit each; `shut`: those of them that an interlock bars.
    `first`: the measurements that come before any source goes in. `down`: those that are made in this order
    while nothing else is known.
    """

    weights: tuple[float, ...]
    open: tuple[int, ...]
    setup: int = 0
    locked: int = 0
    shut: int = 0
    first: tuple[int, ...] = ()
    down: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """An action: what it costs now and the expected minutes of the job from here when it is taken first.

    `index` into the bench's measures or faults; -1 for escalate. Minutes are per job (weights normalised).
    """

    kind: Kind
    index: int
    minutes: float
    expected: float


@dataclass(frozen=True, slots=True)
class Look:
    """A bench with what every step looks up.

    `floors`: the least minutes that each column can cost. `before`: the weights of the hypotheses before any
    reading.
    `guards`: a guarded fix is not tried unless its fault has gained on something else since then.
    `hopeless`: a fix whose weight is not above that of something else times this is in no best fix order.
    """

    bench: Bench
    inverse: tuple[float, ...]
    floors: tuple[float, ...]
    hopeless: tuple[float, ...]
    before: tuple[float, ...]
    guards: tuple[float, ...]

    def unread(self, place: Place, fault: int) -> tuple[int, ...]:
        """What is still to be checked before a fix."""
        return tuple([m for m in self.bench.checks.get(fault, ()) if m in place.open])

    def may(self, place: Place, fault: int) -> bool:
        """True for a fix that may be tried."""
        return self.may_of(folded(place.weights, self.bench.extra), place.locked, fault)

    def may_of(self, weights: Sequence[float], locked: int, fault: int) -> bool:
        """The same, by the weights of the hypotheses: its own fault stands, whatever else it would mend, and
        has gained where it is guarded.
        """
        return not locked >> fault & 1 and weights[fault] > self.guards[fault] * weights[-1]

    def worth(self, weights: Sequence[float], locked: int) -> dict[int, float]:
        """The fixes that may be tried and are not `hopeless`, with the weight that each mends."""
        unmended, mends = weights[-1], self.bench.mends
        found = {}
        for i, guard in enumerate(self.guards):
            if weights[i] > guard * unmended and not locked >> i & 1:
                more = fsum([weights[h] for h in mends[i]]) if i in mends else weights[i]
                if more > self.hopeless[i] * unmended:
                    found[i] = more
        return found


def look_at(bench: Bench, before: Sequence[float] = ()) -> Look:
    """Prepare a bench for looking ahead. `before`: the weights before any reading."""
    escalate = bench.escalate
    start = tuple(folded(before, bench.extra)) if before else (1.0,) * (len(bench.faults) + 1)
    guards = tuple(
        [start[i] / start[-1] if before and bench.guarded >> i & 1 else 0.0 for i in range(len(bench.faults))]
    )
    floors = [*(min(minutes, escalate) for minutes in bench.fix_minutes), escalate]
    for i, known in bench.mends.items():
        for h in known:
            floors[h] = min(floors[h], bench.fix_minutes[i])
    return Look(
        bench,
        tuple(1 / minutes for minutes in bench.fix_minutes),
        (*floors[:-1], *(floors[h] for h in bench.extra), escalate),
        tuple(
            minutes / (escalate - minutes) if minutes < escalate else _NEVER for minutes in bench.fix_minutes
        ),
        start,
        guards,
    )


def among_likely(place: Place, known: Sequence[int], extra: Sequence[int]) -> tuple[Place, tuple[int, ...]]:
    """The same job without those of some faults that are UNLIKELY, whose weight counts as something else's;
    and those that stay. `extra`: as of the bench.
    """
    total, mine = fsum(place.weights), folded(place.weights, extra)
    live = tuple([i for i in known if mine[i] > total * UNLIKELY])
    weights, count = [0.0] * len(place.weights), len(mine) - 1
    kept = {*live, count}
    for c in (*live, *(count + n for n, h in enumerate(extra) if h in kept)):
        weights[c] = place.weights[c]
    weights[-1] = total - fsum(weights)
    return replace(place, weights=tuple(weights)), live


def start(
    bench: Bench,
    probabilities: Sequence[float],
    measured: Sequence[str] = (),
    setup: int = 0,
    closed: frozenset[int] = frozenset(),
    shut: int = 0,
    rails_first: bool = False,
    spoken: int = 0,
    unknown: bool = False,
    symptoms: Iterable[str] = (),
) -> Place:
    """The place of a job with these probabilities, some measurements already made.

    `closed`, `shut`: the measurements and the fixes that interlocks bar. `rails_first`: the supply rails are
    measured before a source goes in, as is what the family names for one of the `symptoms`. `spoken`: the
    fixes that an abnormal reading speaks for.
    `unknown`: no symptom is known and nothing read wrong: it goes down the rails."""
    done = set(measured)
    still = tuple(i for i, m in enumerate(bench.measures) if m not in done and i not in closed)
    before = dict.fromkeys(bench.rails_first if rails_first else ())
    before.update((i, None) for symptom in symptoms for i in bench.before_power.get(symptom, ()))
    first = _still_first(bench, before, still) if closed else tuple([i for i in before if i in still])
    down = tuple([i for i in bench.down if i in still]) if unknown else ()
    return Place(tuple(probabilities), still, setup, bench.guarded & ~spoken | shut, shut, first, down)


def after_outcome(bench: Bench, place: Place, measure: int, outcome: int) -> Place:
    """The place after a measurement was taken for an outcome."""
    weights = tuple(map(mul, place.weights, bench.tables[measure][outcome]))
    return _left(bench, place, weights, _others(place, measure), measure, outcome)


def _others(place: Place, measure: int) -> tuple[int, ...]:
    """The open measurements without one."""
    return tuple([m for m in place.open if m != measure])


def _left(
    bench: Bench,
    place: Place,
    weights: tuple[float, ...],
    others: tuple[int, ...],
    measure: int,
    outcome: int,
) -> Place:
    """The place after an outcome: which of the others are open, which fixes are not, and how it leaves the
    bench.
    """
    locked = locked_after(bench, place, measure, outcome)
    closed = bench.closes.get((measure, outcome))
    if closed is None:
        first = tuple([m for m in place.first if m != measure]) if place.first else ()
        return Place(weights, others, bench.measure_setup[measure], locked, place.shut, first)
    shut = place.shut | bench.shuts[measure, outcome]
    still = tuple([m for m in others if m not in closed])
    first = _still_first(bench, place.first, still) if place.first else ()
    return Place(weights, still, stands_after(bench, measure, outcome), locked, shut, first)


def _still_first(bench: Bench, first: Iterable[int], still: Sequence[int]) -> tuple[int, ...]:
    """What comes before power where an interlock bars some: all that is open, unless no source goes in."""
    return () if bench.live.isdisjoint(still) else tuple([m for m in first if m in still])


def stands_after(bench: Bench, measure: int, outcome: int) -> int:
    """How the bench stands after an outcome: one that bars its own bench state leaves nothing plugged in."""
    return 0 if measure in bench.closes.get((measure, outcome), ()) else bench.measure_setup[measure]


def locked_after(bench: Bench, place: Place, measure: int, outcome: int) -> int:
    """The fixes that may not be tried after an outcome: it opens those that it speaks for, unless an
    interlock bars them.
    """
    shut = place.shut | bench.shuts.get((measure, outcome), 0)
    return place.locked & ~bench.opens.get((measure, outcome), 0) | shut


def after_failed_fix(bench: Bench, place: Place, fault: int) -> Place:
    """The place after a fix that did not mend: all that it mends is out. The symptom was looked for with
    everything plugged in, so no bench state is set up."""
    weights, count, out = list(place.weights), len(bench.faults), bench.mended_by(fault)
    for h in out:
        weights[h] = 0.0
    for n, h in enumerate(bench.extra):
        if h in out:
            weights[count + n] = 0.0
    return Place(tuple(weights), place.open, 0, place.locked, place.shut, place.first)


def measure_cost(bench: Bench, setup: int, measure: int) -> float:
    """Minutes of a measurement, with the change of set-up."""
    return bench.change[setup][bench.measure_setup[measure]] + bench.measure_minutes[measure]


def without_measuring(look: Look, weights: Sequence[float], locked: int = 0) -> float:
    """V0: minutes of the fix order without measuring, times the weights' sum; `locked` fixes are left out.

    The same as `minutes.ratio_order`, which names the order. In a best order each fix f saves more than it
    costs: w_f x escalate > minutes_f x (what is left before it), where w_f is what it mends and nothing
    before it has, and at least w_f and the weight of what no fix mends is left. Fixes that fail this with all
    that they mend are `hopeless`, and not sorted in."""
    weights = folded(weights, look.bench.extra)
    bench, left = look.bench, fsum(weights)
    best, spent = left * bench.escalate, 0.0
    mended = look.worth(weights, locked)

    def key(i: int) -> tuple[float, int]:
        return -(mended[i] * look.inverse[i]), i

    order = sorted(mended, key=key)
    if bench.mends:
        mended = newly(weights, order, bench.mends)
        order = sorted((i for i in order if mended[i] > 0), key=key)
        mended = newly(weights, order, bench.mends)
    for i in order:
        if mended[i] <= 0:
            continue
        spent += bench.fix_minutes[i] * left
        if spent >= best:
            break
        left -= mended[i]
        best = min(best, spent + left * bench.escalate)
    return best


def best_ratio(look: Look, place: Place) -> int:
    """The fix with the largest weight / minutes, the first of equals; -1 when none may be tried."""
    best, found = 0.0, -1
    weights = folded(place.weights, look.bench.extra)
    mended = summed(weights, look.bench.mends)
    for i, inverse in enumerate(look.inverse):
        ratio = mended[i] * inverse
        if ratio > best * (1 + GAIN) and look.may_of(weights, place.locked, i):
            best, found = ratio, i
    return found


def value(look: Look, place: Place, depth: int) -> float:
    """Vd: expected minutes times the weights' sum, looking `depth` actions ahead."""
    weights = place.weights
    best = without_measuring(look, weights, place.locked)
    if depth == 0:
        return best
    least, total = fsum(map(mul, weights, look.floors)), fsum(weights)
    for m in place.open:
        spent = measure_cost(look.bench, place.setup, m) * total
        if spent + least < best:
            best = min(best, spent + _after_measuring(look, place, m, depth - 1, best - spent, least))
    if depth > 1:
        i = best_ratio(look, place)
        spent = look.bench.fix_minutes[i] * total if i >= 0 else best
        if spent < best:
            failed = after_failed_fix(look.bench, place, i)
            if spent + fsum(map(mul, failed.weights, look.floors)) < best:
                best = min(best, spent + value(look, failed, depth - 1))
    return best


def _after_measuring(look: Look, place: Place, measure: int, depth: int, limit: float, least: float) -> float:
    """Sum of V(depth) over the outcomes of a measurement; given up, as too large, once it must reach `limit`.

    `least` is L of the place: the outcomes not yet looked at cost at least their share of it.
    """
    bench = look.bench
    others = _others(place, measure) if depth else ()
    spent = 0.0
    for o, row in enumerate(bench.tables[measure]):
        weights = tuple(map(mul, place.weights, row))
        least -= fsum(map(mul, weights, look.floors))
        if depth:
            spent += value(look, _left(bench, place, weights, others, measure, o), depth)
        else:
            spent += without_measuring(look, weights, locked_after(bench, place, measure, o))
        if spent + least >= limit:
            return limit
    return spent


def choices(look: Look, place: Place, depth: int = DEPTH) -> tuple[Choice, ...]:
    """What can be done next, best first: every open measurement, the fixes worth trying, escalation.

    All are valued one action ahead; the best BEAM of them that differ again, `depth` actions ahead, with the
    WIDE best measurements that differ to follow. What comes `first` stands before all else, and no live
    measurement with it; what goes `down` comes in its order; what is checked before the best fix comes before
    it.
    """
    total = fsum(place.weights)
    if total <= 0:
        return (Choice("escalate", -1, look.bench.escalate, look.bench.escalate),)
    place = replace(place, weights=tuple([w / total for w in place.weights]))
    found = sorted((_choice(look, place, kind, i, 1) for kind, i in _actions(look, place)), key=in_rank)
    if depth > 1:
        found = _looked_at_again(look, place, found, depth)
    return in_order(look, place, found)


def in_order(look: Look, place: Place, found: Sequence[Choice]) -> tuple[Choice, ...]:
    """Choices that are sorted by their worth, as `choices` names them: what comes `first`, goes `down` or is
    checked before the best fix stands in front.
    """
    if not place.first and not place.down:
        return _checked(look, place, found)
    measures = {c.index: c for c in found if c.kind == "measure"}
    first = place.first or place.down
    begins = [measures[m] for m in place.down if m in first]
    begins += [c for m, c in measures.items() if m in first and m not in place.down]
    barred = look.bench.live if place.first else frozenset[int]()
    later = [c for c in found if c.kind != "measure" or c.index not in {*first, *barred}]
    return (*begins, *later)


def _checked(look: Look, place: Place, found: Sequence[Choice]) -> tuple[Choice, ...]:
    """The choices, what is checked before the first of them in front of it."""
    checks = look.unread(place, found[0].index) if found[0].kind == "fix" else ()
    begins = [c for c in found if c.kind == "measure" and c.index in checks]
    return (*begins, *(c for c in found if c.kind != "measure" or c.index not in checks))


def differing(found: Iterable[Choice], cov: Callable[[int, int], float]) -> list[Choice]:
    """The choices that may follow, of sorted ones: of measurements the first WIDE that tell something and do
    not tell alike, and where there are fewer, last, the first of the others. `cov`: of two measurements.
    """
    kept: list[Choice] = []
    others: list[Choice] = []
    told: dict[int, float] = {}
    for choice in found:
        m = choice.index
        if choice.kind == "measure":
            own = cov(m, m)
            if own < TELLS or any(cov(m, n) ** 2 >= ALIKE * own * other for n, other in told.items()):
                others.append(choice)
                continue
            told[m] = own
        kept.append(choice)
        if len(told) == WIDE:
            break
    return kept + others[: WIDE - len(told)]


def _told(look: Look, place: Place, measure: int) -> tuple[float, ...]:
    """sqrt(w) (p - P) of a measurement, by column; `cov` is the sum of the products of two."""
    table = look.bench.tables[measure]
    chances = [fsum(map(mul, place.weights, row)) for row in table]
    likeliest = max(range(len(table)), key=lambda o: (tie_key(chances[o]), -o))
    mean = chances[likeliest]
    return tuple([sqrt(w) * (p - mean) for w, p in zip(place.weights, table[likeliest], strict=True)])


def measured_first(look: Look, place: Place, measure: int) -> Choice:
    """An open measurement, valued one action ahead."""
    total = fsum(place.weights)
    here = replace(place, weights=tuple([w / total for w in place.weights]))
    return _choice(look, here, "measure", measure, 1)


def _looked_at_again(look: Look, place: Place, found: list[Choice], depth: int) -> list[Choice]:
    """The choices, valued one action ahead and sorted, with the best that differ valued deeper."""
    told = {m: _told(look, place, m) for m in place.open}
    kept = differing(found, lambda m, n: fsum(map(mul, told[m], told[n])))
    narrow = replace(place, open=tuple([c.index for c in kept if c.kind == "measure"]))
    beam = kept[:BEAM]
    again = [_choice(look, narrow, c.kind, c.index, depth) for c in beam]
    return sorted(again + [c for c in found if c not in beam], key=in_rank)


def _actions(look: Look, place: Place) -> list[tuple[Kind, int]]:
    weights = folded(place.weights, look.bench.extra)
    mended = summed(weights, look.bench.mends)
    fixes = [i for i in range(len(look.inverse)) if look.may_of(weights, place.locked, i)]
    ratios = [more * inverse for more, inverse in zip(mended, look.inverse, strict=True)]
    bench = look.bench
    likely = likeliest(fixes, ratios, weights, bench.fix_minutes, bench.mended_by)
    actions: list[tuple[Kind, int]] = [("measure", m) for m in place.open]
    return [*actions, *(("fix", i) for i in likely), ("escalate", -1)]


def likeliest(
    fixes: Iterable[int],
    ratios: Sequence[float],
    weights: Sequence[float],
    minutes: Sequence[float],
    mended_by: Callable[[int], Iterable[int]],
) -> list[int]:
    """The fixes worth trying, that with the best weight / minutes first, of equals that of the likeliest
    fault: BEAM at most, without those that mend no more than another of them and cost no less. `ratios`,
    `minutes`: of each fix; `weights`: of each fault."""
    kept: list[tuple[int, set[int]]] = []
    for i in sorted(fixes, key=lambda i: (-tie_key(ratios[i]), -tie_key(weights[i]), i)):
        mended = {h for h in mended_by(i) if weights[h] > 0}
        if not any(minutes[k] <= minutes[i] and mended <= more for k, more in kept):
            kept.append((i, mended))
        if len(kept) == BEAM:
            break
    return [i for i, _ in kept]


def _choice(look: Look, place: Place, kind: Kind, index: int, depth: int) -> Choice:
    bench = look.bench
    if kind == "escalate":
        return Choice(kind, index, bench.escalate, bench.escalate)
    if kind == "fix":
        spent = bench.fix_minutes[index]
        later = value(look, after_failed_fix(bench, place, index), depth - 1)
        return Choice(kind, index, spent, spent + later)
    spent = measure_cost(bench, place.setup, index)
    outcomes = range(len(bench.tables[index]))
    later = fsum([value(look, after_outcome(bench, place, index, o), depth - 1) for o in outcomes])
    return Choice(kind, index, spent, spent + later)


def in_rank(choice: Choice) -> tuple[float, int, int]:
    """By expected minutes; of equals fix before measure, escalation first, then by id."""
    return tie_key(choice.expected, EQUAL), -_KINDS.index(choice.kind), choice.index
