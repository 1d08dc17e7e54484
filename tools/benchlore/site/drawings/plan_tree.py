"""The plan as a tree that stands upright: a row a step, below the measurement that leads there.

What ends there is indented; a lone step that leads on stands straight below, so that long plans stay narrow.

The same tree is drawn for a width: narrow for a phone, wide for a screen and for paper. Every fix is a link.
It comes in pieces of a few rows, one right below another, so that paper can break between them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from benchlore.book.model import Book, Family
from benchlore.site import words
from benchlore.site.drawings import marks
from benchlore.site.drawings.svg import element, number, text_width, wrap
from benchlore.site.outline import Line, Outline

NARROW, WIDE = 330.0, 880.0
_SIZE = 14.0
_LINE = 18.0
_GAP = 8.0
_LEFT = 4.0
_MARK = 13.0
_TEXT = _MARK + 6
_PIECE = 6  # rows after which a new piece may begin
# A step stands beside its outcome where it finds this much room there, else below.
_BESIDE = 300.0
FOLDED = "rare: rank what the bench shows"
STOP = "stop"
LAST = "then rank what the bench shows"


@dataclass(frozen=True, slots=True)
class _Text:
    """One line of a row: where it begins, and what kind of words it holds (`when`, `what` or `aside`)."""

    kind: str
    text: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class _Row:
    """A line of the outline with its words in place. `y`: middle of its first line; `bottom`: of the row."""

    line: Line
    x: float
    y: float
    bottom: float
    texts: tuple[_Text, ...]


def drawing(book: Book, family: Family, shown: Outline, width: float, link: Callable[[str], str]) -> Markup:
    """The tree as inline SVG for a width in pixels, NARROW or WIDE. `link`: the address of a fault's page."""
    rows = tuple(_rows(book, family, shown.lines, width))
    words = element("title", f"Plan on {family.title}") + element("desc", in_words(book, family, shown))
    pieces: list[Markup] = []
    top = 0.0
    for first, last in _pieces(rows):
        bottom = rows[last].bottom
        body = Markup().join(_stems(rows, first, last, top))
        body += Markup().join(
            drawn for row in rows[first : last + 1] for drawn in _drawn(family, row, rows, link)
        )
        view = f"0 {number(top)} {width:.0f} {number(bottom - top)}"
        pieces.append(element("svg", ("" if pieces else words) + body, class_="plan-piece", viewBox=view))
        top = bottom
    return element(
        "div",
        Markup().join(pieces),
        class_=f"plan-tree plan-{'wide' if width == WIDE else 'narrow'}",
        role="group",
        aria_label=f"Plan on {family.title}, as a tree",
    )


def _pieces(rows: Sequence[_Row]) -> Iterator[tuple[int, int]]:
    """First and last row of each piece; a step stands on a piece with the first row below it."""
    first = 0
    for last in range(len(rows)):
        end = last == len(rows) - 1
        if end or (last - first + 1 >= _PIECE and rows[last + 1].line.parent != last):
            yield first, last
            first = last + 1


def _stems(rows: Sequence[_Row], first: int, last: int, top: float) -> Iterator[Markup]:
    """The lines from each measurement to what follows it, so far as they pass these rows."""
    for place, row in enumerate(rows):
        if row.line.parent is None or row.line.parent > last or place < first:
            continue
        above = rows[row.line.parent]
        start = above.y + _MARK / 2 if row.line.parent >= first else top - 1
        stem = above.x + _MARK / 2
        across = f"H{row.x:.1f}" if row.x > above.x and place <= last else ""
        end = row.y if place <= last else rows[last].bottom + 1
        yield element("path", class_="plan-line", d=f"M{stem:.1f} {start:.1f}V{end:.1f}{across}")


def in_words(book: Book, family: Family, shown: Outline) -> str:
    """The same tree as numbered sentences; each says which step it follows."""
    return " ".join(
        f"{number}. {_after(family, shown.lines, line)}: {_said(book, family, line)}"
        for number, line in enumerate(shown.lines, 1)
    )


def _said(book: Book, family: Family, line: Line) -> str:
    beside = aside(family, line)
    return f"{what(book, family, line)} ({beside})." if beside else f"{what(book, family, line)}."


def _after(family: Family, lines: Sequence[Line], line: Line) -> str:
    if line.parent is None:
        return "First"
    share = f"{_share(line.share)} of jobs"
    if line.after_fix:
        return f"If step {line.parent + 1} does not mend it ({share})"
    return f"If step {line.parent + 1} reads {_outcomes(family, lines, line)} ({share})"


def _share(share: float) -> str:
    return words.share(share) if share >= 0.005 else f"under {words.share(0.01)}"


def when(family: Family, lines: Sequence[Line], line: Line) -> str:
    """What leads to a step, with its share of the jobs: `shorted, under 0.10 V · 36 %`; first: nothing."""
    if line.parent is None:
        return ""
    cause = "not mended" if line.after_fix else _outcomes(family, lines, line)
    return f"{cause} · {_share(line.share)}"


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
        return f"Fix: {book.faults[step.id].title}"
    return f"Escalate to {book.shop.escalate.to}"


def aside(family: Family, line: Line) -> str:
    """Where to measure and how, or what a fix promises; and the minutes."""
    step = line.step
    if step is None:
        return ""
    minutes = words.minutes(round(step.minutes))
    if step.kind == "fix":
        return f"{minutes} with its proof, mends {words.share(step.success)} of these"
    if step.kind == "escalate":
        return minutes
    measurement = family.measurements[step.id]
    unplugged = f", {words.listing(measurement.unplugged)} unplugged" if measurement.unplugged else ""
    state = family.state_of(measurement).short
    how = f"{words.probed(measurement)}, {measurement.function.phrase}, {state}"
    return f"{how}{unplugged}: {minutes}" + (f", {LAST}" if line.last else "")


def _rows(book: Book, family: Family, lines: Sequence[Line], width: float) -> Iterator[_Row]:
    indent = 12.0 if width < WIDE else 24.0
    top = 2.0
    for line in lines:
        x = _LEFT + line.indent * indent
        texts = tuple(_texts(book, family, lines, line, x + _TEXT, top, width))
        bottom = max(text.y for text in texts) + _LINE / 2 + _GAP
        yield _Row(line, x, top + _LINE / 2, bottom, texts)
        top = bottom


def _texts(
    book: Book, family: Family, lines: Sequence[Line], line: Line, x: float, top: float, width: float
) -> Iterator[_Text]:
    """The words of a row: what leads here, beside or below it what to do, then where and how long."""
    y = top + _LINE / 2
    room = width - x
    leads = when(family, lines, line)
    if leads:
        wrapped = wrap(leads, room, _SIZE)
        for text in wrapped:
            yield _Text("when", text, x, y)
            y += _LINE
        beside = text_width(leads, _SIZE) + 10
        if len(wrapped) == 1 and room - beside >= _BESIDE:
            x, y, room = x + beside, y - _LINE, room - beside
    for text in wrap(what(book, family, line), room, _SIZE):
        yield _Text("folded" if line.step is None else line.step.kind, text, x, y)
        y += _LINE
    for text in wrap(aside(family, line), room, _SIZE):
        if text:
            yield _Text("aside", text, x, y)
            y += _LINE


def _drawn(family: Family, row: _Row, rows: Sequence[_Row], link: Callable[[str], str]) -> Iterator[Markup]:
    line = row.line
    if line.parent is not None:
        yield marks.shape(_status(family, row, rows), row.x + _MARK / 2, row.y, _MARK)
    else:
        yield element("path", class_="plan-start", d=f"M{row.x:.1f} {row.y - 6:.1f}l12 6l-12 6z")
    for kind, texts in groupby(row.texts, lambda text: text.kind):
        shown = Markup().join(
            element("text", text.text, class_=f"plan-{kind}", x=text.x, y=text.y + _SIZE * 0.35)
            for text in texts
        )
        yield element("a", shown, href=link(line.step.id)) if kind == "fix" and line.step else shown


def _status(family: Family, row: _Row, rows: Sequence[_Row]) -> str:
    """The mark of what leads to a step: a normal outcome, another one, or a fix that did not mend it."""
    line = row.line
    above = rows[line.parent].line.step if line.parent is not None else None
    if above is None or line.after_fix:
        return "undecided"
    outcomes = family.measurements[above.id].outcomes
    return "normal" if all(outcomes[name].normal for name in line.outcomes) else "other"
