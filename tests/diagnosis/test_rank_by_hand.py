"""Which readings clash, what fits them, and whose fault it is, on cases of two and three faults."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from benchlore.book.model import frozen_map
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.rank import _fit, clashes, ranked, taken_for, whose
from benchlore.diagnosis.reading import Reading
from tests.circuit.books import good
from tests.diagnosis.test_conflict_plain import BAD, OK, WORSE, saw, small

CASE = small((0.5, 0.3, 0.2), {"m1": [BAD, OK], "m2": [OK, BAD], "m3": [WORSE, WORSE]})


@pytest.mark.parametrize(
    ("probabilities", "named"),
    [
        ((0.6, 0.3, 0.1), ("m2",)),  # f0 explains m1 alone
        ((0.3, 0.6, 0.1), ("m1",)),
        ((0.45, 0.45, 0.1), ("m2",)),  # of equals the first
        ((0.0, 0.6, 0.4), ("m1",)),
        ((0.0, 0.0, 1.0), ()),  # none is left: each is explained by some fault
    ],
)
def test_what_the_likeliest_fault_does_not_explain(probabilities, named):
    known = Evidence((), saw(m1="bad", m2="bad", m3="worse"))
    assert clashes(CASE, known, probabilities) == named


def test_what_no_fault_explains_clashes_when_every_fault_is_out():
    known = Evidence((), saw(m1="worse", m3="bad"), tried=("f0", "f1"))
    assert clashes(CASE, known, posterior(CASE, known)) == ("m1", "m3")


def test_which_faults_fit_a_reading():
    known = Evidence((), saw(m1="bad", m3="worse"))
    assert _fit(CASE, known, "m1").faults == ("f0",)
    assert _fit(CASE, known, "m3").faults == ("f0", "f1")


def test_the_likeliest_first_and_equals_by_id():
    assert [(r.id, r.probability) for r in ranked(CASE, (0.2, 0.5, 0.3))] == [("f1", 0.5), ("f0", 0.2)]
    assert [r.id for r in ranked(CASE, (0.3, 0.3, 0.4))] == ["f0", "f1"]


def test_what_a_reading_is_taken_for():
    assert taken_for(CASE, Reading("m1", "worse", outcome="worse")) == "worse"


def test_whose_fault_it_is():
    book = good()
    names = ("wren-5/fuse-open", "wren-5/line-held-low", "wren-5/rail-short", "x", "y")
    shown: dict[str, Any] = {"x": SimpleNamespace(outside=""), "y": SimpleNamespace(outside="pack")}
    case = replace(CASE, faults=names, suspects=frozen_map(shown))
    found = whose(book, case, (0.1, 0.25, 0.1, 0.1, 0.25, 0.2))
    assert [name for name, _ in found] == ["board", "accessory", "pack", "something else"]
    assert [p for _, p in found] == pytest.approx([0.3, 0.25, 0.25, 0.2])
