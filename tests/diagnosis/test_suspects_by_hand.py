"""What a suspect costs, is called and reads, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from benchlore.book.model import Book, Expectation, Family, frozen_map
from benchlore.circuit.foretold import asks_of, predictor_of
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.suspects import Suspect
from benchlore.diagnosis import suspects
from benchlore.diagnosis.suspects import (
    CHECK,
    LOOK_FOR,
    Member,
    hazards_of_suspect,
    looks_of,
    outside_of,
    suspects_of,
)
from tests.books import example
from tests.circuit.books import FAMILY, good

BOOK = good()
WREN = BOOK.families[FAMILY]


def member(part: str, share: float, minutes: float = 10.0, mode: str = "open", at: str = "") -> Member:
    return Member(part, mode, at, share, minutes)


def test_the_minutes_to_change_a_part():
    """Its minutes, its price at 60 an hour, a risk of 5 % of 60 minutes, and a measurement of two."""
    shop = replace(BOOK.shop, risk=frozen_map({"hot-air": 5.0}))
    part = WREN.parts["U1"]
    assert (part.replace.minutes, part.replace.price, BOOK.shop.escalate.minutes) == (30, 2, 60)
    assert suspects._change_minutes(replace(BOOK, shop=shop), part) == pytest.approx(30 + 2 + 3 + CHECK)
    assert suspects._change_minutes(BOOK, part) == pytest.approx(30 + 2 + CHECK)
    free = replace(part, replace=replace(part.replace, price=None))
    assert suspects._change_minutes(BOOK, free) == pytest.approx(30 + CHECK)


@pytest.mark.parametrize(
    ("members", "minutes"),
    [
        ((member("C1", 1.0),), 10.0),
        ((member("C1", 0.6), member("C1", 0.4, mode="leaks")), 10.0),
        ((member("C1", 0.6), member("U1", 0.4, 30.0)), LOOK_FOR + 10 + 0.4 * 30),
        ((member("C1", 0.5), member("U1", 0.3, 30.0), member("C1", 0.2)), LOOK_FOR + 10 + 0.5 * 30),
    ],
)
def test_the_minutes_until_a_part_is_found(members, minutes):
    assert suspects._search_minutes(members) == pytest.approx(minutes)


def test_a_part_that_holds_a_net_warms_up_four_times_in_five():
    """6 min to look for it; then it is changed at once, or one after another: 10, and 30 for four of ten."""
    for mode in ("shorted-to-ground", "leaks"):
        group = (member("C1", 0.6, mode=mode, at="MAIN"), member("U1", 0.4, 30.0, mode=mode, at="MAIN"))
        minutes = LOOK_FOR + 0.8 * (0.6 * 10 + 0.4 * 30) + 0.2 * (10 + 0.4 * 30)
        assert suspects._search_minutes(group) == pytest.approx(minutes)
    one_open = (group[0], member("U1", 0.4, 30.0))
    assert suspects._search_minutes(one_open) == pytest.approx(LOOK_FOR + 10 + 0.4 * 30)


@pytest.mark.parametrize(
    ("members", "title"),
    [
        ((member("C1", 1.0),), "C1, bulk capacitor: open"),
        ((member("C1", 0.5), member("C1", 0.5, mode="leaks")), "C1, bulk capacitor: open or leaks to ground"),
        ((member("C1", 0.5, at="MAIN"), member("U1", 0.5, at="MAIN")), "MAIN open: one of C1, U1"),
        ((member("C1", 0.5, at="MAIN"), member("U1", 0.5, at="SDA")), "One of C1, U1: open"),
        ((member("C1", 0.5), member("U1", 0.5)), "One of C1, U1: open"),
        (tuple(member(p, 0.2) for p in ("C1", "U1", "F1", "J1")), "One of C1, U1, F1, J1: open"),
        (
            tuple(member(p, 0.2) for p in ("C1", "U1", "F1", "J1", "X1", "X2")),
            "One of C1, U1, F1, J1 and 2 more: open",
        ),
    ],
)
def test_what_a_suspect_is_called(members, title):
    assert suspects._title(WREN, members, {}) == title


def test_the_likely_and_quick_part_is_tried_first_and_matched_firmware_last():
    group = tuple(Suspect(Fault(p, "open", "MAIN"), s, 2) for p, s in (("U1", 0.3), ("C1", 0.1), ("J1", 0.1)))
    found = suspects._members(BOOK, WREN, group, 1.0)
    assert [m.share for m in found] == pytest.approx([0.2, 0.6, 0.2])
    # J1: 5 min, and no price, since it is plugged in; C1: 10 and 0.3; U1: 30 and 2. Two minutes to measure.
    assert [(m.part, m.minutes) for m in found] == [("J1", 7.0), ("U1", 34.0), ("C1", 12.3)]
    matched = replace(
        WREN.parts["C1"], replace=replace(WREN.parts["C1"].replace, donor="firmware of the board")
    )
    family = replace(WREN, parts=frozen_map({**WREN.parts, "C1": matched}))
    assert [m.part for m in suspects._members(BOOK, family, group, 1.0)] == ["J1", "U1", "C1"]
    assert [m.part for m in suspects._members(BOOK, family, group[1:2], 0.3)] == ["C1"]


def test_what_is_outside_reads_healthy_half_of_the_time():
    one = WREN.measurements["main-rail"]
    assert suspects._half_sound(one, {"absent": 1.0}) == {"absent": 0.5, "healthy": 0.5}
    assert suspects._half_sound(one, {"healthy": 0.4, "low": 0.6}) == pytest.approx(
        {"healthy": 0.7, "low": 0.3}
    )
    assert suspects._half_sound(one, None) is None
    two = replace(one, outcomes={**one.outcomes, "low": replace(one.outcomes["low"], normal=True)})
    assert suspects._half_sound(two, {"absent": 1.0}) == {"absent": 0.5, "healthy": 0.25, "low": 0.25}
    none = replace(one, outcomes={n: replace(o, normal=False) for n, o in one.outcomes.items()})
    assert suspects._half_sound(none, {"absent": 1.0}) is None
    assert suspects._fed(WREN, one, {"adapter"})
    assert not suspects._fed(WREN, one, {"pack"})
    assert not suspects._fed(WREN, replace(one, state="all-off"), {"adapter"})


def test_what_no_record_lists_is_suspected_by_its_kind():
    """The adapter enters, and so does the pack, and neither is a part of the family."""
    found = {s.outside: s for s in suspects_of(BOOK, WREN) if s.outside}
    assert set(found) == {"accessory", "pack", "adapter", "cable", "settings"}
    for kind in ("pack", "adapter", "cable", "settings"):
        one = found[kind]
        assert (one.id, one.members, one.weight, one.hot) == (f"{FAMILY}/~{kind}", (), 0.0, False)
        assert one.minutes == LOOK_FOR + CHECK
    at_adapter = {"fused-rail", "main-rail", "sda-level", "sda-level-unplugged"}
    assert not at_adapter & set(found["adapter"].reads)
    assert not at_adapter & set(found["cable"].reads)
    assert at_adapter <= set(found["pack"].reads) == set(WREN.measurements) - {"main-rail-on-pack"}
    assert set(found["settings"].reads) == set(WREN.measurements)
    assert found["settings"].reads["main-rail"] == {"healthy": 1.0}
    display = found["accessory"]
    assert display.members == (Member("J1", "", "", 1.0, 5 + CHECK),)
    assert (display.id, display.minutes, display.hot) == (f"{FAMILY}/~j1", 5 + CHECK, False)


def test_a_recorded_fault_may_be_of_what_is_plugged_in():
    assert outside_of(BOOK, BOOK.faults["wren-5/line-held-low"]) == "accessory"
    fuse = BOOK.faults["wren-5/fuse-open"]
    assert outside_of(BOOK, fuse) == ""
    program = replace(fuse, fix=replace(fuse.fix, action="reprogram"))
    assert outside_of(BOOK, program) == ""
    setting = replace(program, cause=replace(fuse.cause, mode=None, variants=()))
    assert outside_of(BOOK, setting) == "settings"


def test_what_is_recorded_is_no_suspect():
    """A short of C1 has a record; a leak of it has none."""
    ways = {(m.part, m.mode) for s in suspects_of(BOOK, WREN) for m in s.members}
    assert ("C1", "shorted-to-ground") not in ways
    assert ("F1", "open") not in ways
    assert ("U1", "open") in ways


TEAL = example().families["teal-8"]
LOOK = "receptacle-look"  # at a point on J80: clean, worn or burnt


def with_record(part: str, outcome: str, seen: int) -> Book:
    """The book with the one record of what is seen there changed, and another of a part."""
    book = example()
    worn = book.faults["teal-8/receptacle-worn-out"]
    read = replace(worn.test_points[0], measure=LOOK, expected_reading=frozen_map({outcome: 1.0}))
    cause = replace(worn.cause, part=part)
    other = replace(worn, id="teal-8/other", cause=cause, test_points=(read,), seen=seen)
    return replace(book, faults=frozen_map({**book.faults, other.id: other}))


def test_a_look_shows_the_part_that_is_mostly_at_fault_there():
    assert looks_of(example(), TEAL)[LOOK] == "J80"
    own = sum(
        f.seen + 0.5
        for f in example().faults.values()
        if f.cause.part == "J80" and any(e.measure == LOOK for e in f.test_points)
    )
    few, many = math.floor(own / 3 - 0.5), math.floor(own / 3 - 0.5) + 1
    assert LOOK in looks_of(with_record("U82", "burnt", few), TEAL)
    assert LOOK not in looks_of(with_record("U82", "burnt", many), TEAL), "more than one job of four"
    assert LOOK in looks_of(with_record("U82", "clean", many), TEAL), "a healthy look says nothing"
    nobody = replace(example(), faults=frozen_map({}))
    assert looks_of(nobody, TEAL)[LOOK] == "J80", "no record says that it shows anything else"


@pytest.mark.parametrize(
    ("states", "left"),
    [
        ({"worn": 1.0}, {"burnt": 1.0}),
        ({"worn": 0.9, "burnt": 0.1}, {"burnt": 1.0}),  # of what is rarely burnt, burnt is no record
        ({"worn": 0.6, "burnt": 0.4}, None),
    ],
)
def test_what_a_record_only_now_and_then_reads_is_no_record_of_it(states, left):
    looks = looks_of(example(), TEAL)
    fault = next(f for f in example().faults.values() if f.cause.part == "J80" and f.family == "teal-8")
    seen = replace(
        fault,
        test_points=(Expectation(origin=fault.origin, measure=LOOK, expected_reading=frozen_map(states)),),
    )
    assert suspects._looks(TEAL, TEAL.parts["J80"], looks, (seen,)) == {LOOK: left}


def test_a_part_that_is_looked_at_may_be_damaged_as_no_record_says():
    book, looks = example(), looks_of(example(), TEAL)
    faults = tuple(f for f in book.faults.values() if f.family == "teal-8")
    part = TEAL.parts["J80"]
    recorded = {
        o
        for f in faults
        if f.cause.part == "J80"
        for e in f.test_points
        if e.measure == LOOK
        for o, share in e.expected_reading.items()
        if share >= suspects.ABOUT
    }
    left = [o for o in TEAL.measurements[LOOK].outcomes if o != "clean" and o not in recorded]
    found = suspects._looks(TEAL, part, looks, faults)
    assert found == {LOOK: dict.fromkeys(left, 1 / len(left)) if left else None}
    assert suspects._looks(TEAL, part, looks, ()) == {LOOK: {"worn": 0.5, "burnt": 0.5}}
    assert suspects._looks(TEAL, TEAL.parts["U82"], looks, ()) == {}
    without = replace(
        book, faults=frozen_map({f: r for f, r in book.faults.items() if r.cause.part != "J80"})
    )
    at_part = replace(TEAL.measurements[LOOK], at="J80")
    family = replace(TEAL, measurements=frozen_map({**TEAL.measurements, LOOK: at_part}))
    (one,) = (s for s in suspects_of(without, family) if s.id == "teal-8/~j80-damaged")
    # 12 min to clean or reseat it and 2 to measure; one of five is changed then.
    minutes = 14 + 0.2 * suspects._change_minutes(book, part)
    assert [(m.part, m.mode, m.at, m.share) for m in one.members] == [("J80", "damaged", "", 1.0)]
    assert one.minutes == one.members[0].minutes == pytest.approx(minutes)
    assert (one.weight, one.outside, one.hot, one.by_hand) == (1.0, "", False, True)
    by_hand = [s for s in suspects_of(without, family) if s.by_hand and s.id != one.id]
    assert {m.mode for s in by_hand for m in s.members} == {"loose", "leaks"}, "dirt, and no pressure"
    assert {family.parts[m.part].kind for s in by_hand for m in s.members} == {"connector"}
    bare = ("lithium-pack", "solvent", "stored-charge", "static")
    brought = hazards_of_suspect(without, family, one)
    assert set(brought) >= set(bare)
    assert "burn" in brought, "it is changed with heat where cleaning does not help"
    unrecorded = replace(without, faults=frozen_map({}))
    assert sorted(hazards_of_suspect(unrecorded, family, one)) == sorted(bare)
    assert hazards_of_suspect(unrecorded, family, replace(one, by_hand=False)) == ()
    assert one.reads[LOOK] == {"worn": 0.5, "burnt": 0.5}
    opened = predictor_of(without, family)
    for m, ask in asks_of(family):
        lost = opened.predict([ask], Fault("J80", "open"), words=False)[ask]
        assert one.reads[m.id] == (m.reads_healthy or None if lost.healthy else None)


def test_a_contact_that_does_not_carry_shows_at_the_look_at_its_connector():
    """Six of ten look wrong, in even shares; what is at another part shows nothing there."""
    found = {s.id: s for s in suspects_of(example(), TEAL)}
    contacts = [s for s in found.values() if {m.part for m in s.members} == {"J80"} and s.weight != 1.0]
    assert contacts
    for one in contacts:
        assert one.reads[LOOK] == pytest.approx({"clean": 0.4, "worn": 0.3, "burnt": 0.3}), one.id
    others = [s for s in found.values() if not s.outside and "J80" not in {m.part for m in s.members}]
    assert not any(s.reads.get(LOOK) for s in others)


def test_an_open_contact_disturbs_less_of_its_board_than_an_open_part():
    """Of a contact of which no element speaks three of ten readings beside it are amiss, of a part six."""
    seen = set()
    for one in suspects_of(example(), TEAL):
        kinds = {TEAL.parts[m.part].kind for m in one.members}
        if one.outside or {m.mode for m in one.members} != {"open"} or len(kinds) != 1:
            continue
        rows = [(TEAL.measurements[m], row) for m, row in one.reads.items() if row]
        healthy = [sum(row.get(o, 0.0) for o in m.normal) for m, row in rows if m.unit]
        amiss = {round(1 - p, 3) for p in healthy} - {0.0}
        if kinds == {"connector"} and amiss <= {0.3, 0.6}:
            assert amiss <= {0.3}, one.id
            seen |= amiss
        elif kinds != {"connector"}:
            assert 0.3 not in amiss, one.id
    assert seen == {0.3}


def pressed(part: str = "U82", state: str = "usb-c-only", kind: str = "ic") -> Family:
    """The family, in which the look at its receptacle is one at a chip, in a bench state."""
    look = replace(TEAL.measurements[LOOK], id="press", at=part, state=state)
    parts = {**TEAL.parts, part: replace(TEAL.parts[part], kind=kind)}
    return replace(
        TEAL, measurements=frozen_map({**TEAL.measurements, "press": look}), parts=frozen_map(parts)
    )


def powered() -> set[str]:
    return {state.id for state in TEAL.bench_states if state.sources}


def jointed(family: Family) -> list[suspects.Suspect]:
    return [s for s in suspects_of(example(), family) if s.reflowed]


def test_a_chip_that_is_pressed_under_power_shows_its_joints_and_is_reflowed_first():
    """45 min and 2 to measure, 5 % of 150 at risk; of five it does not hold at one, which is changed: 40 min,
    5 for the part, the same risk, 2 to measure. It counts as one way of failing."""
    assert "usb-c-only" in powered()
    (one,) = jointed(pressed())
    change = 40 + 5 + 7.5 + 2
    assert suspects._change_minutes(example(), TEAL.parts["U82"]) == pytest.approx(change)
    assert one.members == (Member("U82", "loose", "", 1.0, one.minutes),)
    assert one.minutes == pytest.approx(min(45 + 2 + 7.5 + 0.2 * change, change))
    assert (one.id, one.weight, one.hot, one.by_hand) == ("teal-8/~u82-loose", 1.0, True, False)
    assert one.reads["press"] == {"worn": 0.5, "burnt": 0.5}
    slow = replace(TEAL.parts["U82"], replace=replace(TEAL.parts["U82"].replace, minutes=190.0))
    assert suspects._reflow_minutes(example(), slow) == pytest.approx(45 + 2 + 7.5 + 0.2 * 150), (
        "or the board"
    )


def test_what_is_looked_at_without_power_or_is_no_chip_is_changed():
    assert "nothing-connected" not in powered()
    assert jointed(pressed(state="nothing-connected")) == []
    assert jointed(pressed(kind="mosfet")) == []
    for family in (pressed(state="nothing-connected"), pressed(kind="mosfet")):
        assert "teal-8/~u82-damaged" in {s.id for s in suspects_of(example(), family)}


def test_the_joints_of_a_chip_on_balls_are_suspected_once():
    """Half of its opens (42 of the table's 101 parts in a hundred), in five ways of failing; by what the
    circuit tells of it where nobody presses it."""
    weight = 5 * 0.42 / 1.01
    for family in (pressed(kind="bga"), replace(TEAL, parts=pressed(kind="bga").parts)):
        loose = [s for s in suspects_of(example(), family) if ("U82", "loose") in ways(s)]
        assert [(s.id, s.reflowed) for s in loose] == [("teal-8/~u82-loose", True)]
        assert loose[0].weight == pytest.approx(weight)
        assert ("press" in loose[0].reads) == ("press" in family.measurements)


def ways(suspect: suspects.Suspect) -> set[tuple[str, str]]:
    return {(m.part, m.mode) for m in suspect.members}
