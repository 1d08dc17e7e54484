"""The form of what a projection gives, as JSON Schema and from that as types for the site's scripts.

Both are made from the types of the records; what describes a field in the schema of its file describes it
here, too. So neither is kept in the repository: `benchlore export --schema` prints the one, and the check of
the scripts writes the other.
"""

from __future__ import annotations

import json
import types
from collections.abc import Collection, Mapping
from dataclasses import dataclass, is_dataclass
from typing import (
    Annotated,
    Any,
    Literal,
    NotRequired,
    Union,
    get_args,
    get_origin,
    get_type_hints,
    is_typeddict,
)

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
    Word,
)
from benchlore.book.projection import Json, Projection
from benchlore.book.schemas import schema, written_out
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
    Word: ("words", True),
    Technique: ("technique", False),
    Family: ("family", False),
    Fault: ("fault", False),
    Retired: ("fault", False),
}


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
        if origin in (Annotated, NotRequired):
            return self.of(arguments[0], described)
        if origin in (Union, types.UnionType):
            given = [self.of(one, described) for one in arguments if one is not type(None)]
            return {"anyOf": [*given, {"type": "null"}]} if type(None) in arguments else {"anyOf": given}
        if origin is Literal:
            return {"enum": list(arguments)}
        if origin is tuple and Ellipsis not in arguments and len(set(arguments)) > 1:
            items = [self.of(one, {}) for one in arguments]
            return {"type": "array", "prefixItems": items, "minItems": len(items), "maxItems": len(items)}
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
            left_out = {key for key, hint in _hints(kind).items() if get_origin(hint) is NotRequired}
            return _closed(dict(self._found(kind)), says, left_out)
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
                place = dressed.setdefault(dress.key, {}) if dress.key else form
                place[field.key] = _texts(value)
            if not any(dress.instead for dress in dresses):
                form[field.key] = value
        form |= {key: _closed(inner, "As people read them.") for key, inner in dressed.items()}
        if kind in self.projection.adds:
            form |= self._found(get_type_hints(self.projection.adds[kind])["return"])
        return _closed(form, says)

    def _found(self, kind: Any) -> dict[str, Json]:
        found = {}
        for key, hint in _hints(kind).items():
            says = (
                next((one for one in get_args(hint)[1:] if isinstance(one, str)), "")
                if (get_origin(hint) is Annotated)
                else ""
            )
            form = self.of(hint, {})
            found[key] = {**form, "description": says} if says else form
        return found


def _hints(kind: Any) -> Mapping[str, Any]:
    return get_type_hints(kind, include_extras=True)


def _closed(properties: Mapping[str, Json], says: str, left_out: Collection[str] = ()) -> Json:
    return {
        "type": "object",
        **({"description": says} if says else {}),
        "additionalProperties": False,
        "required": [key for key in properties if key not in left_out],
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
    return dict(written_out(node) if "then" in node else node.get("oneOf", [node])[-1])


def _property(described: Json, key: str) -> Json:
    return dict(described.get("properties", {}).get(key, {}))


def declarations(form: Json, prefix: str, there: frozenset[str] = frozenset()) -> str:
    """TypeScript declarations of a schema and of its definitions, each name after `prefix`.

    `there`: types that scripts look up by ids that they have from the data, so they are always there.
    """
    forms = {**form.get("$defs", {}), form["title"]: form}
    declarer = _Declarer(prefix, there)
    return "\n\n".join(declarer.declared(name, one) for name, one in forms.items()) + "\n"


def _named(name: str, prefix: str) -> str:
    """`Bench` and `jobResult`: `BenchJobResult`."""
    return prefix + name[0].upper() + name[1:]


@dataclass(frozen=True, slots=True)
class _Declarer:
    prefix: str
    there: frozenset[str]

    def declared(self, name: str, form: Json) -> str:
        """An interface, or another name of a type."""
        if "properties" not in form:
            return f"type {_named(name, self.prefix)} = {self.of(form)};"
        lines = []
        for key, one in form["properties"].items():
            if says := one.get("description"):
                lines.append(f"  /** {says} */")
            lines.append(f"  {self.field(form, key)};")
        return "\n".join([f"interface {_named(name, self.prefix)} {{", *lines, "}"])

    def field(self, form: Json, key: str) -> str:
        """One of the fields of an object."""
        return f"readonly {key}{'' if key in form['required'] else '?'}: {self.of(form['properties'][key])}"

    def of(self, form: Json) -> str:
        """The type of a value."""
        if "$ref" in form:
            return _named(str(form["$ref"]).rpartition("/")[2], self.prefix)
        if choices := form.get("anyOf") or form.get("oneOf"):
            return " | ".join(self.of(one) for one in choices)
        if "const" in form:
            return json.dumps(form["const"])
        if "enum" in form:
            return " | ".join(json.dumps(one) for one in form["enum"])
        match form["type"]:
            case "array" if "prefixItems" in form:
                return f"readonly [{', '.join(self.of(one) for one in form['prefixItems'])}]"
            case "array":
                inner = self.of(form["items"])
                if "maxItems" in form:
                    return f"readonly [{', '.join([inner] * form['maxItems'])}]"
                closed = "|" in inner or inner.startswith("readonly ")
                return f"readonly ({inner})[]" if closed else f"readonly {inner}[]"
            case "object" if "properties" in form:
                return f"{{ {'; '.join(self.field(form, key) for key in form['properties'])} }}"
            case "object":
                inner = self.of(form["additionalProperties"])
                there = inner.removeprefix(self.prefix) in self.there
                return f"Readonly<Record<string, {inner}{'' if there else ' | undefined'}>>"
            case list() as several:
                return " | ".join(self.of({"type": one}) for one in several)
            case "integer":
                return "number"
            case plain:
                return str(plain)
