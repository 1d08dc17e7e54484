"""The plans of every family, for the pages that show them: one a symptom, any revision, the shop's meter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any

from benchlore.book import links
from benchlore.book.model import Book, Family, frozen_map
from benchlore.book.same import Same
from benchlore.cache import code_of, key_of, like, recall, remembered
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.plan import Branch, FixOrder, Node, Plan, plan
from benchlore.fingerprint import Fingerprints
from benchlore.site.outline import Line, Outline, outline

# What the plans are computed by.
CODE = code_of("diagnosis", "site/plans.py", packages=("numpy",))


@dataclass(frozen=True, slots=True)
class FamilyPlans:
    """A family's plans by symptom, of the symptoms that its faults show. `key`: a hash of all that they come
    from.
    """

    key: str
    family: Family
    case: Case
    plans: Mapping[str, Plan]


def plans(book: Book) -> Mapping[str, FamilyPlans]:
    """The plans of every family that has faults, by family."""
    return _all_plans(Same(book))


@lru_cache(maxsize=1)
def _all_plans(of_book: Same[Book]) -> Mapping[str, FamilyPlans]:
    book = of_book.record
    families = sorted(book.families.items())
    made = {id_: plans_of(links.book_of(book, id_), family) for id_, family in families}
    return frozen_map({id_: known for id_, known in made.items() if known})


def plans_of(book: Book, family: Family) -> FamilyPlans | None:
    """The plans of a family; None for one without faults."""
    asked = _asked(Same(book), Same(family))
    if asked is None:
        return None
    return FamilyPlans(asked.key, family, asked.case, _Plans(asked))


def unplanned(book: Book, family: Family) -> tuple[str, ...]:
    """The symptoms of a family whose plans are not kept, that with the most faults first."""
    asked = _asked(Same(book), Same(family))
    if asked is None:
        return ()
    missing = [s for s in asked.symptoms if recall(_entry(asked, s), asked.key, _FORM) is None]
    return tuple(sorted(missing, key=lambda s: (-len(links.faults_of_symptom(book, s, family.id)), s)))


def keep_plan(book: Book, family: Family, symptom: str) -> None:
    """Make one of these plans, for those who ask for all."""
    asked = _asked(Same(book), Same(family))
    if asked is not None:
        _plan(asked, symptom)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the plans of a family come from, compared by its hash alone."""

    key: str
    case: Case = field(compare=False)
    symptoms: tuple[str, ...] = field(compare=False)


@lru_cache(maxsize=4)
def _asked(of_book: Same[Book], of_family: Same[Family]) -> _Asked | None:
    book, family = of_book.record, of_family.record
    symptoms = tuple(s for s in sorted(book.symptoms) if links.faults_of_symptom(book, s, family.id))
    if not symptoms:
        return None
    case = make_case(book, family.id)
    numbers = replace(case, suspects={})  # of these no text
    return _Asked(key_of(CODE, Fingerprints().of(numbers), symptoms), case, symptoms)


class _Plans(Mapping[str, Plan]):
    """Plans by symptom, each made or read when it is asked for: a single page needs few of them."""

    def __init__(self, asked: _Asked) -> None:
        self._asked = asked

    def __getitem__(self, symptom: str) -> Plan:
        if symptom not in self._asked.symptoms:
            raise KeyError(symptom)
        return _known_plan(self._asked, symptom)

    def __contains__(self, symptom: object) -> bool:
        return symptom in self._asked.symptoms

    def __iter__(self) -> Iterator[str]:
        return iter(self._asked.symptoms)

    def __len__(self) -> int:
        return len(self._asked.symptoms)


@lru_cache(maxsize=64)
def _known_plan(asked: _Asked, symptom: str) -> Plan:
    return _unpacked(asked.case.family, symptom, _plan(asked, symptom))


def _plan(asked: _Asked, symptom: str) -> Any:
    make = partial(_made, asked.case, symptom)
    return remembered(_entry(asked, symptom), asked.key, make, _FORM)


def _made(case: Case, symptom: str) -> list[Any]:
    return _packed(plan(case, symptom))


def _entry(asked: _Asked, symptom: str) -> str:
    return f"plans-{asked.case.family}/{symptom}"


@dataclass(frozen=True, slots=True)
class Brief:
    """What a page shows of a plan: its likeliest steps, without those that follow each. `expected`, `guess`:
    minutes by the plan, and by fixing without measuring."""

    shown: Outline
    expected: float
    guess: float


def brief(known: FamilyPlans, symptom: str) -> Brief:
    """A plan in brief. Kept by itself: of a plan's hundreds of steps a page shows two dozen."""

    def make() -> list[Any]:
        made = known.plans[symptom]
        shown = outline(made.tree)
        return [
            [_packed_line(line) for line in shown.lines],
            shown.ends_shown,
            made.expected,
            made.guess.expected,
        ]

    key = key_of(known.key, code_of("site/outline.py"))
    found = remembered(f"outlines-{known.case.family}/{symptom}", key, make, _BRIEF)
    lines, ends, expected, guess = found
    return Brief(Outline(tuple(map(_unpacked_line, lines)), ends), expected, guess)


def _packed_line(line: Line) -> list[Any]:
    step = line.step and _packed_node(replace(line.step, branches=(), failed=None))
    return [
        line.depth,
        line.indent,
        line.parent,
        list(line.outcomes),
        line.share,
        step,
        line.after_fix,
        line.last,
    ]


def _unpacked_line(packed: Sequence[Any]) -> Line:
    depth, indent, parent, outcomes, share, step, after_fix, last = packed
    node = None if step is None else _unpacked_node(step)
    return Line(depth, indent, parent, tuple(outcomes), share, node, after_fix, last)


def _packed(made: Plan) -> list[Any]:
    return [_packed_node(made.tree), list(made.guess.faults), made.guess.expected]


def _packed_node(node: Node) -> list[Any]:
    branches = [[b.outcome, b.probability, _packed_node(b.then)] for b in node.branches]
    failed = _packed_node(node.failed) if node.failed is not None else None
    also = [list(one) for one in node.also]
    return [node.kind, node.id, node.reach, node.minutes, node.expected, node.success, also, branches, failed]


def _is_node(packed: Any) -> bool:
    """True for what `_packed_node` makes. It looks at each step once: a plan has thousands."""
    if not isinstance(packed, list) or len(packed) != 9:
        return False
    kind, id_, *numbers, also, branches, failed = packed
    return (
        type(kind) is type(id_) is str
        and all(type(number) in (int, float) for number in numbers)
        and like(also, [(str, float)])
        and type(branches) is list
        and all(_is_branch(branch) for branch in branches)
        and (failed is None or _is_node(failed))
    )


def _is_branch(packed: Any) -> bool:
    if not isinstance(packed, list) or len(packed) != 3:
        return False
    outcome, share, then = packed
    return type(outcome) is str and type(share) in (int, float) and _is_node(then)


# What `_packed` gives.
_FORM = (_is_node, [str], float)
# What `brief` keeps.
_LINE = (
    int,
    int,
    lambda parent: parent is None or type(parent) is int,
    [str],
    float,
    lambda step: step is None or _is_node(step),
    bool,
    bool,
)
_BRIEF = ([_LINE], float, float, float)


def _unpacked(family: str, symptom: str, packed: Sequence[Any]) -> Plan:
    tree, faults, expected = packed
    return Plan(family, symptom, _unpacked_node(tree), FixOrder(tuple(faults), expected))


def _unpacked_node(packed: Sequence[Any]) -> Node:
    kind, id_, reach, minutes, expected, success, also, branches, failed = packed
    return Node(
        kind,
        id_,
        reach,
        minutes,
        expected,
        success,
        tuple(Branch(outcome, share, _unpacked_node(then)) for outcome, share, then in branches),
        None if failed is None else _unpacked_node(failed),
        tuple((name, p) for name, p in also),
    )
