"""The strip: a measurement's outcomes on a number line.

The outcomes of one measurement may span from 10 mV to 20 V, so the line is not to scale: every outcome gets
room for its name, a gap between two outcomes gets a short piece, and every end carries its value. Order is
kept.
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

WIDTH = 640.0
_SIZE = 14.0
_LINE = 17.0
_BAND_TOP, _BAND_HEIGHT = 8.0, 26.0
_GAP = 34.0
_OPEN = 54.0


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the line from `left` to `right`; an outcome, or a gap where no outcome lies (None)."""

    outcome: Outcome | None
    low: float
    high: float
    left: float
    right: float

    @property
    def middle(self) -> float:
        """Its middle on the drawing."""
        return (self.left + self.right) / 2


def pieces(measurement: Measurement, width: float = WIDTH) -> tuple[Piece, ...]:
    """The stretches from left to right; none for a measurement whose outcomes are seen or heard."""
    ranged = [o for o in measurement.outcomes.values() if o.range is not None]
    ordered = sorted(ranged, key=lambda o: (_range(o).low, _range(o).high))
    plan: list[tuple[Outcome | None, float, float]] = []
    for outcome in ordered:
        low, high = _range(outcome).low, _range(outcome).high
        if plan and low > plan[-1][2]:
            plan.append((None, plan[-1][2], low))
        plan.append((outcome, low, high))
    bands = sum(1 for o, low, _ in plan if o and low != math.inf)
    fixed = sum(_GAP for o, _, _ in plan if o is None) + sum(
        _OPEN for o, low, _ in plan if o and low == math.inf
    )
    band = (width - fixed) / max(bands, 1)
    left, found = 0.0, []
    for outcome_, low, high in plan:
        size = _GAP if outcome_ is None else _OPEN if low == math.inf else band
        found.append(Piece(outcome_, low, high, left, left + size))
        left += size
    return tuple(found)


def statuses(measurement: Measurement, with_fault: Mapping[str, float] | None = None) -> dict[str, str]:
    """The mark of each outcome: normal, this fault, or another. An outcome that is normal stays normal."""
    expected = with_fault or {}
    return {
        o.id: "normal" if o.normal else "fault" if expected.get(o.id, 0) > 0 else "other"
        for o in measurement.outcomes.values()
    }


def strip(measurement: Measurement, with_fault: Mapping[str, float] | None = None) -> Markup:
    """The strip as inline SVG; nothing for one that is looked at. `with_fault`: share by outcome.

    `data-scale` holds [value, x] pairs of the finite ends, so that a script can place a reading on the line.
    """
    line = pieces(measurement)
    if not line:
        return Markup()
    marked = statuses(measurement, with_fault)
    names = [_name(piece, marked, with_fault) for piece in line if piece.outcome]
    below = max(len(name) for name in names)
    ends_y = _BAND_TOP + _BAND_HEIGHT + _LINE
    height = ends_y + below * _LINE + 8
    drawn = [_piece(piece, marked) for piece in line]
    drawn += [_ends(line, ends_y)]
    for piece, name in zip([p for p in line if p.outcome], names, strict=True):
        drawn.append(_label(piece, name, ends_y + _LINE))
    title = element("title", f"Outcomes: {measurement.asks}")
    desc = element("desc", _in_words(line, marked))
    scale = [[value, round(x, 1)] for value, x in _scale(line)]
    return element(
        "svg",
        title + desc + Markup("").join(drawn),
        class_="strip",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        role="img",
        data_scale=json.dumps(scale, separators=(",", ":")),
        data_measure=measurement.id,
    )


def _range(outcome: Outcome) -> Quantity:
    assert outcome.range is not None
    return outcome.range


def _name(piece: Piece, marked: Mapping[str, str], with_fault: Mapping[str, float] | None) -> list[str]:
    assert piece.outcome
    lines = wrap(piece.outcome.id, piece.right - piece.left - 6, _SIZE)
    status = marked[piece.outcome.id]
    if status in ("normal", "fault"):
        lines += wrap(words.STATUS[status], piece.right - piece.left - 6, _SIZE)
    if with_fault and status == "normal" and with_fault.get(piece.outcome.id, 0) > 0:
        lines += wrap("and this fault", piece.right - piece.left - 6, _SIZE)
    return lines


def _piece(piece: Piece, marked: Mapping[str, str]) -> Markup:
    middle = _BAND_TOP + _BAND_HEIGHT / 2
    if piece.outcome is None:
        x = piece.middle
        line = element("path", class_="strip-gap", d=f"M{piece.left:.1f} {middle:.1f}H{piece.right:.1f}")
        tear = element(
            "path",
            class_="strip-tear",
            d=f"M{x - 6:.1f} {middle + 7:.1f}l5-14M{x + 1:.1f} {middle + 7:.1f}l5-14",
        )
        return line + tear
    status = marked[piece.outcome.id]
    band = element(
        "rect",
        class_=f"band band-{status}",
        x=piece.left + 1,
        y=_BAND_TOP,
        width=piece.right - piece.left - 2,
        height=_BAND_HEIGHT,
        rx=3,
        data_outcome=piece.outcome.id,
    )
    return band + marks.shape(status, piece.middle, middle, 15)


def _ends(line: tuple[Piece, ...], y: float) -> Markup:
    labels: list[tuple[float, str]] = []
    for value, x in _scale(line):
        labels.append((x, words.quantity(value, _unit(line))))
    drawn = Markup()
    for place, (x, label) in enumerate(labels):
        anchor = "start" if x < 30 else "end" if x > WIDTH - 30 else "middle"
        crowded = place > 0 and x - labels[place - 1][0] < text_width(label, _SIZE) and anchor == "middle"
        if crowded:
            anchor = "start"
        if (
            place + 1 < len(labels)
            and labels[place + 1][0] - x < text_width(label, _SIZE)
            and anchor == "middle"
        ):
            anchor = "end"
        tick = element("path", class_="strip-tick", d=f"M{x:.1f} {_BAND_TOP + _BAND_HEIGHT:.1f}v5")
        drawn += tick + element("text", label, class_="strip-end", x=x, y=y, text_anchor=anchor)
    for piece in line:
        if piece.low == math.inf:
            drawn += element("text", "open", class_="strip-end", x=piece.middle, y=y, text_anchor="middle")
    return drawn


def _scale(line: tuple[Piece, ...]) -> list[tuple[float, float]]:
    found: dict[float, float] = {}
    for piece in line:
        if math.isfinite(piece.low):
            found.setdefault(piece.low, piece.left)
        if math.isfinite(piece.high):
            found[piece.high] = piece.right
    return sorted(found.items())


def _unit(line: tuple[Piece, ...]) -> str:
    return next((_range(p.outcome).unit for p in line if p.outcome and _range(p.outcome).unit), "")


def _label(piece: Piece, lines: list[str], y: float) -> Markup:
    spans = Markup().join(
        element("tspan", line, x=piece.middle, y=y + number * _LINE) for number, line in enumerate(lines)
    )
    return element("text", spans, class_="strip-name", text_anchor="middle")


def _in_words(line: tuple[Piece, ...], marked: Mapping[str, str]) -> str:
    said = []
    for piece in line:
        if piece.outcome:
            status = words.STATUS[marked[piece.outcome.id]]
            said.append(
                f"{words.outcome(piece.outcome.id)}, {words.quantity(_range(piece.outcome))}: {status}"
            )
    return "From low to high, not to scale. " + "; ".join(said) + "."
