"""Simulated jobs: a hidden fault from the priors, readings with the meter's error, the plan followed to its
end.

Every draw comes from one `random.Random(seed)`, so that the same seed plays the same jobs.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Protocol

import numpy as np

from benchlore.diagnosis.at_once import Numbers
from benchlore.diagnosis.case import Case
from benchlore.diagnosis.likelihood import (
    ANYWHERE,
    BLUNDER,
    EDGE,
    ELSEWHERE,
    Scale,
    class_of,
    outcome_weights,
)
from benchlore.diagnosis.meter import largest_reading, standard_uncertainty
from benchlore.diagnosis.plan import Node
from benchlore.diagnosis.posterior import Evidence, by_way_apart, joint
from benchlore.diagnosis.reading import Reading

BINS = 10
_TOGETHER = 500  # jobs that are judged at a time, so that no array grows without end


@dataclass(frozen=True, slots=True)
class Job:
    """One simulated job.

    `hidden`: index of the hypothesis. `minutes`: spent. `proved`: the fix that ended it, or None when it was
    escalated. `readings`: those taken before the first fix, or escalation, in order.
    """

    symptom: str
    hidden: int
    minutes: float
    proved: str | None
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Decile:
    """Probabilities that were stated between `low` and `low` + 1/10: how many, their mean, and the share that
    was true.
    """

    low: float
    count: int
    stated: float
    true: float


@dataclass(frozen=True, slots=True)
class Minutes:
    """Realised minutes beside the expected. `error`: standard error of the mean of the differences."""

    jobs: int
    expected: float
    realised: float
    error: float


class Played(Protocol):
    """A job that was played: what it hid, what it took, what was read before the first fix."""

    @property
    def symptom(self) -> str: ...

    @property
    def hidden(self) -> int: ...

    @property
    def minutes(self) -> float: ...

    @property
    def readings(self) -> tuple[Reading, ...]: ...


class Draw:
    """Draws hidden faults and readings of one case."""

    def __init__(self, case: Case, chance: random.Random) -> None:
        self.case = case
        self.chance = chance
        self._prior = sums_of(case.prior)
        self._rows = {
            measure: tuple(map(sums_of, (*rows, *case.ways[measure])))
            for measure, rows in case.expected.items()
        }
        self._healthy = [*(share for _, share in ELSEWHERE[1:]), ELSEWHERE[0][1]]

    def hidden(self) -> int:
        """A hypothesis, drawn from the priors."""
        return pick(self.chance, self._prior)

    def way(self, hidden: int) -> int:
        """A board with the hidden hypothesis: the column of one of its ways of failing, by their shares."""
        columns = self.case.columns
        mine = columns.at(hidden)
        return mine[pick(self.chance, sums_of(columns.shares[c] for c in mine))]

    def reading(self, measure: str, way: int) -> Reading:
        """A reading of a measurement on a board of one column, as the model says that it comes about."""
        scale, columns = self.case.scales[measure], self.case.columns
        known = len(columns.rows)
        if way >= known:
            share = self._healthy[way - known]
            if scale.normal and self.chance.random() < share + (1 - share) * (1 - scale.stray):
                return self._of_outcome(scale, self.chance.choice(scale.normal))
            return self._meaningless(scale)
        if self.chance.random() < BLUNDER:
            return self._meaningless(scale)
        return self._of_outcome(scale, pick(self.chance, self._rows[measure][columns.rows[way]]))

    def _meaningless(self, scale: Scale) -> Reading:
        if not scale.ranges or self.chance.random() >= ANYWHERE:
            return self._of_outcome(scale, self.chance.randrange(scale.size))
        if self.chance.random() < scale.over_range:
            return Reading(scale.measure, "OL")
        return _value(scale, self.chance.uniform(scale.lowest, scale.highest))

    def _of_outcome(self, scale: Scale, index: int) -> Reading:
        band = scale.bands[index]
        if not band.read and band.over == 0:
            return Reading(scale.measure, band.outcome, outcome=band.outcome)
        if self.chance.random() < band.over:
            return Reading(scale.measure, "OL")
        place = self.chance.random()
        if band.under and place < EDGE:
            return _value(scale, band.floor - self._off(band.under))
        if band.beyond and place >= 1 - EDGE:
            return _value(scale, band.ceiling + self._off(band.beyond))
        true = self.chance.uniform(band.floor, band.ceiling)
        return _value(scale, self.chance.gauss(true, standard_uncertainty(scale.ranges, true)))

    def _off(self, gap: float) -> float:
        """How far from its outcome a reading lies that falls into the space beside it, as `band_density` has
        it: its share falls to nothing at the next outcome. By the inverse of 1 - (1 - d/gap)^2.
        """
        return gap * (1 - math.sqrt(1 - self.chance.random()))


def _value(scale: Scale, value: float) -> Reading:
    """A value as the meter shows it; of two that are compared, never over-range, it ends with the scale."""
    if scale.over_range == 0:
        value = min(max(value, scale.lowest), scale.highest)
    limit = largest_reading(scale.ranges)
    return (
        Reading(scale.measure, f"{value:.6g}", value) if abs(value) <= limit else Reading(scale.measure, "OL")
    )


def sums_of(weights: Iterable[float]) -> tuple[float, ...]:
    """The running sums of some weights, which `pick` draws from."""
    return tuple(accumulate(weights))


def pick(chance: random.Random, sums: Sequence[float]) -> int:
    """An index, drawn by the weights whose running sums these are."""
    return bisect_right(sums, chance.random() * sums[-1], 0, len(sums) - 1)


def jobs(case: Case, trees: Mapping[str, Node], count: int, seed: int) -> Iterator[Job]:
    """Simulated jobs: a symptom and a fault that shows it, then the plan of that symptom.

    A fault is drawn from the priors and a symptom of the plans evenly; the pair is kept with the probability
    that the fault shows it. So among the jobs of one symptom the faults follow the posterior of that symptom.
    """
    chance = random.Random(seed)
    draw = Draw(case, chance)
    symptoms = sorted(trees)
    made = 0
    while made < count:
        hidden, symptom = draw.hidden(), chance.choice(symptoms)
        if chance.random() < case.shows[symptom][hidden]:
            made += 1
            yield follow(draw, trees[symptom], symptom, hidden)


def follow(draw: Draw, tree: Node, symptom: str, hidden: int) -> Job:
    """Follow a plan on a board with the hidden hypothesis."""
    case, way = draw.case, draw.way(hidden)
    mended_by = case.bench.mended_by
    step, minutes, fixing = tree, 0.0, False
    readings: list[Reading] = []
    while True:
        minutes += step.minutes
        fixing = fixing or step.kind != "measure"
        if step.kind == "measure":
            reading = draw.reading(step.id, way)
            if not fixing:
                readings.append(reading)
            step = step.branches[class_of(case.scales[step.id], reading)].then
        elif (
            step.kind == "fix"
            and hidden not in mended_by(case.faults.index(step.id))
            and step.failed is not None
        ):
            step = step.failed
        else:
            proved = step.id if step.kind == "fix" else None
            return Job(symptom, hidden, minutes, proved, tuple(readings))


def minutes_of(played: Sequence[Played], trees: Mapping[str, Node]) -> Minutes:
    """Realised minutes of some jobs beside what their plans expect."""
    differences = [job.minutes - trees[job.symptom].expected for job in played]
    count = len(played)
    mean = math.fsum(differences) / count
    spread = math.fsum((d - mean) ** 2 for d in differences) / max(count - 1, 1)
    expected = math.fsum(trees[job.symptom].expected for job in played) / count
    return Minutes(count, expected, expected + mean, math.sqrt(spread / count))


def reliability(case: Case, played: Iterable[Played]) -> tuple[Decile, ...]:
    """Stated probabilities against what was true, in deciles: of every hypothesis, after every reading of
    every job.

    Only readings before the first fix count: later ones are taken only where that fix failed, and would be
    counted against the truth. Deciles that hold nothing are left out."""
    likely = _Likelihoods(case)
    by_symptom: dict[str, list[Played]] = {}
    for job in played:
        by_symptom.setdefault(job.symptom, []).append(job)
    readings = 0
    stated: list[list[float]] = [[] for _ in range(BINS)]
    true = [0] * BINS
    for symptom, own in by_symptom.items():
        before = np.array(joint(case, Evidence((symptom,))))
        for at in range(0, len(own), _TOGETHER):
            for hidden, stands in _after_each(likely, before, own[at : at + _TOGETHER]):
                readings += len(hidden)
                # Most hypotheses are in the lowest decile: they are counted together.
                for h, n in np.argwhere(stands >= 1 / BINS).tolist():
                    p = float(stands[h, n])
                    i = min(int(p * BINS), BINS - 1)
                    stated[i].append(p)
                    true[i] += h == hidden[n]
    counts = [len(several) for several in stated]
    sums = [math.fsum(several) for several in stated]
    counts[0] = readings * (case.columns.count + 1) - sum(len(several) for several in stated)
    sums[0] = readings - math.fsum(sums)
    true[0] = readings - sum(int(n) for n in true)
    return tuple(Decile(i / BINS, n, sums[i] / n, true[i] / n) for i, n in enumerate(counts) if n)


def _after_each(
    likely: _Likelihoods, before: Numbers, jobs: Sequence[Played]
) -> Iterator[tuple[list[int], Numbers]]:
    """After the first reading of each job, after the second, and so on: what the jobs hide that had so many
    readings, and P(hypothesis) of each, as [hypothesis, job].
    """
    now = np.repeat(before[:, None], len(jobs), axis=1)
    for taken in range(max(len(job.readings) for job in jobs)):
        left = [n for n, job in enumerate(jobs) if len(job.readings) > taken]
        jobs = [jobs[n] for n in left]
        now = now[:, left] * likely([job.readings[taken] for job in jobs])
        # Row by row, as below.
        now /= now.sum(axis=0)
        yield [job.hidden for job in jobs], likely.folded(now)


class _Likelihoods:
    """`posterior.by_way` of one case, for many readings at once; what a reading without a value says is
    computed once.
    """

    def __init__(self, case: Case) -> None:
        self._case = case
        self._apart: dict[str, Numbers] = {}
        self._known: dict[tuple[str, str | None], tuple[float, ...]] = {}

    def __call__(self, readings: Sequence[Reading]) -> Numbers:
        """By column and reading."""
        of: dict[str, list[int]] = {}
        for n, reading in enumerate(readings):
            of.setdefault(reading.measure, []).append(n)
        found = np.empty((len(self._case.columns.shares), len(readings)))
        for measure, at in of.items():
            weights = np.array([self._weights(readings[n]) for n in at])
            # Row by row, which is the same on every processor; a product of matrices is not.
            found[:, at] = (self._rows(measure)[:, :, None] * weights.T[:, None, :]).sum(axis=0)
        return found

    def folded(self, now: Numbers) -> Numbers:
        """By hypothesis what is given by column."""
        columns = self._case.columns
        found = np.concatenate([now[: columns.count], now[-1:]])
        for column, h in enumerate(columns.extra, columns.count):
            found[h] += now[column]
        return found

    def _rows(self, measure: str) -> Numbers:
        if measure not in self._apart:
            self._apart[measure] = np.array(by_way_apart(self._case, measure))
        return self._apart[measure]

    def _weights(self, reading: Reading) -> tuple[float, ...]:
        if reading.value is not None:
            return self._weighed(reading)
        key = reading.measure, reading.outcome
        if key not in self._known:
            self._known[key] = self._weighed(reading)
        return self._known[key]

    def _weighed(self, reading: Reading) -> tuple[float, ...]:
        weights, nothing = outcome_weights(self._case.scales[reading.measure], reading)
        return (*weights, nothing)
