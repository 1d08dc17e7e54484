"""Where the labels of a sketch go: beside what they name, else further off with a line that leads there.

Labels are placed one after another; the first free place wins, nearest first, so the same labels always come
to lie alike. All lengths are in drawing units; y grows downwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product
from math import ceil, fsum, hypot
from typing import NamedTuple

_STEP = 9.0  # from one ring of places to the next
# Rings within which a line to a label is easily followed; within which it still can be; within which there
# is room for any label.
NEAR, OFF, FAR = 7, 14, 60
_BESIDE = 5.0  # a label that is nearer than this to what it does not name could be taken for its name


class Box(NamedTuple):
    """A rectangle that a label, a point or a part takes up; a tuple, since a sketch compares thousands."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """True when the two overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def meets_any(self, others: Iterable[Box]) -> bool:
        """True when one of the others overlaps this one: `meets`, without a call for each."""
        left, top, right, bottom = self
        for its_left, its_top, its_right, its_bottom in others:
            if left < its_right and its_left < right and top < its_bottom and its_top < bottom:
                return True
        return False

    def holds(self, other: Box) -> bool:
        """True when the other lies within it."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def overlap(self, other: Box) -> float:
        """The area that the two share."""
        if not self.meets(other):
            return 0.0
        width = min(self.right, other.right) - max(self.left, other.left)
        return width * (min(self.bottom, other.bottom) - max(self.top, other.top))

    def grown(self, by: float) -> Box:
        """The same with an edge around it."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def gap(self, other: Box) -> float:
        """How far apart the two are; 0 where they touch."""
        across = max(self.left - other.right, other.left - self.right, 0.0)
        return hypot(across, max(self.top - other.bottom, other.top - self.bottom, 0.0))

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


@dataclass(frozen=True, slots=True)
class Leader:
    """A straight line from what is named to its label."""

    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def bounds(self) -> Box:
        """What holds all marks."""
        (x1, y1), (x2, y2) = self.start, self.end
        return Box(min(x1, x2) - 0.5, min(y1, y2) - 0.5, max(x1, x2) + 0.5, max(y1, y2) + 0.5)

    def marks(self) -> Iterator[Box]:
        """Small boxes along the line, for what must not lie on it."""
        (x1, y1), (x2, y2) = self.start, self.end
        steps = max(ceil(hypot(x2 - x1, y2 - y1) / 3), 1)
        for step in range(1, steps):
            x, y = x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps
            yield Box(x - 0.5, y - 0.5, x + 0.5, y + 0.5)


@dataclass(frozen=True, slots=True)
class Placed:
    """A label's box, and the line to it where it does not stand beside what it names."""

    box: Box
    leader: Leader | None


class Places:
    """What is taken on one sketch. `taken` no label may cover. The outlines of `parts`, and `lines`, cross no
    label while there is another place; within a part's outline a label may lie.
    """

    def __init__(self, board: Box, taken: list[Box], parts: list[Box]) -> None:
        self.board, self.taken, self.parts = board, taken, parts
        self.lines: list[Box] = []
        self._leaders: list[tuple[Box, tuple[Box, ...]]] = []

    def take(self, box: Box) -> None:
        """Keep a place free of labels."""
        self.taken.append(box)

    def is_free(self, box: Box) -> bool:
        """True where no label, point, line or edge of the board lies; the board's sides are not passed."""
        board = self.board
        if box.left < board.left or box.right > board.right:
            return False
        for edge in (board.top, board.bottom):
            if box.top - 1 < edge < box.bottom + 1:
                return False
        return not box.meets_any(self.taken) and not any(
            box.meets(bounds) and box.meets_any(marks) for bounds, marks in self._leaders
        )

    def _obstacles(self, box: Box) -> Iterator[Box]:
        """What is taken, without the leaders that pass far from a box."""
        yield from self.taken
        for bounds, marks in self._leaders:
            if box.meets(bounds):
                yield from marks

    def is_open(self, box: Box) -> bool:
        """True for a free place that no line crosses, and that no part's outline touches either."""
        return self.is_free(box) and not box.meets_any(self.lines) and not box.grown(1).meets_any(self.parts)

    def is_crossed(self, box: Box) -> bool:
        """True where a line or the outline of a part would run through a label."""
        return box.meets_any(self.lines) or any(
            box.meets(part) and not part.holds(box) for part in self.parts
        )

    def take_first(self, offers: Iterable[Placed]) -> Placed | None:
        """The best of `offers`, which is then taken; None where there is none."""
        for placed in offers:
            self._settle(placed)
            return placed
        return None

    def offers(
        self,
        named: Box,
        width: float,
        height: float,
        apart: tuple[Box, ...] = (),
        rings: int = NEAR,
        *,
        disc: bool = False,
        bare: bool = False,
    ) -> Iterator[Placed]:
        """The places for a label that names a box, the best first.

        `apart`: what the label could be taken for the name of; it keeps off these, and lies close to one
        only with a line where all else within NEAR is taken. `rings`: how far off the label may be; one that
        may be FAR must be shown, and crosses something only where there is no other place: above and below
        the board, there is room for every label that is not wider than the board. `disc`: what is named is
        round. `bare`: the label lies on no part.
        """
        near, far = range(min(rings, NEAR)), range(NEAR, rings)
        passes = [(ring, True, _BESIDE) for ring in near] + [(ring, True, 0.0) for ring in near if ring]
        passes += [(ring, True, 0.0) for ring in far] + [(ring, False, 0.0) for ring in far if rings == FAR]

        @cache
        def of_ring(ring: int) -> tuple[Placed, ...]:
            found = self._offers(named, width, height, ring, apart, disc=disc, bare=bare)
            return tuple(placed for placed, _ in sorted(found, key=lambda offer: offer[1]))

        is_crossed = cache(self.is_crossed)

        @cache
        def crossed(leader: Leader) -> bool:
            return self._crossed(leader, named)

        for whole, (ring, clear, off) in product((True, False) if rings == FAR else (True,), passes):
            for placed in of_ring(ring):
                box, leader = placed.box, placed.leader
                if off and any(box.gap(other) < off for other in apart):
                    continue
                if (whole and is_crossed(box)) or (clear and leader and crossed(leader)):
                    continue
                yield placed

    def again(self, placed: Placed, named: Box) -> bool:
        """Take a place that was good on a sketch with less on it; False where now something is in the way."""
        box, leader = placed.box, placed.leader
        if not self.is_free(box) or self.is_crossed(box) or (leader and self._crossed(leader, named)):
            return False
        self._settle(placed)
        return True

    def _settle(self, placed: Placed) -> None:
        self.taken.append(placed.box)
        if placed.leader:
            self._leaders.append((placed.leader.bounds, tuple(placed.leader.marks())))

    def _offers(
        self,
        named: Box,
        width: float,
        height: float,
        ring: int,
        apart: tuple[Box, ...],
        *,
        disc: bool,
        bare: bool,
    ) -> Iterator[tuple[Placed, float]]:
        """The free places of a ring, and what each costs."""
        for preference, at in enumerate(_around(named.grown(1 + ring * _STEP), width, height, ring)):
            box = self._within(at)
            if box.meets(named) or (ring == 0 and not _touches(named, box)):
                continue
            if box.meets_any(apart) or not self.is_free(box):
                continue
            if bare and not self.is_open(box):
                continue
            leader = _leader(named, box, disc) if ring else None
            cost = preference * 2 + self._covered(box) + (hypot(*_way(leader)) if leader else 0.0)
            yield Placed(box, leader), cost

    def _covered(self, box: Box) -> float:
        """What a place costs: the share that lies on parts or off the board, and each line under it."""
        area = (box.right - box.left) * (box.bottom - box.top)
        off = area - box.overlap(self.board)
        lines = 12 * sum(box.meets(line) for line in self.lines)
        on_parts = fsum([box.overlap(part) for part in self.parts if box.meets(part)])
        return (60 * on_parts + 15 * off) / area + lines

    def _crossed(self, leader: Leader, named: Box) -> bool:
        around = leader.bounds
        near = [other for other in self._obstacles(around) if other.meets(around)]
        return bool(near) and any(mark.meets_any(near) for mark in leader.marks() if not mark.meets(named))

    def _within(self, box: Box) -> Box:
        """A label's box, moved sideways onto the board."""
        move = max(self.board.left - box.left, 0) + min(self.board.right - box.right, 0)
        return Box(box.left + move, box.top, box.right + move, box.bottom)


def _around(named: Box, width: float, height: float, ring: int) -> Iterator[Box]:
    """Places along the outside of a box: its four sides, then its corners and between."""
    x, y = named.middle

    def at(left: float, top: float) -> Box:
        return Box(left, top, left + width, top + height)

    yield at(named.right, y - height / 2)
    yield at(named.left - width, y - height / 2)
    yield at(x - width / 2, named.top - height)
    yield at(x - width / 2, named.bottom)
    for left in (named.left, named.right - width, named.right, named.left - width):
        yield at(left, named.top - height)
        yield at(left, named.bottom)
    slides = min(ring, 6)
    for slide in range(1, slides + 1):
        for way in (-1, 1):
            along = x - width / 2 + way * slide * (width / 2 + ring * _STEP) / slides
            yield at(along, named.top - height)
            yield at(along, named.bottom)
            down = y - height / 2 + way * slide * (height / 2 + ring * _STEP) / slides
            yield at(named.right, down)
            yield at(named.left - width, down)


def _touches(named: Box, box: Box) -> bool:
    """False for a label that was moved off what it names."""
    return box.grown(2.5).meets(named)


def _leader(named: Box, box: Box, disc: bool) -> Leader:
    """From the edge of what is named to the nearest point of its label."""
    x, y = named.middle
    end = min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)
    if disc:
        share = (named.right - named.left) / 2 / hypot(end[0] - x, end[1] - y)
        return Leader((x + (end[0] - x) * share, y + (end[1] - y) * share), end)
    start = min(max(end[0], named.left), named.right), min(max(end[1], named.top), named.bottom)
    return Leader(start, end)


def _way(leader: Leader) -> tuple[float, float]:
    return leader.end[0] - leader.start[0], leader.end[1] - leader.start[1]
