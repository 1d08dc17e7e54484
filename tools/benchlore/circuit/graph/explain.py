"""Why a net reads what it reads with a fault: the steps in words, from the fault on."""

from __future__ import annotations

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.elements import Converter, Graph, Path, Pull, Signal, Source, Stated, is_there
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
    if any(net in pair for pair in change.joins):
        other = next(a if b == net else b for a, b in sorted(change.joins) if net in (a, b))
        return f"joined with {other}", (other,)
    return _fed(graph, healthy, faulty, net)


def _fed(graph: Graph, healthy: Power, faulty: Power, net: str) -> tuple[str, tuple[str, ...]]:
    for i, e in enumerate(graph.elements):
        if not is_there(e, faulty.state):
            continue
        match e:
            case Source() if e.net == net and i in faulty.cut:
                return f"the way in from the {e.name} is open", ()
            case Converter() if e.end == net:
                return _converter(graph, faulty, i, e)
            case Path() if e.end == net and (
                i in faulty.cut or faulty.level(e.start) != healthy.level(e.start)
            ):
                way = "is open" if i in faulty.cut else "carries"
                return f"{_name(graph, i)} from {e.start} {way}", () if i in faulty.cut else (e.start,)
            case Pull() if e.net == net and i in faulty.cut:
                return f"nothing pulls it to {e.to or 'ground'} any more", ()
            case Pull() if e.net == net and e.to != GROUND and faulty.level(e.to) != healthy.level(e.to):
                return f"{_name(graph, i)} pulls it to {e.to}", (e.to,)
            case Source(needs=(_, *_)) if e.net == net and faulty.on.get(i, False) is not True:
                missing = tuple(n.net for n in e.needs if faulty.meets(n) is not True)
                return f"the {e.name} waits for {' and '.join(missing)}", missing
            case Signal() if e.net == net:
                return f"{e.by} drives it", tuple(need.net for need in e.needs)
    return "", _above(graph, faulty, net)


def _converter(graph: Graph, faulty: Power, i: int, converter: Converter) -> tuple[str, tuple[str, ...]]:
    name = _name(graph, i)
    if i in faulty.cut:
        return f"the way out of {name} is open", ()
    if i in faulty.change.still:
        return f"{name} does not switch", (converter.start,)
    if dict(faulty.change.loose_ends).get(i):
        return f"the divider of {name} is open", ()
    if faulty.on.get(i, False) is False:
        asked = asked_by(faulty.board, converter)
        missing = next((need.net for need in asked if faulty.meets(need) is False), "")
        return f"{name} waits for {missing}", (missing,) if missing else ()
    command = converter.command
    if command is not None:
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
