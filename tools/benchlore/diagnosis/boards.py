"""Boards that do not follow the model that ranks them, worked by its plans: how wrong is it then, and at what
cost?

What differs from the model: the priors, each off by a factor of up to OFF; one board, which is one way of
failing, reads of a piece; MISREAD of the readings are taken for another outcome; the meter's gain is off by
the same share in all readings of a job; and UNRECORDED of the jobs have a fault that is in no record and that
no circuit foretells. The shares are common practice, no source.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from benchlore.book.model import Book, Family, Fault
from benchlore.circuit.foretold import Row, asks_of, mixed, predictor_of
from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.graph.change import tells
from benchlore.circuit.power_tree import feeders
from benchlore.diagnosis.case import Case
from benchlore.diagnosis.likelihood import Scale, class_of
from benchlore.diagnosis.meter import accuracy_limit, largest_reading, range_for, rectangular
from benchlore.diagnosis.plan import Node
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.simulate import pick, sums_of
from benchlore.diagnosis.suspects import SOUND_OUTSIDE, Suspect

OFF = 3.0
MISREAD = 0.02
UNRECORDED = 0.05
UNRECORDED_HEALTHY = 0.9  # of the readings of such a board
DOWN = 0.1  # of the lowest healthy volts: a rail that reads less feeds nothing
_STRAY = 0.05  # weight of an outcome that a record states and its way of failing does not foretell


@dataclass(frozen=True, slots=True)
class Job:
    """One job. `hidden`: index of the hypothesis, that of something else for a fault without any record.

    `minutes`: spent; `lost`: those of fixes that did not mend. `fixes`: the hot ones that did not mend, by
    index. `mended`: False where it was escalated. `readings`: those before the first fix, in order.
    """

    symptom: str
    hidden: int
    minutes: float
    lost: float
    fixes: tuple[int, ...]
    mended: bool
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class _Way:
    """A way of failing, its share of its hypothesis, and what it reads; a measurement that is not there is
    not known."""

    share: float
    reads: Mapping[str, Row]


class Boards:
    """Draws boards of a family; the same seed draws the same."""

    def __init__(self, book: Book, family: Family, case: Case, seed: int) -> None:
        self.case = case
        self.family = family
        self.chance = random.Random(seed)
        self._ways = [_ways_of(book, family, case, name) for name in case.faults]
        self._shares = [sums_of(way.share for way in ways) for ways in self._ways]
        self.fed = _fed_by(family, case)
        self.put_off()

    def put_off(self) -> None:
        """Draw anew how far each prior is off."""
        self.prior = sums_of(p * OFF ** self.chance.uniform(-1, 1) for p in self.case.prior[:-1])

    def jobs(self, trees: Mapping[str, Node], count: int) -> Iterator[Job]:
        """So many jobs, each worked by the plan of its symptom."""
        symptoms = sorted(trees)
        for _ in range(count):
            symptom, hidden = self._drawn(symptoms)
            if self.chance.random() < UNRECORDED:
                hidden = len(self.case.faults)
            yield self._follow(trees[symptom], symptom, hidden)

    def _drawn(self, symptoms: Sequence[str]) -> tuple[str, int]:
        """A hypothesis by its prior, with a symptom that it shows."""
        while True:
            hidden, symptom = pick(self.chance, self.prior), self.chance.choice(symptoms)
            if self.chance.random() < self.case.shows[symptom][hidden]:
                return symptom, hidden

    def _follow(self, tree: Node, symptom: str, hidden: int) -> Job:
        case, board = self.case, Board(self, hidden)
        step, minutes, lost = tree, 0.0, 0.0
        readings: list[Reading] = []
        wrong: list[int] = []
        fixing = False
        while True:
            minutes += step.minutes
            if step.kind == "measure":
                reading = board.read(step.id)
                if not fixing:
                    readings.append(reading)
                step = step.branches[class_of(case.scales[step.id], reading)].then
                continue
            fixing = True
            tried = case.faults.index(step.id) if step.kind == "fix" else None
            if tried is not None and hidden not in case.bench.mended_by(tried) and step.failed is not None:
                lost += step.minutes
                if case.bench.guarded >> tried & 1:
                    wrong.append(tried)
                step = step.failed
                continue
            mended = tried is not None
            return Job(symptom, hidden, minutes, lost, tuple(wrong), mended, tuple(readings))

    def way(self, hidden: int) -> Mapping[str, Row]:
        """One way of failing of a hypothesis, by its share."""
        return self._ways[hidden][pick(self.chance, self._shares[hidden])].reads

    def silent(self, measure: str) -> int:
        """What a measurement reads of which nothing is known: mostly as on a healthy board."""
        scale = self.case.scales[measure]
        if scale.normal and self.chance.random() < UNRECORDED_HEALTHY:
            return self.chance.choice(scale.normal)
        return self.chance.randrange(scale.size)


class Board:
    """One board on the bench of one job: what it reads stays as it is, and the meter's gain is off alike."""

    def __init__(self, boards: Boards, hidden: int) -> None:
        self.boards = boards
        self.chance = boards.chance
        self.reads = boards.way(hidden) if hidden < len(boards.case.faults) else {}
        self.gain = self.chance.gauss(0.0, 1.0)
        self.known: dict[str, int] = {}

    def read(self, measure: str) -> Reading:
        """What is read, now and then amiss."""
        scale = self.boards.case.scales[measure]
        self._draw(measure)
        outcome = self.known[measure]
        if scale.size > 1 and self.chance.random() < MISREAD:
            outcome = self.chance.choice([o for o in range(scale.size) if o != outcome])
        return self._shown(scale, outcome)

    def _draw(self, measure: str) -> None:
        """What the board reads there, for good. What hangs on a rail that is down is not up, even where
        neither record nor circuit tells what it reads.
        """
        if measure in self.known:
            return
        self.known[measure] = self._outcome(measure)
        scale, feeds = self.boards.case.scales[measure], self.boards.fed.get(measure, ())
        for feed in feeds:
            self._draw(feed)
        if feeds and self.known[measure] in scale.normal and all(self._is_down(feed) for feed in feeds):
            self.known[measure] = scale.order[0]

    def _is_down(self, measure: str) -> bool:
        """True for volts below a tenth of the lowest healthy ones."""
        scale = self.boards.case.scales[measure]
        healthy = min((scale.bands[o].floor for o in scale.normal), default=0.0)
        return scale.bands[self.known[measure]].ceiling <= healthy * DOWN

    def _outcome(self, measure: str) -> int:
        row = self.reads.get(measure)
        if row is None:
            return self.boards.silent(measure)
        outcomes = self.boards.family.measurements[measure].outcomes
        return pick(self.chance, sums_of(row.get(outcome, 0.0) for outcome in outcomes))

    def _shown(self, scale: Scale, outcome: int) -> Reading:
        band = scale.bands[outcome]
        if not band.read:
            named = band.over == 0
            return Reading(
                scale.measure, band.outcome if named else "OL", outcome=band.outcome if named else None
            )
        if self.chance.random() < band.over:
            return Reading(scale.measure, "OL")
        true = self.chance.uniform(band.floor, band.ceiling)
        chosen = range_for(scale.ranges, true)
        gain = self.gain * rectangular(chosen.reading / 100)
        counts = rectangular(accuracy_limit(chosen, 0.0))
        value = true * (1 + gain) + self.chance.gauss(0.0, counts)
        if abs(value) > largest_reading(scale.ranges):
            return Reading(scale.measure, "OL")
        return Reading(scale.measure, f"{value:.6g}", value)


def _fed_by(family: Family, case: Case) -> dict[str, tuple[str, ...]]:
    """The volts of each net that only other nets feed, with those of all that do, in the same set-up."""
    volts = {
        (m.net, m.state, m.unplugged): m.id
        for m in family.measurements.values()
        if m.mode == "dc-volts" and m.to_ground and m.inject is None and m.id in case.scales
    }
    found = {}
    for (net, state, unplugged), measure in volts.items():
        record = family.nets.get(net)
        above = feeders(family, record) if record is not None and not record.enters else ()
        feeds = tuple(volts[feed, state, unplugged] for feed in above if (feed, state, unplugged) in volts)
        if feeds and len(feeds) == len(above) and case.scales[measure].order:
            found[measure] = feeds
    return found


def _ways_of(book: Book, family: Family, case: Case, name: str) -> list[_Way]:
    if name in case.suspects:
        return _of_suspect(family, case.suspects[name])
    fault = book.faults[name]
    graph, asks = predictor_of(book, family).graph, asks_of(family)
    found = []
    for share, way in fault_of(fault) or ((1.0, None),):
        rows = {}
        if way is not None and tells(graph, way):
            rows = mixed(predictor_of(book, family), asks, [(1.0, way)])
        found.append(
            _Way(share, _beside_record(fault, {m: row for m, row in rows.items() if row is not None}))
        )
    return found


def _beside_record(fault: Fault, foretold: Mapping[str, Row]) -> Mapping[str, Row]:
    """What a way of failing reads: of the outcomes that the record states, those that the way foretells."""
    rows = dict(foretold)
    for stated in fault.test_points:
        way = foretold.get(stated.measure)
        rows[stated.measure] = {
            outcome: share * ((way.get(outcome, 0.0) if way else 1.0) + _STRAY)
            for outcome, share in stated.expected_reading.items()
        }
    return rows


def _of_suspect(family: Family, suspect: Suspect) -> list[_Way]:
    reads = {m: row for m, row in suspect.reads.items() if row is not None}
    if not suspect.outside:
        return [_Way(1.0, reads)]
    sound = {m: dict.fromkeys(one.normal, 1.0) for m, one in family.measurements.items() if one.normal}
    bare = {m: _without_sound(row, family.measurements[m].normal) for m, row in reads.items()}
    shown = [(share, bare | dict(rows)) for share, rows in suspect.apart] or [(1.0, bare)]
    return [_Way(SOUND_OUTSIDE, sound), *(_Way((1 - SOUND_OUTSIDE) * s, rows) for s, rows in shown)]


def _without_sound(row: Row, normal: tuple[str, ...]) -> Row:
    """A row of what is outside without the share of those that read healthy everywhere."""
    left = {o: p - (SOUND_OUTSIDE / len(normal) if o in normal else 0.0) for o, p in row.items()}
    kept = {o: p for o, p in left.items() if p > 0}
    return kept or row
