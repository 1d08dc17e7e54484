"""What can be told of a change, what can hurt first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "hazard-dropped": "Hazards dropped",
        "hazard-weaker": "Hazards made weaker",
        "stop-dropped": "Stops and bars dropped",
        "step-lost": "Steps taken out of a fix",
        "fault-added": "Faults added",
        "fault-retired": "Faults retired",
        "fault-renamed": "Faults renamed",
        "fault-vanished": "Faults vanished without a word",
        "entry-lost": "Taken out of a family or the common records",
        "entry-gained": "New in a family or the common records",
        "link-lost": "Links lost",
        "link-gained": "Links gained",
        "link-moved": "How often a symptom shows",
        "range-moved": "Ranges and values of the circuit moved",
        "reading-moved": "Expected readings moved",
        "fact-moved": "Other facts moved",
        "step-gained": "Steps added to a fix",
        "seen-moved": "How often a fault was seen",
        "ranking-moved": "Rankings before any reading",
        "plan-moved": "Plans: expected minutes and first step",
        "pair-lost": "Pairs that can no longer be told apart",
        "waiver-new": "New waivers",
        "outside-family": "Edits outside the contributor's family",
    }
)
_PLACE = {kind: place for place, kind in enumerate(KINDS)}


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is otherwise. `kind`: of KINDS; `subject`: what it is about; `before` and `after`: as a
    report writes them, empty where there was or is nothing."""

    kind: str
    subject: str
    before: str = ""
    after: str = ""


def in_order(changes: Iterable[Change]) -> tuple[Change, ...]:
    """By kind, then by subject, each once."""
    found = set(changes)
    return tuple(sorted(found, key=lambda one: (_PLACE[one.kind], one.subject, one.before, one.after)))
