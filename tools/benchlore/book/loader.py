"""Files to book: read, parse, check the shape, build the records. Every trouble becomes a finding."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from benchlore.book import records
from benchlore.book.model import Book, Escalation, FamilyNames, Retired, Shop, frozen_map
from benchlore.book.schemas import KINDS, MAX_ID, MOST_ERRORS, shape_problems
from benchlore.book.sources import Sources, list_files, nearest_mark, read_files
from benchlore.book.yaml_reader import Data, Marks, parse
from benchlore.findings import Finding, Origin

# So many findings are told of a file: who has mended these knows how to mend the others.
MOST_FINDINGS = 100
_SEVERITIES = ("error", "warning", "note")
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_COMMON = ("shop", "symptoms", "hazards", "meters", "states")
NO_SHOP = Shop(
    origin=Origin("faults/common/shop.yaml"),
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


@dataclass(frozen=True, slots=True)
class _Record:
    """A record file as parsed; `fits`: it has the shape of its kind."""

    kind: str
    key: str
    file: str
    data: Mapping[str, Any]
    fits: bool


def load_book(root: Path) -> Loaded:
    """Read `root/faults`. Never raises for what files hold; FileNotFoundError without such a folder."""
    listing = list_files(root)
    loaded = load_files(root, listing.paths)
    missing = missing_files({*loaded.sources.texts, *(f.file for f in (*loaded.findings, *listing.findings))})
    return replace(loaded, findings=tuple(sorted({*loaded.findings, *listing.findings, *missing})))


def load_files(root: Path, paths: Mapping[str, Path]) -> Loaded:
    """The book of these record files alone, each by its name. Never raises for what files hold."""
    sources, findings = read_files(root, paths)
    trouble = list(findings)
    found: list[_Record] = []
    for file in sources.texts:
        record, wrong = _read(sources, file)
        trouble += wrong
        if record:
            found.append(record)
    files = {*sources.texts, *(finding.file for finding in findings)}
    fitting = [record for record in found if record.fits]
    trouble += _unread_families(fitting, files)
    unread = {r.key: _names(r.data) for r in found if r.kind == "family" and not r.fits}
    book = _book(fitting, tuple(sorted(files)), unread)
    return Loaded(book, tuple(sorted(set(trouble))), sources)


def kind_of(file: str) -> tuple[str, str] | None:
    """Record kind and id by path (`faults/petrel-13/x.yaml` -> fault, `petrel-13/x`), or None."""
    match file.removesuffix(".yaml").split("/"):
        case ["faults", "common", name] if name in _COMMON:
            return name, name
        case ["faults", "common", "techniques", name] if _SLUG.fullmatch(name):
            return "technique", name
        case ["faults", family, "family"] if _SLUG.fullmatch(family) and family != "common":
            return "family", family
        case ["faults", family, name] if (
            _SLUG.fullmatch(family) and _SLUG.fullmatch(name) and family != "common"
        ):
            return "fault", f"{family}/{name}"
    return None


def _read(sources: Sources, file: str) -> tuple[_Record | None, list[Finding]]:
    text = sources.texts[file]
    lines = text.split("\n")

    def at(rule: str, line: int, column: int, message: str, mend: str) -> Finding:
        excerpt = lines[line - 1].rstrip("\r")[:200] if line <= len(lines) else ""
        return Finding(file, line, column, rule, "error", message, mend, excerpt)

    kind = kind_of(file)
    if kind is None:
        message = "the path names no record kind"
        mend = "use lower-case words joined by hyphens: faults/FAMILY/NAME.yaml, or a file of faults/common/"
        return None, [at("file-name", 1, 1, message, mend)]
    if any(len(part) > MAX_ID for part in kind[1].split("/")):
        message = f"the name of a record or a family has at most {MAX_ID} characters"
        return None, [at("file-name", 1, 1, message, "shorten it")]
    data, faults, marks = parse(text)
    found = [at(f.rule, f.mark.line, f.mark.column, f.message, f.mend) for f in faults[:MOST_ERRORS]]
    if data is None:
        return None, found
    shape = _shape_findings(kind[0], file, data, marks, at)
    record = _Record(*kind, file, data, not shape) if isinstance(data, Mapping) else None
    return record, found + shape


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
            "file-findings",
            rest[0].severity,
            message,
            "mend those above, then check again",
        )
        kept += [*(set(found) - set(rest)), more]
    return tuple(sorted(kept))


def _shape_findings(kind: str, file: str, data: Data, marks: Marks, at: Any) -> list[Finding]:
    findings: list[Finding] = []
    for rule, problem in shape_problems(kind, file, data):
        mark = nearest_mark(marks, problem.origin, problem.on_key)
        findings.append(at(rule, mark.line, mark.column, problem.message, problem.mend))
    return findings


def missing_files(files: set[str]) -> list[Finding]:
    """One finding for each record file that a book with these files lacks."""
    families = {parts[1] for parts in (file.split("/") for file in files) if len(parts) == 3} - {"common"}
    wanted = [f"faults/common/{name}.yaml" for name in _COMMON]
    wanted += [f"faults/{family}/family.yaml" for family in sorted(families)]
    return [
        Finding(file, 1, 1, "missing-file", "error", "the file is missing", "the book needs it")
        for file in wanted
        if file not in files
    ]


def _unread_families(found: list[_Record], files: set[str]) -> Iterator[Finding]:
    """One note a family whose file is there and gave no record: its faults wait for most of their checks."""
    read = {record.key for record in found if record.kind == "family"}
    faults = Counter(record.key.split("/")[0] for record in found if record.kind == "fault")
    for file in sorted(files):
        kind, key = kind_of(file) or ("", "")
        if kind == "family" and key not in read and faults[key]:
            count = f"{faults[key]} fault pattern{'s' if faults[key] > 1 else ''}"
            message = f"{key} has errors, so its {count} are not held to its ranges and its circuit"
            mend = "mend the errors of this file, then check again"
            yield Finding(file, 1, 1, "file-unread", "note", message, mend)


def _names(data: Mapping[str, Any]) -> FamilyNames:
    """What a family that does not fit its schema names all the same."""

    def keys(holder: Any, name: str) -> tuple[str, ...]:
        named = holder.get(name) if isinstance(holder, Mapping) else None
        return tuple(str(key) for key in named) if isinstance(named, Mapping) else ()

    measurements = {name: keys(data["measurements"][name], "outcomes") for name in keys(data, "measurements")}
    return FamilyNames(
        revisions=keys(data, "revisions"), parts=keys(data, "parts"), outcomes=frozen_map(measurements)
    )


def _book(found: list[_Record], files: tuple[str, ...], unread: dict[str, FamilyNames]) -> Book:
    read: dict[str, dict[str, Any]] = {kind: {} for kind in (*KINDS, "retired")}
    for record in found:
        built = records.read_record(record.kind, record.key, record.file, record.data)
        read["retired" if isinstance(built, Retired) else record.kind][record.key] = built
    return Book(
        shop=read["shop"].get("shop", NO_SHOP),
        **{kind: read[kind].get(kind, frozen_map()) for kind in ("symptoms", "hazards", "meters", "states")},
        techniques=frozen_map(read["technique"]),
        families=frozen_map(read["family"]),
        faults=frozen_map(read["fault"]),
        retired=frozen_map(read["retired"]),
        files=files,
        unread=frozen_map(unread),
    )
