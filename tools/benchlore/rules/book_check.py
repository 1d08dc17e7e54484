"""Check a book on disk: family by family, on all processors, and each family anew only when it changed.

What is found in a family is kept under a hash of its files, of the common records, and of all code that reads
and judges them. The rules across families judge what each family notes, and run every time.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Mapping
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import Any, get_args

from benchlore.book import Loaded
from benchlore.book.ids import COMMON, folder_of
from benchlore.book.loader import load_files, missing_files
from benchlore.book.model import Book
from benchlore.book.schemas import code
from benchlore.book.sources import Listing, Sources, list_files
from benchlore.book.yaml_reader import decode
from benchlore.cache import aside, code_of, keep, key_of, like, recall
from benchlore.findings import Finding, Origin, Severity
from benchlore.progress import Progress
from benchlore.rules.engine import (
    Examined,
    Rules,
    beside,
    check_loaded,
    common_of,
    conclude,
    examine,
    parts,
)
from benchlore.rules.waivers import Waiver
from benchlore.workers import spread

# What judges a record; what reads it is named by `code`.
_CODE = ("circuit", "diagnosis", "rules")


@dataclass(frozen=True, slots=True)
class Checked:
    """The findings of a book, sorted by place, and the names of its files, also of those not read."""

    findings: tuple[Finding, ...]
    files: frozenset[str]


def check_root(root: Path, rules: Rules, kept: bool = True, tell: Progress = lambda *_: None) -> Checked:
    """Everything there is to say about the book below `root/faults`.

    `kept`: whether what was found in a family may come from the cache, and goes there. `tell` hears how many
    families are done. Raises FileNotFoundError without such a folder.
    """
    listing = list_files(root)
    folders: dict[str, dict[str, Path]] = {COMMON: {}}
    for name, path in listing.paths.items():
        folders.setdefault(folder_of(name), {})[name] = path
    common = load_files(root, folders.pop(COMMON), kept)
    shared = _shared(common.sources.texts)
    form = _form(rules)
    known = {
        family: _unpacked(entry[0])
        for family, paths in (folders.items() if kept else ())
        if (hashes := _hashes_on_disk(paths)) is not None
        if (entry := recall(_entry(family), _key(shared, hashes), form)) is not None
    }

    def work(family: str) -> tuple[str | None, Examined]:
        own = load_files(root, folders[family], kept)
        texts, pictures = own.sources.texts, own.sources.pictures
        hashes = {**_hashes(texts), **{name: _hash(raw) for name, raw in pictures.items()}}
        key = _key(shared, hashes) if len(hashes) == len(folders[family]) else None
        with aside(not kept):
            return key, examine(beside(common, own), rules)

    waiting = [family for family in folders if family not in known]
    tell(len(known), len(folders))
    for family, (key, found) in spread(work, waiting):
        known[family] = found
        if kept and key:
            keep(_entry(family), key, _packed(found))
        tell(len(known), len(folders))
    examined = [examine(common, rules), *(known[family] for family in sorted(known))]
    return _concluded(listing, common, examined, rules)


def check_known(
    loaded: Loaded, rules: Rules, then: Callable[[Book], None] = lambda _: None
) -> tuple[Finding, ...]:
    """As `check_loaded`; what was found in a family of a book that could be read may come from the cache.

    `then` is told of each other family without an error, as a book of its own, in the process that judged it
    and still knows what its circuit foretells.
    """
    if loaded.findings:
        return check_loaded(loaded, rules)
    common, *families = parts(loaded)
    texts = loaded.sources.texts
    hashes: dict[str, dict[str, str]] = {}
    for file, text in texts.items():
        hashes.setdefault(folder_of(file), {})[file] = _hash(text.encode())
    for file, raw in loaded.sources.pictures.items():
        hashes.setdefault(folder_of(file), {})[file] = _hash(raw)
    shared = _shared({file: texts[file] for file in hashes.pop(COMMON, {})})
    keys = {family: _key(shared, own) for family, own in hashes.items()}
    waiting = dict(zip(sorted(keys), families, strict=True))
    form = _form(rules)
    known = {
        family: _unpacked(entry[0])
        for family, key in keys.items()
        if (entry := recall(_entry(family), key, form)) is not None
    }
    left = [family for family in waiting if family not in known]

    def work(family: str) -> Examined:
        found = examine(waiting[family], rules)
        if all(one.severity != "error" for one in (*found.findings, *found.absent)):
            then(waiting[family].book)
        return found

    for family, found in spread(work, left):
        known[family] = found
        keep(_entry(family), keys[family], _packed(found))
    examined = [examine(common, rules), *(known[family] for family in sorted(known))]
    return conclude(common_of(loaded.book), examined, rules, loaded.sources)


def _concluded(listing: Listing, common: Loaded, examined: list[Examined], rules: Rules) -> Checked:
    """All findings, with those of the listing and of what is missing."""
    listed = [*listing.findings]
    files = {*listing.paths, *(finding.file for finding in listed)}
    listed += missing_files(files)
    examined.append(Examined(tuple(listed), (), not listed))
    book = replace(common_of(common.book), files=tuple(sorted(files)))
    sources = Sources(listing.root, _Texts(listing.paths))
    return Checked(conclude(book, examined, rules, sources), frozenset(files))


class _Texts(Mapping[str, str]):
    """The texts of record files, each read when it is asked for: few findings need one."""

    def __init__(self, paths: Mapping[str, Path]) -> None:
        self._paths = paths

    def __getitem__(self, name: str) -> str:
        try:
            return decode(self._paths[name].read_bytes())[0]
        except OSError:
            raise KeyError(name) from None

    def __iter__(self) -> Any:
        return iter(self._paths)

    def __len__(self) -> int:
        return len(self._paths)


def _entry(family: str) -> str:
    return f"check/{family}"


def _shared(common: Mapping[str, str]) -> str:
    """A hash of what every family is judged by: the code, the schemas and the common records."""
    return key_of(code_of(*_CODE), code(), sorted(_hashes(common).items()))


def _key(shared: str, hashes: Mapping[str, str]) -> str:
    return key_of(shared, sorted(hashes.items()))


def _hashes(texts: Mapping[str, str]) -> dict[str, str]:
    return {name: _hash(text.encode()) for name, text in texts.items()}


def _hashes_on_disk(paths: Mapping[str, Path]) -> dict[str, str] | None:
    """The hash of each file; None where one is no plain file, or cannot be read: that is said every time."""
    hashes = {}
    try:
        for name, path in paths.items():
            if not stat.S_ISREG(os.lstat(path).st_mode):
                return None
            hashes[name] = _hash(path.read_bytes())
    except OSError:
        return None
    return hashes


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _packed(examined: Examined) -> list[Any]:
    waivers = [[waiver.rule, waiver.record.file, list(waiver.record.path)] for waiver in examined.waivers]
    findings = [[astuple(finding) for finding in found] for found in (examined.findings, examined.absent)]
    return [*findings, examined.read, dict(examined.seen), waivers]


def _unpacked(packed: Any) -> Examined:
    findings, absent, read, seen, waivers = packed
    return Examined(
        tuple(Finding(*one) for one in findings),
        tuple(Finding(*one) for one in absent),
        read,
        seen,
        tuple(Waiver(rule, Origin(file, tuple(path))) for rule, file, path in waivers),
    )


def _form(rules: Rules) -> Any:
    """What `_packed` gives, as the cache holds it to."""
    finding = (str, int, int, str, lambda severity: severity in get_args(Severity), str, str, str)
    notes = {rule.name: rule.notes for rule in rules.rules if rule.visit}

    def noted(seen: Any) -> bool:
        same = isinstance(seen, dict) and seen.keys() == notes.keys()
        return same and all(like(seen[name], form) for name, form in notes.items())

    return ([finding], [finding], bool, noted, [(str, str, [lambda step: isinstance(step, str | int)])])
