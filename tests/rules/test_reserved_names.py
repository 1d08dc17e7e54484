"""The names that the site keeps for itself are those that it uses."""

import shutil
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.rules import check
from benchlore.rules.ids import SITE_FOLDERS
from tests.books import example, example_pages

GOOD = Path(__file__).parent / "good"
ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_every_folder_of_the_site_is_reserved():
    pages, files = example_pages()
    made = [*(page.path for page in pages), *(file.path for file in files)]
    made += [path for page in pages for path in (page.data_path, page.source_path) if path]
    folders = {path.split("/")[0] for path in made if "/" in path}
    assert folders - set(example().families) <= SITE_FOLDERS


@pytest.mark.parametrize("name", ["book", "wren-5-handout"])
def test_family_that_would_take_another_page_s_place_is_refused(name, tmp_path):
    """`data/bench/book.js` is of all families, `study/wren-5-handout.html` is the handout of Wren 5."""
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    shutil.copytree(tmp_path / "faults/wren-5", tmp_path / "faults" / name)
    found = [f.file for f in check(load_book(tmp_path)) if f.rule == "reserved-name"]
    assert found == [f"faults/{name}/family.yaml"]


def test_handout_of_no_family_is_a_name_as_others(tmp_path):
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    shutil.move(tmp_path / "faults/wren-5", tmp_path / "faults/finch-handout")
    assert check(load_book(tmp_path)) == ()


def test_no_two_files_of_a_site_have_one_path():
    pages, files = example_pages()
    made = [*(page.path for page in pages), *(file.path for file in files)]
    assert sorted(made) == sorted(set(made))
