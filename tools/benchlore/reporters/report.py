"""The findings of one run, counted."""

from __future__ import annotations

from dataclasses import dataclass

from benchlore.findings import Finding, Severity


@dataclass(frozen=True, slots=True)
class Report:
    """The findings to show, in order, and the number of record files that were read."""

    findings: tuple[Finding, ...]
    files: int
    strict: bool = False

    def count(self, severity: Severity) -> int:
        """How many findings have this severity."""
        return sum(finding.severity == severity for finding in self.findings)

    @property
    def failed(self) -> bool:
        """True when the run must not pass: errors, or warnings too when it is strict."""
        return bool(self.count("error") or (self.strict and self.count("warning")))
