"""Plain data that fit their schema, to frozen records. Nothing here fails on data that the schema passed.

The types of the records in `model.py` say how each field is read: a quantity from its text, a mapping of
records by its keys as ids, and so on. So a field that is added to a record there is read without more.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from benchlore.book.elements import Percent
from benchlore.book.model import (
    Family,
    Fault,
    Hazard,
    Length,
    Meter,
    Retired,
    Shop,
    State,
    States,
    Symptom,
    Technique,
    Word,
    frozen_map,
)
from benchlore.findings import Origin
from benchlore.quantity import Quantity, parse_quantity

Raw = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Files:
    """Where a record stands. `elsewhere`: its entries that stand in other files, by section and name."""

    file: str
    elsewhere: Mapping[str, Mapping[str, str]] = field(default_factory=frozen_map)

    def origin(self, path: tuple[str | int, ...]) -> Origin:
        """Where what lies at a path stands."""
        section, name = (str(step) for step in (*path, "", "")[:2])
        return Origin(self.elsewhere.get(section, {}).get(name, self.file), path)


# Reads a value: what the file says, the files, the path to the value in them, and the id that it has.
Reader = Callable[[Any, Files, tuple[str | int, ...], str], Any]

# What the file of a kind holds: one record, or several by id.
_HOLDS: Mapping[str, Any] = {
    "shop": Shop,
    "symptoms": Mapping[str, Symptom],
    "hazards": Mapping[str, Hazard],
    "meters": Mapping[str, Meter],
    "states": Mapping[str, State],
    "words": Mapping[str, Word],
    "technique": Technique,
    "family": Family,
    "fault": Fault,
    "retired": Retired,
}


def read_record(
    kind: str, key: str, file: str, raw: Raw, elsewhere: Mapping[str, Mapping[str, str]] | None = None
) -> Any:
    """What the file of a kind holds: its record, or in the files of `common/` a mapping of records by id.

    A fault that is no longer in use is `Retired`. `elsewhere`: entries of a family that stand in its other
    files, by section and name.
    """
    if kind == "fault" and not raw.keys().isdisjoint({"moved_to", "retired"}):
        kind = "retired"
    return _reader(_HOLDS[kind])(raw, Files(file, elsewhere or frozen_map()), (), key)


@cache
def _reader(hint: Any) -> Reader:
    """How a value of a type is read."""
    if hint in _PLAIN:
        convert = _PLAIN[hint]
        return lambda raw, *_: convert(raw)
    if hint == States:
        return _states
    if isinstance(hint, type) and is_dataclass(hint):
        return _record_reader(hint)
    origin, arguments = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return _reader(arguments[0])
    if origin in (Union, types.UnionType):
        (given,) = (each for each in arguments if each is not type(None))
        return _reader(given)
    if origin is Literal:
        return lambda raw, *_: raw
    if origin is tuple:
        return _list_reader(_reader(arguments[0]))
    if origin is Mapping:
        each = _reader(arguments[1])
        return lambda raw, file, path, _: frozen_map(
            {name: each(r, file, (*path, name), name) for name, r in raw.items()}
        )
    raise TypeError(f"no way to read {hint} from a record")


def _list_reader(each: Reader) -> Reader:
    """A list; of one item it may hold the item alone."""

    def read(raw: Any, file: Files, path: tuple[str | int, ...], _: str) -> Any:
        if not isinstance(raw, list):
            return (each(raw, file, path, ""),)
        return tuple(each(item, file, (*path, i), "") for i, item in enumerate(raw))

    return read


def _record_reader(kind: type) -> Reader:
    hints = get_type_hints(kind, include_extras=True)
    named = [
        (own.name, own.name.rstrip("_"), _reader(hints[own.name]))
        for own in fields(kind)
        if own.name not in ("id", "origin") and "found" not in own.metadata
    ]
    in_full = getattr(kind, "in_full", lambda raw: raw)
    has_id, has_origin = "id" in hints, "origin" in hints

    def read(raw: Any, file: Files, path: tuple[str | int, ...], key: str) -> Any:
        whole = in_full(raw)
        given = {name: each(whole[k], file, (*path, k), "") for name, k, each in named if k in whole}
        if has_id:
            given["id"] = key
        if has_origin:
            given["origin"] = file.origin(path)
        return kind(**given)

    return read


def _states(raw: Any, file: Files, path: tuple[str | int, ...], _: str) -> Mapping[str, State | None]:
    """A list of names and of mappings from a name to a state of the family's own."""
    read, found = _reader(State), {}
    for i, item in enumerate(raw):
        own = item.items() if isinstance(item, Mapping) else [(item, None)]
        for name, given in own:
            found[name] = None if given is None else read(given, file, (*path, i, name), name)
    return frozen_map(found)


def _same(value: Any) -> Any:
    return value


_PLAIN: Mapping[Any, Callable[[Any], Any]] = {
    str: str,  # a worked example may hold a number
    bool: _same,
    int: int,  # JSON Schema takes 1.0 for a whole number
    float: float,
    Quantity: parse_quantity,
    Length: lambda text: parse_quantity(text).middle,
    Percent: lambda text: float(text.rstrip("%")),
}
