"""`build --serve` in Chromium: a save is on screen by itself, and what is wrong shows in the page."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.books import ROOT
from tests.browser.checks import axe_violations
from tests.site.small_book import book, contents

pytestmark = [pytest.mark.browser, pytest.mark.slow]
FUSE = "wren-5/fuse-open"


@pytest.fixture
def root(tmp_path):
    return book(tmp_path / "book", "Wren 5")


@pytest.fixture
def address(root):
    """The address of the served site, once there is one; the program is stopped as Ctrl+C stops it."""
    command = [sys.executable, "-m", "benchlore", "build", "--serve", "--root", str(root)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    said = process.stdout.readline()
    assert said.startswith("Serving it at http://127.0.0.1:")
    assert re.fullmatch(r"no findings in \d+ files\n", process.stdout.readline())
    yield said.split()[3]
    process.terminate()
    process.wait(20)
    process.stdout.close()


def save(root: Path, old: str, new: str, record: str = FUSE) -> None:
    path = root / "faults" / f"{record}.yaml"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def published(root: Path, words: str, record: str = FUSE) -> None:
    """Wait until the site has a page with these words: one that is open shows before."""
    page = root / "site" / f"{record}.html"
    for _ in range(600):
        if words in page.read_text("utf-8"):
            return
        time.sleep(0.1)
    raise AssertionError(f"{page} does not say {words!r}")


def test_a_save_shows_by_itself_and_so_does_a_mistake(root, address, page: Page):
    page.goto(f"{address}{FUSE}.html")
    heading, panel = page.locator("h1"), page.locator("#live")
    expect(heading).to_have_text("Input fuse open")
    expect(panel).to_have_count(0)

    save(root, "title: Input", "title: The input")
    expect(heading).to_have_text("The input fuse open")
    published(root, "The input fuse open")
    shipped = contents(root / "site")

    save(root, "title: The", "titel: The")
    expect(panel.locator("summary")).to_contain_text("1 error. This is the last good site.")
    found = panel.locator("li")
    expect(found).to_contain_text(f"faults/{FUSE}.yaml:1:1")
    expect(found).to_contain_text("'titel' is not a field here")
    expect(found.locator("pre")).to_have_text("titel: The input fuse open")
    expect(found.locator(".live-mend")).to_have_text("did you mean 'title'?")
    expect(heading).to_have_text("The input fuse open")
    assert axe_violations(page) == []
    assert contents(root / "site") == shipped

    page.emulate_media(media="print")
    expect(panel).to_be_hidden()
    page.emulate_media(media="screen")

    save(root, "titel: The", "title: One")
    expect(heading).to_have_text("One input fuse open")
    published(root, "One input fuse open")
    expect(panel).to_have_count(0)
    files = [path for path in (root / "site").rglob("*") if path.is_file()]
    assert not [path for path in files if b"-live/" in path.read_bytes()]


def test_a_template_with_a_mistake_and_a_page_that_is_gone(root, address, page: Page):
    template = root / "site_overrides/theme/pages/fault.html"
    whole = template.read_text("utf-8")
    page.goto(f"{address}{FUSE}.html")
    template.write_text(whole + "{% block kind %}{{ nothing_of_this_name }}{% endblock %}", "utf-8")
    expect(page.locator(".live-trouble")).to_contain_text("kind")
    template.write_text(whole, "utf-8")
    expect(page.locator("#live")).to_have_count(0)
