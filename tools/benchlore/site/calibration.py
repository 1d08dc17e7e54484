"""Simulated jobs on boards that do not follow the book's own numbers, worked by its plans: what they took,
how often the answer was wrong, and how right the probabilities were.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass
from math import fsum
from typing import Any

from benchlore.book.links import faults_of_family
from benchlore.book.model import Book
from benchlore.cache import code_of, key_of, remembered
from benchlore.diagnosis.boards import Boards, Job
from benchlore.diagnosis.plan import Node
from benchlore.diagnosis.simulate import Decile, Minutes, minutes_of, reliability
from benchlore.fingerprint import Fingerprints
from benchlore.site.plans import FamilyPlans

JOBS = 10_000
SEED = 1
WEAK = 8  # hypotheses that are listed where the book is weak
_FEWEST = 20  # jobs of one that is judged
_MINUTES = (int, float, float, float)
# What `_packed` gives.
_FORM = (
    _MINUTES,
    [(str, *_MINUTES)],
    [(float, int, float, float)],
    float,
    float,
    float,
    float,
    [(str, int, float, str, float)],
)


@dataclass(frozen=True, slots=True)
class Weak:
    """A hypothesis that the plans often get wrong. `wrong`: share of its `jobs` with a fix on the board that
    did not mend it, or that were escalated; `taken_for`: what was tried most often instead, empty where it
    was escalated; `minutes`: a job, of fixes that did not mend.
    """

    id: str
    jobs: int
    wrong: float
    taken_for: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the simulated jobs of a family came to, in all and by symptom.

    `escalated`: share of the jobs; `wrong`: fixes on the board that did not mend it, a job; `lost`: minutes
    of these and of other trials, a job; `unrecorded`: share of the jobs with a fault that nobody foresees.
    """

    total: Minutes
    by_symptom: Mapping[str, Minutes]
    deciles: tuple[Decile, ...]
    escalated: float
    wrong: float
    lost: float
    unrecorded: float
    weak: tuple[Weak, ...]


def calibration(book: Book, known: FamilyPlans, count: int = JOBS, seed: int = SEED) -> Calibration:
    """Play so many jobs of a family; the same seed plays the same jobs. Kept by content: it takes seconds."""
    case, family = known.case, known.family
    read = [(f.id, f.cause, f.test_points, f.foretold) for f in faults_of_family(book, family.id)]
    code = code_of("circuit", "diagnosis", "site/calibration.py")
    key = key_of(known.key, code, Fingerprints().of((family, read)), count, seed)

    def make() -> list[Any]:
        return _packed(_play(book, known, count, seed))

    return _unpacked(remembered(f"calibration-{case.family}", key, make, _FORM))


def _play(book: Book, known: FamilyPlans, count: int, seed: int) -> Calibration:
    trees: dict[str, Node] = {symptom: plan.tree for symptom, plan in known.plans.items()}
    boards = Boards(book, known.family, known.case, seed)
    played = tuple(boards.jobs(trees, count))
    by_symptom = {}
    for symptom in sorted(trees):
        own = [job for job in played if job.symptom == symptom]
        if len(own) > 1:
            by_symptom[symptom] = minutes_of(own, trees)
    nowhere = len(known.case.faults)
    return Calibration(
        minutes_of(played, trees),
        by_symptom,
        reliability(known.case, played),
        sum(not job.mended for job in played) / count,
        sum(len(job.fixes) for job in played) / count,
        fsum(job.lost for job in played) / count,
        sum(job.hidden == nowhere for job in played) / count,
        _weak(known, played),
    )


def _weak(known: FamilyPlans, played: Iterable[Job]) -> tuple[Weak, ...]:
    """Where the answer is wrong most often, in jobs of all."""
    names = known.case.faults
    by: dict[int, list[Job]] = {}
    for job in played:
        by.setdefault(job.hidden, []).append(job)
    found = []
    for hidden, own in by.items():
        wrong = [job for job in own if job.fixes or not job.mended]
        if hidden < len(names) and wrong and len(own) >= _FEWEST:
            instead = Counter(fault for job in wrong for fault in job.fixes)
            most = min(instead, key=lambda fault: (-instead[fault], fault)) if instead else None
            lost = fsum(job.lost for job in own) / len(own)
            name = names[most] if most is not None else ""
            found.append(
                (-len(wrong), hidden, Weak(names[hidden], len(own), len(wrong) / len(own), name, lost))
            )
    return tuple(weak for *_, weak in sorted(found, key=lambda one: one[:2])[:WEAK])


def _packed(made: Calibration) -> list[Any]:
    by_symptom = [[symptom, *astuple(minutes)] for symptom, minutes in made.by_symptom.items()]
    deciles = [astuple(one) for one in made.deciles]
    shares = [made.escalated, made.wrong, made.lost, made.unrecorded]
    return [astuple(made.total), by_symptom, deciles, *shares, [astuple(one) for one in made.weak]]


def _unpacked(packed: Sequence[Any]) -> Calibration:
    total, by_symptom, deciles, escalated, wrong, lost, unrecorded, weak = packed
    return Calibration(
        Minutes(*total),
        {symptom: Minutes(*minutes) for symptom, *minutes in by_symptom},
        tuple(Decile(*one) for one in deciles),
        escalated,
        wrong,
        lost,
        unrecorded,
        tuple(Weak(*one) for one in weak),
    )
