"""A fault pattern as a form: every field, with the family's names beside the fields that need them."""

from __future__ import annotations

from collections.abc import Mapping

from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Family
from benchlore.vocabulary import FAULT_MODES, VERBS


def form(book: Book, family: Family) -> str:
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
  - todo: todo
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
  minutes: 10
  steps:  # verbs: {", ".join(VERBS)}; or words alone
{_opening(family)}    - replace: TODO
    - TODO one action a step.
  # the proof: measurements from above that must read normal afterwards
  confirm: [todo]
hazard:  # only what the steps and measurements do not bring by themselves; the most serious first
{_comment({h.id: f"{h.signal}, {h.title}" for h in book.hazards.values()})}
  - todo
techniques:  # only what the steps and measurements do not bring by themselves
{_comment({t.id: t.title for t in book.techniques.values()})}
  - todo
worked_example:  # readings of one real job, as typed
  todo: TODO
"""


def _opening(family: Family) -> str:
    return "" if family.discharge else "    - unplug: everything\n    - discharge: 10 s\n"


def _symptoms(book: Book, family: Family) -> dict[str, str]:
    """Title by symptom; first those that the family's faults show."""
    shown = {name for fault in faults_of_family(book, family.id) for name in fault.symptom}
    ordered = sorted(book.symptoms.values(), key=lambda symptom: symptom.id not in shown)
    return {symptom.id: symptom.title for symptom in ordered}


def _comment(names: Mapping[str, str]) -> str:
    return "\n".join(f"  # {name}: {' '.join(said.split())}" for name, said in names.items())
