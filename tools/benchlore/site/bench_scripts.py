"""The bench page's scripts that other pages use, too: its arithmetic, in the order in which it builds up.

All pages that rank load the same arithmetic, so a part that comes to it is named here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable

# What a reading is, what it says of each fault, and what it bars.
READING = ("quantity", "meter", "reading", "likelihood", "verdict", "interlock", "case")
# How likely each fault is then, and what to do next.
RANKING = (*READING, "posterior", "conflict", "lookahead", "job", "assess")


def files(names: Iterable[str]) -> tuple[str, ...]:
    """The scripts of these names among the site's assets."""
    return tuple(f"assets/js/bench/{name}.js" for name in names)
