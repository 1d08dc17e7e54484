"""Rails and lines: what feeds them and when they are up."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book, Family, Net
from benchlore.findings import Problem
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY, NET


@rule(each=NET)
def feed_loop(family: Family, net: Net) -> Iterator[Problem]:
    """Following `fed_by` from net to net ends at a source, never at the net itself.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          VIN: {fed_by: FUSED}

    Good:
        # faults/wren-5/family.yaml
        nets:
          FUSED: {fed_by: VIN}
    """
    chain = _feeders(family, net)
    if chain and chain[-1] == net.id:
        message = f"'{net.id}' feeds itself: {' from '.join([net.id, *chain])}"
        yield Problem(net.origin.at("fed_by"), message, "name the net that is nearer to the source")


def _feeders(family: Family, net: Net) -> list[str]:
    chain: list[str] = []
    feeder = net.fed_by
    while feeder is not None and feeder in family.nets and feeder not in chain:
        chain.append(feeder)
        if feeder == net.id:
            break
        feeder = family.nets[feeder].fed_by
    return chain


@rule(each=FAMILY)
def up_without_source(book: Book, family: Family) -> Iterator[Problem]:
    """A net is up only in bench states that plug a source into this board.

    Bad:
        # faults/wren-5/family.yaml
        nets:
          MAIN: {up_in: [adapter-only, pack-only, all-off]}

    Good:
        # faults/wren-5/family.yaml
        nets:
          MAIN: {up_in: [adapter-only, pack-only]}
    """
    known = {source for state in book.states.values() for source in state.sources}
    entering = {name for net in family.nets.values() for name in net.enters}
    if not entering <= known:
        return  # a misspelled source would make every net below it wrong
    for net in family.nets.values():
        for i, name in enumerate(net.up_in):
            state = book.states.get(name)
            if state and not entering & set(state.sources):
                message = f"'{net.id}' cannot be up in '{name}': no source of that state enters {family.id}"
                mend = "take the state out, or name the 'source' of the net where it enters"
                yield Problem(net.origin.at("up_in", i), message, mend)


@rule("warning", each=FAMILY)
def source_not_up(family: Family) -> Iterator[Problem]:
    """The net at which a source enters is up in every bench state that plugs that source in, unless the
    state also plugs in what this board has no place for.

    Bad:
        # faults/common/states.yaml
        all-off: {sources: [adapter], discharged: false, hazard: [static]}

    Good:
        # faults/common/states.yaml
        all-off: {sources: [], discharged: true, hazard: [static]}
    """
    entering = {name for net in family.nets.values() for name in net.enters}
    states = [state for state in family.bench_states if entering.issuperset(state.sources)]
    for net in family.nets.values():
        missing = [s.id for s in states if set(net.enters) & set(s.sources) and s.id not in net.up_in]
        if missing:
            message = f"'{net.enters[0]}' enters at '{net.id}', which is not up in {', '.join(missing)}"
            yield Problem(net.origin.at("up_in"), message, "add the state, or mend its sources", on_key=True)
