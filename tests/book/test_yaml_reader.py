"""The YAML reader: YAML 1.2 core scalars and nothing else; hostile text is a finding at its place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.book.yaml_reader import MAX_DEPTH, Mark, decode, parse
from tests.steps import steps


@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("a: 1", {"a": 1}),
        ("a: -1.5", {"a": -1.5}),
        ("a: .514", {"a": 0.514}),
        ("a: true", {"a": True}),
        ("a: null", {"a": None}),
        ("a: 8.35 to 8.45 V", {"a": "8.35 to 8.45 V"}),
        ("a: 0.5%", {"a": "0.5%"}),
        ("a: 'yes'", {"a": "yes"}),
        ('a: "012"', {"a": "012"}),
        ("a: [41 mm, 63 mm]", {"a": ["41 mm", "63 mm"]}),
        ("a:\n  - b: 1\n    c: 2\n  - 3", {"a": [{"b": 1, "c": 2}, 3]}),
        ("a: >\n  one\n  two\n", {"a": "one two\n"}),
    ],
)
def test_plain_yaml_is_read(text: str, data: object) -> None:
    read, faults, _ = parse(text)
    assert faults == []
    assert read == data


@pytest.mark.parametrize(
    ("text", "rule", "mark"),
    [
        ("a: 1\na: 2", "duplicate-key", Mark(2, 1)),
        ("a: &x 1", "alias-in-record", Mark(1, 4)),
        ("a: 1\nb: *x", "alias-in-record", Mark(2, 4)),
        ("a: !!python/object:os.system 1", "tag-on-value", Mark(1, 4)),
        ("a: !important 1", "tag-on-value", Mark(1, 4)),
        ("a: yes", "ambiguous-value", Mark(1, 4)),
        ("a: on", "ambiguous-value", Mark(1, 4)),
        ("off: 1", "ambiguous-value", Mark(1, 1)),
        ("a: 1:30", "ambiguous-value", Mark(1, 4)),
        ("a: 012", "ambiguous-value", Mark(1, 4)),
        ("a: 0x1f", "ambiguous-value", Mark(1, 4)),
        ("a: 2020-01-31", "ambiguous-value", Mark(1, 4)),
        ("a: .inf", "ambiguous-value", Mark(1, 4)),
        ("a: 1_000", "ambiguous-value", Mark(1, 4)),
        ("a:\n\tb: 1", "tab-in-indent", Mark(2, 1)),
        ("a: b: c", "not-yaml", Mark(1, 5)),
        ("a: [1, 2\nb: 3", "not-yaml", Mark(1, 4)),
        ("", "empty-file", Mark(1, 1)),
        ("# only a comment\n", "empty-file", Mark(1, 1)),
        ("a: 1\n---\nb: 2", "not-yaml", Mark(2, 1)),
        ("? [1, 2]\n: 3", "not-yaml", Mark(1, 3)),
        ("a: \x07", "not-yaml", Mark(1, 4)),
        ("- " * 10_000, "nested-too-deep", Mark(1, 2 * MAX_DEPTH + 1)),
        ("{a: " * 10_000, "nested-too-deep", Mark(1, 4 * MAX_DEPTH + 1)),
    ],
)
def test_what_is_not_a_record_is_a_finding_at_its_place(text: str, rule: str, mark: Mark) -> None:
    _, faults, _ = parse(text)
    assert [(fault.rule, fault.mark) for fault in faults] == [(rule, mark)]
    assert faults[0].message
    assert faults[0].mend


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("steps:\n  - one\n  two: 2\n", "is a dash missing"),
        ("how: 'the customer's board'\n", "a quote inside quotes (write it twice)?"),
    ],
)
def test_what_yaml_stumbles_over_is_said_in_plain_words(text: str, mend: str) -> None:
    _, faults, _ = parse(text)
    assert [fault.rule for fault in faults] == ["not-yaml"]
    assert "line" in faults[0].message or "name" in faults[0].message
    assert mend in faults[0].mend
    assert "the one above" in faults[0].mend


def test_ten_thousand_open_brackets_are_one_finding() -> None:
    _, faults, _ = parse("[" * 10_000)
    assert [fault.rule for fault in faults] == ["nested-too-deep"]


def test_all_faults_of_a_text_are_found_in_one_reading() -> None:
    data, faults, _ = parse("a: yes\nb: 012\na: 3\nc: !x 4\nd: fine\n")
    assert [fault.mark.line for fault in faults] == [1, 2, 3, 4]
    assert data == {"a": "yes", "b": "012", "c": "4", "d": "fine"}


def test_a_million_aliases_cost_nothing() -> None:
    """Each line takes as many steps among many as among few, whatever the text would expand to."""

    def taken(many: int) -> int:
        text = "a: &a [1]\n" + "".join(f"k{i}: [*a, *a, *a]\n" for i in range(many))
        assert len(parse(text)[1]) == 3 * many + 1
        return steps(lambda: parse(text))

    assert taken(1600) < 8.2 * taken(200)


@pytest.mark.parametrize(
    ("raw", "rule", "mark"),
    [
        (b"\xef\xbb\xbfa: 1", "not-utf-8", Mark(1, 1)),
        (b"\xff\xfea\x00", "not-utf-8", Mark(1, 1)),
        (b"a: 1\nb: caf\xe9\n", "not-utf-8", Mark(2, 7)),
        (b"x" * 1_000_001, "file-too-large", Mark(1, 1)),
    ],
)
def test_bytes_that_are_no_record(raw: bytes, rule: str, mark: Mark) -> None:
    _, faults = decode(raw)
    assert [(fault.rule, fault.mark) for fault in faults] == [(rule, mark)]


@given(st.text(max_size=300))
def test_no_text_makes_it_raise(text: str) -> None:
    data, faults, _ = parse(text)
    assert data is not None or faults


@given(st.binary(max_size=300))
def test_no_bytes_make_it_raise(raw: bytes) -> None:
    text, faults = decode(raw)
    parse(text)
    assert text or faults or raw == b""


def test_marks_name_keys_and_values() -> None:
    _, _, marks = parse("a:\n  b: 1\n  c:\n    - x\n    - y\n")
    assert marks.keys[("a", "b")] == Mark(2, 3)
    assert marks.values[("a", "b")] == Mark(2, 6)
    assert marks.values[("a", "c", 1)] == Mark(5, 7)


@pytest.mark.parametrize(
    ("text", "lost"),
    [
        ("a: Undo screw #3 first, then unplug the pack", "#3 first, then unplug the pack"),
        ('a: "Undo screw" # three', "# three"),
        ("a: 'one # two'   # three", "# three"),
        ("a:\n  - 1 V\t# two", "# two"),
        ("a: [1, 2] # three", "# three"),
        ("a:\n  one\n  two # three", "# three"),
        ("a: > # three\n  one # two\n", "# three"),
        ("a: 1 # a # b", "# a # b"),
    ],
)
def test_a_remark_behind_a_value_is_a_finding_that_shows_what_is_lost(text: str, lost: str) -> None:
    (fault,) = parse(text)[1]
    assert fault.rule == "remark-behind-value"
    assert fault.message.endswith(f": {lost}")
    line = text.split("\n")[fault.mark.line - 1]
    assert line[fault.mark.column - 1 :] == lost


@pytest.mark.parametrize(
    "text",
    [
        "# one\na: 1\n  # two\nb: 2\n",
        'a: "one # two"',
        "a: 'one\n  two # three'",
        "a: one#two",
        "a: |\n  one # two\n  # three\n",
        "a:  # behind a name that has no value on its line\n  - 1",
        'a: "\u00e9\u00e9 # \U0001f50b # two"',
        "a: {b: 'x # y', c: \"z # z\"}",
    ],
)
def test_remarks_on_their_own_lines_and_signs_within_texts_stay(text: str) -> None:
    assert parse(text)[1] == []


def test_a_text_that_a_comma_cuts_in_braces_is_one_finding_that_says_so() -> None:
    data, (fault,), _ = parse("F1: {name: input fuse, 5 A, package: 1206 chip}\nF2: {name: fuse}")
    assert data is None
    assert (fault.rule, fault.mark.line, fault.mark.column) == ("not-yaml", 1, 24)
    assert "'5 A' has no colon" in fault.message
    assert fault.mend == "put the whole text in quotes"


@pytest.mark.parametrize(
    ("text", "says", "mend"),
    [
        ("x: {a:1, b: 2}", "no blank stands behind 'a:'", "write 'a: 1'"),
        ("x: {b: 2, a:1}", "no blank stands behind 'a:'", "write 'a: 1'"),
        ("x: {a}", "'a' has no colon", "write 'a: ' and its value"),
        ("x: {a, b: 1}", "'a' has no colon", "write 'a: ' and its value"),
    ],
)
def test_a_name_in_braces_without_its_colon_or_its_blank_says_so(text: str, says: str, mend: str) -> None:
    (fault,) = parse(text)[1]
    assert (says in fault.message, "comma" in fault.message, fault.mend) == (True, False, mend)


def test_an_address_behind_a_comma_in_braces_is_no_name() -> None:
    (fault,) = parse("{a: see, https://example.org/x}")[1]
    assert ("comma" in fault.message, fault.mend) == (True, "put the whole text in quotes")


@pytest.mark.parametrize("text", ["{*x : }", "a: {*x : }", "{*x : , b: 1}"])
def test_an_alias_as_the_first_name_in_braces_is_a_finding(text: str) -> None:
    (fault,) = parse(text)[1]
    assert fault.rule == "alias-in-record"


@pytest.mark.parametrize("text", ["{a: , b: 1}", "{b: 1, a: }", "{a: null, b: 1}", "{b: 1, a: ~}"])
def test_a_name_with_a_colon_and_nothing_behind_it_holds_nothing(text: str) -> None:
    data, faults, _ = parse(text)
    assert (data, faults) == ({"a": None, "b": 1}, [])


@pytest.mark.parametrize(
    "hidden",
    [*"\u00ad\u200b\u200d\u200e\u200f\u061c\u2060\u2066\u202e\ufeff\ue000\u3164", "\U000e0041", "\U000e0001"],
)
def test_what_nobody_sees_is_refused_with_its_code_point(hidden: str) -> None:
    data, (fault,), _ = parse(f'a: "Fuse{hidden} open"')
    assert fault.rule == "hidden-character"
    assert f"U+{ord(hidden):04X}" in fault.message
    assert data == {"a": "Fuse\ufffd open"}


def test_a_pile_of_marks_is_refused() -> None:
    (fault,) = parse("a: F" + "\u0301" * 40)[1]
    assert fault.rule == "hidden-character"


@pytest.mark.parametrize(
    "text",
    [
        "2.2 k\u03a9 \u00b15 %",
        "10 \u00b5F",
        "Gr\u00fc\u00dfe, \u00fcbrig",
        "L\u2019\u00e9t\u00e9 \u00e0 No\u00ebl\u00a0!",
        "\u1f84\u03bb\u03c6\u03b1",
        "e\u0302\u0301",
        "\u65e5\u672c",
        "85\u00a0\u00b0C",
    ],
)
def test_the_letters_and_units_of_people_stay(text: str) -> None:
    assert parse(f"a: {text}")[:2] == ({"a": text}, [])
