"""Random walks over the bench page, with reloads at any moment: never an error, never a lost entry."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page

from tests.books import example
from tests.browser.checks import reload_page

ROOT = Path(__file__).resolve().parents[2]
WALK = (ROOT / "tests/bench/walk.js").read_text(encoding="utf-8")
PLACES = sorted({(f.family, s) for f in example().faults.values() for s in f.symptom})
GROUPS = 6
WALKS = 12  # in each group of a whole run; half of them otherwise
SEEDS = 20  # a group's own
STEPS = 12
RELOADED = 0.12  # share of the walks


@pytest.mark.parametrize("group", range(GROUPS))
def test_random_walks(page: Page, file_url: Callable[..., str], group: int, whole: bool):
    chance = random.Random(group)
    page.goto(file_url("bench.html"))
    ledger: list[Any] = []
    for walk in range(WALKS if whole else WALKS // 2):
        seed = group * SEEDS + walk
        family, symptom = chance.choice(PLACES)
        start(page, urlencode({"v": 1, "family": family, "revision": "A", "symptom": symptom}))
        ledger = walked(page, seed, ledger[-3:])
        if chance.random() < RELOADED:
            reload_page(page)
            page.evaluate("benchlore.bench.ready")
            ledger = walked(page, seed + 100_000, ledger)


def start(page: Page, hash_: str) -> None:
    """A job of its own for the walk, in the page as the last walk left it."""
    page.evaluate(
        """async hash => {
            if (!window.benchlore.bench) return;
            await benchlore.bench.ready;
            const before = benchlore.bench.present().id;
            location.hash = hash;
            while (benchlore.bench.present().id === before) await new Promise(done => setTimeout(done, 2));
        }""",
        hash_,
    )


def walked(page: Page, seed: int, ledger: list[Any]) -> list[Any]:
    """Walk on and return the ledger; fail for whatever went wrong."""
    page.evaluate(f"() => {{ if (!window.walk) {{ {WALK} }} return true; }}")
    text = json.dumps([seed, STEPS, ledger])
    found = page.evaluate("text => walk(...JSON.parse(text))", text)
    assert found["said"] == [], f"walk {seed}"
    kept: list[Any] = found["ledger"]
    return kept
