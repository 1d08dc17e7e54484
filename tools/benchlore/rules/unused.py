"""Records that nothing leads to. These run only when every file could be read."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.links import measurements_of_net, parts_of_net
from benchlore.book.model import Book
from benchlore.findings import Origin, Problem
from benchlore.rules.engine import BookRule, Rule
from benchlore.rules.safety import DEMANDED


def _unused(origin: Origin, name: str, user: str) -> Problem:
    return Problem(origin, f"no {user} '{name}'", "use it, or take it out", on_key=True)


def unused_symptom(book: Book) -> Iterator[Problem]:
    """Every symptom is shown by a fault.

    Bad:
        # faults/common/symptoms.yaml
        no-sound: {title: No sound, said: [the speaker is dead], seen_by: customer}

    Good:
        # faults/common/symptoms.yaml
        no-picture: {title: No picture, said: [the screen is dead], seen_by: customer}
    """
    used = {name for fault in book.faults.values() for name in fault.symptoms}
    for symptom in book.symptoms.values():
        if symptom.id not in used:
            yield _unused(symptom.origin, symptom.id, "fault shows")


def unused_technique(book: Book) -> Iterator[Problem]:
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
    used = {name for fault in book.faults.values() for name in fault.techniques}
    used |= {m.technique or "" for family in book.families.values() for m in family.measurements.values()}
    for technique in book.techniques.values():
        if technique.id not in used:
            origin = technique.origin.at("title")
            yield _unused(origin, technique.id, "fault and no measurement needs")


def unused_hazard(book: Book) -> Iterator[Problem]:
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
    used = {name for fault in book.faults.values() for name in fault.hazards}
    used |= {name for technique in book.techniques.values() for name in technique.hazards}
    used |= {name for state in book.states.values() for name in state.hazards}
    used |= {name for symptom in book.symptoms.values() for name in symptom.hazards}
    for hazard in book.hazards.values():
        if hazard.id not in used and hazard.id not in DEMANDED:
            yield _unused(hazard.origin, hazard.id, "fault, technique or bench state has")


def unused_state(book: Book) -> Iterator[Problem]:
    """Every bench state is asked for by a measurement.

    Bad:
        # faults/common/states.yaml
        both-in: {title: Adapter and pack in, sources: [], minutes: 1, how: [Plug in both.]}

    Good:
        # faults/common/states.yaml
        pack-only: {title: "Pack in, adapter out"}
    """
    used = {m.state for family in book.families.values() for m in family.measurements.values()}
    for state in book.states.values():
        if state.id not in used:
            yield _unused(state.origin, state.id, "measurement is made in")


def unused_source(book: Book) -> Iterator[Problem]:
    """Every source of a bench state enters at a net of some family, under the same name.

    Bad:
        # faults/common/states.yaml
        pack-only: {sources: [pack, dock]}

    Good:
        # faults/common/states.yaml
        pack-only: {sources: [pack]}
    """
    nets = [net for family in book.families.values() for net in family.nets.values()]
    entering = {net.source for net in nets if net.source}
    known = {name for state in book.states.values() for name in state.sources}
    if not entering <= known:
        return  # one of these is the other one misspelled
    for state in book.states.values():
        for i, name in enumerate(state.sources):
            if name not in entering:
                message = f"'{name}' enters at no net of any family"
                yield Problem(state.origin.at("sources", i), message, "write it as the nets' 'source' does")


def unused_measurement(book: Book) -> Iterator[Problem]:
    """Every measurement is a test point, or the proof, of a fault.

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
    for family in book.families.values():
        faults = [fault for fault in book.faults.values() if fault.family == family.id]
        used = {e.measure for fault in faults for e in fault.test_points}
        used |= {name for fault in faults for name in fault.fix.confirm}
        for measurement in family.measurements.values():
            if measurement.id not in used:
                yield _unused(measurement.origin, measurement.id, "fault states")


def unused_test_point(book: Book) -> Iterator[Problem]:
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
    for family in book.families.values():
        used = {m.test_point for m in family.measurements.values()}
        for point in family.test_points.values():
            if point.id not in used:
                yield _unused(point.origin, point.id, "measurement is made at")


def unused_net(book: Book) -> Iterator[Problem]:
    """On every net a part sits or something is measured; else its page is empty.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          SCL: {kind: clock, for: Clocks the data line.}

    Good:
        # faults/wren-5/family.yaml
        nets:
          SDA: {kind: data, for: Data line from the processor to the display board.}
    """
    for family in book.families.values():
        for net in family.nets.values():
            if not parts_of_net(family, net.id) and not measurements_of_net(family, net.id):
                yield _unused(net.origin, net.id, "part and no measurement is on")


RULES: tuple[BookRule, ...] = (
    Rule(unused_symptom, "warning", whole=True),
    Rule(unused_technique, "warning", whole=True),
    Rule(unused_hazard, "note", whole=True),
    Rule(unused_state, "warning", whole=True),
    Rule(unused_source, "warning", whole=True),
    Rule(unused_measurement, "warning", whole=True),
    Rule(unused_test_point, "warning", whole=True),
    Rule(unused_net, "warning", whole=True),
)
