"""In which order to take parts off a net that something holds down: likely and easy ones first."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum

from benchlore.book.links import faults_of_family, measured, parts_of_net
from benchlore.book.model import Book, Family, Fault, Net, Part

UNSEEN = 0.5  # weight of what no job has proved yet; each job adds one


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part on the net: its share of what has held such a net, and the minutes to take it off.

    `seen`: jobs in which it was proved at fault with this net reading wrong.
    """

    part: Part
    probability: float
    minutes: float
    seen: int

    @property
    def worth(self) -> float:
        """Probability a minute: what the order goes by."""
        return self.probability / self.minutes


def removal_order(book: Book, family: Family, net: Net) -> tuple[Candidate, ...]:
    """All parts on a net by probability over minutes, the best first; on a tie the quicker one.

    Each fault pattern in which a part is at fault and this net reads wrong weighs its jobs and one half; a
    part without such a pattern weighs one half. The weights make the probabilities. A part that unplugs takes
    the shop's minutes for that, another its minutes to replace. Trying suspects in this order costs the least
    expected minutes when the last one is tried too (Kalagnanam and Henrion, 1990; Smith 1956, from memory).
    """
    faults = [f for f in faults_of_family(book, family.id) if reads_wrong(book, f, net)]
    parts = parts_of_net(family, net.id)
    patterns = {part.id: [f for f in faults if f.cause.part == part.id] for part in parts}
    weights = {
        name: fsum(f.seen + UNSEEN for f in of_part) if of_part else UNSEEN
        for name, of_part in patterns.items()
    }
    total = fsum(weights.values())
    found = [
        Candidate(
            part,
            weights[part.id] / total,
            minutes_off(book, part),
            sum(f.seen for f in patterns[part.id]),
        )
        for part in parts
    ]
    return tuple(sorted(found, key=lambda c: (-c.worth, c.minutes, c.part.id)))


def reads_wrong(book: Book, fault: Fault, net: Net) -> bool:
    """True when a fault may read something else than normal at a test point of the net."""
    for expectation, measurement in measured(book, fault):
        if measurement.net == net.id and not set(expectation.expected_reading) <= set(measurement.normal):
            return True
    return False


def minutes_off(book: Book, part: Part) -> float:
    """Minutes to take a part off: those of the shop to unplug it, else those to replace it."""
    return book.shop.unplug_minutes if part.unplugs else part.replace.minutes
