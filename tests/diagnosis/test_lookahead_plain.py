"""The look ahead beside its definition, carried out word by word on small benches with interlocks, on which
fixes mend more than their own fault."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable
from dataclasses import replace

import pytest

from benchlore.diagnosis.at_once import best, every, sheet_of
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import (
    ALIKE,
    BEAM,
    DEPTH,
    TELLS,
    UNLIKELY,
    Choice,
    Place,
    after_failed_fix,
    after_outcome,
    among_likely,
    best_ratio,
    choices,
    locked_after,
    look_at,
    measure_cost,
    start,
    value,
    without_measuring,
)
from benchlore.diagnosis.optimum import bench_among_likely
from tests.diagnosis.benches import random_bench

FAULTS, MEASURES = 4, 3


def bench_with_interlocks(seed: int) -> tuple[Bench, tuple[float, ...], tuple[float, ...]]:
    """A bench on which outcomes open fixes, close measurements and bar fixes; weights before, and now."""
    chance = random.Random(seed)
    bench, weights = random_bench(seed, faults=FAULTS, measures=MEASURES)
    outcomes = [(m, o) for m in range(MEASURES) for o in range(len(bench.tables[m]))]
    closes = {
        at: frozenset(m for m in range(MEASURES) if chance.random() < 0.5)
        for at in outcomes
        if chance.random() < 0.25
    }
    shuts = {at: chance.randrange(1 << FAULTS) for at in closes}
    opens = {at: chance.randrange(1 << FAULTS) for at in outcomes if chance.random() < 0.4}
    mends = {
        i: tuple(sorted({i, *(h for h in range(FAULTS) if chance.random() < 0.4)}))
        for i in range(FAULTS)
        if seed % 3
    }
    bench = replace(
        bench,
        mends={i: known for i, known in mends.items() if len(known) > 1},
        guarded=chance.randrange(1 << FAULTS),
        closes=closes,
        shuts=shuts,
        opens=opens,
        live=frozenset({0}),
    )
    now = tuple(w * chance.uniform(0.2, 2) for w in weights)
    return bench, weights, now


class Plain:
    """`lookahead`'s head, word by word."""

    def __init__(self, bench: Bench, before: tuple[float, ...]) -> None:
        self.bench, self.before = bench, before

    def may(self, place: Place, fix: int) -> bool:
        """A guarded fix is tried only where its fault has gained on something else."""
        if place.locked >> fix & 1:
            return False
        if self.bench.guarded >> fix & 1:
            return place.weights[fix] * self.before[-1] > self.before[fix] * place.weights[-1]
        return place.weights[fix] > 0

    def mends(self, fix: int) -> set[int]:
        return set(self.bench.mends.get(fix, ())) | {fix}

    def mended(self, place: Place, fix: int) -> float:
        return math.fsum(place.weights[h] for h in self.mends(fix))

    def ratio(self, place: Place, fix: int) -> float:
        return self.mended(place, fix) / self.bench.fix_minutes[fix]

    def v0(self, place: Place) -> float:
        """Fixes by weight / minutes, those that cannot save what they cost left out; then those with
        something left to mend by what that is. Each paid by who is left; given up where escalation is
        cheaper."""
        cost, escalate = self.bench.fix_minutes, self.bench.escalate
        allowed = [
            i
            for i in range(len(self.bench.faults))
            if self.may(place, i)
            and self.mended(place, i) * escalate > cost[i] * (self.mended(place, i) + place.weights[-1])
        ]
        order = sorted(allowed, key=lambda i: -self.ratio(place, i))
        more = {i: self.still(place, order[:n], i) for n, i in enumerate(order)}
        order = sorted((i for i in order if more[i] > 0), key=lambda i: -more[i] / cost[i])
        whole, spent = math.fsum(place.weights), 0.0
        found = whole * escalate
        for n, i in enumerate(order):
            if self.still(place, order[:n], i) > 0:
                spent += cost[i] * self.left(place, order[:n])
            found = min(found, spent + self.left(place, order[: n + 1]) * escalate)
        return found

    def left(self, place: Place, made: Iterable[int]) -> float:
        """The weight of what some fixes do not mend."""
        mended = {h for i in made for h in self.mends(i)}
        return math.fsum(w for h, w in enumerate(place.weights) if h not in mended)

    def still(self, place: Place, made: Iterable[int], fix: int) -> float:
        """The weight that a fix mends once some others were made."""
        mended = {h for i in made for h in self.mends(i)}
        return math.fsum(place.weights[h] for h in self.mends(fix) - mended)

    def worth_trying(self, place: Place) -> list[int]:
        """The fixes that may be tried, without those that another is as good as: what mends all that they do
        is no dearer, and the likelier for its minutes; of those that do the same, the likelier fault."""
        fixes = [i for i in range(FAULTS) if self.may(place, i)]
        real = {i: {h for h in self.mends(i) if place.weights[h] > 0} for i in fixes}
        cost = self.bench.fix_minutes

        def better(k: int, i: int) -> bool:
            if not (cost[k] <= cost[i] and real[i] <= real[k]):
                return False
            return self.ratio(place, k) > self.ratio(place, i) * (1 + 1e-9)

        return [i for i in fixes if not any(better(k, i) for k in fixes if k != i)]

    def after(self, place: Place, m: int, o: int) -> Place:
        weights = tuple(w * p for w, p in zip(place.weights, self.bench.tables[m][o], strict=True))
        shut = place.shut | self.bench.shuts.get((m, o), 0)
        locked = place.locked & ~self.bench.opens.get((m, o), 0) | shut
        closed = self.bench.closes.get((m, o), frozenset())
        still = tuple(other for other in place.open if other != m and other not in closed)
        setup = 0 if m in closed else self.bench.measure_setup[m]
        return Place(weights, still, setup, locked, shut)

    def measuring(self, place: Place, m: int, depth: int) -> float:
        cost = self.bench.change[place.setup][self.bench.measure_setup[m]] + self.bench.measure_minutes[m]
        spent = cost * math.fsum(place.weights)
        return spent + sum(self.v(self.after(place, m, o), depth) for o in range(len(self.bench.tables[m])))

    def fixing(self, place: Place, i: int, depth: int) -> float:
        weights = tuple(0.0 if h in self.mends(i) else w for h, w in enumerate(place.weights))
        failed = replace(place, weights=weights, setup=0)
        return self.bench.fix_minutes[i] * math.fsum(place.weights) + self.v(failed, depth)

    def cov(self, place: Place, m: int, n: int) -> float:
        """Of the chances of the likeliest outcomes of two measurements, over the columns."""
        shares = [w / math.fsum(place.weights) for w in place.weights]

        def apart(one: int) -> list[float]:
            means = [sum(w * p for w, p in zip(shares, row, strict=True)) for row in self.bench.tables[one]]
            likeliest = means.index(max(means))
            return [p - means[likeliest] for p in self.bench.tables[one][likeliest]]

        return sum(w * p * q for w, p, q in zip(shares, apart(m), apart(n), strict=True))

    def differing(self, place: Place, measures: Iterable[int]) -> list[int]:
        """Of sorted measurements those that tell something, and tell it first."""
        kept: list[int] = []
        for m in measures:
            own = self.cov(place, m, m)
            told = (self.cov(place, m, n) ** 2 / own / self.cov(place, n, n) for n in kept)
            if own >= TELLS and all(square < ALIKE for square in told):
                kept.append(m)
        return kept

    def v(self, place: Place, depth: int) -> float:
        found = self.v0(place)
        if depth == 0:
            return found
        for m in place.open:
            found = min(found, self.measuring(place, m, depth - 1))
        fixes = [i for i in range(len(self.bench.faults)) if self.may(place, i)]
        if depth > 1 and fixes:
            found = min(found, self.fixing(place, max(fixes, key=lambda i: self.ratio(place, i)), depth - 1))
        return found


@pytest.mark.parametrize("seed", range(40))
def test_values_are_those_of_the_definition(seed: int) -> None:
    bench, before, weights = bench_with_interlocks(seed)
    look, plain = look_at(bench, before), Plain(bench, before)
    place = start(bench, weights)
    assert without_measuring(look, weights, place.locked) == pytest.approx(plain.v0(place), rel=1e-9)
    for depth in range(4):
        assert value(look, place, depth) == pytest.approx(plain.v(place, depth), rel=1e-9), depth
    for m in range(MEASURES):
        for o in range(len(bench.tables[m])):
            found, wanted = after_outcome(bench, place, m, o), plain.after(place, m, o)
            assert found.weights == pytest.approx(wanted.weights)
            assert replace(found, weights=()) == replace(wanted, weights=())
            assert locked_after(bench, place, m, o) == wanted.locked


@pytest.mark.parametrize("depth", [1, 2])
def test_choices_are_those_of_the_definition(depth: int) -> None:
    """Every open measurement, every fix that may be tried, escalation; per job, the best first. The best five
    of those that differ are looked at again, with all that may follow, since they are few; the others stay as
    they were valued one action ahead."""
    alike = 0
    for seed in range(40):
        bench, before, weights = bench_with_interlocks(seed)
        plain, place = Plain(bench, before), start(bench, weights)
        total = math.fsum(weights)
        work = {"measure": plain.measuring, "fix": plain.fixing}
        fixes = [("fix", i) for i in plain.worth_trying(place)]
        ahead = {("escalate", -1): bench.escalate}
        ahead |= {one: work[one[0]](place, one[1], 0) / total for one in fixes}
        ahead |= {("measure", m): plain.measuring(place, m, 0) / total for m in place.open}
        order = sorted(ahead, key=lambda one: ahead[one])
        differ = plain.differing(place, [m for kind, m in order if kind == "measure"])
        alike += len(place.open) - len(differ)
        beam = sorted(order, key=lambda one: one[0] == "measure" and one[1] not in differ)[:BEAM]
        wanted = dict(ahead)
        for kind, i in beam if depth > 1 else ():
            if kind != "escalate":
                wanted[kind, i] = work[kind](place, i, depth - 1) / total
        found = choices(look_at(bench, before), place, depth)
        assert {(c.kind, c.index): c.expected for c in found} == pytest.approx(wanted, rel=1e-9), seed
        assert [c.expected for c in found] == pytest.approx(sorted(wanted.values())), seed
        for c in found:
            asked = measure_cost(bench, 0, c.index) if c.kind == "measure" else bench.escalate
            assert c.minutes == pytest.approx(bench.fix_minutes[c.index] if c.kind == "fix" else asked)
    assert alike > 0


@pytest.mark.parametrize("seed", range(20))
def test_what_comes_first_stands_first_and_no_live_reading_with_it(seed: int) -> None:
    bench, before, weights = bench_with_interlocks(seed)
    bench = replace(bench, rails_first=(2, 1))
    place = start(bench, weights, rails_first=True)
    assert place.first == (2, 1)
    found = choices(look_at(bench, before), place)
    assert {c.index for c in found[:2]} == {1, 2}
    assert ("measure", 0) not in [(c.kind, c.index) for c in found], "0 is live"
    after = after_outcome(bench, place, 2, 0)
    assert after.first in ((1,), ())
    assert start(bench, weights, ("m2",), rails_first=True).first == (1,)
    assert start(bench, weights, rails_first=True, closed=frozenset({2})).first == (1,), "0 is still open"
    assert start(bench, weights, rails_first=True, closed=frozenset({0})).first == ()
    assert start(bench, weights, spoken=0b11).locked == bench.guarded & 0b1100
    assert start(bench, weights, spoken=0b11, shut=0b1).locked == bench.guarded & 0b1100 | 0b1


def test_the_best_fix_is_the_likeliest_for_its_minutes() -> None:
    bench, _ = random_bench(1, faults=3, measures=0)
    bench = replace(bench, fix_minutes=(10.0, 20.0, 10.0))
    look = look_at(bench)
    assert best_ratio(look, start(bench, (0.2, 0.3, 0.1, 0.4))) == 0
    assert best_ratio(look, start(bench, (0.2, 0.41, 0.1, 0.29))) == 1
    assert best_ratio(look, start(bench, (0.2, 0.4, 0.2, 0.2))) == 0, "of equals the first"
    assert best_ratio(look, replace(start(bench, (0.2, 0.4, 0.1, 0.3)), locked=0b1)) == 1
    assert best_ratio(look, start(bench, (0.0, 0.0, 0.0, 1.0))) == -1
    failed = after_failed_fix(bench, start(bench, (0.2, 0.3, 0.1, 0.4)), 1)
    assert failed.weights == (0.2, 0.0, 0.1, 0.4)
    assert failed.setup == 0
    nothing = choices(look, start(bench, (0.0, 0.0, 0.0, 0.0)))
    assert nothing == (Choice("escalate", -1, bench.escalate, bench.escalate),)


@pytest.mark.parametrize("seed", range(12))
def test_among_the_likely_all_is_valued_as_if_the_others_were_something_else(seed: int) -> None:
    """With a second way of the last fault and of something else; two of the four are unlikely."""
    bench, before, weights = bench_with_interlocks(seed)
    extra = (3, FAULTS)
    tables = tuple(tuple((*row[:-1], row[0], row[1], row[-1]) for row in table) for table in bench.tables)
    bench = replace(bench, tables=tables, extra=extra)
    rare = UNLIKELY / 4
    now = (rare, weights[1], rare, weights[3], 0.1, 0.05, weights[-1])
    look = look_at(bench, (*before[:-1], 0.1, 0.0, before[-1]))
    place = replace(start(bench, now), locked=seed & 0b1111, shut=seed & 0b1010)
    narrow, here, live = bench_among_likely(look, place)
    assert live == (1, 3)
    assert narrow.bench.faults == ("f1", "f3")
    guarded = [i for i in range(FAULTS) if bench.guarded >> i & 1]
    assert [live[n] for n in range(2) if narrow.bench.guarded >> n & 1] == [i for i in guarded if i in live]
    assert not narrow.bench.guarded >> 2
    moved = (0.0, weights[1], 0.0, weights[3], 0.1, 0.05, weights[-1] + 2 * rare)
    wanted = choices(look, replace(place, weights=moved))
    found = choices(narrow, here)
    assert [(c.kind, live[c.index] if c.kind == "fix" else c.index) for c in found] == [
        (c.kind, c.index) for c in wanted
    ]
    assert [c.expected for c in found] == pytest.approx([c.expected for c in wanted], rel=1e-9)
    there, kept = among_likely(place, range(FAULTS), extra)
    assert there.weights == pytest.approx(moved)
    assert kept == live
    same = every(look, sheet_of(look).of(kept), there, DEPTH)
    assert [(c.kind, c.index) for c in same] == [(c.kind, c.index) for c in wanted]
    assert [c.expected for c in same] == pytest.approx([c.expected for c in wanted], rel=1e-9)


@pytest.mark.parametrize("depth", [1, 2, 3])
def test_all_at_once_is_that_of_one_after_the_other(depth: int) -> None:
    """With interlocks and several ways of failing of two faults and of something else; some have no weight,
    and a sheet of the others alone says the same."""
    kinds = []
    for seed in range(30):
        chance = random.Random(f"at once {seed}")
        bench, before, _ = bench_with_interlocks(seed)
        extra = tuple(chance.choice([(), (FAULTS,), (3, FAULTS), (1, 1, 3, FAULTS)]))
        like = [chance.randrange(FAULTS + 1) for _ in extra]
        tables = tuple(
            tuple((*row[:-1], *(row[c] for c in like), row[-1]) for row in table) for table in bench.tables
        )
        scale = chance.choice([0.1, 1.0, 4.0])
        bench = replace(
            bench, tables=tables, extra=extra, fix_minutes=tuple(m * scale for m in bench.fix_minutes)
        )
        look = look_at(bench, (*before[:-1], *(0.05 for _ in extra), before[-1]))
        gone = set(chance.sample(range(FAULTS), chance.choice([0, 1, 2])))
        now = [0.0 if h in gone else chance.random() for h in (*range(FAULTS), *extra)] + [0.2]
        place = replace(
            start(bench, tuple(now)), locked=chance.randrange(16), shut=0, setup=chance.choice([0, 1])
        )
        wanted = choices(look, place, depth)[0]
        sheet = sheet_of(look)
        for one in (sheet, sheet.of([h for h in range(FAULTS) if h not in gone])):
            found = best(look, one, place, depth)
            assert (found.kind, found.index) == (wanted.kind, wanted.index), seed
            assert (found.minutes, found.expected) == pytest.approx((wanted.minutes, wanted.expected))
        kinds.append(wanted.kind)
    assert set(kinds) == {"measure", "fix", "escalate"}
