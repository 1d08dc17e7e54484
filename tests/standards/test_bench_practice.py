"""Facts of the trade that the diagnosis must agree with. All of them: common practice, no source."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from benchlore.book import Book
from benchlore.book.model import Measurement, Outcome, frozen_map
from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.likelihood import scale_of
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.diagnosis.reading import read
from benchlore.diagnosis.verdict import Verdict, verdict
from benchlore.findings import Origin
from benchlore.quantity import parse_quantity
from tests.books import example

ROOT = Path(__file__).parents[2]
PEN_BAY = "siskin-12/pen-bay-holds-pack-data-low"


@cache
def book() -> Book:
    return example()


def measurement(mode: str, **ranges: str) -> Measurement:
    outcomes = {name: Outcome(id=name, range=parse_quantity(text), means="") for name, text in ranges.items()}
    template = next(iter(book().families["siskin-12"].measurements.values()))
    return replace(template, id="m", origin=Origin("x"), mode=mode, outcomes=frozen_map(outcomes))


def say(measured: Measurement, typed: str) -> Verdict:
    meter = book().meters["hand-held-3-half"]  # 3 1/2 digits, 0.5 %
    return verdict(measured, meter, scale_of(measured, meter), read(measured, meter, typed))


@pytest.mark.parametrize(
    ("typed", "outcome"), [("12.61", "commanded"), ("12.3", "default"), ("12,61 V", "commanded")]
)
def test_three_cell_charger(typed, outcome):
    """A three-cell notebook's main rail: 12.23 V with the charger never commanded, 12.56 V commanded."""
    rail = measurement("dc-volts", default="12.17 to 12.35 V", commanded="12.48 to 12.66 V")
    said = say(rail, typed)
    assert (said.outcome, said.kind) == (outcome, "decided")


@pytest.mark.parametrize(
    ("typed", "outcome"),
    [
        (".514", "normal"),
        ("0.42", "normal"),
        ("0.52", "normal"),
        ("0.2", "shorted"),
        ("0.1", "shorted"),
        ("0.007", "shorted"),
    ],
)
def test_junction_of_a_data_line(typed, outcome):
    """0.42 to 0.52 V is healthy; 0.2, 0.1 and 0.007 V mean a short."""
    line = measurement("junction", normal="0.42 to 0.52 V", shorted="under 0.30 V", open="open")
    said = say(line, typed)
    assert (said.outcome, said.kind) == (outcome, "decided")


def probabilities(**typed: str) -> dict[str, float]:
    case = make_case(book(), "siskin-12")
    family, meter = book().families["siskin-12"], book().meters[case.meter]
    readings = [read(family.measurements[m.replace("_", "-")], meter, text) for m, text in typed.items()]
    known = evidence(case, ["pack-not-seen"], readings)
    return dict(zip((*case.faults, "not in the book"), posterior(case, known), strict=True))


def test_unplugging_the_accessory_convicts_it_or_clears_it():
    """If unplugging the accessory brings the commanded voltage back, it is the culprit; else the board."""
    before = probabilities(main_rail_adapter="7.92")
    back = probabilities(main_rail_adapter="7.92", main_rail_pen_bay_unplugged="8.41")
    stays = probabilities(main_rail_adapter="7.92", main_rail_pen_bay_unplugged="7.92")
    assert back[PEN_BAY] > 0.5
    assert back[PEN_BAY] > before[PEN_BAY] > stays[PEN_BAY]
    assert stays[PEN_BAY] < 0.05
    assert max(stays, key=lambda fault: stays[fault]) != "not in the book"


def test_meter_that_cannot_decide_says_so():
    """8.30 V lies between 8.25 and 8.35 V: a 0.5 % + 3 counts meter cannot tell which it is."""
    rail = measurement("dc-volts", default="8.10 to 8.25 V", commanded="8.35 to 8.45 V")
    said = say(rail, "8.30")
    assert said.kind == "undecided"
    assert "lies between default and commanded" in said.says
    assert "0.5 % + 3 counts" in said.says
