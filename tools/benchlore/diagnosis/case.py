"""The numbers of one family, revision and meter, computed once: all that ranking and planning look up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from benchlore.book.model import Book, Family, Fault, Meter, frozen_map
from benchlore.diagnosis.interlock import OHMS, Interlock, locks_of, shuts
from benchlore.diagnosis.likelihood import (
    BLUNDER,
    Scale,
    class_table,
    elsewhere,
    meaningless_classes,
    scale_of,
)
from benchlore.diagnosis.minutes import (
    NOTHING,
    Setup,
    change_minutes,
    fix_minutes,
    is_hot,
    proof_measures,
    proof_setup,
    setup_of,
)
from benchlore.findings import nearest
from benchlore.vocabulary import FREQUENCIES

NOT_LISTED = 0.005  # a record that leaves out a symptom that its fault shows, in one job of 200
LEAST_UNKNOWN = 0.02
MOST_UNKNOWN = 0.30


class CaseError(ValueError):
    """The book has no such family, revision, meter, symptom or fault. `reason` and `mend` say which and what
    to do.
    """

    def __init__(self, reason: str, mend: str) -> None:
        super().__init__(f"{reason}; {mend}" if mend else reason)
        self.reason = reason
        self.mend = mend


@dataclass(frozen=True, slots=True)
class Bench:
    """What planning needs: costs in minutes, and what each measurement says of each hypothesis.

    The hypotheses are the faults in order of id and, last, "not in the book". `tables[m][o][h]` is the
    probability that measurement m is taken for outcome o under hypothesis h. `setups`: indices into
    `change[before][after]`; index 0 is a bench with nothing set up. `live`: the measurements that need a
    source in. `closes`: the measurements that a (measurement, outcome) bars, and `shuts` the fixes, one bit
    each, whose proof it bars, until a fix. `rails_first`: the ohms of the supply rails. `guarded`: the fixes,
    one bit each, that ask for an abnormal reading first that speaks for them; `opens`: those that a
    (measurement, outcome) speaks for."""

    faults: tuple[str, ...]
    fix_minutes: tuple[float, ...]
    fix_setup: tuple[int, ...]
    measures: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]
    tables: tuple[tuple[tuple[float, ...], ...], ...]
    measure_minutes: tuple[float, ...]
    measure_setup: tuple[int, ...]
    change: tuple[tuple[float, ...], ...]
    escalate: float
    live: frozenset[int] = frozenset()
    closes: Mapping[tuple[int, int], frozenset[int]] = field(default_factory=dict)
    shuts: Mapping[tuple[int, int], int] = field(default_factory=dict)
    rails_first: tuple[int, ...] = ()
    guarded: int = 0
    opens: Mapping[tuple[int, int], int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Case:
    """One family, revision (None: any) and meter.

    `prior`: of each fault in order of id and, last, of "not in the book". `shows[s]`: P(symptom s |
    hypothesis). `expected[m][f][o]`: P(outcome | fault); `alike[m][f]`: the first fault that reads the same.
    `stated[m]`: the faults that say what m reads, by
    index. `setups`: how the bench stands, by the indices of `bench`. `locks`: what (measurement, outcome)
    proves unsafe. `ohms_first`: the symptoms with which the supply rails are measured before a source goes
    in."""

    family: str
    revision: str | None
    meter: str
    faults: tuple[str, ...]
    prior: tuple[float, ...]
    shows: Mapping[str, tuple[float, ...]]
    scales: Mapping[str, Scale]
    expected: Mapping[str, tuple[tuple[float, ...], ...]]
    alike: Mapping[str, tuple[int, ...]]
    stated: Mapping[str, frozenset[int]]
    setups: tuple[Setup, ...]
    bench: Bench
    locks: Mapping[tuple[str, str], Interlock] = field(default_factory=dict)
    ohms_first: frozenset[str] = frozenset()


def make_case(book: Book, family_id: str, revision: str | None = None, meter_id: str | None = None) -> Case:
    """Compute a case. Without a revision every fault of the family counts; without a meter, the shop's own.

    Raises CaseError when the book has no such family, revision or meter. Names inside the records that lead
    nowhere are passed over: the checks report them."""
    family = book.families.get(family_id)
    if family is None:
        raise CaseError(f"'{family_id}' is not a family", nearest(family_id, book.families))
    if revision is not None and revision not in family.revisions:
        raise CaseError(f"{family_id} has no revision '{revision}'", nearest(revision, family.revisions))
    meter = _meter(book, meter_id)
    faults = tuple(
        fault
        for _, fault in sorted(book.faults.items())
        if fault.family == family_id
        and (revision is None or not fault.revisions or revision in fault.revisions)
    )
    prior = priors([fault.seen for fault in faults])
    measures = tuple(m for m in sorted(family.measurements) if _reachable(family, m, revision))
    scales = {m: scale_of(family.measurements[m], meter) for m in measures}
    stated, expected = {}, {}
    for m in measures:
        stated[m], expected[m] = _expectations(faults, prior, m, scales[m])
    setups = _setups(book, family, faults, measures)
    locks = dict(locks_of(family, measures))
    return Case(
        family_id,
        revision,
        meter.id,
        tuple(fault.id for fault in faults),
        prior,
        frozen_map({s: _shows(faults, prior, s) for s in sorted(book.symptoms)}),
        frozen_map(scales),
        frozen_map(expected),
        frozen_map({m: tuple(rows.index(row) for row in rows) for m, rows in expected.items()}),
        frozen_map(stated),
        setups,
        _bench(book, family, faults, measures, scales, expected, stated, setups, locks),
        MappingProxyType(locks),
        frozenset(s.id for s in book.symptoms.values() if s.ohms_first),
    )


def _meter(book: Book, meter_id: str | None) -> Meter:
    wanted = meter_id or book.shop.default_meter
    meter = book.meters.get(wanted)
    if meter is None:
        raise CaseError(f"'{wanted}' is not a meter", nearest(wanted, book.meters))
    return meter


def _reachable(family: Family, measure: str, revision: str | None) -> bool:
    """False when the test point does not exist on the revision."""
    point = family.test_points.get(family.measurements[measure].at)
    return point is None or revision is None or revision in point.at


def priors(seen: Iterable[int]) -> tuple[float, ...]:
    """Prior probabilities of faults seen so many times and, last, of "not in the book".

    A fault: proportional to seen + 1/2 (Jeffreys' prior of a multinomial). Not in the book: the Good-Turing
    estimate of what was never seen, faults seen once / jobs (Good 1953), held between 2 % and 30 %; 30 %
    without any job."""
    counts = list(seen)
    jobs = sum(counts)
    once = sum(1 for count in counts if count == 1)
    unknown = min(max(once / jobs, LEAST_UNKNOWN), MOST_UNKNOWN) if jobs else MOST_UNKNOWN
    if not counts:
        return (1.0,)
    whole = jobs + len(counts) / 2
    return (*((1 - unknown) * (count + 0.5) / whole for count in counts), unknown)


def _shows(faults: tuple[Fault, ...], prior: tuple[float, ...], symptom: str) -> tuple[float, ...]:
    """P(symptom | hypothesis). "Not in the book" shows it as often as the book's faults do on the whole."""
    shown = [
        FREQUENCIES[fault.symptom[symptom]].share if symptom in fault.symptom else NOT_LISTED
        for fault in faults
    ]
    known = sum(prior[:-1])
    mean = sum(p * s for p, s in zip(prior, shown, strict=False)) / known if known > 0 else NOT_LISTED
    return (*shown, mean)


def _expectations(
    faults: tuple[Fault, ...], prior: tuple[float, ...], measure: str, scale: Scale
) -> tuple[frozenset[int], tuple[tuple[float, ...], ...]]:
    """Which faults state the measurement, and P(outcome | fault) for all of them.

    A fault that is silent reads as the mixture of those that state it and of something else, by their
    priors."""
    rows = [_stated_row(fault, measure, scale) for fault in faults]
    stated = frozenset(i for i, row in enumerate(rows) if row is not None)
    unknown = prior[-1]
    weight = sum(prior[i] for i in sorted(stated)) + unknown
    even = 1 / scale.size
    other = [elsewhere(scale, [float(i == o) for i in range(scale.size)], even) for o in range(scale.size)]
    silent = tuple(
        (sum(prior[i] * row[o] for i, row in enumerate(rows) if row is not None) + unknown * other[o])
        / weight
        for o in range(scale.size)
    )
    return stated, tuple(silent if row is None else row for row in rows)


def _stated_row(fault: Fault, measure: str, scale: Scale) -> tuple[float, ...] | None:
    for expectation in fault.test_points:
        if expectation.measure == measure:
            row = [expectation.expected_reading.get(band.outcome, 0.0) for band in scale.bands]
            total = sum(row)
            return tuple(p / total for p in row) if total > 0 else None
    return None


def _setups(
    book: Book, family: Family, faults: tuple[Fault, ...], measures: tuple[str, ...]
) -> tuple[Setup, ...]:
    needed = [setup_of(family, m) for m in measures] + [proof_setup(book, fault) for fault in faults]
    return tuple(dict.fromkeys((NOTHING, *needed)))


def _bench(
    book: Book,
    family: Family,
    faults: tuple[Fault, ...],
    measures: tuple[str, ...],
    scales: Mapping[str, Scale],
    expected: Mapping[str, tuple[tuple[float, ...], ...]],
    stated: Mapping[str, frozenset[int]],
    setups: tuple[Setup, ...],
    locks: Mapping[tuple[str, str], Interlock],
) -> Bench:
    """The part of the case that planning needs: only measurements that the meter can make and some fault
    states.
    """
    useful = tuple(m for m in measures if stated[m] and (scales[m].ranges or scales[m].unit is None))
    outcomes = tuple(tuple(band.outcome for band in scales[m].bands) for m in useful)
    states = [family.states.get(family.measurements[m].state) for m in useful]
    keyed = {
        (i, o): locks[m, name]
        for i, m in enumerate(useful)
        for o, name in enumerate(outcomes[i])
        if (m, name) in locks
    }
    tables = tuple(plan_table(scales[m], expected[m]) for m in useful)
    return Bench(
        tuple(fault.id for fault in faults),
        tuple(fix_minutes(book, fault) for fault in faults),
        tuple(setups.index(proof_setup(book, fault)) for fault in faults),
        useful,
        outcomes,
        tables,
        tuple(family.measurements[m].minutes for m in useful),
        tuple(setups.index(setup_of(family, m)) for m in useful),
        tuple(tuple(change_minutes(book, family, a, b) for b in setups) for a in setups),
        book.shop.escalate.minutes,
        frozenset(i for i, state in enumerate(states) if state is not None and state.sources),
        MappingProxyType({key: closed_by(family, useful, lock) for key, lock in keyed.items()}),
        MappingProxyType({key: shut_by(book, family, faults, lock) for key, lock in keyed.items()}),
        tuple(i for i, m in enumerate(useful) if _on_rail(family, m)),
        sum(1 << i for i, fault in enumerate(faults) if is_hot(book, fault)),
        MappingProxyType(
            {
                (i, o): bits
                for i, m in enumerate(useful)
                for o in range(scales[m].size)
                if o not in scales[m].normal and (bits := _speaks(tables[i][o], stated[m]))
            }
        ),
    )


def _speaks(row: tuple[float, ...], stated: frozenset[int]) -> int:
    """The faults, one bit each, that an abnormal outcome speaks for: those that state the measurement and
    make the outcome likelier than something else does."""
    return sum(1 << i for i in sorted(stated) if row[i] > row[-1])


def closed_by(family: Family, measures: tuple[str, ...], lock: Interlock) -> frozenset[int]:
    """The measurements, by index, that an interlock bars."""
    return frozenset(i for i, m in enumerate(measures) if family.measurements[m].state in lock.states)


def shut_by(book: Book, family: Family, faults: Sequence[Fault], lock: Interlock) -> int:
    """The fixes that an interlock bars, one bit each."""
    return sum(1 << i for i, fault in enumerate(faults) if shuts(lock, _proof(book, family, fault)))


def _proof(book: Book, family: Family, fault: Fault) -> list[tuple[str, str]]:
    return [(m, family.measurements[m].state) for m in proof_measures(book, fault)]


def _on_rail(family: Family, measure: str) -> bool:
    """True for the resistance of a supply rail with nothing injected and nothing unplugged."""
    measurement = family.measurements[measure]
    net = family.nets.get(measurement.net)
    rail = net is not None and net.kind == "rail" and measurement.mode == OHMS
    return rail and measurement.inject is None and not measurement.unplugged


def plan_table(scale: Scale, expected: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """[o][h]: P(taken for outcome o | hypothesis), with the meter's confusions and the share of blunders."""
    confusion = class_table(scale)
    chance = meaningless_classes(scale, confusion)
    table = []
    for o in range(scale.size):
        row = [
            (1 - BLUNDER) * sum(p * confusion[i][o] for i, p in enumerate(probabilities))
            + BLUNDER * chance[o]
            for probabilities in expected
        ]
        table.append((*row, elsewhere(scale, [row[o] for row in confusion], chance[o])))
    return tuple(table)
