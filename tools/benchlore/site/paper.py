"""How dense a fault's card must be printed to fit on one A4 page.

Style sheets cannot fit text to a page, so the height is estimated here from the length of the texts, in CSS
pixels at the normal print size, and the card gets one of four densities (`print.css`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil, fsum

from benchlore.book.model import Family, Fault, Hazard
from benchlore.site import words
from benchlore.site.drawings.locator import one_a_line, sides
from benchlore.site.drawings.strip import pieces
from benchlore.site.probe_table import Row, probes

# Characters that fit on a line, with the widest of the usual system faces.
_HAZARD, _PLACE, _SET_UP, _MEANING, _COLUMN = 160, 42, 31, 30, 62
_LINE, _ROW_EDGE, _HAZARD_LINE, _HAZARD_EDGE = 11.3, 5.5, 11.2, 7.7
_HEAD, _FOOT = 115.0, 30.0
# Heights from which a card is set denser; the page holds 1062, and a denser card takes 0.95, 0.87 or 0.73 of
# its height.
_LIMITS = (1035.0, 1085.0, 1195.0)


def density(
    fault: Fault, steps: Sequence[str], family: Family, hazards: Iterable[Hazard], table: Sequence[Row]
) -> int:
    """0 (normal) to 3 (densest, without strips). `steps`: those of the fix in words."""
    height = _HEAD + _FOOT + fsum([*(_hazard(h) for h in hazards), *(_row(family, r) for r in table)])
    height += _after(fault, steps, family, table) / 2
    return sum(height > limit for limit in _LIMITS)


def printed_strips(table: Sequence[Row]) -> tuple[Row, ...]:
    """The rows whose strips go on paper: those that show the fault, of the first four."""
    return tuple(row for row in table[:4] if not row.reads_healthy and pieces(row.measurement))


def _lines(text: str, room: int) -> int:
    return max(ceil(len(text) / room), 1)


def _hazard(hazard: Hazard) -> float:
    harm = hazard.harm if hazard.signal in ("danger", "warning") else ""
    text = " ".join((hazard.title, harm, *hazard.avoid))
    return _lines(text, _HAZARD) * _HAZARD_LINE + _HAZARD_EDGE


def _row(family: Family, row: Row) -> float:
    place = words.probed(row.measurement)
    if not row.again and (not row.reads_healthy or row.expectation.note):
        for point in row.points:
            place += "".join(f" A B {text}" for _, text in words.places(family, point))
    measurement = row.measurement
    state = row.state.title + (" Unplug U1." if measurement.unplugged else "")
    meter = measurement.function.label + measurement.leads + measurement.note
    if measurement.inject:
        meter += " inject at most 1.00 V, limit 0.10 A"
    read = sum(1 + (outcome.range is not None) for outcome, _ in row.with_fault)
    means = " ".join((*(words.meaning(o) for o, _ in row.with_fault), row.expectation.note))
    lines = max(
        _lines(place, _PLACE),
        _lines(state, _SET_UP) + _lines(meter, _SET_UP),
        read + (len(row.with_fault) > 1),
        _lines(means, _MEANING),
    )
    return lines * _LINE + _ROW_EDGE


def _after(fault: Fault, steps: Sequence[str], family: Family, table: Sequence[Row]) -> float:
    """Both columns below the table together."""
    strips = [pieces(row.measurement)[-1].bottom * 0.5 + 14 for row in printed_strips(table)]
    revisions = fault.revisions or tuple(family.revisions)
    sketches = len(revisions) * len(sides(probes(tuple(table))))
    # With its caption and the labels off the board.
    a_line, width = (1, 227) if one_a_line(family.board, sketches) else (2, 185)
    sketch = width * family.board.height / family.board.width + (100 if a_line == 1 else 34)
    texts = [
        fault.summary,
        f"{fault.cause.part} {words.cause(fault.cause)}",
        fault.cause.how,
        *steps,
        *(["takes"] * 4),
        *fault.fix.confirm,
        *(words.asked(family, m) for n in fault.fix.confirm if (m := family.measurements.get(n))),
    ]
    text = sum(_lines(one, _COLUMN) for one in texts) * 13.0
    return fsum(strips) / 2 + 12 + ceil(sketches / a_line) * sketch + text + 230
