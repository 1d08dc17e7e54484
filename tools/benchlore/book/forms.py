"""The form of what a projection gives, as JSON Schema and from that as types for the site's scripts.

Both are made from the types of the records; what describes a field in the schema of its file describes it
here, too. So neither is kept in the repository: `benchlore export --schema` prints the one, and the check of
the scripts writes the other.
"""

from __future__ import annotations

import json
import types
from collections.abc import Mapping
from dataclasses import is_dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints, is_typeddict

from benchlore.book.model import (
    Family,
    Fault,
    Hazard,
    Meter,
    Retired,
    Shop,
    State,
    Symptom,
    Technique,
)
from benchlore.book.projection import Json, Projection
from benchlore.book.schemas import schema
from benchlore.quantity import Quantity

_PLAIN: Mapping[Any, str] = {str: "string", int: "integer", float: "number", bool: "boolean"}
_QUANTITY = {
    "text": ("string", "As the record has it."),
    "low": (["number", "null"], "Its lower end in the base unit; null where it is open."),
    "high": (["number", "null"], "Its upper end in the base unit; null where it is open."),
    "unit": ("string", "Base unit; empty for the over-range `open`."),
}
# The record kinds, with the name of their schema, and whether one file holds many of them.
_FILES: Mapping[type, tuple[str, bool]] = {
    Shop: ("shop", False),
    Symptom: ("symptoms", True),
    Hazard: ("hazards", True),
    Meter: ("meters", True),
    State: ("states", True),
    Technique: ("technique", False),
    Family: ("family", False),
    Fault: ("fault", False),
    Retired: ("fault", False),
}
# Scripts look these up by ids that they have from the data themselves.
_ALWAYS_THERE = frozenset({"Measurement", "Fault", "Outcome"})


def schema_of(projection: Projection, *kinds: type) -> Json:
    """The schema of a record of the first kind; the others, and all types within, are in its `$defs`."""
    forms = _Forms(projection)
    first, *others = kinds
    root = forms.record(first, {})
    for kind in others:
        forms.of(kind, {})
    return {**root, "title": _name(first), "$defs": forms.made}


class _Forms:
    """Collects the form of each type that is met, by its name."""

    def __init__(self, projection: Projection) -> None:
        self.projection = projection
        self.made: dict[str, Json] = {}
        self.named: dict[str, Any] = {}

    def of(self, hint: Any, described: Json) -> Json:
        """The form of a value of a type. `described`: its node in the schema of its file."""
        origin, arguments = get_origin(hint), get_args(hint)
        if origin is Annotated:
            return self.of(arguments[0], described)
        if origin in (Union, types.UnionType):
            given = [self.of(one, described) for one in arguments if one is not type(None)]
            return {"anyOf": [*given, {"type": "null"}]} if type(None) in arguments else {"anyOf": given}
        if origin is Literal:
            return {"enum": list(arguments)}
        if origin in (tuple, list):
            form = {"type": "array", "items": self.of(arguments[0], _of(described, "items"))}
            fixed = 0 if origin is list or Ellipsis in arguments else len(arguments)
            return form | ({"minItems": fixed, "maxItems": fixed} if fixed else {})
        if origin in (Mapping, dict):
            return {
                "type": "object",
                "additionalProperties": self.of(arguments[1], _of(described, "additionalProperties")),
            }
        if hint is Quantity:
            self.made[hint.__name__] = _closed(
                {key: {"type": kind, "description": says} for key, (kind, says) in _QUANTITY.items()},
                "A value with its interval.",
            )
        elif is_dataclass(hint) or is_typeddict(hint):
            name = _name(hint)
            if self.named.setdefault(name, hint) is not hint:
                raise ValueError(f"two types are named {name}: {hint} and {self.named[name]}")
            if name not in self.made:
                self.made[name] = self.record(hint, described)
        else:
            return {"enum": described["enum"]} if "enum" in described else {"type": _PLAIN[hint]}
        return {"$ref": f"#/$defs/{_name(hint)}"}

    def record(self, kind: Any, described: Json) -> Json:
        """The form of a record, or of what a finder gives."""
        says = (kind.__doc__ or "").strip().split("\n")[0]
        if is_typeddict(kind):
            return _closed(dict(self._found(kind)), says)
        if kind in _FILES:
            name, many = _FILES[kind]
            described = _of(dict(schema(name)), "additionalProperties") if many else dict(schema(name))
        form: dict[str, Json] = {}
        dressed: dict[str, dict[str, Json]] = {}
        for field in self.projection.fields_of(kind):
            node = _property(described, field.key)
            value = self.of(field.hint, node)
            if says_it := node.get("description", "Its id." if field.key == "id" else ""):
                value = {**value, "description": says_it}
            dresses = self.projection.dresses_of(kind, field)
            for dress in dresses:
                dressed.setdefault(dress.key, {})[field.key] = _texts(value)
            if not any(dress.instead for dress in dresses):
                form[field.key] = value
        form |= {key: _closed(inner, "As people read them.") for key, inner in dressed.items()}
        if kind in self.projection.adds:
            form |= self._found(get_type_hints(self.projection.adds[kind])["return"])
        return _closed(form, says)

    def _found(self, kind: Any) -> dict[str, Json]:
        found = {}
        for key, hint in get_type_hints(kind, include_extras=True).items():
            says = (
                next((one for one in get_args(hint)[1:] if isinstance(one, str)), "")
                if (get_origin(hint) is Annotated)
                else ""
            )
            form = self.of(hint, {})
            found[key] = {**form, "description": says} if says else form
        return found


def _closed(properties: Mapping[str, Json], says: str) -> Json:
    return {
        "type": "object",
        **({"description": says} if says else {}),
        "additionalProperties": False,
        "required": list(properties),
        "properties": dict(properties),
    }


def _texts(form: Json) -> Json:
    """The form of a value that is given as texts: its innermost values are strings."""
    if form.get("type") == "array":
        return {**form, "items": _texts(form["items"])}
    if form.get("type") == "object":
        return {**form, "additionalProperties": _texts(form["additionalProperties"])}
    if "anyOf" in form:
        return {"anyOf": [{"type": "string"}, {"type": "null"}], "description": form.get("description", "")}
    return {"type": "string", "description": form.get("description", "")}


def _name(kind: Any) -> str:
    name: str = kind.__name__
    return name.lstrip("_")


def _of(described: Json, key: str) -> Json:
    """The node of the items or of the values; of what may be written shorter, the long form."""
    long = described if key in described else next(iter(reversed(described.get("oneOf", []))), {})
    node = long.get(key, {})
    node = node if isinstance(node, Mapping) else {}
    return dict(node.get("oneOf", [node])[-1])


def _property(described: Json, key: str) -> Json:
    return dict(described.get("properties", {}).get(key, {}))


def declarations(form: Json, prefix: str) -> str:
    """TypeScript interfaces of a schema and of its definitions, each name after `prefix`."""
    forms = {**form["$defs"], form["title"]: form}
    return "\n\n".join(_interface(f"{prefix}{name}", one, prefix) for name, one in forms.items()) + "\n"


def _interface(name: str, form: Json, prefix: str) -> str:
    lines = []
    for key, one in form["properties"].items():
        if says := one.get("description"):
            lines.append(f"  /** {says} */")
        lines.append(f"  readonly {key}: {_type(one, prefix)};")
    return "\n".join([f"interface {name} {{", *lines, "}"])


def _type(form: Json, prefix: str) -> str:
    if "$ref" in form:
        return prefix + str(form["$ref"]).rpartition("/")[2]
    if "anyOf" in form:
        return " | ".join(_type(one, prefix) for one in form["anyOf"])
    if "enum" in form:
        return " | ".join(json.dumps(one) for one in form["enum"])
    match form["type"]:
        case "array":
            inner = _type(form["items"], prefix)
            if "maxItems" in form:
                return f"readonly [{', '.join([inner] * form['maxItems'])}]"
            return (
                f"readonly ({inner})[]"
                if "|" in inner or inner.startswith("readonly ")
                else f"readonly {inner}[]"
            )
        case "object" if "properties" in form:
            fields = "; ".join(f"readonly {k}: {_type(one, prefix)}" for k, one in form["properties"].items())
            return f"{{ {fields} }}"
        case "object":
            inner = _type(form["additionalProperties"], prefix)
            there = inner.removeprefix(prefix) in _ALWAYS_THERE
            return f"Readonly<Record<string, {inner}{'' if there else ' | undefined'}>>"
        case list() as several:
            return " | ".join(_type({"type": one}, prefix) for one in several)
        case "integer":
            return "number"
        case plain:
            return str(plain)
