"""What the entries of a family leave out, on plain data: the meter function by the unit of the healthy range,
the bench state by the family's usual ones, the top side.

Data that are not well formed are left alone; their schema says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from benchlore.quantity import QuantityError, parse_quantity
from benchlore.vocabulary import FUNCTIONS, OF_UNIT

Raw = Mapping[str, Any]
LOOK = "look"


def with_defaults(family: Raw) -> dict[str, Any]:
    """The data of a family with what its entries leave out, as far as it follows."""
    full = dict(family)
    made: dict[str, Callable[[Raw], Raw]] = {
        "parts": _placed,
        "test_points": _placed,
        "measurements": lambda one: _measured(one, family.get("usual_state")),
    }
    for section, fill in made.items():
        if section in full:
            full[section] = _each(full[section], fill)
    board = full.get("board")
    if isinstance(board, Mapping) and "landmarks" in board:
        full["board"] = {**board, "landmarks": _each(board["landmarks"], _placed)}
    return full


def lacking(family: Raw) -> Iterator[tuple[str, str, str]]:
    """Measurement, field and mend of what still lacks."""
    entries = family.get("measurements")
    for name, one in entries.items() if isinstance(entries, Mapping) else ():
        if isinstance(one, Mapping) and "mode" not in one:
            yield str(name), "mode", "add 'mode:'; the unit of its range does not say it"
        if isinstance(one, Mapping) and "state" not in one:
            yield str(name), "state", "add 'state:', or 'usual_state' at the head of the family"


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


def _each(entries: Any, fill: Callable[[Raw], Raw]) -> Any:
    if not isinstance(entries, Mapping):
        return entries
    return {name: fill(one) if isinstance(one, Mapping) else one for name, one in entries.items()}


def _placed(one: Raw) -> Raw:
    return {"side": "top", **one} if "at" in one else one


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
