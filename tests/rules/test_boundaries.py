"""Rules at the very ends of what they allow: the value itself, and the next beside it, on either side."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Fault, Measurement, MeterRange, Outcome, PartUse, Step, frozen_map
from benchlore.circuit.healthy import derive
from benchlore.findings import Origin
from benchlore.quantity import parse_quantity
from benchlore.rules import (
    dead_rails,
    duplicates,
    elements,
    healthy,
    measurements,
    meters,
    places,
    proof,
    ranges,
    safety,
    steps,
    wording,
)
from benchlore.vocabulary import VERBS
from tests.rules.asked import BOOK, FAMILY, said

METER = BOOK.meters["handheld"]
FUSE = BOOK.faults["wren-5/fuse-open"]
VOLTS = FAMILY.measurements["main-rail"]
HERE = Origin("x.yaml")


def measuring(mode: str = "dc-volts", state: str = "adapter-only", **outcomes: str) -> Measurement:
    """A measurement of MAIN with outcomes of these ranges; those whose name begins with `normal` are
    healthy, an empty text is an outcome without a range."""
    made = {
        name: Outcome(
            id=name,
            range=parse_quantity(text) if text else None,
            normal=name.startswith("normal"),
            means="So.",
        )
        for name, text in outcomes.items()
    }
    return replace(VOLTS, mode=mode, state=state, outcomes=frozen_map(made), inject=None)


def stepping(*steps: Step, of: Fault = FUSE, action: str | None = None) -> Fault:
    return replace(of, fix=replace(of.fix, steps=steps, action=action or of.fix.action))


def step(**fields: Any) -> Step:
    return Step(origin=HERE, **fields)


OUT, EMPTY = step(unplug=("everything",)), step(discharge=parse_quantity("10 s"))


# Units and values.


@pytest.mark.parametrize(
    ("text", "unit", "mode", "no"),
    [
        ("5 V", "V", "", False),
        ("5 ohm", "V", "", True),
        ("5 V", "ohm", "", True),
        ("5 V", "V", "dc-volts", False),
        ("5 A", "V", "dc-volts", True),
        ("open", "V", "junction", False),
        ("open", "ohm", "ohms", False),
        ("open", "V", "dc-volts", True),
        ("open", "V", "", True),
    ],
)
def test_a_value_has_the_unit_of_its_field(text, unit, mode, no):
    told = {"origin": HERE, "value": parse_quantity(text), "unit": unit, "mode": mode}
    assert len(said(ranges.wrong_unit, **told)) == no


@pytest.mark.parametrize(
    ("field", "text", "unit"),
    [
        ("limit", "1 A", "A"),
        ("up_to", "1 V", "V"),
        ("discharge", "10 s", "s"),
        ("wait", "2 min", "min"),
        ("wait", "5 V", "s"),
        ("dry", "5 min", "min"),
    ],
)
def test_the_unit_of_each_value_of_a_step(field, text, unit):
    value = parse_quantity(text)
    assert list(ranges._of_steps([step(**{field: value})])) == [(HERE.at(field), value, unit, "")]


@pytest.mark.parametrize(
    ("text", "least", "zero", "no"),
    [
        ("1 mV", 0.0, False, False),
        ("0 V", 0.0, False, True),
        ("-1 mV", 0.0, False, True),
        ("0 to 1 V", 0.0, False, True),
        ("0 V", 0.0, True, False),
        ("0 to 1 V", 0.0, True, False),
        ("-1 mV", 0.0, True, True),
        ("-5 V", -math.inf, False, False),
        ("under 3 V", -math.inf, True, True),
        ("over 3 V", 0.0, False, True),
    ],
)
def test_a_value_lies_above_its_least(text, least, zero, no):
    told = {"origin": HERE, "value": parse_quantity(text), "least": least, "zero": zero}
    assert len(said(ranges.impossible_value, **told)) == no


def test_what_each_value_lies_above_and_whether_it_may_be_nothing():
    """Volts may stand below ground; a load and a short may be nothing; what else there is is above zero."""
    found = {
        ".".join(map(str, origin.path)): (least, zero)
        for origin, _, least, zero in (*ranges._finite(BOOK), *ranges._finite_of_meters(BOOK))
    }
    below = -math.inf
    assert found["nets.VIN.nominal"] == (below, False)
    assert found["nets.VIN.source.volts"] == (below, False)
    assert found["nets.FUSED.path.ohms"] == (0.0, False)
    assert found["nets.FUSED.path.load"] == (0.0, True)
    assert found["nets.PACK.source.each"] == (0.0, False)
    assert found["nets.SDA.pull.ohms"] == (0.0, False)
    assert found["nets.MAIN.junction.drop"] == (0.0, False)
    assert found["nets.MAIN.converter.0.reference"] == (0.0, False)
    assert found["nets.MAIN.converter.0.top"] == (0.0, False)
    assert found["handheld.input_resistance"] == (0.0, False)
    assert found["handheld.test_current"] == (0.0, False)
    assert found["handheld.open_voltage"] == (0.0, False)
    cause = replace(FUSE.cause, origin=HERE, ohms=parse_quantity("0 ohm"), volts=parse_quantity("-1 V"))
    book = replace(BOOK, families=frozen_map(), faults=frozen_map({FUSE.id: replace(FUSE, cause=cause)}))
    assert [(o.path, least, zero) for o, _, least, zero in ranges._finite(book)] == [
        (("ohms",), 0.0, True),
        (("volts",), below, True),
    ]


# Outcomes and their ranges.


@pytest.mark.parametrize(
    ("mode", "text", "count"),
    [
        ("ohms", "0 to 1 ohm", 0),
        ("ohms", "1 to 2 ohm", 0),
        ("ohms", "under 1 ohm", 0),
        ("ohms", "over 1 ohm", 0),
        ("ohms", "open", 0),
        ("ohms", "-0.1 to 1 ohm", 1),
        ("ohms", "-1 to 0 ohm", 1),
        ("ohms", "under 0 ohm", 1),
        ("dc-volts", "-5 to -1 V", 0),
        ("dc-volts", "under -1 V", 0),
        ("ac-ripple", "-1 to 1 mV", 1),
        ("junction", "-0.1 to 0.1 V", 1),
        ("celsius", "-10 to 45 degC", 0),
        ("hertz", "-1 to 1 Hz", 1),
        ("seconds", "-1 to 1 s", 1),
    ],
)
def test_what_a_function_never_reads(mode, text, count):
    assert len(said(ranges.impossible_reading, measurement=measuring(mode, normal=text))) == count


@pytest.mark.parametrize(
    ("first", "second", "count"),
    [
        ("1 to 3 V", "3 to 5 V", 0),
        ("3 to 5 V", "1 to 3 V", 0),
        ("1 to 3 V", "2.999 to 5 V", 1),
        ("2.999 to 5 V", "1 to 3 V", 1),
        ("1 to 5 V", "2 to 3 V", 1),
        ("1 to 3 V", "1 to 3 V", 1),
        ("under 3 V", "over 3 V", 0),
        ("1 to 3 V", "2 to 5 A", 0),
        ("1 to 3 V", "4 to 5 V", 0),
    ],
)
def test_ranges_may_touch_and_never_overlap(first, second, count):
    assert len(said(ranges.outcomes_overlap, measurement=measuring(a=first, normal=second))) == count


@pytest.mark.parametrize(
    ("mode", "texts", "rule", "count"),
    [
        ("dc-volts", {"a": "", "normal": "1 to 2 V"}, ranges.range_missing, 1),
        ("dc-volts", {"a": "1 V", "normal": "1 to 2 V"}, ranges.range_missing, 0),
        ("look", {"a": "", "normal": ""}, ranges.range_missing, 0),
        ("look", {"a": "1 to 2 V", "normal": ""}, ranges.range_not_read, 1),
        ("dc-volts", {"a": "1 to 2 V"}, ranges.range_not_read, 0),
        ("dc-volts", {"a": "3.3 V"}, ranges.range_without_width, 1),
        ("dc-volts", {"a": "3.3 to 3.301 V"}, ranges.range_without_width, 0),
        ("dc-volts", {"a": "over 3.3 V"}, ranges.range_without_width, 0),
        ("junction", {"a": "open"}, ranges.range_without_width, 0),
        ("look", {"a": "", "b": ""}, ranges.no_normal_outcome, 1),
        ("look", {"a": "", "normal": ""}, ranges.no_normal_outcome, 0),
        ("look", {"normal-1": "", "normal-2": ""}, ranges.no_normal_outcome, 0),
        ("look", {"normal-1": "", "normal-2": ""}, ranges.no_abnormal_outcome, 1),
        ("look", {"normal-1": "", "normal-2": "", "a": ""}, ranges.no_abnormal_outcome, 0),
        ("look", {"a": "", "b": ""}, ranges.no_abnormal_outcome, 0),
        ("junction", {"open": "open"}, ranges.misleading_outcome_name, 0),
        ("junction", {"open": "over 1 V"}, ranges.misleading_outcome_name, 0),
        ("junction", {"open": "1 to 2 V"}, ranges.misleading_outcome_name, 1),
        ("junction", {"open": "under 2 V"}, ranges.misleading_outcome_name, 1),
        ("junction", {"higher": "1 to 2 V"}, ranges.misleading_outcome_name, 0),
        ("look", {"open": ""}, ranges.misleading_outcome_name, 0),
        ("dc-volts", {"5": "over 1 V"}, ranges.misleading_outcome_name, 1),
        ("dc-volts", {"v5": "over 1 V"}, ranges.misleading_outcome_name, 0),
    ],
)
def test_what_an_outcome_must_say(mode, texts, rule, count):
    assert len(said(rule, measurement=measuring(mode, **texts))) == count


# The meter reads 0.5 % + 3 counts of 10 mV up to 20 V: 45 mV at 3 V, 33 mV at 0.6 V on the range of 2 V.
@pytest.mark.parametrize(
    ("mode", "texts", "holes"),
    [
        ("dc-volts", {"a": "under 3 V", "normal": "3 to 5 V"}, []),
        ("dc-volts", {"a": "under 3 V", "normal": "3.18 to 5 V"}, []),  # 2 x (45 + 45.9) mV = 182 mV
        ("dc-volts", {"a": "under 3 V", "normal": "3.185 to 5 V"}, [(3.0, 3.185)]),
        ("dc-volts", {"a": "3.3 to 5 V", "normal": "under 3 V"}, [(3.0, 3.3)]),
        ("dc-volts", {"a": "1 to 5 V", "b": "2 to 3 V", "normal": "5 to 6 V"}, [(0.0, 1.0)]),
        ("dc-volts", {"a": "3 mV to 5 V"}, []),  # three counts of 1 mV at nothing
        ("dc-volts", {"a": "3.1 mV to 5 V"}, [(0.0, 0.0031)]),
        ("dc-volts", {"a": "-1 to 5 V"}, []),
        ("ohms", {"a": "under 1 ohm"}, [(1.0, math.inf)]),
        ("ohms", {"a": "under 1 ohm", "b": "over 1 ohm"}, []),
        ("ohms", {"a": "under 1 ohm", "b": "1 to 5 ohm", "c": "open"}, [(5.0, math.inf)]),
        ("celsius", {"a": "20 to 40 degC", "b": "over 40 degC"}, []),
        ("dc-volts", {}, []),
    ],
)
def test_the_holes_between_outcomes(mode, texts, holes):
    measurement = measuring(mode, **texts)
    assert list(ranges._holes(BOOK, measurement)) == holes
    assert len(said(ranges.reading_without_outcome, measurement=measurement)) == len(holes)
    unknown = replace(BOOK, shop=replace(BOOK.shop, default_meter="nobody"))
    assert list(ranges._holes(unknown, measurement)) == []


@pytest.mark.parametrize(
    ("mode", "value", "error"),
    [
        ("dc-volts", 2.0, 0.013),
        ("dc-volts", 2.001, 0.040005),
        ("dc-volts", -2.0, 0.013),
        ("dc-volts", math.inf, 0.0),
        ("dc-volts", -math.inf, 0.0),
        ("hertz", 1.0, 0.0),
    ],
)
def test_the_error_of_the_meter(mode, value, error):
    assert ranges.meter_error(BOOK, mode, value) == pytest.approx(error)


# Meters.


def meter_of(*pairs: tuple[str, str]) -> Any:
    made = tuple(
        MeterRange(up_to=parse_quantity(a), resolution=parse_quantity(b), reading=0.5, counts=3)
        for a, b in pairs
    )
    return replace(METER, accuracy=frozen_map({"dc-volts": made}))


@pytest.mark.parametrize(
    ("pairs", "order", "value"),
    [
        ([("2 V", "1 mV"), ("20 V", "10 mV")], 0, 0),
        ([("2 V", "1 mV"), ("2 V", "1 mV")], 1, 0),
        ([("2 V", "1 mV"), ("1.9 V", "1 mV")], 1, 0),
        ([("2 V", "1 mV"), ("1 V", "1 mV"), ("3 V", "1 mV")], 1, 0),
        ([("3 V", "1 mV"), ("2 V", "1 mV"), ("1 V", "1 mV")], 2, 0),
        ([("0 V", "1 mV")], 0, 1),
        ([("-2 V", "1 mV")], 0, 1),
        ([("2 V", "0 V")], 0, 1),
        ([("2 V", "-1 mV")], 0, 1),
        ([("0 V", "0 V")], 0, 2),
        ([("1 to 2 V", "1 mV")], 0, 1),
        ([("2 V", "1.99 V")], 0, 0),
        ([("2 V", "2 V")], 0, 1),
        ([("2 V", "3 V")], 0, 1),
    ],
)
def test_the_ranges_of_a_meter(pairs, order, value):
    meter = meter_of(*pairs)
    assert len(said(meters.meter_ranges_out_of_order, meter=meter)) == order
    assert len(said(meters.impossible_meter_value, meter=meter)) == value


def test_a_function_that_no_meter_has():
    assert said(meters.no_meter_reads, measurement=measuring("hertz", normal="1 to 2 Hz"))
    assert not said(meters.no_meter_reads, measurement=measuring("ohms", normal="1 to 2 ohm"))
    assert not said(meters.no_meter_reads, measurement=measuring("look", normal=""))
    assert not said(
        meters.no_meter_reads,
        measurement=measuring("hertz", normal="1 to 2 Hz"),
        book=replace(BOOK, meters=frozen_map()),
    )


# Places.


@pytest.mark.parametrize(
    ("at", "count"),
    [
        ((0.0, 0.0), 0),
        ((100.0, 60.0), 0),
        ((-0.1, 30.0), 1),
        ((100.1, 30.0), 1),
        ((50.0, -0.1), 1),
        ((50.0, 60.1), 1),
        ((60.0, 100.0), 1),
    ],
)
def test_a_place_on_a_board_of_100_by_60_mm(at, count):
    point = replace(FAMILY.test_points["TP1"], at=frozen_map({"A": at}))
    board = replace(FAMILY.board, landmarks=frozen_map())
    family = replace(FAMILY, board=board, test_points=frozen_map({"TP1": point}))
    assert len(said(places.off_board, family=family)) == count


# A landmark of 10 by 4 mm in the middle: it ends at 45 and 55, at 28 and 32.
@pytest.mark.parametrize(
    ("at", "right"),
    [
        ((40.0, 30.0), {"left of"}),
        ((44.9, 30.0), {"left of"}),
        ((45.0, 30.0), set()),
        ((60.0, 30.0), {"right of"}),
        ((55.1, 30.0), {"right of"}),
        ((55.0, 30.0), set()),
        ((50.0, 40.0), {"above"}),
        ((50.0, 32.1), {"above"}),
        ((50.0, 32.0), set()),
        ((50.0, 20.0), {"below"}),
        ((50.0, 27.9), {"below"}),
        ((50.0, 28.0), set()),
        ((40.0, 40.0), {"above"}),  # 5 mm to the left, 8 above
        ((35.0, 40.0), {"left of"}),  # 10 and 8
        ((40.0, 37.0), {"left of", "above"}),
        ((57.0, 24.0), {"below"}),
        ((50.0, 30.0), set()),
    ],
)
def test_the_side_of_a_landmark_on_which_a_point_lies(at, right):
    landmark = replace(
        FAMILY.board.landmarks["barrel jack"], at=frozen_map({"A": (50.0, 30.0)}), size=(10.0, 4.0)
    )
    family = replace(FAMILY, board=replace(FAMILY.board, landmarks=frozen_map({"barrel jack": landmark})))
    for direction in ("left of", "right of", "above", "below"):
        point = replace(
            FAMILY.test_points["TP1"],
            at=frozen_map({"A": at}),
            where=frozen_map({"A": f"pad {direction} the barrel jack"}),
        )
        fits = not said(places.place_against_words, family=family, point=point)
        assert fits == (direction in right), direction
        other = replace(point, side="bottom")
        assert not said(places.place_against_words, family=family, point=other), "it is on the other side"


def test_the_only_landmark_whose_name_ends_so():
    jack = FAMILY.board.landmarks["barrel jack"]

    def named(*titles: str) -> Any:
        board = replace(FAMILY.board, landmarks=frozen_map(dict.fromkeys(titles, jack)))
        return places._landmark(replace(FAMILY, board=board), "Jack", "top")

    assert named("jack") is named("barrel jack") is named("jack", "barrel jack") is jack
    assert named("barrel jack", "audio jack") is named("blackjack") is named("jack of audio") is None


def test_two_points_in_one_place():
    one, other = FAMILY.test_points["TP1"], FAMILY.test_points["TP2"]

    def twice(**changed: Any) -> int:
        points = {"TP1": one, "TP2": replace(other, **{"at": one.at, "side": one.side, **changed})}
        return len(said(places.same_place, family=replace(FAMILY, test_points=frozen_map(points))))

    assert twice() == 2, "on both revisions"
    assert twice(side="bottom") == 0
    assert twice(at=other.at) == 0
    assert twice(at=frozen_map({"A": one.at["A"], "B": (1.0, 1.0)})) == 1


# The circuit against the records.


@pytest.mark.parametrize(
    ("nominal", "no"),
    [("5.3 V", False), ("5.301 V", True), ("4.7 V", False), ("4.699 V", True), ("-5 V", True)],
)
def test_a_nominal_voltage_is_six_percent_from_what_the_circuit_gives(nominal, no):
    net = replace(FAMILY.nets["VIN"], nominal=parse_quantity(nominal))
    family = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "VIN": net}))
    book = replace(BOOK, families=frozen_map({family.id: family}))
    assert bool(said(healthy.contradicted_nominal, book=book, family=family, net=net)) == no


def test_a_level_taken_over_from_the_net_above_is_held_to_the_circuit_too():
    """1 A through 2 ohm takes 2 V of 5 V: no ceiling of 5 V stands behind it."""
    fused = FAMILY.nets["FUSED"]

    def told(ohms: str, **above: Any) -> int:
        net = replace(fused, nominal=None, path=(replace(fused.path[0], ohms=parse_quantity(ohms)),))
        vin = replace(FAMILY.nets["VIN"], **above)
        family = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "VIN": vin, "FUSED": net}))
        book = replace(BOOK, families=frozen_map({family.id: family}))
        net = family.nets["FUSED"]
        assert net.nominal == vin.nominal
        return len(said(healthy.contradicted_nominal, book=book, family=family, net=net))

    assert told("2 ohm") == 1
    assert told("20 mohm") == 0
    assert told("20 mohm", nominal=parse_quantity("3 V")) == 0, "told of the net above already"


# The converter gives 3.21 to 3.45 V or so; a meter of 0.5 % + 30 mV, and 5 %, are the room beside it.
def test_a_normal_range_ends_close_to_what_the_circuit_gives():
    derived = derive(BOOK, FAMILY, VOLTS)
    assert derived is not None
    low, high = derived.worst.low, derived.worst.high

    def loose(begin: float, end: float, **more: Any) -> int:
        text = f"{begin:.6f} to {end:.6f} V"
        return len(said(healthy.loose_range, measurement=measuring(normal=text), derived=derived, **more))

    below, above = (0.05 * v + 0.005 * v + 0.03 for v in (low, high))
    low, high = low - 1e-6, high + 1e-6  # the texts are rounded
    assert loose(low, high) == 0
    assert loose(low - below + 1e-4, high + above - 1e-4) == 0
    assert loose(low - below - 1e-4, high) == 1
    assert loose(low, high + above + 1e-4) == 1
    assert loose(low - 1, high + 1) == 1, "one finding a range"
    assert loose(low + 1e-3, high + 1) == 0, "it does not hold what the circuit gives: another rule's"
    unknown = replace(BOOK, shop=replace(BOOK.shop, default_meter="nobody"))
    assert loose(low - 1, high, book=unknown) == 0

    def contradicted(begin: float, end: float) -> int:
        text = f"{begin:.6f} to {end:.6f} V"
        return len(said(healthy.contradicted_range, measurement=measuring(normal=text), derived=derived))

    assert contradicted(low - 1e-5, high + 1e-5) == 0
    assert contradicted(low + 1e-5, high + 1e-5) == contradicted(low - 1e-5, high - 1e-5) == 1
    middle = (low + high) / 2
    joined = measuring(normal=f"{low - 0.01:.6f} to {middle:.6f} V", normal_2=f"{middle:.6f} to 4 V")
    assert not said(healthy.contradicted_range, measurement=joined, derived=derived)
    holed = measuring(normal=f"{low - 0.01:.6f} to {middle:.6f} V", normal_2=f"{middle + 1e-4:.6f} to 4 V")
    assert said(healthy.contradicted_range, measurement=holed, derived=derived)


# Fault patterns.


@pytest.mark.parametrize(
    ("shares", "count"),
    [
        ({"a": 0.7, "b": 0.3}, 0),
        ({"a": 0.7, "b": 0.2}, 1),
        ({"a": 0.7, "b": 0.4}, 1),
        ({"a": 0.7, "b": 0.300001}, 0),
        ({"a": 0.7, "b": 0.3001}, 1),
        ({"a": 1.0}, 0),
        ({}, 0),
    ],
)
def test_shares_add_up_to_one(shares, count):
    reading = replace(FUSE.test_points[0], expected_reading=frozen_map(shares))
    assert len(said(proof.shares_not_one, fault=replace(FUSE, test_points=(reading,)))) == count


@pytest.mark.parametrize(
    ("steps_", "minutes", "no"),
    [(4, 1.0, False), (4, 0.99, True), (4, 5.0, False), (1, 0.25, False), (1, 0.24, True)],
)
def test_a_quarter_of_a_minute_a_step(steps_, minutes, no):
    fix = replace(FUSE.fix, action="clean", minutes=minutes, steps=(OUT,) * steps_)
    assert bool(said(proof.fix_faster_than_part, fault=replace(FUSE, fix=fix))) == no


@pytest.mark.parametrize(
    ("minutes", "action", "no"), [(8, "replace", False), (7.9, "replace", True), (7.9, "reflow", False)]
)
def test_a_fix_takes_the_minutes_of_its_part(minutes, action, no):
    fix = replace(FUSE.fix, action=action, minutes=minutes)
    assert bool(said(proof.fix_faster_than_part, fault=replace(FUSE, fix=fix))) == no


@pytest.mark.parametrize(
    ("typed", "said_"),
    [
        ("3.31 V", ""),
        ("-3.31 V", ""),
        ("331 mV", ""),
        ("3.31", "has no unit"),
        ("3.31 m", "has no unit"),
        ("3,31 V", "has a decimal comma"),
        ("3,31", "has no unit and has a decimal comma"),
        ("3,310 V", ""),  # a thousand and more? another rule asks
        ("0,310 V", "has a decimal comma"),
        ("12,34 V", "has a decimal comma"),
        (".5", "has no unit"),
        ("OL", ""),
    ],
)
def test_a_worked_example_has_a_point_and_a_unit(typed, said_):
    fault = replace(FUSE, worked_example=frozen_map({"main-rail": typed}))
    found = said(proof.example_without_unit, fault=fault)
    assert found == ([f"'{typed}' {said_}"] if said_ else [])
    look = replace(FUSE, worked_example=frozen_map({"socket-look": "3,31"}))
    assert said(proof.example_without_unit, fault=look) == []


@pytest.mark.parametrize(
    ("before", "no"), [({"healthy": 0.5, "absent": 0.5}, True), ({"healthy": 0.49, "absent": 0.51}, False)]
)
def test_a_proof_reads_otherwise_on_more_than_half_of_the_boards(before, no):
    reading = replace(FUSE.test_points[0], expected_reading=frozen_map(before))
    fault = replace(FUSE, test_points=(reading,), foretold=frozen_map())
    assert bool(said(proof.confirm_proves_nothing, fault=fault)) == no


# A dead rail is below a volt, or below 35 % of its normal voltage where that is less.
@pytest.mark.parametrize(
    ("nominal", "limit"), [("5 V", 1.0), ("2.85 V", 0.9975), ("1.0 V", 0.35), (None, 1.0)]
)
def test_when_a_rail_is_dead(nominal, limit):
    net = replace(FAMILY.nets["MAIN"], nominal=parse_quantity(nominal) if nominal else None)
    assert dead_rails._dead_below(net) == pytest.approx(limit)


@pytest.mark.parametrize(
    ("upper", "lower", "no"),
    [
        ("under 1 V", "1 to 5 V", True),
        ("under 1 V", "0.99 to 5 V", False),
        ("under 1.01 V", "1 to 5 V", False),
        ("under 1 V", "under 1 V", False),
    ],
)
def test_nothing_is_up_below_a_dead_rail(upper, lower, no):
    """FUSED makes MAIN in `adapter-only`."""
    fused = replace(
        FAMILY.measurements["fused-rail"], outcomes=measuring(a=upper, normal="6 to 7 V").outcomes
    )
    main = replace(VOLTS, outcomes=measuring(b=lower, normal="6 to 7 V").outcomes)
    family = replace(
        FAMILY,
        measurements=frozen_map({**FAMILY.measurements, "fused-rail": fused, "main-rail": main}),
    )
    reads = {"fused-rail": "a", "main-rail": "b"}
    points = tuple(
        replace(one, expected_reading=frozen_map({reads[one.measure]: 1.0}))
        for one in FUSE.test_points
        if one.measure in reads
    )
    book = replace(BOOK, families=frozen_map({family.id: family}))
    fault = replace(FUSE, test_points=points)
    assert bool(said(dead_rails.up_below_dead_rail, book=book, fault=fault)) == no


# Outcomes that end the work under power.


@pytest.mark.parametrize(
    ("mode", "state", "text", "no"),
    [
        ("dc-volts", "adapter-only", "over 3.4 V", True),
        ("dc-volts", "adapter-only", "3.4 to 5 V", True),
        ("dc-volts", "adapter-only", "3.39 to 5 V", False),
        ("dc-volts", "adapter-only", "under 3 V", False),
        ("dc-volts", "all-off", "over 3.4 V", False),
        ("ac-ripple", "adapter-only", "over 3.4 V", False),
        ("junction", "all-off", "over 3.4 V", False),
    ],
)
def test_above_the_healthy_range_the_board_must_not_stay_powered(mode, state, text, no):
    measurement = measuring(mode, state, normal="3.2 to 3.4 V", high=text)
    assert bool(said(measurements.over_range_without_stop, measurement=measurement)) == no
    for changed in ({"stop": True}, {"bars": ("adapter",)}, {"normal": True}):
        high = replace(measurement.outcomes["high"], **changed)
        other = replace(measurement, outcomes=frozen_map({**measurement.outcomes, "high": high}))
        assert not said(measurements.over_range_without_stop, measurement=other)


def test_what_is_hot_under_power_ends_it_and_what_is_no_rail_does_not():
    hot = measuring("celsius", normal="under 45 degC", hot="over 45 degC")
    assert not said(measurements.over_range_without_stop, measurement=hot), "healthy may be nothing at all"
    warm = measuring("celsius", normal="20 to 45 degC", hot="over 45 degC")
    assert said(measurements.over_range_without_stop, measurement=warm)
    assert not said(measurements.over_range_without_stop, measurement=replace(warm, state="all-off"))
    line = replace(measuring(normal="3 to 4 V", high="over 4 V"), at="TP3", net="SDA")
    assert FAMILY.nets[line.net].kind == "data"
    assert not said(measurements.over_range_without_stop, measurement=line)
    parted = measuring(normal="1 to 2 V", between="3 to 4 V", normal_2="5 to 6 V", high="6 to 7 V")
    found = said(measurements.over_range_without_stop, measurement=parted)
    assert found == ["'high' lies above what is healthy, and lacks 'stop: true'"]


@pytest.mark.parametrize(
    ("changed", "no"),
    [({}, False), ({"stop": True}, True), ({"bars": ("adapter",)}, True)],
)
def test_a_healthy_outcome_ends_nothing(changed, no):
    measurement = measuring(normal="1 to 2 V", other="2 to 3 V")
    for name in measurement.outcomes:
        outcome = replace(measurement.outcomes[name], **changed)
        other = replace(measurement, outcomes=frozen_map({**measurement.outcomes, name: outcome}))
        assert bool(said(measurements.stop_on_normal, measurement=other)) == (no and outcome.normal)


# Steps of the work.


@pytest.mark.parametrize(
    ("before", "done", "said_"),
    [
        ((), "remove", "'remove' with adapter and pack still in"),
        ((step(unplug=("adapter",)), EMPTY), "remove", "'remove' with pack still in"),
        ((OUT,), "remove", "'remove' on a board that holds charge"),
        ((EMPTY, OUT), "remove", "'remove' on a board that holds charge"),
        ((OUT, EMPTY), "remove", ""),
        ((step(unplug=("adapter", "pack")), EMPTY), "remove", ""),
        ((OUT, EMPTY, step(plug=("adapter",))), "remove", "'remove' with adapter still in"),
        ((OUT, EMPTY, step(plug=("adapter",)), OUT), "remove", "'remove' on a board that holds charge"),
        ((OUT, EMPTY, step(try_=("F1",))), "remove", "'remove' with adapter and pack still in"),
        ((OUT, EMPTY, step(measure=("fused-rail",))), "remove", "'remove' with adapter still in"),
        ((OUT, EMPTY, step(measure=("main-junction",))), "remove", ""),
        ((), "main-junction", "'main-junction' (junction) with adapter and pack still in"),
        ((OUT,), "main-junction", "'main-junction' (junction) on a board that holds charge"),
        ((OUT, EMPTY), "main-junction", ""),
        ((), "main-heat", "'main-heat' (celsius) with adapter and pack still in"),
        ((), "fused-rail", ""),
        ((), "look", ""),
    ],
)
def test_work_wants_every_source_out_and_the_charge_gone(before, done, said_):
    last = step(**{done: ("F1",)}) if done in VERBS else step(measure=(done,))
    found = said(steps.work_under_power, fault=stepping(*before, last))
    assert found[-1:] == ([said_] if said_ else [])


def test_the_charge_of_a_board_hurts_nobody_who_changes_an_adapter():
    adapter = replace(FAMILY.parts["J1"], id="A1", kind="adapter")
    plugged = replace(FAMILY, parts=frozen_map({**FAMILY.parts, "A1": adapter}))
    fit, joint = step(fit=(PartUse(part="A1"),)), step(reflow=("F1",))
    for done, charged in (((OUT, fit), False), ((OUT, joint), True), ((fit,), True)):
        assert bool(said(steps.work_under_power, family=plugged, fault=stepping(*done))) == charged, done


BT1, R1 = (
    replace(FAMILY.parts["J1"], id=name, kind=kind) for name, kind in (("BT1", "pack"), ("R1", "resistor"))
)
PACKED = replace(FAMILY, parts=frozen_map({**FAMILY.parts, "BT1": BT1, "R1": R1}))


@pytest.mark.parametrize(
    ("done", "left", "off"),
    [
        ((step(unplug=("BT1",)),), "adapter", "BT1"),
        ((step(unplug=("R1",)),), "adapter pack", "R1"),
        ((step(unplug=("pack",)),), "adapter", "BT1 pack"),
        ((step(unplug=("adapter",)),), "pack", "adapter"),
        ((OUT,), "", "BT1 everything"),
        ((OUT, step(plug=("R1",))), "", "BT1 everything"),
        ((OUT, step(plug=("adapter",))), "adapter", "BT1 everything"),
        ((OUT, step(plug=("BT1",))), "adapter pack", "everything"),  # with a pack in, all may be in
        ((OUT, step(remove=("C1",))), "", "BT1 C1 everything"),
    ],
)
def test_a_pack_is_a_part_and_a_source(done, left, off):
    end = steps.walked(stepping(*done), PACKED)[1]
    assert (" ".join(sorted(end.sources)), " ".join(sorted(end.off))) == (left, off)


WASH, DRY = step(wash=True), step(dry=parse_quantity("5 min"))
CLEAN = step(clean=("J1",), with_="alcohol")


@pytest.mark.parametrize(
    ("done", "count"),
    [
        ((OUT, EMPTY, CLEAN, DRY), 0),
        ((OUT, EMPTY, CLEAN), 1),  # the proof is power
        ((OUT, EMPTY, WASH), 1),
        ((OUT, EMPTY, WASH, DRY), 0),
        ((OUT, EMPTY, DRY, WASH), 1),
        ((OUT, EMPTY, step(clean=("J1",), with_="brush")), 0),
        ((CLEAN, DRY), 1),  # with the sources in
        ((WASH, DRY), 1),
        ((step(clean=("J1",), with_="brush"),), 0),
        ((OUT, EMPTY, CLEAN, step(plug=("adapter",)), DRY), 1),
        ((OUT, EMPTY, CLEAN, step(try_=("J1",)), DRY), 1),
        ((OUT, EMPTY, CLEAN, step(remove=("C1",)), DRY), 1),  # hot air
        ((OUT, EMPTY, CLEAN, DRY, step(remove=("C1",))), 0),
        ((OUT, EMPTY, CLEAN, step(look=("C1",)), DRY), 0),
    ],
)
def test_a_wet_board_meets_neither_heat_nor_power(done, count):
    assert len(said(steps.wet_at_heat_or_power, fault=stepping(*done))) == count


@pytest.mark.parametrize(
    ("fields", "count"),
    [
        ({"limit": "1 A", "up_to": "3.3 V"}, 0),
        ({"limit": "5 A", "up_to": "3.3 V"}, 0),
        ({"limit": "5.01 A", "up_to": "3.3 V"}, 1),
        ({"limit": "1 A", "up_to": "3.301 V"}, 1),
        ({"limit": "1 A"}, 1),
        ({"up_to": "3.3 V"}, 1),
        ({}, 1),
        ({"limit": "6 V", "up_to": "3.3 V"}, 0),  # wrong-unit says it
    ],
)
def test_what_a_step_injects(fields, count):
    values = {name: parse_quantity(text) for name, text in fields.items()}
    fault = stepping(OUT, EMPTY, step(inject="MAIN", **values))
    assert len(said(steps.unsafe_injection_step, fault=fault)) == count
    assert said(steps.unsafe_injection_step, fault=stepping(OUT, step(inject="SDA", **values)))[
        -1
    ].startswith("current is injected into SDA")


def test_nothing_is_injected_into_a_rail_without_a_normal_voltage():
    net = replace(FAMILY.nets["MAIN"], nominal=None)
    family = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "MAIN": net}))
    book = replace(BOOK, families=frozen_map({family.id: family}))
    fault = stepping(step(inject="MAIN", limit=parse_quantity("1 A"), up_to=parse_quantity("1 mV")))
    (found,) = said(steps.unsafe_injection_step, book=book, family=family, fault=fault)
    assert found.endswith("into MAIN, which states no 'nominal'")


@pytest.mark.parametrize(
    ("fields", "count"),
    [
        ({"unplug": ("everything",)}, 0),
        ({"say": "Wait for it."}, 0),
        ({}, 1),
        ({"unplug": ("everything",), "remove": ("F1",)}, 1),
        ({"inject": "MAIN", "limit": parse_quantity("1 A")}, 0),
        ({"remove": ("F1",), "limit": parse_quantity("1 A")}, 1),
        ({"limit": parse_quantity("1 A")}, 2),
        ({"measure": ("main-rail",), "reads": "healthy"}, 0),
        ({"remove": ("F1",), "reads": "healthy"}, 1),
        ({"clean": ("J1",), "with_": "alcohol"}, 0),
        ({"say": "So.", "with_": "alcohol"}, 1),
    ],
)
def test_a_step_is_one_action(fields, count):
    assert len(said(steps.step_not_one_action, step=step(**fields))) == count


@pytest.mark.parametrize(
    ("done", "action", "count"),
    [
        ((step(remove=("F1",)),), "replace", 1),
        ((step(remove=("F1",)),), "remove", 0),
        ((step(program=("U1",)),), "program", 0),
        ((step(remove=("U1",)), step(program=("U1",))), "remove", 1),
        ((step(remove=("U1",)), step(program=("F1",))), "remove", 0),
    ],
)
def test_what_is_taken_off_comes_back(done, action, count):
    assert len(said(steps.part_left_off, fault=stepping(*done, action=action))) == count


@pytest.mark.parametrize(("share", "no"), [(0.02, False), (0.019, True)])
def test_a_step_goes_on_with_what_one_job_in_fifty_reads(share, no):
    reading = replace(FUSE.test_points[0], expected_reading=frozen_map({"low": share, "absent": 1 - share}))
    fault = replace(
        stepping(step(measure=(reading.measure,), reads="low")),
        test_points=(reading,),
        foretold=frozen_map(),
    )
    assert bool(said(steps.step_reads_otherwise, fault=fault)) == no
    assert not said(
        steps.step_reads_otherwise,
        fault=replace(fault, fix=replace(fault.fix, steps=(step(measure=(reading.measure,)),))),
    )


# The elements of the circuit.


def element(net: str, kind: str, **changed: Any) -> Any:
    (first, *_) = getattr(FAMILY.nets[net], kind)
    values = {k: parse_quantity(v) if isinstance(v, str) else v for k, v in changed.items()}
    return replace(first, **values)


@pytest.mark.parametrize(
    ("each", "no"),
    [
        ("2.5 to 4.2 V", False),
        ("2.49 to 4.2 V", True),
        ("3.0 to 4.45 V", False),
        ("3.0 to 4.451 V", True),
        ("3.0 to 4.2 V", False),
    ],
)
def test_the_ends_of_a_lithium_ion_cell(each, no):
    found = said(elements.impossible_cell_voltage, element=element("PACK", "source", each=each))
    assert bool(found) == no


@pytest.mark.parametrize(
    ("rating", "load", "no"),
    [
        ("1 A", "0 to 1 A", False),
        ("0.999 A", "0 to 1 A", True),
        ("2 A", "0 to 1 A", False),
        ("1 V", "0 to 2 A", False),
    ],
)
def test_a_fuse_carries_its_load(rating, load, no):
    found = said(elements.rating_below_load, element=element("FUSED", "path", rating=rating, load=load))
    assert bool(found) == no


@pytest.mark.parametrize(
    ("volts", "no"),
    [*((f"{v} V", False) for v in (5, 9, 15, 20, 28, 36, 48)), ("6 V", True), ("12 V", True), ("0 V", True)],
)
def test_the_voltages_of_usb_c(volts, no):
    given = replace(element("VIN", "source", volts=volts), from_="usb-c")
    net = FAMILY.nets["VIN"]
    assert bool(said(elements.impossible_usb_c_voltage, net=net, element=given)) == no
    adapter = replace(given, from_="adapter")
    assert not said(elements.impossible_usb_c_voltage, net=net, element=adapter)


@pytest.mark.parametrize(
    ("ohms", "no"),
    [
        ("2.2 kohm 5%", False),
        ("2.3 kohm 5%", True),
        ("2.21 kohm 1%", False),
        ("2.21 kohm 5%", True),
        ("2.2 kohm 1%", False),
        ("2.2 to 2.3 kohm", False),  # a range states no value
    ],
)
def test_a_resistor_that_one_can_buy(ohms, no):
    assert bool(said(elements.unmade_value, element=element("SDA", "pull", ohms=ohms))) == no
    assert not said(elements.unmade_value, element=element("FUSED", "path", ohms=ohms)), "a fuse"


@pytest.mark.parametrize(
    ("ohms", "no"), [("2.2 kohm", True), ("2.2 kohm 5%", False), ("2 to 3 kohm", False), ("2.2 V", False)]
)
def test_nothing_on_a_board_is_exact(ohms, no):
    assert bool(said(elements.no_tolerance, element=element("SDA", "pull", ohms=ohms))) == no
    rated = element("FUSED", "path", rating="2 A")
    assert not said(elements.no_tolerance, element=rated)


# Hazards and words.


@pytest.mark.parametrize(
    ("hazard", "allowed"),
    [
        ("lithium-pack", {"danger", "warning"}),
        ("shock", {"danger", "warning"}),
        ("burn", {"danger", "warning", "caution"}),
        ("fumes", {"danger", "warning", "caution"}),
        ("static", {"danger", "warning", "caution", "notice"}),
    ],
)
def test_how_weak_a_signal_word_may_be(hazard, allowed):
    for signal in ("danger", "warning", "caution", "notice"):
        one = replace(BOOK.hazards["burn"], id=hazard, signal=signal)
        assert bool(said(safety.weak_signal_word, hazard=one)) == (signal not in allowed)


@pytest.mark.parametrize(
    ("sources", "hazard", "rule", "no"),
    [
        (("pack",), ("static",), safety.no_lithium_hazard, True),
        (("pack",), (), safety.no_lithium_hazard, True),
        (("pack",), ("lithium-pack",), safety.no_lithium_hazard, False),
        (("adapter",), (), safety.no_lithium_hazard, False),
        (("pack",), ("nowhere",), safety.no_lithium_hazard, False),
        (("adapter",), ("static",), safety.no_live_hazard, True),
        (("adapter",), ("static", "probe-slip"), safety.no_live_hazard, True),
        (("adapter",), ("static", "mains-adapter"), safety.no_live_hazard, True),
        (("adapter",), ("mains-adapter", "probe-slip"), safety.no_live_hazard, False),
        (("usb-c",), ("probe-slip",), safety.no_live_hazard, True),
        (("charger",), ("probe-slip",), safety.no_live_hazard, True),
        (("pack",), ("probe-slip",), safety.no_live_hazard, False),
        (("pack",), (), safety.no_live_hazard, True),
        ((), (), safety.no_live_hazard, False),
        (("adapter",), ("nowhere",), safety.no_live_hazard, False),
    ],
)
def test_the_hazards_of_a_bench_state(sources, hazard, rule, no):
    known = dict(BOOK.hazards)
    known.update({name: replace(known["burn"], id=name) for name in ("probe-slip", "mains-adapter")})
    state = replace(BOOK.states["all-off"], sources=sources, hazard=hazard)
    assert bool(said(rule, book=replace(BOOK, hazards=frozen_map(known)), state=state)) == no
    bare = replace(BOOK, hazards=frozen_map({"static": known["static"]}))
    assert not said(safety.no_live_hazard, book=bare, state=replace(state, hazard=()))


@pytest.mark.parametrize(
    ("sources", "discharged", "how", "no"),
    [
        ((), True, "Unplug the adapter and the pack.", False),
        ((), True, "Unplug the adapter.", True),
        ((), True, "Unplug the pack.", True),
        ((), True, "Take every source out.", False),
        ((), True, "Unplug everything.", False),
        ((), False, "Unplug the adapter.", False),
        (("adapter",), True, "Unplug it.", False),
    ],
)
def test_the_set_up_takes_each_source_out(sources, discharged, how, no):
    state = replace(BOOK.states["all-off"], sources=sources, discharged=discharged, how=(how,))
    assert bool(said(safety.source_left_in, state=state)) == no


@pytest.mark.parametrize(
    ("skill", "words", "hazard", "no"),
    [
        ("hot-air", "So.", ("burn", "fumes"), False),
        ("hot-air", "So.", ("burn",), True),
        ("hot-air", "So.", ("fumes",), True),
        ("none", "So.", (), False),
        (None, "So.", (), False),
        ("none", "Heat it with hot air.", (), True),
        (None, "Touch it with the iron.", ("burn", "fumes"), False),
        ("iron", "So.", (), True),
    ],
)
def test_what_heats_burns_and_fumes(skill, words, hazard, no):
    technique = replace(
        BOOK.techniques["hot-air-rework"], skill=skill, steps=(step(say=words),), hazard=hazard
    )
    assert bool(said(safety.no_heat_hazard, technique=technique)) == no


@pytest.mark.parametrize(("words", "no"), [(8, False), (9, True), (1, False)])
def test_the_title_of_a_symptom_has_eight_words(words, no):
    symptom = replace(BOOK.symptoms["no-picture"], title=" ".join(["word"] * words))
    assert bool(said(wording.long_title, symptom=symptom)) == no


@pytest.mark.parametrize(
    ("text", "no"),
    [
        ("[a](https://x.example/)", False),
        ("[a](HTTPS://x.example/)", False),
        ("[a](http://x.example/)", True),
        ("[a](mailto:x)", True),
        ("[a](/x)", True),
        ("[a](#x)", True),
        ("[a](?x)", True),
        ("[a](nets/x.html)", False),
        ("a (b)", False),
    ],
)
def test_where_a_link_may_lead(text, no):
    assert bool(said(wording.link_not_https, origin=HERE, text=text)) == no


@pytest.mark.parametrize(
    ("text", "no"),
    [
        ("the wrong volt- age", True),
        ("the wrong ab- age", True),
        ("the D- line", False),
        ("the V- pin", False),
        ("the v- pin", False),
        ("the aB- pin", False),
        ("the 12- pin plug", False),
        ("single- and two-cell", False),
    ],
)
def test_the_sign_of_a_net_is_no_broken_word(text, no) -> None:
    assert bool(said(wording.broken_hyphen, origin=HERE, text=text)) == no


# Two records that say the same.


def told(**changed: Any) -> duplicates._Told:
    fields: Mapping[str, Any] = {
        "title": ("fuse", "open"),
        "work": ("F1", "replace", frozenset({"dead"})),
        "revisions": frozenset({"A"}),
        "readings": (("a", frozenset({"low"})),),
    }
    return duplicates._Told(**{**fields, **changed})


@pytest.mark.parametrize(
    ("other", "work", "reads"),
    [
        (told(), True, True),
        (told(revisions=frozenset({"B"})), False, False),
        (told(revisions=frozenset({"A", "B"})), True, True),
        (told(work=("F2", "replace", frozenset({"dead"}))), False, False),
        (told(work=("F1", "reflow", frozenset({"dead"}))), False, True),
        (told(readings=(("a", frozenset({"low", "high"})),)), True, False),
        (told(readings=(("a", frozenset({"high"})),)), False, False),
        (told(readings=(("b", frozenset({"high"})),)), True, False),
    ],
)
def test_when_two_faults_are_one(other, work, reads):
    for pair in ((told(), other), (other, told())):
        assert duplicates._same_work(*pair) == work
        assert duplicates._reads_the_same(*pair) == reads
