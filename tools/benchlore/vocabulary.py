"""The words of the trade that records, pages, rules and scripts share: one frozen table each, by id.

A table says of each id what everybody else needs to know of it. The schemas take their enums from `ENUMS`
(see `book/schemas.py`), the browser gets what it needs in `data/bench/book.js` (`site/data.py`). An entry
here, and for a meter function the accuracy of the meters that have it, is all that a new word takes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal, Protocol, TypeVar


class _Named(Protocol):
    @property
    def id(self) -> str: ...


N = TypeVar("N", bound=_Named)


def _table(entries: Iterable[N]) -> Mapping[str, N]:
    return MappingProxyType({entry.id: entry for entry in entries})


def _words(**words: str) -> Mapping[str, str]:
    return MappingProxyType({id_.replace("_", "-"): said for id_, said in words.items()})


def within_sentence(label: str) -> str:
    """A label within a sentence: `Diode mode` -> `diode mode`, but `DC volts`."""
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


@dataclass(frozen=True, slots=True)
class Unit:
    """A base unit. `sign`: as pages show it. `measures`: what it is the unit of. `words`: how people type it,
    the full plural last. `prefixed`: it takes SI prefixes.

    `others`: units by the word that people type, as (factor, offset): the base is factor x (value - offset).
    """

    id: str
    sign: str
    measures: str
    words: tuple[str, ...] = ()
    prefixed: bool = True
    others: Mapping[str, tuple[float, float]] = field(default_factory=lambda: MappingProxyType({}))


PREFIXES: Mapping[str, int] = MappingProxyType(
    {"p": -12, "n": -9, "u": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
)
PREFIX_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "pico": "p",
        "nano": "n",
        "micro": "u",
        "milli": "m",
        "kilo": "k",
        "kil": "k",
        "mega": "M",
        "meg": "M",
        "giga": "G",
    }
)
UNITS: Mapping[str, Unit] = _table(
    (
        Unit("V", "V", "a voltage", ("volt", "volts")),
        Unit("A", "A", "a current", ("amp", "amps", "ampere", "amperes")),
        Unit("ohm", "Ω", "a resistance", ("r", "ohms")),
        Unit("F", "F", "a capacitance", ("farad", "farads")),
        Unit("H", "H", "an inductance", ("henry", "henries")),
        Unit("Hz", "Hz", "a frequency", ("hertz",)),
        Unit(
            "s",
            "s",
            "a time",
            ("sec", "secs", "second", "seconds"),
            others=MappingProxyType(
                dict.fromkeys(("min", "mins", "minute", "minutes"), (60.0, 0.0))
                | dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), (3600.0, 0.0))
            ),
        ),
        Unit(
            "degC",
            "°C",
            "a temperature",
            ("c", "°c", "°", "deg", "degs", "celsius", "degreesc", "degrees"),
            prefixed=False,
            others=MappingProxyType(
                dict.fromkeys(("f", "°f", "degf", "degreesf", "fahrenheit"), (5 / 9, 32.0))
            ),
        ),
        Unit("W", "W", "a power", ("watt", "watts")),
        Unit("mm", "mm", "a length", ("millimetre", "millimetres"), prefixed=False),
        Unit("min", "min", "a time", ("mins", "minute", "minutes"), prefixed=False),
        Unit("%", "%", "a share", ("pct", "percent"), prefixed=False),
    )
)
# What a meter shows, and people type, where no number comes; a figure 0 stands for the letter, too.
OVER_RANGE: frozenset[str] = frozenset(
    {
        *("ol", "0l", "open", "over", "overrange", "overload", "overlimit", "outofrange", "opencircuit"),
        *("openline", "openloop", "\u221e"),
    }
)


# How the two leads of a meter go on a net (common practice, no source).
BLACK_ON_GROUND = "black on ground, red on the point"
RED_ON_GROUND = "red on ground, black on the point"


@dataclass(frozen=True, slots=True)
class Beside:
    """An outcome that a measurement has beside its healthy range without a word of its record.

    `place`: least and most are the two ends of the scale, low and high lie between them and the healthy
    range. `edge`: where an end of the scale begins: for least a share of the healthy range's lower end, but
    no more than `at_most` base units; for most base units. `stop`: as in a record. Common practice, no
    source.
    """

    id: str
    place: Literal["least", "low", "high", "most"]
    means: str
    edge: float = 0.0
    at_most: float = math.inf
    stop: bool = False


@dataclass(frozen=True, slots=True)
class MeterFunction:
    """What a measurement is taken with: the dial of a meter, a scope, the eyes or the ears.

    `unit`: base unit of a reading; None: the outcome is named, not read. `current`: the kind that it reads,
    direct or alternating, where that makes a difference. `power`: whether the board has to be
    on or off for it. `least`, `most`: between them lies every true value. `over_range`: an open circuit reads
    beyond every range; in the other functions over-range says that the dial is wrong. `reads_zero`: a board
    can read nothing at all, so that outcomes reach down to 0. `leads`: probed with two leads on the net.
    `red_on_ground`: the red lead goes to ground as a rule, not to the point. `feels`: eye, ear or finger: it
    needs no point for a probe, a part will do.
    `turned`: what turned leads do to the reading. `instead`: what another function shows, by its id.
    `minutes`: bench minutes as a rule, the state already set up. `healthy`: what the healthy range means;
    `beside`: the outcomes around it. Between two of them lie `gap` of the value and `least_gap` base units.
    """

    id: str
    label: str
    unit: str | None
    power: Literal["on", "off", "either"]
    current: Literal["dc", "ac", ""] = ""
    least: float = -math.inf
    most: float = math.inf
    over_range: bool = False
    reads_zero: bool = False
    leads: bool = False
    red_on_ground: bool = False
    feels: bool = False
    turned: str = ""
    instead: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    minutes: float = 1.0
    healthy: str = "As on a healthy board."
    beside: tuple[Beside, ...] = ()
    gap: float = 0.02
    least_gap: float = 0.0

    @property
    def signed(self) -> bool:
        """True where a reading below zero can be true."""
        return self.least < 0

    @property
    def phrase(self) -> str:
        """The label within a sentence."""
        return within_sentence(self.label)

    def leads_said(self, between: Sequence[str] = (), reversed_: bool = False) -> str:
        """How the leads go: on two points, red first; or on ground and the point.

        Empty where no leads are used, and where power is on and they go as they always do.
        """
        if between:
            return f"red on {between[0]}, black on {between[1]}"
        if not self.leads or (self.power == "on" and not reversed_):
            return ""
        return RED_ON_GROUND if self.red_on_ground != reversed_ else BLACK_ON_GROUND


# What another function shows in place of the right one: common practice, no source.
FUNCTIONS: Mapping[str, MeterFunction] = _table(
    (
        MeterFunction(
            id="dc-volts",
            label="DC volts",
            unit="V",
            power="on",
            current="dc",
            reads_zero=True,
            leads=True,
            turned=(
                "The sign is wrong. That does no harm by itself, but a minus in the notes leads the "
                "next one astray."
            ),
            instead=_words(
                ac_ripple=(
                    "AC volts leaves the steady part out. A healthy rail reads next to nothing, and "
                    "looks dead."
                ),
            ),
            healthy="It stands where it should.",
            beside=(
                Beside(
                    "low",
                    "low",
                    "Something loads it down, or what feeds it has resistance or regulates too low.",
                ),
                Beside("absent", "least", "It is not there: not fed, not switched on, or shorted.", edge=0.1),
                Beside("high", "high", "What sets it has failed, or it touches a higher rail.", stop=True),
            ),
        ),
        MeterFunction(
            id="ac-ripple",
            label="AC volts (ripple)",
            unit="V",
            power="on",
            current="ac",
            least=0.0,
            reads_zero=True,
            leads=True,
            instead=_words(
                dc_volts="DC volts shows the average. Ripple stays unseen, and a worn capacitor passes.",
            ),
            minutes=2.0,
            healthy="It is smooth enough.",
            beside=(Beside("high", "high", "It ripples too much. A capacitor is worn out."),),
            gap=0.1,
        ),
        MeterFunction(
            id="junction",
            label="Diode mode",
            unit="V",
            power="off",
            least=0.0,
            over_range=True,
            reads_zero=True,
            leads=True,
            red_on_ground=True,
            turned=(
                "Turned about, the test current goes the other way and meets other junctions: a "
                "healthy line reads like a cut or a damaged one."
            ),
            instead=_words(
                ohms=(
                    "The ohms function drives too little voltage to open a junction. A healthy line "
                    "reads like a cut one."
                ),
            ),
            healthy="The protection junctions alone.",
            beside=(
                Beside("shorted", "least", "The line is shorted to ground.", edge=0.2, at_most=0.05),
                Beside("low", "low", "A damaged junction lies across the line."),
                Beside("high", "high", "Part of the line is cut off."),
                Beside("open", "most", "Nothing is connected to this point.", edge=2.0),
            ),
            gap=0.03,
            least_gap=0.008,
        ),
        MeterFunction(
            id="ohms",
            label="Ohms",
            unit="ohm",
            power="off",
            least=0.0,
            over_range=True,
            reads_zero=True,
            leads=True,
            turned=(
                "Turned about, the chips\u2019 own junctions conduct: the resistance reads too low, "
                "like a leak."
            ),
            instead=_words(
                junction=(
                    "Diode mode shows a drop in volts, not a resistance. A rail of few ohms looks shorted."
                ),
            ),
            healthy="No short.",
            beside=(
                Beside("low", "low", "Something leaks on the net."),
                Beside("shorted", "least", "The net is shorted.", edge=0.2, at_most=25.0),
                Beside("high", "high", "A part of the net is not connected."),
            ),
            gap=0.03,
            least_gap=0.35,
        ),
        MeterFunction(
            id="amps",
            label="DC amps",
            unit="A",
            power="on",
            current="dc",
            reads_zero=True,
            instead=_words(
                dc_volts="Voltage is no current. A rail can stand and the board still take far too much.",
            ),
            minutes=2.0,
            healthy="The board takes what it should.",
            beside=(
                Beside("low", "low", "Part of the board does not run."),
                Beside("high", "high", "Something takes far too much.", stop=True),
            ),
            gap=0.1,
        ),
        MeterFunction(
            id="hertz",
            label="Frequency",
            unit="Hz",
            power="on",
            least=0.0,
            reads_zero=True,
            leads=True,
            instead=_words(
                dc_volts=(
                    "DC volts shows the average of a clock, about half its height, whether the "
                    "frequency is right or wrong."
                ),
            ),
            healthy="It runs true.",
            beside=(
                Beside("low", "low", "It runs slow or skips."),
                Beside("absent", "least", "It does not swing.", edge=0.015),
                Beside("high", "high", "It runs fast."),
            ),
            gap=0.015,
        ),
        MeterFunction(
            id="seconds",
            label="Stopwatch",
            unit="s",
            power="on",
            least=0.0,
            healthy="It takes as long as it should.",
            beside=(
                Beside("low", "low", "It is too quick."),
                Beside("high", "high", "It takes too long."),
            ),
            gap=0.1,
            least_gap=0.4,
        ),
        MeterFunction(
            id="celsius",
            label="Temperature",
            unit="degC",
            power="either",
            feels=True,
            least=-273.15,
            minutes=4.0,
            healthy="No more than the board around it.",
            beside=(Beside("hot", "high", "It takes current that it should not.", stop=True),),
            least_gap=6.0,
        ),
        MeterFunction(id="look", label="Look", unit=None, power="either", feels=True),
        MeterFunction(id="listen", label="Listen", unit=None, power="either", feels=True, minutes=2.0),
        MeterFunction(
            id="scope",
            label="Oscilloscope",
            unit=None,
            power="on",
            instead=_words(
                dc_volts=(
                    "DC volts averages the traffic away. A line that talks and one that is stuck can "
                    "read alike."
                ),
            ),
            minutes=3.0,
        ),
        MeterFunction(
            id="amplitude",
            label="Oscilloscope: swing",
            unit="V",
            power="on",
            least=0.0,
            reads_zero=True,
            leads=True,
            instead=_words(dc_volts="DC volts shows the average of a swing, not its height."),
            minutes=3.0,
            healthy="It swings as far as it should, peak to peak.",
            beside=(
                Beside("low", "low", "It swings too little: loaded, or driven weakly."),
                Beside("absent", "least", "It does not swing.", edge=0.1),
                Beside("high", "high", "It swings too far: it rings, or its end is open."),
            ),
            gap=0.06,
        ),
        MeterFunction(
            id="ripple",
            label="Oscilloscope: ripple",
            unit="V",
            power="on",
            least=0.0,
            reads_zero=True,
            leads=True,
            instead=_words(ac_ripple="A meter sees nothing of a converter's ripple above some kilohertz."),
            minutes=3.0,
            healthy="It is smooth enough, peak to peak, a.c. coupled, 20 MHz bandwidth.",
            beside=(
                Beside("high", "high", "It ripples too much. A capacitor is worn out, or it oscillates."),
            ),
            gap=0.1,
        ),
        MeterFunction(
            id="period",
            label="Oscilloscope: period",
            unit="s",
            power="on",
            least=0.0,
            leads=True,
            minutes=3.0,
            healthy="It runs true.",
            beside=(Beside("low", "low", "It runs fast."), Beside("high", "high", "It runs slow or skips.")),
            gap=0.03,
        ),
        MeterFunction(
            id="duty",
            label="Oscilloscope: duty cycle",
            unit="%",
            power="on",
            least=0.0,
            most=100.0,
            reads_zero=True,
            leads=True,
            minutes=3.0,
            healthy="It is on for as long as it should be.",
            beside=(
                Beside("low", "low", "It is on for too short: held back, or unloaded."),
                Beside("high", "high", "It is on for too long: it cannot keep up."),
            ),
            least_gap=3.0,
        ),
        MeterFunction(
            id="delay",
            label="Oscilloscope: delay",
            unit="s",
            power="on",
            least=0.0,
            leads=True,
            minutes=5.0,
            healthy="It follows in time.",
            beside=(
                Beside("low", "low", "It comes too early."),
                Beside("high", "high", "It comes too late."),
            ),
            gap=0.05,
        ),
    )
)


@dataclass(frozen=True, slots=True)
class Frequency:
    """How often a fault shows a symptom. `share`: of the jobs with that fault (our reading of the word)."""

    id: str
    share: float


FREQUENCIES: Mapping[str, Frequency] = _table(
    (Frequency("always", 0.95), Frequency("often", 0.6), Frequency("sometimes", 0.25))
)

# Signal words, the gravest first, and what they say: ANSI Z535.4, ISO 3864-2.
SIGNALS: Mapping[str, str] = _words(
    danger="will cause death or serious injury if not avoided",
    warning="could cause death or serious injury if not avoided",
    caution="could cause minor or moderate injury if not avoided",
    notice="can damage the board or the work, without injury",
)

ACTIONS: Mapping[str, str] = _words(
    replace="Replace",
    reflow="Reflow",
    remove="Remove",
    clean="Clean",
    reseat="Reseat",
    jumper="Jumper",
    reprogram="Reprogram",
    set="Change a setting",
)

# Those that heat the board, unless the part is changed by hand.
HOT_ACTIONS = frozenset({"replace", "reflow", "remove", "jumper"})
# Those that change what is stored, and no part: the device has power.
STORED_ACTIONS = frozenset({"reprogram", "set"})


@dataclass(frozen=True, slots=True)
class Verb:
    """What is done in one step of a fix. `takes`: fields beside it. `action`: the fix that it makes.

    `handles`: it is done with every source out and the charge gone. `wet`: it leaves the board wet.
    """

    id: str
    takes: tuple[str, ...] = ()
    action: str = ""
    handles: bool = False
    wet: bool = False


VERBS: Mapping[str, Verb] = _table(
    (
        Verb("unplug"),
        Verb("plug", action="reseat"),
        Verb("discharge"),
        Verb("wait"),
        Verb("look"),
        Verb("press"),
        Verb("measure", ("reads",)),
        Verb("inject", ("limit", "up_to"), handles=True),
        Verb("remove", action="remove", handles=True),
        Verb("fit", action="replace", handles=True),
        Verb("replace", action="replace", handles=True),
        Verb("reflow", action="reflow", handles=True),
        Verb("clean", ("with",), action="clean", wet=True),
        Verb("wash", action="clean", wet=True),
        Verb("dry"),
        Verb("program", action="reprogram"),
        Verb("set", action="set"),
        Verb("try"),
    )
)
EVERYTHING = "everything"  # every source that the family has

# The meter function that a range in a unit means when nothing else is said.
OF_UNIT: Mapping[str, str] = MappingProxyType(
    {"V": "dc-volts", "ohm": "ohms", "A": "amps", "Hz": "hertz", "s": "seconds", "degC": "celsius"}
)

# What a part is cleaned with.
CLEANERS: Mapping[str, str] = _words(
    alcohol="a brush and alcohol", board_cleaner="board cleaner", brush="a dry brush"
)

SKILLS: Mapping[str, str] = _words(none="by hand", iron="soldering iron", hot_air="hot air", bga="BGA rework")

NET_KINDS: Mapping[str, str] = _words(
    rail="power rail", data="data line", control="control line", clock="clock"
)

BUSES: Mapping[str, str] = _words(
    i2c="I²C",
    smbus="SMBus",
    logic_3v3="3.3 V logic",
    logic_1v8="1.8 V logic",
    usb_c_cc="USB-C configuration channel",
)

# The kind of a net that has a bus and states none; what it states goes before.
KIND_BY_BUS: Mapping[str, str] = MappingProxyType(
    {
        "i2c": "data",
        "smbus": "data",
        "logic-3v3": "control",
        "logic-1v8": "control",
        "usb-c-cc": "control",
    }
)

DEVICES: Mapping[str, str] = _words(
    notebook="notebook",
    tablet="tablet",
    phone="phone",
    console="console",
    desktop="desktop",
    other="other device",
)

# What of a device fails, as a shop sorts its jobs.
AREAS: Mapping[str, str] = MappingProxyType(
    {
        "power-up": "power-up and start order",
        "supply": "supply and charging",
        "pack": "battery pack",
        "display": "display and backlight",
        "system": "program, storage and clock",
        "controls": "keys, touch and sensors",
        "lines": "ports and data lines",
        "radio": "radio and position",
        "scanning": "scan engine and its light",
        "drive": "motor, lamps and what moves",
        "sound": "sound",
        "body": "heat, liquid and damage",
    }
)

# Languages of the counter beside the book's own, by tag (ISO 639-1). Another one stands under its tag.
LANGUAGES: Mapping[str, str] = _words(
    ar="Arabic",
    cs="Czech",
    de="German",
    es="Spanish",
    fr="French",
    it="Italian",
    nl="Dutch",
    pl="Polish",
    pt="Portuguese",
    ro="Romanian",
    ru="Russian",
    tr="Turkish",
    uk="Ukrainian",
)

SIDES: Mapping[str, str] = _words(top="top side", bottom="bottom side")


@dataclass(frozen=True, slots=True)
class FaultMode:
    """How a part fails. `says`: the fields of a cause that belong to it, beside its net `at`."""

    id: str
    label: str
    says: tuple[str, ...] = ()


FAULT_MODES: Mapping[str, FaultMode] = _table(
    (
        FaultMode("open", "open"),
        FaultMode("shorted-to-ground", "shorted to ground", ("ohms",)),
        FaultMode("shorted-across", "shorted from end to end", ("to",)),
        FaultMode("leaks", "leaks to ground", ("ohms",)),
        FaultMode("stuck", "stuck at a level", ("volts",)),
        FaultMode("wrong-value", "wrong value", ("ohms",)),
        FaultMode("content-lost", "content lost"),
        FaultMode("worn", "worn"),
        FaultMode("loose", "loose contact", ("share_of_time",)),
        FaultMode("damaged", "damaged, seen by eye only"),
    )
)


@dataclass(frozen=True, slots=True)
class Condition:
    """What a fault may take to show itself, and a reading may be taken under.

    `label`: of the fault; `reading`: of the reading; `how`: what whoever measures does, where the record does
    not say it. `powered`: it takes a source. `minutes`: what it costs.
    """

    id: str
    label: str
    reading: str
    how: str
    minutes: float
    powered: bool = False


# Common practice, no source.
CONDITIONS: Mapping[str, Condition] = _table(
    (
        Condition(
            "load", "under load", "under load", "let it do its heaviest work meanwhile", 1.0, powered=True
        ),
        Condition("warm", "when warm", "warm", "blow air of 60 degC at the place for a minute", 4.0),
        Condition(
            "cold", "when cold", "cold", "with every source out, chill the place with freeze spray", 3.0
        ),
        Condition("pressed", "when pressed", "pressed", "press beside the place with a plastic stick", 1.0),
    )
)


@dataclass(frozen=True, slots=True)
class PartKind:
    """What a part is; `circuit/graph/mode_shares.py` says how it fails. `outside`: it is not on the board.
    `letter`: the letters of the designators of most of them."""

    id: str
    label: str
    outside: bool = False
    letter: str = ""


PART_KINDS: Mapping[str, PartKind] = _table(
    (
        PartKind("mlcc", "ceramic capacitor", letter="C"),
        PartKind("electrolytic", "electrolytic capacitor"),
        PartKind("resistor", "resistor", letter="R"),
        PartKind("fuse", "fuse", letter="F"),
        PartKind("inductor", "inductor", letter="L"),
        PartKind("ferrite", "ferrite"),
        PartKind("diode", "diode", letter="D"),
        PartKind("mosfet", "MOSFET", letter="Q"),
        PartKind("crystal", "crystal", letter="Y"),
        PartKind("ic", "chip", letter="U"),
        PartKind("bga", "BGA chip"),
        PartKind("sensor", "sensor"),
        PartKind("connector", "connector", letter="J"),
        PartKind("button", "button"),
        PartKind("pack", "battery pack", outside=True),
        PartKind("adapter", "adapter", outside=True),
        PartKind("cable", "cable", outside=True, letter="W"),
        PartKind("accessory", "accessory", outside=True),
    )
)


@dataclass(frozen=True, slots=True)
class Exercise:
    """A way to study. `kinds`: the kinds of cards that it asks; `cards`: how many of them a session has."""

    id: str
    title: str
    what: str
    kinds: tuple[str, ...]
    cards: int = 8


EXERCISES: Mapping[str, Exercise] = _table(
    (
        Exercise(
            "path",
            "Along the path",
            "What is due today, then the next unseen cards in the order of the path.",
            ("reads", "setup", "means"),
        ),
        Exercise(
            "reads",
            "What should it read?",
            "A point, a bench state, a meter function: give the healthy range.",
            ("reads",),
        ),
        Exercise(
            "means",
            "What does it mean?",
            "A reading at a point: name the outcome, and what it rules in and out.",
            ("means",),
        ),
        Exercise(
            "setup",
            "Set it up",
            "A measurement: choose bench state, function, leads and hazards.",
            ("setup",),
        ),
        Exercise(
            "job",
            "Fault on the bench",
            "A simulated job with a hidden fault: measure, name it, fix it, confirm it.",
            ("job",),
            cards=1,
        ),
    )
)


# The kind of a part that states none, by the letters of its designator: those of ANSI/IEEE 315, from memory.
KIND_BY_LETTER: Mapping[str, str] = MappingProxyType(
    {kind.letter: kind.id for kind in PART_KINDS.values() if kind.letter}
)
# Faults that a symptom of a family wants, so that there is something to tell apart.
FEW_FAULTS = 3
# What is not on the board; settings and software are no part.
OUTSIDE_KINDS = frozenset(kind.id for kind in PART_KINDS.values() if kind.outside)

_ASKS = "vocabulary: "
ENUMS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "functions": tuple(FUNCTIONS),
        "metered functions": tuple(f.id for f in FUNCTIONS.values() if f.unit is not None),
        "frequencies": tuple(FREQUENCIES),
        "signals": tuple(SIGNALS),
        "actions": tuple(ACTIONS),
        "skills": tuple(SKILLS),
        "skills and actions": (*SKILLS, *ACTIONS),
        "net kinds": tuple(NET_KINDS),
        "buses": tuple(BUSES),
        "devices": tuple(DEVICES),
        "areas": tuple(AREAS),
        "sides": tuple(SIDES),
        "fault modes": tuple(FAULT_MODES),
        "conditions": tuple(CONDITIONS),
        "cleaners": tuple(CLEANERS),
        "part kinds": tuple(PART_KINDS),
        "exercises": tuple(EXERCISES),
    }
)


def with_enums(schema: Any) -> Any:
    """A schema with the enums that its `"$comment": "vocabulary: NAME"` ask for.

    The schema files hold them, too, for editors (`tools/schemas.py` writes them); what counts stands here.
    """
    if isinstance(schema, list):
        return [with_enums(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    filled = {key: with_enums(value) for key, value in schema.items()}
    asked = str(schema.get("$comment", ""))
    return filled | {"enum": list(ENUMS[asked.removeprefix(_ASKS)])} if asked.startswith(_ASKS) else filled
