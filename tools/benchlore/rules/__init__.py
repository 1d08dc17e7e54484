"""The checks beyond the schema, a family of rules a module."""

import inspect
import re
from typing import Any

from benchlore.book import Loaded
from benchlore.findings import Finding
from benchlore.rules import (
    circuit,
    diagnosis,
    duplicates,
    files,
    ids,
    measurements,
    meters,
    nets,
    places,
    proof,
    ranges,
    references,
    safety,
    unused,
    wording,
)
from benchlore.rules.docs import RuleDoc, rule_doc
from benchlore.rules.engine import BookRule, Rule, WaiverRule, check_book
from benchlore.rules.waivers import refused_waiver, unknown_rule, unused_waiver

RULES: tuple[BookRule, ...] = (
    *references.RULES,
    *ranges.RULES,
    *safety.RULES,
    *circuit.RULES,
    *places.RULES,
    *nets.RULES,
    *measurements.RULES,
    *meters.RULES,
    *proof.RULES,
    *diagnosis.RULES,
    *ids.RULES,
    *duplicates.RULES,
    *wording.RULES,
    *unused.RULES,
)
WAIVER_RULES: tuple[WaiverRule, ...] = tuple(
    Rule(check, waivable=False) for check in (unknown_rule, unused_waiver, refused_waiver)
)

__all__ = ["RULES", "WAIVER_RULES", "Rule", "RuleDoc", "all_docs", "check", "check_book"]


def check(loaded: Loaded) -> tuple[Finding, ...]:
    """Everything there is to say about a book, by every rule, sorted by place."""
    return check_book(loaded, RULES, WAIVER_RULES, files.IDS)


def all_docs() -> tuple[RuleDoc, ...]:
    """What every check demands: of the files and their fields first, then the rules, then of waivers."""
    return (*files.DOCS, *map(_doc, RULES), *map(_doc, WAIVER_RULES))


def _doc(rule: Rule[Any]) -> RuleDoc:
    about = inspect.getdoc(inspect.getmodule(rule.check)) or ""
    return rule_doc(rule.id, re.split(r"[.:]\s", about + " ")[0], rule.severity, rule.waivable, rule.doc)
