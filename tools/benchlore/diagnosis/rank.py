"""Everything that the evidence of a job says: verdicts, probabilities, what contradicts, what to do next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from benchlore.book.model import Book
from benchlore.diagnosis.case import Case, checked_by, closed_by, shut_by
from benchlore.diagnosis.conflict import Both, Contradiction, contradictions, perhaps_both
from benchlore.diagnosis.interlock import Standing, standing
from benchlore.diagnosis.likelihood import class_of
from benchlore.diagnosis.lookahead import (
    DEPTH,
    Choice,
    Kind,
    Place,
    among_likely,
    look_at,
    measured_first,
    start,
)
from benchlore.diagnosis.minutes import setup_of
from benchlore.diagnosis.posterior import Evidence, joint, likelihoods, meaningless, of_hypotheses
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.suspects import outside_of
from benchlore.diagnosis.verdict import Verdict, possible, verdict

if TYPE_CHECKING:
    from benchlore.diagnosis.plan import Plan

EXPLAINED = 0.5  # probability of "not in the book" above which nothing in the book explains the readings


@dataclass(frozen=True, slots=True)
class Ranked:
    """A fault and its probability."""

    id: str
    probability: float


@dataclass(frozen=True, slots=True)
class Action:
    """Something to do next. `id`: the measurement or fault, empty for escalation.

    `minutes`: of the action, with the change of bench state and unplugging, or with the proof. `expected`:
    minutes of the whole job from here when this is done first."""

    kind: Kind
    id: str
    minutes: float
    expected: float


@dataclass(frozen=True, slots=True)
class Fit:
    """Which faults a reading speaks for: those that make it likelier than one that means nothing is."""

    measure: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ranking:
    """What the evidence says.

    `faults`: most likely first, equals by id. `explained`: False when nothing in the book explains the
    readings; then `clashes` names the readings that the likeliest fault leaves unexplained, and `fits` whom
    each reading speaks for. `contradictions`: entries of which one is wrong; until they are settled `next`
    begins with measuring one of them again. `both`: pairs of faults that explain what no single one does; the
    other probabilities are those of one fault alone. `interlocks`: the bench states that readings bar, and
    why. `whose`: the first level of the answer. `next`: what to do, best first."""

    faults: tuple[Ranked, ...]
    not_in_book: float
    verdicts: tuple[Verdict, ...]
    explained: bool
    clashes: tuple[str, ...]
    fits: tuple[Fit, ...]
    contradictions: tuple[Contradiction, ...]
    both: tuple[Both, ...]
    interlocks: tuple[Standing, ...]
    whose: tuple[tuple[str, float], ...]
    next: tuple[Action, ...]


def rank(book: Book, case: Case, known: Evidence) -> Ranking:
    """Rank the faults of a case by the evidence, and value the next actions."""
    here = place(book, case, known)
    probabilities = of_hypotheses(case, here.weights)
    fits = tuple(_fit(case, known, r.measure) for r in known.readings)
    against = contradicted(book, case, known, probabilities)
    again = (_action(case, choice) for choice in measured_again(book, case, known, against))
    return Ranking(
        ranked(case, probabilities),
        probabilities[-1],
        verdicts(book, case, known),
        probabilities[-1] <= EXPLAINED,
        clashes(case, known, probabilities),
        fits,
        against,
        perhaps_both(case, known),
        interlocks(book, case, known),
        whose(book, case, probabilities),
        (*again, *next_actions(case, known, here)),
    )


def whose(book: Book, case: Case, probabilities: tuple[float, ...]) -> tuple[tuple[str, float], ...]:
    """Whose fault it is: the board's, that of what is plugged in (by its kind), of the settings, or of
    something else; the likeliest first.
    """
    found: dict[str, float] = {}
    for name, p in zip((*case.faults, ""), probabilities, strict=True):
        owner = "something else"
        if name in case.suspects:
            owner = case.suspects[name].outside or "board"
        elif name:
            owner = outside_of(book, book.faults[name]) or "board"
        found[owner] = found.get(owner, 0.0) + p
    return tuple(sorted(found.items(), key=lambda one: (-one[1], one[0])))


def ranked(case: Case, probabilities: tuple[float, ...]) -> tuple[Ranked, ...]:
    """The faults, most likely first, equals by id."""
    order = sorted(range(len(case.faults)), key=lambda i: (-probabilities[i], i))
    return tuple(Ranked(case.faults[i], probabilities[i]) for i in order)


def verdicts(book: Book, case: Case, known: Evidence) -> tuple[Verdict, ...]:
    """What each reading says by itself."""
    measurements, meter = book.families[case.family].measurements, book.meters[case.meter]
    return tuple(verdict(measurements[r.measure], meter, case.scales[r.measure], r) for r in known.readings)


def _fit(case: Case, known: Evidence, measure: str) -> Fit:
    reading = next(r for r in known.readings if r.measure == measure)
    values, nothing = likelihoods(case, reading), meaningless(case, reading)
    fitting = (fault for fault, p in zip(case.faults, values, strict=False) if p >= nothing)
    return Fit(measure, tuple(fitting))


def clashes(case: Case, known: Evidence, probabilities: tuple[float, ...]) -> tuple[str, ...]:
    """The readings, in the order taken, that the likeliest fault still in the running does not explain.

    A fault leaves a reading unexplained when one that means nothing is likelier. When every fault is out, the
    readings that no fault explains."""
    running = [i for i in range(len(case.faults)) if probabilities[i] > 0]
    best = min(running, key=lambda i: (-probabilities[i], i)) if running else None
    found = []
    for reading in known.readings:
        values, nothing = likelihoods(case, reading)[:-1], meaningless(case, reading)
        explains = values[best] >= nothing if best is not None else max(values, default=0.0) > nothing
        if not explains:
            found.append(reading.measure)
    return tuple(found)


def stands(book: Book, case: Case, known: Evidence) -> int:
    """How the bench stands, as an index into the case's set-ups: as the last reading left it; with nothing
    set up before the first reading, after one that bars its own bench state, and after a fix, since the
    symptom was looked for with everything plugged in.
    """
    if not known.readings or known.tried_last:
        return 0
    family, last = book.families[case.family], known.readings[-1]
    needs = setup_of(family, last.measure)
    lock = case.locks.get((last.measure, taken_for(case, last)))
    return 0 if lock is not None and needs.state in lock.states else case.setups.index(needs)


def interlocks(book: Book, case: Case, known: Evidence) -> tuple[Standing, ...]:
    """The interlocks that the readings set and that none of them cleared since."""
    taken = [
        (reading.measure, taken_for(case, reading), possible(case.scales[reading.measure], reading))
        for reading in known.readings
    ]
    return standing(book.families[case.family], taken, case.locks)


def taken_for(case: Case, reading: Reading) -> str:
    """The outcome that a reading is taken for."""
    scale = case.scales[reading.measure]
    return scale.bands[class_of(scale, reading)].outcome


def place(book: Book, case: Case, known: Evidence) -> Place:
    """Where the job stands, to look ahead from."""
    taken = [reading.measure for reading in known.readings]
    family, closed, shut = book.families[case.family], frozenset[int](), 0
    hypotheses = [case.suspects[name] if name in case.suspects else book.faults[name] for name in case.faults]
    for one in interlocks(book, case, known):
        closed |= closed_by(family, case.bench.measures, one.lock)
        shut |= shut_by(book, family, hypotheses, one.lock)
        if one.measure in case.bench.measures:
            shut |= checked_by(case.bench.checks, case.bench.measures.index(one.measure))
    spoken, normal, powered = 0, True, False
    for reading in known.readings:
        outcome = class_of(case.scales[reading.measure], reading)
        normal = normal and outcome in case.scales[reading.measure].normal
        if reading.measure in case.bench.measures:
            measure = case.bench.measures.index(reading.measure)
            spoken |= case.bench.opens.get((measure, outcome), 0)
            powered = powered or measure in case.bench.live
    # Nobody knows what is wrong with a board without a symptom, unless it has stood a source already.
    rails_first = not (known.symptoms or powered) or not case.ohms_first.isdisjoint(known.symptoms)
    setup, unknown = stands(book, case, known), normal and not known.symptoms
    return start(
        case.bench,
        joint(case, known),
        taken,
        setup,
        closed,
        shut,
        rails_first=rails_first,
        spoken=spoken,
        unknown=unknown,
        symptoms=known.symptoms,
    )


def contradicted(
    book: Book, case: Case, known: Evidence, probabilities: tuple[float, ...]
) -> tuple[Contradiction, ...]:
    """The entries that contradict each other. One that an interlock bars is not measured again."""
    family, locks = book.families[case.family], interlocks(book, case, known)
    barred = {state for one in locks for state in one.lock.states}
    return tuple(
        replace(one, again=tuple(m for m in one.again if family.measurements[m].state not in barred))
        for one in contradictions(case, known, probabilities)
    )


def measured_again(
    book: Book, case: Case, known: Evidence, against: tuple[Contradiction, ...]
) -> tuple[Choice, ...]:
    """The entries to be measured again, in the order in which they are named; each valued as if it had not
    been read.
    """
    again = _again(case, against)
    if not again:
        return ()
    look = look_at(case.bench, joint(case, Evidence(known.symptoms)))
    return tuple(measured_first(look, unread(book, case, known, m), m) for m in again)


def _again(case: Case, against: tuple[Contradiction, ...]) -> tuple[int, ...]:
    measures = case.bench.measures
    named = dict.fromkeys(m for one in against for m in one.again)
    return tuple(measures.index(m) for m in named if m in measures)


def unread(book: Book, case: Case, known: Evidence, measure: int) -> Place:
    """Where a job stands as if one measurement had not been read: it is open, and what it barred is not. The
    bench stands as it does.
    """
    name = case.bench.measures[measure]
    others = replace(known, readings=tuple(r for r in known.readings if r.measure != name))
    found = place(book, case, others)
    return replace(found, setup=stands(book, case, known))


def planned(book: Book, case: Case, known: Evidence) -> Plan:
    """The plan from what was read. While two entries contradict each other it begins with measuring one of
    them again.
    """
    from benchlore.diagnosis.plan import Plan, fix_order, grow_from  # its arrays take a tenth of a second

    here = place(book, case, known)
    probabilities = of_hypotheses(case, here.weights)
    for m in _again(case, contradicted(book, case, known, probabilities))[:1]:
        here = replace(unread(book, case, known, m), first=(m,))
    before = joint(case, Evidence(known.symptoms))
    tree = grow_from(case.bench, here, before=before)
    return Plan(case.family, known.symptoms[0], tree, fix_order(case.bench, here.weights))


def next_actions(case: Case, known: Evidence, here: Place) -> tuple[Action, ...]:
    """What to do next from a place, best first, valued by looking ahead."""
    return tuple(_action(case, choice) for choice in next_choices(case, known, here))


def next_choices(case: Case, known: Evidence, here: Place, depth: int = DEPTH) -> tuple[Choice, ...]:
    """What can be done next from a place, best first, among the faults that are not unlikely."""
    from benchlore.diagnosis.at_once import every, sheet_of  # its arrays take a tenth of a second to load

    look = look_at(case.bench, joint(case, Evidence(known.symptoms)))
    here, live = among_likely(here, range(len(case.faults)), case.bench.extra)
    return every(look, sheet_of(look).of(live), here, depth)


def _action(case: Case, choice: Choice) -> Action:
    bench = case.bench
    match choice.kind:
        case "measure":
            name = bench.measures[choice.index]
        case "fix":
            name = bench.faults[choice.index]
        case _:
            name = ""
    return Action(choice.kind, name, choice.minutes, choice.expected)
