"""Where things lie on the board, for each revision."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from itertools import combinations

from benchlore.book.model import Family, Landmark, Part, Place, TestPoint
from benchlore.findings import Origin, Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY, PART, POINT

_BESIDE = frozenset({"above", "at", "before", "behind", "below", "beside", "for", "in", "of", "on", "to"})
_DIRECTION = re.compile(r"\b(left of|right of|above|below) the ([^,;.]+)")


def _places(family: Family) -> Iterator[tuple[str, Origin, Place]]:
    for name, landmark in family.board.landmarks.items():
        yield name, family.origin.at("board", "landmarks", name), landmark
    for point in family.probe_points:
        yield point.id, point.origin, point
    for part in family.parts.values():
        if part.side and part.at:
            yield part.id, part.origin, Place(side=part.side, at=part.at)


@rule(each=FAMILY)
def place_missing(family: Family) -> Iterator[Problem]:
    """A test point has a place, and its words, on every revision; so has a landmark.

    Bad:
        # faults/wren-5/family.yaml
        revisions:
          C: {tell: The letter C stands beside the barrel jack.}

    Good:
        # faults/wren-5/family.yaml
        revisions:
          B: {tell: The letter B stands beside the barrel jack.}
    """
    for name, origin, place in _places(family):
        yield from _missing(family, origin.at("at"), name, place.at, "a place, such as '[41 mm, 63 mm]'")
    for point in family.probe_points:
        yield from _missing(family, point.origin.at("where"), point.id, point.where, "words that say where")


def _missing(
    family: Family, origin: Origin, name: str, there: Collection[str], add: str
) -> Iterator[Problem]:
    missing = [revision for revision in family.revisions if revision not in there]
    if missing:
        named = " and ".join(f"'{revision}:'" for revision in missing)
        message = f"'{name}' says nothing of revision {' and '.join(missing)}"
        yield Problem(origin, message, f"add {named} with {add}", on_key=True)


@rule(each=FAMILY)
def off_board(family: Family) -> Iterator[Problem]:
    """A place lies on the board: across within its width, up within its height.

    Bad:
        # faults/wren-5/family.yaml
        test_points:
          TP3:
            at: {A: [20 mm, 30 mm], B: [25 mm, 300 mm]}

    Good:
        # faults/wren-5/family.yaml
        test_points:
          TP3:
            at: {A: [20 mm, 30 mm], B: [25 mm, 30 mm]}
    """
    width, height = family.board.width, family.board.height
    for name, origin, place in _places(family):
        for revision, (across, up) in place.at.items():
            if not (0 <= across <= width and 0 <= up <= height):
                message = (
                    f"on revision {revision} '{name}' lies off the board of {width:g} mm by {height:g} mm"
                )
                yield Problem(
                    origin.at("at", revision), message, "write [across, up] from the lower left corner"
                )


@rule(each=FAMILY)
def same_place(family: Family) -> Iterator[Problem]:
    """Two test points lie in two places.

    Bad:
        # faults/wren-5/family.yaml
        test_points:
          TP2:
            at: {A: [80 mm, 50 mm], B: [50 mm, 20 mm]}

    Good:
        # faults/wren-5/family.yaml
        test_points:
          TP2:
            at: {A: [50 mm, 40 mm], B: [50 mm, 20 mm]}
    """
    for one, other in combinations(family.probe_points, 2):
        if one.side == other.side:
            for revision, place in other.at.items():
                if one.at.get(revision) == place:
                    message = f"'{other.id}' lies where '{one.id}' lies on revision {revision}"
                    yield Problem(other.origin.at("at", revision), message, "measure one of them again")


@rule("warning", each=POINT)
def place_against_words(family: Family, point: TestPoint) -> Iterator[Problem]:
    """A test point lies where its words have it from a landmark: left of it, right of it, above or below.

    The words count where they end in the landmark's name, or in the last words of one landmark's name. The
    point lies outside the landmark's outline, and farther out on the named side than on any other.

    Bad:
        # faults/wren-5/family.yaml
        test_points:
          TP2:
            where: {A: large capacitor left of the barrel jack, B: large capacitor above the jack}

    Good:
        # faults/wren-5/family.yaml
        test_points:
          TP2:
            where: {A: large capacitor left of the barrel jack, B: large capacitor left of the jack}
    """
    for revision, words in point.where.items():
        at = point.at.get(revision)
        for direction, name in _DIRECTION.findall(words) if at else ():
            landmark = _landmark(family, name.strip(), point.side)
            middle = landmark.at.get(revision) if landmark else None
            if not (at and landmark and middle):
                continue
            out = _outside(at, middle, landmark.size)
            if out[direction] <= 0 or out[direction] < max(out.values()):
                message = f"on revision {revision} '{point.id}' does not lie {direction} the {name}"
                mend = "measure it again, or mend the words"
                yield Problem(point.origin.at("where", revision), message, mend)


@rule("warning", each=PART)
def part_off_its_landmark(family: Family, part: Part) -> Iterator[Problem]:
    """A part that bears a landmark's name lies inside its outline, on its side.

    It bears the name alone or before a comma, or more words beside it (embedded controller: Controller), if
    no other part does.

    The page of a fault says where its part is, and the sketch beside it shows the landmark.

    Bad:
        # faults/wren-5/family.yaml
        board:
          landmarks:
            input fuse: {side: top, at: {A: [78 mm, 50 mm], B: [78 mm, 10 mm]}, size: [6 mm, 3 mm]}
        parts:
          F1: {side: bottom, at: {A: [20 mm, 50 mm], B: [20 mm, 10 mm]}}

    Good:
        # faults/wren-5/family.yaml
        board:
          landmarks:
            input fuse: {side: top, at: {A: [78 mm, 50 mm], B: [78 mm, 10 mm]}, size: [6 mm, 3 mm]}
        parts:
          F1: {side: top, at: {A: [78 mm, 50 mm], B: [78 mm, 10 mm]}}
    """
    for title, landmark in family.board.landmarks.items():
        if part not in _bearers(family, title):
            continue
        for revision, at in part.at.items():
            middle = landmark.at.get(revision)
            off = middle is not None and max(_outside(at, middle, landmark.size).values()) > 0
            if off or part.side not in (None, landmark.side):
                message = f"on revision {revision} '{part.id}' does not lie where the landmark '{title}' is"
                mend = "measure it again, or mend the landmark"
                yield Problem(part.origin.at("at", revision), message, mend)


def _bearers(family: Family, title: str) -> Sequence[Part]:
    """The parts that bear a landmark's name: those that bear no other word, else the only one that does."""
    wanted = title.lower().split()
    named = [(part.name.lower().partition(",")[0].split(), part) for part in family.parts.values()]
    alone = [part for words, part in named if words == wanted]
    more = [part for words, part in named if _among(wanted, words)]
    return alone or (more if len(more) == 1 else ())


def _among(wanted: Sequence[str], words: Sequence[str]) -> bool:
    """True when the words hold those that are wanted, in order and the last one last, and no place beside."""
    left = iter(words)
    return words[-1:] == wanted[-1:] and _BESIDE.isdisjoint(words) and all(word in left for word in wanted)


def _landmark(family: Family, name: str, side: str) -> Landmark | None:
    """The landmark of that name on that side, or the only one whose name ends so."""
    there = {title.lower(): p for title, p in family.board.landmarks.items() if p.side == side}
    ending = [place for title, place in there.items() if f" {title}".endswith(f" {name.lower()}")]
    return there.get(name.lower()) or (ending[0] if len(ending) == 1 else None)


def _outside(
    at: tuple[float, float], middle: tuple[float, float], size: tuple[float, float]
) -> dict[str, float]:
    """How far (mm) a point lies beyond each edge of a landmark; below zero on the other side of the edge."""
    across, up = at[0] - middle[0], at[1] - middle[1]
    wide, high = size[0] / 2, size[1] / 2
    return {"left of": -across - wide, "right of": across - wide, "above": up - high, "below": -up - high}
