"""How many wrong numbers the rules notice: change one value of the book by 20 %, and see whether a rule
speaks.

Every value of the circuit that a healthy board shows, every nominal voltage, every range of an outcome and
every injection is made 20 % larger and 20 % smaller, one at a time, in memory; its tolerance stays in
proportion. Limits, ratings and what shines through show with a fault only, and are left out. Run `python
tools/benchmarks/mutations.py`; it prints what survives.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from itertools import islice
from pathlib import Path
from typing import Any

from benchlore.book import load_book
from benchlore.book.elements import ELEMENTS, Element, Resistor
from benchlore.book.model import Book, Family, Measurement, Net, frozen_map
from benchlore.findings import Problem
from benchlore.quantity import Quantity
from benchlore.rules import RULES
from benchlore.rules.engine import books_of, problems_in
from benchlore.rules.rule import Rule

FACTORS = (0.8, 1.2)
_WITH_A_FAULT = ("limit", "rating", "passes")
ROOT = Path(__file__).resolve().parents[2]
Said = frozenset[tuple[str, Problem]]


@dataclass(frozen=True, slots=True)
class Mutation:
    """One changed value: its kind, where it stands, what it was, the factor, and the family with it."""

    kind: str
    place: str
    was: str
    factor: float
    family: Family


def scaled(quantity: Quantity, factor: float) -> Quantity | None:
    """The quantity times a factor, its tolerance kept in proportion; None where nothing changes."""
    if quantity.unit == "" and quantity.nominal is not None:
        count = round(quantity.nominal * factor)
        return None if count == quantity.nominal else Quantity(str(count), "", count, count, count)
    low, high = quantity.low * factor, quantity.high * factor
    if (low, high) == (quantity.low, quantity.high):
        return None
    nominal = None if quantity.nominal is None else quantity.nominal * factor
    return Quantity(f"{quantity.text} x {factor}", quantity.unit, low, high, nominal)


def mutations(family: Family) -> Iterator[Mutation]:
    """Every mutation of a family."""
    for factor in FACTORS:
        for net in family.nets.values():
            yield from _of_net(family, net, factor)
        for measurement in family.measurements.values():
            yield from _of_measurement(family, measurement, factor)


def _of_net(family: Family, net: Net, factor: float) -> Iterator[Mutation]:
    def made(kind: str, place: str, was: Quantity, changed: Net) -> Mutation:
        nets = frozen_map(dict(family.nets) | {net.id: changed})
        return Mutation(kind, f"{family.id} {place}", was.text, factor, replace(family, nets=nets))

    if net.nominal and (nominal := scaled(net.nominal, factor)):
        yield made("nominal", f"{net.id} nominal", net.nominal, replace(net, nominal=nominal))
    for key in ELEMENTS:
        elements: tuple[Element, ...] = getattr(net, key)
        for i, element in enumerate(elements):
            for name, was, changed in _of_element(element, factor):
                others: dict[str, Any] = {key: (*elements[:i], changed, *elements[i + 1 :])}
                yield made("circuit", f"{net.id} {key} {name}", was, replace(net, **others))
    for state, amps in net.draw.items():
        if drawn := scaled(amps, factor):
            draws = frozen_map(dict(net.draw) | {state: drawn})
            yield made("circuit", f"{net.id} draw", amps, replace(net, draw=draws))


def _of_element(element: Element, factor: float) -> Iterator[tuple[str, Quantity, Element]]:
    """Each value of an element by its name, with the element that has it changed."""
    for one in fields(element):
        value = getattr(element, one.name)
        if one.name in ("code", "cells") and value is not None:
            value = Quantity(str(value), "", value, value, value)
        new: Any = None
        if isinstance(value, Resistor):
            was, ohms = value.ohms, scaled(value.ohms, factor)
            new = replace(value, ohms=ohms) if ohms else None
        elif isinstance(value, Quantity) and one.name not in _WITH_A_FAULT:
            was, changed = value, scaled(value, factor)
            new = changed if changed is None or changed.unit else int(changed.low)
        if new is not None:
            changes: dict[str, Any] = {one.name: new}
            yield one.name, was, replace(element, **changes)


def _of_measurement(family: Family, measurement: Measurement, factor: float) -> Iterator[Mutation]:
    def made(kind: str, place: str, was: Quantity, changed: Measurement) -> Mutation:
        measurements = frozen_map(dict(family.measurements) | {measurement.id: changed})
        place = f"{family.id} {measurement.id} {place}"
        return Mutation(kind, place, was.text, factor, replace(family, measurements=measurements))

    for outcome in measurement.outcomes.values():
        if outcome.range and (limits := scaled(outcome.range, factor)):
            kind = "normal range" if outcome.normal else "other range"
            outcomes = dict(measurement.outcomes) | {outcome.id: replace(outcome, range=limits)}
            yield made(kind, outcome.id, outcome.range, replace(measurement, outcomes=frozen_map(outcomes)))
    if measurement.inject:
        for name in ("volts", "limit"):
            was: Quantity = getattr(measurement.inject, name)
            if changed := scaled(was, factor):
                inject = replace(measurement.inject, **{name: changed})
                yield made("injection", f"inject {name}", was, replace(measurement, inject=inject))


def only(book: Book, family: Family) -> Book:
    """The book with one family and its faults."""
    faults = frozen_map({key: fault for key, fault in book.faults.items() if fault.family == family.id})
    return replace(book, families=frozen_map({family.id: family}), faults=faults)


@dataclass(frozen=True, slots=True)
class Outcome:
    """A mutation, and the first rule that spoke of it (None: it survived)."""

    mutation: Mutation
    rule: str | None


def judge(book: Book, rules: tuple[Rule, ...] = RULES, of: int = 1) -> Iterator[Outcome]:
    """Every mutation of every family with the first rule that says something which it did not say before;
    one of so many, where `of` says so.
    """
    for family in book.families.values():
        part = only(book, family)
        books = books_of(part)
        before = {rule.name: frozenset(problems_in(rule, books)) for rule in rules}
        # A rule that spoke of the last mutation of a kind likely speaks of this one: ask it first.
        order = list(rules)
        for mutation in islice(mutations(family), 0, None, of):
            changed = books_of(only(book, mutation.family))
            spoke = next((r for r in order if _speaks(r, changed, before[r.name])), None)
            if spoke:
                order.remove(spoke)
                order.insert(0, spoke)
            yield Outcome(mutation, spoke.id if spoke else None)


def _speaks(rule: Rule, books: Sequence[Book], before: frozenset[Problem]) -> bool:
    return any(problem not in before for problem in problems_in(rule, books))


def main() -> int:
    """Print the share that is noticed, by kind, and what survives."""
    loaded = load_book(ROOT)
    outcomes = list(judge(loaded.book))
    noticed = [o for o in outcomes if o.rule]
    print(f"{len(outcomes)} mutations, {len(noticed)} noticed: {len(noticed) / len(outcomes):.1%}\n")
    for kind in dict.fromkeys(o.mutation.kind for o in outcomes):
        of_kind = [o for o in outcomes if o.mutation.kind == kind]
        seen = [o for o in of_kind if o.rule]
        print(f"  {kind:13} {len(seen):5} of {len(of_kind):5}  {len(seen) / len(of_kind):.1%}")
    print("\nfirst to speak:")
    for rule in sorted({o.rule for o in noticed if o.rule}):
        print(f"  {rule:26} {sum(o.rule == rule for o in noticed)}")
    print("\nsurvivors:")
    for outcome in outcomes:
        if not outcome.rule:
            m = outcome.mutation
            print(f"  x {m.factor:g}  {m.place:60} {m.was}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
