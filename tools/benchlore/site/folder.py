"""The folder of a new site, filled from what is made anew and from the site that it is to replace.

A file whose content is that of the last build is linked, not written again, where the last build left it
unchanged. What it left is known by size, time and file number, beside the hash of each file.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from pathlib import Path

from benchlore.cache import keep, recall

# Hash of the content, size, time of change in ns, number of the file.
Seal = list[str | int]
_FORM = {str: (str, int, int, int)}
_VERSION = "1"


class SiteFolder:
    """`folder` is filled; `last` is the site in whose place it will be put, or where none is yet."""

    def __init__(self, folder: Path, last: Path) -> None:
        self._folder, self._last = folder, last
        self._name = f"sites/{hashlib.sha256(os.fsencode(last.absolute())).hexdigest()[:32]}"
        known = recall(self._name, _VERSION, _FORM)
        self._seals: Mapping[str, Seal] = known[0] if known else {}

    def link(self, path: str, content: str) -> Seal | None:
        """Take a file over from the last site by the hash of its content; None where that is not possible."""
        seal = self._seals.get(path)
        if seal is None or seal[0] != content:
            return None
        target = self._folder / path
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            os.link(self._last / path, target, follow_symlinks=False)
            if _seal(content, target) == seal:
                return seal
            target.unlink()
        except (OSError, NotImplementedError):  # no such file, or a file system without links
            target.unlink(missing_ok=True)
        return None

    def put(self, path: str, data: bytes) -> Seal:
        """Put a file there; linked where it is that of the last site."""
        content = hashlib.sha256(data).hexdigest()
        seal = self.link(path, content)
        if seal is None:
            target = self._folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
            seal = _seal(content, target)
        return seal

    def remember(self, seals: Mapping[str, Seal]) -> None:
        """Keep what the folder holds, for the build after this one."""
        keep(self._name, _VERSION, seals)


def _seal(content: str, path: Path) -> Seal:
    found = path.lstat()
    return [content, found.st_size, found.st_mtime_ns, found.st_ino]
