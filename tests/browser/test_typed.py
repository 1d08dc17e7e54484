"""Typed values in the browser: at the bench, in a study, in the calculators, in the search, as in Python."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from benchlore.typed import TypedError, typed
from tests.browser.firefox import FirefoxPage
from tests.typed.charge import copy, page_data
from tests.typed.vectors import Case, browser_case, cases, field, mixtures, reading, value

REPLAY = (Path(__file__).resolve().parents[1] / "typed/replay.js").read_text(encoding="utf-8")
MIXTURES = 2000
CLOSE = 1e-12
# The browser writes units with their signs.
SIGNS = {"\u03a9": "ohm", "\u00b0C": "degC"}
CALCULATED = ("dc-volts", "ohms", "amps")
# For each page: what its scripts are asked, and how many mixtures. A study reads with the bench's script.
WAYS = [
    ("bench.html", "reading", MIXTURES),
    ("bench.html", "value", MIXTURES),
    ("study/siskin-12.html", "reading", 0),
    ("calculators.html", "field", MIXTURES),
]
PYTHON: dict[str, Callable[[Case], Case]] = {"reading": reading, "value": value, "field": field}
Evaluate = Callable[..., Any]


def same(one: Any, other: Any) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=CLOSE)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    return bool(one == other)


def plain(text: str) -> list[Case]:
    """Answers, as JSON, with the units of the book in their words."""
    for sign, unit in SIGNS.items():
        text = text.replace(sign, unit)
    answers: list[Case] = json.loads(text)
    return answers


@cache
def answered(way: str, count: int) -> tuple[list[Case], list[Case]]:
    """What is asked, and what Python answers: worked out once for all pages and browsers."""
    asked = [*cases(), *mixtures(count, seed=3)]
    if way == "field":
        asked = [case for case in asked if case["mode"] in CALCULATED]
    return asked, plain(json.dumps([PYTHON[way](case) for case in asked], ensure_ascii=False))


def compare(evaluate: Evaluate, way: str, count: int) -> None:
    asked, wanted = answered(way, count)
    evaluate(f"() => {{ {REPLAY} return true; }}")
    found = plain(
        evaluate(
            "text => JSON.stringify(typedAnswers(JSON.parse(text)))",
            json.dumps([browser_case(way, case) for case in asked]),
        )
    )
    wrong = [
        (case["typed"], case["mode"], one, other)
        for case, one, other in zip(asked, wanted, found, strict=True)
        if not same(one, other)
    ]
    assert not wrong, f"{len(wrong)} of {len(asked)}: {wrong[:5]}"


@pytest.mark.parametrize(("path", "way", "count"), WAYS)
def test_chromium_reads_like_python(page: Page, file_url, path, way, count):
    page.goto(file_url(path))
    compare(page.evaluate, way, count)


@pytest.mark.parametrize(("path", "way", "count"), WAYS)
def test_firefox_reads_like_python(firefox_page: FirefoxPage, file_url, path, way, count):
    firefox_page.goto(file_url(path))
    compare(firefox_page.evaluate, way, count)


# What the search takes for the name of a net: 3V3; and what begins with no figure.
_NAMES = re.compile(r"[0-9]+[A-JL-QS-Zac-jl-qs-z][0-9]+|[^-+.,0-9\u2010-\u2014\u2212].*")


def searched(evaluate: Evaluate) -> None:
    """Behind the name of a net, a value with its unit is the one that the bench takes."""
    evaluate("benchlore.search.ready().then(() => null)")
    evaluate(f"() => {{ {REPLAY} return true; }}")
    wanted = {}
    for case in cases():
        try:
            found = typed(case["typed"])
        except TypedError:
            continue
        if not found.bare and not _NAMES.fullmatch(case["typed"].strip()):
            wanted[case["typed"]] = [found.low, found.high, found.unit]
    assert len(wanted) > 200
    texts = [{"way": "search", "typed": f"MAIN {text}"} for text in wanted]
    answers = json.loads(
        evaluate("text => JSON.stringify(typedAnswers(JSON.parse(text)))", json.dumps(texts))
    )
    wrong = [
        (text, wanted[text], answer)
        for text, answer in zip(wanted, answers, strict=True)
        if answer is None or not same(dict(zip(("low", "high", "unit"), wanted[text], strict=True)), answer)
    ]
    assert not wrong, f"{len(wrong)} of {len(wanted)}: {wrong[:5]}"


def test_chromium_searches_for_the_same_values(page: Page, file_url):
    page.goto(file_url("index.html"))
    searched(page.evaluate)


def test_firefox_searches_for_the_same_values(firefox_page: FirefoxPage, file_url):
    firefox_page.goto(file_url("index.html"))
    searched(firefox_page.evaluate)


def reads_charge(evaluate: Evaluate, folder: Path) -> None:
    """A meter function that the page's scripts have never heard of works by the vocabulary alone."""
    known = json.dumps(page_data(copy(folder)))
    evaluate(
        "text => { window.charge = JSON.parse(text); "
        "Object.assign(benchlore.vocabulary.functions, charge.vocabulary.functions); return true; }",
        known,
    )
    read = "typed => benchlore.reading.read(charge.measurement, charge.meter, typed)"
    assert evaluate(read, "12 %")["value"] == 12
    assert "below zero" in evaluate(read, "-40 %")["reason"]
    assert "above 100" in evaluate(read, "140 %")["reason"]
    assert "dial" in evaluate(read, "OL")["mend"]
    scale = evaluate(
        "() => { const s = benchlore.likelihood.scaleOf(charge.measurement, charge.meter); "
        "return [s.lowest, s.highest, s.bands.length]; }"
    )
    assert scale == [0, 100, 3]


def test_chromium_reads_with_a_new_meter_function(page: Page, file_url, tmp_path):
    page.goto(file_url("bench.html"))
    reads_charge(page.evaluate, tmp_path)


def test_firefox_reads_with_a_new_meter_function(firefox_page: FirefoxPage, file_url, tmp_path):
    firefox_page.goto(file_url("bench.html"))
    reads_charge(firefox_page.evaluate, tmp_path)
