"""How good and how fast the diagnosis is, measured in one run.

    python tools/benchmarks/diagnosis.py [optimum] [jobs] [rank] [guess] [priors] [--places 250000]
        [--family NAME ...]

`optimum`: the plan beside the exact optimum (dynamic programming): every family and symptom of the book,
with the faults that list it and up to ten measurements, those that say most about them, and 200 random
benches of eight faults and six measurements. `jobs`: 20,000 simulated jobs a family diagnosed by the plans:
realised beside expected minutes, and how often stated probabilities came true. `rank`: a rank call of 60
faults and 60 measurements. `guess`: minutes by the plan beside the best order of fixes without measuring.
`priors`: the minutes of the book's plans where each fault comes up to three times as often, or as rarely,
as stated, beside those of plans that know how often.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchlore.book import links, load_book  # noqa: E402
from benchlore.book.model import Book, frozen_map  # noqa: E402
from benchlore.circuit.foretold import in_full  # noqa: E402
from benchlore.diagnosis.boards import OFF  # noqa: E402
from benchlore.diagnosis.case import Bench, Case, make_case  # noqa: E402
from benchlore.diagnosis.lookahead import look_at, start  # noqa: E402
from benchlore.diagnosis.optimum import TooLargeError, bench_among_likely, least_minutes  # noqa: E402
from benchlore.diagnosis.plan import grow, plan  # noqa: E402
from benchlore.diagnosis.posterior import Evidence, evidence, joint  # noqa: E402
from benchlore.diagnosis.rank import rank  # noqa: E402
from benchlore.diagnosis.reading import Reading  # noqa: E402
from benchlore.diagnosis.simulate import jobs, minutes_of, reliability  # noqa: E402
from benchlore.site.plans import plans  # noqa: E402
from tests.diagnosis.benches import random_bench  # noqa: E402

RANDOM_BENCHES = 200
MEASURES = 10  # of a group of the book, at most
FEWEST = 3
PLACES = 250_000  # that the search for the optimum may meet, unless --places says otherwise
JOBS = 20_000
SEED = 2026


def groups(book: Book) -> Iterator[tuple[str, Case, str]]:
    """Every family and symptom with several faults: the case of a book that holds those faults alone."""
    for family in book.families:
        for symptom in sorted(book.symptoms):
            theirs = {f.id: f for f in links.faults_of_symptom(book, symptom, family)}
            if len(theirs) > 1:
                yield (
                    f"{family} {symptom}",
                    make_case(replace(book, faults=frozen_map(theirs)), family),
                    symptom,
                )


def narrowed(bench: Bench, weights: Sequence[float], measures: int) -> Bench:
    """The bench with the measurements alone that say most about the fault (mutual information)."""
    worth = sorted(range(len(bench.tables)), key=lambda m: (-_information(bench.tables[m], weights), m))
    kept = sorted(worth[:measures])
    return replace(
        bench,
        measures=tuple(bench.measures[i] for i in kept),
        outcomes=tuple(bench.outcomes[i] for i in kept),
        tables=tuple(bench.tables[i] for i in kept),
        measure_minutes=tuple(bench.measure_minutes[i] for i in kept),
        measure_setup=tuple(bench.measure_setup[i] for i in kept),
        live=frozenset(n for n, i in enumerate(kept) if i in bench.live),
        closes={
            (n, o): frozenset(kept.index(i) for i in closed if i in kept)
            for n, m in enumerate(kept)
            for (k, o), closed in bench.closes.items()
            if k == m
        },
        shuts={(kept.index(m), o): bits for (m, o), bits in bench.shuts.items() if m in kept},
        opens={(kept.index(m), o): bits for (m, o), bits in bench.opens.items() if m in kept},
        checks={f: tuple(kept.index(m) for m in ms if m in kept) for f, ms in bench.checks.items()},
        rails_first=tuple(kept.index(i) for i in bench.rails_first if i in kept),
        before_power={
            s: tuple(kept.index(m) for m in ms if m in kept) for s, ms in bench.before_power.items()
        },
        down=tuple(kept.index(i) for i in bench.down if i in kept),
    )


def _information(table: Sequence[Sequence[float]], weights: Sequence[float]) -> float:
    """Mutual information of a measurement and the fault, in nats."""
    gain = 0.0
    for row in table:
        joint = [w * p for w, p in zip(weights, row, strict=True)]
        total = sum(joint)
        gain += sum(j * math.log(j / (w * total)) for j, w in zip(joint, weights, strict=True) if j > 0)
    return gain


def solvable(bench: Bench, weights: Sequence[float], places: int) -> tuple[Bench, float, float]:
    """The bench with as many measurements, up to MEASURES, as the optimum is found with in so many places;
    minutes of its plan, and the optimum.
    """
    solved = None
    for measures in range(FEWEST, MEASURES + 1):
        smaller = narrowed(bench, weights, measures)
        found = grow(smaller, weights).expected
        try:
            solved = smaller, found, least_minutes(smaller, weights, found, places)
        except TooLargeError:
            break
        if measures >= len(bench.measures):
            break
    assert solved is not None, "allow more places"
    return solved


def show_optimum(book: Book, places: int) -> None:
    """Ratio of the plan's expected minutes to the exact optimum."""
    of_book = []
    print("The plan beside the exact optimum (minutes):")
    print(f"  {'group of the book':36} faults measurements  optimum     plan   ratio")
    for name, case, symptom in groups(book):
        before = joint(case, Evidence((symptom,)))
        look, place, _ = bench_among_likely(look_at(case.bench, before), start(case.bench, before))
        bench, found, best = solvable(look.bench, place.weights, places)
        of_book.append(found / best)
        sizes = f"{len(bench.faults):6} {len(bench.measures):12}"
        print(f"  {name:36} {sizes}  {best:7.2f}  {found:7.2f}  {found / best:.4f}", flush=True)
    summary("groups of the book", of_book)
    ratios = []
    for seed in range(RANDOM_BENCHES):
        bench, weights = random_bench(seed, faults=8, measures=6, states=(2, 3, 4))
        found = grow(bench, weights).expected
        ratios.append(found / least_minutes(bench, weights, found))
    summary(f"{RANDOM_BENCHES} random benches of 8 faults and 6 measurements", ratios)


def summary(what: str, ratios: Sequence[float]) -> None:
    """Median and worst ratio."""
    print(f"{what}: median {statistics.median(ratios):.4f}, worst {max(ratios):.4f}")


def show_jobs(book: Book) -> None:
    """Simulated jobs, diagnosed by the plans."""
    for family in book.families:
        case = make_case(book, family)
        shown = {s for f in book.faults.values() if f.family == family for s in f.symptom}
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


def show_guess(book: Book) -> None:
    """Minutes of each plan as a share of the best order of fixes without measuring."""
    every: list[float] = []
    for known in plans(in_full(book)).values():
        shares = {symptom: one.expected / one.guess.expected for symptom, one in known.plans.items()}
        every += shares.values()
        worst = sorted(shares, key=lambda symptom: -shares[symptom])[:3]
        print(
            f"{known.family.id}: {len(shares)} plans, median {statistics.median(shares.values()):.3f}; most "
            + ", ".join(f"{symptom} {shares[symptom]:.2f}" for symptom in worst),
            flush=True,
        )
    print(f"all {len(every)} plans: median {statistics.median(every):.3f}")


def show_priors(book: Book, draws: int = 4, count: int = 8_000) -> None:
    """What the book's plans cost where its priors are off by a factor of up to OFF, drawn evenly in its
    logarithm, beside plans made from the true ones; a mean over the symptoms of each family.
    """
    chance, whole = random.Random(SEED), in_full(book)
    for known in plans(whole).values():
        ratios, first = [], {symptom: one.tree for symptom, one in known.plans.items()}
        for draw in range(draws):
            off = [prior * OFF ** chance.uniform(-1, 1) for prior in known.case.prior]
            case = replace(known.case, prior=tuple(one / math.fsum(off) for one in off))
            told = {symptom: plan(case, symptom).tree for symptom in first}
            spent = [
                math.fsum(job.minutes for job in jobs(case, trees, count, draw)) / count
                for trees in (first, told)
            ]
            ratios.append(spent[0] / spent[1])
        mean = statistics.mean(ratios)
        print(f"{known.family.id}: {100 * (mean - 1):.1f} % more (most {100 * (max(ratios) - 1):.1f} %)")


def main() -> None:
    """Run the parts named on the command line, or all."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument(
        "parts", nargs="*", metavar="PART", help="optimum, jobs, rank, guess, priors (default: all)"
    )
    parser.add_argument("--places", type=int, default=PLACES, help="more: more measurements, more time")
    parser.add_argument("--family", nargs="*", help="default: all")
    options = parser.parse_args()
    book = load_book(ROOT).book
    if options.family:
        kept = {id_: book.families[id_] for id_ in options.family}
        book = replace(book, families=frozen_map(kept))
    parts = {
        "optimum": lambda b: show_optimum(b, options.places),
        "jobs": show_jobs,
        "rank": show_rank,
        "guess": show_guess,
        "priors": show_priors,
    }
    for name in options.parts or parts:
        parts[name](book)


if __name__ == "__main__":
    main()
