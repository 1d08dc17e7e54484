"""What stops a build."""

from __future__ import annotations

from collections.abc import Sequence

from benchlore.findings import Finding


class BuildError(Exception):
    """The site could not be made; the message says why."""


class BookError(BuildError):
    """The book has errors: `findings` are all of the book's, sorted by place."""

    def __init__(self, findings: Sequence[Finding], refused: Sequence[Finding]) -> None:
        lines = [f"{f.file}:{f.line}:{f.column}: [{f.rule}] {f.message}" for f in refused[:20]]
        more = f"\n... and {len(refused) - 20} more" if len(refused) > 20 else ""
        super().__init__("The book has errors; run `benchlore check`.\n" + "\n".join(lines) + more)
        self.findings = findings
