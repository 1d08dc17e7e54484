"""A word of letters from two scripts is told; the units and words of people are not."""

from __future__ import annotations

import pytest

from benchlore.findings import Origin
from benchlore.rules.wording import mixed_scripts


def said(text: str) -> list[str]:
    return [problem.message for problem in mixed_scripts.check(Origin("x.yaml"), text)]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Input fuse \u043epen", "U+043E"),
        ("\u0410dapter", "U+0410"),
        ("\u03bfpen", "U+03BF"),
        ("r\u0435set", "U+0435"),
    ],
)
def test_a_letter_that_only_looks_alike_is_named(text, code):
    (message,) = said(text)
    assert code in message


@pytest.mark.parametrize(
    "text",
    [
        "2.2 k\u03a9 and 4.7 k\u2126",
        "10 \u00b5F, 10 \u03bcF",
        "\u0394V over \u03c0",
        "Gr\u00fc\u00dfe an die Lötstelle",
        "l'été à Noël, garçon",
        "\u03b1\u03c3\u03c6\u03ac\u03bb\u03b5\u03b9\u03b1 open",
        "\u043f\u0440\u0435\u0434\u043e\u0445\u0440\u0430\u043d\u0438\u0442\u0435\u043b\u044c open",
        "\u30d2\u30e5\u30fc\u30ba\u5207\u308c",
    ],
)
def test_words_of_one_script_and_units_stay(text):
    assert said(text) == []
