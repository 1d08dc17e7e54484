"""The changes as text, Markdown, a page of HTML, or JSON."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict
from html import escape
from itertools import groupby
from types import MappingProxyType

from benchlore.difference.kinds import KINDS, Change

_NOTHING = "The two books mean the same."
_STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem}"
    "body{color:#111;background:#fff}"
    "table{border-collapse:collapse;width:100%}td,th{border:1px solid #999;padding:.25rem .5rem}"
    "td,th{text-align:left;vertical-align:top;overflow-wrap:anywhere}"
)


def _sections(changes: Iterable[Change]) -> Iterator[tuple[str, Sequence[Change]]]:
    for kind, found in groupby(changes, lambda one: one.kind):
        yield KINDS[kind], tuple(found)


def _arrow(one: Change) -> str:
    if one.before and one.after:
        return f"{one.before} -> {one.after}"
    return one.after or (f"was: {one.before}" if one.before else "")


def as_text(changes: Sequence[Change]) -> str:
    """For a terminal."""
    lines = []
    for title, found in _sections(changes):
        lines += [f"{title} ({len(found)})"]
        lines += [
            f"  {one.subject}: {said}" if (said := _arrow(one)) else f"  {one.subject}" for one in found
        ]
        lines += [""]
    return "\n".join(lines) if lines else f"{_NOTHING}\n"


def as_markdown(changes: Sequence[Change]) -> str:
    """For the conversation about a change on a code host."""
    lines = ["## What this change means at the bench", ""]
    for title, found in _sections(changes):
        lines += [f"### {title} ({len(found)})", "", "| what | before | after |", "| --- | --- | --- |"]
        lines += [f"| {' | '.join(map(_cell, (one.subject, one.before, one.after)))} |" for one in found]
        lines += [""]
    return "\n".join(lines if changes else [*lines, _NOTHING, ""])


def _cell(text: str) -> str:
    """A text that stays itself in a cell: what Markdown or HTML would read as a sign gets a backslash."""
    return "".join(f"\\{char}" if char in "\\`*_{}[]<>#|!~&@" else char for char in " ".join(text.split()))


def as_html(changes: Sequence[Change]) -> str:
    """A page that stands alone."""
    body = "".join(
        f"<h2>{escape(title)} ({len(found)})</h2>\n<table><tr><th>what<th>before<th>after</tr>\n"
        + "".join(
            f"<tr><td>{escape(one.subject)}<td>{escape(one.before)}<td>{escape(one.after)}</tr>\n"
            for one in found
        )
        + "</table>\n"
        for title, found in _sections(changes)
    )
    title = "What this change means at the bench"
    return (
        f'<!doctype html>\n<html lang="en">\n<meta charset="utf-8">\n<title>{title}</title>\n'
        f"<style>{_STYLE}</style>\n<h1>{title}</h1>\n{body or f'<p>{_NOTHING}</p>'}</html>\n"
    )


def as_json(changes: Sequence[Change]) -> str:
    """For a program: an object with `format` and the list `changes`."""
    return (
        json.dumps({"format": 1, "changes": [asdict(one) for one in changes]}, indent=2, ensure_ascii=False)
        + "\n"
    )


FORMS: Mapping[str, Callable[[Sequence[Change]], str]] = MappingProxyType(
    {"text": as_text, "markdown": as_markdown, "html": as_html, "json": as_json}
)
