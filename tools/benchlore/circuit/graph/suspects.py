"""What could be at fault without a record: every part with every mode that its kind can have.

Suspects that no measurement of the family tells apart are one group.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from benchlore.book.model import Measurement
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.elements import Converter, Graph, GraphPart, Path, Pull
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.circuit.graph.outcomes import shares
from benchlore.circuit.graph.predict import Ask, Predictor

# Modes that sit at one of the nets of a part.
_AT_A_NET = ("shorted-to-ground", "leaks", "stuck")
_BESIDE = ("connector", "pack", "cable")  # whose contacts can be open one by one
ROUNDED = 20  # outcomes whose shares agree to a twentieth read alike


@dataclass(frozen=True, slots=True)
class Suspect:
    """A part with a mode, and the share of the part's failures that are this one."""

    fault: Fault
    share: float


@dataclass(frozen=True, slots=True)
class Group:
    """Suspects that read alike, and what they read: outcomes with their shares, by measurement.

    `reads` leaves out what reads healthy, and `unknown` names what is not predicted.
    """

    suspects: tuple[Suspect, ...]
    reads: Mapping[str, Mapping[str, float]]
    unknown: frozenset[str]


def suspects_of(graph: Graph, part: GraphPart) -> tuple[Suspect, ...]:
    """The ways in which a part can fail. A mode at a net is shared by the part's nets; the shares add to one,
    but for modes that need a net where the part has none."""
    found = []
    for mode, share in mode_shares(part.kind).items():
        nets = tuple(net for net in part.nets if net in graph.nets)
        if mode == "stuck":  # an output that drives a line; a rail is shorted instead
            nets = tuple(net for net in nets if net not in graph.rails)
        if mode == "shorted-across" and _ends_at_ground(graph, part, nets):
            found += [Suspect(Fault(part.id, "shorted-to-ground", net), share / len(nets)) for net in nets]
        elif mode in _AT_A_NET:
            found += [Suspect(Fault(part.id, mode, net), share / len(nets)) for net in nets]
        elif mode == "shorted-across" and len(nets) > 2:
            pairs = [(a, b) for i, a in enumerate(nets) for b in nets[i + 1 :]]
            found += [Suspect(Fault(part.id, mode, a, b), share / len(pairs)) for a, b in pairs]
        elif mode == "open" and part.kind in _BESIDE and len(nets) > 1:
            places = ("", *nets)
            found += [Suspect(Fault(part.id, mode, net), share / len(places)) for net in places]
        else:
            found.append(Suspect(Fault(part.id, mode), share))
    return tuple(found)


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


def faults_of(graph: Graph, part: GraphPart) -> tuple[Fault, ...]:
    """The ways in which a part can fail."""
    return tuple(suspect.fault for suspect in suspects_of(graph, part))


def suspects(graph: Graph) -> tuple[Suspect, ...]:
    """All suspects of a graph."""
    return tuple(s for part in graph.parts.values() for s in suspects_of(graph, part))


def groups(
    predictor: Predictor, asks: Iterable[tuple[Measurement, Ask]], candidates: Iterable[Suspect]
) -> tuple[Group, ...]:
    """The suspects by what they read, in the order in which they come.

    Those that change no reading are a group, too.
    """
    wanted = tuple(asks)
    found: dict[tuple[object, ...], list[Suspect]] = {}
    reads: dict[tuple[object, ...], tuple[Mapping[str, Mapping[str, float]], frozenset[str]]] = {}
    for suspect in candidates:
        seen, unknown = _reads(predictor, wanted, suspect.fault)
        key = (
            frozenset((m, o, round(share * ROUNDED)) for m, by in seen.items() for o, share in by.items()),
            unknown,
        )
        found.setdefault(key, []).append(suspect)
        reads.setdefault(key, (seen, unknown))
    return tuple(Group(tuple(members), *reads[key]) for key, members in found.items())


def _reads(
    predictor: Predictor, asks: tuple[tuple[Measurement, Ask], ...], fault: Fault
) -> tuple[Mapping[str, Mapping[str, float]], frozenset[str]]:
    predicted = predictor.predict([ask for _, ask in asks], fault, words=False)
    seen: dict[str, Mapping[str, float]] = {}
    unknown: set[str] = set()
    for measurement, ask in asks:
        prediction = predicted[ask]
        if prediction.healthy:
            continue
        by = shares(measurement, prediction)
        if by is None:
            unknown.add(measurement.id)
        elif not set(by) <= set(measurement.normal):
            seen[measurement.id] = by
    return seen, frozenset(unknown)
