"""The prepared changes of `changes.yaml`: the book before and after each, and what must be told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from benchlore.starter.book import first_files

Told = tuple[str, str, str, str]  # kind, subject, before, after


@dataclass(frozen=True)
class Prepared:
    """A change to the book: what it does to the texts, and what must be told of it."""

    name: str
    edits: tuple[Mapping[str, Any], ...]
    told: tuple[Told, ...]


def prepared() -> list[Prepared]:
    read = yaml.safe_load((Path(__file__).parent / "changes.yaml").read_text(encoding="utf-8"))
    return [
        Prepared(one["name"], tuple(one["edits"]), tuple(tuple(line) for line in one["told"])) for one in read
    ]


def before() -> dict[str, str]:
    """The texts of the book, by name."""
    texts = {name: text for name, text in first_files("prepared").items() if name.endswith(".yaml")}
    for name, text in list(texts.items()):
        if "/sample-board/" in name:
            other = text.replace("Sample board", "Other board").replace("sample-board", "other-board")
            texts[name.replace("sample-board", "other-board")] = other
    return texts


def after(change: Prepared) -> dict[str, str]:
    """The texts with the edits made."""
    texts = before()
    for edit in change.edits:
        name = edit["file"]
        if "write" in edit:
            texts[name] = edit["write"]
        elif "move" in edit:
            texts[edit["move"]] = texts.pop(name)
        elif "delete" in edit:
            del texts[name]
        else:
            assert texts[name].count(edit["from"]) == 1, f"{change.name}: {edit['from']!r}"
            texts[name] = texts[name].replace(edit["from"], edit["to"])
    return texts


def write(texts: Mapping[str, str], folder: Path) -> Path:
    for name, text in texts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder
