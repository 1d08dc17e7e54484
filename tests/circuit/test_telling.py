"""Which foretold readings of a fault are worth measuring: by a plain account, and of very many faults."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest

from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Family, Fault, frozen_map
from benchlore.circuit import foretold
from tests.books import example
from tests.steps import steps

FAMILY = "siskin-12"
Rows = Mapping[str, Mapping[str, float]]
FEW, TIMES = 200, 8
AT_MOST = 3  # times what as many faults more would cost each; fault held against fault would cost 8


def drawn(count: int, seed: int) -> tuple[Book, dict[str, Rows]]:
    """A book with so many faults of one family, and what each of them reads."""
    rng = random.Random(seed)
    book = example()
    family, known = book.families[FAMILY], faults_of_family(book, FAMILY)
    made, rows = {}, {}
    for number in range(count):
        fault = replace(rng.choice(known), id=f"{FAMILY}/f{number}")
        made[fault.id] = fault
        rows[fault.id] = frozen_map(
            {
                m.id: frozen_map(dict.fromkeys(rng.sample(sorted(m.outcomes), rng.randint(1, 2)), 0.5))
                for m in family.measurements.values()
                if len(m.outcomes) > 1 and rng.random() < 0.6
            }
        )
    families = frozen_map({FAMILY: family})
    return replace(book, families=families, faults=frozen_map(made)), rows


def told_in_full(book: Book, rows: Mapping[str, Rows], monkeypatch: pytest.MonkeyPatch) -> Book:
    monkeypatch.setattr(foretold, "foretold", lambda book, family: rows)
    return foretold.in_full(book)


def plainly(family: Family, fault: Fault, known: Sequence[Fault]) -> tuple[str, ...]:
    """The same, fault by fault: what the proof and the example read, then what tells most of those apart that
    nothing before does, the quickest first; what reads wrong stands before what reads healthy."""
    reads = fault.reads
    left = [o for o in known if o.id != fault.id and set(o.symptom) & set(fault.symptom)]
    found = [m for m in dict.fromkeys((*fault.worked_example, *fault.fix.confirm)) if m in fault.foretold]

    def apart(measure: str) -> list[Fault]:
        return [o for o in left if measure in o.reads and not set(o.reads[measure]) & set(reads[measure])]

    for measure in [*(e.measure for e in fault.test_points), *found]:
        gone = apart(measure)
        left = [o for o in left if o not in gone]
    while left:
        more = set(fault.foretold) - set(found)
        counts = [(-len(apart(m)), family.measurements[m].minutes, m) for m in more]
        if not counts or min(counts)[0] == 0:
            break
        found.append(min(counts)[2])
        gone = apart(found[-1])
        left = [o for o in left if o not in gone]
    healthy = {m for m in found if set(reads[m]) <= set(family.measurements[m].normal)}
    return (*(m for m in found if m not in healthy), *(m for m in found if m in healthy))


@pytest.mark.parametrize("seed", range(6))
def test_it_is_what_a_plain_account_gives(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    book = told_in_full(*drawn(12 + 6 * seed, seed), monkeypatch)
    known = faults_of_family(book, FAMILY)
    for fault in known:
        assert fault.telling == plainly(book.families[FAMILY], fault, known), fault.id
    assert any(len(fault.telling) > 2 for fault in known)


def test_steps_grow_as_the_faults_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of all-different faults, fault was held against fault: 440 took two minutes."""

    def taken(count: int) -> int:
        book, rows = drawn(count, 1)
        return steps(lambda: told_in_full(book, rows, monkeypatch))

    few, many = taken(FEW), taken(FEW * TIMES)
    assert many <= AT_MOST * TIMES * few
