"""What a reading proves unsafe: the bench states that it bars, why, and what clears it.

Three things bar: an outcome that says `stop` (every source), one that names sources in `bars` (those alone),
and a supply rail that reads shorted (every state that brings power to it). The browser gets them as data.
Common practice, no source.

A fix that injects current into a rail asks for the ohms of the lowest rail behind it first (`checks_of`):
while these are not read, they come before it, and where they read shorted, the fix is barred.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from benchlore.book.model import Book, Family, Fault, Measurement, Net, Outcome, State
from benchlore.circuit.graph.below import made_below
from benchlore.circuit.graph.family import graph_of
from benchlore.circuit.power_tree import feeders

OHMS = "ohms"


@dataclass(frozen=True, slots=True)
class Interlock:
    """`states`: the bench states that are barred. `why`: a sentence.

    `clears`: the measurements one of which must read otherwise before power comes back; empty where a fix is
    enough.
    """

    states: tuple[str, ...]
    why: str
    clears: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Standing:
    """An interlock that stands, with the reading that set it."""

    measure: str
    outcome: str
    lock: Interlock


def interlock(family: Family, measurement: Measurement, outcome: Outcome) -> Interlock | None:
    """What an outcome bars; None for one after which the board may have power."""
    powered = [state for state in family.bench_states if state.sources]
    if outcome.stop:
        return Interlock(tuple(state.id for state in powered), outcome.means)
    if outcome.bars:
        barred = tuple(state.id for state in powered if set(state.sources) & set(outcome.bars))
        return Interlock(barred, outcome.means, (measurement.id,))
    net = family.nets.get(measurement.net)
    if net is None or net.kind != "rail" or not reads_shorted(measurement, outcome):
        return None
    same = (m for m in family.measurements.values() if m.net == net.id)
    return Interlock(
        tuple(state.id for state in powered if reached(family, net, state)),
        f"{net.id} is shorted to ground: what feeds it drives all that it can into the short.",
        tuple(m.id for m in same if m.mode == OHMS and m.to_ground),
    )


def reads_shorted(measurement: Measurement, outcome: Outcome) -> bool:
    """True for the outcome of an ohms measurement that 0 ohm belongs to, unless a healthy net reads so."""
    stated = outcome.range
    return (
        measurement.mode == OHMS
        and measurement.to_ground
        and not outcome.normal
        and stated is not None
        and stated.low <= 0 < stated.high
    )


def reached(family: Family, net: Net, state: State) -> bool:
    """True where a source of a bench state can bring power to a rail: it enters at a net that hangs together
    with the rail.

    A switch or a converter between two rails can conduct backwards, through its body diode (common practice,
    no source), so the power tree is followed both ways. Where no source is known to feed the rail, or a
    source to enter the board, it may be that one.
    """
    rails = [n for n in family.nets.values() if n.kind == "rail"]
    links = [(n.id, above) for n in rails for above in feeders(family, n)]
    found, grew = {net.id}, True
    while grew:
        fresh = {b for a, b in links if a in found} | {a for a, b in links if b in found}
        grew = not fresh <= found
        found |= fresh
    entering = {source for n in family.nets.values() for source in n.enters}
    feeding = {source for name in found for source in family.nets[name].enters}
    return not feeding or not feeding.isdisjoint(state.sources) or entering.isdisjoint(state.sources)


def standing(
    family: Family,
    taken: Sequence[tuple[str, str, Sequence[str]]],
    locks: Mapping[tuple[str, str], Interlock],
) -> tuple[Standing, ...]:
    """The interlocks that stand after some readings: measurements with the outcomes that they were taken for
    and those that they may be, in the order taken.

    A later reading clears those that it is named for, if none of what it may be bars anything, and no part
    was unplugged for it that was in before. One that fits no outcome clears none.
    """
    found: list[Standing] = []
    for measure, outcome, may_be in taken:
        lock = locks.get((measure, outcome))
        if lock is None:
            if not may_be or any((measure, other) in locks for other in may_be):
                continue
            found = [one for one in found if not _clears(family, measure, one)]
        else:
            found.append(Standing(measure, outcome, lock))
    return tuple(found)


def _clears(family: Family, measure: str, one: Standing) -> bool:
    out, before = (set(family.measurements[m].unplugged) for m in (measure, one.measure))
    return measure in one.lock.clears and out <= before


def shuts(lock: Interlock, proof: Iterable[tuple[str, str]]) -> bool:
    """True where an interlock forbids a fix: its proof brings the power back without asking first whether the
    trouble is gone. `proof`: its measurements with their bench states.
    """
    measures = list(proof)
    powers = any(state in lock.states for _, state in measures)
    return bool(lock.clears) and powers and not any(measure in lock.clears for measure, _ in measures)


def checks_of(book: Book, family: Family, fault: Fault) -> tuple[str, ...]:
    """The ohms that are read before the fix of a fault injects current into a rail: of the lowest rail that
    is made from it. Through a switch that is shorted that one would get all that is injected.
    """
    found: dict[str, None] = {}
    for step in fault.fix.steps:
        if step.inject and step.up_to:
            below = made_below(graph_of(book, family), step.inject, step.up_to.high)
            lowest = next(iter(below), "")
            found.update(
                (m.id, None)
                for m in family.measurements.values()
                if m.net == lowest and m.mode == OHMS and m.to_ground and not m.inject and not m.unplugged
            )
    return tuple(found)


def locks_of(family: Family, measures: Iterable[str]) -> Iterator[tuple[tuple[str, str], Interlock]]:
    """All interlocks of some measurements, by measurement and outcome."""
    for measure in measures:
        measurement = family.measurements[measure]
        for outcome in measurement.outcomes.values():
            lock = interlock(family, measurement, outcome)
            if lock is not None:
                yield (measure, outcome.id), lock
