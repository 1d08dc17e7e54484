"""Direct-current networks: resistors, one-way feeds, diodes and what draws a current; nodal analysis.

Volts, ohms and amperes against `GROUND`. A feed gives current and takes none, so a node that something lifts
higher lets go of it; a diode drops its voltage while it conducts. What no element holds lies at ground.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from benchlore.circuit.interval import CircuitError, Interval

GROUND = ""
LEAST = 1e-3  # ohm: a joint has no less
DIODE_SLOPE = 1e-2  # ohm, beside the drop of a diode that conducts
LEAKAGE = 1e-12  # S from each node to ground, so that nothing floats (as circuit simulators do)
OPEN = 1e10  # ohm: a resistance above it is none
NOTHING = Interval(0.0, 0.0)
_ROUNDS = 60
_TURNS = 4
_FAINT = 1e-300  # a slope that gives a direction only


@dataclass(frozen=True, slots=True)
class Resistor:
    """A resistance (ohm) between two nodes."""

    a: str
    b: str
    ohms: Interval


@dataclass(frozen=True, slots=True)
class Feed:
    """A voltage (V) behind a resistance (ohm, 0 for an ideal one) that gives current to a node."""

    node: str
    volts: Interval
    ohms: Interval = NOTHING


@dataclass(frozen=True, slots=True)
class Diode:
    """Conducts from `a` to `b` and drops `drop` (V)."""

    a: str
    b: str
    drop: Interval


@dataclass(frozen=True, slots=True)
class Draw:
    """A current (A) that is taken from a node to ground, whatever its voltage."""

    node: str
    amps: Interval


Element = Resistor | Feed | Diode | Draw


@dataclass(frozen=True, slots=True)
class Network:
    """Elements between named nodes."""

    elements: tuple[Element, ...]


def bounds(network: Network, plus: str, minus: str = GROUND) -> Interval:
    """The voltage (V) from `minus` to `plus` over all values that the elements may have.

    Each end is the network at one corner of its tolerances: the one to which the slopes point (adjoint
    sensitivities, L. O. Chua and P.-M. Lin, Computer-Aided Analysis of Electronic Circuits, 1975, from
    memory), looked at again from that corner until they point no further. A voltage rises or falls with each
    single value all the way (it is a ratio of two linear functions of it), so the ends are exact where no
    slope changes its sign, as in every ladder and tree.
    """
    return _bounds(network, plus, minus)


def resistance(network: Network, plus: str, minus: str = GROUND) -> Interval:
    """The resistance (ohm) between two nodes with every feed out; infinite where nothing conducts.

    It rises with every resistance (Rayleigh's monotonicity law), so both ends are exact.
    """
    kept = tuple(e for e in network.elements if isinstance(e, Resistor))
    probe = (Draw(plus, Interval(-1.0, -1.0)), Draw(minus, Interval(1.0, 1.0)))
    found = _bounds(Network((*kept, *(p for p in probe if p.node != GROUND))), plus, minus)
    return Interval(*(end if end < OPEN else math.inf for end in (found.low, found.high)))


def at_middle(network: Network, node: str) -> float:
    """The voltage (V) of a node with every element at the middle of its tolerance."""
    return _volts(_at(network, lambda _, i: i.middle), node)


@lru_cache(maxsize=20_000)
def _bounds(network: Network, plus: str, minus: str) -> Interval:
    middle = _at(network, lambda _, i: i.middle)
    low = _extreme(network, plus, minus, middle, rising=False)
    high = _extreme(network, plus, minus, middle, rising=True)
    return Interval(min(low, high), max(low, high))


def _extreme(network: Network, plus: str, minus: str, middle: _Solved, *, rising: bool) -> float:
    solved, best, seen = middle, _volts(middle, plus) - _volts(middle, minus), set()
    for _ in range(_TURNS):
        slopes = _slopes(network, solved, plus, minus)
        ends = tuple((s > 0) == rising for s in slopes)
        if ends in seen:
            break
        seen.add(ends)

        def at_end(index: int, value: Interval, ends: tuple[bool, ...] = ends) -> float:
            return value.high if ends[index] else value.low

        solved = _at(network, at_end)
        found = _volts(solved, plus) - _volts(solved, minus)
        best = max(best, found) if rising else min(best, found)
    return best


@dataclass(frozen=True, slots=True)
class _Branch:
    """What element `of` is while it conducts: brings `siemens` (V(a) - V(b) - volts) from a to b."""

    of: int
    a: str
    b: str
    siemens: float
    volts: float


@dataclass(frozen=True, slots=True)
class _Solved:
    """A network solved with single values: which elements conduct, the ideal feed that holds a node, the
    voltages, and the matrix that gave them."""

    values: tuple[tuple[float, float], ...]
    on: tuple[bool, ...]
    branches: tuple[_Branch, ...]
    held: Mapping[str, int]
    index: Mapping[str, int]
    matrix: list[list[float]]
    volts: Mapping[str, float]


def _volts(solved: _Solved, node: str) -> float:
    return solved.volts.get(node, 0.0)


def _at(network: Network, pick: Callable[[int, Interval], float]) -> _Solved:
    """The network with one value an element; the index of a value is twice the element's, plus one for the
    resistance of a feed."""
    values = tuple(_values(e, 2 * i, pick) for i, e in enumerate(network.elements))
    on = [not isinstance(e, Diode) for e in network.elements]
    for turn in range(_ROUNDS):
        solved = _linear(network, values, on)
        wrong = [(w, i) for i, e in enumerate(network.elements) if (w := _wrong(e, i, solved, network)) > 0]
        if not wrong:
            return solved
        for _, i in wrong if turn < 8 else [max(wrong)]:
            on[i] = not on[i]
    raise CircuitError("no state of the diodes fits this network")


def _values(element: Element, index: int, pick: Callable[[int, Interval], float]) -> tuple[float, float]:
    match element:
        case Resistor(ohms=ohms):
            return max(pick(index, ohms), LEAST), 0.0
        case Feed(volts=volts, ohms=ohms):
            return pick(index, volts), pick(index + 1, ohms) if ohms.high > 0 else 0.0
        case Diode(drop=drop):
            return pick(index, drop), 0.0
        case Draw(amps=amps):
            return pick(index, amps), 0.0


def _branches(
    network: Network, values: tuple[tuple[float, float], ...], on: list[bool]
) -> tuple[_Branch, ...]:
    found = []
    for i, e in enumerate(network.elements):
        first, second = values[i]
        match e:
            case Resistor():
                found.append(_Branch(i, e.a, e.b, 1 / first, 0.0))
            case Feed() if on[i] and second > 0:
                found.append(_Branch(i, e.node, GROUND, 1 / second, first))
            case Diode() if on[i]:
                found.append(_Branch(i, e.a, e.b, 1 / DIODE_SLOPE, first))
    return tuple(found)


def _held(network: Network, values: tuple[tuple[float, float], ...], on: list[bool]) -> dict[str, int]:
    """The ideal feed that holds each node: the highest of those that give."""
    held: dict[str, int] = {}
    for i, e in enumerate(network.elements):
        if isinstance(e, Feed) and on[i] and values[i][1] == 0:
            before = held.get(e.node)
            if before is None or values[before][0] < values[i][0]:
                held[e.node] = i
    return held


def _linear(network: Network, values: tuple[tuple[float, float], ...], on: list[bool]) -> _Solved:
    held = _held(network, values, on)
    fixed = {node: values[i][0] for node, i in held.items()} | {GROUND: 0.0}
    index: dict[str, int] = {}
    for e in network.elements:
        for node in (e.a, e.b) if isinstance(e, Resistor | Diode) else (e.node,):
            if node not in fixed and node not in index:
                index[node] = len(index)
    matrix = [[LEAKAGE if i == j else 0.0 for j in range(len(index))] for i in range(len(index))]
    right = [0.0] * len(index)
    branches = _branches(network, values, on)
    for branch in branches:
        for near, far, volts in ((branch.a, branch.b, branch.volts), (branch.b, branch.a, -branch.volts)):
            if near in index:
                i = index[near]
                matrix[i][i] += branch.siemens
                right[i] += branch.siemens * (volts + fixed.get(far, 0.0))
                if far in index:
                    matrix[i][index[far]] -= branch.siemens
    for i, e in enumerate(network.elements):
        if isinstance(e, Draw) and e.node in index:
            right[index[e.node]] -= values[i][0]
    found = _gauss(matrix, right)
    solved = fixed | {node: found[i] for node, i in index.items()}
    return _Solved(values, tuple(on), branches, held, index, matrix, solved)


def _gauss(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Solve a symmetric, diagonally dominant system; no pivoting is needed."""
    size = len(right)
    if size == 1:
        return [right[0] / matrix[0][0]]
    rows = [[*row, r] for row, r in zip(matrix, right, strict=True)]
    for k in range(size):
        pivot = rows[k]
        for row in rows[k + 1 :]:
            if row[k]:
                share = row[k] / pivot[k]
                for j in range(k, size + 1):
                    row[j] -= share * pivot[j]
    found = [0.0] * size
    for k in reversed(range(size)):
        row = rows[k]
        found[k] = (row[size] - math.fsum(row[j] * found[j] for j in range(k + 1, size))) / row[k]
    return found


def _wrong(element: Element, i: int, solved: _Solved, network: Network) -> float:
    """By how much (A or V) an element breaks its rule; 0 where it conducts, or not, as it should."""
    first, second = solved.values[i]
    match element:
        case Diode():
            over = _volts(solved, element.a) - _volts(solved, element.b) - first
            wrong = -over if solved.on[i] else over
        case Feed() if second == 0 and solved.on[i]:
            wrong = _taken(element.node, solved, network) if solved.held.get(element.node) == i else 0.0
        case Feed():
            over = first - _volts(solved, element.node)
            wrong = -over if solved.on[i] else over
        case _:
            wrong = 0.0
    return wrong if wrong > 1e-9 else 0.0


def _taken(node: str, solved: _Solved, network: Network) -> float:
    """The current (A) that flows into an ideal feed from the rest."""
    total = 0.0
    for branch in solved.branches:
        if node in (branch.a, branch.b):
            across = _volts(solved, branch.a) - _volts(solved, branch.b) - branch.volts
            total += branch.siemens * across * ((node == branch.b) - (node == branch.a))
    for i, e in enumerate(network.elements):
        if isinstance(e, Draw) and e.node == node:
            total -= solved.values[i][0]
    return total


def _slopes(network: Network, solved: _Solved, plus: str, minus: str) -> tuple[float, ...]:
    """How V(plus) - V(minus) rises with each value, two an element (the second for a feed's resistance).

    Behind a diode that does not conduct nothing has a slope; there a higher feed, a lower drop and a lower
    draw are what may lift the output.
    """
    index = solved.index
    wanted = [0.0] * len(index)
    for node, sign in ((plus, 1.0), (minus, -1.0)):
        if node in index:
            wanted[index[node]] += sign
    moved = _gauss(solved.matrix, wanted) if index else []
    # Volts at the output for each ampere into a node, and for each volt of the ideal feed that holds one.
    reach = {node: moved[i] for node, i in index.items()}
    lift = {node: float(node == plus) - float(node == minus) for node in solved.held}
    slopes = [0.0] * (2 * len(network.elements))
    for branch in solved.branches:
        a, b = reach.get(branch.a, 0.0), reach.get(branch.b, 0.0)
        across = _volts(solved, branch.a) - _volts(solved, branch.b) - branch.volts
        by_ohms, by_volts = (a - b) * across * branch.siemens**2, (a - b) * branch.siemens
        is_resistor = isinstance(network.elements[branch.of], Resistor)
        slopes[2 * branch.of] = by_ohms if is_resistor else by_volts
        slopes[2 * branch.of + 1] = 0.0 if is_resistor else by_ohms
        for node, other in ((branch.a, b), (branch.b, a)):
            if node in lift:
                lift[node] += other * branch.siemens
    for i, e in enumerate(network.elements):
        match e:
            case Draw():
                slopes[2 * i] = -reach.get(e.node, 0.0) or -_FAINT
            case Feed():
                slopes[2 * i] = (lift[e.node] if solved.held.get(e.node) == i else slopes[2 * i]) or _FAINT
            case Diode() if not solved.on[i]:
                slopes[2 * i] = reach.get(e.a, 0.0) - reach.get(e.b, 0.0) or -_FAINT
    return tuple(slopes)
