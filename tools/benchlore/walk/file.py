"""Saved walks: the check of a file's form, and what was read, with the meter's part in it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from benchlore.book.model import Book, Measurement, Meter, frozen_map
from benchlore.book.schemas import shape_problems
from benchlore.diagnosis.meter import accuracy_limit, range_for, ranges_of
from benchlore.diagnosis.reading import Reading, ReadingError, read
from benchlore.findings import Origin, nearest
from benchlore.vocabulary import FUNCTIONS

_FORMAT, _VERSION = "benchlore-walk", 1
_LARGEST = 2_000_000  # characters; the page refuses what is longer, too


class WalkError(ValueError):
    """A file cannot be taken. The message names the file, the place in it, the reason and the mend."""


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a board without records, with its function and bench state."""

    id: str
    net: str
    at: str
    mode: str
    state: str
    where: str

    def measurement(self) -> Measurement:
        """The point as a measurement of which no outcome is known."""
        return Measurement(
            id=self.id,
            origin=Origin(""),
            at=self.at,
            mode=self.mode,
            state=self.state,
            minutes=0,
            asks="",
            outcomes=frozen_map(),
        )


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading as typed, and the id of the meter."""

    measure: str
    meter: str
    text: str


@dataclass(frozen=True, slots=True)
class Walk:
    """One board. `file`: where it was read from. `taken`: the last reading of each measurement."""

    file: str
    title: str
    family: str
    revision: str
    label: str
    points: tuple[Point, ...]
    taken: Mapping[str, Taken]


@dataclass(frozen=True, slots=True)
class Shown:
    """A reading of one board. `limit`: half width of the meter's accuracy limits there, in the base unit."""

    reading: Reading
    meter: Meter
    limit: float


def read_walk(path: Path) -> Walk:
    """The walk in a file. Raises WalkError."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise WalkError(f"{path} cannot be read: {error}") from error
    if len(text) > _LARGEST:
        raise WalkError(f"{path} is too large for a walk; name a file that the page of a walk saved")
    try:
        data: Any = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise WalkError(f"{path} is not JSON, or it is cut short: {error}; save the walk again") from error
    if not isinstance(data, dict) or data.get("format") != _FORMAT:
        raise WalkError(f"{path} is not a walk saved by the site: 'format' is not '{_FORMAT}'")
    if isinstance(data.get("version"), int) and data["version"] != _VERSION:
        raise WalkError(f"{path} was saved in form {data['version']}; this Benchlore reads form {_VERSION}")
    for _, problem in shape_problems("walk", str(path), data):
        where = ", ".join(str(key + 1 if isinstance(key, int) else key) for key in problem.origin.path)
        raise WalkError("; ".join(filter(None, (f"{path}: {where}: {problem.message}", problem.mend))))
    points = tuple(_point(path, one) for one in data["points"])
    taken = {one["measure"]: Taken(one["measure"], one["meter"], one["text"]) for one in data["readings"]}
    return Walk(
        str(path),
        data.get("title", ""),
        data["family"],
        data["revision"],
        data.get("label", ""),
        points,
        frozen_map({name: one for name, one in taken.items() if one.text}),
    )


def _point(path: Path, one: Mapping[str, str]) -> Point:
    if one["mode"] not in FUNCTIONS or FUNCTIONS[one["mode"]].unit is None:
        known = nearest(one["mode"], (f.id for f in FUNCTIONS.values() if f.unit))
        raise WalkError(f"{path}: point {one['id']}: '{one['mode']}' is no function of a meter; {known}")
    return Point(one["id"], one["net"], one["at"], one["mode"], one["state"], one.get("where", ""))


def shown(
    book: Book, walks: Iterable[Walk], measurements: Mapping[str, Measurement]
) -> Mapping[str, tuple[Shown, ...]]:
    """What each measurement showed, one reading a board, in the order of `measurements`.

    Readings of what is not among them are left out. Raises WalkError for one that cannot be read.
    """
    found: dict[str, list[Shown]] = {}
    for walk in walks:
        for name, measurement in measurements.items():
            if name in walk.taken:
                found.setdefault(name, []).append(_shown(book, walk, measurement, walk.taken[name]))
    return frozen_map({name: tuple(found[name]) for name in measurements if name in found})


def _shown(book: Book, walk: Walk, measurement: Measurement, taken: Taken) -> Shown:
    meter = book.meters.get(taken.meter)
    if meter is None:
        mend = nearest(taken.meter, book.meters)
        raise WalkError(f"{walk.file}: {taken.measure}: '{taken.meter}' is no meter of the book; {mend}")
    try:
        reading = read(measurement, meter, taken.text)
    except ReadingError as error:
        raise WalkError(f"{walk.file}: {taken.measure}: {error}") from error
    limit = 0.0
    if reading.value is not None:
        limit = accuracy_limit(range_for(ranges_of(measurement, meter), reading.value), reading.value)
    return Shown(reading, meter, limit)
