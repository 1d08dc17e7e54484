"""The index read back by a decoder written from its description."""

import base64
import json
from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st

from benchlore.site.search.documents import KINDS, Document
from benchlore.site.search.index import build_index
from benchlore.site.search.tokens import STOP_WORDS, terms

FAMILIES = {"teal-8": "Teal 8", "wren-5": "Wren 5"}


def numbers(stream: bytes) -> Iterator[int]:
    """LEB128 as in DWARF 5, section 7.6."""
    value = shift = 0
    for byte in stream:
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            yield value
            value = shift = 0
    assert shift == 0, "the last number is cut short"


def decoded(index) -> dict[str, list[tuple[int, int]]]:
    stream = numbers(base64.b64decode(index["postings"]))
    postings = {}
    for word in index["words"].split():
        number, found = 0, []
        for _ in range(next(stream)):
            packed = next(stream)
            number += packed >> 4
            found.append((number, packed & 15))
        postings[word] = found
    assert next(stream, None) is None
    return postings


def document(kind: str, key: str, *fields: tuple[float, str], family: str = "", title: str = "") -> Document:
    return Document(kind, family, key, title or key, "", fields)


texts = st.text(st.characters(codec="utf-8"), max_size=40)
any_document = st.builds(
    Document,
    kind=st.sampled_from([kind.id for kind in KINDS]),
    family=st.sampled_from(["", *FAMILIES]),
    key=st.from_regex(r"[a-z]{1,8}", fullmatch=True),
    title=texts,
    detail=texts,
    fields=st.lists(st.tuples(st.sampled_from([1.0, 3.0, 8.0]), texts), max_size=3).map(tuple),
)


@given(st.lists(any_document, min_size=1, max_size=30))
def test_every_word_leads_to_its_documents_and_to_no_other(documents):
    index = json.loads(json.dumps(build_index(documents, FAMILIES)))
    found = {(word, number) for word, postings in decoded(index).items() for number, _ in postings}
    expected = {
        (word, number)
        for number, document in enumerate(documents)
        for _, text in document.fields
        for word in terms(text)
        if word not in STOP_WORDS or text == document.id
    }
    assert found == expected
    assert all(1 <= impact <= 15 for postings in decoded(index).values() for _, impact in postings)
    words = index["words"].split()
    assert words == sorted(words, key=lambda word: word.encode("utf-16-be"))


@given(st.lists(any_document, min_size=1, max_size=30))
def test_columns_have_one_line_a_document(documents):
    index = build_index(documents, FAMILIES)
    for column in ("keys", "titles", "details"):
        assert index[column].count("\n") == len(documents) - 1
    runs = index["runs"]
    kinds = [kind for kind, _, count in zip(*[iter(runs)] * 3, strict=True) for _ in range(count)]
    families = [family for _, family, count in zip(*[iter(runs)] * 3, strict=True) for _ in range(count)]
    assert [KINDS[kind].id for kind in kinds] == [d.kind for d in documents]
    assert [list(FAMILIES)[f] if f >= 0 else "" for f in families] == [d.family for d in documents]


def test_a_word_in_the_title_weighs_more_than_one_in_the_text_and_short_documents_more_than_long_ones():
    index = build_index(
        [
            document("net", "a", (8.0, "charger")),
            document("net", "b", (1.0, "charger")),
            document("net", "c", (1.0, "charger " + "and more of it " * 30)),
        ],
        {},
    )
    impacts = [impact for _, impact in decoded(index)["charger"]]
    assert impacts == sorted(impacts, reverse=True)
    assert len(set(impacts)) == 3


def test_an_id_that_reads_like_a_stop_word_is_indexed():
    index = build_index([document("net", "IN", (8.0, "IN"), (1.0, "in of the"))], {})
    assert index["words"] == "in"


def test_a_title_equal_to_the_id_is_not_written_twice():
    index = build_index([document("net", "MAIN"), document("test-point", "MAIN#C55", title="C55")], {})
    assert index["titles"] == "\n"


def test_a_result_keeps_a_number_with_its_unit():
    index = build_index([document("fault", "a", title="The 3.3 V rail is low")], {})
    assert index["titles"] == "The 3.3\u00a0V rail is low"


def test_an_empty_book_has_an_empty_index():
    index = build_index([], {})
    assert (index["words"], index["postings"], index["runs"]) == ("", "", [])
