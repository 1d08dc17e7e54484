"""Records as plain data that JSON can hold, made from their types: no field is named here.

A record becomes an object with the fields that it has in its file, under the names that they have there; a
field that was left out has its default. To that a `Projection` adds what is found from the whole book, leaves
fields out, or gives texts in another dress, each under a key of its own. `book/forms.py` makes the schema and
the types of what a projection gives from the same tables.
"""

from __future__ import annotations

import math
import types
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from benchlore.book.model import Book
from benchlore.findings import Origin
from benchlore.quantity import Quantity

Json = dict[str, Any]
# What is found of a record: the book, the record that its file holds, and the record itself. It is annotated
# to return a TypedDict.
Finder = Callable[[Book, Any, Any], Mapping[str, object]]
Dress = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Dressed:
    """Values of these types (`hints`) as `make` gives them, under `key`.

    Where that is empty, in their own place. `instead`: only there. `within`: only in records of these types;
    in all when it is empty.
    """

    key: str
    hints: frozenset[Any]
    make: Dress
    instead: bool = True
    within: frozenset[type] = frozenset()


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a record: its name in Python, in the file, and its type."""

    name: str
    key: str
    hint: Any


@cache
def fields_of(kind: type) -> tuple[Field, ...]:
    """The fields that a record's file states, its id first."""
    hints = get_type_hints(kind, include_extras=True)
    return tuple(
        Field(f.name, f.name.rstrip("_"), hints[f.name])
        for f in fields(kind)
        if hints[f.name] is not Origin and "found" not in f.metadata
    )


@dataclass(frozen=True, slots=True)
class Projection:
    """`adds`: what is found, by type of record; `leaves_out`: names of fields in the file, by type."""

    adds: Mapping[type, Finder] = field(default_factory=dict)
    leaves_out: Mapping[type, frozenset[str]] = field(default_factory=dict)
    dresses: tuple[Dressed, ...] = ()

    def of(self, book: Book, record: Any, holder: Any = None) -> Json:
        """A record as data. `holder`: the record of the file that it stands in, where that is another."""
        kind = type(record)
        holder = record if holder is None or isinstance(holder, Book) else holder
        given: Json = {}
        for own in self.fields_of(kind):
            value = getattr(record, own.name)
            for dressed in self.dresses_of(kind, own):
                place = given.setdefault(dressed.key, {}) if dressed.key else given
                place[own.key] = _each(value, dressed.make)
            if not any(dressed.instead for dressed in self.dresses_of(kind, own)):
                given[own.key] = _each(value, lambda one: self._plain(book, one, holder))
        return given | dict(self.adds[kind](book, holder, record)) if kind in self.adds else given

    def fields_of(self, kind: type) -> tuple[Field, ...]:
        """The fields of a record that are given."""
        out = self.leaves_out.get(kind, frozenset())
        return tuple(own for own in fields_of(kind) if own.key not in out)

    def dresses_of(self, kind: type, field: Field) -> tuple[Dressed, ...]:
        """What a field is given as beside its own form, or instead of it."""
        hint = innermost(field.hint)
        return tuple(
            dressed
            for dressed in self.dresses
            if hint in dressed.hints and (not dressed.within or kind in dressed.within)
        )

    def _plain(self, book: Book, value: Any, holder: Any) -> Any:
        if isinstance(value, Quantity):
            low, high = (end if math.isfinite(end) else None for end in (value.low, value.high))
            return {"text": value.text, "low": low, "high": high, "unit": value.unit}
        return self.of(book, value, holder) if is_dataclass(value) else value


def innermost(hint: Any) -> Any:
    """The type of a value within lists, mappings and options."""
    origin, arguments = get_origin(hint), get_args(hint)
    if origin is tuple:
        return innermost(arguments[0])
    if origin is Mapping:
        return innermost(arguments[1])
    if origin in (Union, types.UnionType):
        return innermost(next(one for one in arguments if one is not type(None)))
    return hint


def _each(value: Any, make: Dress) -> Any:
    """The value with each of its innermost values made anew."""
    if value is None:
        return None
    if isinstance(value, Mapping):
        return {key: _each(one, make) for key, one in value.items()}
    if isinstance(value, tuple):
        return [_each(one, make) for one in value]
    return make(value)
