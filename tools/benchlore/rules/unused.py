"""Records that nothing leads to. These run only when every file could be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

from benchlore.book.links import (
    hazards_of_work,
    in_circuit,
    measurements_of_net,
    parts_of_net,
    techniques_of_fault,
)
from benchlore.book.model import Book, Family, Net
from benchlore.findings import Origin, Problem
from benchlore.rules.rule import Seen, across, rule
from benchlore.rules.safety import DEMANDED
from benchlore.rules.subjects import FAMILY, NET, own_states

Record = TypeVar("Record")


def _unused(origin: Origin, name: str, user: str) -> Problem:
    return Problem(origin, f"no {user} '{name}'", "use it, or take it out", on_key=True)


def _not_among(seen: Seen, records: Mapping[str, Record]) -> Iterator[Record]:
    """The records that nobody noted."""
    used = {name for noted in seen for name in noted}
    return (record for name, record in records.items() if name not in used)


def _symptoms_used(book: Book) -> list[str]:
    return sorted({name for fault in book.faults.values() for name in fault.symptom})


@across("warning", visit=_symptoms_used, notes=[str], whole=True)
def unused_symptom(book: Book, seen: Seen) -> Iterator[Problem]:
    """Every symptom is shown by a fault.

    Bad:
        # faults/common/symptoms.yaml
        no-sound: {title: No sound, said: [the speaker is dead], seen_by: customer}

    Good:
        # faults/common/symptoms.yaml
        no-picture: {title: No picture, said: [the screen is dead], seen_by: customer}
    """
    for symptom in _not_among(seen, book.symptoms):
        yield _unused(symptom.origin, symptom.id, "fault shows")


def _techniques_used(book: Book) -> list[str]:
    used = {name for fault in book.faults.values() for name in techniques_of_fault(book, fault)}
    used |= {m.technique or "" for family in book.families.values() for m in family.measurements.values()}
    return sorted(used)


@across("warning", visit=_techniques_used, notes=[str], whole=True)
def unused_technique(book: Book, seen: Seen) -> Iterator[Problem]:
    """Every technique is needed by a fault or a measurement.

    Bad:
        # faults/common/techniques/ultrasonic-wash.yaml
        title: Ultrasonic wash
        summary: Lifts dried liquid from under parts.
        steps: [Wash the board for five minutes.]
        hazard: [fumes]
        source: common practice, no source

    Good:
        # faults/common/techniques/hot-air-rework.yaml
        title: Hot-air rework
    """
    for technique in _not_among(seen, book.techniques):
        origin = technique.origin.at("title")
        yield _unused(origin, technique.id, "fault and no measurement needs")


def _hazards_used(book: Book) -> list[str]:
    shared = (book.faults, book.techniques, book.states, book.symptoms)
    users = (*(record for records in shared for record in records.values()), *own_states(book))
    named = {name for record in users for name in record.hazard}
    return sorted(named.union(*(hazards_of_work(book, fault) for fault in book.faults.values())))


@across("note", visit=_hazards_used, notes=[str], whole=True)
def unused_hazard(book: Book, seen: Seen) -> Iterator[Problem]:
    """A hazard belongs to a fault, a technique or a bench state; until one has it, nobody is warned of it.

    Those that the safety rules demand by their id stand ready, though no record needs them yet.

    Bad:
        # faults/common/hazards.yaml
        laser:
          title: Laser light
          signal: warning
          harm: Blinds.
          avoid: [Keep the cover on.]
          source: common practice, no source

    Good:
        # faults/common/hazards.yaml
        burn: {harm: Parts and tips stay hot for minutes.}
    """
    for hazard in _not_among(seen, book.hazards):
        if hazard.id not in DEMANDED:
            yield _unused(hazard.origin, hazard.id, "fault, technique or bench state has")


def _states_used(book: Book) -> list[str]:
    return sorted({name for family in book.families.values() for name in _measured_in(family)})


def _measured_in(family: Family) -> set[str]:
    return {m.state for m in family.measurements.values()}


@across("warning", visit=_states_used, notes=[str], whole=True)
def unused_state(book: Book, seen: Seen) -> Iterator[Problem]:
    """Every bench state is asked for by a measurement.

    Bad:
        # faults/common/states.yaml
        both-in: {title: Adapter and pack in, short: Both in, sources: [], minutes: 1, how: [Plug in both.]}

    Good:
        # faults/common/states.yaml
        pack-only: {title: "Pack in, adapter out"}
    """
    for state in _not_among(seen, book.states):
        yield _unused(state.origin, state.id, "measurement is made in")


@rule("warning", each=FAMILY, whole=True)
def unused_own_state(family: Family) -> Iterator[Problem]:
    """In each bench state that a family writes out itself something is measured.

    Bad:
        # faults/wren-5/family.yaml
        states:
          - adapter-only
          - pack-only
          - all-off
          - cradle:
              title: On its cradle
              short: On its cradle
              sources: []
              minutes: 1
              how: [Put it on its cradle.]

    Good:
        # faults/wren-5/family.yaml
        states: [adapter-only, pack-only, all-off]
    """
    used = _measured_in(family)
    for state in family.own_states:
        if state.id not in used:
            yield _unused(state.origin, state.id, "measurement is made in")


def _sources_entering(book: Book) -> list[str]:
    nets = (net for family in book.families.values() for net in family.nets.values())
    return sorted({name for net in nets for name in net.enters})


@across("warning", visit=_sources_entering, notes=[str], whole=True)
def unused_source(book: Book, seen: Seen) -> Iterator[Problem]:
    """Every source of a bench state enters at a net of some family, under the same name.

    Bad:
        # faults/common/states.yaml
        pack-only: {sources: [pack, dock]}

    Good:
        # faults/common/states.yaml
        pack-only: {sources: [pack]}
    """
    entering = {name for noted in seen for name in noted}
    known = {name for state in book.states.values() for name in state.sources}
    if not entering <= known:
        return  # one of these is the other one misspelled
    for state in book.states.values():
        for i, name in enumerate(state.sources):
            if name not in entering:
                message = f"'{name}' enters at no net of any family"
                yield Problem(state.origin.at("sources", i), message, "write it as the nets' 'source' does")


@rule("warning", each=FAMILY, whole=True)
def unused_measurement(book: Book, family: Family) -> Iterator[Problem]:
    """Every measurement tells of a fault: as a test point, as the proof, or by the circuit.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          pack-look:
            at: TP2
            mode: look
            state: all-off
            minutes: 1
            asks: Is the capacitor cracked?
            outcomes:
              whole: {normal: true, means: It is good.}
              cracked: {means: It is the short.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          socket-look: {minutes: 1}
    """
    faults = [fault for fault in book.faults.values() if fault.family == family.id]
    used = {e.measure for fault in faults for e in fault.test_points}
    used |= {name for fault in faults for name in fault.foretold}
    used |= {name for fault in faults for name in fault.fix.confirm}
    for measurement in family.measurements.values():
        if measurement.id not in used:
            yield _unused(measurement.origin, measurement.id, "fault and no circuit tells of")


@rule("warning", each=FAMILY, whole=True)
def unused_test_point(family: Family) -> Iterator[Problem]:
    """At every test point something is measured.

    Bad:
        # faults/wren-5/family.yaml
        test_points:
          TP4:
            net: PACK
            side: top
            at: {A: [5 mm, 5 mm], B: [5 mm, 5 mm]}
            where: {A: pack connector, B: pack connector}

    Good:
        # faults/wren-5/family.yaml
        test_points:
          TP3: {side: bottom}
    """
    used = {name for m in family.measurements.values() for name in m.points}
    for point in family.probe_points:
        if point.id not in used:
            yield _unused(point.origin, point.id, "measurement is made at")


@rule("warning", each=NET, whole=True)
def unused_net(family: Family, net: Net) -> Iterator[Problem]:
    """On every net a part sits, something is measured or the circuit leads through; else its page is empty.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SCL: {kind: clock, for: Clocks the data line.}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA: {kind: data, for: Data line from the processor to the display board.}
    """
    if not (parts_of_net(family, net.id) or measurements_of_net(family, net.id) or in_circuit(family, net)):
        yield _unused(net.origin, net.id, "part and no measurement is on")
