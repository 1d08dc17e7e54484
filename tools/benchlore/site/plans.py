"""The plans of every family, for the pages that show them: one a symptom, any revision, the shop's meter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from benchlore.book import links
from benchlore.book.model import Book, Family, frozen_map
from benchlore.cache import code_of, key_of, like, remembered
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.plan import Branch, FixOrder, Node, Plan, plan
from benchlore.site.fingerprint import Fingerprints

# What the plans and the simulated jobs are computed by.
CODE = code_of("diagnosis", "site/plans.py", "site/calibration.py")


@dataclass(frozen=True, slots=True)
class FamilyPlans:
    """A family's plans by symptom, of the symptoms that its faults show."""

    family: Family
    case: Case
    plans: Mapping[str, Plan]


def plans(book: Book) -> Mapping[str, FamilyPlans]:
    """The plans of every family that has faults, by family."""
    made = {id_: plans_of(book, family) for id_, family in sorted(book.families.items())}
    return frozen_map({id_: known for id_, known in made.items() if known})


def plans_of(book: Book, family: Family) -> FamilyPlans | None:
    """The plans of a family; None for one without faults."""
    symptoms = tuple(s for s in sorted(book.symptoms) if links.faults_of_symptom(book, s, family.id))
    if not symptoms:
        return None
    case = make_case(book, family.id, suspects=False)
    asked = _Asked(key_of(CODE, Fingerprints().of(case), symptoms), case, symptoms)
    return FamilyPlans(family, case, frozen_map(dict(zip(symptoms, _plans(asked), strict=True))))


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the plans of a family come from, compared by its hash alone."""

    key: str
    case: Case = field(compare=False)
    symptoms: tuple[str, ...] = field(compare=False)


@lru_cache(maxsize=4)
def _plans(asked: _Asked) -> tuple[Plan, ...]:
    def make() -> list[Any]:
        return [_packed(plan(asked.case, symptom)) for symptom in asked.symptoms]

    form = ((_is_node, [str], float),) * len(asked.symptoms)
    known = remembered(f"plans-{asked.case.family}", asked.key, make, form)
    return tuple(
        _unpacked(asked.case.family, symptom, one) for symptom, one in zip(asked.symptoms, known, strict=True)
    )


def _packed(made: Plan) -> list[Any]:
    return [_packed_node(made.tree), list(made.guess.faults), made.guess.expected]


def _packed_node(node: Node) -> list[Any]:
    branches = [[b.outcome, b.probability, _packed_node(b.then)] for b in node.branches]
    failed = _packed_node(node.failed) if node.failed is not None else None
    return [node.kind, node.id, node.reach, node.minutes, node.expected, node.success, branches, failed]


def _is_node(packed: Any) -> bool:
    """True for what `_packed_node` makes. It looks at each step once: a plan has thousands."""
    if not isinstance(packed, list) or len(packed) != 8:
        return False
    step = (str, str, float, float, float, float, [(str, float, _is_node)])
    return (packed[7] is None or _is_node(packed[7])) and like(packed[:7], step)


def _unpacked(family: str, symptom: str, packed: Sequence[Any]) -> Plan:
    tree, faults, expected = packed
    return Plan(family, symptom, _unpacked_node(tree), FixOrder(tuple(faults), expected))


def _unpacked_node(packed: Sequence[Any]) -> Node:
    kind, id_, reach, minutes, expected, success, branches, failed = packed
    return Node(
        kind,
        id_,
        reach,
        minutes,
        expected,
        success,
        tuple(Branch(outcome, share, _unpacked_node(then)) for outcome, share, then in branches),
        None if failed is None else _unpacked_node(failed),
    )
