"""What a site is made from, looked at again and again: it needs no service of the system, and misses no save.

A file is another one when its size, its time of change or its number has changed.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from benchlore.book.ids import BOOK_FOLDER
from benchlore.book.schemas import schema_folder
from benchlore.shipped import face

T = TypeVar("T")
Snapshot = Mapping[str, tuple[int, int, int]]
_PAUSE = 0.1  # s between two looks, and at least ten times as long as a look takes
_SETTLE = 0.03  # s that nothing may change in before it counts: an editor may write in several steps


def book_and_face(root: Path) -> tuple[Path, ...]:
    """What a running builder reads anew for each site."""
    look = face(root)
    return root / BOOK_FOLDER, look / "site_overrides", look / "mkdocs.yml"


def code_places() -> tuple[Path, ...]:
    """What a builder has read once, when it started."""
    return schema_folder(), Path(__file__).resolve().parents[1]


def snapshot(places: Sequence[Path]) -> Snapshot:
    """What lies in these files and folders now. What cannot be read is left out: the build says why."""
    return {path: (found.st_size, found.st_mtime_ns, found.st_ino) for path, found in _files(places)}


def _files(places: Sequence[Path]) -> Iterator[tuple[str, os.stat_result]]:
    waiting = [os.fspath(place) for place in places]
    while waiting:
        place = waiting.pop()
        try:
            if os.path.isdir(place):  # noqa: PTH112 (one look takes in thousands of files)
                with os.scandir(place) as found:
                    waiting += [one.path for one in found if not _passed_over(one.name)]
            else:
                yield place, os.lstat(place)
        except OSError:
            continue


def _passed_over(name: str) -> bool:
    """Hidden files, and what editors and Python leave beside the files that they write."""
    return name.startswith(".") or name.endswith(("~", ".pyc")) or name == "__pycache__"


def settled(look: Callable[[], T], first: T) -> T:
    """What `look` gives once two looks give the same."""
    while True:
        time.sleep(_SETTLE)
        second = look()
        if second == first:
            return second
        first = second


def changed(look: Callable[[], T], known: T, alive: Callable[[], bool]) -> T | None:
    """Wait until `look` gives something else than `known`; None once nobody waits for it any more."""
    while alive():
        start = time.monotonic()
        now = look()
        if now != known:
            return settled(look, now)
        time.sleep(max(_PAUSE, 10 * (time.monotonic() - start)))
    return None
