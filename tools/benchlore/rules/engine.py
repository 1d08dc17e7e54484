"""Run the rules: over the common records and over each family by itself, then over what was noted of all.

A rule sees records under review: a name in a record may lead nowhere. A rule that follows names skips those
that do; the `unknown-...` rules report them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from benchlore.book import Loaded
from benchlore.book.ids import COMMON, family_of, folder_of
from benchlore.book.loader import capped
from benchlore.book.model import Book, frozen_map
from benchlore.book.sources import Sources
from benchlore.circuit.foretold import in_full
from benchlore.findings import Finding, Problem
from benchlore.rules.rule import Rule
from benchlore.rules.waivers import Review, Waiver, silencing, waivers_of

# The rules about names that lead nowhere, and how many of their lines one finding names.
_UNKNOWN = "unknown-"
MOST_LINES = 8


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of a run. `file_rules` names those of the loader: known, never waived."""

    rules: tuple[Rule, ...]
    waiver_rules: tuple[Rule, ...] = ()
    file_rules: tuple[str, ...] = ()

    def review(self, used: frozenset[Waiver]) -> Review:
        """What the rules about waivers know."""
        fixed = {*self.file_rules, *(rule.id for rule in self.waiver_rules)}
        return Review(
            used,
            frozenset(rule.id for rule in self.rules if rule.waivable),
            frozenset({*fixed, *(rule.id for rule in self.rules if not rule.waivable)}),
        )


@dataclass(frozen=True, slots=True)
class Examined:
    """What is found in one family, or in the common records.

    `findings`: those of the loader, too. `absent`: what is said of absent uses, which counts only where every
    record file of the book was read. `read`: whether all these were. `seen`: what the rules across families
    noted, by rule. `waivers`: those of these rules.
    """

    findings: tuple[Finding, ...]
    absent: tuple[Finding, ...]
    read: bool
    seen: Mapping[str, Any] = field(default_factory=frozen_map)
    waivers: tuple[Waiver, ...] = ()


def check_loaded(loaded: Loaded, rules: Rules) -> tuple[Finding, ...]:
    """Everything there is to say about a loaded book, sorted by place."""
    examined = [examine(part, rules) for part in parts(loaded)]
    return conclude(common_of(loaded.book), examined, rules, loaded.sources)


def parts(loaded: Loaded) -> Iterator[Loaded]:
    """The common records by themselves, then each family with the common records beside it.

    The findings of the loader go with the part whose file they name.
    """
    common = common_of(loaded.book)
    found: dict[str, list[Finding]] = {COMMON: []}
    for finding in loaded.findings:
        found.setdefault(folder_of(finding.file), []).append(finding)
    yield Loaded(common, tuple(found.pop(COMMON)), loaded.sources)
    books = _by_family(loaded.book, common)
    for family in sorted({*books, *found}):
        yield Loaded(books.get(family, common), tuple(found.get(family, ())), loaded.sources)


def common_of(book: Book) -> Book:
    """The common records alone."""
    none: Mapping[str, Any] = frozen_map()
    return replace(book, families=none, faults=none, retired=none, unread=none, pictures=none)


def _by_family(book: Book, common: Book) -> dict[str, Book]:
    kinds: list[dict[str, dict[str, Any]]] = []
    for records in (book.families, book.faults, book.retired, book.unread):
        kinds.append({})
        for key, record in records.items():
            kinds[-1].setdefault(family_of(key), {})[key] = record
    return {
        name: replace(
            common,
            families=families,
            faults=faults,
            retired=retired,
            unread=unread,
            pictures=frozen_map({f: one for f, one in book.pictures.items() if folder_of(f) == name}),
        )
        for name in {name for kind in kinds for name in kind}
        for families, faults, retired, unread in [[frozen_map(kind.get(name)) for kind in kinds]]
    }


def examine(part: Loaded, rules: Rules) -> Examined:
    """Ask every rule of the subjects of one part: a family's, or the common ones where no family is there."""
    book = part.book
    waivers = waivers_of(book)
    absences = frozenset(rule.id for rule in rules.rules if rule.whole)
    later = frozenset(rule.id for rule in rules.rules if rule.visit)
    used: set[Waiver] = set()
    said: list[tuple[bool, Finding]] = []
    seen: dict[str, Any] = {}
    for rule, problem in _problems(in_full(book), rules.rules, seen):
        waiver = silencing(waivers, rule.id, problem.origin) if rule.waivable else None
        if waiver:
            used.add(waiver)
        else:
            said.append((rule.whole, part.sources.finding(rule.id, rule.severity, problem)))
    review = rules.review(frozenset(used))
    for waiver in waivers:
        if waiver.rule not in later:
            said += [
                (
                    rule.whole or waiver.rule in absences,
                    part.sources.finding(rule.id, rule.severity, problem),
                )
                for rule in rules.waiver_rules
                for problem in rule.ask(book, (waiver, review))
            ]
    return Examined(
        (*part.findings, *(finding for absent, finding in said if not absent)),
        tuple(finding for absent, finding in said if absent),
        part.whole,
        seen,
        tuple(waiver for waiver in waivers if waiver.rule in later),
    )


def _problems(book: Book, rules: Sequence[Rule], seen: dict[str, Any]) -> Iterator[tuple[Rule, Problem]]:
    """The problems of every rule in a part that is in full; what the rules across families note goes to
    `seen`."""
    own = bool(book.families or book.faults or book.retired or book.unread)
    known: dict[int, list[tuple[Any, ...]]] = {}
    for rule in rules:
        if rule.visit:
            seen[rule.name] = rule.visit(book)
            continue
        kind = rule.each
        if id(kind) not in known:
            known[id(kind)] = list(kind.own(book) if own else kind.shared(book))
        for subject in known[id(kind)]:
            for problem in rule.ask(book, subject):
                yield rule, problem


def conclude(
    common: Book, examined: Sequence[Examined], rules: Rules, sources: Sources
) -> tuple[Finding, ...]:
    """All findings, sorted by place: those of every part, and those of the rules across families."""
    whole = all(part.read for part in examined)
    findings = {finding for part in examined for finding in part.findings}
    if whole:
        findings.update(finding for part in examined for finding in part.absent)
    waivers = tuple(waiver for part in examined for waiver in part.waivers)
    used: set[Waiver] = set()
    ran = [rule for rule in rules.rules if rule.visit and (whole or not rule.whole)]
    for rule in ran:
        noted = [part.seen[rule.name] for part in examined if rule.name in part.seen]
        for problem in rule.ask(common, (noted,)):
            waiver = silencing(waivers, rule.id, problem.origin) if rule.waivable else None
            if waiver:
                used.add(waiver)
            else:
                findings.add(sources.finding(rule.id, rule.severity, problem))
    review = rules.review(frozenset(used))
    names = {rule.id for rule in ran}
    for waiver in waivers:
        for rule in rules.waiver_rules if waiver.rule in names else ():
            if rule.whole and not whole:
                continue
            findings.update(
                sources.finding(rule.id, rule.severity, problem)
                for problem in rule.ask(common, (waiver, review))
            )
    return capped(gathered(findings))


def gathered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, those of one name that leads nowhere as one, with the other lines of its file."""
    found: dict[tuple[str, ...], list[Finding]] = {}
    for one in sorted(findings):
        named = one.rule.startswith(_UNKNOWN)
        place = "" if named else f"{one.line}:{one.column}"
        found.setdefault((one.file, one.rule, one.message, one.mend, place), []).append(one)
    return tuple(
        replace(same[0], message=f"{same[0].message}{_also(same)}") if len(same) > 1 else same[0]
        for same in found.values()
    )


def _also(same: Sequence[Finding]) -> str:
    """The lines after the first, as far as one reads them: `; also in lines 12, 40 and 3 more`."""
    lines = list(dict.fromkeys(one.line for one in same[1:] if one.line != same[0].line))
    if not lines:
        return ""
    shown = ", ".join(map(str, lines[:MOST_LINES]))
    more = f" and {len(lines) - MOST_LINES} more" if len(lines) > MOST_LINES else ""
    return f"; also in line{'s' if len(lines) > 1 else ''} {shown}{more}"


def problems(rule: Rule, book: Book) -> list[Problem]:
    """What one rule says of a whole book, waived or not."""
    return problems_in(rule, books_of(book))


def books_of(book: Book) -> tuple[Book, ...]:
    """The common records by themselves, then each family with the common records beside it; all in full."""
    common = common_of(book)
    return tuple(in_full(one) for one in (common, *_by_family(book, common).values()))


def problems_in(rule: Rule, books: Sequence[Book]) -> list[Problem]:
    """What one rule says of the books of `books_of`, waived or not."""
    if rule.visit:
        return list(rule.ask(books[0], ([rule.visit(one) for one in books],)))
    return [problem for one in books for _, problem in _problems(one, (rule,), {})]


def beside(common: Loaded, own: Loaded) -> Loaded:
    """The records of one family with the common records beside them, and the common bench states in it."""
    states = common.book.states
    book = replace(
        common.book,
        families=frozen_map(
            {k: one.with_common(states, common.book.techniques) for k, one in own.book.families.items()}
        ),
        faults=own.book.faults,
        retired=own.book.retired,
        unread=own.book.unread,
        files=(*common.book.files, *own.book.files),
        pictures=own.book.pictures,
    )
    return Loaded(book, own.findings, own.sources)
