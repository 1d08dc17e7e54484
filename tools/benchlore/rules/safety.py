"""Bench safety: what the records may ask for, and the hazards that they must name.

The rules know some hazards by their id in `common/hazards.yaml` (`DEMANDED`), and one source of bench states,
`pack`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from types import MappingProxyType

from benchlore.book.links import hazards_of_work
from benchlore.book.model import (
    Book,
    Family,
    Fault,
    Hazard,
    Measurement,
    State,
    Technique,
)
from benchlore.book.work import BURN, FUMES, HOT_WORDS, LITHIUM, PACK, SHOCK, SOLVENT
from benchlore.circuit.injection import FIRST_VOLTS, ceiling
from benchlore.circuit.power_tree import held_by_cells
from benchlore.findings import Origin, Problem
from benchlore.rules.rule import Kind, rule
from benchlore.rules.subjects import FAULT, HAZARD, STATE, TECHNIQUE, own_states

DEMANDED = (LITHIUM, SHOCK, BURN, FUMES, SOLVENT)
# A, common practice, no source: what test leads, vias and thin traces carry for the minutes of an injection.
MOST_INJECTED = 5.0
# ANSI Z535.4-2007, 4.14 and ISO 3864-2: a notice is damage without injury; a caution cannot kill.
WEAKEST_SIGNAL = MappingProxyType(
    {
        LITHIUM: ("danger", "warning"),
        SHOCK: ("danger", "warning"),
        BURN: ("danger", "warning", "caution"),
        FUMES: ("danger", "warning", "caution"),
    }
)
# What a live board adds, and the sources that are fed by the mains.
PROBE_SLIP, MAINS_ADAPTER = "probe-slip", "mains-adapter"
MAINS_FED = frozenset({"adapter", "usb-c", "charger"})
_MAINS = re.compile(r"\bmains\b", re.IGNORECASE)


def _measured(book: Book) -> Iterator[tuple[Family, Measurement, State]]:
    """Every measurement whose bench state exists."""
    for family in book.families.values():
        for measurement in family.measurements.values():
            state = family.states.get(measurement.state)
            if state:
                yield family, measurement, state


_MEASURED = Kind({"family": "Family", "measurement": "Measurement", "state": "State"}, _measured)


def _unpowered_states(family: Family) -> str:
    fitting = [s.id for s in family.bench_states if not s.sources and s.discharged]
    return ", ".join(f"'{name}'" for name in fitting) or "a bench state without sources that ends discharged"


def _powered_states(family: Family) -> str:
    return ", ".join(f"'{s.id}'" for s in family.bench_states if s.sources) or "a bench state with a source"


@rule(each=_MEASURED, waivable=False)
def measured_under_power(family: Family, measurement: Measurement, state: State) -> Iterator[Problem]:
    """Junction and ohms are measured with every source out and the charge gone, and while nothing is
    injected.

    With power on the board the reading means nothing, and the meter or a chip can be destroyed. Source: the
    warnings of meter manuals (Minipa ET-3702A, p. 36); common practice.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-junction:
            state: adapter-only

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction:
            state: all-off
    """
    if measurement.function.power != "off":
        return
    origin, mend = measurement.origin.at("state"), f"use {_unpowered_states(family)}"
    if state.sources:
        there = " and ".join(state.sources)
        yield Problem(origin, f"{measurement.mode} with {there} in: the board must have no power", mend)
    elif not state.discharged:
        message = f"{measurement.mode} in '{state.id}', which does not end discharged"
        yield Problem(origin, message, f"{mend}, or say 'discharged: true' where it is so")
    if measurement.inject:
        message = f"{measurement.mode} while current is injected: the board must have no power"
        yield Problem(measurement.origin.at("inject"), message, "take 'inject' out", on_key=True)


@rule(each=_MEASURED, waivable=False)
def measured_on_live_cell(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """Ohms, diode mode and an injection keep off nets that a soldered cell holds up: no bench state takes it
    out.

    Where the cell can be taken out, `unplugged` names it. Source: the warnings of meter manuals; common
    practice.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          MAIN:
            source: {from: clock-cell, volts: 3.0 V 5%, built_in: true}

    Good:
        # faults/wren-5/family.yaml
        nets:
          CLOCK:
            for: Keeps the time.
            nominal: 3.0 V
            source: {from: clock-cell, volts: 3.0 V 5%, built_in: true}
    """
    if measurement.function.power != "off" and not measurement.inject:
        return
    alive = held_by_cells(family, measurement.unplugged)
    for net in measurement.nets:
        if net in alive:
            key = "inject" if measurement.inject else "mode"
            message = f"{alive[net]}, which is soldered in, holds {net} up in every bench state"
            mend = f"measure volts there, or unplug what parts {net} from the cell"
            yield Problem(measurement.origin.at(key), message, mend, on_key=key == "inject")


@rule(each=_MEASURED, waivable=False)
def measured_without_power(family: Family, measurement: Measurement, state: State) -> Iterator[Problem]:
    """Volts, ripple, amps, frequency, time and scope views are taken with a source in, or while current is
    injected.

    A live measurement in an unpowered state reads nothing, and sends somebody back to plug the board in
    unprepared. Source: common practice, no source.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            state: all-off

    Good:
        # faults/wren-5/family.yaml
        measurements:
          fused-rail:
            state: adapter-only
    """
    if measurement.function.power == "on" and not state.sources and not measurement.inject:
        message = f"{measurement.mode} in '{state.id}', where no source is in"
        yield Problem(measurement.origin.at("state"), message, f"use one of {_powered_states(family)}")


@rule(each=_MEASURED, waivable=False)
def injection_beside_source(family: Family, measurement: Measurement, state: State) -> Iterator[Problem]:
    """Current is injected with adapter, pack and every other source out, and the charge gone.

    A source beside the bench supply feeds the short without a limit, and the supply can feed back into a
    pack. Source: common practice, no source.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-heat:
            state: pack-only

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-heat:
            state: all-off
    """
    if measurement.inject and (state.sources or not state.discharged):
        what = f"with {' and '.join(state.sources)} in" if state.sources else "into a board with charge left"
        message = f"current is injected {what}"
        yield Problem(measurement.origin.at("state"), message, f"use {_unpowered_states(family)}")


@rule(each=_MEASURED, waivable=False)
def injection_too_high(family: Family, measurement: Measurement) -> Iterator[Problem]:
    """The voltage ceiling of an injection is at most the normal voltage of the rail, so the rail states its
    `nominal`; into a data, control or clock line it is at most 0.5 V.

    When the short opens, everything on the rail sees the ceiling. A line has the clamps of the chips behind
    it, and they feed those chips from half a volt on. Source: common practice, no source.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-heat:
            inject: {volts: 5 V, limit: 1 A}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-heat:
            inject: {volts: 3.3 V, limit: 1 A}
    """
    net = family.nets.get(measurement.net)
    if measurement.inject is None or net is None:
        return
    origin = measurement.origin.at("inject", "volts")
    if net.nominal is None:
        message = f"current is injected into {net.id}, which states no nominal voltage"
        yield Problem(origin, message, f"state 'nominal' of {net.id}")
        return
    highest = ceiling(net.nominal)
    if net.kind != "rail":
        if measurement.inject.volts.high > FIRST_VOLTS:
            message = f"{measurement.inject.volts} into {net.id}, a line whose clamps feed the chips on it"
            yield Problem(origin, message, f"inject at most {FIRST_VOLTS:g} V")
    elif not 0 < highest < math.inf:
        message = f"current is injected into {net.id}, whose normal voltage '{net.nominal}' is no ceiling"
        yield Problem(origin, message, f"state 'nominal' of {net.id} as one value above zero")
    elif measurement.inject.volts.high > highest:
        message = f"{measurement.inject.volts} into {net.id}, whose normal voltage is {net.nominal}"
        yield Problem(origin, message, f"inject at most {highest:g} V")


@rule(each=_MEASURED, waivable=False)
def unsafe_injection(measurement: Measurement) -> Iterator[Problem]:
    """Voltage ceiling and current limit of an injection are single values above zero, and the limit is at
    most 5 A.

    They are what somebody sets at the supply. A sign turned round drives every chip of the net backwards,
    and without a limit the supply burns traces, leads and fingers. Source: common practice, no source: test
    leads, vias and thin traces carry no more than some 5 A for the minutes that an injection takes.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-heat:
            inject: {volts: 3.2 V, limit: 1000 A}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-heat:
            inject: {volts: 3.2 V, limit: 1 A}
    """
    if measurement.inject is None:
        return
    settings = {"volts": measurement.inject.volts, "limit": measurement.inject.limit}
    for field, value in settings.items():
        origin = measurement.origin.at("inject", field)
        if not (0 < value.low == value.high < math.inf):
            message = f"'{value}' cannot be set at a supply"
            yield Problem(origin, message, "write one value above zero, such as '3.3 V' or '1 A'")
        elif field == "limit" and value.unit == "A" and value.high > MOST_INJECTED:
            message = f"{value} are injected, and leads, vias and traces carry {MOST_INJECTED:g} A at most"
            yield Problem(origin, message, "start with 1 A or less, and raise it in steps while you look")


@rule(each=STATE, waivable=False)
def no_lithium_hazard(book: Book, state: State) -> Iterator[Problem]:
    """A bench state with a pack in names the hazard `lithium-pack`.

    Source: common practice, no source; a pack that is shorted, bent or heated can burn.

    Bad:
        # faults/common/states.yaml
        pack-only:
          hazard: [static]

    Good:
        # faults/common/states.yaml
        pack-only:
          hazard: [lithium-pack]
    """
    known = all(h in book.hazards for h in state.hazard)
    if PACK in state.sources and LITHIUM not in state.hazard and known:
        field = "hazard" if state.hazard else "sources"
        message = f"'{state.id}' has a pack in and does not name the hazard {LITHIUM}"
        yield Problem(state.origin.at(field), message, f"add {LITHIUM} to 'hazard'")


@rule(each=STATE, waivable=False)
def no_live_hazard(book: Book, state: State) -> Iterator[Problem]:
    """A bench state with a source in names the hazard `probe-slip`, and `mains-adapter` where that source is
    plugged into the mains, as far as the book has these hazards.

    Source: common practice, no source.

    Bad:
        # faults/common/hazards.yaml
        probe-slip:
          title: A probe that slips
          signal: notice
          harm: It bridges two pins of a live board.
          avoid: [Hold it still.]
          source: common practice, no source

    Good:
        # faults/common/states.yaml
        adapter-only:
          hazard: [static]
    """
    wanted = [PROBE_SLIP] if state.sources else []
    wanted += [MAINS_ADAPTER] if set(state.sources) & MAINS_FED else []
    missing = [name for name in wanted if name in book.hazards and name not in state.hazard]
    if missing and all(h in book.hazards for h in state.hazard):
        field = "hazard" if state.hazard else "sources"
        message = f"'{state.id}' has {' and '.join(state.sources)} in and does not name {_hazards(missing)}"
        yield Problem(state.origin.at(field), message, f"add {' and '.join(missing)} to 'hazard'")


@rule(each=STATE, waivable=False)
def source_left_in(book: Book, state: State) -> Iterator[Problem]:
    """The set-up of a bench state without sources takes the pack, the adapter and USB-C out, as far as
    another state has them in: its steps name each.

    What is measured in it, in ohms or in diode mode, asks for a board without power. Source: common practice,
    no source.

    Bad:
        # faults/common/states.yaml
        all-off:
          how: [Unplug the adapter., Hold the power key for ten seconds.]

    Good:
        # faults/common/states.yaml
        all-off:
          how: [Unplug the adapter and the pack., Hold the power key for ten seconds.]
    """
    if state.sources or not state.discharged:
        return
    family = book.families.get(state.family)
    others = family.bench_states if family else book.states.values()
    words = " ".join(state.how).lower()
    known = {PACK, *MAINS_FED}  # a source that one board alone has is unplugged by that board's own state
    wanted = dict.fromkeys(source for one in others for source in one.sources if source in known)
    left = [source for source in wanted if source not in words]
    if left and "every source" not in words and "everything" not in words:
        message = f"no step of '{state.id}' takes out {' and '.join(left)}"
        yield Problem(state.origin.at("how"), message, "add a step that unplugs it", on_key=True)


@rule(each=TECHNIQUE, waivable=False)
def no_heat_hazard(technique: Technique) -> Iterator[Problem]:
    """A technique that uses hot air or an iron (its `skill` is not `none`, or a step names one) brings the
    hazards `burn` and `fumes`.

    Source: common practice, no source.

    Bad:
        # faults/common/techniques/hot-air-rework.yaml
        hazard: [burn]

    Good:
        # faults/common/techniques/hot-air-rework.yaml
        hazard: [burn, fumes]
    """
    hot = technique.skill not in (None, "none") or any(HOT_WORDS.search(s.say) for s in technique.steps)
    missing = [h for h in (BURN, FUMES) if hot and h not in technique.hazard]
    if missing:
        message = f"the technique heats, and does not name {_hazards(missing)}"
        yield Problem(technique.origin.at("hazard"), message, f"add {' and '.join(missing)}")


@rule(each=FAULT, waivable=False)
def missing_hazard(book: Book, fault: Fault) -> Iterator[Problem]:
    """The book has every hazard that follows from the work on a fault, so that its page can show it.

    - `lithium-pack` where a measurement has the pack in, a part sits on the pack's own net, or a step handles
      the pack.
    - `shock` where the work meets more than 60 V d.c. or 30 V r.m.s.: in a reading, in an injection, on a net
      of the part at fault or of a part of the fix. Source: IEC 62368-1, limits of energy source class 1;
      from there on IEC 61010-031 applies to the probes.
    - `burn` and `fumes` where a step solders, or names iron or hot air; `burn` where current is injected.
    - `solvent` where a step cleans with one or washes.

    What a bench state or a technique brings besides comes with it. Source, where none is named: common
    practice.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            nominal: 70 V

    Good:
        # faults/wren-5/family.yaml
        nets:
          VIN:
            nominal: 5 V
    """
    missing: dict[str, list[str]] = {}
    for name, reason in hazards_of_work(book, fault).items():
        if book.hazards and name in DEMANDED and name not in book.hazards:
            missing.setdefault(reason, []).append(name)
    if missing:
        said = ", ".join(f"{' and '.join(names)} ({reason})" for reason, names in missing.items())
        several = len([name for names in missing.values() for name in names]) > 1
        message = f"the work brings the hazard{'s' if several else ''} {said}, which the book does not have"
        yield Problem(fault.origin.at("fix"), message, "add to common/hazards.yaml", on_key=True)


@rule(each=HAZARD, waivable=False)
def weak_signal_word(hazard: Hazard) -> Iterator[Problem]:
    """The signal word says how bad it can get: a pack and a shock can kill, burns and fumes injure.

    So `lithium-pack` and `shock` are `danger` or `warning`, and `burn` and `fumes` at least `caution`; a
    `notice` is damage without injury. Source: ANSI Z535.4-2007, 4.14; ISO 3864-2.

    Bad:
        # faults/common/hazards.yaml
        burn:
          signal: notice

    Good:
        # faults/common/hazards.yaml
        burn:
          signal: caution
    """
    allowed = WEAKEST_SIGNAL.get(hazard.id)
    if allowed and hazard.signal not in allowed:
        message = f"{hazard.signal} is too weak a word for '{hazard.id}'"
        yield Problem(hazard.origin.at("signal"), message, f"use {' or '.join(allowed)}")


def _entering(book: Book) -> Iterator[tuple[Origin, str, str]]:
    for family in book.families.values():
        for net in family.nets.values():
            for source in net.source:
                yield source.origin.at("from"), source.from_, f"mains enters at {net.id}"


def _plugged_in(states: Iterable[State]) -> Iterator[tuple[Origin, str, str]]:
    for state in states:
        for i, source in enumerate(state.sources):
            yield state.origin.at("sources", i), source, f"'{state.id}' has mains as a source"


_SOURCES = Kind(
    {"origin": "Origin", "source": "str", "what": "str"},
    lambda book: (*_entering(book), *_plugged_in(own_states(book))),
    lambda book: _plugged_in(book.states.values()),
)


@rule(each=_SOURCES, waivable=False)
def mains_as_source(origin: Origin, source: str, what: str) -> Iterator[Problem]:
    """The mains side of an adapter is out of scope: no bench state and no net has mains as its source.

    The book ends at the adapter's plug; what lies before it is work for people who are licensed for it.
    Source: local codes; IEC 62368-1.

    Bad:
        # faults/common/states.yaml
        adapter-only:
          sources: [adapter, mains]

    Good:
        # faults/common/states.yaml
        adapter-only:
          sources: [adapter]
    """
    if _MAINS.search(source):
        mend = "leave it out: the mains side is work for people who are licensed for it"
        yield Problem(origin, f"{what}, and the mains side is out of scope", mend)


def _hazards(names: list[str]) -> str:
    return f"the hazard{'s' if len(names) > 1 else ''} {' and '.join(names)}"


# Not waivable: no reason makes these safe.
