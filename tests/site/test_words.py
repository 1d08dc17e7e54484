"""Quantities and words as the bench reads them."""

from __future__ import annotations

import pytest

from benchlore.quantity import parse_quantity
from benchlore.site import words
from tests.search.scripts import OVERRIDES


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("8.40 V", "8.40\u00a0V"),
        ("8.35 to 8.45 V", "8.35 to 8.45\u00a0V"),
        ("0.4V to 2 V", "0.4\u00a0V to 2\u00a0V"),
        ("under 1 V", "under 1\u00a0V"),
        ("2.2 kohm 5%", "2.2\u00a0kΩ ±5%"),
        ("4.7 uF +- 20%", "4.7\u00a0µF ±20%"),
        ("60 degC", "60\u00a0°C"),
        ("open", "open"),
    ],
)
def test_a_quantity_keeps_its_unit_and_gets_its_sign(written, read):
    assert words.quantity(parse_quantity(written)) == read


def test_lists_and_counts():
    assert words.listing(()) == ""
    assert words.listing(("A",)) == "A"
    assert words.listing(("A", "B", "C"), "or") == "A, B or C"
    assert words.plural(1, "fault") == "1\u00a0fault"
    assert words.plural(0, "fault") == "0\u00a0faults"
    assert words.share(0.9) == "90\u00a0%"
    assert words.share(0.004) == "under\u00a01\u00a0%"
    assert words.share(0.996) == "over\u00a099\u00a0%"
    assert (words.share(0), words.share(1)) == ("0\u00a0%", "100\u00a0%")


# What no technician says, and what the pages say for it.
GIVEN_UP = {
    "Rather do": "Or measure",
    '"Any other': "All steps",
    '"as it stands': "already set up",
    "Taken with": "Meter used",
    "out of the running": "ruled out",
    "Proved and mended": "Repaired and verified",
    'would settle"': "What each result tells",
    "With m, k or M": "Type the unit that you see",
    "likelier than with the others": "fits better than the rest",
    "dearest": "most expensive",
    "book state it": "give a value here",
}


def test_the_pages_speak_as_the_trade_does():
    shown = [*OVERRIDES.rglob("*.js"), *OVERRIDES.rglob("*.html")]
    assert len(shown) > 100
    found = [
        f"{page.name}: {word}; say {better}"
        for page in shown
        for word, better in GIVEN_UP.items()
        if word in page.read_text(encoding="utf-8")
    ]
    assert found == []
