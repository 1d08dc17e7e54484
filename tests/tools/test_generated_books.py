"""The books of the benchmarks: they pass the checks, no two families are alike, and a seed repeats them."""

import re

import pytest
import yaml

from benchlore.book import load_book
from benchlore.rules import check
from benchlore.rules.engine import parts
from benchmarks.books import write_book
from benchmarks.speed import write_markdown
from tests.books import ROOT
from tests.rules.fixtures import QUIET
from tests.rules.said import check_quickly

pytestmark = pytest.mark.slow

ORIGINALS = sum(path.is_dir() and path.name != "common" for path in (ROOT / "faults").iterdir())
COPIES = 2 * ORIGINALS  # two of each family in the book


@pytest.fixture(scope="module")
def root(tmp_path_factory):
    folder = tmp_path_factory.mktemp("books")
    write_book(folder, families=COPIES)
    return folder


@pytest.fixture(scope="module")
def half(tmp_path_factory):
    """The same again, with one copy of each."""
    folder = tmp_path_factory.mktemp("half")
    write_book(folder, families=ORIGINALS)
    return folder


def read(path):
    """A record as it stands: the books are loaded in the other tests."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))


def ranges_of(family):
    """What the measurements of a family call healthy, and the ranges of their outcomes, if not bare texts."""
    for measurement in family["measurements"].values():
        if "healthy" in measurement:
            yield measurement["healthy"]
        for outcome in measurement.get("outcomes", {}).values():
            if isinstance(outcome, dict) and "range" in outcome:
                yield outcome["range"]


def test_a_word_is_no_range():
    look = {"outcomes": {"bad": "Out of range.", "low": {"range": "under 1 V", "means": "Low."}}}
    assert [*ranges_of({"measurements": {"one": look, "two": {"healthy": "3 V"}}})] == ["under 1 V", "3 V"]


def test_a_generated_book_has_no_findings(half):
    """All rules on the smallest and the largest family; those that rank the faults take half of a check."""
    loaded = load_book(half)
    _, *families = sorted(parts(loaded), key=lambda part: len(part.book.faults))
    assert len(families) == ORIGINALS
    for found in (check_quickly(loaded), check(families[0]), check(families[-1])):
        # Of a book with other boards, some of the common records are used by none; and with another value a
        # record that says more than the circuit may come to say the same.
        left = [f for f in found if not f.rule.startswith("unused-") and f.rule not in QUIET]
        assert left == []


def test_a_book_of_some_fault_patterns_alone_is_thin_at_most(tmp_path):
    """What the others bore out may be thin or unused then; nothing else is found, nor by the rules that rank
    in two of its families."""
    write_book(tmp_path, families=ORIGINALS, most=10 * ORIGINALS)
    loaded = load_book(tmp_path)
    assert 8 * ORIGINALS < len(loaded.book.faults) <= 10 * ORIGINALS
    _, *families = parts(loaded)
    for found in (check_quickly(loaded), check(families[0]), check(families[-1])):
        assert {f.rule for f in found if not f.rule.startswith("unused-")} <= {"thin-without-reason"}


def test_families_differ_in_more_than_names(root):
    """Of two copies of one original, most records differ with all ids taken out, and so do the families."""
    families = []
    for path in root.glob("faults/*/family.yaml"):
        faults = [read(one) for one in path.parent.glob("*.yaml") if one != path]
        families.append((read(path), {fault["summary"] for fault in faults}))
    families.sort(
        key=lambda family: (family[0]["kind"], *(len(family[0][key]) for key in ("nets", "measurements")))
    )
    for (one, said), (other, also) in zip(families[::2], families[1::2], strict=True):
        assert one["title"] != other["title"]
        assert not {*one["nets"]} & {*other["nets"]}
        assert one["board"] != other["board"]
        ranges = [[*ranges_of(family)] for family in (one, other)]
        assert sum(a != b for a, b in zip(*ranges, strict=True)) > 20
        assert said
        assert len(said & also) < 5


def test_one_seed_gives_the_same_bytes(root, half):
    paths = sorted(half.rglob("*.yaml"))
    assert len(paths) > ORIGINALS
    for path in paths:
        assert path.read_bytes() == (root / path.relative_to(half)).read_bytes()


def test_a_page_as_markdown_keeps_its_text(tmp_path):
    site = tmp_path / "site"
    site.mkdir()
    page = (
        "<html><head><title>no</title></head><body><nav>no</nav><h1>Fuse open</h1><p>It <b>blew</b>.</p>"
        "<table><tr><th>At</th><th>Reads</th></tr><tr><td>F1</td><td><p>0 V</p></td></tr></table>"
        "<ul><li>Replace it.</li></ul><svg><text>no</text></svg></body></html>"
    )
    (site / "x.html").write_text(page, encoding="utf-8")
    write_markdown(site, tmp_path / "peer")
    text = (tmp_path / "peer/docs/x.md").read_text(encoding="utf-8")
    lines = [line for line in text.split("\n") if line]
    assert lines == [
        "# Fuse open",
        "It blew.",
        "| At | Reads |",
        "| --- | --- |",
        "| F1 | 0 V |",
        "- Replace it.",
    ]
    assert not re.search(r"\bno\b", text)
