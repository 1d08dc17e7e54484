"""What the entries of a family leave out, on plain data: the meter function by the unit of the healthy range,
the bench state by the family's usual ones, the top side; the kind of a part by the letters of its designator,
and by its kind that it unplugs; the kind of a net by its bus or its signal.

Data that are not well formed are left alone; their schema says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from benchlore.quantity import QuantityError, parse_quantity
from benchlore.vocabulary import FUNCTIONS, KIND_BY_BUS, KIND_BY_LETTER, OF_UNIT, OUTSIDE_KINDS

Raw = Mapping[str, Any]
# What an entry is in full, by its name and its data.
Fill = Callable[[str, Raw], Raw]
LOOK = "look"
_LACKS = (
    ("parts", "kind", "add 'kind:'; the letters of its designator do not say it"),
    ("measurements", "mode", "add 'mode:'; the unit of its range does not say it"),
    ("measurements", "state", "add 'state:', or 'usual_state' at the head of the family"),
)


def with_defaults(family: Raw) -> dict[str, Any]:
    """The data of a family with what its entries leave out, as far as it follows."""
    full = dict(family)
    made: dict[str, Fill] = {
        "nets": _carrying,
        "parts": lambda name, one: _placed(name, _of_kind(name, one)),
        "test_points": _placed,
        "measurements": lambda _, one: _measured(one, family.get("usual_state")),
    }
    for section, fill in made.items():
        if section in full:
            full[section] = _each(full[section], fill)
    board = full.get("board")
    if isinstance(board, Mapping) and "landmarks" in board:
        full["board"] = {**board, "landmarks": _each(board["landmarks"], _placed)}
    return full


def lacking(family: Raw) -> Iterator[tuple[str, str, str, str]]:
    """Section and name of an entry, field and mend of what still lacks."""
    for section, field, mend in _LACKS:
        entries = family.get(section)
        for name, one in entries.items() if isinstance(entries, Mapping) else ():
            if isinstance(one, Mapping) and field not in one:
                yield section, str(name), field, mend


def without_defaults(family: Raw) -> dict[str, Any]:
    """The data of a family without the kinds, and what unplugs, that `with_defaults` finds again."""

    def lessened(fill: Fill, *fields: str) -> Fill:
        def of_one(name: str, one: Raw) -> Raw:
            for field in fields:
                rest = {key: value for key, value in one.items() if key != field}
                one = rest if fill(name, rest).get(field) == one.get(field) else one
            return one

        return of_one

    made = {"nets": lessened(_carrying, "kind"), "parts": lessened(_of_kind, "unplugs", "kind")}
    return {key: _each(value, made[key]) if key in made else value for key, value in family.items()}


def mode_of(measurement: Raw) -> str | None:
    """The meter function that a measurement needs not state: that of its unit, and without ranges a look."""
    if "compare" in measurement:
        return None
    steps, outcomes = measurement.get("steps"), measurement.get("outcomes")
    named = (
        [one for one in outcomes.values() if isinstance(one, Mapping)]
        if isinstance(outcomes, Mapping)
        else []
    )
    stated = [measurement.get("healthy"), *(steps.values() if isinstance(steps, Mapping) else ())]
    ranges = [text for text in (*stated, *(one.get("range") for one in named)) if text is not None]
    units = [_unit(text) for text in ranges]
    return next((OF_UNIT[unit] for unit in units if unit in OF_UNIT), None if ranges else LOOK)


def _unit(text: Any) -> str:
    try:
        return parse_quantity(text).unit if isinstance(text, str) else ""
    except QuantityError:
        return ""


def _each(entries: Any, fill: Fill) -> Any:
    if not isinstance(entries, Mapping):
        return entries
    return {name: fill(str(name), one) if isinstance(one, Mapping) else one for name, one in entries.items()}


def _placed(_: str, one: Raw) -> Raw:
    return {"side": "top", **one} if "at" in one else one


def _of_kind(name: str, part: Raw) -> Raw:
    kind = part.get("kind", KIND_BY_LETTER.get(name.rstrip("0123456789")))
    if kind is None:
        return part
    outside = isinstance(kind, str) and kind in OUTSIDE_KINDS
    return {"kind": kind, **({"unplugs": True} if outside else {}), **part}


def _carrying(_: str, net: Raw) -> Raw:
    kind = KIND_BY_BUS.get(str(net.get("bus")))
    signal = net.get("signal")
    if kind is None and isinstance(signal, Mapping):
        kind = "clock" if "hertz" in signal else "control"
    return {"kind": kind, **net} if kind else net


def _measured(one: Raw, usual: Any) -> Raw:
    full = dict(one)
    mode = full.get("mode") or mode_of(one)
    if mode:
        full["mode"] = mode
    if "state" not in full and isinstance(usual, Mapping) and isinstance(mode, str) and mode in FUNCTIONS:
        unpowered = mode == LOOK or FUNCTIONS[mode].power == "off"
        state = usual.get("unpowered" if unpowered else "powered")
        full |= {"state": state} if state is not None else {}
    return full
