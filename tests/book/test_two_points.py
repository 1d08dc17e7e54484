"""Readings that are not from one point to ground, from the record to the pages."""

import shutil

import pytest

from benchlore.book import Book, load_book
from benchlore.circuit.healthy import derive
from benchlore.diagnosis.interlock import reads_shorted
from benchlore.rules import check
from benchlore.site import data, paths, words
from benchlore.site.pages import page_at
from benchlore.site.render import environment, render
from tests.books import EXAMPLE
from tests.site.conftest import TEMPLATES

ACROSS = """
  inlet-fuse-across:
    between: [J1_TIP, F1_OUT]
    mode: ohms
    state: nothing-connected
    minutes: 1
    asks: Does the inlet fuse conduct?
    outcomes:
      whole: {range: under 1 ohm, normal: true, means: "It does."}
      blown: {range: over 100 ohm, means: "It is open."}
  inlet-turned:
    at: F1_OUT
    polarity: reversed
    mode: junction
    state: nothing-connected
    minutes: 1
    asks: Does the switch's body diode conduct the other way?
    outcomes:
      normal: {range: over 0.9 V, normal: true, means: "It does not."}
      shorted: {range: under 0.1 V, means: "It is shorted."}
"""


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    root = tmp_path_factory.mktemp("two-points")
    shutil.copytree(EXAMPLE / "faults", root / "faults")
    file = root / "faults/siskin-12/family.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("\nmeasurements:\n", f"\nmeasurements:{ACROSS}\n"), encoding="utf-8")
    fault = root / "faults/siskin-12/inlet-fuse-open.yaml"
    said = "test_points:\n  - measure: inlet-fuse-across\n    expected_reading: blown\n"
    record = fault.read_text(encoding="utf-8")
    assert "test_points:" not in record
    fault.write_text(record.replace("\ncause:\n", f"\n{said}cause:\n"), encoding="utf-8")
    found = load_book(root)
    errors = [finding for finding in check(found) if finding.severity == "error"]
    assert not errors, errors
    return found.book


def test_the_leads_follow_from_function_points_and_polarity(book):
    found = book.families["siskin-12"].measurements
    assert found["inlet-fuse-across"].leads == "red on J1_TIP, black on F1_OUT"
    assert found["inlet-turned"].leads == "black on ground, red on the point"
    assert found["pack-data-junction"].leads == "red on ground, black on the point"
    assert found["main-rail-ohms"].leads == "black on ground, red on the point"
    assert found["main-rail-adapter"].leads == "", "a live reading goes without saying"
    assert words.probed(found["inlet-fuse-across"]) == "red on J1_TIP, black on F1_OUT"
    assert words.probed(found["inlet-turned"]) == "F1_OUT on INLET, black on ground, red on the point"


def test_what_is_not_to_ground_is_neither_derived_nor_a_short_of_its_net(book):
    family = book.families["siskin-12"]
    for name in ("inlet-fuse-across", "inlet-turned"):
        measurement = family.measurements[name]
        assert derive(book, family, measurement) is None
        assert not any(reads_shorted(measurement, outcome) for outcome in measurement.outcomes.values())


@pytest.mark.slow
def test_both_points_and_the_polarity_stand_on_every_page_that_asks(book):
    env = environment(TEMPLATES, book)

    def shown(path: str) -> str:
        page = page_at(book, path)
        assert page, path
        return render(env, page)

    fault = shown(paths.fault("siskin-12/inlet-fuse-open"))
    for net, point in (("ADAPTER", "J1_TIP"), ("INLET", "F1_OUT")):
        assert f'<a class="id big" href="nets/{net}.html#point-{point}"' in fault
    assert "Red on " in fault
    assert "Black on " in fault
    for net in ("ADAPTER", "INLET"):
        assert 'id="measure-inlet-fuse-across"' in shown(paths.net("siskin-12", net))
    assert "black on ground, red on the point" in shown(paths.net("siskin-12", "INLET"))
    state = shown("states/nothing-connected.html")
    assert "red on J1_TIP, black on F1_OUT" in state


def test_the_browser_gets_both_points(book):
    bench = data.family(book, book.families["siskin-12"])
    assert bench["measurements"]["inlet-fuse-across"]["between"] == ["J1_TIP", "F1_OUT"]
    assert bench["measurements"]["inlet-turned"]["polarity"] == "reversed"
