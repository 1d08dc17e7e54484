"""The study pages are accessible, fit a phone, work by keyboard alone, and print on A4."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page

from benchlore.book import links
from benchlore.site import paths
from tests.books import example
from tests.browser.checks import at_widths, axe_violations, in_sight, print_pdf, sideways

BOOK = example()
FAMILY = "teal-8"
BAR = 35  # what stays at the top of a session
DARK = ("home", "wrong set-up card", "debrief")
LOOKED_INTO = (*DARK, "wrong range card", "wrong meaning card", "refusal", "wrong set-up", "proof")


@pytest.fixture
def phone(new_page: Any) -> Page:
    """A page as wide as a small phone."""
    page: Page = new_page(viewport={"width": 360, "height": 740})
    return page


def whole(page: Page) -> list[str]:
    """What is wrong with a view: scrolling sideways, or axe's serious findings."""
    page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true; })")
    return sideways(page) + axe_violations(page, ".card")


def choose_first(page: Page) -> None:
    """The first of everything that a form offers: most of it wrong."""
    page.evaluate(
        """() => { const names = new Set([...document.querySelectorAll("#study input")].map(one => one.name));
            for (const name of names) document.querySelector(`[name="${name}"]`).click(); }"""
    )


def test_every_view_fits_and_is_accessible(phone, file_url):
    def go(fragment: str) -> None:
        phone.goto("about:blank")
        phone.goto(file_url(f"study/{FAMILY}.html{fragment}"))
        phone.wait_for_selector("#study h2")

    def look(view: str) -> None:
        # Every view must fit. What the views share is looked at once; in the dark only colours differ.
        assert sideways(phone) == [], view
        if view in LOOKED_INTO:
            assert whole(phone) == [], view
        if view in DARK:
            phone.emulate_media(color_scheme="dark")
            assert axe_violations(phone, ".card", contrast_only=True) == [], f"{view}, dark"
            phone.emulate_media(color_scheme="light")

    go("")
    look("home")
    phone.click("#wipe")
    look("wiping")
    injected = next(
        iter(
            phone.evaluate(
                """() => benchlore.studyFamily.cards.filter(card => card.kind === "setup"
            && benchlore.benchFamilies["teal-8"].measurements[card.measure].inject).map(card => card.id)"""
            )
        )
    )
    doubtful = phone.evaluate("() => benchlore.studyFamily.cards.find(card => card.between).id")
    for name, card in (("range", "reads/system-volts-usb"), ("meaning", doubtful), ("set-up", injected)):
        go(f"#exercise=path&seed=LOOK&cards={card}")
        look(f"{name} card")
        choose_first(phone)
        phone.click("#send")
        look(f"wrong {name} card")
    phone.click("#next")
    look("end of the session")
    go("#exercise=path&seed=LOOK&typed=1&cards=reads/system-volts-usb")
    phone.click("#send")
    phone.fill("#typed-from", "12 ohm")
    phone.click("#send")
    assert "This is a resistance, in \u03a9; volts belong here: check the dial" in phone.inner_text(
        "#from-refusal"
    )
    look("refusal")
    go("#exercise=job&seed=LOOK&cards=job/no-power")
    look("job")
    phone.click("#send")
    assert in_sight(phone, "#measure-refusal", BAR)
    phone.select_option("#measure", index=2)
    phone.click("#send")
    assert in_sight(phone, "#state-refusal", BAR)
    phone.check("#state-0")
    phone.click("#send")
    look("wrong set-up")
    phone.click("#do-fix")
    phone.select_option("#fault", index=2)
    phone.check("#action-0")
    phone.click("#send")
    assert "Nothing says how the bench stands" in phone.inner_text("#fix-state-refusal")
    assert in_sight(phone, "#fix-state-refusal", BAR)
    phone.check("[name=fix-state][value=usb-c-only]")
    look("naming the fault")
    phone.click("#send")
    assert phone.evaluate("() => document.activeElement.id") == "came"
    assert "You began the fix with the USB-C supply in" in phone.inner_text(".verdict")
    proof = phone.evaluate(
        """() => { const {study, studyFamily: deck, benchFamilies} = benchlore;
            const family = benchFamilies[deck.family];
            const title = document.querySelector("#do-title + p").innerText;
            const fault = Object.values(family.faults).find(one => title.includes(one.title));
            return Object.keys(fault.fix.confirm)[0]; }"""
    )
    phone.select_option("#proof", proof)
    phone.click("#send")
    look("proof")
    phone.click("#not-proved")
    if phone.query_selector(".debrief") is None:
        phone.click("#do-escalate")
        phone.click("#send")
    phone.wait_for_selector(".debrief")
    assert "Safety step missed at step 2: You began the fix" in phone.inner_text(".lessons")
    look("debrief")


def test_what_no_record_has_is_told_by_its_own_cure(page, file_url):
    """Settings are brought to their defaults; of a pack another one is tried. The minutes stand once."""
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#study h2")
    found = page.evaluate(
        """() => { const {study, studyFamily: deck, benchBook, benchFamilies} = benchlore;
            const family = benchFamilies[deck.family], found = {};
            for (const {id} of deck.symptoms)
                for (let n = 0; n < 60; n++) {
                    const job = study.job.begin(benchBook, family, deck.meter, id, "JOB" + n);
                    const suspect = family.suspects[job.one.faults[job.hidden]];
                    if (suspect?.outside) found[suspect.outside === "settings"] = [id, "JOB" + n];
                }
            return found; }"""
    )
    cures = {"true": "To bring them to their defaults takes", "false": "To try another one takes"}
    for key, cure in cures.items():
        symptom, seed = found[key]
        page.goto("about:blank")
        page.goto(file_url(f"study/{FAMILY}.html#exercise=job&seed={seed}&cards=job/{symptom}"))
        offered = page.locator("#measure option").all_inner_texts()
        assert [one for one in offered if one.count("?") > 1] == []
        page.click("#do-escalate")
        page.click("#send")
        told = page.locator(".debrief, .study-session").first.inner_text()
        said = next(line for line in told.splitlines() if line.startswith("The hidden fault has no record"))
        assert cure in said
        assert said.count("min ") == 1


def test_no_choice_runs_out_of_its_box(page, file_url):
    for family, card in (("siskin-12", "pack-data-heat"), (FAMILY, "usb-current")):
        page.goto(file_url(f"study/{family}.html#exercise=setup&seed=LOOK&cards=setup/{card}"))
        page.wait_for_selector("#mode-0")
        too_wide = at_widths(
            page,
            (360, 560, 768, 1280),
            """document => [...document.querySelectorAll(".choice")].filter(one => {
                const inside = document.createRange();
                inside.selectNodeContents(one);
                return inside.getBoundingClientRect().right > one.getBoundingClientRect().right - 4;
            }).map(one => one.innerText)""",
        )
        assert not any(too_wide.values()), too_wide


def test_the_handout_fits_and_is_accessible(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url(paths.handout(FAMILY)))
    assert whole(page) == []


def test_a_card_by_keyboard_alone(page, file_url):
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#begin-reads")

    def tab_to(wanted: str) -> None:
        for _ in range(80):
            page.keyboard.press("Tab")
            if page.evaluate("() => document.activeElement.id") == wanted:
                return
        raise AssertionError(f"Tab never reaches {wanted}")

    tab_to("begin-reads")
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "question"
    page.keyboard.press("Tab")  # where is that?
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("() => document.activeElement.id") == "range-1"
    page.keyboard.press("Enter")  # sends the form
    assert page.evaluate("() => document.activeElement.id") == "question"
    assert page.inner_text("#question") in ("Right", "Not right")
    tab_to("next")
    page.keyboard.press("Enter")
    assert "card 2 of 8" in page.inner_text(".bar-facts")


def test_the_progress_sheet_prints_on_a4(page, file_url, tmp_path):
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#begin-reads")
    page.click("#begin-reads")
    page.click("#unknown")
    page.click("#leave")
    page.fill("#trainee", "Ada")
    page.press("#trainee", "Tab")
    page.evaluate("() => { window.print = () => {}; }")
    page.click("#print")
    pdf = print_pdf(page, tmp_path / "progress.pdf")
    text = "\n".join(sheet.extract_text() for sheet in pdf.pages)
    assert len(pdf.pages) <= 2
    assert "Progress: Teal 8" in text
    assert "Ada" in text
    assert "shaky" in text
    assert "No simulated job yet." in text
    assert "Study the next cards" not in text


def test_the_handout_prints_on_a4(page, file_url, tmp_path):
    page.goto(file_url(paths.handout("siskin-12")))
    pdf = print_pdf(page, tmp_path / "handout.pdf")
    text = "\n".join(sheet.extract_text() for sheet in pdf.pages)
    assert len(pdf.pages) <= 6
    for words in ("Rails, in the order in which they come up", "Lines", "Where to probe", "Typical faults"):
        assert words in text
    flat = " ".join(text.replace("\u00a0", " ").split())
    assert "8.35 to 8.45" in flat
    # What can hurt stands before everything that is read or done.
    assert "DANGER" in flat or "WARNING" in flat
    family = BOOK.families["siskin-12"]
    for hazard in {
        h for m in family.measurements.values() for h in links.hazards_of_measurement(BOOK, family, m)
    }:
        assert 0 < flat.index(BOOK.hazards[hazard].title) < flat.index("Rails, in the order"), hazard
    # Whoever injects current has to know how: the technique stands with the look.
    assert re.search(r"D18_6[^:]*, look, [^:]*\(Current-limited injection\)", flat)


def test_another_day_brings_the_cards_back(page, file_url):
    page.clock.set_fixed_time("2026-03-02T09:00:00")
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#begin-reads")
    page.click("#begin-reads")
    page.click("#unknown")
    page.click("#leave")
    assert "1 card is due today" in page.inner_text(".asks").replace("\u00a0", " ")
    page.evaluate("() => benchlore.study.page.settled()")
    page.clock.set_fixed_time("2026-03-03T09:00:00")
    page.reload()
    page.wait_for_selector("#begin-path")
    page.click("#begin-path")
    first = page.evaluate("() => new URLSearchParams(location.hash.slice(1)).get('cards').split(' ')[0]")
    assert first.startswith("reads/")


def test_the_seed_that_a_session_shows_repeats_it_in_another_browser(page, new_page, file_url):
    def asked(one: Page) -> str:
        """The question with its reading, or the customer's words."""
        shown = one.inner_text(".study-form" if one.query_selector("#unknown") else ".job-facts")
        return shown + str(one.evaluate("() => new URLSearchParams(location.hash.slice(1)).get('cards')"))

    # Progress of its own: what is due there is due nowhere else.
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#begin-reads")
    for exercise in ("reads", "means", "setup"):
        page.click(f"#begin-{exercise}")
        for _ in range(3):
            page.click("#unknown")
            page.click("#next")
        page.click("#leave")
    page.click("text=A simulated job >> nth=4")
    page.click("#leave")
    other = new_page()
    other.goto(file_url(f"study/{FAMILY}.html"))
    for exercise in ("reads", "means", "setup", "path", "job"):
        page.click(f"#begin-{exercise}")
        seed = page.inner_text(".bar-facts").rsplit(" ", 1)[1]
        before = asked(page)
        page.click("#leave")
        other.wait_for_selector("#again-seed")
        other.select_option("#again-exercise", exercise)
        other.fill("#again-seed", seed)
        other.click("#again-begin")
        assert asked(other) == before
        assert other.inner_text(".bar-facts").endswith(" " + seed)
        other.click("#leave")
        other.fill("#again-seed", "G6P2T7-NONSENSE")
        other.click("#again-begin")
        assert "This seed does not fit this board" in other.inner_text("#again-seed-refusal")


def test_two_windows_lose_nothing(page, watch, file_url):
    other = page.context.new_page()
    for one in (page, other):
        one.goto(file_url(f"study/{FAMILY}.html"))
        one.wait_for_selector("#begin-reads")
    for one, exercise in ((page, "reads"), (other, "setup")):
        one.click(f"#begin-{exercise}")
        one.click("#unknown")
        one.evaluate("() => benchlore.study.page.settled()")
    other.click("#leave")
    other.evaluate("() => benchlore.study.page.settled()")
    fresh = page.context.new_page()
    fresh.goto(file_url(f"study/{FAMILY}.html"))
    fresh.wait_for_selector("#begin-reads")
    kept = fresh.evaluate(f"() => benchlore.store.get('study/progress/{FAMILY}')")
    assert sorted(card.split("/")[0] for card in kept["cards"]) == ["reads", "setup"]


def test_progress_that_cannot_be_read_is_said_and_stays(page, file_url):
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#begin-reads")
    damaged = {"turn": 3, "cards": {"reads/x": {"reps": "many"}}, "jobs": [], "session": None}
    page.evaluate("([f, d]) => benchlore.store.set('study/progress/' + f, d)", [FAMILY, damaged])
    page.reload()
    page.wait_for_selector("[role=alert]")
    assert "cannot be read, and is left as it is" in page.inner_text("[role=alert]")
    page.click("#begin-reads")
    page.click("#unknown")
    page.evaluate("() => benchlore.study.page.settled()")
    assert page.evaluate(f"() => benchlore.store.get('study/progress/{FAMILY}')") == damaged
    assert "could not keep your progress" in page.inner_text("#study")
