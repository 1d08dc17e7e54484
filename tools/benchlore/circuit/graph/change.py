"""Fault modes, and what each changes in the graph."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from benchlore.circuit.graph.elements import (
    Converter,
    Delay,
    Feedback,
    Graph,
    GraphElement,
    GraphPart,
    Junction,
    Load,
    Path,
    Pull,
    Signal,
    Source,
    is_there,
)
from benchlore.circuit.graph.network import GROUND
from benchlore.circuit.interval import Interval

# Common practice, no source: what a meter takes for a short, and what a leak has beside the resistance that
# holds the net when it is healthy.
SHORT = Interval(0.0, 5.0)  # ohm
SHORT_SHARE = 0.1  # of the net's healthy resistance, at most
LEAK_SHARE = Interval(0.01, 0.5)
LEAK = Interval(10.0, 1e3)  # ohm, where no healthy resistance is known
CHIPS = ("ic", "bga", "sensor")
ELECTROLYTIC = "electrolytic"
END_TO_END = Interval(0.0, 0.1)  # ohm
SAG = 0.5  # of its lowest level: what a worn cell gives at least; at rest it may read as a good one does


@dataclass(frozen=True, slots=True)
class Fault:
    """A part and its mode, of `FAULT_MODES`. `at`: the net of a short, a leak or a stuck line (else the
    part's first one), or of the one contact that is open; `to`: the net that a short across goes to (else the
    other end of the part).

    `value`: the ohms of a short or leak, or of a wrong value, or the volts of a stuck line. `when`: the
    conditions (load, warm ...) without which it does not show. `then`: what it takes along.
    """

    part: str
    mode: str
    at: str = ""
    to: str = ""
    value: Interval | None = None
    when: frozenset[str] = frozenset()
    then: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Ground:
    """A resistance (ohm) to ground on a net; `short`: less than what feeds the net can carry. `guessed`:
    nobody measured it."""

    net: str
    ohms: Interval
    short: bool
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Change:
    """What a fault changes, by the indices of elements.

    `cut` conduct no more, `still` converters do not switch, `loose_ends` are converters with their divider
    open (index, which end). `grounds` and `joins` are new resistances, `stuck` lines have a level of their
    own while there is power. `silent` parts drive and command nothing, `mute` ones
    nothing but a clock. `ohms` and `volts` are new values of
    elements. `hidden` are nets whose unpowered readings are not known, `slow` those whose times and ripple
    are not known. `dry` are electrolytics that smooth nothing any more.
    """

    cut: frozenset[int] = frozenset()
    still: frozenset[int] = frozenset()
    loose_ends: frozenset[tuple[int, str]] = frozenset()
    grounds: frozenset[Ground] = frozenset()
    joins: frozenset[tuple[str, str]] = frozenset()
    stuck: frozenset[tuple[str, Interval]] = frozenset()
    silent: frozenset[str] = frozenset()
    mute: frozenset[str] = frozenset()
    ohms: frozenset[tuple[int, Interval]] = frozenset()
    volts: frozenset[tuple[int, Interval]] = frozenset()
    hidden: frozenset[str] = frozenset()
    slow: frozenset[str] = frozenset()
    dry: frozenset[str] = frozenset()

    def __or__(self, other: Change) -> Change:
        if self is NONE or other is NONE:
            return self if other is NONE else other
        return Change(*(getattr(self, name) | getattr(other, name) for name in Change.__slots__))


NONE = Change()


def absent(graph: Graph, state: str) -> frozenset[str]:
    """The parts that a bench state leaves unplugged: the pack or adapter of a source that is not in."""
    sources = graph.states.get(state, ())
    found = (
        e.parts[0] for e in graph.elements if isinstance(e, Source) and e.parts and e.name not in sources
    )
    return frozenset(part for part in found if graph.parts[part].outside)


def change_of(graph: Graph, fault: Fault, unplugged: frozenset[str], conditions: frozenset[str]) -> Change:
    """What a fault changes while some parts are unplugged; one that is out, or unknown, changes nothing."""
    found = NONE
    if fault.part in graph.parts and fault.part not in unplugged and fault.when <= conditions:
        found = _change(graph, fault)
    for other in fault.then:
        found |= change_of(graph, other, unplugged, conditions)
    return found


def tells(graph: Graph, fault: Fault) -> bool:
    """True where an element of the circuit says what a fault changes, and where only the eye finds it; of any
    other nothing is known, and that it reads healthy is not known either.
    """
    if fault.part not in graph.parts or not {fault.at, fault.to} <= {"", *graph.nets}:
        return False
    if fault.mode == "damaged":
        return True
    found = _change(graph, fault)
    speaking = _speaking(graph)
    return replace(found, silent=found.silent & speaking, mute=found.mute & speaking) != NONE


def spares(graph: Graph, fault: Fault) -> bool:
    """True for a protection diode that is open: without power a meter misses it, and the board works."""
    if fault.mode != "open" or fault.part not in graph.parts or graph.parts[fault.part].kind != "diode":
        return False
    found = _change(graph, fault)
    still = replace(found, cut=frozenset(), hidden=frozenset(), silent=found.silent & _speaking(graph))
    return (
        bool(found.cut | found.hidden)
        and still == NONE
        and all(isinstance(graph.elements[i], Junction | Load) for i in found.cut)
    )


def _speaking(graph: Graph) -> frozenset[str]:
    """The parts that drive a line or command a converter."""
    by = [e.by for e in graph.elements if isinstance(e, Signal)]
    by += [e.command.by for e in graph.elements if isinstance(e, Converter) and e.command]
    return frozenset(by)


def without(graph: Graph, parts: frozenset[str]) -> Change:
    """What unplugging parts changes. Healthy unpowered readings hold with them and without."""
    found = NONE
    for part in sorted(parts & graph.parts.keys()):
        opened = _opened(graph, part, "")
        found |= Change(opened.cut, opened.still, silent=frozenset({part}))
    return found


def under_power(graph: Graph, change: Change, state: str) -> Change:
    """The change without what does nothing under power in a bench state, so that like boards are one."""

    def counts(i: int) -> bool:
        e = graph.elements[i]
        return is_there(e, state) and not isinstance(e, Load | Junction)

    speaking = _speaking(graph) if change.silent or change.mute else frozenset[str]()
    return replace(
        change,
        cut=frozenset(i for i in change.cut if counts(i)),
        still=frozenset(i for i in change.still if counts(i)),
        silent=change.silent & speaking,
        mute=change.mute & speaking,
        hidden=frozenset(),
        slow=frozenset(),
        dry=frozenset(),
    )


def _change(graph: Graph, fault: Fault) -> Change:
    match fault.mode:
        case "open" | "loose":
            return _opened(graph, fault.part, fault.at)
        case "shorted-to-ground":
            return Change(grounds=frozenset({_ground(graph, fault, short=True)}))
        case "shorted-across":
            return _across(graph, fault)
        case "leaks":
            return Change(grounds=frozenset({_ground(graph, fault, short=False)}))
        case "stuck":
            level = fault.value or Interval(0.0, 0.4)  # a low output: JESD8C.01, VOL
            return Change(stuck=frozenset({(_net(graph, fault), level)}))
        case "wrong-value":
            return _wrong_value(graph, fault)
        case "content-lost":
            return Change(mute=frozenset({fault.part}))  # an oscillator needs no program
        case "worn":
            return _worn(graph, fault.part)
    return NONE  # damaged: seen by eye only


def _net(graph: Graph, fault: Fault) -> str:
    return fault.at or next(iter(graph.parts[fault.part].nets), "")


def _opened(graph: Graph, part: str, at: str) -> Change:
    """A part that is open, or only its contact `at` a net."""
    found = NONE if at else Change(silent=frozenset({part})) | _dried(graph, part)
    for i, e in enumerate(graph.elements):
        if not at or at in nets_of(e):
            found |= _opened_in(e, i, graph.parts[part])
    return found


def nets_of(element: GraphElement) -> tuple[str, ...]:
    """The nets between which an element lies, or the one that it sets; its own first."""
    if isinstance(element, Path | Converter):
        return (element.end, element.start)
    return (element.net, element.to) if isinstance(element, Pull) else (element.net,)


def _opened_in(element: GraphElement, i: int, part: GraphPart) -> Change:
    name = part.id
    match element:
        case Converter(parts=parts) if name in parts:
            return Change(still=frozenset({i}))
        case Converter(through=through) if name in through:
            return Change(cut=frozenset({i}))
        case Converter(feedback=Feedback() as feedback) if name in (feedback.top, feedback.bottom):
            return Change(loose_ends=frozenset({(i, "top" if name == feedback.top else "bottom")}))
        case Source(parts=parts) | Path(parts=parts) | Pull(parts=parts) | Signal(parts=parts) if (
            name in parts
        ):
            return Change(cut=frozenset({i}))
        case Load(parts=parts, net=net) | Junction(parts=parts, net=net) if name in parts:
            if part.kind in CHIPS:  # it does not work, but what it has to ground is still there
                return NONE
            return Change(cut=frozenset({i})) if parts == (name,) else Change(hidden=frozenset({net}))
        case Delay(parts=parts, net=net) if name in parts:
            return Change(slow=frozenset({net}))
    return NONE


def _across(graph: Graph, fault: Fault) -> Change:
    """A short from end to end: of the path or pull that the part is, else between two of its nets.

    A converter that it bridges, or whose inductor or diode it is, does not switch any more.
    """
    for i, e in enumerate(graph.elements):
        if isinstance(e, Converter) and e.feedback and fault.part in (e.feedback.top, e.feedback.bottom):
            # A shorted bottom takes all of the feedback away, as an open top does, and the other way round.
            return Change(loose_ends=frozenset({(i, "bottom" if fault.part == e.feedback.top else "top")}))
    still = frozenset(
        i for i, e in enumerate(graph.elements) if isinstance(e, Converter) and fault.part in e.through
    )
    if still and not fault.at:
        return Change(still=still)
    ends = [(e.start, e.end) for e in graph.elements if isinstance(e, Path) and fault.part in e.parts[:1]]
    ends += [(e.net, e.to) for e in graph.elements if isinstance(e, Pull) and fault.part in e.parts[:1]]
    here = _net(graph, fault)
    others = [net for net in graph.parts[fault.part].nets if net != here]
    if not fault.at and ends:
        here, there = ends[0]
    elif fault.to or others:
        there = fault.to or others[0]
    else:
        there = GROUND
    if there == GROUND:
        return Change(grounds=frozenset({_ground(graph, fault, short=True)}))
    bridged = (
        i
        for i, e in enumerate(graph.elements)
        if isinstance(e, Converter) and {e.start, e.end} == {here, there}
    )
    return Change(joins=frozenset({(here, there)}), still=frozenset(bridged))


def _ground(graph: Graph, fault: Fault, *, short: bool) -> Ground:
    net = _net(graph, fault)
    healthy = healthy_ohms(graph, net)
    if fault.value is not None:
        ohms = fault.value
    elif short:
        ohms = Interval(SHORT.low, min(SHORT.high, SHORT_SHARE * healthy))
    elif math.isfinite(healthy):
        ohms = LEAK_SHARE * healthy
    else:
        ohms = LEAK
    return Ground(net, ohms, short, guessed=fault.value is None)


def healthy_ohms(graph: Graph, net: str) -> float:
    """What holds a healthy net (ohm): the least of its pulls, else its load; infinite where unknown. A pull
    of some bench states alone is a switch that is held down there, and holds nothing at rest."""
    there = [e for e in graph.elements if isinstance(e, Pull) and e.net == net]
    pulls = [e.ohms.middle for e in [e for e in there if not e.states] or there]
    loads = [e.ohms.middle for e in graph.elements if isinstance(e, Load) and e.net == net]
    return min(pulls or loads, default=math.inf)


def _wrong_value(graph: Graph, fault: Fault) -> Change:
    nets = frozenset(graph.parts[fault.part].nets)
    found = Change(slow=nets)
    for i, e in enumerate(graph.elements):
        if isinstance(e, Path | Pull) and fault.part in e.parts[:1]:
            # A resistor that has drifted: to twice and more (common practice, no source: it rises).
            found |= Change(ohms=frozenset({(i, fault.value or e.ohms * Interval(1.5, 5.0))}))
        elif isinstance(e, Load | Junction) and fault.part in e.parts:
            found |= Change(hidden=frozenset({e.net}))
    return found


def _worn(graph: Graph, part: str) -> Change:
    found = Change(slow=frozenset(graph.parts[part].nets)) | _dried(graph, part)
    for i, e in enumerate(graph.elements):
        if isinstance(e, Source) and e.volts is not None and part in e.parts[:1]:
            found |= Change(volts=frozenset({(i, Interval(SAG * e.volts.low, e.volts.high))}))
    return found


def _dried(graph: Graph, part: str) -> Change:
    """An electrolytic that smooths no more, dried out or open. The ripple of its nets and of all that hangs
    on them by paths is not known then, but where `Predictor` finds that it gets through."""
    found = set(graph.parts[part].nets)
    if graph.parts[part].kind != ELECTROLYTIC or not found:
        return NONE
    paths = [(e.start, e.end) for e in graph.elements if isinstance(e, Path)]
    while more := {end for start, end in paths if start in found} - found:
        found |= more
    return Change(dry=frozenset({part}), slow=frozenset(found))
