"""Findings about two records at a time: a few for each record, and the number of the others.

Records that are alike in all that is compared are grouped first, and a pair of groups is compared once: of
5,000 copies of one record there are 12.5 million pairs, and one comparison.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from heapq import merge
from itertools import islice

from benchlore.findings import Problem

# A hundred copies of one record make thousands of pairs; who has mended three knows how to mend the others.
NAMED = 3


def named_and_counted(
    features: Sequence[Hashable],
    buckets: Callable[[int], Iterable[Hashable]],
    alike: Callable[[int, int], bool],
    make: Callable[[int, int], Problem],
) -> Iterator[Problem]:
    """For each record the problems with the first few earlier ones that are `alike`, then how many more are.

    Records are named by their places. `features`: all that `alike` looks at, so that equals compare alike.
    `buckets`: two records can be alike only where they share one of these. `make`: the problem of a
    later record with an earlier one.
    """
    groups: dict[Hashable, list[int]] = defaultdict(list)
    for place, feature in enumerate(features):
        groups[feature].append(place)
    members = list(groups.values())
    partners = _partners(members, buckets, alike)
    group_of = {place: n for n, group in enumerate(members) for place in group}
    for place in range(len(features)):
        mine = [members[n] for n in partners[group_of[place]]]
        count = sum(bisect_left(group, place) for group in mine)
        first = list(islice(merge(*(group[:NAMED] for group in mine)), min(count, NAMED)))
        problems = [make(earlier, place) for earlier in first]
        yield from problems
        if more := count - len(first):
            what = f"{more} other fault{'s' if more > 1 else ''}"
            yield replace(
                problems[-1],
                message=f"... and the same is so with {what}",
                mend="mend what is named first, then check again",
            )


def _partners(
    members: Sequence[Sequence[int]],
    buckets: Callable[[int], Iterable[Hashable]],
    alike: Callable[[int, int], bool],
) -> list[list[int]]:
    """The groups that each group is alike with, itself among them where its own members are."""
    found: list[list[int]] = [[] for _ in members]
    waiting: dict[Hashable, list[int]] = defaultdict(list)
    for n, group in enumerate(members):
        if len(group) > 1 and alike(group[0], group[1]):
            found[n].append(n)
        keys = list(dict.fromkeys(buckets(group[0])))
        for other in sorted({one for key in keys for one in waiting[key]}):
            if alike(members[other][0], group[0]):
                found[n].append(other)
                found[other].append(n)
        for key in keys:
            waiting[key].append(n)
    return found
