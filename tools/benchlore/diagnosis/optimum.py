"""The exact optimum of a small bench by dynamic programming, to judge the plan by."""

from __future__ import annotations

from collections.abc import Sequence

from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.search import Look, Place, look_at, measure_cost, start, value

_SAME = 1e-12
_Key = tuple[frozenset[tuple[int, int]], frozenset[int], int]


def least_minutes(bench: Bench, probabilities: Sequence[float]) -> float:
    """Expected minutes of the best of all plans, to rounding.

    A job's future depends on the outcomes seen (in any order), the fixes tried and the set-up; the best plan
    from each such place is computed once. At every place all open measurements, all fixes and escalation are
    compared; one that cannot beat the best so far, because every hypothesis costs at least its own fix, is
    left out (branch and bound). Time and memory grow exponentially with the measurements: meant for up to
    ten."""
    return _Optimum(look_at(bench)).of(start(bench, probabilities), frozenset(), frozenset())


class _Optimum:
    """The places computed so far: their value, or, where a limit was met, a bound below it."""

    def __init__(self, look: Look) -> None:
        self.look = look
        self.known: dict[_Key, float] = {}

    def of(self, place: Place, seen: frozenset[tuple[int, int]], tried: frozenset[int]) -> float:
        key = (seen, tried, place.setup)
        if key not in self.known:
            self.known[key] = self._best(place, seen, tried)
        return self.known[key]

    def _best(self, place: Place, seen: frozenset[tuple[int, int]], tried: frozenset[int]) -> float:
        best = value(self.look, place, 1)
        best = self._measuring(place, seen, tried, best)
        return self._fixing(place, seen, tried, best)

    def _measuring(
        self, place: Place, seen: frozenset[tuple[int, int]], tried: frozenset[int], best: float
    ) -> float:
        bench = self.look.bench
        total, least = sum(place.weights), self._least(place.weights)
        costs = sorted((measure_cost(bench, place.setup, m) * total, m) for m in place.open)
        for spent, m in costs:
            if spent + least >= best - _SAME:
                break
            still = tuple(n for n in place.open if n != m)
            children = [
                tuple([w * p for w, p in zip(place.weights, row, strict=True)]) for row in bench.tables[m]
            ]
            minutes = spent + least
            for o, weights in enumerate(children):
                child = Place(weights, still, bench.measure_setup[m])
                minutes += self.of(child, seen | {(m, o)}, tried) - self._least(weights)
                if minutes >= best - _SAME:
                    break
            else:
                best = minutes
        return best

    def _fixing(
        self, place: Place, seen: frozenset[tuple[int, int]], tried: frozenset[int], best: float
    ) -> float:
        bench, total = self.look.bench, sum(place.weights)
        for i, minutes in enumerate(bench.fix_minutes):
            if place.weights[i] <= 0:
                continue
            weights = (*place.weights[:i], 0.0, *place.weights[i + 1 :])
            spent = minutes * total
            if spent + self._least(weights) < best - _SAME:
                child = Place(weights, place.open, bench.fix_setup[i])
                best = min(best, spent + self.of(child, seen, tried | {i}))
        return best

    def _least(self, weights: Sequence[float]) -> float:
        return sum([w * f for w, f in zip(weights, self.look.floors, strict=True)])
