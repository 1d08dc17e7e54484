"""What ranking, plans and the telling apart of faults make of a change, by the sums of `rank` and `plan`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from benchlore.book.ids import name_of
from benchlore.book.links import book_of, faults_of_symptom
from benchlore.book.model import Book
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.plan import Plan, plan
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.difference.kinds import Change
from benchlore.rules.diagnosis import pairs_not_told_apart

# A share that moves by less than this is noise to a reviewer.
_LEAST = 0.01


def at_the_bench(old: Book, new: Book, moved: Mapping[str, str]) -> Iterator[Change]:
    """Rankings before any reading, plans, and pairs of faults, of every family whose numbers are others."""
    for id_ in sorted({*old.families, *new.families}):
        before, after = _case(old, id_), _case(new, id_)
        if before == after:
            continue
        for symptom in sorted({*old.symptoms, *new.symptoms}):
            had = before if before and faults_of_symptom(old, symptom, id_) else None
            has = after if after and faults_of_symptom(new, symptom, id_) else None
            if had or has:
                where = f"{id_}, {symptom}"
                yield from _ranked(where, _shares(had, symptom, moved), _shares(has, symptom, {}))
                yield from _planned(where, had, has, symptom)
        yield from _paired(id_, _pairs(old, id_, moved), _pairs(new, id_, {}))


def _case(book: Book, family: str) -> Case | None:
    return make_case(book_of(book, family), family) if family in book.families else None


def _shares(case: Case | None, symptom: str, moved: Mapping[str, str]) -> Mapping[str, float]:
    """How likely each recorded fault is, by its name now."""
    if case is None:
        return {}
    shares = zip(case.faults, posterior(case, evidence(case, [symptom])), strict=False)
    return {moved.get(name, name): share for name, share in shares if name not in case.suspects}


def _ranked(where: str, before: Mapping[str, float], after: Mapping[str, float]) -> Iterator[Change]:
    for name in {*before, *after}:
        if abs(before.get(name, 0.0) - after.get(name, 0.0)) >= _LEAST:
            said = (f"{one[name] * 100:.1f} %" if name in one else "" for one in (before, after))
            yield Change("ranking-moved", f"{where}: {name.split('/')[-1]}", *said)


def _planned(where: str, had: Case | None, has: Case | None, symptom: str) -> Iterator[Change]:
    before, after = (_said(plan(case, symptom)) if case else "" for case in (had, has))
    if before != after:
        yield Change("plan-moved", where, before, after)


def _said(found: Plan) -> str:
    first = name_of(found.tree.id) or "escalation"
    return f"{found.expected:.1f} min, {first} first"


def _pairs(book: Book, family: str, moved: Mapping[str, str]) -> Mapping[tuple[str, str], str]:
    if family not in book.families:
        return {}
    found = {}
    for one, other, symptom in pairs_not_told_apart(book_of(book, family), book.families[family]):
        names = sorted(name_of(moved.get(name, name)) for name in (one, other))
        found[names[0], names[1]] = symptom
    return found


def _paired(
    family: str, before: Mapping[tuple[str, str], str], after: Mapping[tuple[str, str], str]
) -> Iterator[Change]:
    for (one, other), symptom in after.items():
        if (one, other) not in before:
            yield Change("pair-lost", f"{family}: {one}, {other}", "", symptom)
