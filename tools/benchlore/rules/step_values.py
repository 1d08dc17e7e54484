"""Values in the words of a fault and in its steps: they are those of the circuit."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from benchlore.book import elements as written
from benchlore.book.model import Family, Fault, Net, Step
from benchlore.findings import Problem
from benchlore.quantity import Quantity, parse_quantity
from benchlore.rules.rule import rule
from benchlore.rules.steps import WORK

_VALUE = re.compile(
    r"(?P<bound>\b(?:under|over|above|below|less than|more than|at least|at most)\s+)?"
    r"(?P<value>\d+(?:\.\d+)?) ?(?P<unit>[pnumkMG]?(?:V|ohm|Ω|F|Hz))\b"
)
NEAR = 0.03  # a value in words is rounded (common practice, no source)


@rule(each=WORK)
def contradicted_step_value(family: Family, fault: Fault) -> Iterator[Problem]:
    """A value in a step is that of the record of the board: of a part that is fitted, the value that the
    circuit states of it; in words about a net or a measurement, a healthy one.

    Bad:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: F1
            - {measure: main-rail, reads: healthy, say: It must read 3.9 V.}

    Good:
        # faults/wren-5/fuse-open.yaml
        fix:
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: F1
            - {measure: main-rail, reads: healthy, say: It must read 3.3 V.}
    """
    for step in fault.fix.steps:
        for verb, uses in (("fit", step.fit), ("replace", step.replace)):
            for i, use in enumerate(uses):
                stated = _values_of(family, use.part, use.value.unit) if use.value else ()
                if use.value and stated and not any(_alike(use.value, one) for one in stated):
                    message = f"{use.value}, where the circuit states {_listed(stated)} of {use.part}"
                    yield Problem(step.origin.at(verb, i, "value"), message, "write the true value")
        nets = _nets_meant(family, step)
        for found in _VALUE.finditer(step.say):
            value = parse_quantity(f"{found['value']} {found['unit'].replace('Ω', 'ohm')}")
            stated = _stated(family, nets, value.unit) + _healthy(family, step, nets, value.unit)
            if stated and not found["bound"] and not any(_alike(value, one) for one in stated):
                message = f"{value} is none of what is healthy on {', '.join(nets)}: {_listed(stated)}"
                yield Problem(step.origin.at("say"), message, "write the true value")


_SOUND = re.compile(r"\b(?:healthy|normal|sound|good)\b", re.IGNORECASE)


@rule(each=WORK)
def contradicted_note_value(family: Family, fault: Fault) -> Iterator[Problem]:
    """A value that a note calls healthy is one that a healthy board reads there.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - main-rail: absent
            note: A healthy one reads 33 V.

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - main-rail: absent
            note: A healthy one reads 3.3 V.
    """
    for reading in fault.test_points:
        measurement = family.measurements.get(reading.measure)
        ranges = (
            [o.range for o in measurement.outcomes.values() if o.normal and o.range] if measurement else []
        )
        for sentence in _SENTENCES.split(reading.note) if ranges else ():
            for found in _VALUE.finditer(sentence) if _SOUND.search(sentence) else ():
                value = parse_quantity(f"{found['value']} {found['unit'].replace('Ω', 'ohm')}")
                fits = [one for one in ranges if one.unit == value.unit]
                if fits and not any(_alike(value, one) for one in fits):
                    message = (
                        f"{value} is none of what is healthy in '{reading.measure}': {_listed(tuple(fits))}"
                    )
                    yield Problem(reading.origin.at("note"), message, "write the true value")


@rule("warning", each=WORK)
def contradicted_summary_value(family: Family, fault: Fault) -> Iterator[Problem]:
    """A voltage in the summary of a fault is one of its board: a nominal one, one of the circuit, or a
    reading of a healthy board or of this fault.

    Bad:
        # faults/wren-5/fuse-open.yaml
        summary: 12 V stand at the input fuse and end there.

    Good:
        # faults/wren-5/fuse-open.yaml
        summary: 5 V stand at the input fuse and end there.
    """
    known = [value for net in family.nets.values() for value in _quantities(net)]
    for measurement in family.measurements.values():
        read = fault.reads.get(measurement.id, {})
        known += [
            o.range
            for o in measurement.outcomes.values()
            if o.range and (o.normal or o.id in read) and math.isfinite(o.range.low + o.range.high)
        ]
    volts = [value for value in known if value.unit == "V"]
    for found in _VALUE.finditer(fault.summary):
        if found["unit"].endswith("V") and not found["bound"] and volts:
            value = parse_quantity(f"{found['value']} {found['unit']}")
            if not any(_alike(value, one) for one in volts):
                message = f"{value} stands nowhere on this board"
                yield Problem(fault.origin.at("summary"), message, "write the true value, or say it in words")


_SENTENCES = re.compile(r"(?<=[.;!?])\s")


def _listed(values: tuple[Quantity, ...]) -> str:
    return ", ".join(dict.fromkeys(str(value) for value in values))


def _alike(value: Quantity, stated: Quantity) -> bool:
    low, high = sorted((stated.low * (1 - NEAR), stated.high * (1 + NEAR)))
    return value.high >= low and value.low <= high


def _nets_meant(family: Family, step: Step) -> tuple[str, ...]:
    """The nets that a step speaks of: of its measurements, its parts, and those that its words name."""
    found = [family.measurements[name].net for name in step.measure if name in family.measurements]
    found += [step.inject] if step.inject else []
    for name in step.handled:
        found += family.parts[name].nets if name in family.parts else ()
    said = step.say.lower().replace("_", " ")
    found += [net for net in family.nets if re.search(rf"\b{net.lower().replace('_', ' ')}\b", said)]
    return tuple(dict.fromkeys(found))


def _values_of(family: Family, part: str, unit: str) -> tuple[Quantity, ...]:
    """What the circuit states of a part itself, in a unit."""
    found: list[Quantity] = []
    for element in (element for net in family.nets.values() for element in net.elements):
        match element:
            case written.Path() | written.Pull() if element.part[:1] == (part,) and element.ohms:
                found.append(element.ohms)
            case written.Delay() if part in element.part:
                found += (element.ohms, element.farads)
            case written.Converter():
                found += [r.ohms for r in (element.top, element.bottom) if r and r.part == part]
    return tuple(value for value in found if value.unit == unit)


def _stated(family: Family, nets: tuple[str, ...], unit: str) -> tuple[Quantity, ...]:
    """The values of a unit that the records of some nets state."""
    return tuple(
        value
        for name in nets
        if name in family.nets
        for value in _quantities(family.nets[name])
        if value.unit == unit
    )


def _healthy(family: Family, step: Step, nets: tuple[str, ...], unit: str) -> tuple[Quantity, ...]:
    """What is normal for the measurements of a step, else for those on its nets."""
    own = [family.measurements[name] for name in step.measure if name in family.measurements]
    return tuple(
        outcome.range
        for m in own or [m for m in family.measurements.values() if m.net in nets]
        if m.unit == unit
        for outcome in m.outcomes.values()
        if outcome.normal and outcome.range is not None
    )


def _quantities(record: Net | Any) -> Iterator[Quantity]:
    """Every value within a record."""
    if isinstance(record, Quantity):
        yield record
    elif isinstance(record, Mapping):
        for one in record.values():
            yield from _quantities(one)
    elif isinstance(record, tuple):
        for one in record:
            yield from _quantities(one)
    elif is_dataclass(record):
        for field in fields(record):
            yield from _quantities(getattr(record, field.name))
