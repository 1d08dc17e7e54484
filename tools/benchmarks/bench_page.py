"""How long the bench page takes to show what a reading means, and what every fault of the book takes to find.

    python tools/benchmarks/bench_page.py [--faults 60] [--suspects 150] [--measurements 60] [--jobs 40]

The first figure is the update after a reading, in Chromium: from the press of Enter to the new page laid out,
with verdict, ranking and next action computed, on the larger family of the book grown to so many faults,
suspects and measurements by copies of its own. Jobs read what a random fault of the family states.
The second is a table of entries and bench minutes for each fault of the book, readings as that fault states;
with `--alone` it is left out.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

import browsers  # noqa: E402
from benchlore.book import load_book  # noqa: E402
from benchlore.book.model import Book, Family, Fault, Measurement, frozen_map  # noqa: E402
from benchlore.diagnosis import hypotheses  # noqa: E402
from benchlore.diagnosis.suspects import Suspect, suspects_of  # noqa: E402
from benchlore.site import data  # noqa: E402
from benchlore.site.build import build_site  # noqa: E402
from tests.bench.drive import drive  # noqa: E402

PAUSE = 100  # ms between entries: a person's hands take longer, and what runs late is over by then
TIMED = """() => {
    window.times = [];
    document.addEventListener("submit", () => { window.pressed = performance.now(); }, true);
    document.addEventListener("click", event => {
        if (event.target.closest(".answer")) window.pressed = performance.now();
    }, true);
    const shown = () => {
        document.body.getBoundingClientRect();
        if (window.pressed) window.times.push(performance.now() - window.pressed);
        window.pressed = 0;
    };
    document.addEventListener("submit", shown);
    document.addEventListener("click", shown);
}"""


def grown(book: Book, family_id: str, faults: int, measurements: int) -> Book:
    """The book with one family alone, copies of its records added until there are so many."""
    family = book.families[family_id]
    own = [fault for _, fault in sorted(book.faults.items()) if fault.family == family_id]
    measures: dict[str, Measurement] = {}
    for copy in range(measurements // len(family.measurements) + 1):
        for name, measurement in family.measurements.items():
            new = name if copy == 0 else f"{name}-{copy}"
            if len(measures) < measurements:
                measures[new] = replace(measurement, id=new)
    found: dict[str, Fault] = {}
    for copy in range(faults // len(own) + 1):
        for fault in own:
            new = fault.id if copy == 0 else f"{fault.id}-{copy}"
            if len(found) < faults:
                found[new] = _copy(fault, new, copy, measures)
    known = frozen_map({family_id: replace(family, measurements=frozen_map(measures))})
    return replace(book, families=known, faults=frozen_map(found))


def _copy(fault: Fault, new: str, copy: int, measures: dict[str, Measurement]) -> Fault:
    """A copy that states the copied measurements where there are such, and one of its own outcomes."""
    points = tuple(
        replace(point, measure=name if (name := f"{point.measure}-{copy}") in measures else point.measure)
        for point in fault.test_points
    )
    kept = tuple(point for point in points if point.measure in measures)
    first = kept[0].measure if kept else next(iter(measures))
    confirm = {m: o for m, o in fault.fix.confirm.items() if m in measures} or {
        first: measures[first].normal[0]
    }
    return replace(fault, id=new, test_points=kept, fix=replace(fault.fix, confirm=frozen_map(confirm)))


def with_suspects(count: int) -> Callable[[Book, Family], tuple[Suspect, ...]]:
    """What gives a family so many suspects, copies of its own after them."""

    def grown_suspects(book: Book, family: Family) -> tuple[Suspect, ...]:
        own = suspects_of(book, family)
        copies = (replace(one, id=f"{one.id}-{n}") for n in range(count // len(own)) for one in own)
        return (*own, *copies)[:count]

    return grown_suspects


def time_updates(page: Page, book: Book, jobs: int) -> list[float]:
    """Milliseconds of each update over some jobs."""
    chance = random.Random(1)
    page.evaluate(TIMED)
    faults = [fault for _, fault in sorted(book.faults.items())]
    for fault in chance.sample(faults, min(jobs, len(faults))):
        drive(page, book, fault, pause=PAUSE)
    found: list[float] = page.evaluate("window.times")
    return sorted(found)


def quantile(values: Sequence[float], share: float) -> float:
    """A quantile of sorted values."""
    return values[min(int(len(values) * share), len(values) - 1)]


def main() -> None:
    """Build, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--faults", type=int, default=60)
    parser.add_argument("--suspects", type=int, default=150)
    parser.add_argument("--measurements", type=int, default=60)
    parser.add_argument("--alone", action="store_true", help="without the table of faults")
    parser.add_argument("--jobs", type=int, default=40)
    options = parser.parse_args()
    book = load_book(ROOT).book
    largest = max(book.families, key=lambda f: len(book.families[f].measurements))
    large = grown(book, largest, options.faults, options.measurements)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        site = Path(folder) / "site"
        build_site(ROOT, site)
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"))
        page = browser.new_page()
        page.goto(f"{site.as_uri()}/bench.html")
        page.evaluate("benchlore.bench.ready")
        every = [] if options.alone else sorted(book.faults.items())
        driven = [drive(page, book, fault) for _, fault in every]
        more = with_suspects(options.suspects)
        with patch.object(hypotheses, "suspects_of", more), patch.object(data, "suspects_of", more):
            written = [
                data.common_file(large),
                *(data.family_file(large, f) for f in large.families.values()),
            ]
        for file in written:
            (site / file.path).write_text(file.text, encoding="utf-8")
        fresh = browser.new_context().new_page()
        fresh.goto(f"{site.as_uri()}/bench.html")
        fresh.evaluate("benchlore.bench.ready")
        times = time_updates(fresh, large, options.jobs)
        browser.close()
    size = f"{options.faults} faults, {options.suspects} suspects, {options.measurements} measurements"
    print(f"update after a reading, {size}, Chromium:")
    figures = {"median": 0.5, "95th percentile": 0.95, "worst": 1.0}
    print(
        f"  {len(times)} updates; "
        + ", ".join(f"{n} {quantile(times, q):.1f} ms" for n, q in figures.items())
    )
    if not driven:
        return
    print(f"\n{'fault':60} entries minutes")
    for one in driven:
        found = "" if one.mended else f"  {one.path[-1]}, likeliest {one.likeliest}"
        print(f"{one.fault:60} {len(one.path):7} {one.minutes:7.0f}{found}")
    entries, minutes = mean([len(one.path) for one in driven]), mean([one.minutes for one in driven])
    print(f"{'mean':60} {entries:7.1f} {minutes:7.0f}")


def mean(values: Sequence[float]) -> float:
    """Their mean."""
    return sum(values) / len(values)


if __name__ == "__main__":
    main()
