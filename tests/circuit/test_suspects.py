"""Suspects: how parts fail, and which of them no measurement tells apart."""

import math

import pytest

from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.family import ask_of
from benchlore.circuit.graph.mode_shares import PRINTED, mode_shares, modes_of, source_of
from benchlore.circuit.graph.outcomes import shares
from benchlore.circuit.graph.predict import Predictor
from benchlore.circuit.graph.suspects import groups, suspects, suspects_of
from benchlore.vocabulary import FAULT_MODES, PART_KINDS
from tests.circuit.boards import FAMILIES, board, book, meter

pytestmark = pytest.mark.slow


def test_the_handbook_s_shares_add_to_one():
    """MIL-HDBK-338B, normalised distributions of FMD-91 (from memory, the battery's seen)."""
    for kind, printed in PRINTED.items():
        assert sum(printed.values()) == pytest.approx(1.0, abs=0.011), kind  # rounded to two places


@pytest.mark.parametrize(
    ("kind", "ours", "printed", "theirs"),
    [
        ("mlcc", ("shorted-to-ground", "leaks"), "capacitor, ceramic", ("short",)),
        ("mlcc", ("open",), "capacitor, ceramic", ("open",)),
        ("electrolytic", ("shorted-to-ground",), "capacitor, aluminium", ("short",)),
        ("resistor", ("open",), "resistor, fixed film", ("open",)),
        ("resistor", ("wrong-value",), "resistor, fixed film", ("change in value",)),
        ("diode", ("shorted-across",), "diode, general", ("short",)),
        ("mosfet", ("shorted-across",), "transistor, field effect", ("short", "output high")),
        ("mosfet", ("open",), "transistor, field effect", ("open", "output low")),
        ("inductor", ("open", "loose"), "inductor", ("open",)),
        ("connector", ("loose",), "connector", ("poor contact",)),
        ("pack", ("worn",), "battery, lithium", ("degraded output", "start-up delay")),
        ("crystal", ("open", "loose"), "crystal, quartz", ("open", "no oscillation")),
        ("ic", ("open",), "digital circuit, MOS", ("input open", "output open", "supply open")),
        ("bga", ("open", "loose"), "digital circuit, MOS", ("input open", "output open", "supply open")),
    ],
)
def test_shares_are_those_of_the_handbook(kind, ours, printed, theirs):
    expected = sum(PRINTED[printed][mode] for mode in theirs)
    assert sum(mode_shares(kind)[mode] for mode in ours) == pytest.approx(expected, abs=0.02)


def test_a_chip_that_carries_power_fails_as_a_hybrid_device_does():
    """FMD-91 has no short of a supply for a logic chip; a charger or a converter shorts its rails."""
    printed, ours = PRINTED["hybrid device"], mode_shares("ic", power=True)
    assert ours["shorted-to-ground"] + ours["leaks"] == pytest.approx(printed["short"])
    assert ours["open"] == pytest.approx(printed["open"] + printed["no output"])
    assert ours["wrong-value"] == pytest.approx(printed["degraded output"])
    graph = board("petrel-13")
    shorts = [s for s in suspects_of(graph, graph.parts["U12"]) if s.fault.mode == "shorted-to-ground"]
    at_rails = sum(s.share for s in shorts if s.fault.at in graph.rails)
    assert at_rails == pytest.approx(0.8 * sum(s.share for s in shorts))


def test_every_kind_of_part_has_modes_with_a_source():
    for kind in PART_KINDS:
        shares = mode_shares(kind)
        assert sum(shares.values()) == pytest.approx(1.0), kind
        assert set(shares) <= set(modes_of(kind)) <= set(FAULT_MODES), kind
        assert source_of(kind)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_part_is_a_suspect(family):
    for part in board(family).parts.values():
        total = sum(suspect.share for suspect in suspects_of(board(family), part))
        # What meets no net (a fan, a speaker) can be worn or damaged, but shorts nothing.
        least = 0.8 if part.nets else 0.3
        assert least < total < 1 + 1e-9, part.id


@pytest.mark.parametrize("family", FAMILIES)
def test_groups_hold_what_no_measurement_tells_apart(family):
    records = book().families[family]
    predictor = Predictor(board(family), meter())
    asks = [(m, ask) for m in records.measurements.values() if (ask := ask_of(m))]
    found = groups(predictor, asks, suspects(board(family)))
    assert sum(len(group.suspects) for group in found) == len(suspects(board(family)))
    assert len(found) > 40
    alike = {(frozenset(g.reads), g.unknown, str(sorted(map(str, g.reads.values())))) for g in found}
    assert len(alike) > 0.9 * len(found)


def test_the_capacitors_of_a_rail_are_one_group():
    records = book().families["petrel-13"]
    asks = [(m, ask) for m in records.measurements.values() if (ask := ask_of(m))]
    found = groups(Predictor(board("petrel-13"), meter()), asks, suspects(board("petrel-13")))
    group = next(
        g for g in found if any(s.fault == Fault("C61", "shorted-to-ground", "STANDBY") for s in g.suspects)
    )
    parts = {s.fault.part for s in group.suspects}
    assert {"C61", "C62", "U40", "U30"} <= parts
    assert "C55" not in parts
    assert max(group.reads["standby-ohms"], key=lambda o: group.reads["standby-ohms"][o]) == "shorted"


def test_a_fault_without_a_record_is_in_the_first_group():
    """Each fault of the book by its stated volts, ohms and diode mode alone, among all suspects."""
    first = 0
    for family in FAMILIES:
        records = book().families[family]
        predictor = Predictor(board(family), meter())
        asks = {m.id: (m, ask) for m in records.measurements.values() if (ask := read_by_meter(m))}
        said = {}
        for suspect in suspects(board(family)):
            found = predictor.predict([ask for _, ask in asks.values()], suspect.fault, words=False)
            said[suspect.fault] = {name: shares(m, found[ask]) for name, (m, ask) in asks.items()}
        for fault in (f for f in book().faults.values() if f.family == family):
            stated = {e.measure: e.expected_reading for e in fault.test_points if e.measure in asks}
            fits = {
                suspect: sum(
                    math.log(0.02 + 0.96 * agreement(outcomes, reads[name], len(asks[name][0].outcomes)))
                    for name, outcomes in stated.items()
                )
                for suspect, reads in said.items()
            }
            best = max(fits.values())
            parts = {suspect.part for suspect, fit in fits.items() if fit > best - 1e-3}
            first += bool(parts & {variant.part for _, variant in fault_of(fault)})
    assert first >= 70


def read_by_meter(measurement):
    ask = ask_of(measurement)
    return ask if ask and ask.function in ("dc-volts", "ohms", "junction") else None


def agreement(stated, predicted, outcomes):
    if predicted is None:
        return 1 / outcomes
    return sum(share * predicted.get(outcome, 0.0) for outcome, share in stated.items())
