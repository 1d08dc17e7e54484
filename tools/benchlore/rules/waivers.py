"""Waivers: a record names a rule and the reason why its finding is right as it stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from benchlore.book.model import Book
from benchlore.findings import Origin, Problem, nearest
from benchlore.rules.rule import Kind, rule


@dataclass(frozen=True, slots=True)
class Waiver:
    """A waived rule, and the record (file and keys) whose findings it silences."""

    rule: str
    record: Origin

    @property
    def origin(self) -> Origin:
        """Where the waiver itself stands."""
        return self.record.at("waive", self.rule)

    def covers(self, origin: Origin) -> bool:
        """True when a problem at `origin` lies within the record; a family may have several files."""
        within = origin.file.startswith(f"{self.record.file.removesuffix('.yaml')}/")
        same = origin.file == self.record.file or (within and not self.record.path)
        return same and origin.path[: len(self.record.path)] == self.record.path


@dataclass(frozen=True, slots=True)
class Review:
    """After a run: the waivers that were `used`, the rules that can be waived, and those that cannot."""

    used: frozenset[Waiver]
    waivable: frozenset[str]
    refused: frozenset[str]


# What the rules of this module are asked of: each waiver, after all other rules of its record have run.
WAIVER = Kind({"waiver": "Waiver", "review": "Review"})


def waivers_of(book: Book) -> tuple[Waiver, ...]:
    """Every waiver of the faults, the families and their measurements; the narrowest records first."""
    families = book.families.values()
    places = [(m.origin, m.waive) for family in families for m in family.measurements.values()]
    places += [(fault.origin, fault.waive) for fault in book.faults.values()]
    places += [(family.origin, family.waive) for family in families]
    return tuple(Waiver(rule, origin) for origin, waived in places for rule in waived)


def silencing(waivers: Iterable[Waiver], rule: str, origin: Origin) -> Waiver | None:
    """The first waiver that silences a problem of `rule` at `origin`."""
    return next((w for w in waivers if w.rule == rule and w.covers(origin)), None)


@rule(each=WAIVER, waivable=False)
def unknown_rule(waiver: Waiver, review: Review) -> Iterator[Problem]:
    """A waiver names a rule that exists; `benchlore rules` lists them.

    Bad:
        # faults/wren-5/fuse-open.yaml
        waive:
          confirm-nothing: The rail is the only thing to look at.

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          minutes: 8
    """
    if waiver.rule not in review.waivable | review.refused:
        mend = nearest(waiver.rule, review.waivable) or "'benchlore rules' lists the rules"
        yield Problem(waiver.origin, f"'{waiver.rule}' is not a rule", mend, on_key=True)


@rule(each=WAIVER, waivable=False, whole=True)
def unused_waiver(waiver: Waiver, review: Review) -> Iterator[Problem]:
    """A waiver silences at least one finding of its record; one that no longer does is taken out.

    Bad:
        # faults/wren-5/fuse-open.yaml
        waive:
          confirm-proves-nothing: It did when this was written.

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          minutes: 8
    """
    if waiver.rule in review.waivable and waiver not in review.used:
        message = f"there is no finding of '{waiver.rule}' in this record to waive"
        yield Problem(waiver.origin, message, "take the waiver out", on_key=True)


@rule(each=WAIVER, waivable=False)
def refused_waiver(waiver: Waiver, review: Review) -> Iterator[Problem]:
    """Some findings cannot be waived: no page can be made from a record whose names lead nowhere.

    Bad:
        # faults/wren-5/fuse-open.yaml
        waive:
          unknown-part: The part is known elsewhere.

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          part: F1
    """
    if waiver.rule in review.refused:
        mend = "mend the record and take the waiver out"
        yield Problem(waiver.origin, f"'{waiver.rule}' cannot be waived", mend, on_key=True)
