"""One record copied many times: each copy is told with a few of the others, and the rest are counted."""

import re
import shutil
from collections import Counter

import pytest

from benchlore.book import load_book
from benchlore.rules import diagnosis, duplicates
from benchlore.rules.engine import problems as problems_of
from tests.rules.fixtures import GOOD

COPIES = 20


@pytest.fixture(scope="module")
def copied(tmp_path_factory):
    root = tmp_path_factory.mktemp("copies")
    shutil.copytree(GOOD, root, dirs_exist_ok=True)
    family = root / "faults/wren-5"
    text = (family / "fuse-open.yaml").read_text(encoding="utf-8")
    for number in range(1, COPIES):
        (family / f"fuse-open-{number:02}.yaml").write_text(text, encoding="utf-8")
    # Of two records with one fix it does not matter which one it is; so each copy mends another way.
    other = text.replace("action: replace", "action: reseat")
    for number in range(COPIES):
        (family / f"jack-{number:02}.yaml").write_text(other, encoding="utf-8")
    return load_book(root).book


@pytest.mark.parametrize(
    ("rule", "pairs"),
    [
        (duplicates.near_duplicate, 2 * COPIES * (2 * COPIES - 1) // 2),
        (duplicates.same_fault, 2 * COPIES * (2 * COPIES - 1) // 2),
        (diagnosis.not_told_apart, COPIES * COPIES),
    ],
)
def test_every_pair_is_told_or_counted(copied, rule, pairs):
    problems = problems_of(rule, copied)
    most = max(Counter(problem.origin.file for problem in problems).values())
    assert most == 4
    counted = [re.search(r"so with (\d+) other", problem.message) for problem in problems]
    assert sum(int(found[1]) if found else 1 for found in counted) == pairs
    assert all(problem.mend for problem in problems)
