"""Walks over simulated good boards: what is healthy comes out again, within the meter's error."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest

from benchlore.book.model import Book
from benchlore.diagnosis.meter import accuracy_limit, largest_reading, range_for
from benchlore.walk.file import read_walk, shown
from benchlore.walk.healthy import judge, range_of
from benchlore.walk.order import walk_minutes, walked
from tests.walk.good_boards import ends, saved, walk_of


def test_two_boards_at_the_ends_of_what_is_healthy_give_the_healthy_ranges(each_book: Book, tmp_path: Path):
    for family in each_book.families.values():
        boards = [
            walk_of(each_book, family, place, seed) for seed, place in ((1, lambda: 0.0), (2, lambda: 1.0))
        ]
        walks = [read_walk(saved(tmp_path, board)) for board in boards]
        measured = {one.id: one for one in walked(family)}
        found = shown(each_book, walks, measured)
        assert found.keys() == measured.keys()
        compared = 0
        for name, one in measured.items():
            walk = range_of(one, found[name])
            if walk is None:
                assert all(board.reading.outcome in one.normal for board in found[name])
                continue
            meter = found[name][0].meter
            ranges = meter.accuracy[one.mode]
            low, high = ends(one, one.outcomes[one.normal[0]], meter)

            def error(true, ranges=ranges):
                """Twice the meter's limit, in the reading and about it; the next range may begin there."""
                chosen = range_for(ranges, true * 1.03)
                return 2.1 * accuracy_limit(chosen, true) + chosen.resolution.middle

            if low <= largest_reading(ranges):
                assert abs(walk.low - low) <= error(low), name
            if high <= largest_reading(ranges):
                assert abs(walk.high - high) <= error(high), name
            else:
                assert math.isinf(walk.high), name
            compared += 1
        assert compared >= len(measured) / 2


def test_no_good_board_differs_from_the_records(each_book: Book, tmp_path: Path):
    for family in each_book.families.values():
        measured = {one.id: one for one in walked(family)}
        for seed in range(20):
            chance = random.Random(1000 + seed)
            walk = read_walk(saved(tmp_path, walk_of(each_book, family, chance.random, seed)))
            for name, (board,) in shown(each_book, [walk], measured).items():
                assert judge(measured[name], board)[0] != "differs", (family.id, name, board.reading.typed)


def test_a_board_that_is_off_differs_by_as_much(book: Book, tmp_path: Path):
    family = book.families["siskin-12"]
    walk = walk_of(book, family, lambda: 0.5, 1)
    walk["readings"].append({"measure": "main-rail-adapter", "meter": walk["meter"], "text": "8.00 V"})
    found = shown(book, [read_walk(saved(tmp_path, walk))], family.measurements)
    verdict, off = judge(family.measurements["main-rail-adapter"], found["main-rail-adapter"][0])
    assert verdict == "differs"
    assert off == pytest.approx(-0.35)


def test_a_reading_outside_by_less_than_the_meter_knows_is_at_the_edge(book: Book, tmp_path: Path):
    family = book.families["siskin-12"]
    one = family.measurements["main-rail-adapter"]  # 8.35 to 8.45 V; the meter: 0.5 % + 3 x 10 mV = 72 mV
    for text, verdict in (
        ("8.36 V", "agrees"),
        ("8.30 V", "edge"),
        ("8.52 V", "edge"),
        ("8.60 V", "differs"),
    ):
        walk = walk_of(book, family, lambda: 0.5, 1)
        walk["readings"].append({"measure": one.id, "meter": walk["meter"], "text": text})
        (board,) = shown(book, [read_walk(saved(tmp_path, walk))], {one.id: one})[one.id]
        assert judge(one, board)[0] == verdict, text


def test_spread_is_between_boards_and_the_error_is_about_them(book: Book, tmp_path: Path):
    family = book.families["siskin-12"]
    one = family.measurements["main-rail-adapter"]
    boards = []
    for seed, text in ((1, "8.37 V"), (2, "8.43 V")):
        walk = walk_of(book, family, lambda: 0.5, seed)
        walk["readings"].append({"measure": one.id, "meter": walk["meter"], "text": text})
        boards.append(read_walk(saved(tmp_path, walk)))
    both = range_of(one, shown(book, boards, {one.id: one})[one.id])
    alone = range_of(one, shown(book, boards[:1], {one.id: one})[one.id])
    assert both is not None
    assert alone is not None
    assert both.spread == pytest.approx(0.06)
    assert (both.low, both.high) == pytest.approx((8.37 - 0.07185, 8.43 + 0.07215))
    assert alone.spread is None


def test_the_walk_takes_the_minutes_of_the_shop(each_book: Book):
    for family in each_book.families.values():
        measures = math.fsum(one.minutes for one in walked(family))
        states = {one.state: family.state_of(one) for one in walked(family)}
        entered = math.fsum(state.minutes for state in states.values())  # each bench state once
        assert walk_minutes(each_book, family) >= measures + entered
