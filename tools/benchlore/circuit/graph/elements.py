"""What the circuit of a family says: sources, paths, converters, pulls, loads, junctions, signals, parts.

Nothing of it is owed. A net that no element feeds stands at what is stated of it, and what nothing is said of
is not predicted. Values are intervals in base units; `states` names the bench states in which an element is
there (empty: in all); `parts` are in series, so that any of them that is open cuts the element.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from benchlore.book import elements as written
from benchlore.circuit.interval import Interval
from benchlore.vocabulary import PART_KINDS


@dataclass(frozen=True, slots=True)
class GraphPart:
    """A part and the nets that its ends or pins meet. `kind`: of `PART_KINDS`; `unplugs`: by hand."""

    id: str
    kind: str
    nets: tuple[str, ...]
    unplugs: bool = False

    @property
    def outside(self) -> bool:
        """True for what is not on the board."""
        return PART_KINDS[self.kind].outside


@dataclass(frozen=True, slots=True)
class Need:
    """A net that has to be up, or, where `window` (V) is given, within it."""

    net: str
    window: Interval | None = None


@dataclass(frozen=True, slots=True)
class Source:
    """Energy enters a net: from the bench source `name`, or, `built_in`, from a cell that is soldered in.

    `limit`: the current (A) at which it gives up. `parts`: what it enters by (the pack, its connector).
    `needs`: what it waits for, as a USB-C supply for its pull-down.
    """

    name: str
    net: str
    volts: Interval | None
    parts: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    limit: Interval | None = None
    built_in: bool = False
    needs: tuple[Need, ...] = ()


@dataclass(frozen=True, slots=True)
class Stated:
    """A level that stands because the record says so; `volts` is None where not even that is known."""

    net: str
    volts: Interval | None
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Path:
    """A fuse, switch, inductor, resistor, connector or diode (`drop`) from one net to the next.

    `needs`: what it waits for before it conducts. `load`: the current (A) that it carries at work. `limit`:
    the current (A) at which it cuts off by itself; `rating`: that at which a fuse holds for good.
    `unpowered`: it conducts without power, as a fuse does and a switch does not.
    """

    start: str
    end: str
    ohms: Interval
    parts: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    needs: tuple[Need, ...] = ()
    drop: Interval | None = None
    load: Interval | None = None
    limit: Interval | None = None
    rating: Interval | None = None
    unpowered: bool = True


@dataclass(frozen=True, slots=True)
class Command:
    """Part `by` commands a converter while all that it `needs` is up: its supply, the idle lines.

    Without the command the converter stands at `default` (V).
    """

    by: str
    default: Interval
    needs: tuple[Need, ...] = ()


@dataclass(frozen=True, slots=True)
class Feedback:
    """The divider of a converter's loop: open at `bottom` it regulates to the bare `reference` (V), open at
    `top` it runs to its limit."""

    reference: Interval
    top: str = ""
    bottom: str = ""


@dataclass(frozen=True, slots=True)
class Converter:
    """Makes `end` from `start`, at `volts`, while `start` is up and all that it `needs`.

    `parts` switch it; `through` lies in series with its output (inductor, diode). `way`: whether its law
    steps the voltage up, down or both. `passes`: the drop (V) at which the input shines through while it does
    not switch. `limit`: the current (A) at which it folds back, latches or tries again.
    """

    start: str
    end: str
    volts: Interval | None
    parts: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    through: tuple[str, ...] = ()
    needs: tuple[Need, ...] = ()
    way: Literal["down", "up", "both"] = "down"
    feedback: Feedback | None = None
    command: Command | None = None
    passes: Interval | None = None
    limit: Interval | None = None


@dataclass(frozen=True, slots=True)
class Pull:
    """A resistance between a line and a net or ground (`to` is empty): pull-up, divider, thermistor."""

    net: str
    to: str
    ohms: Interval
    parts: tuple[str, ...] = ()
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Load:
    """What a net reads to ground without power (ohm), all in, and the parts that make it."""

    net: str
    ohms: Interval
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Junction:
    """The drop (V at 1 mA and 25 degC) of the protection junctions between ground and a net."""

    net: str
    drop: Interval
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Signal:
    """A line that part `by` drives while the nets `needs` are up: a clock (`hertz`) or a level (`volts`).

    `parts`: what else it takes, such as the crystal.
    """

    net: str
    by: str
    needs: tuple[Need, ...] = ()
    parts: tuple[str, ...] = ()
    hertz: Interval | None = None
    volts: Interval | None = None


@dataclass(frozen=True, slots=True)
class Draw:
    """The current (A) that a healthy board takes from a source's net in a bench state."""

    net: str
    amps: Interval
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Delay:
    """The time (s) until a net that a resistor charges from `start` passes a threshold; see `rc.delay`."""

    net: str
    start: str
    ohms: Interval
    farads: Interval
    threshold: Interval
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Order:
    """`net` starts after `after` is up, within a time (s): a power-good, or a sequencer's step."""

    net: str
    after: str
    within: Interval | None = None


@dataclass(frozen=True, slots=True)
class PowerGood:
    """What makes `net` holds the line `good` at ground until `net` stands: an open drain, as a rule."""

    net: str
    good: str


GraphElement = (
    Source | Stated | Path | Converter | Pull | Load | Junction | Signal | Draw | Delay | Order | PowerGood
)


@dataclass(frozen=True, slots=True)
class Graph:
    """The circuit of a family on one revision. An element is named elsewhere by its index in `elements`.

    `states`: the sources that each bench state has in, by id. `rails`: nets that supply others. `records`:
    what the family's file says of each element; None where it is stated of the net.
    """

    family: str
    revision: str | None
    nets: tuple[str, ...]
    parts: Mapping[str, GraphPart]
    elements: tuple[GraphElement, ...]
    states: Mapping[str, tuple[str, ...]]
    rails: frozenset[str] = frozenset()
    records: tuple[written.Element | None, ...] = ()


def is_there(element: GraphElement, state: str) -> bool:
    """True when an element is there in a bench state."""
    states: tuple[str, ...] = getattr(element, "states", ())
    return not states or state in states
