"""The weights that ranking and planning work on: one column for each way of failing.

Readings are independent only given the way in which a part failed: a board is shorted, or it leaks, for all
of them. So a hypothesis with several ways has several columns, whose sum is its weight.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from benchlore.diagnosis.likelihood import ELSEWHERE


@dataclass(frozen=True, slots=True)
class Columns:
    """Of `count` hypotheses beside something else, and the ways that some of them are split into.

    Each hypothesis has its own column, for its first way; then come the further ways, of the hypotheses
    `extra` (something else is `count`); the first way of something else is last. `shares`: of each column in
    its hypothesis. `rows`: for each column that is not of something else, the place of its row among those of
    the hypotheses with the split ones after them."""

    count: int
    extra: tuple[int, ...]
    shares: tuple[float, ...]
    rows: tuple[int, ...]

    def spread(self, values: Sequence[float]) -> list[float]:
        """A value of each hypothesis and, last, of something else, for each column."""
        return [*values[:-1], *(values[h] for h in self.extra), values[-1]]

    def of(self, rows: Sequence[float], elsewhere: Sequence[float]) -> tuple[float, ...]:
        """For each column its value: by row, and for each way of something else."""
        return (*(rows[i] for i in self.rows), *elsewhere[1:], elsewhere[0])

    def at(self, hypothesis: int) -> list[int]:
        """The columns of a hypothesis, its first way first."""
        last = self.count + len(self.extra)
        first = hypothesis if hypothesis < self.count else last
        return [first, *(self.count + n for n, h in enumerate(self.extra) if h == hypothesis)]


def columns_of(count: int, split: Iterable[tuple[int, float]]) -> Columns:
    """The columns of `count` hypotheses, of which `split` names each way of those that have several, by
    hypothesis and share."""
    shares, rows = [1.0] * count, list(range(count))
    extra: list[tuple[int, float, int]] = []
    met: set[int] = set()
    for n, (h, share) in enumerate(split):
        if h in met:
            extra.append((h, share, count + n))
        else:
            shares[h], rows[h] = share, count + n
        met.add(h)
    rows += [row for _, _, row in extra]
    extra += [(count, share, 0) for share, _ in ELSEWHERE[1:]]
    return Columns(
        count,
        tuple(h for h, _, _ in extra),
        (*shares, *(share for _, share, _ in extra), ELSEWHERE[0][0]),
        tuple(rows),
    )


def folded(weights: Sequence[float], extra: Sequence[int]) -> Sequence[float]:
    """The weight of each hypothesis and, last, of something else, from those of the columns; `extra`: the
    hypotheses of the further columns."""
    if not extra:
        return weights
    count = len(weights) - 1 - len(extra)
    found = [*weights[:count], weights[-1]]
    for h, weight in zip(extra, weights[count:-1], strict=True):
        found[h] += weight
    return found
