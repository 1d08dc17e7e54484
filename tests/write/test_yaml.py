"""Records as text: the form in the browser writes and reads as Python does."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchlore.book.yaml_reader import parse
from benchlore.starter.writing import as_record
from tests.books import EXAMPLE, GOOD, ROOT
from tests.write.scripts import run

RECORDS = sorted(path for root in (ROOT, EXAMPLE, GOOD) for path in (root / "faults").glob("*/*.yaml"))
# Texts that other readers of YAML take for something else, or that a careless writer breaks.
TEXTS = (
    *("yes", "No", "on", "true", "False", "null", "~", "12", "1.5", "1e3", "0x1F", "007", "1_000", "12:30"),
    *(
        "2026-03-01",
        ".inf",
        "8.19 V",
        "a: b",
        "a:b",
        "a #b",
        "a#b",
        "#a",
        "- a",
        "-a",
        "? a",
        "?",
        ": a",
        ":a",
    ),
    *(
        "[a",
        "a]",
        "{a}",
        "a, b",
        '"a',
        "'a'",
        "it's",
        'say "no"',
        "a\\b",
        "&a",
        "*a*",
        "!a",
        "|",
        "> a",
        "%a",
    ),
    *(
        "@a",
        "`a`",
        "a.",
        "a?",
        "a:",
        "---",
        "...",
        "\u00b5",
        "2.2 k\u03a9 5%",
        "\u2014",
        "x" * 120,
        "word " * 60 + "end",
    ),
    *("Fuse: open. " * 12 + "end", "the word 'a' # b " + "c " * 60 + "d", "=", "<<", "0.9", "+1", "a  b"),
)


def written(records: list[Any]) -> list[Any]:
    return list(
        run(
            """return given.map((record) => {
              const text = benchlore.yaml.write("fault", record);
              return [text, benchlore.yaml.read(text)];
            });""",
            records,
        )
    )


def test_every_record_of_the_books_is_read_as_python_reads_it():
    texts = [path.read_text(encoding="utf-8") for path in RECORDS]
    read = run("return given.map((text) => benchlore.yaml.read(text));", texts)
    assert len(RECORDS) > 40
    for path, text, found in zip(RECORDS, texts, read, strict=True):
        assert found == parse(text)[0], path.name


@pytest.mark.slow
def test_every_fault_of_the_books_is_written_as_python_writes_it():
    records = [parse(path.read_text(encoding="utf-8"))[0] for path in RECORDS]
    faults = [record for record in records if isinstance(record, dict) and "cause" in record]
    for record, (text, again) in zip(faults, written(faults), strict=True):
        assert text == as_record("fault", record)
        assert again == record


def test_texts_that_are_easily_broken_are_written_alike_and_come_back():
    records = [
        {
            "title": text,
            "symptom": {"no-power": text},
            "reads_normal": [text, "b"],
            "test_points": [{"measure": "m", "expected_reading": {"a": 0.7, "b": 0.3}, "note": text}],
            "fix": {"steps": [text, {"look": "J1", "say": text}, {"fit": {"part": "R1", "value": text}}]},
            "waive": {text.strip()[:60]: text},
        }
        for text in TEXTS
    ]
    for record, (text, again) in zip(records, written(records), strict=True):
        assert text == as_record("fault", record), record["title"]
        assert again == record, record["title"]


_WORDS = st.text(st.sampled_from("ab\u00e91.0: #-'\"[]{},&*!|>%@?\\`~=_x"), min_size=1, max_size=14)
_VALUE = st.one_of(_WORDS.map(lambda text: " ".join(text.split())).filter(bool), st.integers(0, 999))


@settings(max_examples=1)
@given(
    st.lists(
        st.dictionaries(_WORDS.map(str.strip).filter(bool), st.one_of(_VALUE, st.lists(_VALUE, min_size=1))),
        min_size=200,
        max_size=200,
    )
)
def test_nonsense_is_written_alike(records):
    records = [record for record in records if record]
    for record, (text, again) in zip(records, written(records), strict=True):
        assert text == as_record("fault", record)
        assert again == record


@pytest.mark.parametrize(
    ("text", "line", "why"),
    [
        ("", 1, "no record"),
        ("title: a\n  b: c\n", 2, "does not go on"),
        ("title: a\nfix:\n\tminutes: 3\n", 3, "tab"),
        ("title: a\ntitle: b\n", 2, "stands twice"),
        ("title: &a b\n", 1, "sign of its own"),
        ("summary: |\n  a\n", 1, "block of text"),
        ("title: 'a\n", 1, "not closed"),
        ("fix: {a: [b, c\n", 1, "not closed"),
        ("fix: {a b}\n", 1, "no colon"),
        ("- a\n- b\n", 1, "list"),
        ("title a\n", 1, "does not go on"),
        ('title: "a" b\n', 1, "behind a quote"),
    ],
)
def test_what_is_no_record_is_refused_with_line_reason_and_mend(text, line, why):
    said = run("try { benchlore.yaml.read(given); return ''; } catch (error) { return error.message; }", text)
    assert said.startswith(f"Line {line}: ")
    assert why in said
    assert said.endswith(".")
    assert "; " in said


def test_the_folders_of_the_books_were_found():
    assert {Path(*path.parts[-2:]).parts[0] for path in RECORDS} > {"siskin-12", "teal-8", "wren-5"}
