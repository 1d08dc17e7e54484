"""The bench page at work: a whole job by keyboard, entries, what is kept, files, addresses, trouble."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from urllib.parse import urlencode

import jsonschema
import pytest
from playwright.sync_api import Page

from tests.bench.hands import Hands
from tests.browser.firefox import FirefoxPage

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "schema/job.schema.json").read_text(encoding="utf-8"))
PEN_BAY = "siskin-12/pen-bay-holds-pack-data-low"
SHORT = "siskin-12/main-rail-capacitor-shorted"  # proved by ohms without power, then by volts
START = "#" + urlencode({"v": 1, "family": "siskin-12", "revision": "A", "symptom": "pack-not-seen"})
MOST_ENTRIES = 5

# What the board reads whose pen bay holds the pack's data line at ground.
BOARD = {
    "main-rail-adapter": "7.92",
    "main-rail-pen-bay-unplugged": "8.41 V",
    "pack-data-volts": "0,007 V",
    "pack-data-junction": "7 mV",
    "pack-data-junction-pen-bay-unplugged": ".56",
}


@pytest.fixture(
    params=[
        pytest.param("page", marks=pytest.mark.browser, id="chromium"),
        pytest.param("firefox_page", marks=pytest.mark.firefox, id="firefox"),
    ]
)
def hands(request: pytest.FixtureRequest) -> Hands:
    """The same hands in both browsers, on a fresh page with stores of its own."""
    return Hands(request.getfixturevalue(request.param))


@pytest.fixture
def bench(page: Page, file_url: Callable[..., str]) -> Hands:
    """Chromium at the data line of a pack that is not seen, from disk."""
    hands = Hands(page)
    hands.open(file_url("bench.html") + START)
    hands.choose("pack-data-volts")
    return hands


def enter(hands: Hands, text: str) -> None:
    """Type a reading from anywhere on the card, and enter it."""
    hands.type(text)
    hands.press("Enter")


def test_a_shared_data_line_from_the_symptom_to_the_proved_fix_by_keyboard(hands: Hands, file_url):
    hands.open(file_url("bench.html"))

    # A Siskin 12, revision A. "It won't see the new battery."
    hands.tab_to("family-siskin-12")
    hands.press("Space")
    hands.wait("document.getElementById('symptom-text') !== null")
    hands.tab_to("symptom-text")
    hands.complain("won't see the new battery")
    assert "Which revision?" in hands.said
    hands.press("1")
    assert hands.job["revision"] == "A"

    # Measure what the page asks for, until it asks for a fix.
    while hands.card[0] == "measure":
        measure = hands.card[1]
        assert measure in BOARD, f"the page asks for {measure}"
        enter(hands, BOARD[measure])
        assert hands.entries[-1][0] == measure, hands.text(".refusal")
        assert "Next: " in hands.said
    assert hands.card == ("fix", PEN_BAY)

    # Replace the pen bay. The charger gets its command, and the pack is seen.
    enter(hands, "8.41")
    assert hands.focus == "symptom-gone", "Enter goes to what is still to be said"
    assert hands.page.evaluate("document.querySelector('#symptom-refusal').hidden")
    hands.press("Space", "Enter")

    assert hands.card[0] == "closed"
    assert hands.said == "Proved: Pen bay holds the pack data line low. The job is closed."
    assert len(hands.job["entries"]) <= MOST_ENTRIES
    assert hands.job["entries"][-1]["result"] == "proved"


def test_the_first_answer_is_prepared_while_the_person_reads(hands: Hands, file_url):
    """Once a family is chosen, its tables and a first card are made; nothing of it shows."""
    hands.open(file_url("bench.html"))
    hands.page.evaluate("""() => {
        const { render } = benchlore.nextView;
        window.drawn = 0;
        benchlore.nextView.render = page => { const card = render(page); window.drawn += 1; return card; };
    }""")
    hands.tab_to("family-siskin-12")
    hands.press("Space")
    hands.wait("window.drawn === 1")
    assert hands.page.evaluate("document.getElementById('next') === null")
    assert hands.page.evaluate("benchlore.desk.state.assessment === null")
    hands.tab_to("symptom-text")
    hands.complain("won't see the new battery")
    hands.press("1")
    hands.wait("document.getElementById('next') !== null")


def test_a_fix_that_does_not_help_is_out_of_the_running_and_the_job_goes_on(bench: Hands):
    enter(bench, "0.007")
    bench.page.evaluate("document.querySelector('.rank summary').click()")
    bench.page.evaluate("[...document.querySelectorAll('.rank button')][0].click()")
    assert bench.card == ("fix", PEN_BAY)
    enter(bench, "7.92")
    bench.page.check("#symptom-still")
    bench.page.click("#enter-proof")
    assert bench.job["entries"][-1]["result"] == "failed"
    assert "ruled out" in bench.said
    assert bench.card[0] == "measure"
    bench.page.click("#all-faults")
    assert bench.text(".rank-out .rank-share") == "out"
    out = "[...document.querySelectorAll('.rank-out')]"
    bench.page.evaluate(f"{out}.forEach(one => one.querySelector('summary').click())")
    said = bench.page.evaluate(f"{out}.map(one => one.querySelector('.rank-why').textContent)")
    assert len(said) == 2, "the pen bay, with its record and without"
    assert said[0].startswith("Its fix was tried and not proved.")
    assert said[1].startswith("Its part was new then: a fix that would have mended this, too,")
    bench.press("u")
    assert len(bench.job["entries"]) == 1


def already_set_up(bench: Hands) -> bool:
    """Whether the page says so of another measurement in the bench state of the first reading."""
    bench.page.evaluate("""(() => {
        const { family } = benchlore.desk.state;
        const { measure } = benchlore.bench.present().entries.find((one) => one.kind === "reading");
        const { state } = family.measurements[measure];
        benchlore.acts.choose("measure", Object.keys(family.measurements).find(
            (id) => id !== measure && family.measurements[id].state === state));
    })()""")
    return "already set up" in bench.text("#next")


def in_vain(bench: Hands) -> None:
    bench.page.evaluate("benchlore.acts.choose('fix', 'siskin-12/~e7')")
    bench.page.check("#symptom-still")
    bench.page.click("#enter-proof")


def test_after_a_fix_that_failed_the_bench_is_set_up_anew(bench: Hands):
    """The symptom was looked for with everything plugged in, whatever was read before."""
    enter(bench, "0.007")
    assert already_set_up(bench)
    in_vain(bench)
    assert not already_set_up(bench)


def test_after_an_entry_is_taken_back_the_bench_is_set_up_anew(bench: Hands):
    """The entry is gone; the board is as the hand left it."""
    enter(bench, "0.007")
    in_vain(bench)
    bench.press("u")
    assert len(bench.job["entries"]) == 1
    assert not already_set_up(bench)
    bench.press("y")
    bench.page.evaluate("benchlore.acts.removeEntry(1)")
    assert len(bench.job["entries"]) == 1
    assert not already_set_up(bench)


def test_of_a_job_that_is_opened_nobody_knows_how_the_bench_stands(bench: Hands):
    enter(bench, "0.007")
    assert already_set_up(bench)
    bench.page.evaluate("benchlore.bench.settled()")
    bench.page.reload()
    bench.wait("document.getElementById('next') !== null")
    assert len(bench.job["entries"]) == 1
    assert not already_set_up(bench)


def test_a_known_good_one_that_did_not_help_is_no_new_part(bench: Hands):
    for trial in ("siskin-12/~e7", "siskin-12/~settings"):
        bench.page.evaluate("id => benchlore.acts.choose('fix', id)", trial)
        bench.page.check("#symptom-still")
        bench.page.click("#enter-proof")
    if bench.page.text_content("#all-faults") != "Show the likely ones":
        bench.page.click("#all-faults")
    out = "[...document.querySelectorAll('.rank-out')]"
    bench.page.evaluate(f"{out}.forEach(one => one.querySelector('summary').click())")
    said = bench.page.evaluate(
        f"{out}.map(one => [one.querySelector('details').id, one.querySelector('.rank-why p').textContent])"
    )
    good = "Another one that is good was tried, and the symptom stayed."
    assert [words.endswith(good) for _, words in said] == [not id_.endswith("~settings") for id_, _ in said]
    assert len(said) > 2, "what the trial settled, too"


def test_what_is_plugged_in_is_swapped_without_power(bench: Hands):
    """Common practice, no source: nothing is plugged into a live board, and a good old part goes back."""
    kinds = bench.page.evaluate("""() => Object.entries(benchlore.desk.state.family.suspects)
        .filter(([, one]) => one.outside).map(([id, one]) => [id, one.outside])""")
    assert {kind for _, kind in kinds} == {"accessory", "pack", "adapter", "cable", "settings"}
    for suspect, kind in kinds:
        bench.page.evaluate("id => benchlore.acts.choose('fix', id)", suspect)
        swapped = kind != "settings"
        assert ("Nothing connected" in bench.text("#next")) is swapped, suspect
        assert ("With all power out" in bench.text(".step-work")) is swapped, suspect
        assert ("put the old one back" in bench.text(".step-work")) is swapped, suspect


def test_a_fix_that_is_done_with_the_device_on_takes_no_power_out(bench: Hands):
    """A setting is made in a menu; its proof says how to set up."""
    enter(bench, "0.007")
    shown = ("#next .fix > .card-steps > .step-setup", "#next > .card-steps > .step-setup")
    set_up = f"document.querySelectorAll({', '.join(shown)!r}).length"
    choose = "benchlore.acts.choose('fix', 'siskin-12/pack-data-pull-up-open')"
    bench.page.evaluate(choose)
    assert bench.page.evaluate("document.querySelectorAll('#next .step-setup').length")
    before = bench.page.evaluate(set_up)
    bench.page.evaluate(
        "benchlore.desk.state.family.faults['siskin-12/pack-data-pull-up-open'].links.bare = false"
    )
    bench.page.evaluate(choose)
    assert bench.page.evaluate(set_up) == before - 1


def test_a_fix_says_what_else_it_settles(bench: Hands):
    enter(bench, "0.007")
    bench.page.evaluate("benchlore.acts.choose('fix', 'siskin-12/~e7')")
    assert "Settles also: Pen bay holds the pack data line low, " in bench.text("#next")
    bench.page.evaluate("benchlore.acts.choose('fix', 'siskin-12/pack-data-pull-up-open')")
    assert "Settles also" not in bench.text("#next")


def test_a_proof_is_put_right_without_typing_it_again(bench: Hands):
    enter(bench, "0.007")
    bench.page.evaluate("fault => benchlore.acts.choose('fix', fault)", PEN_BAY)
    enter(bench, "7.92")
    bench.page.check("#symptom-gone")
    bench.page.click("#enter-proof")
    assert bench.job["entries"][-1]["result"] == "failed"
    bench.page.click("#edit-2")
    assert bench.card == ("fix", PEN_BAY)
    assert bench.page.input_value("#proof-1") == "7.92"
    assert bench.page.is_checked("#symptom-gone")
    bench.page.fill("#proof-1", "8.41")
    bench.page.click("#enter-proof")
    assert bench.card[0] == "closed"
    bench.press("u")
    assert bench.card == ("fix", PEN_BAY)
    assert bench.page.input_value("#proof-1") == "8.41", "undo leaves what was typed"


def test_a_proof_stops_at_the_first_reading_that_is_not_as_it_should_be(bench: Hands):
    """Whoever reads the short again must not power it to say so; what was not read is no reading."""
    bench.page.evaluate("fault => benchlore.acts.choose('fix', fault)", SHORT)
    assert "Stop at the first that does not read so: enter it, and nothing further." in bench.text("#next")
    bench.page.focus("#proof-1")
    enter(bench, "0.3")
    assert bench.focus == "enter-proof", "not at the reading under power"
    bench.press("Enter")
    [entry] = bench.job["entries"]
    assert (entry["result"], entry["symptom"]) == ("failed", "unseen")
    assert [(one["measure"], one["text"]) for one in entry["confirm"]] == [("main-rail-ohms", "0.3")]
    assert "not proved, ruled out; symptom not looked for." in bench.text(".history")
    jsonschema.validate(bench.job, SCHEMA)
    bench.settle()
    bench.reload()
    assert bench.job["entries"] == [entry]


def test_a_proof_goes_on_after_a_reading_that_is_as_it_should_be(bench: Hands):
    bench.page.evaluate("fault => benchlore.acts.choose('fix', fault)", SHORT)
    bench.page.focus("#proof-1")
    enter(bench, "22k")
    assert bench.focus == "proof-2"
    bench.page.click("#enter-proof")
    assert bench.job["entries"] == []
    assert bench.page.is_visible("#proof-2-refusal")
    bench.page.fill("#proof-2", "8.41")
    bench.page.click("#enter-proof")
    assert bench.page.is_visible("#symptom-refusal"), "all read as they should: the symptom decides"


def test_a_reading_below_one_that_failed_is_kept_and_has_to_be_one(bench: Hands):
    bench.page.evaluate("fault => benchlore.acts.choose('fix', fault)", SHORT)
    bench.page.fill("#proof-1", "0.3")
    bench.page.fill("#proof-2", "volts")
    bench.page.click("#enter-proof")
    assert "is no value" in bench.text("#proof-2-refusal")
    bench.page.fill("#proof-2", "0.1")
    bench.page.click("#enter-proof")
    assert [one["text"] for one in bench.job["entries"][0]["confirm"]] == ["0.3", "0.1"]


def test_a_proof_that_is_put_right_keeps_its_place(bench: Hands):
    """Entered last, its old reading would count in place of a later one, and its stop with it."""
    bench.page.evaluate("fault => benchlore.acts.choose('fix', fault)", SHORT)
    bench.page.fill("#proof-1", "22k")
    bench.page.fill("#proof-2", "8.41")
    bench.page.check("#symptom-still")
    bench.page.click("#enter-proof")
    first = bench.job["entries"][0]
    bench.choose("main-rail-ohms")
    enter(bench, "0.3")
    locks = "benchlore.desk.state.assessment.locks.map(({measure, outcome}) => measure + ' ' + outcome)"
    assert bench.page.evaluate(locks)
    for change in ("#symptom-still", "#symptom-gone"):
        before = bench.page.evaluate(locks)
        bench.page.click("#edit-1")
        assert bench.card == ("fix", SHORT)
        assert bench.page.evaluate(locks) == before, "what stops stands meanwhile"
        bench.page.fill("#proof-1", "23k")
        bench.page.check(change)
        bench.page.click("#enter-proof")
        fix, reading = bench.job["entries"]
        assert (fix["confirm"][0]["text"], fix["at"]) == ("23k", first["at"])
        assert (reading["kind"], reading["text"]) == ("reading", "0.3")
        assert bench.page.evaluate(locks) == before
    assert bench.card[0] == "closed"
    bench.page.click("#edit-1")
    assert bench.card == ("fix", SHORT), "what closed the job is put right, too"
    bench.press("b")
    assert bench.card[0] == "closed", "or left as it was"
    bench.press("u")
    assert bench.card == ("fix", SHORT)
    bench.page.check("#symptom-still")
    bench.page.click("#enter-proof")
    assert [entry["kind"] for entry in bench.job["entries"]] == ["fix", "reading"], "once"


def test_a_proof_plugs_in_again_what_a_reading_left_out(bench: Hands):
    bench.choose("main-rail-pen-bay-unplugged")
    enter(bench, "8.41")
    bench.page.evaluate("fault => benchlore.acts.choose('fix', fault)", PEN_BAY)
    assert re.search(r"Plug E7 .* in again, with all power out\.", bench.text(".proof-one"))
    assert "as the customer has it" in bench.text(".proof")


@pytest.mark.parametrize("size", [(360, 740), (768, 1024), (1280, 720)])
def test_a_card_begins_with_what_can_hurt_in_sight(new_page, file_url, size: tuple[int, int]):
    hands = Hands(new_page(viewport={"width": size[0], "height": size[1]}))
    hands.open(file_url("bench.html") + START)
    top = "document.getElementById(%r).getBoundingClientRect().top"
    hands.wait(f"{top % 'standing-title'} >= -1 && {top % 'standing-title'} < 400")
    hands.press("v")
    hands.wait(f"{top % 'next'} >= -1 && {top % 'next'} < 400")
    hands.choose("pack-data-volts")
    enter(hands, "0.007")
    hands.wait(f"{top % 'verdict'} >= -1 && {top % 'verdict'} < 400")


def test_what_a_symptom_brings_stands_above_the_first_card_alone(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html") + "#v=1&family=siskin-12&revision=A&symptom=runs-hot")
    card = page.locator("#next")
    assert "A hot pack is an emergency." in card.inner_text()
    assert "Lithium" in card.locator(".hazards").first.inner_text()
    assert card.locator(".hazard-top:visible").count() == 0, "it stands there once"
    assert "Do not charge or use" in card.inner_text(), "in full, the first time"
    hands.choose("core-ohms")
    assert "Null the leads first." in hands.text(".step-meter"), "what the reading needs"
    enter(hands, "14.8")
    assert "A hot pack is an emergency." not in card.inner_text()


def test_without_a_symptom_the_reason_stands_beside_its_field(new_page, file_url):
    hands = Hands(new_page(viewport={"width": 360, "height": 740}))
    hands.open(file_url("bench.html") + "#v=1&family=siskin-12&revision=A")
    hands.page.click("#setup-go")
    assert hands.focus == "symptom-text"
    reason = hands.page.locator("#setup-refusal")
    assert "no symptom is chosen yet" in reason.inner_text().lower()
    box = reason.bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= 740 - box["height"], "it is in sight"


NAMES_OF_OBJECTS = (
    "symptom=constructor",
    "symptom=__proto__",
    "symptom=pack-not-seen&meter=constructor",
    "symptom=pack-not-seen&revision=constructor",
    "symptom=pack-not-seen&entry=r~constructor~~7.92 V",
    "symptom=pack-not-seen&entry=r~main-rail-adapter~constructor~7.92 V",
    "symptom=pack-not-seen&entry=f~__proto__~proved~gone",
)


def test_names_that_every_object_has_are_no_names_of_the_book(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html"))
    for number, names in enumerate(NAMES_OF_OBJECTS):
        page.goto("about:blank")
        hands.open(file_url("bench.html") + f"#v=1&job=a{number}&family=siskin-12&{names}")
        assert hands.text("#bench-work"), names
        assert page.locator("#next, .message").count() > 0, names
        assert "is not a function" not in page.inner_text("#bench"), names


def test_an_address_without_a_job_keeps_its_entries(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html") + START + "&entry=r~main-rail-adapter~~7.92")
    assert hands.entries == [("main-rail-adapter", "7.92")]


def test_a_reading_is_shown_in_the_unit_of_its_field(bench: Hands):
    for typed, shown in (("0.31", "0.31 V"), ("0", "0 V"), ("300 mV", "0.3 V"), (".0002", "200.0 \u00b5V")):
        bench.choose("pack-data-volts")
        enter(bench, typed)
        assert shown in bench.text(".entries").replace("\u00a0", " ")
        bench.press("u")


REFUSED = (
    ("", "Nothing was typed: type what the meter shows in V, or OL."),
    ("3.3 3.4", "'3.3 3.4' holds more than one number: type one value."),
    (
        "20 ohm",
        "This is a resistance, in \u03a9; volts belong here: check the dial, or type a value, "
        "such as 3.05 V.",
    ),
    ("abc", "'abc' is no value: type a value, such as 3.05 V."),
    ("1,234 mV", "'1,234' can be read in two ways. Which is it?"),
    ("<b>8</b>", "'<b>8</b>' is not a reading: type what the meter shows."),
)


def test_a_bad_entry_is_refused_beside_the_field_and_stays_there(bench: Hands):
    for typed, reason in REFUSED:
        bench.press("r")
        bench.page.fill("#reading", "")
        bench.type(typed)
        bench.press("Enter")
        assert bench.text("#reading-refusal") == reason
        assert bench.page.input_value("#reading") == typed
        assert bench.focus == "reading"
        assert bench.page.get_attribute("#reading", "aria-invalid") == "true"
        assert bench.job["entries"] == []
        bench.press("Escape")


def test_an_undecided_reading_is_taken_again_in_a_field_of_its_own(bench: Hands):
    bench.choose("main-rail-adapter")
    enter(bench, "8.30")
    label = bench.text("label[for=again-reading]")
    assert label == "Again: DC volts on MAIN at C55"
    asked = bench.card[1]
    assert asked != "main-rail-adapter"
    bench.page.fill("#again-reading", "nothing")
    bench.press("Enter")
    assert "is no value" in bench.text("#again-refusal")
    assert bench.focus == "again-reading"
    bench.page.fill("#again-reading", "8.41")
    bench.press("Enter")
    assert bench.entries[-1] == ("main-rail-adapter", "8.41")


def test_keys_type_what_a_number_pad_lacks(new_page, file_url):
    hands = Hands(new_page(viewport={"width": 360, "height": 800}))
    hands.open(file_url("bench.html") + START)
    hands.choose("pack-data-volts")
    for typed, name, wanted in (
        ("470", "milli", "470m"),
        ("470m", "kilo", "470k"),
        ("0.5", "minus", "-0.5"),
        ("-0.5", "minus", "0.5"),
        ("7", "OL, over range", "OL"),
    ):
        hands.page.fill("#reading", typed)
        hands.page.get_by_role("button", name=name, exact=True).click()
        assert hands.page.input_value("#reading") == wanted
    assert hands.focus == "reading", "the number pad stays open"


def test_w_after_a_number_asks_what_if(bench: Hands):
    bench.type("0.29")
    bench.press("w")
    assert bench.text("#verdict-title") == "What if \u2014 not entered"
    assert bench.entries == []
    assert bench.page.input_value("#reading") == "0.29"


def test_what_if_can_be_said_before_the_reading_is_typed(bench: Hands):
    bench.press("w")
    assert bench.page.get_attribute("#what-if", "aria-pressed") == "true"
    assert "What if" in bench.text("#reading-asked")
    bench.type("0.007")
    bench.press("Enter")
    assert bench.text("#verdict-title") == "What if \u2014 not entered"
    assert bench.entries == []
    bench.press("Escape", "Escape")
    assert bench.page.get_attribute("#what-if", "aria-pressed") == "false"
    bench.press("r", "Enter")
    assert len(bench.entries) == 1


def test_letters_are_letters_in_a_field(bench: Hands):
    bench.press("r")
    bench.type("nuyjkhelstbwap?g")
    assert bench.page.input_value("#reading") == "nuyjkhelstbwap?g"
    assert bench.card[0] == "measure"
    bench.press("Escape", "?")
    assert bench.text("#over-title") == "Keys"
    bench.press("Escape")
    assert bench.page.query_selector("#over") is None


def test_the_next_best_actions_are_one_key_away_and_any_other_in_a_list(bench: Hands):
    bench.press("b")
    best = bench.card
    bench.press("s")
    second = bench.card
    bench.press("b")
    assert bench.card == best
    bench.press("t")
    third = bench.card
    assert len({best, second, third}) == 3
    bench.press("b", "l")
    assert bench.focus == "list-text"
    bench.type("main pen")
    bench.press("Enter")
    assert bench.card == ("measure", "main-rail-pen-bay-unplugged")
    assert bench.text("#next-title") == "DC volts on MAIN at C55, E7 out"
    bench.press("l")
    assert bench.page.input_value("#list-text") == "", "the words of the last search are gone"


def test_undo_redo_edit_and_remove_keep_every_entry_within_reach(bench: Hands):
    enter(bench, "0.007")
    enter(bench, "0.3")
    first, second = bench.entries
    bench.press("u")
    assert bench.entries == [first]
    bench.press("y")
    assert bench.entries == [first, second]
    bench.page.click("#edit-2")
    assert bench.focus == "edit-text"
    bench.press("Control+a")
    bench.type("volts")
    bench.press("Enter")
    assert "is no value" in bench.text("#edit-refusal")
    assert bench.page.input_value("#edit-text") == "volts"
    bench.press("Control+a")
    bench.type("0.004")
    bench.press("Enter")
    assert bench.entries == [first, (second[0], "0.004")]
    bench.page.click("#remove-1")
    assert bench.entries == [(second[0], "0.004")]
    bench.press("u", "u")
    assert bench.entries == [first, second]


# What stands beside the card, each part beside the same made anew.
ANEW = """() => {
    const page = benchlore.render.page();
    return [
        [".ranking", benchlore.rankingView.render(page)],
        [".history", benchlore.historyView.render(page)],
        [".standing", benchlore.hazards.before(page)],
    ].map(([shown, fresh]) => document.querySelector(shown)?.isEqualNode(fresh));
}"""


def test_what_stands_beside_the_card_stays_and_says_the_same_as_if_made_anew(bench: Hands):
    enter(bench, "0.007")
    bench.page.evaluate("""() => {
        for (const one of ["#bench-work > .side", ".standing", ".rank:nth-child(2) summary"])
            document.querySelector(one).stays = true;
        window.card = document.getElementById("next");
    }""")
    stays = "() => [...document.querySelectorAll('#bench-work *')].filter(one => one.stays).length"
    for keys in ("reading", "u", "y"):
        enter(bench, "0.3") if keys == "reading" else bench.press(keys)
        assert bench.page.evaluate(ANEW) == [True, True, True], keys
        assert bench.page.evaluate(stays) == 3, keys
        assert bench.page.evaluate("() => document.getElementById('next') !== window.card"), "read out anew"
    # What is unfolded is made anew, with the reasons of now; what is pressed acts on what is shown there.
    bench.page.evaluate("document.querySelector('.rank:nth-child(2) summary').click()")
    bench.press("u")
    for row in bench.page.query_selector_all(".rank"):
        row.evaluate("one => { if (!one.firstElementChild.open) one.querySelector('summary').click(); }")
        told, name = row.query_selector(".rank-why"), row.evaluate("one => one.firstElementChild.id")
        assert told is not None, name
        button = row.query_selector("button")
        if button is not None:
            button.evaluate("one => one.click()")
            assert "rank-" + bench.card[1].replace("/", "-") == name
            break
    else:
        pytest.fail("no row of the ranking has a button")


# The parts of the page below the bar, in order.
PARTS = "() => [...document.querySelectorAll('#bench-work > *')].map(one => one.id || one.classList[0])"


def test_what_stands_beside_the_card_is_as_if_made_anew_through_a_proof_and_a_second_job(bench: Hands):
    """The standing hazards go below with the first entry or once they are read, and away with the proof, as
    the ranking does."""

    def stands(*parts: str) -> None:
        assert bench.page.evaluate(PARTS) == [*parts]
        there = True if "standing" in parts else None
        assert bench.page.evaluate(ANEW) == [there, True, there]

    stands("standing", "next", "side")
    enter(bench, "0.007")
    stands("verdict", "next", "side", "standing")
    bench.press("u")
    stands("standing", "next", "side")
    bench.press("y")
    bench.page.evaluate("id => benchlore.acts.choose('fix', id)", PEN_BAY)
    stands("next", "verdict", "side", "standing")
    enter(bench, "8.41")
    bench.press("Space", "Enter")
    assert bench.card[0] == "closed"
    stands("verdict", "next", "side")
    bench.press("u")
    stands("next", "verdict", "side", "standing")
    bench.press("n")
    bench.wait("document.activeElement.id === 'symptom-text'")
    bench.complain("won't see the new battery")
    bench.press("1")
    bench.wait("document.getElementById('next') !== null")
    stands("standing", "next", "side")
    bench.press("v")
    stands("next", "side", "standing")
    assert bench.page.query_selector(".standing-read") is not None
    bench.choose("pack-data-volts")
    enter(bench, "0.007")
    stands("verdict", "next", "side", "standing")
    bench.press("u")
    stands("next", "side", "standing")


def test_what_if_shows_the_verdict_and_commits_nothing(bench: Hands):
    before = bench.job
    bench.type("0.007")
    bench.press("Escape", "w")
    assert bench.text("#verdict-title") == "What if \u2014 not entered"
    assert "absent" in bench.text(".verdict")
    assert bench.text("#ranking-title") == "Ranking, what if"
    assert bench.job == before
    bench.press("Escape")
    assert bench.page.query_selector(".verdict") is None
    assert bench.page.input_value("#reading") == "0.007"
    bench.press("Enter")
    assert len(bench.entries) == 1


def test_a_meter_that_cannot_decide_says_so(bench: Hands):
    bench.choose("main-rail-adapter")
    enter(bench, "8.30")
    assert "undecided" in bench.text(".verdict-words")
    assert "cannot decide between" in bench.text(".verdict .means")
    assert "cannot decide between" in bench.said
    bench.press("a")
    assert bench.card == ("measure", "main-rail-adapter")


def test_a_reading_that_fits_nothing_asks_to_check(bench: Hands):
    bench.choose("core-volts")
    enter(bench, "-0.984")
    assert "fits no outcome" in bench.text(".verdict-words")
    assert "Check the point" in bench.text(".verdict .means")


def test_two_entries_that_contradict_each_other_are_named_and_one_is_measured_again(bench: Hands):
    """A rail at its voltage, and shorted: nothing else is asked before one of the two was read again."""
    bench.choose("main-rail-pack")
    enter(bench, "8.40")
    bench.choose("main-rail-ohms")
    enter(bench, "0.4")
    assert bench.card == ("measure", "main-rail-ohms"), "the powered one is barred by the short"
    said = bench.text(".clash")
    assert "Two entries contradict each other" in said
    assert "8.4\u00a0V" in said
    assert "MAIN at C55, Ohms: " in said
    assert "measure this one again" in said
    enter(bench, "14.8")
    assert bench.page.query_selector(".clash") is None
    assert bench.card[1] != "main-rail-ohms"


def test_a_reading_that_stops_comes_before_all_else_and_nothing_live_is_next(bench: Hands):
    enter(bench, "7.92")
    assert bench.text("#next .stop-word") == "Stop: unplug every source."
    bench.press("v")
    assert bench.page.evaluate("document.querySelector('#next').firstElementChild.className") == "stop"
    live = """(() => {
        const desk = benchlore.desk.state;
        return desk.assessment.choices
            .filter((one) => one.kind === "measure")
            .map((one) => desk.family.states[desk.family.measurements[one.id].state].sources.length);
    })()"""
    assert set(bench.page.evaluate(live)) == {0}
    assert "already set up" not in bench.text("#next")
    bench.press("u")
    assert not bench.page.evaluate("document.querySelector('.stop') !== null")


def test_a_barred_step_has_no_set_up_and_no_field_and_says_what_clears_it(bench: Hands):
    bench.choose("main-rail-ohms")
    enter(bench, "0.4")
    bench.press("l")
    assert "barred: no power now" in bench.text("#list-main-rail-adapter")
    fixes = bench.text(".offers:last-of-type").split("\n")
    assert any(line == "barred: MAIN at C55, Ohms, shorted" for line in fixes), fixes
    assert any("to try" in line and "barred" not in after for line, after in pairwise([*fixes, ""]))
    bench.page.evaluate("document.getElementById('list-main-rail-adapter').click()")
    assert bench.card == ("measure", "main-rail-adapter")
    assert bench.page.query_selector("#next .card-steps, #next form, #reading, .answers") is None
    assert "Barred by MAIN at C55, Ohms: shorted." in bench.text("#next > .note")
    assert "No power before a new reading clears it: MAIN at C55, Ohms." in bench.text("#next > .note")
    assert "cannot change the ranking" not in bench.text("#next")
    bench.choose("main-rail-ohms")
    assert bench.page.query_selector("#reading") is not None, "it needs no source"
    enter(bench, "22k")
    bench.choose("main-rail-adapter")
    assert bench.page.query_selector("#reading") is not None
    assert bench.page.query_selector("#next > .note") is None


def test_a_powered_step_says_what_is_read_before_a_source_goes_in(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html") + START.replace("pack-not-seen", "no-power"))
    first = "read first, before a source goes in: "
    asked = page.evaluate("id => benchlore.parts.nameOf(benchlore.desk.state.family, id)", hands.card[1])
    hands.press("l")
    assert first + asked in hands.text("#list-main-rail-adapter")
    assert "job then" in hands.text("#list-main-rail-ohms")
    page.evaluate("document.getElementById('list-main-rail-adapter').click()")
    said = hands.text("#next")
    assert said.index(first.capitalize() + asked + ".") < said.index("Adapter only"), said
    assert "cannot change the ranking" not in said
    page.evaluate("benchlore.acts.choose('measure', 'main-rail-ohms')")
    assert first not in hands.text("#next").lower()


def test_a_meter_without_the_function_is_why_a_step_settles_nothing(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html"))
    page.evaluate(
        """hash => {
            for (const meter of Object.values(benchlore.benchBook.meters)) delete meter.accuracy.hertz;
            location.hash = hash;
        }""",
        START,
    )
    hands.wait("document.getElementById('next') !== null")
    hands.press("l")
    assert "this meter has no such function" in hands.text("#list-clock-hertz")
    page.evaluate("document.getElementById('list-clock-hertz').click()")
    assert hands.text("#next .why") == "This meter has no such function."


def test_symptoms_are_found_in_the_customers_words(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html") + "#" + urlencode({"v": 1, "family": "siskin-12"}))
    for typed, wanted in (
        ("dies when i pull the plug", "not-on-pack"),
        ("fan spinns for a second", "starts-and-stops"),
        ("smels burnt", "runs-hot"),
    ):
        page.evaluate("benchlore.dom.unfold(document.getElementById('more-symptoms'))")
        page.fill("#symptom-text", "")
        page.focus("#symptom-text")
        hands.complain(typed)
        hands.wait(f"benchlore.bench.present().symptoms.at(-1) === '{wanted}'")


def test_a_job_survives_a_reload_at_any_moment(hands: Hands, file_url):
    hands.open(file_url("bench.html") + START)
    enter(hands, "0.007")
    hands.reload()
    assert [text for _, text in hands.entries] == ["0.007"]
    enter(hands, "0.007")
    hands.press("u")
    hands.reload()
    hands.press("y")
    assert len(hands.entries) == 2


@pytest.mark.parametrize(
    "browser",
    [
        pytest.param("chromium_profile", marks=pytest.mark.browser),
        pytest.param("firefox_profile_page", marks=pytest.mark.firefox),
    ],
)
def test_a_job_and_the_choice_of_a_revision_survive_a_closed_browser(
    request: pytest.FixtureRequest, browser: str, file_url
):
    profile = request.getfixturevalue(browser)

    def hands() -> Hands:
        return Hands(profile if isinstance(profile, FirefoxPage) else profile.page)

    hands().open(file_url("bench.html") + START)
    enter(hands(), "0.007")
    hands().settle()
    before = hands().job
    assert hands().page.evaluate("benchlore.store.set('revision/siskin-12', 'B')")
    profile.reopen()
    hands().page.goto(file_url("siskin-12/nets/MAIN.html"))
    hands().wait("document.documentElement.dataset.revision === 'B'")
    hands().open(file_url("bench.html"))
    assert hands().job == before


def test_several_jobs_at_once(bench: Hands):
    enter(bench, "0.007")
    first = bench.job
    bench.press("n")
    bench.wait("benchlore.bench.present().entries.length === 0")
    assert bench.job["family"] == "siskin-12", "what was chosen last is the default"
    assert bench.job["revision"] == "", "the next board may be another revision"
    bench.page.click("#symptom-no-power")
    bench.press("g")
    assert bench.focus == "revision-asked", "no job begins before its revision is said"
    bench.press("2", "j")
    bench.page.wait_for_selector(f"#open-{first['id']}")
    assert bench.page.locator(".jobs > li").count() == 2
    bench.page.click(f"#open-{first['id']}")
    bench.wait("benchlore.bench.present().entries.length === 1")
    assert bench.job == first


def test_two_windows_on_one_job_lose_nothing(hands: Hands, file_url):
    one, other = hands, hands.window()
    one.open(file_url("bench.html") + START)
    one.settle()
    other.open(one.url)
    one.choose("pack-data-volts")
    other.choose("pack-data-volts")
    enter(one, "0.007")
    one.settle()
    enter(other, "3.4")
    other.settle()
    other.wait("document.querySelector('.message') !== null")
    assert "Another window has changed this job" in other.text(".message")
    other.settle()
    assert [text for _, text in one.entries] == ["0.007"]
    assert [text for _, text in other.entries] == ["3.4"]
    assert one.job["id"] != other.job["id"]
    other.press("j")
    other.wait("document.getElementById('jobs-new') !== null")
    assert other.page.evaluate("document.querySelectorAll('.jobs > li').length") == 2


def test_a_saved_job_fits_its_schema_and_opens_again(bench: Hands, tmp_path: Path, new_page, file_url):
    enter(bench, "0.007")
    bench.press("j")
    with bench.page.expect_download() as saved:
        bench.page.click("#jobs-save")
    file = tmp_path / "job.json"
    saved.value.save_as(file)
    data = json.loads(file.read_text(encoding="utf-8"))
    jsonschema.validate(data, SCHEMA)
    assert data == bench.job

    fresh = Hands(new_page())
    fresh.open(file_url("bench.html"))
    fresh.press("j")
    fresh.page.wait_for_selector("#jobs-file", state="attached")
    fresh.page.set_input_files("#jobs-file", file)
    fresh.wait("benchlore.bench.present().entries.length === 1")
    assert fresh.job == data


def test_the_job_sheet_as_markdown(bench: Hands, tmp_path: Path):
    enter(bench, "0.007")
    bench.press("e")
    bench.page.fill("#label", "R-17 <b>*x*</b>")
    bench.press("Tab")
    bench.press("j")
    with bench.page.expect_download() as saved:
        bench.page.click("#jobs-md")
    file = tmp_path / "job.md"
    saved.value.save_as(file)
    text = file.read_text(encoding="utf-8")
    assert text.startswith("# Job sheet R-17 \\<b\\>\\*x\\*\\</b\\>\n")
    what = "PACK\\_DATA at J15\\_2, DC volts | Adapter in, pack out, switched on"
    assert f"| 1 | {what} | 0.007 V | absent; healthy: " in text
    assert "WARNING" in text or "DANGER" in text


FOREIGN = {
    "not JSON": ("{", "not JSON, or it is cut short"),
    "of another program": ('{"a": 1}', "not a job saved by this site"),
    "a list": ("[]", "not an object"),
    "of a form in words": (
        '{"format": "benchlore-job", "version": "1", "id": "x", "family": "f", "revision": "",'
        ' "symptoms": [], "meter": "m", "entries": []}',
        "'version' is '1', not 1",
    ),
    "with what no job has": (
        '{"format": "benchlore-job", "version": 1, "id": "x", "family": "f", "revision": "", "symptoms": [],'
        ' "meter": "m", "entries": [], "price": 3}',
        "'price' is unknown to this page",
    ),
    "of a later form": ('{"format": "benchlore-job", "version": 2}', "saved in form 2"),
    "cut short": ('{"format": "benchlore-job", "version": 1, "id": "x"}', "'family' is missing"),
    "with a bad entry": (
        '{"format": "benchlore-job", "version": 1, "id": "x", "family": "siskin-12", "revision": "A",'
        ' "symptoms": [], "meter": "m", "entries": [{"kind": "magic"}]}',
        "unknown kind 'magic'",
    ),
}


def test_a_damaged_or_foreign_file_is_refused_and_the_job_stays(bench: Hands, tmp_path: Path):
    enter(bench, "0.007")
    before = bench.job
    for number, (kind, (text, reason)) in enumerate(FOREIGN.items()):
        file = tmp_path / f"{number} <img src=x onerror=alert(1)>.json"
        file.write_text(text, encoding="utf-8")
        bench.press("j")
        bench.page.wait_for_selector("#jobs-file", state="attached")
        bench.page.set_input_files("#jobs-file", file)
        bench.page.locator(".message", has_text=f"{number} <img src=x").wait_for()  # the name is text
        assert reason in bench.text(".message"), kind
        assert bench.job == before, kind


ADDRESSES = {
    "of another version": ("#v=9&family=siskin-12", "made by another version of this page"),
    "with an unknown part": ("#v=1&cheese=1", "holds 'cheese', which this page does not know"),
    "cut short": ("#v=1&job=x&family=siskin-12&entry=r~main", "cut short or damaged"),
    "with a broken sign": ("#v=1&job=x&family=siskin-12&entry=r~%25E0~~1", "cut short or damaged"),
    "of a family that is gone": ("#v=1&job=x&family=osprey-1&symptom=no-power", "no board family 'osprey-1'"),
}


@pytest.mark.parametrize("kind", ADDRESSES)
def test_an_address_that_does_not_fit_says_why_and_changes_nothing(bench: Hands, kind: str):
    address, reason = ADDRESSES[kind]
    enter(bench, "0.007")
    bench.settle()
    kept = bench.job
    bench.page.evaluate("hash => { location.hash = hash; }", address)
    bench.page.locator(".message", has_text=reason).wait_for()
    bench.press("j")
    bench.page.wait_for_selector("#jobs-new")
    if bench.job["id"] != kept["id"]:
        bench.page.click(f"#open-{kept['id']}")
        bench.wait("benchlore.bench.present().entries.length === 1")
    assert bench.job == kept


KEPT = "benchlore.keep.list().then(kept => kept.map(one => one.id))"


def test_an_address_carries_the_whole_job_and_asks_before_it_is_kept(bench: Hands, new_page, file_url):
    enter(bench, "0.007")
    bench.page.select_option("#reading-meter", "hand-held-4-half")
    enter(bench, "0,5 V")
    fresh = Hands(new_page())
    fresh.open(bench.url)
    timeless = [{**entry, "at": ""} for entry in bench.job["entries"]]
    assert fresh.job["entries"] == timeless
    assert fresh.job["id"] == bench.job["id"]
    assert fresh.card == bench.card
    fresh.settle()
    assert fresh.page.evaluate(KEPT) == []
    assert "It is not kept in this browser until you go on with it." in fresh.text(".message")
    fresh.page.click("#message-unkept")
    fresh.wait("document.querySelector('.message') === null")
    assert fresh.page.evaluate(KEPT) == [bench.job["id"]]


def test_going_on_with_a_job_of_an_address_keeps_it(bench: Hands, new_page):
    enter(bench, "0.007")
    fresh = Hands(new_page())
    fresh.open(bench.url)
    fresh.choose("pack-data-volts")
    enter(fresh, "0.008")
    fresh.wait("document.querySelector('.message') === null")
    assert fresh.page.evaluate(KEPT) == [bench.job["id"]]


def test_an_address_that_adds_to_a_kept_job_asks_first(bench: Hands):
    enter(bench, "0.007")
    bench.settle()
    kept = bench.job
    longer = {**kept, "entries": [*kept["entries"], {**kept["entries"][0], "text": "3.4"}]}
    address = bench.page.evaluate("job => location.pathname + '#' + benchlore.address.encode(job)", longer)
    bench.page.goto("about:blank")
    bench.open(f"file://{address}")
    bench.settle()
    assert bench.job == kept
    assert "This address adds to a job that is kept here: " in bench.text(".message")
    assert ": 3.4. Nothing is added until you say so." in bench.text(".message")
    bench.reload()
    assert bench.job == kept
    bench.page.goto("about:blank")
    bench.open(f"file://{address}")
    bench.page.click("#message-more")
    assert [text for _, text in bench.entries] == ["0.007", "3.4"]
    bench.press("u")
    assert bench.job == kept


def test_an_older_address_of_a_kept_job_does_not_take_entries_away(bench: Hands):
    enter(bench, "0.007")
    old = bench.url
    enter(bench, "0.007")
    bench.settle()
    bench.page.goto("about:blank")
    bench.open(old)
    assert len(bench.entries) == 2


def test_another_state_of_a_kept_job_is_kept_beside_it(bench: Hands):
    enter(bench, "0.007")
    bench.settle()
    kept = bench.job
    other = {**kept, "entries": [{**kept["entries"][0], "text": "3.4"}]}
    address = bench.page.evaluate("job => location.pathname + '#' + benchlore.address.encode(job)", other)
    bench.page.goto("about:blank")
    bench.open(f"file://{address}")
    assert "another state of a job that is kept here" in bench.text(".message")
    assert [text for _, text in bench.entries] == ["3.4"]
    assert bench.job["id"] != kept["id"]
    bench.settle()
    assert bench.page.evaluate(KEPT) == [kept["id"]]
    bench.press("j")
    bench.page.wait_for_selector(f"#open-{kept['id']}")


RETIRED = {
    "moved": (
        {"moved_to": PEN_BAY, "retired": ""},
        "is now part of 'Pen bay holds the pack data line low'",
    ),
    "withdrawn": ({"moved_to": None, "retired": "It was never seen again."}, "It was never seen again."),
    "unknown": (None, "which this book does not have"),
}


@pytest.mark.parametrize("kind", RETIRED)
def test_a_fault_that_was_retired_since_keeps_its_entry(page: Page, file_url, kind: str):
    retired, reason = RETIRED[kind]
    page.add_init_script(
        f"""addEventListener("DOMContentLoaded", () => {{
            const retired = {json.dumps(retired)};
            if (retired && window.benchlore?.benchBook)
                benchlore.benchBook.retired["siskin-12/old-fault"] = retired;
        }})"""
    )
    hands = Hands(page)
    entry = "f~siskin-12%2Fold-fault~failed~still~main-rail-adapter~~7.92"
    job = {"v": 1, "job": "k1", "family": "siskin-12", "revision": "A", "symptom": "pack-not-seen"}
    hands.open(file_url("bench.html") + "#" + urlencode({**job, "meter": "hand-held-3-half", "entry": entry}))
    page.locator(".message", has_text=reason).wait_for()
    assert hands.job["entries"][0]["fault"] == "siskin-12/old-fault"
    assert page.is_visible("#remove-1")
    assert page.locator("#edit-1").count() == 0, "there is no card of its fix"
    assert hands.card[0] in ("measure", "fix")


@pytest.mark.parametrize("trouble", ["QuotaExceededError", "SecurityError"])
def test_a_full_or_forbidden_store_is_said_and_nothing_is_lost(hands: Hands, file_url, trouble: str):
    hands.page.add_init_script(
        f"""Storage.prototype.setItem = () => {{ throw new DOMException("no", "{trouble}"); }};
        if ("{trouble}" === "SecurityError")
            Storage.prototype.getItem = () => {{ throw new DOMException("no", "{trouble}"); }};"""
    )
    hands.open(file_url("bench.html") + START)
    hands.choose("pack-data-volts")
    enter(hands, "0.007")
    hands.wait("document.getElementById('message-store') !== null")
    assert "could not keep the job" in hands.text(".message")
    assert len(hands.entries) == 1
    hands.settle()
    hands.reload()
    assert len(hands.entries) == 1, "the address holds it"
    hands.page.click("#message-unkept")
    hands.wait("document.getElementById('message-store') !== null")
    assert len(json.loads(hands.saved("#message-store"))["entries"]) == 1


LINK = "#" + urlencode({"v": 1, "family": "siskin-12", "symptom": "no-power"})


@pytest.mark.parametrize("size", [(360, 800), (1366, 768)])
def test_a_link_from_a_symptom_is_one_tap_from_the_first_reading(new_page, file_url, size: tuple[int, int]):
    """The revision is asked for each board, whatever the pages or an earlier job remember."""
    hands = Hands(new_page(viewport={"width": size[0], "height": size[1]}))
    hands.open(file_url("bench.html") + START)
    enter(hands, "0.007")
    hands.settle()
    assert hands.page.evaluate("benchlore.store.set('revision/siskin-12', 'A')")
    hands.page.goto("about:blank")
    hands.open(file_url("bench.html") + LINK)
    assert hands.job["family"] == "siskin-12"
    assert hands.job["symptoms"] == ["no-power"]
    assert hands.job["revision"] == ""
    for key in ("revision-A", "revision-B", "label"):
        box = hands.page.locator(f"#{key}").bounding_box()
        assert box is not None
        assert 0 <= box["y"] <= size[1] - box["height"], f"{key} is in the first screen"
    hands.page.click("#revision-B")
    assert hands.job["revision"] == "B"
    assert hands.card[0] in ("measure", "fix")


def test_a_press_right_after_typing_the_job_number_is_not_lost(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html") + LINK)
    page.click("#label")
    hands.type("2041")
    page.click("#revision-A")
    assert (hands.job["label"], hands.job["revision"]) == ("2041", "A")
    assert hands.card[0] in ("measure", "fix")


def test_a_revision_that_changes_later_names_what_was_probed_elsewhere(bench: Hands):
    enter(bench, "0.007")
    bench.choose("main-rail-adapter")
    enter(bench, "7.92")
    bench.press("e")
    bench.page.click("#revision-B")
    assert "Taken while the job said revision A: MAIN at C55" in bench.text(".message")
    assert "PACK_DATA" not in bench.text(".message"), "both revisions have that pin"
    assert len(bench.entries) == 2
