"""What a rule is, and how it says what it is asked of."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from benchlore.book.model import Book
from benchlore.findings import Problem, Severity

Check = Callable[..., Iterable[Problem]]
Subjects = Callable[[Book], Iterable[tuple[Any, ...]]]


def _none(_: Book) -> tuple[tuple[Any, ...], ...]:
    return ()


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """What a rule is asked of, one by one. `told`: the names and types that it can ask for, beside `book`.

    `own` gives the subjects among the records of the families, `shared` those among the common records.
    """

    told: Mapping[str, str]
    own: Subjects = _none
    shared: Subjects = _none


@dataclass(frozen=True, slots=True, eq=False)
class Rule:
    """A check. Its docstring says what it demands and shows a `Bad:` and a `Good:` record.

    `each`: what it is asked of. `waivable`: a record may waive it; false where the site could not be built
    from such a record. `whole`: it judges what is absent, so it counts only when every record file was read.
    `visit`: for a rule across families: what it notes of the records of one family, and of the common ones,
    as plain JSON of the form `notes` (`cache.like`); the rule then sees the notes of all, and the common
    records. `part_of`: the function's own name, where its findings carry the id of another rule.
    """

    id: str
    check: Check
    each: Kind
    severity: Severity
    waivable: bool
    whole: bool
    visit: Callable[[Book], Any] | None = None
    notes: Any = None
    part_of: str = ""
    asked: tuple[str, ...] = field(init=False)  # the names of what the function asks for
    _places: tuple[int, ...] = field(init=False, repr=False)  # of these, behind the book

    def __post_init__(self) -> None:
        object.__setattr__(self, "asked", tuple(inspect.signature(self.check).parameters))
        told = ("book", *self.each.told)
        object.__setattr__(self, "_places", tuple(told.index(name) for name in self.asked))

    @property
    def name(self) -> str:
        """The function's own name, where two have one id."""
        return self.part_of or self.id

    @property
    def doc(self) -> str:
        """The docstring, as written."""
        return self.check.__doc__ or ""

    def ask(self, book: Book, subject: tuple[Any, ...]) -> Iterable[Problem]:
        """The problems of one subject of the rule's kind."""
        told = (book, *subject)
        return self.check(*[told[place] for place in self._places])


# The common records, once; across families: with the notes of the visits.
COMMON = Kind({}, shared=lambda _: ((),))
_ACROSS = Kind({"seen": "Seen"})
Seen = list[Any]


def rule(
    severity: Severity = "error",
    *,
    each: Kind,
    waivable: bool = True,
    whole: bool = False,
) -> Callable[[Check], Rule]:
    """Make a rule of a function that is told its subject: it names what it wants to know as parameters."""

    def made(check: Check) -> Rule:
        return _rule(check, each, severity, waivable=waivable, whole=whole)

    return made


def across(
    severity: Severity = "error",
    *,
    visit: Callable[[Book], Any],
    notes: Any,
    waivable: bool = True,
    whole: bool = False,
    part_of: Rule | None = None,
) -> Callable[[Check], Rule]:
    """Make a rule of a function that sees the common records (`book`) and what was noted at each visit
    (`seen`), of the form `notes`.

    `part_of`: its findings carry the name of that rule, whose docstring stands for both.
    """

    def made(check: Check) -> Rule:
        return _rule(
            check,
            _ACROSS,
            severity,
            waivable=waivable,
            whole=whole,
            visit=visit,
            notes=notes,
            part_of=part_of,
        )

    return made


def _rule(check: Check, each: Kind, severity: Severity, part_of: Rule | None = None, **settings: Any) -> Rule:
    known = {"book": "Book", **each.told}
    asked = {name: one.annotation for name, one in inspect.signature(check).parameters.items()}
    for name, annotation in asked.items():
        if known.get(name) != annotation:
            raise TypeError(f"{check.__name__} asks for {name}: {annotation}; there is {dict(known)}")
    id_ = check.__name__.replace("_", "-")
    return Rule(
        part_of.id if part_of else id_, check, each, severity, part_of=id_ if part_of else "", **settings
    )
