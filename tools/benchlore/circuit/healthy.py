"""What a healthy board reads, and how that comes about: the prediction without a fault, with its laws.

The range is that of the graph (`graph/predict.py`). The steps name the law of each element from the source
down, with its numbers; where several elements set a net together, one step says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from benchlore.book import elements as written
from benchlore.book.model import Book, Family, Measurement, Net
from benchlore.book.model import Meter as BookMeter
from benchlore.book.same import Same
from benchlore.circuit.graph.elements import Delay, Path, Pull, Signal, is_there
from benchlore.circuit.graph.family import ask_of, graph_of, probes_of
from benchlore.circuit.graph.network import GROUND
from benchlore.circuit.graph.power import Power, Setup
from benchlore.circuit.graph.predict import Ask, Meter, Predictor, predictor_for
from benchlore.circuit.interval import CircuitError, Interval, interval
from benchlore.circuit.junction import BENCH_TEMPERATURE
from benchlore.circuit.laws import LAWS, Input, Law
from benchlore.circuit.power_tree import ring, waits_for_its_good
from benchlore.circuit.rss import Toleranced, root_sum_square
from benchlore.quantity import Quantity, format_value
from benchlore.vocabulary import FUNCTIONS


@dataclass(frozen=True, slots=True)
class Given:
    """One value that went into a step, as people read it. `net`: the net whose voltage it is, or empty."""

    name: str
    text: str
    net: str = ""
    quantity: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One law applied: `filled` is the formula with its numbers, without the result.

    `law` is None where none gives the reading: the net is not up, or several elements set it together.
    """

    net: str
    law: Law | None
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
    before. `down`: the net is not up in this bench state, so that it reads nothing."""

    steps: tuple[Step, ...]
    down: bool = False

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
    def formula(self) -> str:
        """The law, its numbers and its result in one line."""
        said = (self.last.formula, self.last.filled, format_value(self.value, self.unit))
        return " = ".join(part for part in said if part)


def range_of(derived: Derived) -> str:
    """Its worst case, from end to end, for people."""
    worst = derived.worst
    return f"{format_value(worst.low, derived.unit)} to {format_value(worst.high, derived.unit)}"


def healthy(book: Book, family: Family, meter: str | None = None) -> Healthy:
    """The healthy board of a family, read with a meter (default: the shop's).

    The last few are remembered, since all pages and rules of a family ask the same one.
    """
    chosen = book.meters.get(meter or book.shop.default_meter)
    return _healthy(Same(family), Same(chosen), Same(book))


@lru_cache(maxsize=8)
def _healthy(family: Same[Family], meter: Same[BookMeter | None], book: Same[Book]) -> Healthy:
    probes = probes_of(meter.record) if meter.record else Meter()
    return Healthy(book.record, family.record, probes)


def derive(book: Book, family: Family, measurement: Measurement, meter: str | None = None) -> Derived | None:
    """The healthy reading of a measurement with a meter (default: the shop's); None where the circuit does
    not say."""
    return healthy(book, family, meter).of(measurement)


class Healthy:
    """The healthy board of one family. Nothing fails on names that lead nowhere or on rings."""

    def __init__(self, book: Book, family: Family, meter: Meter) -> None:
        """Settle it."""
        self.family, self.meter = family, meter
        self.states = {state.id: state for state in family.bench_states}
        self.graph, self.settled = graph_of(book, family), is_sound(family)
        try:
            self.predictor = predictor_for(self.graph, meter)
        except (ValueError, ArithmeticError):
            self.predictor, self.settled = (
                Predictor(replace(self.graph, elements=(), records=()), meter),
                False,
            )

    def of(self, measurement: Measurement) -> Derived | None:
        """What a measurement reads; None where the circuit does not say, where current is injected,
        and where two readings are compared."""
        ask = ask_of(measurement)
        if (
            ask is None
            or ask.beside
            or ask.net not in self.family.nets
            or measurement.state not in self.states
        ):
            return None
        return self._derived(ask)

    def reading(self, net: str, mode: str, state: str) -> Derived | None:
        """What a net reads in a mode and a bench state with all plugged in; None where it is not known."""
        if net not in self.family.nets or state not in self.states:
            return None
        return self._derived(Ask(net, mode, Setup(state)))

    def is_up(self, net: str, state: str) -> bool:
        """True when a healthy board holds the net up in a bench state."""
        if not self.states[state].sources or not self.settled:
            return False
        power = self.predictor.power(Setup(state))
        if net in power.holder and power.fixed[net] is None:
            return True  # something holds it, at a level that is not known
        for i, e in enumerate(self.graph.elements):
            # What is not at a level, but ticks or waits: it is up with what drives it.
            if isinstance(e, Signal) and e.net == net and e.volts is None:
                return power.on.get(i) is True
            if isinstance(e, Delay) and e.net == net:
                return power.is_up(e.start) is True
        return power.is_up(net) is True

    def up_in(self, net: str) -> tuple[str, ...]:
        """The bench states in which a net is up."""
        return tuple(state for state in self.states if self.is_up(net, state))

    def feeders(self, net: str, state: str) -> tuple[str, ...]:
        """The nets that an element of a net takes its level from in a bench state."""
        found = [
            name
            for element in self.family.nets[net].feeding
            if state in (getattr(element, "in_", ()) or (state,))
            for name in written.above(element)
        ]
        return tuple(dict.fromkeys(name for name in found if name in self.family.nets))

    def below(self, dead: frozenset[str], state: str) -> frozenset[str]:
        """The nets that cannot be up in a bench state while the nets `dead` are not: all that feeds them is
        dead."""
        found = set(dead)
        sources = set(self.states[state].sources)
        grew = True
        while grew:
            fresh = {
                name
                for name, net in self.family.nets.items()
                if name not in found
                and not sources & set(net.enters)
                and (above := self.feeders(name, state))
                and all(other in found or not self.is_up(other, state) for other in above)
                and any(other in found for other in above)
            }
            found |= fresh
            grew = bool(fresh)
        return frozenset(found) - dead

    def _derived(self, ask: Ask) -> Derived | None:
        if not self.settled:
            return None
        try:
            worst = self.predictor.healthy(ask)
            if worst is None:
                return None
            powered = FUNCTIONS[ask.function].power == "on"
            if powered and not self.states[ask.setup.state].sources:
                return None
            if powered and ask.function in ("dc-volts", "hertz") and not self.is_up(ask.net, ask.setup.state):
                return Derived((self._down(ask, worst),), down=True)
            steps = self._steps(ask, worst)
        except (ValueError, ArithmeticError):
            return None
        return Derived(steps) if steps else None

    def _down(self, ask: Ask, worst: Interval) -> Step:
        title = self.states[ask.setup.state].title
        text = f"{ask.net} is not up in the bench state '{title}'"
        unit = FUNCTIONS[ask.function].unit or ""
        return Step(ask.net, None, unit, text, "", "what feeds the net", (), worst.middle, worst, worst)

    def _steps(self, ask: Ask, worst: Interval) -> tuple[Step, ...]:
        net = self.family.nets[ask.net]
        match ask.function:
            case "dc-volts":
                return self._volts(net, self.predictor.power(ask.setup), self.meter.ohms, worst, ())
            case "ohms" if net.load:
                return (self._step(net, "resistance", {"ohms": net.load[0].ohms}, worst),)
            case "junction" if net.junction:
                return (self._step(net, "junction", self._junction(net), worst),)
            case "hertz" | "period" as law:
                clock = next((s for s in net.signal if s.hertz), None)
                name = "clock" if law == "hertz" else law
                return (self._step(net, name, {"frequency": clock.hertz}, worst),) if clock else ()
            case "delay" if len(net.after) == 1:
                return (self._step(net, "start-order", {"within": net.after[0].within}, worst),)
            case "amps" if ask.setup.state in net.draw:
                return (self._step(net, "draw", {"current": net.draw[ask.setup.state]}, worst),)
            case "seconds" if net.delay:
                return self._delay(net, net.delay[0], self.predictor.power(ask.setup), worst)
        return ()

    def _junction(self, net: Net) -> Mapping[str, Quantity | None]:
        beside = [pull.ohms for pull in net.pull if pull.to == written.GROUND]
        return {"drop": net.junction[0].drop, "parallel": beside[0] if len(beside) == 1 else None}

    def _delay(self, net: Net, delay: written.Delay, power: Power, worst: Interval) -> tuple[Step, ...]:
        above = self._above(delay.from_, power, (net.id,))
        values = {"resistor": delay.ohms, "capacitor": delay.farads, "threshold": delay.threshold}
        return (*above, self._step(net, "rc-delay", values, worst, above[-1])) if above else ()

    def _above(self, name: str, power: Power, seen: tuple[str, ...]) -> tuple[Step, ...]:
        """The steps of a net that another takes its level from; a meter there would load nothing."""
        worst = power.level(name)
        if name in seen or worst is None:
            return ()
        return self._volts(self.family.nets[name], power, None, worst, seen)

    def _volts(
        self, net: Net, power: Power, meter: Interval | None, worst: Interval, seen: tuple[str, ...]
    ) -> tuple[Step, ...]:
        holder = power.holder.get(net.id)
        if holder is not None:
            law, values = _held(self.graph.records[holder], net)
            return (self._step(net, law, values, worst),) if law else ()
        seen = (*seen, net.id)
        paths, pulls = self._meeting(net, power)
        ups = [pull for pull in pulls if pull.to != written.GROUND]
        downs = [pull for pull in pulls if pull.to == written.GROUND]
        if len(paths) >= 1 and not ups:
            fed = [(path, self._above(path.from_, power, seen)) for path in paths]
            best = max((one for one in fed if one[1]), key=lambda one: one[1][-1].value, default=None)
            if best is None:
                return ()
            law, values = _along(best[0])
            return (*best[1], self._step(net, law, values, worst, best[1][-1]))
        if len(ups) == 1 and not paths and len(downs) <= 1:
            above = self._above(ups[0].to, power, seen)
            if not above:
                return ()
            if not downs:
                step = self._step(net, "pull-up", {"resistor": ups[0].ohms}, worst, above[-1], meter)
            else:
                values = {"top": ups[0].ohms, "bottom": downs[0].ohms}
                step = self._step(net, "divider", values, worst, above[-1], meter)
            return (*above, step)
        return (self._together(net, [*paths, *pulls], worst),) if paths or pulls else ()

    def _meeting(self, net: Net, power: Power) -> tuple[list[written.Path], list[written.Pull]]:
        """The paths that carry to a net and the pulls on it, in the bench state of `power`."""
        paths, pulls = [], []
        for i, e in enumerate(self.graph.elements):
            record = self.graph.records[i]
            if i in power.cut or not is_there(e, power.state):
                continue
            if isinstance(e, Path) and isinstance(record, written.Path) and e.end == net.id:
                carries = not e.needs and e.end not in power.board.after
                if (carries or power.on.get(i) is True) and power.is_up(e.start):
                    paths.append(record)
            elif (
                isinstance(e, Pull)
                and isinstance(record, written.Pull)
                and e.net == net.id
                and (e.to == GROUND or power.is_up(e.to))
            ):
                pulls.append(record)
        return paths, pulls

    def _together(self, net: Net, elements: Iterable[written.Path | written.Pull], worst: Interval) -> Step:
        """What several elements make of a net at once: no law of its own, but a balance of currents."""
        given = tuple(
            Given(_other(e), _beside(e), _other(e) if _other(e) in self.family.nets else "") for e in elements
        )
        formula = "the currents into the net add to zero"
        return Step(net.id, None, "V", formula, "", "Kirchhoff's laws", given, worst.middle, worst, worst)

    def _step(
        self,
        net: Net,
        kind: str,
        values: Mapping[str, Any],
        worst: Interval,
        above: Step | None = None,
        meter: Interval | None = None,
    ) -> Step:
        law = LAWS[kind]
        spread: list[Toleranced] = []
        given: list[Given] = []
        shown: dict[str, str] = {}
        for item in law.inputs:
            if item.place == "net" and above is not None:
                spread.append(Toleranced(above.value, above.rss.half_width))
                shown[item.name] = format_value(above.value, "V")
                given.append(Given(above.net, _range(above.worst, "V"), above.net))
                continue
            limits, middle, one = self._input(item, values.get(item.name), meter)
            spread.append(Toleranced(middle, limits.half_width))
            shown[item.name] = f"{item.lead}{_middle(middle, item.unit)}" if one else ""
            given += [one] if one else []
        filled = law.filled.format(**shown)
        try:
            likely = root_sum_square(law.value, spread)
        except (ZeroDivisionError, OverflowError, ValueError) as error:
            raise CircuitError(str(error)) from error
        rss = likely.interval if math.isfinite(likely.tolerance) else worst
        value = likely.value
        return Step(net.id, law, law.unit, law.formula, filled, law.source, tuple(given), value, worst, rss)

    def _input(self, item: Input, value: Any, meter: Interval | None) -> tuple[Interval, float, Given | None]:
        if item.place == "bench":
            limits = self._bench(item.name, meter)
            return limits, limits.middle, Given(item.name, _range(limits, item.unit))
        if value is None:
            stands = math.nan if item.default is None else item.default
            return Interval(stands, stands), stands, None
        if isinstance(value, Quantity):
            return interval(value), value.middle, Given(item.name, value.text, quantity=value)
        if item.unit == "%":
            share = value / 100
            return Interval(1 - share, 1 + share), 1.0, Given(item.name, f"± {value:g}%")
        return Interval(value, value), value, Given(item.name, f"{value:g}")

    def _bench(self, name: str, meter: Interval | None) -> Interval:
        match name:
            case "meter":
                return meter or Interval(math.inf, math.inf)
            case "test current":
                return self.meter.current
        return Interval(*BENCH_TEMPERATURE)


def is_sound(family: Family) -> bool:
    """False where a name of the circuit leads nowhere, or a value is none that a board can have.

    The rules report each; nothing is worked out from the rest until it is mended, for it would mislead.
    """
    return _is_sound(Same(family))


@lru_cache(maxsize=4)
def _is_sound(of_family: Same[Family]) -> bool:
    family = of_family.record
    sources = {source for state in family.bench_states for source in state.sources}
    for net in family.nets.values():
        if ring(family, net) or waits_for_its_good(family, net):
            return False
        for element in net.elements:
            known = {"net": family.nets, "part": family.parts}
            values = [(unit, value) for _, unit, value in written.quantities_of(element)]
            if not (
                all(name in known[kind] for kind, _, name in written.names_of(element))
                and all(state in family.states for state in getattr(element, "in_", ()))
                and all(math.isfinite(value.low) and math.isfinite(value.high) for _, value in values)
                and all(value.unit == unit and (unit != "ohm" or value.low > 0) for unit, value in values)
                and (not isinstance(element, written.Source) or element.built_in or element.from_ in sources)
            ):
                return False
    return True


def _held(record: written.Element | None, net: Net) -> tuple[str, Mapping[str, Any]]:
    """The law of what holds a net at its level, and its values by input; no law where none is stated."""
    match record:
        case written.Source(volts=Quantity() as volts) | written.Signal(volts=Quantity() as volts):
            return "supply", {"volts": volts}
        case written.Source(each=Quantity() as each):
            return "cells", {"count": record.cells or 1, "each": each}
        case written.Converter(volts=Quantity() as volts):
            return "supply", {"volts": volts}
        case written.Converter(reference=Quantity() as reference) if record.top and record.bottom:
            values = {"reference": reference, "top": record.top.ohms, "bottom": record.bottom.ohms}
            return "feedback-divider", values
        case written.Converter(step=Quantity() as step) if record.code is not None:
            return "programmed", {"step": step, "code": record.code, "accuracy": record.accuracy or 0.0}
    # A bare nominal says where a net stands, not how far it may stray: no range follows from it.
    stated = net.nominal
    return ("supply", {"volts": stated}) if stated and stated.low < stated.high else ("", {})


def _along(path: written.Path) -> tuple[str, Mapping[str, Any]]:
    """The law of a path, and its values by input."""
    if path.drop is not None:
        return "diode", {"drop": path.drop}
    return "switched", {"resistance": path.ohms or _NO_OHMS, "load": path.load or _NO_LOAD}


_NO_OHMS = Quantity("0 ohm", "ohm", 0.0, 0.0, 0.0)
_NO_LOAD = Quantity("0 A", "A", 0.0, 0.0, 0.0)


def _beside(element: written.Path | written.Pull) -> str:
    name = _other(element)
    return f"{element.ohms.text} to {name}" if element.ohms else name


def _other(element: written.Path | written.Pull) -> str:
    return element.from_ if isinstance(element, written.Path) else element.to


def _middle(value: float, unit: str) -> str:
    """A value for people, without zeros that say nothing: `10 Mohm`, `3.425 V`."""
    if not unit or unit == "%":
        return f"{value:g}"
    number, space, shown = format_value(value, unit).partition("\u00a0")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number}{space}{shown}"


def _range(limits: Interval, unit: str) -> str:
    low, high = _middle(limits.low, unit), _middle(limits.high, unit)
    return low if low == high else f"{low} to {high}"
