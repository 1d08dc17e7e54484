"""What a walk over good boards says of a family that is being started: what stands ready as an answer."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass

from benchlore.book.model import Book, Measurement
from benchlore.starter import values
from benchlore.vocabulary import FUNCTIONS
from benchlore.walk.file import Point, Shown, Walk, WalkError, shown
from benchlore.walk.healthy import Range, range_of, with_others

# Two readings of one net that are this near say the same.
_DIGITS = 3


@dataclass(frozen=True, slots=True)
class Walked:
    """Points of a board without records, in the order of the walk, and what good boards read there."""

    title: str
    points: tuple[Point, ...]
    read: Mapping[str, tuple[Shown, ...]]

    @property
    def states(self) -> tuple[str, ...]:
        """The bench states that were walked."""
        return tuple(dict.fromkeys(point.state for point in self.points))

    def nets(self, known: Container[str] = ()) -> Iterator[str]:
        """The nets that were walked, but for the known ones."""
        return (net for net in dict.fromkeys(point.net for point in self.points) if net not in known)

    def places(self, known: Container[str] = ()) -> Iterator[Point]:
        """A point for each test point that was walked, but for the known ones."""
        first: dict[str, Point] = {}
        for point in self.points:
            first.setdefault(point.at, point)
        return (point for name, point in first.items() if name not in known)

    def measured(self, done: Container[str]) -> Iterator[Point]:
        """The points whose ids are not done."""
        return (point for point in self.points if point.id not in done)

    def range(self, point: Point) -> Range | None:
        """What the boards read there."""
        return range_of(point.measurement(), self.read.get(point.id, ()))

    def proposed(self, point: Point) -> tuple[float, float] | None:
        """A healthy range, with room for boards that were not walked; None where none was read."""
        found = self.range(point)
        return with_others(point.measurement(), found) if found else None

    def volts(self, net: str) -> str | None:
        """The voltage of a net, as it was read where it was highest."""
        found = [self._middle(one) for one in self._at(net, "dc-volts")]
        highest = max((value for value in found if value is not None), default=None)
        return values.said(float(f"{highest:.{_DIGITS}g}"), "V") if highest else None

    def band(self, net: str, mode: str) -> str | None:
        """What a net reads without power, as a range for the circuit: ohms, or diode mode."""
        for point in self._at(net, mode):
            found = self.proposed(point)
            if found and 0 < found[0] < found[1] < math.inf:
                return values.between(*values.outward(*found), FUNCTIONS[mode].unit or "")
        return None

    def said(self, point: Point) -> str:
        """What was read, in words; empty where nothing was."""
        found = self.range(point)
        boards = self.read.get(point.id, ())
        if found is None:
            return ""
        unit = FUNCTIONS[point.mode].unit or ""
        readings = ", ".join(one.reading.typed.strip() for one in boards)
        meter = f"meter +-{values.said(float(f'{found.limit:.2g}'), unit)}" if found.limit else ""
        spread = (
            "one board alone: its spread is not known"
            if found.spread is None
            else f"spread {values.said(float(f'{found.spread:.2g}'), unit)}"
        )
        return "; ".join(filter(None, (f"read {readings}", meter, spread)))

    def _at(self, net: str, mode: str) -> Iterator[Point]:
        return (point for point in self.points if point.net == net and point.mode == mode)

    def _middle(self, point: Point) -> float | None:
        found = [one.reading.value for one in self.read.get(point.id, ()) if one.reading.value is not None]
        return math.fsum(found) / len(found) if found else None


def walked_of(book: Book, walks: Sequence[Walk]) -> Walked:
    """One or several walks of the same points. Raises WalkError where they are not that."""
    points: dict[str, Point] = {}
    for walk in walks:
        if walk.family:
            raise WalkError(
                f"{walk.file} is a walk of '{walk.family}', which has records; a new family starts from a "
                f"walk of free points; 'benchlore walk {walk.family} {walk.file}' compares this one"
            )
        for point in walk.points:
            if points.setdefault(point.id, point) != point:
                raise WalkError(
                    f"{walk.file}: point {point.id} is another one than in {walks[0].file}; walk the second "
                    "board with the points of the first: open its file on the page, and take 'Next board'"
                )
    measurements: dict[str, Measurement] = {name: point.measurement() for name, point in points.items()}
    title = next((walk.title for walk in walks if walk.title), "")
    return Walked(title, tuple(points.values()), shown(book, walks, measurements))
