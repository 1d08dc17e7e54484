"""The locator: a sketch of one side of a board with the points to probe, drawn from millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

from markupsafe import Markup

from benchlore.book.model import Family, Landmark, TestPoint, frozen_map
from benchlore.site.drawings.kept import drawn_once
from benchlore.site.drawings.placing import FAR, OFF, Box, Leader, Placed, Places
from benchlore.site.drawings.svg import element, number, text_width, wrap

WIDTH = 352.0
WIDE = 820.0
_SIZE = 15.0
_POINT = 16.0
_MARGIN = 2.0
_HOMES = 150  # places of a landmark's name that are tried before any other
_RING = 9.0  # half of a point's ring with its stroke


@dataclass(frozen=True, slots=True)
class Probe:
    """A point to draw: `label` stands beside it (its name, or the number of a row on the page)."""

    point: TestPoint
    label: str


def sides(probes: Iterable[Probe]) -> tuple[str, ...]:
    """The sides on which the points lie, top first."""
    used = {probe.point.side for probe in probes}
    return tuple(side for side in ("top", "bottom") if side in used)


def locator(
    family: Family, revision: str, side: str, probes: Iterable[Probe], width: float = WIDTH
) -> Markup:
    """One side of one revision as inline SVG: outline, landmarks, points; a single point with its distances.

    Points of the other side, or without a place on this revision, are left out. `width` is in drawing units,
    of which a label is 15 high: the default suits a phone, WIDE a sketch with all points of a board.
    """
    shown = [p for p in probes if p.point.side == side and revision in p.point.at]
    told = [(p.label, p.point.id, p.point.at[revision], p.point.where.get(revision)) for p in shown]
    marks = [(name, *_landmark(place, revision)) for name, place in family.board.landmarks.items()]
    board = family.board.width, family.board.height, marks
    made_from = family.title, board, revision, side, width, told
    return drawn_once(made_from, lambda: _draw(family, revision, side, shown, width))


def _landmark(place: Landmark, revision: str) -> tuple[str, tuple[float, float] | None, tuple[float, float]]:
    return place.side, place.at.get(revision), place.size


def _draw(family: Family, revision: str, side: str, shown: list[Probe], width: float) -> Markup:
    sketch = _Sketch(family, revision, side, width)
    body = Markup().join(sketch.draw(shown))
    title = element("title", f"{family.title} revision {revision}, {side} side")
    desc = element("desc", _in_words(shown, revision, side))
    top, bottom = sketch.top - _MARGIN, sketch.bottom + _MARGIN
    view = f"{-_MARGIN:g} {number(top)} {width + 2 * _MARGIN:g} {number(bottom - top)}"
    return element("svg", title + desc + body, class_="locator", viewBox=view, role="img")


_Named = tuple[tuple[str, Box], ...]


@lru_cache(maxsize=64)
def _homes(board: Box, landmarks: _Named) -> Mapping[str, tuple[Placed, ...]]:
    """Where the names of landmarks may lie on a sketch without points, the best first; those that have room
    inside are left out.

    The first is where it lies while nothing is in the way: so a name is found at the same place on all pages,
    and looked for once."""
    places = Places(board, [], [box for _, box in landmarks])
    beside = [
        (name, box, tuple(islice(places.offers(box, *_extent(name), others, OFF), _HOMES)))
        for name, box in landmarks
        for others in [tuple(other for _, other in landmarks if other is not box)]
    ]
    found = {}
    for name, box, offers in beside:
        if inside := _inside(places, name, box):
            places.take(inside[0])
            continue
        home = next((placed for placed in offers if places.again(placed, box)), None)
        found[name] = (*([home] if home else []), *(one for one in offers if one != home))
    return frozen_map(found)


def _inside(places: Places, name: str, box: Box) -> tuple[Box, tuple[str, ...]] | None:
    """Where a landmark's name lies within it, and its lines; None where it does not fit or all is taken."""
    lines = wrap(name, box.right - box.left - 6, _SIZE)
    tall = len(lines) * (_SIZE + 2)
    room = box.bottom - box.top - tall
    if room < 0 or any(text_width(line, _SIZE) > box.right - box.left - 4 for line in lines):
        return None
    for share in (0.5, 0.25, 0.75):
        top = box.top + room * share
        here = Box(box.left + 2, top, box.right - 2, top + tall)
        # A point at the edge does not touch the name, and no line crosses it.
        if places.is_free(here.grown(3)) and not any(here.meets(one) for one in places.lines):
            return here, tuple(lines)
    return None


def _extent(text: str, size: float = _SIZE) -> tuple[float, float]:
    """Width and height of a label."""
    return text_width(text, size) + 4, size + 3


class _Sketch:
    """The scale, and the labels as they are placed. `top`, `bottom`: of the board and of what is off it."""

    def __init__(self, family: Family, revision: str, side: str, width: float) -> None:
        self.family, self.revision, self.side, self.width = family, revision, side, width
        self.scale = width / family.board.width
        self.height = family.board.height * self.scale
        self.top, self.bottom = 0.0, self.height

    def place(self, at: tuple[float, float]) -> tuple[float, float]:
        """Millimetres from the lower left corner to drawing units from the upper left."""
        return at[0] * self.scale, self.height - at[1] * self.scale

    def draw(self, probes: list[Probe]) -> Iterator[Markup]:
        yield element("rect", class_="board", x=0, y=0, width=self.width, height=self.height, rx=8)
        spots = [(probe, *self.place(probe.point.at[self.revision])) for probe in probes]
        rings = [Box(x - _RING, y - _RING, x + _RING, y + _RING) for _, x, y in spots]
        landmarks = list(self._landmarks())
        parts = [box for _, box in landmarks]
        board = Box(0, 0, self.width, self.height)
        self.places = Places(board, list(rings), parts)
        self.homes = _homes(board, tuple(landmarks))
        for box in parts:
            yield element(
                "rect",
                class_="landmark",
                x=box.left,
                y=box.top,
                width=box.right - box.left,
                height=box.bottom - box.top,
            )
        if len(spots) == 1:
            yield self._distance_lines(*spots[0][1:])
        labels: list[Markup] = []
        for (probe, _, _), ring in self._crowded_first(spots, rings):
            others = tuple(other for other in rings if other is not ring)
            labels += self._point_label(probe, ring, others)
        if len(spots) == 1:
            labels += self._distances(*spots[0])
        said = " ".join(probe.point.where.get(self.revision, "") for probe in probes).casefold()
        # FAR for those that the words of a point name: without its name they lead nowhere.
        told = [(name, box) for name, box in landmarks if name.casefold() in said]
        moved = []  # they look for a place after all that stay, whose places they could take
        for name, box in (*told, *(one for one in landmarks if one not in told)):
            is_told = (name, box) in told
            stays = list(self._stays(name, box, _HOMES if is_told else 1))
            labels += stays
            if not stays and is_told:
                others = tuple(other for other in parts if other is not box)
                labels += self._label(name, "landmark-name", _SIZE, box, others, FAR)
            elif not stays:
                moved.append((name, box))
        for name, box in moved:
            labels += self._stays(name, box, _HOMES)
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

    @staticmethod
    def _crowded_first(
        spots: list[tuple[Probe, float, float]], rings: list[Box]
    ) -> list[tuple[tuple[Probe, float, float], Box]]:
        """Points with the most others near by choose first."""
        near = [sum(1 for other in rings if ring.grown(30).meets(other)) for ring in rings]
        order = sorted(range(len(spots)), key=lambda place: (-near[place], place))
        return [(spots[place], rings[place]) for place in order]

    def _point_label(self, probe: Probe, ring: Box, others: tuple[Box, ...]) -> Iterator[Markup]:
        yield from self._label(probe.label, "probe-name", _POINT, ring, others, FAR, disc=True)

    def _stays(self, name: str, box: Box, tried: int) -> Iterator[Markup]:
        """The landmark's name inside it where it fits, else at one of its first places; nothing where all of
        these are taken."""
        if inside := _inside(self.places, name, box):
            here, lines = inside
            self.places.take(here)
            yield from self._lines(lines, "landmark-name", _SIZE, here)
            return
        for home in self.homes.get(name, ())[:tried]:
            if self.places.again(home, box):
                yield from self._placed(name, "landmark-name", _SIZE, home)
                return

    def _label(
        self,
        text: str,
        css: str,
        size: float,
        named: Box,
        apart: tuple[Box, ...],
        rings: int,
        *,
        disc: bool = False,
        bare: bool = False,
    ) -> Iterator[Markup]:
        offers = self.places.offers(named, *_extent(text, size), apart, rings, disc=disc, bare=bare)
        placed = self.places.take_first(offers)
        if placed is None:
            return  # a name that nobody would find helps nobody; the outline stays
        yield from self._placed(text, css, size, placed)

    def _placed(self, text: str, css: str, size: float, placed: Placed) -> Iterator[Markup]:
        self.top, self.bottom = min(self.top, placed.box.top), max(self.bottom, placed.box.bottom)
        if placed.leader:
            yield _line(placed.leader)
        yield from self._lines((text,), css, size, placed.box)

    @staticmethod
    def _lines(lines: tuple[str, ...], css: str, size: float, box: Box) -> Iterator[Markup]:
        middle = (box.left + box.right) / 2
        step = (box.bottom - box.top) / len(lines)
        for place, line in enumerate(lines):
            bottom = box.top + (place + 1) * step - size * 0.3
            yield element("text", line, class_=css, x=middle, y=bottom)

    def _distance_lines(self, x: float, y: float) -> Markup:
        self.places.lines = [Box(0, y, x - _RING, y), Box(x, y + _RING, x, self.height)]
        return element(
            "path",
            class_="distance",
            d=f"M0 {y:.1f}H{x - _RING:.1f}M{x:.1f} {self.height:.1f}V{y + _RING:.1f}",
        )

    def _distances(self, probe: Probe, x: float, y: float) -> Iterator[Markup]:
        """The two distances beside their lines, about the middle, on no outline."""
        across, up = (f"{mm:g} mm" for mm in probe.point.at[self.revision])
        shares = (0.5, 0.35, 0.65, 0.2, 0.8)
        (wide, height), below = _extent(across), self.height - y
        level = [(max(x * share - wide / 2, 1.0), top) for share in shares for top in (y - height - 1, y + 1)]
        yield from self._distance(across, level, self.places.lines[0])
        wide, height = _extent(up)
        plumb = [
            (left, max(y + below * share, y + _RING) - height / 2)
            for share in shares
            for left in (x + 2, x - 2 - wide)
        ]
        yield from self._distance(up, plumb, self.places.lines[1])

    def _distance(self, label: str, offers: list[tuple[float, float]], line: Box) -> Iterator[Markup]:
        """A distance at the first open place of those offered; elsewhere, with a line, where none is."""
        width, height = _extent(label)
        for x, y in offers:
            here = Box(x, y, x + width, y + height)
            if self.places.is_open(here):
                self.places.take(here)
                yield from self._lines((label,), "distance-name", _SIZE, here)
                return
        yield from self._label(label, "distance-name", _SIZE, line, (), FAR, bare=True)


def _line(leader: Leader) -> Markup:
    (x1, y1), (x2, y2) = leader.start, leader.end
    return element("path", class_="leader", d=f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}")


def _in_words(probes: list[Probe], revision: str, side: str) -> str:
    if not probes:
        return f"No point of this page lies on the {side} side."
    said = []
    for probe in probes:
        across, up = probe.point.at[revision]
        name = probe.point.id if probe.label == probe.point.id else f"{probe.label}: {probe.point.id}"
        said.append(f"{name}, {across:g} mm, {up:g} mm")
    return "Seen from above that side, from the left and from the lower edge. " + ". ".join(said) + "."
