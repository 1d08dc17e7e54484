"""The conversation about a measurement: the ranges that the circuit gives stand ready."""

from __future__ import annotations

import math
from typing import Any

from benchlore.book.model import Measurement
from benchlore.book.outcomes import in_full
from benchlore.book.records import read_record
from benchlore.quantity import parse_quantity
from benchlore.starter import values
from benchlore.starter.draft import Draft
from benchlore.starter.talk import RefusedError, Talk, number, plain
from benchlore.starter.walked import Walked
from benchlore.vocabulary import FUNCTIONS
from benchlore.walk.file import Point

_SUFFIX = {
    "dc-volts": "volts",
    "junction": "diode",
    "celsius": "heat",
    "amps": "current",
    "ac-ripple": "ripple",
}
_TECHNIQUES = {"ohms": "ground-resistance", "junction": "junction-test"}
# What each outcome means, as long as nobody says more.


def ask_measurement(talk: Talk, draft: Draft, point: str, walk: tuple[Walked, Point] | None = None) -> None:
    """Add a measurement at a test point to the draft's family. `walk`: what a walk has read there."""
    data = draft.data
    net = data["test_points"][point]["net"]
    read = walk[1] if walk else None
    mode = talk.choice("With which function?", FUNCTIONS, read.mode if read else "dc-volts")
    function = FUNCTIONS[mode]
    fits = [
        one
        for one in data["states"]
        if function.power == "either" or bool(draft.book.states[one].sources) == (function.power == "on")
    ]
    state = talk.choice(
        "In which bench state?",
        fits or data["states"],
        read.state if read and read.state in fits else (fits or data["states"])[0],
    )
    name = f"{net.lower().replace('_', '-')}-{_SUFFIX.get(mode, mode)}"
    free = name if name not in data["measurements"] else f"{name}-{state}"
    id_ = talk.ask("Its name", values.slug(data["measurements"]), free)
    made: dict[str, Any] = {"at": point, "mode": mode, "state": state}
    if mode in _TECHNIQUES and draft.has("techniques", _TECHNIQUES[mode]):
        made["technique"] = _TECHNIQUES[mode]
    usual = FUNCTIONS[mode].minutes
    if (minutes := talk.ask("Minutes that it takes", number, f"{usual:g}")) != usual:
        made["minutes"] = minutes
    made["asks"] = talk.text("The question that it answers", _asks(mode, net, data["nets"][net]))
    data["measurements"][id_] = made
    made["outcomes"] = {}
    made |= _outcomes(talk, draft, id_, walk if read and read.mode == mode else None)
    if not made["outcomes"]:
        del made["outcomes"]
    if wrong := draft.wrong("measurements", id_):
        talk.say(f"  To mend in the file: {wrong}")


def _asks(mode: str, net: str, record: dict[str, Any]) -> str:
    if mode == "ohms":
        return f"Is {net} shorted?"
    if mode == "junction":
        return f"Is {net} shorted or leaky?"
    return (
        f"Does {net} stand at {record['nominal']}?" if "nominal" in record else f"Is {net} as it should be?"
    )


def _outcomes(talk: Talk, draft: Draft, id_: str, walk: tuple[Walked, Point] | None) -> dict[str, Any]:
    """The healthy range, and of the outcomes beside it what is said otherwise on this board."""
    mode = draft.data["measurements"][id_]["mode"]
    unit = FUNCTIONS[mode].unit
    if unit is None:
        return {"outcomes": _seen(talk)}
    measurement = read_record("family", draft.id, "family", draft.data).measurements[id_]
    by_circuit = _proposed(draft, measurement)
    by_walk = walk[0].proposed(walk[1]) if walk else None
    circuit, walked = _text(by_circuit, unit), _text(_both(by_walk, by_circuit), unit)
    if walk and walked:
        by = f"; by the circuit {circuit}" if circuit else ""
        talk.say(f"  The walk: {walk[0].said(walk[1])}{by}.")
        asked = "A healthy board reads, by the walk, with room for other boards"
    elif circuit:
        asked = "A healthy board reads, by the circuit"
    else:
        asked = f"What does a healthy board read, such as 1 to 2 {unit}"
    low, high = talk.ask(asked, _range(unit), walked or circuit)
    healthy = values.between(low, high, unit)
    own: dict[str, Any] = {}
    for name, outcome in in_full(mode, healthy, {}).items():
        said = {"means": talk.text(f"{name} ({outcome['range']}) means", outcome["means"])}
        special: dict[str, Any] = {} if said["means"] == outcome["means"] else said
        if outcome.get("stop") and not _must_stop(talk):
            special["stop"] = False
        if special:
            own[name] = special if "stop" in special else special["means"]
    return {"healthy": healthy, "outcomes": own}


def _must_stop(talk: Talk) -> bool:
    return talk.choice("Must the board then be switched off at once?", ("yes", "no"), "yes") == "yes"


def _proposed(draft: Draft, measurement: Measurement) -> tuple[float, float] | None:
    found = draft.healthy_range(measurement)
    return found if found and found[0] < found[1] else None


def _both(
    walk: tuple[float, float] | None, circuit: tuple[float, float] | None
) -> tuple[float, float] | None:
    """What a walk has read, and what else the tolerances of the circuit allow, where the two meet."""
    if walk is None or circuit is None or not (walk[0] < circuit[1] and circuit[0] < walk[1]):
        return walk
    return min(walk[0], circuit[0]), max(walk[1], circuit[1])


def _text(ends: tuple[float, float] | None, unit: str) -> str | None:
    """A range as records write it; None for one without two ends above 0."""
    if ends is None or not 0 < ends[0] < ends[1] < math.inf:
        return None
    return values.between(*values.outward(*ends), unit)


def _range(unit: str) -> Any:
    read = values.value(unit)

    def pair(text: str) -> tuple[float, float]:
        found = parse_quantity(read(text))
        if not 0 < found.low < found.high < 1e12:
            raise RefusedError(f"write a range with two ends above 0, such as 1 to 2 {unit}")
        return found.low, found.high

    return pair


def _seen(talk: Talk) -> dict[str, Any]:
    """Outcomes that are named, not read: the first is the healthy one."""
    outcomes: dict[str, Any] = {}
    while True:
        what = (
            "What is seen on a healthy board, in a word"
            if not outcomes
            else "What else can be seen, in a word"
        )
        name = (
            talk.ask(what, values.slug(outcomes))
            if len(outcomes) < 2
            else talk.maybe(what, values.slug(outcomes))
        )
        if name is None:
            return outcomes
        normal = {} if outcomes else {"normal": True}
        outcomes[name] = {**normal, "means": talk.ask("What does that mean?", plain)}
