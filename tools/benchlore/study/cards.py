"""The cards of a family: what can be asked about its records.

A card is one thing to know. What varies from asking to asking (which wrong answers stand beside the right
one, which reading of an outcome is shown) is drawn in the browser, by the seed of the session.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from benchlore.book.model import Book, Family, Measurement, Outcome
from benchlore.diagnosis.case import Case
from benchlore.diagnosis.meter import accuracy_limit, range_for
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.verdict import DECIDED, verdict
from benchlore.study.path import complaints, lines, rails

RIVALS = 8  # wrong ranges kept for a card; three of them are shown
_STEPS = 40  # places looked at where two outcomes meet


@dataclass(frozen=True, slots=True)
class Card:
    """One thing to know. `subject`: the net, or the symptom of a job.

    `outcome`: the outcome that a reading is drawn from. `between` and `span`: the two outcomes that the meter
    cannot tell apart for readings within the span (base unit).
    """

    id: str
    kind: str
    subject: str
    measure: str = ""
    outcome: str = ""
    between: tuple[str, ...] = ()
    span: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Rival:
    """A wrong range that is worth confusing with the right one; `of` says what it belongs to."""

    outcome: Outcome
    measure: str


def cards(book: Book, family: Family, case: Case) -> tuple[Card, ...]:
    """All cards, along the path: net by net, then the symptoms.

    `case`: the family without a revision and with the meter that the readings are drawn for.
    """
    found: list[Card] = []
    for stop in (*rails(family), *lines(family)):
        mine = _measured(family, stop.net.id, case)
        for asked in ASKED.values():
            for m in mine:
                found += asked(book, m, stop.net.id, case)
    found += (Card(f"job/{c.symptom}", "job", c.symptom) for c in complaints(book, family))
    return tuple(found)


def _measured(family: Family, net: str, case: Case) -> list[Measurement]:
    """The measurements of a net that the case's meter can make."""
    return [
        m
        for m in family.measurements.values()
        if m.net == net and (m.unit is None or case.scales[m.id].ranges)
    ]


def _reads(_: Book, m: Measurement, net: str, __: Case) -> Iterator[Card]:
    yield Card(f"reads/{m.id}", "reads", net, m.id)


def _setup(_: Book, m: Measurement, net: str, __: Case) -> Iterator[Card]:
    yield Card(f"setup/{m.id}", "setup", net, m.id)


def _means(book: Book, m: Measurement, net: str, case: Case) -> Iterator[Card]:
    for outcome in m.outcomes.values():
        yield Card(f"means/{m.id}/{outcome.id}", "means", net, m.id, outcome.id)
    for low, high, span in doubts(book, m, case):
        yield Card(f"means/{m.id}/{low}--{high}", "means", net, m.id, "", (low, high), span)


# The kinds of cards of a measurement along the path; `study/exercises/<kind>.js` asks and grades each.
ASKED: Mapping[str, Callable[[Book, Measurement, str, Case], Iterator[Card]]] = MappingProxyType(
    {"reads": _reads, "setup": _setup, "means": _means}
)


def doubts(book: Book, m: Measurement, case: Case) -> Iterator[tuple[str, str, tuple[float, float]]]:
    """Where the meter cannot decide: two outcomes that meet, and the readings between them.

    The span holds the readings about the middle for which the verdict is undecided between just these two; it
    is at least two steps of the meter wide.
    """
    scale, meter = case.scales[m.id], book.meters[case.meter]
    bands = sorted((b for b in scale.bands if b.read), key=lambda band: (band.floor, band.ceiling))
    for low, high in pairwise(bands):
        middle = (low.ceiling + high.floor) / 2
        reach = abs(high.floor - low.ceiling) + 3 * accuracy_limit(range_for(scale.ranges, middle), middle)
        both = {low.outcome, high.outcome}

        def doubtful(value: float, both: set[str] = both) -> bool:
            said = verdict(m, meter, scale, Reading(m.id, "", value))
            likely = {name for name, share in said.outcomes if share >= 1 - DECIDED}
            return said.kind == "undecided" and likely == both

        ends = []
        for way in (-1, 1):
            places = [middle + way * reach * n / _STEPS for n in range(_STEPS + 1)]
            held = 0
            while held < len(places) and doubtful(places[held]):
                held += 1
            ends.append(places[held - 1] if held else math.nan)
        # A meter shows whole steps of its resolution: one of them must lie within.
        step = range_for(scale.ranges, middle).resolution.middle
        if not any(math.isnan(end) for end in ends) and ends[1] - ends[0] >= 2 * step:
            yield low.outcome, high.outcome, (ends[0], ends[1])


def rivals(family: Family, m: Measurement) -> tuple[Rival, ...]:
    """Wrong ranges for a measurement: its own other outcomes, then healthy ranges of like measurements.

    None of them meets a healthy range of the measurement, and no two read the same.
    """
    healthy = [o for o in m.outcomes.values() if o.normal]
    near = [Rival(o, m.id) for o in m.outcomes.values() if not o.normal]
    others = [
        Rival(o, other.id)
        for other in family.measurements.values()
        if other.id != m.id and other.mode == m.mode
        for o in other.outcomes.values()
        if o.normal
    ]
    others.sort(key=lambda rival: _far(rival.outcome, healthy))
    found: dict[str, Rival] = {}
    for rival in (*near, *others):
        if not any(_meet(rival.outcome, right) for right in healthy):
            found.setdefault(_said(rival.outcome), rival)
    return tuple(found.values())[:RIVALS]


def _said(outcome: Outcome) -> str:
    return outcome.id if outcome.range is None else outcome.range.text


def _meet(one: Outcome, other: Outcome) -> bool:
    if one.range is None or other.range is None:
        return one.id == other.id
    return one.range.low <= other.range.high and other.range.low <= one.range.high


def _far(outcome: Outcome, healthy: list[Outcome]) -> float:
    """How unlike the healthy range an outcome reads: the distance of their middles on a log scale."""
    mine = _middle(outcome)
    return min((abs(math.log(mine / _middle(right))) for right in healthy), default=0.0)


def _middle(outcome: Outcome) -> float:
    if outcome.range is None:
        return 1.0
    ends = [abs(end) for end in (outcome.range.low, outcome.range.high) if math.isfinite(end)]
    return max(math.fsum(ends) / len(ends) if ends else 1.0, 1e-9)
