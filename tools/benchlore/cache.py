"""Results that take long to compute, kept by the content that they come from.

A file a name in `.cache/benchlore/` beside the sources, which git ignores; installed without its sources, in
the cache folder that the system gives its user. It may be deleted at any time, shared by two runs, or
spoiled: what it holds is plain JSON behind its key and its checksum, never executed, and what does not fit is
computed again. Only regular files are read.

    first line: `benchlore-cache 1 KEY SHA256-OF-THE-REST`
    the rest:   one JSON value
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from contextvars import ContextVar
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from benchlore.filelock import FileLock

_PACKAGE = Path(__file__).resolve().parent
_SOURCES = _PACKAGE.parents[1]
_NAME = re.compile(r"[a-z0-9-]+(?:/[a-z0-9-]+)?")
_HEAD = "benchlore-cache 1"
_DRAWER = "drawer-1"
# Never wait for a pipe that somebody put in the place of a file, and never follow a link out of the folder.
_PLAIN = (
    os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
)

# All modules as they were when this process began: what somebody edits meanwhile is not what it runs.
_MODULES = {
    path.relative_to(_PACKAGE).as_posix(): hashlib.sha256(path.read_bytes()).digest()
    for path in sorted(_PACKAGE.rglob("*.py"))
}

_ASIDE: ContextVar[bool] = ContextVar("aside", default=False)


@contextmanager
def aside(wanted: bool = True) -> Iterator[None]:
    """Meanwhile nothing is kept and nothing kept is read, whoever asks; `wanted=False` changes nothing."""
    before = _ASIDE.set(wanted or _ASIDE.get())
    try:
        yield
    finally:
        _ASIDE.reset(before)


def remembered(name: str, key: str, make: Callable[[], Any], form: Any, folder: Path | None = None) -> Any:
    """The JSON value that `make` gives for `key`: read from the file `name`, or made and written there.

    `name`: lower-case words, digits and hyphens, in one folder at most (`plans/wren-5`). `form`: what `make`
    gives, as `like` has it. Processes that ask at the same time make it once. A file that cannot be read or
    written costs time only.
    """
    known = recall(name, key, form, folder)
    if known is not None:
        return known[0]
    with ExitStack() as held:
        with suppress(OSError):  # where no lock can be held, no file can be written either
            if path := _path(name, folder, ".lock"):
                held.enter_context(FileLock(path))
        known = recall(name, key, form, folder)
        if known is None:
            known = (make(),)
            keep(name, key, known[0], folder)
    return known[0]


def recall(name: str, key: str, form: Any, folder: Path | None = None) -> tuple[Any] | None:
    """What the file `name` holds for the key, in a tuple; None when it holds nothing sound for it."""
    path = _path(name, folder, ".json")
    if path is None:
        return None
    try:
        head, _, body = _bytes(path).partition(b"\n")
        if head.decode("ascii") != _head(key, body):
            return None
        value = json.loads(body)
        if not like(value, form):
            return None
    except (OSError, ValueError, RecursionError):  # not there, or cut short: as good as absent
        return None
    with suppress(OSError):
        os.utime(path)  # `trim` removes what nobody reads
    return (value,)


def keep(name: str, key: str, value: Any, folder: Path | None = None) -> None:
    """Write the value into the file `name`: the whole file, or it stays as it was."""
    path = _path(name, folder, ".json")
    if path is None:
        return
    body = json.dumps(value, separators=(",", ":")).encode()
    with suppress(OSError):  # a folder that cannot be written only costs the time to compute again
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(f"{_head(key, body)}\n".encode())
                file.write(body)
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise


class Drawer:
    """Many texts in one file, each under its own key. `close` writes those asked for, and the latest others.

    `most`: how many texts stay. Of two processes that close the same drawer the later one counts.
    """

    def __init__(self, name: str, most: int = 1000, folder: Path | None = None) -> None:
        self._name, self._most, self._folder = name, most, folder
        known = recall(name, _DRAWER, {str: (str, str)}, folder)
        self._texts: dict[str, list[str]] = known[0] if known else {}
        self._changed = False

    def get(self, item: str, key: str, make: Callable[[], str]) -> str:
        """The text that `make` gives for the key: the one in the drawer, or a new one."""
        held = self._texts.pop(item, None)
        if held is None or held[0] != key:
            held = [key, str(make())]
            self._changed = True
        self._texts[item] = held  # at the end: asked for last
        return held[1]

    def close(self) -> None:
        """Write the drawer where something in it is new."""
        if self._changed:
            keep(self._name, _DRAWER, dict(list(self._texts.items())[-self._most :]), self._folder)


def trim(most: int, folder: Path | None = None) -> None:
    """Remove the entries that were read or written the longest ago, until all have `most` bytes at most."""
    folder = folder or _usual_folder()
    found = []
    with suppress(OSError):
        for path in folder.rglob("*.json"):
            state = path.lstat()
            if stat.S_ISREG(state.st_mode):
                found.append((state.st_mtime_ns, state.st_size, path))
    room = most
    for _, size, path in sorted(found, reverse=True):
        room -= size
        if room < 0:
            with suppress(OSError):
                path.unlink()


def like(value: Any, form: Any) -> bool:
    """True when a JSON value has a form.

    A form is a type (`float` takes whole numbers too), `None`, `[form]` for a list of any length, a tuple of
    forms for a list of that length, `{str: form}` for a mapping, or a function from the value to its truth.
    """
    match form:
        case type():
            kinds = (int, float) if form is float else form
            return isinstance(value, kinds) and (form is bool or not isinstance(value, bool))
        case None:
            return value is None
        case list():
            return isinstance(value, list) and all(like(one, form[0]) for one in value)
        case tuple():
            same = isinstance(value, list) and len(value) == len(form)
            return same and all(like(*pair) for pair in zip(value, form, strict=True))
        case dict():
            (each,) = form.values()
            return isinstance(value, dict) and all(like(one, each) for one in value.values())
    return bool(form(value))


def key_of(*inputs: object) -> str:
    """A hash of the inputs, by their `repr`. Name the code that makes the result among them: `code_of`."""
    digest = hashlib.sha256()
    for one in inputs:
        digest.update(repr(one).encode())
        digest.update(b"\0")
    return digest.hexdigest()


@cache
def code_of(*names: str, packages: tuple[str, ...] = ()) -> str:
    """A hash of this Python, of modules and folders of the package (`quantity.py`, `rules`) as they were when
    the process began, and of the versions of other packages.
    Raises FileNotFoundError for a name that is none."""
    digest = hashlib.sha256(sys.version.encode())
    for package in packages:
        digest.update(f"\0{package} {version(package)}".encode())
    for name in names:
        within = "" if name == "." else f"{name}/"
        found = [module for module in _MODULES if module == name or module.startswith(within)]
        if not found:
            raise FileNotFoundError(f"no module of the package is called {name}")
        for module in found:
            digest.update(f"\0{module}\0".encode())
            digest.update(_MODULES[module])
    return digest.hexdigest()


def _head(key: str, body: bytes) -> str:
    return f"{_HEAD} {key} {hashlib.sha256(body).hexdigest()}"


def _path(name: str, folder: Path | None, ending: str) -> Path | None:
    """Where the file of a name lies; None for what is no name, and while the cache is put aside."""
    if _ASIDE.get():
        return None
    folder = folder or _usual_folder()
    return folder / f"{name}{ending}" if _NAME.fullmatch(name) else None


def _usual_folder() -> Path:
    if (_SOURCES / "pyproject.toml").is_file():
        return _SOURCES / ".cache" / "benchlore"
    return user_cache_path("benchlore", appauthor=False)


def _bytes(path: Path) -> bytes:
    """The content of a regular file. Raises OSError for anything else."""
    handle = os.open(path, _PLAIN)
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(f"{path} is no regular file")
        return file.read()
