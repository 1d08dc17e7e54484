"""What holds a net down, and in which order to take parts off it: likely and easy ones first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import fsum

from benchlore.book.links import parts_of_net
from benchlore.book.model import Book, Family, Fault, Measurement, Net, Part
from benchlore.circuit.graph.causes import fault_of
from benchlore.diagnosis.hypotheses import Hypotheses, hypotheses_of
from benchlore.diagnosis.interlock import OHMS
from benchlore.diagnosis.suspects import Suspect

GROUNDING = ("shorted-to-ground", "leaks", "stuck")  # the modes that hold a net by themselves
_LEAST = 1e-4  # share from which a part elsewhere is named


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part, its share of what holds the net, and the minutes to take it off.

    `recorded`: the ids of its recorded faults that do; `modes`: how it may fail besides, as the circuit has
    it, without a record. `seen`: jobs in which one of the recorded was proved. `here`: it sits on the net.
    """

    part: Part
    probability: float
    minutes: float
    seen: int
    recorded: tuple[str, ...]
    modes: tuple[str, ...]
    here: bool

    @property
    def worth(self) -> float:
        """Probability a minute: what the order goes by."""
        return self.probability / self.minutes


@dataclass(frozen=True, slots=True)
class _Way:
    """What a hypothesis gives a part of what holds the net: a weight, not normalised."""

    part: str
    weight: float
    fault: Fault | None
    mode: str


def removal_order(book: Book, family: Family, net: Net) -> tuple[Candidate, ...]:
    """All parts on a net, and those elsewhere that hold it, by probability over minutes, the best first; on a
    tie the quicker one.

    The shares are those of the ranking for a net that reads held to ground and nothing else known: the prior
    of each hypothesis times the probability that the net's resistance reads below what is healthy with it;
    where no measurement reads that, of those whose mode at the net is a short, a leak or a stuck level. A
    suspect's share goes to its parts by theirs. A part that unplugs takes the shop's minutes for that,
    another its minutes to replace. Trying suspects in this order costs the least expected minutes when the
    last one is tried too (Kalagnanam and Henrion, 1990; Smith 1956, from memory).
    """
    ways = list(_ways(hypotheses_of(book, family), family, net))
    total = fsum(way.weight for way in ways)
    on_it = {part.id: part for part in parts_of_net(family, net.id)}
    others = {
        way.part: family.parts[way.part]
        for way in ways
        if way.part in family.parts and way.part not in on_it and way.weight >= _LEAST * total
    }
    found = []
    for name, part in {**on_it, **others}.items():
        mine = [way for way in ways if way.part == name]
        faults = tuple(dict.fromkeys(way.fault.id for way in mine if way.fault is not None))
        found.append(
            Candidate(
                part,
                fsum(way.weight for way in mine) / total if total > 0 else 0.0,
                minutes_off(book, part),
                sum(book.faults[f].seen for f in faults),
                faults,
                tuple(dict.fromkeys(way.mode for way in mine if way.fault is None)),
                name in on_it,
            )
        )
    return tuple(sorted(found, key=lambda c: (-c.worth, c.minutes, c.part.id)))


def _ways(known: Hypotheses, family: Family, net: Net) -> Iterator[_Way]:
    asked = _resistance(family, net)
    everything: tuple[Fault | Suspect, ...] = (*known.faults, *known.suspects)
    for place, one in enumerate(everything):
        if asked is not None and place in known.says.get(asked.id, frozenset()):
            held = known.prior[place] * _held(asked, known.rows[asked.id][place])
            if _says_held(asked, known.rows[asked.id][place]):
                yield from _shared(one, held)
        elif asked is None:
            yield from _by_mode(one, known.prior[place], net)


def _shared(one: Fault | Suspect, weight: float) -> Iterator[_Way]:
    if isinstance(one, Fault):
        yield _Way(one.cause.part, weight, one, "")
    else:
        yield from (_Way(m.part, weight * m.share, None, m.mode) for m in one.members)


def _by_mode(one: Fault | Suspect, prior: float, net: Net) -> Iterator[_Way]:
    if isinstance(one, Fault):
        share = fsum(s for s, way in fault_of(one) if way.mode in GROUNDING and way.at == net.id)
        if share > 0:
            yield _Way(one.cause.part, prior * share, one, "")
        return
    for m in one.members:
        if m.mode in GROUNDING and m.at == net.id:
            yield _Way(m.part, prior * m.share, None, m.mode)


def _resistance(family: Family, net: Net) -> Measurement | None:
    """The measurement that shows whether something holds the net: its resistance to ground, else its
    junction, with as little unplugged as can be.
    """
    found = [
        m
        for m in family.measurements.values()
        if m.net == net.id and m.to_ground and m.mode in (OHMS, "junction") and _low(m)
    ]
    return min(found, key=lambda m: (m.mode != OHMS, len(m.unplugged), m.id), default=None)


def _low(measurement: Measurement) -> tuple[int, ...]:
    """The outcomes below all that is healthy, by their places."""
    ranges = [o.range for o in measurement.outcomes.values()]
    healthy = [o.range.low for o in measurement.outcomes.values() if o.normal and o.range is not None]
    floor = min(healthy, default=0.0)
    return tuple(i for i, found in enumerate(ranges) if found is not None and found.high <= floor)


def _held(measurement: Measurement, row: Sequence[float]) -> float:
    return fsum([row[i] for i in _low(measurement)])


def _says_held(measurement: Measurement, row: Sequence[float]) -> bool:
    """Not by what is only trusted less: a suspect that reads healthy keeps some of every outcome."""
    return _held(measurement, row) > 0.25


def minutes_off(book: Book, part: Part) -> float:
    """Minutes to take a part off: those of the shop to unplug it, else those to replace it."""
    return book.shop.unplug_minutes if part.unplugs else part.replace.minutes
