"""Checked data to records: what JSON Schema takes for a whole number is one."""

from __future__ import annotations

import shutil
from pathlib import Path

from benchlore.book import load_book
from benchlore.rules import check
from tests.rules.fixtures import GOOD


def test_a_whole_number_may_be_written_with_a_point(tmp_path: Path) -> None:
    """JSON Schema 2020-12, validation, 6.1.1: a number with a zero fractional part is an integer."""
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    changes = {
        "faults/wren-5/family.yaml": [
            ("cells: 1,", "cells: 1.0,"),
            (
                "in: [adapter-only], reference: 0.800 V 1%, top: 31.6 kohm 1%, bottom: 10 kohm 1%}",
                "in: [adapter-only], step: 0.666 V, code: 5.0, accuracy: 2%}",
            ),
        ],
        "faults/common/meters.yaml": [("1 degC, reading: 1%, counts: 3", "1 degC, reading: 1%, counts: 3.0")],
        "faults/wren-5/fuse-open.yaml": [("seen: 6", "seen: 6.0")],
    }
    for file, pairs in changes.items():
        text = (tmp_path / file).read_text(encoding="utf-8")
        for before, after in pairs:
            assert text.count(before) == 1
            text = text.replace(before, after)
        (tmp_path / file).write_text(text, encoding="utf-8")
    loaded = load_book(tmp_path)
    assert check(loaded) == ()
    family = loaded.book.families["wren-5"]
    count, code = family.nets["PACK"].source[0].cells, family.nets["MAIN"].converter[0].code
    assert (count, code) == (1, 5)
    whole = (
        count,
        code,
        loaded.book.faults["wren-5/fuse-open"].seen,
        loaded.book.meters["handheld"].accuracy["celsius"][0].counts,
    )
    assert all(type(number) is int for number in whole)
