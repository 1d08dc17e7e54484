"""The strip: a measurement's outcomes on a number line that stands upright, the highest reading on top.

The outcomes of one measurement may span from 10 mV to 20 V, so the line is not to scale: every outcome gets
the height of its words, and a gap between two outcomes is a short broken piece. Order is kept.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from benchlore.book.model import Measurement, Outcome
from benchlore.quantity import Quantity
from benchlore.site import words
from benchlore.site.drawings import marks
from benchlore.site.drawings.svg import element, text_width, wrap

WIDTH = 360.0
_SIZE = 14.0
_LINE = 17.0
_PAD = 8.0
_GAP = 13.0
_BAR = 34.0
_READS = _BAR + 10
_LEAST_BRACKET = 5.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the line from `top` down to `bottom`: an outcome, or a gap between two (None)."""

    outcome: Outcome | None
    low: float
    high: float
    top: float
    bottom: float
    lines: tuple[str, ...] = ()

    @property
    def middle(self) -> float:
        """Its middle on the drawing."""
        return (self.top + self.bottom) / 2


def strip(
    measurement: Measurement,
    with_fault: Mapping[str, float] | None = None,
    derived: tuple[float, float] | None = None,
    *,
    live: bool = False,
) -> Markup:
    """The strip as inline SVG; nothing for one that is looked at. `with_fault`: share by outcome.

    `derived`: ends of what the circuit gives; a bracket beside the bar shows it.
    `live`: for a script that places a reading on the line. `data-scale` then holds [value, y] pairs of the
    finite ends, rising; `data-outcome` of each band its outcome.
    """
    line = pieces(measurement, with_fault)
    if not line:
        return Markup()
    marked = statuses(measurement, with_fault)
    names_at = _READS + max(text_width(_reads(p.outcome), _SIZE) for p in line if p.outcome) + 12
    drawn = [_piece(piece, marked, names_at, live) for piece in line]
    if derived:
        drawn.append(_bracket(line, *derived))
    scale = [[value, round(y, 1)] for value, y in _scale(line)]
    return element(
        "svg",
        element("title", f"Outcomes: {measurement.asks}")
        + element("desc", _in_words(line, marked))
        + Markup().join(drawn),
        class_="strip",
        viewBox=f"0 0 {WIDTH:g} {line[-1].bottom + 2:g}",
        role="img",
        data_scale=json.dumps(scale, separators=(",", ":")) if live else None,
    )


def pieces(measurement: Measurement, with_fault: Mapping[str, float] | None = None) -> tuple[Piece, ...]:
    """The stretches from top to bottom; none for a measurement whose outcomes are seen or heard."""
    ranged = [o for o in measurement.outcomes.values() if o.range is not None]
    ordered = sorted(ranged, key=lambda o: (_range(o).low, _range(o).high), reverse=True)
    widest = max((text_width(_reads(o), _SIZE) for o in ordered), default=0.0)
    room = WIDTH - _READS - widest - 12
    marked = statuses(measurement, with_fault)
    found: list[Piece] = []
    top = 2.0
    for outcome in ordered:
        low, high = _range(outcome).low, _range(outcome).high
        if found and high < found[-1].low:
            found.append(Piece(None, high, found[-1].low, top, top + _GAP))
            top += _GAP
        lines = tuple(wrap(_meaning(outcome, marked, with_fault or {}), room, _SIZE))
        bottom = top + len(lines) * _LINE + _PAD
        found.append(Piece(outcome, low, high, top, bottom, lines))
        top = bottom
    return tuple(found)


def statuses(measurement: Measurement, with_fault: Mapping[str, float] | None = None) -> dict[str, str]:
    """The mark of each outcome: normal, this fault, or another. An outcome that is normal stays normal."""
    expected = with_fault or {}
    return {
        o.id: "normal" if o.normal else "fault" if expected.get(o.id, 0) > 0 else "other"
        for o in measurement.outcomes.values()
    }


def _range(outcome: Outcome) -> Quantity:
    assert outcome.range is not None
    return outcome.range


def _reads(outcome: Outcome) -> str:
    return words.quantity(_range(outcome))


def _meaning(outcome: Outcome, marked: Mapping[str, str], with_fault: Mapping[str, float]) -> str:
    """The outcome's name, then what it says: `default, this fault`."""
    name, status = words.outcome(outcome.id), marked[outcome.id]
    said = [name]
    if status != "other" and name != words.STATUS[status]:
        said.append(words.STATUS[status])
    if status == "normal" and with_fault.get(outcome.id, 0) > 0:
        said.append("also with this fault")
    return ", ".join(said)


def _piece(piece: Piece, marked: Mapping[str, str], names_at: float, live: bool) -> Markup:
    middle, centre = piece.middle, _BAR / 2
    if piece.outcome is None:
        tear = f"M{centre - 7:.1f} {middle + 4:.1f}l14-4M{centre - 7:.1f} {middle:.1f}l14-4"
        line = f"M{centre:.1f} {piece.top:.1f}V{piece.bottom:.1f}"
        return element("path", class_="strip-gap", d=line) + element("path", class_="strip-tear", d=tear)
    status = marked[piece.outcome.id]
    band = element(
        "rect",
        class_=f"band band-{status}",
        x=1,
        y=piece.top + 1,
        width=_BAR - 2,
        height=piece.bottom - piece.top - 2,
        rx=3,
        data_outcome=piece.outcome.id if live else None,
    )
    first = middle - len(piece.lines) * _LINE / 2 + _SIZE - 1
    reads = element("text", _reads(piece.outcome), class_="strip-reads", x=_READS, y=first)
    names = Markup().join(
        element("text", line, class_=f"strip-name strip-name-{status}", x=names_at, y=first + row * _LINE)
        for row, line in enumerate(piece.lines)
    )
    return band + marks.shape(status, centre, middle, 15) + reads + names


def _bracket(line: tuple[Piece, ...], low: float, high: float) -> Markup:
    """A bracket at the bar's right edge from `low` up to `high`."""
    top, bottom = _height(line, high), _height(line, low)
    if bottom - top < _LEAST_BRACKET:
        middle = (top + bottom) / 2
        top, bottom = middle - _LEAST_BRACKET / 2, middle + _LEAST_BRACKET / 2
    return element("path", class_="strip-derived", d=f"M{_BAR + 1:.1f} {top:.1f}h5V{bottom:.1f}h-5")


def _height(line: tuple[Piece, ...], value: float) -> float:
    """Where a value lies on the line: in proportion within its piece, half-way in one with an open end."""
    piece = next((p for p in line if p.low <= value <= p.high), line[0] if value > line[0].high else line[-1])
    if not (math.isfinite(piece.low) and math.isfinite(piece.high)):
        return piece.middle
    share = (min(max(value, piece.low), piece.high) - piece.low) / (piece.high - piece.low)
    return piece.bottom - share * (piece.bottom - piece.top)


def _scale(line: tuple[Piece, ...]) -> list[tuple[float, float]]:
    found: dict[float, float] = {}
    for piece in line:
        if math.isfinite(piece.high):
            found.setdefault(piece.high, piece.top)
        if math.isfinite(piece.low):
            found[piece.low] = piece.bottom
    return sorted(found.items())


def _in_words(line: tuple[Piece, ...], marked: Mapping[str, str]) -> str:
    said = []
    for piece in line:
        if piece.outcome:
            name, status = words.outcome(piece.outcome.id), words.STATUS[marked[piece.outcome.id]]
            said.append(f"{_reads(piece.outcome)}, {name}: {status}")
    return "From high to low, not to scale. " + "; ".join(said) + "."
