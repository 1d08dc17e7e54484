"""Publish a built site in one step, so that a reader finds the old site or the new one, never a mix.

A build writes into a staging folder beside the site and then takes the site's place. On Linux the two
folders change places in a single system call. Elsewhere the old site is first renamed away; a build
that is killed between those two renames leaves no site for the moment, and the next build puts the
old one back before it does anything else.

Everything happens under a lock that dies with its process, and whatever killed builds left behind is
cleared away by the next one. What builds leave is known by its exact name and by a marker inside: a folder of
anybody else, whatever its name begins with, is neither renamed nor deleted.
"""

from __future__ import annotations

import ctypes
import os
import re
import secrets
import shutil
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from benchlore.filelock import FileLock

MARKER = ".benchlore-site"
_MARKER_TEXT = "Made by Benchlore. The next build replaces this folder as a whole.\n"
# What a build calls the folders that it makes beside the site.
_OWN_NAME = re.compile(r"\..+-(new|old)-[0-9a-f]{8}")


class PublishError(Exception):
    """The site cannot be published; the message says why and what mends it."""


class Staging:
    """A `with` block that owns the site at `final` and a new `folder` beside it to build into.

    Leaving the block without `publish()` drops what was built and leaves the site as it was. `waiting` is
    called once when another build owns the site. Raises PublishError when `final` is not ours to replace.
    """

    def __init__(self, final: Path, waiting: Callable[[], None] = lambda: None) -> None:
        self.final = final.resolve()
        self.folder = self._beside(f"new-{secrets.token_hex(4)}")
        self._lock = FileLock(self._beside("lock"), waiting)

    def __enter__(self) -> Self:
        _refuse_own_name(self.final)
        self._lock.__enter__()
        try:
            _refuse_foreign(self.final)
            self._recover()
            self.folder.mkdir()
            _mark(self.folder)  # it stays: the generator empties the folder but for names with a dot in front
        except BaseException:
            self._lock.__exit__(None, None, None)
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            _discard(self.folder)
        finally:
            self._lock.__exit__(kind, error, trace)

    def publish(self) -> None:
        """Put what `folder` holds in the place of the site. Raises PublishError; the old site then stays."""
        if not (self.folder / "index.html").is_file():
            raise PublishError("the build made no index.html; the site was left as it was")
        _mark(self.folder)
        if not self.final.exists():
            self.folder.rename(self.final)
        elif not exchange(self.folder, self.final):
            self._replace()
        # After an exchange `folder` holds the old site; leaving the block discards it.

    def _replace(self) -> None:
        """Two renames, for systems that cannot exchange two folders."""
        old = self._beside(f"old-{secrets.token_hex(4)}")
        try:
            self.final.rename(old)
        except OSError as error:
            raise PublishError(
                f"{self.final} cannot be replaced ({error.strerror}); "
                "close the programs that use it and build again"
            ) from error
        try:
            self.folder.rename(self.final)
        except BaseException:
            old.rename(self.final)
            raise
        _discard(old)

    def _recover(self) -> None:
        """Put back a site that a killed build had renamed away, and clear away the rest."""
        for old in self._leftovers("old"):
            if not self.final.exists():
                old.rename(self.final)
        for left in (*self._leftovers("old"), *self._leftovers("new")):
            _discard(left)

    def _leftovers(self, what: str) -> list[Path]:
        """What killed builds of this very site left, by its exact name and its marker."""
        form = re.compile(re.escape(self._beside(f"{what}-").name) + "[0-9a-f]{8}")
        found = (path for path in self.final.parent.iterdir() if form.fullmatch(path.name))
        return sorted(path for path in found if _is_ours(path))

    def _beside(self, what: str) -> Path:
        return self.final.parent / f".{self.final.name}-{what}"


def _mark(folder: Path) -> None:
    (folder / MARKER).write_text(_MARKER_TEXT, encoding="utf-8", newline="\n")


def _is_ours(folder: Path) -> bool:
    return not folder.is_symlink() and (folder / MARKER).is_file()


def _refuse_own_name(final: Path) -> None:
    if _OWN_NAME.fullmatch(final.name):
        raise PublishError(
            f"'{final.name}' is a name that builds give to folders of their own; "
            "choose another name for the site"
        )


def _refuse_foreign(final: Path) -> None:
    if not final.exists():
        return
    if not final.is_dir():
        raise PublishError(f"{final} is not a folder; choose another place for the site")
    if any(final.iterdir()) and not (final / MARKER).is_file():
        raise PublishError(
            f"{final} holds files that no build published; "
            "move them away or choose another place for the site"
        )


def _discard(folder: Path) -> None:
    # What a running program keeps open (Windows) stays, with the marker; the next build clears it away.
    if not folder.is_dir():
        return
    for path in folder.iterdir():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path, ignore_errors=True)
        elif path.name != MARKER:
            with suppress(OSError):
                path.unlink()
    if [path.name for path in folder.iterdir()] in ([], [MARKER]):
        shutil.rmtree(folder, ignore_errors=True)


def exchange(one: Path, other: Path) -> bool:
    """Let two paths change places in one step; False where the system or file system cannot.

    Linux renameat2(2) with RENAME_EXCHANGE.
    """
    if not sys.platform.startswith("linux"):
        return False
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except AttributeError:  # a C library older than the call
        return False
    at_fdcwd, rename_exchange = -100, 2
    return bool(renameat2(at_fdcwd, os.fsencode(one), at_fdcwd, os.fsencode(other), rename_exchange) == 0)
