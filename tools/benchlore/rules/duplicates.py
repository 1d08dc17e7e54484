"""Records that say the same thing twice."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial
from itertools import combinations

from benchlore.book.links import faults_of_family, revisions_of, told_apart_by
from benchlore.book.model import Book, Family, Fault
from benchlore.findings import Problem
from benchlore.rules.pairs import named_and_counted
from benchlore.rules.rule import COMMON, rule
from benchlore.rules.subjects import FAMILY

Pair = tuple[str, Callable[[], Problem]]


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
    yield from named_and_counted(_near(book, family))


def _near(book: Book, family: Family) -> Iterator[Pair]:
    for one, other in combinations(faults_of_family(book, family.id), 2):
        if sorted(_words(one.title)) == sorted(_words(other.title)):
            yield other.id, partial(_same_title, one, other)
        elif _same(book, one, other) and not _reads_the_same(book, one, other):
            yield other.id, partial(_same_work, one, other)


def _same_title(one: Fault, other: Fault) -> Problem:
    message = f"the title says the same as that of '{one.name}': {one.title}"
    return Problem(other.origin.at("title"), message, "say in what they differ, or join the records")


def _same_work(one: Fault, other: Fault) -> Problem:
    message = f"'{one.name}' has the same part, fix and symptoms, and no reading tells them apart"
    return Problem(other.origin, message, "join the records, or add the measurement that differs")


def _same(book: Book, one: Fault, other: Fault) -> bool:
    return (
        one.cause.part == other.cause.part
        and one.fix.action == other.fix.action
        and set(one.symptom) == set(other.symptom)
        and bool(set(revisions_of(book, one)) & set(revisions_of(book, other)))
        and not told_apart_by(one, other)
    )


@rule("warning", each=FAMILY)
def same_fault(book: Book, family: Family) -> Iterator[Problem]:
    """Two faults of a family that blame one part differ in a reading; else they are one fault, seen twice.

    Bad:
        # faults/wren-5/rail-short.yaml
        cause:
          part: J1
        test_points:
          - {measure: sda-level, expected_reading: low}
          - {measure: sda-level-unplugged, expected_reading: healthy}
          - {measure: socket-look, expected_reading: {green: 0.5, clean: 0.5}}

    Good:
        # faults/wren-5/rail-short.yaml
        cause:
          part: C1
    """
    yield from named_and_counted(
        (other.id, partial(_seen_twice, one, other))
        for one, other in combinations(faults_of_family(book, family.id), 2)
        if _reads_the_same(book, one, other)
    )


def _seen_twice(one: Fault, other: Fault) -> Problem:
    message = f"'{one.name}' has the same part and the same readings"
    mend = f"add one to 'seen' of '{one.name}', or state the reading in which they differ"
    return Problem(other.origin, message, mend)


def _reads_the_same(book: Book, one: Fault, other: Fault) -> bool:
    def readings(fault: Fault) -> dict[str, frozenset[str]]:
        return {e.measure: frozenset(e.expected_reading) for e in fault.test_points}

    return (
        one.cause.part == other.cause.part
        and bool(set(revisions_of(book, one)) & set(revisions_of(book, other)))
        and readings(one) == readings(other)
    )


@rule("warning", each=COMMON)
def said_twice(book: Book) -> Iterator[Problem]:
    """What people say belongs to one symptom; said of two, the search cannot choose.

    Bad:
        # faults/common/symptoms.yaml
        no-picture:
          said: ["Plugged in, and nothing happens."]

    Good:
        # faults/common/symptoms.yaml
        no-picture:
          said: ["Plugged in, it beeps, and the screen stays black."]
    """
    seen: dict[tuple[str, ...], str] = {}
    for symptom in book.symptoms.values():
        phrases = [(symptom.origin.at("title"), symptom.title)]
        phrases += [(symptom.origin.at("said", i), phrase) for i, phrase in enumerate(symptom.said)]
        for origin, phrase in phrases:
            first = seen.setdefault(tuple(w for w in _words(phrase) if w != "and"), symptom.id)
            if first != symptom.id:
                message = f"'{phrase}' is what people say of '{first}' too"
                yield Problem(origin, message, "keep it where it belongs more often")
