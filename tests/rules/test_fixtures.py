"""Each fixture gives exactly the findings that it asks for, and every rule has one."""

import pytest

from benchlore.book import load_book
from benchlore.rules import RULES, WAIVER_RULES, check
from tests.rules.fixtures import GOOD, Case, cases, expected, spoiled

CASES = cases()


def test_the_good_book_has_no_findings():
    assert check(load_book(GOOD)) == ()


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_fixture_gives_exactly_its_findings(case: Case, tmp_path):
    wanted = expected(spoiled(case, tmp_path))
    found = [(f.file, f.line, f.rule) for f in check(load_book(tmp_path))]
    assert wanted, "the fixture expects nothing"
    assert sorted(found) == wanted
    assert case.name.split("/")[0] in {rule for _, _, rule in wanted}, "the folder names the rule"


@pytest.mark.parametrize("rule", [rule.id for rule in RULES] + [rule.id for rule in WAIVER_RULES])
def test_rule_has_a_fixture(rule, tmp_path):
    assert any(case.name.startswith(f"{rule}/") for case in CASES), f"add tests/rules/bad/{rule}/CASE.edit"
