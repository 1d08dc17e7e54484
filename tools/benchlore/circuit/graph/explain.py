"""Why a net reads what it reads with a fault: the steps in words, from the fault on."""

from __future__ import annotations

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.elements import (
    Converter,
    Graph,
    GraphElement,
    Path,
    Pull,
    Signal,
    Source,
    Stated,
    is_there,
)
from benchlore.circuit.graph.network import GROUND
from benchlore.circuit.graph.power import Power, asked_by
from benchlore.circuit.interval import Interval
from benchlore.quantity import format_value
from benchlore.vocabulary import FAULT_MODES


def explain(graph: Graph, healthy: Power, faulty: Power, fault: Fault, net: str) -> tuple[str, ...]:
    """The steps from the fault to what a net reads: the fault first, then net by net down to this one."""
    steps: list[str] = []
    _walk(graph, healthy, faulty, net, steps, set())
    return (said(fault), *reversed(steps))


def said(fault: Fault) -> str:
    """A fault in words: `C55: shorted to ground on MAIN`."""
    where = f" on {fault.at}" if fault.at else ""
    also = "".join(f"; {said(other)}" for other in fault.then)
    return f"{fault.part}: {FAULT_MODES[fault.mode].label}{where}{also}"


def _walk(graph: Graph, healthy: Power, faulty: Power, net: str, steps: list[str], seen: set[str]) -> None:
    if net in seen:
        return
    seen.add(net)
    level = faulty.level(net)
    because, above = _because(graph, healthy, faulty, net)
    steps.append(f"{net} is at {_level(level)}" + (f": {because}" if because else ""))
    for other in above:
        if faulty.level(other) != healthy.level(other):
            _walk(graph, healthy, faulty, other, steps, seen)


def _because(graph: Graph, healthy: Power, faulty: Power, net: str) -> tuple[str, tuple[str, ...]]:
    """What sets a net, and the nets above it."""
    change = faulty.change
    grounds = [g for g in change.grounds if g.net == net]
    holder = faulty.holder.get(net)
    if holder is not None and holder in faulty.tripped:
        feeder = _name(graph, holder)
        return f"{feeder} cannot carry the short and gives up", ()
    if any(n == net for n, _ in change.stuck):
        return "the line is held", ()
    if grounds:
        return f"{_ohms(grounds[0].ohms)} to ground", _above(graph, faulty, net)
    waits = [rail for rail in faulty.board.good.get(net, ()) if faulty.stands(rail) is not True]
    if waits:
        return f"held until {waits[0]} stands", (waits[0],)
    if any(net in pair for pair in change.joins):
        other = next(a if b == net else b for a, b in sorted(change.joins) if net in (a, b))
        return f"joined with {other}", (other,)
    return _fed(graph, healthy, faulty, net)


def _fed(graph: Graph, healthy: Power, faulty: Power, net: str) -> tuple[str, tuple[str, ...]]:
    for i, e in enumerate(graph.elements):
        if getattr(e, "end", getattr(e, "net", "")) == net and is_there(e, faulty.state):
            found = _converter(graph, faulty, i, e) if isinstance(e, Converter) else None
            found = found or _broken(graph, faulty, i, e) or _brought(graph, healthy, faulty, i, e)
            if found:
                return found
    return "", _above(graph, faulty, net)


def _broken(graph: Graph, faulty: Power, i: int, element: GraphElement) -> tuple[str, tuple[str, ...]] | None:
    """What is open, silent or waits in an element that would set its net."""
    cut = i in faulty.cut
    match element:
        case Source() if cut:
            return f"the way in from the {element.name} is open", ()
        case Path() if cut:
            return f"{_name(graph, i)} from {element.start} is open", ()
        case Pull() if cut:
            return f"nothing pulls it to {element.to or 'ground'} any more", ()
        case Signal() if cut or element.by in faulty.change.silent | faulty.change.mute:
            return f"{element.by} does not drive it", ()
        case Source() if _waits(faulty, i, element):
            return _waiting(f"the {element.name}", faulty, element)
        case Signal() if _waits(faulty, i, element):
            return _waiting(element.by, faulty, element)
        case Path() if _waits(faulty, i, element):
            return _waiting(_name(graph, i), faulty, element)
    return None


def _brought(
    graph: Graph, healthy: Power, faulty: Power, i: int, element: GraphElement
) -> tuple[str, tuple[str, ...]] | None:
    """What an element brings to its net from another, whose level has changed."""
    match element:
        case Path(start=other) if faulty.level(other) != healthy.level(other):
            return f"{_name(graph, i)} from {other} carries", (other,)
        case Pull(to=other) if other != GROUND and faulty.level(other) != healthy.level(other):
            return f"{_name(graph, i)} pulls it to {other}", (other,)
        case Signal():
            return f"{element.by} drives it", tuple(need.net for need in element.needs)
    return None


def _waits(faulty: Power, i: int, element: GraphElement) -> bool:
    """True for what is not known to be on, since it waits for something."""
    missing = any(faulty.meets(need) is not True for need in asked_by(faulty.board, element))
    return missing and faulty.on.get(i, False) is not True


def _waiting(name: str, faulty: Power, element: GraphElement) -> tuple[str, tuple[str, ...]]:
    """What it waits for first: its input before what that feeds."""
    missing = next(n.net for n in asked_by(faulty.board, element) if faulty.meets(n) is not True)
    return f"{name} waits for {missing}", (missing,)


def _converter(graph: Graph, faulty: Power, i: int, converter: Converter) -> tuple[str, tuple[str, ...]]:
    name = _name(graph, i)
    if i in faulty.cut:
        return f"the way out of {name} is open", ()
    if i in faulty.change.still:
        return f"{name} does not switch", (converter.start,)
    if dict(faulty.change.loose_ends).get(i):
        return f"the divider of {name} is open", ()
    if _waits(faulty, i, converter):
        return _waiting(name, faulty, converter)
    command = converter.command
    if command is not None:
        deaf = command.by in faulty.change.silent | faulty.change.mute
        if deaf or not all(faulty.meets(need) is True for need in command.needs):
            return f"{name} is not commanded by {command.by}", tuple(need.net for need in command.needs)
    return f"{name} makes it of {converter.start}", (converter.start,)


def _above(graph: Graph, faulty: Power, net: str) -> tuple[str, ...]:
    found: list[str] = []
    for e in graph.elements:
        match e:
            case Path() if e.end == net and is_there(e, faulty.state):
                found.append(e.start)
            case Pull() if e.net == net and e.to != GROUND:
                found.append(e.to)
    return tuple(found)


def _name(graph: Graph, i: int) -> str:
    e = graph.elements[i]
    parts: tuple[str, ...] = getattr(e, "parts", ())
    if parts:
        return parts[0]
    match e:
        case Source():
            return f"the {e.name}"
        case Stated():
            return f"what feeds {e.net}"
        case Converter() | Path():
            return f"the {'converter' if isinstance(e, Converter) else 'path'} of {e.end}"
    return "a resistor"


def _level(level: Interval | None) -> str:
    if level is None:
        return "a level that is not known"
    if level.high <= 1e-9:
        return "0 V"
    low, high = format_value(level.low, "V", 3), format_value(level.high, "V", 3)
    return low if low == high else f"{low} to {high}"


def _ohms(ohms: Interval) -> str:
    low, high = format_value(ohms.low, "ohm", 3), format_value(ohms.high, "ohm", 3)
    return low if low == high else f"{low} to {high}"
