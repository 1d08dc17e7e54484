"""Boards that do not follow the model, by hand: what a way of failing reads, what is shown, what it costs."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from types import SimpleNamespace
from typing import Any

import pytest

from benchlore.book.model import frozen_map
from benchlore.diagnosis import boards
from benchlore.diagnosis.boards import Board, Boards, Job, _beside_record, _of_suspect, _without_sound
from benchlore.diagnosis.likelihood import Scale, scale_of
from benchlore.diagnosis.plan import Branch, Node
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.simulate import Draw, follow
from benchlore.diagnosis.suspects import Suspect
from tests.books import example
from tests.circuit.books import good
from tests.diagnosis.test_conflict_plain import BAD, OK, named, small
from tests.diagnosis.test_scale import METER, OHMS, THREE, measuring

FAMILY = example().families["siskin-12"]
FAULT = good().faults["wren-5/fuse-open"]


class Chance:
    """Gives what it is told, in turn."""

    def __init__(self, *shares: float, gauss: Sequence[float] = ()) -> None:
        self.shares, self.errors = list(shares), list(gauss)

    def random(self) -> float:
        return self.shares.pop(0)

    def uniform(self, low: float, high: float) -> float:
        return low + (high - low) * self.shares.pop(0)

    def gauss(self, middle: float, sigma: float) -> float:
        return middle + sigma * self.errors.pop(0)

    def choice(self, options: Sequence[Any]) -> Any:
        return options[int(self.shares.pop(0) * len(options))]

    def randrange(self, count: int) -> int:
        return int(self.shares.pop(0) * count)


def board(scale: Scale, chance: Chance, reads: dict[str, dict[str, float]] | None = None) -> Board:
    """A board of one measurement whose one fault reads so."""
    measured = replace(THREE, outcomes=frozen_map({b.outcome: THREE.outcomes["low"] for b in scale.bands}))
    case = SimpleNamespace(faults=("f",), scales={"m": scale})
    made = SimpleNamespace(
        case=case,
        chance=chance,
        family=SimpleNamespace(measurements={"m": measured}),
        way=lambda _: reads or {},
        fed={},
    )
    made.silent = partial(Boards.silent, made)  # type: ignore[arg-type]
    return Board(made, 0)  # type: ignore[arg-type]


SCALE = scale_of(replace(THREE, id="m"), METER)


def test_a_reading_is_off_by_the_gain_of_the_meter_and_by_its_counts():
    """4 V in the middle of 3 to 5: 0.5 % / sqrt(3) times two for all of a job, 30 mV / sqrt(3) for each."""
    chance = Chance(0.5, 0.02, 0.5, 0.5, gauss=[2.0, -1.0])
    shown = board(SCALE, chance, {"m": {"normal": 1.0}}).read("m")
    assert shown.value == pytest.approx(4 * (1 + 2 * 0.005 / math.sqrt(3)) - 0.03 / math.sqrt(3), rel=1e-9)
    assert not chance.shares


@pytest.mark.parametrize(("slip", "outcome"), [(0.0199, "bad"), (0.02, "ok"), (0.5, "ok")])
def test_two_readings_in_a_hundred_are_taken_for_another(slip, outcome):
    """The first share draws the outcome; one below 0.02 is a slip, and the next says to which other."""
    chance = Chance(0.0, slip, *([0.0] if slip < 0.02 else []), gauss=[0.0])
    shown = board(named("m"), chance, {"m": {"ok": 1.0}}).read("m")
    assert shown == Reading("m", outcome, outcome=outcome)


def test_a_board_keeps_what_it_reads():
    chance = Chance(0.0, 0.5, 0.5, gauss=[0.0])
    one = board(named("m"), chance, {"m": {"bad": 1.0}})
    assert [one.read("m").outcome, one.read("m").outcome] == ["bad", "bad"]
    assert one.known == {"m": 1}


@pytest.mark.parametrize(
    ("share", "value", "over"),
    [
        (0.0499, None, True),  # one in twenty of `over 8 V` is over the range
        (0.05, 14.0, False),
    ],
)
def test_what_is_over_range(share, value, over):
    chance = Chance(0.0, 0.5, share, 0.5, gauss=[0.0, 0.0])
    shown = board(SCALE, chance, {"m": {"high": 1.0}}).read("m")
    assert (shown.value, shown.over_range) == (value, over)


@pytest.mark.parametrize(("error", "over"), [(0.0, False), (10.0, True)])
def test_what_the_meter_cannot_show_is_over_range(error, over):
    """The largest range ends at 200 V: 200 V itself is shown, and what the error lifts above is not."""
    scale = scale_of(replace(measuring(normal="3 to 5 V", high="150 to 200 V"), id="m"), METER)
    chance = Chance(0.0, 0.5, 0.5, 1.0, gauss=[error, 0.0])
    assert board(scale, chance, {"m": {"high": 1.0}}).read("m").over_range == over
    chance = Chance(0.0, 0.5, 0.5, 1.0, gauss=[0.0, 0.0])
    assert board(scale, chance, {"m": {"high": 1.0}}).read("m").value == 200.0


def test_an_open_circuit_that_is_an_outcome_of_its_own_is_shown_as_over_range():
    scale = scale_of(replace(measuring(OHMS, normal="90 to 110 ohm", gone="open"), id="m"), METER)
    chance = Chance(0.0, 0.5, gauss=[0.0])
    assert board(scale, chance, {"m": {"gone": 1.0}}).read("m") == Reading("m", "OL")


@pytest.mark.parametrize(
    ("shares", "outcome"),
    [
        ((0.899, 0.5), "ok"),  # nine of ten as on a healthy board
        ((0.9, 0.0), "ok"),
        ((0.9, 0.5), "bad"),
        ((0.9, 0.99), "worse"),
    ],
)
def test_what_nobody_knows_reads_mostly_healthy(shares, outcome):
    shown = board(named("m"), Chance(*shares, 0.5, gauss=[0.0])).read("m")
    assert shown.outcome == outcome


def test_of_what_the_record_states_a_way_reads_what_it_foretells():
    """And one in twenty of the rest; where nothing is foretold, all of it."""
    (first, second, *_) = FAULT.test_points
    stated = replace(first, expected_reading=frozen_map({"absent": 0.8, "low": 0.2}))
    fault = replace(FAULT, test_points=(stated, second))
    way = {first.measure: {"low": 0.6, "high": 0.4}, "other": {"normal": 1.0}}
    found = _beside_record(fault, way)
    assert found[first.measure] == pytest.approx({"absent": 0.8 * 0.05, "low": 0.2 * 0.65})
    assert found["other"] == {"normal": 1.0}
    assert found[second.measure] == pytest.approx({o: p * 1.05 for o, p in second.expected_reading.items()})


def test_half_of_what_is_outside_reads_healthy_everywhere():
    name, measured = next((m, one) for m, one in FAMILY.measurements.items() if len(one.normal) == 1)
    (normal,) = measured.normal
    row = {normal: 0.7, "bad": 0.3}
    suspect = Suspect("x", "X", (), "pack", 0.0, frozen_map({name: row}), 1.0, hot=False)
    sound, bare = _of_suspect(FAMILY, suspect)
    assert (sound.share, bare.share) == (0.5, 0.5)
    assert dict(sound.reads) == {m: dict.fromkeys(one.normal, 1.0) for m, one in FAMILY.measurements.items()}
    assert bare.reads[name] == pytest.approx({normal: 0.2, "bad": 0.3})
    (alone,) = _of_suspect(FAMILY, replace(suspect, outside="", reads={name: row, "unknown": None}))
    assert (alone.share, alone.reads) == (1.0, {name: row})


@pytest.mark.parametrize(
    ("row", "normal", "left"),
    [
        ({"a": 0.5, "b": 0.5}, ("a",), {"b": 0.5}),
        ({"a": 0.6, "b": 0.4}, ("a",), {"a": 0.1, "b": 0.4}),
        ({"a": 0.5, "b": 0.5}, ("a", "b"), {"a": 0.25, "b": 0.25}),
        ({"a": 0.4}, ("a",), {"a": 0.4}),  # nothing would be left
    ],
)
def test_without_those_that_read_healthy(row, normal, left):
    assert _without_sound(row, normal) == pytest.approx(left)


@pytest.mark.parametrize(
    ("slip", "hidden"),
    [
        ((0.9, 0.0, 0.8, 0.05), 1),
        ((0.9, 0.0, 0.8, 0.049), 2),  # one job in twenty has no record
        ((0.0, 0.0, 0.1, 0.9, 0.0, 0.8, 0.05), 1),  # the first does not show the symptom: drawn again
        ((0.0, 0.0, 0.099, 0.05), 0),
    ],
)
def test_which_board_a_job_has(monkeypatch, slip, hidden):
    """Two faults, of priors 0.2 and 0.6, each off by a factor from a third to three."""
    case = small((0.2, 0.6, 0.2), {"m": [OK, BAD]}, {"dead": (0.1, 0.9, 0.5)})
    monkeypatch.setattr(boards, "_ways_of", lambda *_: [])
    monkeypatch.setattr(random, "Random", lambda _: Chance(0.0, 1.0, *slip))
    made = Boards(example(), FAMILY, case, 1)
    assert made.prior == pytest.approx((0.2 / 3, 0.2 / 3 + 1.8))
    followed: list[tuple[str, int]] = []
    monkeypatch.setattr(made, "_follow", lambda _, symptom, hidden: followed.append((symptom, hidden)))
    assert len(list(made.jobs({"dead": tree()}, 1))) == 1
    assert followed == [("dead", hidden)]


# A job by hand: measure `m` (2 min); if it is bad mend f0 (10 min), else escalate (60 min); where f0 does not
# help, look again (1 min) and mend f1 (20 min).
def tree() -> Node:
    stop = Node("escalate", "", 0.1, 60.0, 60.0)
    second = Node("fix", "f1", 0.2, 20.0, 20.0, failed=None)
    branches = tuple(Branch(o, 0.3, second) for o in ("ok", "bad", "worse"))
    again = Node("measure", "m", 0.2, 1.0, 21.0, branches=branches)
    first = Node("fix", "f0", 0.5, 10.0, 10.0, failed=again)
    found = (Branch("ok", 0.3, stop), Branch("bad", 0.4, first), Branch("worse", 0.3, stop))
    return Node("measure", "m", 1.0, 2.0, 30.0, branches=found)


@pytest.mark.parametrize(
    ("hidden", "reads", "minutes", "lost", "mended", "proved"),
    [
        (0, BAD, 12.0, 0.0, True, "f0"),
        (1, BAD, 33.0, 10.0, True, "f1"),
        (0, OK, 62.0, 0.0, False, None),
        (2, BAD, 33.0, 10.0, True, "f1"),  # something else: the last fix ends the plan
    ],
)
def test_what_a_job_costs(monkeypatch, hidden, reads, minutes, lost, mended, proved):
    case = small((0.6, 0.3, 0.1), {"m": [reads, reads]})
    outcome = "bad" if reads == BAD else "ok"
    shown = Reading("m", outcome, outcome=outcome)

    class Fixed:
        def __init__(self, *_: object) -> None:
            pass

        def read(self, _: str) -> Reading:
            return shown

        reading = read

    monkeypatch.setattr(boards, "Board", Fixed)
    for guarded, fixes in ((0b11, (0,)), (0b10, ()), (0, ())):
        made = SimpleNamespace(case=replace(case, bench=replace(case.bench, guarded=guarded)))
        job = Boards._follow(made, tree(), "dead", hidden)  # type: ignore[arg-type]
        wrong = fixes if lost else ()
        assert job == Job("dead", hidden, minutes, lost, wrong, mended, (shown,))
    drawn = SimpleNamespace(case=case, reading=lambda *_: shown, way=lambda hidden: hidden)
    simulated = follow(drawn, tree(), "dead", hidden)  # type: ignore[arg-type]
    assert (simulated.minutes, simulated.proved, simulated.readings) == (minutes, proved, (shown,))


@pytest.mark.parametrize(("hidden", "minutes", "proved"), [(0, 12.0, "f0"), (1, 12.0, "f0"), (2, 33.0, "f1")])
def test_a_job_ends_at_the_first_fix_that_mends_it(monkeypatch, hidden, minutes, proved):
    """That of f0 mends f1, too."""
    case = small((0.6, 0.3, 0.1), {"m": [BAD, BAD]})
    case = replace(case, bench=replace(case.bench, guarded=0b11, mends={0: (0, 1)}))
    shown = Reading("m", "bad", outcome="bad")
    monkeypatch.setattr(boards, "Board", lambda *_: SimpleNamespace(read=lambda _: shown))
    job = Boards._follow(SimpleNamespace(case=case), tree(), "dead", hidden)  # type: ignore[arg-type]
    assert (job.minutes, job.fixes) == (minutes, () if proved == "f0" else (0,))
    drawn = SimpleNamespace(case=case, reading=lambda *_: shown, way=lambda hidden: hidden)
    simulated = follow(drawn, tree(), "dead", hidden)  # type: ignore[arg-type]
    assert (simulated.minutes, simulated.proved) == (minutes, proved)


# The model's own draws.


def draw(chance: Chance, rows: list[Any]) -> Draw:
    return Draw(small((0.6, 0.3, 0.1), {"m": rows}), chance)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("way", "shares", "outcome"),
    [
        (0, (0.02, 0.0), "ok"),
        (1, (0.02, 0.0), "bad"),
        (0, (0.019, 0.5), "bad"),  # two in a hundred mean nothing
        (0, (0.019, 0.99), "worse"),
        (3, (0.899, 0.0), "ok"),  # something else is healthy in nine of ten, or in three
        (3, (0.9, 0.5), "bad"),
        (2, (0.299, 0.0), "ok"),
        (2, (0.3, 0.5), "bad"),
    ],
)
def test_what_the_model_draws(way, shares, outcome):
    assert draw(Chance(*shares), [OK, BAD]).reading("m", way).outcome == outcome


@pytest.mark.parametrize(
    ("shares", "value"),
    [
        (
            (0.1, 0.4, 0.0, 0.5, 0.5),
            4.0,
        ),  # nine of ten as an outcome: the second; 0.5: within it, in its middle
        ((0.1, 0.4, 0.0, 0.0249, 0.0), 3.0),  # beside it below: none of the 2 V to `under 1 V`
        ((0.1, 0.4, 0.0, 0.0249, 0.75), 2.0),  # half of them: 1 - sqrt(1 - 0.75)
        ((0.1, 0.4, 0.0, 0.025, 0.5), 4.0),
        ((0.1, 0.4, 0.0, 0.974, 0.5), 4.0),
        ((0.1, 0.4, 0.0, 0.975, 0.75), 6.5),  # beside it above: half of the 3 V to `over 8 V`
        ((0.1, 0.0, 0.0, 0.0, 0.5), 0.5),  # nothing lies below `under 1 V`
        ((0.1, 0.7, 0.0499), None),  # over-range
        ((0.1, 0.7, 0.05, 0.99, 0.5), 14.0),  # nothing lies above `over 8 V`
        ((0.0999, 0.0999), None),  # one of ten lies anywhere, a tenth of these over-range
        ((0.0999, 0.1, 0.75), 10.0),  # from -20 to 20 V
    ],
)
def test_where_a_reading_that_means_nothing_lies(shares, value):
    chance = Chance(*shares, gauss=[0.0])
    made = draw(chance, [OK, BAD])
    found = made._meaningless(SCALE)
    assert found.value == (None if value is None else pytest.approx(value))
    assert not chance.shares
