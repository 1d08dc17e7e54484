"""The plan as rows that hang below one another, with their words; the page's list draws the lines.

What ends there hangs below the measurement that leads to it; a lone step that leads on follows straight, at
the same depth, so that long plans stay narrow. The words wrap on a narrow page, so one list serves all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from benchlore.book.model import Book, Family
from benchlore.diagnosis.hypotheses import hypotheses_of
from benchlore.diagnosis.plan import Node
from benchlore.diagnosis.suspects import Suspect, suspects_of
from benchlore.site import words
from benchlore.site.outline import Line, Outline

FOLDED = "rare: rank what the bench shows"
STOP = "stop"
LAST = "then rank what the bench shows"
SETTLED = 2  # other faults that a fix is said to mend
LEAST_SETTLED = 0.02  # share of the boards that come to it, from which one is named


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the outline in words, with the rows that hang `below` it.

    `after`: which step it follows, for who hears the list. `status`: the mark of what leads here. `when`:
    what leads here, in words. `kind`: of the step, or `folded`. `fault`: the recorded one whose fix it is.
    `lines`: the classes of the lines that pass or reach the row.
    """

    number: int
    after: str
    status: str
    when: str
    kind: str
    what: str
    fault: str
    aside: str
    lines: str
    below: tuple[Row, ...]


def rows(book: Book, family: Family, shown: Outline) -> tuple[Row, ...]:
    """The rows of an outline: the first one and those that follow it straight, with all others below them."""
    return _chain(book, family, shown.lines, 0, ("",))


def _chain(
    book: Book, family: Family, lines: Sequence[Line], first: int, passing: Sequence[str]
) -> tuple[Row, ...]:
    """A row and those that follow it straight. `passing`: the line in the column to the left, beside the
    first row and, last, beside the others."""
    made: list[Row] = []
    number: int | None = first
    while number is not None:
        line = lines[number]
        after = [n for n, other in enumerate(lines) if other.parent == number]
        straight = next((n for n in after if lines[n].indent == line.indent), None)
        below: list[Row] = []
        branches = [n for n in after if n != straight]
        for branch in branches:
            on = straight is not None or branch != branches[-1]
            below += _chain(book, family, lines, branch, ("through", "through") if on else ("end", ""))
        css = [passing[0] if number == first else passing[-1]]
        css += ["straight"] if number != first else []
        css += ["more"] if after else []
        made.append(_row(book, family, lines, number, " ".join(filter(None, css)), tuple(below)))
        number = straight
    return tuple(made)


def _row(
    book: Book, family: Family, lines: Sequence[Line], number: int, css: str, below: tuple[Row, ...]
) -> Row:
    line = lines[number]
    kind = "folded" if line.step is None else line.step.kind
    fault = line.step.id if line.step is not None and line.step.id in book.faults else ""
    said, beside = what(book, family, line), aside(book, family, line)
    leads, status = when(family, lines, line), _status(family, lines, line)
    return Row(number + 1, _after(family, lines, line), status, leads, kind, said, fault, beside, css, below)


def _after(family: Family, lines: Sequence[Line], line: Line) -> str:
    """Which step a row follows, and where that one measures: on paper it may stand on another sheet."""
    if line.parent is None:
        return "First:"
    above = lines[line.parent].step
    if line.after_fix or above is None:
        return f"If step {line.parent + 1} is"
    return f"If step {line.parent + 1}, {family.measurements[above.id].net}, reads"


def when(family: Family, lines: Sequence[Line], line: Line) -> str:
    """What leads to a step, with its share of the jobs: `shorted, under 0.10 V · 36 %`; first: nothing."""
    if line.parent is None:
        return ""
    cause = "not mended" if line.after_fix else _outcomes(family, lines, line)
    return f"{cause} · {words.share(line.share)}"


def _outcomes(family: Family, lines: Sequence[Line], line: Line) -> str:
    above = lines[line.parent or 0].step
    known = [family.measurements[above.id].outcomes[name] for name in line.outcomes] if above else []
    names = [words.outcome(o.id) for o in known]
    if len(known) == 1 and (stated := known[0].range) and not stated.is_open:
        names = [f"{names[0]}, {words.quantity(stated)}"]
    marked = [f"{name} ({STOP})" if o.stop else name for name, o in zip(names, known, strict=True)]
    return words.listing(marked, "or")


def what(book: Book, family: Family, line: Line) -> str:
    """What to do, in a sentence without its full stop."""
    step = line.step
    if step is None:
        return FOLDED
    if step.kind == "measure":
        return family.measurements[step.id].asks
    if step.kind == "fix":
        return fix(book, family, step.id)
    to = book.shop.escalate.to
    return f"{titled(book, family, step.id)}: escalate to {to}" if step.id else f"Escalate to {to}"


def titled(book: Book, family: Family, name: str) -> str:
    """The title of a fault, recorded or suspected."""
    return book.faults[name].title if name in book.faults else suspect_of(book, family, name).title


def fix(book: Book, family: Family, name: str) -> str:
    """What a fix does, in words: mend what is recorded, try what is plugged in, find or reflow what is
    suspected.
    """
    if name in book.faults:
        return f"Fix: {titled(book, family, name)}"
    suspect = suspect_of(book, family, name)
    if suspect.outside:
        return f"Try: {suspect.title}"
    verb = "Reflow" if suspect.reflowed else "Find"
    return f"{verb}: {suspect.title} (suspected, no record)"


def settled(step: Node) -> tuple[str, ...]:
    """What else a fix mends of the boards that come to it, the likeliest first, as far as it is named."""
    ranked = sorted(step.also, key=lambda one: (-one[1], one[0]))
    return tuple(name for name, share in ranked[:SETTLED] if share >= LEAST_SETTLED)


def minutes_of(book: Book, family: Family, name: str) -> float:
    """Minutes of the fix of a fault, recorded or suspected."""
    known = hypotheses_of(book, family)
    return known.minutes[known.names.index(name)]


def suspect_of(book: Book, family: Family, name: str) -> Suspect:
    """A suspect of a family by its id."""
    return next(suspect for suspect in suspects_of(book, family) if suspect.id == name)


def aside(book: Book, family: Family, line: Line) -> str:
    """Where to measure and how, or what a fix promises; and the minutes."""
    step = line.step
    if step is None:
        return ""
    minutes = words.minutes(round(step.minutes))
    if step.kind == "fix":
        proof = " with its proof" if step.id in book.faults else ""
        also = [titled(book, family, name) for name in settled(step)]
        settles = f"; settles also: {'; '.join(also)}" if also else ""
        return f"{minutes}{proof}, mends {words.share(step.success)} of these{settles}"
    if step.kind == "escalate" and step.id:
        needs = words.minutes(round(minutes_of(book, family, step.id)))
        return f"{minutes}, the cause of {words.share(step.success)} of these; mending it costs {needs}"
    if step.kind == "escalate":
        return minutes
    measurement = family.measurements[step.id]
    asked = words.asked(family, measurement).removesuffix(".")
    return f"{asked}: {minutes}" + (f", {LAST}" if line.last else "")


def _status(family: Family, lines: Sequence[Line], line: Line) -> str:
    """The mark of what leads to a step: a normal outcome, another one, or a fix that did not mend it."""
    above = lines[line.parent].step if line.parent is not None else None
    if above is None:
        return ""
    if line.after_fix:
        return "undecided"
    outcomes = family.measurements[above.id].outcomes
    return "normal" if all(outcomes[name].normal for name in line.outcomes) else "other"
