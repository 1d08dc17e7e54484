"""A copy of a book with every text, and every name where that is wanted, put in the place of its own."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from benchlore.book.schemas import KINDS, MAX_ID, schema

# What stands in a field instead of its text.
Fill = Callable[[str, str], str]

# Fields that people write freely; the others hold names of records, numbers, or one of a few words.
TEXTS = frozenset(
    (
        *("title", "summary", "tell", "for", "name", "package", "donor", "asks", "means", "where", "harm"),
        *("avoid", "said", "note", "how", "steps", "needs", "currency"),
    )
)
NAMED = ("nets", "measurements", "outcomes")  # their keys are names that may be long
WORDS = ("mode",)  # their values are words of the vocabulary, which a name may equal
LONGEST_TEXT = 300  # where a schema sets no limit


def write(book: Path, folder: Path, fill: Fill, name: Callable[[str], str] = str) -> None:
    """Write the records of `book` into `folder`: texts by `fill(field, text)`, names by `name`."""
    records = {
        path.relative_to(book): yaml.safe_load(path.read_text(encoding="utf-8"))
        for path in sorted((book / "faults").rglob("*.yaml"))
    }
    faults = {path.stem for path, record in records.items() if "fix" in record}  # named by its file
    names = {
        one: name(one) for one in (*faults, *(key for record in records.values() for key in keys(record)))
    }
    for path, record in records.items():
        place = folder / path.with_name(names.get(path.stem, path.stem) + path.suffix)
        place.parent.mkdir(parents=True, exist_ok=True)
        filled = json.dumps(texts(renamed(record, names), fill), ensure_ascii=False)
        place.write_text(filled, encoding="utf-8")  # JSON is YAML
    for pictures in (book / "faults").glob("*/pictures"):
        shutil.copytree(pictures, folder / pictures.relative_to(book))


def long_name(name: str) -> str:
    """A name of the longest length that starts like this one."""
    more = "_LONG" if name.isupper() or "_" in name else "-long"
    return (name + more * MAX_ID)[:MAX_ID].rstrip("-_")


def keys(record: Any) -> Iterator[str]:
    """The names that a record gives to nets, measurements and outcomes."""
    for key, value in record.items() if isinstance(record, dict) else ():
        if key in NAMED and isinstance(value, dict):
            yield from value
        yield from keys(value)


def renamed(value: Any, names: dict[str, str]) -> Any:
    """A record with every name replaced, wherever it stands alone."""
    if isinstance(value, dict):
        return {
            names.get(key, key): one if key in WORDS else renamed(one, names) for key, one in value.items()
        }
    if isinstance(value, list):
        return [renamed(one, names) for one in value]
    return names.get(value, value) if isinstance(value, str) else value


def texts(value: Any, fill: Fill, field: str = "") -> Any:
    """A record with every text filled anew."""
    if isinstance(value, dict):
        return {key: texts(one, fill, field if field == "where" else key) for key, one in value.items()}
    if isinstance(value, list):
        return [texts(one, fill, field) for one in value]
    return fill(field, value) if field in TEXTS and isinstance(value, str) else value


def longest(field: str, text: str) -> str:
    """A text of the longest length, without a place where a line may break."""
    word = "".join(letter for letter in text if letter.isalnum())
    return (word + "W" * limits()[field])[: limits()[field]]


@cache
def limits() -> dict[str, int]:
    """The largest length of each text, by its field: the least of what the schemas say."""
    found = dict.fromkeys(TEXTS, LONGEST_TEXT)

    def look(form: Any, field: str) -> None:
        if isinstance(form, list):
            for one in form:
                look(one, field)
        elif isinstance(form, dict):
            if field in TEXTS and isinstance(form.get("maxLength"), int):
                found[field] = min(found[field], form["maxLength"])
            for key, one in form.items():
                look(one, field if key in ("items", "oneOf", "additionalProperties") else key)

    for kind in KINDS:
        look(json.loads(json.dumps(schema(kind))), "")
    return found
