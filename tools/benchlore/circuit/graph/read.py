"""The elements of a graph as people write them, net by net; see the examples in `tests/circuit/boards/`.

Nothing here fails on data that fit the form; quantities raise `QuantityError`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from benchlore.book.model import frozen_map
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
    Pull,
    Signal,
    Source,
    Stated,
)
from benchlore.circuit.graph.network import GROUND
from benchlore.circuit.interval import Interval, interval
from benchlore.quantity import parse_quantity

Raw = Mapping[str, Any]
# What conducts without power; the others are switched, or conduct one way only.
CONDUCTORS = ("fuse", "inductor", "ferrite", "resistor", "connector", "cable", "button")
CHIPS = ("ic", "bga", "sensor", "diode", "accessory")


def read_graph(
    family: str, data: Raw, states: Mapping[str, tuple[str, ...]], revision: str | None = None
) -> Graph:
    """The graph of a mapping with `nets` and `parts`. `states`: the sources of each bench state."""
    nets, parts = data["nets"], data.get("parts", {})
    met: dict[str, list[str]] = {name: list(raw.get("nets", ())) for name, raw in parts.items()}
    for net, raw in nets.items():
        for key in ("source", "path", "converter", "pull", "load", "junction", "signal", "delay"):
            for one in _many(raw.get(key)):
                for part in _parts(one) if isinstance(one, Mapping) else ():
                    ends = (net, one.get("to") or one.get("from", "")) if key != "source" else (net,)
                    met.setdefault(part, []).extend(end for end in ends if end in nets)
    known = {
        name: GraphPart(name, raw["kind"], tuple(dict.fromkeys(met[name])), raw.get("unplugs", False))
        for name, raw in parts.items()
    }
    elements: list[GraphElement] = []
    for net, raw in nets.items():
        elements += _elements(net, raw, known)
    return Graph(
        family,
        revision,
        tuple(nets),
        frozen_map(known),
        tuple(elements),
        frozen_map(dict(states)),
        frozenset(net for net, raw in nets.items() if raw.get("kind", "rail") == "rail"),
    )


def _many(value: Any) -> list[Any]:
    return [] if value is None else value if isinstance(value, list) else [value]


def _parts(raw: Raw) -> tuple[str, ...]:
    """`part: R1` or `part: [B1, J6, F2]`, in series; the divider and what an output goes through, too."""
    dividers = [raw[key][0] for key in ("top", "bottom") if isinstance(raw.get(key), list)]
    return (*_many(raw.get("part")), *_many(raw.get("through")), *_many(raw.get("with")), *dividers)


def _span(text: str | float) -> Interval:
    return interval(parse_quantity(text)) if isinstance(text, str) else Interval(text, text)


def _maybe(raw: Raw, key: str) -> Interval | None:
    return _span(raw[key]) if key in raw else None


def _needs(value: Any) -> tuple[Need, ...]:
    """`needs: RUN`, `needs: [RUN, GOOD]`, `needs: {CC1: 0.25 to 2.04 V}`."""
    if isinstance(value, Mapping):
        return tuple(Need(net, _span(window)) for net, window in value.items())
    return tuple(Need(net) for net in _many(value))


def _elements(net: str, raw: Raw, parts: Mapping[str, GraphPart]) -> list[GraphElement]:
    found: list[GraphElement] = []
    found += [_source(net, one) for one in _many(raw.get("source"))]
    found += [_path(net, one, parts) for one in _many(raw.get("path"))]
    found += [_converter(net, one) for one in _many(raw.get("converter"))]
    found += [_pull(net, one) for one in _many(raw.get("pull"))]
    found += [_signal(net, one) for one in _many(raw.get("signal"))]
    found += [_delay(net, one) for one in _many(raw.get("delay"))]
    if not found:
        found.append(Stated(net, _maybe(raw, "nominal"), tuple(raw.get("in", ()))))
    on_net = tuple(p.id for p in parts.values() if net in p.nets and p.kind in CHIPS)
    for one in _many(raw.get("load")):
        text, by = (one["ohms"], tuple(_many(one["part"]))) if isinstance(one, Mapping) else (one, on_net)
        found.append(Load(net, _span(text), by))
    for one in _many(raw.get("junction")):
        text, by = (one["drop"], tuple(_many(one["part"]))) if isinstance(one, Mapping) else (one, on_net)
        found.append(Junction(net, _span(text), by))
    found += [Draw(net, _span(amps), (state,)) for state, amps in raw.get("draw", {}).items()]
    for after in _many(raw.get("after")):
        pairs = after.items() if isinstance(after, Mapping) else ((after, None),)
        found += [Order(net, other, _span(within) if within else None) for other, within in pairs]
    return found


def _source(net: str, raw: Raw) -> Source:
    volts = _span(raw["volts"]) if "volts" in raw else _span(raw["cells"]) * _span(raw["each"])
    return Source(
        raw["from"],
        net,
        volts,
        _parts(raw),
        tuple(raw.get("in", ())),
        _maybe(raw, "limit"),
        raw.get("built_in", False),
        _needs(raw.get("needs")),
    )


def _path(net: str, raw: Raw, parts: Mapping[str, GraphPart]) -> Path:
    by = _parts(raw)
    conducts = bool(by) and "drop" not in raw and all(parts[p].kind in CONDUCTORS for p in by if p in parts)
    return Path(
        raw["from"],
        net,
        _maybe(raw, "ohms") or Interval(0.0, 0.0),
        by,
        tuple(raw.get("in", ())),
        _needs(raw.get("needs")),
        _maybe(raw, "drop"),
        _maybe(raw, "load"),
        _maybe(raw, "limit"),
        _maybe(raw, "rating"),
        conducts,
    )


def _converter(net: str, raw: Raw) -> Converter:
    feedback = None
    if "reference" in raw:
        (top, above), (bottom, below) = (_divider_end(raw[key]) for key in ("top", "bottom"))
        reference = _span(raw["reference"])
        volts, feedback = reference * (1 + above / below), Feedback(reference, top, bottom)
    else:
        volts = _law(raw, raw)
    command = raw.get("command")
    return Converter(
        raw["from"],
        net,
        volts,
        tuple(_many(raw.get("part"))),
        tuple(raw.get("in", ())),
        tuple(_many(raw.get("through"))),
        _needs(raw.get("needs")),
        raw.get("way", "down"),
        feedback,
        Command(command["by"], _law(command["default"], raw), _needs(command.get("needs")))
        if command
        else None,
        _maybe(raw, "passes"),
        _maybe(raw, "limit"),
    )


def _law(raw: Raw, whole: Raw) -> Interval:
    """`volts: 1.8 V 2%`, or `code: 525` with the `step` and `accuracy` of the converter."""
    if "volts" in raw:
        return _span(raw["volts"])
    share = parse_quantity(whole["accuracy"]).high / 100
    code: float = raw["code"]
    return _span(whole["step"]) * code * Interval(1 - share, 1 + share)


def _divider_end(value: Any) -> tuple[str, Interval]:
    """`top: 174 kohm 1%` or, with the part, `top: [R65, 174 kohm 1%]`."""
    return (value[0], _span(value[1])) if isinstance(value, list) else ("", _span(value))


def _pull(net: str, raw: Raw) -> Pull:
    to = raw["to"]
    return Pull(
        net, GROUND if to == "ground" else to, _span(raw["ohms"]), _parts(raw), tuple(raw.get("in", ()))
    )


def _signal(net: str, raw: Raw) -> Signal:
    needs, parts = _needs(raw.get("needs")), tuple(_many(raw.get("with")))
    return Signal(net, raw["by"], needs, parts, _maybe(raw, "hertz"), _maybe(raw, "volts"))


def _delay(net: str, raw: Raw) -> Delay:
    return Delay(
        net, raw["from"], _span(raw["ohms"]), _span(raw["farads"]), _span(raw["threshold"]), _parts(raw)
    )
