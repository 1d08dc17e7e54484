"""The same work on many things, on all processors."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
_DIES_WITH_PARENT = 1  # prctl(2): PR_SET_PDEATHSIG
_PATIENCE = 1.0  # s for threads that have ended to be gone from the system, too: a few ms


class WorkerError(Exception):
    """A process that did a part of the work was killed."""


def spread(work: Callable[[str], T], names: Sequence[str]) -> Iterator[tuple[str, T]]:
    """`work` on each name, as it gets done, with the name. What `work` raises is raised here.

    On Linux in as many processes as this one may use processors: they start as copies of this one, so that
    nothing has to be sent to them. Elsewhere, for a single name, and where this process has threads, whose
    locks a copy could find closed for ever, in this process. Raises WorkerError.
    """
    count = min(len(names), processes())
    if count < 2:
        yield from ((name, work(name)) for name in names)
        return
    start = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(count, start, _begin, (work, os.getpid())) as pool:
        waiting = {pool.submit(_do, name): name for name in names}
        try:
            for done in as_completed(waiting):
                yield waiting.pop(done), done.result()
        except BrokenProcessPool as error:
            raise WorkerError("a process that did a part of the work was killed; try again") from error
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


def processes() -> int:
    """In how many processes `spread` does its work, if it has so many names."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" and _is_alone() else 1


def _is_alone() -> bool:
    """Whether this process has one thread. Those of a pool that was just shut down stay with the system for
    some ms after Python has seen their end, so where Python knows of no other, they are waited for.
    """
    end = time.monotonic() + _PATIENCE
    while sum(1 for _ in Path("/proc/self/task").iterdir()) > 1:
        if threading.active_count() > 1 or time.monotonic() > end:
            return False
        time.sleep(0.001)
    return True


_work: list[Callable[[str], Any]] = []  # of a worker, set when it starts


def _begin(work: Callable[[str], Any], parent: int) -> None:
    """Work as long as the parent lives: a worker that outlived it would write where others clear away."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent hears Ctrl+C and ends its workers
    ctypes.CDLL(None).prctl(_DIES_WITH_PARENT, signal.SIGKILL)
    if os.getppid() != parent:
        os._exit(1)
    _work.append(work)


def _do(name: str) -> Any:
    return _work[-1](name)
