"""Small books for the circuit tests: the rules' good book, with other elements on its nets."""

from dataclasses import replace
from functools import cache
from typing import Any

import yaml

from benchlore.book import load_book
from benchlore.book.model import Book, Family, Net, frozen_map
from benchlore.book.records import read_record
from benchlore.findings import Origin
from tests.rules.fixtures import GOOD

FAMILY = "wren-5"
FILE = f"faults/{FAMILY}/family.yaml"
HERE = Origin(FILE)


@cache
def good() -> Book:
    return load_book(GOOD).book


def net_of(name: str, raw: dict[str, Any]) -> Net:
    """A net as a family's file states it."""
    whole = yaml.safe_load((GOOD / FILE).read_text(encoding="utf-8"))
    family: Family = read_record("family", FAMILY, FILE, {**whole, "nets": {name: {"for": "A rail."} | raw}})
    return family.nets[name]


def with_net(book: Book, name: str, /, **raw: Any) -> Book:
    """The book with fields of a net of its family as a file states them, or with a net more.

    `None` takes a field out; `in_` and `for_` are `in` and `for`.
    """
    family = book.families[FAMILY]
    stated = {key.rstrip("_"): value for key, value in raw.items() if value is not None}
    made = net_of(name, stated)
    changes = {key: getattr(made, key) for key in raw}
    changes |= {key: getattr(Net(id="", origin=HERE, for_=""), key) for key in raw if raw[key] is None}
    changed = replace(family.nets[name], **changes) if name in family.nets else made
    return with_family(book, replace(family, nets=frozen_map(dict(family.nets) | {name: changed})))


def with_family(book: Book, family: Family) -> Book:
    return replace(book, families=frozen_map(dict(book.families) | {family.id: family}))
