"""How good and how fast the diagnosis is, measured in one run.

    python tools/benchmarks/diagnosis.py [optimum] [jobs] [rank]

`optimum`: the plan beside the exact optimum (dynamic programming): every family and symptom of the book, with
the faults that list it and the measurements that say most about them, and 200 random benches of eight faults
and six measurements. `jobs`: 20,000 simulated jobs a family diagnosed by the plans: realised beside expected
minutes, and how often stated probabilities came true. `rank`: a rank call of 60 faults and 60 measurements.
"""

from __future__ import annotations

import math
import random
import statistics
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from benchlore.book import load_book
from benchlore.book.model import Book, frozen_map
from benchlore.diagnosis.case import Bench, Case, make_case
from benchlore.diagnosis.optimum import least_minutes
from benchlore.diagnosis.plan import grow, plan
from benchlore.diagnosis.posterior import Evidence, evidence, posterior
from benchlore.diagnosis.rank import rank
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.simulate import jobs, minutes_of, reliability

ROOT = Path(__file__).resolve().parents[2]
RANDOM_BENCHES = 200
GROUP_MEASURES = 6  # of a book's group: the exact optimum grows exponentially with them
JOBS = 20_000
SEED = 2026


def groups(book: Book, measures: int) -> Iterator[tuple[str, Bench, tuple[float, ...]]]:
    """Every family and symptom: the bench of the faults that list the symptom, and their probabilities."""
    for family in book.families:
        case = make_case(book, family)
        for symptom in sorted(book.symptoms):
            live = [i for i, f in enumerate(case.faults) if symptom in book.faults[f].symptoms]
            if len(live) > 1:
                found = posterior(case, Evidence((symptom,)))
                total = sum(found[i] for i in live) + found[-1]
                weights = tuple(found[i] / total for i in (*live, len(case.faults)))
                yield f"{family} {symptom}", narrowed(case, live, weights, measures), weights


def narrowed(case: Case, live: Sequence[int], weights: Sequence[float], measures: int) -> Bench:
    """The bench of some faults, with the measurements that say most about them (mutual information)."""
    bench, columns = case.bench, (*live, len(case.faults))
    tables = [tuple(tuple(row[i] for i in columns) for row in table) for table in bench.tables]
    worth = sorted(range(len(tables)), key=lambda m: (-_information(tables[m], weights), m))
    kept = sorted(worth[:measures])

    return replace(
        bench,
        faults=tuple(bench.faults[i] for i in live),
        fix_minutes=tuple(bench.fix_minutes[i] for i in live),
        fix_setup=tuple(bench.fix_setup[i] for i in live),
        measures=tuple(bench.measures[i] for i in kept),
        outcomes=tuple(bench.outcomes[i] for i in kept),
        tables=tuple(tables[i] for i in kept),
        measure_minutes=tuple(bench.measure_minutes[i] for i in kept),
        measure_setup=tuple(bench.measure_setup[i] for i in kept),
    )


def _information(table: Sequence[Sequence[float]], weights: Sequence[float]) -> float:
    """Mutual information of a measurement and the fault, in nats."""
    gain = 0.0
    for row in table:
        joint = [w * p for w, p in zip(weights, row, strict=True)]
        total = sum(joint)
        gain += sum(j * math.log(j / (w * total)) for j, w in zip(joint, weights, strict=True) if j > 0)
    return gain


def random_bench(seed: int, faults: int = 8, measures: int = 6) -> tuple[Bench, tuple[float, ...]]:
    """Eight faults and six measurements in two to four bench states; one reading in four is not certain."""
    chance = random.Random(seed)
    setups = chance.choice((2, 3, 4))
    setting_up = [0.0, *(chance.uniform(1, 6) for _ in range(setups))]
    tables = []
    for _ in range(measures):
        outcomes, columns = chance.choice((2, 2, 3)), []
        for _ in range(faults):
            raw = [0.0] * outcomes
            raw[chance.randrange(outcomes)] = 1.0
            if chance.random() > 0.75:
                raw = [chance.random() for _ in range(outcomes)]
            columns.append([0.98 * p / sum(raw) + 0.02 / outcomes for p in raw])
        columns.append([1 / outcomes] * outcomes)
        tables.append(tuple(tuple(column[o] for column in columns) for o in range(outcomes)))
    bench = Bench(
        faults=tuple(f"f{i}" for i in range(faults)),
        fix_minutes=tuple(chance.uniform(5, 60) for _ in range(faults)),
        fix_setup=tuple(chance.randint(1, setups) for _ in range(faults)),
        measures=tuple(f"m{i}" for i in range(measures)),
        outcomes=tuple(tuple(f"o{k}" for k in range(len(table))) for table in tables),
        tables=tuple(tables),
        measure_minutes=tuple(chance.uniform(1, 8) for _ in range(measures)),
        measure_setup=tuple(chance.randint(1, setups) for _ in range(measures)),
        change=tuple(
            tuple(0.0 if a == b else setting_up[b] for b in range(setups + 1)) for a in range(setups + 1)
        ),
        escalate=chance.uniform(30, 120),
    )
    raw = [chance.random() ** 2 + 0.02 for _ in range(faults)]
    unknown = chance.uniform(0.02, 0.3)
    return bench, (*(w / sum(raw) * (1 - unknown) for w in raw), unknown)


def show_optimum(book: Book) -> None:
    """Ratio of the plan's expected minutes to the exact optimum."""
    of_book = []
    print(f"The plan beside the exact optimum, groups of the book with {GROUP_MEASURES} measurements:")
    for name, bench, weights in groups(book, GROUP_MEASURES):
        best, found = least_minutes(bench, weights), grow(bench, weights, rare=0.0).expected
        of_book.append(found / best)
        print(f"  {name:36} {len(bench.faults):2} faults  {best:7.2f}  {found:7.2f}  {found / best:.4f}")
    summary("groups of the book", of_book)
    ratios = []
    for seed in range(RANDOM_BENCHES):
        bench, weights = random_bench(seed)
        ratios.append(grow(bench, weights, rare=0.0).expected / least_minutes(bench, weights))
    summary(f"{RANDOM_BENCHES} random benches of 8 faults and 6 measurements", ratios)


def summary(what: str, ratios: Sequence[float]) -> None:
    """Median and worst ratio."""
    print(f"{what}: median {statistics.median(ratios):.4f}, worst {max(ratios):.4f}")


def show_jobs(book: Book) -> None:
    """Simulated jobs, diagnosed by the plans."""
    for family in book.families:
        case = make_case(book, family)
        shown = {s for f in book.faults.values() if f.family == family for s in f.symptoms}
        trees = {symptom: plan(case, symptom).tree for symptom in sorted(shown)}
        played = list(jobs(case, trees, JOBS, SEED))
        minutes = minutes_of(played, trees)
        print(
            f"{family}: {minutes.jobs} jobs, expected {minutes.expected:.2f} min, realised "
            f"{minutes.realised:.2f} min, standard error {minutes.error:.2f} min"
        )
        for decile in reliability(case, played):
            apart = decile.true - decile.stated
            print(
                f"  stated {decile.low:.1f} to {decile.low + 0.1:.1f}: {decile.count:7} times, "
                f"mean {decile.stated:.4f}, came true {decile.true:.4f}, apart {apart:+.4f}"
            )


def wide(book: Book, count: int) -> Book:
    """A book whose first family has `count` faults and `count` measurements, by repeating them."""
    family = next(iter(book.families.values()))
    names = sorted(family.measurements)
    measurements = {
        f"{name}-{i}": replace(family.measurements[name], id=f"{name}-{i}")
        for i, name in enumerate((names * count)[:count])
    }
    theirs = [f for _, f in sorted(book.faults.items()) if f.family == family.id]
    faults = {}
    for i, fault in enumerate((theirs * count)[:count]):
        expectations = tuple(
            replace(e, measure=name)
            for e in fault.test_points
            for name in measurements
            if name.rsplit("-", 1)[0] == e.measure
        )
        faults[f"{fault.id}-{i}"] = replace(fault, id=f"{fault.id}-{i}", test_points=expectations)
    bigger = replace(family, measurements=frozen_map(measurements))
    return replace(book, families=frozen_map({family.id: bigger}), faults=frozen_map(faults))


def show_rank(book: Book, count: int = 60) -> None:
    """Time of a rank call after loading."""
    big = wide(book, count)
    case = make_case(big, next(iter(big.families)))
    numbers = [m for m, scale in case.scales.items() if scale.order]
    symptom = next(s for s in sorted(book.symptoms) if case.shows[s][-1] > 0.05)
    times, chance = [], random.Random(SEED)
    for _ in range(40):
        readings = []
        for measure in chance.sample(numbers, 3):
            band = case.scales[measure].bands[chance.choice(case.scales[measure].order)]
            value = chance.uniform(band.floor, band.ceiling)
            readings.append(Reading(measure, "", value))
        known = evidence(case, [symptom], readings)
        started = time.perf_counter()
        rank(big, case, known)
        times.append((time.perf_counter() - started) * 1000)
    times.sort()
    print(
        f"rank, {len(case.faults)} faults, {len(case.scales)} measurements, 3 readings: median "
        f"{statistics.median(times):.1f} ms, 95th percentile {times[int(len(times) * 0.95)]:.1f} ms"
    )


def main() -> None:
    """Run the parts named on the command line, or all."""
    book = load_book(ROOT).book
    parts = {"optimum": show_optimum, "jobs": show_jobs, "rank": show_rank}
    for name in sys.argv[1:] or parts:
        parts[name](book)


if __name__ == "__main__":
    main()
