"""Findings as a code-quality report, JSON that some code hosts take from a job and show in a merge request.

A list of objects: `description`, `check_name`, `fingerprint` (the same for the same finding, wherever its
line has moved to), `severity` and `location`.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter

from benchlore.reporters.report import Report

_SEVERITIES = {"error": "major", "warning": "minor", "note": "info"}


def render(report: Report) -> str:
    """One object a finding."""
    seen: Counter[tuple[str, ...]] = Counter()
    listed = []
    for one in report.findings:
        same = (one.file, one.rule, one.message, one.excerpt)
        seen[same] += 1
        print_ = hashlib.sha256("\0".join((*same, str(seen[same]))).encode()).hexdigest()
        listed.append(
            {
                "description": "; ".join(filter(None, (one.message, one.mend))),
                "check_name": one.rule,
                "fingerprint": print_,
                "severity": _SEVERITIES[one.severity],
                "location": {"path": one.file, "lines": {"begin": one.line}},
            }
        )
    return json.dumps(listed, indent=2, ensure_ascii=False) + "\n"
