"""The exact optimum of a small bench by dynamic programming, to judge the plan by."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum

import numpy as np

from benchlore.diagnosis import ways
from benchlore.diagnosis.at_once import (
    Bits,
    Indices,
    Numbers,
    Places,
    Sheet,
    after_fix,
    after_outcomes,
    folded,
    joined,
    may,
    places_of,
    repeated,
    sheet_of,
    some,
    summed,
    without_measuring,
)
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import UNLIKELY, Look, Place, look_at, start

_State = tuple[frozenset[int], int, int]  # rows of the outcomes seen, faults out (one bit each), set-up
_TOLD = 20_000  # sets of outcomes that a bound looks at, at most


class TooLargeError(Exception):
    """The bench has more places than were allowed."""


@dataclass(frozen=True, slots=True)
class _Step:
    """An action at a place: minutes times weight now, and the places after it with their keys and lower
    bounds. `upper`: what it costs where nothing is measured after it. `told`: of a measurement, what
    `_Solver.told` is at each of these places; None for a fix, of which it is not known yet.
    """

    spent: float
    upper: float
    keys: Sequence[_State]
    after: Places
    bounds: Numbers
    told: tuple[Numbers, ...] | None

    @property
    def lower(self) -> float:
        """What no plan that begins with it is below."""
        return self.spent + math.fsum(map(float, self.bounds))


def least_minutes(
    bench: Bench, probabilities: Sequence[float], known: float = math.inf, most: float = math.inf
) -> float:
    """Expected minutes of the best of all plans, to rounding.

    A job's future depends on the outcomes seen (in any order), the faults that are out, and the set-up: the
    best plan from each such place is computed once. All open measurements, all fixes and escalation are
    compared, but for those that provably cannot beat the best (branch and bound). `known`: the minutes of a
    plan at hand, to start from. Raises TooLargeError beyond `most` places, or too many sets of outcomes: they
    grow exponentially with the measurements."""
    look = look_at(bench, probabilities)
    solver = _Solver(look, most)
    begin = places_of(look, solver.sheet, start(bench, probabilities))
    limit = min(known, float(without_measuring(solver.sheet, begin)[0])) * (1 + 1e-12)
    return min(solver.solve((frozenset(), 0, 0), begin, solver.told(begin), limit), limit)


class _Solver:
    """Places met so far: their value (exact), or a bound that it is not below."""

    def __init__(self, look: Look, most: float) -> None:
        self.sheet = sheet_of(look)
        self.floors = np.array(look.floors)
        self.own = np.append(self.floors[: len(look.inverse)], 0.0)
        self.out = [sum([1 << h for h in look.bench.mended_by(i)]) for i in range(len(look.inverse))]
        self.alike = _alike(self.sheet)
        self.most = most
        self.met: dict[_State, tuple[float, bool]] = {}

    def solve(self, state: _State, place: Places, told: Numbers, limit: float) -> float:
        """The least minutes times weight from a place, if below `limit`; else a bound, from `limit` up, below
        it.
        """
        if state in self.met:
            found, exact = self.met[state]
            if exact or found >= limit:
                return found
        if len(self.met) >= self.most:
            raise TooLargeError
        stop = float(without_measuring(self.sheet, place)[0])
        best, below = min(stop, limit), stop
        for step in sorted(self._steps(state, place, told), key=lambda step: step.upper):
            minutes = self._try(step, best)
            if minutes < best:
                best = minutes
            else:
                below = min(below, minutes)
        exact = best < limit
        value = best if exact else max(below, limit)
        self.met[state] = value, exact
        return value

    def _try(self, step: _Step, limit: float) -> float:
        """Minutes of an action, the best plan after it; a bound once it must reach `limit`."""
        minutes, bounds, told = step.lower, step.bounds, step.told
        if told is None and minutes < limit:
            told = (self.told(step.after),)
            bounds = np.maximum(bounds, told[0].sum())
            minutes = step.spent + float(bounds[0])
        if told is None or minutes >= limit:
            return minutes
        for i in np.argsort(-step.after.weights.sum(axis=1), kind="stable"):
            if minutes >= limit:
                break
            bound = float(bounds[i])
            place = some(step.after, slice(i, i + 1))
            minutes += self.solve(step.keys[i], place, told[i], limit - (minutes - bound)) - bound
        return minutes

    def _steps(self, state: _State, place: Places, told: Numbers) -> Iterator[_Step]:
        """What can be done. `told`: of the place."""
        seen, tried, setup = state
        sheet, total = self.sheet, float(place.weights.sum())
        mine = folded(sheet, place.weights)
        fixes = np.flatnonzero(may(sheet, mine, place.locked)[0])
        after = joined([after_outcomes(sheet, place), after_fix(sheet, repeated(place, len(fixes)), fixes)])
        uppers, bounds = without_measuring(sheet, after), self._bounds(after)
        setups = after.setup.tolist()
        for axis, m in enumerate(np.flatnonzero(place.still[0])):
            rows = slice(sheet.begins[m], sheet.begins[m] + sheet.sizes[m])
            keys = [(seen | {r}, tried, setups[r]) for r in range(rows.start, rows.stop)]
            spent = float(sheet.costs[setup, m]) * total
            those = some(after, rows)
            parts = tuple(
                self._without(np.take(told, o, axis), place, m, still) for o, still in enumerate(those.still)
            )
            least = np.maximum(bounds[rows], [part.sum() for part in parts])
            yield _Step(spent, spent + math.fsum(map(float, uppers[rows])), keys, those, least, parts)
        for n, i in enumerate(fixes.tolist(), len(sheet.rows)):
            one = slice(n, n + 1)
            keys = [(seen, tried | self.out[i], setups[n])]
            spent = float(sheet.minutes[i]) * total
            yield _Step(spent, spent + float(uppers[n]), keys, some(after, one), bounds[one], None)

    def told(self, place: Places) -> Numbers:
        """Minutes times weight of who is told for nothing what every open measurement would read, and fixes
        in the best order: by these outcomes, one axis a measurement. No plan is below their sum, since
        knowing more makes none dearer (a relaxation of what is known; Brown, Smith and Sun 2010, from
        memory). A locked fix may be tried where one of the outcomes opens it. Where fixes mend the same, the
        best order is not known: then a bound of it stands in its place.
        """
        sheet, still = self.sheet, np.flatnonzero(place.still[0])
        sizes = tuple(map(int, sheet.sizes[still]))
        if math.prod(sizes) > _TOLD:
            raise TooLargeError
        weights, locked = place.weights, place.locked
        for m in still:
            rows = slice(sheet.begins[m], sheet.begins[m] + sheet.sizes[m])
            weights = (weights[:, None, :] * sheet.rows[rows]).reshape(-1, weights.shape[1])
            locked = (locked[:, None, :] & ~sheet.opens[rows]).reshape(-1, locked.shape[1])
        nothing = np.zeros((len(weights), 0), bool)
        every = Places(weights, locked, nothing, nothing, np.zeros(len(weights), np.intp))
        least = without_measuring(sheet, every) if self.alike is None else self._at_least(every)
        return least.reshape(sizes)

    def _at_least(self, places: Places) -> Numbers:
        """A bound of the best order of fixes, of whom some mend the same.

        The minutes of a fix are shared out by weight to the sets that it mends. Whoever is mended has waited
        at least for the least share of each set that is mended by then, whichever fix it was. So no order of
        fixes is below the best order of the sets, each with its least share: that by weight / minutes
        (Smith 1956, from memory)."""
        assert self.alike is not None
        sheet, alike = self.sheet, self.alike
        mine = folded(sheet, places.weights)
        together = mine[:, :-1] @ alike.members
        minutes = np.where(places.locked, np.inf, sheet.minutes)
        cheapest = np.minimum.reduceat(minutes[:, alike.fixes], alike.begins, axis=1)
        of_fix = together @ alike.mended
        dear = np.divide(cheapest, of_fix, out=np.full_like(of_fix, np.inf), where=of_fix > 0)
        least = np.stack([dear[:, kinds].min(axis=1) for kinds in alike.by], axis=1)
        together[least == np.inf] = 0.0
        order = least.argsort(axis=1, kind="stable")
        together, least = (np.take_along_axis(one, order, axis=1) for one in (together, least))
        paid = np.multiply(together, least, out=np.zeros_like(together), where=together > 0)
        left = mine.sum(axis=1)
        after = left[:, None] - together.cumsum(axis=1)
        spent = (paid * (after + together)).cumsum(axis=1)
        found: Numbers = np.minimum(left * sheet.escalate, (spent + after * sheet.escalate).min(axis=1))
        return found

    def _without(self, told: Numbers, place: Places, measure: np.intp, still: Bits) -> Numbers:
        """What is told of a place after one outcome of a measurement, where others are closed with it."""
        left = [m for m in np.flatnonzero(place.still[0]) if m != measure]
        closed = tuple(axis for axis, m in enumerate(left) if not still[m])
        summed: Numbers = told.sum(axis=closed) if closed else told
        return summed

    def _bounds(self, places: Places) -> Numbers:
        """What no plan from each place can be below: each hypothesis costs at least its own fix, and the
        first action more.

        If that is a measurement, everybody pays it; a fix, everybody, and those whom it mends no more;
        escalation, everybody in full."""
        sheet, total = self.sheet, places.weights.sum(axis=1)
        least = (places.weights * self.floors).sum(axis=1)
        measured = np.where(places.still, sheet.costs[places.setup], np.inf).min(axis=1, initial=np.inf)
        mine = folded(sheet, places.weights)
        there = may(sheet, mine, places.locked)
        spared = summed(sheet, mine * self.own)
        fixed = np.where(there, sheet.minutes * total[:, None] - spared, np.inf)
        extra = np.minimum(total * sheet.escalate - least, fixed.min(axis=1, initial=np.inf))
        extra = np.minimum(extra, np.multiply(measured, total, out=np.zeros(len(total)), where=total > 0))
        found: Numbers = least + extra
        return found


@dataclass(frozen=True, slots=True)
class _Alike:
    """The faults in sets that the same fixes mend, and the fixes by which of these sets they mend.

    `members` [fault, set], `mended` [set, kind]: 1 where it is one of them, or is mended; `fixes`: one kind
    after another, `begins` where; `by`: the kinds that mend each set."""

    members: Numbers
    mended: Numbers
    fixes: Indices
    begins: Indices
    by: tuple[Indices, ...]


def _alike(sheet: Sheet) -> _Alike | None:
    """None where each fix mends its own fault alone."""
    if not len(sheet.mended.wide):
        return None
    count = len(sheet.faults)
    columns, of_fault = np.unique(sheet.heals[:, :count], axis=1, return_inverse=True)
    kinds, of_fix = np.unique(columns, axis=0, return_inverse=True)
    fixes = np.argsort(of_fix.reshape(count), kind="stable")
    sizes = np.bincount(of_fix.reshape(count))
    return _Alike(
        (of_fault.reshape(count)[:, None] == np.arange(columns.shape[1])).astype(float),
        kinds.T.astype(float),
        fixes,
        np.cumsum(sizes) - sizes,
        tuple(np.flatnonzero(kinds[:, n]) for n in range(columns.shape[1])),
    )


def bench_among_likely(look: Look, place: Place) -> tuple[Look, Place, tuple[int, ...]]:
    """The same job without the faults that are UNLIKELY, whose weight counts as something else's; and the
    indices of the faults that stay.
    """
    bench, count = look.bench, len(look.bench.faults)
    total, mine = fsum(place.weights), ways.folded(place.weights, bench.extra)
    live = tuple([i for i in range(count) if mine[i] > total * UNLIKELY])
    kept = {h: n for n, h in enumerate((*live, count))}
    further = [n for n, h in enumerate(bench.extra) if h in kept]
    columns = (*live, *(count + n for n in further), len(place.weights) - 1)
    weights = [place.weights[c] for c in columns[:-1]]

    def some(values: Sequence[float]) -> tuple[float, ...]:
        return tuple([values[i] for i in live])

    def bits(known: int) -> int:
        return sum([1 << n for n, i in enumerate(live) if known >> i & 1]) if known else 0

    smaller = replace(
        bench,
        faults=tuple([bench.faults[i] for i in live]),
        fix_minutes=some(bench.fix_minutes),
        tables=tuple(
            [
                tuple([tuple([row[c] for c in columns]) for row in table]) if m in place.open else ()
                for m, table in enumerate(bench.tables)
            ]
        ),
        shuts={at: bits(barred) for at, barred in bench.shuts.items()},
        opens={at: bits(spoken) for at, spoken in bench.opens.items()},
        guarded=bits(bench.guarded),
        checks={n: bench.checks[i] for n, i in enumerate(live) if i in bench.checks},
        extra=tuple([kept[bench.extra[n]] for n in further]),
        mends={
            n: tuple([kept[h] for h in bench.mends[i] if h in kept])
            for n, i in enumerate(live)
            if i in bench.mends
        },
    )
    narrow = Look(
        smaller,
        some(look.inverse),
        tuple([look.floors[c] for c in columns]),
        some(look.hopeless),
        (*some(look.before), look.before[-1]),
        some(look.guards),
    )
    return (
        narrow,
        replace(
            place,
            weights=(*weights, total - fsum(weights)),
            locked=bits(place.locked),
            shut=bits(place.shut),
        ),
        live,
    )
