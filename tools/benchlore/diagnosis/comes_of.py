"""What a symptom comes of, as the family says, and so how often each suspect shows it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import fsum

from benchlore.book.model import Book, Family, Measurement
from benchlore.circuit.graph.change import CHIPS
from benchlore.diagnosis.suspects import Suspect
from benchlore.vocabulary import FREQUENCIES

# All common practice, no source.
LEFT_OUT = 0.1  # of what a symptom comes of, what a list leaves out
FAR = 0.5  # a net of the list that only reads amiss, beside the part at fault or the net at which it is
SPREAD = 0.05  # the weight of each symptom that comes of a suspect, beside what its likes show


def amiss(
    measures: Mapping[str, Measurement], abnormal: Mapping[tuple[str, int], float]
) -> Mapping[str, float]:
    """The nets that read abnormally, and how surely. `abnormal`: shares, by measurement and outcome."""
    by: dict[str, float] = {}
    for (m, _), share in abnormal.items():
        by[m] = by.get(m, 0.0) + share
    found: dict[str, float] = {}
    for m, share in by.items():
        for net in measures[m].nets:
            found[net] = max(found.get(net, 0.0), share)
    return found


def reached(
    of: Collection[str], suspect: Suspect, nets: Mapping[str, float], chips: Collection[str] = ()
) -> float:
    """How much of a suspect is of what a symptom comes of: of its parts and the nets at which they are, or,
    by `FAR`, of the nets that read amiss with it.

    One of the `chips` is named for what it does: with one line of it at fault it does the rest, so that
    counts by the line and by what reads amiss."""
    own = fsum(
        [
            member.share
            for member in suspect.members
            if member.at in of or (member.part in of and not (member.at and member.part in chips))
        ]
    )
    return max(own, FAR * max([share for net, share in nets.items() if net in of], default=0.0))


def shown(by_likes: Mapping[str, float], reach: Mapping[str, float]) -> Mapping[str, float]:
    """P(symptom | suspect) of the symptoms of which the family says what they come of.

    `by_likes`: what the faults that read like it show; `reach`: how much of it is of what the symptom comes
    of. It shows as many of these symptoms as by its likes, but those alone that come of it, and among them
    more of what its likes show; and, of what lists leave out, as its likes do."""
    mine = {s: reach[s] * (share + SPREAD) for s, share in by_likes.items()}
    each = fsum(by_likes.values()) / total if (total := fsum(mine.values())) > 0 else 0.0
    most = FREQUENCIES["always"].share
    return {
        s: (1 - LEFT_OUT) * min(each * mine[s], most * reach[s]) + LEFT_OUT * share
        for s, share in by_likes.items()
    }


def shares_outside(book: Book, family: Family, symptom: str) -> Mapping[str, float]:
    """Of each kind of what is outside the percent of the jobs with a symptom.

    The family's own word goes before that of all families; of a kind of which it has parts and names none
    among those that the symptom comes of, no job is."""
    shares, one = book.symptoms[symptom].outside, family.symptoms.get(symptom)
    if one is None:
        return shares
    there = {part.kind for part in family.parts.values()}
    named = {family.parts[name].kind for name in one.of if name in family.parts}
    left = {kind: share for kind, share in shares.items() if kind in named or kind not in there}
    return {**left, **one.outside}


def reaches(
    family: Family, suspects: Sequence[Suspect], nets: Sequence[Mapping[str, float]]
) -> Sequence[Mapping[str, float]]:
    """Of each suspect how much of it is of what each symptom comes of, where the family says that."""
    chips = {part.id for part in family.parts.values() if part.kind in CHIPS and len(part.nets) > 1}
    return [
        {symptom: reached(one.of, suspect, own, chips) for symptom, one in family.symptoms.items()}
        for suspect, own in zip(suspects, nets, strict=True)
    ]
