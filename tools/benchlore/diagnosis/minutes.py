"""What work costs, in bench minutes: bench states, unplugging, fixes with their proof, parts by the labour
rate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from benchlore.book.model import Book, Family, Fault, Part, Shop
from benchlore.vocabulary import HOT_ACTIONS, OUTSIDE_KINDS, SKILLS


@dataclass(frozen=True, slots=True)
class Setup:
    """How the bench stands: its state (None: nothing set up) and the parts that are unplugged."""

    state: str | None = None
    unplugged: frozenset[str] = frozenset()


NOTHING = Setup()


def setup_of(family: Family, measure: str) -> Setup:
    """The set-up that a measurement of the family needs."""
    measurement = family.measurements[measure]
    return Setup(measurement.state, frozenset(measurement.unplugged))


def change_minutes(book: Book, family: Family, before: Setup, after: Setup) -> float:
    """Minutes from one set-up to another: the new state's minutes, if it is another, and unplug_minutes for
    each part to unplug or to plug in again."""
    state = family.states.get(after.state or "")
    minutes = state.minutes if state is not None and after.state != before.state else 0.0
    return minutes + book.shop.unplug_minutes * len(before.unplugged ^ after.unplugged)


def price_minutes(shop: Shop, price: float) -> float:
    """A price in the shop's currency as bench minutes: price / labour rate x 60."""
    return price / shop.labour_rate * 60


def parts_minutes(book: Book, fault: Fault) -> float:
    """The parts that the fix takes, as bench minutes."""
    family = book.families[fault.family]
    used = (family.parts[use.part] for use in fault.fix.parts if use.part in family.parts)
    return fsum(part_minutes(book.shop, part) for part in used)


def part_minutes(shop: Shop, part: Part) -> float:
    """What a part costs, as bench minutes. One without a price costs nothing.

    Nor does what is plugged in: it is tried with one that is known good, and only one that was proved bad
    is bought, by whatever way it was found (common practice, no source). So its price is in no choice.
    """
    bought = part.replace.price is not None and part.kind not in OUTSIDE_KINDS
    return price_minutes(shop, part.replace.price or 0.0) if bought else 0.0


def proof_measures(book: Book, fault: Fault) -> tuple[str, ...]:
    """The confirming measurements of a fix: without power first, lest a mend that failed be powered; those of
    one bench state together (by state, then id)."""
    family = book.families[fault.family]
    known = family.measurements

    def key(measure: str) -> tuple[bool, str, str]:
        state = family.states.get(known[measure].state)
        return state is not None and bool(state.sources), known[measure].state, measure

    return tuple(sorted((m for m in fault.fix.confirm if m in known), key=key))


def proof_minutes(book: Book, fault: Fault) -> float:
    """Minutes of the proof, from a bench with nothing set up."""
    family = book.families[fault.family]
    total, stands = 0.0, NOTHING
    for measure in proof_measures(book, fault):
        needs = setup_of(family, measure)
        total += change_minutes(book, family, stands, needs) + family.measurements[measure].minutes
        stands = needs
    return total


def fix_minutes(book: Book, fault: Fault) -> float:
    """Minutes to try a fix and prove it: the work, the parts' prices, the proof, and what it risks.

    The work is done with everything out, so the proof sets the bench up anew: the cost of a fix does not
    depend on how the bench stood before."""
    work = fault.fix.minutes + parts_minutes(book, fault)
    return work + proof_minutes(book, fault) + risk_minutes(book, fault)


def risk_minutes(book: Book, fault: Fault) -> float:
    """What a fix risks: the shop's share of such fixes that make a new fault x what escalating costs."""
    risk = book.shop.risk
    share = risk.get(fault.fix.action, risk.get(skill_of(book, fault), 0.0))
    return share / 100 * book.shop.escalate.minutes


def skill_of(book: Book, fault: Fault) -> str:
    """The greatest skill that a fix asks for: of the parts that it takes, else of the part at fault.

    By hand where its action brings no heat."""
    if fault.fix.action not in HOT_ACTIONS:
        return "none"
    family = book.families[fault.family]
    names = [use.part for use in fault.fix.parts] or [fault.cause.part]
    skills = [family.parts[name].replace.skill for name in names if name in family.parts]
    return max(skills, key=tuple(SKILLS).index, default="iron")


def is_hot(book: Book, fault: Fault) -> bool:
    """True for a fix that heats the board or takes a part off it."""
    return skill_of(book, fault) != "none"


def ratio_order(
    weights: Sequence[float],
    minutes: Sequence[float],
    escalate: float,
    mends: Mapping[int, tuple[int, ...]] | None = None,
    may: Sequence[int] | None = None,
) -> tuple[float, tuple[int, ...]]:
    """An order to try fixes in without measuring, and its minutes times the sum of the weights; the best one
    where each fix mends its own fault alone.

    `weights`: of each fault, then, last, of what no fix mends; they need not sum to one. `minutes`: of each
    fix. Each fix is tried and proved, the last one too, and at any step the shop may escalate for `escalate`
    minutes. `mends`: what a fix mends, where that is more than its own; its weight is the sum. `may`: the
    fixes that may be tried, where not all.

    Order by weight / minutes, descending (Mitten 1960; Kadane and Simon 1977; Kalagnanam and Henrion 1990,
    who also give the sum). With escalation as a way out the fixes worth trying are the first few of that
    order: in an optimal set each fix saves more than it costs, and a fix with a better ratio outside the set
    would save more than it costs as well. So the best prefix is taken.

    Where fixes mend the same, each hypothesis counts at the first that mends it, and a fix that has nothing
    left to mend is passed over; then the others are sorted once more, by what was left for each. That is what
    the order costs, but another may cost less (to find the least is a covering problem: Feige, Lovasz and
    Tetali 2004, from memory)."""
    known = mends or {}
    some = range(len(minutes)) if may is None else may
    mended = {i: fsum([weights[h] for h in known.get(i, (i,))]) for i in some}

    def key(i: int) -> tuple[float, float, int]:
        return -tie_key(mended[i] / minutes[i], 1e-12), -tie_key(weights[i], 1e-12), i

    order = sorted((i for i in some if mended[i] > 0), key=key)
    if known:
        mended = newly(weights, order, known)
        order = sorted((i for i in order if mended[i] > 0), key=key)
        mended = newly(weights, order, known)
    left = fsum(weights)
    best, spent = left * escalate, 0.0
    made: list[int] = []
    kept = 0
    for i in order:
        if mended[i] <= 0:
            continue
        made.append(i)
        spent += minutes[i] * left
        left = max(left - mended[i], 0.0)
        if spent + left * escalate < best:
            best, kept = spent + left * escalate, len(made)
    return best, tuple(made[:kept])


def summed(weights: Sequence[float], mends: Mapping[int, tuple[int, ...]]) -> list[float]:
    """The weight that each fix mends. `weights`: of each fault, then, last, of what no fix mends."""
    found = list(weights[:-1])
    for i, known in mends.items():
        found[i] = fsum([weights[h] for h in known])
    return found


def newly(
    weights: Sequence[float], order: Sequence[int], mends: Mapping[int, tuple[int, ...]]
) -> dict[int, float]:
    """What each fix of an order mends that none before it has."""
    waiting, found = list(weights), {}
    for i in order:
        mended = mends.get(i, (i,))
        found[i] = fsum([waiting[h] for h in mended])
        for h in mended:
            waiting[h] = 0.0
    return found


def tie_key(value: float, step: float = 1e-9) -> float:
    """A value in whole steps: what differs by rounding only compares as equal, in every language."""
    return float(int(value / step + 0.5))
