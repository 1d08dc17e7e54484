"""The book: frozen records, linked by id. Quantities are parsed; prose stays as written.

A field has the name that it has in the files; where Python keeps that word for itself, `_` follows (`for_`).
Ids are strings as in the files; a fault's id is `family/name`. The mappings are read-only. Records name each
other by id, because a book under review may hold names that lead nowhere; the rules report those.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Annotated, Any, Literal, TypeVar

from benchlore.book import elements as circuit
from benchlore.book import outcomes as default
from benchlore.book.elements import Element, Percent
from benchlore.book.ids import COMMON, family_of, folder_of, name_of
from benchlore.book.pictures import PictureFile
from benchlore.findings import Origin
from benchlore.quantity import Quantity
from benchlore.vocabulary import CONDITIONS, FUNCTIONS, OUTSIDE_KINDS, VERBS, MeterFunction, Verb

T = TypeVar("T")
# What a plain value of a record is, for whoever reads records by their types: one line of prose or several
# paragraphs (*emphasis*, `code` and links), words with units in them, a title or name, millimetres, percent.
Line = Annotated[str, "line"]
Prose = Annotated[str, "prose"]
Words = Annotated[str, "words"]
Title = Annotated[str, "title"]
# Words of the vocabulary, by their table.
Action = Annotated[str, "action"]
Skill = Annotated[str, "skill"]
NetKind = Annotated[str, "net kind"]
PartKind = Annotated[str, "part kind"]
Mode = Annotated[str, "fault mode"]
Length = Annotated[float, "length"]
# A field that no file states: it is found from the others.
FOUND: Mapping[str, bool] = MappingProxyType({"found": True})


def frozen_map(items: Mapping[str, T] | None = None) -> Mapping[str, T]:
    """A read-only copy of a mapping."""
    return MappingProxyType(dict(items or {}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Symptom:
    """What the customer or the technician sees; `said` holds the other ways people say it, `said_in` those of
    other languages than the book's, by language tag (BCP 47, primary subtag).

    `outside`: of the jobs with it, the share in which the pack, the adapter, the cable, an accessory or the
    settings are at fault.

    `ohms_first`: the board is dead, hot or smells: its supply rails are measured before a source goes in.
    `area`: what of the device fails, for the count of what the book covers."""

    id: str
    origin: Origin
    title: Title
    said: tuple[str, ...]
    seen_by: str
    said_in: Mapping[str, tuple[str, ...]] = field(default_factory=frozen_map)
    area: str | None = None
    ohms_first: bool = False
    outside: Mapping[str, Percent] = field(default_factory=frozen_map)
    hazard: tuple[str, ...] = ()
    note: Line = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComesOf:
    """What a symptom comes of on one board: nets that read amiss and parts that fail (`of`).

    `outside`: as that of the symptom, of the kinds whose share is another here. `first`: the measurements
    without power that come before any source."""

    id: str
    origin: Origin
    of: tuple[str, ...]
    first: tuple[str, ...] = ()
    outside: Mapping[str, Percent] = field(default_factory=frozen_map)

    @staticmethod
    def in_full(raw: Sequence[str] | Mapping[str, Any]) -> Mapping[str, Any]:
        """The names may stand alone."""
        return raw if isinstance(raw, Mapping) else {"of": raw}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """What can hurt: signal word, what can happen, how to avoid it, ISO 7010 signs. `said`: words that people
    type when it is there."""

    id: str
    origin: Origin
    title: Title
    signal: str
    harm: Line
    avoid: tuple[Line, ...]
    said: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """What people type (`said`) for what the records call otherwise (`means`). `fails`: it says how something
    failed.
    """

    id: str
    origin: Origin
    said: tuple[str, ...]
    means: tuple[str, ...]
    fails: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRange:
    """Accuracy on one range up to `up_to`: +-(`reading` % of the reading + `counts` x `resolution`)."""

    up_to: Quantity
    resolution: Quantity
    reading: Percent
    counts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """An accuracy class of instrument; `accuracy` maps a mode to its ranges, smallest first."""

    id: str
    origin: Origin
    title: Title
    note: Line = ""
    input_resistance: Quantity
    test_current: Quantity
    open_voltage: Quantity
    accuracy: Mapping[str, tuple[MeterRange, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A bench state: the sources that are in, how to set it up, and the minutes that takes.

    `short`: its title for tables.
    """

    id: str
    origin: Origin
    title: Title
    short: Title
    sources: tuple[str, ...]
    discharged: bool = False
    minutes: float
    how: tuple[Line, ...]
    hazard: tuple[str, ...] = ()

    @property
    def family(self) -> str:
        """The id of the family whose own it is; empty for one of the common states."""
        folder = folder_of(self.origin.file)
        return "" if folder == COMMON else folder


# The bench states of a family, by id: common ones and its own. None: no common state has that name.
States = Annotated[Mapping[str, State | None], "states"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartUse:
    """A part that a step takes, with the value that it must have and its donor rule."""

    part: str
    value: Quantity | None = None
    donor: Words = ""

    @staticmethod
    def in_full(raw: str | Mapping[str, Any]) -> Mapping[str, Any]:
        """A record may name the part alone."""
        return {"part": raw} if isinstance(raw, str) else raw


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the work: a verb with what it is done to, and words beside it; or words alone.

    `if_`: it is done only where this is so. Which field belongs to which verb: `VERBS`.
    """

    origin: Origin
    unplug: tuple[str, ...] = ()
    plug: tuple[str, ...] = ()
    discharge: Quantity | None = None
    wait: Quantity | None = None
    look: tuple[str, ...] = ()
    press: tuple[str, ...] = ()
    measure: tuple[str, ...] = ()
    reads: str | None = None
    inject: str | None = None
    limit: Quantity | None = None
    up_to: Quantity | None = None
    remove: tuple[str, ...] = ()
    fit: tuple[PartUse, ...] = ()
    replace: tuple[PartUse, ...] = ()
    reflow: tuple[str, ...] = ()
    clean: tuple[str, ...] = ()
    with_: str | None = None
    wash: bool = False
    dry: Quantity | None = None
    program: tuple[str, ...] = ()
    set_: tuple[str, ...] = ()
    try_: tuple[str, ...] = ()
    if_: Line = ""
    say: Line = ""

    @staticmethod
    def in_full(raw: str | Mapping[str, Any]) -> Mapping[str, Any]:
        """A step may be words alone, and one thing may stand without a list."""
        if isinstance(raw, str):
            return {"say": raw}
        return {k: [v] if k in _LISTED and not isinstance(v, list) else v for k, v in raw.items()}

    @property
    def verbs(self) -> tuple[Verb, ...]:
        """The verbs that it states; a step has one, or none where it is words alone."""
        return tuple(verb for verb in VERBS.values() if self.of(verb.id))

    @property
    def verb(self) -> Verb | None:
        """Its verb."""
        return next(iter(self.verbs), None)

    def of(self, name: str) -> Any:
        """A field by its name in the file."""
        return getattr(self, f"{name}_" if name in ("with", "try", "if", "set") else name)

    @property
    def uses(self) -> tuple[PartUse, ...]:
        """The parts that it takes new."""
        return (*self.fit, *self.replace)

    @property
    def handled(self) -> tuple[str, ...]:
        """The parts that it takes off, puts on, or heats."""
        return (*self.remove, *(use.part for use in self.uses), *self.reflow)


_LISTED = frozenset(
    {"unplug", "plug", "look", "press", "measure", "remove", "fit", "replace", "reflow", "clean", "program"}
    | {"set", "try"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Technique:
    """A procedure that many records need.

    `mode`: readings to ground with this meter function are taken so. `skill`: parts that take this skill are
    replaced so. `wash`, `inject`: boards are washed, current is
    injected so.
    """

    id: str
    origin: Origin
    title: Title
    summary: Prose
    needs: tuple[str, ...] = ()
    mode: str | None = None
    skill: Skill | None = None
    wash: bool = False
    inject: bool = False
    steps: tuple[Step, ...]
    hazard: tuple[str, ...]
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Escalation:
    """What handing a board on costs in bench minutes, and to whom it goes."""

    minutes: float
    to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What a bench costs here: money per hour, the price of escalation, the meter at hand.

    `risk`: the share of fixes that make a new fault, by action or by the skill that the part asks for.
    `site`: the id under which browsers keep this book's jobs. `format`: the version of the book's form.
    """

    origin: Origin
    title: Title
    currency: str
    labour_rate: float
    default_meter: str
    unplug_minutes: float
    escalate: Escalation
    risk: Mapping[str, Percent] = field(default_factory=frozen_map)
    site: str = ""
    format: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """A revision of a family's board: `tell` says how to know it."""

    id: str
    tell: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on the board: side, and millimetres from its lower left corner for each revision."""

    side: Literal["top", "bottom"]
    at: Mapping[str, tuple[Length, Length]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmark(Place):
    """Something large that the locator sketch shows: width and height in millimetres."""

    size: tuple[Length, Length]


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """Outline in millimetres and the landmarks of the locator sketch."""

    width: Length
    height: Length
    landmarks: Mapping[str, Landmark]


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """A rail or a line, with the elements of the circuit that stand at it.

    `draw`: the current that a healthy board takes here, by bench state. `after`: what it waits for to start.
    `good`: the line that is held at ground until this net stands, its power-good.
    `in_`: of a net without an element that feeds it, the bench states in which it is at its `nominal`.
    """

    id: str
    origin: Origin
    kind: NetKind = "rail"
    for_: Line
    nominal: Quantity | None = None
    bus: str | None = None
    source: tuple[circuit.Source, ...] = ()
    path: tuple[circuit.Path, ...] = ()
    converter: tuple[circuit.Converter, ...] = ()
    pull: tuple[circuit.Pull, ...] = ()
    load: tuple[circuit.Load, ...] = ()
    junction: tuple[circuit.Junction, ...] = ()
    signal: tuple[circuit.Signal, ...] = ()
    delay: tuple[circuit.Delay, ...] = ()
    draw: Mapping[str, Quantity] = field(default_factory=frozen_map)
    after: tuple[circuit.After, ...] = ()
    good: str | None = None
    in_: tuple[str, ...] = ()

    in_full = staticmethod(circuit.net_in_full)

    @property
    def elements(self) -> tuple[Element, ...]:
        """All elements, those that feed the net first."""
        found: tuple[Element, ...] = (*self.source, *self.path, *self.converter, *self.pull)
        found += (*self.signal, *self.delay, *self.load, *self.junction)
        return found

    @property
    def feeding(self) -> tuple[Element, ...]:
        """The elements by which its level comes from other nets, converters first."""
        return (*self.converter, *self.path, *self.pull, *self.delay)

    @property
    def fed_from(self) -> tuple[str, ...]:
        """The nets that supply it, by a converter or a path."""
        supplies: tuple[circuit.Converter | circuit.Path, ...] = (*self.converter, *self.path)
        return tuple(dict.fromkeys(element.from_ for element in supplies))

    @property
    def above(self) -> tuple[str, ...]:
        """The nets that its level comes from: those that supply it, those that it is pulled to."""
        return tuple(dict.fromkeys(name for e in self.feeding for name in circuit.above(e)))

    @property
    def follows(self) -> str:
        """The net at whose level it stands when nothing else is said: it comes from there by one path without
        a drop and meets no pull, or hangs there at one pull-up and nothing else. Empty where it is none."""
        feeds = (*self.source, *self.converter, *self.path, *self.signal, *self.delay)
        if len(feeds) == 1 and self.path and self.path[0].drop is None and not self.pull:
            return self.path[0].from_
        return self.pull[0].to if not feeds and len(self.pull) == 1 else ""

    @property
    def enters(self) -> tuple[str, ...]:
        """The bench sources that enter the board here."""
        return tuple(dict.fromkeys(source.from_ for source in self.source if not source.built_in))


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A photograph or a scope trace: its file in the folder `pictures` of the family, and what it shows."""

    origin: Origin
    file: str
    shows: Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Replace:
    """What replacing a part takes: minutes, skill, where a donor must come from, price (shop currency)."""

    minutes: float
    skill: Skill
    donor: Words = ""
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A component, a connector, or what is plugged in. `kind`: of `PART_KINDS`; `unplugs`: by hand.

    `nets`: those that the record states first, then those of the elements that the part is; where neither
    says any, those of the points on it. `side`, `at`, `size`: where it sits, as far as somebody has measured
    it.
    """

    id: str
    origin: Origin
    name: Title
    kind: PartKind
    package: Title
    nets: tuple[str, ...] = ()
    unplugs: bool = False
    side: Literal["top", "bottom"] | None = None
    at: Mapping[str, tuple[Length, Length]] = field(default_factory=frozen_map)
    size: tuple[Length, Length] | None = None
    replace: Replace
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TestPoint(Place):
    """A place on a net where a probe fits; `where` says it in words, for each revision.

    `part`: where no probe goes, the part that is looked at, heard or felt; the family finds it. It may lie on
    no net, and have no place on the board.
    """

    __test__ = False

    id: str
    origin: Origin
    net: str
    where: Mapping[str, Line]
    pictures: tuple[Picture, ...] = ()
    part: str = field(default="", metadata=FOUND)

    def is_on(self, revision: str) -> bool:
        """True where the revision has it; what is looked at is there without a place, too."""
        return bool(self.part) or revision in self.at

    @property
    def sits_on(self) -> str:
        """The part that it lies on by its name, if there is one of that name: `C55`, or F1 of `F1_OUT`."""
        return self.id.partition("_")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One named result of a measurement. `range` is None in modes that are looked at, not read.

    `stop`: the board must not stay powered; every source comes out before anything else is done. `bars`: the
    sources that must not be in until this reads otherwise."""

    id: str
    range: Quantity | None = None
    normal: bool = False
    stop: bool = False
    bars: tuple[str, ...] = ()
    means: Line = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Injection:
    """Current injected while measuring: ceiling voltage and current limit."""

    volts: Quantity
    limit: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Compare:
    """The point that a reading is compared with, and how far the two may differ on a healthy board."""

    with_: str
    within: Percent


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """A test point, a mode, a bench state and what is unplugged, with the outcomes it can read.

    `between`: the two points of a reading that is not to ground, the red lead's first, which is `at`, too.
    `polarity`: the leads go the other way than they do as a rule. `leads`: how they go, under which
    conditions, and what else the record says of the connection; empty where it goes without saying.
    `under`: the conditions of the reading, of `CONDITIONS`. `compare`: the reading is compared with one at
    another point, taken the same way, and is the share (%) by which it lies above that. `steps`: those by
    which a current climbs, from the first on; the board runs at the last.
    `healthy`: what a healthy board reads; the outcomes that a record does not state follow from it.
    `net` is the net of the test point; the family finds it, and it is empty where no such test point is.
    `nets`: those that the leads touch, the red one's first, as far as their points are known.
    """

    id: str
    origin: Origin
    at: str
    between: tuple[str, ...] = ()
    polarity: Literal["reversed"] | None = None
    mode: str
    state: str
    unplugged: tuple[str, ...] = ()
    under: tuple[str, ...] = ()
    compare: Compare | None = None
    steps: Mapping[str, Quantity] = field(default_factory=frozen_map)
    leads: Words = ""
    note: Line = ""
    technique: str | None = None
    inject: Injection | None = None
    minutes: float
    asks: Line
    healthy: Quantity | None = None
    outcomes: Mapping[str, Outcome]
    waive: Mapping[str, str] = field(default_factory=frozen_map)
    net: str = field(default="", metadata=FOUND)
    nets: tuple[str, ...] = field(default=(), metadata=FOUND)

    @staticmethod
    def in_full(raw: Mapping[str, Any]) -> Mapping[str, Any]:
        """Function, points and polarity say how the leads go, the function how long it takes, the healthy
        range what else can be read; a record adds what they cannot."""
        between, function = raw.get("between", ()), FUNCTIONS[raw["mode"]]
        given = raw.get("under", ())
        conditions = [CONDITIONS[name] for name in ([given] if isinstance(given, str) else given)]
        said = function.leads_said(between, "polarity" in raw)
        minutes = math.fsum((function.minutes, *(one.minutes for one in conditions)))
        own = "leads" in raw or "note" in raw
        under = [one.reading if own else f"{one.reading}: {one.how}" for one in conditions]
        other = raw.get("compare", {}).get("with")
        compared = f"measure {other} the same way, on the same range, and compare" if other else ""
        how = (said, *under, compared, raw.get("leads", ""))
        minutes = minutes * 2 if other else minutes
        outcomes = _outcomes(raw)
        first = {"at": (*between, "")[0], "minutes": minutes}
        found = {"leads": "; ".join(text for text in how if text), "outcomes": outcomes}
        return {**first, **raw, **found, "under": [one.id for one in conditions]}

    @property
    def points(self) -> tuple[str, ...]:
        """Where the leads go, the red one first; a lead on ground is not among them. Of a comparison, the
        point that is compared, then the other one."""
        return self.between or ((self.at, self.compare.with_) if self.compare else (self.at,))

    @property
    def to_ground(self) -> bool:
        """True for one reading from one point to ground, the leads as they go as a rule."""
        return not self.between and self.polarity is None and self.compare is None

    @property
    def without_power(self) -> bool:
        """True where its function, or current that is injected, asks for a board without power."""
        return self.function.power == "off" or self.inject is not None

    @property
    def limits(self) -> tuple[float, float]:
        """Between what a true reading lies, in its unit; one that is compared, from 100 % below the other."""
        return (-100.0, math.inf) if self.compare else (self.function.least, self.function.most)

    @property
    def function(self) -> MeterFunction:
        """What the measurement is taken with."""
        return FUNCTIONS[self.mode]

    @property
    def unit(self) -> str | None:
        """Base unit of a reading, or None where the outcome is named. A comparison reads percent."""
        return "%" if self.compare else self.function.unit

    @property
    def normal(self) -> tuple[str, ...]:
        """The outcomes that are healthy."""
        return tuple(o.id for o in self.outcomes.values() if o.normal)

    @property
    def proves(self) -> str:
        """What a proof that only names the measurement means: its normal outcome; empty where it has none, or
        several."""
        return self.normal[0] if len(self.normal) == 1 else ""

    @property
    def reads_healthy(self) -> Mapping[str, float]:
        """What a healthy board reads: its outcomes, in even shares."""
        normal = self.normal
        return {name: 1 / len(normal) for name in normal}

    def range_at(self, outcome: str) -> Origin:
        """Where the range of an outcome is stated, or what it follows from."""
        if outcome in self.steps:
            return self.origin.at("steps", outcome)
        if self.compare:
            return self.origin.at("compare")
        follows = self.healthy is not None and self.outcomes[outcome].range == self.healthy
        return self.origin.at("healthy") if follows else self.origin.at("outcomes", outcome, "range")


def _outcomes(raw: Mapping[str, Any]) -> dict[str, Any]:
    stated = raw.get("outcomes", {})
    if "compare" in raw:
        return default.compared(raw["mode"], raw["compare"]["within"], stated)
    if "steps" in raw:
        return default.of_steps(raw["mode"], raw["steps"], stated)
    return default.in_full(raw["mode"], raw.get("healthy"), stated)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """The technique by which a device is opened, and the parts that are reached `without` it."""

    technique: str
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Boards that share a schematic up to revisions.

    `discharge`: how long the power key is held until the charge is gone; a fix that works without power
    begins so (`work.opened`). `opening`: how the device is opened, for a fix that has to
    (`work.technique_of_opening`). `usual_state`: the bench states of measurements that state none, `powered`
    and `unpowered`. `thin`: why fewer than `FEW_FAULTS` faults show a symptom, or none. `symptoms`: what
    they come of on this board, as far as it is said."""

    id: str
    origin: Origin
    title: Title
    kind: str
    summary: Prose
    revisions: Mapping[str, Revision]
    states: States
    discharge: Quantity | None = None
    opening: Opening | None = None
    usual_state: Mapping[str, str] = field(default_factory=frozen_map)
    thin: Mapping[str, str] = field(default_factory=frozen_map)
    symptoms: Mapping[str, ComesOf] = field(default_factory=frozen_map)
    board: Board
    nets: Mapping[str, Net]
    parts: Mapping[str, Part]
    test_points: Mapping[str, TestPoint]
    measurements: Mapping[str, Measurement]
    waive: Mapping[str, str] = field(default_factory=frozen_map)

    @property
    def probe_points(self) -> tuple[TestPoint, ...]:
        """The test points that the record states; the places of parts that are looked at are left out."""
        return tuple(point for point in self.test_points.values() if not point.part)

    @property
    def bench_states(self) -> tuple[State, ...]:
        """The bench states that apply, as far as they are there, in the order of the record."""
        return tuple(state for state in self.states.values() if state)

    @property
    def own_states(self) -> tuple[State, ...]:
        """The bench states that no other family has."""
        return tuple(state for state in self.bench_states if state.family)

    def state_of(self, measurement: Measurement) -> State:
        """The bench state that a measurement is made in; KeyError where the family has none of that name."""
        state = self.states[measurement.state]
        if state is None:
            raise KeyError(measurement.state)
        return state

    def with_common(self, states: Mapping[str, State], techniques: Mapping[str, Technique]) -> Family:
        """The family with the common states that it names, and the technique by which readings to ground with
        a meter function are taken, where a measurement names none."""
        named = {name: own or states.get(name) for name, own in self.states.items()}
        by_mode = {one.mode: one.id for one in techniques.values() if one.mode}
        measured = {
            key: replace(m, technique=by_mode[m.mode])
            if m.technique is None and m.to_ground and m.mode in by_mode
            else m
            for key, m in self.measurements.items()
        }
        return replace(self, states=frozen_map(named), measurements=frozen_map(measured))

    def __post_init__(self) -> None:
        """Find the levels of nets, the nets of parts and measurements, and the parts that are looked at."""
        levelled = {key: self._levelled(net) for key, net in self.nets.items()}
        object.__setattr__(self, "nets", frozen_map(levelled))
        met = {part.id: dict.fromkeys(part.nets) for part in self.parts.values()}
        for net in self.nets.values():
            for element in net.elements:
                for name, ends in circuit.met_by(element, net.id).items():
                    met.get(name, {}).update(dict.fromkeys(end for end in ends if end in self.nets))
        for name in [name for name, nets in met.items() if not nets]:
            met[name] = {p.net: None for p in self.probe_points if p.sits_on == name and p.net in self.nets}
        parts = {
            key: part if part.nets == tuple(met[part.id]) else replace(part, nets=tuple(met[part.id]))
            for key, part in self.parts.items()
        }
        object.__setattr__(self, "parts", frozen_map(parts))
        points = dict(self.test_points)
        for m in self.measurements.values():
            if m.function.feels and m.at not in points and (seen := self._seen(m.at)):
                points[m.at] = seen
        object.__setattr__(self, "test_points", frozen_map(points))
        net_of = {point.id: point.net for point in points.values()}
        found = {}
        for key, m in self.measurements.items():
            at = net_of.get(m.at, "")
            nets = tuple(dict.fromkeys(net_of[point] for point in m.points if point in net_of))
            found[key] = m if (m.net, m.nets) == (at, nets) else replace(m, net=at, nets=nets)
        object.__setattr__(self, "measurements", frozen_map(found))

    def _levelled(self, net: Net) -> Net:
        """The net with the nominal of that whose level it has, where it states none."""
        at: Net | None = net
        passed: set[str] = set()
        while at and at.nominal is None and at.id not in passed:
            passed.add(at.id)
            at = self.nets.get(at.follows)
        return replace(net, nominal=at.nominal) if at and at is not net and at.nominal else net

    def has_level_of(self, net: Net) -> bool:
        """True where a net stands at the nominal of the net that it follows; what is wrong with it is said
        there."""
        above = self.nets.get(net.follows)
        return above is not None and net.nominal is not None and above.nominal == net.nominal

    def _seen(self, name: str) -> TestPoint | None:
        """The place of a part that is looked at: its own, else that of the first point on it or, of a part of
        the board, on its net; else none. On no net where the part meets none; None where no such part is."""
        part = self.parts.get(name)
        if part is None:
            return None
        on_net = [p for net in part.nets for p in self.test_points.values() if p.net == net]
        on_part = [p for p in on_net if p.sits_on == name]
        near = next(iter([*on_part, *([] if part.kind in OUTSIDE_KINDS else on_net)]), None)
        where = frozen_map(dict.fromkeys(self.revisions, part.name))
        own = part.side and set(part.at) >= set(self.revisions)
        side, at = (near.side, near.at) if near and not own else (part.side or "top", part.at)
        net = next(iter(part.nets), "")
        origin = near.origin if near else part.origin
        return TestPoint(
            origin=origin, id=name, net=net, where=where, pictures=part.pictures, part=name, side=side, at=at
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyNames:
    """The names that the faults of a family use: revisions, parts, and measurements with their outcomes,
    of which none is known while the family is unread."""

    revisions: tuple[str, ...]
    parts: tuple[str, ...]
    outcomes: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expectation:
    """What a measurement reads with the fault: probabilities of its outcomes, summing to one.

    `predicted`: no record states it; the circuit foretells it.
    """

    origin: Origin
    measure: str
    expected_reading: Mapping[str, float]
    note: Line = ""
    predicted: bool = field(default=False, metadata=FOUND)

    @staticmethod
    def in_full(raw: Mapping[str, Any]) -> Mapping[str, Any]:
        """A record may name the one outcome that is always read."""
        reads = raw["expected_reading"]
        return {**raw, "expected_reading": {reads: 1}} if isinstance(reads, str) else raw


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """A part and the mode in which it has failed.

    `at`: the net that is shorted, leaks or is held, or whose contact alone is open; `to`: the other net of a
    short from end to end. `ohms` and `volts`: how much of it, where the mode's usual value is not meant.
    """

    origin: Origin
    part: str
    mode: Mode | None = None
    at: str | None = None
    to: str | None = None
    ohms: Quantity | None = None
    volts: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant(Failure):
    """One of several ways in which a part fails, the share of the jobs that have it, and what this way alone
    takes along (`then`)."""

    share: float
    share_of_time: float | None = None
    then: tuple[Failure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause(Failure):
    """The part at fault, how it failed, what it took along (`then`), and how it came about.

    `variants` stand instead of the mode; what a variant does not state is the cause's. `share_of_time`: how
    long a loose contact is open. `when`: the conditions without which it does not show.
    """

    how: Line
    share_of_time: float | None = None
    when: tuple[str, ...] = ()
    then: tuple[Failure, ...] = ()
    variants: tuple[Variant, ...] = ()

    @staticmethod
    def in_full(raw: Mapping[str, Any]) -> Mapping[str, Any]:
        """A variant has what it does not state from its cause."""
        if "variants" not in raw:
            return raw
        own = {key: raw[key] for key in ("part", "at", "to") if key in raw}
        return {**raw, "variants": [{**own, **variant} for variant in raw["variants"]]}

    @property
    def failures(self) -> tuple[Failure, ...]:
        """All that is stated of parts and modes: the cause, its variants, what it takes along."""
        return (self, *self.variants, *self.taken_along)

    @property
    def taken_along(self) -> tuple[Failure, ...]:
        """What it takes along in every job, then what a variant alone takes along."""
        return (*self.then, *(failure for variant in self.variants for failure in variant.then))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """What mends the fault, and the measurements that prove it.

    `confirm`: measurement -> outcome; `Fault.with_normal` puts in what the record does not say."""

    action: Action
    minutes: float
    steps: tuple[Step, ...]
    confirm: Mapping[str, str]

    @staticmethod
    def in_full(raw: Mapping[str, Any]) -> Mapping[str, Any]:
        """A record may name the measurements of the proof alone."""
        proof = raw["confirm"]
        return {**raw, "confirm": dict.fromkeys(proof, "")} if isinstance(proof, list) else raw

    @property
    def parts(self) -> tuple[PartUse, ...]:
        """The parts that it takes, each once; also those that only some jobs take."""
        uses = {use.part: use for step in self.steps for use in step.uses}
        return tuple(uses.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A fault pattern: one way a board fails.

    `test_points`: what the record states; of those in `reads_normal`, that they read as on a healthy board.
    `foretold`: what it reads by the circuit where the record is silent, by measurement, with the share of
    each outcome; `telling`: those of them that are worth measuring. `circuit/foretold.py` puts both in.
    """

    id: str
    origin: Origin
    title: Title
    revisions: tuple[str, ...] = ()
    symptom: Mapping[str, str]
    summary: Prose
    test_points: tuple[Expectation, ...] = ()
    reads_normal: tuple[str, ...] = ()
    cause: Cause
    seen: int
    fix: Fix
    hazard: tuple[str, ...] = ()
    techniques: tuple[str, ...] = ()
    worked_example: Mapping[str, str]
    waive: Mapping[str, str] = field(default_factory=frozen_map)
    foretold: Mapping[str, Mapping[str, float]] = field(default_factory=frozen_map, metadata=FOUND)
    telling: tuple[str, ...] = field(default=(), metadata=FOUND)

    @property
    def readings(self) -> tuple[Expectation, ...]:
        """What is worth measuring: what the record states, in its order, then what is foretold, then what
        the record says only that it reads normal."""
        stated = {expectation.measure for expectation in self.test_points}
        cause = self.origin.at("cause")
        predicted = (
            Expectation(origin=cause, measure=name, expected_reading=self.foretold[name], predicted=True)
            for name in self.telling
            if name not in stated
        )
        first, normal = self._parted()
        return (*first, *predicted, *normal)

    def with_normal(self, family: Family | None) -> Fault:
        """The fault with what `reads_normal` names among its test points, and with the normal outcome
        of what its proof only names; names that the family lacks read nothing, and what has several normal
        outcomes is left open."""
        known = family.measurements if family else {}
        normal = tuple(
            Expectation(
                origin=self.origin.at("reads_normal", i),
                measure=name,
                expected_reading=frozen_map(known[name].reads_healthy if name in known else {}),
            )
            for i, name in enumerate(self.reads_normal)
        )
        proof = {
            name: outcome or (known[name].proves if name in known else "")
            for name, outcome in self.fix.confirm.items()
        }
        fix = replace(self.fix, confirm=frozen_map(proof))
        return replace(self, test_points=(*self.test_points, *normal), fix=fix)

    def _parted(self) -> tuple[list[Expectation], list[Expectation]]:
        """What is stated in full, and what is only said to read normal."""
        normal = [e for e in self.test_points if e.origin.path[:1] == ("reads_normal",)]
        return [e for e in self.test_points if e not in normal], normal

    @property
    def reads(self) -> Mapping[str, Mapping[str, float]]:
        """All that is known of what it reads, stated or foretold, by measurement."""
        stated = {e.measure: e.expected_reading for e in reversed(self.test_points)}
        return {**self.foretold, **stated}

    @property
    def family(self) -> str:
        """The id of its board family."""
        return family_of(self.id)

    @property
    def name(self) -> str:
        """The id without the family."""
        return name_of(self.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Retired:
    """A fault id that is no longer in use: `moved_to` names its successor, else `retired` says why."""

    id: str
    origin: Origin
    moved_to: str | None = None
    retired: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """Everything, by id.

    `files`: every record file there is, also those that could not be read, relative to the parent folder.
    `unread`: what is named in the families that do not fit their schema, and so are not in `families`.
    `pictures`: every file in the picture folders of the families, by its name like those of `files`.
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
    words: Mapping[str, Word] = field(default_factory=frozen_map)
    files: tuple[str, ...] = ()
    unread: Mapping[str, FamilyNames] = field(default_factory=frozen_map)
    pictures: Mapping[str, PictureFile] = field(default_factory=frozen_map)
