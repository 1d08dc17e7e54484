"""What the circuit foretells of the recorded faults, where their records are silent.

The one place where a fault's readings are put in full: `in_full` gives the book on which checks, ranking,
plan, pages, study and export work alike.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import fsum
from typing import Any

from benchlore.book.elements import above
from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Cause, Family, Fault, Measurement, frozen_map
from benchlore.book.same import Same
from benchlore.cache import code_of, key_of, remembered
from benchlore.circuit.graph.causes import APART, fault_of
from benchlore.circuit.graph.change import Fault as Way
from benchlore.circuit.graph.change import nets_of, tells
from benchlore.circuit.graph.elements import Graph, Stated
from benchlore.circuit.graph.family import ask_of, graph_of
from benchlore.circuit.graph.outcomes import shares
from benchlore.circuit.graph.predict import Ask, Prediction, Predictor, predictor_for
from benchlore.circuit.healthy import is_sound

# The share of each outcome of a measurement.
Row = Mapping[str, float]
Asks = tuple[tuple[Measurement, Ask], ...]

_FORM = {str: {str: {str: float}}}
_WAYS = {str: [(float, {str: {str: float}})]}


def in_full(book: Book) -> Book:
    """The book, each fault with what the circuit foretells of it where its record is silent."""
    faults = dict(book.faults)
    for family in book.families.values():
        rows = foretold(book, family)
        own = [_filled(fault, rows.get(fault.id, {})) for fault in faults_of_family(book, family.id)]
        apart = _Apart(own)
        faults |= {fault.id: replace(fault, telling=_telling(family, fault, apart)) for fault in own}
    return replace(book, faults=frozen_map(faults))


def foretold(book: Book, family: Family) -> Mapping[str, Mapping[str, Row]]:
    """What each recorded fault reads by the circuit, by fault and measurement, whatever its record states.

    What the circuit does not speak of is left out; of one with a name that leads nowhere, all. Kept by its
    content.
    """
    return _kept(_asked(Same(book), Same(family)))


@dataclass(frozen=True, slots=True)
class _Asked:
    """A family and the causes of its faults, which is all that is foretold from; `book` holds them."""

    family: Same[Family]
    causes: tuple[tuple[str, Same[Cause]], ...]
    book: Book = field(compare=False)

    @property
    def key(self) -> str:
        """Of what is kept on disk."""
        code = code_of("book", "circuit", "quantity.py", "vocabulary.py")
        return key_of(code, self.family.record, [(fault, cause.record) for fault, cause in self.causes])


@lru_cache(maxsize=64)
def _asked(of_book: Same[Book], of_family: Same[Family]) -> _Asked:
    book, family = of_book.record, of_family.record
    causes = tuple((fault.id, Same(fault.cause)) for fault in faults_of_family(book, family.id))
    return _Asked(of_family, causes, book)


@lru_cache(maxsize=64)
def _kept(asked: _Asked) -> Mapping[str, Mapping[str, Row]]:
    book, family, key = asked.book, asked.family.record, asked.key
    made = remembered(f"foretold/{family.id}", key, lambda: _worked_out(book, family), _FORM)
    return frozen_map(
        {
            fault: frozen_map({measure: frozen_map(row) for measure, row in rows.items()})
            for fault, rows in made.items()
        }
    )


def _worked_out(book: Book, family: Family) -> dict[str, dict[str, dict[str, float]]]:
    if not is_sound(family):
        return {}
    predictor, asks = predictor_of(book, family), asks_of(family)
    found = {}
    for fault in faults_of_family(book, family.id):
        ways = ways_of(predictor.graph, fault)
        found[fault.id] = _known_of(mixed(predictor, asks, ways)) if ways else {}
    return found


def foretold_apart(book: Book, family: Family) -> Mapping[str, tuple[tuple[float, Mapping[str, Row]], ...]]:
    """What each way of failing of a recorded fault reads, with its share, by fault; only faults with several
    ways, of which the circuit tells each. Kept by its content.
    """
    return _kept_apart(_asked(Same(book), Same(family)))


@lru_cache(maxsize=64)
def _kept_apart(asked: _Asked) -> Mapping[str, tuple[tuple[float, Mapping[str, Row]], ...]]:
    book, family, key = asked.book, asked.family.record, asked.key
    made = remembered(f"foretold-apart/{family.id}", key, lambda: _each_way(book, family), _WAYS)
    return frozen_map(
        {
            fault: tuple(
                (share, frozen_map({measure: frozen_map(row) for measure, row in rows.items()}))
                for share, rows in ways
            )
            for fault, ways in made.items()
        }
    )


def _each_way(book: Book, family: Family) -> dict[str, list[list[Any]]]:
    if not is_sound(family):
        return {}
    predictor, asks = predictor_of(book, family), asks_of(family)
    found = {}
    for fault in faults_of_family(book, family.id):
        apart: dict[Way, list[tuple[float, Way]]] = {}
        for share, way in ways_of(predictor.graph, fault):
            # A loose contact touches at one reading and not at the next: that is one way of failing.
            apart.setdefault(replace(way, when=way.when - {APART}), []).append((share, way))
        if len(apart) > 1:
            found[fault.id] = [
                [fsum(share for share, _ in ways), _known_of(mixed(predictor, asks, ways))]
                for ways in apart.values()
            ]
    return found


def _known_of(rows: Mapping[str, Row | None]) -> dict[str, dict[str, float]]:
    return {measure: dict(row) for measure, row in rows.items() if row is not None}


def predictor_of(book: Book, family: Family) -> Predictor:
    """One for a family: it remembers the boards that it settled, whoever asks."""
    return _predictor(Same(book), Same(family))


@lru_cache(maxsize=4)
def _predictor(of_book: Same[Book], of_family: Same[Family]) -> Predictor:
    return predictor_for(graph_of(of_book.record, of_family.record))


def asks_of(family: Family) -> Asks:
    """The measurements of a family of which a circuit can speak."""
    return _asks(Same(family))


@lru_cache(maxsize=16)
def _asks(of_family: Same[Family]) -> Asks:
    family = of_family.record
    clear = (
        m
        for m in family.measurements.values()
        if family.states.get(m.state) is not None and all(part in family.parts for part in m.unplugged)
    )
    found = ((m, ask_of(m)) for m in clear)
    return tuple((m, ask) for m, ask in found if ask is not None)


def ways_of(graph: Graph, fault: Fault) -> tuple[tuple[float, Way], ...]:
    """The ways in which a recorded fault fails, with their shares; none where the circuit knows one of them
    not, since then it tells nothing of the whole."""
    ways = fault_of(fault)
    return ways if all(tells(graph, way) for _, way in ways) else ()


def mixed(predictor: Predictor, asks: Asks, ways: Iterable[tuple[float, Way]]) -> dict[str, Row | None]:
    """What the ways of failing read on the whole, by their shares; None where one of them is not known."""
    found: dict[str, dict[str, float] | None] = {m.id: {} for m, _ in asks}
    loose = unfounded(predictor.graph)
    for share, way in ways:
        predicted = predictor.predict([ask for _, ask in asks], way, words=False)
        for measurement, ask in asks:
            row, by = found[measurement.id], shares_of(measurement, ask, predicted[ask], loose)
            if row is None or by is None:
                found[measurement.id] = None
                continue
            for outcome, part in by.items():
                row[outcome] = row.get(outcome, 0.0) + share * part
    return {name: None if row is None else frozen_map(row) for name, row in found.items()}


def shares_of(
    measurement: Measurement, ask: Ask, prediction: Prediction, loose: frozenset[str]
) -> Row | None:
    """The share of each outcome; None where nothing is predicted, or where a net of `loose` would read
    healthy only because nobody wrote what feeds it."""
    if prediction.healthy and ask.net in loose:
        return None
    return shares(measurement, prediction)


def unfounded(graph: Graph) -> frozenset[str]:
    """The nets that hang on one of which only the level is stated: what else feeds it is not known."""
    found = {e.net for e in graph.elements if isinstance(e, Stated)}
    below = [(nets_of(e)[0], above(r)) for e, r in zip(graph.elements, graph.records, strict=True) if r]
    while more := {net for net, over in below if found & set(over)} - found:
        found |= more
    return frozenset(found)


def _filled(fault: Fault, rows: Mapping[str, Row]) -> Fault:
    stated = {expectation.measure for expectation in fault.test_points}
    return replace(fault, foretold=frozen_map({m: row for m, row in rows.items() if m not in stated}))


class _Apart:
    """Which faults of a family read nothing that a fault may read; a set of faults is a number, one bit each,
    so that the pairs of five thousand are compared in no time.
    """

    def __init__(self, known: Sequence[Fault]) -> None:
        self._bits = {fault.id: 1 << place for place, fault in enumerate(known)}
        self._showing: dict[str, int] = defaultdict(int)
        self._reading: dict[str, int] = defaultdict(int)
        self._outcome: dict[tuple[str, str], int] = defaultdict(int)
        for fault in known:
            bit = self._bits[fault.id]
            for symptom in fault.symptom:
                self._showing[symptom] |= bit
            for measure, row in fault.reads.items():
                self._reading[measure] |= bit
                for outcome in row:
                    self._outcome[measure, outcome] |= bit

    def beside(self, fault: Fault) -> int:
        """The others that share a symptom with a fault."""
        found = 0
        for symptom in fault.symptom:
            found |= self._showing[symptom]
        return found & ~self._bits[fault.id]

    def told(self, measure: str, row: Row) -> int:
        """Those that a measurement tells from a fault that reads these outcomes there."""
        same = 0
        for outcome in row:
            same |= self._outcome.get((measure, outcome), 0)
        return self._reading.get(measure, 0) & ~same


def _telling(family: Family, fault: Fault, apart: _Apart) -> tuple[str, ...]:
    """What is worth measuring of what is foretold: what the proof and the worked example read, then, one by
    one, what tells most of the faults apart that share a symptom and that nothing before does; quick ones
    first.
    """
    named = (*fault.worked_example, *fault.fix.confirm)
    found = [m for m in dict.fromkeys(named) if m in fault.foretold]
    reads = fault.reads
    told = {measure: apart.told(measure, row) for measure, row in reads.items()}
    left = apart.beside(fault)
    for measure in (*(e.measure for e in fault.test_points), *found):
        left &= ~told[measure]
    while left:
        open_ = sorted(set(fault.foretold) - set(found))
        best = max(
            open_, key=lambda m: ((told[m] & left).bit_count(), -family.measurements[m].minutes), default=""
        )
        gone = told[best] & left if best else 0
        if not gone:
            break
        found.append(best)
        left &= ~gone
    abnormal = [m for m in found if not set(reads[m]) <= set(family.measurements[m].normal)]
    return (*abnormal, *(m for m in found if m not in abnormal))
