"""Pictures: hostile and damaged ones are refused with place, reason and mend; pixels alone go out."""

from __future__ import annotations

import io
import random
import shutil
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image, PngImagePlugin

from benchlore.book import load_book
from benchlore.book.pictures import MAX_BYTES, clean, look
from benchlore.rules import check
from tests import pictures
from tests.books import EXAMPLE, GOOD
from tests.pictures import PICTURES, trace

FILE = "faults/wren-5/pictures/fuse-open.png"


def saved(picture: Image.Image, form: str = "PNG", **options: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, form, **options)
    return out.getvalue()


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb() -> bytes:
    """A PNG of 60,000 x 60,000 pixels in a few bytes."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


def film() -> bytes:
    frames = [pictures.small((n, n, n)) for n in (10, 200)]
    out = io.BytesIO()
    frames[0].save(out, "WEBP", save_all=True, append_images=frames[1:])
    return out.getvalue()


WHOLE = saved(trace())
HOSTILE: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is no whole PNG, JPEG or WebP picture"),
    "text": (b"title: Input fuse open\n", "is no whole PNG, JPEG or WebP picture"),
    "page": (b"<!doctype html><script>alert(1)</script>", "is no whole PNG, JPEG or WebP picture"),
    "drawing": (b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "is SVG"),
    "drawing with a head": (b'<?xml version="1.0"?>\n<svg onload="alert(1)"/>', "is SVG"),
    "another format": (saved(pictures.small((1, 2, 3)), "GIF"), "is no whole PNG, JPEG or WebP picture"),
    "cut short": (WHOLE[: len(WHOLE) // 2], "is damaged or cut short"),
    "only its head": (WHOLE[:40], "is no whole PNG, JPEG or WebP picture"),
    "bytes changed": (WHOLE[:500] + b"\0" * 200 + WHOLE[700:], "is damaged or cut short"),
    "photograph cut short": (saved(trace(), "JPEG")[:3000], "is damaged or cut short"),
    "too many pixels": (bomb(), "hundreds of millions of pixels"),
    "more pixels than fit": (saved(Image.new("L", (8000, 6000))), "8000 x 6000 pixels"),
    "too many bytes": (WHOLE + b"\0" * MAX_BYTES, "MB, and a picture has at most 5"),
    "film": (film(), "moves, or holds several pictures"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_or_damaged_picture_is_refused_where_it_is_named(name: str, tmp_path: Path) -> None:
    raw, says = HOSTILE[name]
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    (tmp_path / FILE).write_bytes(raw)
    (found,) = check(load_book(tmp_path))
    assert (found.rule, found.file) == ("unusable-picture", "faults/wren-5/family.yaml")
    assert "fuse-open.png" in found.excerpt
    assert says in found.message
    assert found.mend


@pytest.mark.parametrize("seed", range(40))
def test_no_change_of_bytes_stops_the_check(seed: int) -> None:
    """Bytes drawn anew, pieces left out: refused or read, and what is read can be cleaned."""
    chance = random.Random(seed)
    raw = bytearray(chance.choice([WHOLE, saved(trace(), "JPEG"), saved(trace(), "WEBP")]))
    for _ in range(chance.randint(1, 20)):
        raw[chance.randrange(len(raw))] = chance.randrange(256)
    if chance.random() < 0.5:
        at = chance.randrange(len(raw))
        del raw[at : at + chance.randrange(2000)]
    found = look(bytes(raw))
    assert bool(found.trouble) == bool(found.mend)
    if not found.trouble:
        with Image.open(io.BytesIO(clean(bytes(raw)))) as made:
            assert made.size == (found.width, found.height)


def photograph() -> bytes:
    """A JPEG with what a camera writes: who, where, when, how it was held, a preview."""
    exif = Image.Exif()
    exif[0x010F], exif[0x013B], exif[0x0132], exif[0x0112] = "Maker", "A Person", "2024:05:06 07:08:09", 6
    exif.get_ifd(0x8825).update({1: "N", 2: (52.0, 31.0, 12.0)})
    return saved(trace(), "JPEG", exif=exif, comment=b"desk of A Person", icc_profile=b"x" * 200)


def tagged() -> bytes:
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Author", "A Person")
    notes.add_itxt("XML:com.adobe.xmp", "<rdf>A Person</rdf>")
    return saved(trace(), "PNG", pnginfo=notes)


@pytest.mark.parametrize("make", [photograph, tagged])
def test_what_goes_out_has_no_metadata(make: Callable[[], bytes]) -> None:
    raw = make()
    assert b"Person" in raw
    made = clean(raw)
    assert b"Person" not in made
    assert b"Maker" not in made
    with Image.open(io.BytesIO(made)) as picture:
        assert not picture.getexif()
        assert {"exif", "icc_profile", "comment", "Author"} & set(picture.info) == set()


def test_a_photograph_is_turned_as_it_was_held() -> None:
    found = look(photograph())
    assert (found.width, found.height) == (400, 640)  # 640 x 400, held on its side


def test_a_large_picture_is_made_smaller_and_keeps_its_shape() -> None:
    raw = saved(Image.new("RGB", (4000, 1000), (1, 2, 3)))
    found = look(raw)
    assert (found.width, found.height) == (1600, 400)
    with Image.open(io.BytesIO(clean(raw))) as made:
        assert made.size == (1600, 400)


@pytest.mark.parametrize(("form", "ending"), [("PNG", "png"), ("JPEG", "jpg"), ("WEBP", "webp")])
def test_the_three_formats_are_taken_by_what_they_hold(form: str, ending: str) -> None:
    found = look(saved(trace(), form))
    assert (found.trouble, found.ending) == ("", ending)
    assert found.name == f"{found.digest[:20]}.{ending}"
    assert clean(saved(trace(), form)) == clean(saved(trace(), form))


def test_alt_text_is_demanded(tmp_path: Path) -> None:
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    family = tmp_path / "faults" / "wren-5" / "family.yaml"
    text = family.read_text(encoding="utf-8")
    with_text = "{file: fuse-open.png, shows: The open link of the fuse under the lens.}"
    for without in ("{file: fuse-open.png}", "{file: fuse-open.png, shows: ' '}"):
        family.write_text(text.replace(with_text, without), encoding="utf-8")
        found = [one for one in load_book(tmp_path).findings if "fuse-open" in one.excerpt]
        assert found, without
        assert all(one.mend for one in found)


@pytest.mark.parametrize("name", PICTURES)
def test_the_pictures_of_the_tests_are_drawn_by_their_program(name: str) -> None:
    with Image.open(pictures.ROOT / name) as there:
        assert there.convert("RGB").tobytes() == PICTURES[name]().tobytes()


def test_a_picture_is_no_record_and_a_record_no_picture(tmp_path: Path) -> None:
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    shutil.copy(tmp_path / FILE, tmp_path / "faults" / "wren-5" / "x.png")
    assert [one.rule for one in check(load_book(tmp_path))] == ["file-misnamed"]
    assert set(load_book(EXAMPLE).book.pictures) == {"faults/siskin-12/pictures/pack-data-bursts.png"}
