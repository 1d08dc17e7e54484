"""The order of a walk: every bench state once, those without a source first, for the fewest minutes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache, partial
from math import fsum

from benchlore.book.model import Book, Family, Measurement, State
from benchlore.book.same import Same
from benchlore.diagnosis.minutes import NOTHING, Setup, change_minutes, setup_of
from benchlore.vocabulary import FUNCTIONS, SIDES

# So many set-ups of one state are put in the best order; of more, each is followed by the nearest.
_EXACT = 9

# Minutes; then sources to plug or to unplug, of which the shop's minutes say nothing.
Cost = tuple[float, int]
Price = Callable[[Setup, Setup], Cost]
# What a way costs, and the set-ups on it.
_Way = tuple[Cost, tuple[Setup, ...]]


@dataclass(frozen=True, slots=True)
class Stop:
    """How the bench stands, and what is read while it does. `minutes`: to set it up from the stop before."""

    setup: Setup
    minutes: float
    measures: tuple[str, ...]


def walked(family: Family) -> tuple[Measurement, ...]:
    """The measurements of a walk: all but those that inject, which a good board has no use for, and
    those that compare two points, whose healthy share its record states by what the meter leaves of it."""
    of_one = (m for m in family.measurements.values() if m.inject is None and m.compare is None)
    return tuple(m for m in of_one if family.states.get(m.state))


def stops(book: Book, family: Family) -> tuple[Stop, ...]:
    """The stops of a walk over a family, in order."""
    return _stops(Same(book), Same(family))


@lru_cache(maxsize=8)
def _stops(of_book: Same[Book], of_family: Same[Family]) -> tuple[Stop, ...]:
    book, family = of_book.record, of_family.record
    by_setup: dict[Setup, list[str]] = {}
    for one in sorted(walked(family), key=partial(_place, family)):
        by_setup.setdefault(setup_of(family, one.id), []).append(one.id)
    found, stands = [], NOTHING
    for setup in order(book, family, tuple(by_setup)):
        found.append(Stop(setup, change_minutes(book, family, stands, setup), tuple(by_setup[setup])))
        stands = setup
    return tuple(found)


def walk_minutes(book: Book, family: Family) -> float:
    """Bench minutes that the walk takes by the shop's file: set-ups and measurements."""
    found = stops(book, family)
    reads = (family.measurements[one].minutes for stop in found for one in stop.measures)
    return fsum((*(stop.minutes for stop in found), *reads))


def order_of_states(states: Iterable[State]) -> tuple[str, ...]:
    """The order in which a walk of free points takes bench states: without a source first, then each with
    the fewest sources to plug and to unplug after the one before."""
    known = {state.id: state for state in states}
    left = sorted(known, key=lambda name: (bool(known[name].sources), name))
    found: list[str] = []
    stands: frozenset[str] = frozenset()
    while left:
        found.append(min(left, key=lambda name: len(stands ^ frozenset(known[name].sources))))
        left.remove(found[-1])
        stands = frozenset(known[found[-1]].sources)
    return tuple(found)


def _place(family: Family, one: Measurement) -> tuple[int, int, str, str]:
    """What is read one after the other: what is looked at, then one side of the board, one function of the
    meter."""
    point = family.test_points.get(one.at)
    side = 1 + tuple(SIDES).index(point.side) if point and one.unit is not None else 0
    return side, tuple(FUNCTIONS).index(one.mode), one.at, one.id


def order(book: Book, family: Family, setups: Sequence[Setup]) -> tuple[Setup, ...]:
    """Set-ups in the order that costs least: each state's together, states without a source first."""
    known = {state.id: frozenset(state.sources) for state in family.bench_states}

    @cache
    def price(before: Setup, after: Setup) -> Cost:
        plugs = known.get(before.state or "", frozenset()) ^ known[after.state or ""]
        return change_minutes(book, family, before, after), len(plugs)

    of_state: dict[str, list[Setup]] = {}
    for setup in sorted(setups, key=lambda setup: (setup.state or "", sorted(setup.unplugged))):
        of_state.setdefault(setup.state or "", []).append(setup)
    ways: Mapping[Setup, _Way] = {NOTHING: ((0.0, 0), ())}
    for live in (False, True):
        chosen = [setups for name, setups in of_state.items() if bool(known[name]) is live]
        ways = _through(ways, [_inside(setups, price) for setups in chosen], price)
    return min(ways.values(), key=_worth)[1]


def _inside(setups: Sequence[Setup], price: Price) -> Mapping[tuple[Setup, Setup], _Way]:
    """The best ways through the set-ups of one state, by the first and the last of them."""
    found = {}
    for first in setups:
        others = [{(one, one): ((0.0, 0), (one,))} for one in setups if one != first]
        start = {first: ((0.0, 0), (first,))}
        ways = _through(start, others, price) if len(setups) <= _EXACT else _nearest(start, others, price)
        found.update({(first, last): way for last, way in ways.items()})
    return found


def _through(
    starts: Mapping[Setup, _Way], groups: Sequence[Mapping[tuple[Setup, Setup], _Way]], price: Price
) -> Mapping[Setup, _Way]:
    """The best ways on from some set-ups through all groups, each in one go, by the set-up at their end.

    A dynamic programme over the subsets of the groups (Held and Karp 1962, from memory)."""
    best = {(0, last): way for last, way in starts.items()}
    for _ in groups:
        longer: dict[tuple[int, Setup], _Way] = {}
        for (behind, stands), way in best.items():
            for n, group in enumerate(groups):
                for (first, last), inside in group.items() if not behind >> n & 1 else ():
                    key, made = (behind | 1 << n, last), _joined(way, price(stands, first), inside)
                    if key not in longer or _worth(made) < _worth(longer[key]):
                        longer[key] = made
        best = longer
    return {last: way for (_, last), way in best.items()}


def _nearest(
    starts: Mapping[Setup, _Way], groups: Sequence[Mapping[tuple[Setup, Setup], _Way]], price: Price
) -> Mapping[Setup, _Way]:
    """The same, each group followed by the nearest."""
    found, left = dict(starts), list(groups)
    while left:
        ((stands, way),) = found.items()
        steps = [(price(stands, first), group, first) for group in left for first, _ in group]
        cost, group, first = min(steps, key=lambda step: step[0])
        found = {first: _joined(way, cost, group[first, first])}
        left.remove(group)
    return found


def _joined(way: _Way, cost: Cost, inside: _Way) -> _Way:
    minutes, plugs = (fsum(each) for each in zip(way[0], cost, inside[0], strict=True))
    return (minutes, int(plugs)), way[1] + inside[1]


def _worth(way: _Way) -> tuple[float, int]:
    """What differs by rounding only is equal; then the first way that was found stays."""
    return round(way[0][0], 9), way[0][1]
