"""The table of test points of a fault, each line with all that it names; what goes before its fix."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum

from benchlore.book import links
from benchlore.book.model import Book, Expectation, Family, Fault, Measurement, Outcome, State, TestPoint
from benchlore.site.drawings.locator import Probe


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table of test points, with everything that it names looked up.

    `points`: the red lead's first, where there are two. `again` is the number of the first line there, or 0.
    """

    number: int
    again: int
    expectation: Expectation
    measurement: Measurement
    points: tuple[TestPoint, ...]
    state: State

    @property
    def healthy(self) -> tuple[Outcome, ...]:
        """The outcomes of a healthy board."""
        return tuple(o for o in self.measurement.outcomes.values() if o.normal)

    @property
    def reads_healthy(self) -> bool:
        """True when the fault does not show here."""
        return all(outcome.normal for outcome, _ in self.with_fault)

    @property
    def tells_nothing(self) -> bool:
        """True for a reading that is the same either way and of which the record says no more."""
        return self.reads_healthy and not self.expectation.note

    @property
    def with_fault(self) -> tuple[tuple[Outcome, float], ...]:
        """The outcomes with this fault and their shares, the likeliest first."""
        known = self.measurement.outcomes
        shares = [
            (known[name], share) for name, share in self.expectation.expected_reading.items() if share > 0
        ]
        return tuple(sorted(shares, key=lambda item: (-item[1], item[0].id)))


def rows(book: Book, fault: Fault) -> tuple[Row, ...]:
    """The table of test points of a fault."""
    family = book.families[fault.family]
    found = [
        Row(number, 0, expectation, m, tuple(family.test_points[n] for n in m.points), family.state_of(m))
        for number, (expectation, m) in enumerate(links.measured(book, fault), start=1)
    ]
    # Where a point is, stands with a line that tells something, where one does: paper has those alone.
    first: dict[tuple[str, ...], int] = {}
    for row in sorted(found, key=lambda row: row.tells_nothing):
        first.setdefault(row.measurement.points, row.number)
    return tuple(
        row if (number := first[row.measurement.points]) == row.number else replace(row, again=number)
        for row in found
    )


def telling_rows(table: tuple[Row, ...]) -> tuple[Row, ...]:
    """The rows that tell something."""
    return tuple(row for row in table if not row.tells_nothing)


def probes(table: tuple[Row, ...]) -> tuple[Probe, ...]:
    """Each point of the telling rows once, of all rows where none tells, labelled with their numbers."""
    numbers: dict[str, list[str]] = {}
    points: dict[str, TestPoint] = {}
    for row in telling_rows(table) or table:
        for point in row.points:
            points[point.id] = point
            numbers.setdefault(point.id, []).append(str(row.number))
    return tuple(Probe(point, " · ".join(numbers[name])) for name, point in points.items())


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part is: its `point` lies on it (`on_part`) or else on one of its nets (`nets`).

    `row`: the first line that probes the point and tells something, or 0: paper has no other lines.
    `measured`: its side and place in words by revision, where somebody has measured it.
    """

    point: TestPoint | None
    on_part: bool
    row: int
    nets: tuple[str, ...]
    measured: tuple[tuple[str, str], ...]


def place_of(family: Family, name: str, table: tuple[Row, ...]) -> Place | None:
    """Where a part is, by the points that the family knows; None where it is no part, or nothing is known.

    A point that the sketch has comes before others.
    """
    part = family.parts.get(name)
    if part is None:
        return None
    by_point = {point.id: row.number for row in reversed(telling_rows(table)) for point in row.points}
    drawn = {probe.point.id for probe in probes(table)}
    points = sorted(family.probe_points, key=lambda point: point.id not in drawn)
    own = next((p for p in points if p.id == name), None)
    own = own or next((p for p in points if p.sits_on == name), None)
    nets = tuple(net for net in part.nets if net in family.nets)
    measured = tuple(
        (revision, f"{part.side} side, {x:g} mm from the left edge, {y:g} mm from the lower edge")
        for revision, (x, y) in part.at.items()
    )
    near = own or next((p for p in points if p.net in nets), None)
    if not (near or nets or measured):
        return None
    return Place(near, own is not None, by_point.get(near.id, 0) if near else 0, nets, measured)


def check_first(family: Family, fault: Fault, table: Sequence[Row]) -> tuple[Row, ...]:
    """A check with the part in place, before heat: what shows the fault on a bare board at its nets."""
    part = family.parts.get(fault.cause.part)
    uses = (family.parts[use.part].replace.skill for use in fault.fix.parts if use.part in family.parts)
    if part is None or all(skill == "none" for skill in uses):
        return ()
    found = [r for r in table if r.measurement.function.power == "off" and not r.measurement.unplugged]
    return tuple(r for r in found if not r.reads_healthy and set(r.measurement.nets) & set(part.nets))[:2]


def price_of(book: Book, fault: Fault) -> str:
    """What the parts of the fix cost, where their prices are known: `parts EUR 0.60`."""
    family = book.families[fault.family]
    prices = [family.parts[use.part].replace.price for use in fault.fix.parts if use.part in family.parts]
    if not prices or any(price is None for price in prices):
        return ""
    return f"parts {book.shop.currency} {fsum(price or 0.0 for price in prices):.2f}"
