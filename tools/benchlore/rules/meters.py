"""Meters: their ranges, and whether any of them reads what the book asks for."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from benchlore.book.model import Book, Measurement, Meter
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import MEASUREMENT, METER


@rule(each=METER, waivable=False)
def meter_ranges_out_of_order(meter: Meter) -> Iterator[Problem]:
    """The ranges of a meter stand from small to large: the first one that reaches is taken.

    Bad:
        # faults/common/meters.yaml
        handheld:
          accuracy:
            dc-volts:
              - {up_to: 20 V, resolution: 10 mV, reading: 0.5%, counts: 3}
              - {up_to: 2 V, resolution: 1 mV, reading: 0.5%, counts: 3}

    Good:
        # faults/common/meters.yaml
        handheld:
          accuracy:
            dc-volts:
              - {up_to: 2 V, resolution: 1 mV, reading: 0.5%, counts: 3}
              - {up_to: 20 V, resolution: 10 mV, reading: 0.5%, counts: 3}
    """
    for mode, ranges in meter.accuracy.items():
        for i, (before, after) in enumerate(pairwise(ranges), 1):
            if after.up_to.high <= before.up_to.high:
                message = f"'{after.up_to.text}' does not rise above '{before.up_to.text}'"
                origin = meter.origin.at("accuracy", mode, i, "up_to")
                yield Problem(origin, message, "sort the ranges from small to large")


@rule(each=METER, waivable=False)
def impossible_meter_value(meter: Meter) -> Iterator[Problem]:
    """Reach and resolution of a range are single values above zero, the resolution the smaller one.

    Bad:
        # faults/common/meters.yaml
        handheld:
          accuracy:
            junction:
              - {up_to: 0 to 2 V, resolution: 1 mV, reading: 1%, counts: 3}

    Good:
        # faults/common/meters.yaml
        handheld:
          accuracy:
            junction:
              - {up_to: 2 V, resolution: 1 mV, reading: 1%, counts: 3}
    """
    for mode, ranges in meter.accuracy.items():
        for i, limits in enumerate(ranges):
            origin = meter.origin.at("accuracy", mode, i)
            values = {"up_to": limits.up_to, "resolution": limits.resolution}
            wrong = [key for key, value in values.items() if not (value.low == value.high and value.low > 0)]
            for key in wrong:
                message = f"'{values[key].text}' is not a single value above zero"
                yield Problem(origin.at(key), message, "write one value, such as '20 V' or '10 mV'")
            if not wrong and limits.resolution.low >= limits.up_to.low:
                message = f"one count ('{limits.resolution.text}') is as large as the range"
                yield Problem(origin.at("resolution"), message, "write the value of the last digit")


@rule(each=MEASUREMENT)
def no_meter_reads(book: Book, measurement: Measurement) -> Iterator[Problem]:
    """Every mode that a measurement asks for is one that a meter of the book reads.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-ripple:
            at: TP2
            mode: ac-ripple
            state: adapter-only
            minutes: 2
            asks: Does the bulk capacitor still smooth?
            outcomes:
              healthy: {range: under 50 mV, normal: true, means: It does.}
              rough: {range: over 50 mV, means: It has dried out.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail: {mode: dc-volts}
    """
    read = {mode for meter in book.meters.values() for mode in meter.accuracy}
    if read and measurement.unit is not None and measurement.mode not in read:
        message = f"no meter of the book reads '{measurement.mode}'"
        mend = "add its accuracy to a meter in common/meters.yaml, or change the mode"
        yield Problem(measurement.origin.at("mode"), message, mend)
