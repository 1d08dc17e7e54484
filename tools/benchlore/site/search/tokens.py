"""Splits text into words, for the index. The browser splits what is typed alike (assets/js/search.js).

A word is a run of letters and digits; `_` and `-` join runs into one word of several pieces (`PACK_DATA`,
`tern-10`), and so does a decimal point or comma between digits. Case, accents and apostrophes do not count.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

# Letters and marks that mean the same to the reader; None: left out, so that "won't" is "wont".
_SAME = str.maketrans(
    {
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
        "ø": "o",
        "ł": "l",
        "ı": "i",
        "ω": "ohm",
        "μ": "u",
        "\u2010": "-",
        "\u2212": "-",
        "'": None,
        "\u2018": None,
        "\u2019": None,
        "\u02bc": None,
        "`": None,
        "\u00ad": None,
    }
)
_RUN = r"[^\W_]+"
_WORD = re.compile(rf"{_RUN}(?:(?:[_-]|(?<=[0-9])[.,](?=[0-9])){_RUN})*")
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_VALUE = re.compile(rf"({_NUMBER.pattern})([a-z]+)")
_SERIES = re.compile(r"([a-z]{2,})([0-9].*)")
# A word of more pieces is a phrase (a fault's id): its pieces find it, its whole would only fill the index.
_WHOLE = range(2, 4)

_STOP = """
a all also although am an and any anymore are as at be because been before being but by can could did do
does doing done else even ever every for from get gets getting give gives got had has have he her here him
his how i if im in into is it its itself ive just kind lot maybe me most much my of or our own please
quite really she should since so some somehow something sometimes still such suddenly than that the their
them then there these they this though till to too totally until us use used uses using very want was we
well were what when whenever where whether which while who why will with would yet you your
"""
STOP_WORDS = frozenset(_STOP.split())
# Words of other languages that tell nothing, accents folded; a language that is not here has none.
_STOP_IN = {
    "de": """aber als am auch auf bei beim bin bis da dann das dass dem den der die doch ein eine einem einen
        einer er es fuer fur hab habe hat ich ihn im in ins ist ja kann man mein meine meinem meinen mich
        mir mit nach nicht noch schon sich sie sind so um und vom von vor war was wenn wie wird zu zum zur""",
    "es": """a al ante con cuando de del desde el ella en entre es esta este esto la las le lo los mas me mi
        mis muy o para pero por que se ser si su sus un una uno y ya""",
    "fr": """a ai au aux avec c ce cela ces cet cette d dans de des du elle en est et il ils j je l la
        le les leur lui m ma mais me mes mon n on ont ou par pour qu quand que qui s sa se ses si son
        sont sur t un une y""",
    "pl": "a ale do go i jest mi mnie moj moja na o od po przy sie to w z ze",
    "tr": "ama bana ben benim bir bu cok da de gibi icin ile ne o ve",
}
STOP_WORDS_IN = {language: frozenset(words.split()) for language, words in _STOP_IN.items()}
# Where the head of a part's name ends, beside stop words: `trigger switch on its flex`.
ENDS_HEAD = ("on", "across", "beside", "behind")
# Where an apostrophe parts two words: l'écran, l’accu.
_APOSTROPHES = re.compile("['\u2018\u2019\u02bc]")


def words(text: str) -> Iterator[tuple[str, ...]]:
    """The words of a text in order, each as its pieces: `SB3V3 8,40V` -> (`sb`, `3v3`), (`8.4`, `v`)."""
    for found in _WORD.finditer(_fold(text)):
        yield tuple(piece for part in re.split("[_-]", found[0]) for piece in _pieces(part))


def terms(text: str) -> Iterator[str]:
    """What is indexed of a text: the pieces of each word, and the word whole (`pack`, `data`, `packdata`;
    `5`, `v`, `5v`)."""
    for pieces in words(text):
        yield from pieces
        if len(pieces) in _WHOLE and (pieces[1].isalpha() or not _NUMBER.fullmatch(pieces[0])):
            yield "".join(pieces)


def terms_in(language: str, text: str) -> Iterator[str]:
    """What is indexed of a text in another language than the book's: an apostrophe parts its words."""
    yield from terms(_APOSTROPHES.sub(" ", text) if language else text)


def _fold(text: str) -> str:
    letters = (c for c in unicodedata.normalize("NFKD", text) if unicodedata.category(c)[0] != "M")
    return "".join(letters).lower().translate(_SAME)


def _pieces(part: str) -> tuple[str, ...]:
    if _NUMBER.fullmatch(part):
        return (_number(part),)
    if value := _VALUE.fullmatch(part):
        return (_number(value[1]), value[2])
    series = _SERIES.fullmatch(part)
    return (series[1], series[2]) if series else (part,)


def _number(text: str) -> str:
    """`8,40` -> `8.4`: one spelling for one number."""
    whole, _, decimals = text.replace(",", ".").partition(".")
    decimals = decimals.rstrip("0")
    return f"{whole}.{decimals}" if decimals else whole


def head(name: str) -> list[str]:
    """The words of a part's name up to what it sits on or comes with: `speed sensor with its cable`."""
    listed = list(terms(name))
    end = next((n for n, word in enumerate(listed) if word in STOP_WORDS or word in ENDS_HEAD), len(listed))
    return listed[:end]
