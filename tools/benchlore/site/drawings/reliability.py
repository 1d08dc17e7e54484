"""Probabilities that were stated, against how often they were true: points beside a diagonal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from benchlore.diagnosis.simulate import Decile
from benchlore.site import words
from benchlore.site.drawings import marks
from benchlore.site.drawings.svg import element

# As wide as leaves labels of 14 units at 12 px on a phone of 360 px.
_SIDE = 250.0
_LEFT, _TOP = 78.0, 12.0
_MARK = 12.0
_TICKS = (0.0, 0.25, 0.5, 0.75, 1.0)
# How far what was true may lie from what was stated.
TOLERANCE = 0.02


def agrees(decile: Decile) -> bool:
    """True when what was true lies within the tolerance of what was stated."""
    return abs(decile.true - decile.stated) <= TOLERANCE


def drawing(title: str, deciles: Sequence[Decile]) -> Markup:
    """The plot as inline SVG: a disc within the band of tolerance about the diagonal, a triangle outside."""
    bottom = _TOP + _SIDE
    return element(
        "svg",
        element("title", title)
        + element("desc", in_words(deciles))
        + Markup().join(_frame())
        + Markup().join(_point(decile) for decile in deciles)
        + element("text", "stated", x=_LEFT + _SIDE / 2, y=bottom + 40, text_anchor="middle")
        + element(
            "text",
            "true",
            x=14,
            y=_TOP + _SIDE / 2,
            text_anchor="middle",
            transform=f"rotate(-90 14 {_TOP + _SIDE / 2:g})",
        ),
        class_="reliability",
        viewBox=f"0 0 {_LEFT + _SIDE + 32:g} {bottom + 48:g}",
        role="img",
    )


def in_words(deciles: Sequence[Decile]) -> str:
    """The same as sentences."""
    said = [f"stated {percent(one.stated)}, true {percent(one.true)}" for one in deciles]
    return f"On the diagonal what was stated is what was true. {'; '.join(said)}."


def percent(share: float) -> str:
    """A probability with one decimal: `34.1 %`."""
    return f"{share * 100:.1f}\u00a0%"


def _place(stated: float, true: float) -> tuple[float, float]:
    return _LEFT + stated * _SIDE, _TOP + (1 - true) * _SIDE


def _frame() -> Iterator[Markup]:
    band = [(0, 0), (0, TOLERANCE), (1 - TOLERANCE, 1), (1, 1), (1, 1 - TOLERANCE), (TOLERANCE, 0)]
    corners = " ".join(f"{x:.1f},{y:.1f}" for x, y in (_place(*corner) for corner in band))
    yield element("polygon", class_="reliability-band", points=corners)
    yield element(
        "path", class_="reliability-line", d=f"M{_LEFT:g} {_TOP + _SIDE:g}L{_LEFT + _SIDE:g} {_TOP:g}"
    )
    yield element("path", class_="reliability-axis", d=f"M{_LEFT:g} {_TOP:g}v{_SIDE:g}h{_SIDE:g}")
    for tick in _TICKS:
        x, y = _place(tick, tick)
        yield element(
            "path", class_="reliability-axis", d=f"M{x:.1f} {_TOP + _SIDE:g}v5M{_LEFT:g} {y:.1f}h-5"
        )
        yield element("text", words.share(tick), x=x, y=_TOP + _SIDE + 22, text_anchor="middle")
        yield element("text", words.share(tick), x=_LEFT - 8, y=y + 5, text_anchor="end")


def _point(decile: Decile) -> Markup:
    x, y = _place(decile.stated, decile.true)
    return marks.shape("normal" if agrees(decile) else "fault", x, y, _MARK)
