"""The numbers of one family, revision and meter, computed once: all that ranking and planning look up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import fsum
from types import MappingProxyType

from benchlore.book.model import Book, Family, Fault, Meter, frozen_map
from benchlore.book.same import Same
from benchlore.circuit.power_tree import in_start_order
from benchlore.diagnosis.hypotheses import Hypotheses, hypotheses_of
from benchlore.diagnosis.interlock import OHMS, Interlock, checks_of, locks_of, shuts
from benchlore.diagnosis.likelihood import (
    BLUNDER,
    HEALTHY,
    NOT_THE_PART,
    Scale,
    class_table,
    elsewhere,
    elsewhere_by_way,
    meaningless_classes,
    scale_of,
)
from benchlore.diagnosis.minutes import (
    NOTHING,
    Setup,
    change_minutes,
    proof_measures,
    setup_of,
)
from benchlore.diagnosis.ohms_law import held_together
from benchlore.diagnosis.suspects import Suspect
from benchlore.diagnosis.ways import Columns, columns_of
from benchlore.findings import nearest


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

    The hypotheses are the faults in order of id and, last, "not in the book"; between them stand the further
    ways of failing of the hypotheses `extra` (see `ways.Columns`). `tables[m][o][c]` is the probability that
    measurement m is taken for outcome o in column c. `setups`: indices into
    `change[before][after]`; index 0 is a bench with nothing set up. `live`: the measurements that need a
    source in. `closes`: the measurements that a (measurement, outcome) bars, and `shuts` the fixes, one bit
    each, whose proof it bars, until a fix. `rails_first`: the ohms of the supply rails. `before_power`: by
    symptom, what its family names to be measured before a source goes in. `down`: what is measured where no
    symptom is known, rail by rail in start order. `guarded`: the fixes, one bit each, that ask for an
    abnormal reading first that speaks for them; `opens`: those that a (measurement, outcome) speaks for.
    `checks`: the measurements that come before a fix that injects current. `mends`: the hypotheses that a fix
    mends, where they are more than its own."""

    faults: tuple[str, ...]
    fix_minutes: tuple[float, ...]
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
    before_power: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    down: tuple[int, ...] = ()
    guarded: int = 0
    opens: Mapping[tuple[int, int], int] = field(default_factory=dict)
    checks: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    extra: tuple[int, ...] = ()
    mends: Mapping[int, tuple[int, ...]] = field(default_factory=dict)

    def mended_by(self, fix: int) -> tuple[int, ...]:
        """The hypotheses that a fix mends, its own among them."""
        return self.mends.get(fix, (fix,))


@dataclass(frozen=True, slots=True)
class Case:
    """One family, revision (None: any) and meter.

    `faults`: the recorded ones in order of id, then the suspects, of which `suspects` knows more. `prior`: of
    each and, last, of something else. `shows[s]`: P(symptom s | hypothesis). `expected[m][f][o]`: P(outcome |
    fault); `ways[m]`: the rows of the ways of failing of those that have several, `split`: whose, and their
    shares; `alike[m][i]`: the first of all these rows that is the same. `columns`: which way each weight is
    of. `says[m]`: the faults of which it is stated or foretold what m reads, by index. `setups`: how the
    bench stands, by the indices of `bench`. `locks`: what (measurement, outcome) proves unsafe.
    `ohms_first`: the symptoms with which the supply rails are measured before a source goes in. `amps`: the
    current that the volts and the ohms of a rail must not come to, by their measurements."""

    family: str
    revision: str | None
    meter: str
    faults: tuple[str, ...]
    prior: tuple[float, ...]
    shows: Mapping[str, tuple[float, ...]]
    scales: Mapping[str, Scale]
    expected: Mapping[str, tuple[tuple[float, ...], ...]]
    ways: Mapping[str, tuple[tuple[float, ...], ...]]
    split: tuple[tuple[int, float], ...]
    columns: Columns
    alike: Mapping[str, tuple[int, ...]]
    says: Mapping[str, frozenset[int]]
    setups: tuple[Setup, ...]
    bench: Bench
    locks: Mapping[tuple[str, str], Interlock] = field(default_factory=dict)
    ohms_first: frozenset[str] = frozenset()
    suspects: Mapping[str, Suspect] = field(default_factory=dict)
    amps: Mapping[tuple[str, str], float] = field(default_factory=dict)

    @property
    def recorded(self) -> int:
        """How many of the faults have a record; they come first."""
        return len(self.faults) - len(self.suspects)

    def ruled_out(self, tried: Iterable[str]) -> frozenset[int]:
        """The hypotheses that are out where these fixes were tried and not proved: all that each mends."""
        return frozenset(h for name in tried for h in self.bench.mended_by(self.faults.index(name)))


def make_case(
    book: Book,
    family_id: str,
    revision: str | None = None,
    meter_id: str | None = None,
    *,
    suspects: bool = True,
) -> Case:
    """Compute a case. Without a revision every fault of the family counts; without a meter, the shop's own;
    without `suspects`, the recorded faults and something else alone.

    Raises CaseError when the book has no such family, revision or meter. Names inside the records that lead
    nowhere are passed over: the checks report them."""
    family = book.families.get(family_id)
    if family is None:
        raise CaseError(f"'{family_id}' is not a family", nearest(family_id, book.families))
    if revision is not None and revision not in family.revisions:
        raise CaseError(f"{family_id} has no revision '{revision}'", nearest(revision, family.revisions))
    return _case(Same(book), family_id, revision, _meter(book, meter_id).id, suspects)


@lru_cache(maxsize=8)
def _case(of_book: Same[Book], family_id: str, revision: str | None, meter_id: str, suspects: bool) -> Case:
    book = of_book.record
    family, meter = book.families[family_id], book.meters[meter_id]
    known = hypotheses_of(book, family, revision, suspects=suspects)
    measures = tuple(known.rows)
    scales = {
        m: replace(scale_of(family.measurements[m], meter), stray=NOT_THE_PART if m in known.looks else 1.0)
        for m in measures
    }
    setups = _setups(family, measures)
    locks = dict(locks_of(family, measures))
    return Case(
        family_id,
        revision,
        meter_id,
        known.names,
        known.prior,
        known.shows,
        frozen_map(scales),
        known.rows,
        known.ways,
        known.split,
        columns_of(len(known.names), known.split),
        frozen_map({m: _first_alike((*rows, *known.ways[m])) for m, rows in known.rows.items()}),
        known.says,
        setups,
        _bench(book, family, known, scales, setups, locks),
        MappingProxyType(locks),
        frozenset(s.id for s in book.symptoms.values() if s.ohms_first),
        frozen_map({suspect.id: suspect for suspect in known.suspects}),
        MappingProxyType(dict(held_together(family))),
    )


def _first_alike(rows: Sequence[tuple[float, ...]]) -> tuple[int, ...]:
    first: dict[tuple[float, ...], int] = {}
    return tuple(first.setdefault(row, i) for i, row in enumerate(rows))


def _meter(book: Book, meter_id: str | None) -> Meter:
    wanted = meter_id or book.shop.default_meter
    meter = book.meters.get(wanted)
    if meter is None:
        raise CaseError(f"'{wanted}' is not a meter", nearest(wanted, book.meters))
    return meter


def _setups(family: Family, measures: tuple[str, ...]) -> tuple[Setup, ...]:
    return tuple(dict.fromkeys((NOTHING, *(setup_of(family, m) for m in measures))))


def _bench(
    book: Book,
    family: Family,
    known: Hypotheses,
    scales: Mapping[str, Scale],
    setups: tuple[Setup, ...],
    locks: Mapping[tuple[str, str], Interlock],
) -> Bench:
    """The part of the case that planning needs: only measurements that the meter can make and of which
    something is stated or foretold.
    """
    useful = tuple(m for m in known.rows if known.says[m] and (scales[m].ranges or scales[m].unit is None))
    outcomes = tuple(tuple(band.outcome for band in scales[m].bands) for m in useful)
    states = [family.states.get(family.measurements[m].state) for m in useful]
    keyed = {
        (i, o): locks[m, name]
        for i, m in enumerate(useful)
        for o, name in enumerate(outcomes[i])
        if (m, name) in locks
    }
    checks = {
        i: found
        for i, fault in enumerate(known.faults)
        if (found := tuple(useful.index(m) for m in checks_of(book, family, fault) if m in useful))
    }
    columns = columns_of(len(known.names), known.split)
    whole = {m: plan_table(scales[m], known.rows[m]) for m in useful}
    return Bench(
        known.names,
        known.minutes,
        useful,
        outcomes,
        tuple(plan_table(scales[m], (*known.rows[m], *known.ways[m]), columns) for m in useful),
        tuple(family.measurements[m].minutes for m in useful),
        tuple(setups.index(setup_of(family, m)) for m in useful),
        tuple(tuple(change_minutes(book, family, a, b) for b in setups) for a in setups),
        book.shop.escalate.minutes,
        frozenset(i for i, state in enumerate(states) if state is not None and state.sources),
        MappingProxyType({key: closed_by(family, useful, lock) for key, lock in keyed.items()}),
        MappingProxyType(
            {
                key: shut_by(book, family, (*known.faults, *known.suspects), lock)
                | checked_by(checks, key[0])
                for key, lock in keyed.items()
            }
        ),
        tuple(i for i, m in enumerate(useful) if _on_rail(family, m)),
        MappingProxyType(
            {
                name: tuple(useful.index(m) for m in one.first if m in useful)
                for name, one in family.symptoms.items()
            }
        ),
        tuple(useful.index(m) for m in down_the_rails(family) if m in useful),
        sum(1 << i for i, hot in enumerate(known.hot) if hot),
        MappingProxyType(
            {
                (i, o): bits
                for i, m in enumerate(useful)
                for o in range(scales[m].size)
                if o not in scales[m].normal and (bits := _speaks(known, m, o, whole[m][o]))
            }
        ),
        MappingProxyType(checks),
        columns.extra,
        known.mends,
    )


def _speaks(known: Hypotheses, measure: str, outcome: int, row: tuple[float, ...]) -> int:
    """The faults, one bit each, that an abnormal outcome speaks for: those of which the measurement is stated
    or foretold, which make the outcome likelier than something else does (`row`: as the meter shows it) and
    likelier than it is where HEALTHY of the readings are healthy and the others are any.
    """
    told = known.rows[measure]
    least = (1 - HEALTHY) / len(told[0])
    return sum(1 << i for i in sorted(known.says[measure]) if row[i] > row[-1] and told[i][outcome] > least)


def closed_by(family: Family, measures: tuple[str, ...], lock: Interlock) -> frozenset[int]:
    """The measurements, by index, that an interlock bars."""
    return frozenset(i for i, m in enumerate(measures) if family.measurements[m].state in lock.states)


def shut_by(book: Book, family: Family, known: Iterable[Fault | Suspect], lock: Interlock) -> int:
    """The fixes that an interlock bars, one bit each. What is plugged in is tried under power."""
    found = 0
    for i, one in enumerate(known):
        proof = _proof(book, family, one) if isinstance(one, Fault) else None
        barred = bool(one.outside and lock.clears) if isinstance(one, Suspect) else shuts(lock, proof or ())
        found |= barred << i
    return found


def checked_by(checks: Mapping[int, tuple[int, ...]], measure: int) -> int:
    """The fixes that a measurement comes before, one bit each: where an interlock comes of it, it bars
    them.
    """
    return sum([1 << fault for fault, measures in checks.items() if measure in measures])


def _proof(book: Book, family: Family, fault: Fault) -> list[tuple[str, str]]:
    return [(m, family.measurements[m].state) for m in proof_measures(book, fault)]


def down_the_rails(family: Family) -> tuple[str, ...]:
    """What is measured on a board of which no symptom is known: the resistance of the supply rails, then the
    volts of each rail, both in start order."""
    rails = in_start_order(family)
    measured = {net.id: [m.id for m in family.measurements.values() if m.net == net.id] for net in rails}
    ohms = [m for net in rails for m in measured[net.id] if _on_rail(family, m)]
    volts = [next((m for m in measured[net.id] if _is_level(family, m)), None) for net in rails]
    return (*ohms, *(m for m in volts if m is not None))


def _is_level(family: Family, measure: str) -> bool:
    """True for the level of a net as it stands: to ground, with nothing injected and nothing unplugged."""
    one = family.measurements[measure]
    return one.mode == "dc-volts" and one.to_ground and one.inject is None and not one.unplugged


def _on_rail(family: Family, measure: str) -> bool:
    """True for the resistance of a supply rail with nothing injected and nothing unplugged."""
    measurement = family.measurements[measure]
    net = family.nets.get(measurement.net)
    ohms = measurement.mode == OHMS and measurement.to_ground
    rail = net is not None and net.kind == "rail" and ohms
    return rail and measurement.inject is None and not measurement.unplugged


def plan_table(
    scale: Scale, expected: tuple[tuple[float, ...], ...], columns: Columns | None = None
) -> tuple[tuple[float, ...], ...]:
    """[o][h]: P(taken for outcome o | hypothesis), or each of the `columns`, with the meter's confusions and
    the share of blunders.
    """
    confusion = class_table(scale)
    chance = meaningless_classes(scale, confusion)
    table = []
    for o in range(scale.size):
        each = {
            row: (1 - BLUNDER) * fsum(p * confusion[i][o] for i, p in enumerate(row)) + BLUNDER * chance[o]
            for row in set(expected)
        }
        row = [each[probabilities] for probabilities in expected]
        taken = [row[o] for row in confusion]
        if columns is None:
            table.append((*row, elsewhere(scale, taken, chance[o])))
        else:
            table.append(columns.of(row, elsewhere_by_way(scale, taken, chance[o])))
    return tuple(table)
