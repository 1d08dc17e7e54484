"""What `rank` and `plan` share: the case they are asked about, its refusals, the cautions of the work."""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from benchlore.book import Loaded
from benchlore.book.ids import COMMON, folder_of
from benchlore.book.links import by_severity, hazards_of_fault, hazards_of_measurement, of_family
from benchlore.book.model import Book
from benchlore.circuit.calculators import FIRST
from benchlore.commands.options import UsageError, add_root, open_book
from benchlore.diagnosis.case import Case, CaseError, make_case
from benchlore.diagnosis.conflict import Contradiction
from benchlore.diagnosis.posterior import Evidence, evidence
from benchlore.diagnosis.reading import Reading, ReadingError, read
from benchlore.diagnosis.suspects import hazards_of_suspect
from benchlore.findings import Finding
from benchlore.rules import RULES, diagnosis, rules_of
from benchlore.rules.engine import Rules, check_loaded

WIDTH = 100
# What the sums rest on. That the records single a fault out is judged by rules that take a second, and the
# answer shows it itself.
_SOUND = Rules(tuple(rule for rule in RULES if rule.severity == "error" and rule not in rules_of(diagnosis)))


def add_case(parser: argparse.ArgumentParser) -> None:
    """Declare `--revision`, `--meter`, `--format` and `--root`."""
    parser.add_argument(
        "--revision", metavar="R", help="revision of the board (default: any; then every fault counts)"
    )
    parser.add_argument("--meter", metavar="ID", help="the meter that reads (default: the shop's own)")
    parser.add_argument("--format", choices=("json", "text"), default="text", help="form (default: text)")
    add_root(parser)


def add_readings(parser: argparse.ArgumentParser) -> None:
    """Declare `--reading`."""
    parser.add_argument(
        "--reading",
        metavar="M=VALUE",
        nargs="+",
        action="extend",
        default=[],
        help="a measurement and what the meter shows ('main-rail-pack-out=7.92 V', 'x=OL') or what is seen; "
        "in the order taken, and once more where it was measured again",
    )


def reading_of(book: Book, case: Case, text: str) -> Reading:
    """A reading as typed. Raises CaseError for an unknown measurement, ReadingError for no reading."""
    measure, equals, typed = text.partition("=")
    measure = measure.strip()
    if not equals:
        raise ReadingError(
            f"--reading: '{text}' is not a measurement with its reading",
            "write it as MEASUREMENT=VALUE, in quotes where it holds a blank",
        )
    evidence(case, (), [Reading(measure, typed)])
    measurement = book.families[case.family].measurements[measure]
    try:
        return read(measurement, book.meters[case.meter], typed)
    except ReadingError as error:
        raise ReadingError(f"--reading {measure}: {error.reason}", error.mend) from error


def contradiction_lines(known: Evidence, found: Iterable[Contradiction]) -> Iterator[str]:
    """The entries that contradict each other, and which to measure again, in lines that fit."""
    typed = {reading.measure: reading.typed for reading in known.readings}
    for one in found:
        named = f"{one.one}={typed[one.one]} and {one.other}={typed[one.other]}"
        then = (
            "Each was read twice, or is barred now: the board changed in between, or a point or a set-up is "
            "another one."
        )
        if one.again:
            then = f"Measure {' or '.join(one.again)} again before anything else."
        said = f"Two entries contradict each other: {named}. {then}"
        yield textwrap.fill(said, WIDTH, break_on_hyphens=False)


def open_case(args: argparse.Namespace) -> tuple[Book, Case]:
    """The book and the case that was asked for. Raises CaseError for names that the book lacks.

    Says on the error stream how many records could not be read: their faults are not among the answers. And
    it says what the rules refuse in the records that the answer comes from: the answer may be wrong.
    """
    loaded = open_book(args)
    unread = sorted({finding.file for finding in loaded.findings if finding.severity == "error"})
    if unread:
        files = f"{len(unread)} record file{'s' if len(unread) > 1 else ''}"
        print(
            f"benchlore: {files} with errors, left out in whole or in part ({', '.join(unread)}); "
            "'benchlore check' says why",
            file=sys.stderr,
        )
    if refused := _refused(loaded, args.family):
        errors = f"{len(refused)} error{'s' if len(refused) > 1 else ''}"
        files = ", ".join(sorted({finding.file for finding in refused}))
        print(
            f"benchlore: {errors} in the records that this answer comes from ({files}); do not trust it: "
            "'benchlore check' says what to mend",
            file=sys.stderr,
        )
    return loaded.book, make_case(loaded.book, args.family, args.revision, args.meter)


def _refused(loaded: Loaded, family: str) -> list[Finding]:
    """The errors of the family and of what all share, but those of records that were not read at all."""
    read = replace(loaded, findings=())
    return [
        finding
        for finding in check_loaded(read, _SOUND)
        if finding.severity == "error" and folder_of(finding.file) in (COMMON, family)
    ]


def refusing(run: Callable[[argparse.Namespace], int]) -> Callable[[argparse.Namespace], int]:
    """The command; names that the book lacks and readings that it cannot take are refused, with the mend.

    So is a book whose errors leave nothing to work out.
    """

    def command(args: argparse.Namespace) -> int:
        try:
            return run(args)
        except (CaseError, ReadingError) as error:
            raise UsageError(str(error)) from error
        except (ArithmeticError, AssertionError, LookupError, TypeError, ValueError) as error:
            if not _refused(open_book(args), args.family):
                raise
            raise UsageError(
                "nothing can be worked out from records with errors; 'benchlore check' says what to mend"
            ) from error

    return command


def say_unshown(book: Book, case: Case, symptoms: Iterable[str]) -> None:
    """Say on the error stream which symptoms no fault of the case shows: the answer can only guess there."""
    for name in symptoms:
        if not any(name in book.faults[fault].symptom for fault in case.faults[: case.recorded]):
            where = f"{case.family}, revision {case.revision}," if case.revision else case.family
            print(
                f"benchlore: no fault of {where} shows '{name}'; what follows guesses from the others",
                file=sys.stderr,
            )


def hazards_of_step(book: Book, case: Case, kind: str, id_: str) -> tuple[str, ...]:
    """The hazards of a step, most serious first; none of escalation."""
    if kind == "measure":
        family = book.families[case.family]
        return hazards_of_measurement(book, family, family.measurements[id_])
    if id_ in case.suspects:
        return hazards_of_suspect(book, book.families[case.family], case.suspects[id_])
    return hazards_of_fault(book, book.faults[id_]) if kind == "fix" else ()


def hazards_of_symptoms(book: Book, case: Case, symptoms: Iterable[str]) -> tuple[str, ...]:
    """What the symptoms themselves bring to this board, whatever the next step is; most serious first."""
    named = [hazard for name in symptoms for hazard in book.symptoms[name].hazard]
    return of_family(book, book.families[case.family], named)


def title_of(book: Book, case: Case, id_: str) -> str:
    """The title of a fault or a suspect."""
    return case.suspects[id_].title if id_ in case.suspects else book.faults[id_].title


def work_of(case: Case, id_: str) -> str:
    """What a fix does, in a word: mend what is recorded, find or reflow what is suspected, try what is
    plugged in.
    """
    if id_ not in case.suspects:
        return "fix"
    suspect = case.suspects[id_]
    return "try" if suspect.outside else "reflow" if suspect.reflowed else "find"


def caution_lines(book: Book, hazards: Iterable[str]) -> list[str]:
    """What can hurt in this work and how to avoid it, as text under its signal words."""
    met = (book.hazards[name] for name in by_severity(book, hazards))
    said = (f"{hazard.signal.upper()}: {hazard.title}. {' '.join(hazard.avoid[:2])}" for hazard in met)
    return ["CAUTION", _bullet(FIRST), *map(_bullet, said)]


def _bullet(text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent="  - ", subsequent_indent="    ")


def board(book: Book, case: Case) -> str:
    """`Petrel 13, revision B, read with: Hand-held meter, 3 1/2 digits`."""
    revision = f"revision {case.revision}" if case.revision else "any revision"
    return f"{book.families[case.family].title}, {revision}, read with: {book.meters[case.meter].title}"


def print_json(value: Mapping[str, Any]) -> None:
    """Print an answer as JSON."""
    print(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))
