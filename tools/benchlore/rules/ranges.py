"""Outcomes and their ranges: units, order, overlap, and what is healthy."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from types import MappingProxyType

from benchlore.book.model import MODE_UNITS, Book, Measurement, Outcome
from benchlore.findings import Origin, Problem
from benchlore.quantity import Quantity
from benchlore.rules.engine import BookRule, Rule

_READS_OPEN = ("junction", "ohms")
_NEVER_NEGATIVE = ("ac-ripple", "ohms", "hertz", "seconds")
# Unit of each value of a circuit fact; a count has none.
FACT_UNITS = MappingProxyType(
    {
        "volts": "V",
        "each": "V",
        "reference": "V",
        "step": "V",
        "drop": "V",
        "threshold": "V",
        "top": "ohm",
        "bottom": "ohm",
        "resistor": "ohm",
        "resistance": "ohm",
        "ohms": "ohm",
        "parallel": "ohm",
        "load": "A",
        "current": "A",
        "capacitor": "F",
        "capacitance": "F",
        "frequency": "Hz",
        "accuracy": "%",
    }
)


def _measurements(book: Book) -> Iterator[Measurement]:
    for family in book.families.values():
        yield from family.measurements.values()


def _ranged(measurement: Measurement) -> Iterator[tuple[Origin, Outcome, Quantity]]:
    for outcome in measurement.outcomes.values():
        if outcome.range is not None:
            yield measurement.origin.at("outcomes", outcome.id, "range"), outcome, outcome.range


def wrong_unit(book: Book) -> Iterator[Problem]:
    """A quantity has the unit of its field; a range has the unit that the meter reads in its mode. `open`
    is read by `junction` and `ohms` only.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              absent:
                range: under 1 ohm

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              absent:
                range: under 1 V
    """
    for measurement in _measurements(book):
        if measurement.unit is not None:
            for origin, _, limits in _ranged(measurement):
                yield from _reading_unit(origin, limits, measurement.mode)
        if measurement.inject:
            yield from _unit(measurement.origin.at("inject", "volts"), measurement.inject.volts, "V")
            yield from _unit(measurement.origin.at("inject", "limit"), measurement.inject.limit, "A")
    for family in book.families.values():
        for net in family.nets.values():
            if net.nominal is not None:
                yield from _unit(net.origin.at("nominal"), net.nominal, "V")
            for fact in net.facts:
                for key, value in fact.quantities.items():
                    if key in FACT_UNITS:
                        yield from _unit(fact.origin.at(key), value, FACT_UNITS[key])
    yield from _meter_units(book)


def _meter_units(book: Book) -> Iterator[Problem]:
    for meter in book.meters.values():
        yield from _unit(meter.origin.at("input_resistance"), meter.input_resistance, "ohm")
        yield from _unit(meter.origin.at("test_current"), meter.test_current, "A")
        yield from _unit(meter.origin.at("open_voltage"), meter.open_voltage, "V")
        for mode, ranges in meter.accuracy.items():
            for i, limits in enumerate(ranges):
                origin = meter.origin.at("accuracy", mode, i)
                yield from _unit(origin.at("up_to"), limits.up_to, MODE_UNITS[mode] or "")
                yield from _unit(origin.at("resolution"), limits.resolution, MODE_UNITS[mode] or "")


def _reading_unit(origin: Origin, limits: Quantity, mode: str) -> Iterator[Problem]:
    if not limits.is_open:
        yield from _unit(origin, limits, MODE_UNITS[mode] or "", f"'{mode}' reads")
    elif mode not in _READS_OPEN:
        yield Problem(origin, f"'{mode}' never reads open", f"write a range in {MODE_UNITS[mode]}")


def _unit(origin: Origin, value: Quantity, unit: str, reader: str = "this field is in") -> Iterator[Problem]:
    if value.unit != unit:
        has = f"is in {value.unit}" if value.unit else "has no unit"
        yield Problem(origin, f"'{value.text}' {has}; {reader} {unit}", f"write a value in {unit}")


def range_missing(book: Book) -> Iterator[Problem]:
    """In a mode that the meter reads, every outcome has a range.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              wandering: {means: The converter hunts.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              high: {range: over 3.42 V, means: The feedback is open.}
    """
    for measurement in _measurements(book):
        for outcome in measurement.outcomes.values():
            if measurement.unit is not None and outcome.range is None:
                origin = measurement.origin.at("outcomes", outcome.id)
                mend = f"add 'range:' with what it reads, in {measurement.unit}"
                yield Problem(
                    origin,
                    f"'{outcome.id}' has no range, and '{measurement.mode}' is read",
                    mend,
                    on_key=True,
                )


def range_not_read(book: Book) -> Iterator[Problem]:
    """In a mode that is looked at or listened to, outcomes have no range.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          socket-look:
            outcomes:
              clean: {range: 0 to 1 V}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          socket-look:
            outcomes:
              clean: {means: No liquid has been here.}
    """
    for measurement in _measurements(book):
        if measurement.unit is None:
            for origin, _, limits in _ranged(measurement):
                message = f"'{limits.text}' is a range, and '{measurement.mode}' gives no number"
                yield Problem(origin, message, "take the range out, or change the mode", on_key=True)


def range_without_width(book: Book) -> Iterator[Problem]:
    """A range has a width: a single value is never read exactly.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              healthy:
                range: 3.3 V

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              healthy:
                range: 3.24 to 3.42 V
    """
    for measurement in _measurements(book):
        for origin, _, limits in _ranged(measurement):
            if limits.low == limits.high and not limits.is_open:
                mend = "write a range such as '3.24 to 3.42 V', or a tolerance such as '3.3 V 2%'"
                yield Problem(origin, f"'{limits.text}' is one value, not a range", mend)


def impossible_reading(book: Book) -> Iterator[Problem]:
    """Ripple, resistance, frequency and time are never below zero.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-ohms:
            at: TP2
            mode: ohms
            state: all-off
            minutes: 2
            asks: Is the main rail shorted?
            outcomes:
              healthy: {range: over 100 ohm, normal: true, means: No short.}
              shorted: {range: -1 to 1 ohm, means: The rail is shorted.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              reversed: {range: -1 to -0.5 V, means: The adapter is reversed.}
              absent: {range: -0.5 to 1 V}
    """
    for measurement in _measurements(book):
        for origin, _, limits in _ranged(measurement):
            below = limits.high <= 0 or -math.inf < limits.low < 0
            if measurement.mode in _NEVER_NEGATIVE and below:
                message = f"'{limits.text}' lies below zero, and '{measurement.mode}' never reads that"
                yield Problem(origin, message, "begin at 0, or write 'under ...'")


def outcomes_overlap(book: Book) -> Iterator[Problem]:
    """A reading belongs to one outcome: ranges may touch, never overlap.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              low: {range: 1 to 3.30 V}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              low: {range: 1 to 3.24 V}
    """
    for measurement in _measurements(book):
        for (_, one, first), (origin, other, second) in combinations(_ranged(measurement), 2):
            if first.unit == second.unit and first.overlaps(second):
                message = f"'{other.id}' ({second.text}) overlaps '{one.id}' ({first.text})"
                yield Problem(origin, message, "let one end where the other begins")


def no_normal_outcome(book: Book) -> Iterator[Problem]:
    """At least one outcome of a measurement is healthy.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          socket-look:
            outcomes:
              clean: {normal: false}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          socket-look:
            outcomes:
              clean: {normal: true}
    """
    for measurement in _measurements(book):
        if not measurement.normal:
            origin = measurement.origin.at("outcomes")
            mend = "add 'normal: true' to the outcome that a healthy board gives"
            yield Problem(origin, f"no outcome of '{measurement.id}' is normal", mend, on_key=True)


def no_abnormal_outcome(book: Book) -> Iterator[Problem]:
    """At least one outcome of a measurement is not healthy; else it tells nothing.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          socket-look:
            outcomes:
              green: {normal: true}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          socket-look:
            outcomes:
              green: {normal: false}
    """
    for measurement in _measurements(book):
        if len(measurement.normal) == len(measurement.outcomes):
            origin = measurement.origin.at("outcomes")
            mend = "take 'normal: true' from the outcomes that a fault gives"
            yield Problem(origin, f"every outcome of '{measurement.id}' is normal", mend, on_key=True)


RULES: tuple[BookRule, ...] = (
    Rule(wrong_unit, waivable=False),
    Rule(range_missing, waivable=False),
    Rule(range_not_read, waivable=False),
    Rule(range_without_width, waivable=False),
    Rule(impossible_reading),
    Rule(outcomes_overlap),
    Rule(no_normal_outcome, waivable=False),
    Rule(no_abnormal_outcome),
)
