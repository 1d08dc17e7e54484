"""Findings about two records at a time: a few for each record, and the number of the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from benchlore.findings import Problem

# A hundred copies of one record make thousands of pairs; who has mended three knows how to mend the others.
NAMED = 3


def named_and_counted(pairs: Iterable[tuple[str, Callable[[], Problem]]]) -> Iterator[Problem]:
    """The first problems of each record, by its id, then one that says how many more there are."""
    met: Counter[str] = Counter()
    last: dict[str, Problem] = {}
    for record, make in pairs:
        met[record] += 1
        if met[record] <= NAMED:
            last[record] = make()
            yield last[record]
    for record, count in met.items():
        if more := max(count - NAMED, 0):
            what = f"{more} other fault{'s' if more > 1 else ''}"
            yield replace(
                last[record],
                message=f"... and the same is so with {what}",
                mend="mend what is named first, then check again",
            )
