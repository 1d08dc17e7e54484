"""The browser's arithmetic equals Python's, to 1e-9, in Chromium and in Firefox."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from benchlore.book.model import Book
from benchlore.diagnosis.lookahead import DEPTH
from benchlore.filelock import FileLock
from tests.bench.vectors import Vector, job_vectors, reading_vectors, table_vectors
from tests.browser.firefox import FirefoxPage

ROOT = Path(__file__).resolve().parents[2]
REPLAY = (ROOT / "tests/bench/replay.js").read_text(encoding="utf-8")
JOBS = 2000
DEEP_JOBS = 36
CLOSE = 1e-9

LOAD_FAMILIES = """async () => {
    await benchlore.bench.ready;
    for (const family of benchlore.benchBook.families) {
        await new Promise((done, fail) => {
            const script = document.createElement("script");
            Object.assign(script, { src: family.script, onload: done, onerror: fail });
            document.head.append(script);
        });
    }
    return true;
}"""


@pytest.fixture(scope="module")
def vectors(book: Book, tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> dict[str, list[Vector]]:
    """Written once for all workers of a run."""
    base = tmp_path_factory.getbasetemp()
    file = (base if worker_id == "master" else base.parent) / "bench-vectors.json"
    with FileLock(file.with_suffix(".lock")):
        if not file.exists():
            jobs = job_vectors(book, JOBS, seed=1) + job_vectors(book, DEEP_JOBS, seed=2, depth=DEPTH)
            made = {"table": table_vectors(book), "reading": reading_vectors(book), "job": jobs}
            file.write_text(json.dumps(made), encoding="utf-8")
    found: dict[str, list[Vector]] = json.loads(file.read_text(encoding="utf-8"))
    return found


def replay(evaluate: Callable[..., Any], vectors: dict[str, list[Vector]]) -> None:
    evaluate(LOAD_FAMILIES)
    evaluate(f"() => {{ {REPLAY} return true; }}")
    for kind, cases in vectors.items():
        # As text: the drivers pass a large structure slowly.
        found = evaluate(f"text => replay('{kind}', JSON.parse(text))", json.dumps(cases))
        assert found["said"] == []
        assert found["worst"] <= CLOSE


@pytest.mark.slow
def test_there_are_enough_cases_of_every_kind(book, vectors):
    jobs = vectors["job"]
    assert len(jobs) >= 2000
    assert {job["family"] for job in jobs} == set(book.families)
    assert {job["meter"] for job in jobs} == set(book.meters)
    kinds = {verdict["kind"] for job in jobs for verdict in job["verdicts"]}
    assert kinds == {"decided", "undecided", "outside"}
    assert any(job["clashes"] for job in jobs), "contradictory evidence"
    assert any(job["posterior"][-1] == 1 for job in jobs), "every fault ruled out"
    assert {kind for job in jobs for kind, *_ in job["next"][:1]} == {"measure", "fix", "escalate"}
    assert {vector["refused"] for vector in vectors["reading"]} == {True, False}


def test_chromium_computes_like_python(page: Page, file_url, vectors):
    page.goto(file_url("bench.html"))
    replay(page.evaluate, vectors)


def test_firefox_computes_like_python(firefox_page: FirefoxPage, file_url, vectors):
    firefox_page.goto(file_url("bench.html"))
    replay(firefox_page.evaluate, vectors)


def test_the_page_looks_as_far_ahead_as_python(page: Page, file_url):
    page.goto(file_url("bench.html"))
    assert page.evaluate("benchlore.lookahead.DEPTH") == DEPTH
