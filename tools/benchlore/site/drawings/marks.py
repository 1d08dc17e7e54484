"""The four marks of meaning. Each has a shape and a colour of its own, and always stands beside its word."""

from __future__ import annotations

from markupsafe import Markup

from benchlore.site.drawings.svg import element

STATUSES = ("normal", "fault", "other", "undecided")
_SIGN = "sign"
_SYMBOLS = {status: f"mark-{status}" for status in STATUSES}


def shape(status: str, x: float, y: float, size: float) -> Markup:
    """The shape of a status centred on x, y: a disc, a triangle, a square, a diamond; `size` is its width.

    Raises KeyError for a status that is not one of STATUSES.
    """
    half = size / 2
    css = f"mark-{status}"
    if status == "normal":
        return element("circle", class_=css, cx=x, cy=y, r=half)
    if status == "other":
        return element(
            "rect", class_=css, x=x - half * 0.85, y=y - half * 0.85, width=half * 1.7, height=half * 1.7
        )
    corners = {
        "fault": ((0, -1), (1.05, 0.9), (-1.05, 0.9)),
        "undecided": ((0, -1.1), (1.1, 0), (0, 1.1), (-1.1, 0)),
    }[status]
    points = " ".join(f"{x + dx * half:.1f},{y + dy * half:.1f}" for dx, dy in corners)
    return element("polygon", class_=css, points=points)


def mark(status: str) -> Markup:
    """The shape as a small inline drawing. Its word stands beside it, so screen readers skip the shape.

    A page shows hundreds: each uses the one that `symbols` puts on the same page.
    Raises KeyError for a status that is not one of STATUSES.
    """
    return element("svg", element("use", href=f"#{_SYMBOLS[status]}"), class_="mark", aria_hidden="true")


def symbols(content: str) -> Markup:
    """The shapes that marks and signs of HTML use, each once, in a drawing without size, or nothing.

    They stand on the page itself: a page opened from disk can use none of another file.
    """
    known = [(name, shape(status, 8, 8, 12), 16) for status, name in _SYMBOLS.items()]
    drawn = Markup().join(
        element("symbol", body, id=name, viewBox=f"0 0 {size} {size}")
        for name, body, size in (*known, (_SIGN, _sign(), 24))
        if f'href="#{name}"' in content
    )
    return element("svg", drawn, class_="symbols", aria_hidden="true") if drawn else Markup()


def sign() -> Markup:
    """The general warning sign, a triangle with an exclamation mark (ISO 7010 W001, ANSI Z535)."""
    return element("svg", element("use", href=f"#{_SIGN}"), class_="sign", aria_hidden="true")


def _sign() -> Markup:
    return (
        element("path", class_="sign-edge", d="M12 2 23 21H1Z")
        + element("path", class_="sign-bar", d="M10.9 8.5h2.2l-.4 6.5h-1.4z")
        + element("circle", class_="sign-bar", cx=12, cy=17.6, r=1.2)
    )
