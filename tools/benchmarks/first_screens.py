"""A picture of the first screen of each kind of page, on a phone and on an old screen, to be looked at.

    python tools/benchmarks/first_screens.py FOLDER [--site site] [--only WORD] [--forced-colors] [--spaced]

Pages are opened from disk in Chromium; what the README beside this says was written from these pictures.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tools")]

import browsers  # noqa: E402

SCREENS = ((360, 740), (1366, 768))
JOB = "bench.html#v=1&family=petrel-13&revision=A&symptom=backlight-dark"
# As far apart as a reader may set lines, letters and words (WCAG 2.2, 1.4.12).
SPACED = """* { line-height: 1.5 !important; }
* { letter-spacing: 0.12em !important; word-spacing: 0.16em !important; }
p { margin-bottom: 2em !important; }"""


def searched(text: str) -> Callable[[Page], None]:
    """Type a text into the search."""

    def type_it(page: Page) -> None:
        page.fill("#search input", text)
        page.locator(".search-option").first.wait_for()

    return type_it


def read(page: Page) -> None:
    """Tick what holds all through the job."""
    page.click("#standing-seen")


def later(page: Page) -> None:
    """The second step of the job."""
    read(page)
    entered(page, "0.25")


def fix(page: Page) -> None:
    """What the second reading leads to."""
    later(page)
    entered(page, "0.41")


def proof(page: Page) -> None:
    """The work is done."""
    fix(page)
    page.click("#to-proof")


def entered(page: Page, reading: str) -> None:
    """Enter a reading."""
    page.fill("#reading", reading)
    page.press("#reading", "Enter")
    page.wait_for_timeout(200)


def card(page: Page) -> None:
    """The first card of a session."""
    page.locator("button.primary").first.click()


# Name, page, and what is done on it before the picture.
KINDS: tuple[tuple[str, str, Callable[[Page], None] | None], ...] = (
    ("home", "index.html", None),
    ("look-up", "look-up.html", None),
    ("learn", "learn.html", None),
    ("search-reading", "index.html", searched("3.3v rail 0.9")),
    ("search-not-in-the-book", "index.html", searched("fingerprint reader broken")),
    ("bench-new-job", "bench.html", None),
    ("bench-revision", "bench.html#v=1&family=petrel-13&symptom=backlight-dark", None),
    ("bench-first-step", JOB, None),
    ("bench-first-step-read", JOB, read),
    ("bench-later-step", JOB, later),
    ("bench-fix", JOB, fix),
    ("bench-proof", JOB, proof),
    ("families", "families.html", None),
    ("family", "curlew-48/index.html", None),
    ("symptoms", "symptoms/index.html", None),
    ("symptom", "symptoms/no-power.html", None),
    ("symptom-on-a-board", "petrel-13/symptoms/no-power.html", None),
    ("faults", "faults.html", None),
    ("fault", "petrel-13/main-rail-capacitor-shorted.html", None),
    ("nets", "nets.html", None),
    ("net", "petrel-13/nets/MAIN.html", None),
    ("measurement", "petrel-13/nets/MAIN.html#measure-main-rail-adapter", None),
    ("parts", "parts.html", None),
    ("part", "petrel-13/parts/Q61.html", None),
    ("techniques", "techniques/index.html", None),
    ("technique", "techniques/current-limited-injection.html", None),
    ("hazards", "hazards/index.html", None),
    ("hazard", "hazards/lithium-pack.html", None),
    ("meters", "meters/index.html", None),
    ("meter", "meters/hand-held-3-half.html", None),
    ("states", "states/index.html", None),
    ("state", "states/adapter-only.html", None),
    ("calculators", "calculators.html", None),
    ("walk", "walk.html", None),
    ("walk-of-a-board", "petrel-13/walk.html", None),
    ("walk-sheet", "petrel-13/walk-sheet.html", None),
    ("study", "study/petrel-13.html", None),
    ("study-card", "study/petrel-13.html", card),
    ("handout", "study/petrel-13-handout.html", None),
    ("coverage", "coverage.html", None),
    ("calibration", "calibration.html", None),
    ("contribute", "contribute/index.html", None),
    ("write", "contribute/write.html", None),
    ("fields", "contribute/fields.html", None),
    ("rules", "contribute/rules.html", None),
    ("using", "using.html", None),
    ("commands", "commands.html", None),
)


def opened(page: Page, address: str) -> None:
    """Open a page, and wait for what its scripts show first."""
    page.goto(address)
    if "bench.html" in address:
        page.evaluate("benchlore.bench.ready.then(() => true)")
    else:
        page.locator("#scheme:not(.waits)").wait_for()


def main() -> None:
    """Take all of them."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--site", type=Path, default=ROOT / "site")
    parser.add_argument("--only", default="", help="kinds that have this word")
    parser.add_argument("--forced-colors", action="store_true", help="colours of the reader's own")
    parser.add_argument("--spaced", action="store_true", help="the text spacing of WCAG 1.4.12")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"))
        for name, path, act in KINDS:
            for width, height in SCREENS if options.only in name else ():
                context = browser.new_context(
                    viewport={"width": width, "height": height},
                    has_touch=width < 600,
                    bypass_csp=options.spaced,
                    forced_colors="active" if options.forced_colors else "none",
                )
                page = context.new_page()
                opened(page, f"{options.site.resolve().as_uri()}/{path}")
                if options.spaced:
                    page.add_style_tag(content=SPACED)
                if act:
                    act(page)
                page.wait_for_timeout(200)
                page.screenshot(path=options.folder / f"{name}-{width}.png")
                context.close()
        browser.close()


if __name__ == "__main__":
    main()
