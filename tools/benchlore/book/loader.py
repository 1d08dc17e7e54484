"""Files to book: read, parse, check the shape, build the records. Every trouble becomes a finding."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from pathlib import Path
from typing import Any

from benchlore.book import records
from benchlore.book.folder import Folder, Record
from benchlore.book.ids import COMMON, COMMON_KINDS, family_of, file_of, folder_of, kind_of
from benchlore.book.model import Book, Escalation, FamilyNames, Retired, Shop, frozen_map
from benchlore.book.pictures import look
from benchlore.book.schemas import KINDS, code
from benchlore.book.sources import Sources, list_files, read_files
from benchlore.book.work import opened
from benchlore.cache import keep, recall
from benchlore.findings import Finding, Origin

# So many findings are told of a file: who has mended these knows how to mend the others.
MOST_FINDINGS = 100
_SEVERITIES = ("error", "warning", "note")
NO_SHOP = Shop(
    origin=Origin(file_of("shop", "shop")),
    title="",
    currency="",
    labour_rate=1.0,
    default_meter="",
    unplug_minutes=1.0,
    escalate=Escalation(minutes=1.0, to=""),
)


@dataclass(frozen=True, slots=True)
class Loaded:
    """The book of all records that could be read, what is wrong with the others, and the texts."""

    book: Book
    findings: tuple[Finding, ...]
    sources: Sources

    @property
    def whole(self) -> bool:
        """True when every record was read."""
        return not self.findings


class _Kept:
    """The data of the records of one folder, by the hashes of the texts that they come from; only of files
    without a finding.

    Unless they are `believed`, all are made anew."""

    def __init__(self, folder: str, believed: bool = True) -> None:
        self._name = f"records/{folder}"
        form = {str: (str, lambda data: isinstance(data, dict), {str: {str: str}})}
        known = recall(self._name, code(), form) if believed else None
        self._known: Mapping[str, list[Any]] = known[0] if known else {}
        self._now: dict[str, list[Any]] = {}

    def get(self, file: str, text: str) -> Record | None:
        """The record of a file with this text; None where it must be read."""
        held = self._known.get(file)
        kind = kind_of(file)
        if held is None or kind is None or held[0] != _hash(text):
            return None
        self._now[file] = held
        return Record(*kind, file, held[1], True, held[2])

    def put(self, record: Record, text: str) -> None:
        """Keep what was read of a file."""
        self._now[record.file] = [_hash(text), record.data, dict(record.elsewhere)]

    def close(self) -> None:
        """Write the folder's data where they are others than before."""
        if self._now != self._known:
            keep(self._name, code(), self._now)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def load_book(root: Path, kept: bool = False) -> Loaded:
    """Read `root/faults`. Never raises for what files hold; FileNotFoundError without such a folder.

    `kept`: what was read of a file without a finding may come from the cache, and goes there.
    """
    listing = list_files(root)
    loaded = load_files(root, listing.paths, kept)
    missing = missing_files({*loaded.sources.texts, *(f.file for f in (*loaded.findings, *listing.findings))})
    return replace(loaded, findings=tuple(sorted({*loaded.findings, *listing.findings, *missing})))


def load_files(root: Path, paths: Mapping[str, Path], kept: bool = False) -> Loaded:
    """The book of these record files alone, each by its name. Never raises for what files hold."""
    sources, findings = read_files(root, paths)
    if not kept:
        return _loaded(sources, findings, None)
    with suppress(LookupError, TypeError, ValueError, AttributeError):
        return _loaded(sources, findings, _Kept)
    # Data that fit their schema give their record without fail: somebody has changed what was kept.
    return _loaded(sources, findings, partial(_Kept, believed=False))


def _loaded(
    sources: Sources, findings: Iterable[Finding], open_kept: Callable[[str], _Kept] | None
) -> Loaded:
    trouble = list(findings)
    found: list[Record] = []
    for folder, names in groupby(sources.texts, folder_of):
        known = open_kept(folder) if open_kept else None
        of_folder = Folder(sources, list(names))
        for file in of_folder.records:
            text = of_folder.text_of(file)
            record = known.get(file, text) if known else None
            if record is None:
                record, wrong = of_folder.read(file)
                trouble += wrong
                if known and record and record.fits and not wrong:
                    known.put(record, text)
            if record:
                found.append(record)
        if known:
            known.close()
    files = {*sources.texts, *sources.pictures, *(finding.file for finding in findings)}
    fitting = [record for record in found if record.fits]
    trouble += _unread_families(fitting, files)
    unread = {r.key: _names(r.data) for r in found if r.kind == "family" and not r.fits}
    book = _book(fitting, tuple(sorted(files)), unread)
    book = replace(book, pictures=frozen_map({name: look(raw) for name, raw in sources.pictures.items()}))
    return Loaded(book, tuple(sorted(set(trouble))), sources)


def capped(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The first findings of each file, sorted by place, with one that counts the rest: errors stay before
    warnings, and warnings before notes."""
    files: dict[str, list[Finding]] = {}
    for finding in findings:
        files.setdefault(finding.file, []).append(finding)
    kept: list[Finding] = []
    for file, found in files.items():
        rest = sorted(found, key=lambda one: (_SEVERITIES.index(one.severity), one))[MOST_FINDINGS:]
        if not rest:
            kept += found
            continue
        last = max(rest)
        message = f"there are {len(rest)} findings more in this file, or even more than that"
        more = Finding(
            file,
            last.line,
            1,
            "findings-left-out",
            rest[0].severity,
            message,
            "mend those above, then check again",
        )
        kept += [*(set(found) - set(rest)), more]
    return tuple(sorted(kept))


def missing_files(files: set[str]) -> list[Finding]:
    """One finding for each record file that a book with these files lacks."""
    families = {folder_of(file) for file in files if file.count("/") >= 2} - {COMMON}
    wanted = [file_of(name, name) for name in COMMON_KINDS]
    wanted += [file_of("family", family) for family in sorted(families)]
    return [
        Finding(file, 1, 1, "missing-file", "error", "the file is missing", "the book needs it")
        for file in wanted
        if file not in files
    ]


def _unread_families(found: list[Record], files: set[str]) -> Iterator[Finding]:
    """One note a family whose file is there and gave no record: its faults wait for most of their checks."""
    read = {record.key for record in found if record.kind == "family"}
    faults = Counter(family_of(record.key) for record in found if record.kind == "fault")
    for file in sorted(files):
        kind, key = kind_of(file) or ("", "")
        if kind == "family" and key not in read and faults[key]:
            count = f"{faults[key]} fault pattern{'s' if faults[key] > 1 else ''}"
            message = f"{key} has errors, so its {count} are not held to its ranges and its circuit"
            mend = "mend the errors of this file, then check again"
            yield Finding(file, 1, 1, "family-unread", "note", message, mend)


def _names(data: Mapping[str, Any]) -> FamilyNames:
    """What a family that does not fit its schema names all the same."""

    def keys(holder: Any, name: str) -> tuple[str, ...]:
        named = holder.get(name) if isinstance(holder, Mapping) else None
        return tuple(str(key) for key in named) if isinstance(named, Mapping) else ()

    # Most outcomes are those of a healthy range, and known when the family is read.
    measurements: dict[str, tuple[str, ...]] = dict.fromkeys(keys(data, "measurements"), ())
    return FamilyNames(
        revisions=keys(data, "revisions"), parts=keys(data, "parts"), outcomes=frozen_map(measurements)
    )


def _book(found: list[Record], files: tuple[str, ...], unread: dict[str, FamilyNames]) -> Book:
    read: dict[str, dict[str, Any]] = {kind: {} for kind in (*KINDS, "retired")}
    for record in found:
        built = records.read_record(record.kind, record.key, record.file, record.data, record.elsewhere)
        read["retired" if isinstance(built, Retired) else record.kind][record.key] = built
    common = {
        kind: read[kind].get(kind, frozen_map())
        for kind in ("symptoms", "hazards", "meters", "states", "words")
    }
    families = {
        key: family.with_common(common["states"], read["technique"]) for key, family in read["family"].items()
    }
    faults = {}
    for key, fault in read["fault"].items():
        family = families.get(fault.family)
        faults[key] = opened(fault.with_normal(family), family)
    return Book(
        shop=read["shop"].get("shop", NO_SHOP),
        **common,
        techniques=frozen_map(read["technique"]),
        families=frozen_map(families),
        faults=frozen_map(faults),
        retired=frozen_map(read["retired"]),
        files=files,
        unread=frozen_map(unread),
    )
