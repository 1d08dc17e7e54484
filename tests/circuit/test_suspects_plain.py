"""Where each mode of a part can be, how likely, by hand: even over its nets, but for what carries power."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.circuit.graph.suspects import AT_RAILS, suspects_of
from tests.circuit.boards import small

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


RAIL, LINE = AT_RAILS / 2, (1 - AT_RAILS) / 2


@pytest.mark.parametrize(
    ("part", "mode", "expected"),
    [
        ("C1", "shorted-to-ground", {("C", ""): 1.0}),
        ("C1", "open", {("", ""): 1.0}),
        ("J1", "open", {("", ""): 1.0}),  # one contact
        ("J2", "open", {("", ""): 1 / 3, ("C", ""): 1 / 3, ("L", ""): 1 / 3}),
        ("J2", "loose", {("", ""): 1.0}),
        ("J2", "leaks", {("C", ""): 0.5, ("L", ""): 0.5}),
        ("U1", "leaks", {("C", ""): RAIL, ("B", ""): RAIL, ("L", ""): LINE, ("M", ""): LINE}),
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
