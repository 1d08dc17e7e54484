"""What the circuit says of a healthy board, against what the records call healthy."""

from __future__ import annotations

import math
from collections.abc import Iterator
from types import MappingProxyType

from benchlore.book.elements import Converter, Path, Pull, Source
from benchlore.book.model import Book, Family, Measurement, Net, Outcome
from benchlore.circuit.healthy import Derived, healthy, range_of
from benchlore.circuit.interval import Interval, interval
from benchlore.findings import Problem
from benchlore.quantity import format_value
from benchlore.rules.ranges import meter_error
from benchlore.rules.rule import Kind, rule
from benchlore.rules.subjects import MEASUREMENT, NET

# How much wider than the derived range a normal range may be, as a share of its end; the meter's error comes
# on top.
LOOSENESS = MappingProxyType({"dc-volts": 0.05, "hertz": 0.05})
OTHER_LOOSENESS = 0.10
# How far a nominal voltage may lie from what the circuit gives at its nominal values.
NOMINAL_SHARE = 0.06
SWING = 0.1  # how much further than its supply a line may swing, with its ringing


def _derived(book: Book) -> Iterator[tuple[Measurement, Derived]]:
    for family in book.families.values():
        board = healthy(book, family)
        for measurement in family.measurements.values():
            derived = board.of(measurement)
            if derived:
                yield measurement, derived


# The measurements whose healthy reading the circuit gives, with that reading.
_DERIVED = Kind({"measurement": "Measurement", "derived": "Derived"}, _derived)


def _otherwise(book: Book, family: Family, net: Net) -> list[Derived]:
    """What the circuit gives a net in each bench state, where none of it is the net's nominal; else empty."""
    if net.nominal is None or not net.elements:
        return []
    board, stated = healthy(book, family), net.nominal.middle
    found = [board.reading(net.id, "dc-volts", state) for state in board.states]
    given = [d for d in found if d and not d.down]
    return [] if any(abs(d.value - stated) <= NOMINAL_SHARE * abs(d.value) for d in given) else given


@rule(each=NET)
def contradicted_nominal(book: Book, family: Family, net: Net) -> Iterator[Problem]:
    """A net's nominal voltage is, within 6 %, what its circuit gives in some bench state.

    It is the ceiling of an injection, so it must not be the voltage of another state. Where the normal range
    of a measurement agrees with the nominal voltage, the finding stands at the element: two against one.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          MAIN:
            nominal: 3.0 V

    Good:
        # faults/wren-5/family.yaml
        nets:
          MAIN:
            nominal: 3.3 V
    """
    given = _otherwise(book, family, net)
    above = family.nets[net.follows] if family.has_level_of(net) else None
    if given and net.nominal and not (above and _otherwise(book, family, above)):
        stated = net.nominal.middle
        message = f"the circuit of {net.id} gives {range_of(given[0])}, not the nominal {net.nominal}"
        message += f" of {above.id}" if above else ""
        feeds = [one for one in net.elements if isinstance(one, Source | Path | Converter | Pull)]
        agree = any(
            m.mode == "dc-volts" and m.to_ground and any(r.low <= stated <= r.high for r in _normal_ranges(m))
            for m in family.measurements.values()
            if m.net == net.id
        )
        origin = feeds[0].origin if agree and len(feeds) == 1 else net.origin.at("nominal")
        yield Problem(origin, message, f"correct it, or the circuit: {given[0].formula}")


@rule(each=_DERIVED)
def contradicted_range(measurement: Measurement, derived: Derived) -> Iterator[Problem]:
    """The normal range of a measurement contains what the circuit of its net gives, worst case.

    Where the net is not up in the bench state, 0 is among the normal readings. Source: the law of each
    element, by interval arithmetic over the tolerances.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              healthy: {range: 3.29 to 3.42 V, normal: true, means: The converter regulates.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              healthy: {range: 3.24 to 3.42 V, normal: true, means: The converter regulates.}
    """
    ranges = _normal_ranges(measurement)
    if ranges and not any(r.contains(derived.worst) for r in ranges):
        outcome = _normal(measurement)[0]
        origin = measurement.range_at(outcome.id)
        if derived.down:
            message = f"{outcome.range} is called normal, but {derived.last.formula}"
            yield Problem(origin, message, "make 0 a normal reading, or correct what feeds the net")
        else:
            given = f"the circuit of {derived.last.net} gives {range_of(derived)}"
            message = f"{outcome.range} is called normal, but {given}"
            yield Problem(origin, message, f"widen the range, or correct the circuit: {derived.formula}")


@rule(each=MEASUREMENT)
def swing_beyond_supply(book: Book, family: Family, measurement: Measurement) -> Iterator[Problem]:
    """A line swings no further than what it is pulled to or driven from, a tenth more allowed: its normal
    swing lies below that.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          sda-level:
            mode: amplitude
            healthy: 4.8 to 5.2 V
            outcomes:

    Good:
        # faults/wren-5/family.yaml
        measurements:
          sda-level: {mode: dc-volts}
    """
    net = family.nets.get(measurement.net)
    normal = _normal_ranges(measurement)
    if measurement.mode != "amplitude" or net is None or not normal:
        return
    board = healthy(book, family)
    levels = [
        d.worst.high for s in board.states if (d := board.reading(net.id, "dc-volts", s)) and not d.down
    ]
    levels += [net.nominal.high] if net.nominal else []
    if levels and normal[0].low > (1 + SWING) * max(levels):
        outcome = _normal(measurement)[0]
        message = f"{outcome.range} from peak to peak, and {net.id} stands no higher than {max(levels):.3g} V"
        yield Problem(measurement.range_at(outcome.id), message, "correct the swing, or the net's supply")


@rule("warning", each=_DERIVED)
def loose_range(book: Book, measurement: Measurement, derived: Derived) -> Iterator[Problem]:
    """A normal range ends close to what the circuit gives: within the meter's error and 5 % (10 % beside
    volts and hertz) of the end.

    A wider one calls a drifted board healthy.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              healthy: {range: 3.00 to 3.42 V, normal: true, means: The converter regulates.}
              low: {range: 1 to 3.00 V, means: The converter is held back.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail:
            outcomes:
              healthy: {range: 3.24 to 3.42 V, normal: true, means: The converter regulates.}
    """
    if derived.down or math.isinf(derived.worst.high) or book.shop.default_meter not in book.meters:
        return
    share = LOOSENESS.get(measurement.mode, OTHER_LOOSENESS)
    containing = next((r for r in _normal_ranges(measurement) if r.contains(derived.worst)), None)
    if containing is None:
        return
    for stated, end in ((containing.low, derived.worst.low), (containing.high, derived.worst.high)):
        room = share * abs(end) + meter_error(book, measurement.mode, end)
        if abs(stated - end) > room:
            outcome = _ending_at(measurement, stated)
            given = f"the circuit gives no more than {range_of(derived)}"
            message = f"{outcome.range} is called normal, but {given}"
            mend = f"end it near {format_value(end, derived.unit)}: {derived.formula}"
            yield Problem(measurement.range_at(outcome.id), message, mend)
            break


def _normal(measurement: Measurement) -> list[Outcome]:
    """The normal outcomes that are read and have a width."""
    return [o for o in measurement.outcomes.values() if o.normal and o.range and o.range.low < o.range.high]


def _normal_ranges(measurement: Measurement) -> list[Interval]:
    """The normal readings, touching ranges joined."""
    joined: list[Interval] = []
    for piece in sorted(
        (interval(o.range) for o in _normal(measurement) if o.range), key=lambda i: (i.low, i.high)
    ):
        if joined and piece.low <= joined[-1].high:
            joined[-1] = joined[-1].hull(piece)
        else:
            joined.append(piece)
    return joined


def _ending_at(measurement: Measurement, end: float) -> Outcome:
    return next(o for o in _normal(measurement) if o.range and end in (o.range.low, o.range.high))
