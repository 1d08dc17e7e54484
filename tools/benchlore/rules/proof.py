"""Fault patterns: what they read, what mends them, and what proves it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from benchlore.book.model import Book, Family, Fault, Measurement, Net, Step
from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.healthy import is_sound
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAULT

_TYPED = re.compile(r"([-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+))\s*(.*)")
_PREFIX = re.compile(r"[pnumkMG]?")
# May be a decimal comma or a thousands separator; `example-not-readable` asks which.
_THOUSANDS = re.compile(r"[-+]?[1-9][0-9]{0,2},[0-9]{3}")


LEAST_OF_STEP = 0.25  # minutes; common practice, no source


@rule(each=FAULT, waivable=False)
def shares_not_one(fault: Fault) -> Iterator[Problem]:
    """The shares of several expected outcomes add up to 1, and so do those of the variants of a cause.

    Bad:
        # faults/wren-5/line-held-low.yaml
        test_points:
          - sda-level: low
          - sda-level-unplugged: healthy
          - socket-look: {green: 0.7, clean: 0.2}

    Good:
        # faults/wren-5/line-held-low.yaml
        test_points:
          - sda-level: low
          - sda-level-unplugged: healthy
          - socket-look: {green: 0.8, clean: 0.2}
    """
    for expectation in fault.test_points:
        total = math.fsum(expectation.expected_reading.values())
        if expectation.expected_reading and not math.isclose(total, 1, abs_tol=1e-6):
            message = f"the shares of '{expectation.measure}' add up to {total:g}, not to 1"
            yield Problem(expectation.origin.at("expected_reading"), message, "change one of them")
    total = math.fsum(variant.share for variant in fault.cause.variants)
    if fault.cause.variants and not math.isclose(total, 1, abs_tol=1e-6):
        message = f"the shares of the variants add up to {total:g}, not to 1"
        yield Problem(fault.cause.variants[-1].origin.at("share"), message, "change one of them")


@rule(each=FAULT, waivable=False)
def repeated_measurement(fault: Fault) -> Iterator[Problem]:
    """A fault states a measurement once.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
          - main-rail-on-pack: healthy
          - fused-rail: low

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: {absent: 0.9, low: 0.1}
          - main-rail-on-pack: healthy
    """
    seen: set[str] = set()
    for expectation in fault.test_points:
        if expectation.measure in seen:
            message = f"'{expectation.measure}' stands twice among the test points"
            mend = "keep one; several outcomes go into one expected_reading, with their shares"
            yield Problem(expectation.origin.at("measure"), message, mend)
        seen.add(expectation.measure)


@rule(each=FAULT)
def nothing_abnormal(book: Book, fault: Fault) -> Iterator[Problem]:
    """At least one measurement of a fault reads what a healthy board does not, as stated or by the circuit.

    Bad:
        # faults/wren-5/line-held-low.yaml
        test_points:
          - sda-level: healthy
          - sda-level-unplugged: healthy
          - socket-look: clean

    Good:
        # faults/wren-5/line-held-low.yaml
        test_points:
          - sda-level: low
          - sda-level-unplugged: healthy
          - socket-look: clean
        worked_example:
          sda-level: 0.12 V
          sda-level-unplugged: 3.30 V
          socket-look: clean
    """
    family = book.families.get(fault.family)
    clear = family and is_sound(family) and fault.cause.part in family.parts
    known = family.measurements if family and clear else {}
    if known and all(m in known and set(row) <= set(known[m].normal) for m, row in fault.reads.items()):
        message = "every measurement reads as on a healthy board"
        mend = "add a measurement that this fault disturbs to test_points, or say how its part has failed"
        yield Problem(fault.origin.at("test_points"), message, mend, on_key=True)


def _confirmed(book: Book, fault: Fault) -> Iterator[tuple[Measurement, str]]:
    family = book.families.get(fault.family)
    for measure, outcome in fault.fix.confirm.items():
        measurement = family.measurements.get(measure) if family else None
        if measurement and outcome in measurement.outcomes:
            yield measurement, outcome


@rule(each=FAULT)
def confirm_not_normal(book: Book, fault: Fault) -> Iterator[Problem]:
    """Every fix ends in a measurement that reads normal; one of several normal outcomes is named.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          confirm: {fused-rail: low}

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          confirm: {fused-rail: healthy}
    """
    family = book.families.get(fault.family)
    for name, said in fault.fix.confirm.items():
        if not said and family and name in family.measurements:
            normal = family.measurements[name].normal
            message = f"'{name}' has {len(normal) or 'no'} normal outcomes, and the proof does not say which"
            mend = f"write '{name}: {normal[0]}', or another of {', '.join(normal)}" if normal else ""
            yield Problem(fault.origin.at("fix", "confirm", name), message, mend)
    for measurement, outcome in _confirmed(book, fault):
        if not measurement.outcomes[outcome].normal:
            message = f"'{outcome}' of '{measurement.id}' is not normal, so it proves no fix"
            mend = f"write a normal outcome: {', '.join(measurement.normal)}" if measurement.normal else ""
            yield Problem(fault.origin.at("fix", "confirm", measurement.id), message, mend)


@rule(each=FAULT)
def confirm_proves_nothing(book: Book, fault: Fault) -> Iterator[Problem]:
    """The proof reads otherwise before the fix: of at least one of its measurements it is known, as stated or
    by the circuit, that it rarely reads so with the fault.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          confirm: {main-rail-on-pack: healthy}

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          confirm: {fused-rail: healthy, main-rail-on-pack: healthy}
    """
    family = book.families.get(fault.family)
    if family is None or not is_sound(family):
        return
    if not {e.measure for e in fault.test_points} <= set(family.measurements):
        return  # a misspelled test point may be the one
    before = fault.reads
    confirmed = list(_confirmed(book, fault))
    changes = [m.id for m, outcome in confirmed if before.get(m.id, {outcome: 1.0}).get(outcome, 0.0) < 0.5]
    if len(confirmed) == len(fault.fix.confirm) and not changes:
        message = "the proof reads the same before the fix, as far as is known"
        mend = "confirm by a measurement that reads wrong with the fault, and state it among the test points"
        yield Problem(fault.origin.at("fix", "confirm"), message, mend, on_key=True)


# Of what is seen with the fault, the share that may be healthy where a number proves the fix.
_SELDOM_NORMAL = 1 / 3


@rule("note", each=FAULT)
def proof_by_eye_alone(book: Book, fault: Fault) -> Iterator[Problem]:
    """A fix is proved by a number where a meter has one: of a reading that is amiss with the fault in two
    jobs of three or more, with nothing more unplugged. What was only looked at or listened to cannot be
    written down.

    Bad:
        # faults/wren-5/line-held-low.yaml
        fix:
          confirm: {socket-look: clean}

    Good:
        # faults/wren-5/line-held-low.yaml
        fix:
          confirm: {socket-look: clean, sda-level: healthy}
    """
    family = book.families.get(fault.family)
    confirmed = [measurement for measurement, _ in _confirmed(book, fault)]
    if family is None or len(confirmed) != len(fault.fix.confirm) or not is_sound(family):
        return
    if not all(measurement.mode in ("look", "listen") for measurement in confirmed):
        return
    healthy = {
        name: math.fsum(row.get(outcome, 0.0) for outcome in family.measurements[name].normal)
        for name, row in fault.reads.items()
        if name in family.measurements
        and family.measurements[name].unit
        and not family.measurements[name].unplugged
    }
    best = min(healthy, key=lambda name: (healthy[name], name), default="")
    if confirmed and best and healthy[best] <= _SELDOM_NORMAL:
        message = f"the eye alone proves the fix, and '{best}' reads amiss with the fault"
        mend = f"add '{best}' to the proof"
        yield Problem(fault.origin.at("fix", "confirm"), message, mend, on_key=True)


@rule("note", each=FAULT)
def proof_without_function(book: Book, fault: Fault) -> Iterator[Problem]:
    """What the device is seen or heard to do amiss with the fault, in two jobs of three or more, is looked at
    or listened to again after the fix. A rail at its volts is not yet a picture. It counts with power on and
    nothing more unplugged; any such look, listen or scope view in the proof does.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          socket-look: {state: adapter-only}

    Good:
        # faults/wren-5/line-held-low.yaml
        fix:
          confirm: {sda-level: healthy, socket-look: clean}
    """
    family = book.families.get(fault.family)
    confirmed = [measurement for measurement, _ in _confirmed(book, fault)]
    if family is None or len(confirmed) != len(fault.fix.confirm):
        return
    if not confirmed or any(m.mode == "scope" or _shows_a_function(family, m) for m in confirmed):
        return
    for expectation in fault.test_points:
        measurement = family.measurements.get(expectation.measure)
        if measurement is None or not _shows_a_function(family, measurement):
            continue
        row = expectation.expected_reading
        if row and math.fsum(row.get(outcome, 0.0) for outcome in measurement.normal) <= _SELDOM_NORMAL:
            message = (
                f"'{measurement.id}' is amiss with the fault, and nobody looks whether it is right again"
            )
            mend = f"add '{measurement.id}' to the proof"
            yield Problem(fault.origin.at("fix", "confirm"), message, mend, on_key=True)
            return


def _shows_a_function(family: Family, measurement: Measurement) -> bool:
    state = family.states.get(measurement.state)
    powered = state is not None and bool(state.sources)
    return powered and measurement.mode in ("look", "listen") and not measurement.unplugged


@rule("warning", each=FAULT)
def fuse_before_ohms(book: Book, fault: Fault) -> Iterator[Problem]:
    """Before a fuse is replaced, what lies behind it is measured in ohms or in diode mode, where the family
    has such a measurement of the net that the fuse feeds. It counts where every job takes it, and where
    work does not go on at an outcome below the healthy ones; above them, the open fuse may have put it.

    A fuse seldom dies of itself. Over the short that opened it, the new one opens as well, or does not and
    feeds a fire. Source: common practice, no source.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          MAIN: {path: {part: F1, from: VIN, ohms: 20 mohm 20%}}

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - {measure: main-junction, reads: healthy}
            - replace: F1
    """
    family = book.families.get(fault.family)
    if family is None:
        return
    taken: set[str] = set()
    for step in fault.fix.steps:
        if not step.if_:
            taken |= {name for name in step.measure if not _asks_for_a_short(family, name, step)}
        for use in step.uses:
            part = family.parts.get(use.part)
            if part is None or part.kind != "fuse":
                continue
            behind = {n.id for n in family.nets.values() if part.id in _comes_by(n)}
            unpowered = {
                m.id for m in family.measurements.values() if m.net in behind and m.function.power == "off"
            }
            if unpowered and not unpowered & taken:
                message = f"{part.id} is replaced, and nobody has measured what lies behind it"
                normal = family.measurements[min(unpowered)].normal
                mend = f"put a step with '{min(unpowered)}' before it"
                mend += f", with 'reads: {normal[0]}'" if normal else ""
                verb = "fit" if step.fit else "replace"
                yield Problem(step.origin.at(verb), message, mend, on_key=True)


def _comes_by(net: Net) -> set[str]:
    return {p for path in net.path for p in path.part} | {p for source in net.source for p in source.part}


def _asks_for_a_short(family: Family, name: str, step: Step) -> bool:
    outcomes = family.measurements[name].outcomes if name in family.measurements else {}
    outcome = outcomes.get(step.reads or "")
    asked = outcome.range if outcome else None
    healthy = [o.range.low for o in outcomes.values() if o.normal and o.range is not None]
    return asked is not None and asked.low < min(healthy, default=asked.low)


@rule(each=FAULT)
def power_before_ohms(book: Book, fault: Fault) -> Iterator[Problem]:
    """After a short on a rail was mended, its ohms are measured before it gets power: in a step, or in the
    proof, which powers the board last.

    Demanded where the family has such a measurement. A second part that is shorted would take the new one
    along, and whoever looks at it. Source: common practice, no source.

    Bad:
        # faults/wren-5/rail-short.yaml
        fix:
          confirm: {main-rail: healthy}

    Good:
        # faults/wren-5/rail-short.yaml
        fix:
          confirm: {main-junction: healthy, main-rail: healthy}
    """
    family = book.families.get(fault.family)
    ways = fault.cause.variants or (fault.cause,)
    if family is None or not any(way.mode in _SHORTS for way in ways):
        return
    part = family.parts.get(fault.cause.part)
    shorted = {way.at for way in ways if way.at} or set(part.nets[:1] if part else ())
    rails = {name for name in shorted if name in family.nets and family.nets[name].kind == "rail"}
    unpowered = {m.id for m in family.measurements.values() if m.net in rails and m.function.power == "off"}
    taken = {name for step in fault.fix.steps for name in step.measure} | set(fault.fix.confirm)
    if unpowered and not unpowered & taken:
        message = f"power comes back to {' and '.join(sorted(rails))} without a look at its ohms"
        mend = f"add a step, or confirm first, with '{min(unpowered)}'"
        yield Problem(fault.origin.at("fix", "confirm"), message, mend, on_key=True)


_SHORTS = ("shorted-to-ground", "leaks")


@rule(each=FAULT)
def example_not_stated(book: Book, fault: Fault) -> Iterator[Problem]:
    """The worked example reads measurements that the fault states or the circuit foretells; of others the
    book expects nothing.

    Bad:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          socket-look: clean

    Good:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          main-rail: 0 V
    """
    family = book.families.get(fault.family)
    known = family.measurements if family and is_sound(family) else {}
    if not {e.measure for e in fault.test_points} <= set(known):
        return  # a misspelled test point may be the one
    if family is None or any(way.part not in family.parts for _, way in fault_of(fault)):
        return  # of a part that is not there the circuit can foretell nothing
    reads = fault.reads
    for name in fault.worked_example:
        clear = name in known and all(point in family.test_points for point in known[name].points)
        if clear and name not in reads:
            message = f"the fault does not say what '{name}' reads"
            mend = "add it to test_points, or take it out here"
            yield Problem(fault.origin.at("worked_example", name), message, mend, on_key=True)


@rule("warning", each=FAULT)
def example_without_unit(book: Book, fault: Fault) -> Iterator[Problem]:
    """A reading in a worked example has a decimal point and a unit, so that no reader guesses.

    Bad:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0,02 V
          main-rail-on-pack: 3.31

    Good:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          main-rail-on-pack: 3.31 V
    """
    family = book.families.get(fault.family)
    for name, typed in fault.worked_example.items():
        measurement = family.measurements.get(name) if family else None
        found = _TYPED.fullmatch(typed.strip())
        if not (measurement and measurement.unit and found) or _THOUSANDS.fullmatch(found[1]):
            continue
        bare = _PREFIX.fullmatch(found[2])
        faults = ["has no unit"] if bare else []
        faults += ["has a decimal comma"] if "," in found[1] else []
        if faults:
            unit = found[2] + measurement.unit if bare else found[2]
            mend = f"write '{found[1].replace(',', '.')} {unit}'"
            message = f"'{typed}' {' and '.join(faults)}"
            yield Problem(fault.origin.at("worked_example", name), message, mend)


@rule("warning", each=FAULT)
def fix_faster_than_part(book: Book, fault: Fault) -> Iterator[Problem]:
    """A fix that replaces parts takes at least the minutes that the family states for replacing each of them;
    any fix takes at least a quarter of a minute a step.

    Bad:
        # faults/wren-5/rail-short.yaml
        fix:
          minutes: 4

    Good:
        # faults/wren-5/rail-short.yaml
        fix:
          minutes: 12
    """
    family = book.families.get(fault.family)
    parts = [family.parts[u.part] for u in fault.fix.parts if u.part in family.parts] if family else []
    if fault.fix.minutes < len(fault.fix.steps) * LEAST_OF_STEP:
        message = f"{len(fault.fix.steps)} steps in {fault.fix.minutes:g} minutes"
        yield Problem(fault.origin.at("fix", "minutes"), message, "write the bench minutes that it takes")
        return
    slowest = max(parts, key=lambda part: part.replace.minutes, default=None)
    if slowest and fault.fix.action == "replace" and fault.fix.minutes < slowest.replace.minutes:
        message = (
            f"the fix takes {fault.fix.minutes:g} minutes, and replacing {slowest.id} alone "
            f"{slowest.replace.minutes:g}"
        )
        yield Problem(fault.origin.at("fix", "minutes"), message, "mend one of the two")
