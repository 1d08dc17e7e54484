"""The records of one folder, from their files: parsed, put in full, and held to their schema."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from benchlore.book.ids import family_of, file_of, kind_of
from benchlore.book.merge import LIKE, Merged, family_of_files, fault_like
from benchlore.book.model import frozen_map
from benchlore.book.schemas import MAX_ID, MOST_ERRORS, shape_problems
from benchlore.book.short import in_full, marks_in_full, wrong_cause
from benchlore.book.sources import Sources, nearest_mark
from benchlore.book.yaml_reader import Data, Mark, Marks, parse
from benchlore.findings import Finding, Origin, Path

# A fault pattern that takes over another one's data.
_IS_LIKE = re.compile(rf"^[\"']?{LIKE}[\"']?\s*:", re.MULTILINE)
_NO_ACTION = "no step has a verb that says it, such as 'replace: F1'; add one, or 'action:'"


@dataclass(frozen=True, slots=True)
class Record:
    """A record as parsed and in full; `fits`: it has the shape of its kind.

    `elsewhere`: its entries that stand in other files, by section and name.
    """

    kind: str
    key: str
    file: str
    data: Mapping[str, Any]
    fits: bool
    elsewhere: Mapping[str, Mapping[str, str]] = field(default_factory=frozen_map)


class Folder:
    """The files of one folder, each parsed once: a record may take its data from several.

    `records`: those that hold a record of their own, or none that a record takes.
    """

    def __init__(self, sources: Sources, files: Sequence[str]) -> None:
        self._texts = {file: sources.texts[file] for file in files}
        self._parsed: dict[str, tuple[Data, list[Finding], Marks]] = {}
        self._parts = [file for file in files if (kind_of(file) or ("",))[0] == "subsystem"]
        whole = {file_of("family", family_of((kind_of(file) or ("", ""))[1])) for file in self._parts}
        # What nobody takes is read by itself, so that its own mistakes are found.
        self.records = [file for file in files if file not in self._parts or not whole & self._texts.keys()]

    def text_of(self, file: str) -> str:
        """All that a record comes from."""
        kind = (kind_of(file) or ("",))[0]
        if kind == "family" and self._parts:
            return "\0".join(self._texts[one] for one in (file, *self._parts))
        if kind == "fault" and _IS_LIKE.search(self._texts[file]):
            return "\0".join(self._texts.values())
        return self._texts[file]

    def read(self, file: str) -> tuple[Record | None, list[Finding]]:
        """The record of a file, and all that is wrong with what it comes from."""
        kind = kind_of(file)
        if kind is None:
            message = "the path names no record kind"
            mend = "use lower-case words joined by hyphens: faults/FAMILY/NAME.yaml, or a file of common/"
            return None, [self._at(file, "file-misnamed", Mark(1, 1), message, mend)]
        if any(len(part) > MAX_ID for part in kind[1].split("/")):
            message = f"the name of a record or a family has at most {MAX_ID} characters"
            return None, [self._at(file, "file-misnamed", Mark(1, 1), message, "shorten it")]
        data, found, _ = self._parse(file)
        if kind[0] == "subsystem":
            return None, [*found, *(self._shape("subsystem", file, data)[0] if data is not None else ())]
        others, trouble, whole = self._others() if kind[0] == "family" else ({}, [], True)
        found = [*found, *trouble]
        if data is None:
            return None, found
        if not isinstance(data, Mapping):
            return None, [*found, *self._shape(kind[0], file, data)[0]]
        merged = Merged(data)
        if kind[0] == "family":
            merged = family_of_files(file, data, others)
        elif kind[0] == "fault" and LIKE in data:
            merged = fault_like(file, data, self._fault, self._faults() - {kind[1]})
        found += [
            self._at(p.origin.file, rule, self._mark(p.origin, p.on_key), p.message, p.mend)
            for rule, p in merged.problems
        ]
        wrong, shaped = self._shape(kind[0], file, merged.data, merged, data)
        fits = shaped and whole and merged.whole and not merged.lacks
        full = merged.data
        if kind[0] == "fault" and fits:
            full = in_full(full)
            rule, message, mend = wrong_cause(full, data)
            if rule:
                mark = self._mark(Origin(file, ("cause",)), True)
                wrong.append(self._at(file, rule, mark, message, mend))
                fits = False
            if "fix" in full and "action" not in full["fix"]:
                mark, lacks = self._mark(Origin(file, ("fix",)), True), "the field 'action' is missing"
                wrong.append(self._at(file, "missing-field", mark, lacks, _NO_ACTION))
                fits = False
        record = Record(*kind, file, full, fits, frozen_map(merged.elsewhere))
        return record, [*found, *wrong]

    def _others(self) -> tuple[dict[str, Mapping[str, Any]], list[Finding], bool]:
        """The data of a family's other files, what is wrong with them, and whether all can be believed."""
        others: dict[str, Mapping[str, Any]] = {}
        trouble: list[Finding] = []
        for other in self._parts:
            data, found, _ = self._parse(other)
            trouble += found
            if data is not None:
                trouble += self._shape("subsystem", other, data)[0]
            if isinstance(data, Mapping):
                others[other] = data
        return others, trouble, not trouble

    def _faults(self) -> set[str]:
        kinds = (kind_of(file) for file in self._texts)
        return {key for kind, key in (one or ("", "") for one in kinds) if kind == "fault"}

    def _fault(self, key: str) -> Mapping[str, Any] | None:
        """The data of a fault pattern that is in use, by its id."""
        file = file_of("fault", key)
        data = self._parse(file)[0] if file in self._texts else None
        return data if isinstance(data, Mapping) and data.keys().isdisjoint({"moved_to", "retired"}) else None

    def _parse(self, file: str) -> tuple[Data, list[Finding], Marks]:
        if file not in self._parsed:
            data, faults, marks = parse(self._texts[file])
            marks = marks_in_full(marks)
            found = [self._at(file, f.rule, f.mark, f.message, f.mend) for f in faults[:MOST_ERRORS]]
            self._parsed[file] = data, found, marks
        return self._parsed[file]

    def _at(self, file: str, rule: str, mark: Mark, message: str, mend: str) -> Finding:
        lines = self._texts[file].split("\n")
        excerpt = lines[mark.line - 1].rstrip("\r")[:200] if mark.line <= len(lines) else ""
        return Finding(file, mark.line, mark.column, rule, "error", message, mend, excerpt)

    def _mark(self, origin: Origin, on_key: bool) -> Mark:
        return nearest_mark(self._parse(origin.file)[2], origin, on_key)

    def _shape(
        self, kind: str, file: str, data: object, merged: Merged | None = None, stated: Data = None
    ) -> tuple[list[Finding], bool]:
        """Where data depart from their schema, and whether they fit it.

        Of what is `merged`, a mistake is named where it was made: in what the record itself has `stated`, or
        in what it lacks."""
        findings = []
        problems = list(shape_problems(kind, file, data))
        for rule, problem in problems:
            path = problem.origin.path
            # What a record lacks may stand in the one that it is like, as soon as that is found.
            lacks = rule == "missing-field"
            taken = merged and (
                merged.file_of(path, file) != file
                or (lacks and not merged.whole)
                or not (lacks or _stands(stated, path))
            )
            if not taken:
                mark = self._mark(problem.origin, problem.on_key)
                findings.append(self._at(file, rule, mark, problem.message, problem.mend))
        return findings, not problems


def _stands(stated: Data, path: Path) -> bool:
    """True where what lies at a path is in what a record itself states, not only in what it took over."""
    at: Any = stated
    for step in path:
        try:
            at = at[step]
        except (KeyError, IndexError, TypeError):
            return not isinstance(at, Mapping)
    return True
