"""`benchlore walk`: the walk over a known-good board, and what was read on it beside the records."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator, Sequence
from math import isinf
from pathlib import Path

from benchlore.book.links import hazards_of_measurement, standing_hazards
from benchlore.book.model import Book, Family, Measurement
from benchlore.circuit.healthy import derive, range_of
from benchlore.commands.cases import WIDTH, caution_lines
from benchlore.commands.options import UsageError, add_root, open_book
from benchlore.findings import nearest
from benchlore.quantity import format_value
from benchlore.site import words
from benchlore.walk import healthy, order
from benchlore.walk.file import Shown, Walk, WalkError, read_walk, shown

_WORDS = {"differs": "DIFFERS", "edge": "AT THE EDGE", "agrees": "agrees"}


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "walk",
        help="walk a known-good board, and compare what was read",
        description="Without a file: in which order the points of a known-good board are read, for the "
        "fewest minutes. With files that the page of a walk saved, one a board: what was read beside what "
        "the records say, difference by difference.",
    )
    parser.add_argument("family", metavar="FAMILY", help="a board family, such as petrel-13")
    parser.add_argument(
        "files", metavar="FILE", type=Path, nargs="*", help="a walk over one board, saved by the site"
    )
    add_root(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the order or the comparison, and return 0: a difference is no error."""
    book = open_book(args).book
    if args.family not in book.families:
        mend = nearest(args.family, book.families)
        raise UsageError(f"'{args.family}' is not a family of the book; {mend}")
    family = book.families[args.family]
    try:
        walks = tuple(_of(family, read_walk(path)) for path in args.files)
        lines = _compared(book, family, walks) if walks else _ordered(book, family)
        print("\n".join(lines))
    except WalkError as error:
        raise UsageError(str(error)) from error
    return 0


def _of(family: Family, walk: Walk) -> Walk:
    if walk.family != family.id:
        of = f"a walk of '{walk.family}'" if walk.family else "a walk of free points"
        mend = "" if walk.family else "; 'benchlore new family NAME --from-walk' starts a family from it"
        raise WalkError(f"{walk.file} is {of}, not of '{family.id}'{mend}")
    return walk


def _ordered(book: Book, family: Family) -> Iterator[str]:
    yield from caution_lines(book, standing_hazards(book, family))
    total = order.walk_minutes(book, family)
    count = len(order.walked(family))
    yield f"\n{family.title}: {count} measurements, about {total:.0f} min by common/shop.yaml"
    for number, stop in enumerate(order.stops(book, family), 1):
        state = family.states.get(stop.setup.state or "")
        out = f", {words.listing(sorted(stop.setup.unplugged))} out" if stop.setup.unplugged else ""
        yield f"\n{number}. {state.title if state else stop.setup.state}{out} ({stop.minutes:g} min)"
        for measure in stop.measures:
            one = family.measurements[measure]
            said = f"{measure}: {words.asked(family, one)}; healthy {_healthy(one)}"
            yield textwrap.fill(said, WIDTH, initial_indent="   - ", subsequent_indent="     ")


def _healthy(one: Measurement) -> str:
    normal = (one.outcomes[name] for name in one.normal)
    return " or ".join(words.quantity(o.range) if o.range else words.outcome(o.id) for o in normal)


def _compared(book: Book, family: Family, walks: Sequence[Walk]) -> Iterator[str]:
    measured = {one.id: one for one in order.walked(family)}
    found = shown(book, walks, measured)
    verdicts = {name: _worst(measured[name], boards) for name, boards in found.items()}
    yield from caution_lines(
        book, [h for name in found for h in hazards_of_measurement(book, family, measured[name])]
    )
    names = ", ".join(walk.label or Path(walk.file).stem for walk in walks)
    yield f"\n{family.title}: {words.plural(len(walks), 'board')} ({names})"
    differs, edge, agrees = (sum(v == verdict for v, _ in verdicts.values()) for verdict in _WORDS)
    yield f"Differ: {differs}. At the edge, within the meter's error: {edge}. As the book says: {agrees}."
    yield f"Not read: {len(measured) - len(found)}.\n"
    for verdict in _WORDS:
        for name, (reached, off) in verdicts.items():
            if reached == verdict:
                said = f"{_WORDS[verdict]} {name}: {_said(book, family, measured[name], found[name], off)}"
                yield textwrap.fill(said, WIDTH, subsequent_indent="    ")
    gone = sorted({name for walk in walks for name in walk.taken} - measured.keys())
    if gone:
        yield f"\nRead, but no measurement of {family.id} any more: {', '.join(gone)}"


def _worst(one: Measurement, boards: Sequence[Shown]) -> tuple[healthy.Verdict, float]:
    judged = [healthy.judge(one, board) for board in boards]
    return min(judged, key=lambda each: (tuple(_WORDS).index(each[0]), -abs(each[1])))


def _said(book: Book, family: Family, one: Measurement, boards: Sequence[Shown], off: float) -> str:
    readings = ", ".join(board.reading.typed.strip() for board in boards)
    said = [f"{readings}; healthy {_healthy(one)}"]
    if off and not isinf(off):
        said.append(f"{format_value(abs(off), one.unit or '')} {'above' if off > 0 else 'below'} it")
    walked = healthy.range_of(one, boards)
    if walked and walked.spread is not None:
        said.append(f"spread {format_value(walked.spread, one.unit or '')}")
    if walked and walked.limit:
        said.append(f"meter +-{format_value(walked.limit, one.unit or '', 2)}")
    derived = derive(book, family, one)
    if derived is not None and not derived.down:
        said.append(f"the circuit gives {range_of(derived)}")
    return words.signs("; ".join(said))
