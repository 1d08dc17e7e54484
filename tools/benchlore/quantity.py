"""Values as people write them: `8.40 V`, `2.2 kohm 5%`, `8.35 to 8.45 V`, `under 1 V`, `open`.

Grammar (spaces between words are free, at least one where two letters or digits would meet)::

    quantity  = "open" | bound | span | exact
    bound     = ("under" | "over") number unit
    span      = number [unit] "to" number unit
    exact     = number unit [ ["+-"] number "%" ]
    number    = ["-" | "+"] digits ["." digits] | ["-" | "+"] "." digits
    unit      = [prefix] base            prefix = p n u m k M G
    base      = V A ohm F H Hz s degC W mm min %

`Ω`, `µ`, `°C` and `±` are read as `ohm`, `u`, `degC` and `+-`. Every quantity becomes an interval in its
base unit, so that comparing, containing and worst-case arithmetic need one form only.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from benchlore.vocabulary import PREFIXES, UNITS

BASE_UNITS = tuple(UNITS)
# What is longer is no quantity that somebody wrote, and is not tried against the patterns.
MAX_TEXT = 60

_LOOKALIKES = str.maketrans(
    {
        "\u03a9": "ohm",
        "\u2126": "ohm",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u2212": "-",
        "\u00a0": " ",
        "\u202f": " ",
    }
)
_NUMBER = r"[-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_UNIT = r"[A-Za-z%]+"
_EXACT = re.compile(rf"({_NUMBER})\s*({_UNIT})(?:\s+(?:\+-\s*)?({_NUMBER})\s*%)?")
_SPAN = re.compile(rf"({_NUMBER})\s*({_UNIT})?\s+to\s+({_NUMBER})\s*({_UNIT})")
_BOUND = re.compile(rf"(under|over)\s+({_NUMBER})\s*({_UNIT})")


class QuantityError(ValueError):
    """A text is not a quantity. `reason` says why, `mend` what to write instead."""

    def __init__(self, reason: str, mend: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.mend = mend


@dataclass(frozen=True, slots=True)
class Quantity:
    """An interval `low` to `high` in the base unit `unit`.

    `nominal` is the stated value of an exact quantity (`2.2 kohm 5%` has 2200), else None. An open end is
    infinite. `open` (a meter's over-range) is the degenerate interval at plus infinity without a unit.
    """

    text: str
    unit: str
    low: float
    high: float
    nominal: float | None = None

    @property
    def is_open(self) -> bool:
        """True for the over-range reading `open`."""
        return self.low == math.inf

    @property
    def middle(self) -> float:
        """The nominal value, else the finite middle of the interval, else its one finite end."""
        if self.nominal is not None:
            return self.nominal
        if math.isfinite(self.low) and math.isfinite(self.high):
            return (self.low + self.high) / 2
        return self.low if math.isfinite(self.low) else self.high

    def contains(self, other: Quantity) -> bool:
        """True when every value of `other` lies in this interval (ends included)."""
        return self.low <= other.low and other.high <= self.high

    def overlaps(self, other: Quantity) -> bool:
        """True when the two intervals share more than an end point."""
        if self.is_open or other.is_open:
            return self.is_open and other.is_open
        return self.low < other.high and other.low < self.high

    def __str__(self) -> str:
        return self.text


OPEN = Quantity("open", "", math.inf, math.inf)


def split_unit(text: str) -> tuple[int, str]:
    """`kohm` -> (3, `ohm`): the power of ten and the base unit. Raises QuantityError for an unknown unit."""
    if text in BASE_UNITS:
        return 0, text
    prefix, base = text[:1], text[1:]
    if base in BASE_UNITS and UNITS[base].prefixed and prefix in PREFIXES:
        return PREFIXES[prefix], base
    raise QuantityError(f"'{text}' is not a unit", _unit_mend(text))


def _unit_mend(text: str) -> str:
    written = [f"{p}{b}" for b in BASE_UNITS for p in PREFIXES if not p or UNITS[b].prefixed]
    # Of 'mV' and 'MV' the likelier one is meant: milli, but mega where it is a frequency.
    unlikely = {"mHz", *(w for w in written if w.startswith("M") and w != "MHz")}
    known = {w.lower(): w for w in written if w not in unlikely}
    known |= {
        "c": "degC",
        "\u00b0c": "degC",
        "r": "ohm",
        "k": "kohm",
        "ohms": "ohm",
        "volt": "V",
        "volts": "V",
    }
    near = known.get(text.lower())
    return f"write '{near}'" if near else f"use one of {', '.join(BASE_UNITS)}, with p n u m k M G before it"


def scaled(number: str, power: int) -> float:
    """The float nearest to `number` x 10^power: the decimal text is scaled, so 819 mV is exactly 0.819.

    Raises QuantityError where that is beyond every float.
    """
    value = float(f"{number}e{power}")
    if math.isinf(value):
        raise QuantityError("the number is too large", "write a shorter number, with a prefix at the unit")
    return value


def parse_quantity(text: str) -> Quantity:
    """Read a quantity as written in the book.

    Raises QuantityError with a reason and a mend for anything outside the grammar of this module.
    """
    if len(text) > MAX_TEXT:
        reason = f"'{text[:40]}...' has {len(text)} characters; a quantity has at most {MAX_TEXT}"
        raise QuantityError(reason, "write the value and its unit alone")
    clean = text.replace("\u00b0C", "degC").replace("\u00b1", "+-").translate(_LOOKALIKES).strip()
    if clean == "open":
        return OPEN
    if found := _BOUND.fullmatch(clean):
        word, number, unit = found.groups()
        power, base = split_unit(unit)
        value = scaled(number, power)
        low, high = (-math.inf, value) if word == "under" else (value, math.inf)
        return Quantity(text, base, low, high)
    if found := _SPAN.fullmatch(clean):
        return _span(text, *found.groups())
    if found := _EXACT.fullmatch(clean):
        return _exact(text, *found.groups())
    raise QuantityError(f"'{text}' is not a quantity", _shape_mend(clean))


def _span(text: str, low_number: str, low_unit: str | None, high_number: str, high_unit: str) -> Quantity:
    high_power, base = split_unit(high_unit)
    low_power, low_base = split_unit(low_unit) if low_unit else (high_power, base)
    if low_base != base:
        raise QuantityError(f"'{text}' runs from {low_base} to {base}", "use one unit for both ends")
    low, high = scaled(low_number, low_power), scaled(high_number, high_power)
    if low >= high:
        raise QuantityError(f"'{text}' does not rise", "write the smaller value first")
    return Quantity(text, base, low, high)


def _exact(text: str, number: str, unit: str, percent: str | None) -> Quantity:
    power, base = split_unit(unit)
    value = scaled(number, power)
    tolerance = float(percent) if percent else 0.0
    if tolerance < 0 or tolerance >= 100:
        raise QuantityError(f"'{text}' has a tolerance of {percent}%", "write a tolerance from 0 up to 100%")
    spread = abs(value) * tolerance / 100
    return Quantity(text, base, value - spread, value + spread, value)


def _shape_mend(text: str) -> str:
    if re.fullmatch(_NUMBER, text):
        return f"add the unit, such as '{text} V'"
    if re.fullmatch(rf"(?:{_NUMBER}\s+to|under|over)\s+{_NUMBER}", text):
        return f"add the unit, such as '{text} V'"
    if re.search(r"\d,\d", text):
        return "write a decimal point, not a comma"
    if re.search(r"\d\s*(?:-|\.\.|\u2013)\s*\d", text):
        return "write a range with 'to', such as '8.35 to 8.45 V'"
    if re.match(r"[<>]|below|above|less|more", text):
        return "write 'under 1 V' or 'over 1 V'"
    if text.lower() in ("ol", "o.l", "inf", "infinite"):
        return "write 'open'"
    return "write '8.40 V', '2.2 kohm 5%', '8.35 to 8.45 V', 'under 1 V' or 'open'"


def format_value(value: float, unit: str, digits: int = 4) -> str:
    """A computed value for people: `digits` significant digits, the SI prefix that fits (`2.2 kohm`).

    The space is a no-break space, so that a number never parts from its unit.
    """
    if math.isinf(value):
        return "open"
    if not UNITS[unit].prefixed or value == 0:
        return f"{_significant(value, digits)}\u00a0{unit}"
    for prefix, power in sorted(PREFIXES.items(), key=lambda item: -item[1]):
        shown = value / 10.0**power
        if float(f"{abs(shown):.{digits}g}") >= 1 or prefix == "p":
            return f"{_significant(shown, digits)}\u00a0{prefix}{unit}"
    raise AssertionError("the smallest prefix takes every value")


def _significant(value: float, digits: int) -> str:
    rounded = float(f"{value:.{digits}g}")
    whole = len(str(int(abs(rounded)))) if abs(rounded) >= 1 else 1
    return f"{rounded:.{max(digits - whole, 0)}f}"
