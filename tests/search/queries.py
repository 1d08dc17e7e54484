"""Lists of what people type (`queries.yaml`), and how much of one is answered as it says."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from benchlore.book.model import Book
from tests.search.scripts import Answer, searched, taken_in

Query = dict[str, Any]


def queries(path: Path) -> list[Query]:
    """The queries of a list."""
    read: list[Query] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return read


@dataclass
class Score:
    """How many of `asked` stand where the list wants them, and how many among the first three at least."""

    asked: int = 0
    first: int = 0
    among: int = 0
    wrong: list[str] = field(default_factory=list)

    def add(self, query: Query, answer: Answer, where: str) -> None:
        """Count one."""
        self.asked += 1
        paths = answer["paths"]
        if "absent" in query:
            right = near = not answer["known"]
        else:
            wanted = query.get("first") or query["among"]
            place = next((n for n, path in enumerate(paths) if _is(path, wanted)), len(paths))
            near = place < 3 and (answer["known"] or wanted.startswith("hazards/"))
            right = near and (place == 0 or "among" in query)
        self.first += right
        self.among += near
        if not right:
            self.wrong.append(
                f"{where}: {query['typed']}: {paths[:3]}{'' if answer['known'] else ', not known'}"
            )

    def __str__(self) -> str:
        return f"{self.first} of {self.asked} in place, {self.among} among three\n" + "\n".join(self.wrong)


def _is(path: str, wanted: str) -> bool:
    return path == wanted or ("#" not in wanted and path.partition("#")[0] == wanted)


def scored(book: Book, asked: Iterable[Query]) -> Score:
    """The score of the queries in the search box and, where they say so, at the intake."""
    score, listed = Score(), list(asked)
    box: Sequence[Query] = listed
    intake = [query for query in listed if query.get("intake")]
    for query, answer in zip(
        box, searched(book, [(q["typed"], q.get("board", "")) for q in box]), strict=True
    ):
        score.add(query, answer, "search")
    for query, answer in zip(intake, taken_in(book, [(q["typed"], q["board"]) for q in intake]), strict=True):
        score.add(query, answer, "intake")
    return score
