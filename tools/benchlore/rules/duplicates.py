"""Records that say the same thing twice."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from benchlore.book.links import faults_of_family, revisions_of
from benchlore.book.model import Book, Family, Fault
from benchlore.findings import Origin, Problem
from benchlore.rules.pairs import named_and_counted
from benchlore.rules.rule import COMMON, rule
from benchlore.rules.subjects import FAMILY


def _words(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\w+", text.casefold()))


@rule("warning", each=FAMILY)
def near_duplicate(book: Book, family: Family) -> Iterator[Problem]:
    """Two faults of a family differ in title, and in part, fix, symptoms or a reading.

    Bad:
        # faults/wren-5/line-held-low.yaml
        title: Fuse, input, open

    Good:
        # faults/wren-5/line-held-low.yaml
        title: Display board holds the data line low
    """
    faults = faults_of_family(book, family.id)
    told = [_told(book, fault) for fault in faults]

    def alike(one: int, other: int) -> bool:
        same_work = _same_work(told[one], told[other]) and not _reads_the_same(told[one], told[other])
        return told[one].title == told[other].title or same_work

    def make(one: int, other: int) -> Problem:
        titled = told[one].title == told[other].title
        return (_title_twice if titled else _work_twice)(faults[one], faults[other])

    yield from named_and_counted(told, lambda place: (told[place].title, told[place].work), alike, make)


@dataclass(frozen=True, slots=True)
class _Told:
    """What of a fault is compared. `work`: its part, action and symptoms."""

    title: tuple[str, ...]
    work: tuple[str, str, frozenset[str]]
    revisions: frozenset[str]
    readings: tuple[tuple[str, frozenset[str]], ...]


def _told(book: Book, fault: Fault) -> _Told:
    read = {measure: frozenset(shares) for measure, shares in fault.reads.items()}
    return _Told(
        tuple(sorted(_words(fault.title))),
        (fault.cause.part, fault.fix.action, frozenset(fault.symptom)),
        frozenset(revisions_of(book, fault)),
        tuple(sorted(read.items(), key=lambda item: item[0])),
    )


def _same_work(one: _Told, other: _Told) -> bool:
    """The same work on a common revision, and no measurement of both without an outcome in common."""
    theirs = dict(other.readings)
    apart = any(m in theirs and not read & theirs[m] for m, read in one.readings)
    return one.work == other.work and bool(one.revisions & other.revisions) and not apart


def _reads_the_same(one: _Told, other: _Told) -> bool:
    same = one.work[0] == other.work[0] and one.readings == other.readings
    return same and bool(one.revisions & other.revisions)


def _title_twice(one: Fault, other: Fault) -> Problem:
    message = f"the title says the same as that of '{one.name}': {one.title}"
    return Problem(other.origin.at("title"), message, "say in what they differ, or join the records")


def _work_twice(one: Fault, other: Fault) -> Problem:
    message = f"'{one.name}' has the same part, fix and symptoms, and no reading tells them apart"
    return Problem(other.origin, message, "join the records, or add the measurement that differs")


@rule("warning", each=FAMILY)
def same_fault(book: Book, family: Family) -> Iterator[Problem]:
    """Two faults of a family that blame one part differ in a reading; else they are one fault, seen twice.

    Bad:
        # faults/wren-5/rail-short.yaml
        cause:
          part: J1
          at: SDA
        test_points:
          - sda-level: low
          - sda-level-unplugged: healthy
          - socket-look: {green: 0.5, clean: 0.5}

    Good:
        # faults/wren-5/rail-short.yaml
        cause:
          part: C1
    """
    faults = faults_of_family(book, family.id)
    told = [_told(book, fault) for fault in faults]
    yield from named_and_counted(
        told,
        lambda place: (told[place].work[0],),
        lambda one, other: _reads_the_same(told[one], told[other]),
        lambda one, other: _seen_twice(faults[one], faults[other]),
    )


def _seen_twice(one: Fault, other: Fault) -> Problem:
    message = f"'{one.name}' has the same part and the same readings"
    mend = f"add one to 'seen' of '{one.name}', or state the reading in which they differ"
    return Problem(other.origin, message, mend)


@rule("warning", each=COMMON)
def said_twice(book: Book) -> Iterator[Problem]:
    """What people say belongs to one symptom, and to one entry of `words`; said of two, the search cannot
    choose.

    Bad:
        # faults/common/symptoms.yaml
        no-picture:
          said: ["Plugged in, and nothing happens."]

    Good:
        # faults/common/symptoms.yaml
        no-picture:
          said: ["Plugged in, it beeps, and the screen stays black."]
    """
    said = [
        one
        for s in book.symptoms.values()
        for one in (
            (s.id, s.origin.at("title"), s.title),
            *((s.id, s.origin.at("said", i), phrase) for i, phrase in enumerate(s.said)),
            *(
                (s.id, s.origin.at("said_in", language, i), phrase)
                for language, said in s.said_in.items()
                for i, phrase in enumerate(said)
            ),
        )
    ]
    words = [
        (w.id, w.origin.at("said", i), phrase) for w in book.words.values() for i, phrase in enumerate(w.said)
    ]
    yield from (*_of_two(said), *_of_two(words))


def _of_two(said: Iterable[tuple[str, Origin, str]]) -> Iterator[Problem]:
    """The phrases that an entry before says, too."""
    seen: dict[tuple[str, ...], str] = {}
    for name, origin, phrase in said:
        first = seen.setdefault(tuple(w for w in _words(phrase) if w != "and"), name)
        if first != name:
            message = f"'{phrase}' is what people say of '{first}' too"
            yield Problem(origin, message, "keep it where it belongs more often")
