"""The conversations about what all families share: a symptom, a technique."""

from __future__ import annotations

import re
from collections.abc import Container
from typing import Any

from benchlore.starter.talk import RefusedError, Talk, plain

# A language's tag, of another one than the book's.
_TAG = re.compile(r"(?!en$)[a-z]{2,3}")
_OBSERVERS = ("customer", "technician")


def ask_symptom(talk: Talk) -> dict[str, Any]:
    """A symptom's record."""
    made: dict[str, Any] = {
        "title": talk.text("The symptom in one line"),
        "seen_by": talk.choice("Who sees it?", _OBSERVERS, "customer"),
    }
    made["said"] = _lines(talk, "What is said of it at the counter", "What else is said")
    if said_in := _said_in(talk):
        made["said_in"] = said_in
    if note := talk.maybe("What to note before the work begins", plain):
        made["note"] = note
    return made


def _said_in(talk: Talk) -> dict[str, list[str]]:
    """The same in other languages, by tag."""

    def tagged(text: str) -> tuple[str, str]:
        tag, colon, said = (part.strip() for part in plain(text).partition(":"))
        if not colon or not said or not _TAG.fullmatch(tag):
            raise RefusedError("write the language's tag and a colon before it, such as 'de: lädt nicht'")
        return tag, said

    made: dict[str, list[str]] = {}
    while one := talk.maybe("What is said in another language, such as 'de: lädt nicht'", tagged):
        made.setdefault(one[0], []).append(one[1])
    return made


def ask_technique(talk: Talk, hazards: Container[str]) -> dict[str, Any]:
    """A technique's record. `hazards`: those of the book."""

    def known(text: str) -> list[str]:
        names = text.replace(",", " ").split()
        for name in names:
            if name not in hazards:
                raise RefusedError(f"'{name}' is no hazard of common/hazards.yaml")
        return names

    made: dict[str, Any] = {
        "title": talk.text("The technique in one line"),
        "summary": talk.text("What is it for?"),
    }
    made["steps"] = _lines(talk, "Its first step, in words", "The next step")
    made["hazard"] = talk.ask("What can hurt on the way: hazards of the book", known)
    made["source"] = talk.text("Where does it come from?", "common practice, no source")
    return made


def _lines(talk: Talk, first: str, more: str) -> list[str]:
    lines = [talk.text(first)]
    while line := talk.maybe(more, plain):
        lines.append(line)
    return lines
