"""The conversation about a fault: what the circuit foretells of its readings stands ready."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import fsum
from typing import Any

from benchlore.book.model import Family, Meter
from benchlore.circuit.graph.mode_shares import mode_shares, modes_of
from benchlore.diagnosis.reading import ReadingError, read
from benchlore.findings import nearest
from benchlore.rules.predictions import SAME
from benchlore.rules.steps import read_after_heat
from benchlore.starter import common, values
from benchlore.starter.draft import Draft
from benchlore.starter.talk import RefusedError, Talk, number, one_of, plain
from benchlore.vocabulary import ACTIONS, FAULT_MODES, FREQUENCIES, STORED_ACTIONS

_AT_A_NET = ("shorted-to-ground", "leaks", "stuck")
_STATED = 5  # measurements that are told of at most, of what the circuit foretells
_SURE = 0.7  # share from which one outcome stands for all


def ask_fault(
    talk: Talk,
    draft: Draft,
    name: str,
    symptoms: Sequence[str] = (),
    readings: Mapping[str, str] | None = None,
) -> None:
    """Add a fault to the draft. `symptoms`, `readings`: those of a job that it was found in."""
    parts = draft.data["parts"]
    part = talk.choice("Which part is at fault?", parts)
    modes = modes_of(parts[part]["kind"])
    cause: dict[str, Any] = {
        "part": part,
        "mode": talk.choice("How has it failed?", modes, _likeliest(parts[part]["kind"], modes)),
    }
    nets = draft.family().parts[part].nets or tuple(draft.data["nets"])
    if cause["mode"] in _AT_A_NET:
        cause["at"] = talk.choice("On which net?", dict.fromkeys((*nets, *draft.data["nets"])), nets[0])
    if cause["mode"] == "leaks":
        cause["ohms"] = talk.ask("By how much", values.band("ohm"), "20 to 100 ohm")
    if cause["mode"] == "stuck":
        cause["volts"] = talk.ask("At what level", values.band("V"), "0 to 0.4 V")
    words = FAULT_MODES[cause["mode"]].label
    fault: dict[str, Any] = {
        "title": talk.text("The fault in one line", f"{_called(parts[part])} is {words}")
    }
    fault["symptom"] = _symptoms(talk, draft, symptoms)
    fault["summary"] = talk.text("How does it make the symptom?")
    cause["how"] = talk.text("How did it come about?")
    fault["test_points"], fault["cause"] = [], cause
    fault["seen"] = talk.ask("In how many jobs was it seen?", _count, "1")
    action = talk.choice("What mends it?", ACTIONS, "replace")
    minutes = talk.ask("Minutes of that work", number, f"{parts[part]['replace']['minutes']:g}")
    fault["fix"] = {
        "action": action,
        "minutes": minutes,
        "steps": _steps(talk, draft, action, part),
        "confirm": {},
    }
    fault["worked_example"] = {}
    draft.faults[name] = fault
    stated = _stated(talk, draft, name)
    fault["fix"]["confirm"] = _proof(talk, draft, stated)
    fault["worked_example"] = _example(talk, draft, stated, readings or {})
    foretold = draft.foretold(name)
    kept = {id_: value for id_, value in stated.items() if not _repeats(value, foretold.get(id_, {}))}
    fault["test_points"] = [{"measure": id_, "expected_reading": value} for id_, value in kept.items()]
    if not kept:
        del fault["test_points"]  # the circuit says all of it


def _likeliest(kind: str, modes: Sequence[str]) -> str:
    shares = mode_shares(kind)
    return max(modes, key=lambda mode: shares.get(mode, 0.0))


def _called(part: Mapping[str, Any]) -> str:
    name: str = part["name"]
    return name[:1].upper() + name[1:]


def _count(text: str) -> int:
    if not text.isdecimal():
        raise RefusedError(f"'{text}' is no count; write 0, 1, 2 and so on")
    return int(text)


def _symptoms(talk: Talk, draft: Draft, given: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    left = [name for name in given if draft.has("symptoms", name)]
    question = "What does the device do, and how often, such as no-power always"

    def entry(text: str) -> tuple[str, str]:
        name, _, often = text.partition(" ")
        if not draft.has("symptoms", name):
            known = sorted({*draft.book.symptoms, *common.entries("symptoms")})
            raise RefusedError(f"'{name}' is no symptom; {nearest(name, known) or ', '.join(known)}")
        return name, one_of(FREQUENCIES)(often.strip() or "always")

    while True:
        default = f"{left.pop(0)} always" if left else None
        if found and default is None:
            got = talk.maybe("Another symptom", entry)
        else:
            got = talk.ask(question, entry, default)
        if got is None:
            return found
        found[got[0]] = got[1]


def _steps(talk: Talk, draft: Draft, action: str, part: str) -> list[Any]:
    done = {
        "replace": [{"replace": part}],
        "reflow": [{"reflow": part}],
        "remove": [{"remove": part}],
        "clean": [{"clean": part, "with": "alcohol"}, {"dry": "5 min"}],
        "reseat": [{"unplug": part}, {"plug": part}],
        "reprogram": [{"program": part}],
        "set": [{"set": part}],
    }
    held = draft.data.get("discharge")
    steps: list[Any] = [{"unplug": "everything"}, {"discharge": held or "10 s"}]
    if held and action in done and action not in STORED_ACTIONS:
        steps = []  # every fix without power begins so
    steps += done.get(action, [])
    if action in ("replace", "reflow"):
        steps += _read_after(draft.family(), part)
    while line := talk.maybe("A step more, in words", plain):
        steps.append(line)
    return steps


def _read_after(family: Family, part: str) -> list[Any]:
    """The reading that shows a bridge under a part that was soldered, where the family has one."""
    for name in read_after_heat(family, family.parts[part]):
        if healthy := family.measurements[name].normal:  # a draft may not say it yet
            return [{"measure": name, "reads": healthy[0], "say": "Do so before power."}]
    return []


def _stated(talk: Talk, draft: Draft, name: str) -> dict[str, Any]:
    """What the fault reads: what the circuit foretells, most telling first, and what is added."""
    measurements = draft.family().measurements
    foretold = draft.foretold(name)
    odd = {
        id_: row
        for id_, row in foretold.items()
        if row and fsum(row.get(one, 0.0) for one in measurements[id_].normal) < 1 - _SURE
    }
    cause = draft.faults[name]["cause"]
    near = {cause.get("at"), *draft.family().parts[cause["part"]].nets}
    order = sorted(odd, key=lambda id_: (measurements[id_].net not in near, -max(odd[id_].values())))
    stated: dict[str, Any] = {id_: _shares(odd[id_]) for id_ in order[:_STATED]}
    for id_, value in stated.items():
        talk.say(f"  By the circuit, {id_} reads {value if isinstance(value, str) else ', '.join(value)}.")

    def entry(text: str) -> tuple[str, str]:
        id_, _, outcome = text.partition(" ")
        if id_ not in measurements:
            raise _no_measurement(id_, measurements)
        return id_, one_of(measurements[id_].outcomes)(outcome.strip())

    while True:
        what = "Another reading that tells it" if stated else "A reading that tells it"
        asked = f"{what}, as MEASUREMENT OUTCOME"
        got = talk.maybe(asked, entry) if stated else talk.ask(asked, entry)
        if got is None:
            return stated
        stated[got[0]] = got[1]


def _repeats(stated: Any, foretold: Mapping[str, float]) -> bool:
    """True where the circuit says the same, so that the record need not."""
    row = {stated: 1.0} if isinstance(stated, str) else stated
    apart: float = fsum(abs(row.get(one, 0.0) - foretold.get(one, 0.0)) for one in {*row, *foretold}) / 2
    return apart < SAME


def _shares(row: Mapping[str, float]) -> Any:
    """The outcome that stands for all, or the two likeliest with their shares in tenths."""
    ranked = sorted(row, key=lambda one: -row[one])
    if len(ranked) == 1 or row[ranked[0]] >= _SURE:
        return ranked[0]
    first = min(0.9, max(0.5, round(row[ranked[0]] / (row[ranked[0]] + row[ranked[1]]), 1)))
    return {ranked[0]: first, ranked[1]: round(1 - first, 1)}


def _proof(talk: Talk, draft: Draft, stated: Mapping[str, Any]) -> dict[str, str]:
    measurements = draft.family().measurements
    id_ = talk.choice("Which measurement proves the fix?", measurements, next(iter(stated)))
    return {
        id_: talk.choice("What must it read then?", measurements[id_].normal, measurements[id_].normal[0])
    }


def _example(talk: Talk, draft: Draft, stated: dict[str, Any], readings: Mapping[str, str]) -> dict[str, str]:
    """The readings of one real job. What it reads and is not stated yet is stated as it was read."""
    family = draft.family()
    meter = draft.book.meters[draft.book.shop.default_meter]
    taken: dict[str, str] = {}
    left = [f"{id_} {text}" for id_, text in readings.items() if id_ in family.measurements]

    def entry(text: str) -> tuple[str, str]:
        id_, _, typed = text.partition(" ")
        if id_ not in family.measurements:
            raise _no_measurement(id_, family.measurements)
        try:
            read(family.measurements[id_], meter, typed.strip())
        except ReadingError as error:
            raise RefusedError(str(error)) from error
        return id_, typed.strip()

    while True:
        asked = f"{'Another' if taken else 'A'} reading of a real job, as MEASUREMENT READING"
        got = talk.ask(asked, entry, left.pop(0)) if left else None
        got = got or (talk.maybe(asked, entry) if taken else talk.ask(asked, entry))
        if got is None:
            return taken
        taken[got[0]] = got[1]
        outcome = _outcome(family, meter, *got)
        if got[0] not in stated and outcome:
            stated[got[0]] = outcome


def _outcome(family: Family, meter: Meter, id_: str, typed: str) -> str | None:
    found = read(family.measurements[id_], meter, typed)
    if found.outcome is not None:
        return found.outcome
    outcomes = family.measurements[id_].outcomes.values()
    if found.value is None:
        return next((one.id for one in outcomes if one.range and one.range.high == float("inf")), None)
    return next(
        (one.id for one in outcomes if one.range and one.range.low <= found.value <= one.range.high), None
    )


def _no_measurement(id_: str, known: Iterable[str]) -> RefusedError:
    return RefusedError(f"'{id_}' is no measurement; {nearest(id_, known) or ', '.join(known)}")
