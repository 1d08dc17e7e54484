"""Values in words, steps and shares against those of the circuit, at the ends of what is near enough."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.model import Fault, PartUse, Step, frozen_map
from benchlore.findings import Finding, Origin
from benchlore.quantity import parse_quantity
from benchlore.rules import duplicates, engine, predictions, step_values, wording
from tests.rules.asked import BOOK, said

FUSE = BOOK.faults["wren-5/fuse-open"]
HERE = Origin("x.yaml")


@pytest.mark.parametrize(
    ("value", "stated", "alike"),
    [
        ("3.3 V", "3.3 V", True),
        ("3.39 V", "3.3 V", True),  # three percent are rounding
        ("3.4 V", "3.3 V", False),
        ("3.21 V", "3.3 V", True),
        ("3.2 V", "3.3 V", False),
        ("3.2 V", "3.3 to 3.4 V", False),
        ("3.5 V", "3.3 to 3.4 V", True),
        ("3.51 V", "3.3 to 3.4 V", False),
        ("3 to 4 V", "3.3 V", True),
        ("-5 V", "-5 V", True),
        ("-5.1 V", "-5 V", True),
        ("-5.2 V", "-5 V", False),
    ],
)
def test_what_is_near_enough_for_words(value, stated, alike):
    assert step_values._alike(parse_quantity(value), parse_quantity(stated)) == alike


@pytest.mark.parametrize(
    ("step", "count"),
    [
        (Step(origin=HERE, fit=(PartUse(part="F1", value=parse_quantity("20 mohm")),)), 0),
        (Step(origin=HERE, fit=(PartUse(part="F1", value=parse_quantity("30 mohm")),)), 1),
        (Step(origin=HERE, replace=(PartUse(part="F1", value=parse_quantity("30 mohm")),)), 1),
        (Step(origin=HERE, replace=(PartUse(part="F1", value=parse_quantity("1 A")),)), 0),
        (Step(origin=HERE, replace=(PartUse(part="C1", value=parse_quantity("30 mohm")),)), 0),
        (Step(origin=HERE, replace=(PartUse(part="F1"),)), 0),
        (Step(origin=HERE, say="MAIN has 3.3 V now."), 0),
        (Step(origin=HERE, say="MAIN has 5 V now."), 1),
        (Step(origin=HERE, say="MAIN has under 5 V now."), 0),
        (Step(origin=HERE, say="MAIN and VIN have 5 V."), 0),
        (Step(origin=HERE, say="It has 9 V now."), 0),  # nobody says where
        (Step(origin=HERE, measure=("main-rail",), say="It has 9 V now."), 1),
        (Step(origin=HERE, measure=("main-rail",), say="It has 9 Hz now."), 0),
        (Step(origin=HERE, measure=("main-rail",), say="It has 3.3 V now."), 0),
        (Step(origin=HERE, say="SDA is pulled by 2.2 kohm to MAIN."), 0),
        (Step(origin=HERE, say="SDA is pulled by 4.7 kohm to MAIN."), 1),
    ],
)
def test_a_value_in_a_step_is_one_of_the_circuit(step, count):
    fault = replace(FUSE, fix=replace(FUSE.fix, steps=(step,)))
    assert len(said(step_values.contradicted_step_value, fault=fault)) == count


@pytest.mark.parametrize(
    ("note", "count"),
    [
        ("A healthy board reads 5.0 V.", 0),
        ("A healthy board reads 9 V.", 1),
        ("A healthy board reads 9 V. Normal is 8 V.", 2),
        ("It reads 9 V here.", 0),
        ("A healthy board reads 9 ohm.", 0),
        ("The fuse is gone. 5.2 V are normal, and 0.1 V with the fault.", 1),
    ],
)
def test_a_value_that_a_note_calls_healthy(note, count):
    (first, *_) = FUSE.test_points
    fault = replace(FUSE, test_points=(replace(first, note=note),))
    assert len(said(step_values.contradicted_note_value, fault=fault)) == count


@pytest.mark.parametrize(
    ("summary", "count"),
    [
        ("The adapter gives 5 V.", 0),
        ("The adapter gives 19 V.", 1),
        ("The adapter gives over 19 V.", 0),
        ("The fuse has 19 ohm.", 0),
        ("3.3 V are there, and 3300 mV, and 7 V.", 1),
    ],
)
def test_a_voltage_in_a_summary_is_one_of_the_board(summary, count):
    assert len(said(step_values.contradicted_summary_value, fault=replace(FUSE, summary=summary))) == count


def stating(measure: str, note: str = "", **shares: float) -> Fault:
    """The open fuse, of which one measurement is stated so."""
    (first, *_) = FUSE.test_points
    return replace(
        FUSE,
        test_points=(replace(first, measure=measure, note=note, expected_reading=frozen_map(shares)),),
    )


@pytest.mark.parametrize(
    ("shares", "no"),
    [({"absent": 1.0}, False), ({"absent": 0.5, "healthy": 0.5}, False), ({"absent": 0.4, "low": 0.6}, True)],
)
def test_more_than_half_of_what_is_read_against_the_circuit(shares, no):
    found = said(predictions.contradicts_circuit, fault=stating("fused-rail", **shares))
    assert bool(found) == no
    if no:
        assert found[0].startswith(
            "'fused-rail' reads low (60 %) or absent (40 %), and by the circuit absent"
        )


@pytest.mark.parametrize(
    ("shares", "note", "repeats"),
    [
        ({"absent": 1.0}, "", True),
        ({"absent": 1.0}, "For a reason.", False),
        ({"absent": 0.96, "low": 0.04}, "", True),
        ({"absent": 0.94, "low": 0.06}, "", False),
    ],
)
def test_what_only_repeats_the_circuit(shares, note, repeats):
    found = said(predictions.repeats_prediction, fault=stating("fused-rail", note, **shares))
    assert bool(found) == repeats


def test_outcomes_with_their_shares_in_words():
    assert predictions._said({"low": 1.0}) == "low"
    assert predictions._said({"low": 0.3, "absent": 0.7}) == "absent (70 %) or low (30 %)"
    assert predictions._said({"low": 0.5, "absent": 0.5}) == "absent (50 %) or low (50 %)"


def finding(line: int, rule: str = "unknown-part", column: int = 1) -> Finding:
    return Finding("a.yaml", line, column, rule, "error", "'X' is not a part", "", "")


@pytest.mark.parametrize(
    ("lines", "also"),
    [
        ((4,), ""),
        ((4, 4), ""),
        ((4, 9), "; also in line 9"),
        ((9, 4), "; also in line 9"),
        ((4, 9, 9, 12), "; also in lines 9, 12"),
        (range(1, 10), "; also in lines 2, 3, 4, 5, 6, 7, 8, 9"),
        (range(1, 11), "; also in lines 2, 3, 4, 5, 6, 7, 8, 9 and 1 more"),
        (range(1, 13), "; also in lines 2, 3, 4, 5, 6, 7, 8, 9 and 3 more"),
    ],
)
def test_one_name_that_leads_nowhere_is_one_finding(lines, also):
    (found,) = engine.gathered([finding(line, column=n + 1) for n, line in enumerate(lines)])
    assert (found.line, found.message) == (min(lines), f"'X' is not a part{also}")
    others = engine.gathered([finding(line, "wrong-unit", n) for n, line in enumerate(lines)])
    assert len(others) == len(list(lines)), "other rules say each"


@pytest.mark.parametrize(
    ("title", "no"),
    [
        ("Input fuse open", False),
        ("Open fuses at the jack", False),
        ("Jack burnt", False),  # a landmark
        ("F1 gone", False),
        ("Nothing works", True),
        ("FUSED is low", False),  # a net of the part
    ],
)
def test_a_title_names_the_part_that_is_at_fault(title, no):
    assert bool(said(wording.title_without_part, fault=replace(FUSE, title=title))) == no


@pytest.mark.parametrize(
    ("text", "no"),
    [
        ("a < b", False),
        ("<b>a</b>", True),
        ("</b>", True),
        ("<!-- x", True),
        ("x <3 y", False),
        ("TODO", False),
    ],
)
def test_a_text_holds_no_tag(text, no):
    assert bool(said(wording.tag_in_text, origin=HERE, text=text)) == no
    left = bool(said(wording.placeholder_left, origin=HERE, text=text))
    assert left == (text == "TODO")


def test_what_people_say_belongs_to_one_symptom():
    symptoms = dict(BOOK.symptoms)
    one, other = list(symptoms)[:2]
    twice = replace(symptoms[other], said=("Nothing happens, and plugged in", "new words"))
    book = replace(BOOK, symptoms=frozen_map({**symptoms, other: twice}))
    known = replace(symptoms[one], said=("nothing happens plugged in",))
    book = replace(book, symptoms=frozen_map({one: known, other: twice}))
    (found,) = duplicates.said_twice.check(book=book)
    assert found.origin == twice.origin.at("said", 0)
    assert found.message.endswith(f"is what people say of '{one}' too")
    assert said(duplicates.said_twice) == []
    again = replace(known, said=("it is dead", "It is dead!"))
    assert said(duplicates.said_twice, book=replace(BOOK, symptoms=frozen_map({one: again}))) == []
