"""Findings as workflow commands, which a code host shows beside the line of a proposed change.

Form: `::error file=...,line=...,col=...,title=...::message`, with percent escapes as its documentation of
workflow commands describes.
"""

from __future__ import annotations

from benchlore.findings import Finding
from benchlore.reporters.report import Report
from benchlore.reporters.text import printable

_LEVELS = {"error": "error", "warning": "warning", "note": "notice"}


def render(report: Report) -> str:
    """One line a finding."""
    return "".join(f"{_line(finding)}\n" for finding in report.findings)


def _line(finding: Finding) -> str:
    file, title = _property(printable(finding.file)), _property(finding.rule)
    place = f"file={file},line={finding.line},col={finding.column},title={title}"
    said = "\n".join(printable(part) for part in (finding.message, finding.mend) if part)
    return f"::{_LEVELS[finding.severity]} {place}::{_escaped(said)}"


def _escaped(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _escaped(text).replace(":", "%3A").replace(",", "%2C")
