"""Pictures of a book: what a file holds, found by decoding it, and the clean copy that pages show.

A picture comes from anywhere: nothing of it is believed but its pixels. Pillow decodes it, whole, before it
counts as one; what goes out is made anew from the pixels, without the metadata of a camera or a program.
"""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass

from PIL import Image, ImageOps, UnidentifiedImageError

from benchlore.book.ids import BOOK_FOLDER, COMMON

FOLDER = "pictures"
MAX_BYTES = 5_000_000
MAX_PIXELS = 40_000_000
# Why it is refused, and what to do.
SVG = ("is SVG, which can hold scripts and links", "save it as PNG")
# The longest side of what goes out; a screen at the bench shows no more.
_SIDE = 1600
_FORMATS = {"PNG": "png", "JPEG": "jpg", "WEBP": "webp"}
_NAMES = "PNG, JPEG or WebP"


@dataclass(frozen=True, slots=True)
class PictureFile:
    """A picture file. `width`, `height`, `ending`: of the clean copy. `trouble` says why it cannot be shown,
    `mend` what to do; both are empty where it can."""

    digest: str
    width: int = 0
    height: int = 0
    ending: str = ""
    trouble: str = ""
    mend: str = ""

    @property
    def name(self) -> str:
        """The name of the clean copy: another content has another name."""
        return f"{self.digest[:20]}.{self.ending}"


def picture_file(family: str, name: str) -> str:
    """`pack.png` of `petrel-13` -> `faults/petrel-13/pictures/pack.png`."""
    return f"{BOOK_FOLDER}/{family}/{FOLDER}/{name}"


def is_picture(file: str) -> bool:
    """Whether a file stands where the pictures of a family do."""
    steps = file.split("/")
    return len(steps) == 4 and steps[0] == BOOK_FOLDER and steps[1] != COMMON and steps[2] == FOLDER


def look(raw: bytes) -> PictureFile:
    """What a file holds. Never raises for what it holds."""
    digest = hashlib.sha256(raw).hexdigest()

    def refused(trouble: str, mend: str) -> PictureFile:
        return PictureFile(digest, trouble=trouble, mend=mend)

    if len(raw) > MAX_BYTES:
        size = f"{len(raw) / 1e6:.1f} MB, and a picture has at most {MAX_BYTES / 1e6:.0f}"
        return refused(f"has {size}", "save it smaller, 1600 pixels on its longer side")
    head = raw[:2000].lstrip().lower()
    if head.startswith((b"<svg", b"<?xml", b"<!doctype svg")) or b"<svg" in head:
        return refused(*SVG)
    try:
        with warnings.catch_warnings(), Image.open(io.BytesIO(raw), formats=list(_FORMATS)) as opened:
            warnings.simplefilter("ignore")  # what is odd in it is judged by what comes out
            if opened.width * opened.height > MAX_PIXELS:
                size = f"{opened.width} x {opened.height} pixels"
                return refused(f"has {size}; at most {MAX_PIXELS / 1e6:.0f} million fit", "save it smaller")
            if getattr(opened, "n_frames", 1) > 1:
                return refused("moves, or holds several pictures", "save one of them alone")
            with Image.open(io.BytesIO(raw), formats=list(_FORMATS)) as again:
                again.verify()  # the check sums of a PNG, which decoding overlooks
            ending = _FORMATS[opened.format or ""]
            made = _clean(opened)
            return PictureFile(digest, made.width, made.height, ending)
    except Image.DecompressionBombError:
        most = f"at most {MAX_PIXELS / 1e6:.0f} million fit"
        return refused(f"has hundreds of millions of pixels; {most}", "save it smaller")
    except UnidentifiedImageError:
        return refused(f"is no whole {_NAMES} picture", f"copy it again, or save it as {_NAMES}")
    except Exception:  # a decoder that is given a hostile file may raise anything
        return refused("is damaged or cut short", "copy it again, or open it and save it anew")


def clean(raw: bytes) -> bytes:
    """The picture without all but its pixels, no longer than pages show; of one that `look` takes."""
    with warnings.catch_warnings(), Image.open(io.BytesIO(raw), formats=list(_FORMATS)) as opened:
        warnings.simplefilter("ignore")
        form = opened.format or ""
        made = _clean(opened)
    out = io.BytesIO()
    if form == "JPEG":
        made.convert("RGB").save(out, "JPEG", quality=85, optimize=True)
    elif form == "WEBP":
        made.save(out, "WEBP", quality=85, method=4)
    else:
        made.save(out, "PNG", optimize=True)
    return out.getvalue()


def _clean(opened: Image.Image) -> Image.Image:
    """Its pixels, upright and small enough, in a picture that has nothing else."""
    turned = ImageOps.exif_transpose(opened)
    alpha = turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info
    pixels = turned.convert("RGBA" if alpha else "RGB")
    pixels.thumbnail((_SIDE, _SIDE))
    fresh = Image.new(pixels.mode, pixels.size)
    fresh.paste(pixels)
    return fresh
