"""The checks beyond the schema, a family of rules a module."""

import inspect
import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

from benchlore.book import Loaded
from benchlore.book.model import Book
from benchlore.findings import Finding
from benchlore.progress import Progress
from benchlore.rules import (
    book_check,
    causes,
    comes_of,
    dangers,
    dead_rails,
    diagnosis,
    duplicates,
    elements,
    files,
    healthy,
    ids,
    measurements,
    meters,
    pictures,
    places,
    predictions,
    proof,
    ranges,
    references,
    safety,
    step_values,
    steps,
    thin,
    unused,
    waivers,
    wording,
)
from benchlore.rules.book_check import Checked, check_root
from benchlore.rules.docs import RuleDoc, rule_doc
from benchlore.rules.engine import Rules, check_loaded
from benchlore.rules.rule import Rule

_MODULES = (
    references,
    ranges,
    safety,
    steps,
    step_values,
    dangers,
    elements,
    healthy,
    dead_rails,
    places,
    measurements,
    meters,
    proof,
    causes,
    predictions,
    diagnosis,
    ids,
    duplicates,
    wording,
    pictures,
    thin,
    comes_of,
    unused,
)


def rules_of(module: ModuleType) -> tuple[Rule, ...]:
    """The rules of a module, in the order in which they stand in it."""
    return tuple(one for one in vars(module).values() if isinstance(one, Rule))


RULES = tuple(rule for module in _MODULES for rule in rules_of(module))
WAIVER_RULES = rules_of(waivers)
_ALL = Rules(RULES, WAIVER_RULES, files.IDS)

__all__ = [
    "RULES",
    "WAIVER_RULES",
    "Checked",
    "Rule",
    "RuleDoc",
    "all_docs",
    "check",
    "check_book",
    "check_known",
    "rules_of",
]


def check(loaded: Loaded) -> tuple[Finding, ...]:
    """Everything there is to say about a book, by every rule, sorted by place."""
    return check_loaded(loaded, _ALL)


def check_known(loaded: Loaded, then: Callable[[Book], None] = lambda _: None) -> tuple[Finding, ...]:
    """As `check`; a family that did not change since it was judged is not judged again. `then` is told of
    each other without an error, in the process that judged it.
    """
    return book_check.check_known(loaded, _ALL, then)


def check_book(root: Path, kept: bool = True, tell: Progress = lambda *_: None) -> Checked:
    """As `check`, of the book on disk: on all processors, and each family anew only when it changed."""
    return check_root(root, _ALL, kept, tell)


def all_docs() -> tuple[RuleDoc, ...]:
    """What every check demands: of the files and their fields first, then the rules, then of waivers."""
    return (*files.DOCS, *(_doc(rule) for rule in (*RULES, *WAIVER_RULES) if not rule.part_of))


def _doc(rule: Rule) -> RuleDoc:
    about = inspect.getdoc(inspect.getmodule(rule.check)) or ""
    return rule_doc(rule.id, re.split(r"[.:]\s", about + " ")[0], rule.severity, rule.waivable, rule.doc)
