"""Records as a person would have written them: on one line what belongs together and is short.

The form for a fault pattern writes the same text in the browser (`assets/js/write/yaml.js`).
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from benchlore.book.yaml_reader import parse

_WIDTH = 110
# Written in braces wherever they fit; everything above them gets lines of its own.
_BRACES = frozenset(
    {
        *("source", "path", "converter", "pull", "load", "junction", "signal", "draw"),
        *("replace", "at", "size", "inject", "usual_state", "compare", "opening"),
        *("symptom", "expected_reading", "confirm", "worked_example"),
    }
)
# Each of their entries is a row: in braces always, or wherever it fits.
_HOLD_BRACES = frozenset({"outcomes", "landmarks", "cause"})
_HOLD_ROWS = frozenset({"parts", "test_points"})


def as_record(kind: str, data: Mapping[str, Any], blank_before: tuple[str, ...] = ()) -> str:
    """The text of a record. `blank_before`: fields that a blank line stands above.

    It reads back as the same data; anything else is a mistake of this module and raises ValueError.
    """
    lines = [f"# yaml-language-server: $schema=../../schema/{kind}.schema.json"]
    for key, value in data.items():
        if key in blank_before:
            lines.append("")
        lines += _field(key, value, 0)
    text = "\n".join(lines) + "\n"
    read, faults, _ = parse(text)
    if faults or read != data:
        raise ValueError(f"the record cannot be written: {faults}")
    return text


def entry(name: str, data: Any, indent: int = 0) -> str:
    """One entry of a mapping, with its lines."""
    return "\n".join(_field(name, data, indent)) + "\n"


def _field(key: str, value: Any, indent: int) -> Iterator[str]:
    pad, name = " " * indent, _scalar(key)
    if isinstance(value, Mapping) and value:
        flow = f"{pad}{name}: {_flow(value)}"
        if key in _BRACES and len(flow) <= _WIDTH:
            yield flow
            return
        yield f"{pad}{name}:"
        for inner, item in value.items():
            line = f"{pad}  {_scalar(inner)}: {_flow(item)}"
            row = key in _HOLD_BRACES or (key in _HOLD_ROWS and len(line) <= _WIDTH)
            if row and isinstance(item, Mapping):
                yield line
            else:
                yield from _field(inner, item, indent + 2)
    elif isinstance(value, list) and value:
        flow = f"{pad}{name}: {_flow(value)}"
        if len(flow) <= _WIDTH and not any(isinstance(item, Mapping) for item in value):
            yield flow
            return
        if all(isinstance(item, str) and " " not in item for item in value):
            yield from _wrapped(f"{pad}{name}: ", f"{pad}  ", _flow(value))
            return
        yield f"{pad}{name}:"
        for item in value:
            yield from _item(item, indent + 2)
    else:
        line = f"{pad}{name}: {_scalar(value)}"
        if len(line) <= _WIDTH or not isinstance(value, str):
            yield line
        else:
            yield from _folded(f"{pad}{name}: ", f"{pad}  ", value)


def _item(item: Any, indent: int) -> Iterator[str]:
    pad = " " * indent
    if isinstance(item, Mapping) and len(item) == 2 and list(item)[1] == "note":
        read = next(iter(item))
        yield f"{pad}- {_scalar(read)}: {_flow(item[read])}"
        yield from _field("note", item["note"], indent + 2)
    elif isinstance(item, str):
        yield from _text_item(pad, item)
    elif isinstance(item, Mapping) and len(item) == 1:
        (key,) = item
        yield f"{pad}- {_scalar(key)}: {_flow(item[key])}"
    elif isinstance(item, Mapping) and len(f"{pad}- {_flow(item)}") > _WIDTH:
        first, *rest = [line for key, value in item.items() for line in _field(key, value, indent + 2)]
        yield f"{pad}- {first.strip()}"
        yield from rest
    else:
        yield f"{pad}- {_flow(item)}"


def _text_item(pad: str, text: str) -> Iterator[str]:
    line = f"{pad}- {_scalar(text)}"
    if len(line) <= _WIDTH:
        yield line
    else:
        yield from _folded(f"{pad}- ", f"{pad}  ", text)


def _folded(head: str, pad: str, text: str) -> list[str]:
    """A long text from behind its name or dash, going on below; on one line where folding would change it."""
    value = _scalar(text)
    if text != text.strip() or re.search(r"\s\s|[^\S ]", text):
        return [f"{head}{value}"]
    return _wrapped(head, pad, value)


def _wrapped(head: str, pad: str, value: str) -> list[str]:
    return textwrap.wrap(
        value,
        _WIDTH,
        initial_indent=head,
        subsequent_indent=pad,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_scalar(key)}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, str):
        bare, faults, _ = parse(f"k: {{a: {value}, b: 1}}\n")
        plain = not faults and bare == {"k": {"a": value, "b": 1}} and not value.endswith((".", "?"))
        return value if plain else _quoted(value)
    return _scalar(value)


def _scalar(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        return f"{value:g}" if isinstance(value, float) else str(value)
    bare, faults, _ = parse(f"k: {value}\n")
    return value if not faults and bare == {"k": value} else _quoted(value)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
