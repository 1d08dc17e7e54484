"""What the circuit adds to the pages: the working and the removal order of a net, the power tree of a
family.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from urllib.parse import quote

from benchlore.book import links
from benchlore.book.elements import GROUND, Element, Junction, Load, Signal, above, parts_of
from benchlore.book.model import Book, Family, Measurement, Net, State
from benchlore.circuit import Derived, Step, derive
from benchlore.circuit.bus import (
    I2C,
    SMART_BATTERY_ADDRESS,
    SMART_CHARGER_ADDRESS,
    SMBUS_CLOCK,
    SMBUS_TIMEOUT,
    STANDARDS,
    levels,
    pull_up_window_of,
)
from benchlore.circuit.cell import CUT_OFF, FULL, NOMINAL
from benchlore.circuit.healthy import healthy
from benchlore.circuit.injection import ceiling
from benchlore.circuit.interval import Interval
from benchlore.circuit.laws import LAWS
from benchlore.circuit.marking import resistor_code
from benchlore.circuit.power_tree import power_tree
from benchlore.circuit.usb_c import ADVERTS, VBUS_OFF, VBUS_ON
from benchlore.diagnosis.removal import Candidate, removal_order
from benchlore.quantity import format_value
from benchlore.site import words
from benchlore.site.drawings import power_tree as tree_drawing
from benchlore.site.page import Named
from benchlore.site.sections.section import Section
from benchlore.vocabulary import FAULT_MODES, FUNCTIONS

STYLES = ("assets/css/circuit.css",)
TREE = "power-tree"
# The readings that the circuit can give, in the order in which a page tells them.
_MODES = tuple(dict.fromkeys(law.mode for law in LAWS.values()))
# What taking a part off a board can do.
REMOVAL_HAZARDS = ("lithium-pack", "burn", "fumes", "static")


@dataclass(frozen=True, slots=True)
class Working:
    """One reading that the circuit gives: the meter function, the bench states, how it comes about."""

    mode: str
    states: tuple[State, ...]
    derived: Derived

    @property
    def worst(self) -> str:
        """The worst case, for people."""
        return between(self.derived.worst, self.derived.unit)

    @property
    def rss(self) -> str:
        """The root-sum-square range, for people."""
        return between(self.derived.rss, self.derived.unit)


def working(book: Book, family: Family, net: Net) -> Section | None:
    """What sets a net: each law with its numbers, the range it gives, what its bus standard asks; else
    nothing.
    """
    found, board = workings(book, family, net), healthy(book, family)
    down = [
        state
        for state in family.bench_states
        if state.sources and (d := board.reading(net.id, "dc-volts", state.id)) and d.down
    ]
    if not found and not down:
        return None
    context = {
        "family": family,
        "net": net,
        "workings": found,
        "down": down,
        "standards": tuple(_standards(net, found)),
        "filled": filled,
        "given": given,
        "calculators": _calculators(book, family, net),
    }
    return Section("circuit", "What sets it", "_circuit.html", context, styles=STYLES)


@dataclass(frozen=True, slots=True)
class Held:
    """A part that may hold a net, with its recorded faults, and the modes that have no record, in words."""

    found: Candidate
    faults: tuple[Named, ...]
    modes: tuple[str, ...]


def _held(book: Book, found: Candidate) -> Held:
    return Held(
        found,
        tuple(Named(f, book.faults[f].title) for f in found.recorded),
        tuple(FAULT_MODES[mode].label for mode in found.modes if mode),
    )


def removal(book: Book, family: Family, net: Net) -> Section | None:
    """The parts on a net, in the order to take them off."""
    order = removal_order(book, family, net)
    soldered = any(c.part.replace.skill != "none" for c in order)
    context = {
        "family": family,
        "order": [_held(book, c) for c in order if c.probability > 0],
        "others": [c.part for c in order if c.probability == 0],
        "hazards": links.of_family(book, family, REMOVAL_HAZARDS if soldered else ("static",)),
    }
    return Section("parts", "Parts on it, in removal order", "_removal.html", context, styles=STYLES)


def tree(book: Book, family: Family) -> Section | None:
    """The power tree of a family."""
    states = [state for state in family.bench_states if state.sources]
    if not power_tree(family) or not states:
        return None
    context = {
        "drawing": tree_drawing.drawing(family, states, healthy(book, family)),
        "states": states,
    }
    return Section(TREE, "Power tree", "_power_tree.html", context, styles=STYLES)


@dataclass(frozen=True, slots=True)
class Known:
    """How much of one kind of knowledge a family's record has, and what one more of it would let be told."""

    what: str
    there: int
    of: int
    buys: str


def known(_: Book, family: Family) -> Section | None:
    """What the record says of the family's circuit, and what more of it would buy."""
    nets = tuple(family.nets.values())
    rails = [net for net in nets if net.kind == "rail"]
    lines = [net for net in nets if net.kind == "data"]
    ways: list[Element] = []
    for net in nets:
        ways += [*net.path, *net.converter]
        ways += [pull for pull in net.pull if pull.to != GROUND]
    makers = [e for net in nets for e in net.converter]
    rows = [
        Known(
            "nets with what feeds or drives them",
            sum(bool(net.source or net.feeding or net.signal) for net in nets),
            len(nets),
            "what is up in which bench state, and what dies behind what",
        ),
        Known(
            "paths, converters and pulls with their part",
            sum(bool(parts_of(way)) for way in ways),
            len(ways),
            "what an open or shorted part does, also one without a record",
        ),
        Known(
            "rails with what they read to ground",
            sum(bool(net.load) for net in rails),
            len(rails),
            "ohms, healthy, shorted and leaking",
        ),
        Known(
            "data lines with their junction drop",
            sum(bool(net.junction) for net in lines),
            len(lines),
            "diode mode of the line, healthy and leaking",
        ),
        Known(
            "converters with what they wait for",
            sum(bool(maker.needs or maker.command) for maker in makers),
            len(makers),
            "what a missing enable or a silent bus stops",
        ),
    ]
    context = {"rows": [row for row in rows if row.of]}
    return Section("known", "What is known of the circuit", "_known.html", context, styles=STYLES)


def derived_readings(book: Book, family: Family, measurements: Sequence[Measurement]) -> dict[str, Derived]:
    """What the circuit gives for each of these measurements, by id, where it gives a range."""
    found = {m.id: derive(book, family, m) for m in measurements}
    return {key: derived for key, derived in found.items() if derived and not derived.down}


@dataclass(frozen=True, slots=True)
class Way:
    """How a net is fed or feeds: the bench source or the net at the other end, and the parts between.

    `by`: how, in a few words. `states`: the bench states in which it is there; empty: in all.
    """

    by: str
    source: str
    net: str
    parts: tuple[str, ...]
    states: tuple[str, ...]


def ways_in(family: Family, net: Net) -> tuple[Way, ...]:
    """What a net's level comes from, as its record tells it: sources, converters, paths, pulls, drivers."""
    found = [Way("comes in from", s.from_, "", s.part, s.in_) for s in net.source]
    found += [Way("made from", "", c.from_, c.part, c.in_) for c in net.converter]
    found += [Way("comes from", "", p.from_, p.part, p.in_) for p in net.path]
    found += [Way("pulled to", "", p.to, p.part, p.in_) for p in net.pull if p.to != GROUND]
    found += [Way("pulled to", GROUND, "", p.part, p.in_) for p in net.pull if p.to == GROUND]
    found += [Way("charged from", "", d.from_, d.part, ()) for d in net.delay]
    found += [Way("driven by", "", "", (s.by, *s.with_), ()) for s in net.signal]
    return tuple(_there(family, way) for way in found)


def ways_out(family: Family, net: Net) -> tuple[Way, ...]:
    """The nets whose level comes from a net."""
    found = [
        Way("feeds" if net.id in other.fed_from else "holds up", "", other.id, element.part, ())
        for other in family.nets.values()
        for element in other.feeding
        if net.id in above(element) and not isinstance(element, Load | Junction | Signal)
    ]
    return tuple(_there(family, way) for way in found)


def start_order(family: Family, net: Net) -> tuple[Way, ...]:
    """What a net waits for before it starts, what tells that it stands, and what it tells so of others."""
    needs = [
        need.net for one in (net.converter, net.path, net.source, net.signal) for e in one for need in e.needs
    ]
    found = [Way("waits for", "", name, (), ()) for name in dict.fromkeys(needs)]
    for after in net.after:
        within = f"within {words.quantity(after.within)} of" if after.within else "after"
        found.append(Way(f"starts {within}", "", after.net, (), ()))
    found += [Way("power-good on", "", net.good, (), ())] if net.good else []
    found += [
        Way("held low until it stands:", "", other.id, (), ())
        for other in family.nets.values()
        if other.good == net.id
    ]
    return tuple(way for way in found if way.net in family.nets)


def _there(family: Family, way: Way) -> Way:
    """Without the parts that the family lacks; the rules report those."""
    return replace(way, parts=tuple(part for part in way.parts if part in family.parts))


def up_in(book: Book, family: Family, net: Net) -> tuple[str, ...]:
    """The bench states of a family in which a healthy board holds a net up, by id."""
    board = healthy(book, family)
    return tuple(state.id for state in family.bench_states if board.is_up(net.id, state.id))


def workings(book: Book, family: Family, net: Net) -> tuple[Working, ...]:
    """What the circuit gives of a net, bench states with the same working together."""
    found: list[Working] = []
    board = healthy(book, family)
    for mode in _MODES:
        for state in family.bench_states:
            if (FUNCTIONS[mode].power == "off") == bool(state.sources):
                continue
            derived = board.reading(net.id, mode, state.id)
            if derived is None or derived.down:
                continue
            same = next((i for i, w in enumerate(found) if w.mode == mode and w.derived == derived), None)
            if same is None:
                found.append(Working(mode, (state,), derived))
            else:
                found[same] = Working(mode, (*found[same].states, state), derived)
    return tuple(found)


def between(limits: Interval, unit: str) -> str:
    """`3.347 to 3.503 V`, as the meter shows it; one value where both ends are the same."""
    low, high = value(limits.low, unit), value(limits.high, unit)
    if low == high:
        return low
    first, _, unit_of_low = low.partition("\u00a0")
    shared = unit_of_low == high.partition("\u00a0")[2]
    return f"{first if shared else low} to {high}"


def value(number: float, unit: str) -> str:
    """A computed value; volts from 10 mV on are in volts, with the decimals that a meter shows."""
    if unit == "V" and 0.01 <= abs(number) < 1000:
        return f"{number:.{3 if abs(number) < 10 else 2}f}\u00a0V"
    return words.quantity(number, unit)


def filled(step: Step) -> str:
    """The formula with its numbers and its result."""
    result = value(step.value, step.unit)
    return f"{words.signs(step.filled)} = {result}" if step.filled else result


def given(step: Step) -> tuple[tuple[str, str, str], ...]:
    """What went into a step: its name, its value, and the marking code of a resistor."""
    made = step.law.made if step.law else ()
    found = []
    for item in step.given:
        quantity = item.quantity
        code = ""
        if quantity and item.name in made and quantity.unit == "ohm" and quantity.nominal:
            tolerance = round((quantity.high - quantity.low) / 2 / quantity.nominal * 100, 6)
            code = resistor_code(quantity.nominal, tolerance)
        shown = words.quantity(quantity) if quantity else words.signs(item.text)
        found.append((item.name, shown, code))
    return tuple(found)


def _standards(net: Net, found: Sequence[Working]) -> Iterator[str]:
    """What published standards say of a net of this kind, in sentences."""
    if any(source.each for source in net.source):
        ends, usual = f"{CUT_OFF[0]:.1f} to {CUT_OFF[1]:.1f} V", f"{NOMINAL[0]:g} to {NOMINAL[1]:g} V"
        yield f"A lithium-ion cell: {FULL:g} V full, {usual} nominal, cut off at {ends} (cell data sheets)."
    if "usb-c" in net.enters:
        yield f"VBUS is off up to {VBUS_OFF:g} V; at 5 V it holds {VBUS_ON:g} V (USB PD R3.0, table 7-24)."
    if net.bus == "usb-c-cc":
        said = "; ".join(f"{name}: {between(a.level, 'V')}" for name, a in ADVERTS.items())
        yield f"Level on CC by the advertised current: {said} (USB Type-C R2.0, table 4-36)."
    volts = next((w.derived for w in found if w.mode == "dc-volts"), None)
    if net.bus in STANDARDS and volts:
        yield from _bus(net, net.bus, volts)


def _bus(net: Net, bus: str, volts: Derived) -> Iterator[str]:
    """What the bus standard of a line asks."""
    supply = volts.steps[-2].worst if len(volts.steps) > 1 else volts.worst
    asked = levels(bus, supply.high)
    low, high = f"{asked.vil:.3g} V", f"{asked.vih:.3g} V"
    yield f"An input takes it as low up to {low} and as high from {high} ({asked.source})."
    load = next((pull.capacitance for pull in net.pull if pull.capacitance), None)
    window = pull_up_window_of(bus, supply.high, load.high if load else None)
    if window and volts.last.law and volts.last.law.kind == "pull-up":
        top = f" to {words.signs(format_value(window.high, 'ohm', 2))}" if load else " or more"
        yield f"The bus allows a pull-up of {words.signs(format_value(window.low, 'ohm', 2))}{top}."
    if bus == "smbus":
        yield (
            f"A smart battery answers at 0x{SMART_BATTERY_ADDRESS:02X}, a smart charger at "
            f"0x{SMART_CHARGER_ADDRESS:02X}, 7 bit (Smart Battery Data and Charger Specifications)."
        )
        slow, fast = (f"{hertz / 1e3:g}" for hertz in SMBUS_CLOCK)
        first, last = (f"{seconds * 1e3:g}" for seconds in SMBUS_TIMEOUT)
        yield (
            f"The clock runs at {slow} to {fast} kHz; held low for {first} to {last} ms it resets the bus "
            "(SMBus 2.0, table 1)."
        )
    if bus == "i2c":
        said = ", ".join(f"{timing.rise * 1e9:.0f} ns ({mode})" for mode, timing in I2C.items())
        yield f"It rises within {said} (UM10204, table 10)."


def line_values(book: Book, family: Family, net: Net) -> dict[str, str]:
    """Supply and pull-up of a line as one types them, from its pull-up; empty where it has none."""
    for found in workings(book, family, net):
        last = found.derived.last
        if last.law and last.law.kind == "pull-up":
            above = found.derived.steps[-2]
            spread = above.worst.half_width / above.value * 100 if above.value else 0.0
            return {
                "supply": f"{above.value:.4g} V {spread:.2g}%",
                "pull_up": next(given.text for given in last.given if given.name == "resistor"),
            }
    return {}


def rail_values(net: Net) -> dict[str, str]:
    """The normal voltage of a rail as one types it; empty where none is known, and of a line, whose clamps
    feed the chips on it."""
    return {"rail": f"{ceiling(net.nominal):g} V"} if net.nominal and net.kind == "rail" else {}


# The values of a net that fill a calculator in, by what the calculator is for.
NET_VALUES: Mapping[str, Callable[[Book, Family, Net], dict[str, str]]] = MappingProxyType(
    {"line": line_values, "rail": lambda _, __, net: rail_values(net)}
)


def _calculators(book: Book, family: Family, net: Net) -> tuple[tuple[str, str], ...]:
    """Links to the calculations with this net's values: what each is for, and the fragment that fills it."""
    offers = (
        ("The line reads low: work out the leak", "leak", line_values(book, family, net)),
        ("It is shorted: settings for an injection", "inject", rail_values(net)),
    )
    return tuple((label, f"{kind}?{_query(values)}") for label, kind, values in offers if values)


def _query(values: dict[str, str]) -> str:
    return "&".join(f"{name}={quote(text)}" for name, text in values.items())
