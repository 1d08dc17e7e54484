"""Expectations against what the circuit foretells of the cause: what contradicts it, what only repeats it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import fsum

from benchlore.book.links import measured
from benchlore.book.model import Book, Expectation, Family, Fault, Measurement
from benchlore.circuit.foretold import Row, foretold, predictor_of
from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.graph.family import ask_of
from benchlore.circuit.graph.outcomes import shares
from benchlore.circuit.graph.predict import Prediction
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAULT

FORESEEN = 0.05  # the least share of an outcome that counts as foreseen
MOST_UNFORESEEN = 0.5  # of what is stated, what may be unforeseen
SAME = 0.05  # shares that differ by less say the same


def _stated(book: Book, fault: Fault) -> Iterator[tuple[Family, Expectation, Measurement, Row]]:
    """What the record states where the circuit foretells something, with what it foretells."""
    family = book.families.get(fault.family)
    rows = foretold(book, family).get(fault.id, {}) if family else {}
    for expectation, measurement in measured(book, fault):
        row = rows.get(expectation.measure)
        sound = set(expectation.expected_reading) <= set(measurement.outcomes)
        if family and row is not None and sound and not expectation.predicted:
            yield family, expectation, measurement, row


@rule(each=FAULT)
def contradicts_circuit(book: Book, fault: Fault) -> Iterator[Problem]:
    """A fault reads what the circuit makes of its cause; the finding shows the steps from the cause on.

    What is stated counts as foreseen where the circuit gives it one board in twenty. The record is wrong, or
    the circuit, or the mode of the cause; a waiver says what the circuit does not know.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
          - main-rail-on-pack: absent

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
          - main-rail-on-pack: healthy
    """
    for family, expectation, measurement, row in _stated(book, fault):
        stated = expectation.expected_reading
        unforeseen = fsum(share for name, share in stated.items() if row.get(name, 0.0) < FORESEEN)
        if unforeseen > MOST_UNFORESEEN and not _strange(book, family, measurement):
            message = (
                f"'{measurement.id}' reads {_said(stated)}, and by the circuit {_said(row)}: "
                f"{'; '.join(_steps(book, family, fault, measurement))}"
            )
            mend = "correct the reading, the circuit, or how the part has failed"
            yield Problem(expectation.origin.at("expected_reading"), message, mend)


@rule("note", each=FAULT)
def repeats_prediction(book: Book, fault: Fault) -> Iterator[Problem]:
    """An expectation says what the circuit does not, or why; what only repeats the circuit is left out.

    Every page, the ranking and the plan read it as the circuit foretells it, with the record's word and
    without, and go on doing so when somebody corrects the circuit.

    Bad:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
            note: The fuse carries nothing.
          - main-rail-on-pack: healthy

    Good:
        # faults/wren-5/fuse-open.yaml
        test_points:
          - fused-rail: absent
            note: The fuse carries nothing.
    """
    for _, expectation, measurement, row in _stated(book, fault):
        stated = expectation.expected_reading
        apart = fsum(abs(stated.get(o, 0.0) - row.get(o, 0.0)) for o in measurement.outcomes) / 2
        if not expectation.note and apart < SAME:
            message = f"'{measurement.id}' reads {_said(stated)}, which the circuit says already"
            yield Problem(expectation.origin, message, "take it out, or add a note that says why it reads so")


def _strange(book: Book, family: Family, measurement: Measurement) -> bool:
    """True where the healthy board, too, is another one by the circuit than by its outcomes, as other rules
    say."""
    ask = ask_of(measurement)
    healthy = predictor_of(book, family).healthy(ask) if ask else None
    row = shares(measurement, Prediction(healthy, healthy=False)) or {}
    return bool(row) and fsum(row.get(name, 0.0) for name in measurement.normal) < MOST_UNFORESEEN


def _said(row: Mapping[str, float]) -> str:
    """Outcomes with their shares: `absent`, or `absent (70 %) or low (30 %)`."""
    if len(row) == 1:
        return next(iter(row))
    ordered = sorted(row.items(), key=lambda item: (-item[1], item[0]))
    return " or ".join(f"{name} ({share:.0%})".replace("%", " %") for name, share in ordered)


def _steps(book: Book, family: Family, fault: Fault, measurement: Measurement) -> tuple[str, ...]:
    """Why the likeliest way of the cause reads so, from the cause on."""
    ask = ask_of(measurement)
    ways = fault_of(fault)
    if ask is None or not ways:
        return ()
    way = max(ways, key=lambda way: way[0])[1]
    found = predictor_of(book, family).predict([ask], way)[ask]
    return found.steps or ("nothing of what sets it has changed",)
