"""What somebody types into a calculation: a value, perhaps with its unit and tolerance, or a range."""

from __future__ import annotations

import math
import re

from benchlore.circuit.inputs import UNIT_EXAMPLES, InputError
from benchlore.quantity import PREFIXES, Quantity, scaled

LONGEST = 40
_NUMBER = r"[-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_UNIT = r"[A-Za-z]*"
_EXACT = re.compile(rf"({_NUMBER})\s*({_UNIT})\s*(?:(?:\+-\s*)?([0-9]+(?:[.,][0-9]*)?)\s*%)?", re.ASCII)
_SPAN = re.compile(rf"({_NUMBER})\s*({_UNIT})\s+to\s+({_NUMBER})\s*({_UNIT})", re.ASCII)
_THOUSANDS = re.compile(r"[-+]?[1-9][0-9]{0,2},[0-9]{3}")
_LOOKALIKES = str.maketrans(
    {
        "\u03a9": "ohm",
        "\u2126": "ohm",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u00b1": "+-",
        "\u2212": "-",
        "\u00a0": " ",
        "\u202f": " ",
    }
)


def typed(field: str, text: str, unit: str) -> Quantity:
    """The quantity of a field in `unit` (V, A or ohm): `2.2 kohm 5%`, `2.2k`, `3,42`, `6 to 8.4 V`.

    The unit may be left out, or all of it but the prefix. Raises InputError with the reason.
    """
    clean = text.translate(_LOOKALIKES).strip()
    if not clean:
        raise InputError(field, f"nothing is typed; write {UNIT_EXAMPLES[unit]}")
    if len(clean) > LONGEST:
        raise InputError(field, f"at most {LONGEST} characters")
    if found := _SPAN.fullmatch(clean):
        low_number, low_unit, high_number, high_unit = found.groups()
        high = _value(field, high_number, high_unit, unit)
        low = _value(field, low_number, low_unit or high_unit, unit)
        if low >= high:
            raise InputError(field, "the range does not rise; write the smaller value first")
        return Quantity(clean, unit, low, high)
    if found := _EXACT.fullmatch(clean):
        number, written, tolerance = found.groups()
        value = _value(field, number, written, unit)
        percent = _number(field, tolerance) if tolerance else 0.0
        if percent >= 100:
            raise InputError(field, "a tolerance is less than 100 %")
        spread = abs(value) * percent / 100
        return Quantity(clean, unit, value - spread, value + spread, value)
    raise InputError(field, f"'{clean}' is no value; write {UNIT_EXAMPLES[unit]}")


def _value(field: str, number: str, written: str, unit: str) -> float:
    value = _number(field, number, _power(field, written, unit))
    if not math.isfinite(value):
        raise InputError(field, "is too large")
    return value


def _number(field: str, number: str, power: int = 0) -> float:
    if _THOUSANDS.fullmatch(number):
        point, none = number.replace(",", "."), number.replace(",", "")
        raise InputError(field, f"'{number}' can be read in two ways; write {point} or {none}")
    return scaled(number.replace(",", "."), power)


def _power(field: str, written: str, unit: str) -> int:
    """The power of ten of a unit as written: `kohm`, `mV`, only its prefix, or nothing."""
    if written in ("", unit):
        return 0
    prefix = written.removesuffix(unit)
    if prefix in PREFIXES:
        return PREFIXES[prefix]
    raise InputError(field, f"'{written}' does not fit; write {UNIT_EXAMPLES[unit]}")
