"""Small helpers for SVG text: escaped elements, short numbers, and how wide a label is."""

from __future__ import annotations

from markupsafe import Markup, escape

# The monospace faces advance 0.6 em; the mean of the sans faces is less. A reader may set 0.12 em more
# between letters and 0.16 em between words (WCAG 2.2, 1.4.12), and no label may then run into another.
_EM_PER_CHAR = 0.6 + 0.12
_EM_PER_SPACE = 0.16


def number(value: float) -> str:
    """At most one decimal, no trailing zero: drawings need no more, and bytes stay few."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


def element(tag: str, content: str | Markup = "", /, **attributes: str | float | None) -> Markup:
    """One element. `class_` gives `class`, underscores become hyphens; None leaves an attribute out."""
    parts = [tag]
    for key, value in attributes.items():
        if value is not None:
            name = key.rstrip("_").replace("_", "-") if key != "viewBox" else key
            shown = number(value) if isinstance(value, int | float) else value
            parts.append(f'{name}="{escape(shown)}"')
    opening = " ".join(parts)
    body = escape(content)
    return Markup(f"<{opening}>{body}</{tag}>") if body else Markup(f"<{opening}/>")


def text_width(text: str, size: float) -> float:
    """Estimated width of a label in the unit of its size, at the widest spacing that a reader may set."""
    return (len(text) * _EM_PER_CHAR + text.count(" ") * _EM_PER_SPACE) * size


def wrap(text: str, width: float, size: float) -> list[str]:
    """Lines of words that fit a width. No-break spaces hold; a word that is too long keeps its own line."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
