"""The power tree: which net feeds which."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from benchlore.book.elements import GROUND, Converter, Element, Path, Pull, Signal, parts_of
from benchlore.book.model import Family, Net


@dataclass(frozen=True, slots=True)
class Branch:
    """A net with the nets that it feeds; `depth` counts from the sources."""

    net: Net
    depth: int
    children: tuple[Branch, ...]


def feeders(family: Family, net: Net) -> tuple[str, ...]:
    """The nets of the family that a net's level comes from in any bench state."""
    return tuple(name for name in net.above if name in family.nets)


def level(family: Family, net: Net, seen: tuple[str, ...] = ()) -> int:
    """0 for a source, else one more than the highest of the nets that feed it. Nets that feed each other in a
    ring count once: the ring is cut where it closes."""
    above = [name for name in feeders(family, net) if name not in seen and name != net.id]
    return max((1 + level(family, family.nets[name], (*seen, net.id)) for name in above), default=0)


def in_start_order(family: Family, *, rails: bool = True) -> tuple[Net, ...]:
    """The rails as they come up, from the sources down, or the other nets, each after the rails that it hangs
    on; nets of one level as the family lists them."""
    chosen = [net for net in family.nets.values() if (net.kind == "rail") is rails]
    return tuple(sorted(chosen, key=lambda net: level(family, net)))


def waits_for(family: Family, name: str) -> tuple[str, ...]:
    """The nets that have to be up before a net: those that supply it, what these need, its start order."""
    net = family.nets[name]
    needs = [
        need.net for one in (net.converter, net.path, net.source, net.signal) for e in one for need in e.needs
    ]
    found = dict.fromkeys((*net.fed_from, *needs, *(after.net for after in net.after)))
    return tuple(other for other in found if other in family.nets)


def waits_for_its_good(family: Family, net: Net) -> tuple[str, ...]:
    """The nets from a net to its own power-good, each waiting for the next; none where it does not wait for
    that."""
    way = _way(partial(waits_for, family), net.id, net.good) if net.good is not None else ()
    return (net.id, *way) if way else ()


def held_by_cells(family: Family, unplugged: Collection[str] = ()) -> Mapping[str, str]:
    """The nets that have power whatever is on the bench, each with the soldered cell that it comes from:
    over paths and pulls, and what is made or driven of nothing else."""
    out = set(unplugged)
    found = {
        net.id: source.from_
        for net in family.nets.values()
        for source in net.source
        if source.built_in and not out & set(source.part)
    }
    while found:
        fresh: dict[str, str] = {}
        for net in family.nets.values():
            for element in net.elements:
                if out & set(parts_of(element)):
                    continue
                for start, end in _ways(net.id, element):
                    if set(start) <= set(found) and end not in found:
                        fresh[end] = found[start[0]]
        if not fresh:
            break
        found |= fresh
    return found


def _ways(net: str, element: Element) -> Iterator[tuple[tuple[str, ...], str]]:
    """From which nets, all of them up, an element brings power to which net."""
    needs = tuple(need.net for need in getattr(element, "needs", ()))
    match element:
        case Path():
            yield (element.from_, *needs), net
            if element.drop is None:
                yield (net, *needs), element.from_
        case Converter():
            yield (element.from_, *needs), net
        case Pull() if element.to != GROUND:
            yield (element.to,), net
        case Signal() if needs:
            yield needs, net


def ring(family: Family, net: Net) -> tuple[str, ...]:
    """The nets from a net back to itself, nearest first; none where nothing leads back."""
    return _way(lambda name: feeders(family, family.nets[name]), net.id, net.id)


def _way(onward: Callable[[str], Iterable[str]], begin: str, end: str) -> tuple[str, ...]:
    """The nets of the shortest way from one net to another, without the first; none where there is no way."""
    waiting: list[tuple[str, ...]] = [(name,) for name in onward(begin)]
    seen: set[str] = set()
    while waiting:
        way = waiting.pop(0)
        if way[-1] == end:
            return way
        if way[-1] not in seen:
            seen.add(way[-1])
            waiting += [(*way, name) for name in onward(way[-1])]
    return ()


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
    return next((name for name in feeders(family, net) if name in shown and name != net.id), None)
