"""The plan: its sums, when it stops measuring, how it groups bench states, and how near the optimum it is."""

import random
from dataclasses import replace

import pytest

from benchlore.diagnosis.at_once import best
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import (
    UNLIKELY,
    Look,
    Place,
    after_failed_fix,
    after_outcome,
    choices,
    look_at,
    measure_cost,
    start,
)
from benchlore.diagnosis.optimum import least_minutes
from benchlore.diagnosis.plan import fix_order, grow, nodes, plan
from benchlore.diagnosis.posterior import Evidence, joint
from tests.books import example
from tests.diagnosis.benches import random_bench
from tests.diagnosis.cases import case
from tests.diagnosis.plans import consistent, hot_without_a_reason, live_after_a_stop

SYMPTOMS = [
    (family, symptom)
    for family in example().families
    for symptom in sorted(example().symptoms)
    if any(f.family == family and symptom in f.symptom for f in example().faults.values())
]


def small(
    minutes: tuple[float, float] = (20.0, 30.0), measure: float = 2.0, escalate: float = 200.0
) -> Bench:
    """Two faults, one measurement that tells them apart for certain."""
    return Bench(
        faults=("a", "b"),
        fix_minutes=minutes,
        measures=("m",),
        outcomes=(("low", "high"),),
        tables=(((1.0, 0.0, 0.5), (0.0, 1.0, 0.5)),),
        measure_minutes=(measure,),
        measure_setup=(1,),
        change=((0.0, 0.0), (0.0, 0.0)),
        escalate=escalate,
    )


def test_measures_when_it_saves_more_than_it_costs():
    tree = grow(small(), (0.5, 0.5, 0.0))
    assert (tree.kind, tree.id) == ("measure", "m")
    assert tree.expected == pytest.approx(2 + 0.5 * 20 + 0.5 * 30)


def test_stops_measuring_when_fixing_is_cheaper():
    tree = grow(small(measure=25.0), (0.5, 0.5, 0.0))
    assert (tree.kind, tree.id) == ("fix", "a")
    assert tree.expected == pytest.approx(20 + 0.5 * 30)


def test_escalates_when_nothing_is_worth_trying():
    tree = grow(small(escalate=10.0), (0.5, 0.5, 0.0))
    assert (tree.kind, tree.expected) == ("escalate", 10.0)


@pytest.mark.parametrize(
    ("minutes", "share", "named"), [(200.0, 0.6, "a"), (200.0, 0.5, ""), (199.0, 0.6, "")]
)
def test_an_escalation_names_a_likely_fault_whose_fix_costs_no_less(minutes, share, named):
    """Of two faults the one with more than half of the jobs, where a board costs 200 and its fix as much."""
    bench = replace(small(minutes=(minutes, 300.0)), tables=(((0.5, 0.5, 0.5), (0.5, 0.5, 0.5)),))
    tree = grow(bench, (share, 1 - share, 0.0))
    assert (tree.kind, tree.id) == ("escalate", named)
    assert tree.success == pytest.approx(share if named else 0.0)
    assert tree.expected == tree.minutes == bench.escalate


def test_a_fault_that_is_dearer_than_a_board_is_told_before_the_board_is_given_up():
    """A reading that saves the fix of the other fault leads to the name of the dear one."""
    tree = grow(small(minutes=(20.0, 900.0)), (0.5, 0.5, 0.0))
    dear = next(branch.then for branch in tree.branches if branch.outcome == "high")
    assert (dear.kind, dear.id, dear.success) == ("escalate", "b", 1.0)


def test_measurements_of_one_bench_state_are_made_together():
    """Three measurements of one cost, two in the state that the bench is in after the first: the state is
    changed once."""
    apart = ((1.0, 0.0, 0.0, 0.0, 0.5), (0.0, 1.0, 1.0, 1.0, 0.5))
    other = ((0.0, 1.0, 0.0, 0.0, 0.5), (1.0, 0.0, 1.0, 1.0, 0.5))
    third = ((0.0, 0.0, 1.0, 0.0, 0.5), (1.0, 1.0, 0.0, 1.0, 0.5))
    bench = Bench(
        faults=("a", "b", "c", "d"),
        fix_minutes=(60.0,) * 4,
        measures=("m1", "m2", "m3"),
        outcomes=(("low", "high"),) * 3,
        tables=(apart, other, third),
        measure_minutes=(1.0,) * 3,
        measure_setup=(1, 2, 1),
        change=((0.0, 5.0, 5.0), (5.0, 0.0, 5.0), (5.0, 5.0, 0.0)),
        escalate=1000.0,
    )
    tree = grow(bench, (0.25, 0.25, 0.25, 0.25, 0.0))
    assert tree.id in ("m1", "m3")
    on = next(b.then for b in tree.branches if b.outcome == "high")
    assert on.id in ("m1", "m3"), "the other measurement of the same state comes next"
    assert on.minutes == 1.0


@pytest.mark.parametrize(("family", "symptom"), SYMPTOMS)
def test_every_plan_of_the_book_adds_up_and_beats_fixing_by_guess(family, symptom):
    found = plan(case(family), symptom, steps=100)
    for node in nodes(found.tree):
        consistent(node)
    assert found.tree.reach == pytest.approx(1)
    free = replace(case(family).bench, guarded=0)
    probabilities = joint(case(family), Evidence((symptom,)))
    assert grow(free, probabilities, steps=100).expected <= found.guess.expected + 1e-9


@pytest.mark.parametrize(("family", "symptom"), SYMPTOMS)
def test_no_plan_heats_a_board_before_an_abnormal_reading_that_speaks_for_it(family, symptom):
    known = case(family)
    assert hot_without_a_reason(example(), known, plan(known, symptom, steps=150).tree) == []


def test_a_fix_that_the_readings_speak_against_is_not_tried_though_one_spoke_for_it():
    """Three readings: one makes `a` three times likelier than something else, two ten times less likely."""
    bench = replace(
        small(),
        guarded=0b11,
        opens={(0, 1): 0b11},
        measures=("for", "against", "again"),
        outcomes=(("normal", "abnormal"),) * 3,
        tables=(
            ((0.1, 0.1, 0.7), (0.9, 0.9, 0.3)),
            ((0.08, 0.08, 0.8), (0.92, 0.92, 0.2)),
            ((0.08, 0.08, 0.8), (0.92, 0.92, 0.2)),
        ),
        measure_minutes=(1.0,) * 3,
        measure_setup=(1,) * 3,
    )
    begin = start(bench, (0.45, 0.45, 0.1))
    look = look_at(bench, begin.weights)
    assert not any(look.may(begin, i) for i in (0, 1))
    spoken = after_outcome(bench, begin, 0, 1)
    assert all(look.may(spoken, i) for i in (0, 1))
    against = after_outcome(bench, after_outcome(bench, spoken, 1, 0), 2, 0)
    assert not any(look.may(against, i) for i in (0, 1))
    assert choices(look, against)[0].kind == "escalate"


def test_same_plan_every_time():
    once, again = (plan(case("siskin-12"), "pack-not-seen", steps=100) for _ in range(2))
    assert once == again


@pytest.mark.slow
def test_near_the_optimum_on_random_benches():
    """Exact dynamic programming; the benchmark does the same on more and larger benches."""
    ratios = []
    for seed in range(12):
        bench, weights = random_bench(seed)
        best = least_minutes(bench, weights)
        found = grow(bench, weights, rare=0.0).expected
        assert found >= best * (1 - UNLIKELY), "nothing beats it, but that what is UNLIKELY counts as unknown"
        ratios.append(found / best)
    ratios.sort()
    assert ratios[len(ratios) // 2] <= 1.005
    assert ratios[-1] <= 1.05


def test_optimum_by_brute_force():
    """Every plan of a tiny bench, by plain recursion over measure, fix and escalate."""

    def best(bench: Bench, weights: list[float], open_: frozenset[int], setup: int) -> float:
        total = sum(weights)
        if total <= 0:
            return 0.0
        found = total * bench.escalate
        for i, minutes in enumerate(bench.fix_minutes):
            if weights[i] > 0:
                rest = [0.0 if h == i else w for h, w in enumerate(weights)]
                found = min(found, minutes * total + best(bench, rest, open_, 0))
        for m in open_:
            spent = (bench.change[setup][bench.measure_setup[m]] + bench.measure_minutes[m]) * total
            for row in bench.tables[m]:
                seen = [w * p for w, p in zip(weights, row, strict=True)]
                spent += best(bench, seen, open_ - {m}, bench.measure_setup[m])
            found = min(found, spent)
        return found

    for seed in range(10):
        bench, weights = random_bench(seed, faults=3, measures=2)
        plain = best(bench, list(weights), frozenset(range(2)), 0)
        assert least_minutes(bench, weights) == pytest.approx(plain)


def test_optimum_by_brute_force_where_outcomes_lock_and_open_fixes():
    """The same, with guarded fixes, outcomes that speak for some or bar them, and that close measurements; on
    every other bench two fixes mend one fault.
    """

    def plainly(look: Look, place: Place) -> float:
        bench, total = look.bench, sum(place.weights)
        if total <= 0:
            return 0.0
        found = total * bench.escalate
        for i, minutes in enumerate(bench.fix_minutes):
            if place.weights[i] > 0 and look.may(place, i):
                found = min(found, minutes * total + plainly(look, after_failed_fix(bench, place, i)))
        for m in place.open:
            spent = measure_cost(bench, place.setup, m) * total
            after = (after_outcome(bench, place, m, o) for o in range(len(bench.outcomes[m])))
            found = min(found, spent + sum(plainly(look, one) for one in after))
        return found

    told = []
    for seed in range(30):
        plain, weights = random_bench(seed, faults=3, measures=3)
        chance = random.Random(seed)
        rows = [(m, o) for m, outcomes in enumerate(plain.outcomes) for o in range(len(outcomes))]
        unsafe = [at for at in rows if chance.random() < 0.2]
        bench = replace(
            plain,
            guarded=chance.randrange(1, 8),
            opens={at: chance.randrange(8) for at in rows},
            shuts={at: 1 << chance.randrange(3) for at in unsafe},
            closes={at: frozenset({chance.randrange(3)}) for at in unsafe},
        )
        if seed % 2:
            bench, plain = (replace(one, mends={0: (0, 1), 2: (1, 2)}) for one in (bench, plain))
        look, begin = look_at(bench, weights), start(bench, weights)
        least = plainly(look, begin)
        assert least_minutes(bench, weights) == pytest.approx(least)
        told.append(least < plainly(look_at(plain, weights), start(plain, weights)) - 1e-9)
    assert not any(told), "a lock saves nothing"


def test_choices_are_in_order_and_hold_every_kind():
    known = case("siskin-12")
    bench = known.bench
    found = choices(look_at(bench), start(bench, joint(known, Evidence(()))))
    minutes = [c.expected for c in found]
    assert minutes == pytest.approx(sorted(minutes))
    assert {c.kind for c in found} == {"measure", "fix", "escalate"}


def test_the_best_choice_is_the_first_of_all_choices(monkeypatch):
    """At every step of some plans: the arrays say what the arithmetic of a single place says."""
    met: list[int] = []

    def compared(look, sheet, place, depth):
        met.append(depth)
        chosen, plain = best(look, sheet, place, depth), choices(look, place, depth)[0]
        assert (chosen.kind, chosen.index) == (plain.kind, plain.index)
        assert (chosen.minutes, chosen.expected) == pytest.approx((plain.minutes, plain.expected), rel=1e-12)
        return chosen

    monkeypatch.setattr("benchlore.diagnosis.plan.best", compared)
    for seed in range(60):
        grow(*random_bench(seed))
    family, symptom = SYMPTOMS[0]
    plan(case(family), symptom, steps=120)
    assert set(met) == {1, 2, 3}


def test_guess_is_the_ratio_order():
    bench = replace(small(), fix_minutes=(10.0, 2.0))
    assert fix_order(bench, (0.5, 0.5, 0.0)).faults == ("b", "a")


def test_no_plan_powers_a_board_that_must_not_have_power():
    halted = 0
    for name in ("siskin-12", "teal-8"):
        family = example().families[name]
        for symptom in ("pack-not-seen", "no-power"):
            found = live_after_a_stop(example(), family, plan(case(name), symptom, steps=150).tree)
            assert [step.id for step, live in found if live] == [], f"{name} {symptom}"
            halted += len(found)
    assert halted > 20


def test_a_stop_counts_the_next_set_up_from_a_bare_bench():
    bench = replace(
        small(),
        measures=("a-live", "b-live", "c-dead"),
        outcomes=(("low", "high"),) * 3,
        tables=small().tables * 3,
        measure_minutes=(1.0,) * 3,
        measure_setup=(1, 1, 1),
        change=((0.0, 7.0), (0.0, 0.0)),
        live=frozenset({0, 1}),
        closes={(0, 1): frozenset({0, 1})},
        shuts={(0, 1): 0},
    )
    begin = start(bench, (0.5, 0.5, 0.0))
    low, high = (after_outcome(bench, begin, 0, o) for o in (0, 1))
    assert (low.open, low.setup) == ((1, 2), 1)
    assert (high.open, high.setup) == ((2,), 0)
    assert measure_cost(bench, high.setup, 2) == 8.0
    assert start(bench, (0.5, 0.5, 0.0), closed=frozenset({0, 1})).open == (2,)
