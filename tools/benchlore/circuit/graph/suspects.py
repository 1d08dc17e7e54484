"""What could be at fault without a record: every part with every mode that its kind can have.

Suspects that no measurement of the family tells apart are one group.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from benchlore.book.model import Measurement
from benchlore.book.same import Same
from benchlore.circuit.graph.change import Fault, tells
from benchlore.circuit.graph.elements import Converter, Graph, GraphPart, Path, Pull, Source
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.circuit.graph.outcomes import shares
from benchlore.circuit.graph.predict import Ask, Predictor

Asks = tuple[tuple[Measurement, Ask], ...]
# Modes that sit at one of the nets of a part.
_AT_A_NET = ("shorted-to-ground", "leaks", "stuck")
_BESIDE = ("connector", "pack", "cable")  # whose contacts can be open one by one
ROUNDED = 20  # outcomes whose shares agree to a twentieth read alike


# Of the shorts behind a fuse that the source can blow, those that have. Common practice, no source.
BLOWN = 0.8
# What a part may be of which no element speaks: with it, what is read at its lines is not known.
UNTOLD = ("resistor", "ic", "sensor", "mosfet", "diode", "connector", "inductor", "ferrite", "button")


# Of the readings of a loose contact, those that find it open. Common practice, no source.
OPENS = 0.3
# Of these, those that find it neither open nor whole: it has ohms, or a meter shows the mean. Common
# practice, no source.
BETWEEN = 0.5


# Of the shorts and leaks of a chip that carries power, those at its rails (common practice, no source).
AT_RAILS = 0.8


@dataclass(frozen=True, slots=True)
class Suspect:
    """A part with a mode, and the share of the part's failures that are this one. `ways`: the modes that such
    a part has."""

    fault: Fault
    share: float
    ways: int


@dataclass(frozen=True, slots=True)
class Group:
    """Suspects that read alike, and what they read: outcomes with their shares, by measurement.

    `reads` leaves out what reads healthy, and `unknown` names what it touches that is not predicted.
    """

    suspects: tuple[Suspect, ...]
    reads: Mapping[str, Mapping[str, float]]
    unknown: frozenset[str]


def suspects_of(graph: Graph, part: GraphPart) -> tuple[Suspect, ...]:
    """The ways in which a part can fail. A mode at a net is shared by the part's nets; the shares add to one,
    but for modes that need a net where the part has none."""
    shares = mode_shares(part.kind, power=_carries_power(graph, part))
    return tuple(
        Suspect(fault, own * share, len(shares))
        for mode, share in shares.items()
        for fault, own in _placed(graph, part, mode)
    )


def _placed(graph: Graph, part: GraphPart, mode: str) -> list[tuple[Fault, float]]:
    """Where a mode of a part can be, with the share of each place."""
    nets = tuple(net for net in part.nets if net in graph.nets)
    if mode == "stuck":  # an output that drives a line; a rail is shorted instead
        nets = tuple(net for net in nets if net not in graph.rails)
    if mode == "shorted-across" and _ends_at_ground(graph, part, nets):
        return [(Fault(part.id, "shorted-to-ground", net), 1 / len(nets)) for net in nets]
    if mode in _AT_A_NET:
        placed = [(Fault(part.id, mode, net), share) for net, share in _at_nets(graph, part, mode, nets)]
        return [each for one in placed for each in _with_its_fuse(graph, *one)]
    if mode == "shorted-across" and len(nets) > 2:
        pairs = [(a, b) for i, a in enumerate(nets) for b in nets[i + 1 :]]
        return [(Fault(part.id, mode, a, b), 1 / len(pairs)) for a, b in pairs]
    if mode == "open" and part.kind in _BESIDE and len(nets) > 1:
        places = ("", *nets)
        return [(Fault(part.id, mode, net), 1 / len(places)) for net in places]
    return [(Fault(part.id, mode), 1.0)]


def _with_its_fuse(graph: Graph, fault: Fault, share: float) -> list[tuple[Fault, float]]:
    """A short to ground, with the fuse before it that it blows and without; any other fault as it is."""
    fuse = _fuse_before(graph, fault.at) if fault.mode == "shorted-to-ground" else None
    if fuse is None or fuse.parts[0] == fault.part:
        return [(fault, share)]
    blown = replace(fault, then=(Fault(fuse.parts[0], "open"),))
    return [(blown, BLOWN * share), (fault, (1 - BLOWN) * share)]


def _fuse_before(graph: Graph, net: str) -> Path | None:
    """The nearest fuse between a net and a source that can blow it: one whose current is not known, or is
    more than its rating. Behind a converter none: what it gives is not reckoned here."""
    found, seen = None, set[str]()
    while net not in seen:
        seen.add(net)
        sources = [e for e in graph.elements if isinstance(e, Source) and e.net == net]
        if sources and found is not None and found.rating is not None:
            most = found.rating.high
            return found if any(e.limit is None or e.limit.high > most for e in sources) else None
        into = [e for e in graph.elements if isinstance(e, Path) and e.end == net]
        if len(into) != 1:
            return None
        if found is None and into[0].rating is not None and into[0].parts:
            found = into[0]
        net = into[0].start
    return None


def _at_nets(graph: Graph, part: GraphPart, mode: str, nets: tuple[str, ...]) -> list[tuple[str, float]]:
    """The nets of a part with their shares of a mode: even, but for shorts of a chip that carries power."""
    rails = [net for net in nets if net in graph.rails]
    if mode == "stuck" or not 0 < len(rails) < len(nets) or not _carries_power(graph, part):
        return [(net, 1 / len(nets)) for net in nets]
    at_rail, at_line = AT_RAILS / len(rails), (1 - AT_RAILS) / (len(nets) - len(rails))
    return [(net, at_rail if net in graph.rails else at_line) for net in nets]


def _carries_power(graph: Graph, part: GraphPart) -> bool:
    """True for a part that the current of a rail goes through: of a converter or a path between rails."""
    through = (e for e in graph.elements if isinstance(e, Converter | Path))
    return any(part.id in e.parts for e in through)


def _ends_at_ground(graph: Graph, part: GraphPart, nets: tuple[str, ...]) -> bool:
    """True for a part whose other end is ground: on one net, or a protection diode, which is in no path."""
    series = [e.parts for e in graph.elements if isinstance(e, Path | Pull)]
    for e in graph.elements:
        if isinstance(e, Converter):
            dividers = (e.feedback.top, e.feedback.bottom) if e.feedback else ()
            series.append((*e.through, *dividers))
    if any(part.id in parts for parts in series):
        return False
    return len(nets) == 1 or part.kind == "diode"


def suspects(graph: Graph) -> tuple[Suspect, ...]:
    """All suspects of a graph."""
    return tuple(s for part in graph.parts.values() for s in suspects_of(graph, part))


def groups(
    predictor: Predictor,
    asks: Iterable[tuple[Measurement, Ask]],
    candidates: Iterable[Suspect],
    seen: Iterable[tuple[Measurement, Ask]] = (),
) -> tuple[Group, ...]:
    """The suspects by what they read, in the order in which they come.

    Those that change no reading are a group, too. `seen`: what the eye, the ear or the scope finds at a net,
    with the level of that net: of that the circuit tells only whether a fault touches it.
    """
    wanted, named = Same(tuple(asks)), Same(tuple(seen))
    found: dict[tuple[object, ...], list[Suspect]] = {}
    reads: dict[tuple[object, ...], tuple[Mapping[str, Mapping[str, float]], frozenset[str]]] = {}
    for suspect in candidates:
        read, unknown = _reads(predictor, wanted, named, suspect.fault)
        key = (
            frozenset((m, o, round(share * ROUNDED)) for m, by in read.items() for o, share in by.items()),
            unknown,
        )
        found.setdefault(key, []).append(suspect)
        reads.setdefault(key, (read, unknown))
    return tuple(Group(tuple(members), *reads[key]) for key, members in found.items())


@lru_cache(maxsize=1024)
def _reads(
    predictor: Predictor, of_asks: Same[Asks], of_named: Same[Asks], fault: Fault
) -> tuple[Mapping[str, Mapping[str, float]], frozenset[str]]:
    asks, named = of_asks.record, of_named.record
    if _untold(predictor.graph, fault):
        graph = predictor.graph
        lines = set(graph.parts[fault.part].nets) - graph.rails
        return {}, frozenset(m.id for m, ask in (*asks, *named) if {ask.net, ask.beside} & lines)
    predicted = predictor.predict([ask for _, ask in (*asks, *named)], fault, words=False)
    seen: dict[str, Mapping[str, float]] = {}
    unknown = {m.id for m, ask in named if not predicted[ask].healthy}
    for measurement, ask in asks:
        prediction = predicted[ask]
        if prediction.healthy:
            continue
        by = shares(measurement, prediction)
        if by is None:
            unknown.add(measurement.id)
        elif not set(by) <= set(measurement.normal):
            seen[measurement.id] = by if fault.mode != "loose" else _now_and_then(measurement, by)
    return seen, frozenset(unknown)


def _now_and_then(measurement: Measurement, by: Mapping[str, float]) -> Mapping[str, float]:
    """What is read at a contact that touches at one reading and not at the next, and now and then badly."""
    between = _between(measurement, by)
    at_ends = OPENS * (1 - BETWEEN if between else 1)
    found = {outcome: at_ends * share for outcome, share in by.items()}
    for outcome in between:
        found[outcome] = found.get(outcome, 0.0) + OPENS * BETWEEN / len(between)
    for outcome in measurement.normal:
        found[outcome] = found.get(outcome, 0.0) + (1 - OPENS) / len(measurement.normal)
    return found


def _between(measurement: Measurement, by: Mapping[str, float]) -> list[str]:
    """The outcomes that lie between what an open contact reads, for the most part, and a healthy reading."""
    lows = {o.id: o.range.low for o in measurement.outcomes.values() if o.range}
    likeliest = max(by, key=lambda outcome: by[outcome])
    ends = [lows[name] for name in (likeliest, *measurement.normal) if name in lows]
    if likeliest not in lows or len(ends) < 2:
        return []
    within = [name for name, low in lows.items() if min(ends) < low < max(ends)]
    return [name for name in within if name not in measurement.normal]


def _untold(graph: Graph, fault: Fault) -> bool:
    """True for a part that is open and of which no element speaks."""
    return fault.mode == "open" and graph.parts[fault.part].kind in UNTOLD and not tells(graph, fault)
