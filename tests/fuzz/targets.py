"""What each target reads, and what must hold for whatever it is fed."""

from __future__ import annotations

import math
import shutil
import tempfile
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

from benchlore.book import load_book
from benchlore.book.yaml_reader import decode, parse
from benchlore.cache import aside
from benchlore.quantity import QuantityError, parse_quantity
from benchlore.reporters import FORMATS, Report
from benchlore.rules import check
from tests.books import GOOD

# Characters that steer a terminal or turn text round never reach a reader raw.
RAW = {*map(chr, range(32)), "\x7f", *"\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"} - {"\n"}


def text(data: bytes) -> None:
    """YAML: read or refused, each fault with a line of the text."""
    decoded, faults = decode(data)
    lines = max(len(decoded.splitlines()), len(data.splitlines())) + 1
    _, more, _ = parse(decoded)
    for fault in (*faults, *more):
        assert 1 <= fault.mark.line <= lines, fault


@cache
def book() -> Path:
    """Where the fault pattern lies in a copy of a tiny family, in memory where there is such a disk."""
    memory = Path("/dev/shm")
    place = Path(tempfile.mkdtemp(prefix="benchlore-fuzz-", dir=memory if memory.is_dir() else None))
    shutil.copytree(GOOD / "faults", place / "faults")
    return place / "faults" / "wren-5" / "fuzzed.yaml"


def record(data: bytes) -> None:
    """A fault pattern: every finding names a line, and no report carries a raw control character."""
    place = book()
    place.write_bytes(data)
    with aside():
        findings = check(load_book(place.parents[2]))
    lines = len(data.splitlines()) + 1
    assert all(1 <= f.line <= lines for f in findings if f.file.endswith(place.name)), findings
    report = Report(findings, 1, strict=True)
    for name, render in FORMATS.items():
        shown = render(report)
        assert not RAW & set(shown) or name == "json", f"{name}: {RAW & set(shown)}"


def quantity(data: bytes) -> None:
    """A quantity: refused, or two ends in order that are written back as they were read."""
    try:
        found = parse_quantity(data.decode("utf-8", errors="ignore"))
    except QuantityError:
        return
    assert not math.isnan(found.low)
    assert found.low <= found.high
    assert parse_quantity(found.text) == found


TARGETS: Mapping[str, Callable[[bytes], None]] = {"text": text, "record": record, "quantity": quantity}
