"""The graph that the facts of a family say: what sets its nets, with the parts that can be told from them.

The facts name no parts, so a part is taken for an element where its kind and its nets leave no doubt: a fuse
on both nets is the path, a resistor on both the pull-up. What they do not say (enables, commands, who drives
what) is not in the graph.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from benchlore.book.model import Book, Fact, Family, Measurement, Meter, Net, Part, frozen_map
from benchlore.circuit.graph.elements import (
    Converter,
    Delay,
    Draw,
    Feedback,
    Graph,
    GraphElement,
    GraphPart,
    Junction,
    Load,
    Need,
    Path,
    Pull,
    Signal,
    Source,
    Stated,
)
from benchlore.circuit.graph.network import GROUND
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask
from benchlore.circuit.graph.predict import Meter as Probes
from benchlore.circuit.interval import Interval, interval
from benchlore.circuit.laws import LAWS

SHINES = Interval(0.1, 0.7)  # V: inductor and diode of a converter that steps up and does not switch
_CONDUCTORS = ("fuse", "inductor", "ferrite", "resistor", "connector")


def graph_of(book: Book, family: Family, revision: str | None = None) -> Graph:
    """The graph of a family's facts, as far as they go."""
    parts = frozen_map({name: _part(part) for name, part in family.parts.items()})
    elements: list[GraphElement] = []
    for net in family.nets.values():
        elements += _elements(family, parts, net)
    return Graph(
        family.id,
        revision,
        tuple(family.nets),
        parts,
        tuple(elements),
        frozen_map({state.id: state.sources for state in book.states.values()}),
        frozenset(net.id for net in family.nets.values() if net.kind == "rail"),
    )


def ask_of(measurement: Measurement) -> Ask | None:
    """What a measurement reads; None where its test point is not known or it injects."""
    if not measurement.net or measurement.inject is not None:
        return None
    setup = Setup(measurement.state, frozenset(measurement.unplugged))
    return Ask(measurement.net, measurement.mode, setup)


def probes_of(meter: Meter) -> Probes:
    """What a meter of the book brings to a reading."""
    return Probes(interval(meter.input_resistance), interval(meter.test_current), meter.open_voltage.low)


def _part(part: Part) -> GraphPart:
    return GraphPart(part.id, part.kind, part.nets, part.unplugs)


def _on(
    parts: Mapping[str, GraphPart], kinds: Iterable[str], nets: tuple[str, ...], *, only: bool = False
) -> tuple[str, ...]:
    """The parts of some kinds that meet all of the nets, and, with `only`, no others."""
    wanted = tuple(kinds)
    found = (p for p in parts.values() if p.kind in wanted and set(nets) <= set(p.nets))
    return tuple(p.id for p in found if not only or set(p.nets) == set(nets))


def _elements(family: Family, parts: Mapping[str, GraphPart], net: Net) -> list[GraphElement]:
    found: list[GraphElement] = []
    for fact in net.set_by:
        if fact.fact in LAWS:
            found += _element(family, parts, net, fact, fact.in_ or net.up_in)
    fed = any(isinstance(e, Source | Path | Converter) or (isinstance(e, Pull) and e.to) for e in found)
    if not fed:
        level = interval(net.nominal) if net.nominal else None
        if net.fed_by and level:
            found.append(_converter(family, parts, net, level, net.up_in, None))
        elif not any(isinstance(e, Signal | Delay) for e in found):
            found.append(Stated(net.id, level, net.up_in))
    return found


def _element(  # noqa: C901 - one case for each law
    family: Family, parts: Mapping[str, GraphPart], net: Net, fact: Fact, states: tuple[str, ...]
) -> list[GraphElement]:
    def value(name: str) -> Interval:
        return interval(fact.quantities[name])

    start, to = fact.names.get("from", ""), fact.names.get("to", "")
    match fact.fact:
        case "supply" | "cells":
            volts = value("volts") if fact.fact == "supply" else value("count") * value("each")
            return [_source(parts, net, volts, states)]
        case "feedback-divider":
            volts = value("reference") * (1 + value("top") / value("bottom"))
            return [_converter(family, parts, net, volts, states, value("reference"))]
        case "programmed":
            share = fact.quantities["accuracy"].high / 100
            volts = value("step") * value("code") * Interval(1 - share, 1 + share)
            return [_converter(family, parts, net, volts, states, None)]
        case "switched":
            return [_path(parts, net, start, value("resistance"), value("load"), states)]
        case "diode":
            diodes = _on(parts, ("diode",), (start, net.id), only=True)
            return [
                Path(start, net.id, Interval(0.0, 0.0), diodes, states, drop=value("drop"), unpowered=False)
            ]
        case "pull-up":
            return [Pull(net.id, to, value("resistor"), _pull_parts(parts, net.id, to), fact.in_)]
        case "divider":
            lower = _on(parts, ("resistor",), (net.id,), only=True) or _on(
                parts, ("pack", "accessory"), (net.id,)
            )
            below = lower
            if not lower or parts[lower[0]].outside:
                below = (*lower, *_on(parts, ("connector",), (net.id,)))
            top = _on(parts, ("resistor",), (net.id, start))
            # Without a resistor on the board it is in what is plugged in, and there with it.
            way = top or _on(parts, ("connector",), (net.id, start))
            return [
                Pull(net.id, start, value("top"), way, fact.in_ if top else states),
                Pull(net.id, GROUND, value("bottom"), below),
            ]
        case "junction":
            chips = _on(parts, ("diode", "ic", "bga", "sensor", "accessory", "pack"), (net.id,))
            return [Junction(net.id, value("drop"), chips)]
        case "resistance":
            return [Load(net.id, value("ohms"), _on(parts, ("ic", "bga", "sensor", "accessory"), (net.id,)))]
        case "clock":
            chips, crystals = _on(parts, ("ic", "bga"), (net.id,)), _on(parts, ("crystal",), (net.id,))
            return (
                [Signal(net.id, chips[0], _supplies(family, parts, chips[0]), crystals, value("frequency"))]
                if chips
                else []
            )
        case "draw":
            return [Draw(net.id, value("current"), fact.in_)]
        case "rc-delay":
            both = (*_on(parts, ("resistor",), (net.id,)), *_on(parts, ("mlcc", "electrolytic"), (net.id,)))
            return [Delay(net.id, start, value("resistor"), value("capacitor"), value("threshold"), both)]
    return []


def _source(parts: Mapping[str, GraphPart], net: Net, volts: Interval, states: tuple[str, ...]) -> Source:
    """The source, with the pack itself and the connector and fuse that it enters by."""
    inside = _on(parts, ("pack",), (net.id,)) if net.source == "pack" else ()
    way = _on(parts, ("connector",), (net.id,))
    return Source(
        net.source or "", net.id, volts, (*inside, *way, *_on(parts, ("fuse",), (net.id,), only=True)), states
    )


def _converter(
    family: Family,
    parts: Mapping[str, GraphPart],
    net: Net,
    volts: Interval,
    states: tuple[str, ...],
    reference: Interval | None,
) -> Converter:
    start = net.fed_by or ""
    chips = _on(parts, ("ic", "bga"), (start, net.id))
    above = family.nets[start].nominal if start in family.nets else None
    up = above is not None and volts.low > interval(above).high
    through = _on(parts, ("inductor",), (net.id,), only=True) + _on(
        parts, ("inductor",), (start, net.id), only=True
    )
    if up:
        through += _on(parts, ("diode",), (net.id,), only=True)
    dividers = _on(parts, ("resistor",), (net.id,), only=True)
    lower = next((p for p in dividers if "lower" in family.parts[p].name), "")
    upper = next((p for p in dividers if "upper" in family.parts[p].name), "")
    return Converter(
        start,
        net.id,
        volts,
        chips[:1],
        states,
        through,
        way="up" if up else "down" if above is not None and volts.high < 0.7 * above.low else "both",
        feedback=Feedback(reference, upper, lower) if reference is not None else None,
        passes=SHINES if up else None,
    )


def _path(
    parts: Mapping[str, GraphPart],
    net: Net,
    start: str,
    ohms: Interval,
    load: Interval,
    states: tuple[str, ...],
) -> Path:
    both = (start, net.id)
    found = _on(parts, (*_CONDUCTORS, "mosfet", "ic"), both, only=True)
    conducts = bool(found) and parts[found[0]].kind in _CONDUCTORS
    return Path(start, net.id, ohms, found[:1], states, load=load, unpowered=conducts)


def _pull_parts(parts: Mapping[str, GraphPart], net: str, to: str) -> tuple[str, ...]:
    """The resistor on both nets, else the only one on the line: it lies between the pull and the pin."""
    return (_on(parts, ("resistor",), (net, to)) or _on(parts, ("resistor",), (net,), only=True))[:1]


def _supplies(family: Family, parts: Mapping[str, GraphPart], chip: str) -> tuple[Need, ...]:
    """What a chip needs: the rails on it that it does not make itself."""
    rails = [family.nets[n] for n in parts[chip].nets if n in family.nets and family.nets[n].kind == "rail"]
    return tuple(Need(net.id) for net in rails if net.fed_by not in parts[chip].nets)
