"""Small books for the circuit tests: the rules' good book, with other facts on its nets."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from benchlore.book import load_book
from benchlore.book.model import Book, Fact, Family, Net, frozen_map
from benchlore.findings import Origin
from benchlore.quantity import Quantity, parse_quantity
from tests.rules.fixtures import GOOD

FAMILY = "wren-5"
HERE = Origin("faults/wren-5/family.yaml")


@cache
def good() -> Book:
    return load_book(GOOD).book


def fact(
    kind: str, *, states: tuple[str, ...] = (), names: Mapping[str, str] | None = None, **values: str | int
) -> Fact:
    quantities = {
        name: Quantity(str(value), "", value, value, value)
        if isinstance(value, int)
        else parse_quantity(value)
        for name, value in values.items()
    }
    return Fact(
        fact=kind, origin=HERE, quantities=frozen_map(quantities), names=frozen_map(names), in_=states
    )


def with_net(book: Book, name: str, **changes: object) -> Book:
    """The book with a net of its family changed, or added."""
    family = book.families[FAMILY]
    old = family.nets.get(name) or Net(id=name, origin=HERE.at("nets", name), kind="rail", for_="A rail.")
    nets = dict(family.nets) | {name: replace(old, **changes)}  # type: ignore[arg-type]
    return with_family(book, replace(family, nets=frozen_map(nets)))


def with_family(book: Book, family: Family) -> Book:
    return replace(book, families=frozen_map(dict(book.families) | {family.id: family}))
