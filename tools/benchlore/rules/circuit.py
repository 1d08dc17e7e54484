"""What the circuit facts say, against what the records state."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from types import MappingProxyType

from benchlore.book.links import measured
from benchlore.book.model import Book, Fact, Family, Fault, Measurement, Net, Outcome, State
from benchlore.circuit import Derived, derive
from benchlore.circuit.bus import STANDARDS, levels, pull_up_window_of
from benchlore.circuit.cell import CUT_OFF, HIGH_VOLTAGE_FULL
from benchlore.circuit.derive import reading
from benchlore.circuit.interval import Interval, interval
from benchlore.circuit.laws import LAWS
from benchlore.circuit.power_tree import all_feeders, below, facts_in, has_feed, is_up
from benchlore.circuit.series import is_preferred, nearest_preferred
from benchlore.circuit.usb_c import ADVERTS, FIXED_SUPPLIES, advert_of, is_fixed_supply
from benchlore.diagnosis.meter import accuracy_limit, range_for
from benchlore.findings import Problem
from benchlore.quantity import Quantity, format_value
from benchlore.rules.rule import Kind, rule
from benchlore.rules.subjects import FACT, FAMILY, FAULT, MEASUREMENT, NET
from benchlore.vocabulary import FUNCTIONS

# How much wider than the derived range a normal range may be, as a share of its end; the meter's error comes
# on top.
LOOSENESS = MappingProxyType({"dc-volts": 0.05, "hertz": 0.05})
OTHER_LOOSENESS = 0.10
# How far a nominal voltage may lie from what the facts give at their nominal values.
NOMINAL_SHARE = 0.06
# A rail that reads this little is dead: a volt, or a share of its normal voltage where that is less.
DEAD, DEAD_SHARE = 1.0, 0.35
# A gap between neighbouring outcomes may be this many times what the meter cannot decide there.
GAP = 2.0


def _derived(book: Book) -> Iterator[tuple[Measurement, Derived]]:
    for family in book.families.values():
        for measurement in family.measurements.values():
            derived = derive(book, family, measurement)
            if derived:
                yield measurement, derived


# The measurements whose healthy reading the facts give, with that reading.
_DERIVED = Kind({"measurement": "Measurement", "derived": "Derived"}, _derived)


@rule("warning", each=NET)
def missing_fact(net: Net) -> Iterator[Problem]:
    """Every rail and every data line has a circuit fact that gives its voltage.

    Without one the normal range is an opinion that nothing checks.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: junction, drop: 0.45 V 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 2.2 kohm 5%}
    """
    known = any(f.fact in LAWS and LAWS[f.fact].mode == "dc-volts" for f in net.set_by)
    if net.kind in ("rail", "data") and not known:
        line = "rail" if net.kind == "rail" else "data line"
        message = f"no circuit fact gives the voltage of the {line} {net.id}"
        kinds = ", ".join(law.kind for law in LAWS.values() if law.mode == "dc-volts")
        origin = net.origin.at("set_by") if net.set_by else net.origin
        yield Problem(origin, message, f"add one to 'set_by': {kinds}", on_key=True)


@rule(each=NET)
def two_facts(book: Book, net: Net) -> Iterator[Problem]:
    """In one bench state one fact gives a reading; diodes that meet on a net are the exception.

    A fact that names a bench state in `in` goes before those that name none.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            set_by:
              - {fact: supply, volts: 5.0 V 5%}
              - {fact: supply, volts: 9.0 V 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            set_by:
              - {fact: supply, volts: 5.0 V 5%}
    """
    told: set[int] = set()
    for state in book.states.values():
        for mode in dict.fromkeys(law.mode for law in LAWS.values()):
            facts = facts_in(net, mode, state.id)
            if len(facts) > 1 and not all(f.fact == "diode" for f in facts):
                last = facts[-1]
                if id(last) not in told:
                    told.add(id(last))
                    message = f"{facts[0].fact} and {last.fact} both set {net.id} in '{state.id}' ({mode})"
                    mend = "say with 'in' which bench states each holds in"
                    yield Problem(last.origin, message, mend)


@rule(each=NET, waivable=False)
def fact_ring(book: Book, family: Family, net: Net) -> Iterator[Problem]:
    """No net feeds itself by way of its circuit facts.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            set_by:
              - {fact: diode, from: FUSED, drop: 0.3 V 10%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            set_by:
              - {fact: supply, volts: 5.0 V 5%}
    """
    states = [state.id for state in book.states.values() if _reaches(family, net, state)]
    if states:
        message = f"{net.id} feeds itself in '{states[0]}'"
        yield Problem(net.origin, message, "correct the 'from' of its facts", on_key=True)


def _reaches(family: Family, start: Net, state: State) -> bool:
    """True when the facts lead from a net back to it."""
    seen: set[str] = set()
    waiting = [start.id]
    while waiting:
        net = family.nets[waiting.pop()]
        for name in [n for fact in facts_in(net, "dc-volts", state.id) for n in fact.names.values()]:
            if name == start.id:
                return True
            if name in family.nets and name not in seen:
                seen.add(name)
                waiting.append(name)
    return False


@rule(each=FAMILY)
def up_without_feed(book: Book, family: Family) -> Iterator[Problem]:
    """A net is up only in bench states in which its own source is in or a net that feeds it is up.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          FUSED:
            up_in: [adapter-only, pack-only]

    Good:
        # faults/wren-5/family.yaml
        nets:
          FUSED:
            up_in: [adapter-only]
    """
    entering = {name for net in family.nets.values() for name in net.enters}
    for net in family.nets.values():
        for i, name in enumerate(net.up_in):
            state = book.states.get(name)
            if state and entering & set(state.sources) and not has_feed(family, net, state):
                above = " nor ".join(all_feeders(family, net)) or f"the source {net.enters[0]}"
                message = f"{net.id} cannot be up in '{name}': {above} is not"
                mend = "take it out, or correct what feeds the net"
                yield Problem(net.origin.at("up_in", i), message, mend)


@rule(each=FACT)
def fact_while_down(book: Book, family: Family, net: Net, fact: Fact) -> Iterator[Problem]:
    """A fact that names bench states for a live reading names only those in which its net is up.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            set_by:
              - {fact: supply, in: [pack-only], volts: 5.0 V 5%}
              - {fact: supply, in: [adapter-only], volts: 5.0 V 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            set_by:
              - {fact: supply, in: [adapter-only], volts: 5.0 V 5%}
    """
    if fact.fact not in LAWS or FUNCTIONS[LAWS[fact.fact].mode].power == "off":
        return
    for i, name in enumerate(fact.in_):
        state = book.states.get(name)
        if state and not is_up(family, net, state):
            message = f"{net.id} is not up in '{name}', where this {fact.fact} is said to hold"
            yield Problem(fact.origin.at("in", i), message, f"take it out, or add it to 'up_in' of {net.id}")


@rule("warning", each=FACT)
def unmade_value(fact: Fact) -> Iterator[Problem]:
    """A resistor or capacitor has a value that the preferred series of its tolerance has.

    Source: IEC 60063 (E6 at 20 %, E12 at 10 %, E24 at 5 %, E48 at 2 %, E96 at 1 %, E192 below; E24 values are
    made in all tighter tolerances too).

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 2.3 kohm 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 2.2 kohm 5%}
    """
    for name in LAWS[fact.fact].made if fact.fact in LAWS else ():
        quantity = fact.quantities.get(name)
        if quantity is None or quantity.nominal is None or quantity.nominal <= 0:
            continue
        tolerance = _tolerance(quantity)
        if not is_preferred(quantity.nominal, tolerance, quantity.unit):
            near = format_value(nearest_preferred(quantity.nominal, tolerance, quantity.unit), quantity.unit)
            message = f"no preferred series has {quantity}"
            mend = f"the nearest value of that tolerance is {near} (IEC 60063)"
            yield Problem(fact.origin.at(name), message, mend)


def _tolerance(quantity: Quantity) -> float:
    """The tolerance of an exact quantity, in percent."""
    if not quantity.nominal:
        return 0.0
    return round((quantity.high - quantity.low) / 2 / abs(quantity.nominal) * 100, 6)


@rule("warning", each=FACT)
def no_tolerance(fact: Fact) -> Iterator[Problem]:
    """A value of a circuit fact has a tolerance, or is a range: nothing on a board is exact.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 2.2 kohm}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 2.2 kohm 5%}
    """
    for name, quantity in fact.quantities.items():
        covered = quantity.unit in ("", "%") or "accuracy" in fact.quantities
        if not covered and quantity.low == quantity.high:
            message = f"'{quantity}' has no tolerance"
            yield Problem(fact.origin.at(name), message, f"write '{quantity} 5%', or a range with 'to'")


@rule(each=NET)
def contradicted_nominal(book: Book, family: Family, net: Net) -> Iterator[Problem]:
    """A net's nominal voltage is, within 6 %, what its circuit facts give in some bench state.

    It is the ceiling of an injection, so it must not be the voltage of another state.

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
    if net.nominal is None:
        return
    found = [reading(book, family, net, "dc-volts", state) for state in book.states.values()]
    given = [d for d in found if d and not d.down]
    stated = net.nominal.middle
    if given and not any(abs(d.value - stated) <= NOMINAL_SHARE * abs(d.value) for d in given):
        message = f"the facts of {net.id} give {_range(given[0])}, not the nominal {net.nominal}"
        yield Problem(net.origin.at("nominal"), message, f"correct it, or the fact: {given[0].formula}")


@rule(each=_DERIVED)
def contradicted_range(measurement: Measurement, derived: Derived) -> Iterator[Problem]:
    """The normal range of a measurement contains what the circuit facts of its net give, worst case.

    Where the net is not up in the bench state, 0 is among the normal readings. Source: the law of the fact,
    by interval arithmetic over the tolerances.

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
        origin = measurement.origin.at("outcomes", outcome.id, "range")
        if derived.down:
            message = f"{outcome.range} is called normal, but {derived.last.formula}"
            yield Problem(origin, message, "make 0 a normal reading, or correct the net's 'up_in'")
        else:
            given = f"the facts of {derived.last.net} give {_range(derived)}"
            message = f"{outcome.range} is called normal, but {given}"
            yield Problem(origin, message, f"widen the range, or correct the fact: {derived.formula}")


@rule("warning", each=_DERIVED)
def loose_range(book: Book, measurement: Measurement, derived: Derived) -> Iterator[Problem]:
    """A normal range ends close to what the circuit facts give: within the meter's error and 5 % (10 % beside
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
        room = share * abs(end) + _error(book, measurement.mode, end)
        if abs(stated - end) > room:
            outcome = _ending_at(measurement, stated)
            message = f"{outcome.range} is called normal, but the facts give no more than {_range(derived)}"
            mend = f"end it near {format_value(end, derived.unit)}: {derived.formula}"
            yield Problem(measurement.origin.at("outcomes", outcome.id, "range"), message, mend)
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


def _range(derived: Derived) -> str:
    worst = derived.worst
    return f"{format_value(worst.low, derived.unit)} to {format_value(worst.high, derived.unit)}"


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


def _error(book: Book, mode: str, value: float) -> float:
    """The error limit of the shop's meter at a reading; 0 where the meter does not say."""
    meter = book.meters.get(book.shop.default_meter)
    ranges = meter.accuracy.get(mode, ()) if meter else ()
    if not ranges or math.isinf(value):
        return 0.0
    return accuracy_limit(range_for(ranges, value), value)


def _holes(book: Book, measurement: Measurement) -> Iterator[tuple[float, float]]:
    to_open = measurement.function.over_range
    known = [o.range for o in measurement.outcomes.values() if o.range and (to_open or not o.range.is_open)]
    ranges = sorted(known, key=lambda r: (r.low, r.high))
    if not ranges or book.shop.default_meter not in book.meters:
        return

    def error(value: float) -> float:
        return _error(book, measurement.mode, value)

    if measurement.function.reads_zero and ranges[0].low > error(0.0):
        yield 0.0, ranges[0].low
    reached = ranges[0].high
    for _, upper in pairwise(ranges):
        if upper.low - reached > GAP * (error(reached) + error(upper.low)):
            yield reached, upper.low
        reached = max(reached, upper.high)
    if to_open and math.isfinite(reached):
        yield reached, math.inf


@rule(each=FAULT)
def below_dead_rail(book: Book, fault: Fault) -> Iterator[Problem]:
    """Below a rail that a fault reads absent nothing is up, in the same bench state with the same parts
    unplugged.

    A rail is absent when every outcome that the fault expects lies under 1 V, or under 35 % of a lower rail.
    What hangs below it: every net that only it feeds, by `fed_by` or by circuit facts. Source: the family's
    power tree.

    Bad:
        # faults/wren-5/rail-short.yaml
        test_points:
          - {measure: main-junction, expected_reading: shorted}
          - {measure: fused-rail, expected_reading: healthy}
          - {measure: main-rail, expected_reading: absent}
          - {measure: main-rail-on-pack, expected_reading: absent}
          - {measure: main-heat, expected_reading: hot}
          - {measure: sda-level, expected_reading: healthy}

    Good:
        # faults/wren-5/rail-short.yaml
        test_points:
          - {measure: main-junction, expected_reading: shorted}
          - {measure: fused-rail, expected_reading: healthy}
          - {measure: main-rail, expected_reading: absent}
          - {measure: main-rail-on-pack, expected_reading: absent}
          - {measure: main-heat, expected_reading: hot}
          - {measure: sda-level, expected_reading: low}
    """
    family = book.families.get(fault.family)
    if family:
        yield from _alive_below(book, family, fault)


def _alive_below(book: Book, family: Family, fault: Fault) -> Iterator[Problem]:
    volts = []
    for expectation, measurement in measured(book, fault):
        net, state = family.nets.get(measurement.net), book.states.get(measurement.state)
        ranges = [
            measurement.outcomes[o].range for o in expectation.expected_reading if o in measurement.outcomes
        ]
        known = [r for r in ranges if r]
        if measurement.mode == "dc-volts" and net and state and not measurement.inject and known:
            volts.append((expectation, measurement, net, state, known))
    for _, upper, rail, state, readings in volts:
        if rail.kind != "rail" or not all(r.high <= _dead_below(rail) for r in readings):
            continue
        implied = below(family, frozenset({rail.id}), state)
        for expectation, lower, net, other_state, others in volts:
            together = state.id == other_state.id and set(upper.unplugged) == set(lower.unplugged)
            if together and net.id in implied and all(r.low >= _dead_below(net) for r in others):
                above = f"'{upper.id}' reads {readings[0]}, and {rail.id} feeds {net.id}"
                message = f"'{lower.id}' cannot read {others[0]}: {above}"
                mend = "correct one of the two readings, or what feeds the net"
                yield Problem(expectation.origin.at("expected_reading"), message, mend)


def _dead_below(net: Net) -> float:
    return min(DEAD, DEAD_SHARE * net.nominal.middle) if net.nominal else DEAD


@rule(each=FACT)
def bus_contradicted(book: Book, family: Family, net: Net, fact: Fact) -> Iterator[Problem]:
    """A line that follows a bus standard is pulled up as the standard allows, and idles at a level it calls
    high.

    The pull-up is at least (VDD - VOL)/IOL and, where the fact states the line's `capacitance`, at most
    tr/(0.8473 Cb). A USB-C CC line lies in the window of one advertised current. Source: UM10204 (I2C-bus
    specification), 7.1 and tables 9 and 10; SMBus 2.0; JESD8C.01; JESD8-7A; USB Type-C R2.0, table 4-36.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 470 ohm 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            set_by:
              - {fact: pull-up, to: MAIN, resistor: 2.2 kohm 5%}
    """
    if fact.fact not in LAWS or LAWS[fact.fact].mode != "dc-volts" or net.bus is None:
        return
    for state in book.states.values():
        derived = reading(book, family, net, "dc-volts", state)
        if derived and derived.last.fact is fact:
            problem = _bus_problem(net, fact, derived)
            if problem:
                yield problem
                break


def _bus_problem(net: Net, fact: Fact, derived: Derived) -> Problem | None:
    if net.bus == "usb-c-cc":
        if advert_of(derived.worst):
            return None
        windows = ", ".join(f"{a.level.low:g} to {a.level.high:g} V ({name})" for name, a in ADVERTS.items())
        message = f"{net.id} reads {_range(derived)}, which no advertised current gives"
        return Problem(fact.origin, message, f"USB-C has {windows}")
    if net.bus not in STANDARDS:
        return None
    supply = derived.steps[-2].worst if len(derived.steps) > 1 else derived.worst
    standard = levels(net.bus, supply.high)
    if derived.worst.low < standard.vih:
        message = (
            f"{net.id} idles at {_range(derived)}, and {net.bus} asks for {format_value(standard.vih, 'V')}"
        )
        return Problem(fact.origin, message, f"correct the fact, or the bus ({standard.source})")
    resistor, load = fact.quantities.get("resistor"), fact.quantities.get("capacitance")
    window = pull_up_window_of(net.bus, supply.high, load.middle if load else None)
    if resistor and window and not (window.low <= resistor.low and resistor.high <= window.high):
        top = f" to {format_value(window.high, 'ohm')}" if math.isfinite(window.high) else " or more"
        message = f"a pull-up of {resistor} does not fit {net.bus} at {format_value(supply.high, 'V')}"
        return Problem(fact.origin.at("resistor"), message, f"use {format_value(window.low, 'ohm')}{top}")
    return None


@rule(each=FACT)
def cell_voltage(fact: Fact) -> Iterator[Problem]:
    """A lithium-ion cell stays between its cut-off and its full voltage.

    At least 2.5 V, and 4.2 V full; cells for a higher charge voltage end at 4.45 V. Source: cell data sheets.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          PACK:
            set_by:
              - {fact: cells, count: 1, each: 3.0 to 5.0 V}

    Good:
        # faults/wren-5/family.yaml
        nets:
          PACK:
            set_by:
              - {fact: cells, count: 1, each: 3.0 to 4.2 V}
    """
    each = fact.quantities.get("each")
    if fact.fact == "cells" and each and not (CUT_OFF[0] <= each.low and each.high <= HIGH_VOLTAGE_FULL):
        message = f"a lithium-ion cell does not go from {each.low:g} to {each.high:g} V"
        mend = f"stay within {CUT_OFF[0]:g} to {HIGH_VOLTAGE_FULL:g} V"
        yield Problem(fact.origin.at("each"), message, mend)


@rule(each=NET)
def usb_c_supply(net: Net) -> Iterator[Problem]:
    """A rail that USB-C enters at has a nominal voltage that USB power delivery can supply.

    5, 9, 15 or 20 V, in the extended range 28, 36 or 48 V. Source: USB PD r3.2, fixed supplies.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VBUS:
            kind: rail
            for: The voltage at the USB-C socket.
            nominal: 6.0 V
            source: usb-c

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            nominal: 5.0 V 5%
    """
    if "usb-c" in net.enters and net.nominal and not is_fixed_supply(net.nominal.middle):
        message = f"USB-C has no fixed supply of {net.nominal}"
        known = ", ".join(f"{v:g}" for v in FIXED_SUPPLIES)
        yield Problem(net.origin.at("nominal"), message, f"use one of {known} V")
