"""`benchlore plan`: the cheapest way through a symptom, as a tree."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import Any

from benchlore.book.model import Book
from benchlore.commands.cases import (
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
from benchlore.diagnosis.conflict import Contradiction
from benchlore.diagnosis.plan import Node, Plan, nodes, plan
from benchlore.diagnosis.posterior import Evidence, evidence, posterior
from benchlore.diagnosis.rank import contradicted, planned
from benchlore.site.outline import Line, outline
from benchlore.site.plan_rows import settled


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "plan",
        help="the cheapest way through a symptom",
        description="What to measure and what to fix, in the order that costs the least expected minutes, "
        "beside the best order of fixes without measuring.",
    )
    parser.add_argument("family", metavar="FAMILY", help="a board family, such as petrel-13")
    parser.add_argument("symptom", metavar="SYMPTOM", help="what the device does, such as pack-not-seen")
    add_readings(parser)
    add_case(parser)
    parser.set_defaults(run=refusing(run))


def run(args: argparse.Namespace) -> int:
    """Plan, print, and return the exit code."""
    book, case = open_case(args)
    known = evidence(case, [args.symptom], [reading_of(book, case, text) for text in args.reading])
    say_unshown(book, case, [args.symptom])
    found = planned(book, case, known) if known.readings else plan(case, args.symptom)
    against = contradicted(book, case, known, posterior(case, known))
    if args.format == "json":
        print_json(as_json(case, known, against, found))
    else:
        said = [f"\n{line}" for line in contradiction_lines(known, against)]
        print("\n".join(_lines(book, case, found, said)))
    return 0


def as_json(case: Case, known: Evidence, against: Sequence[Contradiction], found: Plan) -> dict[str, Any]:
    """The answer after `schema/plan.schema.json`."""
    return {
        "format": 1,
        "family": found.family,
        "revision": case.revision,
        "meter": case.meter,
        "symptom": found.symptom,
        "readings": {reading.measure: reading.typed for reading in known.readings},
        "contradictions": [
            {"readings": [one.one, one.other], "measure_again": list(one.again)} for one in against
        ],
        "expected_minutes": found.expected,
        "without_measuring": {
            "faults": list(found.guess.faults),
            "expected_minutes": found.guess.expected,
        },
        "tree": _step_json(found.tree),
    }


def _step_json(step: Node) -> dict[str, Any]:
    return {
        "kind": step.kind,
        "id": step.id or None,
        "reach": min(step.reach, 1.0),  # whatever the last digit of a sum says
        "minutes": step.minutes,
        "expected_minutes": step.expected,
        "success": step.success if step.kind == "fix" else None,
        "also": [{"fault": name, "probability": p} for name, p in step.also],
        "branches": [
            {"outcome": branch.outcome, "probability": branch.probability, "then": _step_json(branch.then)}
            for branch in step.branches
        ],
        "failed": _step_json(step.failed) if step.failed is not None else None,
    }


def _lines(book: Book, case: Case, found: Plan, said: Sequence[str]) -> Iterator[str]:
    shown = outline(found.tree)
    steps = [line.step for line in shown.lines if line.step is not None]
    met = [name for step in steps for name in hazards_of_step(book, case, step.kind, step.id)]
    yield from caution_lines(book, (*hazards_of_symptoms(book, case, [found.symptom]), *met))
    yield ""
    yield board(book, case)
    yield f"Shows: {book.symptoms[found.symptom].title}"
    yield from said
    yield f"By this plan:      {found.expected:.0f} min expected"
    yield f"Without measuring: {found.guess.expected:.0f} min expected, fixing in the best order"
    yield ""
    for line in shown.lines:
        outcomes = _outcomes(book, case, shown.lines, line)
        yield f"{'  ' * line.depth}{_when(line, outcomes)}{_what(book, case, line)}"
    yield ""
    count = sum(1 for _ in nodes(found.tree))
    yield f"{len(steps)} of {count} steps; the others are rarer. --format json gives all of them."


def _outcomes(book: Book, case: Case, lines: Sequence[Line], line: Line) -> list[str]:
    """The outcomes that lead to a step; one that stops says so."""
    above = lines[line.parent].step if line.parent is not None else None
    if above is None or not line.outcomes:
        return []
    known = book.families[case.family].measurements[above.id].outcomes
    return [f"{name} (stop: unplug every source)" if known[name].stop else name for name in line.outcomes]


def _when(line: Line, outcomes: list[str]) -> str:
    """The outcomes that lead to a step, and the share of the jobs that come to it."""
    share = f"[{line.share * 100:.1f} %] "
    if line.after_fix:
        return share + "not mended: "
    return share + (f"{' or '.join(outcomes)}: " if outcomes else "")


def _what(book: Book, case: Case, line: Line) -> str:
    step = line.step
    if step is None:
        return "rare; rank what the bench shows"
    if step.kind == "measure":
        asks = book.families[case.family].measurements[step.id].asks
        after = " Then rank what the bench shows." if line.last else ""
        return f"measure {step.id}, {step.minutes:.0f} min. {asks}{after}"
    if step.kind == "fix":
        mends = f"mends {step.success * 100:.0f} % of these"
        mends += "".join(f", settles also {name}" for name in settled(step))
        title = f" ({title_of(book, case, step.id)})" if step.id in case.suspects else ""
        return f"{work_of(case, step.id)} {step.id}{title}, {step.minutes:.0f} min with its proof, {mends}"
    return f"escalate to {book.shop.escalate.to}, {step.minutes:.0f} min"
