"""The words that pages share: meter functions, frequencies, signal words, quantities for people."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from benchlore.book.model import Cause, Failure, Family, Measurement, TestPoint
from benchlore.quantity import Quantity, format_value
from benchlore.vocabulary import CONDITIONS, FAULT_MODES, LANGUAGES

STATUS: Mapping[str, str] = MappingProxyType(
    {
        "normal": "normal",
        "fault": "this fault",
        "other": "another outcome",
        "undecided": "undecided",
    }
)

STOP = "Stop: unplug every source."

_TOLERANCE = re.compile(r"(.*[A-Za-z])\s+(?:(?:\+-|±)\s*)?([\d.]+)\s*%")
_BEFORE_UNIT = re.compile(r"(?<=[\d.])\s*(?!to\b)(?=[A-Za-zµΩ°])")
_SIGNS = (
    (re.compile(r"degC\b"), "°C"),
    (re.compile(r"ohm\b"), "Ω"),
    (re.compile(r"(?<![A-Za-z])u(?=[VAFHsWΩ])"), "µ"),
)


def quantity(value: Quantity | float, unit: str = "", digits: int = 4) -> str:
    """A quantity of the book, or a value with its base unit, as the bench reads it (`2.2 kΩ ±5%`)."""
    text = value.text.strip() if isinstance(value, Quantity) else format_value(value, unit, digits)
    percent = isinstance(value, Quantity) and value.unit == "%"
    if not percent and (toleranced := _TOLERANCE.fullmatch(text)):
        text = f"{toleranced[1]} ±{toleranced[2]}%"
    return signs(text)


def signs(text: str) -> str:
    """A text with the signs of the units (`2.2 kohm` -> `2.2 kΩ`), no number parted from its unit."""
    for pattern, sign in _SIGNS:
        text = pattern.sub(sign, text)
    return _BEFORE_UNIT.sub("\u00a0", text)


def minutes(value: float) -> str:
    """`3 min`, with a no-break space."""
    return f"{value:g}\u00a0min"


def share(value: float) -> str:
    """A probability in percent: `90 %`. What is not certain is never said to be; so on the bench, too."""
    if 0 < value < 0.005:
        return "under\u00a01\u00a0%"
    if 0.995 <= value < 1:
        return "over\u00a099\u00a0%"
    return f"{value * 100:.0f}\u00a0%"


def listing(items: list[str] | tuple[str, ...], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def plural(count: int, one: str, many: str = "") -> str:
    """`1 fault`, `3 faults`."""
    return f"{count}\u00a0{one if count == 1 else many or one + 's'}"


def language(tag: str) -> str:
    """A language by its tag: `de` -> `German`; the tag where the name is not known."""
    return LANGUAGES.get(tag, tag)


def outcome(outcome_id: str) -> str:
    """An outcome's id as words: `charger-default` -> `charger default`."""
    return outcome_id.replace("-", " ")


def cause(cause: Cause) -> str:
    """How a part has failed, and what it took along: `shorted to ground (80 %), leaks to ground (20 %)`."""
    ways = [
        f"{failed(one)}{_along(', taking along', one.then)} ({share(one.share)})" for one in cause.variants
    ]
    said = ", ".join(ways) or failed(cause)
    said += "".join(f", {CONDITIONS[name].label}" for name in cause.when)
    return said + _along("; takes along", cause.then)


def _along(verb: str, failures: Iterable[Failure]) -> str:
    named = listing([f"{one.part} {failed(one)}" for one in failures])
    return f"{verb} {named}" if named else ""


def failed(failure: Failure) -> str:
    """A mode in words, with its net and how much it is: `leaks to ground on SYSTEM, 20 to 100 Ω`."""
    if failure.mode is None:
        return ""
    said = FAULT_MODES[failure.mode].label
    if failure.at:
        said += f" on {failure.at}" + (f" and {failure.to}" if failure.to else "")
    much = [quantity(value) for value in (failure.ohms, failure.volts) if value]
    there: float | None = getattr(failure, "share_of_time", None)
    much += [f"open {share(there)} of the time"] if there else []
    return ", ".join((said, *much))


def probed(measurement: Measurement) -> str:
    """Where the leads go: `F1 on MAIN`; `red on F1, black on F2` where it is not to ground; a part on no net
    by its name alone.
    """
    if measurement.between:
        return measurement.function.leads_said(measurement.between)
    if measurement.compare:
        other = f"{measurement.compare.with_} on {measurement.nets[-1]}"
        return f"{measurement.at} on {measurement.net}, then {other}"
    turned = f", {measurement.leads}" if measurement.polarity else ""
    on_net = f" on {measurement.net}" if measurement.net else ""
    return f"{measurement.at}{on_net}{turned}"


def besides(measurement: Measurement) -> tuple[str, ...]:
    """What a reading asks for besides point, function, bench state and parts unplugged.

    Leads that its function does not say, an injection, the record's note: they belong to it wherever a
    reading is asked for.
    """
    said = measurement.function.leads_said(measurement.between, measurement.polarity is not None)
    # Leads that go the other way stand with the point (`probed`), whole.
    own = "" if measurement.polarity else measurement.leads.removeprefix(said).removeprefix("; ")
    inject = measurement.inject
    limits = f"inject at most {quantity(inject.volts)}, limit {quantity(inject.limit)}" if inject else ""
    return tuple(text for text in (own, limits, measurement.note) if text)


def asked(family: Family, measurement: Measurement) -> str:
    """A reading that is asked for: point, leads, function, state, what is unplugged, and all besides."""
    at = family.test_points.get(measurement.at)
    where = f"{at.id}, {family.parts[at.part].name}" if at and at.part else probed(measurement)
    how = f"{where}, {measurement.function.phrase}, {family.state_of(measurement).short}"
    unplugged = f", {listing(measurement.unplugged)} unplugged" if measurement.unplugged else ""
    return f"{how}{unplugged}" + "".join(f"; {text}" for text in besides(measurement))


def places(family: Family, point: TestPoint) -> tuple[tuple[tuple[str, ...], str], ...]:
    """Where a point lies, in words; revisions on which the words are the same stand together."""
    found: dict[str, list[str]] = {}
    for revision in family.revisions:
        place = point.where.get(revision, "")
        if revision in point.at:
            found.setdefault(f"{point.side} side: {place}", []).append(revision)
        elif point.part:  # not on the board, or nobody has measured where
            found.setdefault(place, []).append(revision)
    return tuple((tuple(revisions), text) for text, revisions in found.items())
