"""What technicians type: the answers that they expect, at every entry point in Python."""

from __future__ import annotations

import math

import pytest

from benchlore.typed import LONGEST, TypedError, typed
from benchlore.vocabulary import FUNCTIONS
from tests.typed.vectors import DIFFERS, Case, cases, field, measurement, reading, value

CASES = cases()
# Read off a scope's screen since; the list is older.
SCOPE = {"amplitude", "ripple", "period", "duty", "delay"}
CALCULATED = {"dc-volts", "ohms", "amps"}  # what the calculators' fields are typed in


def same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=0.0)


def choices(case: Case, found: Case) -> list[float]:
    """The values of what is asked; each choice is typed without doubt."""
    values = []
    for choice in found["choices"]:
        again = reading({**case, "typed": choice})
        assert again["answer"] in ("value", "over-range", "unsteady", "refuse"), (case, choice)
        if again["answer"] == "value":
            values.append(again["value"])
    return values


def agrees(case: Case, found: Case) -> bool:
    wanted = case["answer"]
    if wanted == "value":
        said = case.get("remark") != "leads" or "leads" in found.get("note", "")
        return found["answer"] == "value" and same(found["value"], case["value"]) and said
    if wanted == "unsteady":
        return (
            found["answer"] == "unsteady"
            and same(found["low"], case["low"])
            and same(found["high"], case["high"])
        )
    if wanted == "check-dial":
        return found["answer"] == "refuse" and "dial" in found["reason"]
    if wanted == "ask-prefix":
        return found["answer"] == "ask" and any(
            same(v, case["would_be_normal"]) for v in choices(case, found)
        )
    if wanted == "ask":
        choices(case, found)
    return bool(found["answer"] == wanted)


def test_the_list_is_long_and_has_every_kind_of_answer():
    assert len(CASES) >= 500
    kinds = {"value", "unsteady", "ask", "refuse", "check-dial", "over-range", "ask-prefix"}
    assert {case["answer"] for case in CASES} == kinds
    modes = {case["mode"] for case in CASES}
    assert modes == {n for n, f in FUNCTIONS.items() if f.unit} - SCOPE


def test_readings_are_what_technicians_expect():
    """At the bench, in a study, in a proof, on the command line: all of them call `read`."""
    wrong = {
        (case["typed"], case["function"]): reading(case) for case in CASES if not agrees(case, reading(case))
    }
    assert set(wrong) == set(DIFFERS), wrong


def test_calculators_take_the_same_values():
    for case in CASES:
        if case["mode"] not in CALCULATED or case["answer"] not in ("value", "unsteady"):
            continue
        found = field(case)
        low, high = (case[end] if end in case else case["value"] for end in ("low", "high"))
        assert "refused" not in found, case
        assert same(found["low"], low), case
        assert same(found["high"], high), case


def test_calculators_refuse_or_ask_what_has_no_value():
    for case in CASES:
        if case["mode"] in CALCULATED and case["answer"] in ("refuse", "check-dial", "over-range"):
            known = (case["typed"], case["function"]) in DIFFERS
            negative = "negative" in case.get("why", "")  # the field's own check says which sign it takes
            percent = "%" in case["typed"]
            assert "refused" in field(case) or known or negative or percent, case


@pytest.mark.parametrize(
    ("text", "choice"),
    [
        ("25 mhz", ("25 MHz", "0.025 Hz")),
        ("25 mHz", ("25 MHz", "0.025 Hz")),
    ],
)
def test_what_is_asked_names_what_can_be_meant(text, choice):
    with pytest.raises(TypedError) as asked:
        typed(text, "Hz")
    assert asked.value.choices == choice


def test_every_choice_is_a_value_without_doubt():
    for case in CASES:
        found = value(case)
        for choice in found.get("choices", ()):
            again = value({**case, "typed": choice})
            assert "choices" not in again, (case["typed"], choice)


def test_a_text_is_bounded():
    with pytest.raises(TypedError, match=f"at most {LONGEST} characters"):
        typed("9" * (LONGEST + 1), "V")
    for text in ("1" * 10**6, " " * 10**6 + "1", "1 " * 10**6, "'1" * 10**5, "-" * 10**6):
        try:
            typed(text, "V")
        except TypedError:
            continue
        assert len(text.strip()) <= LONGEST


def test_a_healthy_reading_is_never_asked_back():
    case = {"mode": "ohms", "normal": [17600.0, 26400.0], "typed": "22.1k"}
    assert measurement(case).normal == ("fine",)
    assert reading(case)["answer"] == "value"
