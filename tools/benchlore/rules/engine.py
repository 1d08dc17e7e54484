"""Run rules over a book. A rule is a generator function; its name, with hyphens, is its id.

A rule sees books under review: a name in a record may lead nowhere. A rule that follows names skips those
that do; the `unknown-...` rules report them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from benchlore.book import Loaded
from benchlore.book.model import Book
from benchlore.findings import Finding, Problem, Severity
from benchlore.rules.waivers import Review, Waiver, silencing, waivers_of

Subject = TypeVar("Subject")


@dataclass(frozen=True, slots=True)
class Rule(Generic[Subject]):
    """A check of the whole book. Its docstring says what it demands and shows a `Bad:` and a `Good:` record.

    `waivable`: a record may waive it; false where the site could not be built from such a record.
    `whole`: it judges what is absent, so it runs only when every record file could be read.
    """

    check: Callable[[Subject], Iterable[Problem]]
    severity: Severity = "error"
    waivable: bool = True
    whole: bool = False

    @property
    def id(self) -> str:
        """The function's name, with hyphens."""
        return self.check.__name__.replace("_", "-")

    @property
    def doc(self) -> str:
        """The docstring, as written."""
        return self.check.__doc__ or ""


BookRule = Rule[Book]
WaiverRule = Rule[Review]


def check_book(
    loaded: Loaded,
    rules: Sequence[BookRule],
    waiver_rules: Sequence[WaiverRule] = (),
    file_rules: Iterable[str] = (),
) -> tuple[Finding, ...]:
    """Everything there is to say about a book: the loader's findings and those of the rules, sorted by place.

    `file_rules` names the rules of the loader: known, never waived.
    """
    runnable = [rule for rule in rules if loaded.whole or not rule.whole]
    waivers = waivers_of(loaded.book)
    used: set[Waiver] = set()
    findings = set(loaded.findings)
    for rule in runnable:
        for problem in rule.check(loaded.book):
            waiver = silencing(waivers, rule.id, problem.origin) if rule.waivable else None
            if waiver:
                used.add(waiver)
            else:
                findings.add(loaded.sources.finding(rule.id, rule.severity, problem))
    review = Review(
        waivers,
        used=frozenset(used),
        ran=frozenset(rule.id for rule in runnable),
        waivable=frozenset(rule.id for rule in rules if rule.waivable),
        refused=frozenset(
            [
                *file_rules,
                *(rule.id for rule in rules if not rule.waivable),
                *(rule.id for rule in waiver_rules),
            ]
        ),
    )
    for waiver_rule in waiver_rules:
        for problem in waiver_rule.check(review):
            findings.add(loaded.sources.finding(waiver_rule.id, waiver_rule.severity, problem))
    return tuple(sorted(findings))
