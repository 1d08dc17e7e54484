"""Findings for people: place, rule and message, then the line, a caret, and the mend."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from benchlore.findings import Finding
from benchlore.reporters.report import Report


def render(report: Report) -> str:
    """The whole list, closed by a line that counts."""
    return (
        "".join(f"{line}\n" for finding in report.findings for line in _lines(finding))
        + _close(report)
        + "\n"
    )


def _lines(finding: Finding) -> Iterator[str]:
    place = f"{finding.file}:{finding.line}:{finding.column}"
    yield printable(f"{place}: {finding.severity} [{finding.rule}] {finding.message}")
    if finding.excerpt.strip():
        before = finding.excerpt[: finding.column - 1]
        yield f"    {printable(finding.excerpt)}"
        if finding.column <= len(finding.excerpt) + 1:
            yield f"    {_blank(printable(before))}^"
    if finding.mend:
        yield printable(f"    {finding.mend}")


def printable(text: str) -> str:
    """The text with control characters written out, so that a record cannot drive the terminal."""
    return "".join(c if c == "\t" or unicodedata.category(c)[0] != "C" else ascii(c)[1:-1] for c in text)


def _blank(text: str) -> str:
    """Blanks as wide as the text: a tab stays a tab, a wide character takes two, a combining mark none."""
    return "".join("\t" if c == "\t" else " " * _width(c) for c in text)


def _width(char: str) -> int:
    if unicodedata.combining(char):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def _close(report: Report) -> str:
    words = {"error": report.count("error"), "warning": report.count("warning"), "note": report.count("note")}
    said = ", ".join(f"{n} {word}{'s' if n > 1 else ''}" for word, n in words.items() if n) or "no findings"
    return f"{said} in {report.files} file{'s' if report.files != 1 else ''}"
