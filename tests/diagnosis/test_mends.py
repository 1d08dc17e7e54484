"""What else a fix mends, by hand: a part that was swapped in vain is suspected no more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.model import Fault, PartUse, Step
from benchlore.diagnosis.at_once import every, sheet_of
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import (
    after_failed_fix,
    choices,
    look_at,
    start,
    without_measuring,
)
from benchlore.diagnosis.mends import at_fault, mends_of, minutes_of, renewed
from benchlore.diagnosis.minutes import ratio_order
from benchlore.diagnosis.optimum import least_minutes
from benchlore.diagnosis.plan import fix_order, grow, nodes
from benchlore.diagnosis.posterior import evidence, posterior
from benchlore.diagnosis.rank import rank
from benchlore.diagnosis.suspects import Member, Suspect
from tests.books import example
from tests.diagnosis.benches import random_bench
from tests.diagnosis.cases import case

FUSE = next(
    f for f in example().faults.values() if f.cause.mode and not f.cause.then and not f.cause.variants
)
ORIGIN = FUSE.origin


def recorded(part: str, action: str = "replace", new: str = "", mode: str | None = "open") -> Fault:
    """A fault of one part, mended by an action and new parts, those after a stroke only now and then."""
    always, _, perhaps = (new or part).partition("/")
    steps = [Step(origin=ORIGIN, replace=tuple(PartUse(part=name) for name in always.split()))]
    steps += [Step(origin=ORIGIN, if_="it is burnt", replace=(PartUse(part=perhaps),))] if perhaps else []
    fix = replace(FUSE.fix, action=action, steps=tuple(steps))
    return replace(FUSE, cause=replace(FUSE.cause, part=part, mode=mode), fix=fix)


def took_along(fault: Fault, other: str) -> Fault:
    blown = replace(FUSE.cause, part=other)
    return replace(fault, cause=replace(fault.cause, then=(blown,)))


def suspected(*parts: str, mode: str = "open", **more: object) -> Suspect:
    members = tuple(Member(part, mode, "", 1 / len(parts), 10.0) for part in parts)
    return replace(Suspect("~", "", members, "", 1.0, {}, 10.0, hot=True), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("one", "parts"),
    [
        (recorded("B1"), {"B1"}),
        (recorded("C55", new="C55 F2"), {"C55", "F2"}),
        (recorded("C55", new="C55/F2"), {"C55"}),  # the fuse only where it has blown
        (recorded("J5", "clean", "J5"), set()),
        (recorded("J5", "reflow"), set()),
        (recorded("U30", "reprogram"), set()),
        (suspected("U12"), {"U12"}),
        (suspected("C1", "C2"), set()),  # the one that is found
        (suspected("C1", along=("F1",)), {"C1", "F1"}),
        (suspected("J5", by_hand=True), set()),
        (suspected("U30", mode="loose", reflowed=True), set()),
        (suspected("B1", outside="pack"), {"B1"}),
        (suspected(outside="settings"), set()),
    ],
)
def test_what_a_fix_renews(one, parts) -> None:
    assert renewed(one) == parts


@pytest.mark.parametrize(
    ("one", "parts"),
    [
        (recorded("B1"), {"B1"}),
        (took_along(recorded("C55"), "F2"), {"C55", "F2"}),
        (recorded("J5", "clean"), {"J5"}),  # a new one has clean contacts
        (recorded("B1", "set", mode=None), set()),
        (recorded("U30", "reprogram", mode="content-lost"), set()),
        (recorded("W2", "reseat", mode="damaged"), set()),  # wires swapped: a new cable's are, too
        (recorded("S2", "reseat", mode=None), set()),  # no part has failed: a foot on the pedal
        (recorded("A1", mode=None), {"A1"}),  # a wrong adapter, which the record replaces
        (recorded("B1", mode="content-lost"), {"B1"}),  # a pack of another maker, the same
        (suspected("C1", "C2", along=("F1",)), {"C1", "C2", "F1"}),
        (suspected("U30", mode="content-lost"), set()),
        (suspected(outside="settings"), set()),
    ],
)
def test_what_new_parts_mend(one, parts) -> None:
    assert at_fault(one) == parts


def test_a_fix_mends_all_whose_parts_are_new() -> None:
    everyone = (
        recorded("B1"),
        recorded("B1", "set", mode=None),
        suspected("B1", outside="pack"),
        took_along(recorded("C55", new="C55 F2"), "F2"),
        recorded("F2"),
        suspected("C55", mode="leaks"),
        recorded("C55", "clean"),
        suspected("C55", "C56"),
    )
    assert mends_of(everyone) == {0: (0, 2), 2: (0, 2), 3: (3, 4, 5, 6), 5: (5, 6)}
    assert mends_of(everyone[:2]) == {}


def test_the_same_work_takes_the_same_minutes() -> None:
    everyone = (
        recorded("U12"),
        recorded("U12"),
        suspected("U12"),
        suspected("U12", "U13"),
        suspected("U14"),
        recorded("B1"),
        suspected("B1", outside="pack"),
        recorded("J5", "clean"),
        suspected("J5"),
    )
    alone = (60.0, 50.0, 40.0, 30.0, 20.0, 10.0, 4.0, 25.0, 35.0)
    assert minutes_of(everyone, alone) == (60.0, 50.0, 50.0, 30.0, 20.0, 10.0, 4.0, 25.0, 35.0)


# A trial with a known good pack, a worn pack (the same), another fault; nothing to measure.

PACK = replace(
    random_bench(1, faults=3, measures=0)[0],
    fix_minutes=(4.0, 10.0, 30.0),
    escalate=100.0,
    mends={0: (0, 1), 1: (0, 1)},
)
SHARES = (0.1, 0.4, 0.3, 0.2)


def test_the_pack_is_swapped_once() -> None:
    """By hand: the trial mends 0.5 of the jobs at 4 min; the others are fixed at 30, or escalated."""
    spent = 4 + 0.5 * 30 + 0.2 * 100
    minutes, order = ratio_order(SHARES, PACK.fix_minutes, 100.0, PACK.mends)
    assert order == (0, 2)
    assert minutes == pytest.approx(spent)
    assert fix_order(PACK, SHARES).faults == ("f0", "f2")
    look, place = look_at(PACK), start(PACK, SHARES)
    assert without_measuring(look, SHARES) == pytest.approx(spent)
    assert look.floors == (4.0, 4.0, 30.0, 100.0)
    assert after_failed_fix(PACK, place, 0).weights == (0.0, 0.0, 0.3, 0.2)
    assert least_minutes(PACK, SHARES) == pytest.approx(spent)
    for found in (choices(look, place), every(look, sheet_of(look), place, 2)):
        assert [(c.kind, c.index) for c in found] == [("fix", 0), ("fix", 2), ("escalate", -1)]
        assert found[0].expected == pytest.approx(spent)
    tree = grow(PACK, SHARES)
    assert [(n.kind, n.id) for n in nodes(tree)] == [("fix", "f0"), ("fix", "f2"), ("escalate", "")]
    assert tree.success == pytest.approx(0.5)
    assert dict(tree.also) == {"f1": pytest.approx(0.4)}


def test_what_is_left_for_a_fix_decides_its_place() -> None:
    """f1 mends what f0 does and 0.02 more, at 12 min: it is the second by all that it mends, and the last by
    what is left of it."""
    mends = {1: (0, 1)}
    costs, shares = (10.0, 12.0, 10.0), (0.48, 0.02, 0.3, 0.2)
    without = 10 + 0.52 * 10 + 0.22 * 100
    assert without < 10 + 0.52 * 10 + 0.22 * 12 + 0.2 * 100, "it saves 2 min and costs 2.64"
    minutes, order = ratio_order(shares, costs, 100.0, mends)
    assert order == (0, 2)
    assert minutes == pytest.approx(without)
    bench = replace(PACK, fix_minutes=costs, mends=mends)
    assert without_measuring(look_at(bench), shares) == pytest.approx(without)
    cheap = (10.0, 12.0, 40.0)
    assert ratio_order((0.1, 0.6, 0.1, 0.2), cheap, 100.0, mends)[1] == (1,)


@pytest.mark.parametrize("family", ["siskin-12", "teal-8"])
def test_what_was_swapped_in_vain_is_suspected_no_more(family: str) -> None:
    """Every fix of the book that mends more than its own: nothing of that is left, and none is proposed."""
    known, met = case(family), 0
    symptoms = sorted(known.shows)[:1]
    for fix, mended in known.bench.mends.items():
        tried = evidence(known, symptoms, (), [known.faults[fix]])
        found = posterior(known, tried)
        assert [h for h in mended if found[h] > 0] == []
        assert sum(found) == pytest.approx(1)
        others = [h for h in range(len(known.faults)) if h not in mended]
        assert all(found[h] > 0 for h in others)
        if met % 6 == 0:
            names = {known.faults[h] for h in mended}
            assert not names & {action.id for action in rank(example(), known, tried).next}
        met += 1
    assert met > 15


def overlapping(bench: Bench, seed: int) -> Bench:
    return replace(bench, mends={1: (0, 1), 2: (1, 2)} if seed % 2 else {0: (0, 1, 2), 2: (0, 2)})


@pytest.mark.parametrize("seed", range(6))
def test_no_order_of_fixes_costs_less_than_the_least_and_the_named_one_costs_what_it_says(seed: int) -> None:
    """All orders of three fixes, each carried out."""
    bench, weights = random_bench(seed, faults=3, measures=0)
    bench = overlapping(bench, seed)

    def least(left: tuple[float, ...]) -> float:
        found = sum(left) * bench.escalate
        for i in range(3):
            if left[i] > 0:
                rest = tuple(0.0 if h in bench.mended_by(i) else w for h, w in enumerate(left))
                found = min(found, bench.fix_minutes[i] * sum(left) + least(rest))
        return found

    best = least(weights)
    assert least_minutes(bench, weights) == pytest.approx(best)
    minutes, order = ratio_order(weights, bench.fix_minutes, bench.escalate, bench.mends)
    assert minutes >= best - 1e-9
    spent, rest = 0.0, set(range(4))
    for i in order:
        spent += bench.fix_minutes[i] * sum(weights[h] for h in rest)
        rest -= set(bench.mended_by(i))
    assert spent + bench.escalate * sum(weights[h] for h in rest) == pytest.approx(minutes)
