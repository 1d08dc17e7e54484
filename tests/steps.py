"""How much a piece of work does: the lines of Python that it runs, which are the same on every machine."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType


def steps(work: Callable[[], object]) -> int:
    """How many lines run in this thread until `work` returns; a turn of a loop counts for each of its lines.

    What a single call into C does (a search of a list, a sort) counts as nothing.
    """
    count = 0

    def line(frame: FrameType, event: str, argument: object) -> object:
        nonlocal count
        count += event == "line"
        return line

    before = sys.gettrace()
    sys.settrace(line)  # type: ignore[arg-type]
    try:
        work()
    finally:
        sys.settrace(before)
    return count
