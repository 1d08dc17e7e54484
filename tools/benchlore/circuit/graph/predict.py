"""What a fault makes every measurement read: the same answer for checks, ranking, plan, pages and study.

`Predictor` keeps the healthy board and every board that it settled, so that the faults of a family cost
little more than the faults that differ. What no element speaks of is not known; what a fault does not touch
reads healthy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from benchlore.circuit.graph.change import (
    ELECTROLYTIC,
    NONE,
    Change,
    Fault,
    absent,
    change_of,
    nets_of,
    under_power,
    without,
)
from benchlore.circuit.graph.elements import Delay, Draw, Graph, Order, Path, Signal, is_there
from benchlore.circuit.graph.explain import explain, said
from benchlore.circuit.graph.power import DEAD, Power, Setup, make_board
from benchlore.circuit.graph.unpowered import Conducting, Probe, Unpowered
from benchlore.circuit.interval import CircuitError, Interval
from benchlore.circuit.junction import BENCH_TEMPERATURE, TEST_CURRENT
from benchlore.circuit.rc import delay

ALIKE = 1e-6  # relative: readings that differ by less are one
THROUGH = frozenset({"fuse", "mosfet"})  # the kinds of part that let ripple through as it is
IDLE = 0.1  # of the least healthy current: what a board takes at most on which no rail that it feeds is up
RIPPLES = ("ac-ripple", "ripple")  # as a meter and as a scope reads it
RIPPLE = 10.0  # times the most of a healthy net: what one reads up to that nothing smooths (common practice)
_ZERO = Interval(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing to read: a net against ground or against a net `to`, with a meter function, in a setup.

    `beside`: the net whose reading it is compared with; what is read is then percent above that. `most`: the
    ripple (V) up to which a record calls it healthy.
    """

    net: str
    function: str
    setup: Setup
    to: str = ""
    beside: str = ""
    most: float = math.inf

    @property
    def both(self) -> tuple[Ask, Ask]:
        """The two readings that are compared, each by itself."""
        return replace(self, beside=""), replace(self, net=self.beside, beside="")


@dataclass(frozen=True, slots=True)
class Meter:
    """What a meter brings along: input resistance (ohm), test current (A), volts with its leads open."""

    ohms: Interval = Interval(math.inf, math.inf)  # noqa: RUF009
    current: Interval = Interval(*TEST_CURRENT)  # noqa: RUF009
    open_volts: float = 3.0


@dataclass(frozen=True, slots=True)
class Prediction:
    """What one reading is with a fault, in its base unit.

    `healthy`: the same as without the fault, whatever that is. Else `reading`, or None where it is not known;
    infinite means over the range. `steps`: why, from the fault on.
    """

    reading: Interval | None
    healthy: bool
    steps: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """True where the graph says what is read."""
        return self.healthy or self.reading is not None


@dataclass(frozen=True, slots=True)
class _Case:
    """A fault in a setup: what it changes, and the boards without power and with it (None: no source is in).

    `plain` is the same setup without the fault.
    """

    change: Change
    unpowered: Unpowered
    power: Power | None
    plain: Power | None


class Predictor:
    """Predicts for one graph and one meter, and remembers the boards that it settled."""

    def __init__(self, graph: Graph, meter: Meter | None = None) -> None:
        """Settle the healthy board."""
        self.graph, self.meter = graph, meter or Meter()
        self.board = make_board(graph)
        self.conducting = Conducting(graph, dict(self.board.rest))
        self._powers: dict[tuple[str, Change], Power] = {}
        self._asked: dict[tuple[str, Change], Power] = {}  # by all that changes, `_powers` by what counts
        self._unpowered: dict[Change, Unpowered] = {}
        self._outs: dict[Setup, tuple[frozenset[str], Change]] = {}
        self._healthy: dict[Ask, Prediction] = {}
        self._predicted: dict[Fault, dict[Ask, Prediction]] = {}
        self._probe = Probe(self.meter.current, self.meter.open_volts, Interval(*BENCH_TEMPERATURE))

    def healthy(self, ask: Ask) -> Interval | None:
        """What a healthy board reads; None where the graph does not say."""
        return self._plain(ask).reading

    def _plain(self, ask: Ask) -> Prediction:
        """What is read where nothing has changed."""
        if ask not in self._healthy:
            self._healthy[ask] = Prediction(self._read(ask, self._case(ask.setup, NONE)), healthy=True)
        return self._healthy[ask]

    def predict(self, asks: Iterable[Ask], fault: Fault, *, words: bool = True) -> dict[Ask, Prediction]:
        """What each reading is with the fault; without `words` the steps are left out."""
        cases: dict[Setup, _Case] = {}
        known = self._predicted.setdefault(fault, {})
        found: dict[Ask, Prediction] = {}
        for ask in asks:
            one = known.get(ask)
            if one is None:
                one = known[ask] = self._predict(ask, self._of(fault, ask.setup, cases))
            if words and not one.healthy:
                one = replace(one, steps=self._steps(ask, self._of(fault, ask.setup, cases), fault))
            found[ask] = one
        return found

    def _of(self, fault: Fault, setup: Setup, cases: dict[Setup, _Case]) -> _Case:
        """The case of a fault in a setup; `cases` are those that are known."""
        if setup not in cases:
            cases[setup] = self._case(setup, self._change(fault, setup))
        return cases[setup]

    def power(self, setup: Setup, fault: Fault | None = None) -> Power:
        """The settled board in a setup, with a fault or without."""
        change = self._out(setup)[1]
        return self._power(setup.state, change | self._change(fault, setup) if fault else change)

    def _out(self, setup: Setup) -> tuple[frozenset[str], Change]:
        """What is unplugged, and what that changes."""
        if setup not in self._outs:
            out = setup.unplugged | absent(self.graph, setup.state)
            self._outs[setup] = (out, without(self.graph, out))
        return self._outs[setup]

    def _change(self, fault: Fault, setup: Setup) -> Change:
        return change_of(self.graph, fault, self._out(setup)[0], setup.conditions)

    def _case(self, setup: Setup, change: Change) -> _Case:
        if change not in self._unpowered:
            self._unpowered[change] = Unpowered(self.conducting, change)
        power = plain = None
        if self.graph.states.get(setup.state):
            out = self._out(setup)[1]
            plain = self._power(setup.state, out)
            power = plain if change == NONE else self._power(setup.state, out | change)
        return _Case(change, self._unpowered[change], power, plain)

    def _power(self, state: str, change: Change) -> Power:
        asked = (state, change)
        if asked not in self._asked:
            key = (state, under_power(self.graph, change, state))
            if key not in self._powers:
                self._powers[key] = Power(self.board, *key)
            self._asked[asked] = self._powers[key]
        return self._asked[asked]

    def _predict(self, ask: Ask, case: _Case) -> Prediction:
        plain = self._plain(ask)
        if case.change == NONE or self._untouched(ask, case):
            return plain
        reading, healthy = self._read(ask, case), plain.reading
        if reading is not None and healthy is not None and _alike(reading, healthy):
            return plain
        return Prediction(reading, healthy=False)

    def _steps(self, ask: Ask, case: _Case, fault: Fault) -> tuple[str, ...]:
        if case.power is None or case.plain is None:
            return (said(fault), f"{ask.net} reads all that conducts from it without power, side by side")
        if ask.function in RIPPLES and self._unsmoothed(ask.net, case):
            return (said(fault), f"nothing smooths {ask.net}")
        return explain(self.graph, case.plain, case.power, fault, ask.net)

    def _untouched(self, ask: Ask, case: _Case) -> bool:
        """True where nothing that sets a reading has changed, whether or not the reading is known."""
        if ask.beside:
            return all(self._untouched(one, case) for one in ask.both)
        match ask.function:
            case "ohms" | "junction":
                return not case.unpowered.touched(ask.net)
            case "dc-volts":
                return self._level_stands(ask, case)
            case "ac-ripple" | "ripple" | "celsius":
                return self._calm(ask, case) and self._level_stands(ask, case)
            case "hertz" | "period" | "delay" | "seconds" | "duty" | "amplitude":
                return self.healthy(ask) is None and self._calm(ask, case) and self._driven(ask, case)
        return False

    def _calm(self, ask: Ask, case: _Case) -> bool:
        """True for a net that the fault neither touches nor leaves without what smooths or times it."""
        return ask.net not in case.change.slow and not _near(ask.net, case.change)

    def _unsmoothed(self, net: str, case: _Case) -> bool:
        """True for a net that is up and has no electrolytic that smooths it: all of its own have dried out or
        are open, or those of the one net on which it hangs, by fuses and MOSFETs that conduct. A filter, a
        diode or a whole electrolytic between leaves less ripple, and nobody knows how much."""
        power, seen = case.power, set[str]()
        if power is None or not case.change.dry or power.is_up(net) is not True:
            return False
        while net not in seen:
            seen.add(net)
            if own := {p.id for p in self.graph.parts.values() if p.kind == ELECTROLYTIC and net in p.nets}:
                return own <= case.change.dry
            into = ((i, e) for i, e in enumerate(self.graph.elements) if isinstance(e, Path) and e.end == net)
            feeds = [e for i, e in into if power.carries(i)]
            kinds = {self.graph.parts[part].kind for e in feeds for part in e.parts}
            if net in power.holder or len(feeds) != 1 or not kinds or not kinds <= THROUGH:
                return False
            net = feeds[0].start
        return False

    def _driven(self, ask: Ask, case: _Case) -> bool:
        """True where whatever drives a net still does: the parts that meet it are whole, no value that may
        time them is a wrong one, and all that they meet or wait for is at its level."""
        signals = [e for e in self.graph.elements if isinstance(e, Signal) and e.net == ask.net]
        named = {name for e in signals for name in (e.by, *e.parts)}
        parts = [part for part in self.graph.parts.values() if ask.net in part.nets or part.id in named]
        if not {part.id for part in parts}.isdisjoint(case.change.silent | case.change.mute):
            return False
        nets = {ask.net, *(net for part in parts for net in part.nets)}
        nets |= {need.net for e in signals for need in e.needs}
        if any(not nets.isdisjoint(nets_of(self.graph.elements[i])) for i, _ in case.change.ohms):
            return False
        if not case.change.slow.isdisjoint(nets - self.graph.rails):
            return False
        return all(self._level_stands(replace(ask, net=net), case) for net in sorted(nets))

    def _level_stands(self, ask: Ask, case: _Case) -> bool:
        """True where the net is at its level still, or where nothing has touched a net of unknown level."""
        if case.power is None or case.plain is None:
            return True
        before, after = case.plain.level(ask.net), case.power.level(ask.net)
        if before is not None and after is not None:
            return _alike(before, after)
        same = before is after and case.plain.holder.get(ask.net) == case.power.holder.get(ask.net)
        return same and not _near(ask.net, case.change)

    def _compared(self, ask: Ask, case: _Case) -> Interval | None:
        """How far one reading lies above the other (%). Of two healthy ones their tolerances say too little:
        they are of one make."""
        one, other = (self._read(each, case) for each in ask.both)
        if case.change == NONE or one is None or other is None or other.low <= 0 or math.isinf(other.high):
            return None
        return Interval(100 * (one.low / other.high - 1), 100 * (one.high / other.low - 1))

    def _read(self, ask: Ask, case: _Case) -> Interval | None:
        if ask.beside:
            return self._compared(ask, case)
        match ask.function:
            case "ohms":
                return None if ask.to else case.unpowered.ohms(ask.net)
            case "junction":
                return None if ask.to else case.unpowered.diode_mode(ask.net, self._probe)
            case "dc-volts":
                return self._volts(ask, case.power) if case.power else _ZERO
            case "hertz":
                return self._hertz(ask, case.power) if case.power else None
            case "period":
                hertz = self._hertz(ask, case.power) if case.power else None
                return Interval(1 / hertz.high, 1 / hertz.low) if hertz and hertz.low > 0 else None
            case "delay":
                return self._follows(ask, case.power) if case.power else None
            case "amps":
                return self._amps(ask, case.power, case.plain) if case.power and case.plain else None
            case "ac-ripple" | "ripple":
                dry = math.isfinite(ask.most) and self._unsmoothed(ask.net, case)
                return Interval(ask.most, RIPPLE * ask.most) if dry else None
            case "seconds":
                return self._seconds(ask, case.power, case.change) if case.power else None
        return None

    def _volts(self, ask: Ask, power: Power) -> Interval | None:
        level = power.level(ask.net, self.meter.ohms)
        if not ask.to or level is None:
            return level
        other = power.level(ask.to)
        return None if other is None else level - other

    def _hertz(self, ask: Ask, power: Power) -> Interval | None:
        for i, e in enumerate(self.graph.elements):
            if isinstance(e, Signal) and e.net == ask.net and e.hertz is not None:
                if i in power.cut or e.by in power.change.silent:
                    return _ZERO
                up = [power.meets(need) for need in e.needs]
                return _ZERO if False in up else None if None in up else e.hertz
        return None

    def _amps(self, ask: Ask, power: Power, healthy: Power) -> Interval | None:
        """The draw stands while all rails stand and no other, and is next to nothing while none is up but the
        source's.

        With two sources in, one charges the other, by more than the levels of nets.
        """
        draws = (e for e in self.graph.elements if isinstance(e, Draw) and e.net == ask.net)
        draw = next((e for e in draws if is_there(e, power.state)), None)
        if draw is None:
            return None
        if power is healthy:
            return draw.amps
        if len(self.graph.states[power.state]) > 1:
            return draw.amps if self._aside(power, healthy) else None
        rails = [net for net in self.graph.rails if net != ask.net]
        if any(power.is_up(net) and healthy.is_up(net) is False for net in rails):
            return None  # what hangs on a rail that should be down takes its own
        others = [net for net in rails if healthy.is_up(net)]
        up = [power.is_up(net) for net in others]
        if all(up):
            return self._drawn(draw, power) if others or not power.change.grounds else None
        holders = {power.holder.get(net) for net in others if power.is_up(net) is not False}
        made = [net for net in others if power.is_up(net) is not False and healthy.holder.get(net) in holders]
        return None if made else Interval(0.0, IDLE * draw.amps.low)

    def _aside(self, power: Power, healthy: Power) -> bool:
        """True where a fault leaves the charge alone: all rails are up that were, and every line stands."""
        change = power.change
        if change.grounds or change.joins or change.stuck or change.silent or change.mute or change.still:
            return False
        for net in self.graph.nets:
            before, after = healthy.level(net), power.level(net)
            if net in self.graph.rails:
                if healthy.is_up(net) is not power.is_up(net):
                    return False
            elif before is None or after is None:
                if before is not after:
                    return False
            elif not _alike(before, after):
                return False
        return True

    def _drawn(self, draw: Draw, power: Power) -> Interval | None:
        """What a board takes on which all stands: its own, and what leaks from its nets: the same current by
        paths, the same power by a converter."""
        supply, total = power.level(draw.net), draw.amps
        for ground in sorted(power.change.grounds, key=lambda g: g.net):
            level = power.level(ground.net)
            if ground.short or level is None or supply is None or supply.low <= 0:
                return None
            ohms = Interval(max(ground.ohms.low, DEAD.high), max(ground.ohms.high, DEAD.high))
            by_paths = level.low / ohms.high, level.high / ohms.low
            low, high = by_paths[0] * level.low / supply.high, by_paths[1] * level.high / supply.low
            total += Interval(min(low, by_paths[0]), max(high, by_paths[1]))
        return None if power.change.joins else total

    def _follows(self, ask: Ask, power: Power) -> Interval | None:
        """The time by which a net follows the one that it waits for; None where it does not start, or where
        it waits for several."""
        orders = [e for e in self.graph.elements if isinstance(e, Order) and e.net == ask.net]
        if len(orders) != 1 or power.is_up(ask.net) is not True:
            return None
        return orders[0].within

    def _seconds(self, ask: Ask, power: Power, change: Change) -> Interval | None:
        for e in self.graph.elements:
            if isinstance(e, Delay) and e.net == ask.net:
                supply = power.level(e.start)
                if supply is None or ask.net in change.slow or _near(ask.net, change):
                    return None
                try:
                    return delay(e.ohms, e.farads, e.threshold, supply)
                except CircuitError:
                    return None
        return None


def predictor_for(graph: Graph, meter: Meter | None = None) -> Predictor:
    """One for a graph and a meter: whoever asks of an equal graph is told what it knows. Raises what
    `Predictor` raises.
    """
    return _kept(_Equal(graph, meter or Meter()))


@dataclass(frozen=True, slots=True)
class _Equal:
    """A graph and a meter as a key: a graph holds mappings, so its hash is that of its names."""

    graph: Graph
    meter: Meter

    def __hash__(self) -> int:
        return hash((self.graph.family, self.graph.nets, len(self.graph.elements), self.meter))


@lru_cache(maxsize=8)
def _kept(key: _Equal) -> Predictor:
    return Predictor(key.graph, key.meter)


def predict(
    graph: Graph, asks: Mapping[str, Ask], fault: Fault, meter: Meter | None = None
) -> dict[str, Prediction]:
    """What a fault makes each measurement read, by its id. For many faults of a graph, keep a `Predictor`."""
    found = Predictor(graph, meter).predict(asks.values(), fault)
    return {name: found[ask] for name, ask in asks.items()}


def _near(net: str, change: Change) -> bool:
    """True for a net that a fault touches."""
    joined = any(net in pair for pair in change.joins)
    return joined or any(g.net == net for g in change.grounds) or any(n == net for n, _ in change.stuck)


def _alike(a: Interval, b: Interval) -> bool:
    return all(
        x == y or (math.isfinite(x - y) and abs(x - y) <= ALIKE * max(abs(x), abs(y)))
        for x, y in ((a.low, b.low), (a.high, b.high))
    )
