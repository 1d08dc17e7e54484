"""The bench page in both schemes, at all widths, for a screen reader, and on paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page

from tests.bench.hands import Hands
from tests.browser.checks import at_widths, axe_violations, in_sight, print_pdf, sideways_at

WIDTHS = (360, 768, 1280, 1920)
FAULT = "siskin-12/pen-bay-holds-pack-data-low"
START = "#" + urlencode(
    {"v": 1, "family": "siskin-12", "revision": "A", "symptom": "pack-not-seen", "label": "R-2041"}
)
SMALLEST_TARGET = 44


def setup(hands: Hands) -> None:
    hands.press("e")


def first(hands: Hands) -> None:
    """The first action."""


def verdict(hands: Hands) -> None:
    hands.choose("pack-data-volts")
    hands.type("0.007")
    hands.press("Enter")
    hands.page.evaluate("document.querySelectorAll('summary').forEach(one => one.click())")


def refusal(hands: Hands) -> None:
    hands.choose("pack-data-volts")
    hands.press("r")
    hands.type("a lot of volts, I think, or even more")
    hands.press("Enter")


def trial(hands: Hands) -> None:
    hands.choose("pack-data-volts")
    hands.type("3.25")
    hands.press("Escape", "w")


def answers(hands: Hands) -> None:
    hands.choose("pack-connector-look")


def suspect(hands: Hands) -> None:
    """The card of the pack itself, which comes first of what no record has."""
    hands.page.evaluate("document.querySelector('.rank summary').click()")
    hands.page.evaluate("document.querySelector('.rank button').click()")
    assert hands.card == ("fix", "siskin-12/~pack")


def fix(hands: Hands) -> None:
    row = "#rank-" + FAULT.replace("/", "-")
    hands.page.evaluate("document.querySelector('#all-faults').click()")
    hands.page.evaluate(f"document.querySelector('{row} summary').click()")
    hands.page.evaluate(f"document.querySelector('{row} button').click()")
    hands.page.evaluate("document.querySelector('#enter-proof').click()")


def proved(hands: Hands) -> None:
    fix(hands)
    hands.page.fill("#proof-1", "8.41")
    hands.page.evaluate("document.querySelector('#symptom-gone').click()")
    hands.page.evaluate("document.querySelector('#enter-proof').click()")


def keys(hands: Hands) -> None:
    hands.press("?")


def listed(hands: Hands) -> None:
    hands.press("l")


def jobs(hands: Hands) -> None:
    hands.press("j")
    hands.wait("document.getElementById('jobs-new') !== null")


VIEWS = (setup, first, verdict, refusal, trial, answers, suspect, fix, proved, keys, listed, jobs)
FULL = (first, verdict, fix, listed)  # each width is looked at


def opened(page: Page, file_url: Callable[..., str], view: Callable[[Hands], None]) -> Hands:
    hands = Hands(page)
    hands.open(file_url("bench.html") + START)
    view(hands)
    return hands


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_is_accessible_and_fits_every_width(page: Page, file_url, view):
    opened(page, file_url, view)
    assert sideways_at(page, range(320, 1921, 20) if view in FULL else WIDTHS) == {}
    small = at_widths(page, WIDTHS, f"document => ({SMALL_TARGETS})(document, {SMALLEST_TARGET})")
    assert not any(small.values()), small
    assert axe_violations(page, moderate=True) == []
    page.emulate_media(color_scheme="dark")
    assert axe_violations(page, contrast_only=True) == [], "dark"


# Buttons, fields and choices of the page that are smaller than a fingertip.
SMALL_TARGETS = """(document, least) => [...document.querySelectorAll(
        '#bench :is(button, select, summary, .choice, input[type=text], .file)')]
    .filter(one => one.getClientRects().length && one.getBoundingClientRect().height < least - 0.5)
    .map(one => one.outerHTML.slice(0, 100))"""


# The words of a button, each with the lines that it takes.
BROKEN_WORDS = """() => [...document.querySelectorAll('dialog[open] button')].flatMap(button => {
    const found = [], texts = document.createTreeWalker(button, NodeFilter.SHOW_TEXT);
    for (let text; (text = texts.nextNode()); ) {
        for (const word of text.data.matchAll(/\\S+/g)) {
            const range = document.createRange();
            range.setStart(text, word.index);
            range.setEnd(text, word.index + word[0].length);
            if (range.getClientRects().length > 1) found.push(word[0]);
        }
    }
    return found;
})"""


def test_words_of_buttons_stay_whole_in_a_dialog_on_a_phone(page: Page, file_url):
    page.set_viewport_size({"width": 320, "height": 600})
    opened(page, file_url, jobs)
    assert page.evaluate(BROKEN_WORDS) == []


def test_the_buttons_of_the_job_stand_clear_of_what_is_below(page: Page, file_url):
    hands = opened(page, file_url, first)
    for below in (".standing", "#next"):
        for width in (1366, 360):
            page.set_viewport_size({"width": width, "height": 780})
            buttons, panel = (page.locator(one).bounding_box() for one in (".bar-buttons", below))
            assert buttons is not None
            assert panel is not None
            assert panel["y"] - buttons["y"] - buttons["height"] >= 4, (below, width)
        hands.press("v")


# How far up the steps of a fix end and its proof begins.
STEPS = """document => [
    [...document.querySelectorAll('.next.fix > .card-steps > .step:not(.step-read)')]
        .map(step => [step.className, step.getBoundingClientRect().bottom]),
    document.querySelector('.card-steps > .step-read').getBoundingClientRect().top,
]"""


@pytest.mark.parametrize("read", [False, True])
def test_the_proof_comes_after_all_else_of_a_fix(page: Page, file_url, read: bool):
    """What is read and set up before the iron is not below what proves the work."""
    hands = opened(page, file_url, verdict if read else first)
    row = "#rank-" + FAULT.replace("/", "-")
    page.evaluate("document.querySelector('#all-faults')?.click()")
    page.evaluate(f"document.querySelector('{row} summary').click()")
    page.evaluate(f"document.querySelector('{row} button').click()")
    assert hands.card == ("fix", FAULT)
    for width, (ends, proof) in at_widths(page, (360, 768, 1366), STEPS).items():
        assert {"step step-setup", "step step-work"} <= {name for name, _ in ends}
        assert [name for name, bottom in ends if bottom > proof + 0.5] == [], width


def test_nothing_is_told_by_colour_alone(page: Page, file_url):
    opened(page, file_url, verdict)
    for selector in (
        ".verdict-words",
        ".hazard .signal",
        ".healthy .outcome",
        ".rank-share",
        ".entries li p",
    ):
        assert page.locator(selector).first.inner_text().strip(), selector


def test_what_the_field_asks_for_is_in_sight_with_it(page: Page, file_url):
    """Point, bench state and healthy reading, on the first screen of a job."""
    page.set_viewport_size({"width": 360, "height": 740})
    opened(page, file_url, first)
    asked = page.locator("#reading-asked")
    assert page.locator("#next-title").inner_text() in asked.inner_text()
    assert "Adapter only" in asked.inner_text()
    assert re.search(r"healthy [\d.]+ to [\d.]+\u00a0V", asked.inner_text())
    for width in (360, 1366):
        page.set_viewport_size({"width": width, "height": 740})
        for selector in ("#reading-asked", "#reading"):
            box = page.locator(selector).bounding_box()
            assert box is not None
            assert box["y"] >= 0, (selector, width)
            assert box["y"] + box["height"] <= 740, (selector, width)


@pytest.mark.parametrize("size", [(360, 740), (1366, 768)])
def test_a_proof_that_is_refused_says_so_in_sight_beside_its_field(page: Page, file_url, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    hands = opened(page, file_url, fix)
    bar = page.evaluate("document.querySelector('.bar-facts').getBoundingClientRect().bottom")
    assert hands.focus == "proof-1"
    assert in_sight(page, "#proof-1", bar)
    assert in_sight(page, "#proof-1-refusal", bar)
    page.fill("#proof-1", "8.41")
    page.evaluate("document.querySelector('#enter-proof').click()")
    assert hands.focus == "symptom-gone"
    assert in_sight(page, "#symptom-gone", bar)
    assert in_sight(page, "#symptom-refusal", bar)


def test_where_to_probe_is_said_once_on_the_first_screen_of_a_step(page: Page, file_url):
    """In a line on a phone, where the sketch is further down; beside the sketch elsewhere."""
    page.set_viewport_size({"width": 360, "height": 740})
    hands = opened(page, file_url, first)
    hands.press("v")
    for width, short in ((360, True), (680, False), (1366, False)):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.locator("#next .where-words:visible").count() == 1, width
        assert page.locator("#next .where-short").is_visible() is short, width
        if short:
            box = page.locator("#next .where-short").bounding_box()
            field = page.locator(".pinned").bounding_box()
            assert box is not None
            assert field is not None
            assert 0 <= box["y"] <= field["y"] - box["height"]


BROKEN_SIGNALS = """document => [...document.querySelectorAll('.hazard .signal')].filter(signal => {
    if (!signal.getClientRects().length) return false;
    const word = document.createRange();
    const text = document.createTreeWalker(signal, NodeFilter.SHOW_TEXT).nextNode();
    word.selectNodeContents(text);
    const own = word.getBoundingClientRect(), box = signal.getBoundingClientRect();
    return word.getClientRects().length !== 1 || own.left < box.left || own.right > box.right;
}).map(signal => signal.textContent)"""


def test_a_signal_word_stays_whole_and_in_its_field(page: Page, file_url):
    widths = (320, 620, 760, 1040, 1366)
    hands = opened(page, file_url, first)
    whole: dict[int, list[str]] = {width: [] for width in widths}
    assert at_widths(page, widths, BROKEN_SIGNALS) == whole
    hands.choose("pack-data-junction")
    hands.type("0.007")
    hands.press("Enter")
    assert "WARNING" in page.locator(".hazard .signal").all_inner_texts()
    assert at_widths(page, widths, BROKEN_SIGNALS) == whole


def test_hazards_come_before_anything_else_on_the_card(page: Page, file_url):
    """Until the standing ones are read, these stand right above it."""
    hands = opened(page, file_url, first)
    before = "document.getElementById('next').previousElementSibling.className"
    assert "standing" in page.evaluate(before)
    hands.press("v")
    first_child = page.evaluate("document.getElementById('next').firstElementChild.className")
    assert first_child == "hazards hazard-top"
    words = page.locator("#next .hazard .signal").all_inner_texts()
    assert words, "a live measurement has hazards"
    assert set(words) <= {"DANGER", "WARNING", "CAUTION", "NOTICE"}


# The hazards in sight anywhere on the page, by title; and those of what the card asks for.
SAID = """() => [...document.querySelectorAll('.hazard')].filter(one => one.getClientRects().length)
    .flatMap(one => one.getAttribute('aria-label').split(': ')[1].split('; '))"""
ASKED = """() => {
    const { family } = benchlore.desk.state, { kind, id } = document.getElementById('next').dataset;
    const ids = kind === 'measure' ? family.measurements[id].links.hazards
        : kind === 'fix' ? (family.faults[id] || family.suspects[id]).links?.hazards
            || family.suspects[id].hazards : [];
    return ids.map(hazard => [benchlore.benchBook.hazards[hazard].title,
        benchlore.benchBook.hazards[hazard].signal]);
}"""
TOP = """() => {
    const line = document.querySelector('#next .hazard-top'), box = line.getBoundingClientRect();
    return [line.querySelector('.signal').innerText.toLowerCase(), box.top, box.bottom];
}"""
PATHS = (
    ("pack-not-seen", ("pack-data-volts", "0.007"), FAULT),
    ("no-power", ("main-rail-ohms", "0.3"), "siskin-12/main-rail-capacitor-shorted"),
)


@pytest.mark.parametrize("width", [360, 1366])
@pytest.mark.parametrize("path", PATHS)
def test_no_hazard_of_a_path_is_left_out(new_page, file_url, width: int, path):
    """All that its steps bring is said by then; the worst of what is asked in the first screen, in a line."""
    symptom, (measure, text), fault = path
    page = new_page(viewport={"width": width, "height": 800})
    hands = Hands(page)
    address = urlencode({"v": 1, "family": "siskin-12", "revision": "A", "symptom": symptom})
    hands.open(file_url("bench.html") + "#" + address)
    said = set(page.evaluate(SAID))
    hands.press("v")

    def look() -> None:
        asked = page.evaluate(ASKED)
        said.update(page.evaluate(SAID))
        assert {title for title, _ in asked} <= said
        word, top, bottom = page.evaluate(TOP)
        assert 0 <= top < bottom < 800
        assert bottom - top < 120, "a line, not a panel"
        if hands.card[0] == "measure":
            assert word == asked[0][1], "they come most serious first"

    hands.choose(measure)
    look()
    hands.type(text)
    hands.press("Enter")
    page.evaluate("id => benchlore.acts.choose('fix', id)", fault)
    look()


def test_the_standing_hazards_are_read_once_a_job(page: Page, file_url):
    hands = opened(page, file_url, first)
    assert "Do not open an adapter." in hands.text(".standing")
    page.click("#standing-seen")
    assert page.locator("#standing-seen").count() == 0
    hands.choose("pack-data-volts")
    hands.type("0.007")
    hands.press("Enter")
    hands.settle()
    hands.reload()
    assert page.locator("#standing-seen").count() == 0, "this tab knows"
    hands.press("n")
    page.click("#symptom-no-power")
    hands.press("1")
    assert page.locator("#standing-seen").count() == 1, "the next job reads them again"


def test_standing_hazards_that_nobody_ticked_leave_the_next_step_its_screen(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 800})
    hands = opened(page, file_url, first)
    named = page.locator(".standing .hazard .harm > a")
    begun = named.all_inner_texts()
    assert "Static electricity" in begun
    assert page.locator(".standing .hazard-notice").count() == 1
    hands.choose("pack-data-volts")
    hands.type("0.007")
    hands.press("Enter")
    top = "document.getElementById(%r).getBoundingClientRect().top"
    hands.wait(f"{top % 'next'} < {top % 'standing-title'}")
    assert named.all_inner_texts() == begun
    assert page.locator("#standing-seen").count() == 1


@pytest.mark.parametrize("size", [(360, 800), (1366, 768)])
def test_the_work_of_a_fix_is_in_the_first_screen(new_page, file_url, size):
    page = new_page(viewport={"width": size[0], "height": size[1]})
    hands = opened(page, file_url, first)
    hands.press("v")
    page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    box = page.locator(".card-steps .do > li").first.bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= size[1] - 24
    button = page.locator("#to-proof").bounding_box()
    assert button is not None
    assert button["y"] > box["y"], "the way to the proof comes after the work"


# Every fix of the board, step by step: what of it is out of sight, and which hazards of its path nobody sees.
WALKED = """() => {
    const { family, ui } = benchlore.desk.state;
    const title = id => benchlore.benchBook.hazards[id].title;
    const bad = [];
    let hazards = 0;
    const inSight = element => {
        const box = element.getBoundingClientRect();
        return box.top >= 0 && Math.min(box.bottom, box.top + 48) <= innerHeight;
    };
    for (const [id, fault] of Object.entries(family.faults)) {
        benchlore.acts.choose("fix", id);
        const all = benchlore.hazards.ofWork(family, fault).all;
        const [worst] = benchlore.hazards.bySeverity(benchlore.benchBook, all);
        const line = document.querySelector("#next > .hazards .hazard");
        const said = line?.getAttribute("aria-label");
        const wanted = worst && worst.signal.toUpperCase() + ": " + worst.title;
        if (worst && (said !== wanted || !line.innerText.includes(worst.title) || !inSight(line)))
            bad.push([id, "begins with", said, wanted]);
        const besides = benchlore.hazards.ofWork(family, fault).besides;
        fault.fix.html.steps.forEach((_, n) => {
            const now = document.querySelector(".step-now");
            const first = n === 0 && document.querySelector(".step-setup li");
            const words = [now.querySelector(":scope > span"), first || now];
            if (!words.some(inSight)) bad.push([id, n, "out of sight"]);
            const named = now.querySelector(":scope > .hazards-named");
            const brings = n > 0 && fault.fix.hazards[n].length > 0;
            if (brings && !(named && inSight(named))) bad.push([id, n, "its hazards are out of sight"]);
            for (const hazard of new Set([...fault.fix.hazards[n], ...besides])) {
                hazards += 1;
                if (!now.innerText.includes(title(hazard))) bad.push([id, n, "without", title(hazard)]);
            }
            const button = document.getElementById("step-done");
            if (button) button.click();
        });
    }
    return [hazards, bad];
}"""


@pytest.mark.parametrize(
    ("family", "read"), [("siskin-12", "pack-data-volts"), ("siskin-12", None), ("teal-8", None)]
)
def test_each_step_of_each_fix_is_in_sight_with_its_hazards(
    new_page, file_url, family: str, read: str | None
):
    """On a phone; the most serious hazard of the work stands above, in one line. Where power must come out
    before the first step, how it does is in sight."""
    page = new_page(viewport={"width": 360, "height": 740})
    hands = Hands(page)
    start = {"v": 1, "family": family, "revision": "A", "symptom": "no-power"}
    hands.open(file_url("bench.html") + "#" + urlencode(start))
    hands.press("v")
    if read:
        hands.choose(read)
        hands.type("0.007")
        hands.press("Enter")
    hazards, bad = page.evaluate(WALKED)
    assert bad == []
    assert hazards > 20


def test_a_fix_is_done_step_by_step(page: Page, file_url):
    hands = opened(page, file_url, first)
    hands.press("v")
    page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    assert "with its proof" in hands.text(".fix-cost")
    steps = page.locator(".step-work .do > li")
    for done in range(steps.count() - 1):
        assert steps.nth(done).get_attribute("class") == "step-now"
        hands.press("d")
        assert steps.nth(done).get_attribute("class") == "step-past"
    assert steps.last.get_attribute("class") == "step-now"
    assert page.locator("#step-done").count() == 0, "after the last step comes the proof"
    page.click("#step-back")
    assert steps.last.get_attribute("class") == "step-later"


def test_after_a_reading_a_fix_begins_anew(page: Page, file_url):
    """Its steps took the power out; the reading may have brought it back."""
    hands = opened(page, file_url, first)
    hands.press("v")
    fix = "id => benchlore.acts.choose('fix', id)"
    page.evaluate(fix, FAULT)
    hands.press("d")
    assert page.locator(".step-past").count() == 1
    hands.choose("main-rail-adapter")
    hands.type("7.92")
    hands.press("Enter")
    page.evaluate(fix, FAULT)
    assert page.locator(".step-past").count() == 0
    assert page.locator(".step-setup .do").first.is_visible(), "how the power comes out"


@pytest.mark.parametrize("entries", [1, 8])
def test_the_job_sheet_prints_on_one_sheet(page: Page, file_url, tmp_path: Path, entries: int):
    hands = opened(page, file_url, proved if entries == 1 else first)
    for _ in range(entries if entries > 1 else 0):
        if hands.card[0] != "measure":
            hands.page.evaluate("document.querySelector('#any-other').click()")
            hands.page.evaluate("document.querySelector('.over .offer').click()")
        if page.query_selector("#reading"):
            hands.type("0.4")
            hands.press("Enter")
        else:
            hands.press("1")
    pdf = print_pdf(page, tmp_path / "sheet.pdf")
    assert len(pdf.pages) == 1
    text = pdf.pages[0].extract_text()
    assert "Job sheet R-2041" in text
    assert "At the bench" not in text
    assert "Local codes" in text


def test_the_job_sheet_marks_its_signal_words(page: Page, file_url):
    """As the panels of a card: on a grey printer each word has a ground of its own, the mildest none."""
    hands = Hands(page)
    start = {"v": 1, "family": "siskin-12", "revision": "A", "symptom": "no-power"}
    hands.open(file_url("bench.html") + "#" + urlencode(start))
    page.locator(".sheet-hazards").wait_for(state="attached")  # a moment after the page
    page.emulate_media(media="print")
    words = page.eval_on_selector_all(
        ".sheet-hazards > li > b:first-child",
        """all => all.map(one => [one.textContent, getComputedStyle(one).backgroundColor])""",
    )
    order = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    assert len(words) == page.locator(".sheet-hazards > li").count() > 3
    assert [word for word, _ in words] == sorted((word for word, _ in words), key=order.index)
    grounds = dict(words)
    assert len(set(grounds.values())) == len(grounds)
    assert grounds["NOTICE"] == "rgba(0, 0, 0, 0)"


def test_the_one_thing_to_do_stands_out_in_colours_of_the_readers_own(new_page, file_url):
    """By its ground; while what holds all through the job is unread, that is what `Read` does alone."""
    page = new_page(forced_colors="active")
    opened(page, file_url, first)
    ground = "one => getComputedStyle(one).backgroundColor"
    ink = "one => getComputedStyle(one).color"
    read, enter = page.locator("#standing-seen"), page.locator("#enter-reading")
    quiet = page.locator("#bench button:not(.primary):visible").first
    assert read.evaluate(ground) == quiet.evaluate(ink) != quiet.evaluate(ground)
    assert enter.evaluate(ground) != read.evaluate(ground)
    read.click()
    assert enter.evaluate(ground) == quiet.evaluate(ink)
