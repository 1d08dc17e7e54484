"""The rails that are made from another one: what a shorted switch would feed with what is injected there."""

from __future__ import annotations

from collections.abc import Mapping

from benchlore.circuit.graph.elements import Converter, Graph


def made_below(graph: Graph, rail: str, volts: float) -> Mapping[str, float]:
    """The rails that converters make from a rail, of less than so many volts, each with its highest level
    (V); the lowest first.
    """
    made = {
        e.end: e.volts.high
        for e in graph.elements
        if isinstance(e, Converter) and e.start == rail and e.volts and e.volts.high < volts
    }
    return {net: made[net] for net in sorted(made, key=lambda net: (made[net], net))}
