"""What diagnosis adds to the pages: a symptom's matrix and plan, and how the plan reaches a fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Measurement, Outcome
from benchlore.diagnosis.minutes import fix_minutes
from benchlore.diagnosis.plan import Node
from benchlore.diagnosis.suspects import hazards_of_suspect
from benchlore.site.outline import Outline, Turn, Way, ways
from benchlore.site.page import Named
from benchlore.site.plan_rows import Row, rows, suspect_of
from benchlore.site.plans import FamilyPlans, brief
from benchlore.site.sections.section import Section

STYLES = ("assets/css/plans.css",)

WAYS = 1  # shown in full on the page of a fault that several symptoms lead to; the others are named

Cell = tuple[tuple[Outcome, float], ...]


@dataclass(frozen=True, slots=True)
class MatrixRow:
    """A measurement, and what each of the faults reads there; an empty cell where nothing is known.

    `foretold`: for each cell, whether no record states it."""

    measurement: Measurement
    cells: tuple[Cell, ...]
    foretold: tuple[bool, ...]

    @property
    def read(self) -> tuple[Outcome, ...]:
        """The outcomes that some fault reads."""
        found = {outcome.id for cell in self.cells for outcome, _ in cell}
        return tuple(outcome for outcome in self.measurement.outcomes.values() if outcome.id in found)


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan as its page shows it. `expected`: bench minutes by the plan; `guess`: by fixing without
    measuring; `ends`: the share of jobs that ends in a step that is shown. `hazards`: of the steps shown. The
    plan itself, with its thousands of steps, is not here: a build looks through all that a page holds."""

    rows: tuple[Row, ...]
    expected: float
    guess: float
    ends: float
    hazards: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """A turn on the way to a fault, with what it names looked up; `other`: a fix that does not help, or,
    without a record, what was tried or sought in `suspected`. `hazards`: what it brings.
    """

    turn: Turn
    measurement: Measurement | None
    outcome: Outcome | None
    other: Named | None
    hazards: tuple[str, ...]
    suspected: str = ""


@dataclass(frozen=True, slots=True)
class Reached:
    """How the plans of some symptoms reach a fault, all by the same steps in the same time.

    `symptoms`: by id. `way`: that of the first; None when these plans never try the fix, nor name it where
    they escalate. `success`: the least share that it mends, or that it is the cause of, of the boards that
    come. `other`, `suspected`: as of a step, where another fix mends the fault, too.
    """

    symptoms: tuple[str, ...]
    way: Way | None
    steps: tuple[Step, ...]
    success: float
    other: Named | None = None
    suspected: str = ""


def matrix(family: Family, faults: Sequence[Fault]) -> tuple[MatrixRow, ...]:
    """The measurements that tell of at least one of the faults; those that tell of most come first."""
    telling = [{e.measure for e in fault.readings} for fault in faults]
    used = [m for m in family.measurements.values() if any(m.id in one for one in telling)]
    used.sort(key=lambda m: -sum(m.id in one for one in telling))
    known = [(fault.reads, {e.measure for e in fault.test_points}) for fault in faults]
    return tuple(
        _row(m, [reads.get(m.id, {}) for reads, _ in known], [m.id not in own for _, own in known])
        for m in used
    )


def _row(
    measurement: Measurement, read: Sequence[Mapping[str, float]], foretold: Sequence[bool]
) -> MatrixRow:
    cells = tuple(
        tuple(
            (measurement.outcomes[name], share)
            for name, share in sorted(outcomes.items(), key=lambda item: (-item[1], item[0]))
            if share > 0
        )
        for outcomes in read
    )
    return MatrixRow(measurement, cells, tuple(foretold))


def planned(book: Book, known: FamilyPlans, symptom: str) -> Planned:
    """The plan of a symptom on a family, as its page shows it."""
    found = brief(known, symptom)
    hazards = links.by_severity(book, _hazards(book, known.family, found.shown))
    steps = rows(book, known.family, found.shown)
    return Planned(steps, found.expected, found.guess, found.shown.ends_shown, hazards)


def _alone(step: Node) -> Node:
    """A step without those that follow it."""
    return replace(step, branches=(), failed=None)


def _hazards(book: Book, family: Family, shown: Outline) -> Iterator[str]:
    for step in (line.step for line in shown.lines):
        if step is not None and step.kind == "measure":
            yield from links.hazards_of_measurement(book, family, family.measurements[step.id])
        elif step is not None and step.kind == "fix" and step.id in book.faults:
            yield from links.hazards_of_fault(book, book.faults[step.id])
        elif step is not None and step.kind == "fix":
            yield from hazards_of_suspect(book, family, suspect_of(book, family, step.id))


class Ways:
    """How the plans of a family reach the fixes of its faults; of each plan it is found out once."""

    def __init__(self, known: FamilyPlans) -> None:
        self.known = known
        self._by_symptom: dict[str, Mapping[str, Way]] = {}

    def to(self, symptom: str, fault: str) -> Way | None:
        """The way from a symptom to a fault; None where that plan never tries its fix, nor names it."""
        if symptom not in self._by_symptom:
            self._by_symptom[symptom] = ways(self.known.plans[symptom].tree)
        return self._by_symptom[symptom].get(fault)


def reached(book: Book, ways_: Ways, fault: Fault) -> Section | None:
    """How the plans reach a fault, from each symptom that it shows.

    A fix that costs more than escalating is in no good plan, which escalates once it can name it: that says
    so (`dear`: its minutes, else None).
    """
    known = ways_.known
    alike: dict[object, list[tuple[str, Way | None]]] = {}
    for symptom in fault.symptom:
        if symptom in known.plans:
            way = ways_.to(symptom, fault.id)
            alike.setdefault(way and _seen(way), []).append((symptom, way))
    found = []
    for same in alike.values():
        way = same[0][1]
        steps = tuple(_step(book, known.family, turn) for turn in way.turns) if way else ()
        success = min((one.fix.success for _, one in same if one), default=0.0)
        symptoms = tuple(symptom for symptom, _ in same)
        other, suspected = (None, "")
        if way is not None and way.fix.kind == "fix" and way.fix.id != fault.id:
            other, suspected = _fixed(book, known.family, way.fix.id)
        found.append(Reached(symptoms, way and _bare(way), steps, success, other, suspected))
    if not found:
        return None
    said = links.hazards_of_fault(book, fault)
    minutes = fix_minutes(book, fault)
    dear = minutes if minutes >= book.shop.escalate.minutes else None
    context = {
        "family": known.family,
        "fault": fault,
        "found": found,
        "ways": WAYS,
        "said": said,
        "dear": dear,
    }
    return Section("plan", "Steps to this fault", "_reached.html", context, styles=STYLES)


def _fixed(book: Book, family: Family, name: str) -> tuple[Named | None, str]:
    """What a fix is of: a fault with its record, or the title of a suspect."""
    if name in book.faults:
        return Named(name, book.faults[name].title), ""
    return None, suspect_of(book, family, name).title


def _seen(way: Way) -> object:
    """What a page says of a way: its steps and minutes."""
    turns = [(turn.step.id, turn.outcome, round(turn.step.minutes)) for turn in way.turns]
    return (
        way.fix.kind,
        way.fix.id,
        tuple(turns),
        round(way.minutes),
        round(way.fix.minutes),
        round(way.before),
    )


def _bare(way: Way) -> Way:
    turns = tuple(replace(turn, step=_alone(turn.step)) for turn in way.turns)
    return replace(way, turns=turns, fix=_alone(way.fix))


def _step(book: Book, family: Family, turn: Turn) -> Step:
    turn = replace(turn, step=_alone(turn.step))
    if turn.step.kind == "fix":
        other, suspected = _fixed(book, family, turn.step.id)
        hazards = (
            links.hazards_of_fault(book, book.faults[turn.step.id])
            if other
            else hazards_of_suspect(book, family, suspect_of(book, family, turn.step.id))
        )
        return Step(turn, None, None, other, hazards, suspected)
    measurement = family.measurements[turn.step.id]
    outcome = measurement.outcomes[turn.outcome or ""]
    hazards = links.hazards_of_measurement(book, family, measurement)
    return Step(turn, measurement, outcome, None, hazards)
