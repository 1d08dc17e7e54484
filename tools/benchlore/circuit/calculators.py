"""The bench calculators, each declared once: the command line and the page are made from these.

A calculator is an entry of `CALCULATORS`, its arithmetic in a module beside this one, and the same arithmetic
and words for the browser in `assets/js/calculators/<kind>.js`. `tests/circuit/vectors.py`
holds the two together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from benchlore.circuit.cc_line import CcLine, cc_line
from benchlore.circuit.conductor import squares_resistance
from benchlore.circuit.fuse import FuseCurrent, current_from_drop
from benchlore.circuit.heat import HEAT
from benchlore.circuit.injection import FIRST_VOLTS, InjectionPlan, plan_injection
from benchlore.circuit.inputs import Estimate, InputError
from benchlore.circuit.leak import Leak, find_leak
from benchlore.circuit.typed import typed
from benchlore.quantity import Quantity, format_value

# What the answer is, and its value in words; the first is the answer.
Said = list[tuple[str, str]]
Given = Quantity | float


@dataclass(frozen=True, slots=True)
class Field:
    """What is typed into one field, in `unit` (V, A, ohm; nothing for a plain number).

    `start`: what it holds at first, `of_meter` where the shop's meter says better. `stands_for`: the
    field that may be left out where this one is given; such a field is an option of the command line alone.
    """

    name: str
    label: str
    unit: str
    example: str
    hint: str = ""
    required: bool = True
    start: str = ""
    of_meter: bool = False
    stands_for: str = ""


@dataclass(frozen=True, slots=True)
class Calculator:
    """One calculator. `short`: its help among the commands; `hazards`: ids of the common hazards of its work.

    `work` takes the fields that were typed, by name; it raises InputError. `said` puts what it gives into
    words. `of_net`: which values of a net of the book fill it in.
    """

    kind: str
    title: str
    short: str
    purpose: str
    hazards: tuple[str, ...]
    cautions: tuple[str, ...]
    fields: tuple[Field, ...]
    work: Callable[..., Any]
    said: Callable[[Any], Said]
    of_net: Literal["", "line", "rail"] = ""

    def read(self, texts: Mapping[str, str]) -> dict[str, Given]:
        """What is typed, by field; a text of blanks is left out. Raises InputError."""
        stood = {one.stands_for for one in self.fields if texts.get(one.name, "").strip()}
        return {
            one.name: _read(one, texts.get(one.name, ""))
            for one in self.fields
            if texts.get(one.name, "").strip() or (one.required and one.name not in stood)
        }


def _read(field: Field, text: str) -> Given:
    if field.unit:
        return typed(field.name, text, field.unit)
    try:
        return float(text)
    except ValueError:
        raise InputError(field.name, f"write a number, such as {field.example}") from None


def estimate(found: Estimate, unit: str) -> str:
    """A value, and its worst case where there is one: `1.20 A (1.00 A to 1.50 A)`."""
    middle = format_value(found.middle, unit, 3)
    if found.low == found.high:
        return middle
    return f"{middle} ({format_value(found.low, unit, 3)} to {format_value(found.high, unit, 3)})"


def _leak_said(found: Leak) -> Said:
    healthy = ("A healthy line reads", estimate(found.healthy, "V"))
    if found.verdict == "none":
        return [("No leak", "the reading is healthy"), healthy]
    first = "Short to ground" if found.verdict == "short" else "Leak to ground"
    return [
        (first, estimate(found.resistance, "ohm")),
        ("It carries", estimate(found.current, "A")),
        ("It takes", f"{estimate(found.power, 'W')}: {HEAT[found.heat]}"),
        ("Any leak on this line takes at most", format_value(found.most_power, "W", 3)),
        healthy,
    ]


def _inject_said(found: InjectionPlan) -> Said:
    begin = "0.5\u00a0V" if found.begin == FIRST_VOLTS else format_value(found.begin, "V", 3)
    held = "below the limit" if found.start_amps < found.limit else "held by the limit"
    return [
        ("Begin at", f"{begin}, current limit {format_value(found.limit, 'A', 2)}"),
        ("Never above", f"{format_value(found.ceiling, 'V', 3)}, the rail's normal voltage"),
        ("The rail then reads", f"{format_value(found.start_volts, 'V', 2)}, {held}"),
        ("Power in the short", f"{format_value(found.start_power, 'W', 2)}: {HEAT[found.start_heat]}"),
        (
            "Then",
            "raise the voltage slowly, or the limit where the supply stands at it, and only while nothing "
            "warms up",
        ),
        (
            "At the ceiling",
            f"{format_value(found.most, 'A', 2)} and {format_value(found.most_power, 'W', 2)} in the short",
        ),
    ]


def _fuse(drop: Quantity, **across: Any) -> FuseCurrent:
    squares, rating = across.get("squares"), across.get("rating")
    if squares is None:
        return current_from_drop(drop, across["resistance"], rating)
    if "resistance" in across:
        raise InputError("squares", "give this or the resistance, not both")
    if not 0 < squares < 1e6:
        raise InputError("squares", "write how many times the track is as long as wide, such as 20")
    return current_from_drop(drop, squares_resistance(squares), rating)


def _fuse_said(found: FuseCurrent) -> Said:
    if found.open:
        return [("Fuse open", "a whole fuse never drops as much; it carries no current")]
    said = [("Current", estimate(found.current, "A"))]
    if found.share is not None:
        said.append(("Share of the rating", f"{found.share * 100:.0f}\u00a0%"))
    return [
        *said,
        ("Power in the fuse", estimate(found.power, "W")),
        ("Mind", "a warm fuse has more resistance, so the current is, if anything, less"),
    ]


def _cc_said(found: CcLine) -> Said:
    if found.window is None or found.pull_up is None:
        return [
            ("Nothing advertised", "no pull-up behind the line, or it is shorted to ground")
            if found.advertised == "nothing"
            else (
                "Nothing pulls it down",
                "the line stands at its pull-up: no sink is seen, or its Rd is open",
            )
        ]
    word = "default USB current" if found.advertised == "default" else found.advertised.replace(" ", "\u00a0")
    low, high = (format_value(end, "V", 3) for end in (found.window.low, found.window.high))
    return [
        ("Advertised", word + ("" if found.inside else ", but the reading lies outside its window")),
        ("Its window", f"{low} to {high}"),
        ("Pull-up behind it, to 5\u00a0V", estimate(found.pull_up, "ohm")),
    ]


FIRST = "Local codes and licensed practice come before anything here."
# Cautions: common practice, no source, where none is named.
_ALL = (
    Calculator(
        "leak",
        "The leak behind a low line",
        "the leak that explains a low line",
        "A data line with a pull-up reads low. What resistance to ground explains the reading, and would "
        "it show as heat?",
        ("probe-slip", "static"),
        (
            "The board is live while you read the line: insulate the probe to its last millimetre and clip "
            "ground first.",
            "Measure resistances only with adapter, pack and every other source out and the charge gone.",
        ),
        (
            Field("supply", "Rail that it is pulled up to", "V", "3.05 V 2%"),
            Field("pull_up", "Pull-up", "ohm", "2.2 kohm 5%"),
            Field("meter", "Meter's input resistance", "ohm", "10 Mohm", start="10 Mohm", of_meter=True),
            Field("reading", "What the line reads", "V", "0.36 V"),
        ),
        find_leak,
        _leak_said,
        of_net="line",
    ),
    Calculator(
        "inject",
        "Settings for an injection",
        "settings for a current-limited injection",
        "A rail or a line is shorted. How high may the supply go, and what current limit to start with?",
        ("lithium-pack", "burn", "eye", "stored-charge", "static"),
        (
            "Adapter, pack and every other source out, and the charge gone, before the leads touch.",
            "Never more than the rail's own voltage: when the short opens, all on it sees the ceiling.",
            "Begin at 0.5 V and raise it slowly: above that, unpowered chips are fed through their clamps.",
            "Set voltage and limit with the leads apart, then short them and check the limit.",
            "Wear safety glasses, and look for heat with a camera or alcohol, never with a finger: the short "
            "burns, and a capacitor can burst.",
            "Stay under what tracks and leads carry, a few amperes, whatever the ceiling would allow.",
            "Ten seconds at a time, then let it cool. Stop when something smokes.",
        ),
        (
            Field("rail", "The rail's own normal voltage", "V", "3.05 V"),
            Field("short", "Rail to ground, power off", "ohm", "0.4 ohm", "less the leads' own resistance"),
        ),
        plan_injection,
        _inject_said,
        of_net="rail",
    ),
    Calculator(
        "fuse",
        "The current through a fuse",
        "the current through a fuse from its drop",
        "The board runs. What current flows through a fuse or a shunt, from the voltage across it?",
        ("shock", "probe-slip", "static"),
        (
            "The board is live: clip one lead, touch with the other, and do not bridge the fuse with a tip.",
            "Above 60 V d.c. use leads and probes rated for it (IEC 61010-031).",
            "Never fit a larger fuse or a wire to see whether it holds.",
        ),
        (
            Field("drop", "Voltage across it", "V", "24 mV"),
            Field("resistance", "Its cold resistance", "ohm", "20 mohm 20%"),
            Field("rating", "Its rated current", "A", "3 A", "may be left out", required=False),
            Field(
                "squares",
                "For a track of one-ounce copper instead: its length over its width",
                "",
                "20",
                required=False,
                stands_for="resistance",
            ),
        ),
        _fuse,
        _fuse_said,
    ),
    Calculator(
        "cc",
        "What a CC line says",
        "the current that a USB-C source advertises on CC",
        "A USB-C port charges slowly, or not at all. What current does the source advertise, from the "
        "voltage on the CC line that carries it?",
        ("probe-slip", "static"),
        (
            "The port is live: clip ground first, and read CC at a test point or a capacitor, never in "
            "the port: its pins lie half a millimetre apart, and VBUS, up to 48 V, stands among them.",
        ),
        (Field("reading", "What the CC line reads", "V", "0.92 V"),),
        cc_line,
        _cc_said,
    ),
)
CALCULATORS: Mapping[str, Calculator] = {one.kind: one for one in _ALL}
