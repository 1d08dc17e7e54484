"""A new meter function stands in the vocabulary and in the meters' accuracies alone, and works everywhere."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from tests.typed.charge import copy, page_data, run

CASE = ("wren-5", "--symptom", "dead-on-adapter")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy(tmp_path_factory.mktemp("charge"))


def benchlore(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return run(folder, "-m", "benchlore", *arguments, "--root", str(folder))


def ranked(folder: Path, typed: str) -> subprocess.CompletedProcess[str]:
    return benchlore(folder, "rank", *CASE, f"--reading=main-gate={typed}", "--format", "json")


def test_records_that_use_it_are_checked(folder):
    found = benchlore(folder, "check")
    assert found.returncode == 0, found.stdout + found.stderr


def test_it_is_ranked(folder):
    found = ranked(folder, "12 %")
    assert found.returncode == 0, found.stderr
    assert [reading["verdict"] for reading in json.loads(found.stdout)["readings"]] == ["decided"]


def test_it_is_planned_with(folder):
    found = benchlore(folder, "plan", "wren-5", "dead-on-adapter")
    assert found.returncode == 0, found.stderr


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("-40 %", "below zero"),
        ("140 %", "above 100"),
        ("50 V", "this is a voltage, in V; percent belong here"),
        ("OL", "dial"),
    ],
)
def test_what_no_charge_can_be_is_refused(folder, typed, said):
    found = ranked(folder, typed)
    assert found.returncode != 0
    assert said in found.stderr
    assert "Traceback" not in found.stderr


def test_its_page_data_carry_what_the_browser_asks(folder):
    known = page_data(folder)
    assert known["vocabulary"]["functions"]["charge"] == {
        "label": "State of charge",
        "phrase": "state of charge",
        "unit": "%",
        "power": "on",
        "current": "",
        "signed": False,
        "least": 0.0,
        "most": 100.0,
        "over_range": False,
        "turned": "",
        "instead": {},
    }
    assert known["measurement"]["links"]["unit"] == "%"
    assert known["meter"]["accuracy"]["charge"][0]["up_to"]["high"] == 100
