"""The circuit of three multipliers and two adders: de Kleer and Williams, Diagnosing multiple faults,
Artificial Intelligence 32 (1987) (from memory).

Inputs A = 3, B = 2, C = 2, D = 3, E = 3; X = A C, Y = B D, Z = C E; F = X + Y, G = Y + Z. A healthy circuit
gives F = 12 and G = 12. F reads 10, G reads 12. The paper's candidates of one fault are adder 1 and
multiplier 1; the best next measurement is X, which tells these two apart.
"""

import pytest

from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import after_outcome, choices, look_at, start

PARTS = ("A1", "A2", "M1", "M2", "M3")
# Which parts each measured value depends on; F and G are the outputs.
UPON = {"F": {"A1", "M1", "M2"}, "G": {"A2", "M2", "M3"}, "X": {"M1"}, "Y": {"M2"}, "Z": {"M3"}}
NOISE = 1e-6  # one fault, and an output that differs whenever a part that it depends on has failed


def table(name: str) -> tuple[tuple[float, ...], ...]:
    """[right or wrong][part, then none of them]: a failed part makes wrong all that depends on it."""
    wrong = [1 - NOISE if part in UPON[name] else NOISE for part in PARTS]
    return (tuple(1 - p for p in (*wrong, 0.5)), (*wrong, 0.5))


BENCH = Bench(
    faults=PARTS,
    fix_minutes=(30.0,) * len(PARTS),
    measures=tuple(UPON),
    outcomes=(("right", "wrong"),) * len(UPON),
    tables=tuple(table(name) for name in UPON),
    measure_minutes=(1.0,) * len(UPON),
    measure_setup=(0,) * len(UPON),
    change=((0.0,),),
    escalate=1000.0,
)


def test_candidates_and_the_best_next_measurement():
    place = start(BENCH, (*(0.2 - 1e-4,) * 5, 5e-4))
    for name, outcome in (("F", 1), ("G", 0)):
        place = after_outcome(BENCH, place, BENCH.measures.index(name), outcome)
    total = sum(place.weights)
    shares = dict(zip(PARTS, (w / total for w in place.weights), strict=False))
    assert shares["A1"] == pytest.approx(shares["M1"])
    assert shares["A1"] + shares["M1"] > 0.99
    best = choices(look_at(BENCH), place)[0]
    assert (best.kind, BENCH.measures[best.index]) == ("measure", "X")
