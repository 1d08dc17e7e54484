"""The bench calculators in the browser: the same answers as in Python, refusals beside their field."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser.checks import axe_violations, print_pdf, sideways
from tests.circuit.vectors import vectors

PAGE = "calculators.html"
# Over JSON: a driver takes large structures apart value by value.
REPLAY = """text => {
    const cases = JSON.parse(text);
    const plain = value => typeof value === 'number' && !Number.isFinite(value) ? null
        : value && typeof value === 'object'
        ? Object.fromEntries(Object.entries(value).map(([key, item]) => [key, plain(item)])) : value;
    const answers = cases.map(({kind, given}) => {
        try {
            const found = benchlore.calculators.work(kind, given);
            return {result: plain(found), said: benchlore.calculators.kinds[kind].said(found)};
        } catch (error) {
            if (!(error instanceof benchlore.calculators.Refusal)) throw error;
            return {refused: {field: error.field, reason: error.reason}};
        }
    });
    return JSON.stringify(answers);
}"""


def alike(one: str, other: str) -> bool:
    """The same words, and numbers within a last digit: the page rounds a half up, the console to even."""
    words = [re.split(r"\d+\.?\d*", text) for text in (one, other)]
    mine, theirs = ([float(n) for n in re.findall(r"\d+\.?\d*", text)] for text in (one, other))
    return words[0] == words[1] and mine == pytest.approx(theirs, rel=0.09)


def differences(theirs, ours, path="") -> list[str]:
    """Where two answers differ by more than rounding."""
    if isinstance(ours, dict) and isinstance(theirs, dict):
        keys = sorted(set(ours) | set(theirs))
        return [d for key in keys for d in differences(theirs.get(key), ours.get(key), f"{path}.{key}")]
    if isinstance(ours, int | float) and isinstance(theirs, int | float):
        same = ours == pytest.approx(theirs, rel=1e-9, abs=1e-15)
    elif isinstance(ours, list) and isinstance(theirs, list) and len(ours) == len(theirs):
        return [
            d
            for n, pair in enumerate(zip(theirs, ours, strict=True))
            for d in differences(*pair, f"{path}.{n}")
        ]
    elif isinstance(ours, str) and isinstance(theirs, str):
        same = alike(ours, theirs)
    else:
        same = ours == theirs
    return [] if same else [f"{path}: {theirs!r} instead of {ours!r}"]


def replay(evaluate) -> None:
    cases = vectors()
    asked = json.dumps([{"kind": case["kind"], "given": case["given"]} for case in cases])
    # A page writes the signs of the units, a console their letters.
    answers = json.loads(evaluate(REPLAY, asked).replace("\u03a9", "ohm").replace("\u00b5", "u"))
    assert len(answers) == len(cases) > 2000
    wrong = [
        f"{case['kind']} {case['given']}{difference}"
        for case, answer in zip(cases, answers, strict=True)
        for difference in differences(
            answer, {key: value for key, value in case.items() if key not in ("kind", "given")}
        )
    ]
    assert not wrong, "\n".join(wrong[:20])


def test_chromium_answers_the_vectors_as_python_does(page, file_url):
    page.goto(file_url(PAGE))
    replay(page.evaluate)


def test_firefox_answers_the_vectors_as_python_does(firefox_page, file_url):
    firefox_page.goto(file_url(PAGE))
    replay(firefox_page.evaluate)


def test_a_line_of_the_book_and_a_reading_give_the_leak(page, file_url):
    page.goto(file_url(PAGE))
    page.get_by_label("Take the values of").first.select_option(label="PACK_DATA")
    page.get_by_label("What the line reads").fill("7 mV")
    answer = page.locator("#leak ~ form output")
    assert answer.is_visible()
    said = answer.inner_text().replace("\u00a0", " ")
    assert "Leak to ground 5.06 Ω" in said
    assert "too little to be seen as heat" in said


def test_an_injection_begins_where_its_caution_says(page, file_url):
    """One start: the caution's, never the ceiling. A supply set to the ceiling feeds every chip when the
    short opens (common practice, no source)."""
    page.goto(file_url(PAGE))
    form = page.locator("form[data-kind=inject]")
    form.get_by_label("Take the values of").select_option(label="MAIN")
    form.get_by_label("Rail to ground").fill("0.4 ohm")
    said = form.locator("output").inner_text().replace("\u00a0", " ")
    assert "Begin at 0.5 V and raise it slowly" in page.locator("#inject ~ .cautions").inner_text().replace(
        "\u00a0", " "
    )
    assert form.locator(".answer-first").inner_text().replace("\u00a0", " ") == (
        "Begin at 0.5 V, current limit 1.0 A"
    )
    assert "Never above 8.40 V, the rail's normal voltage" in said
    assert "The rail then reads 400 mV, held by the limit" in said
    form.get_by_label("Rail to ground").fill("2 ohm")
    assert "Begin at 0.5 V, current limit 500 mA" in form.locator("output").inner_text().replace(
        "\u00a0", " "
    )


def test_refused_beside_the_field_and_what_was_typed_stays(page, file_url):
    page.goto(file_url(PAGE))
    field = page.get_by_label("Voltage across it")
    field.fill("24 mA")
    page.get_by_label("Its cold resistance").fill("20 mohm")
    page.locator("form[data-kind=fuse] button").click()
    assert page.locator("#fuse-drop-reason").inner_text() == (
        "this is a current, in A; volts belong here; write a voltage, such as 3.05 V"
    )
    assert field.get_attribute("aria-invalid") == "true"
    assert field.input_value() == "24 mA"
    assert page.locator("form[data-kind=fuse] output").is_hidden()
    assert page.evaluate("document.activeElement.id") == "fuse-drop"
    field.fill("24 mV")
    assert page.locator("#fuse-drop-reason").inner_text() == ""
    assert "1.20" in page.locator("form[data-kind=fuse] output").inner_text()


def test_a_net_page_leads_here_with_its_values(page, site_url):
    page.goto(site_url("siskin-12/nets/PACK_DATA.html"))
    page.get_by_role("link", name="The line reads low: work out the leak").click()
    expect(page.get_by_label("Pull-up")).to_have_value("2.2 kohm 5%")
    assert page.get_by_label("Rail that it is pulled up to").input_value() == "3.05 V 2.3%"
    assert page.evaluate("document.activeElement.id") == "leak-reading"


def test_an_address_made_by_hand_is_taken_as_it_is(page, file_url):
    page.goto(file_url(f"{PAGE}#leak?supply=3.42 V 2%&pull_up=2.2 kohm 5%&reading=7 mV&odd=1"))
    assert page.get_by_label("Rail that it is pulled up to").input_value() == "3.42 V 2%"
    assert "4.51" in page.locator("form[data-kind=leak] output").inner_text()


def test_cautions_and_hazards_stand_above_the_fields(page, file_url):
    page.goto(file_url(PAGE))
    order = page.evaluate(
        """() => [...document.querySelectorAll('.calculator')].map(calculator => {
            const places = ['.hazards', '.cautions', 'input'].map(
                name => calculator.querySelector(name).getBoundingClientRect().top);
            return places[0] < places[1] && places[1] < places[2];
        })"""
    )
    assert len(order) >= 4
    assert all(order)
    assert page.locator(".card-head").inner_text().count("Local codes and licensed practice come before") == 1


def test_accessible_and_never_sideways(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 800})
    page.goto(file_url(f"{PAGE}#fuse?drop=24 mA&resistance=20 mohm"))
    assert page.locator("#fuse-drop-reason").inner_text() != ""
    assert sideways(page) == []
    assert axe_violations(page) == []
    page.emulate_media(color_scheme="dark")
    assert axe_violations(page, contrast_only=True) == [], "dark"


def test_circuit_section_and_power_tree(new_page, file_url, tmp_path):
    page = new_page(viewport={"width": 360, "height": 800})
    page.goto(file_url("siskin-12/nets/PACK_DATA.html"))
    assert sideways(page) == []
    assert axe_violations(page) == []
    page.goto(file_url("siskin-12/index.html"))
    tree = page.locator("figure.tree-figure svg")
    assert tree.get_attribute("role") == "img"
    assert "STANDBY 3.05\u00a0V, below MAIN" in (tree.locator("desc").text_content() or "")
    # Labels are at least 12 px as shown, also on a phone.
    assert (
        page.evaluate(
            """() => {
            const tree = document.querySelector('figure.tree-figure svg');
            return tree.getBoundingClientRect().width / tree.viewBox.baseVal.width * 14;
        }"""
        )
        >= 12
    )
    assert "Power tree" in "".join(
        sheet.extract_text() for sheet in print_pdf(page, tmp_path / "p.pdf").pages
    )
