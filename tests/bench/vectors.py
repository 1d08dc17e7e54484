"""Cases that Python solves and the browser must solve alike: readings, verdicts, posteriors, next actions.

Over all families, revisions and meters: readings inside, at the edge of, between and far from the outcomes,
typed in every way that is understood, refused ones, evidence that contradicts itself, fixes that did not
help.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from typing import Any

from benchlore.book.model import Book, Family, Measurement
from benchlore.diagnosis import rank
from benchlore.diagnosis.case import Case, make_case
from benchlore.diagnosis.conflict import perhaps_both
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.diagnosis.reading import ReadingError, read

Vector = dict[str, Any]

# Typed as nobody should, and as many do.
ODD = (
    "",
    " ",
    "OL",
    "o.l",
    "open",
    "\u221e",
    "7,92",
    "7,92 V",
    ".514",
    "-.02",
    "+3.3",
    "1,234",
    "12,500",
    "3.3.3",
    "3.3 V 5",
    "abc",
    "1e3",
    "819 mV",
    "819mv",
    "2.2k",
    "2k2",
    "4k7",
    "4.7 k",
    "47 R",
    "47R",
    "47r",
    "4R7",
    "0.02 \u03a9",
    "47 kohm",
    "47 KOHM",
    "5 Hz",
    "5 hz",
    "5toString",
    "5 constructor",
    "32.768 khz",
    "32.768 mhz",
    "25 C",
    "25 \u00b0C",
    "<1",
    "~3",
    "1000000000",
    "-5",
    "-0.0001",
    "0",
    "- 3",
    "\u22123.3",
    "3.3\u00a0V",
    "x" * 41,
    "9" * 41,
    "NaN",
    "Infinity",
    "0x10",
    "0.52 V / 0.49 V",
    "0.52 and .49",
    "520m/490m",
    "OL / 0.5",
    "0.5 / OL",
    "0 / 0",
    "0.1 / 0.12 / 0.13",
    "0.5 / abc",
    "1_000",
    "\u0663",
)


def cases(book: Book) -> Iterator[tuple[Case, Family]]:
    """Every family, revision (and none) and meter."""
    for family in book.families.values():
        for revision in (None, *family.revisions):
            for meter in book.meters:
                yield make_case(book, family.id, revision, meter), family


def table_vectors(book: Book) -> list[Vector]:
    """The numbers that each case computes once."""
    return [
        {
            "family": case.family,
            "revision": case.revision or "",
            "meter": case.meter,
            "faults": list(case.faults),
            "prior": list(case.prior),
            "shows": {symptom: list(row) for symptom, row in case.shows.items()},
            "expected": {measure: [list(row) for row in rows] for measure, rows in case.expected.items()},
            "measures": list(case.bench.measures),
            "mends": [list(case.bench.mended_by(i)) for i in range(len(case.faults))],
            "fix_minutes": list(case.bench.fix_minutes),
            "measure_minutes": list(case.bench.measure_minutes),
            "tables": [[list(row) for row in table] for table in case.bench.tables],
            "change": [list(row) for row in case.bench.change],
        }
        for case, _ in cases(book)
    ]


def reading_vectors(book: Book) -> list[Vector]:
    """What is typed, and the reading that it is; for each mode of each family and each meter."""
    found = []
    for family in book.families.values():
        one_of_each_mode = {(m.mode, m.compare is None): m for m in family.measurements.values()}
        for measurement in one_of_each_mode.values():
            for meter in book.meters.values():
                names = (*measurement.outcomes, *(o.upper().replace("-", " ") for o in measurement.outcomes))
                for typed in (*ODD, *names):
                    vector: Vector = {
                        "family": family.id,
                        "meter": meter.id,
                        "measure": measurement.id,
                        "typed": typed,
                    }
                    try:
                        reading = read(measurement, meter, typed)
                    except ReadingError:
                        found.append({**vector, "refused": True, "value": None, "outcome": None})
                    else:
                        found.append(
                            {**vector, "refused": False, "value": reading.value, "outcome": reading.outcome}
                        )
    return found


def job_vectors(book: Book, count: int, seed: int, depth: int = 1) -> list[Vector]:
    """`count` jobs over all cases, those of a case together, with what Python makes of them.

    `depth`: how many actions ahead the next ones are valued.
    """
    chance = random.Random(seed)
    known = list(cases(book))
    return [_job(book, *known[n * len(known) // count], chance, depth) for n in range(count)]


def _job(book: Book, case: Case, family: Family, chance: random.Random, depth: int) -> Vector:
    symptoms = chance.sample(sorted(case.shows), chance.randint(0, 3))
    measures = chance.sample(sorted(case.scales), min(chance.randint(0, 8), len(case.scales)))
    meter = book.meters[case.meter]
    taken = []
    for name in measures:
        typed = _typed(family.measurements[name], chance)
        try:
            taken.append(read(family.measurements[name], meter, typed))
        except ReadingError:
            continue
    tried = chance.sample(case.faults, chance.choice((0, 0, 0, 1, 2)))
    if chance.random() < 0.02:
        tried = list(case.faults)
    again = [reading for reading in taken if chance.random() < 0.1]
    tried_last = bool(tried) and chance.random() < 0.5
    job = evidence(case, symptoms, [*again, *taken], tried, tried_last=tried_last)
    probabilities = posterior(case, job)
    against = rank.contradicted(book, case, job, probabilities)
    verdicts = rank.verdicts(book, case, job)
    place = rank.place(book, case, job)
    chosen = rank.next_choices(case, job, place, depth)
    return {
        "family": case.family,
        "revision": case.revision or "",
        "meter": case.meter,
        "symptoms": symptoms,
        "taken": [{"measure": r.measure, "typed": r.typed} for r in (*again, *taken)],
        "tried": tried,
        "triedLast": tried_last,
        "depth": depth,
        "posterior": list(probabilities),
        "clashes": list(rank.clashes(case, job, probabilities)),
        "confirmed": sorted(job.confirmed),
        "contradictions": [[[one.one, one.other], list(one.again)] for one in against],
        "again": [[c.index, c.minutes, c.expected] for c in rank.measured_again(book, case, job, against)],
        "both": [[*map(case.faults.index, one.faults), one.probability] for one in perhaps_both(case, job)],
        "verdicts": [
            {"kind": v.kind, "outcome": v.outcome, "outcomes": [p for _, p in v.outcomes]} for v in verdicts
        ],
        "interlocks": [[one.measure, one.outcome] for one in rank.interlocks(book, case, job)],
        "first": list(place.first),
        "down": list(place.down),
        "setup": place.setup,
        "next": [[c.kind, c.index, c.minutes, c.expected] for c in chosen],
    }


def _typed(measurement: Measurement, chance: random.Random) -> str:
    """A reading as typed: usually in or near an outcome, sometimes far from all."""
    outcome = chance.choice(tuple(measurement.outcomes.values()))
    if measurement.unit is None or outcome.range is None or chance.random() < 0.05:
        return outcome.id
    if outcome.range.is_open:
        return chance.choice(("OL", "open"))
    low, high = outcome.range.low, outcome.range.high
    low = low if math.isfinite(low) else min(0.0, high)
    high = high if math.isfinite(high) else low + abs(low) + 1
    value = chance.choice(
        (
            chance.uniform(low, high),
            low,
            high,
            low + (high - low) * chance.gauss(0.5, 1),
            chance.uniform(-1, 1) * 10 ** chance.uniform(-3, 3),
        )
    )
    digits = chance.choice((2, 3, 4, 6))
    text = f"{value:.{digits}f}"
    if chance.random() < 0.2 and measurement.unit in ("V", "A", "ohm", "s"):
        return f"{value * 1000:.{digits}f} m{measurement.unit}"
    return text.replace(".", ",") if chance.random() < 0.1 else text
