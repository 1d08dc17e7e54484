"""Findings for programs: JSON after schema/findings.schema.json."""

from __future__ import annotations

import json
from dataclasses import asdict

from benchlore.reporters.report import Report


def render(report: Report) -> str:
    """One JSON object: the findings and their counts."""
    shown = {
        "files": report.files,
        "errors": report.count("error"),
        "warnings": report.count("warning"),
        "notes": report.count("note"),
        "failed": report.failed,
        "findings": [asdict(finding) for finding in report.findings],
    }
    return json.dumps(shown, indent=2, ensure_ascii=False) + "\n"
