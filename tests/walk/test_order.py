"""The order of a walk: without power first, each state once, and no order that costs less."""

from __future__ import annotations

import itertools
import random

from benchlore.book.model import Book
from benchlore.diagnosis.minutes import NOTHING, Setup, change_minutes
from benchlore.walk.order import _EXACT, order, order_of_states, stops, walked


def cost(book, family, setups):
    total, stands = 0.0, NOTHING
    for setup in setups:
        total += change_minutes(book, family, stands, setup)
        stands = setup
    return total


def test_every_point_is_walked_once_and_what_has_no_power_first(each_book: Book):
    for family in each_book.families.values():
        found = stops(each_book, family)
        assert sorted(name for stop in found for name in stop.measures) == sorted(
            m.id for m in walked(family)
        )
        powered = {state.id for state in family.bench_states if state.sources}
        live = [stop.setup.state in powered for stop in found]
        assert live == sorted(live)
        states = [stop.setup.state for stop in found]
        assert len(list(itertools.groupby(states))) == len(set(states))


def test_a_good_board_gets_no_current_from_outside(book: Book):
    left = {m.id for f in book.families.values() for m in f.measurements.values()} - {
        m.id for f in book.families.values() for m in walked(f)
    }
    assert left == {"pack-data-heat", "mgmt-data-heat"}  # the two that inject


def test_no_order_costs_less(book: Book):
    """Against every order, on drawn set-ups."""
    family = book.families["siskin-12"]
    idle = [state.id for state in family.bench_states if not state.sources]
    live = [state.id for state in family.bench_states if state.sources]
    out = [
        frozenset(found) for count in range(3) for found in itertools.combinations(("A1", "B1", "C1"), count)
    ]
    chance = random.Random(1)
    for _ in range(60):
        groups = {
            name: [Setup(name, parts) for parts in chance.sample(out, chance.randint(1, 2))]
            for name in (*idle, *live)
        }
        best = min(
            cost(book, family, list(itertools.chain(*ways)))
            for first in itertools.permutations(idle)
            for then in itertools.permutations(live)
            for ways in itertools.product(*(itertools.permutations(groups[name]) for name in (*first, *then)))
        )
        found = order(book, family, [setup for group in groups.values() for setup in group])
        assert cost(book, family, found) == best


def test_many_set_ups_of_a_state_are_walked_too(book: Book):
    family = book.families["siskin-12"]
    state = next(state.id for state in family.bench_states if state.sources)
    setups = [Setup(state, frozenset({f"P{n}"})) for n in range(_EXACT + 4)]
    found = order(book, family, setups)
    assert sorted(found, key=str) == sorted(setups, key=str)


def test_states_of_free_points_begin_without_power(book: Book):
    found = order_of_states(book.states.values())
    assert sorted(found) == sorted(book.states)
    live = [bool(book.states[name].sources) for name in found]
    assert live == sorted(live)
