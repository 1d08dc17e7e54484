"""Words that tell whose device it was: names behind a title, e-mail addresses, phone and serial numbers.

A name by itself nobody can tell from a word. The bench page looks alike (assets/js/personal.js).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

# Seven digits and more, as phone numbers are written (E.164 has at most fifteen), but no date, no reading and
# no number of a standard.
_DIGITS = re.compile(
    r"(?<![\w.,])(?<!IEC )(?<!ISO )(?<!EN )(?<!UN )(?<!UL )\+?\(?\d(?:[ /()-]{0,2}\d){6,}"
    r"(?![\w.,]|\s?(?:[kMm]?ohm|[kMmu]?(?:V|A|Hz|F|s)\b))"
)
_DATE = re.compile(r"\d{4}-\d\d-\d\d(?:[ T]\d\d)?")
# Eight capitals and digits in a row with four digits among them.
_CODE = re.compile(r"(?<![\w.-])(?=[0-9-]*[A-Z])(?=(?:[A-Z-]*\d){4})[A-Z\d-]{8,}(?![\w-])")
_NAMED_CODE = re.compile(
    r"\b(?:[Ss]erial\b(?!\s+(?:adapter|bus|cable|clock|data|interface|line|link|plug|port|resistor|wire)s?\b)|S/N\b|IMEI\b)"
)
_KINDS = (
    ("a name", re.compile(r"\b(?:Mr|Mrs|Ms|Dr|Herr|Frau|Mme|Mlle|Sr|Sra)\b\.?\s+[A-Z]\w*")),
    ("an e-mail address", re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")),
    ("a phone or serial number", _DIGITS),
    ("a serial number", _CODE),
    ("a serial number", _NAMED_CODE),
)


@dataclass(frozen=True, slots=True)
class Personal:
    """What tells whose device it was: its words, where they begin (from 0), and what they look like."""

    text: str
    at: int
    looks_like: str


def personal(text: str) -> Personal | None:
    """The first words of a text that tell whose device it was."""
    found = [
        Personal(match[0], match.start(), kind)
        for kind, pattern in _KINDS
        for match in pattern.finditer(text)
        if not (pattern is _DIGITS and _DATE.fullmatch(match[0]))
    ]
    return min(found, key=lambda one: one.at, default=None)
