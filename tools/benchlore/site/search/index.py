"""The compact index that the browser searches: a sorted vocabulary, and the documents of each word.

`build_index` gives plain data for JSON:

- `keys`, `titles`, `details`: one line a document; an empty title is the id;
- `runs`: kind, family (-1: none) and count of documents in a row, so that neither is written for each;
- `shown`: for each family the symptoms that its faults show, parted by blanks; a board has no others;
- `rails`: documents of rails, each with the names that they have by their voltage, parted by a blank;
- `synonyms`: what people type for what the records call otherwise, each as said and meant;
- `fails`: words that say how something failed, parted by blanks;
- `dangers`: documents of hazards, the most serious first, each with what people type when it is there;
- `tongues`: for each other language of the counter an index of its own, of symptoms alone, so that its words
  do not count among the book's;
- `words`: the vocabulary, parted by spaces, in the order of UTF-16 code units, as browsers compare strings;
- `postings`: base64 of bytes; for each word a count, then for each document the distance to the one before
  times 16 plus the impact (1 to 15). Numbers are LEB128: seven bits a byte, the lowest first, the high bit on
  all bytes but the last.

The impact of a word on a document is its BM25F saturation (Robertson, Zaragoza: The Probabilistic Relevance
Framework, 2009, 3.6) without the inverse document frequency, which the browser takes from the counts.
"""

from __future__ import annotations

import base64
import itertools
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from math import fsum
from typing import Annotated, TypedDict

from benchlore.book.forms import declarations, schema_of
from benchlore.book.model import Hazard, Word
from benchlore.book.projection import Projection
from benchlore.site.prose import keep_units
from benchlore.site.search.documents import KINDS, Document
from benchlore.site.search.tokens import ENDS_HEAD, STOP_WORDS, STOP_WORDS_IN, terms, terms_in

FORMAT = 5
# BM25's k1 (saturation of repeated words) and b (how much a long document discounts its words).
_SATURATION, _LENGTH = 1.2, 0.5
_IMPACTS = 15


class _TongueData(TypedDict):
    language: str
    stop: str
    runs: list[int]
    keys: str
    titles: str
    details: str
    words: str
    postings: str


class _IndexData(TypedDict):
    format: int
    stop: Annotated[str, "Stop words, parted by spaces."]
    ends: Annotated[str, "Words that end the head of a part's name, beside stop words, parted by spaces."]
    kinds: Annotated[list[tuple[str, str, str, float]], "Id, title, path, weight."]
    families: Annotated[list[tuple[str, str]], "Id, title."]
    runs: Annotated[list[int], "Kind, family, count, kind, ..."]
    keys: str
    titles: str
    details: str
    shown: Annotated[list[str], "Of each family, the symptoms that it shows."]
    rails: Annotated[list[tuple[int, str]], "Document, names."]
    synonyms: Annotated[list[tuple[list[str], list[str]]], "Said, meant."]
    fails: Annotated[str, "Words of failing, parted by blanks."]
    dangers: Annotated[
        list[tuple[int, list[str], list[int]]], "Document, said, families that do not have it."
    ]
    tongues: Annotated[list[_TongueData], "The other languages of the counter."]
    words: str
    postings: str


def types() -> str:
    """The type of this data, for the check of the scripts."""
    return declarations(schema_of(Projection(), _IndexData), "Search")


def build_index(
    documents: Iterable[Document],
    families: Mapping[str, str],
    synonyms: Iterable[Word] = (),
    dangers: Iterable[Hazard] = (),
    shown: Mapping[str, Iterable[str]] | None = None,
    spared: Mapping[str, Container[str]] | None = None,
) -> _IndexData:
    """The index of the documents as plain data; `families` maps the family ids to their titles.

    `dangers`: the hazards whose words stand before everything else, the most serious first. `shown`: the
    symptoms of each family; without them, a board has all. `spared`: the hazards that a family does not have.
    """
    every = tuple(documents)
    listed = [document for document in every if not document.language]
    family_ids, listed_words = tuple(families), tuple(synonyms)
    words, postings = _postings(listed, STOP_WORDS)
    without = spared or {}
    hazards = {document.key: number for number, document in enumerate(listed) if document.kind == "hazard"}
    return {
        "format": FORMAT,
        "stop": " ".join(sorted(STOP_WORDS)),
        "ends": " ".join(ENDS_HEAD),
        "kinds": [(kind.id, kind.title, kind.path, kind.weight) for kind in KINDS],
        "families": list(families.items()),
        **_columns(listed, family_ids),
        "shown": [" ".join(shown[family]) for family in family_ids] if shown else [],
        "rails": [(n, " ".join(terms(d.voltage))) for n, d in enumerate(listed) if d.voltage],
        "synonyms": [(list(word.said), list(word.means)) for word in listed_words],
        "fails": " ".join(_failing(listed_words)),
        "dangers": [
            (
                hazards[one.id],
                list(one.said),
                [n for n, f in enumerate(family_ids) if one.id in without.get(f, ())],
            )
            for one in dangers
            if one.said
        ],
        "tongues": [
            _tongue(language, [document for document in every if document.language == language])
            for language in sorted({document.language for document in every} - {""})
        ],
        "words": " ".join(words),
        "postings": base64.b64encode(postings).decode("ascii"),
    }


def _failing(synonyms: Iterable[Word]) -> list[str]:
    """The words that say by themselves how something failed, as people type them and as the records do."""
    phrases = (tuple(terms(text)) for word in synonyms if word.fails for text in (*word.said, *word.means))
    return sorted({phrase[0] for phrase in phrases if len(phrase) == 1})


class _Columns(TypedDict):
    runs: list[int]
    keys: str
    titles: str
    details: str


def _columns(documents: Sequence[Document], families: Sequence[str]) -> _Columns:
    order = [kind.id for kind in KINDS]
    places = [(order.index(d.kind), families.index(d.family) if d.family else -1) for d in documents]
    return {
        "runs": [number for place, run in itertools.groupby(places) for number in (*place, len(list(run)))],
        "keys": _lines(d.key for d in documents),
        "titles": _lines("" if d.title == d.id else d.title for d in documents),
        "details": _lines(d.detail for d in documents),
    }


def _tongue(language: str, documents: Sequence[Document]) -> _TongueData:
    stop = STOP_WORDS_IN.get(language, frozenset())
    words, postings = _postings(documents, stop)
    return {
        "language": language,
        "stop": " ".join(sorted(stop)),
        **_columns(documents, ()),
        "words": " ".join(words),
        "postings": base64.b64encode(postings).decode("ascii"),
    }


def _lines(texts: Iterable[str]) -> str:
    return "\n".join(keep_units(" ".join(text.split())) for text in texts)


def _postings(documents: Sequence[Document], stop: Container[str]) -> tuple[list[str], bytes]:
    """The vocabulary and the bytes of its postings."""
    weighted = [_weights(document, stop) for document in documents]
    lengths = [fsum(weights.values()) for weights in weighted]
    mean = fsum(lengths) / max(len(lengths), 1) or 1.0  # 1: nothing but stop words
    postings: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for number, (weights, length) in enumerate(zip(weighted, lengths, strict=True)):
        norm = _SATURATION * (1 - _LENGTH + _LENGTH * length / mean)
        for word, weight in weights.items():
            impact = max(1, round(_IMPACTS * weight / (weight + norm)))
            postings[word].append((number, impact))
    words = sorted(postings, key=lambda word: word.encode("utf-16-be"))
    stream = bytearray()
    for word in words:
        stream += _varint(len(postings[word]))
        before = 0
        for number, impact in postings[word]:
            stream += _varint((number - before) << 4 | impact)
            before = number
    return words, bytes(stream)


def _weights(document: Document, stop: Container[str]) -> dict[str, float]:
    """How much each word counts in a document. The id counts even where it reads like a stop word."""
    weights: dict[str, float] = defaultdict(float)
    for weight, text in document.fields:
        for word in terms_in(document.language, text):
            if word not in stop or text == document.id:
                weights[word] += weight
    return weights


def _varint(number: int) -> bytes:
    out = bytearray()
    while number > 127:
        out.append(number & 127 | 128)
        number >>= 7
    out.append(number)
    return bytes(out)
