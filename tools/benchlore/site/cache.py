"""Results that take seconds to compute, kept by the content that they come from.

A file a name in `.cache/benchlore/` beside the sources; git ignores it. It may be deleted at any time: what
it holds is computed again. Installed without its sources, the package keeps nothing. Two builds at a time
compute a result once: the second waits for the first.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Callable
from contextlib import ExitStack, suppress
from functools import cache
from pathlib import Path
from typing import Any

import benchlore.diagnosis
from benchlore.filelock import FileLock

_SOURCES = Path(__file__).resolve().parents[3]
_NAME = re.compile(r"[a-z0-9-]+")
_WRITERS = ("calibration.py", "plans.py")


def remembered(name: str, key: str, make: Callable[[], Any], folder: Path | None = None) -> Any:
    """The JSON value that `make` gives for `key`: read from the file `name`, or made and written there.

    `folder`: where the files lie, if not in the usual place. A file that cannot be read or written costs time
    only.
    """
    folder = folder or _folder()
    if folder is None or not _NAME.fullmatch(name):
        return make()
    path = folder / f"{name}.json"
    known = _known(path, key)
    if known is None:
        with ExitStack() as held:
            with suppress(OSError):  # where no lock can be held, no file can be written either
                held.enter_context(FileLock(folder / f"{name}.lock"))
            known = _known(path, key)
            if known is None:
                known = (make(),)
                _write(path, {"key": key, "value": known[0]})
    return known[0]


def key_of(*inputs: object) -> str:
    """A hash of the inputs, by their `repr`, and of the code that makes the results."""
    digest = hashlib.sha256(_code().encode())
    for one in inputs:
        digest.update(repr(one).encode())
        digest.update(b"\0")
    return digest.hexdigest()


def _folder() -> Path | None:
    return _SOURCES / ".cache" / "benchlore" if (_SOURCES / "pyproject.toml").is_file() else None


@cache
def _code() -> str:
    """A hash of the modules of diagnosis, and of those that write the results."""
    digest = hashlib.sha256()
    made = sorted(Path(benchlore.diagnosis.__file__).parent.glob("*.py"))
    for path in (*made, *(Path(__file__).with_name(name) for name in _WRITERS)):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _known(path: Path, key: str) -> tuple[Any] | None:
    """What the file holds for the key; None when it holds nothing for it."""
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):  # not there, or cut short: as good as absent
        return None
    fits = isinstance(held, dict) and held.get("key") == key and "value" in held
    return (held["value"],) if fits else None


def _write(path: Path, value: Any) -> None:
    """Write the whole file or leave it as it was."""
    with suppress(OSError):  # a folder that cannot be written only costs the time to compute again
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(value, file, separators=(",", ":"))
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
