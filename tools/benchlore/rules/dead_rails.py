"""Rails that a fault reads absent: what hangs below them is absent, too."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.links import measured
from benchlore.book.model import Book, Family, Fault, Net
from benchlore.circuit.healthy import healthy
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAULT

# A rail that reads this little is dead: a volt, or a share of its normal voltage where that is less.
DEAD, DEAD_SHARE = 1.0, 0.35


@rule(each=FAULT)
def up_below_dead_rail(book: Book, fault: Fault) -> Iterator[Problem]:
    """Below a rail that a fault reads absent nothing is up, in the same bench state with the same parts
    unplugged.

    A rail is absent when every outcome that the fault expects lies under 1 V, or under 35 % of a lower rail.
    What hangs below it: every net that only it feeds. Source: the family's power tree.

    Bad:
        # faults/wren-5/rail-short.yaml
        test_points:
          - main-junction: shorted
          - fused-rail: healthy
          - main-rail: absent
          - main-rail-on-pack: absent
          - main-heat: hot
          - sda-level: healthy

    Good:
        # faults/wren-5/rail-short.yaml
        test_points:
          - main-junction: shorted
          - fused-rail: healthy
          - main-rail: absent
          - main-rail-on-pack: absent
          - main-heat: hot
          - sda-level: low
    """
    family = book.families.get(fault.family)
    if family:
        yield from _alive_below(book, family, fault)


def _alive_below(book: Book, family: Family, fault: Fault) -> Iterator[Problem]:
    volts = []
    for expectation, measurement in measured(book, fault):
        if not measurement.to_ground:
            continue
        net, state = family.nets.get(measurement.net), family.states.get(measurement.state)
        ranges = [
            measurement.outcomes[o].range for o in expectation.expected_reading if o in measurement.outcomes
        ]
        known = [r for r in ranges if r]
        if measurement.mode == "dc-volts" and net and state and not measurement.inject and known:
            volts.append((expectation, measurement, net, state, known))
    for _, upper, rail, state, readings in volts:
        if rail.kind != "rail" or not all(r.high <= _dead_below(rail) for r in readings):
            continue
        implied = healthy(book, family).below(frozenset({rail.id}), state.id)
        for expectation, lower, net, other_state, others in volts:
            together = state.id == other_state.id and set(upper.unplugged) == set(lower.unplugged)
            if together and net.id in implied and all(r.low >= _dead_below(net) for r in others):
                above = f"'{upper.id}' reads {readings[0]}, and {rail.id} feeds {net.id}"
                message = f"'{lower.id}' cannot read {others[0]}: {above}"
                mend = "correct one of the two readings, or what feeds the net"
                yield Problem(expectation.origin.at("expected_reading"), message, mend)


def _dead_below(net: Net) -> float:
    return min(DEAD, DEAD_SHARE * net.nominal.middle) if net.nominal else DEAD
