"""Graphs for the tests: those of the families of the book in `faults/`, and small ones in the same form."""

from dataclasses import replace
from functools import cache

import yaml

from benchlore.book.model import Book, Family, State, frozen_map
from benchlore.book.records import read_record
from benchlore.book.schemas import shape_problems
from benchlore.circuit.graph.elements import Graph
from benchlore.circuit.graph.family import graph_of, probes_of
from benchlore.circuit.graph.predict import Meter
from benchlore.findings import Origin
from tests.books import example, shipped

FAMILIES = ("petrel-13", "tern-10")
FILE = "faults/small/family.yaml"


def book() -> Book:
    """The book in `faults/`."""
    return shipped()


@cache
def board(family: str) -> Graph:
    """The circuit of a family of the book in `faults/`."""
    return graph_of(book(), book().families[family])


@cache
def meter() -> Meter:
    return probes_of(example().meters[example().shop.default_meter])


def small_book(text: str) -> tuple[Book, Family]:
    """A family of the nets and parts in a YAML text, in the bench states `on` (the adapter in), `pack`,
    `both` and `off`; what else a record needs is filled in."""
    raw = yaml.safe_load(text)
    nets = {name: {"for": "A net."} | net for name, net in raw["nets"].items()}
    owed = {"name": "a part", "package": "0402 chip", "replace": {"minutes": 10, "skill": "iron"}}
    parts = {name: owed | part for name, part in raw.get("parts", {}).items()}
    place = {"side": "top", "at": {"A": ["1 mm", "1 mm"]}}
    whole = {
        "title": "Small",
        "kind": "other",
        "summary": "A board.",
        "revisions": {"A": {"tell": "The letter A."}},
        "board": {
            "width": "9 mm",
            "height": "9 mm",
            "landmarks": {"Hole": place | {"size": ["1 mm", "1 mm"]}},
        },
        "states": ["on", "pack", "both", "off"],
        "nets": nets,
        "parts": parts or {"X1": owed | {"kind": "ic"}},
        "test_points": {"TP1": place | {"net": next(iter(nets)), "where": {"A": "beside it"}}},
        "measurements": {
            "look": {
                "at": "TP1",
                "mode": "look",
                "state": "off",
                "minutes": 1,
                "asks": "Is it there?",
                "outcomes": {"there": {"normal": True, "means": "It is."}, "gone": {"means": "It is not."}},
            }
        },
    }
    assert [problem for _, problem in shape_problems("family", FILE, whole)] == []
    family = read_record("family", "small", FILE, whole)
    sources = {"on": ("adapter",), "pack": ("pack",), "both": ("adapter", "pack"), "off": ()}
    states = {
        name: State(id=name, origin=Origin(FILE), title=name, short=name, sources=given, minutes=1, how=())
        for name, given in sources.items()
    }
    family = family.with_common(states, {})
    families = frozen_map({"small": family})
    return replace(example(), states=frozen_map(states), families=families, faults=frozen_map()), family


def small(text: str) -> Graph:
    """The graph of `small_book`."""
    return graph_of(*small_book(text))
