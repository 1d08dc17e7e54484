"""Ohms and diode mode without power: the parallel of all that conducts from a net."""

from __future__ import annotations

import math
from dataclasses import dataclass

from benchlore.circuit import junction
from benchlore.circuit.graph.change import END_TO_END, NONE, Change, nets_of
from benchlore.circuit.graph.elements import Graph, Junction, Load, Path, Pull
from benchlore.circuit.graph.network import GROUND, Network, Resistor, resistance
from benchlore.circuit.interval import Interval, monotone

ALIKE = 0.01  # a resistance that changes by less reads the same


@dataclass(frozen=True, slots=True)
class Probe:
    """What a meter brings to an unpowered net: test current (A), voltage with the leads open (V), and the
    temperature of the board (degC)."""

    current: Interval
    open_volts: float
    celsius: Interval


def rests(graph: Graph) -> dict[str, Interval]:
    """What loads a net beyond its own pulls and paths: its stated resistance less theirs (ohm)."""
    found: dict[str, Interval] = {}
    for e in graph.elements:
        if not isinstance(e, Load):
            continue
        others = _resistance(_conductors(graph, NONE, found), e.net).middle
        left = 1 / e.ohms.middle - (1 / others if math.isfinite(others) else 0.0)
        if left > 0.02 / e.ohms.middle:
            found[e.net] = e.ohms * (1 / (left * e.ohms.middle))
    return found


def _conductors(graph: Graph, change: Change, rest: dict[str, Interval] | None) -> tuple[Resistor, ...]:
    ohms = dict(change.ohms)
    outside = {p.id for p in graph.parts.values() if p.outside}
    elements: list[Resistor] = []
    for i, e in enumerate(graph.elements):
        if i in change.cut:
            continue
        match e:
            case Path(drop=None, unpowered=True):
                elements.append(Resistor(e.start, e.end, ohms.get(i, e.ohms)))
            case Pull(states=()) if not outside & set(e.parts):
                elements.append(Resistor(e.net, e.to, ohms.get(i, e.ohms)))
            case Load() if rest and e.net in rest:
                elements.append(Resistor(e.net, GROUND, rest[e.net]))
    elements += [Resistor(g.net, GROUND, g.ohms) for g in sorted(change.grounds, key=lambda g: g.net)]
    elements += [Resistor(a, b, END_TO_END) for a, b in sorted(change.joins)]
    return tuple(elements)


def _resistance(conductors: tuple[Resistor, ...], net: str) -> Interval:
    return resistance(Network(conductors), net)


def _island(conductors: tuple[Resistor, ...], net: str) -> tuple[frozenset[str], tuple[Resistor, ...]]:
    """The nets that hang together with one, and what conducts among them."""
    seen, grew = {net}, True
    while grew:
        grew = False
        for e in conductors:
            ends = {n for n in (e.a, e.b) if n != GROUND}
            if ends & seen and not ends <= seen:
                seen |= ends
                grew = True
    return frozenset(seen), tuple(e for e in conductors if {e.a, e.b} & seen)


class Conducting:
    """What conducts on the healthy board, and which nets hang together by it."""

    def __init__(self, graph: Graph, rest: dict[str, Interval]) -> None:
        """`rest`: what `rests` gave for the graph."""
        self.graph, self.rest = graph, rest
        self.conductors = _conductors(graph, NONE, rest)
        self._islands: dict[str, tuple[frozenset[str], tuple[Resistor, ...]]] = {}

    def island(self, net: str) -> tuple[frozenset[str], tuple[Resistor, ...]]:
        """The nets that hang together with one, and what conducts among them."""
        if net not in self._islands:
            self._islands[net] = _island(self.conductors, net)
        return self._islands[net]


class Unpowered:
    """The unpowered readings of a graph with one change."""

    def __init__(self, healthy: Conducting, change: Change) -> None:
        """Nothing is worked out before it is asked for."""
        self.graph, self.change, self.before = healthy.graph, change, healthy
        self._after: tuple[Resistor, ...] | None = None
        self._touched: dict[str, bool] = {}
        self._changed = {g.net for g in change.grounds} | {net for pair in change.joins for net in pair}
        for i in (*change.cut, *(i for i, _ in change.ohms)):
            self._changed |= set(nets_of(self.graph.elements[i]))

    @property
    def after(self) -> tuple[Resistor, ...]:
        """What conducts with the change."""
        if self._after is None:
            self._after = _conductors(self.graph, self.change, self.before.rest)
        return self._after

    def touched(self, net: str) -> bool:
        """True when something that conducts from a net has changed."""
        if net not in self._touched:
            self._touched[net] = self._is_touched(net)
        return self._touched[net]

    def _is_touched(self, net: str) -> bool:
        if net in self.change.hidden or any(net in self._sets(i) for i in self.change.cut):
            return True
        nets, old = self.before.island(net)
        if not nets & self._changed:
            return False
        new = _island(self.after, net)[1]
        was, now = _resistance(old, net), _resistance(new, net)
        return not all(
            a == b or abs(a - b) <= ALIKE * min(abs(a), abs(b))
            for a, b in ((was.low, now.low), (was.high, now.high))
        )

    def _sets(self, i: int) -> tuple[str, ...]:
        e = self.graph.elements[i]
        return (e.net,) if isinstance(e, Load | Junction) else ()

    def healthy_ohms(self, net: str) -> Interval | None:
        """The stated resistance of a net, or None."""
        return next((e.ohms for e in self.graph.elements if isinstance(e, Load) and e.net == net), None)

    def ohms(self, net: str) -> Interval | None:
        """The resistance to ground (ohm); None where it is not known. Infinite: over the meter's range."""
        if not self.touched(net):
            return self.healthy_ohms(net)
        if net in self.change.hidden:
            return None
        nets, island = _island(self.after, net)
        found = _resistance(island, net)
        if self.healthy_ohms(net) is not None:
            return found
        # What is not known lies beside what is: the reading is at most this.
        shorted = any(g.net in nets for g in self.change.grounds)
        return Interval(0.0, found.high) if shorted and math.isfinite(found.high) else None

    def diode_mode(self, net: str, probe: Probe) -> Interval | None:
        """The drop (V) from ground to a net; infinite over the meter's open voltage; None if not known."""
        found = next(
            ((i, e) for i, e in enumerate(self.graph.elements) if isinstance(e, Junction) and e.net == net),
            None,
        )
        touched = self.touched(net)
        if net in self.change.hidden or (found is None and not touched):
            return None
        island = _island(self.after, net)[1]
        straight = tuple(e for e in island if {e.a, e.b} == {net, GROUND})
        beside = _resistance(island if touched else self._pulls_only(straight), net)
        if found is not None and found[0] not in self.change.cut:
            values = (found[1].drop, probe.current, probe.celsius, beside)
            return monotone(junction.reading, values)
        volts = Interval(probe.current.low * beside.low, probe.current.high * beside.high)
        low = volts.low if found is not None else 0.0
        return Interval(*(v if v < probe.open_volts else math.inf for v in (low, volts.high)))

    def _pulls_only(self, straight: tuple[Resistor, ...]) -> tuple[Resistor, ...]:
        pulls = {(e.net, e.ohms) for e in self.graph.elements if isinstance(e, Pull) and e.to == GROUND}
        return tuple(e for e in straight if (e.a, e.ohms) in pulls)
