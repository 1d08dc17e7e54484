"""The locator: a sketch of one side of a board with the points to probe, drawn from millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup

from benchlore.book.model import Family, TestPoint
from benchlore.site.drawings.svg import element, number, text_width, wrap

WIDTH = 384.0
WIDE = 820.0
_SIZE = 15.0
_POINT = 16.0
_MARGIN = 2.0
_CROWDED = 0.12  # share of a landmark's name that may be covered


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle that a label or a part takes up, in drawing units."""

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

    def overlap(self, other: Box) -> float:
        """The area that the two share."""
        if not self.meets(other):
            return 0.0
        width = min(self.right, other.right) - max(self.left, other.left)
        return width * (min(self.bottom, other.bottom) - max(self.top, other.top))


@dataclass(frozen=True, slots=True)
class Probe:
    """A point to draw: `label` stands beside it (its name, or the number of a row on the page)."""

    point: TestPoint
    label: str


def sides(probes: Iterable[Probe]) -> tuple[str, ...]:
    """The sides on which the points lie, top first."""
    used = {probe.point.place.side for probe in probes}
    return tuple(side for side in ("top", "bottom") if side in used)


def locator(
    family: Family, revision: str, side: str, probes: Iterable[Probe], width: float = WIDTH
) -> Markup:
    """One side of one revision as inline SVG: outline, landmarks, points; a single point with its distances.

    Points of the other side, or without a place on this revision, are left out. `width` is in drawing units,
    of which a label is 15 high: the default suits a phone, WIDE a sketch with all points of a board.
    """
    shown = [p for p in probes if p.point.place.side == side and revision in p.point.place.at]
    sketch = _Sketch(family, revision, side, width)
    body = Markup().join(sketch.draw(shown))
    title = element("title", f"{family.title} revision {revision}, {side} side")
    desc = element("desc", _in_words(shown, revision, side))
    view = f"{-_MARGIN:g} {-_MARGIN:g} {width + 2 * _MARGIN:g} {number(sketch.height + 2 * _MARGIN)}"
    return element("svg", title + desc + body, class_="locator", viewBox=view, role="img")


class _Sketch:
    """The scale and the boxes that are taken already."""

    def __init__(self, family: Family, revision: str, side: str, width: float) -> None:
        self.family, self.revision, self.side, self.width = family, revision, side, width
        self.scale = width / family.board.width
        self.height = family.board.height * self.scale
        self.taken: list[Box] = []
        self.parts: list[Box] = []

    def place(self, at: tuple[float, float]) -> tuple[float, float]:
        """Millimetres from the lower left corner to drawing units from the upper left."""
        return at[0] * self.scale, self.height - at[1] * self.scale

    def draw(self, probes: list[Probe]) -> Iterator[Markup]:
        yield element("rect", class_="board", x=0, y=0, width=self.width, height=self.height, rx=8)
        spots = [(probe, *self.place(probe.point.place.at[self.revision])) for probe in probes]
        self.taken += [Box(x - 9, y - 9, x + 9, y + 9) for _, x, y in spots]
        landmarks = list(self._landmarks())
        self.parts = [box for _, box in landmarks]
        for _, box in landmarks:
            yield element(
                "rect",
                class_="landmark",
                x=box.left,
                y=box.top,
                width=box.right - box.left,
                height=box.bottom - box.top,
                rx=2,
            )
        if len(spots) == 1:
            yield from self._distances(*spots[0])
        labels = [self._point_label(probe, x, y) for probe, x, y in spots]
        for name, box in landmarks:
            yield from self._name(name, box)
        for _, x, y in spots:
            yield element("circle", class_="probe-ring", cx=x, cy=y, r=8)
            yield element("circle", class_="probe-dot", cx=x, cy=y, r=2.5)
        yield from labels

    def _landmarks(self) -> Iterator[tuple[str, Box]]:
        for name, place in self.family.board.landmarks.items():
            if place.side == self.side and self.revision in place.at and place.size:
                x, y = self.place(place.at[self.revision])
                width, height = place.size[0] * self.scale, place.size[1] * self.scale
                yield name, Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)

    def _point_label(self, probe: Probe, x: float, y: float) -> Markup:
        width, half = text_width(probe.label, _POINT) + 4, _POINT / 2 + 1
        offers = [
            Box(x + 10, y - half, x + 10 + width, y + half),
            Box(x - 10 - width, y - half, x - 10, y + half),
            Box(x - width / 2, y - 11 - 2 * half, x + width / 2, y - 11),
            Box(x - width / 2, y + 11, x + width / 2, y + 11 + 2 * half),
        ]
        box = self._best(offers)
        self.taken.append(box)
        return element(
            "text",
            probe.label,
            class_="probe-name",
            x=(box.left + box.right) / 2,
            y=box.bottom - _POINT * 0.3,
            text_anchor="middle",
        )

    def _name(self, name: str, box: Box) -> Iterator[Markup]:
        """The landmark's name inside it where it fits, else where it covers least, or nowhere."""
        inside = wrap(name, box.right - box.left - 6, _SIZE)
        tall = len(inside) * (_SIZE + 2)
        fits = (
            all(text_width(line, _SIZE) <= box.right - box.left - 4 for line in inside)
            and tall <= box.bottom - box.top
        )
        x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
        here = Box(box.left + 2, y - tall / 2, box.right - 2, y + tall / 2)
        if fits and not any(here.meets(other) for other in self.taken):
            lines, chosen = inside, here
        else:
            lines = [name]
            width, high = text_width(name, _SIZE) + 4, _SIZE + 3
            chosen = self._best(
                [
                    Box(x - width / 2, box.bottom + 1, x + width / 2, box.bottom + 1 + high),
                    Box(x - width / 2, box.top - 1 - high, x + width / 2, box.top - 1),
                    Box(box.right + 3, y - high / 2, box.right + 3 + width, y + high / 2),
                    Box(box.left - 3 - width, y - high / 2, box.left - 3, y + high / 2),
                    Box(box.left, box.bottom + 1, box.left + width, box.bottom + 1 + high),
                    Box(box.right - width, box.bottom + 1, box.right, box.bottom + 1 + high),
                    Box(box.left, box.top - 1 - high, box.left + width, box.top - 1),
                    Box(box.right - width, box.top - 1 - high, box.right, box.top - 1),
                    Box(x - width / 2, y - high / 2, x + width / 2, y + high / 2),
                ]
            )
        area = (chosen.right - chosen.left) * (chosen.bottom - chosen.top)
        if sum(chosen.overlap(other) for other in self.taken) > _CROWDED * area:
            return  # a name that nobody can read helps nobody; the outline stays
        self.taken.append(chosen)
        middle = (chosen.left + chosen.right) / 2
        step = (chosen.bottom - chosen.top) / len(lines)
        for place, line in enumerate(lines):
            bottom = chosen.top + (place + 1) * step - _SIZE * 0.3
            yield element("text", line, class_="landmark-name", x=middle, y=bottom, text_anchor="middle")

    def _distances(self, probe: Probe, x: float, y: float) -> Iterator[Markup]:
        across, up = probe.point.place.at[self.revision]
        yield element(
            "path", class_="distance", d=f"M0 {y:.1f}H{x - 9:.1f}M{x:.1f} {self.height:.1f}V{y + 9:.1f}"
        )
        texts = ((f"{across:g} mm", x / 2, y - 4), (f"{up:g} mm", x + 4, (y + self.height) / 2 + 5))
        for place, (label, at_x, at_y) in enumerate(texts):
            width = text_width(label, _SIZE)
            left = (
                max(min(at_x - width / 2, self.width - width), 0)
                if place == 0
                else min(at_x, self.width - width)
            )
            self.taken.append(Box(left, at_y - _SIZE, left + width, at_y + 3))
            yield element("text", label, class_="distance-name", x=left, y=at_y)

    def _best(self, offers: list[Box]) -> Box:
        edge = Box(0, 0, self.width, self.height)

        def cost(box: Box) -> float:
            outside = (box.right - box.left) * (box.bottom - box.top) - box.overlap(edge)
            covered = sum(box.overlap(other) for other in self.parts)
            return 4 * outside + 2 * sum(box.overlap(other) for other in self.taken) + covered

        return min((self._onto(box) for box in offers), key=cost)

    def _onto(self, box: Box) -> Box:
        """A label's box, moved sideways onto the board."""
        move = max(-box.left, 0) + min(self.width - box.right, 0)
        return Box(box.left + move, box.top, box.right + move, box.bottom)


def _in_words(probes: list[Probe], revision: str, side: str) -> str:
    if not probes:
        return f"No point of this page lies on the {side} side."
    said = []
    for probe in probes:
        across, up = probe.point.place.at[revision]
        words = probe.point.where.get(revision, "")
        name = probe.point.id if probe.label == probe.point.id else f"{probe.label}: {probe.point.id}"
        said.append(f"{name}, {across:g} mm from the left edge, {up:g} mm from the lower edge; {words}")
    return "Seen from above that side. " + ". ".join(said) + "."
