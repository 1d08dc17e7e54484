"""What a technician sees and does from a symptom to the proof: twelve jobs, on a phone and on an old screen.

    python tools/benchmarks/jobs.py [--site site] [--json FILE] [--pictures FOLDER]

Each job begins on the page of its symptom, as somebody would who looked it up, and is worked by pointer and
keyboard in Chromium; a board with the job's fault answers, by what the site's own data says that it reads.
For each job and each of two screens it prints:

- the y of the first thing to do, in the window as the page shows it by itself: the way into the job
  (symptom), what begins it (begin), what to measure first (first), the furthest of all measurements (worst),
  the first step of the work (fix);
- the tallest page on the way;
- the hazards shown: how many different ones, and how many times one of them stood on a screen;
- entries (readings typed, answers given) and taps (all other presses), the proof included.

"below" marks what is out of the window. Needs the built site.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

import browsers  # noqa: E402

SCREENS = ((360, 800), (1366, 768))
MOST_STEPS = 40
# Symptom and fault, in families of each kind.
JOBS = (
    ("adapter-not-accepted", "petrel-13/input-fuse-open"),
    ("pack-not-seen", "petrel-13/pack-data-pull-up-open"),
    ("no-power", "petrel-13/main-rail-capacitor-shorted"),
    ("backlight-dark", "petrel-13/backlight-fuse-open"),
    ("one-way-up", "tern-10/cc1-pull-down-open"),
    ("pack-not-charging", "tern-10/overvoltage-switch-open"),
    ("drains-overnight", "tern-10/system-capacitor-leaks"),
    ("touch-dead", "tern-10/touch-connector-dirty"),
    ("cradle-not-charging", "dunlin-2/dock-fuse-too-small"),
    ("scan-light-dark", "dunlin-2/aimer-mosfet-open"),
    ("lamps-dark", "curlew-48/lamp-cable-pinched"),
    ("no-data-in", "gannet-24/optocoupler-dead"),
)

# The likeliest outcome of a measurement with a fault; healthy where the data says nothing.
READS = """([familyId, faultId, measure]) => {
    const family = benchlore.benchFamilies[familyId];
    const outcomes = Object.values(family.measurements[measure].outcomes);
    const known = Object.entries(benchlore.cases.expectedReading(family, faultId, measure) || {});
    const likeliest = known.sort((a, b) => b[1] - a[1])[0];
    const at = outcomes.findIndex(one => (likeliest ? one.id === likeliest[0] : one.normal));
    return {n: at + 1, range: outcomes[at].range};
}"""
# Whether a fix mends a fault: its own, or one that renews its parts, where the edition knows of that.
MENDS = """([fix, fault]) => {
    const one = benchlore.desk?.state.assessment?.one;
    if (!one?.bench.mends) return fix === fault;
    const [tried, hidden] = [fix, fault].map(id => one.faults.indexOf(id));
    return one.bench.mends[tried].includes(hidden);
}"""
# What a proof asks for: each measurement, and the place of the outcome that it must read.
ASKS = """([familyId, faultId]) => {
    const family = benchlore.benchFamilies[familyId];
    const fault = family.faults[faultId];
    if (!fault) return [];
    return benchlore.cases.proofMeasures(family, fault).map(measure => {
        const outcomes = Object.values(family.measurements[measure].outcomes);
        const at = outcomes.findIndex(one => one.id === fault.fix.confirm[measure]);
        return {measure, n: at + 1, range: outcomes[at].range};
    });
}"""
# Where the first of some elements that is in the window stands; of none, the topmost.
SEES = """selector => {
    const seen = one => one.getClientRects().length > 0;
    const shown = [...document.querySelectorAll(selector.split(" >> ")[0])].filter(seen);
    const places = shown.map(one => Math.round(one.getBoundingClientRect().top));
    places.sort((a, b) => a - b);
    const inside = places.find(y => y >= 0 && y < innerHeight - 16);
    const hazards = [...document.querySelectorAll(".hazard .harm a")]
        .filter(seen)
        .map(one => one.textContent.trim());
    return {
        y: inside ?? places[0] ?? null,
        height: document.documentElement.scrollHeight,
        hazards,
    };
}"""


@dataclass
class Way:
    """One job on one screen."""

    symptom: str
    fault: str
    width: int
    start: int | None = None
    begin: int | None = None
    first: int | None = None
    worst: int | None = None
    fix: int | None = None
    height: int = 0
    hazards: set[str] = field(default_factory=set)
    shown: int = 0
    entries: int = 0
    taps: int = 0
    proved: bool = False


class Edition:
    """Where things are on the pages; another edition of the site may have them elsewhere."""

    page = "{family}/symptoms/{symptom}.html"
    start = "a.start"
    begins = ".choice-revision >> nth=0"  # the first revision that is asked for
    measure = "#next-title, #reading-asked"
    work = ".step-work ol.do > li > span"
    reads = READS
    asks = ASKS


def typed(reading: dict[str, Any]) -> str:
    """A reading in the middle of a range, as one types it."""
    low, high = reading["low"], reading["high"]
    if low is None and high is None:
        return "OL"
    if low is None:
        value = high / 2 if high > 0 else high * 1.5
    elif high is None:
        value = low * 1.1 if low > 0 else 1
    else:
        value = (low + high) / 2
    return f"{value:.7f}".rstrip("0").rstrip(".")


class Job:
    """A job that is worked on a page."""

    def __init__(self, page: Page, edition: Edition, way: Way, pictures: Path | None) -> None:
        self.page, self.edition, self.way, self.pictures = page, edition, way, pictures
        self.family = way.fault.partition("/")[0]

    def look(self, selector: str) -> int | None:
        """Where the first thing to do stands on this screen; what the screen shows is counted."""
        self.page.wait_for_timeout(60)  # a page scrolls to what it focuses
        seen = self.page.evaluate(SEES, selector)
        self.way.height = max(self.way.height, seen["height"])
        self.way.hazards.update(seen["hazards"])
        self.way.shown += len(seen["hazards"])
        if self.pictures:
            name = self.way.fault.replace("/", "-")
            number = len(list(self.pictures.glob(f"{name}-{self.way.width}-*.png")))
            self.page.screenshot(path=self.pictures / f"{name}-{self.way.width}-{number:02}.png")
        y: int | None = seen["y"]
        return y

    def work(self, site: Path) -> None:
        """From the page of the symptom, on the board that is chosen, to the proof."""
        page, way = self.page, self.way
        page.goto(f"{site.as_uri()}/{self.edition.page.format(family=self.family, symptom=way.symptom)}")
        selector = self.edition.start.format(family=self.family)
        way.start = self.look(selector)
        page.click(selector)
        way.taps += 1
        page.wait_for_url("**/bench.html*")
        page.evaluate("benchlore.bench.ready.then(() => true)")
        way.begin = self.look(self.edition.begins)
        page.click(self.edition.begins)
        way.taps += 1
        for _ in range(MOST_STEPS):
            card = page.locator("#next")
            kind, asked = card.get_attribute("data-kind"), card.get_attribute("data-id") or ""
            if kind == "closed":
                way.proved = True
                return
            if kind == "measure":
                self.measure(asked)
            elif kind == "fix":
                self.mend(asked)
            else:
                return

    def measure(self, asked: str) -> None:
        """Read what is asked for, or answer it."""
        way = self.way
        y = self.look(self.edition.measure)
        way.first = y if way.first is None else way.first
        way.worst = max(_far(way.worst), _far(y))
        if self.page.locator("#standing-seen").count():
            self.page.click("#standing-seen")
            way.taps += 1
        reading = self.page.evaluate(self.edition.reads, [self.family, way.fault, asked])
        if self.page.locator("#reading").count():
            self.page.fill("#reading", typed(reading["range"]))
            self.page.press("#reading", "Enter")
        else:
            self.page.click(f"#answer-{reading['n']}")
        way.entries += 1

    def mend(self, fault: str) -> None:
        """Do a fix, and prove it; one that does not mend the fault does not help."""
        page, way = self.page, self.way
        y = self.look(self.edition.work)
        mends = fault == way.fault or page.evaluate(MENDS, [fault, way.fault])
        if way.fix is None or mends:
            way.fix = y
        if page.locator("#to-proof").count():
            page.click("#to-proof")
            way.taps += 1
        for n, wanted in enumerate(page.evaluate(self.edition.asks, [self.family, fault]), 1):
            reading = wanted
            if not mends:
                reading = page.evaluate(self.edition.reads, [self.family, way.fault, wanted["measure"]])
            if page.locator(f"#proof-{n}").count():
                page.fill(f"#proof-{n}", typed(reading["range"]))
            else:
                page.check(f"#proof-{n}-{reading['n']}")
            way.entries += 1
        page.check("#symptom-gone" if mends else "#symptom-still")
        page.click("#enter-proof")
        way.taps += 2


def _far(y: int | None) -> int:
    return -1 if y is None else y


def ways(
    browser: Browser,
    site: Path,
    edition: Edition,
    jobs: Iterable[tuple[str, str]],
    pictures: Path | None = None,
) -> list[Way]:
    """All jobs that the site has, on both screens."""
    found = []
    for symptom, fault in jobs:
        if not (site / f"{fault}.html").exists():
            continue
        for width, height in SCREENS:
            context = browser.new_context(viewport={"width": width, "height": height}, has_touch=width < 600)
            way = Way(symptom, fault, width)
            Job(context.new_page(), edition, way, pictures).work(site)
            context.close()
            found.append(way)
    return found


def table(found: Sequence[Way]) -> str:
    """The table in Markdown."""
    heights = dict(SCREENS)

    def y(place: int | None, width: int) -> str:
        if place is None:
            return "none"
        return f"{place}" + (" below" if place >= heights[width] else "")

    heads = ["job", "width", "symptom", "begin", "first", "worst", "fix", "tallest page"]
    heads += ["hazards", "shown", "entries", "taps", "proved"]
    lines = [f"| {' | '.join(heads)} |", f"|{' --- |' * len(heads)}"]
    for way in found:
        places = [y(place, way.width) for place in (way.start, way.begin, way.first, way.worst, way.fix)]
        counts = [way.height, len(way.hazards), way.shown, way.entries, way.taps]
        cells = [
            way.fault,
            way.width,
            *places,
            *counts,
            "yes" if way.proved else "no",
        ]
        lines.append(f"| {' | '.join(str(cell) for cell in cells)} |")
    return "\n".join(lines)


def main(edition: Edition | None = None, jobs: Iterable[tuple[str, str]] = JOBS) -> None:
    """Work the jobs, print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--site", type=Path, default=ROOT / "site")
    parser.add_argument("--json", type=Path, help="write the figures here as well")
    parser.add_argument("--pictures", type=Path, help="an empty folder for a picture of each screen")
    options = parser.parse_args()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"))
        found = ways(browser, options.site.resolve(), edition or Edition(), jobs, options.pictures)
        browser.close()
    if options.json:
        plain = [{**asdict(way), "hazards": sorted(way.hazards)} for way in found]
        options.json.write_text(json.dumps(plain, indent=1), encoding="utf-8")
    print(table(found))


if __name__ == "__main__":
    main()
