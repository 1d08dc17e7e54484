"""Simulated jobs, worked by the plans of the book: what they took, and how right the probabilities were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass
from typing import Any

from benchlore.cache import key_of, remembered
from benchlore.diagnosis.plan import Node
from benchlore.diagnosis.simulate import Decile, Minutes, jobs, minutes_of, reliability
from benchlore.site.plans import FamilyPlans

JOBS = 20_000
SEED = 1
_MINUTES = (int, float, float, float)
# What `_packed` gives: all jobs, those of each symptom, the deciles, the share that was escalated.
_FORM = (_MINUTES, [(str, *_MINUTES)], [(float, int, float, float)], float)
# Standard errors that realised minutes may lie from the expected; chance does more in one symptom of 370.
ERRORS = 3.0


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the simulated jobs of a family came to, in all and by symptom. `escalated`: share of the jobs."""

    total: Minutes
    by_symptom: Mapping[str, Minutes]
    deciles: tuple[Decile, ...]
    escalated: float


def agree(minutes: Minutes) -> bool:
    """True when realised and expected minutes differ by no more than chance explains."""
    return abs(minutes.realised - minutes.expected) <= ERRORS * minutes.error


def calibration(known: FamilyPlans, count: int = JOBS, seed: int = SEED) -> Calibration:
    """Play so many jobs of a family; the same seed plays the same jobs. Kept by content: it takes seconds."""
    case = known.case
    key = key_of(known.key, count, seed)
    return _unpacked(
        remembered(f"calibration-{case.family}", key, lambda: _packed(_play(known, count, seed)), _FORM)
    )


def _play(known: FamilyPlans, count: int, seed: int) -> Calibration:
    trees: dict[str, Node] = {symptom: plan.tree for symptom, plan in known.plans.items()}
    played = tuple(jobs(known.case, trees, count, seed))
    by_symptom = {}
    for symptom in sorted(trees):
        own = [job for job in played if job.symptom == symptom]
        if len(own) > 1:
            by_symptom[symptom] = minutes_of(own, trees)
    escalated = sum(job.proved is None for job in played) / count
    return Calibration(minutes_of(played, trees), by_symptom, reliability(known.case, played), escalated)


def _packed(made: Calibration) -> list[Any]:
    by_symptom = [[symptom, *astuple(minutes)] for symptom, minutes in made.by_symptom.items()]
    return [astuple(made.total), by_symptom, [astuple(one) for one in made.deciles], made.escalated]


def _unpacked(packed: Sequence[Any]) -> Calibration:
    total, by_symptom, deciles, escalated = packed
    return Calibration(
        Minutes(*total),
        {symptom: Minutes(*minutes) for symptom, *minutes in by_symptom},
        tuple(Decile(*one) for one in deciles),
        escalated,
    )
