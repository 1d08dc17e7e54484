"""What a rule's docstring shows is so: its Bad record has the finding, its Good record has none at all."""

import re
from pathlib import Path

import pytest

import benchlore.book
from benchlore.book import load_book
from benchlore.book.yaml_reader import parse
from benchlore.rules import check, files
from benchlore.rules.docs import RuleDoc, rule_doc
from tests.rules.fixtures import BAD, DOCS, IN_WORDS, PIECES, QUIET, merged
from tests.rules.said import check_by, kept, said_of

SAID = kept()
TEXTS = [doc for doc in DOCS if doc not in PIECES and doc.id not in IN_WORDS]


def by_id(docs: list[RuleDoc]):
    return pytest.mark.parametrize("doc", docs, ids=[doc.id for doc in docs])


@by_id(PIECES)
def test_bad_piece_has_the_finding(doc, tmp_path):
    found = said_of(doc.id, check_by(doc.id, load_book(merged(doc.bad, tmp_path))))
    assert found
    assert found == SAID.get(f"rules/{doc.id}"), "if it is meant: python -m tests.rules.said"


@by_id(PIECES)
def test_good_piece_has_no_finding(doc, tmp_path):
    shown = doc.good.split("\n", 1)[0].removeprefix("# ")
    found = check(load_book(merged(doc.good, tmp_path)))
    left = [f for f in found if f.rule not in QUIET or (f.rule, f.file) == (doc.id, shown)]
    assert [f"{f.rule}: {f.message}" for f in left] == []


@by_id(TEXTS)
def test_bad_text_has_the_finding_and_good_text_has_none(doc):
    assert doc.id in {fault.rule for fault in parse(doc.bad)[1]}
    assert parse(doc.good)[1] == []


def test_rule_ids_are_unique():
    assert len({doc.id for doc in DOCS}) == len(DOCS)


@pytest.mark.parametrize(
    ("demand", "summary"),
    [("One thing. Another.", "One thing."), ("One thing", "One thing"), ("One thing.", "One thing.")],
)
def test_the_first_sentence_of_a_rule_stands_for_it(demand, summary):
    doc = rule_doc("some-rule", "a group", "error", True, f"{demand}\n\nBad:\n    a: 0\n\nGood:\n    a: 1\n")
    assert (doc.demand, doc.summary, doc.bad, doc.good) == (demand, summary, "a: 0", "a: 1")


def test_docstring_without_blocks_is_refused():
    with pytest.raises(ValueError, match="needs a 'Bad:' and a 'Good:'"):
        rule_doc("some-rule", "a group", "error", True, "Says what it demands and shows nothing.")
    with pytest.raises(ValueError, match="empty part"):
        rule_doc("some-rule", "a group", "error", True, "Shows nothing.\n\nBad:\n\nGood:\n    seen: 1\n")


BOOK = Path(benchlore.book.__file__).parent
# What reads files, and all that is written with hyphens in it: rule ids, and the name of an encoding.
LOADER = (
    *("yaml_reader.py", "sources.py", "loader.py", "folder.py", "merge.py", "schemas.py"),
    "../difference/vanished.py",
)
SPOKEN = re.compile(r'"((?!utf-8")[a-z0-9]+(?:-[a-z0-9]+)+)"')


def test_every_finding_of_the_loader_is_documented():
    spoken = {name for file in LOADER for name in SPOKEN.findall((BOOK / file).read_text(encoding="utf-8"))}
    assert spoken == set(files.IDS)


@pytest.mark.parametrize("rule", files.IDS)
def test_finding_of_the_loader_is_tested(rule):
    """By a fixture, or among the tests of the loader, where a name or bytes are the trouble."""
    here = Path(__file__).parents[1]
    tests = [*(here / "book").glob("*.py"), *(here / "difference").glob("*.py")]
    assert (BAD / rule).is_dir() or any(f'"{rule}"' in path.read_text(encoding="utf-8") for path in tests)
