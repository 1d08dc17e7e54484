"""What a fault pattern may write shorter or leave to its own words, on plain data that fit their schema.

A reading of a test point stands beside the name of its measurement, `- adapter-at-inlet: low`, and how a part
has failed beside its designator, `F1: open`; what the fix does to the part at fault is its `action`; a proof
names its measurements alone. `in_full` gives what the records are made of, `shortened` what stands in a file.
Of what a symptom comes of in a family, the names may stand alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from benchlore.book.schemas import written_out
from benchlore.book.yaml_reader import Mark, Marks
from benchlore.findings import Path
from benchlore.vocabulary import VERBS

Raw = Mapping[str, Any]
# What a cause in full says of how its part has failed.
_WAYS = ("mode", "variants")


def in_full(fault: Raw) -> Raw:
    """The data of a fault pattern with all that it wrote shorter. Without an action that follows from the
    steps, `fix` still lacks one."""
    full = dict(fault)
    if "test_points" in fault:
        full["test_points"] = [_stated(one) for one in fault["test_points"]]
    if "cause" in fault:
        full["cause"] = cause_in_full(fault["cause"])
    if "fix" in fault and "action" not in fault["fix"] and (action := action_of(full)):
        full["fix"] = {"action": action, **fault["fix"]}
    return full


def shortened(fault: Raw, normal: Mapping[str, str]) -> Raw:
    """The data of a fault pattern as a file has them; `in_full` and the family give them back. `normal`: of
    each measurement of the family what a proof by its name alone means, or nothing."""
    short = dict(fault)
    if "test_points" in fault:
        short["test_points"] = [_written(one) for one in fault["test_points"]]
    if "cause" in fault:
        short["cause"] = _cause_shortened(fault["cause"])
    if "fix" in fault:
        short["fix"] = fix = dict(fault["fix"])
        if fix.get("action") == action_of(fault):
            del fix["action"]
        proof = fix.get("confirm")
        if isinstance(proof, Mapping) and all(normal.get(name) == read for name, read in proof.items()):
            fix["confirm"] = list(proof)
    return short


def schema_in_full(fault: Raw) -> Raw:
    """The schema of a fault pattern's file as that of its data in full."""
    fields = fault["properties"]
    points, fix = fields["test_points"], fields["fix"]
    long = written_out(points["items"])
    points = {**points, "items": {key: long[key] for key in long if key not in ("if", "then", "else")}}
    parts = fix["properties"]
    proof = {"description": parts["confirm"]["description"], **fault["$defs"]["proof"]}
    fix = {**fix, "properties": {**parts, "confirm": proof}, "required": ["action", *fix["required"]]}
    cause = {key: value for key, value in fields["cause"].items() if key != "patternProperties"}
    cause["required"] = ["part", *cause["required"]]
    return {**fault, "properties": {**fields, "test_points": points, "cause": cause, "fix": fix}}


def cause_in_full(cause: Any) -> Any:
    """A cause with its part and its mode, or its variants, named; one that names no part, or several, or says
    twice how its part has failed, stays as it is (`wrong_cause`)."""
    parts = _designators(cause)
    if len(parts) != 1 or not cause.keys().isdisjoint(("part", *_WAYS)):
        return cause
    (part,) = parts
    failed, rest = cause[part], {key: value for key, value in cause.items() if key != part}
    if isinstance(failed, Mapping):
        ways = [{"mode": mode, "share": share} for mode, share in failed.items()]
        return {"part": part, "variants": ways, **rest}
    return {"part": part, "mode": failed, **rest}


def _cause_shortened(cause: Raw) -> Raw:
    rest = {key: value for key, value in cause.items() if key not in ("part", *_WAYS)}
    ways = cause.get("variants", ())
    modes = {way["mode"]: way["share"] for way in ways if way.keys() == {"mode", "share"}}
    if "part" in cause and "mode" in cause and not ways:
        return {cause["part"]: cause["mode"], **rest}
    if "part" in cause and "mode" not in cause and ways and len(modes) == len(ways):
        return {cause["part"]: modes, **rest}
    return cause


def wrong_cause(fault: Raw, own: Raw) -> tuple[str, str, str]:
    """What is wrong with the parts that a cause in full names, as rule, message and mend; nothing where it
    names one and says once how it has failed. `own`: the fault's own data, without what it is like."""
    cause = fault.get("cause")
    if twice := _said_twice(own.get("cause")) or _said_twice(cause):
        return "wrong-value", f"how {twice} has failed is said twice", "keep one of them"
    named = [*(["part"] if isinstance(cause, Mapping) and "part" in cause else []), *_designators(cause)]
    if cause is None or len(named) == 1:
        return "", "", ""
    if not named:
        mend = "write it with how it has failed, such as 'F1: open'"
        return "missing-field", "the part at fault is missing", mend
    listed = " and ".join(f"'{name}'" for name in named)
    mend = "keep one; what it takes along stands under 'then'"
    return "missing-field", f"{listed} name a part at fault", mend


def _said_twice(cause: Any) -> str:
    """The designator of a cause that says beside it, and once more in `_WAYS`, how the part has failed."""
    parts = _designators(cause)
    twice = len(parts) == 1 and "part" not in cause and not cause.keys().isdisjoint(_WAYS)
    return parts[0] if twice else ""


def _designators(cause: Any) -> list[str]:
    # Those of the schema; the fields of a cause are written small.
    return [key for key in cause if str(key)[:1].isupper()] if isinstance(cause, Mapping) else []


def marks_in_full(marks: Marks) -> Marks:
    """The marks of a text with those of the fields that are put in: of a fault pattern those of
    `cause_in_full`, of a family the names that a symptom comes of."""
    if ("symptoms",) in marks.keys:
        listed = [path for path in marks.values if path[:1] == ("symptoms",) and len(path) == 3]
        named: dict[Path, Mark] = {
            (*p[:2], "of", p[2]): marks.values[p] for p in listed if isinstance(p[2], int)
        }
        return Marks({**named, **marks.values}, marks.keys)
    return _with_cause(marks)


def _with_cause(marks: Marks) -> Marks:
    at = next((path for path in marks.keys if path[:1] == ("cause",) and _designators({path[-1]: 0})), None)
    if at is None or len(at) != 2 or ("cause", "part") in marks.keys:
        return marks
    part, failed = marks.keys[at], marks.values[at]
    values: dict[Path, Mark] = {
        ("cause", "part"): part,
        ("cause", "mode"): failed,
        ("cause", "variants"): failed,
    }
    for i, way in enumerate(path for path in marks.keys if len(path) == 3 and path[:2] == at):
        one: Path = ("cause", "variants", i)
        values |= {one: marks.keys[way], (*one, "mode"): marks.keys[way], (*one, "share"): marks.values[way]}
    return Marks({**values, **marks.values}, marks.keys)


def _stated(point: Raw) -> Raw:
    if "measure" in point:
        return point
    (measure,) = (key for key in point if key != "note")
    note = {"note": point["note"]} if "note" in point else {}
    return {"measure": measure, "expected_reading": point[measure], **note}


def _written(point: Raw) -> Raw:
    rest = {key: value for key, value in point.items() if key not in ("measure", "expected_reading")}
    return {point["measure"]: point["expected_reading"], **rest}


def action_of(fault: Raw) -> str:
    """What the steps of a fix do: the last that is done to the part at fault, else the last of all; a step
    that only some jobs take counts where no other does. Empty where no verb says it.

    What is taken off is put back or replaced, so that a step forgotten is found; a fix that leaves it off
    says 'action: remove'."""
    part = fault.get("cause", {}).get("part")
    found = ("", (False, False))
    for step in fault.get("fix", {}).get("steps", ()):
        for verb in VERBS.values():
            if isinstance(step, Mapping) and verb.id in step and verb.action:
                weight = (part in _operands(step[verb.id]), "if" not in step)
                if weight >= found[1]:
                    found = ("replace" if verb.action == "remove" else verb.action, weight)
    return found[0]


def _operands(given: Any) -> list[Any]:
    listed = given if isinstance(given, list) else [given]
    return [one.get("part") if isinstance(one, Mapping) else one for one in listed]
