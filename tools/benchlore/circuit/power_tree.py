"""The power tree: which net feeds which, and which are up in a bench state."""

from __future__ import annotations

from dataclasses import dataclass

from benchlore.book.model import Fact, Family, Net, State
from benchlore.circuit.laws import LAWS


@dataclass(frozen=True, slots=True)
class Branch:
    """A net with the nets that it feeds; `depth` counts from the sources."""

    net: Net
    depth: int
    children: tuple[Branch, ...]


def facts_in(net: Net, mode: str, state: str) -> tuple[Fact, ...]:
    """The facts that give a reading of `mode` in a bench state: those that name the state, else those that
    name none."""
    fitting = [f for f in net.set_by if f.fact in LAWS and LAWS[f.fact].mode == mode]
    named = tuple(f for f in fitting if state in f.in_)
    return named or tuple(f for f in fitting if not f.in_)


def feeders(family: Family, net: Net, state: str) -> tuple[str, ...]:
    """The nets that feed a net in a bench state: those that its facts name, else `fed_by`; none for a
    source."""
    named = [name for fact in facts_in(net, "dc-volts", state) for name in fact.names.values()]
    if not named and net.fed_by:
        named = [net.fed_by]
    return tuple(dict.fromkeys(name for name in named if name in family.nets))


def all_feeders(family: Family, net: Net) -> tuple[str, ...]:
    """The nets that feed a net in any bench state, `fed_by` first."""
    facts = [f for f in net.set_by if f.fact in LAWS and LAWS[f.fact].mode == "dc-volts"]
    named = [net.fed_by or "", *(name for fact in facts for name in fact.names.values())]
    return tuple(dict.fromkeys(name for name in named if name in family.nets))


def is_up(family: Family, net: Net, state: State) -> bool:
    """True when a healthy board holds the net up in the bench state.

    `up_in` decides where it is stated; else a net is up with its own source or with any net that feeds it; a
    net that nothing is said to feed is up in every state with a source.
    """
    return _is_up(family, net, state, frozenset())


def _is_up(family: Family, net: Net, state: State, seen: frozenset[str]) -> bool:
    if not state.sources:
        return False
    if net.up_in:
        return state.id in net.up_in
    if set(net.enters) & set(state.sources):
        return True
    above = [family.nets[name] for name in feeders(family, net, state.id) if name not in seen]
    if not above:
        return not net.enters and not seen
    return any(_is_up(family, other, state, seen | {net.id}) for other in above)


def has_feed(family: Family, net: Net, state: State) -> bool:
    """True when the net's own source is in, or a net that feeds it is up, or nothing is said to feed it."""
    if set(net.enters) & set(state.sources):
        return True
    above = feeders(family, net, state.id)
    if not above:
        return not net.enters
    return any(is_up(family, family.nets[name], state) for name in above)


def power_tree(family: Family, kinds: tuple[str, ...] = ("rail",)) -> tuple[Branch, ...]:
    """The nets of the given kinds as a forest: sources first, each net below the first net that feeds it.

    A net in a ring of feeders starts a tree of its own, so every net appears once.
    """
    shown = {name: net for name, net in family.nets.items() if net.kind in kinds}
    parent = {name: _parent(family, net, shown) for name, net in shown.items()}
    placed: set[str] = set()

    def grow(name: str, depth: int) -> Branch:
        placed.add(name)
        below = [n for n, above in parent.items() if above == name]
        children = tuple(grow(n, depth + 1) for n in below if n not in placed)
        return Branch(shown[name], depth, children)

    trees = [grow(name, 0) for name, above in parent.items() if above is None]
    trees += [grow(name, 0) for name in shown if name not in placed]
    return tuple(trees)


def _parent(family: Family, net: Net, shown: dict[str, Net]) -> str | None:
    return next((name for name in all_feeders(family, net) if name in shown and name != net.id), None)


def below(family: Family, dead: frozenset[str], state: State) -> frozenset[str]:
    """The nets that cannot be up in a bench state while the nets `dead` are not: all that feeds them is
    dead."""
    found = set(dead)
    grew = True
    while grew:
        fresh = {
            name
            for name, net in family.nets.items()
            if name not in found
            and not set(net.enters) & set(state.sources)
            and (above := feeders(family, net, state.id))
            and all(other in found or not is_up(family, family.nets[other], state) for other in above)
            and any(other in found for other in above)
        }
        found |= fresh
        grew = bool(fresh)
    return frozenset(found) - dead
