"""The limits that the rules hold records to, each beside what it means (common practice, no source)."""

from __future__ import annotations

from benchlore.book.schemas import schema
from benchlore.rules import (
    dead_rails,
    diagnosis,
    engine,
    files,
    healthy,
    pairs,
    predictions,
    proof,
    ranges,
    safety,
    step_values,
    steps,
    thin,
    wording,
)
from benchlore.rules.steps import Bench
from benchlore.vocabulary import FEW_FAULTS
from tests.books import ROOT


def test_the_fewest_faults_of_a_symptom_are_said_alike() -> None:
    fewer = f"fewer than {('no', 'one', 'two', 'three', 'four', 'five')[FEW_FAULTS]}"
    assert fewer in (thin.thin_without_reason.check.__doc__ or "")
    assert fewer in schema("family")["properties"]["thin"]["description"]
    assert f"{fewer} causes" in (ROOT / "faults/README.md").read_text(encoding="utf-8")


def test_a_dead_rail_and_a_healthy_one() -> None:
    assert (dead_rails.DEAD, dead_rails.DEAD_SHARE) == (1.0, 0.35)
    assert dict(healthy.LOOSENESS) == {"dc-volts": 0.05, "hertz": 0.05}
    assert (healthy.OTHER_LOOSENESS, healthy.NOMINAL_SHARE, healthy.SWING) == (0.10, 0.06, 0.1)


def test_examples_and_what_tells_faults_apart() -> None:
    assert (diagnosis.CONVINCED, diagnosis.APART, diagnosis._ROUNDING) == (0.5, 0.5, 1e-6)
    assert (diagnosis._READ, diagnosis._MOSTLY, diagnosis._SELDOM, diagnosis._NAMED) == (0.2, 0.5, 0.02, 4)
    assert (predictions.FORESEEN, predictions.MOST_UNFORESEEN, predictions.SAME) == (0.05, 0.5, 0.05)


def test_work_and_words() -> None:
    assert (proof.LEAST_OF_STEP, steps._SELDOM, step_values.NEAR) == (0.25, 0.02, 0.03)
    assert (safety.MOST_INJECTED, ranges.GAP) == (5.0, 2.0)
    assert (wording._TITLE_WORDS, wording._SHORTEST, wording._STEM) == (8, 3, 5)
    assert (engine.MOST_LINES, pairs.NAMED) == (8, 3)


def test_before_the_first_step_a_board_is_charged_and_dry() -> None:
    assert Bench(frozenset()) == Bench(frozenset(), True, False, frozenset())


def test_what_every_file_is_held_to_cannot_be_waived() -> None:
    assert len(files.DOCS) == len(files.IDS) > 20
    assert not any(doc.waivable for doc in files.DOCS)
    assert {doc.id: doc.severity for doc in files.DOCS if doc.severity != "error"} == {
        "family-unread": "note",
        "entry-vanished": "warning",
    }
