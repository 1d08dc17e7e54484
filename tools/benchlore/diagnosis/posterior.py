"""How likely each fault is, given symptoms, readings and fixes that did not help."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import mul

from benchlore.book.same import Same
from benchlore.diagnosis.case import Case, CaseError
from benchlore.diagnosis.likelihood import BLUNDER, class_of, elsewhere, elsewhere_by_way, outcome_weights
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.ways import folded
from benchlore.findings import nearest


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of a job: reported symptoms, one reading a measurement (in the order taken), fixes that
    failed.

    A fix that was made and whose proof did not read normal rules out all that it mends. The proof's
    reading is a reading like any other; where that measurement had been read before, the later reading
    stands. `confirmed`: the measurements that were read twice alike. `tried_last`: nothing was read since the
    last of these fixes."""

    symptoms: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()
    tried: tuple[str, ...] = ()
    confirmed: frozenset[str] = frozenset()
    tried_last: bool = False


def evidence(
    case: Case,
    symptoms: Iterable[str] = (),
    readings: Iterable[Reading] = (),
    tried: Iterable[str] = (),
    *,
    tried_last: bool = False,
) -> Evidence:
    """Evidence that fits the case. Of two readings of one measurement the later one stands; it confirms the
    first where both are taken for one outcome. Raises CaseError for names the case lacks.
    """
    symptoms, readings, tried = tuple(dict.fromkeys(symptoms)), tuple(readings), tuple(dict.fromkeys(tried))
    for symptom in symptoms:
        if symptom not in case.shows:
            raise CaseError(f"'{symptom}' is not a symptom", nearest(symptom, case.shows))
    taken: dict[str, Reading] = {}
    confirmed: set[str] = set()
    for reading in readings:
        if reading.measure not in case.scales:
            raise CaseError(
                f"'{reading.measure}' is not a measurement of {_board(case)}",
                nearest(reading.measure, case.scales),
            )
        before, scale = taken.pop(reading.measure, None), case.scales[reading.measure]
        if before is not None and class_of(scale, before) == class_of(scale, reading):
            confirmed.add(reading.measure)
        else:
            confirmed.discard(reading.measure)
        taken[reading.measure] = reading
    for fault in tried:
        if fault not in case.faults:
            raise CaseError(f"'{fault}' is not a fault of {_board(case)}", nearest(fault, case.faults))
    return Evidence(symptoms, tuple(taken.values()), tried, frozenset(confirmed), tried_last)


def _board(case: Case) -> str:
    return case.family if case.revision is None else f"{case.family} revision {case.revision}"


def likelihoods(case: Case, reading: Reading) -> tuple[float, ...]:
    """p(reading | hypothesis) for each fault and, last, for something else; never zero.

    A fault: (1 - BLUNDER) x sum over its outcomes of P(outcome | fault) p(reading | outcome) + BLUNDER x a,
    where a is the density of a reading that means nothing. Something else: see `likelihood.elsewhere`."""
    said = _said(Same(case), reading)
    known = said.rows[: len(case.faults)]
    return (*known, elsewhere(case.scales[reading.measure], said.weights, said.nothing))


def by_way(case: Case, reading: Reading) -> tuple[float, ...]:
    """p(reading | way of failing) for each column of the case; never zero."""
    said = _said(Same(case), reading)
    scale = case.scales[reading.measure]
    return case.columns.of(said.rows, elsewhere_by_way(scale, said.weights, said.nothing))


def by_way_apart(case: Case, measure: str) -> list[tuple[float, ...]]:
    """What `by_way` is made of, for very many readings of one measurement: it is the sum of these, times what
    `outcome_weights` gives: of each outcome, and last of what means nothing.
    """
    size = case.scales[measure].size
    units = [[float(i == one) for i in range(size + 1)] for one in range(size + 1)]
    return [
        case.columns.of(
            _by_row(case, measure, unit[:-1], unit[-1]),
            elsewhere_by_way(case.scales[measure], unit[:-1], unit[-1]),
        )
        for unit in units
    ]


@dataclass(frozen=True, slots=True)
class _Said:
    """What a reading says: `weights`, `nothing` as of `outcome_weights`; p(reading | row) of the rows of
    the hypotheses and of their further ways of failing."""

    weights: tuple[float, ...]
    nothing: float
    rows: list[float]


@lru_cache(maxsize=64)
def _said(of_case: Same[Case], reading: Reading) -> _Said:
    """An answer asks the same of its few readings half a dozen times."""
    case = of_case.record
    weights, nothing = outcome_weights(case.scales[reading.measure], reading)
    return _Said(weights, nothing, _by_row(case, reading.measure, weights, nothing))


def _by_row(case: Case, measure: str, weights: Sequence[float], nothing: float) -> list[float]:
    rows = (*case.expected[measure], *case.ways[measure])
    floor = BLUNDER * nothing
    alike = case.alike[measure]
    known = {
        first: (1 - BLUNDER) * math.fsum(map(mul, rows[first], weights)) + floor
        for first in dict.fromkeys(alike)
    }
    return [known[first] for first in alike]


def meaningless(case: Case, reading: Reading) -> float:
    """p(reading) of one that means nothing: a fault that makes it less likely does not explain it."""
    return _said(Same(case), reading).nothing


def posterior(case: Case, known: Evidence) -> tuple[float, ...]:
    """Probability of each fault, in order of id, and, last, of "not in the book"; they sum to one.

    The sum over its ways of failing, given each of which the readings are independent: a fault's probability
    is that of the mixture of products.
    """
    return of_hypotheses(case, joint(case, known))


def of_hypotheses(case: Case, weights: Sequence[float]) -> tuple[float, ...]:
    """Probability of each fault and, last, of "not in the book", from the weights of the columns."""
    found = folded(weights, case.columns.extra)
    total = math.fsum(found)
    return tuple([p / total for p in found])


def joint(case: Case, known: Evidence) -> tuple[float, ...]:
    """Probability of each column: of each way of failing of each fault, and of something else.

    Computed in logarithms and in the order of the ids, so that the order of the evidence changes not one bit.
    """
    columns = case.columns
    logs = columns.spread(log_weights(case, known.symptoms))
    logs = [log + math.log(share) for log, share in zip(logs, columns.shares, strict=True)]
    for reading in sorted(known.readings, key=lambda r: r.measure):
        logs = [log + math.log(p) for log, p in zip(logs, by_way(case, reading), strict=True)]
    gone = {c for h in case.ruled_out(known.tried) for c in columns.at(h)}
    highest = max(log for c, log in enumerate(logs) if c not in gone)
    weights = [0.0 if c in gone else math.exp(log - highest) for c, log in enumerate(logs)]
    total = math.fsum(weights)
    return tuple(weight / total for weight in weights)


def log_weights(case: Case, symptoms: Iterable[str]) -> list[float]:
    """Logarithms of the hypotheses' weights before any reading: priors and reported symptoms."""
    logs = [math.log(p) for p in case.prior]
    for symptom in sorted(symptoms):
        logs = [log + math.log(p) for log, p in zip(logs, case.shows[symptom], strict=True)]
    return logs
