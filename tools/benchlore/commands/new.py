"""`benchlore new`: a fault pattern to fill in, with the family's names beside the fields that need them."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from pathlib import Path

from benchlore.book.ids import fault_id, file_of
from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Family
from benchlore.book.schemas import MAX_ID
from benchlore.commands.options import UsageError, add_root, open_book
from benchlore.findings import nearest
from benchlore.rules.ids import reserved_fault
from benchlore.vocabulary import FAULT_MODES, VERBS

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "new",
        help="start a new fault pattern",
        description="Write a fault pattern to fill in: every field, with the names that the family knows. "
        "The checks name what is still to be filled.",
    )
    parser.add_argument("family", metavar="FAMILY", help="id of the family, the name of its folder")
    parser.add_argument("name", metavar="NAME", help="id of the fault: lower-case words joined by hyphens")
    add_root(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the file and say what to do next."""
    loaded = open_book(args)
    family = loaded.book.families.get(args.family)
    if family is None:
        hint = nearest(args.family, loaded.book.families) or "mend its family.yaml first"
        raise UsageError(f"'{args.family}' is not a family of the book; {hint}")
    if not _NAME.fullmatch(args.name):
        raise UsageError(f"'{args.name}' cannot be a name; use lower-case words joined by hyphens")
    if len(args.name) > MAX_ID:
        raise UsageError(f"the name has {len(args.name)} characters; shorten it to {MAX_ID} at most")
    if said := reserved_fault(args.name):
        raise UsageError(f"{said}; choose another name")
    path = loaded.sources.root / file_of("fault", fault_id(family.id, args.name))
    _create(path, template(loaded.book, family))
    shown = path.relative_to(loaded.sources.root).as_posix()
    print(f"Fill in {shown}, then run: benchlore check {shown}")
    return 0


def _create(path: Path, text: str) -> None:
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise UsageError(f"{path} is there already; choose another name") from None
    except OSError as error:
        raise UsageError(f"cannot write {path}: {error.strerror or error}") from error


def template(book: Book, family: Family) -> str:
    """A fault pattern of the right shape in which every name is `todo` and every text `TODO`."""
    return f"""\
# yaml-language-server: $schema=../../schema/fault.schema.json
title: TODO the part, and what is wrong with it
# revisions: [{", ".join(family.revisions)}]  # only when not all revisions have it
symptom:  # always, often or sometimes
{_comment(_symptoms(book, family))}
  todo: always
summary: TODO how the fault makes the symptom, in two or three sentences.
test_points:  # in the order worth probing: what shows the fault, then what rules out the others
{_comment({m.id: ", ".join(m.outcomes) for m in family.measurements.values()})}
  - measure: todo
    expected_reading: todo
    note: TODO why it reads so, or take this line out.
# reads_normal: [todo]  # what reads as on a healthy board, where the circuit does not say so by itself
cause:
{_comment({p.id: p.name for p in family.parts.values()})}
  part: TODO
  # how it has failed, where that is known: {", ".join(FAULT_MODES)}
  # mode: open
  how: TODO how it came about.
seen: 0
fix:
  # replace, reflow, remove, clean, reseat, jumper or reprogram
  action: replace
  minutes: 10
  steps:  # verbs: {", ".join(VERBS)}; or words alone
    - unplug: everything
    - discharge: 10 s
    - replace: TODO
    - TODO one action a step.
  confirm:  # a measurement from above, and the normal outcome that it must read afterwards
    todo: todo
hazard:  # only what the steps and measurements do not bring by themselves; the most serious first
{_comment({h.id: f"{h.signal}, {h.title}" for h in book.hazards.values()})}
  - todo
techniques:  # only what the steps and measurements do not bring by themselves
{_comment({t.id: t.title for t in book.techniques.values()})}
  - todo
worked_example:  # readings of one real job, as typed
  todo: TODO
"""


def _symptoms(book: Book, family: Family) -> dict[str, str]:
    """Title by symptom; first those that the family's faults show."""
    shown = {name for fault in faults_of_family(book, family.id) for name in fault.symptom}
    ordered = sorted(book.symptoms.values(), key=lambda symptom: symptom.id not in shown)
    return {symptom.id: symptom.title for symptom in ordered}


def _comment(names: Mapping[str, str]) -> str:
    return "\n".join(f"  # {name}: {' '.join(said.split())}" for name, said in names.items())
