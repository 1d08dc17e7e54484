"""Signal words, signs and limits of the book's hazards."""

from pathlib import Path

import pytest

from benchlore.book.work import BURN, FUMES, LITHIUM, SAFE_DC, SAFE_RMS, SHOCK
from benchlore.rules.safety import WEAKEST_SIGNAL
from tests.books import example

ROOT = Path(__file__).resolve().parents[2]
# ISO 7010: W001 general, W012 electricity, W017 hot surface (second-hand); the others from memory: W021
# flammable, W026 battery charging, M004 eye protection, M009 gloves, M021 disconnect.
SIGNS = {"W001", "W012", "W017", "W021", "W026", "M004", "M009", "M021"}


@pytest.fixture(scope="module")
def hazards():
    return example().hazards


def test_h1_signal_words(hazards):
    """ANSI Z535.4-2007, 4.14, and ISO 3864-2 (second-hand).

    DANGER will, WARNING could cause death or serious injury, CAUTION minor or moderate injury, NOTICE is
    damage only.
    """
    assert {h.signal for h in hazards.values()} <= {"danger", "warning", "caution", "notice"}
    for name, allowed in WEAKEST_SIGNAL.items():
        assert hazards[name].signal in allowed
        assert "notice" not in allowed
    deadly = ("kill", "death", "flame")
    for hazard in hazards.values():
        if hazard.signal == "notice":
            assert not any(word in hazard.harm.lower() for word in ("injur", "burns", "you ill"))
        if hazard.signal == "danger":
            assert any(word in hazard.harm.lower() for word in deadly)


def test_h2_signs(hazards):
    """ISO 7010 (second-hand; the last five from memory)."""
    assert {sign for h in hazards.values() for sign in h.signs} <= SIGNS
    assert "W012" in hazards[SHOCK].signs
    assert "W017" in hazards[BURN].signs
    assert not {"M004", "M009"} & {s for h in hazards.values() if h.signal == "notice" for s in h.signs}


def test_h4_h5_limits():
    """IEC 62368-1, energy source class 1 (second-hand): 60 V d.c., 30 V r.m.s., 42.4 V peak; beyond 60 V d.c.
    or 30 V r.m.s. IEC 61010-031:2015 applies to the probes (scope, seen).
    """
    assert SAFE_DC == 60.0
    assert SAFE_RMS == 30.0
    assert round(SAFE_RMS * 2**0.5, 1) == 42.4


def test_the_hazards_that_the_rules_know_are_in_the_book(hazards):
    assert {LITHIUM, SHOCK, BURN, FUMES} <= set(hazards)
