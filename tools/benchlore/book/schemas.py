"""Check records against the JSON Schemas, and say what is wrong in the schema's own words."""

from __future__ import annotations

import hashlib
import json
import math
import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

from benchlore.cache import code_of
from benchlore.findings import Origin, Problem, nearest
from benchlore.quantity import MAX_TEXT, QuantityError, parse_quantity
from benchlore.shipped import home
from benchlore.vocabulary import with_enums

# Ids become file names, and file systems take 255 bytes of name.
MAX_ID = 80
# The smallest and the largest number that a quantity may hold, in its base unit. What a bench meets, from
# picofarads to gigahertz, lies far inside, and no sum of the circuit laws runs over.
_SMALLEST, _LARGEST = 1e-15, 1e15
# So many mistakes are looked for in the form of a file; more of them say nothing new.
MOST_ERRORS = 1000
# Blank to the eye, though Unicode counts them among the letters and symbols.
_BLANKS = frozenset("\u115f\u1160\u2800\u3164\uffa0")

_CODE = ("book", "findings.py", "quantity.py", "vocabulary.py")
KINDS = (
    "fault",
    "family",
    "subsystem",
    "symptoms",
    "hazards",
    "meters",
    "states",
    "technique",
    "shop",
    "words",
)


def schema_folder() -> Path:
    """The folder of the schema files."""
    return home() / "schema"


@cache
def code() -> str:
    """A hash of what a file's form is judged and read by: the schemas, and the code below the rules."""
    digest = hashlib.sha256(code_of(*_CODE, packages=("jsonschema", "pyyaml")).encode())
    for path in sorted(schema_folder().glob("*.schema.json")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


@cache
def schema(kind: str) -> Mapping[str, Any]:
    """The JSON Schema of a record kind (or of an output, by file name without `.schema.json`).

    It is whole: what its file takes from definitions, its own or another file's, stands in it.
    """
    whole: Mapping[str, Any] = _whole(as_written(kind), kind)
    return whole


@cache
def as_written(kind: str) -> Mapping[str, Any]:
    """The JSON Schema of a kind as its file has it: it names what it takes from definitions."""
    text = (schema_folder() / f"{kind}.schema.json").read_text(encoding="utf-8")
    filled: Mapping[str, Any] = with_enums(json.loads(text))
    return filled


def written_out(node: Mapping[str, Any]) -> Mapping[str, Any]:
    """The form of what may be written shorter, written out: `then`, with what `node` says of both."""
    long = node.get("then", {})
    return {**node, **long, "properties": {**long.get("properties", {}), **node.get("properties", {})}}


def _whole(node: Any, kind: str, within: tuple[tuple[str, str], ...] = ()) -> Any:
    """A node of a file with each `$ref` filled in; what stands beside one goes before what it names.

    A definition that holds itself, as a tree does, is filled in once and named within: `within` is what is
    being filled in. Only the file that is asked for may have one, since its `$defs` alone stay.
    """
    if isinstance(node, list):
        return [_whole(item, kind, within) for item in node]
    if not isinstance(node, Mapping):
        return node
    own = {key: _whole(value, kind, within) for key, value in node.items() if key != "$ref"}
    if "$ref" not in node:
        return own
    file, _, path = str(node["$ref"]).partition("#/$defs/")
    other = file.removesuffix(".schema.json") or kind
    if (other, path) in within:
        return {"$ref": f"#/$defs/{path}", **own}
    return {**_whole(as_written(other)["$defs"][path], other, (*within, (other, path))), **own}


@cache
def _validator(kind: str) -> Draft202012Validator:
    checker = FormatChecker(formats=())
    checker.checks("quantity", raises=QuantityError)(_is_quantity)
    checker.checks("length", raises=QuantityError)(_is_length)
    ours = {"pattern": _pattern, "minLength": _min_length}
    validator = extend(Draft202012Validator, ours)  # type: ignore[no-untyped-call]
    made: Draft202012Validator = validator(schema(kind), format_checker=checker)
    return made


def _pattern(_: object, pattern: str, value: object, rule: Mapping[str, Any]) -> Iterator[ValidationError]:
    """As ECMA-262 has it: `$` is the very end, never before a last newline, and `\\d` is 0 to 9 alone.

    No pattern is tried on a text that is too long: `maxLength` has said so.
    """
    if isinstance(value, str) and len(value) > rule.get("maxLength", len(value)):
        return
    python = f"{pattern[:-1]}\\Z" if pattern.endswith("$") else pattern
    if isinstance(value, str) and not re.search(python, value, re.ASCII):
        yield ValidationError(f"{value!r} does not match {pattern!r}")


def _min_length(_: object, least: int, value: object, __: object) -> Iterator[ValidationError]:
    """Counts what can be seen: a text of blanks says as little as none."""
    if isinstance(value, str) and sum(map(_is_seen, value)) < least:
        yield ValidationError(f"{value!r} is too short")


def _is_seen(char: str) -> bool:
    return unicodedata.category(char)[0] not in "CZM" and char not in _BLANKS


def _is_quantity(value: object) -> bool:
    if isinstance(value, str) and len(value) <= MAX_TEXT:  # a longer one is refused by its length
        quantity = parse_quantity(value)
        for end in (abs(quantity.low), abs(quantity.high)):
            if _LARGEST < end < math.inf or 0 < end < _SMALLEST:
                size = "large" if end > 1 else "small"
                raise QuantityError(f"'{value}' is too {size} to be meant", "check the number and its prefix")
    return True


def _is_length(value: object) -> bool:
    if isinstance(value, str) and len(value) <= MAX_TEXT:
        length = parse_quantity(value)
        if length.unit != "mm" or length.nominal is None or length.low != length.high:
            raise QuantityError(f"'{value}' is not a length", "write one value in mm, such as '41 mm'")
    return True


def shape_problems(kind: str, file: str, data: object) -> Iterator[tuple[str, Problem]]:
    """Everything in which `data` departs from the schema of its kind, as (rule id, problem)."""
    made = islice(_validator(kind).iter_errors(data), MOST_ERRORS)
    errors = sorted(made, key=lambda e: [str(p) for p in e.absolute_path])
    found = [problem for error in errors for problem in _problems(file, error)]
    # A misspelt field is one mistake, though one field is unknown and another missing.
    misspelt = {(p.origin.path[:-1], p.mend) for rule, p in found if rule == "unknown-field"}
    for rule, problem in found:
        name = problem.message.removeprefix("the field '").removesuffix("' is missing")
        if rule != "missing-field" or (problem.origin.path, f"did you mean '{name}'?") not in misspelt:
            yield rule, problem


def _problems(file: str, error: ValidationError) -> Iterator[tuple[str, Problem]]:
    origin = Origin(file, tuple(error.absolute_path))
    rule: Mapping[str, Any] = error.schema if isinstance(error.schema, Mapping) else {}
    demanded: Any = error.validator_value
    value: Any = error.instance
    match error.validator:
        case "additionalProperties":
            known = list(rule.get("properties", {}))
            patterns = [*rule.get("patternProperties", {})]
            others = (k for k in value if k not in known and not any(re.search(p, k) for p in patterns))
            for key in islice(others, MOST_ERRORS):
                message = f"'{key}' is not a field here"
                is_small = any(re.search(p, key.upper()) for p in patterns)
                mend = f"did you mean '{key.upper()}'?" if is_small else nearest(key, known)
                yield "unknown-field", Problem(origin.at(key), message, mend, True)
        case "required":
            missing = [name for name in demanded if name not in value]
            name = next((m for m in missing if error.message.startswith(f"'{m}'")), missing[0])
            hint = _description(rule, name)
            yield "missing-field", Problem(origin, f"the field '{name}' is missing", hint, True)
        case "pattern" if "propertyNames" in error.absolute_schema_path:
            hint = f"use {rule['description']}" if "description" in rule else ""
            yield (
                "wrong-value",
                Problem(origin.at(str(value)), f"{_show(value)} is not well formed", hint, True),
            )
        case "maxLength" if "propertyNames" in error.absolute_schema_path:
            message = f"{_show(value)} has {len(value)} characters; a name has at most {demanded}"
            yield "wrong-value", Problem(origin.at(str(value)), message, "shorten it", True)
        case "minLength" if "propertyNames" in error.absolute_schema_path:
            yield "wrong-value", Problem(origin.at(str(value)), "this name is blank", "give it a name", True)
        case "oneOf" | "anyOf":
            yield from _branches(origin, error, str(rule.get("description", "")))
        case _:
            rule_id, message, mend = _wording(error, str(rule.get("description", "")))
            yield rule_id, Problem(origin, message, mend)


def _wording(error: ValidationError, what: str) -> tuple[str, str, str]:
    """Rule id, message and mend for a value that its field does not take; `what` describes the field."""
    field = f"this field holds: {what}" if what else ""
    demanded: Any = error.validator_value
    match error.validator:
        case "format" if isinstance(error.cause, QuantityError):
            return "malformed-quantity", error.cause.reason, error.cause.mend
        case "enum":
            near = nearest(str(error.instance), [str(choice) for choice in demanded])
            return "wrong-value", f"{_show(error.instance)} is not allowed here", near
        case "type" | "oneOf" | "anyOf" if error.instance is None:
            name = _name(error)
            message = f"nothing stands behind '{name}:'" if name else "nothing stands here"
            return "wrong-type", message, "; ".join(said for said in ("write its value", field) if said)
        case "type":
            mend = "; ".join(said for said in (_form(error), field) if said)
            return "wrong-type", f"{_show(error.instance)} is not {_type_words(demanded)}", mend
        case "minItems" | "minProperties" | "minLength":
            return "wrong-value", "this is empty, blank or too short", field
        case "maxProperties" if what:
            return "wrong-value", "more stands here than belongs together", field
        case "maxProperties":
            message = "nothing else may stand beside 'moved_to' or 'retired'"
            return "wrong-value", message, "take the rest out"
        case "maxLength":
            size = f"this has {len(str(error.instance))} characters; at most {demanded} fit"
            return "wrong-value", size, "; ".join(said for said in ("shorten it", field) if said)
        case "uniqueItems":
            return "wrong-value", "an entry stands twice", "keep one of them"
        case "dependentRequired":
            value: Any = error.instance
            given = next(n for n in demanded if n in value and set(demanded[n]) - set(value))
            lacks = [name for name in demanded[given] if name not in value]
            return "missing-field", f"'{given}' stands without {' and '.join(lacks)}", "add what is missing"
        case _:
            return "wrong-value", f"{_show(error.instance)} does not fit: {_limit(error)}", field


def _name(error: ValidationError) -> str:
    """The name that the value stands behind; empty where it stands behind none."""
    return next((key for key in reversed(error.absolute_path) if isinstance(key, str)), "")


def _form(error: ValidationError) -> str:
    """How a list or a mapping is written, with the field's own name; nothing for plain values."""
    name = _name(error) or "name"
    if error.validator_value == "array":
        return f"write '{name}: [one, two]', or below it a line with '- ' for each"
    if error.validator_value == "object":
        rest: Any = error.schema.get("additionalProperties") if isinstance(error.schema, Mapping) else None
        value = rest["enum"][0] if isinstance(rest, Mapping) and "enum" in rest else "value"
        return f"write below it, two blanks further in: 'name: {value}'"
    return ""


def _branches(origin: Origin, error: ValidationError, what: str) -> Iterator[tuple[str, Problem]]:
    """Of several shapes, report the one that the value was meant to have: the one of its own type."""
    context = list(error.context or ())
    others = {e.schema_path[0] for e in context if e.validator == "type" and not e.relative_path}
    nested = [e for e in context if e.schema_path[0] not in others]
    value: Any = error.instance
    alone = isinstance(value, Mapping) and len(value) == 1
    types = [e.validator_value for e in context if e.validator == "type"]
    if alone and "string" in types and any(e.validator == "minProperties" for e in nested):
        (only,) = value
        mend = f"write '{_name(error)}: {only}'"
        yield "wrong-value", Problem(origin, "one way alone stands here, with a share", mend)
        # What is alone has no share: how much it is says nothing more.
        nested = [e for e in nested if e.validator not in ("minProperties", "exclusiveMaximum")]
    elif not nested and value is None:
        rule_id, message, mend = _wording(error, what)
        yield rule_id, Problem(origin, message, mend)
    elif not nested:
        fitting = " or ".join(map(_type_words, types)) or "what belongs here"
        mend = f"this field holds: {what}" if what else ""
        yield "wrong-type", Problem(origin, f"{_show(value)} is not {fitting}", mend)
    for inner in nested:
        yield from _problems(origin.file, inner)


def _description(rule: Mapping[str, Any], name: str) -> str:
    entry = rule.get("properties", {}).get(name)
    if not isinstance(entry, Mapping):
        return f"add '{name}:'"
    return f"add '{name}:': {entry.get('description', '')}"


def _limit(error: ValidationError) -> str:
    words = {
        "minimum": "at least",
        "exclusiveMinimum": "more than",
        "maximum": "at most",
        "exclusiveMaximum": "less than",
        "pattern": "the form is",
        "maxItems": "entries at most",
    }
    return f"{words.get(str(error.validator), str(error.validator))} {error.validator_value}"


def _show(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False, default=str) if not isinstance(value, str) else f"'{value}'"
    return text if len(text) <= 60 else f"{text[:57]}..."


def _type_words(names: object) -> str:
    words = {
        "object": "a set of lines 'name: value'",
        "array": "a list",
        "string": "a text",
        "number": "a number",
        "integer": "a whole number",
        "boolean": "true or false",
        "null": "nothing",
    }
    listed = names if isinstance(names, list) else [names]
    return " or ".join(words.get(str(name), str(name)) for name in listed)
