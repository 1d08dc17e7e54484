"""The forms of a list of findings, on findings that records of bad intent would make."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.findings import Finding
from benchlore.reporters import FORMATS, Report
from benchlore.reporters.annotations import render as annotations
from benchlore.reporters.text import render as text

ONE = Finding("faults/a/b.yaml", 3, 5, "some-rule", "error", "wrong", "mend it", "    bad: value")


def report(*findings: Finding) -> Report:
    return Report(findings, files=7)


def test_caret_stands_under_the_column():
    lines = text(report(ONE)).split("\n")
    assert lines[1].index("bad") == lines[2].index("^")


@pytest.mark.parametrize(
    ("before", "wide"), [("\t", "\t"), ("測定", "    "), ("e\u0301", " "), ("\x1b", "    ")]
)
def test_caret_keeps_under_its_place_after_odd_characters(before, wide):
    finding = replace(ONE, excerpt=f"{before}x", column=len(before) + 1)
    assert text(report(finding)).split("\n")[2] == f"    {wide}^"


def test_caret_is_left_out_beyond_a_shortened_line():
    assert "^" not in text(report(replace(ONE, column=500)))


def test_finding_without_line_or_mend_is_one_line():
    finding = replace(ONE, mend="", excerpt="")
    assert text(report(finding)) == "faults/a/b.yaml:3:5: error [some-rule] wrong\n1 error in 7 files\n"


def test_close_counts_by_severity():
    findings = [ONE, ONE, replace(ONE, severity="warning"), replace(ONE, severity="note")]
    assert text(report(*findings)).endswith("\n2 errors, 1 warning, 1 note in 7 files\n")


def test_record_cannot_drive_the_terminal():
    hostile = "\x1b[2J\x07\u202e\u2028"
    finding = replace(ONE, message=hostile, mend=hostile, excerpt=hostile, file=f"faults/{hostile}.yaml")
    shown = text(report(finding))
    assert not any(c in shown for c in "\x1b\x07\u202e")
    assert r"\x1b[2J\x07\u202e" in shown


def test_annotation_escapes_what_ends_a_value():
    finding = replace(ONE, file="faults/a,b:c%.yaml", message="50 %\r\n::error::not mine")
    assert annotations(report(finding)) == (
        "::error file=faults/a%2Cb%3Ac%25.yaml,line=3,col=5,title=some-rule::"
        "50 %25\\r\\n::error::not mine%0Amend it\n"
    )


def test_annotation_holds_nothing_that_drives_a_terminal_or_turns_letters_round():
    hostile = "\x1b[2J\u202e\u00ad"
    line = annotations(report(replace(ONE, message=hostile, mend=hostile, file=f"faults/{hostile}.yaml")))
    assert not any(c in line for c in "\x1b\u202e\u00ad")
    assert r"\x1b[2J\u202e\xad" in line


def test_annotation_levels():
    found = [replace(ONE, severity=severity) for severity in ("error", "warning", "note")]
    assert [line.split(" ")[0] for line in annotations(report(*found)).splitlines()] == [
        "::error",
        "::warning",
        "::notice",
    ]


TEXTS = st.text(st.characters(codec="utf-8"), max_size=30)
FINDINGS = st.builds(
    Finding,
    TEXTS,
    st.integers(1, 99),
    st.integers(1, 99),
    st.just("some-rule"),
    st.sampled_from(["error", "warning", "note"]),
    TEXTS,
    TEXTS,
    TEXTS,
)


@given(st.lists(FINDINGS, max_size=4))
def test_every_form_takes_every_finding(findings):
    shown = {name: form(Report(tuple(findings), 1)) for name, form in FORMATS.items()}
    assert [Finding(**f) for f in json.loads(shown["json"])["findings"]] == findings
    assert shown["github"].count("\n") == len(findings)
    assert shown["text"].count("[some-rule]") >= len(findings)
