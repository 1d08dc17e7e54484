"""Which nets are up, and at what level, in one bench state: from the sources down.

First nothing is up. Each pass switches on what its input, its enables and its start order allow, until no
pass changes anything; so a ring that only holds itself stays down. Then each short is laid against what feeds
it: a feed that cannot carry it folds back to near zero, a fuse that the feed can open opens, and all begins
anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import fsum

from benchlore.circuit.graph.change import END_TO_END, Change
from benchlore.circuit.graph.elements import (
    Converter,
    Graph,
    GraphElement,
    Need,
    Order,
    Path,
    PowerGood,
    Pull,
    Signal,
    Source,
    Stated,
    is_there,
)
from benchlore.circuit.graph.network import GROUND, Diode, Draw, Element, Feed, Network, Resistor, bounds
from benchlore.circuit.graph.unpowered import rests
from benchlore.circuit.interval import CircuitError, Interval

# Common practice, no source.
UP = 0.7  # of its lowest healthy level: what counts as up (the share of a high level, UM10204 table 9, too)
SOME = 0.1  # V: what counts as up where no healthy level is known
NEAR_ZERO = 0.05  # of its level: what a feed holds that folds back
HELD = Interval(10.0, 100.0)  # ohm: the open drain of a power-good that holds its line
DEAD = Interval(0.0, 0.05)  # ohm: what is left of a short under power
JOINED = 1.0  # ohm: a short behind less pulls its feed down
PARTED = 10.0  # ohm: a short behind more does not
BLOWS = 2.0  # times its rating: the current that opens a fuse in seconds (IEC 60127, from memory)

_PASSES = 200
_UNKNOWN = None
Level = Interval | None


@dataclass(frozen=True, slots=True)
class Board:
    """A graph made ready: what meets at each net, what each load is beyond the rest, the levels that count.

    `at`: the elements that carry current, by net. `after`: what a net waits for. `good`: the nets that hold a
    line at ground until they stand, by that line. `gated`: the elements that
    something switches on. `rest`: what loads a net beyond its pulls and paths (ohm). `draws`: what a path
    carries beyond what goes on from its end (A). `lowest`: the lowest healthy level of a net over the bench
    states that it is up in.
    """

    graph: Graph
    at: Mapping[str, tuple[int, ...]]
    after: Mapping[str, tuple[str, ...]]
    good: Mapping[str, tuple[str, ...]]
    gated: tuple[int, ...]
    rest: Mapping[str, Interval]
    draws: Mapping[int, Interval]
    lowest: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Setup:
    """A bench state with what is unplugged, and the conditions (load, warm ...) of the reading."""

    state: str
    unplugged: frozenset[str] = frozenset()
    conditions: frozenset[str] = frozenset()


class Power:
    """The levels of all nets in one setup with one change. Make it, then ask `level`."""

    def __init__(self, board: Board, state: str, change: Change) -> None:
        """Settle the board; see the module. Raises CircuitError where it would not settle."""
        self.board, self.state, self.change = board, state, change
        self.cut = set(change.cut)
        self.tripped: dict[int, Interval] = {}
        self.doubtful: set[int] = set()
        self.fixed: dict[str, Level] = {}
        self.holder: dict[str, int] = {}
        self.on: dict[int, bool | None] = {}
        self._known: dict[str, Level] = {}
        self._stands: dict[str, bool | None] = {}
        self._ohms = dict(change.ohms)
        self._grounds: dict[str, list[Interval]] = {}
        for ground in change.grounds:
            # Under power a short is next to nothing: no feed lifts the net off the ground.
            ohms = Interval(min(ground.ohms.low, DEAD.high), min(ground.ohms.high, DEAD.high))
            self._grounds.setdefault(ground.net, []).append(ohms if ground.short else ground.ohms)
        self._joins: dict[str, list[str]] = {}
        for a, b in change.joins:
            self._joins.setdefault(a, []).append(b)
            self._joins.setdefault(b, []).append(a)
        self._rise()
        while self._overload():
            self._rise()

    def level(self, net: str, meter: Interval | None = None) -> Level:
        """The voltage (V) of a net, read by a meter of that resistance (ohm); None where it is not known."""
        if net in self.fixed and net not in self._joins:
            return self.fixed[net]
        if meter is not None:
            return self._solved(net, meter)
        if net not in self._known:
            self._known[net] = self._solved(net, None)
        return self._known[net]

    def meets(self, need: Need) -> bool | None:
        """Whether a need is met; None where that is not known."""
        if need.window is None:
            return self.is_up(need.net)
        level = self.level(need.net)
        if level is None:
            return None
        if need.window.contains(level):
            return True
        return False if level.high < need.window.low or level.low > need.window.high else None

    def is_up(self, net: str) -> bool | None:
        """Whether a net counts as up; None where that is not known."""
        level = self.level(net)
        if level is None:
            return None
        least = UP * self.board.lowest[net] if net in self.board.lowest else SOME
        if level.low >= least:
            return True
        return False if level.high < least else None

    def stands(self, rail: str) -> bool | None:
        """Whether a net's power-good tells that it stands; None where that is not known."""
        return self._stands.get(rail, False)

    def carries(self, i: int) -> bool:
        """True for a path that is there, whole, and known to conduct."""
        e = self.board.graph.elements[i]
        if not isinstance(e, Path) or i in self.cut or not is_there(e, self.state):
            return False
        return self._conducts(i, e) is True

    # From the sources down.

    def _rise(self) -> None:
        self.fixed, self.holder, self.on, self._stands = {}, {}, {}, {}
        graph = self.board.graph
        sources = graph.states.get(self.state, ())
        for i, e in enumerate(graph.elements):
            if i in self.cut or not is_there(e, self.state):
                continue
            if isinstance(e, Source) and not e.needs and (e.built_in or e.name in sources):
                self._hold(i, e.net, dict(self.change.volts).get(i, e.volts))
            elif isinstance(e, Stated) and sources:
                self._hold(i, e.net, e.volts)
        if any(level is None or level.high > SOME for level in self.fixed.values()):
            for net, level in self.change.stuck:
                self.fixed[net] = level
        self._known.clear()
        for _ in range(_PASSES):
            if not self._pass():
                return
        raise CircuitError(f"the board of '{self.board.graph.family}' does not settle in '{self.state}'")

    def _pass(self) -> bool:
        """Switch on what may be on, and follow what a converter's supply and command have become since."""
        changed = False
        for i in self.board.gated:
            e = self.board.graph.elements[i]
            if i in self.cut or not is_there(e, self.state):
                continue
            if self.on.get(i) is True:
                changed = self._follow(i, e) or changed
                continue
            on = self._runs(i, e)
            if on is False or (on is None and i in self.on):
                continue
            self.on[i] = on
            changed = True
            if isinstance(e, Converter):
                self._hold(i, e.end, self._output(i, e) if on else _UNKNOWN)
            elif isinstance(e, Source):
                self._hold(i, e.net, dict(self.change.volts).get(i, e.volts) if on else _UNKNOWN)
            elif isinstance(e, Signal) and e.volts is not None:
                self._hold(i, e.net, e.volts if on else _UNKNOWN)
            self._known.clear()
        return self._tell() or changed

    def _tell(self) -> bool:
        """Let go of the first power-good whose net stands since; True where one was let go."""
        for rail in dict.fromkeys(rail for rails in self.board.good.values() for rail in rails):
            up = self.is_up(rail)
            if up is not False and up is not self._stands.get(rail, False):
                self._stands[rail] = up
                self._known.clear()
                return True
        return False

    def _follow(self, i: int, element: GraphElement) -> bool:
        if not isinstance(element, Converter) or self.holder.get(element.end) != i:
            return False
        before = self.fixed[element.end]
        self._hold(i, element.end, self._output(i, element))
        if self.fixed[element.end] == before:
            return False
        self._known.clear()
        return True

    def _hold(self, i: int, net: str, level: Level) -> None:
        if i in self.tripped:
            level = self.tripped[i]
        elif i in self.doubtful:
            level = _UNKNOWN
        if net in dict(self.change.stuck):
            return
        before = self.fixed.get(net)
        if net in self.fixed and self.holder.get(net) != i:
            if before is None or level is None:
                level = None
            elif before.middle > level.middle:
                return
        self.fixed[net] = level
        self.holder[net] = i

    def _runs(self, i: int, element: GraphElement) -> bool | None:
        match element:
            case Source():
                sources = self.board.graph.states.get(self.state, ())
                if not element.built_in and element.name not in sources:
                    return False
            case Converter() if i in self.change.still:
                return False
            case Signal() if element.by in self.change.silent | self.change.mute:
                return False
        return _all(self.meets(need) for need in asked_by(self.board, element))

    def _output(self, i: int, converter: Converter) -> Level:
        volts: Level = converter.volts
        supply = self.level(converter.start)
        for index, end in self.change.loose_ends:
            if index == i and converter.feedback is not None:
                volts = converter.feedback.reference if end == "bottom" else supply
                if end == "top" and converter.way != "down":
                    volts = _UNKNOWN
        command = converter.command
        if command is not None:
            heard = command.by not in self.change.silent | self.change.mute and _all(
                self.meets(n) for n in command.needs
            )
            if heard is not True:
                volts = command.default if heard is False else _UNKNOWN
        if volts is not None and supply is not None and converter.way == "down":
            return Interval(min(volts.low, supply.low), min(volts.high, supply.high))
        return volts

    # What hangs together.

    def _solved(self, net: str, meter: Interval | None) -> Level:
        level = self._hanging(net, meter)
        if level is None and any(g.short and g.net == net for g in self.change.grounds):
            return Interval(0.0, NEAR_ZERO * self.board.lowest.get(net, SOME))
        return level

    def _hanging(self, net: str, meter: Interval | None) -> Level:
        elements: list[Element] = []
        seen, todo, used = {net}, [net], set[int]()
        while todo:
            here = todo.pop()
            held = here in self.fixed
            if held:
                level = self.fixed[here]
                if level is None:
                    return _UNKNOWN
                elements.append(Feed(here, level))
            for other, element in self._around(here, used, held=held):
                if element is None:
                    return _UNKNOWN
                elements.append(element)
                if other != GROUND and other not in seen:
                    seen.add(other)
                    todo.append(other)
        if meter is not None and meter.high < float("inf"):
            elements.append(Resistor(net, GROUND, meter))
        if not any(isinstance(e, Feed) for e in elements):
            return Interval(0.0, 0.0)
        found = bounds(Network(tuple(elements)), net)
        return Interval(max(found.low, 0.0), max(found.high, 0.0))

    def _around(self, net: str, used: set[int], *, held: bool) -> Iterator[tuple[str, Element | None]]:
        """What meets at a net, with its other end; None for what may conduct or not."""
        for other in self._joins.get(net, ()):
            yield other, Resistor(net, other, END_TO_END)
        if held:
            return
        for ohms in self._grounds.get(net, ()):
            yield GROUND, Resistor(net, GROUND, ohms)
        if net in self.board.rest:
            yield GROUND, Resistor(net, GROUND, self.board.rest[net])
        for rail in self.board.good.get(net, ()):
            up = self.stands(rail)
            if up is not True:
                yield GROUND, None if up is None else Resistor(net, GROUND, HELD)
        for i in self.board.at.get(net, ()):
            if i not in used and i not in self.cut:
                used.add(i)
                yield from self._carried(i, net)

    def _carried(self, i: int, net: str) -> Iterator[tuple[str, Element | None]]:
        e = self.board.graph.elements[i]
        if not is_there(e, self.state):
            return
        match e:
            case Pull():
                ohms = self._ohms.get(i, e.ohms)
                yield (e.to if net == e.net else e.net), Resistor(e.net, e.to, ohms)
            case Path() if self._conducts(i, e) is not False:
                other = e.end if net == e.start else e.start
                if self._conducts(i, e) is None:
                    yield other, None
                elif e.drop is not None and e.ohms.high > 0:
                    inner = f"{e.start} > {e.end}"
                    yield inner, Diode(e.start, inner, e.drop)
                    yield other, Resistor(inner, e.end, self._ohms.get(i, e.ohms))
                elif e.drop is not None:
                    yield other, Diode(e.start, e.end, e.drop)
                else:
                    yield other, Resistor(e.start, e.end, self._ohms.get(i, e.ohms))
                if i in self.board.draws and e.end not in self.fixed:
                    yield e.end, Draw(e.end, self.board.draws[i])
            case Converter(passes=Interval() as drop) if self.on.get(i, False) is False:
                yield e.start, Diode(e.start, e.end, drop)

    def _conducts(self, i: int, path: Path) -> bool | None:
        return self.on.get(i, False) if path.needs or path.end in self.board.after else True

    # Shorts against what feeds them.

    def _overload(self) -> bool:
        """Trip what cannot carry a short; True when something new tripped, opened or became doubtful."""
        before = (len(self.tripped), len(self.doubtful), len(self.cut))
        for ground in self.change.grounds:
            if ground.guessed and not ground.short:
                continue  # what feeds a net carries a leak; what it can't carry is a short
            self._upstream(ground.net, ground.ohms, Interval(0.0, 0.0), (), {ground.net}, short=ground.short)
        return before != (len(self.tripped), len(self.doubtful), len(self.cut))

    def _upstream(
        self,
        net: str,
        ohms: Interval,
        series: Interval,
        passed: tuple[int, ...],
        seen: set[str],
        *,
        short: bool,
    ) -> None:
        """Go from a short to the feeds that reach it through `series` ohm and the paths `passed`."""
        feed = self.holder.get(net)
        if feed is not None and feed not in self.tripped and net in self.fixed:
            self._judge(feed, net, ohms, series, passed, short=short)
        for other in self._joins.get(net, ()):
            if other not in seen:
                seen.add(other)
                self._upstream(other, ohms, series + END_TO_END, passed, seen, short=short)
        for i in self.board.at.get(net, ()):
            e = self.board.graph.elements[i]
            if not isinstance(e, Path) or i in self.cut or not is_there(e, self.state):
                continue
            if self._conducts(i, e) is False or (e.drop is not None and net == e.start):
                continue
            other = e.end if net == e.start else e.start
            if other not in seen:
                seen.add(other)
                self._upstream(other, ohms, series + e.ohms, (*passed, i), seen, short=short)

    def _judge(
        self, feed: int, net: str, ohms: Interval, series: Interval, passed: tuple[int, ...], *, short: bool
    ) -> None:
        level = self.fixed[net]
        if level is None:
            return
        elements = self.board.graph.elements
        limit: Interval | None = getattr(elements[feed], "limit", None)
        # A short is as little as nothing; a leak has its resistance.
        most = level.high / max(series.low + (0.0 if short else ohms.low), 1e-3)
        least = level.low / max(series.high + ohms.high, 1e-3)
        for i in passed:
            path = elements[i]
            if not isinstance(path, Path):
                continue
            own = path.limit
            if own is not None and (short or least > own.high):
                self.cut.add(i)
                return
            if (
                short
                and path.rating is not None
                and limit is not None
                and limit.low > BLOWS * path.rating.high
            ):
                self.cut.add(i)
                return
        holds = most < limit.low if limit is not None else not short or series.low >= PARTED
        trips = least > limit.high if limit is not None else False
        if trips or (short and not holds and series.high <= JOINED):
            self.tripped[feed] = Interval(0.0, NEAR_ZERO * level.high)
        elif not holds:
            self.doubtful.add(feed)


def _all(found: Iterator[bool | None]) -> bool | None:
    """False when one is false, else None when one is unknown, else true."""
    unknown = False
    for one in found:
        if one is False:
            return False
        unknown = unknown or one is None
    return None if unknown else True


def asked_by(board: Board, element: GraphElement) -> tuple[Need, ...]:
    """All that an element waits for: its input, what it names, and the start order of its net."""
    match element:
        case Converter():
            before = board.after.get(element.end, ())
            return (Need(element.start), *element.needs, *(Need(net) for net in before))
        case Path():
            return (*element.needs, *(Need(net) for net in board.after.get(element.end, ())))
        case Signal():
            return element.needs
        case Source():
            return element.needs
    return ()


def make_board(graph: Graph) -> Board:
    """A graph made ready: the rest of each load, and the lowest healthy level of each net."""
    after: dict[str, tuple[str, ...]] = {}
    good: dict[str, tuple[str, ...]] = {}
    for e in graph.elements:
        if isinstance(e, Order):
            after[e.net] = (*after.get(e.net, ()), e.after)
        elif isinstance(e, PowerGood):
            good[e.good] = (*good.get(e.good, ()), e.net)
    gated = tuple(
        i
        for i, e in enumerate(graph.elements)
        if isinstance(e, Converter | Signal)
        or (isinstance(e, Source) and e.needs)
        or (isinstance(e, Path) and (e.needs or e.end in after))
    )
    bare = Board(graph, _meeting(graph), after, good, gated, rests(graph), _draws(graph), {})
    lowest: dict[str, float] = {}
    order: dict[int, int] = {}
    for state in graph.states:
        healthy = Power(bare, state, Change())
        for i in healthy.on:
            order.setdefault(i, len(order))
        for net in graph.nets:
            level = healthy.level(net)
            if level is not None and level.low > SOME:
                lowest[net] = min(level.low, lowest.get(net, level.low))
    # In the order in which a healthy board comes up, one pass is enough for most.
    return replace(bare, gated=tuple(sorted(gated, key=lambda i: order.get(i, len(order)))), lowest=lowest)


def _draws(graph: Graph) -> dict[int, Interval]:
    """What each path carries less what the paths from its end on carry: so none is counted twice."""
    paths = [(i, e, e.load) for i, e in enumerate(graph.elements) if isinstance(e, Path)]
    found = {}
    for i, path, load in paths:
        if load is not None:
            on = fsum(other.high for _, e, other in paths if other is not None and e.start == path.end)
            found[i] = Interval(min(load.low, max(load.high - on, 0.0)), max(load.high - on, 0.0))
    return found


def _meeting(graph: Graph) -> dict[str, tuple[int, ...]]:
    """The elements that carry current, by the nets that they meet at."""
    found: dict[str, tuple[int, ...]] = {}
    for i, e in enumerate(graph.elements):
        nets: tuple[str, ...] = ()
        match e:
            case Path():
                nets = (e.start, e.end)
            case Pull():
                nets = (e.net, e.to)
            case Converter(passes=Interval()):
                nets = (e.end,)
        for net in nets:
            if net != GROUND:
                found[net] = (*found.get(net, ()), i)
    return found
