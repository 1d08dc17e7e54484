"""Measurements: what is unplugged, how the leads go, and that no two are the same."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from benchlore.book.model import Book, Measurement
from benchlore.findings import Problem
from benchlore.rules.engine import BookRule, Rule


def cannot_unplug(book: Book) -> Iterator[Problem]:
    """What a measurement unplugs is a part that has `unplugs: true`.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          sda-level-unplugged: {unplugged: [U1]}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          sda-level-unplugged: {unplugged: [J1]}
    """
    for family in book.families.values():
        for measurement in family.measurements.values():
            for i, name in enumerate(measurement.unplugged):
                part = family.parts.get(name)
                if part and not part.unplugs:
                    message = f"'{name}' ({part.name}) cannot be unplugged"
                    mend = f"name a connector, or add 'unplugs: true' to {name}"
                    yield Problem(measurement.origin.at("unplugged", i), message, mend)


def junction_without_leads(book: Book) -> Iterator[Problem]:
    """A junction test says which lead goes where: turned round, it reads another junction.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          sda-junction:
            at: TP3
            mode: junction
            state: all-off
            technique: junction-test
            minutes: 2
            asks: Is the data line shorted?
            outcomes:
              healthy: {range: 0.35 to 0.70 V, normal: true, means: No short.}
              shorted: {range: under 0.10 V, means: The line is shorted.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-junction: {leads: "red on ground, black on the point"}
    """
    for family in book.families.values():
        for measurement in family.measurements.values():
            if measurement.mode == "junction" and not measurement.leads:
                message = f"'{measurement.id}' does not say which lead goes where"
                mend = "add 'leads: red on ground, black on the point'"
                yield Problem(measurement.origin.at("mode"), message, mend)


def same_measurement(book: Book) -> Iterator[Problem]:
    """Two measurements differ in point, mode, bench state, what is unplugged, leads or injection.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail-on-pack: {state: adapter-only}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail-on-pack: {state: pack-only}
    """
    for family in book.families.values():
        for one, other in combinations(family.measurements.values(), 2):
            if _set_up(one) == _set_up(other):
                message = f"'{other.id}' is the same measurement as '{one.id}'"
                yield Problem(
                    other.origin, message, "keep one of them, or say in what they differ", on_key=True
                )


def _set_up(measurement: Measurement) -> tuple[object, ...]:
    inject = measurement.inject
    injected = (inject.volts.text, inject.limit.text) if inject else None
    unplugged = frozenset(measurement.unplugged)
    return measurement.test_point, measurement.mode, measurement.state, unplugged, measurement.leads, injected


RULES: tuple[BookRule, ...] = (
    Rule(cannot_unplug),
    Rule(junction_without_leads, "warning"),
    Rule(same_measurement),
)
