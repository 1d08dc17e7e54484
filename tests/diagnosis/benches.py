"""Small benches to plan on, drawn by a seed."""

import random
from collections.abc import Sequence

from benchlore.diagnosis.case import Bench


def random_bench(
    seed: int, faults: int = 6, measures: int = 5, states: Sequence[int] = (2, 3)
) -> tuple[Bench, tuple[float, ...]]:
    """Faults and measurements, one of so many bench states; one reading in four is not certain."""
    chance = random.Random(seed)
    setups = chance.choice(states)
    setting_up = [0.0, *(chance.uniform(1, 6) for _ in range(setups))]
    tables = []
    for _ in range(measures):
        outcomes = chance.choice((2, 2, 3))
        columns = []
        for _ in range(faults):
            raw = [0.0] * outcomes
            raw[chance.randrange(outcomes)] = 1.0
            if chance.random() > 0.75:
                raw = [chance.random() for _ in range(outcomes)]
            columns.append([0.98 * p / sum(raw) + 0.02 / outcomes for p in raw])
        columns.append([1 / outcomes] * outcomes)
        tables.append(tuple(tuple(column[o] for column in columns) for o in range(outcomes)))
    change = tuple(
        tuple(0.0 if a == b else setting_up[b] for b in range(setups + 1)) for a in range(setups + 1)
    )
    bench = Bench(
        faults=tuple(f"f{i}" for i in range(faults)),
        fix_minutes=tuple(chance.uniform(5, 60) for _ in range(faults)),
        measures=tuple(f"m{i}" for i in range(measures)),
        outcomes=tuple(tuple(f"o{k}" for k in range(len(t))) for t in tables),
        tables=tuple(tables),
        measure_minutes=tuple(chance.uniform(1, 8) for _ in range(measures)),
        measure_setup=tuple(chance.randint(1, setups) for _ in range(measures)),
        change=change,
        escalate=chance.uniform(30, 120),
    )
    raw = [chance.random() ** 2 + 0.02 for _ in range(faults)]
    unknown = chance.uniform(0.02, 0.3)
    return bench, (*(w / sum(raw) * (1 - unknown) for w in raw), unknown)
