"""What no single hypothesis explains: two entries that contradict each other, and two faults at once.

A hypothesis explains a reading when it makes it at least as likely as one that means nothing does. One that
is silent on a measurement contradicts nothing there. What a rail reads in volts and in ohms is held to Ohm's
law besides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from benchlore.diagnosis.case import Case
from benchlore.diagnosis.likelihood import BLUNDER, class_of, outcome_weights
from benchlore.diagnosis.minutes import tie_key
from benchlore.diagnosis.posterior import Evidence, likelihoods, log_weights
from benchlore.diagnosis.reading import Reading

TWICE = (
    0.02  # share of jobs with two faults that have nothing to do with each other. Common practice, no source
)
PAIRED = 24  # likeliest hypotheses of which pairs are tried
LEAST = 0.05  # probability from which a pair is named
LEADS = 0.1  # ohm; less than that of a rail cannot be told from the leads


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two entries, in the order taken, that no hypothesis and no two of them explain together.

    `again`: those of the two to measure once more, that which is likelier to be wrong first; empty once both
    were read twice alike.
    """

    one: str
    other: str
    again: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Both:
    """Two faults that together explain all that was read, by name; `probability`: that both are there."""

    faults: tuple[str, str]
    probability: float


@dataclass(frozen=True, slots=True)
class _Seen:
    """A reading: what it says by outcome, of each hypothesis, and when it means nothing. `silent`: the
    hypotheses of which nobody knows what they read there. `pairs`: what it says of two of its rows, as they
    are met."""

    reading: Reading
    weights: tuple[float, ...]
    nothing: float
    likely: tuple[float, ...]
    silent: frozenset[int]
    pairs: dict[tuple[int, int], float] = field(default_factory=dict, compare=False)

    def foreseen(self, hypothesis: int) -> bool:
        return self.likely[hypothesis] >= self.nothing

    def explained(self, hypothesis: int) -> bool:
        return hypothesis in self.silent or self.foreseen(hypothesis)


def contradictions(case: Case, known: Evidence, probabilities: Sequence[float]) -> tuple[Contradiction, ...]:
    """The pairs of entries that contradict each other, in the order taken.

    Each of the two is explained by something, and nothing explains both: no hypothesis, and no two of them.
    Or the volts of a rail would drive more current into its ohms than the family's sources and fuses bear.
    One of the entries is wrong, or the board changed between them.
    """
    seen = _seen(case, known)
    by = [frozenset(h for h in range(len(case.prior)) if one.explained(h)) for one in seen]
    found = []
    for i, j in combinations(range(len(seen)), 2):
        apart = by[i] and by[j] and by[i].isdisjoint(by[j])
        if (apart and not _by_two(case, seen[i], seen[j], by[i], by[j])) or _too_much(case, seen[i], seen[j]):
            wrong = sorted((seen[i], seen[j]), key=lambda one: -tie_key(_blunder(one, probabilities)))
            again = (one.reading.measure for one in wrong)
            names = seen[i].reading.measure, seen[j].reading.measure
            found.append(Contradiction(*names, tuple(m for m in again if m not in known.confirmed)))
    return tuple(found)


def perhaps_both(case: Case, known: Evidence) -> tuple[Both, ...]:
    """The pairs that explain what no single hypothesis does, the likeliest first.

    Two faults that have nothing to do with each other have the prior TWICE x prior(f) prior(g), normalised
    over all pairs; a symptom is shown by either; a measurement reads healthy when both do, abnormal as the
    one does that makes it so, and means nothing where the two would make it differ.
    """
    seen, out = _seen(case, known), case.ruled_out(known.tried)
    running = [h for h in range(len(case.prior)) if h not in out]
    if len(seen) < 2 or any(all(one.foreseen(h) for one in seen) for h in running):
        return ()
    logs = log_weights(case, known.symptoms)
    for one in sorted(seen, key=lambda one: one.reading.measure):
        logs = [log + math.log(p) for log, p in zip(logs, one.likely, strict=True)]
    highest = max(logs[h] for h in running)
    single = (1 - TWICE) * math.fsum(math.exp(logs[h] - highest) for h in running)
    named = [h for h in running[:-1] if any(one.foreseen(h) for one in seen)]
    tried = sorted(sorted(named, key=lambda h: (-logs[h], h))[:PAIRED])
    pairs = [(f, g) for f, g in combinations(tried, 2) if all(_foreseen(case, one, f, g) for one in seen)]
    weights = [math.exp(_log_of_two(case, known, seen, f, g) - highest) for f, g in pairs]
    whole = single + math.fsum(weights)
    found = [
        (weight / whole, f, g)
        for weight, (f, g) in zip(weights, pairs, strict=True)
        if weight / whole >= LEAST
    ]
    found.sort(key=lambda one: (-one[0], one[1], one[2]))
    return tuple(Both((case.faults[f], case.faults[g]), p) for p, f, g in found)


def of_two(
    one: Sequence[float], other: Sequence[float], normal: Sequence[int]
) -> tuple[tuple[float, ...], float]:
    """What a measurement reads with two faults, by what it reads with each: P(outcome), and, of the rest, the
    share of boards on which nobody knows, since the two make it differ."""
    sound, also = math.fsum([one[o] for o in normal]), math.fsum([other[o] for o in normal])
    healthy = set(normal)
    row = tuple(
        [
            (f * also + g * sound) / 2 if o in healthy else f * also + g * sound + f * g
            for o, (f, g) in enumerate(zip(one, other, strict=True))
        ]
    )
    return row, max(1 - math.fsum(row), 0.0)


def _seen(case: Case, known: Evidence) -> list[_Seen]:
    found = []
    for reading in known.readings:
        weights, nothing = outcome_weights(case.scales[reading.measure], reading)
        silent = frozenset(range(len(case.faults))) - case.says[reading.measure]
        found.append(_Seen(reading, weights, nothing, likelihoods(case, reading), silent))
    return found


def _two(case: Case, one: _Seen, f: int, g: int) -> float:
    """p(reading | both faults), once for all that read alike."""
    alike = case.alike[one.reading.measure]
    key = alike[f], alike[g]
    if key not in one.pairs:
        one.pairs[key] = _two_rows(case, one, *key)
    return one.pairs[key]


def _two_rows(case: Case, one: _Seen, f: int, g: int) -> float:
    rows = case.expected[one.reading.measure]
    row, unknown = of_two(rows[f], rows[g], case.scales[one.reading.measure].normal)
    told = math.fsum([p * w for p, w in zip(row, one.weights, strict=True)]) + unknown * one.nothing
    return (1 - BLUNDER) * told + BLUNDER * one.nothing


def _explain(case: Case, one: _Seen, f: int, g: int) -> bool:
    """True where a pair explains a reading; one that is silent leaves it to the other."""
    if f in one.silent or g in one.silent:
        return one.explained(g if f in one.silent else f)
    return _foreseen(case, one, f, g)


def _foreseen(case: Case, one: _Seen, f: int, g: int) -> bool:
    # What nobody knows explains nothing, but for rounding.
    return _two(case, one, f, g) >= one.nothing * (1 + 1e-9)


def _by_two(case: Case, one: _Seen, other: _Seen, by: frozenset[int], also: frozenset[int]) -> bool:
    last = len(case.faults)
    pairs = ((f, g) for f in sorted(by) for g in sorted(also) if last not in (f, g))
    return any(_explain(case, one, f, g) and _explain(case, other, f, g) for f, g in pairs)


def _too_much(case: Case, one: _Seen, other: _Seen) -> bool:
    """True where the volts of a rail and its ohms come to more current than there can be (Ohm's law)."""
    for volts, ohms in ((one.reading, other.reading), (other.reading, one.reading)):
        amps = case.amps.get((volts.measure, ohms.measure), math.inf)
        if volts.value is not None and ohms.value is not None:
            scale = case.scales[ohms.measure]
            shorted = class_of(scale, ohms) not in scale.normal
            if shorted and abs(volts.value) > amps * max(abs(ohms.value), LEADS):
                return True
    return False


def _log_of_two(case: Case, known: Evidence, seen: Sequence[_Seen], f: int, g: int) -> float:
    named = case.prior[:-1]
    whole = (math.fsum(named) ** 2 - math.fsum([p * p for p in named])) / 2
    log = math.log(TWICE * case.prior[f] * case.prior[g] / whole)
    for symptom in sorted(known.symptoms):
        row = case.shows[symptom]
        log += math.log(1 - (1 - row[f]) * (1 - row[g]))
    return log + math.fsum(_logs(case, seen, f, g))


def _logs(case: Case, seen: Sequence[_Seen], f: int, g: int) -> Iterator[float]:
    for one in sorted(seen, key=lambda one: one.reading.measure):
        yield math.log(_two(case, one, f, g))


def _blunder(one: _Seen, probabilities: Sequence[float]) -> float:
    """The probability that a reading means nothing, as all that is known has it."""
    last = len(probabilities) - 1
    named = [
        p * BLUNDER * one.nothing / likely
        for p, likely in zip(probabilities[:last], one.likely, strict=False)
    ]
    return math.fsum(named)
