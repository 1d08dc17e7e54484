"""A rule's docstring, taken apart: what it demands, a record that breaks it, the same record mended."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from benchlore.findings import Severity


@dataclass(frozen=True, slots=True)
class RuleDoc:
    """What people read about a rule. `bad` and `good` are pieces of a record; line one names its file.

    `group`: what the rules of its module are about.
    """

    id: str
    group: str
    severity: Severity
    waivable: bool
    demand: str
    bad: str
    good: str

    @property
    def summary(self) -> str:
        """The first sentence of the demand."""
        first, stop, _ = self.demand.partition(". ")
        return first + ("." if stop else "")


def rule_doc(rule_id: str, group: str, severity: Severity, waivable: bool, docstring: str) -> RuleDoc:
    """Take a docstring apart. Raises ValueError when it lacks its text, its `Bad:` or its `Good:` block."""
    first, _, rest = docstring.strip("\n").partition("\n")
    lines = [first.strip(), *textwrap.dedent(rest).rstrip().split("\n")]
    try:
        bad, good = lines.index("Bad:"), lines.index("Good:")
    except ValueError:
        raise ValueError(f"the docstring of rule '{rule_id}' needs a 'Bad:' and a 'Good:' block") from None
    demand = " ".join(line.strip() for line in lines[:bad]).strip()
    bad_block, good_block = _block(lines[bad + 1 : good]), _block(lines[good + 1 :])
    doc = RuleDoc(rule_id, group, severity, waivable, demand, bad_block, good_block)
    if not (doc.demand and doc.bad and doc.good):
        raise ValueError(f"the docstring of rule '{rule_id}' has an empty part")
    return doc


def _block(lines: list[str]) -> str:
    return textwrap.dedent("\n".join(lines)).strip("\n")
