"""A family in the making beside the book that it will belong to: what it would be, and read."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from benchlore.book.ids import fault_id, file_of
from benchlore.book.model import Book, Family, Measurement, frozen_map
from benchlore.book.records import read_record
from benchlore.book.schemas import shape_problems
from benchlore.book.yaml_reader import parse
from benchlore.circuit.foretold import foretold
from benchlore.circuit.healthy import derive
from benchlore.starter import common

_LISTS = ("hazards", "states", "symptoms")


@dataclass
class Draft:
    """What has been said so far.

    `data`: the family's record; `faults`: those to be written, by name; `taken_over`: common records of the
    package that the book lacks, by kind.
    """

    book: Book
    id: str
    data: dict[str, Any]
    faults: dict[str, dict[str, Any]] = field(default_factory=dict)
    taken_over: dict[str, list[str]] = field(default_factory=dict)

    def has(self, kind: str, name: str) -> bool:
        """Whether the book has a common record, or can take it over from the package; then it is."""
        if name in getattr(self.book, kind):
            return True
        text = common.technique(name) if kind == "techniques" else common.entries(kind).get(name)
        if text is None:
            return False
        self.taken_over.setdefault(kind, []).append(name)
        read = parse(text)[0]
        assert isinstance(read, Mapping)
        if kind == "techniques":
            made = {name: read_record("technique", name, file_of("technique", name), read)}
        else:
            made = dict(read_record(kind, kind, file_of(kind, kind), read))
        whole: Any = {kind: frozen_map({**getattr(self.book, kind), **made})}
        self.book = replace(self.book, **whole)
        for hazard in made[name].hazard if kind != "hazards" else ():
            self.has("hazards", hazard)
        return True

    def family(self) -> Family:
        """The family as far as it goes."""
        made: Family = read_record("family", self.id, file_of("family", self.id), self.data)
        return made.with_common(self.book.states, self.book.techniques)

    def whole(self) -> Book:
        """The book with the family and its faults."""
        family = self.family()
        faults = {
            f"{self.id}/{name}": read_record(
                "fault", fault_id(self.id, name), file_of("fault", fault_id(self.id, name)), one
            )
            for name, one in self.faults.items()
        }
        return replace(
            self.book,
            families=frozen_map({**self.book.families, self.id: family}),
            faults=frozen_map({**self.book.faults, **faults}),
        )

    def wrong(self, *path: str) -> str:
        """The first thing wrong with the form of the family below `path`; or nothing."""
        for _, problem in shape_problems("family", "family", self.data):
            if problem.origin.path[: len(path)] == path:
                return "; ".join(filter(None, (problem.message, problem.mend)))
        return ""

    def healthy_range(self, measurement: Measurement) -> tuple[float, float] | None:
        """What the circuit says that the healthy board reads there, worst case; None where it does not."""
        derived = derive(self.whole(), self.family(), measurement)
        if derived is None or derived.down or not math.isfinite(derived.worst.high):
            return None
        return derived.worst.low, derived.worst.high

    def foretold(self, name: str) -> Mapping[str, Mapping[str, float]]:
        """What each measurement reads with a fault of the draft, by the circuit: shares of outcomes."""
        book = self.whole()
        return foretold(book, book.families[self.id]).get(f"{self.id}/{name}", {})

    def designators(self) -> Iterator[str]:
        """The parts that the nets name, in order, each once."""
        named = (
            element["part"]
            for net in self.data["nets"].values()
            for element in _elements(net)
            if "part" in element
        )
        return iter(dict.fromkeys(named))

    def common_texts(self, present: Mapping[str, str]) -> Mapping[str, str]:
        """The files of `common/` with what was taken over behind what they hold. `present`: the texts now."""
        texts: dict[str, str] = {}
        for kind in _LISTS:
            if self.taken_over.get(kind):
                file = file_of(kind, kind)
                known = common.entries(kind)
                added = "\n".join(known[name].rstrip("\n") + "\n" for name in self.taken_over[kind])
                texts[file] = f"{present[file].rstrip()}\n\n{added}"
        for name in self.taken_over.get("techniques", ()):
            texts[file_of("technique", name)] = common.technique(name) or ""
        return texts


def _elements(net: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    for value in net.values():
        yield from (
            one for one in (value if isinstance(value, list) else [value]) if isinstance(one, Mapping)
        )
