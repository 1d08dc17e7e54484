"""The book: frozen records, linked by id. Quantities are parsed; prose stays as written.

Ids are strings as in the files; a fault's id is `family/name`. The mappings are read-only. Records name each
other by id, because a book under review may hold names that lead nowhere; the rules report those.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, TypeVar

from benchlore.findings import Origin
from benchlore.quantity import Quantity
from benchlore.vocabulary import FUNCTIONS, MeterFunction

T = TypeVar("T")


def frozen_map(items: Mapping[str, T] | None = None) -> Mapping[str, T]:
    """A read-only copy of a mapping."""
    return MappingProxyType(dict(items or {}))


@dataclass(frozen=True, slots=True)
class Symptom:
    """What the customer or the technician sees; `said` holds the other ways people say it."""

    id: str
    origin: Origin
    title: str
    said: tuple[str, ...]
    seen_by: str
    note: str = ""
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Hazard:
    """What can hurt: signal word, what can happen, how to avoid it, ISO 7010 signs."""

    id: str
    origin: Origin
    title: str
    signal: str
    harm: str
    avoid: tuple[str, ...]
    signs: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class MeterRange:
    """Accuracy on one range up to `up_to`: +-(`percent` of reading + `counts` x `resolution`)."""

    up_to: Quantity
    resolution: Quantity
    percent: float
    counts: int


@dataclass(frozen=True, slots=True)
class Meter:
    """An accuracy class of instrument; `accuracy` maps a mode to its ranges, smallest first."""

    id: str
    origin: Origin
    title: str
    accuracy: Mapping[str, tuple[MeterRange, ...]]
    input_resistance: Quantity
    test_current: Quantity
    open_voltage: Quantity
    note: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """A bench state: the sources that are in, how to set it up, and the minutes that takes."""

    id: str
    origin: Origin
    title: str
    sources: tuple[str, ...]
    minutes: float
    how: tuple[str, ...]
    discharged: bool = False
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Technique:
    """A procedure that many records need."""

    id: str
    origin: Origin
    title: str
    summary: str
    steps: tuple[str, ...]
    hazards: tuple[str, ...]
    needs: tuple[str, ...] = ()
    heat: bool = False
    source: str = ""


@dataclass(frozen=True, slots=True)
class Shop:
    """What a bench costs here: money per hour, the price of escalation, the meter at hand."""

    origin: Origin
    title: str
    currency: str
    labour_rate: float
    default_meter: str
    unplug_minutes: float
    escalate_minutes: float
    escalate_to: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A revision of a family's board: `tell` says how to know it."""

    id: str
    tell: str


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the board: side, and millimetres from its lower left corner for each revision."""

    side: Literal["top", "bottom"]
    at: Mapping[str, tuple[float, float]]
    size: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Board:
    """Outline in millimetres and the landmarks of the locator sketch."""

    width: float
    height: float
    landmarks: Mapping[str, Place]


@dataclass(frozen=True, slots=True)
class Fact:
    """What sets a net, as circuit fact `kind`; `quantities` and `names` are its parameters by key.

    `states`: bench states in which it holds (empty: in all where the net is up).
    """

    kind: str
    origin: Origin
    quantities: Mapping[str, Quantity]
    names: Mapping[str, str]
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Net:
    """A rail or a line. `fed_by` names the net above it; `source` the bench source that enters here."""

    id: str
    origin: Origin
    kind: str
    purpose: str
    nominal: Quantity | None
    fed_by: str | None = None
    source: str | None = None
    bus: str | None = None
    up_in: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Replace:
    """What replacing a part takes: minutes, skill, where a donor must come from, price (shop currency)."""

    minutes: float
    skill: str
    donor: str = ""
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """A component or connector on nets. `nets` lists them; `unplugs`: it can be unplugged by hand."""

    id: str
    origin: Origin
    name: str
    package: str
    nets: tuple[str, ...]
    replace: Replace
    unplugs: bool = False


@dataclass(frozen=True, slots=True)
class TestPoint:
    """A place on a net where a probe fits; `where` says it in words, for each revision."""

    __test__ = False

    id: str
    origin: Origin
    net: str
    place: Place
    where: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Outcome:
    """One named result of a measurement. `range` is None in modes that are looked at, not read.

    `stop`: the board must not stay powered; every source comes out before anything else is done."""

    id: str
    range: Quantity | None
    means: str
    normal: bool = False
    stop: bool = False


@dataclass(frozen=True, slots=True)
class Injection:
    """Current injected while measuring: ceiling voltage and current limit."""

    volts: Quantity
    limit: Quantity


@dataclass(frozen=True, slots=True)
class Measurement:
    """A test point, a mode, a bench state and what is unplugged, with the outcomes it can read."""

    id: str
    origin: Origin
    test_point: str
    mode: str
    state: str
    minutes: float
    asks: str
    outcomes: Mapping[str, Outcome]
    unplugged: tuple[str, ...] = ()
    leads: str = ""
    note: str = ""
    technique: str | None = None
    inject: Injection | None = None
    waive: Mapping[str, str] = field(default_factory=frozen_map)

    @property
    def function(self) -> MeterFunction:
        """What the measurement is taken with."""
        return FUNCTIONS[self.mode]

    @property
    def unit(self) -> str | None:
        """Base unit of a reading, or None where the outcome is named."""
        return self.function.unit

    @property
    def normal(self) -> tuple[str, ...]:
        """The outcomes that are healthy."""
        return tuple(o.id for o in self.outcomes.values() if o.normal)


@dataclass(frozen=True, slots=True)
class Family:
    """Boards that share a schematic up to revisions."""

    id: str
    origin: Origin
    title: str
    kind: str
    summary: str
    revisions: Mapping[str, Revision]
    board: Board
    nets: Mapping[str, Net]
    parts: Mapping[str, Part]
    test_points: Mapping[str, TestPoint]
    measurements: Mapping[str, Measurement]
    waive: Mapping[str, str] = field(default_factory=frozen_map)


@dataclass(frozen=True, slots=True)
class FamilyNames:
    """The names that the faults of a family use: revisions, parts, and measurements with their outcomes."""

    revisions: tuple[str, ...]
    parts: tuple[str, ...]
    outcomes: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a measurement reads with the fault: probabilities of its outcomes, summing to one."""

    origin: Origin
    measure: str
    outcomes: Mapping[str, float]
    note: str = ""


@dataclass(frozen=True, slots=True)
class PartUse:
    """A part that a fix takes, with its donor rule."""

    part: str
    donor: str = ""


@dataclass(frozen=True, slots=True)
class Fix:
    """What mends the fault, and the measurement that proves it (`confirm`: measurement -> outcome)."""

    action: str
    minutes: float
    steps: tuple[str, ...]
    confirm: Mapping[str, str]
    parts: tuple[PartUse, ...] = ()


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault pattern: one way a board fails."""

    id: str
    origin: Origin
    family: str
    title: str
    summary: str
    revisions: tuple[str, ...]
    symptoms: Mapping[str, str]
    test_points: tuple[Expectation, ...]
    cause_part: str
    cause: str
    seen: int
    fix: Fix
    hazards: tuple[str, ...]
    techniques: tuple[str, ...]
    worked_example: Mapping[str, str]
    waive: Mapping[str, str] = field(default_factory=frozen_map)

    @property
    def name(self) -> str:
        """The id without the family."""
        return self.id.split("/", 1)[1]


@dataclass(frozen=True, slots=True)
class Retired:
    """A fault id that is no longer in use: `moved_to` names its successor, else `reason` says why it went."""

    id: str
    origin: Origin
    moved_to: str | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Book:
    """Everything, by id.

    `files`: every record file there is, also those that could not be read, relative to the parent folder.
    `unread`: what is named in the families that do not fit their schema, and so are not in `families`.
    """

    shop: Shop
    symptoms: Mapping[str, Symptom]
    hazards: Mapping[str, Hazard]
    meters: Mapping[str, Meter]
    states: Mapping[str, State]
    techniques: Mapping[str, Technique]
    families: Mapping[str, Family]
    faults: Mapping[str, Fault]
    retired: Mapping[str, Retired]
    files: tuple[str, ...] = ()
    unread: Mapping[str, FamilyNames] = field(default_factory=frozen_map)
