"""The bench page's hazards stay in reach until they are read; a comparison is typed alike everywhere."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.bench.hands import Hands

BOARD = "#v=1&family=siskin-12&revision=A&symptom="
FAULT = "siskin-12/pen-bay-holds-pack-data-low"
COMPARED = "main-rail-adapter"
MET = "benchlore.desk.snapshot().met"
COMPARE = """id => {
    const measurement = benchlore.desk.state.family.measurements[id];
    measurement.compare = { with: 'C56' };
    measurement.links.unit = '%';
    benchlore.render.show();
}"""
ONE_PART = """([byHand, reflowed]) => {
    const { suspects } = benchlore.desk.state.family;
    const [id, one] = Object.entries(suspects).find(
        ([, { outside, members }]) => !outside && new Set(members.map(({ part }) => part)).size === 1
    );
    one.by_hand = byHand;
    one.reflowed = reflowed;
    one.hazards = byHand ? ['solvent'] : [];
    benchlore.acts.choose('fix', id);
}"""
# Of each standing hazard its signal word, its name, and whether its first sentence is in sight.
STANDING_DOES = """() => [...document.querySelectorAll('.standing.panel .harm')].map(one => [
    one.closest('.hazard').className.match(/hazard-(danger|warning|caution|notice)/)[1],
    one.querySelector('a').textContent,
    one.querySelector('.todo').getClientRects().length > 0,
])"""
RAILS = """compare => {
    const family = structuredClone(benchlore.desk.state.family);
    family.measurements['main-rail-ohms'].compare = compare;
    const meter = Object.keys(benchlore.benchBook.meters)[0];
    const { bench } = benchlore.cases.caseOf(benchlore.benchBook, family, 'A', meter);
    return [bench.measures, bench.railsFirst.map(place => bench.measures[place])];
}"""


@pytest.fixture
def bench(page: Page, file_url) -> Hands:
    hands = Hands(page)
    hands.open(file_url("bench.html") + BOARD + "pack-not-seen")
    return hands


def order(page: Page) -> list[str]:
    found: list[str] = page.evaluate(
        "[...document.querySelectorAll('#standing-title, #next')].map(one => one.id)"
    )
    return found


def test_what_a_record_names_besides_its_steps_stays_at_every_step(bench: Hands):
    bench.press("v")
    bench.page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    steps = bench.page.locator(".step-work .do > li").count()
    besides = ("Burns", "Flying bits and splashes")
    for _ in range(steps):
        work = bench.text(".step-work")
        assert [title for title in besides if title not in work] == []
        bench.press("d")


def test_a_job_opened_with_a_reading_begins_with_its_hazards(page: Page, file_url):
    """So does one of the search, one that was sent, and one that was kept."""
    hands = Hands(page)
    hands.open(file_url("bench.html") + BOARD + "runs-hot&entry=r~core-ohms~~14.8")
    assert order(page) == ["standing-title", "next"]
    assert "A hot pack is an emergency." in hands.text("#next")
    assert page.evaluate(MET) == []
    hands.choose("pack-data-volts")
    hands.type("0.007")
    hands.press("Enter")
    assert order(page) == ["standing-title", "next"], "nobody has read them yet"
    assert "A hot pack is an emergency." not in hands.text("#next")
    hands.press("v")
    assert order(page) == ["next"]


def test_a_reading_does_not_count_as_having_read_what_stands_on_the_bench(bench: Hands):
    bench.choose("pack-data-volts")
    bench.type("0.007")
    bench.press("Enter")
    assert bench.page.evaluate(MET) == []
    bench.page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    assert bench.page.locator(".step-now #hazard-lithium-pack").count() == 1
    bench.press("v")
    assert "lithium-pack" in bench.page.evaluate(MET)


def test_a_phone_has_the_field_in_sight_before_the_standing_hazards_are_read(bench: Hands):
    """With the worst hazard of what is asked; the panel above leaves none of them out."""
    page = bench.page
    page.set_viewport_size({"width": 360, "height": 740})
    page.evaluate("scrollTo(0, 0)")
    seen = ("#standing-seen", "#reading", "#reading-asked", ".pinned > .hazard-top")
    for part in seen:
        expect(page.locator(part)).to_be_in_viewport(ratio=1)
    assert "Mains side of the adapter" in bench.text(".pinned > .hazard-top")
    said = bench.text(".standing.panel > .hazards")
    stands = page.evaluate(
        """benchlore.hazards.standing(benchlore.desk.state.family)
            .map(id => benchlore.benchBook.hazards[id].title)"""
    )
    assert len(stands) > 3
    assert [title for title in stands if title not in said] == []
    # What can hurt somebody badly says what to do, the others stand by their names, all of it behind a press.
    worst = page.locator(".standing.panel .hazard-line").first
    assert worst.inner_text().startswith("DANGER")
    assert "Do not open an adapter." in worst.inner_text()
    expect(worst).to_be_in_viewport(ratio=1)
    does = page.evaluate(STANDING_DOES)
    assert {"danger", "warning", "notice"} <= {signal for signal, _, _ in does}
    assert [title for signal, title, shown in does if shown is not (signal in ("danger", "warning"))] == []
    page.locator("#standing-seen").focus()
    expect(page.locator("#standing-seen")).to_be_in_viewport(ratio=1)
    page.locator(".standing summary").click()
    expect(page.locator(".standing .hazard-whole")).to_have_count(len(stands))
    bench.press("v")
    expect(page.locator(".pinned > .hazard-top")).to_have_count(0)
    expect(page.locator("#next > .hazard-top")).to_be_visible()


def test_a_fix_says_the_worst_hazard_of_its_symptom_once(page: Page, file_url):
    hands = Hands(page)
    hands.open(file_url("bench.html") + BOARD + "runs-hot")
    hands.press("v")
    page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    first = page.locator("#next > .hazards .hazard").first
    assert "WARNING" in first.inner_text()
    sentence = "Unplug the pack before any unpowered measurement"
    assert sentence in first.inner_text()
    assert hands.text("#next").count(sentence) == 1
    assert "Lithium-ion pack" in hands.text(".step-now"), "the step has its name"


def test_a_lesser_hazard_of_the_complaint_is_unfolded_where_a_step_brings_it(page: Page, file_url):
    """The camera's card brings burns itself: in full, be it the first or after one that only named them."""
    hands = Hands(page)
    hands.open(file_url("bench.html") + "#v=1&family=teal-8&symptom=runs-hot")
    hands.press("1", "v")
    burn = page.locator("#next details#hazard-burn")
    hands.choose("system-ohms")
    assert [one.get_attribute("open") for one in burn.all()] == [None], "the pack is unfolded"
    hands.choose("system-heat")
    assert [one.get_attribute("open") for one in burn.all()] == [""]
    hands.choose("system-ohms")
    hands.type("6.8k")
    hands.press("Enter")
    assert "burn" not in page.evaluate(MET)
    hands.choose("system-heat")
    assert [one.get_attribute("open") for one in burn.all()] == [""]
    hands.type("30")
    hands.press("Enter")
    assert "burn" in page.evaluate(MET)


def test_what_is_mended_by_hand_is_not_changed_at_once(bench: Hands):
    """A suspect of one part as it is, then as one that is cleaned or reseated first, or reflowed."""
    for by_hand, reflowed in ((False, False), (True, False), (False, True)):
        bench.page.evaluate(ONE_PART, [by_hand, reflowed])
        said = bench.text("#next .step-work")
        assert ("Clean or reseat it, and look again" in said) is by_hand
        assert ("Reflow its joints" in said) is reflowed
        assert ("Change it, and measure again before power." in said) is not (by_hand or reflowed)
        assert ("Cleaning solvent" in said) is by_hand


def test_a_step_has_in_full_what_no_step_before_had(bench: Hands):
    """Unfolded at the third step, the first with heat; folded at the fifth."""
    bench.page.evaluate("benchlore.acts.choose('fix', 'siskin-12/charger-data-pin-shorted')")
    bench.press("d", "d")
    heat = bench.page.locator(".step-now details#hazard-burn")
    assert heat.get_attribute("open") is not None
    bench.press("d", "d")
    assert heat.get_attribute("open") is None
    assert "CAUTION" in bench.text(".step-now .hazard-caution")


@pytest.mark.parametrize("done", [0, 4])
def test_the_hazards_of_steps_that_were_left_out_are_still_to_come(bench: Hands, done: int):
    """The fifth step brings the solvent."""
    bench.page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    for _ in range(done):
        bench.press("d")
    bench.page.fill("#proof-1", "8.41")
    bench.page.click("#symptom-still")
    bench.page.click("#enter-proof")
    assert [entry["kind"] for entry in bench.job["entries"]] == ["fix"]
    assert ("solvent" in bench.page.evaluate(MET)) is (done == 4)


def comparison_typed(bench: Hands, field: str) -> None:
    row = bench.page.locator(f".entry-row:has(#{field})")
    assert row.locator(".unit").inner_text() == "V"
    assert row.locator(".unit-keys [aria-label='slash between two readings']").count() == 1
    described = (bench.page.get_attribute(f"#{field}", "aria-describedby") or "").split()
    assert "A / B" in bench.text(f"#{described[-1]}")


def test_a_comparison_is_typed_alike_in_a_proof_and_when_it_is_taken_again(bench: Hands):
    bench.choose(COMPARED)
    bench.type("8.30")
    bench.press("Enter")
    bench.page.evaluate(COMPARE, COMPARED)
    comparison_typed(bench, "again-reading")
    bench.page.evaluate("id => benchlore.acts.choose('fix', id)", FAULT)
    comparison_typed(bench, "proof-1")


def test_a_comparison_is_none_of_the_rails_to_begin_with(bench: Hands):
    """As the package has it: a comparison does not read to ground."""
    for compare in (None, {"with": "C56"}):
        measures, rails = bench.page.evaluate(RAILS, compare)
        assert "main-rail-ohms" in measures
        assert ("main-rail-ohms" in rails) is (compare is None)


def test_the_first_screen_of_a_desk_says_no_hazard_twice(bench: Hands):
    """What the panel above says, the card begins with once it is read."""
    page = bench.page
    said = page.locator("#bench .hazard:visible").evaluate_all(
        "all => all.map(one => one.innerText.replace(/\\s+/g, ' '))"
    )
    assert len(said) > 2
    assert not [one for n, one in enumerate(said) if any(one in other for other in said[:n])]
    bench.press("v")
    assert "Mains side of the adapter" in bench.text("#next > .hazard-top")


def test_a_card_says_once_what_to_do_about_a_hazard(bench: Hands):
    """Of every fix of the board and of every trial; met again, it is named."""
    bench.press("v")
    fixes = "Object.keys({...benchlore.desk.state.family.faults, ...benchlore.desk.state.family.suspects})"
    twice = {}
    for fix in bench.page.evaluate(fixes):
        bench.page.evaluate("id => benchlore.acts.choose('fix', id)", fix)
        said = bench.page.evaluate(
            """() => [...document.querySelectorAll('#bench .hazard')]
                .filter(one => one.getClientRects().length)
                .flatMap(one => one.innerText.split(/(?<=[.!])\\s/))
                .map(one => one.replace(/^.*: /s, '').trim()).filter(one => one.endsWith('.'))"""
        )
        again = {one for one in said if said.count(one) > 1}
        if again:
            twice[fix] = again
    assert twice == {}


def test_a_point_of_several_proofs_is_drawn_once(bench: Hands):
    """Each proof still says where it is probed, in words."""
    page = bench.page
    fault, at, proofs = page.evaluate("""() => {
        const { family } = benchlore.desk.state;
        for (const fault of Object.values(family.faults)) {
            const asked = benchlore.cases.proofMeasures(family, fault);
            for (const id of asked) {
                const { at } = family.measurements[id];
                const alike = asked.filter(one => family.measurements[one].at === at);
                if (alike.length > 1) return [fault.id, at, alike.length];
            }
        }
    }""")
    page.evaluate("id => benchlore.acts.choose('fix', id)", fault)
    said = page.locator(".proof-one .step-probe", has_text=at)
    assert said.count() == proofs
    for n in range(proofs):
        assert said.nth(n).locator(".where-words").inner_text().strip()
    drawings = page.locator("#next .step-probe", has_text=at).locator("svg.locator")
    assert drawings.count() == 1
