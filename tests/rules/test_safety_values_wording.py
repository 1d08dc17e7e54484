"""Rules of safety, of values in words, and of wording, branch by branch, on changes of the good book."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Injection, frozen_map
from benchlore.findings import Origin
from benchlore.quantity import parse_quantity
from benchlore.rules import predictions, safety, step_values, waivers, wording
from benchlore.rules.waivers import Review, Waiver
from tests.rules.asked import BOOK, FAMILY, said
from tests.rules.test_boundaries import FUSE, HERE, measuring, step, stepping

VOLTS = FAMILY.measurements["main-rail"]
OFF = BOOK.states["all-off"]


def injecting(volts: str = "1 V", limit: str = "1 A") -> Injection:
    return Injection(volts=parse_quantity(volts), limit=parse_quantity(limit))


@pytest.mark.parametrize(
    ("mode", "sources", "discharged", "inject", "count"),
    [
        ("ohms", (), True, False, 0),
        ("ohms", ("adapter",), True, False, 1),
        ("ohms", ("adapter", "pack"), False, False, 1),
        ("ohms", (), False, False, 1),
        ("ohms", (), True, True, 1),
        ("junction", ("pack",), False, True, 2),
        ("dc-volts", ("adapter",), False, False, 0),
        ("look", ("adapter",), False, False, 0),
    ],
)
def test_what_is_measured_without_power(mode, sources, discharged, inject, count) -> None:
    state = replace(OFF, sources=sources, discharged=discharged)
    measurement = replace(VOLTS, mode=mode, inject=injecting() if inject else None)
    assert len(said(safety.measured_under_power, measurement=measurement, state=state)) == count


@pytest.mark.parametrize(
    ("mode", "sources", "inject", "no"),
    [
        ("dc-volts", (), False, True),
        ("dc-volts", (), True, False),
        ("dc-volts", ("adapter",), False, False),
        ("ohms", (), False, False),
        ("look", (), False, False),
        ("hertz", (), False, True),
    ],
)
def test_what_is_measured_with_power(mode, sources, inject, no) -> None:
    state = replace(OFF, sources=sources)
    measurement = replace(VOLTS, mode=mode, inject=injecting() if inject else None)
    assert bool(said(safety.measured_without_power, measurement=measurement, state=state)) == no


@pytest.mark.parametrize(
    ("sources", "discharged", "inject", "message"),
    [
        ((), True, True, ""),
        ((), False, True, "current is injected into a board with charge left"),
        (("adapter",), True, True, "current is injected with adapter in"),
        (("adapter", "pack"), False, True, "current is injected with adapter and pack in"),
        (("adapter",), False, False, ""),
    ],
)
def test_nothing_is_in_beside_an_injection(sources, discharged, inject, message) -> None:
    state = replace(OFF, sources=sources, discharged=discharged)
    measurement = replace(VOLTS, inject=injecting() if inject else None)
    found = said(safety.injection_beside_source, measurement=measurement, state=state)
    assert found == ([message] if message else [])


@pytest.mark.parametrize(
    ("net", "nominal", "volts", "no"),
    [
        ("MAIN", "3.3 V", "3.3 V", False),
        ("MAIN", "3.3 V", "3.31 V", True),
        ("MAIN", "3.0 to 3.3 V", "3.0 V", False),
        ("MAIN", "3.0 to 3.3 V", "3.1 V", True),
        ("MAIN", None, "1 V", True),
        ("MAIN", "-3.3 V", "1 V", True),
        ("MAIN", "over 3 V", "1 V", False),
        ("MAIN", "under 3 V", "1 V", True),
        ("SDA", "3.3 V", "0.5 V", False),
        ("SDA", "3.3 V", "0.51 V", True),
        ("NOWHERE", "3.3 V", "99 V", False),
    ],
)
def test_how_high_an_injection_may_go(net, nominal, volts, no) -> None:
    nets = dict(FAMILY.nets)
    if net in nets:
        nets[net] = replace(nets[net], nominal=parse_quantity(nominal) if nominal else None)
    family = replace(FAMILY, nets=frozen_map(nets))
    measurement = replace(VOLTS, net=net, inject=injecting(volts))
    assert bool(said(safety.injection_too_high, family=family, measurement=measurement)) == no
    assert not said(safety.injection_too_high, family=family, measurement=replace(measurement, inject=None))


@pytest.mark.parametrize(
    ("volts", "limit", "count"),
    [
        ("1 V", "1 A", 0),
        ("1 V", "5 A", 0),
        ("1 V", "5.01 A", 1),
        ("1 V", "0 A", 1),
        ("0 V", "1 A", 1),
        ("-1 V", "-1 A", 2),
        ("1 to 2 V", "1 A", 1),
        ("over 1 V", "1 to 2 A", 2),
        ("6 V", "1 A", 0),
    ],
)
def test_what_can_be_set_at_a_supply(volts, limit, count) -> None:
    assert (
        len(said(safety.unsafe_injection, measurement=replace(VOLTS, inject=injecting(volts, limit))))
        == count
    )
    assert said(safety.unsafe_injection, measurement=VOLTS) == []


@pytest.mark.parametrize(
    ("source", "no"), [("mains", True), ("the Mains side", True), ("adapter", False), ("remains", False)]
)
def test_the_mains_is_no_source(source, no) -> None:
    assert bool(said(safety.mains_as_source, origin=HERE, source=source, what="x")) == no


def test_the_hazards_that_a_fault_brings_are_in_the_book() -> None:
    """A fix with heat: burn and fumes; what is not there is named, with the reason once."""
    assert said(safety.missing_hazard, fault=FUSE) == []

    def without(*names: str) -> list[str]:
        left = {n: h for n, h in BOOK.hazards.items() if n not in names}
        return said(safety.missing_hazard, book=replace(BOOK, hazards=frozen_map(left)), fault=FUSE)

    assert without(*BOOK.hazards) == [], "the book has none at all"
    (found,) = without("burn", "fumes")
    assert found.startswith("the work brings the hazards burn and fumes (")
    (found,) = without("fumes")
    assert found.startswith("the work brings the hazard fumes (")


# Values in words.


@pytest.mark.parametrize(
    ("value", "stated", "alike"),
    [
        ("3.3 V", "3.3 V", True),
        ("3.39 V", "3.3 V", True),  # three percent
        ("3.4 V", "3.3 V", False),
        ("3.21 V", "3.3 V", True),
        ("3.19 V", "3.3 V", False),
        ("3.3 V", "3.2 to 3.4 V", True),
        ("3.0 V", "3.2 to 3.4 V", False),
        ("-5 V", "-5 V", True),
        ("-5.1 V", "-5 V", True),
        ("-5.2 V", "-5 V", False),
        ("5 V", "over 3 V", True),
        ("2 V", "over 3 V", False),
    ],
)
def test_a_value_in_words_is_rounded(value, stated, alike) -> None:
    assert step_values._alike(parse_quantity(value), parse_quantity(stated)) is alike


@pytest.mark.parametrize(
    ("words", "no"),
    [
        ("MAIN stands at 3.3 V.", False),
        ("MAIN stands at 5.8 V.", True),
        ("MAIN stands at more than 5.8 V.", False),
        ("MAIN stands below 5.8 V.", False),
        ("MAIN takes 7 A.", False),
        ("It stands at 5.8 V.", False),  # of which net nobody knows
        ("MAIN, by 4.7 kohm.", True),
        ("SDA hangs on 2.2 kohm.", False),
        ("SDA hangs on 2.2 kΩ.", False),
        ("SDA hangs on 4.7 kΩ.", True),
    ],
)
def test_a_value_in_a_step_is_one_of_the_net(words, no) -> None:
    assert bool(said(step_values.contradicted_step_value, fault=stepping(step(say=words)))) == no


@pytest.mark.parametrize(
    ("note", "no"),
    [
        ("A healthy one reads 3.3 V.", False),
        ("A healthy one reads 2.2 V.", True),
        ("It reads 2.2 V.", False),
        ("Good. It reads 2.2 V.", False),
        ("It reads 2.2 V; normal is 3.31 V.", False),
        ("Normal is 2.2 ohm.", False),
        ("", False),
    ],
)
def test_a_note_calls_healthy_what_is(note, no) -> None:
    (first, *_) = FUSE.test_points
    fault = replace(FUSE, test_points=(replace(first, measure="main-rail", note=note),))
    assert bool(said(step_values.contradicted_note_value, fault=fault)) == no
    nowhere = replace(FUSE, test_points=(replace(first, measure="nowhere", note=note),))
    assert said(step_values.contradicted_note_value, fault=nowhere) == []


@pytest.mark.parametrize(
    ("summary", "no"),
    [
        ("The rail of 3.3 V is dead.", False),
        ("The rail of 7.7 V is dead.", True),
        ("It reads under 7.7 V.", False),
        ("It has 77 kohm.", False),
        ("The input of 5 V is fine, and 12.5 V is not.", True),
    ],
)
def test_a_voltage_of_a_summary_is_one_of_the_board(summary, no) -> None:
    assert bool(said(step_values.contradicted_summary_value, fault=replace(FUSE, summary=summary))) == no


# What the circuit foretells.


@pytest.mark.parametrize(
    ("row", "text"),
    [
        ({"absent": 1.0}, "absent"),
        ({"absent": 0.3, "low": 0.7}, "low (70 %) or absent (30 %)"),
        ({"low": 0.5, "absent": 0.5}, "absent (50 %) or low (50 %)"),
    ],
)
def test_outcomes_with_their_shares_in_words(row, text) -> None:
    assert predictions._said(row) == text


@pytest.mark.parametrize(
    ("stated", "contradicts", "repeats"),
    [
        ({"absent": 1.0}, False, True),
        ({"absent": 0.96, "low": 0.04}, False, True),
        ({"absent": 0.94, "low": 0.06}, False, False),
        ({"absent": 0.5, "healthy": 0.5}, False, False),
        ({"absent": 0.49, "healthy": 0.51}, True, False),
        ({"healthy": 1.0}, True, False),
    ],
)
def test_what_a_record_states_beside_what_the_circuit_foretells(stated, contradicts, repeats) -> None:
    """F1 open: FUSED is absent."""
    (first, *_) = FUSE.test_points
    assert first.measure == "fused-rail"
    point = replace(first, expected_reading=frozen_map(stated), note="")
    fault = replace(FUSE, test_points=(point,))
    book = replace(BOOK, faults=frozen_map({FUSE.id: fault}))
    assert bool(said(predictions.contradicts_circuit, book=book, fault=fault)) == contradicts
    assert bool(said(predictions.repeats_prediction, book=book, fault=fault)) == repeats
    noted = replace(fault, test_points=(replace(point, note="So."),))
    assert not said(predictions.repeats_prediction, book=book, fault=noted)


# Waivers.


OWN = "faults/a/family.yaml"
ALL, ONE = Origin(OWN), Origin(OWN, ("measurements", "m"))


@pytest.mark.parametrize(
    ("record", "file", "path", "covered"),
    [
        (Origin("faults/a/f.yaml"), "faults/a/f.yaml", (), True),
        (Origin("faults/a/f.yaml"), "faults/a/f.yaml", ("fix", 1), True),
        (Origin("faults/a/f.yaml"), "faults/a/g.yaml", (), False),
        (ALL, "faults/a/family/power.yaml", ("nets",), True),
        (
            ONE,
            "faults/a/family/power.yaml",
            ("nets",),
            False,
        ),
        (
            ONE,
            OWN,
            ("measurements", "m", "at"),
            True,
        ),
        (
            ONE,
            OWN,
            ("measurements", "n"),
            False,
        ),
        (
            ONE,
            OWN,
            ("measurements",),
            False,
        ),
        (ALL, "faults/b/family/power.yaml", (), False),
    ],
)
def test_what_a_waiver_covers(record, file, path, covered) -> None:
    waiver = Waiver("some-rule", record)
    assert waiver.covers(Origin(file, path)) is covered
    assert waiver.origin.path == (*record.path, "waive", "some-rule")
    assert (waivers.silencing((waiver,), "some-rule", Origin(file, path)) is waiver) is covered
    assert waivers.silencing((waiver,), "other-rule", Origin(file, path)) is None


@pytest.mark.parametrize(
    ("rule", "used", "unknown", "unused", "refused"),
    [
        ("known", True, False, False, False),
        ("known", False, False, True, False),
        ("fixed", False, False, False, True),
        ("nonsense", False, True, False, False),
    ],
)
def test_what_is_said_of_a_waiver(rule, used, unknown, unused, refused) -> None:
    waiver = Waiver(rule, HERE)
    review = Review(frozenset({waiver} if used else ()), frozenset({"known"}), frozenset({"fixed"}))
    told: dict[str, Any] = {"waiver": waiver, "review": review}
    assert bool(said(waivers.unknown_rule, **told)) == unknown
    assert bool(said(waivers.unused_waiver, **told)) == unused
    assert bool(said(waivers.refused_waiver, **told)) == refused


# Wording.


@pytest.mark.parametrize(
    ("text", "no"),
    [
        ("plain words", False),
        ("2.2 kΩ and µF and Δ", False),
        ("kΩ2", False),
        ("pаck", True),  # a Cyrillic a
        ("ΚΩ", False),
        ("rаil and rail", True),
        ("дом", False),
        ("電源ケーブル", False),  # Han and Katakana are written together
        ("é", False),
    ],
)
def test_the_letters_of_a_word_are_of_one_script(text, no) -> None:
    assert len(said(wording.mixed_scripts, origin=HERE, text=text)) == no


@pytest.mark.parametrize(
    ("signals", "no"),
    [
        (("danger", "warning", "caution", "notice"), False),
        (("warning", "danger"), True),
        (("warning", "warning"), False),
        (("notice",), False),
        ((), False),
    ],
)
def test_hazards_stand_by_their_signal_words(signals, no) -> None:
    one = next(iter(BOOK.hazards.values()))
    known = {f"h{i}": replace(one, id=f"h{i}", signal=signal) for i, signal in enumerate(signals)}
    book = replace(BOOK, hazards=frozen_map(known))
    names = (*known, "nowhere")
    assert bool(said(wording.hazards_out_of_order, book=book, origin=HERE, names=names)) == no


@pytest.mark.parametrize(
    ("title", "no"),
    [
        ("Input fuse open", False),
        ("The fused path is open", False),  # the first five letters of a word
        ("F1 is open", False),
        ("FUSED is dead", False),
        ("It is dead", True),
        ("Jack torn off", False),  # a landmark
    ],
)
def test_the_title_of_a_fault_says_which_part_it_is(title, no) -> None:
    assert FUSE.cause.part == "F1"
    assert bool(said(wording.title_without_part, fault=replace(FUSE, title=title))) == no


def test_where_one_fault_has_its_tell_each_has() -> None:
    (first, *others) = FUSE.test_points
    tell = replace(FUSE, test_points=(replace(first, note="The tell: it is open."), *others))
    assert wording._tells(tell)
    assert not wording._tells(replace(FUSE, test_points=(replace(first, note="It tells. The tell"), *others)))
    assert measuring(normal="1 to 2 V").outcomes["normal"].normal
