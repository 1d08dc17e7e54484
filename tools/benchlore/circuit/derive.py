"""The healthy reading of a measurement, from the circuit facts of its net and of the nets above it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from benchlore.book.model import Book, Fact, Family, Measurement, Net, State
from benchlore.circuit.interval import CircuitError, Interval, interval
from benchlore.circuit.junction import BENCH_TEMPERATURE, TEST_CURRENT
from benchlore.circuit.laws import LAWS, Input, Law
from benchlore.circuit.power_tree import facts_in, is_up
from benchlore.circuit.rss import Toleranced, root_sum_square
from benchlore.quantity import Quantity, format_value
from benchlore.vocabulary import FUNCTIONS


@dataclass(frozen=True, slots=True)
class Given:
    """One value that went into a step, as people read it. `net`: the net whose voltage it is, or empty."""

    name: str
    text: str
    net: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One law applied: `filled` is the formula with its numbers, without the result."""

    net: str
    fact: Fact | None
    unit: str
    formula: str
    filled: str
    source: str
    given: tuple[Given, ...]
    value: float
    worst: Interval
    rss: Interval


@dataclass(frozen=True, slots=True)
class Derived:
    """What a measurement reads on a healthy board, in `unit`: the last of its `steps`, the nets above it
    before."""

    steps: tuple[Step, ...]

    @property
    def last(self) -> Step:
        """The step that gives the reading."""
        return self.steps[-1]

    @property
    def unit(self) -> str:
        """Unit of the reading."""
        return self.last.unit

    @property
    def value(self) -> float:
        """The reading at nominal values."""
        return self.last.value

    @property
    def worst(self) -> Interval:
        """Worst case over all tolerances."""
        return self.last.worst

    @property
    def rss(self) -> Interval:
        """Root-sum-square of the tolerances."""
        return self.last.rss

    @property
    def down(self) -> bool:
        """True when the net is not up in this bench state, so that it reads nothing."""
        return self.last.fact is None

    @property
    def formula(self) -> str:
        """The law, its numbers and its result in one line."""
        return f"{self.last.formula} = {self.last.filled} = {format_value(self.value, self.unit)}"


@dataclass(frozen=True, slots=True)
class _Bench:
    """What the bench brings into a reading."""

    meter: Interval
    current: Interval

    def value(self, name: str) -> Interval:
        return {
            "meter": self.meter,
            "test current": self.current,
            "temperature": Interval(*BENCH_TEMPERATURE),
        }[name]


_NO_METER = Interval(math.inf, math.inf)


def derive(book: Book, family: Family, measurement: Measurement, meter: str | None = None) -> Derived | None:
    """The healthy reading of a measurement with a meter (default: the shop's), or None where no fact gives
    it.

    None also where facts lead nowhere, in a ring, or contradict each other; the rules report those. What is
    unplugged does not change a healthy reading; an injected reading is not derived.
    """
    net = family.nets.get(measurement.net)
    state = book.states.get(measurement.state)
    if net is None or state is None or measurement.inject is not None:
        return None
    return reading(book, family, net, measurement.mode, state, meter)


def reading(
    book: Book, family: Family, net: Net, mode: str, state: State, meter: str | None = None
) -> Derived | None:
    """The healthy reading of a net in a mode and a bench state; see `derive`."""
    try:
        steps = _steps(family, net, mode, state, _bench_of(book, meter), ())
    except CircuitError:
        return None
    return Derived(steps) if steps else None


def _bench_of(book: Book, meter: str | None = None) -> _Bench:
    """The load and the test current of a meter (default: the shop's)."""
    chosen = book.meters.get(meter or book.shop.default_meter)
    if chosen is None:
        return _Bench(_NO_METER, Interval(*TEST_CURRENT))
    return _Bench(interval(chosen.input_resistance), interval(chosen.test_current))


def _steps(
    family: Family, net: Net, mode: str, state: State, bench: _Bench, seen: tuple[str, ...]
) -> tuple[Step, ...]:
    facts = facts_in(net, mode, state.id)
    if FUNCTIONS[mode].power == "on" and not is_up(family, net, state):
        any_fact = any(f.fact in LAWS and LAWS[f.fact].mode == mode for f in net.set_by)
        return (_down(net, mode, state),) if any_fact and state.sources else ()
    if net.id in seen:
        raise CircuitError(f"{net.id} feeds itself")
    found = [s for fact in facts if (s := _apply(family, net, fact, state, bench, (*seen, net.id)))]
    if len(found) == 1:
        return found[0]
    if found and all(fact.fact == "diode" for fact in facts):
        return _highest(found)
    return ()


def _down(net: Net, mode: str, state: State) -> Step:
    unit = FUNCTIONS[mode].unit or ""
    nothing = Interval(0.0, 0.0)
    text = f"{net.id} is not up in the bench state '{state.title}'"
    return Step(net.id, None, unit, text, "", "the net's bench states", (), 0.0, nothing, nothing)


def _highest(found: list[tuple[Step, ...]]) -> tuple[Step, ...]:
    """Diodes that meet on one net: the one with the higher source carries it."""
    best = max(found, key=lambda steps: steps[-1].value)
    last = best[-1]
    worst = Interval(max(s[-1].worst.low for s in found), max(s[-1].worst.high for s in found))
    return (*best[:-1], replace(last, worst=worst))


def _apply(
    family: Family, net: Net, fact: Fact, state: State, bench: _Bench, seen: tuple[str, ...]
) -> tuple[Step, ...]:
    law = LAWS[fact.fact]
    above: tuple[Step, ...] = ()
    worst: list[Interval] = []
    spread: list[Toleranced] = []
    given: list[Given] = []
    shown: dict[str, str] = {}
    for item in law.inputs:
        if item.place == "net":
            name = fact.names.get(item.name, "")
            other = family.nets.get(name)
            upstream = (
                _steps(family, other, "dc-volts", state, _Bench(_NO_METER, bench.current), seen)
                if other
                else ()
            )
            if not upstream:
                return ()
            above += upstream
            last = upstream[-1]
            worst.append(last.worst)
            spread.append(Toleranced(last.value, last.rss.half_width))
            shown[item.name] = format_value(last.value, "V")
            given.append(Given(name, _range(last.worst, "V"), name))
            continue
        value = _input(item, fact, bench)
        if value is None:
            return ()
        limits, middle, text = value
        worst.append(limits)
        spread.append(Toleranced(middle, limits.half_width))
        left_out = item.default is not None and item.name not in fact.quantities
        shown[item.name] = "" if left_out else f"{item.lead}{_middle(middle, item.unit)}"
        if not left_out:
            given.append(Given(item.name, text))
    return (*above, _step(net, fact, law, shown, given, worst, spread))


def _input(item: Input, fact: Fact, bench: _Bench) -> tuple[Interval, float, str] | None:
    if item.place == "bench":
        limits = bench.value(item.name)
        return limits, limits.middle, _range(limits, item.unit)
    quantity: Quantity | None = fact.quantities.get(item.name)
    if quantity is None:
        return (
            None if item.default is None else (Interval(item.default, item.default), item.default, "nothing")
        )
    if quantity.unit != item.unit:
        return None
    if item.unit == "%":
        share = quantity.high / 100
        return Interval(1 - share, 1 + share), 1.0, f"± {quantity.text}"
    return interval(quantity), quantity.middle, quantity.text


def _step(
    net: Net,
    fact: Fact,
    law: Law,
    shown: dict[str, str],
    given: list[Given],
    worst: list[Interval],
    spread: list[Toleranced],
) -> Step:
    try:
        limits = law.worst(*worst)
        likely = root_sum_square(law.value, spread)
    except (ZeroDivisionError, OverflowError, ValueError) as error:
        raise CircuitError(str(error)) from error
    rss = likely.interval if math.isfinite(likely.tolerance) else limits
    return Step(
        net.id,
        fact,
        law.unit,
        law.formula,
        law.filled.format(**shown),
        law.source,
        tuple(given),
        likely.value,
        limits,
        rss,
    )


def _middle(value: float, unit: str) -> str:
    """A value for people, without zeros that say nothing: `10 Mohm`, `3.425 V`."""
    if not unit:
        return f"{value:g}"
    number, space, shown = format_value(value, unit).partition("\u00a0")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number}{space}{shown}"


def _range(limits: Interval, unit: str) -> str:
    low, high = _middle(limits.low, unit), _middle(limits.high, unit)
    return low if low == high else f"{low} to {high}"
