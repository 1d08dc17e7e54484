"""Readers of single answers: ids, quantities, places."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Container

from benchlore.book.schemas import MAX_ID
from benchlore.quantity import QuantityError, format_value, parse_quantity
from benchlore.rules.ids import reserved_fault
from benchlore.starter.talk import RefusedError

_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_NET = re.compile(r"[A-Z0-9]+(_[A-Z0-9]+)*")
_PART = re.compile(r"[A-Z]+[0-9]+[A-Z]?")
_PLACE = re.compile(r"(\d+(?:\.\d+)?)(?: *mm)?[ ,x]+(\d+(?:\.\d+)?)(?: *mm)?")


def slug(taken: Container[str] = ()) -> Callable[[str], str]:
    """A reader of a new id: lower-case words joined by hyphens."""

    def read(text: str) -> str:
        if len(text) > MAX_ID:
            raise RefusedError(f"the name has {len(text)} characters; shorten it to {MAX_ID} at most")
        if not _SLUG.fullmatch(text):
            raise RefusedError(f"'{text}' cannot be a name; use lower-case words joined by hyphens")
        if said := reserved_fault(text):
            raise RefusedError(f"{said}; choose another name")
        return _new(text, taken)

    return read


def net_name(taken: Container[str] = ()) -> Callable[[str], str]:
    """A reader of a new net or point: capitals and digits, joined by underscores."""

    def read(text: str) -> str:
        if not _NET.fullmatch(text):
            raise RefusedError(f"'{text}' cannot be a name here; use capitals and digits, as in MAIN_3V3")
        return _new(text, taken)

    return read


def designator(text: str) -> str:
    """A part's designator."""
    if not _PART.fullmatch(text):
        raise RefusedError(f"'{text}' is not a designator; write one as the board does, such as C12")
    return text


def _new(text: str, taken: Container[str]) -> str:
    if text in taken:
        raise RefusedError(f"'{text}' is there already; choose another name")
    return text


def value(unit: str) -> Callable[[str], str]:
    """A reader of a quantity of one unit; it is kept as it was written."""

    def read(text: str) -> str:
        try:
            found = parse_quantity(text)
        except QuantityError as error:
            raise RefusedError(f"{error.reason}; {error.mend}") from error
        if found.unit != unit:
            raise RefusedError(f"'{text}' is in {found.unit or 'no unit'}; write it in {unit}")
        return text

    return read


def band(unit: str) -> Callable[[str], str]:
    """A reader of a quantity with its tolerance, or of a range: arithmetic is done with both ends."""
    plain = value(unit)

    def read(text: str) -> str:
        found = parse_quantity(plain(text))
        if found.low == found.high:
            raise RefusedError(f"'{text}' has no tolerance; write '{text} 5%', or a range with 'to'")
        return text

    return read


def place(text: str) -> list[str]:
    """Two lengths from the lower left corner: `24 30` or `24 mm, 30 mm`."""
    found = _PLACE.fullmatch(text)
    if not found:
        raise RefusedError(f"'{text}' is no place; write millimetres across and up, such as 24 30")
    return [f"{found[1]} mm", f"{found[2]} mm"]


def said(number: float, unit: str) -> str:
    """A value as records write it: `323 mV`."""
    digits, _, shown = format_value(number, unit).replace("\u00a0", " ").partition(" ")
    return f"{digits.rstrip('0').rstrip('.') if '.' in digits else digits} {shown}"


def between(low: float, high: float, unit: str) -> str:
    """A range as records write it: `3.23 to 3.37 V`, `323 mV to 3.23 V`."""
    first, _, of_first = said(low, unit).partition(" ")
    last = said(high, unit)
    return f"{first} to {last}" if last.endswith(f" {of_first}") else f"{first} {of_first} to {last}"


def outward(low: float, high: float) -> tuple[float, float]:
    """A range rounded to three digits, outwards."""

    def rounded(value: float, up: bool) -> float:
        if value == 0:
            return 0.0
        step = 10.0 ** (math.floor(math.log10(abs(value))) - 2)
        return (math.ceil(value / step - 1e-9) if up else math.floor(value / step + 1e-9)) * step

    return rounded(low, False), rounded(high, True)
