"""The scripts and style sheets of a page, put together from the folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchlore.site import bundles
from benchlore.site.page import SitePage
from tests.books import example_pages

SOURCES = Path(__file__).resolve().parents[2] / "site_overrides"


def page(path: str, *scripts: str) -> SitePage:
    return SitePage(path, "Title", "x.html", scripts=scripts)


def test_a_page_loads_the_shell_then_its_data_then_its_own_script():
    made = page("a.html", "data/a.js", "assets/js/bench/dom.js", "data/b.js", "assets/js/bench/page.js")
    assert bundles.scripts(made) == ("assets/js/shell.js", "data/a.js", "data/b.js", "assets/js/bench.js")
    assert bundles.scripts(page("b.html")) == ("assets/js/shell.js",)
    own = bundles.own_script(made)
    assert own is not None
    assert own.parts == ("assets/js/bench/dom.js", "assets/js/bench/page.js")


def test_the_parts_stand_whole_and_in_order(tmp_path):
    texts = {}
    for bundle in bundles.ALWAYS:
        for name in (*bundle.parts, *bundles.ALONE):
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(f"// {name}\n", encoding="utf-8")
    for file in bundles.files((), tmp_path):
        texts[file.path] = file.text
    shell = texts["assets/js/shell.js"]
    assert [line for line in shell.splitlines() if line.startswith("//")] == [
        f"// {name}" for name in bundles.SHELL_SCRIPT.parts
    ]
    assert set(bundles.ALONE) < set(texts)


def test_one_name_never_means_two_files():
    one = page("a.html", "assets/js/bench/dom.js")
    two = page("b.html", "assets/js/bench/parts.js")
    with pytest.raises(ValueError, match=r"assets/js/bench\.js would be two files; b\.html"):
        list(bundles.files((one, two), SOURCES))


def test_every_script_and_style_sheet_of_the_folder_goes_out():
    pages, _ = example_pages()
    shell = bundles.ALWAYS
    own = [one for page in pages for one in (bundles.own_script(page), bundles.own_style(page)) if one]
    used = {part for bundle in (*shell, *own) for part in bundle.parts} | set(bundles.ALONE)
    kept = {
        path.relative_to(SOURCES).as_posix()
        for path in (SOURCES / "assets").rglob("*")
        if path.suffix in (".js", ".css")
    }
    assert kept == used
