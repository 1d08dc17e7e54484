"""The next actions of a place, best first, with everything that may follow valued at once.

The values are those of `lookahead`, as arrays over (place, outcome, hypothesis) in place of one after the
other: a plan settles a hundred steps with a few hundred orders of fixes behind each. Sums run from left to
right or are those of numpy, so they differ from `lookahead`'s in the last digits only.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from math import fsum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchlore.book.same import Same
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import (
    BEAM,
    EQUAL,
    GAIN,
    Choice,
    Look,
    Place,
    choices,
    differing,
    in_order,
    in_rank,
    likeliest,
    measure_cost,
    stands_after,
)

Numbers = NDArray[np.float64]
Bits = NDArray[np.bool_]
Indices = NDArray[np.intp]
_ROWS = 4096  # orders of fixes that are found at a time, so that no array grows without end


@dataclass(frozen=True, slots=True)
class Mended:
    """The faults that each fix mends, one fix after another: `begins`, `sizes` of each.

    `wide`: the fixes that mend more than their own fault. Many mend the same: `kinds` says which of the sets
    each of them does, `of_sets` holds these, one after another, `set_begins` where."""

    faults: Indices
    begins: Indices
    sizes: Indices
    wide: Indices
    kinds: Indices
    of_sets: Indices
    set_begins: Indices


@dataclass(frozen=True, slots=True)
class Sheet:
    """A bench as arrays: of some of its `faults`, and of some measurements, one after another, with a row an
    outcome.

    `columns`: those of the bench that the weights are of; `extra`: the fault of each further one between the
    faults and the last, or how many faults there are for something else; `turns`: those columns with their
    faults, no fault twice in a turn. `heals[fix, c]`: the columns that a fix mends; `mended`: their faults.
    `rows[r, c]`: P(taken for the outcome | column). `begins`: the first row of each measurement, `sizes`:
    how many it has. `opens`, `shuts` [r, fix]: the fixes that an outcome opens, and bars.
    `closes` [r, measurement]: what it bars. `setups` [r]: how the bench stands after it.
    `costs` [set-up, measurement]: minutes. The rest is of each fix, as in `Look`.
    """

    faults: Indices
    columns: Indices
    extra: Indices
    turns: tuple[tuple[Indices, Indices], ...]
    heals: Bits
    mended: Mended
    rows: Numbers
    begins: Indices
    sizes: Indices
    opens: Bits
    shuts: Bits
    closes: Bits
    setups: Indices
    costs: Numbers
    minutes: Numbers
    inverse: Numbers
    hopeless: Numbers
    guards: Numbers
    escalate: float

    def of(self, known: Sequence[int]) -> Sheet:
        """The sheet with some of its faults alone, by the indices of the bench."""
        if len(known) == len(self.faults):
            return self
        at = np.searchsorted(self.faults, np.array(known, np.intp))
        count = len(self.faults)
        places = np.full(count + 1, -1)
        places[at], places[count] = np.arange(len(at)), len(at)
        kept = np.flatnonzero(places[self.extra] >= 0)
        columns = np.concatenate([at, count + kept, [self.rows.shape[1] - 1]]).astype(np.intp)
        heals = self.heals[np.ix_(at, columns)]
        return replace(
            self,
            faults=self.faults[at],
            columns=self.columns[columns],
            extra=places[self.extra[kept]],
            turns=_turns(len(at), places[self.extra[kept]]),
            heals=heals,
            mended=_mended(heals[:, : len(at)]),
            rows=self.rows[:, columns],
            opens=self.opens[:, at],
            shuts=self.shuts[:, at],
            minutes=self.minutes[at],
            inverse=self.inverse[at],
            hopeless=self.hopeless[at],
            guards=self.guards[at],
        )

    def among(self, measures: Indices) -> Sheet:
        """The sheet with some of its measurements alone."""
        sizes = self.sizes[measures]
        begins = np.cumsum(sizes) - sizes
        rows = np.repeat(self.begins[measures] - begins, sizes) + np.arange(sizes.sum())
        return replace(
            self,
            rows=self.rows[rows],
            begins=begins,
            sizes=sizes,
            opens=self.opens[rows],
            shuts=self.shuts[rows],
            closes=self.closes[rows][:, measures],
            setups=self.setups[rows],
            costs=self.costs[:, measures],
        )


@dataclass(frozen=True, slots=True)
class Places:
    """Places, one a row: joint weights of the columns, the fixes that are locked and barred, the measurements
    that are still open, the set-up."""

    weights: Numbers
    locked: Bits
    shut: Bits
    still: Bits
    setup: Indices


def sheet_of(look: Look) -> Sheet:
    """A bench as arrays, with what the look knows of its fixes."""
    return replace(
        _of_bench(Same(look.bench)),
        inverse=np.array(look.inverse),
        hopeless=np.array(look.hopeless),
        guards=np.array(look.guards),
    )


@lru_cache(maxsize=8)
def _of_bench(of_bench: Same[Bench]) -> Sheet:
    """What of a sheet is the same whatever was read."""
    bench = of_bench.record
    faults, measures = len(bench.faults), len(bench.measures)
    outcomes = [(m, o) for m in range(measures) for o in range(len(bench.tables[m]))]
    sizes = np.array([len(table) for table in bench.tables], np.intp)
    heals = np.zeros((faults, faults + len(bench.extra) + 1), bool)
    for i in range(faults):
        heals[i, list(bench.mended_by(i))] = True
    heals[:, faults:-1] = heals[:, list(bench.extra)]
    heals[:, faults:-1][:, np.array(bench.extra, np.intp) == faults] = False
    closes = np.zeros((len(outcomes), measures), bool)
    for r, at in enumerate(outcomes):
        closes[r, [at[0], *bench.closes.get(at, ())]] = True
    return Sheet(
        np.arange(faults),
        np.arange(faults + len(bench.extra) + 1),
        np.array(bench.extra, np.intp),
        _turns(faults, np.array(bench.extra, np.intp)),
        heals,
        _mended(heals[:, :faults]),
        np.array([row for table in bench.tables for row in table]).reshape(
            len(outcomes), faults + len(bench.extra) + 1
        ),
        np.cumsum(sizes) - sizes,
        sizes,
        np.array([_bits(bench.opens.get(at, 0), faults) for at in outcomes], bool).reshape(
            len(outcomes), faults
        ),
        np.array([_bits(bench.shuts.get(at, 0), faults) for at in outcomes], bool).reshape(
            len(outcomes), faults
        ),
        closes,
        np.array([stands_after(bench, *at) for at in outcomes], np.intp),
        np.array(
            [[measure_cost(bench, setup, m) for m in range(measures)] for setup in range(len(bench.change))]
        ).reshape(len(bench.change), measures),
        np.array(bench.fix_minutes),
        np.empty(faults),
        np.empty(faults),
        np.empty(faults),
        bench.escalate,
    )


def _turns(count: int, extra: Indices) -> tuple[tuple[Indices, Indices], ...]:
    """The further columns beside `count` faults: of each fault the first, of each the second, and so on."""
    left, found = np.arange(len(extra)), []
    while len(left):
        _, first = np.unique(extra[left], return_index=True)
        found.append((count + left[first], extra[left[first]]))
        left = np.delete(left, first)
    return tuple(found)


def _mended(heals: Bits) -> Mended:
    """What each fix mends, from [fix, fault]."""
    sizes = heals.sum(axis=1)
    wide = np.flatnonzero(sizes > 1)
    sets, kinds = np.unique(heals[wide], axis=0, return_inverse=True)
    of_sets = sets.sum(axis=1)
    return Mended(
        heals.nonzero()[1],
        np.cumsum(sizes) - sizes,
        sizes,
        wide,
        kinds.reshape(len(wide)),
        sets.nonzero()[1],
        np.cumsum(of_sets) - of_sets,
    )


def _bits(bits: int, count: int) -> Bits:
    told = np.frombuffer(bits.to_bytes(count // 8 + 1, "little"), np.uint8)
    return np.unpackbits(told, count=count, bitorder="little").astype(bool)


def best(look: Look, sheet: Sheet, place: Place, depth: int) -> Choice:
    """The first of `every`. One action ahead the measurements are not listed that cannot stand first."""
    begins = {*place.first, *place.down}.union(*look.bench.checks.values())
    return every(look, sheet, place, depth, begins if depth == 1 else None)[0]


def every(
    look: Look, sheet: Sheet, place: Place, depth: int, begins: Collection[int] | None = None
) -> tuple[Choice, ...]:
    """What `lookahead.choices` gives. `sheet`: that of the look, with all faults that have a weight.
    `begins`: of the measurements those alone, with the best of all.
    """
    total = fsum(place.weights)
    if total <= 0:
        return choices(look, place, depth)
    now = places_of(look, sheet, place)
    now = replace(now, weights=now.weights / total)
    found = _one_ahead(sheet, now, begins)
    if depth > 1:
        found = _looked_at_again(sheet, now, found, depth)
    on_bench = (
        replace(choice, index=int(sheet.faults[choice.index])) if choice.kind == "fix" else choice
        for choice in found
    )
    return in_order(look, place, sorted(on_bench, key=in_rank))


def places_of(look: Look, sheet: Sheet, place: Place) -> Places:
    """One place as arrays."""
    still = np.zeros((1, len(sheet.sizes)), bool)
    still[0, list(place.open)] = True
    return Places(
        np.array(place.weights)[None, sheet.columns],
        _bits(place.locked, len(look.inverse))[None, sheet.faults],
        _bits(place.shut, len(look.inverse))[None, sheet.faults],
        still,
        np.array([place.setup], np.intp),
    )


def _one_ahead(sheet: Sheet, now: Places, begins: Collection[int] | None) -> list[Choice]:
    """Every action of one place, valued one action ahead; fixes by the indices of the sheet. `begins`: as of
    `every`.
    """
    fixes = _likeliest(sheet, now)
    mended = after_fix(sheet, repeated(now, len(fixes)), np.array(fixes, np.intp))
    after = joined([after_outcomes(sheet, now), mended])
    later = without_measuring(sheet, after)
    rows = len(sheet.rows)
    spent = sheet.costs[now.setup[0]]
    expected = spent + _by_measure(sheet, later[None, :rows])[0]
    measures = np.flatnonzero(now.still[0])
    if begins is not None and len(measures):
        best = measures[np.floor(expected[measures] / EQUAL + 0.5).argmin()]
        measures = measures[np.isin(measures, [best, *begins])]
    return [
        *(Choice("measure", m, float(spent[m]), float(expected[m])) for m in map(int, measures)),
        *(_fix(sheet, i, float(later[rows + n])) for n, i in enumerate(fixes)),
        Choice("escalate", -1, sheet.escalate, sheet.escalate),
    ]


def _likeliest(sheet: Sheet, now: Places) -> list[int]:
    """The fixes of one place that are worth a look, the best weight / minutes first."""
    weights = folded(sheet, now.weights)
    mended = summed(sheet, weights)
    fixes = np.flatnonzero(may(sheet, weights, now.locked)[0]).tolist()
    ratios = (mended[0] * sheet.inverse).tolist()
    several = sheet.heals[:, : len(sheet.faults)]
    return likeliest(
        fixes,
        ratios,
        weights[0].tolist(),
        sheet.minutes.tolist(),
        lambda i: several[i].nonzero()[0].tolist(),
    )


def _fix(sheet: Sheet, index: int, later: float) -> Choice:
    spent = float(sheet.minutes[index])
    return Choice("fix", index, spent, spent + later)


def _looked_at_again(sheet: Sheet, now: Places, found: list[Choice], depth: int) -> list[Choice]:
    """The choices with the best that differ valued deeper, where the best measurements that differ may
    follow.
    """
    found = sorted(found, key=in_rank)
    told = _told(sheet, now.weights[0])
    kept = differing(found, lambda m, n: float(told[m] @ told[n]))
    beam = kept[:BEAM]
    follow = np.array([c.index for c in kept if c.kind == "measure"], np.intp)
    narrow = sheet.among(follow)
    now = replace(now, still=np.ones((1, len(follow)), bool))
    outcomes = after_outcomes(narrow, now)
    parts = [_part(narrow, now, outcomes, follow, choice) for choice in beam]
    values = _values(narrow, joined(parts), depth - 1)
    again, at = [], 0
    for choice, part in zip(beam, parts, strict=True):
        count = len(part.setup)
        if choice.kind != "escalate":
            later = fsum(map(float, values[at : at + count]))
            choice = Choice(choice.kind, choice.index, choice.minutes, choice.minutes + later)
        again.append(choice)
        at += count
    return again + [c for c in found if c not in beam]


def _told(sheet: Sheet, weights: Numbers) -> Numbers:
    """`lookahead`'s sqrt(w) (p - P) of each measurement, one a row."""
    chances = sheet.rows @ weights
    keys = np.floor(chances / 1e-9 + 0.5)
    spans = zip(sheet.begins, sheet.sizes, strict=True)
    likeliest = np.array([begin + keys[begin : begin + size].argmax() for begin, size in spans], np.intp)
    told: Numbers = (sheet.rows[likeliest] - chances[likeliest, None]) * np.sqrt(weights)
    return told


def _part(narrow: Sheet, now: Places, outcomes: Places, follow: Indices, choice: Choice) -> Places:
    """Where a choice may lead."""
    if choice.kind == "fix":
        return after_fix(narrow, now, choice.index)
    if choice.kind == "escalate":
        return some(outcomes, slice(0, 0))
    m = int(np.flatnonzero(follow == choice.index)[0])
    return some(outcomes, slice(narrow.begins[m], narrow.begins[m] + narrow.sizes[m]))


def _values(sheet: Sheet, places: Places, depth: int) -> Numbers:
    """`lookahead.value` of each place."""
    best: Numbers = without_measuring(sheet, places)
    if depth == 0:
        return best
    total = places.weights.sum(axis=1)
    step = max(_ROWS // max(len(sheet.rows), 1), 1)
    if len(sheet.rows):
        for at in range(0, len(best), step):
            chunk = some(places, slice(at, at + step))
            later = _values(sheet, after_outcomes(sheet, chunk), depth - 1).reshape(-1, len(sheet.rows))
            spent = sheet.costs[chunk.setup] * total[at : at + step, None] + _by_measure(sheet, later)
            np.minimum(
                best[at : at + step],
                np.where(chunk.still, spent, np.inf).min(axis=1),
                out=best[at : at + step],
            )
    if depth > 1 and len(sheet.minutes):
        mine = folded(sheet, places.weights)
        ratios = np.where(may(sheet, mine, places.locked), summed(sheet, mine) * sheet.inverse, 0.0)
        most = ratios.max(axis=1)
        first = (ratios * (1 + GAIN) >= most[:, None]).argmax(axis=1)
        spent = sheet.minutes[first] * total + _values(sheet, after_fix(sheet, places, first), depth - 1)
        best = np.where(most > 0, np.minimum(best, spent), best)
    return best


def folded(sheet: Sheet, weights: Numbers) -> Numbers:
    """`ways.folded` of each place."""
    if not len(sheet.extra):
        return weights
    count = len(sheet.faults)
    mine = np.concatenate([weights[:, :count], weights[:, -1:]], axis=1)
    for further, faults in sheet.turns:
        mine[:, faults] += weights[:, further]
    return mine


def summed(sheet: Sheet, weights: Numbers) -> Numbers:
    """The weight that each fix mends, by the weights of the faults."""
    mine, mended = weights[:, :-1], sheet.mended
    if len(mended.wide):
        mine = mine.copy()
        sums = np.add.reduceat(weights[:, mended.of_sets], mended.set_begins, axis=1)
        mine[:, mended.wide] = sums[:, mended.kinds]
    return mine


def may(sheet: Sheet, weights: Numbers, locked: Bits) -> Bits:
    """The fixes that may be tried, by the weights of the faults."""
    likely: Bits = weights[:, :-1] > sheet.guards * weights[:, -1:]
    return likely & ~locked


def _by_measure(sheet: Sheet, of_rows: Numbers) -> Numbers:
    """Sums over the outcomes of each measurement."""
    if not len(sheet.begins):
        return of_rows
    sums: Numbers = np.add.reduceat(of_rows, sheet.begins, axis=1)
    return sums


def without_measuring(sheet: Sheet, places: Places) -> Numbers:
    """`lookahead.without_measuring` of each place."""
    weights = folded(sheet, places.weights)
    left = weights.sum(axis=1)
    best: Numbers = left * sheet.escalate
    mended = summed(sheet, weights)
    worth = may(sheet, weights, places.locked)
    worth &= mended > sheet.hopeless * weights[:, -1:]
    at, fixes = worth.nonzero()
    if not len(at):
        return best
    order = _by_ratio(at, mended[at, fixes] * sheet.inverse[fixes], len(best))
    made, more = fixes[order], mended[at, fixes[order]]
    if len(sheet.mended.wide):
        newly = _newly(sheet, weights, at, made)
        less = np.zeros(len(best), bool)
        less[at[newly != more]] = True
        those = less[at]
        if those.any():
            again = np.empty_like(newly)
            again[order] = newly
            some, own = at[those], fixes[those]
            made[those] = own[_by_ratio(some, again[those] * sheet.inverse[own], len(best))]
            newly[those] = _newly(sheet, weights, some, made[those])
        more = newly
    counts = np.bincount(at, minlength=len(best))
    place = np.arange(len(at)) - np.repeat(np.cumsum(counts) - counts, counts)
    gains, minutes = np.zeros((2, len(best), counts.max()))
    gains[at, place] = more
    minutes[at, place] = np.where(more > 0, sheet.minutes[made], 0.0)
    after = left[:, None] - gains.cumsum(axis=1)
    spent = (minutes * (after + gains)).cumsum(axis=1)
    np.minimum(best, (spent + after * sheet.escalate).min(axis=1), out=best)
    return best


def _by_ratio(at: Indices, ratios: Numbers, places: int) -> Indices:
    """The order by ratio, the largest first and of equals the first, within each of the `places`; `at`: that
    of each ratio, one place after another. By rows: a sort of all by place and ratio takes four times as
    long."""
    counts = np.bincount(at, minlength=places)
    begins = np.cumsum(counts) - counts
    rows = np.full((places, counts.max()), np.inf)
    rows[at, np.arange(len(at)) - np.repeat(begins, counts)] = -ratios
    order = rows.argsort(axis=1, kind="stable") + begins[:, None]
    found: Indices = order[np.arange(rows.shape[1]) < counts[:, None]]
    return found


def _newly(sheet: Sheet, weights: Numbers, at: Indices, fixes: Indices) -> Numbers:
    """What each of the fixes mends that none before it at its place has."""
    mended = sheet.mended
    sizes = mended.sizes[fixes]
    begins = np.cumsum(sizes) - sizes
    tried = np.repeat(np.arange(len(fixes)), sizes)
    faults = mended.faults[np.arange(len(tried)) + np.repeat(mended.begins[fixes] - begins, sizes)]
    cells = at[tried] * weights.shape[1] + faults
    first = np.empty(weights.size, np.intp)
    first[cells[::-1]] = tried[::-1]  # of several the last counts, which is the first that is tried
    found: Numbers = np.add.reduceat(np.where(first[cells] == tried, weights.ravel()[cells], 0.0), begins)
    return found


def after_outcomes(sheet: Sheet, places: Places) -> Places:
    """The places after each outcome of each measurement, for one place after another."""

    def flat(one: Any) -> Any:
        return one.reshape(one.shape[0] * one.shape[1], one.shape[2])

    shut = places.shut[:, None, :] | sheet.shuts
    return Places(
        flat(places.weights[:, None, :] * sheet.rows),
        flat(places.locked[:, None, :] & ~sheet.opens | shut),
        flat(shut),
        flat(places.still[:, None, :] & ~sheet.closes),
        np.tile(sheet.setups, len(places.setup)),
    )


def after_fix(sheet: Sheet, places: Places, fix: int | Indices) -> Places:
    """The places after a fix that did not mend; `fix`: of each."""
    weights = np.where(sheet.heals[fix], 0.0, places.weights)
    return replace(places, weights=weights, setup=np.zeros_like(places.setup))


def repeated(place: Places, count: int) -> Places:
    """One place so many times."""
    return Places(*(np.repeat(getattr(place, one.name), count, axis=0) for one in fields(Places)))


def some(places: Places, which: slice) -> Places:
    """Some of the places."""
    return Places(*(getattr(places, one.name)[which] for one in fields(places)))


def joined(parts: Sequence[Places]) -> Places:
    """Places one after another."""
    return Places(*(np.concatenate([getattr(p, one.name) for p in parts]) for one in fields(Places)))
