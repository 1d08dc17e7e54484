"""The search side by side with lunr.js, in one Chromium, on the same made-up records and the same typed keys.

    python tools/benchmarks/search.py [--records 10000] [--queries 60]

A record has 71 words drawn from 3,000 by Zipf's law and an identifier of its own (`KADO_TIRA_17`).
Queries are three words of a record in the middle of the frequencies, clean and with one typo, and the
beginning of an identifier. Each is typed letter by letter; the time is that of one key. Found: the record
is among the first ten when all is typed. The size is that of the file which the page loads. lunr.js is the
copy that comes with MkDocs; each word gets a plain and a fuzzy clause, and the last one a wildcard too.

The second table is the real book, its families repeated under other names until there are as many documents.
"""

from __future__ import annotations

import argparse
import gzip
import itertools
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import mkdocs
from playwright.sync_api import Page, sync_playwright

import browsers
from benchlore.book import Book, load_book
from benchlore.book.model import frozen_map
from benchlore.site.search.documents import ID, TEXT, TITLE, Document, documents
from benchlore.site.search.files import files
from benchlore.site.search.index import build_index
from benchlore.site.serialise import to_script

ROOT = Path(__file__).resolve().parents[2]
LUNR = Path(mkdocs.__file__).parent / "contrib/search/templates/search/lunr.js"
ENGINE = ROOT / "site_overrides/assets/js/search-engine.js"
VOCABULARY, TITLE_WORDS, TEXT_WORDS = 3000, 6, 64
FAMILY = "made-up"

TYPE = """async ([engine, queries]) => {
    const times = [], found = [];
    for (const [typed, key] of queries) {
        let keys = [];
        for (let length = 1; length <= typed.length; length += 1) {
            const start = performance.now();
            keys = window.find[engine](typed.slice(0, length));
            times.push(performance.now() - start);
        }
        found.push(keys.includes(key));
    }
    times.sort((a, b) => a - b);
    return {p50: times[Math.floor(times.length * 0.5)], p95: times[Math.floor(times.length * 0.95)],
        found: found.filter(Boolean).length / found.length};
}"""

OPEN_OURS = """text => {
    const start = performance.now();
    (0, eval)(text);
    const engine = benchlore.searchEngine.open(benchlore.searchIndex);
    const took = performance.now() - start;
    const last = path => path.replace(/^.*\\/|\\.html$/g, '');
    (window.find ||= {}).ours = typed => engine.find(typed, {limit: 10}).map(result => last(result.path));
    return took;
}"""

BUILD_LUNR = """records => {
    const index = lunr(function () {
        this.ref('key'); this.field('key', {boost: 8}); this.field('title', {boost: 6}); this.field('text');
        for (const record of records) this.add(record);
    });
    return JSON.stringify(index);
}"""

OPEN_LUNR = """text => {
    const start = performance.now();
    const index = lunr.Index.load(JSON.parse(text));
    const took = performance.now() - start;
    (window.find ||= {}).lunr = typed => index.query(query => {
        const words = typed.toLowerCase().split(/\\s+/).filter(Boolean);
        words.forEach((word, place) => {
            query.term(word, {boost: 100});
            const last = place === words.length - 1;
            if (last) query.term(word, {boost: 10, wildcard: lunr.Query.wildcard.TRAILING});
            if (word.length > 3) query.term(word, {editDistance: 1});
        });
    }).slice(0, 10).map(result => result.ref);
    return took;
}"""


@dataclass(frozen=True, slots=True)
class Record:
    """A made-up record."""

    key: str
    title: tuple[str, ...]
    text: tuple[str, ...]


def made_up(count: int, source: random.Random) -> tuple[list[Record], list[str]]:
    """Records, and the vocabulary from the most frequent word to the rarest."""
    syllables = [a + b for a in "bdfgklmnprstv" for b in "aeiou"]
    names = ["".join(word) for size in (2, 3) for word in itertools.product(syllables, repeat=size)]
    vocabulary = source.sample(names, VOCABULARY)
    weights = [1 / rank for rank in range(1, VOCABULARY + 1)]
    records = []
    for number in range(count):
        words = source.choices(vocabulary, weights, k=TITLE_WORDS + TEXT_WORDS)
        key = "_".join([*source.sample(names, 2), str(number % 97)]).upper()
        records.append(Record(key, tuple(words[:TITLE_WORDS]), tuple(words[TITLE_WORDS:])))
    return records, vocabulary


def with_typo(word: str, source: random.Random) -> str:
    """The word with a letter left out, doubled, changed, or swapped with the next."""
    at = source.randrange(len(word) - 1)
    middle = source.choice(["", word[at] * 2, source.choice("bdfgklmnprstv"), word[at + 1] + word[at]])
    rest = word[at + 2 :] if len(middle) == 2 and middle[0] != middle[1] else word[at + 1 :]
    return word[:at] + middle + rest


def queries(
    records: Sequence[Record], vocabulary: Sequence[str], count: int, source: random.Random
) -> dict[str, list[tuple[str, str]]]:
    """What is typed and the record that it means, for each kind of query."""
    rank = {word: place for place, word in enumerate(vocabulary)}
    clean, typos, prefixes = [], [], []
    for record in source.sample(records, count):
        middling = [
            word for word in {*record.title, *record.text} if 50 < rank[word] < 2500 and len(word) > 3
        ]
        words = source.sample(sorted(middling), min(3, len(middling)))
        clean.append((" ".join(words), record.key))
        wrong = source.randrange(len(words))
        typed = [with_typo(word, source) if at == wrong else word for at, word in enumerate(words)]
        typos.append((" ".join(typed), record.key))
        prefixes.append((record.key[: -source.randint(1, 3)], record.key))
    return {"clean": clean, "one typo": typos, "identifier, its beginning": prefixes}


def our_index(records: Sequence[Record]) -> str:
    """The script with our index of the records."""
    listed = [
        Document(
            "fault",
            FAMILY,
            record.key,
            " ".join(record.title),
            "",
            ((ID, record.key), (TITLE, " ".join(record.title)), (TEXT, " ".join(record.text))),
        )
        for record in records
    ]
    return to_script("searchIndex", build_index(listed, {FAMILY: "Made up"}))


def lunr_records(records: Sequence[Record]) -> list[dict[str, str]]:
    """The records as lunr takes them."""
    return [{"key": r.key, "title": " ".join(r.title), "text": " ".join(r.text)} for r in records]


def repeated(book: Book, wanted: int) -> Book:
    """The book with its families and faults copied under other ids until it has `wanted` documents."""
    families, faults = dict(book.families), dict(book.faults)
    each = len(documents(book)) - sum(1 for d in documents(book) if not d.family)
    for copy in range(1, wanted // each + 1):
        for family in book.families.values():
            renamed = f"{family.id}-{copy}"
            families[renamed] = replace(family, id=renamed, title=f"{family.title} {copy}")
        for fault in book.faults.values():
            moved = replace(fault, id=f"{fault.family}-{copy}/{fault.name}")
            faults[moved.id] = moved
    return replace(book, families=frozen_map(families), faults=frozen_map(faults))


def sizes(text: str) -> str:
    """Raw and compressed megabytes."""
    raw = text.encode("utf-8")
    return f"{len(raw) / 1e6:.2f} / {len(gzip.compress(raw, 6, mtime=0)) / 1e6:.2f}"


def compare(page: Page, options: argparse.Namespace) -> Iterator[str]:
    """The table of both engines on the made-up records."""
    source = random.Random(options.seed)
    records, vocabulary = made_up(options.records, source)
    asked = queries(records, vocabulary, options.queries, source)
    page.add_script_tag(path=ENGINE)
    page.add_script_tag(path=LUNR)
    index = our_index(records)
    peer = str(page.evaluate(BUILD_LUNR, lunr_records(records)))
    rows: list[tuple[str, str, Any]] = [
        ("ours", index, page.evaluate(OPEN_OURS, index)),
        ("lunr", peer, page.evaluate(OPEN_LUNR, peer)),
    ]
    yield f"{options.records} made-up records of {TITLE_WORDS + TEXT_WORDS + 1} words"
    yield (
        "| engine | MB raw / gzip | ready, ms | "
        + " | ".join(f"{kind}: found, p50 / p95 ms" for kind in asked)
        + " |"
    )
    yield "| --- | --- | --- |" + " --- |" * len(asked)
    for engine, text, ready in rows:
        cells = [sizes(text), f"{ready:.0f}"]
        for pairs in asked.values():
            told = page.evaluate(TYPE, [engine, pairs])
            cells.append(f"{told['found']:.0%}, {told['p50']:.1f} / {told['p95']:.1f}")
        yield f"| {engine} | " + " | ".join(cells) + " |"


def real(page: Page, options: argparse.Namespace) -> Iterator[str]:
    """Our files for the real book, repeated."""
    book = repeated(load_book(ROOT).book, options.records)
    index, readings = files(book)
    ready = page.evaluate(OPEN_OURS, index.text)
    sentences = [(said, "") for symptom in book.symptoms.values() for said in symptom.said][:60]
    told = page.evaluate(TYPE, ["ours", sentences])
    yield f"The real book repeated: {len(book.families)} families, {len(documents(book))} documents"
    yield "| index, MB raw / gzip | readings, MB raw / gzip | ready, ms | a key, p50 / p95 ms |"
    yield "| --- | --- | --- | --- |"
    yield (
        f"| {sizes(index.text)} | {sizes(readings.text)} | {ready:.0f} "
        f"| {told['p50']:.1f} / {told['p95']:.1f} |"
    )


def main() -> None:
    """Run both tables."""
    parser = argparse.ArgumentParser(description="Measure the search beside lunr.js.")
    parser.add_argument("--records", type=int, default=10_000)
    parser.add_argument("--queries", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"))
        page = browser.new_page()
        for line in itertools.chain(compare(page, options), [""], real(page, options)):
            print(line, flush=True)
        browser.close()


if __name__ == "__main__":
    main()
