"""The circuit of a family, element by element: what feeds a net, by which values, by which standard."""

from __future__ import annotations

import math
from collections.abc import Iterator

from benchlore.book.elements import (
    GROUND,
    Converter,
    Delay,
    Element,
    Path,
    Pull,
    Source,
    above,
    quantities_of,
)
from benchlore.book.model import Book, Family, Net
from benchlore.circuit.bus import STANDARDS, levels, pull_up_window_of
from benchlore.circuit.cell import CUT_OFF, HIGH_VOLTAGE_FULL
from benchlore.circuit.healthy import Derived, healthy, range_of
from benchlore.circuit.power_tree import ring, waits_for_its_good
from benchlore.circuit.series import is_preferred, nearest_preferred
from benchlore.circuit.usb_c import ADVERTS, FIXED_SUPPLIES, advert_of, is_fixed_supply
from benchlore.findings import Origin, Problem
from benchlore.quantity import Quantity, format_value
from benchlore.rules.rule import rule
from benchlore.rules.subjects import ELEMENT, NET


@rule(each=NET, waivable=False)
def feed_loop(family: Family, net: Net) -> Iterator[Problem]:
    """Following what feeds a net from net to net never leads back to it.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            path: {from: FUSED}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: {from: adapter, volts: 5.0 V 5%}
    """
    chain = ring(family, net)
    if chain:
        element = next(e for e in net.feeding if chain[0] in above(e))
        key = "to" if isinstance(element, Pull) else "from"
        message = f"'{net.id}' feeds itself: {' from '.join([net.id, *chain])}"
        yield Problem(element.origin.at(key), message, "name the net that is nearer to the source")


@rule(each=NET)
def good_of_its_own(family: Family, net: Net) -> Iterator[Problem]:
    """What a net waits for does not wait for that net's power-good: it would never start.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          FUSED: {good: SDA}
          VIN: {after: SDA}

    Good:
        # faults/wren-5/family.yaml
        nets:
          MAIN: {good: SDA}
    """
    if way := waits_for_its_good(family, net):
        message = f"'{net.id}' never starts: {' waits for '.join(way)}, which is its power-good"
        mend = "name the line that tells that it stands, not one that it waits for"
        yield Problem(net.origin.at("good"), message, mend)


@rule(each=ELEMENT)
def two_laws(element: Element) -> Iterator[Problem]:
    """A converter states one law: volts; step, code and accuracy; or reference, top and bottom. A source
    states its volts or its cells.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: {from: adapter, volts: 5.0 V 5%, cells: 1, each: 3.0 to 4.2 V}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: {from: adapter, volts: 5.0 V 5%}
    """
    stated: list[str] = []
    if isinstance(element, Converter):
        stated = [key for key in ("volts", "step", "reference") if getattr(element, key) is not None]
    elif isinstance(element, Source):
        stated = [key for key in ("volts", "cells") if getattr(element, key) is not None]
    if len(stated) > 1:
        message = f"'{stated[0]}' and '{stated[1]}' both give its voltage"
        yield Problem(element.origin.at(stated[1]), message, "keep the one that the board has")


@rule(each=ELEMENT)
def source_not_in(family: Family, element: Element) -> Iterator[Problem]:
    """A source comes in only in bench states that plug it in, and what feeds a net in a bench state has a
    source there.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: {from: adapter, in: [pack-only], volts: 5.0 V 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: {from: adapter, in: [adapter-only], volts: 5.0 V 5%}
    """
    for i, name in enumerate(getattr(element, "in_", ())):
        state = family.states.get(name)
        if state is None:
            continue
        if isinstance(element, Source) and not element.built_in and element.from_ not in state.sources:
            message = f"'{element.from_}' is out in '{name}'"
            yield Problem(element.origin.at("in", i), message, "take the state out")
        elif not state.sources:
            message = f"every source is out in '{name}'"
            yield Problem(element.origin.at("in", i), message, "take the state out")


@rule(each=NET)
def up_without_source(family: Family, net: Net) -> Iterator[Problem]:
    """A net that nothing is said to feed is up only in bench states that plug a source into this board.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          AUX_RAIL: {for: Feeds the display board., nominal: 3.3 V, in: [all-off]}
        parts:
          J1: {nets: [MAIN, SDA, AUX_RAIL]}

    Good:
        # faults/wren-5/family.yaml
        nets:
          AUX_RAIL: {for: Feeds the display board., nominal: 3.3 V, in: [adapter-only]}
        parts:
          J1: {nets: [MAIN, SDA, AUX_RAIL]}
    """
    entering = {name for other in family.nets.values() for name in other.enters}
    for i, name in enumerate(net.in_):
        state = family.states.get(name)
        if state and not (entering & set(state.sources) if entering else state.sources):
            message = f"'{net.id}' cannot be up in '{name}': no source of that state enters {family.id}"
            yield Problem(net.origin.at("in", i), message, "take it out, or say where the source enters")


@rule("warning", each=ELEMENT)
def unmade_value(element: Element) -> Iterator[Problem]:
    """A resistor or capacitor has a value that the preferred series of its tolerance has.

    Source: IEC 60063 (E6 at 20 %, E12 at 10 %, E24 at 5 %, E48 at 2 %, E96 at 1 %, E192 below; E24 values are
    made in all tighter tolerances too).

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 2.3 kohm 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 2.2 kohm 5%}
    """
    for origin, quantity in _bought(element):
        if quantity.nominal is None or quantity.nominal <= 0:
            continue
        tolerance = _tolerance(quantity)
        if not is_preferred(quantity.nominal, tolerance, quantity.unit):
            near = format_value(nearest_preferred(quantity.nominal, tolerance, quantity.unit), quantity.unit)
            message = f"no preferred series has {quantity}"
            mend = f"the nearest value of that tolerance is {near} (IEC 60063)"
            yield Problem(origin, message, mend)


def _bought(element: Element) -> Iterator[tuple[Origin, Quantity]]:
    """The resistors and capacitors of an element that one buys by their value."""
    for origin, _, quantity in quantities_of(element):
        key = origin.path[-1]
        if key in ("top", "bottom", "farads") or (key == "ohms" and isinstance(element, Pull | Delay)):
            yield origin, quantity


def _tolerance(quantity: Quantity) -> float:
    """The tolerance of an exact quantity, in percent."""
    if not quantity.nominal:
        return 0.0
    return round((quantity.high - quantity.low) / 2 / abs(quantity.nominal) * 100, 6)


@rule("warning", each=ELEMENT)
def no_tolerance(element: Element) -> Iterator[Problem]:
    """A value of the circuit has a tolerance, or is a range: nothing on a board is exact.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 2.2 kohm}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 2.2 kohm 5%}
    """
    for origin, unit, quantity in quantities_of(element):
        # A step has the accuracy of the whole; a rating is what the part bears, not what it does.
        covered = origin.path[-1] in ("step", "rating")
        if not covered and unit == quantity.unit and quantity.low == quantity.high:
            message = f"'{quantity}' has no tolerance"
            yield Problem(origin, message, f"write '{quantity} 5%', or a range with 'to'")


@rule(each=NET)
def bus_contradicted(book: Book, family: Family, net: Net) -> Iterator[Problem]:
    """A line that follows a bus standard is pulled up as the standard allows, and idles at a level it calls
    high.

    The pull-up is at least (VDD - VOL)/IOL and, where the pull states the line's `capacitance`, at most
    tr/(0.8473 Cb). A USB-C CC line lies in the window of one advertised current. Source: UM10204 (I2C-bus
    specification), 7.1 and tables 9 and 10; SMBus 2.0; JESD8C.01; JESD8-7A; USB Type-C R2.0, table 4-36.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 470 ohm 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA:
            pull: {to: MAIN, ohms: 2.2 kohm 5%}
    """
    if net.bus is None or not net.pull:
        return
    board = healthy(book, family)
    for state in board.states:
        derived = board.reading(net.id, "dc-volts", state)
        if derived and not derived.down:
            problem = _bus_problem(net, net.bus, derived)
            if problem:
                yield problem
                break


def _bus_problem(net: Net, bus: str, derived: Derived) -> Problem | None:
    pull = net.pull[0]
    if bus == "usb-c-cc":
        if advert_of(derived.worst):
            return None
        windows = ", ".join(f"{a.level.low:g} to {a.level.high:g} V ({name})" for name, a in ADVERTS.items())
        message = f"{net.id} reads {range_of(derived)}, which no advertised current gives"
        return Problem(pull.origin, message, f"USB-C has {windows}")
    if bus not in STANDARDS:
        return None
    supply = derived.steps[-2].worst if len(derived.steps) > 1 else derived.worst
    standard = levels(bus, supply.high)
    if derived.worst.low < standard.vih:
        asked = format_value(standard.vih, "V")
        message = f"{net.id} idles at {range_of(derived)}, and {bus} asks for {asked}"
        return Problem(pull.origin, message, f"correct what pulls it, or the bus ({standard.source})")
    up = next((one for one in net.pull if one.to != GROUND), pull)
    window = pull_up_window_of(bus, supply.high, up.capacitance.middle if up.capacitance else None)
    if window and not (window.low <= up.ohms.low and up.ohms.high <= window.high):
        top = f" to {format_value(window.high, 'ohm')}" if math.isfinite(window.high) else " or more"
        message = f"a pull-up of {up.ohms} does not fit {bus} at {format_value(supply.high, 'V')}"
        return Problem(up.origin.at("ohms"), message, f"use {format_value(window.low, 'ohm')}{top}")
    return None


@rule(each=ELEMENT)
def rating_below_load(element: Element) -> Iterator[Problem]:
    """A fuse carries what flows on a healthy board: its rating is not below its load.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          FUSED:
            path: {part: F1, from: VIN, ohms: 20 mohm 20%, load: 0 to 1 A, rating: 0.5 A}

    Good:
        # faults/wren-5/family.yaml
        nets:
          FUSED:
            path: {part: F1, from: VIN, ohms: 20 mohm 20%, load: 0 to 1 A, rating: 2 A}
    """
    if not isinstance(element, Path) or not element.rating or not element.load:
        return
    if element.rating.unit == element.load.unit and element.rating.middle < element.load.high:
        message = f"a rating of {element.rating}, and {element.load} flow on a healthy board"
        yield Problem(element.origin.at("rating"), message, "correct one of the two")


@rule(each=ELEMENT)
def impossible_cell_voltage(element: Element) -> Iterator[Problem]:
    """A lithium-ion cell stays between its cut-off and its full voltage.

    At least 2.5 V, and 4.2 V full; cells for a higher charge voltage end at 4.45 V. Source: cell data sheets.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          PACK:
            source: {from: pack, cells: 1, each: 3.0 to 5.0 V}

    Good:
        # faults/wren-5/family.yaml
        nets:
          PACK:
            source: {from: pack, cells: 1, each: 3.0 to 4.2 V}
    """
    each = element.each if isinstance(element, Source) else None
    if each and not (CUT_OFF[0] <= each.low and each.high <= HIGH_VOLTAGE_FULL):
        message = f"a lithium-ion cell does not go from {each.low:g} to {each.high:g} V"
        mend = f"stay within {CUT_OFF[0]:g} to {HIGH_VOLTAGE_FULL:g} V"
        yield Problem(element.origin.at("each"), message, mend)


@rule(each=ELEMENT)
def impossible_usb_c_voltage(net: Net, element: Element) -> Iterator[Problem]:
    """A rail that USB-C enters at has a voltage that USB power delivery can supply.

    5, 9, 15 or 20 V, in the extended range 28, 36 or 48 V. Source: USB PD r3.2, fixed supplies.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VBUS:
            for: The voltage at the USB-C socket.
            source: {from: usb-c, volts: 6.0 V 5%}

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            source: {from: adapter, volts: 5.0 V 5%}
    """
    if not isinstance(element, Source) or element.from_ != "usb-c":
        return
    stated, origin = element.volts, element.origin.at("volts")
    if stated is None:
        stated, origin = net.nominal, net.origin.at("nominal")
    if stated and not is_fixed_supply(stated.middle):
        known = ", ".join(f"{v:g}" for v in FIXED_SUPPLIES)
        yield Problem(origin, f"USB-C has no fixed supply of {stated}", f"use one of {known} V")
