"""How far long work has come: a count and the time left, on a terminal only, after two seconds."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

QUIET = 2.0  # s: what takes less says nothing
_BETWEEN = 0.2  # s between two lines

Progress = Callable[[int, int], None]


@contextmanager
def progress(
    what: str, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic
) -> Iterator[Progress]:
    """Give a function that is told how many of how many are done; the line goes away at the end.

    `stream`: the error stream if not given. What is no terminal is left alone.
    """
    out = stream or sys.stderr
    start = clock()
    shown = -_BETWEEN
    width = 0

    def tell(done: int, total: int) -> None:
        nonlocal shown, width
        passed = clock() - start
        if passed < QUIET or passed - shown < _BETWEEN or not out.isatty():
            return
        shown = passed
        left = f", {_time(passed / done * (total - done))} left" if done else ""
        line = f"{what}: {done} of {total}{left}"
        out.write(f"\r{line:{width}}")
        out.flush()
        width = len(line)

    try:
        yield tell
    finally:
        if width:
            out.write(f"\r{'':{width}}\r")
            out.flush()


def _time(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
