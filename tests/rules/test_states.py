"""A bench state concerns the families that name it, and no other."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from benchlore.book.loader import load_book
from benchlore.book.model import Book
from benchlore.rules import check
from benchlore.site.pages import family, net, pages_of_family, state
from tests.books import EXAMPLE

STATE = """{name}:
  title: On its cradle, pack out
  short: Cradle only
  sources: [adapter]
  minutes: 2
  how: [Unplug the pack., Put the device on its cradle.]
  hazard: [mains-adapter, probe-slip, static]
"""
MEASURED = """
  fuse-look-cradle:
    at: F1_OUT
    mode: look
    state: cradle-only
    minutes: 1
    asks: Does the fuse hold on the cradle?
    outcomes:
      whole: {normal: true, means: It does.}
      blown: {means: It does not.}
"""
FAMILY = "faults/siskin-12/family.yaml"
COMMON = "faults/common/states.yaml"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLE / "faults", tmp_path / "faults")
    return tmp_path


def found(root: Path) -> set[tuple[str, str]]:
    return {(finding.file, finding.rule) for finding in check(load_book(root))}


def add(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1
    file.write_text(text.replace(old, new), encoding="utf-8")


def own_state(root: Path) -> None:
    indented = "".join(f"    {line}\n" for line in STATE.format(name="cradle-only").splitlines())
    listed = "states: [nothing-connected, adapter-only, pack-only, adapter-and-pack]\n"
    states = "states:\n" + "".join(f"  - {name}\n" for name in listed[9:-2].split(", "))
    add(root / FAMILY, listed, states + "  - " + indented.lstrip())
    add(root / FAMILY, "\nmeasurements:\n", f"\nmeasurements:{MEASURED}\n")


def test_a_new_common_state_makes_no_family_owe_anything(root):
    before = found(root)
    with (root / COMMON).open("a", encoding="utf-8") as file:
        file.write("\n" + STATE.format(name="cradle-only"))
    assert found(root) - before == {(COMMON, "unused-state")}


def paths_of(book: Book, name: str) -> list[str]:
    """The paths of a family's pages, but for those that go through its plans."""
    return [
        one.path for one in pages_of_family(book, name, (family.of_family, net.of_family, state.of_family))
    ]


@pytest.mark.slow
def test_a_state_of_its_own_is_said_of_its_family_alone(root):
    before = load_book(root).book
    own_state(root)
    assert not {rule for _, rule in found(root)} - {"unused-measurement", "source-not-up"}
    book = load_book(root).book
    assert [state.id for state in book.families["siskin-12"].own_states] == ["cradle-only"]
    other = paths_of(before, "teal-8")
    assert paths_of(book, "teal-8") == other
    paths = {*other, *paths_of(book, "siskin-12"), *(one.path for one in state.pages(book))}
    assert "siskin-12/states/cradle-only.html" in paths
    assert "states/cradle-only.html" not in paths
    assert not [path for path in paths if "teal-8" in path and "cradle" in path]


def test_the_same_name_is_another_state_in_another_family(root):
    own_state(root)
    book = load_book(root).book
    own = book.families["siskin-12"].states["cradle-only"]
    assert own is not None
    assert own.family == "siskin-12"
    assert replace(own, sources=()) != own
    assert "cradle-only" not in book.families["teal-8"].states
