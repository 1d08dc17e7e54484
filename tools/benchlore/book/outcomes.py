"""The outcomes that a measurement has without a word of its record: they follow from its healthy range.

A record states the healthy range, and of the outcomes around it only what is special: what one means on this
board, an end that lies elsewhere, an outcome that no other measurement has. Ranges that it states stand; the
others fill the space that these leave (`Beside` of the vocabulary).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from benchlore.quantity import OPEN, Quantity, format_value, parse_quantity
from benchlore.vocabulary import FUNCTIONS, Beside, MeterFunction

NORMAL = "normal"
# What stands beside the healthy range where two readings are compared, in percent of the other one.
COMPARED = MeterFunction(
    id="compared",
    label="Compared",
    unit="%",
    power="either",
    healthy="Both read alike.",
    beside=(
        Beside("low", "low", "It reads less than the other one."),
        Beside("high", "high", "It reads more than the other one."),
    ),
    gap=0.1,
    least_gap=1.0,
)
Raw = Mapping[str, Any]


def in_full(
    mode: str, healthy: str | None, stated: Raw, function: MeterFunction | None = None
) -> dict[str, Any]:
    """The outcomes of a measurement as if its record stated all of them, in the order of a table.

    `healthy`: the healthy range as written, or None: then nothing is added to what is stated. `function`:
    whose outcomes stand beside it, where that is not the mode's.
    """
    own = _own(stated)
    function = function or FUNCTIONS[mode]
    if healthy is None:
        return {name: _meaning(function, name) | one for name, one in own.items()}
    normal: dict[str, Any] = {"range": healthy, "normal": True, "means": function.healthy} | own.pop(
        NORMAL, {}
    )
    limits = [parse_quantity(one["range"]) for one in (normal, *own.values()) if "range" in one]
    span = parse_quantity(healthy)
    ends = _ends(function, span, limits)
    beside = {b.id for b in function.beside}
    found = {NORMAL: normal} | {n: _meaning(function, n) | one for n, one in own.items() if n not in beside}
    for one in function.beside:
        given = own.get(one.id, {})
        if "range" in given or one.id in ends:
            made = {"range": ends.get(one.id, ""), **_meaning(function, one.id)}
            # What may be nothing at all, such as a drop, harms nobody when it is more.
            stop = one.stop and span.low > -math.inf
            found[one.id] = made | ({"stop": True} if stop else {}) | given
        elif given:
            found[one.id] = given  # a rule says that it has no room
    return found


def of_steps(mode: str, steps: Mapping[str, str], stated: Raw) -> dict[str, Any]:
    """The outcomes of a current that climbs in steps: each step is one, and at the last the board runs.

    Before the first step lies `low`, unless that begins at nothing, beyond the last one `high`; a record says
    what a step means beside that.
    """
    *first, last = steps
    own = _own(stated)
    made = {
        name: {"range": steps[name], "means": f"It stops at the step '{name}'."} | own.pop(name, {})
        for name in first
    }
    made[NORMAL] = own.pop(last, {})
    begins = math.isfinite(parse_quantity(steps[next(iter(steps))]).low)
    if begins and "low" not in steps:
        made["low"] = {"means": "It does not reach the first step."}
    found = in_full(mode, steps[last], made | own)
    if not begins and "low" not in (*steps, *own):
        found.pop("low", None)  # between two steps nothing lies: a reading there belongs to both
    return {last if name == NORMAL else name: one for name, one in found.items()}


def compared(mode: str, within: str, stated: Raw) -> dict[str, Any]:
    """The outcomes of a comparison: the share by which one reading lies above or below the other."""
    share = float(within.rstrip("%"))
    return in_full(mode, f"-{share:g} to {share:g} %", stated, COMPARED)


def _own(stated: Raw) -> dict[str, dict[str, Any]]:
    """What a record states of its outcomes: one that is a text says what the outcome means."""
    return {name: {"means": one} if isinstance(one, str) else dict(one) for name, one in stated.items()}


def _meaning(function: MeterFunction, name: str) -> dict[str, Any]:
    return next(({"means": b.means} for b in function.beside if b.id == name), {})


def _ends(function: MeterFunction, healthy: Quantity, stated: Sequence[Quantity]) -> dict[str, str]:
    """The ranges of the outcomes beside the healthy one, as text; without those that have no room."""
    spans = [limit for limit in stated if limit is not OPEN and limit.unit == healthy.unit]
    if healthy.is_open or not spans:
        return {}
    by_place = {one.place: one for one in function.beside}
    found: dict[str, tuple[float, float]] = {}

    def apart(value: float) -> float:
        return abs(value) * function.gap + function.least_gap

    def put(one: Beside | None, low: float, high: float) -> None:
        room = math.fsum(apart(end) for end in (low, high)) if math.isfinite(low + high) else 0.0
        if one and high - low > room:
            found[one.id] = (low, high)

    below = [limit for limit in spans if limit.high <= healthy.low]
    floor, ceiling = -math.inf, min([healthy.low, *(b.low for b in below)])
    if math.isinf(ceiling):  # what is stated reaches down to nothing: the room lies above it
        floor = max((b.high for b in below), default=math.inf)
        ceiling = healthy.low
    elif least := by_place.get("least"):
        end = _rounded(min(least.edge * healthy.low, least.at_most), 2)
        if 0 < end < ceiling - apart(ceiling):
            floor = end
            put(least, -math.inf, end)
    start = floor + max(apart(floor), 0.0) if math.isfinite(floor) else floor
    put(by_place.get("low"), start, ceiling - apart(ceiling) if math.isfinite(ceiling) else ceiling)

    above = [limit for limit in spans if limit.low >= healthy.high]
    roof, bottom = math.inf, max([healthy.high, *(a.high for a in above)])
    if math.isinf(bottom):
        roof = min((a.low for a in above), default=-math.inf)
        bottom = healthy.high
    elif (most := by_place.get("most")) and most.edge > bottom + apart(bottom):
        roof = most.edge
        put(most, roof, math.inf)
    if math.isfinite(bottom):
        end = roof - apart(roof) if math.isfinite(roof) else roof
        put(by_place.get("high"), bottom + apart(bottom), end)
    return {name: _text(low, high, healthy) for name, (low, high) in found.items()}


def _rounded(value: float, digits: int, up: bool | None = None) -> float:
    """To so many significant digits, to the nearest, or up or down."""
    if not value or math.isinf(value):
        return value
    scale = 10.0 ** (digits - 1 - math.floor(math.log10(abs(value))))
    turn = round if up is None else math.ceil if up else math.floor
    return float(f"{turn(round(value * scale, 6)) / scale:.12g}")


def _text(low: float, high: float, like: Quantity) -> str:
    """A range as a person writes it, in the unit of the healthy range where that suits."""
    low, high = _rounded(low, 3, up=True), _rounded(high, 3, up=False)
    if math.isinf(low):
        return f"under {_said(high, like)}"
    if math.isinf(high):
        return f"over {_said(low, like)}"
    first, second = _said(low, like), _said(high, like)
    number, _, unit = first.partition(" ")
    return f"{number} to {second}" if second.endswith(f" {unit}") else f"{first} to {second}"


def _said(value: float, like: Quantity) -> str:
    written = like.text.split()[-1]
    shown = value / _size(written, like.unit)
    if (0.01 if written == like.unit else 0.1) <= abs(shown) < 1000 or not value:
        return f"{_plain(shown)} {written}"
    number, _, unit = format_value(value, like.unit, 3).partition("\u00a0")
    return f"{_plain(float(number))} {unit}"


def _plain(number: float) -> str:
    """Without an exponent, which no quantity has."""
    return f"{float(f'{number:.4g}'):.12f}".rstrip("0").rstrip(".")


def _size(written: str, base: str) -> float:
    """What one of a unit with its prefix is in the base unit."""
    return parse_quantity(f"1 {written}").high if written.endswith(base) else 1.0
