"""What a family's file says of its circuit, net by net: the elements that stand at a net, and what they name.

The net that an element stands at is implied. `part` names the parts that are the element, in series; `in_`
the bench states in which it is there (empty: in all). Nothing of it is owed, and a name may lead nowhere; the
rules report those. `circuit/graph/family.py` makes the graph of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Annotated, Any, Literal

from benchlore.findings import Origin
from benchlore.quantity import Quantity

Raw = Mapping[str, Any]
Percent = Annotated[float, "percent"]
# The side that a pull goes to when it goes to no net.
GROUND = "ground"
# The units of the values of elements, by field.
UNITS = MappingProxyType(
    {
        **dict.fromkeys(("volts", "each", "reference", "step", "drop", "passes", "threshold"), "V"),
        **dict.fromkeys(("load", "rating", "limit"), "A"),
        "ohms": "ohm",
        "farads": "F",
        "capacitance": "F",
        "hertz": "Hz",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A net that has to be up, or, where `window` is given, within it."""

    net: str
    window: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor:
    """One resistor of a divider: its value, and the part that it is where it is known."""

    ohms: Quantity
    part: str = ""

    @staticmethod
    def in_full(raw: str | list[str]) -> Raw:
        """A record gives the value alone, or the part and the value."""
        return {"part": raw[0], "ohms": raw[1]} if isinstance(raw, list) else {"ohms": raw}


def _with_needs(raw: Raw) -> Raw:
    """A record names one net, several, or each with its window."""
    if "needs" not in raw:
        return raw
    needs = raw["needs"]
    if isinstance(needs, Mapping):
        return {**raw, "needs": [{"net": net, "window": window} for net, window in needs.items()]}
    return {**raw, "needs": [{"net": net} for net in (needs if isinstance(needs, list) else [needs])]}


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A source of the bench enters here, or a cell that is soldered in (`built_in`).

    `volts`, or `cells` in series of `each`. `part`: the thing itself first, then what it enters by. `limit`:
    the current at which it gives up.
    """

    origin: Origin
    from_: str
    volts: Quantity | None = None
    cells: int | None = None
    each: Quantity | None = None
    part: tuple[str, ...] = ()
    limit: Quantity | None = None
    built_in: bool = False
    needs: tuple[Need, ...] = ()
    in_: tuple[str, ...] = ()

    @staticmethod
    def in_full(raw: str | Raw) -> Raw:
        """A record may name the source alone."""
        return {"from": raw} if isinstance(raw, str) else _with_needs(raw)


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """The net comes from another by a fuse, switch, inductor, resistor, connector or diode (`drop`).

    `load`: the current that it carries at work. `rating`: that at which a fuse holds for good; `limit`: that
    at which a switch cuts off by itself.
    """

    origin: Origin
    from_: str
    part: tuple[str, ...] = ()
    ohms: Quantity | None = None
    drop: Quantity | None = None
    load: Quantity | None = None
    rating: Quantity | None = None
    limit: Quantity | None = None
    needs: tuple[Need, ...] = ()
    in_: tuple[str, ...] = ()

    in_full = staticmethod(_with_needs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """What a converter stands at: volts, or the code that is sent to it."""

    volts: Quantity | None = None
    code: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """Part `by` commands a converter while all that it `needs` is up; without it stands at `default`."""

    by: str
    default: Level
    needs: tuple[Need, ...] = ()

    in_full = staticmethod(_with_needs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Converter:
    """The net is made from another, by one law: `volts`; `step`, `code` and `accuracy`; or a divider.

    `part` switches it; `through` lies in series with its output. `passes`: the drop at which its input shines
    through while it does not switch. `limit`: the current at which it folds back or latches.
    """

    origin: Origin
    from_: str
    part: tuple[str, ...] = ()
    through: tuple[str, ...] = ()
    volts: Quantity | None = None
    step: Quantity | None = None
    code: int | None = None
    accuracy: Percent | None = None
    reference: Quantity | None = None
    top: Resistor | None = None
    bottom: Resistor | None = None
    way: Literal["down", "up", "both"] = "down"
    needs: tuple[Need, ...] = ()
    command: Command | None = None
    passes: Quantity | None = None
    limit: Quantity | None = None
    in_: tuple[str, ...] = ()

    in_full = staticmethod(_with_needs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """A resistance to a net or to ground: pull-up, pull-down, half of a divider, thermistor.

    `capacitance`: that of the line, where it is known.
    """

    origin: Origin
    to: str
    ohms: Quantity
    part: tuple[str, ...] = ()
    capacitance: Quantity | None = None
    in_: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What the net reads to ground without power, all in. `part`: what makes it (else the chips on it)."""

    origin: Origin
    ohms: Quantity
    part: tuple[str, ...] = ()

    @staticmethod
    def in_full(raw: str | Raw) -> Raw:
        """A record may give the value alone."""
        return {"ohms": raw} if isinstance(raw, str) else raw


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """The drop of the protection junctions between ground and the net, at 1 mA and 25 degC."""

    origin: Origin
    drop: Quantity
    part: tuple[str, ...] = ()

    @staticmethod
    def in_full(raw: str | Raw) -> Raw:
        """A record may give the value alone."""
        return {"drop": raw} if isinstance(raw, str) else raw


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """Part `by` drives the line while all that it `needs` is up; `with_`: what else it takes: a crystal."""

    origin: Origin
    by: str
    with_: tuple[str, ...] = ()
    hertz: Quantity | None = None
    volts: Quantity | None = None
    needs: tuple[Need, ...] = ()

    in_full = staticmethod(_with_needs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delay:
    """The time until the net, charged from another through a resistor, passes a threshold."""

    origin: Origin
    from_: str
    ohms: Quantity
    farads: Quantity
    threshold: Quantity
    part: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """The net starts after another is up, within a time: a power-good, or a step of a sequencer."""

    net: str
    within: Quantity | None = None


Element = Source | Path | Converter | Pull | Load | Junction | Signal | Delay
# The keys of a net that hold elements.
ELEMENTS = ("source", "path", "converter", "pull", "load", "junction", "signal", "delay")


def net_in_full(raw: Raw) -> Raw:
    """A net's start order in full: a record names one net, several, or each with its time."""
    if "after" not in raw:
        return raw
    after = raw["after"]
    if isinstance(after, Mapping):
        return {**raw, "after": [{"net": net, "within": within} for net, within in after.items()]}
    return {**raw, "after": [{"net": net} for net in (after if isinstance(after, list) else [after])]}


def parts_of(element: Element) -> tuple[str, ...]:
    """The parts that an element names as itself."""
    match element:
        case Converter():
            ends = tuple(end.part for end in (element.top, element.bottom) if end and end.part)
            return (*element.part, *element.through, *ends)
        case Signal():
            return element.with_
    return element.part


def met_by(element: Element, net: str) -> Mapping[str, tuple[str, ...]]:
    """The parts that an element at a net names, each with the nets that it meets by it."""
    both: tuple[str, ...] = (net, *above(element))
    match element:
        case Converter():
            # The inductor and the divider lie behind the switches: they meet the output alone.
            return dict.fromkeys(parts_of(element), (net,)) | dict.fromkeys(element.part, both)
        case Delay():
            return dict.fromkeys(element.part[:1], both) | dict.fromkeys(element.part[1:], (net,))
        case Signal():
            return dict.fromkeys((element.by, *element.with_), (net,))
    return dict.fromkeys(parts_of(element), both)


def above(element: Element) -> tuple[str, ...]:
    """The nets that an element takes its level from."""
    match element:
        case Path() | Converter() | Delay():
            return (element.from_,)
        case Pull() if element.to != GROUND:
            return (element.to,)
    return ()


def names_of(element: Element) -> Iterator[tuple[Literal["net", "part"], Origin, str]]:
    """The nets and parts that an element names, each with its place."""
    for net in above(element):
        yield "net", element.origin.at("to" if isinstance(element, Pull) else "from"), net
    for need in getattr(element, "needs", ()):
        yield "net", element.origin.at("needs"), need.net
    for key in ("part", "through", "with_"):
        for name in getattr(element, key, ()):
            yield "part", element.origin.at(key.rstrip("_")), name
    match element:
        case Signal():
            yield "part", element.origin.at("by"), element.by
        case Converter():
            for key, end in (("top", element.top), ("bottom", element.bottom)):
                if end and end.part:
                    yield "part", element.origin.at(key), end.part
            if element.command:
                yield "part", element.origin.at("command", "by"), element.command.by
                for need in element.command.needs:
                    yield "net", element.origin.at("command", "needs"), need.net


def quantities_of(element: Element) -> Iterator[tuple[Origin, str, Quantity]]:
    """The values of an element, each with its place and its unit."""
    for one in fields(element):
        value = getattr(element, one.name)
        origin = element.origin.at(one.name)
        if isinstance(value, Quantity):
            yield origin, UNITS[one.name], value
        elif isinstance(value, Resistor):
            yield origin, "ohm", value.ohms
        elif isinstance(value, Command) and value.default.volts:
            yield origin.at("default", "volts"), "V", value.default.volts
    for need in getattr(element, "needs", ()):
        if need.window:
            yield element.origin.at("needs", need.net), "V", need.window
