"""The form for a fault pattern, from disk, in both browsers: what it writes passes, and is on the site."""

from __future__ import annotations

import json
import shutil
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from benchlore.book import load_book
from benchlore.book.short import in_full
from benchlore.book.yaml_reader import parse
from benchlore.rules import check
from benchlore.site.build import build_site
from benchlore.site.calibration import calibration
from benchlore.starter.writing import as_record
from tests.books import EXAMPLE, buildable
from tests.browser.checks import axe_violations, sideways_at, wait_until
from tests.browser.firefox import FirefoxPage
from tests.site.small_book import FEW_JOBS

PAGE = "contribute/write.html"
FAMILY = "siskin-12"
NAME = "protection-array-shorts-pack-clock-line"
WIDTHS = (360, 768, 1366, 1920)


class Hands:
    """Somebody at the keyboard, in either browser."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.is_firefox = isinstance(page, FirefoxPage)

    def wait(self, condition: str) -> None:
        if self.is_firefox:
            self.page.wait_for(condition)
        else:
            wait_until(self.page, condition)

    def press(self, keys: str) -> None:
        if self.is_firefox:
            self.page.press(keys)
        else:
            self.page.keyboard.press(keys)

    def type(self, text: str) -> None:
        if self.is_firefox:
            self.page.type(text)
        else:
            self.page.keyboard.insert_text(text)

    def to(self, id_: str) -> None:
        """The focus goes to a field, as Tab would bring it there."""
        self.wait(f"!!document.getElementById({json.dumps(id_)})")
        self.page.evaluate("id => { document.getElementById(id).focus(); }", id_)

    def fill(self, id_: str, text: str) -> None:
        self.to(id_)
        self.type(text)

    def take(self, id_: str, text: str) -> None:
        """Type until the right one is first, and take it."""
        self.fill(id_, text)
        self.wait(f"!!document.querySelector('#{id_}-offers .offer-best')")
        self.press("Enter")

    def key(self, id_: str) -> None:
        """Press a button by the keyboard."""
        self.to(id_)
        self.press("Enter")

    def choose(self, id_: str, value: str) -> None:
        """Choose in a list; how its keys work is the browser's own."""
        self.to(id_)
        self.page.evaluate(
            """([id, value]) => {
                const list = document.getElementById(id);
                list.value = value;
                list.dispatchEvent(new Event('change', {bubbles: true}));
            }""",
            [id_, value],
        )

    def text(self, selector: str) -> str:
        return str(self.page.evaluate("s => document.querySelector(s)?.textContent ?? ''", selector))

    def save(self) -> Path:
        if self.is_firefox:
            self.key("save-file")
            return Path(self.page.download())
        with self.page.expect_download() as saved:
            self.key("save-file")
        file = Path(saved.value.path())
        return file.rename(file.with_name(saved.value.suggested_filename))


def open_form(hands: Hands, url: str, family: str = FAMILY) -> None:
    hands.page.goto(url)
    hands.key(f"board-{family}")
    hands.key("new-fault")
    hands.wait("!!document.getElementById('part-says')")


def write_fault(hands: Hands) -> None:
    """A short from the pack clock to ground, as somebody writes it who has just mended it."""
    hands.take("symptom-type", "does not see the battery")
    hands.take("symptom-type", "Pack seen but does not charge")
    hands.take("f-cause-part-type", "D18")
    hands.key("f-cause-mode-shorted-to-ground")
    hands.choose("f-cause-at", "PACK_CLK")
    hands.fill("f-cause-how", "A spark at the pack connector.")
    hands.fill("f-title", "Protection array shorts the pack clock line")
    hands.fill(
        "f-summary",
        "Shorted, the array holds the clock line at ground. The pack bus is silent.",
    )
    hands.fill("f-seen", "3")
    hands.key("f-fix-action-replace")
    hands.key("usual-steps")
    hands.take("confirm-type", "pack-clock-volts")
    hands.take("worked_example-type", "pack-clock-volts")
    hands.type("0.004 V")
    hands.take("worked_example-type", "standby-ohms")
    hands.type("1.5 kohm")


@cache
def book_with(text: str, folder: Path) -> Path:
    """A book of the board alone, with the file that was saved."""
    buildable(EXAMPLE, folder)
    shutil.rmtree(folder / "faults" / "teal-8")
    (folder / "faults" / FAMILY / f"{NAME}.yaml").write_text(text, encoding="utf-8")
    return folder


def passes(text: str, root: Path) -> None:
    """The file is what Python would have written, and `check` has nothing to say of it."""
    data, faults, _ = parse(text)
    assert not faults
    assert isinstance(data, dict)
    assert as_record("fault", data) == text
    file = f"faults/{FAMILY}/{NAME}.yaml"
    assert [one for one in check(load_book(root)) if one.file == file] == []


@pytest.mark.browser
@pytest.mark.slow
def test_a_fault_is_written_with_the_form_alone_and_is_on_the_site(page, file_url, tmp_path, monkeypatch):
    hands = Hands(page)
    open_form(hands, file_url(PAGE))
    write_fault(hands)
    expect(page.locator("#bar-count")).to_have_text("ready to save")
    file = hands.save()
    assert file.name == f"{NAME}.yaml"
    root = book_with(file.read_text(encoding="utf-8"), tmp_path / "book")
    passes(file.read_text(encoding="utf-8"), root)
    monkeypatch.setattr(calibration, "__defaults__", FEW_JOBS)
    build_site(root, tmp_path / "site")
    site = (tmp_path / "site").as_uri()
    page.goto(f"{site}/index.html")
    page.locator("#scheme").wait_for()
    page.keyboard.press("/")
    page.keyboard.insert_text("array shorts the clock line")
    expect(page.locator(".search-panel")).to_contain_text("Protection array shorts the pack clock line")
    for path in (
        f"{FAMILY}/nets/PACK_CLK.html",
        f"{FAMILY}/parts/D18.html",
        f"{FAMILY}/symptoms/pack-not-charging.html",
    ):
        page.goto(f"{site}/{path}")
        expect(page.locator("main")).to_contain_text("Protection array shorts the pack clock line")
    plan = page.locator(".plan").first
    expect(plan).to_contain_text("Protection array shorts the pack clock line")


@pytest.mark.firefox
@pytest.mark.slow
def test_firefox_writes_the_same_file(firefox_page, file_url, tmp_path):
    hands = Hands(firefox_page)
    open_form(hands, file_url(PAGE))
    write_fault(hands)
    hands.wait("document.getElementById('bar-count').textContent === 'ready to save'")
    text = hands.save().read_text(encoding="utf-8")
    passes(text, book_with(text, tmp_path / "book"))


def drafts_survive(hands: Hands, url: str) -> None:
    """What is typed is there after a reload; a second draft stands beside it; each is opened and removed."""
    open_form(hands, url)
    hands.take("symptom-type", "does not see the battery")
    hands.fill("f-title", "First fault")
    hands.wait("document.getElementById('bar-count').textContent.includes('to fill in')")
    hands.page.reload()
    hands.wait("document.getElementById('f-title')?.value === 'First fault'")
    assert "Battery pack not seen" in hands.text(".chip")
    hands.key("to-start")
    hands.key("new-fault")
    hands.fill("f-title", "Second fault")
    hands.page.reload()
    hands.wait("document.getElementById('f-title')?.value === 'Second fault'")
    assert hands.text(".chip") == ""
    hands.key("to-start")
    hands.wait("document.querySelectorAll('.drafts li').length === 2")
    listed = hands.text(".drafts")
    assert "First fault" in listed
    assert "Second fault" in listed
    hands.page.evaluate(
        "[...document.querySelectorAll('.drafts button')].find(b => /First/.test(b.ariaLabel)).click()"
    )
    hands.wait("document.getElementById('f-title')?.value === 'First fault'")


@pytest.mark.browser
def test_two_drafts_live_side_by_side_and_survive_a_reload(page, site_url):
    drafts_survive(Hands(page), site_url(PAGE))


@pytest.mark.firefox
def test_firefox_keeps_drafts_from_disk(firefox_page, file_url):
    drafts_survive(Hands(firefox_page), file_url(PAGE))


@pytest.mark.browser
def test_two_windows_never_write_over_each_other(page, file_url):
    first = Hands(page)
    open_form(first, file_url(PAGE))
    first.fill("f-title", "One title")
    page.wait_for_timeout(300)
    second = Hands(page.context.new_page())
    second.page.goto(file_url(PAGE))
    second.wait("document.querySelectorAll('.drafts li').length === 1")
    second.page.locator(".drafts button").first.click()
    second.wait("document.getElementById('f-title')?.value === 'One title'")
    second.fill("f-summary", "From the second window.")
    second.page.wait_for_timeout(300)
    first.fill("f-cause-how", "From the first window.")
    expect(page.locator("#write-message")).to_contain_text("Both are kept")
    first.key("to-start")
    first.wait("document.querySelectorAll('.drafts li').length === 2")
    second.page.close()


@pytest.mark.browser
def test_a_record_of_the_book_opens_and_is_saved_as_the_same_data(page, file_url):
    hands = Hands(page)
    name = "pen-bay-holds-pack-data-low"
    page.goto(file_url(PAGE) + f"#family={FAMILY}&fault={name}")
    hands.wait("!!document.getElementById('f-title')")
    expect(page.locator("#bar-count")).to_have_text("ready to save")
    text = hands.save().read_text(encoding="utf-8")
    known = (EXAMPLE / "faults" / FAMILY / f"{name}.yaml").read_text(encoding="utf-8")
    saved, held = parse(text)[0], parse(known)[0]
    assert isinstance(saved, dict)
    assert isinstance(held, dict)
    assert in_full(saved) == in_full(held)


@pytest.mark.browser
def test_files_are_opened_or_refused_with_the_reason(page, file_url, tmp_path):
    hands = Hands(page)
    page.goto(file_url(PAGE))
    hands.key(f"board-{FAMILY}")
    job = {
        "format": "benchlore-job",
        "version": 1,
        "id": "k1",
        "family": FAMILY,
        "revision": "B",
        "symptoms": ["pack-not-seen"],
        "meter": "hand-held-3-half",
        "entries": [
            {
                "kind": "reading",
                "measure": "main-rail-adapter",
                "meter": "hand-held-3-half",
                "text": "8.19 V",
            },
            {"kind": "reading", "measure": "pack-clock-volts", "meter": "hand-held-3-half", "text": "0.01 V"},
        ],
    }
    (tmp_path / "job.json").write_text(json.dumps(job), encoding="utf-8")
    (tmp_path / "broken.yaml").write_text("title: a\n  b: c\n", encoding="utf-8")
    (tmp_path / "odd.yaml").write_text("title: a\nfix: [b]\n", encoding="utf-8")
    for name, reason in (("broken.yaml", "Line 2"), ("odd.yaml", "The fix")):
        page.locator("#open-file").set_input_files(tmp_path / name)
        expect(page.locator("#write-message")).to_contain_text(f"{name} was not opened.")
        expect(page.locator("#write-message")).to_contain_text(reason)
    page.locator("#open-file").set_input_files(tmp_path / "job.json")
    expect(page.locator("#f-worked_example-pack-clock-volts")).to_have_value("0.01 V")
    expect(page.locator("#write-message")).to_contain_text("revision B")
    assert "Battery pack not seen" in hands.text(".chip")


@pytest.mark.browser
def test_a_field_that_the_schema_gets_later_is_there_by_itself(page, http_url):
    """With its name and its description, and it is written into the file."""

    def with_field(route: Any) -> None:
        text = route.fetch().text()
        later = {"type": "string", "maxLength": 40, "description": "Which lot of boards has it."}
        book, form, schema = text.partition("benchlore.writeForm=")
        data, end = json.JSONDecoder().raw_decode(schema)
        data["properties"]["board_lot"] = later
        text = f"{book}{form}{json.dumps(data)}{schema[end:]}"
        route.fulfill(body=text, content_type="text/javascript")

    page.route("**/data/write/book.js", with_field)
    hands = Hands(page)
    open_form(hands, http_url(PAGE))
    page.locator("#rest-fields > summary").click()
    expect(page.get_by_label("Board lot")).to_be_visible()
    assert "Which lot of boards has it." in page.locator("[data-place=board_lot]").inner_text()
    hands.fill("f-board_lot", "2401 to 2407")
    page.locator("#file > summary").click()
    expect(page.locator("#file-text")).to_contain_text("board_lot: 2401 to 2407")


@pytest.mark.browser
def test_the_form_is_accessible_and_fits_phones_and_screens(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 740})
    hands = Hands(page)
    page.goto(file_url(PAGE))
    hands.wait("!!document.getElementById('open-file')")
    assert axe_violations(page) == []
    page.goto(file_url(PAGE) + f"#family={FAMILY}&fault=pen-bay-holds-pack-data-low")
    page.reload()
    hands.wait("!!document.getElementById('f-title')")
    page.evaluate("document.querySelectorAll('#write summary').forEach(one => one.click())")
    page.locator("#file-text").wait_for()
    assert axe_violations(page) == []
    beside = "one => one.getBoundingClientRect().width / one.parentElement.getBoundingClientRect().width"
    shares = page.locator(".write .pick").evaluate_all(f"all => all.map({beside})")
    assert min(shares) > 0.6, "what is offered has room for its words"
    assert sideways_at(page, WIDTHS) == {}
    page.emulate_media(color_scheme="dark")
    assert axe_violations(page, contrast_only=True) == []
