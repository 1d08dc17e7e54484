"""What trainees spend on simulated jobs: one who follows the plan, one who fixes by guess.

    python tools/benchmarks/study.py [--jobs 2000] [--symptoms 3]

The plan and the fix order are those of `benchlore.diagnosis`; the jobs, their readings and their minutes are
the study page's own, in Chromium. So what is compared comes from two programs: `expected` is what Python
expects of a job with the symptom, `drawn` what it expects of just those boards that were drawn, `spent` what
the page charges. Chance alone takes `spent` from `expected` by the standard error in the last column but one,
mostly by which faults are drawn; `drawn` takes that out, and the last column is the error that is left.
"""

from __future__ import annotations

import argparse
import math
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

import browsers  # noqa: E402
from benchlore.book import load_book  # noqa: E402
from benchlore.book.model import Book  # noqa: E402
from benchlore.diagnosis.case import Case, make_case  # noqa: E402
from benchlore.diagnosis.plan import Node, Plan, plan  # noqa: E402
from benchlore.site.build import build_site  # noqa: E402
from benchlore.study.path import complaints  # noqa: E402

TRAINEE = (ROOT / "tests/study/trainee.js").read_text(encoding="utf-8")


def as_steps(node: Node) -> dict[str, Any]:
    """A plan as the trainee reads it."""
    return {
        "kind": node.kind,
        "id": node.id,
        "then": [as_steps(branch.then) for branch in node.branches],
        "failed": None if node.failed is None else as_steps(node.failed),
    }


def given(plan: Plan, case: Case, how: str, hidden: int) -> float:
    """Expected minutes on a board with the hidden hypothesis."""
    if how == "guess":
        return by_order(plan.guess.faults, case, hidden)
    return by_tree(plan.tree, case, hidden)


def by_order(order: Sequence[str], case: Case, hidden: int) -> float:
    """Minutes of trying fixes in order, and of escalation when none of them is the right one."""
    minutes = 0.0
    for fault in order:
        place = case.bench.faults.index(fault)
        minutes += case.bench.fix_minutes[place]
        if hidden in case.bench.mended_by(place):
            return minutes
    return minutes + case.bench.escalate


def by_tree(node: Node, case: Case, hidden: int) -> float:
    """Expected minutes of a plan; the readings are still to be drawn."""
    minutes = node.minutes
    if node.kind == "measure":
        table = case.bench.tables[case.bench.measures.index(node.id)]
        for row, branch in zip(table, node.branches, strict=True):
            minutes += row[hidden] * by_tree(branch.then, case, hidden)
    elif node.failed is not None and hidden not in case.bench.mended_by(case.bench.faults.index(node.id)):
        minutes += by_tree(node.failed, case, hidden)
    return minutes


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--jobs", type=int, default=2000, help="jobs for each symptom and trainee (2000)")
    parser.add_argument("--symptoms", type=int, default=3, help="the commonest symptoms of each family (3)")
    options = parser.parse_args(arguments)
    book = load_book(ROOT).book
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        site = Path(folder) / "site"
        build_site(ROOT, site)
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"), headless=True)
        page = browser.new_page()
        print(f"Bench minutes a job, {options.jobs} jobs each")
        columns = ("expected", "drawn", "spent", "off", "off drawn", "error", "error drawn")
        print(f"{'family':10} {'symptom':18} {'trainee':7} " + " ".join(f"{name:>11}" for name in columns))
        totals: dict[str, list[Row]] = {"plan": [], "guess": []}
        for family in sorted(book.families):
            page.goto((site / f"study/{family}.html").as_uri())
            page.wait_for_selector("#begin-path")
            for one in complaints(book, book.families[family])[: options.symptoms]:
                for how, row in _symptom(page, book, family, one.symptom, options.jobs).items():
                    _say(family, one.symptom, how, row)
                    totals[how].append(row)
        browser.close()
    for how, rows in totals.items():
        _say("all", f"{len(rows)} symptoms", how, _together(rows))
    return 0


@dataclass(frozen=True, slots=True)
class Row:
    """Mean minutes a job, and standard errors of `spent` and of what lies between it and `drawn`."""

    expected: float
    drawn: float
    spent: float
    error: float
    error_drawn: float


def _symptom(page: Page, book: Book, family: str, symptom: str, jobs: int) -> dict[str, Row]:
    cases = {revision: make_case(book, family, revision) for revision in book.families[family].revisions}
    plans = {revision: plan(case, symptom) for revision, case in cases.items()}
    told = {
        revision: {"tree": as_steps(made.tree), "order": made.guess.faults}
        for revision, made in plans.items()
    }
    found = {}
    for how in ("plan", "guess"):
        played = page.evaluate(TRAINEE, [symptom, told, jobs, how])
        whole = {r: made.expected if how == "plan" else made.guess.expected for r, made in plans.items()}
        known = {(r, h): given(plans[r], cases[r], how, h) for _, r, h in played}
        spent = [minutes for minutes, _, _ in played]
        rest = [minutes - known[r, h] for minutes, r, h in played]
        found[how] = Row(
            _mean([whole[r] for _, r, _ in played]),
            _mean([known[r, h] for _, r, h in played]),
            _mean(spent),
            _error(spent),
            _error(rest),
        )
    return found


def _together(rows: Sequence[Row]) -> Row:
    """The mean over symptoms."""
    count = len(rows)
    return Row(
        _mean([row.expected for row in rows]),
        _mean([row.drawn for row in rows]),
        _mean([row.spent for row in rows]),
        math.sqrt(sum(row.error**2 for row in rows)) / count,
        math.sqrt(sum(row.error_drawn**2 for row in rows)) / count,
    )


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _error(values: Sequence[float]) -> float:
    """Standard error of their mean."""
    mean = _mean(values)
    return math.sqrt(sum((one - mean) ** 2 for one in values) / (len(values) - 1) / len(values))


def _say(family: str, symptom: str, how: str, row: Row) -> None:
    shares = (
        row.spent / row.expected - 1,
        row.spent / row.drawn - 1,
        row.error / row.expected,
        row.error_drawn / row.drawn,
    )
    minutes = " ".join(f"{value:11.1f}" for value in (row.expected, row.drawn, row.spent))
    print(
        f"{family:10} {symptom:18} {how:7} {minutes} " + " ".join(f"{s * 100:+10.1f}%" for s in shares),
        flush=True,
    )


if __name__ == "__main__":
    sys.exit(main())
