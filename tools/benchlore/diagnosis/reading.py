"""What a technician types, and what it is: a value, over-range, or the name of an outcome."""

from __future__ import annotations

import re
from dataclasses import dataclass

from benchlore.book.model import Measurement, Meter
from benchlore.diagnosis.meter import largest_reading
from benchlore.findings import nearest
from benchlore.quantity import PREFIXES, QuantityError, format_value, scaled, split_unit

LONGEST = 40  # characters
_OVER_RANGE_WORDS = frozenset(
    {"ol", "o.l", "o.l.", "0l", "0.l", ".ol", "open", "over", "overrange", "over-range"}
)
_NUMBER = r"[-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_TYPED = re.compile(rf"({_NUMBER})\s*([A-Za-z\u00b0%]*)")
_SEVERAL = re.compile(rf"{_NUMBER}[^0-9]*\s[^0-9.,]*{_NUMBER}.*")
_THOUSANDS = re.compile(r"[-+]?[1-9][0-9]{0,2},[0-9]{3}")
_LOOKALIKES = str.maketrans(
    {
        "\u03a9": "ohm",
        "\u2126": "ohm",
        "\u00b5": "u",
        "\u03bc": "u",
        "\u2212": "-",
        "\u2013": "-",
        "\u00a0": " ",
        "\u202f": " ",
        "\u2009": " ",
    }
)


class ReadingError(ValueError):
    """A typed reading is refused. `reason` says why, `mend` what to type instead."""

    def __init__(self, reason: str, mend: str) -> None:
        super().__init__(f"{reason}; {mend}")
        self.reason = reason
        self.mend = mend


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a measurement.

    `value` in the base unit of the mode; `outcome` where the outcome was named; neither when it is
    over-range."""

    measure: str
    typed: str
    value: float | None = None
    outcome: str | None = None

    @property
    def over_range(self) -> bool:
        """True when the meter showed no number."""
        return self.value is None and self.outcome is None


def read(measurement: Measurement, meter: Meter, typed: str) -> Reading:
    """A typed reading of a measurement: `8.19`, `8,19 V`, `819 mV`, `.514`, `-0.02`, `OL`, `open`, `lit`.

    A number without a unit is in the base unit of the mode; a lone prefix (`2.2k`) stands for prefix and
    unit. The name of an outcome is always accepted. Raises ReadingError for anything else."""
    text = typed.translate(_LOOKALIKES).strip()
    if not text:
        raise ReadingError("nothing was typed", f"type {_expected(measurement)}")
    if len(text) > LONGEST:
        raise ReadingError(
            f"a reading is at most {LONGEST} characters long", f"type {_expected(measurement)}"
        )
    name = re.sub(r"[\s_]+", "-", text.lower())
    if measurement.unit is None:
        if name in measurement.outcomes:
            return Reading(measurement.id, typed, outcome=name)
        raise ReadingError(
            f"'{text}' is not an outcome of {measurement.id}", _outcome_mend(measurement, name)
        )
    if name in _OVER_RANGE_WORDS or text == "\u221e":
        _ranges(measurement, meter)
        return Reading(measurement.id, typed)
    if name in measurement.outcomes:
        return Reading(measurement.id, typed, outcome=name)
    return Reading(measurement.id, typed, _value(measurement, meter, text))


def _value(measurement: Measurement, meter: Meter, text: str) -> float:
    found = _TYPED.fullmatch(text)
    if not found:
        raise _not_a_number(measurement, text)
    number, unit = found.groups()
    power = _power(measurement, unit)
    limit = _ranges(measurement, meter)
    base = measurement.unit or ""
    if _THOUSANDS.fullmatch(number) and abs(scaled(number.replace(",", ""), power)) <= limit:
        raise ReadingError(
            f"'{number}' can be read in two ways",
            f"type {number.replace(',', '.')} or {number.replace(',', '')}",
        )
    value = scaled(number.replace(",", "."), power)
    if abs(value) > limit:
        shown = format_value(limit, base)
        raise ReadingError(
            f"{text} is beyond the largest {measurement.function.phrase} range of this meter ({shown})",
            "type OL when the meter shows over-range, or choose the meter that was used",
        )
    if not measurement.function.signed and value < 0 and -value > _offset(measurement, meter):
        raise ReadingError(
            f"{text} is below zero, and {measurement.function.phrase} cannot be", "check the sign"
        )
    return value


def _offset(measurement: Measurement, meter: Meter) -> float:
    """How far below zero a meter may read by its counts alone, doubled."""
    smallest = meter.accuracy[measurement.mode][0]
    return 2 * max(smallest.counts, 1) * smallest.resolution.middle


def _ranges(measurement: Measurement, meter: Meter) -> float:
    """The largest reading of the meter in this mode."""
    ranges = meter.accuracy.get(measurement.mode, ())
    if not ranges:
        raise ReadingError(
            f"{meter.id} has no {measurement.function.phrase} function",
            f"choose a meter that has it, or type the outcome: {', '.join(measurement.outcomes)}",
        )
    return largest_reading(ranges)


def _power(measurement: Measurement, unit: str) -> int:
    """The power of ten of a typed unit. Raises ReadingError for one that does not fit."""
    base = measurement.unit or ""
    if not unit:
        return 0
    if unit in PREFIXES and base not in ("degC", "%"):
        return PREFIXES[unit]
    if base == "Hz" and unit.lower() == "mhz" and unit not in ("mHz", "MHz"):
        raise ReadingError(f"'{unit}' can be read in two ways", "type MHz or mHz")
    if (unit.lower() in ("c", "\u00b0c") and base == "degC") or (unit in ("R", "r") and base == "ohm"):
        return 0
    try:
        power, typed_base = split_unit(_spelled(unit, base))
    except QuantityError as error:
        raise ReadingError(f"'{unit}' is not a unit", f"type the reading in {base}") from error
    if typed_base != base:
        raise ReadingError(
            f"{typed_base} does not fit: {measurement.id} is read in {base}", f"type the reading in {base}"
        )
    return power


def _spelled(unit: str, base: str) -> str:
    """The unit with its letters in the usual case: `v` -> V, `mv` -> mV, `KOHM` -> kohm, `khz` -> kHz."""
    if not unit.lower().rstrip("s").endswith(base.lower()) or base == "s":
        return unit
    prefix = unit[: len(unit.rstrip("s") if base == "ohm" else unit) - len(base)]
    return ("k" if prefix == "K" else prefix) + base


def _not_a_number(measurement: Measurement, text: str) -> ReadingError:
    if _SEVERAL.fullmatch(text):
        return ReadingError(f"'{text}' holds more than one number", "type one reading")
    if re.match(r"[<>~\u2264\u2265\u2248]", text):
        return ReadingError(f"'{text}' is not a reading", "type what the meter shows")
    known = nearest(text.lower(), measurement.outcomes)
    return ReadingError(f"'{text}' is not a reading", known or f"type {_expected(measurement)}")


def _expected(measurement: Measurement) -> str:
    if measurement.unit is None:
        return f"one of {', '.join(measurement.outcomes)}"
    return f"what the meter shows in {measurement.unit}, or OL"


def _outcome_mend(measurement: Measurement, name: str) -> str:
    return nearest(name, measurement.outcomes) or f"type one of {', '.join(measurement.outcomes)}"
