"""The README's tour shows the pictures that `tools/benchmarks/tour.py` takes."""

from __future__ import annotations

import re

from PIL import Image

from benchmarks.tour import ROOT, SIZE, TOUR

FOLDER = "site_overrides/readme"


def test_the_readme_shows_each_picture_of_the_tour():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(rf"\({FOLDER}/([a-z]+)\.png\)", readme)
    assert shown == [name for name, _, _ in TOUR]
    assert {one.stem for one in (ROOT / FOLDER).iterdir()} == {*shown}
    for name in shown:
        with Image.open(ROOT / FOLDER / f"{name}.png") as picture:
            assert picture.size == SIZE, name
