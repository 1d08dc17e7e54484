"""The fields of every record kind, read from its JSON Schema: what a contributor can write, and where.

A text whose description ends in the schemas' words for markup is called prose.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from benchlore.book.ids import fault_id, file_of
from benchlore.book.schemas import schema

Schema = Mapping[str, Any]
PROSE = " Plain words; *emphasis*, `code` and links to https pages are allowed."


@dataclass(frozen=True, slots=True)
class Field:
    """A line of the field reference: the names that lead to a field, the last one its own.

    `chosen`: the writer chooses the name; it then says how such a name is formed.
    """

    path: tuple[str, ...]
    mandatory: bool
    form: str
    description: str
    chosen: bool = False

    @property
    def name(self) -> str:
        """The field's own name."""
        return self.path[-1]

    @property
    def depth(self) -> int:
        """How many names stand above it."""
        return len(self.path) - 1

    @property
    def anchor(self) -> str:
        """A name for links, unique among the fields of its kind."""
        return re.sub(r"[^a-z0-9]+", "-", "-".join(self.path).lower()).strip("-")


@dataclass(frozen=True, slots=True)
class Kind:
    """A record kind with its fields in the order of the schema."""

    id: str
    title: str
    file: str
    description: str
    fields: tuple[Field, ...]


# The record kinds in the order of the page, with an id of each.
_KINDS = {
    "fault": fault_id("FAMILY", "NAME"),
    "family": "FAMILY",
    "subsystem": fault_id("FAMILY", "NAME"),
    "symptoms": "symptoms",
    "hazards": "hazards",
    "states": "states",
    "technique": "NAME",
    "meters": "meters",
    "words": "words",
    "shop": "shop",
}


def kinds() -> tuple[Kind, ...]:
    """Every record kind, the one that is written most often first."""
    return tuple(_kind(name, file_of(name, key)) for name, key in _KINDS.items())


def _kind(name: str, file: str) -> Kind:
    top = schema(name)
    return Kind(name, top["title"], file, top["description"], tuple(_within(top, ())))


def _within(node: Schema, path: tuple[str, ...]) -> Iterator[Field]:
    """The fields of a mapping: those it names, and those whose names the writer chooses."""
    mandatory = _mandatory(node)
    for name, value in node.get("properties", {}).items():
        if value is not True:
            yield _field(value, (*path, name), name in mandatory)
            yield from _below(value, (*path, name))
    for value in node.get("patternProperties", {}).values():
        yield _field(value, (*path, value["title"]), mandatory=False, chosen=True)
    for way in ("else", "then"):
        if "properties" in node.get(way, {}):
            yield from _within(node[way], path)
    value = node.get("additionalProperties")
    if isinstance(value, Mapping):
        pattern = node.get("propertyNames", {})
        hint = pattern.get("description") or "one of " + ", ".join(pattern.get("enum", ["the rules"]))
        yield _field(value, (*path, hint), mandatory=False, chosen=True)
        yield from _below(value, (*path, hint))


def _mandatory(node: Schema) -> Sequence[str]:
    """What has to be there, as long as it is not retired and like no other record."""
    while "required" not in node and "else" in node:
        node = node["else"]
    return tuple(node.get("required", ()))


def _field(node: Schema, path: tuple[str, ...], mandatory: bool, chosen: bool = False) -> Field:
    description = node.get("description", "")
    said = description.removesuffix(PROSE)
    return Field(path, mandatory, "prose" if said != description else form(node), said, chosen)


def _below(node: Schema, path: tuple[str, ...]) -> Iterator[Field]:
    if "items" in node and isinstance(node["items"], Mapping):
        yield from _below(node["items"], path)
    for branch in node.get("oneOf", ()):
        if branch.get("type") == "object":
            yield from _below(branch, path)
    if node.get("type") == "object" and "oneOf" not in node:
        yield from _within(node, path)


def form(node: Schema) -> str:
    """What a field holds, in a few words."""
    if "oneOf" in node:
        return " or ".join(form(branch) for branch in node["oneOf"])
    if "const" in node:
        return json.dumps(node["const"])
    if "enum" in node:
        return "one of " + ", ".join(str(choice) for choice in node["enum"])
    if "prefixItems" in node:
        return "[" + ", ".join(form(item) for item in node["prefixItems"]) + "]"
    types = node["type"] if isinstance(node["type"], list) else [node["type"]]
    return " or ".join(_form(kind, node) for kind in types)


def _form(kind: str, node: Schema) -> str:
    if kind == "array":
        prose = node["items"].get("description", "").endswith(PROSE)
        return f"list: {'prose' if prose else form(node['items'])}"
    if kind == "string" and "format" in node:
        return {"quantity": "quantity", "length": "length in mm"}[node["format"]]
    words = {
        "string": "text",
        "integer": "whole number",
        "number": "number",
        "boolean": "true or false",
        "object": "mapping",
    }
    return words[kind]
