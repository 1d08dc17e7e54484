"""The record files on disk: found, read, and asked for line and column when a finding needs them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from benchlore.book.ids import BOOK_FOLDER
from benchlore.book.model import frozen_map
from benchlore.book.pictures import MAX_BYTES as MOST_OF_A_PICTURE
from benchlore.book.pictures import is_picture
from benchlore.book.short import marks_in_full
from benchlore.book.yaml_reader import MAX_BYTES, Mark, Marks, decode, parse
from benchlore.findings import Finding, Origin, Problem, Severity


@dataclass(frozen=True, slots=True)
class Sources:
    """The texts of all record files, by name relative to the folder that holds `faults/`; and the picture
    files."""

    root: Path
    texts: Mapping[str, str]
    pictures: Mapping[str, bytes] = field(default_factory=frozen_map)

    def finding(self, rule: str, severity: Severity, problem: Problem) -> Finding:
        """The problem at its line and column, with that line as excerpt."""
        mark = self._mark(problem)
        lines = self.texts.get(problem.origin.file, "").split("\n")
        excerpt = lines[mark.line - 1].rstrip("\r") if mark.line <= len(lines) else ""
        return Finding(
            problem.origin.file,
            mark.line,
            mark.column,
            rule,
            severity,
            problem.message,
            problem.mend,
            excerpt[:200],
        )

    def _mark(self, problem: Problem) -> Mark:
        text = self.texts.get(problem.origin.file)
        if text is None:
            return Mark(1, 1)
        return nearest_mark(_marks(text), problem.origin, problem.on_key)


@lru_cache(maxsize=32)
def _marks(text: str) -> Marks:
    """The marks of a text; kept, because a file with one finding often has more."""
    return marks_in_full(parse(text)[2])


def nearest_mark(marks: Marks, origin: Origin, on_key: bool) -> Mark:
    """Where a path stands; a path that is not in the file stands where the nearest record above it does."""
    path = origin.path
    if on_key and path in marks.keys:
        return marks.keys[path]
    while path:
        if path in marks.values:
            # A record's own line is the line of its key; its value may begin a line later.
            return marks.keys[path] if on_key and path in marks.keys else marks.values[path]
        path = path[:-1]
        if path in marks.keys:
            return marks.keys[path]
    return marks.values.get((), Mark(1, 1))


@dataclass(frozen=True, slots=True)
class Listing:
    """The record files below `root/faults`, by name, and what is wrong with names and folders."""

    root: Path
    paths: Mapping[str, Path]
    findings: tuple[Finding, ...]


def list_files(root: Path) -> Listing:
    """Find every record file below `root/faults`.

    A folder that this user may not read and names that differ only in case become findings. Raises
    FileNotFoundError when there is no such folder.
    """
    folder = root / BOOK_FOLDER
    if not folder.is_dir():
        raise FileNotFoundError(f"there is no folder '{BOOK_FOLDER}' in {root}")
    paths: dict[str, Path] = {}
    findings: list[Finding] = []
    seen: dict[str, str] = {}
    closed: list[OSError] = []
    for path, name in _record_files(root, folder, closed.append):
        twin = seen.setdefault(name.lower(), name)
        if twin != name:
            message = f"the name differs from '{twin}' only in case"
            findings.append(Finding(name, 1, 1, "file-misnamed", "error", message, "rename one"))
        paths[name] = path
    findings += [_closed(Path(one.filename).relative_to(root).as_posix(), "folder", one) for one in closed]
    return Listing(root, frozen_map(paths), tuple(findings))


def read_files(root: Path, paths: Mapping[str, Path]) -> tuple[Sources, tuple[Finding, ...]]:
    """Read record files, by name.

    What cannot be a record (a link that leaves the folder, a file that this user may not read, one too large
    or not UTF-8) becomes a finding; the rest is read.
    """
    folder = root / BOOK_FOLDER
    texts: dict[str, str] = {}
    pictures: dict[str, bytes] = {}
    findings: list[Finding] = []
    for name, path in paths.items():
        try:
            if trouble := _unreadable(folder, path, is_picture(name)):
                findings.append(Finding(name, 1, 1, *trouble))
                continue
            if is_picture(name):
                with path.open("rb") as file:  # no more of it than tells that it is too large
                    pictures[name] = file.read(MOST_OF_A_PICTURE + 1)
                continue
            raw = path.read_bytes()
        except OSError as error:
            findings.append(_closed(name, "file", error))
            continue
        text, faults = decode(raw)
        findings += [
            Finding(name, f.mark.line, f.mark.column, f.rule, "error", f.message, f.mend) for f in faults
        ]
        if text or not faults:
            texts[name] = text
    return Sources(root, frozen_map(texts), frozen_map(pictures)), tuple(findings)


def _closed(name: str, what: str, error: OSError) -> Finding:
    message = f"the {what} cannot be read ({error.strerror or error}), so its records are missing"
    return Finding(
        name, 1, 1, "file-unreadable", "error", message, f"give yourself the right to read this {what}"
    )


def _record_files(root: Path, folder: Path, closed: Callable[[OSError], None]) -> Iterator[tuple[Path, str]]:
    """Every file below `folder`, sorted by name. `closed` is told of each folder that cannot be read."""
    found: list[tuple[str, Path]] = []
    for parent, folders, files in os.walk(folder, onerror=closed, followlinks=False):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        linked = [name for name in folders if (Path(parent) / name).is_symlink()]
        for name in [*linked, *files]:
            path = Path(parent) / name
            if not name.startswith(".") and not name.endswith(".md"):
                found.append((path.relative_to(root).as_posix(), path))
    for name, path in sorted(found):
        yield path, name


def _stays_inside(folder: Path, link: Path) -> bool:
    try:
        return link.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError):  # a link that leads to itself
        return False


def _unreadable(folder: Path, path: Path, picture: bool) -> tuple[str, Severity, str, str] | None:
    """Why a file is not read, as rule, severity, message and mend; None when it can be."""
    if path.is_symlink() and not _stays_inside(folder, path):
        return (
            "file-unreadable",
            "error",
            "the file is a link that leads out of the book or nowhere",
            "put the record itself here",
        )
    if path.is_symlink() and path.is_dir():
        return "file-unreadable", "error", "the folder is a link", "put the records themselves here"
    if not path.is_file():
        return "file-unreadable", "error", "this is not a file that can be read", "put a record file here"
    if picture:
        return None
    if path.suffix == ".yml":
        return "file-misnamed", "error", "record files end in '.yaml'", f"rename it to '{path.stem}.yaml'"
    if path.suffix != ".yaml":
        return (
            "file-misnamed",
            "error",
            "only record files ('.yaml') and '.md' stand here",
            "move it out of the book",
        )
    size = path.stat().st_size
    if size > MAX_BYTES:
        message = f"the file has {size:,} bytes; a record has at most {MAX_BYTES:,}"
        return "file-too-large", "error", message, "split it or take out what is not a record"
    return None
