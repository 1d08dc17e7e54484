"""`benchlore rank`: what the readings say, how likely each fault is, and what to do next."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from math import fsum
from typing import Any

from benchlore.book.model import Book, Family
from benchlore.commands.cases import (
    WIDTH,
    add_case,
    add_readings,
    board,
    caution_lines,
    contradiction_lines,
    hazards_of_step,
    hazards_of_symptoms,
    open_case,
    print_json,
    reading_of,
    refusing,
    say_unshown,
    title_of,
    work_of,
)
from benchlore.diagnosis.case import Case
from benchlore.diagnosis.posterior import Evidence, evidence
from benchlore.diagnosis.rank import Action, Ranking, rank
from benchlore.diagnosis.verdict import Verdict

_SHOWN = 0.005  # probability from which a fault gets a line of its own
_BAR = 20
_ACTIONS = 5


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "rank",
        help="how likely each fault is",
        description="From the symptoms and the readings taken so far: what each reading means on this meter, "
        "how likely each fault is, and what to do next for the least expected minutes.",
    )
    parser.add_argument("family", metavar="FAMILY", help="a board family, such as petrel-13")
    parser.add_argument(
        "--symptom",
        metavar="S",
        nargs="+",
        action="extend",
        default=[],
        help="what the device does, such as pack-not-seen; several may follow; without one, it goes down the "
        "rails",
    )
    add_readings(parser)
    add_case(parser)
    parser.set_defaults(run=refusing(run))


def run(args: argparse.Namespace) -> int:
    """Rank, print, and return the exit code."""
    book, case = open_case(args)
    known = evidence(case, args.symptom, [reading_of(book, case, text) for text in args.reading])
    say_unshown(book, case, known.symptoms)
    found = rank(book, case, known)
    if args.format == "json":
        print_json(as_json(book, case, known, found))
    else:
        print("\n".join(_lines(book, case, known, found)))
    return 0


def as_json(book: Book, case: Case, known: Evidence, found: Ranking) -> dict[str, Any]:
    """The answer after `schema/rank.schema.json`."""
    return {
        "format": 2,
        "family": case.family,
        "revision": case.revision,
        "meter": case.meter,
        "symptoms": list(known.symptoms),
        "readings": [_verdict_json(case, one) for one in found.verdicts],
        "faults": [
            {
                "id": one.id,
                "title": title_of(book, case, one.id),
                "recorded": one.id not in case.suspects,
                "probability": one.probability,
            }
            for one in found.faults
        ],
        "not_in_book": found.not_in_book,
        "whose": dict(found.whose),
        "explained": found.explained,
        "clashes": list(found.clashes),
        "contradictions": [
            {"readings": [one.one, one.other], "measure_again": list(one.again)}
            for one in found.contradictions
        ],
        "both": [{"faults": list(one.faults), "probability": one.probability} for one in found.both],
        "interlocks": [
            {
                "measurement": one.measure,
                "outcome": one.outcome,
                "states": list(one.lock.states),
                "why": one.lock.why,
                "clears": list(one.lock.clears),
            }
            for one in found.interlocks
        ],
        "next": [
            {
                "kind": action.kind,
                "id": action.id or None,
                "minutes": action.minutes,
                "expected_minutes": action.expected,
                "hazards": list(hazards_of_step(book, case, action.kind, action.id)),
            }
            for action in found.next
        ],
    }


def _verdict_json(case: Case, one: Verdict) -> dict[str, Any]:
    return {
        "measurement": one.reading.measure,
        "typed": one.reading.typed,
        "value": one.reading.value,
        "unit": case.scales[one.reading.measure].unit,
        "over_range": one.reading.over_range,
        "standard_uncertainty": one.uncertainty,
        "outcomes": dict(one.outcomes),
        "outcome": one.outcome,
        "verdict": one.kind,
        "says": one.says,
    }


def _lines(book: Book, case: Case, known: Evidence, found: Ranking) -> Iterator[str]:
    if found.interlocks:
        yield from _interlock_lines(book.families[case.family], found)
        yield ""
    first = found.next[0]
    met = hazards_of_step(book, case, first.kind, first.id)
    yield from caution_lines(book, (*hazards_of_symptoms(book, case, known.symptoms), *met))
    yield ""
    yield board(book, case)
    yield from (f"Shows: {book.symptoms[name].title}" for name in known.symptoms)
    if found.verdicts:
        yield "\nWhat each reading says by itself"
        for one in found.verdicts:
            yield from _verdict_lines(one)
    for line in contradiction_lines(known, found.contradictions):
        yield f"\n{line}"
    shares = [f"{name} {_percent(share)}" for name, share in found.whose if share >= _SHOWN]
    yield f"\nWhose fault: {', '.join(shares)}"
    yield "\nHow likely each fault is"
    if not found.explained:
        yield from _unexplained(found)
    yield from _fault_lines(book, case, found)
    yield from _both_lines(book, case, found)
    yield "\nWhat to do next (minutes now, expected minutes to the end of the job when it is done first)"
    for number, action in enumerate(found.next[:_ACTIONS], 1):
        yield f"  {number}. {action.minutes:5.1f} {action.expected:6.1f}  {_what(book, case, action)}"


def _verdict_lines(one: Verdict) -> Iterator[str]:
    said = f"{one.reading.measure}: {one.says}"
    yield textwrap.fill(said, WIDTH, initial_indent="  ", subsequent_indent="      ")
    shares = [f"{name} {_percent(share)}" for name, share in one.outcomes if share >= _SHOWN]
    if one.kind == "undecided":
        yield f"      {', '.join(shares)}"


def _interlock_lines(family: Family, found: Ranking) -> Iterator[str]:
    powered = {state.id for state in family.bench_states if state.sources}
    for one in found.interlocks:
        whole = powered <= set(one.lock.states)
        begins = "STOP: unplug every source." if whole else f"BARRED: {', '.join(one.lock.states)}."
        until = f"until {' or '.join(one.lock.clears)} reads otherwise" if one.lock.clears else "before a fix"
        said = f"{begins} {one.measure} is {one.outcome}: {one.lock.why} No power {until}."
        yield from textwrap.wrap(said, WIDTH)


def _both_lines(book: Book, case: Case, found: Ranking) -> Iterator[str]:
    for one in found.both:
        names = " and ".join(f"{title_of(book, case, name)} ({name})" for name in one.faults)
        yield textwrap.fill(
            f"Perhaps both, {_percent(one.probability)}: {names}. No single fault explains all the readings.",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="      ",
        )


def _unexplained(found: Ranking) -> Iterator[str]:
    likely = _percent(found.not_in_book)
    yield f"  Nothing in the book explains this ({likely}). Check the points and the set-ups."
    for name in found.clashes:
        fits = next((fit.faults for fit in found.fits if fit.measure == name), ())
        whom = ", ".join(fits[:4]) + (f" and {len(fits) - 4} others" if len(fits) > 4 else "")
        yield textwrap.fill(
            f"{name} clashes with the likeliest fault; it speaks for {whom or 'no fault of the book'}",
            WIDTH,
            initial_indent="    - ",
            subsequent_indent="      ",
        )


def _fault_lines(book: Book, case: Case, found: Ranking) -> Iterator[str]:
    shown = [one for one in found.faults if one.probability >= _SHOWN]
    for one in shown:
        suspected = ", suspected" if one.id in case.suspects else ""
        yield _bar(one.probability, f"{title_of(book, case, one.id)} ({one.id}{suspected})")
    rest = found.faults[len(shown) :]
    if rest:
        others = f"{len(rest)} other{'s' if len(rest) > 1 else ''}"
        yield _bar(fsum(one.probability for one in rest), f"{others}, together")
    yield _bar(found.not_in_book, "something else")


def _bar(share: float, label: str) -> str:
    return f"  {_percent(share):>6}  {'#' * round(share * _BAR):<{_BAR}}  {label}"


def _percent(share: float) -> str:
    return f"{share * 100:.1f} %"


def _what(book: Book, case: Case, action: Action) -> str:
    if action.kind == "measure":
        return f"measure {action.id}: {book.families[case.family].measurements[action.id].asks}"
    if action.kind == "fix":
        return f"{work_of(case, action.id)} {action.id}: {title_of(book, case, action.id)}"
    return f"escalate to {book.shop.escalate.to}"
