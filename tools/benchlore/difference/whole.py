"""All that is otherwise between two states of a book."""

from __future__ import annotations

from benchlore.book import Loaded
from benchlore.circuit.foretold import in_full
from benchlore.difference import records
from benchlore.difference.bench import at_the_bench
from benchlore.difference.kinds import Change, in_order


def differences(old: Loaded, new: Loaded, family: str | None = None) -> tuple[Change, ...]:
    """What the change from `old` to `new` means, in the order of a report.

    `family`: the contributor's; without one, the family with the most files that are others now.
    """
    before, after = in_full(old.book), in_full(new.book)
    moved = records.renamed(before, after)
    return in_order(
        (
            *records.hazards(before, after, moved),
            *records.faults(before, after, moved),
            *records.entries(before, after),
            *records.links(before, after, moved),
            *records.outcomes(before, after),
            *records.facts(old, new, moved),
            *at_the_bench(before, after, moved),
            *records.waivers(before, after),
            *records.outside(old, new, family),
        )
    )
