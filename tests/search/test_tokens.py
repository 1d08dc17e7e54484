import pytest

from benchlore.site.search.tokens import STOP_WORDS, terms, words


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("PACK_DATA", [("pack", "data")]),
        ("pack_", [("pack",)]),
        ("teal-8", [("teal", "8")]),
        ("SB3V3", [("sb", "3v3")]),
        ("U30", [("u30",)]),
        ("QFN-28 qfn28", [("qfn", "28"), ("qfn", "28")]),
        ("won't won’t wont", [("wont",), ("wont",), ("wont",)]),
        ("8.40 V, 8,4V", [("8.4",), ("v",), ("8.4", "v")]),
        ("2.2 kΩ 10 µF", [("2.2",), ("kohm",), ("10",), ("uf",)]),
        ("Café, NAÏVE", [("cafe",), ("naive",)]),
        ("heiß cœur śruba łata ışık", [("heiss",), ("coeur",), ("sruba",), ("lata",), ("isik",)]),
        ("it's 5.", [("its",), ("5",)]),
        ("on–off a/b", [("on",), ("off",), ("a",), ("b",)]),
        (" _ - . ", []),
    ],
)
def test_words_and_their_pieces(text, expected):
    assert list(words(text)) == expected


def test_identifiers_are_indexed_whole_and_in_pieces():
    assert list(terms("PACK_DATA at SB3V3")) == ["pack", "data", "packdata", "at", "sb", "3v3", "sb3v3"]


def test_a_long_compound_is_indexed_in_pieces_only_and_a_value_whole_too():
    assert list(terms("holds-pack-data-low 8.4V")) == ["holds", "pack", "data", "low", "8.4", "v", "8.4v"]
    assert list(terms("8.4 V QFN-28 1-2")) == ["8.4", "v", "qfn", "28", "qfn28", "1", "2"]


def test_what_tells_symptoms_apart_is_no_stop_word():
    assert not STOP_WORDS & {"on", "off", "no", "not", "wont", "cant", "up", "out", "after", "over"}
