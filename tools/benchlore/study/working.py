"""How a healthy reading follows from the circuit, as a trainee would work it out."""

from __future__ import annotations

from dataclasses import dataclass

from benchlore.book.model import Book, Family, Measurement
from benchlore.circuit.healthy import Derived, derive
from benchlore.circuit.healthy import Step as Law
from benchlore.quantity import format_value

STATED = "Stated, not derived"


@dataclass(frozen=True, slots=True)
class Step:
    """One law on one net: the formula, the formula with its numbers and its result, and the worst case.

    `given`: name and value of what went in. `source`: where the law is published, or empty. A value that the
    record states has no numbers to fill in: the formula is `STATED`.
    """

    net: str
    formula: str
    filled: str
    worst: str
    given: tuple[tuple[str, str], ...]
    source: str


@dataclass(frozen=True, slots=True)
class Working:
    """The steps from the nets above down to the reading; `worst` is the last of them in words."""

    steps: tuple[Step, ...]
    worst: str


def working(book: Book, family: Family, measurement: Measurement) -> Working | None:
    """The working of a measurement with the shop's default meter, or None where the circuit does not say."""
    found = derive(book, family, measurement)
    return None if found is None else _worked(found)


def _worked(found: Derived) -> Working:
    steps = tuple(_step(step) for step in found.steps)
    return Working(steps, steps[-1].worst)


def _step(law: Law) -> Step:
    if law.law is None and not law.given:
        return Step(law.net, law.formula, f"0 {law.unit}", f"0 {law.unit}", (), law.source)
    stated = _is_stated(law)
    return Step(
        law.net,
        STATED if stated else law.formula,
        "" if stated else " = ".join(p for p in (law.filled, format_value(law.value, law.unit)) if p),
        f"{format_value(law.worst.low, law.unit)} to {format_value(law.worst.high, law.unit)}",
        tuple((given.name, given.text) for given in law.given),
        law.source,
    )


def _is_stated(step: Law) -> bool:
    """Whether the record gives the reading itself: one value of its own, and nothing to reckon."""
    law = step.law
    if law is None:
        return False
    return (
        len(law.inputs) == 1 and law.inputs[0].place == "record" and law.filled == f"{{{law.inputs[0].name}}}"
    )
