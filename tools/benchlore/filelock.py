"""An exclusive lock between processes, held by the operating system, so that it dies with its holder."""

from __future__ import annotations

import os
import stat
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import IO, Self

_RETRY_SECONDS = 0.1


class FileLock:
    """Hold `path` locked inside a `with` block; a second holder waits.

    The file stays behind empty: removing it would let two processes lock two files of the same name.
    `waiting` is called once when the lock is taken by somebody else. Raises OSError where no file can be
    opened, or where something else than a file stands.
    """

    def __init__(self, path: Path, waiting: Callable[[], None] = lambda: None) -> None:
        self._path = path
        self._waiting = waiting
        self._file: IO[bytes] | None = None

    def __enter__(self) -> Self:
        self._path.parent.mkdir(parents=True, exist_ok=True)
        file = _opened(self._path)
        try:
            if not _try_lock(file):
                self._waiting()
                while not _try_lock(file):
                    time.sleep(_RETRY_SECONDS)
        except BaseException:
            file.close()
            raise
        self._file = file
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        assert self._file is not None
        _unlock(self._file)
        self._file.close()
        self._file = None


def _opened(path: Path) -> IO[bytes]:
    """The file, made where it lacks; a pipe in its place is refused, since opening it would wait for ever."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NONBLOCK", 0), 0o666)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise OSError(f"{path} is no regular file")
    return os.fdopen(handle, "r+b")


if sys.platform == "win32":
    import msvcrt

    def _try_lock(file: IO[bytes]) -> bool:
        file.seek(0)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _try_lock(file: IO[bytes]) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _unlock(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)
