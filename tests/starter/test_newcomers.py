"""Mistakes of somebody who writes a first record: each is answered at its line with what is wrong and what to
write instead, in words that presume no YAML. Those in the conversation stand in test_new.py.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from benchlore.rules import check_book
from benchlore.starter.talk import RefusedError
from tests.books import GOOD
from tests.starter.test_new import REFUSED

NAME = "faults/wren-5/rail-short.yaml"
# What only somebody knows who knows the format, or the program that reads it.
JARGON = re.compile(
    r"(?i)\b(mapping|sequence|scalar|token|node|anchor|alias|stream|parser|flow|indicator|null|schema|syntax|"
    r"JSON|dict|string|array|boolean|integer|regex|object|key)\b"
)


@dataclass(frozen=True)
class Slip:
    """`old` becomes `new`; the finding at `line` says `why` and `mend`. `name`: for the list of tests."""

    name: str
    old: str
    new: str
    line: str
    why: str
    mend: str
    file: str = NAME


FAMILY = "faults/wren-5/family.yaml"
SLIPS = (
    Slip(
        "no blank after a colon",
        "title: ",
        "title:",
        "title:",
        "no blank stands behind 'title:'",
        "write 'title: ",
    ),
    Slip(
        "no blank after a dash",
        "    - unplug",
        "    -unplug",
        "-unplug",
        "behind the dash",
        "write '- unplug",
    ),
    Slip(
        "a colon inside a text", "  how: ", "  how: Seen: ", "  how", "a colon with a blank", "text in quotes"
    ),
    Slip("a quote that stays open", "title: ", 'title: "', "title", "a quote opens here", "close the text"),
    Slip("a star before a word", "title: ", "title: *new* ", "title", "cannot begin with '*'", "in quotes"),
    Slip(
        "an at sign before a word", "title: ", "title: @bench ", "title", "cannot begin with '@'", "in quotes"
    ),
    Slip("a percent sign first", "title: ", "title: %", "title", "cannot begin with '%'", "in quotes"),
    Slip("a tab", "  part: ", "\tpart: ", "\tpart", "a tab indents this line", "indent with spaces"),
    Slip("a line too far out", "  part: ", " part: ", "  mode", "further in than line", "at the same place"),
    Slip("a field misspelled", "summary: ", "sumary: ", "sumary", "'sumary' is not a field", "'summary'?"),
    Slip("a field with a capital", "title: ", "Title: ", "Title", "'Title' is not a field", "'title'?"),
    Slip("a field twice", "title: ", "title: One\ntitle: ", "title: ", "'title' stands twice", "keep one"),
    Slip("a field left out", "seen: ", "# seen: ", "title", "'seen' is missing", "add 'seen:'"),
    Slip(
        "nothing behind a colon",
        "  how: ",
        "  how:\n# ",
        "  how",
        "nothing stands behind 'how:'",
        "write its value",
    ),
    Slip(
        "a word in the place of a number",
        "seen: 4",
        "seen: four",
        "seen",
        "is not a whole number",
        "this field holds",
    ),
    Slip(
        "a decimal comma",
        "4.70 to 5.30 V",
        "4,70 to 5,30 V",
        "4,70",
        "inside braces a comma",
        "decimal point: 4.70",
        FAMILY,
    ),
    Slip(
        "a range without its unit",
        "4.70 to 5.30 V",
        "4.70 to 5.30",
        "4.70",
        "is not a quantity",
        "add the unit",
        FAMILY,
    ),
    Slip("a part that the board lacks", "  part: C", "  part: X", "  part", "is not a part of", ""),
    Slip(
        "a mode in other words", "shorted-to-ground", "shorted", "shorted", "not allowed here", "did you mean"
    ),
)


@pytest.mark.parametrize("slip", SLIPS, ids=[slip.name for slip in SLIPS])
def test_a_slip_is_answered_with_where_why_and_the_mend(slip, tmp_path):
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    file = tmp_path / slip.file
    text = file.read_text(encoding="utf-8")
    assert slip.old in text
    file.write_text(text.replace(slip.old, slip.new, 1), encoding="utf-8")
    found = [
        one for one in check_book(tmp_path).findings if one.file == slip.file and one.severity == "error"
    ]
    (first, *others) = found
    assert others == [], "one slip, one finding"
    lines = file.read_text(encoding="utf-8").split("\n")
    assert slip.line in lines[first.line - 1]
    assert slip.why in first.message
    assert slip.mend in first.mend
    assert first.mend
    assert JARGON.findall(f"{first.message} {first.mend}") == []


@pytest.mark.parametrize(
    ("name", "content", "why", "mend"),
    [
        ("Rail Short.yaml", None, "names no record kind", "lower-case words joined by hyphens"),
        ("rail-shorted.yml", None, "end in '.yaml'", "rename it to 'rail-shorted.yaml'"),
        ("rail.txt", None, "only record files", "move it out of the book"),
        (
            "prose.yaml",
            b"The capacitor was shorted. I replaced it.\n",
            "is not a set of lines",
            "'name: value'",
        ),
        ("empty.yaml", b"", "holds no record", "fill it or delete it"),
        ("windows.yaml", "title: Sp\u00e4ter".encode("cp1252"), "not saved as UTF-8", "choose UTF-8"),
    ],
)
def test_a_file_that_is_none_of_the_book_is_answered(name, content, why, mend, tmp_path):
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    folder = Path("faults") / "wren-5"
    (tmp_path / folder / name).write_bytes((tmp_path / NAME).read_bytes() if content is None else content)
    found = [one for one in check_book(tmp_path).findings if one.file == (folder / name).as_posix()]
    assert len(found) == 1
    assert why in found[0].message
    assert mend in found[0].mend
    assert JARGON.findall(f"{found[0].message} {found[0].mend}") == []


@pytest.mark.parametrize(("read", "typed"), [one[:2] for one in REFUSED], ids=[one[1] for one in REFUSED])
def test_the_conversation_speaks_no_yaml_either(read, typed):
    with pytest.raises(RefusedError) as refused:
        read(typed)
    assert JARGON.findall(str(refused.value)) == []
