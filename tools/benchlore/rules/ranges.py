"""Outcomes and their ranges: units, order, overlap, and what is healthy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from itertools import combinations, pairwise

from benchlore.book.elements import UNITS, quantities_of
from benchlore.book.model import Book, Measurement, MeterRange, Net, Outcome, Step
from benchlore.diagnosis.meter import accuracy_limit, range_for, ranges_of
from benchlore.findings import Origin, Problem
from benchlore.quantity import Quantity, format_value
from benchlore.rules.rule import Kind, rule
from benchlore.rules.subjects import MEASUREMENT
from benchlore.vocabulary import FUNCTIONS

# A gap between neighbouring outcomes may be this many times what the meter cannot decide there.
GAP = 2.0
# What a meter shows, and people type, where no number comes.
OVER_RANGE = ("ol", "open", "over", "overrange", "over-range")
# Values that may be nothing; a voltage may stand below ground.
_MAY_BE_ZERO = ("A",)


def _ranged(measurement: Measurement) -> Iterator[tuple[Origin, Outcome, Quantity]]:
    for outcome in measurement.outcomes.values():
        if outcome.range is not None:
            yield measurement.range_at(outcome.id), outcome, outcome.range


def _of_causes(book: Book) -> Iterator[tuple[Origin, str, Quantity]]:
    for fault in book.faults.values():
        for failure in fault.cause.failures:
            for key, given in (("ohms", failure.ohms), ("volts", failure.volts)):
                if given is not None:
                    yield failure.origin.at(key), key, given


def _of_steps(steps: Iterable[Step]) -> Iterator[tuple[Origin, Quantity, str, str]]:
    for step in steps:
        for key, unit in (("limit", "A"), ("up_to", "V"), ("discharge", ""), ("wait", ""), ("dry", "")):
            value = step.of(key)
            if value is not None:
                yield step.origin.at(key), value, unit or ("min" if value.unit == "min" else "s"), ""


def _values(book: Book) -> Iterator[tuple[Origin, Quantity, str, str]]:
    """Every quantity of the families and of their faults with its unit; of a reading also the mode."""
    for family in book.families.values():
        for measurement in family.measurements.values():
            if measurement.unit is not None:
                for origin, _, limits in _ranged(measurement):
                    yield origin, limits, measurement.unit, measurement.mode
            if measurement.inject:
                yield measurement.origin.at("inject", "volts"), measurement.inject.volts, "V", ""
                yield measurement.origin.at("inject", "limit"), measurement.inject.limit, "A", ""
        for net in family.nets.values():
            if net.nominal is not None and not family.has_level_of(net):
                yield net.origin.at("nominal"), net.nominal, "V", ""
            for origin, unit, value in _of_net(net):
                yield origin, value, unit, ""
    for origin, key, given in _of_causes(book):
        yield origin, given, UNITS[key], ""
    yield from _of_steps(step for fault in book.faults.values() for step in fault.fix.steps)


def _of_net(net: Net) -> Iterator[tuple[Origin, str, Quantity]]:
    """The values of the circuit at a net, each with its place and its unit."""
    for element in net.elements:
        yield from quantities_of(element)
    for state, amps in net.draw.items():
        yield net.origin.at("draw", state), "A", amps
    for after in net.after:
        if after.within:
            yield net.origin.at("after", after.net), "s", after.within


def _meter_values(book: Book) -> Iterator[tuple[Origin, Quantity, str, str]]:
    for meter in book.meters.values():
        yield meter.origin.at("input_resistance"), meter.input_resistance, "ohm", ""
        yield meter.origin.at("test_current"), meter.test_current, "A", ""
        yield meter.origin.at("open_voltage"), meter.open_voltage, "V", ""
        for mode, ranges in meter.accuracy.items():
            for i, limits in enumerate(ranges):
                origin = meter.origin.at("accuracy", mode, i)
                yield origin.at("up_to"), limits.up_to, FUNCTIONS[mode].unit or "", ""
                yield origin.at("resolution"), limits.resolution, FUNCTIONS[mode].unit or "", ""


_VALUES = Kind(
    {"origin": "Origin", "value": "Quantity", "unit": "str", "mode": "str"}, _values, _meter_values
)


@rule(each=_VALUES, waivable=False)
def wrong_unit(origin: Origin, value: Quantity, unit: str, mode: str) -> Iterator[Problem]:
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
    if mode and value.is_open:
        if not FUNCTIONS[mode].over_range:
            yield Problem(origin, f"'{mode}' never reads open", f"write a range in {unit}")
    elif value.unit != unit:
        has = f"is in {value.unit}" if value.unit else "has no unit"
        reader = f"'{mode}' reads" if mode else "this field is in"
        yield Problem(origin, f"'{value.text}' {has}; {reader} {unit}", f"write a value in {unit}")


def _finite(book: Book) -> Iterator[tuple[Origin, Quantity, float, bool]]:
    """The values that arithmetic is done with, of the unit that they need: what each lies above, and whether
    it may be that."""
    for family in book.families.values():
        for net in family.nets.values():
            if net.nominal and net.nominal.unit == "V" and not family.has_level_of(net):
                yield net.origin.at("nominal"), net.nominal, -math.inf, False
            for origin, unit, value in _of_net(net):
                if value.unit == unit:
                    least = -math.inf if "volts" in origin.path else 0.0
                    yield origin, value, least, unit in _MAY_BE_ZERO or "needs" in origin.path
    for origin, key, given in _of_causes(book):
        if given.unit == UNITS[key]:
            yield origin, given, 0.0 if key == "ohms" else -math.inf, True


def _finite_of_meters(book: Book) -> Iterator[tuple[Origin, Quantity, float, bool]]:
    for meter in book.meters.values():
        values = {
            "input_resistance": (meter.input_resistance, "ohm"),
            "test_current": (meter.test_current, "A"),
            "open_voltage": (meter.open_voltage, "V"),
        }
        for key, (value, unit) in values.items():
            if value.unit == unit:
                yield meter.origin.at(key), value, 0.0, False


_FINITE = Kind(
    {"origin": "Origin", "value": "Quantity", "least": "float", "zero": "bool"}, _finite, _finite_of_meters
)


@rule(each=_FINITE, waivable=False)
def impossible_value(origin: Origin, value: Quantity, least: float, zero: bool) -> Iterator[Problem]:
    """The values of nets, of the circuit, of causes and of meters are finite; resistances, capacitances,
    frequencies, steps and thresholds lie above zero.

    From others nothing can be derived, and the checks of the circuit would say nothing. A net's voltage may
    stand below ground, a load may be nothing, and a short may have no resistance.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 0 ohm}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 2.2 kohm 5%}
    """
    if not (math.isfinite(value.low) and math.isfinite(value.high)):
        yield Problem(origin, f"'{value.text}' has no end", "write one value, or a range with two ends")
    elif not (value.low > least or (zero and value.low == least)):
        yield Problem(origin, f"'{value.text}' is not above zero", "write the true value")


@rule(each=MEASUREMENT, waivable=False)
def range_missing(measurement: Measurement) -> Iterator[Problem]:
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
              high: {range: over 3.44 V, means: The feedback is open., stop: true}
    """
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


@rule(each=MEASUREMENT, waivable=False)
def range_not_read(measurement: Measurement) -> Iterator[Problem]:
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
    if measurement.unit is None:
        for origin, _, limits in _ranged(measurement):
            message = f"'{limits.text}' is a range, and '{measurement.mode}' gives no number"
            yield Problem(origin, message, "take the range out, or change the mode", on_key=True)


@rule(each=MEASUREMENT, waivable=False)
def range_without_width(measurement: Measurement) -> Iterator[Problem]:
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
    for origin, _, limits in _ranged(measurement):
        if limits.low == limits.high and not limits.is_open:
            mend = "write a range such as '3.24 to 3.42 V', or a tolerance such as '3.3 V 2%'"
            yield Problem(origin, f"'{limits.text}' is one value, not a range", mend)


@rule(each=MEASUREMENT)
def impossible_reading(measurement: Measurement) -> Iterator[Problem]:
    """An outcome lies within what its meter function can read.

    Ripple, resistance, the drop in diode mode, frequency and time are never below zero.

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
    for origin, _, limits in _ranged(measurement):
        least, most = measurement.limits
        never = f"and '{measurement.mode}' never reads that"
        if limits.high <= least or -math.inf < limits.low < least:
            mend = f"begin at {least:g}, or write 'under ...'"
            where = f"below {least:g}" if least else "below zero"
            yield Problem(origin, f"'{limits.text}' lies {where}, {never}", mend)
        if not limits.is_open and (limits.low >= most or most < limits.high < math.inf):
            mend = f"end at {most:g}, or write 'over ...'"
            yield Problem(origin, f"'{limits.text}' lies above {most:g}, {never}", mend)


@rule(each=MEASUREMENT, waivable=False)
def outcomes_overlap(measurement: Measurement) -> Iterator[Problem]:
    """A reading belongs to one outcome: ranges may touch, never overlap.

    What two outcomes share would be counted twice, and the probabilities of the ranking would not add up.

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
    for (_, one, first), (origin, other, second) in combinations(_ranged(measurement), 2):
        if first.unit == second.unit and first.overlaps(second):
            message = f"'{other.id}' ({second.text}) overlaps '{one.id}' ({first.text})"
            yield Problem(origin, message, "let one end where the other begins")


@rule(each=MEASUREMENT, waivable=False)
def misleading_outcome_name(measurement: Measurement) -> Iterator[Problem]:
    """The name of an outcome begins with a letter, and the words for over-range (`open`, `over`, `ol`) name
    only an outcome whose range is `open` or begins with `over`.

    What is typed may be a reading or the name of an outcome. `5` would be taken for five volts, and `open`
    for a meter that shows no number, which is not what the outcome says.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-junction:
            outcomes:
              open: {range: 0.55 to 0.60 V, means: Something is amiss.}
              higher: {range: over 0.60 V, means: The point is not on the rail.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction:
            outcomes:
              open: {range: over 0.55 V, means: The point is not on the rail.}
    """
    for outcome in measurement.outcomes.values():
        origin = measurement.origin.at("outcomes", outcome.id)
        if not outcome.id[0].isalpha():
            mend = "begin the name with a letter"
            yield Problem(origin, f"'{outcome.id}' looks like a reading", mend, on_key=True)
        elif outcome.id in OVER_RANGE and outcome.range is not None and outcome.range.high < math.inf:
            message = f"'{outcome.id}' is what a meter shows beyond its range; this is {outcome.range}"
            yield Problem(origin, message, "choose another name, such as 'high'", on_key=True)


@rule(each=MEASUREMENT, waivable=False)
def no_normal_outcome(measurement: Measurement) -> Iterator[Problem]:
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
    if not measurement.normal:
        origin = measurement.origin.at("outcomes")
        mend = "add 'normal: true' to the outcome that a healthy board gives"
        yield Problem(origin, f"no outcome of '{measurement.id}' is normal", mend, on_key=True)


@rule(each=MEASUREMENT)
def no_abnormal_outcome(measurement: Measurement) -> Iterator[Problem]:
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
    if len(measurement.normal) == len(measurement.outcomes):
        origin = measurement.origin.at("outcomes")
        mend = "take 'normal: true' from the outcomes that a fault gives"
        yield Problem(origin, f"every outcome of '{measurement.id}' is normal", mend, on_key=True)


@rule("warning", each=MEASUREMENT)
def reading_without_outcome(book: Book, measurement: Measurement) -> Iterator[Problem]:
    """The outcomes of a measurement leave no hole: whatever the meter shows has a meaning.

    From 0 (for junction and ohms up to `open`) every reading belongs to an outcome. Between neighbours the
    gap is at most twice what the shop's meter cannot decide there, its error at both ends.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            outcomes:
              low: {range: 2 to 4.70 V, means: The adapter gives way under load.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            outcomes:
              low: {range: 1 to 4.70 V, means: The adapter gives way under load.}
    """
    for low, high in _holes(book, measurement):
        ends = [format_value(end, measurement.unit or "") for end in (low, high)]
        message = f"no outcome covers a reading from {' to '.join(ends)}"
        mend = "move an end of the outcome beside it, or add one"
        yield Problem(measurement.origin.at("outcomes"), message, mend, on_key=True)


def meter_error(book: Book, mode: str, value: float) -> float:
    """The error limit of the shop's meter at a reading; 0 where the meter does not say."""
    meter = book.meters.get(book.shop.default_meter)
    return _error(meter.accuracy.get(mode, ()) if meter else (), value)


def _error(ranges: Sequence[MeterRange], value: float) -> float:
    if not ranges or math.isinf(value):
        return 0.0
    return accuracy_limit(range_for(ranges, value), value)


def _holes(book: Book, measurement: Measurement) -> Iterator[tuple[float, float]]:
    meter = book.meters.get(book.shop.default_meter)
    if meter is None or measurement.steps:
        return  # a current on its way from one step to the next belongs to both
    own, to_open = ranges_of(measurement, meter), measurement.function.over_range and not measurement.compare
    known = [o.range for o in measurement.outcomes.values() if o.range and (to_open or not o.range.is_open)]
    ranges = sorted(known, key=lambda r: (r.low, r.high))
    if not ranges:
        return

    error = partial(_error, own)
    if measurement.function.reads_zero and not measurement.compare and ranges[0].low > error(0.0):
        yield 0.0, ranges[0].low
    reached = ranges[0].high
    for _, upper in pairwise(ranges):
        if upper.low - reached > GAP * (error(reached) + error(upper.low)):
            yield reached, upper.low
        reached = max(reached, upper.high)
    if to_open and math.isfinite(reached):
        yield reached, math.inf
