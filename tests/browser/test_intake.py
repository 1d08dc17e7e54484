"""The bench page's intake: words that the book knows, words that it does not, words of danger, and notes."""

from __future__ import annotations

import json
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page

from tests.bench.hands import Hands
from tests.browser.both import Chromium
from tests.browser.checks import axe_violations, sideways_at
from tests.browser.test_search import choose_board, listed

pytestmark = pytest.mark.browser

# What no family of the tests' book has: a customer's words, one board after the other.
UNKNOWN = (
    "camera dead",
    "hinge cracked",
    "headphones crackle",
    "wireless keyboard lags",
    "dvd drawer stuck",
    "card reader eats cards",
    "speaker rattles",
    "hdmi port bent",
    "purple stripes",
    "compass spins",
    "infrared remote ignored",
)


def begin(page: Page, url: str, family: str) -> Hands:
    hands = Hands(page)
    hands.open(f"{url}#{urlencode({'v': 1, 'family': family})}")
    hands.page.focus("#symptom-text")
    return hands


def said(hands: Hands, words: str) -> None:
    """Say words at the intake at once: each key that is typed has the index asked anew."""
    hands.page.fill("#symptom-text", words)
    hands.complain("")


@pytest.mark.slow
def test_no_word_of_a_customer_ends_in_a_dead_end(page, file_url):
    """Each keeps its words, asks for the revision, and gives the next thing to measure."""
    ends = []
    for n, words in enumerate(UNKNOWN):
        hands = begin(page, file_url("bench.html"), ("siskin-12", "teal-8")[n % 2])
        said(hands, words)
        hands.wait("benchlore.bench.present().words !== '' || benchlore.bench.present().symptoms.length > 0")
        if hands.job["words"] != words:
            ends.append(f"{words}: taken for {hands.job['symptoms']}")
            continue
        hands.press("1")
        hands.wait("document.getElementById('next') !== null")
        if hands.card[0] != "measure":
            ends.append(f"{words}: {hands.card}")
    assert not ends, "\n".join(ends)


def test_a_job_in_the_customers_words_goes_down_the_rails_until_one_reads_wrong(page, file_url):
    hands = begin(page, file_url("bench.html"), "siskin-12")
    hands.complain("camera dead")
    hands.press("1")
    hands.wait("document.getElementById('next') !== null")
    rails = hands.page.evaluate("benchlore.benchFamilies['siskin-12'].down")
    family = "benchlore.benchFamilies['siskin-12']"
    for measure in rails[:6]:
        assert hands.card == ("measure", measure)
        normal = hands.page.evaluate(
            f"id => Object.values({family}.measurements[id].outcomes).find(one => one.normal).id", measure
        )
        hands.page.evaluate("([id, text]) => benchlore.acts.enter(id, text)", [measure, normal])
    wrong = hands.card[1]
    hands.page.evaluate("id => benchlore.acts.enter(id, '0.02 V')", wrong)
    ranked = hands.page.evaluate("benchlore.desk.state.assessment.ranking.slice(0, 3).map(row => row.id)")
    assert all(ranked), "faults and suspects, not something else"
    assert "camera dead" in hands.text(".bar-facts")


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("no camera, call 0170 123 45 67", "0170 123 45 67"),
        ("ask jo.doe@example.org about it", "jo.doe@example.org"),
        ("unit 7XK4J21099A hums", "7XK4J21099A"),
    ],
)
def test_what_tells_whose_device_it_is_is_refused_with_its_place(page, file_url, words, found):
    hands = begin(page, file_url("bench.html"), "siskin-12")
    page.fill("#symptom-text", words)
    hands.page.click("#symptom-other")
    refusal = hands.text("#words-refusal")
    assert found in refusal
    assert f"letter {words.index(found) + 1}" in refusal
    assert hands.job["words"] == ""
    assert hands.focus == "symptom-text"


def test_words_of_danger_open_the_hazard_at_the_intake(page, file_url):
    hands = begin(page, file_url("bench.html"), "siskin-12")
    hands.type("battery is swollen")
    assert "Lithium-ion pack" in hands.text(".setup .hazards")
    tops = [
        hands.page.evaluate(f"document.querySelector('{one}').getBoundingClientRect().top")
        for one in (".setup .hazards", "#symptom-offers")
    ]
    assert tops[0] < tops[1], "it stands above what is offered"
    hands.page.click("#symptom-other")
    hands.wait("document.getElementById('revision-asked') !== null")
    hands.press("1")
    hands.wait("document.getElementById('next') !== null")
    assert "Lithium-ion pack" in hands.text("#next .hazard-top")


def test_notes_stay_with_the_job(page, file_url):
    hands = Hands(page)
    start = {"v": 1, "family": "siskin-12", "revision": "A", "symptom": "no-power"}
    hands.open(f"{file_url('bench.html')}#{urlencode(start)}")
    hands.page.fill("#notes", "Shell was open before. Screw by the hinge is missing.")
    hands.page.locator("#notes").blur()
    assert hands.job["notes"].startswith("Shell was open")
    hands.reload()
    assert hands.page.input_value("#notes").startswith("Shell was open")
    hands.page.fill("#notes", "call 0170 123 45 67")
    hands.page.locator("#notes").blur()
    assert "0170 123 45 67" in hands.text("#notes-refusal")
    assert hands.job["notes"].startswith("Shell was open")
    hands.page.click("#jobs")
    kept = json.loads(hands.saved("#jobs-save"))
    assert kept["notes"].startswith("Shell was open")


def test_a_file_whose_words_tell_whose_device_it_was_is_refused(page, file_url):
    hands = Hands(page)
    hands.open(
        file_url("bench.html") + "#" + urlencode({"v": 1, "family": "siskin-12", "words": "ring Mrs Example"})
    )
    assert "Mrs Example" in hands.text(".messages")
    assert hands.job["words"] == ""


# Readings that fit no outcome, several, or no net of the board; and one of which no record says anything.
READINGS = (
    "MAIN 5.5 V",
    "MAIN 12 V",
    "MAIN 1 Mohm",
    "PACK_DATA 9 V",
    "POWER_KEY 1.1 V",
    "3.3v rail 1.9",
    "FOO 3.3 V",
    "0.123 V",
)


def test_no_reading_ends_in_a_dead_end(page, file_url):
    """The search offers a job for each, and the job goes on."""
    page.goto(file_url("index.html"))
    choose_board(Chromium(page), "siskin-12")
    ends = []
    for typed in READINGS:
        page.goto(file_url("index.html"))
        listed(Chromium(page), typed)
        links = page.eval_on_selector_all(
            "#search-list [href*='bench.html#']", "links => links.map(link => link.href)"
        )
        if not links:
            ends.append(f"{typed}: no job")
            continue
        page.goto("about:blank")
        hands = Hands(page)
        hands.open(links[0])
        hands.press("1")
        if hands.page.query_selector("#next") is None:
            hands.page.click("#setup-go")
        if hands.card[0] not in ("measure", "fix", "escalate"):
            ends.append(f"{typed}: {hands.card}")
    assert not ends, "\n".join(ends)


def test_the_intake_is_accessible_and_fits(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 740})
    hands = begin(page, file_url("bench.html"), "siskin-12")
    for words in ("battery is swollen", "camera dead", "wont charge"):
        page.fill("#symptom-text", words)
        hands.wait("document.getElementById('symptom-hint').textContent !== 'The index is loading.'")
        assert axe_violations(page, "#bench") == [], words
        assert sideways_at(page, (360, 1366)) == {}, words


def test_a_button_that_is_pressed_right_after_a_note_is_where_it_was(page, file_url):
    """Leaving the field keeps the note and draws nothing anew under the pointer."""
    hands = Hands(page)
    start = {"v": 1, "family": "siskin-12", "revision": "A", "symptom": "no-power"}
    hands.open(f"{file_url('bench.html')}#{urlencode(start)}")
    page.focus("#notes")
    hands.type("Shell was open before.")
    page.click("#what-if")
    assert page.get_attribute("#what-if", "aria-pressed") == "true"
    assert hands.job["notes"] == "Shell was open before."


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("wont see the new battery since it fell", "wont see the new battery since it fell"),
        ("won't see the new battery", ""),  # the book's own words
        ("won't see the new batt", ""),
        ("dead", ""),
        ("batterie", "batterie"),  # a word of the customer's for what the book says otherwise
        ("Mrs Example says it wont see the new battery pack", ""),
    ],
)
def test_a_near_symptom_keeps_what_the_customer_said(page, file_url, typed, kept):
    """What tells whose device it is stays out, and the page says so."""
    hands = begin(page, file_url("bench.html"), "siskin-12")
    said(hands, typed)
    hands.wait("benchlore.bench.present().symptoms.length === 1")
    assert hands.job["words"] == kept
    if kept:
        assert f"\u201c{kept}\u201d" in hands.text(".choices-symptom .chosen")
        hands.press("1")
        assert f"\u201c{kept}\u201d" in hands.text(".bar-facts")
    assert ("Mrs Example" in hands.text(".messages")) is ("Mrs" in typed)


def offered(hands: Hands, typed: str) -> str:
    """The id of the first offer for what is typed."""
    hands.page.evaluate("benchlore.dom.unfold(document.getElementById('more-symptoms'))")
    hands.page.fill("#symptom-text", typed)
    hands.wait("document.getElementById('symptom-hint').textContent !== 'The index is loading.'")
    return str(hands.page.locator("#symptom-offers button").first.get_attribute("id"))


def test_an_offer_that_is_clicked_keeps_what_the_customer_said(page, file_url):
    """With its hazard; a click that takes one back, or one with nothing typed, leaves the words alone."""
    hands = begin(page, file_url("bench.html"), "siskin-12")
    said = "wont see the new battery since smoke came out"
    offer = offered(hands, said)
    page.click(f"#{offer}")
    assert (hands.job["symptoms"], hands.job["words"]) == ([offer.removeprefix("symptom-")], said)
    assert "Lithium-ion pack" in hands.text(".choices-symptom")
    page.click(f"#{offered(hands, 'more words')}[aria-pressed=false]")
    assert hands.job["words"] == said + "; more words"
    offered(hands, "")
    page.click("#symptom-offers [aria-pressed=false] >> nth=0")
    assert (len(hands.job["symptoms"]), hands.job["words"]) == (3, said + "; more words")
    chosen = page.locator("#symptom-offers [aria-pressed=true]").first
    page.fill("#symptom-text", "")
    chosen.click()
    assert (len(hands.job["symptoms"]), hands.job["words"]) == (2, said + "; more words")


def test_words_are_added_to_those_that_are_kept_each_once(page, file_url):
    hands = begin(page, file_url("bench.html"), "siskin-12")
    kept = "wont see the new battery, smoke came out"
    page.click(f"#{offered(hands, kept)}")
    for more, words in (
        ("purple stripes", kept + "; purple stripes"),
        ("purple stripes", kept + "; purple stripes"),
        (kept, kept + "; purple stripes"),
        ("compass spins", kept + "; purple stripes; compass spins"),
        ("purple stripes", kept + "; purple stripes; compass spins"),
    ):
        offered(hands, more)
        page.click("#symptom-other")
        assert hands.job["words"] == words
    assert "Lithium-ion pack" in hands.text(".choices-symptom")


def test_words_that_a_job_has_no_room_for_are_said_and_not_lost(page, file_url):
    hands = begin(page, file_url("bench.html"), "siskin-12")
    kept = ("it fell " * 35).strip()
    offered(hands, kept)
    page.click("#symptom-other")
    more = "wont see the new battery since it fell"
    offered(hands, more)
    page.click("#symptom-other")
    assert "300 letters" in hands.text("#words-refusal")
    assert (hands.job["words"], page.input_value("#symptom-text")) == (kept, more)
    page.click(f"#{offered(hands, more)}")
    assert (len(hands.job["symptoms"]), hands.job["words"]) == (1, kept)
    said = hands.text(".messages")
    assert (more in said, "300 letters" in said) == (True, True)
