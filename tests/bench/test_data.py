"""The data that the bench page loads: whole, linked, and harmless whatever a record says."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from benchlore.book.model import Book, frozen_map
from benchlore.site import data, study_data, vocabulary_data
from benchlore.site.page import SitePage
from benchlore.site.pages import bench
from benchlore.site.prose import keep_units

ROOT = Path(__file__).resolve().parents[2]
HOSTILE = "<img src=x onerror=alert(1)> [x](javascript:alert(2)) </script>"


@pytest.fixture(scope="module")
def families(book: Book) -> list[dict[str, Any]]:
    return [json.loads(json.dumps(data.family(book, family))) for family in book.families.values()]


def test_every_measurement_can_be_shown(book, families):
    common = data.common(book)
    for family in families:
        for name, m in family["measurements"].items():
            assert bool(m["strip"]) == (m["links"]["unit"] is not None), name
            assert family["states"][m["state"]]
            assert set(m["links"]["hazards"]) <= set(common["hazards"])
            assert all(
                (o["range"] is None) == (m["links"]["unit"] is None) for o in m["outcomes"].values()
            ), name
        for point in family["test_points"].values():
            assert set(point["locator"]) <= set(family["revisions"])
            assert all(drawing.startswith("<svg") for drawing in point["locator"].values())


def test_every_fault_can_be_tried_and_proved(families):
    for family in families:
        for name, fault in family["faults"].items():
            assert fault["fix"]["confirm"], name
            assert fault["fix"]["html"]["steps"], name
            assert set(fault["fix"]["confirm"]) <= set(family["measurements"]), name


def test_a_script_is_json_behind_an_assignment(book):
    for file in (data.common_file(book), *(data.family_file(book, one) for one in book.families.values())):
        set_here = [line.partition("=") for line in file.text.splitlines() if line.startswith("benchlore.")]
        values = {name: value for name, _, value in set_here if not value.endswith("||{};")}
        assert any(name.startswith("benchlore.bench") for name in values)
        for value in values.values():
            json.loads(value.removesuffix(";"))


def test_a_hostile_record_is_text(book):
    family = next(iter(book.families.values()))
    measurements = {key: replace(m, asks=HOSTILE, leads=HOSTILE) for key, m in family.measurements.items()}
    spoiled = replace(family, title=HOSTILE, measurements=frozen_map(measurements))
    found = data.family(book, spoiled)
    for m in found["measurements"].values():
        assert "<img" not in m["html"]["asks"] + m["strip"]
        assert "href" not in m["html"]["asks"]
    assert all("<img" not in s for p in found["test_points"].values() for s in p["locator"].values())
    symptoms = {key: replace(s, note=HOSTILE) for key, s in book.symptoms.items()}
    common = data.common(replace(book, symptoms=frozen_map(symptoms)))
    assert all("<img" not in s["html"]["note"] for s in common["symptoms"].values())


def test_what_is_sent_is_read():
    """Each field of the data stands in a script."""
    scripts = (ROOT / "site_overrides" / "assets" / "js").rglob("*.js")
    read = set(re.findall(r"\w+", "\n".join(path.read_text(encoding="utf-8") for path in scripts)))
    made = data.types() + study_data.types() + vocabulary_data.types()
    fields = set(re.findall(r"readonly (\w+)\??:", made))
    assert {"predicted", "measure"} <= fields
    assert fields - read == set()


def test_the_page_loads_scripts_that_exist_and_all_of_them(book):
    page, *files = bench.pages(book)
    assert isinstance(page, SitePage)
    made = {file.path for file in files}
    for script in page.scripts:
        assert script in made or (ROOT / "site_overrides" / script).is_file(), script
    assets = ROOT / "site_overrides"
    written = {file.relative_to(assets).as_posix() for file in assets.glob("assets/js/bench/*.js")}
    assert written <= set(page.scripts)


def test_no_number_parts_from_its_unit_on_the_bench(book):
    """Titles, names and packages, too: `the 3.3 V rail` may stand at the end of a line."""
    raw = {"text", "accuracy", "said", "locator", "strip", "picture"}  # read by scripts, or drawn
    record = book.families["siskin-12"]
    part = replace(record.parts["F1"], name="fuse, 5 A", package="1206 chip, 3 mm")
    fault = replace(next(f for f in book.faults.values() if f.family == record.id), title="The 3.3 V rail")
    changed = replace(
        book,
        families=frozen_map(
            {**book.families, record.id: replace(record, parts=frozen_map({**record.parts, "F1": part}))}
        ),
        faults=frozen_map({**book.faults, fault.id: fault}),
    )
    shown = data.family(changed, changed.families[record.id])

    def texts(value: Any) -> Iterator[str]:
        if isinstance(value, dict):
            for key, inner in value.items():
                yield from () if key in raw else texts(inner)
        elif isinstance(value, list | tuple):
            for inner in value:
                yield from texts(inner)
        elif isinstance(value, str):
            yield value

    found = [*texts(shown), *texts(data.common(changed))]
    assert "The 3.3\u00a0V rail" in found
    assert "fuse, 5\u00a0A" in found
    assert [text for text in found if keep_units(text) != text] == []
