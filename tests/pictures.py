"""The pictures of the tests' books, drawn from invented numbers; `python -m tests.pictures` writes them."""

from __future__ import annotations

import random
from pathlib import Path

from PIL import Image, ImageDraw

ROOT = Path(__file__).resolve().parent
_PAPER, _GRID, _TRACE, _INK = (16, 24, 32), (60, 72, 84), (86, 180, 233), (230, 236, 240)


def trace() -> Image.Image:
    """A scope trace of a two-wire data line: bursts from 0 V to its 3.05 V, 1 V and 20 ms a division."""
    picture = Image.new("RGB", (640, 400), _PAPER)
    draw = ImageDraw.Draw(picture)
    for x in range(0, 641, 64):
        draw.line((x, 0, x, 400), fill=_GRID)
    for y in range(0, 401, 50):
        draw.line((0, y, 640, y), fill=_GRID)
    chance = random.Random(12)
    points: list[tuple[int, int]] = []
    high, low = 350 - round(3.05 * 50), 350
    for x in range(0, 641, 2):
        burst = x % 256 < 90
        noise = chance.randint(-1, 1)
        points.append((x, (low if burst and (x // 4) % 2 else high) + noise))
    draw.line(points, fill=_TRACE, width=2)
    draw.text((12, 372), "1 V / div    20 ms / div", fill=_INK)
    draw.text((12, 352), "0 V", fill=_INK)
    return picture


def small(colour: tuple[int, int, int]) -> Image.Image:
    """A small board with a part of one colour on it."""
    picture = Image.new("RGB", (64, 48), (0, 80, 50))
    ImageDraw.Draw(picture).rectangle((20, 16, 44, 32), fill=colour)
    return picture


PICTURES = {
    "example/faults/siskin-12/pictures/pack-data-bursts.png": trace,
    "rules/good/faults/wren-5/pictures/fuse-open.png": lambda: small((200, 200, 190)),
    "rules/good/faults/wren-5/pictures/capacitor.png": lambda: small((160, 110, 60)),
}

if __name__ == "__main__":
    for name, draw in PICTURES.items():
        (ROOT / name).parent.mkdir(parents=True, exist_ok=True)
        draw().save(ROOT / name, "PNG", optimize=True)
