"""The same work on many things, on all processors."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
_DIES_WITH_PARENT = 1  # prctl(2): PR_SET_PDEATHSIG


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
    if sys.platform != "linux":
        return 1
    threads = sum(1 for _ in Path("/proc/self/task").iterdir())
    return len(os.sched_getaffinity(0)) if threads == 1 else 1


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
