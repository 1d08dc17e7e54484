"""What the rules say of each fixture and of what their docstrings show, word for word: `said.txt`.

After a rule says something else, `python -m tests.rules.said` writes the file anew; read what changed in it.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from pathlib import Path

from benchlore.book import Loaded, load_book
from benchlore.findings import Finding
from benchlore.rules import RULES, WAIVER_RULES, check, diagnosis, files, rules_of
from benchlore.rules.engine import Rules, check_loaded
from tests.rules.fixtures import HERE, PIECES, cases, merged, spoiled

FILE = HERE / "said.txt"


def said(findings: Iterable[Finding]) -> str:
    """A line for each finding: where it stands, how grave it is, what it says and what mends it."""
    return "".join(
        f"{f.file}:{f.line}:{f.column} {f.severity} {f.rule}: {f.message}{f.mend and ' | '}{f.mend}\n"
        for f in findings
    )


def said_of(rule: str, findings: Iterable[Finding]) -> str:
    """What one rule says of a piece of a record that is written anew: its place there says nothing."""
    found = (f for f in findings if f.rule == rule)
    return "".join(f"{f.file} {f.severity}: {f.message}{f.mend and ' | '}{f.mend}\n" for f in found)


def check_by(rule: str, loaded: Loaded) -> tuple[Finding, ...]:
    """What one rule finds, or the loader, without the work of the others; one about waivers must see all."""
    if any(one.id == rule for one in WAIVER_RULES):
        return check(loaded)
    return check_loaded(loaded, Rules(tuple(one for one in RULES if one.id == rule), (), files.IDS))


# All but those that rank the faults, which take half of a check, and those about waivers, which must see all.
_QUICK = Rules(tuple(rule for rule in RULES if rule not in rules_of(diagnosis)), (), files.IDS)


def check_quickly(loaded: Loaded) -> tuple[Finding, ...]:
    """Some of what `check` finds, in half of its time."""
    return check_loaded(loaded, _QUICK)


def kept() -> dict[str, str]:
    """What the file holds of each case, and of the piece that each rule shows."""
    pieces = (piece.partition("\n") for piece in FILE.read_text(encoding="utf-8").split("=== ")[1:])
    return {name: lines.strip("\n") + "\n" for name, _, lines in pieces}


def main() -> None:
    """Write the file anew."""
    pieces = []
    for case in cases():
        with tempfile.TemporaryDirectory() as folder:
            found = check(load_book(spoiled(case, Path(folder))))
        pieces.append(f"=== {case.name}\n{said(found)}")
    for doc in PIECES:
        with tempfile.TemporaryDirectory() as folder:
            found = check(load_book(merged(doc.bad, Path(folder))))
        pieces.append(f"=== rules/{doc.id}\n{said_of(doc.id, found)}")
    FILE.write_text("\n".join(pieces), encoding="utf-8")


if __name__ == "__main__":
    main()
