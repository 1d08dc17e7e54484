"""A rule asked about one subject of the good book."""

from typing import Any

from benchlore.book import load_book
from benchlore.findings import Problem
from benchlore.rules.rule import Rule
from tests.rules.fixtures import GOOD

BOOK = load_book(GOOD).book
FAMILY = BOOK.families["wren-5"]


def problems(rule: Rule, **told: Any) -> list[Problem]:
    """What a rule says of a subject; book and family are the good ones where none are given."""
    known = {"book": BOOK, "family": FAMILY, **told}
    return list(rule.check(**{name: known[name] for name in rule.asked}))


def said(rule: Rule, **told: Any) -> list[str]:
    """The messages of `problems`."""
    return [problem.message for problem in problems(rule, **told)]
