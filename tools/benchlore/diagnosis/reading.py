"""What a technician types, and what it is: a value, over-range, or the name of an outcome.

Values are read by `benchlore.typed`. Here stands what follows from the measurement and the meter: what the
meter cannot show or mean is refused, and what may lack the prefix of the display is asked back.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from benchlore.book.model import Measurement, Meter, MeterRange, frozen_map
from benchlore.diagnosis.meter import MOST_APART, largest_reading, range_for, ranges_of, ratio_uncertainty
from benchlore.findings import nearest
from benchlore.quantity import Quantity, format_value, scaled
from benchlore.typed import LONGEST, Typed, TypedError, clean, is_over_range, typed
from benchlore.vocabulary import PREFIXES

# A lone 1 on the left is how some meters show over-range; with a point nobody types it for a value.
_LONE_ONE = re.compile(r"1 ?[.,]?")
# What people write between two readings that they compare.
_BETWEEN = re.compile(r"\s*(?:/|\bagainst\b|\bvs\b\.?|\band\b)\s*")
_SLIPS = ("k", "M", "m", "u")


class ReadingError(ValueError):
    """A typed reading is refused. `reason` says why, `mend` what to type instead.

    `choices`: where it can mean several things, each as it is typed without doubt; else empty.
    """

    def __init__(self, reason: str, mend: str, choices: tuple[str, ...] = ()) -> None:
        super().__init__(f"{reason}; {mend}")
        self.reason = reason
        self.mend = mend
        self.choices = choices


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a measurement.

    `value` in the base unit of the mode; `outcome` where the outcome was named; neither when it is
    over-range. `span`: the ends between which an unsteady reading moves, `value` being their middle. `note`:
    what to look at before it is believed. `u`: its standard uncertainty, where that does not follow from the
    meter and the value: of two readings that were compared."""

    measure: str
    typed: str
    value: float | None = None
    outcome: str | None = None
    span: tuple[float, float] | None = None
    note: str = ""
    u: float | None = None

    @property
    def over_range(self) -> bool:
        """True when the meter showed no number."""
        return self.value is None and self.outcome is None


def read(measurement: Measurement, meter: Meter, text: str) -> Reading:
    """A typed reading of a measurement: what `typed` takes, `OL`, or the name of an outcome (`lit`).

    A number without a unit is in the base unit of the mode, unless only another prefix would make it a
    healthy reading: then it is asked back. Raises ReadingError for anything else."""
    said = clean(text)
    if not said:
        raise ReadingError("nothing was typed", f"type {_expected(measurement)}")
    if len(said) > LONGEST:
        raise ReadingError(
            f"a reading is at most {LONGEST} characters long", f"type {_expected(measurement)}"
        )
    name = re.sub(r"[ _]+", "-", said.lower())
    named = name in measurement.outcomes
    if measurement.unit is None:
        if named:
            return Reading(measurement.id, text, outcome=name)
        mend = nearest(name, measurement.outcomes) or f"type one of {', '.join(measurement.outcomes)}"
        raise ReadingError(f"'{said}' is not an outcome of {measurement.id}", mend)
    if measurement.compare and not named:
        return _compared(measurement, meter, text, said)
    ranges = ranges_of(measurement, meter)
    reads_over = bool(ranges) and _reads_over(measurement, ranges)
    over = is_over_range(said, measurement.unit)
    if named and not (over and reads_over):
        return Reading(measurement.id, text, outcome=name)
    _check_ranges(measurement, meter)
    if over and reads_over:
        return Reading(measurement.id, text)
    if over:
        raise ReadingError(
            f"over-range in {measurement.function.phrase} says that the dial is wrong, or its range too low",
            "check the dial, and measure again",
        )
    if _LONE_ONE.fullmatch(said) and (said != "1" or reads_over):
        one = f"1.0 {measurement.unit}"
        raise _asked("some meters show a lone 1 when they are over their range", ("OL", one))
    return _value(measurement, meter, text, said)


def _compared(measurement: Measurement, meter: Meter, text: str, said: str) -> Reading:
    """Two readings of one meter, the first as a share (%) above the second."""
    halves = _BETWEEN.split(said)
    if len(halves) != 2:
        raise ReadingError("two readings are compared here", f"type {_expected(measurement)}")
    plain = replace(measurement, compare=None, outcomes=frozen_map({}))
    one = _half(plain, meter, halves[0], after=f" / {halves[1]}")
    other = _half(plain, meter, halves[1], before=f"{halves[0]} / ")
    if one.span or other.span:
        raise ReadingError("an unsteady reading cannot be compared", "wait until both are steady")
    if one.over_range and other.over_range:
        raise ReadingError("both are over the range, which compares nothing", "check the dial and the points")
    if other.over_range:
        return _named(measurement, text, "low")
    ranges = ranges_of(plain, meter)
    below = max(one.value or 0.0, other.value or 0.0) <= _offset(ranges)
    if below and not one.over_range:
        raise ReadingError("both read nothing, which compares nothing", "check that both points have contact")
    if one.over_range or one.value is None or not other.value:
        return _named(measurement, text, "high")
    share = 100 * (one.value / other.value - 1)
    if share > MOST_APART:
        return _named(measurement, text, "high")
    return Reading(measurement.id, text, share, u=ratio_uncertainty(ranges, one.value, other.value))


def _half(plain: Measurement, meter: Meter, half: str, before: str = "", after: str = "") -> Reading:
    """One of two readings; what it may mean is asked back with the other one `before` or `after` it."""
    try:
        return read(plain, meter, half)
    except ReadingError as error:
        if not error.choices:
            raise
        raise _asked(error.reason, tuple(f"{before}{choice}{after}" for choice in error.choices)) from error


def _named(measurement: Measurement, text: str, outcome: str) -> Reading:
    if outcome not in measurement.outcomes:
        names = ", ".join(measurement.outcomes)
        raise ReadingError("one of the two is far beyond the other", f"type the outcome: {names}")
    return Reading(measurement.id, text, outcome=outcome)


def _value(measurement: Measurement, meter: Meter, text: str, said: str) -> Reading:
    unit, function = measurement.unit or "", measurement.function
    ranges = meter.accuracy[measurement.mode]
    limit = min(largest_reading(ranges), function.most)
    try:
        found = typed(said, unit)
    except TypedError as error:
        known = nearest(said.lower(), measurement.outcomes) if not any(map(str.isdigit, said)) else ""
        raise ReadingError(error.reason, known or error.mend, error.choices) from error
    if found.nominal is not None and found.low != found.high:
        raise ReadingError(f"'{said}' has a tolerance", "type what the meter shows")
    if found.current and found.current != function.current:
        raise ReadingError(
            f"{found.current.upper()} does not fit: this is read in {function.phrase}",
            f"set the meter to {function.phrase}, and measure again",
        )
    if found.unit == "ohm" and found.prefix == "m" and 0 < found.low < _least(ranges):
        raise _asked(
            f"{said} is less than this meter can show", (f"{found.number} Mohm", f"{found.number} ohm")
        )
    if max(abs(found.low), abs(found.high)) > limit:
        raise _beyond(measurement, ranges, found, said)
    if not function.signed and found.low < -_offset(ranges):
        raise ReadingError(
            f"{said} is below zero, and {function.phrase} cannot be",
            "check that no charge is left on the board" if function.power == "off" else "check the sign",
        )
    if choices := _slips(measurement, ranges, found):
        raise _asked(f"'{said}' would be healthy with the prefix of the display", choices)
    note = ""
    if function.current == "dc" and found.low < -_offset(ranges):
        note = "below zero: check that the leads are not turned and that the ground clip is on ground"
    if found.nominal is None:
        return Reading(
            measurement.id, text, (found.low + found.high) / 2, None, (found.low, found.high), note
        )
    return Reading(measurement.id, text, found.nominal, None, None, note)


def _asked(reason: str, choices: tuple[str, ...]) -> ReadingError:
    return ReadingError(reason, f"type {' or '.join(choices)}", choices)


def _reads_over(measurement: Measurement, ranges: tuple[MeterRange, ...]) -> bool:
    """Whether the meter can mean it: an open circuit in this mode, or an outcome beyond its ranges."""
    limit = largest_reading(ranges)
    beyond = any(o.range is not None and o.range.low >= limit for o in measurement.outcomes.values())
    return measurement.function.over_range or beyond


def _beyond(
    measurement: Measurement, ranges: tuple[MeterRange, ...], found: Typed, said: str
) -> ReadingError:
    phrase, most = measurement.function.phrase, measurement.function.most
    limit = largest_reading(ranges)
    if most <= limit:
        return ReadingError(f"{said} is above {most:g}, and {phrase} cannot be", "type what the meter shows")
    choices = _meant(measurement, ranges, found, normal=False)
    shown = format_value(limit, measurement.unit or "")
    return ReadingError(
        f"{said} is beyond the largest {phrase} range of this meter ({shown})",
        f"type {' or '.join(choices)}" if choices else "choose the meter that was used",
        choices,
    )


def _slips(measurement: Measurement, ranges: tuple[MeterRange, ...], found: Typed) -> tuple[str, ...]:
    """What a number without a unit may stand for, where it is not healthy and with a prefix would be.

    Asked only where a display can have shown it so: `0.4` is what a meter shows of 0.4 ohm, never of 400 ohm;
    but `.514` has digits that no range of ohms has.
    """
    value = found.low
    if not found.bare or found.nominal is None or _is_normal(measurement, value):
        return ()
    shows_itself = _digit(found, 0) >= _resolution(ranges, value)
    others = _meant(measurement, ranges, found, normal=True)
    if abs(value) < 1 and shows_itself:
        others = ()
    return (f"{found.number} {measurement.unit}", *others) if others else ()


def _meant(
    measurement: Measurement, ranges: tuple[MeterRange, ...], found: Typed, normal: bool
) -> tuple[str, ...]:
    """The typed number with each prefix that makes it an outcome (or a `normal` one) of the measurement."""
    unit = measurement.unit or ""
    choices = []
    for prefix in _SLIPS if found.bare and found.nominal is not None and unit not in ("degC", "%") else ():
        power = PREFIXES[prefix]
        value = scaled(found.number, power)
        known = _is_normal(measurement, value) if normal else _is_known(measurement, value)
        shown = abs(value) <= largest_reading(ranges)
        if (
            known
            and shown
            and (_digit(found, power) >= _resolution(ranges, value) or power > 0 or not normal)
        ):
            choices.append(f"{found.number} {prefix}{unit}")
    return tuple(choices)


def _is_normal(measurement: Measurement, value: float) -> bool:
    return any(o.normal and _holds(o.range, value) for o in measurement.outcomes.values())


def _is_known(measurement: Measurement, value: float) -> bool:
    return any(_holds(o.range, value) for o in measurement.outcomes.values())


def _holds(limits: Quantity | None, value: float) -> bool:
    return limits is not None and limits.low <= value <= limits.high


def _digit(found: Typed, power: int) -> float:
    """The worth of the last digit as typed, were it `power` tens greater."""
    return float(f"1e{power - found.decimals}")


def _resolution(ranges: tuple[MeterRange, ...], value: float) -> float:
    return range_for(ranges, value).resolution.middle * (1 - 1e-9)


def _least(ranges: tuple[MeterRange, ...]) -> float:
    """The last digit of the finest range."""
    return ranges[0].resolution.middle


def _offset(ranges: tuple[MeterRange, ...]) -> float:
    """How far below zero a meter may read by its counts alone, doubled."""
    return 2 * max(ranges[0].counts, 1) * ranges[0].resolution.middle


def _check_ranges(measurement: Measurement, meter: Meter) -> None:
    """Raises ReadingError where the meter has no range in this mode."""
    if not ranges_of(measurement, meter):
        raise ReadingError(
            f"{meter.id} has no {measurement.function.phrase} function",
            f"choose a meter that has it, or type the outcome: {', '.join(measurement.outcomes)}",
        )


def _expected(measurement: Measurement) -> str:
    if measurement.unit is None:
        return f"one of {', '.join(measurement.outcomes)}"
    if measurement.compare:
        return f"both, {measurement.at} first: A / B"
    return f"what the meter shows in {measurement.unit}, or OL"
