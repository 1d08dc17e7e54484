"""Graphs for the tests: both boards of the book, written out, and small ones in the same form."""

from functools import cache
from pathlib import Path

import yaml

from benchlore.book import load_book
from benchlore.book.model import Book
from benchlore.circuit.graph.elements import Graph
from benchlore.circuit.graph.facts import graph_of, probes_of
from benchlore.circuit.graph.predict import Meter
from benchlore.circuit.graph.read import read_graph

HERE = Path(__file__).parent
ROOT = HERE.parents[2]
FAMILIES = ("petrel-13", "tern-10")


@cache
def book() -> Book:
    return load_book(ROOT).book


@cache
def written(family: str) -> Graph:
    """The whole circuit of a family, from the file beside this one."""
    data = yaml.safe_load((HERE / f"{family}.yaml").read_text(encoding="utf-8"))
    return read_graph(family, data, {state.id: state.sources for state in book().states.values()})


@cache
def from_facts(family: str) -> Graph:
    return graph_of(book(), book().families[family])


@cache
def meter() -> Meter:
    return probes_of(book().meters[book().shop.default_meter])


def small(text: str) -> Graph:
    """A graph from YAML, in the bench states `on` (the adapter in), `pack`, `both` and `off`."""
    states = {"on": ("adapter",), "pack": ("pack",), "both": ("adapter", "pack"), "off": ()}
    return read_graph("small", yaml.safe_load(text), states)
