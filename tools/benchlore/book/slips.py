"""Slips of the hand that leave a file unreadable: found in its text, and said without the words of YAML.

The YAML reader stumbles where it can go no further, often lines below the slip, and speaks of tokens.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

# Line from 1, column from 1, what is wrong, and the mend.
Slip = tuple[int, int, str, str]

_NO_BLANK = re.compile(r"(\s*(?:- )?)([A-Za-z][\w-]*):([^\s/].*)")
_DASH = re.compile(r"(\s*)-([^\s\-\d].*)")
_BEGINS = re.compile(r"(\s*(?:- )?(?:[\w-]+: +)?)([@`%*&!|>])(.*)")
_FIELD = re.compile(r"(\s*)(?:- )?([\w-]+):(?:\s+(\S.*))?")
_CLOSES = {"[": "]", "{": "}"}


def slip_of(lines: Sequence[str], stumbled: int, opened: tuple[int, int] | None) -> Slip | None:
    """The slip behind a stumble in line `stumbled`, or None. `opened`: line and column of what had begun
    there and has no end, as far as the reader knows one."""
    if opened and (found := _unclosed(lines, *opened)):
        return found
    near = [n for n in range(stumbled, max(stumbled - 4, 0), -1) if n <= len(lines) and lines[n - 1].strip()]
    looks: tuple[Callable[[Sequence[str], int], Slip | None], ...] = (_no_blank, _dash, _begins)
    for number in near[:2]:
        for look in looks:
            if found := look(lines, number):
                return found
    return _indent(lines, near) if near else None


def _unclosed(lines: Sequence[str], line: int, column: int) -> Slip | None:
    sign = lines[line - 1][column - 1 : column] if line <= len(lines) else ""
    if sign in ('"', "'"):
        mend = f"close the text with the same sign, {sign}; one that belongs to the text stands twice or goes"
        return line, column, f"a quote opens here, {sign}, and does not close where it should", mend
    if sign in _CLOSES:
        close = _CLOSES[sign]
        return line, column, f"a bracket opens here and has no '{close}'", f"close it with '{close}'"
    return None


def _no_blank(lines: Sequence[str], number: int) -> Slip | None:
    found = _NO_BLANK.fullmatch(lines[number - 1])
    if not found:
        return None
    lead, name, rest = found.groups()
    column = len(lead) + len(name) + 2
    return number, column, f"no blank stands behind '{name}:'", f"write '{name}: {_short(rest)}'"


def _dash(lines: Sequence[str], number: int) -> Slip | None:
    found = _DASH.fullmatch(lines[number - 1])
    if not found:
        return None
    lead, rest = found.groups()
    return number, len(lead) + 2, "no blank stands behind the dash", f"write '- {_short(rest)}'"


def _begins(lines: Sequence[str], number: int) -> Slip | None:
    found = _BEGINS.fullmatch(lines[number - 1])
    if not found:
        return None
    lead, sign, rest = found.groups()
    mend = f'put the whole text in quotes: "{_short(sign + rest)}"'
    return number, len(lead) + 1, f"a text without quotes cannot begin with '{sign}'", mend


def _indent(lines: Sequence[str], near: Sequence[int]) -> Slip | None:
    """A line that stands further in than its neighbour above, which has its value already; or further out
    than all that it could belong to."""
    this = _FIELD.fullmatch(lines[near[0] - 1])
    above = _FIELD.fullmatch(lines[near[1] - 1]) if len(near) > 1 else None
    if not this or not above:
        return None
    here, there = len(this[1]), len(above[1])
    if here > there and above[3] and not above[3].startswith(("|", ">", '"', "'", "[", "{")):
        message = f"'{this[2]}:' stands further in than line {near[1]} above it, which has its value already"
        return near[0], here + 1, message, "begin both lines at the same place"
    known = {len(line) - len(line.lstrip()) for line in lines[: near[0] - 1] if line.strip()}
    if here < there and here not in known:
        message = f"'{this[2]}:' begins at a place where no line above begins"
        return near[0], here + 1, message, "begin it under the first letter of the lines that it belongs to"
    return None


def _short(text: str) -> str:
    text = text.rstrip()
    return text if len(text) <= 40 else f"{text[:37]}..."
