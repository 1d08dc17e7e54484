"""Diagnosis: whether the records lead to their faults, read with the shop's own meter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from heapq import nsmallest
from itertools import combinations, pairwise

from benchlore.book.ids import name_of
from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Family, Fault, Measurement, Meter
from benchlore.circuit.healthy import is_sound
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.likelihood import scale_of
from benchlore.diagnosis.meter import accuracy_limit, range_for
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.diagnosis.rank import taken_for
from benchlore.diagnosis.reading import Reading, ReadingError, read
from benchlore.findings import Problem
from benchlore.quantity import format_value
from benchlore.rules.pairs import named_and_counted
from benchlore.rules.rule import Kind, rule
from benchlore.rules.subjects import FAMILY, FAULT

# A worked example makes its fault more likely than this.
CONVINCED = 0.5
# Two faults are told apart by a measurement that reads differently on at least this share of their boards.
APART = 0.5
_ROUNDING = 1e-6  # a gap that is the limit but for rounding is wide enough
# Share of its boards on which a fault reads an outcome that counts as its own.
_READ, _MOSTLY = 0.2, 0.5
_SELDOM = 0.02  # a reading below this share is not what a fault reads
_NAMED = 4  # blank cells that a finding lists


def _cases(book: Book) -> Iterator[tuple[Family, tuple[Case, ...]]]:
    """Every family with its cases: one a revision, with the shop's meter."""
    if _shop_meter(book) is not None:
        for family in book.families.values():
            yield (
                family,
                tuple(make_case(book, family.id, revision) for revision in family.revisions),
            )


_CASES = Kind({"family": "Family", "cases": "tuple[Case, ...]"}, _cases)


@rule(each=FAULT)
def example_not_readable(book: Book, fault: Fault) -> Iterator[Problem]:
    """Every reading of a worked example is one that the shop's meter can show.

    Bad:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 A
          main-rail-on-pack: 3.31 V

    Good:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          main-rail-on-pack: 3.31 V
    """
    meter, family = _shop_meter(book), book.families.get(fault.family)
    if meter is None or family is None:
        return
    for name, typed in fault.worked_example.items():
        measurement = family.measurements.get(name)
        if measurement and measurement.unit is not None:
            try:
                read(measurement, meter, typed)
            except ReadingError as error:
                yield Problem(fault.origin.at("worked_example", name), error.reason, error.mend)


@rule(each=_CASES)
def example_misleads(book: Book, family: Family, cases: tuple[Case, ...]) -> Iterator[Problem]:
    """The worked example of a fault ranks it first on the board, with a probability of more than one half.

    It is worked out for each revision that can have the fault, from the symptoms that the fault shows always
    or often and the readings of the example. What is outside the board and has no record is left out: it is
    tried in a minute.

    Bad:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          main-rail-on-pack: 0.02 V

    Good:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          main-rail-on-pack: 3.31 V
    """
    told: set[str] = set()
    for case in cases:
        ranked: dict[tuple[tuple[str, ...], tuple[Reading, ...]], _Ranked] = {}  # copies are worked out once
        for place, fault in enumerate(book.faults[name] for name in case.faults[: case.recorded]):
            if fault.id in told:
                continue
            readings = _readings(book, family, case, fault)
            if readings is None:
                continue
            seen = tuple(symptom for symptom, often in fault.symptom.items() if often != "sometimes")
            key = (seen, tuple(readings))
            if key not in ranked:
                ranked[key] = _ranked(on_board(case, posterior(case, evidence(case, seen, readings))))
            own, first = ranked[key].likely[place], ranked[key].first
            if own <= CONVINCED or own < ranked[key].likely[first[0]]:
                told.add(fault.id)
                rival = next(n for n in first if n != place)
                yield _misled(case, fault, own, rival, ranked[key].likely[rival])


@rule(each=_CASES)
def example_reads_otherwise(book: Book, family: Family, cases: tuple[Case, ...]) -> Iterator[Problem]:
    """Each reading of a worked example is one that its fault reads, as the record states or the circuit
    foretells, in one job in fifty at least.

    Bad:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          main-rail: 3.31 V
          main-rail-on-pack: 3.31 V

    Good:
        # faults/wren-5/fuse-open.yaml
        worked_example:
          fused-rail: 0.02 V
          main-rail: 0.03 V
          main-rail-on-pack: 3.31 V
    """
    told: set[str] = set()
    for case in cases:
        for fault in (book.faults[name] for name in case.faults[: case.recorded] if name not in told):
            told.add(fault.id)
            for reading in _readings(book, family, case, fault) or ():
                row, name = fault.reads.get(reading.measure), taken_for(case, reading)
                if row and row.get(name, 0.0) < _SELDOM:
                    said = " or ".join(one for one, share in row.items() if share >= _SELDOM)
                    message = f"this is '{name}', and the fault reads '{said}' there"
                    mend = "write what was read in a job with this fault, or mend what the fault reads"
                    yield Problem(fault.origin.at("worked_example", reading.measure), message, mend)


def on_board(case: Case, probabilities: tuple[float, ...]) -> tuple[float, ...]:
    """The probabilities without what is outside the board and has no record."""
    outside = {name for name, suspect in case.suspects.items() if suspect.outside}
    kept = [0.0 if name in outside else p for name, p in zip((*case.faults, ""), probabilities, strict=True)]
    total = math.fsum(kept)
    return tuple(p / total for p in kept)


@dataclass(frozen=True, slots=True)
class _Ranked:
    """The probability of each fault, and the places of the two likeliest; of equals, the first."""

    likely: tuple[float, ...]
    first: tuple[int, ...]


def _ranked(likely: tuple[float, ...]) -> _Ranked:
    return _Ranked(likely, tuple(nsmallest(2, range(len(likely)), key=lambda place: (-likely[place], place))))


def _misled(case: Case, fault: Fault, own: float, place: int, p: float) -> Problem:
    name = case.faults[place] if place < len(case.faults) else "a fault that is not in the book"
    rival = case.suspects[name].title if name in case.suspects else name_of(name)
    message = (
        f"on revision {case.revision} the worked example makes this fault {own * 100:.0f} % likely, "
        f"and '{rival}' {p * 100:.0f} %"
    )
    mend = f"add the reading that tells it from '{rival}', and state what the fault reads there"
    return Problem(fault.origin.at("worked_example"), message, mend, on_key=True)


@rule(each=_CASES)
def not_told_apart(book: Book, family: Family, cases: tuple[Case, ...]) -> Iterator[Problem]:
    """Two faults of a family that share a symptom are told apart by a measurement that is known of
    both.

    Told apart: on at least half of the boards with either, the shop's meter reads different outcomes (total
    variation of the two). Where the book is silent about one of them, nothing is known to differ: those are
    the blank cells to fill. Faults with one fix of one part need not be told apart.

    Bad:
        # faults/wren-5/rail-short.yaml
        cause:
          mode:
        test_points:
          - main-rail: absent
        worked_example:
          main-rail: 0.02 V

    Good:
        # faults/wren-5/rail-short.yaml
        cause:
          mode: shorted-to-ground
        test_points:
          - main-rail: absent
          - main-heat: hot
        worked_example:
          main-rail: 0.02 V
          main-junction: 0.004 V
          fused-rail: 5.02 V
    """
    faults = [fault for fault in faults_of_family(book, family.id) if _clear(family, fault)]
    places = [{name: place for place, name in enumerate(case.faults)} for case in cases]
    read = [
        tuple(_read(case, known.get(fault.id)) for case, known in zip(cases, places, strict=True))
        for fault in faults
    ]

    def case_of(one: int, other: int) -> Case | None:
        """The first case in which both can be and nothing tells them apart."""
        both = zip(cases, read[one], read[other], strict=True)
        return next(
            (case for case, a, b in both if a is not None and b is not None and not _apart(a, b)), None
        )

    def alike(one: int, other: int) -> bool:
        a, b = faults[one], faults[other]
        return (
            bool(set(a.symptom) & set(b.symptom)) and _fix(a) != _fix(b) and case_of(one, other) is not None
        )

    def make(one: int, other: int) -> Problem:
        case = case_of(one, other)
        assert case is not None
        shared = next(name for name in faults[one].symptom if name in faults[other].symptom)
        return _alike(case, faults[one], faults[other], shared)

    features = [(tuple(fault.symptom), _fix(fault), *said) for fault, said in zip(faults, read, strict=True)]
    yield from named_and_counted(features, lambda place: faults[place].symptom, alike, make)


def pairs_not_told_apart(book: Book, family: Family) -> frozenset[tuple[str, str, str]]:
    """All pairs that `not_told_apart` speaks of, as (fault, fault, a symptom that both show)."""
    cases = next((made for of, made in _cases(book) if of.id == family.id), ())
    faults = [fault for fault in faults_of_family(book, family.id) if _clear(family, fault)]
    found = set()
    for case in cases:
        places = {name: place for place, name in enumerate(case.faults)}
        read = {fault.id: _read(case, places.get(fault.id)) for fault in faults}
        for one, other in combinations(faults, 2):
            shared = next((name for name in one.symptom if name in other.symptom), None)
            if shared is None or _fix(one) == _fix(other):
                continue
            a, b = read[one.id], read[other.id]
            if a is not None and b is not None and not _apart(a, b):
                found.add((one.id, other.id, shared))
    return frozenset(found)


# What a fault reads at each measurement that it states: the share of each outcome.
_Read = tuple[tuple[str, tuple[float, ...]], ...]


def _read(case: Case, place: int | None) -> _Read | None:
    """What the fault at a place of the case reads; None where the case does not have it."""
    if place is None:
        return None
    return tuple(
        (measure, tuple(row[place] for row in table))
        for measure, table in zip(case.bench.measures, case.bench.tables, strict=True)
        if place in case.says[measure]
    )


def _clear(family: Family, fault: Fault) -> bool:
    """False where a name of a test point leads nowhere, or one of the circuit, or the part at fault: it may
    be the one that tells the fault apart."""
    known = family.measurements
    stated = all(
        e.measure in known and set(e.expected_reading) <= set(known[e.measure].outcomes)
        for e in fault.test_points
    )
    return is_sound(family) and fault.cause.part in family.parts and stated


def _fix(fault: Fault) -> tuple[str, str]:
    return fault.cause.part, fault.fix.action


def _apart(one: _Read, other: _Read) -> bool:
    """True when some measurement of which both faults tell tells them apart."""
    theirs = dict(other)
    return any(
        math.fsum(abs(a - b) for a, b in zip(shares, theirs[measure], strict=True)) / 2 >= APART
        for measure, shares in one
        if measure in theirs
    )


def _alike(case: Case, one: Fault, other: Fault, symptom: str) -> Problem:
    here, there = ({e.measure for e in fault.readings} for fault in (one, other))
    blank = [f"'{m}' of '{other.name}'" for m in sorted(here - set(other.reads)) if m in case.scales]
    blank += [f"'{m}' of '{one.name}'" for m in sorted(there - set(one.reads)) if m in case.scales]
    listed = ", ".join(blank[:_NAMED]) + (f" and {len(blank) - _NAMED} others" if len(blank) > _NAMED else "")
    message = f"'{one.name}' and '{other.name}' both show '{symptom}', and no measurement tells them apart"
    mend = (
        f"fill a blank cell: {listed}" if blank else "add a measurement that reads otherwise with one of them"
    )
    return Problem(other.origin.at("test_points"), message, mend, on_key=True)


@rule(each=FAMILY)
def outcomes_too_close(book: Book, family: Family) -> Iterator[Problem]:
    """Between neighbouring outcomes that belong to different faults lies a gap of at least the error limit of
    the shop's meter, percent of reading + counts.

    A reading in the gap is taken for the nearer outcome. So a board that stands at the very end of one is
    taken for the other only when the error is more than half its limit, in at most a quarter of the readings
    (rectangular distribution, JCGM 100:2008 4.3.7). At 0.5 % + 3 counts of 10 mV, 8.25 V and 8.35 V pass;
    8.29 V and 8.31 V do not. An outcome that no fault reads on one board in five may touch its neighbours.

    Bad:
        # faults/wren-5/family.yaml
        measurements:
          main-rail-on-pack:
            outcomes:
              low:
              absent: {range: under 3.22 V, means: The converter is not running.}

    Good:
        # faults/wren-5/family.yaml
        measurements:
          main-rail-on-pack:
            outcomes:
              low:
              absent: {range: under 3.19 V, means: The converter is not running.}
    """
    meter = _shop_meter(book)
    if meter is None:
        return
    stated = _stated(book, family)
    for measurement in family.measurements.values():
        for low, high, gap, limit in _too_close(measurement, meter, stated.get(measurement.id, {})):
            ends = [format_value(size, measurement.unit or "", 2) for size in (gap, limit)]
            message = (
                f"'{low}' and '{high}' belong to different faults and lie {ends[0]} apart; "
                f"{meter.id} may err by {ends[1]} there"
            )
            mend = "move their ends apart, measure where they differ more, or give the shop a better meter"
            yield Problem(measurement.origin.at("outcomes", high), message, mend, on_key=True)


def _stated(book: Book, family: Family) -> dict[str, dict[str, set[str]]]:
    """The faults that read an outcome on one board in five, or, as foretold, on most, by measurement and
    outcome.
    """
    found: dict[str, dict[str, set[str]]] = {}
    for fault in faults_of_family(book, family.id):
        for measure, row in fault.reads.items():
            least = _MOSTLY if fault.foretold.get(measure) is row else _READ
            outcomes = found.setdefault(measure, {})
            for outcome, share in row.items():
                if share >= least:
                    outcomes.setdefault(outcome, set()).add(fault.id)
    return found


def _too_close(
    measurement: Measurement, meter: Meter, stated: Mapping[str, set[str]]
) -> Iterator[tuple[str, str, float, float]]:
    """Lower and upper outcome, their gap and the error limit in its middle, in the base unit."""
    scale = scale_of(measurement, meter)
    for (i, j), cut in zip(pairwise(scale.order), scale.cuts, strict=True):
        lower, upper = scale.bands[i], scale.bands[j]
        below, above = stated.get(lower.outcome, set()), stated.get(upper.outcome, set())
        limit = accuracy_limit(range_for(scale.ranges, cut), cut)
        gap = upper.floor - lower.ceiling
        if below - above and above - below and gap < limit * (1 - _ROUNDING):
            yield lower.outcome, upper.outcome, max(gap, 0.0), limit


def _readings(book: Book, family: Family, case: Case, fault: Fault) -> list[Reading] | None:
    """The readings of the worked example; None when the records hold a name, a place or a reading that
    another rule refuses.
    """
    if not _clear(family, fault) or not set(fault.symptom) <= set(case.shows):
        return None
    if not set(fault.worked_example) <= set(case.scales):
        return None
    meter, known = book.meters[case.meter], family.measurements
    try:
        return [read(known[name], meter, typed) for name, typed in fault.worked_example.items()]
    except ReadingError:
        return None


def _shop_meter(book: Book) -> Meter | None:
    """The shop's own meter; None when there is none or its ranges make no sense, which other rules report."""
    meter = book.meters.get(book.shop.default_meter)
    limits = [limit for ranges in (meter.accuracy.values() if meter else ()) for limit in ranges]
    sound = all(0 < q.low == q.high < math.inf for limit in limits for q in (limit.up_to, limit.resolution))
    return meter if sound else None
