"""Pictures on the pages: beside point, part and fault, as clean copies with alt text, and offline."""

from __future__ import annotations

import io
import re
from pathlib import Path

from PIL import Image

from benchlore.book.model import Book

FILE = "faults/siskin-12/pictures/pack-data-bursts.png"
IMAGE = re.compile(r'<img src="([^"]+)" width="(\d+)" height="(\d+)" alt="([^"]+)"')


def test_the_picture_of_a_point_stands_on_its_net_and_on_the_faults_measured_there(book: Book, site: Path):
    name = book.pictures[FILE].name
    pages = ["siskin-12/nets/PACK_DATA.html", "siskin-12/pack-data-pull-up-open.html"]
    for page in pages:
        found = IMAGE.findall((site / page).read_text(encoding="utf-8"))
        assert found, page
        source, width, height, alt = found[0]
        assert (site / page).parent.joinpath(source).resolve() == (
            site / "assets/pictures/siskin-12" / name
        ).resolve()
        assert (width, height) == ("640", "400")
        assert alt.startswith("Scope trace of a healthy PACK_DATA.")
    assert IMAGE.findall((site / "siskin-12/nets/CORE.html").read_text(encoding="utf-8")) == []


def test_the_site_has_the_clean_copy_alone(book: Book, site: Path):
    (path,) = (site / "assets/pictures").rglob("*.*")
    assert path.name == book.pictures[FILE].name
    with Image.open(io.BytesIO(path.read_bytes())) as picture:
        assert picture.size == (640, 400)
        assert picture.info == {}
