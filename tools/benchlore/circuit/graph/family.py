"""The graph of a family: its records made ready for arithmetic.

Names that lead nowhere are left out, so that what the rules find wrong with a record stops nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from benchlore.book import elements as written
from benchlore.book.model import Book, Family, Measurement, Meter, Net, frozen_map
from benchlore.circuit.graph.elements import (
    Command,
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
    Order,
    Path,
    PowerGood,
    Pull,
    Signal,
    Source,
    Stated,
)
from benchlore.circuit.graph.network import GROUND
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import RIPPLES, Ask
from benchlore.circuit.graph.predict import Meter as Probes
from benchlore.circuit.interval import CircuitError, Interval, interval
from benchlore.quantity import Quantity

# What conducts without power; the others are switched, or conduct one way only.
CONDUCTORS = ("fuse", "inductor", "ferrite", "resistor", "connector", "cable", "button")
CHIPS = ("ic", "bga", "sensor", "diode", "accessory")


def graph_of(_: Book, family: Family, revision: str | None = None) -> Graph:
    """The graph of a family's circuit, as far as its records say."""
    made = _Maker(family)
    found = [pair for net in family.nets.values() for pair in made.elements(net)]
    return Graph(
        family.id,
        revision,
        tuple(family.nets),
        made.parts,
        tuple(element for element, _ in found),
        frozen_map({state.id: state.sources for state in family.bench_states}),
        frozenset(net.id for net in family.nets.values() if net.kind == "rail"),
        tuple(record for _, record in found),
    )


def ask_of(measurement: Measurement) -> Ask | None:
    """What a measurement reads; None where a test point is not known, it injects, or is not to ground, and
    where no number is read: of what the eye, the ear or the scope finds the circuit says nothing."""
    if (
        not measurement.net
        or measurement.unit is None
        or measurement.inject is not None
        or not (measurement.to_ground or measurement.compare)
        or len(measurement.nets) != (2 if measurement.compare else 1)
    ):
        return None
    setup = Setup(measurement.state, frozenset(measurement.unplugged), frozenset(measurement.under))
    beside = measurement.nets[1] if measurement.compare else ""
    ends = [o.range.high for o in measurement.outcomes.values() if o.normal and o.range]
    most = max(ends) if ends and measurement.mode in RIPPLES else math.inf
    return Ask(measurement.net, measurement.mode, setup, beside=beside, most=most)


def probes_of(meter: Meter) -> Probes:
    """What a meter of the book brings to a reading."""
    return Probes(interval(meter.input_resistance), interval(meter.test_current), meter.open_voltage.low)


# An element of the graph with what the record says of it.
_Pair = tuple[GraphElement, written.Element | None]


class _Maker:
    """Makes the elements of each net of a family."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self.parts: Mapping[str, GraphPart] = frozen_map(
            {
                part.id: GraphPart(
                    part.id, part.kind, tuple(n for n in part.nets if n in family.nets), part.unplugs
                )
                for part in family.parts.values()
            }
        )

    def elements(self, net: Net) -> Iterator[_Pair]:
        """All elements at a net, those that feed it first."""
        feeding: list[_Pair] = [
            (self._made(net, element), element)
            for element in net.elements
            if not isinstance(element, written.Load | written.Junction)
            and all(name in self.family.nets for name in written.above(element))
        ]
        yield from feeding or [(Stated(net.id, _maybe(net.nominal), net.in_), None)]
        chips = tuple(p.id for p in self.parts.values() if net.id in p.nets and p.kind in CHIPS)
        for load in net.load:
            yield Load(net.id, interval(load.ohms), self._known(load.part) or chips), load
        for junction in net.junction:
            yield Junction(net.id, interval(junction.drop), self._known(junction.part) or chips), junction
        for state, amps in net.draw.items():
            yield Draw(net.id, interval(amps), (state,)), None
        for after in net.after:
            if after.net in self.family.nets:
                yield Order(net.id, after.net, _maybe(after.within)), None
        if net.good is not None and net.good in self.family.nets:
            yield PowerGood(net.id, net.good), None

    def _made(self, net: Net, element: written.Element) -> GraphElement:
        match element:
            case written.Source():
                return Source(
                    element.from_,
                    net.id,
                    source_volts(element, net),
                    self._known(element.part),
                    element.in_,
                    _maybe(element.limit),
                    element.built_in,
                    self._needs(element.needs),
                )
            case written.Path():
                return self._path(net, element)
            case written.Converter():
                return self._converter(net, element)
            case written.Pull():
                to = GROUND if element.to == written.GROUND else element.to
                return Pull(net.id, to, interval(element.ohms), self._known(element.part), element.in_)
            case written.Signal():
                needs, parts = self._needs(element.needs), self._known(element.with_)
                hertz, volts = _maybe(element.hertz), _maybe(element.volts)
                return Signal(net.id, element.by, needs, parts, hertz, volts)
            case written.Delay():
                return Delay(
                    net.id,
                    element.from_,
                    interval(element.ohms),
                    interval(element.farads),
                    interval(element.threshold),
                    self._known(element.part),
                )
        raise TypeError(f"{element} feeds no net")

    def _path(self, net: Net, path: written.Path) -> Path:
        by = self._known(path.part)
        conducts = bool(by) and path.drop is None and all(self.parts[p].kind in CONDUCTORS for p in by)
        return Path(
            path.from_,
            net.id,
            _maybe(path.ohms) or Interval(0.0, 0.0),
            by,
            path.in_,
            self._needs(path.needs),
            _maybe(path.drop),
            _maybe(path.load),
            _maybe(path.limit),
            _maybe(path.rating),
            conducts,
        )

    def _converter(self, net: Net, converter: written.Converter) -> Converter:
        command, feedback = converter.command, None
        if converter.reference and converter.top and converter.bottom:
            feedback = Feedback(interval(converter.reference), converter.top.part, converter.bottom.part)
        default = level_volts(command.default, converter) if command else None
        return Converter(
            converter.from_,
            net.id,
            converter_volts(converter) or _maybe(net.nominal),
            self._known(converter.part),
            converter.in_,
            self._known(converter.through),
            self._needs(converter.needs),
            converter.way,
            feedback,
            Command(command.by, default, self._needs(command.needs)) if command and default else None,
            _maybe(converter.passes),
            _maybe(converter.limit),
        )

    def _known(self, parts: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(part for part in parts if part in self.parts)

    def _needs(self, needs: tuple[written.Need, ...]) -> tuple[Need, ...]:
        return tuple(Need(n.net, _maybe(n.window)) for n in needs if n.net in self.family.nets)


def _maybe(quantity: Quantity | None) -> Interval | None:
    return None if quantity is None else interval(quantity)


def source_volts(source: written.Source, net: Net) -> Interval | None:
    """The level of a source (V): its own, that of its cells, else what is stated of the net."""
    if source.volts is not None:
        return interval(source.volts)
    if source.each is not None:
        return interval(source.each) * (source.cells or 1)
    return _maybe(net.nominal)


def converter_volts(converter: written.Converter) -> Interval | None:
    """What a converter regulates to (V) by its law; None where no board can have that."""
    if converter.volts is not None:
        return interval(converter.volts)
    if converter.reference and converter.top and converter.bottom:
        try:
            ratio = interval(converter.top.ohms) / interval(converter.bottom.ohms)
        except CircuitError:
            return None
        return interval(converter.reference) * (1 + ratio)
    return _coded(converter, converter.code)


def level_volts(level: written.Level, converter: written.Converter) -> Interval | None:
    """A level of a converter (V), in volts or by its code."""
    return interval(level.volts) if level.volts is not None else _coded(converter, level.code)


def _coded(converter: written.Converter, code: int | None) -> Interval | None:
    if converter.step is None or code is None:
        return None
    share = (converter.accuracy or 0.0) / 100
    return interval(converter.step) * code * Interval(1 - share, 1 + share)
