"""The pictures of the README's tour, taken anew from the built site.

    python tools/benchmarks/tour.py [--site site] [--to site_overrides/readme]

Each page is opened from disk in Chromium at 4 to 3, and the picture is brought to one size.
"""

from __future__ import annotations

import argparse
import io
import sys
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tools")]

import browsers  # noqa: E402

SIZE = (728, 546)
JOB = "bench.html#v=1&family=petrel-13&revision=A&symptom=no-power"
# Name, page, and the width of the window that is pictured.
TOUR = (
    ("home", "index.html", 860),
    ("bench", JOB, 1092),
    ("fault", "petrel-13/main-rail-capacitor-shorted.html", 1366),
    ("symptom", "petrel-13/symptoms/pack-not-seen.html", 820),
    ("study", "study/petrel-13.html", 820),
)


def taken(page: Page, address: str) -> bytes:
    """The first screen of a page; of a job, its card once what holds all through it is read."""
    page.goto(address)
    if "bench.html" in address:
        page.evaluate("benchlore.bench.ready.then(() => true)")
        page.click("#standing-seen")
        page.evaluate("document.activeElement.blur()")
    else:
        page.locator("#scheme:not(.waits)").wait_for()
    page.wait_for_timeout(200)
    return page.screenshot()


def main() -> None:
    """Take all of them."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--site", type=Path, default=ROOT / "site")
    parser.add_argument("--to", type=Path, default=ROOT / "site_overrides" / "readme")
    options = parser.parse_args()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"))
        for name, path, width in TOUR:
            page = browser.new_page(viewport={"width": width, "height": width * SIZE[1] // SIZE[0]})
            picture = Image.open(io.BytesIO(taken(page, f"{options.site.resolve().as_uri()}/{path}")))
            small = picture.convert("RGB").resize(SIZE, Image.Resampling.LANCZOS)
            few = small.quantize(255, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
            few.save(options.to / f"{name}.png", optimize=True)
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
