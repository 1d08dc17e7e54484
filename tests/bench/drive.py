"""Drives the bench page through jobs with a known fault, in any browser."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlencode

from benchlore.book.links import revisions_of
from benchlore.book.model import Book, Fault

SCRIPT = (Path(__file__).parent / "drive.js").read_text(encoding="utf-8")


class Evaluates(Protocol):
    """A page of any browser, open at the bench page."""

    def evaluate(self, expression: str, arg: Any = None, /) -> Any: ...


@dataclass(frozen=True, slots=True)
class Driven:
    """How a job went: whether a fix mended it, the fault that the page held likeliest at the end, bench
    minutes, and what was done in order.
    """

    fault: str
    mended: bool
    likeliest: str
    minutes: float
    path: tuple[str, ...]


def start_of(book: Book, fault: Fault) -> str:
    """The address part that starts a job with the fault's surest symptom on its first revision."""
    order = ("always", "often", "sometimes")
    symptom = min(fault.symptom, key=lambda s: order.index(fault.symptom[s]))
    revision = revisions_of(book, fault)[0]
    return "#" + urlencode({"v": 1, "family": fault.family, "revision": revision, "symptom": symptom})


def drive(page: Evaluates, book: Book, fault: Fault, pause: int = 0) -> Driven:
    """Start a job on an open bench page and do what it asks for, as a board with the fault answers.

    `pause`: milliseconds before each entry.
    """
    page.evaluate(f"() => {{ {SCRIPT} return true; }}")
    found = json.loads(
        page.evaluate(
            """async text => {
                const [hash, family, fault, pause] = JSON.parse(text);
                const before = benchlore.bench.present().id;
                location.hash = hash;
                while (benchlore.bench.present().id === before || document.getElementById("next") === null)
                    await new Promise(done => setTimeout(done, 5));
                return JSON.stringify(await drive(family, fault, pause));
            }""",
            json.dumps([start_of(book, fault), fault.family, fault.id, pause]),
        )
    )
    return Driven(fault.id, found["mended"], found["likeliest"], found["minutes"], tuple(found["path"]))
