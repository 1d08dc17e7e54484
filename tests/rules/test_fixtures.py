"""Each fixture gives exactly the findings that it asks for, and every rule has one."""

import re
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.findings import Finding
from benchlore.rules import RULES, WAIVER_RULES, check
from tests.rules.fixtures import (
    AT_EITHER,
    AT_NAME,
    GOOD,
    NEVER_WAIVED,
    OF_THE_WHOLE,
    Case,
    cases,
    expected,
    spoiled,
)
from tests.rules.said import kept, said

CASES, SAID = cases(), kept()


def test_the_good_book_has_no_findings():
    assert check(load_book(GOOD)) == ()


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_fixture_gives_exactly_its_findings(case: Case, tmp_path):
    wanted = expected(spoiled(case, tmp_path))
    findings = check(load_book(tmp_path))
    found = [(f.file, f.line, f.rule) for f in findings]
    assert wanted, "the fixture expects nothing"
    assert sorted(found) == wanted
    assert said(findings) == SAID.get(case.name), "if it is meant: python -m tests.rules.said"
    name = case.name.split("/")[0]
    assert name in {rule for _, _, rule in wanted}, "the folder names the rule"
    for finding in findings:
        if finding.rule not in AT_EITHER and (tmp_path / finding.file).suffix == ".yaml":
            assert at_name(tmp_path, finding) == (finding.rule in AT_NAME), finding
    for rule in RULES:
        if rule.id == name:
            assert rule.waivable == (name not in NEVER_WAIVED)
            assert rule.whole == (name in OF_THE_WHOLE)


def at_name(root: Path, finding: Finding) -> bool:
    """Whether a finding stands at the name of a field, not at what it says."""
    path = root / finding.file
    lines = path.read_text(encoding="utf-8").split("\n") if path.is_file() else []
    text = lines[finding.line - 1][finding.column - 1 :] if finding.line <= len(lines) else ""
    return bool(re.match(r"""[^:{}\[\],"]+:(\s|$)""", text))


@pytest.mark.parametrize("rule", [rule.id for rule in RULES] + [rule.id for rule in WAIVER_RULES])
def test_rule_has_a_fixture(rule):
    assert any(case.name.startswith(f"{rule}/") for case in CASES), f"add tests/rules/bad/{rule}/CASE.edit"
