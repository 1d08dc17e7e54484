"""The table of test points of a fault: each line with everything that it names looked up."""

from __future__ import annotations

from dataclasses import dataclass

from benchlore.book import links
from benchlore.book.model import Book, Expectation, Fault, Measurement, Net, Outcome, State, TestPoint
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
    net: Net
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
    found: list[Row] = []
    first: dict[tuple[str, ...], int] = {}
    for number, (expectation, measurement) in enumerate(links.measured(book, fault), start=1):
        points = tuple(family.test_points[name] for name in measurement.points)
        again = first.get(measurement.points, 0)
        first.setdefault(measurement.points, number)
        state = family.state_of(measurement)
        net = family.nets[measurement.net]
        found.append(Row(number, again, expectation, measurement, points, net, state))
    return tuple(found)


def probes(table: tuple[Row, ...]) -> tuple[Probe, ...]:
    """Each point of the table once, labelled with the numbers of its rows."""
    numbers: dict[str, list[str]] = {}
    points: dict[str, TestPoint] = {}
    for row in table:
        for point in row.points:
            points[point.id] = point
            numbers.setdefault(point.id, []).append(str(row.number))
    return tuple(Probe(point, " · ".join(numbers[name])) for name, point in points.items())
