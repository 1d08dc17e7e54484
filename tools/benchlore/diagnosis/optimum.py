"""The exact optimum of a small bench by dynamic programming, to judge the plan by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum
from operator import mul

from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import (
    UNLIKELY,
    Look,
    Place,
    after_failed_fix,
    after_outcome,
    look_at,
    measure_cost,
    start,
    without_measuring,
)
from benchlore.diagnosis.ways import folded

_State = tuple[frozenset[tuple[int, int]], frozenset[int], int]  # outcomes seen, fixes tried, set-up


class TooLargeError(Exception):
    """The bench has more places than were allowed."""


@dataclass(frozen=True, slots=True)
class _Step:
    """An action at a place: minutes times weight now, and the places after it with their keys and lower
    bounds.
    """

    upper: float
    spent: float
    after: tuple[tuple[_State, Place, float], ...]

    @property
    def lower(self) -> float:
        return self.spent + math.fsum(bound for _, _, bound in self.after)


def least_minutes(
    bench: Bench, probabilities: Sequence[float], known: float = math.inf, most: float = math.inf
) -> float:
    """Expected minutes of the best of all plans, to rounding.

    A job's future depends on the outcomes seen (in any order), the fixes tried and the set-up: the best plan
    from each such place is computed once. All open measurements, all fixes and escalation are compared, but
    for those that provably cannot beat the best (branch and bound). `known`: the minutes of a plan at hand,
    to start from. Raises TooLargeError beyond `most` places: they grow exponentially with the
    measurements."""
    solver = _Solver(look_at(bench, probabilities), most)
    begin = start(bench, probabilities)
    limit = min(known, without_measuring(solver.look, begin.weights, begin.locked)) * (1 + 1e-12)
    return min(solver.solve((frozenset(), frozenset(), 0), begin, limit), limit)


class _Solver:
    """Places met so far: their value (exact), or a bound that it is not below."""

    def __init__(self, look: Look, most: float) -> None:
        self.look = look
        self.most = most
        self.met: dict[_State, tuple[float, bool]] = {}

    def solve(self, state: _State, place: Place, limit: float) -> float:
        """The least minutes times weight from a place, if below `limit`; else a bound, from `limit` up, below
        it.
        """
        if state in self.met:
            found, exact = self.met[state]
            if exact or found >= limit:
                return found
        if len(self.met) >= self.most:
            raise TooLargeError
        stop = without_measuring(self.look, place.weights, place.locked)
        best, below = min(stop, limit), stop
        for step in sorted(self._steps(state, place), key=lambda step: step.upper):
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
        minutes = step.lower
        for state, place, bound in sorted(step.after, key=lambda after: -math.fsum(after[1].weights)):
            if minutes >= limit:
                break
            minutes += self.solve(state, place, limit - (minutes - bound)) - bound
        return minutes

    def _steps(self, state: _State, place: Place) -> list[_Step]:
        seen, tried, setup = state
        bench, total = self.look.bench, math.fsum(place.weights)
        steps, mine = [], folded(place.weights, bench.extra)
        for m in place.open:
            outcomes = range(len(bench.tables[m]))
            places = [after_outcome(bench, place, m, o) for o in outcomes]
            keys = [(seen | {(m, o)}, tried, after.setup) for o, after in zip(outcomes, places, strict=True)]
            steps.append(self._step(measure_cost(bench, setup, m) * total, keys, places))
        for i, minutes in enumerate(bench.fix_minutes):
            if mine[i] > 0 and self.look.may_of(mine, place.locked, i):
                key = (seen, tried | {i}, bench.fix_setup[i])
                steps.append(self._step(minutes * total, [key], [after_failed_fix(bench, place, i)]))
        return steps

    def _step(self, spent: float, keys: Sequence[_State], places: Sequence[Place]) -> _Step:
        upper = spent + math.fsum(
            without_measuring(self.look, place.weights, place.locked) for place in places
        )
        bounds = [self._bound(place) for place in places]
        return _Step(upper, spent, tuple(zip(keys, places, bounds, strict=True)))

    def _bound(self, place: Place) -> float:
        """What no plan from here can be below: each hypothesis costs at least its own fix, and the first
        action more.

        If that is a measurement, everybody pays it; a fix, everybody but its own fault; escalation, everybody
        in full."""
        look, bench, weights = self.look, self.look.bench, place.weights
        total, least = math.fsum(weights), math.fsum(map(mul, weights, look.floors))
        extra = total * bench.escalate - least
        for m in place.open:
            extra = min(extra, measure_cost(bench, place.setup, m) * total)
        mine = folded(weights, bench.extra)
        for w, minutes, floor in zip(mine, bench.fix_minutes, look.floors, strict=False):
            if w > 0:
                extra = min(extra, minutes * total - w * floor)
        return float(least + extra)


def bench_among_likely(look: Look, place: Place) -> tuple[Look, Place, tuple[int, ...]]:
    """The same job without the faults that are UNLIKELY, whose weight counts as something else's; and the
    indices of the faults that stay.
    """
    bench, count = look.bench, len(look.bench.faults)
    total, mine = fsum(place.weights), folded(place.weights, bench.extra)
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
        fix_setup=tuple([bench.fix_setup[i] for i in live]),
        tables=tuple(
            [
                tuple([tuple([row[c] for c in columns]) for row in table]) if m in place.open else ()
                for m, table in enumerate(bench.tables)
            ]
        ),
        shuts={at: bits(barred) for at, barred in bench.shuts.items()},
        opens={at: bits(spoken) for at, spoken in bench.opens.items()},
        checks={n: bench.checks[i] for n, i in enumerate(live) if i in bench.checks},
        extra=tuple([kept[bench.extra[n]] for n in further]),
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
