"""Where each mode of a part can be, how likely, by hand: even over its nets, but for what carries power."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.model import Measurement, frozen_map
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Predictor
from benchlore.circuit.graph.suspects import (
    AT_RAILS,
    BETWEEN,
    OPENS,
    Group,
    Suspect,
    _now_and_then,
    groups,
    suspects,
    suspects_of,
)
from benchlore.circuit.interval import Interval
from benchlore.quantity import parse_quantity
from tests.circuit.boards import small
from tests.circuit.books import FAMILY, good

GRAPH = small(
    """
nets:
  A: {source: {from: adapter, volts: 12 V, part: J1}}
  B: {path: {part: [F1, X1], from: A, ohms: 10 mohm}}
  C: {converter: {part: U1, from: B, volts: 5 V, through: L1}}
  E: {converter: {part: U3, from: C, reference: 0.8 V, top: [R3, 30 kohm], bottom: [R4, 10 kohm]}}
  L: {kind: data, pull: {part: R1, to: C, ohms: 10 kohm}}
  M: {kind: data, pull: {part: R2, to: C, ohms: 10 kohm}}
parts:
  J1: {kind: connector}
  J2: {kind: connector, nets: [C, L]}
  F1: {kind: fuse}
  X1: {kind: ferrite}
  L1: {kind: inductor, nets: [C]}
  U1: {kind: ic, nets: [L, M]}
  U2: {kind: ic, nets: [C, L, M]}
  U3: {kind: ic}
  R1: {kind: resistor}
  R2: {kind: resistor}
  R3: {kind: resistor}
  R4: {kind: resistor}
  R5: {kind: resistor, nets: [L]}
  R6: {kind: resistor}
  C1: {kind: mlcc, nets: [C]}
  D1: {kind: diode, nets: [L, M]}
  Q1: {kind: mosfet, nets: [B, C, L]}
  Q2: {kind: mosfet, nets: [B]}
  Q3: {kind: mosfet, nets: [B, C]}
  B1: {kind: button, nets: [L, M]}
"""
)


def places(part: str, mode: str, *, of: str = "") -> dict[tuple[str, str], float]:
    """Where a mode can be, with its share of all that the part's mode `of` has."""
    known = GRAPH.parts[part]
    shares = mode_shares(known.kind, power=part in {"U1", "U3"})
    return {
        (s.fault.at, s.fault.to): s.share / shares[of or mode]
        for s in suspects_of(GRAPH, known)
        if s.fault.mode == mode
    }


AT_RAIL, AT_LINE = AT_RAILS / 2, (1 - AT_RAILS) / 2


@pytest.mark.parametrize(
    ("part", "mode", "expected"),
    [
        ("C1", "shorted-to-ground", {("C", ""): 1.0}),
        ("C1", "open", {("", ""): 1.0}),
        ("J1", "open", {("", ""): 1.0}),  # one contact
        ("J2", "open", {("", ""): 1 / 3, ("C", ""): 1 / 3, ("L", ""): 1 / 3}),
        ("J2", "loose", {("", ""): 1.0}),
        ("J2", "leaks", {("C", ""): 0.5, ("L", ""): 0.5}),
        ("U1", "leaks", {("C", ""): AT_RAIL, ("B", ""): AT_RAIL, ("L", ""): AT_LINE, ("M", ""): AT_LINE}),
        ("U2", "leaks", {("C", ""): 1 / 3, ("L", ""): 1 / 3, ("M", ""): 1 / 3}),
        ("U2", "stuck", {("L", ""): 0.5, ("M", ""): 0.5}),  # a rail is shorted, not stuck
        ("U3", "leaks", {("E", ""): 0.5, ("C", ""): 0.5}),  # rails alone share evenly
        ("B1", "stuck", {("L", ""): 0.5, ("M", ""): 0.5}),
        ("Q1", "shorted-across", {("B", "C"): 1 / 3, ("B", "L"): 1 / 3, ("C", "L"): 1 / 3}),
        ("Q3", "shorted-across", {("", ""): 1.0}),
        ("R1", "shorted-across", {("", ""): 1.0}),
        ("X1", "shorted-across", {("", ""): 1.0}),
        ("L1", "shorted-across", {("", ""): 1.0}),  # a converter goes through it
        ("R3", "shorted-across", {("", ""): 1.0}),  # the ends of a divider are not at ground
        ("R4", "shorted-across", {("", ""): 1.0}),
        ("R6", "shorted-across", {("", ""): 1.0}),  # nobody says where it sits
    ],
)
def test_where_a_mode_can_be(part: str, mode: str, expected: dict[tuple[str, str], float]) -> None:
    assert places(part, mode) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("part", "expected"),
    [("Q2", {("B", ""): 1.0}), ("D1", {("L", ""): 0.5, ("M", ""): 0.5}), ("R5", {("L", ""): 1.0})],
)
def test_what_ends_at_ground_is_shorted_to_it(part: str, expected: dict[tuple[str, str], float]) -> None:
    """On one net, or a protection diode; all of that mode is a short to ground then."""
    assert places(part, "shorted-to-ground", of="shorted-across") == pytest.approx(expected)
    assert places(part, "shorted-across") == {}


@pytest.mark.parametrize("part", sorted(GRAPH.parts))
def test_the_shares_of_a_part_are_one_in_all_and_each_counts_its_modes(part: str) -> None:
    known = GRAPH.parts[part]
    found = suspects_of(GRAPH, known)
    assert sum(s.share for s in found) == pytest.approx(1)
    assert {s.ways for s in found} == {len(mode_shares(known.kind))}


LINES = small(
    """
nets:
  IN: {source: {from: adapter, volts: 5 V}}
  L: {kind: data, pull: {part: R1, to: IN, ohms: 10 kohm}}
  M: {kind: data, path: {part: [Q1, X1], from: L, ohms: 10 ohm}}
  N: {kind: data, path: {part: U1, from: L, ohms: 10 ohm}}
parts:
  R1: {kind: resistor}
  Q1: {kind: mosfet}
  X1: {kind: bga}
  U1: {kind: ic}
  C1: {kind: mlcc, nets: [L]}
  J1: {kind: connector, nets: [L]}
  J2: {kind: ic, nets: [L, M]}
"""
)


def test_what_lies_between_two_lines_is_at_no_rail() -> None:
    found = {s.fault.at: s.share for s in suspects_of(LINES, LINES.parts["U1"]) if s.fault.mode == "leaks"}
    assert found == pytest.approx(dict.fromkeys(("L", "N"), mode_shares("ic", power=True)["leaks"] / 2))


def test_only_contacts_open_one_by_one() -> None:
    def opened(part: str) -> list[str]:
        return [s.fault.at for s in suspects_of(LINES, LINES.parts[part]) if s.fault.mode == "open"]

    assert opened("J1") == opened("J2") == [""]


RAIL = good().families[FAMILY].measurements["main-rail"]


def reading_of(id_: str, net: str, **outcomes: str) -> tuple[Measurement, Ask]:
    """Volts with outcomes of these ranges; the first letter `n` makes one normal."""
    one = next(iter(RAIL.outcomes.values()))
    made = {
        name: replace(one, id=name, range=parse_quantity(text), normal=name.startswith("n"))
        for name, text in outcomes.items()
    }
    return replace(RAIL, id=id_, outcomes=frozen_map(made)), Ask(net, "dc-volts", Setup("on"))


def test_suspects_that_read_alike_are_one_group_and_what_reads_healthy_is_left_out() -> None:
    """The line at 5 V, by halves: a leak that leaves 4.2 V reads healthy still, one that leaves 1 V does not.
    To a twentieth alike is alike."""
    asks = [reading_of("line", "L", low="under 4 V", nearly="4 to 4.5 V", normal="over 4.5 V")]
    predictor = Predictor(LINES)

    def suspect(low: float, high: float) -> Suspect:
        """A leak on the line that leaves so much of 5 V."""
        ohms = Interval(*(1e4 * v / (5 - v) for v in (low, high)))
        return Suspect(Fault("C1", "leaks", "L", value=ohms), 1.0, 1)

    healthy, wrong, alike, other = (suspect(*v) for v in ((4.2, 4.3), (1, 1.1), (2, 2.1), (3.5, 4.5)))
    found = groups(predictor, asks, [healthy, wrong, alike, other, suspect(3.501, 4.5)])
    assert [len(group.suspects) for group in found] == [1, 2, 2]
    assert [dict(group.reads) for group in found] == [
        {},
        {"line": {"low": 1.0}},
        {"line": pytest.approx({"low": 0.5, "nearly": 0.5}, abs=1e-3)},
    ]
    assert [group.unknown for group in found] == [frozenset()] * 3


def test_what_is_not_predicted_is_named() -> None:
    asks = [
        reading_of("line", "L", low="under 4 V", normal="over 4 V"),
        (RAIL, Ask("L", "hertz", Setup("on"))),
    ]
    (group,) = groups(Predictor(LINES), asks, [Suspect(Fault("C1", "leaks", "L"), 1.0, 1)])
    assert group.unknown == {RAIL.id}
    assert suspects(LINES) == tuple(s for part in LINES.parts.values() for s in suspects_of(LINES, part))


FUSED = """
nets:
  IN: {source: {from: adapter, volts: 12 V, limit: LIMIT}}
  B: {path: {part: F1, from: IN, ohms: 10 mohm, rating: 2 A}}
  C: {path: {part: L1, from: B, ohms: 10 mohm}}
  E: {converter: {part: U1, from: C, volts: 5 V, limit: 1 A}}
parts:
  F1: {kind: fuse}
  L1: {kind: inductor, nets: [B, C]}
  U1: {kind: ic, nets: [C]}
  C1: {kind: mlcc, nets: [C]}
  C2: {kind: mlcc, nets: [E]}
"""


@pytest.mark.parametrize(("limit", "blows"), [("3 to 4 A", True), ("1 to 2 A", False)])
def test_a_short_behind_a_fuse_has_mostly_blown_it_where_the_source_can(limit: str, blows: bool) -> None:
    """Eight of ten; one behind a converter has not."""
    graph = small(FUSED.replace("LIMIT", limit))

    def shorts(part: str) -> dict[tuple[Fault, ...], float]:
        found = suspects_of(graph, graph.parts[part])
        return {s.fault.then: s.share for s in found if s.fault.mode == "shorted-to-ground"}

    whole, fuse = mode_shares("mlcc")["shorted-to-ground"], Fault("F1", "open")
    found = shorts("C1")
    assert found.get((fuse,), 0.0) == pytest.approx(0.8 * whole if blows else 0.0)
    assert found[()] == pytest.approx(0.2 * whole if blows else whole)
    assert shorts("C2") == {(): pytest.approx(whole)}


def test_of_a_part_that_no_element_speaks_of_what_its_lines_read_is_not_known() -> None:
    """R5 sits on the line and in no pull; what is on a rail alone, or a capacitor, tells nothing."""
    asks = [reading_of("line", "L", low="under 4 V", normal="over 4 V")]
    predictor = Predictor(GRAPH)

    def opened(part: str) -> tuple[Group, ...]:
        return groups(predictor, asks, [Suspect(Fault(part, "open"), 1.0, 1)])

    assert [(g.reads, g.unknown) for g in opened("R5")] == [({}, frozenset({"line"}))]
    assert [(g.reads, g.unknown) for g in opened("C1")] == [({}, frozenset())]
    assert [g.reads for g in opened("R1")] == [{"line": {"low": 1.0}}], "of a pull the circuit speaks"


def test_what_the_scope_finds_at_a_net_is_touched_where_its_level_is() -> None:
    scope = replace(RAIL, id="scope"), Ask("L", "dc-volts", Setup("on"))
    (low,) = groups(Predictor(GRAPH), [], [Suspect(Fault("R1", "open"), 1.0, 1)], [scope])
    (other,) = groups(Predictor(GRAPH), [], [Suspect(Fault("R2", "open"), 1.0, 1)], [scope])
    assert low.unknown == {"scope"}
    assert not other.unknown


def test_a_loose_contact_is_open_at_some_readings_and_touches_at_the_others() -> None:
    """Of three readings in ten half find it open, and half what lies between that and healthy."""
    one = good().families[FAMILY].measurements["main-rail"]
    assert (OPENS, BETWEEN) == (0.3, 0.5)
    assert list(one.outcomes) == ["healthy", "low", "absent"]
    assert _now_and_then(one, {"absent": 1.0}) == pytest.approx({"absent": 0.15, "low": 0.15, "healthy": 0.7})
    assert _now_and_then(one, {"low": 1.0}) == pytest.approx({"low": 0.3, "healthy": 0.7}), "none between"
    assert _now_and_then(one, {"low": 0.5, "healthy": 0.5}) == pytest.approx({"low": 0.15, "healthy": 0.85})
    named = replace(one, outcomes={n: replace(o, range=None) for n, o in one.outcomes.items()})
    assert _now_and_then(named, {"absent": 1.0}) == pytest.approx({"absent": 0.3, "healthy": 0.7})
