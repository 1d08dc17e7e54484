"""The path through a family: rails in the order in which they come up, then the lines, then the symptoms."""

from __future__ import annotations

from dataclasses import dataclass

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Net
from benchlore.circuit.power_tree import feeders, in_start_order, level


@dataclass(frozen=True, slots=True)
class Stop:
    """A net on the path. `level`: 0 for a source, else one more than the highest of the nets `above` it."""

    net: Net
    level: int
    above: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Complaint:
    """A symptom that faults of the family show: those faults, the most often seen first, and their jobs."""

    symptom: str
    faults: tuple[Fault, ...]
    jobs: int


def rails(family: Family) -> tuple[Stop, ...]:
    """The rails as they come up, from the sources down; rails of one level as the family lists them."""
    return _stops(family, rails=True)


def lines(family: Family) -> tuple[Stop, ...]:
    """The other nets, each after the rails that it hangs on."""
    return _stops(family, rails=False)


def complaints(book: Book, family: Family) -> tuple[Complaint, ...]:
    """The family's symptoms, the one with the most jobs behind it first."""
    found = []
    for symptom in sorted(book.symptoms):
        faults = [f for f in links.faults_of_family(book, family.id) if symptom in f.symptom]
        if faults:
            faults.sort(key=lambda fault: (-fault.seen, fault.id))
            found.append(Complaint(symptom, tuple(faults), sum(fault.seen for fault in faults)))
    return tuple(sorted(found, key=lambda one: (-one.jobs, one.symptom)))


def _stops(family: Family, *, rails: bool) -> tuple[Stop, ...]:
    return tuple(
        Stop(net, level(family, net), feeders(family, net)) for net in in_start_order(family, rails=rails)
    )
