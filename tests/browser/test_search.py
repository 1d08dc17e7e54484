"""The search box against the built site, in both browsers, from disk and from a server."""

from __future__ import annotations

import json
import random
import shutil
import unicodedata
from pathlib import Path
from typing import Any, Protocol

import pytest
import yaml

from benchlore.site.search.documents import Document
from benchlore.site.search.index import build_index
from benchlore.site.search.tokens import words
from benchlore.site.serialise import to_script
from tests.browser.both import BROWSERS, Chromium, hands_of
from tests.browser.checks import Watch, axe_violations, sideways, wait_until

QUERIES = yaml.safe_load((Path(__file__).parents[1] / "queries.yaml").read_text(encoding="utf-8"))

# Types a text as a paste would, and waits until the list stands for it.
LIST_OF = """async text => {
    const input = document.getElementById('search-input');
    const list = document.getElementById('search-list');
    input.focus();
    input.value = text;
    input.dispatchEvent(new Event('input', {bubbles: true}));
    while (list.getAttribute('aria-busy') !== 'false') await new Promise(resolve => setTimeout(resolve, 1));
    return [...list.querySelectorAll('[role=option]')].map(option => ({
        path: option.getAttribute('href').replace(/^(\\.\\.\\/)+/, '').replace(/\\?[^#]*/, ''),
        text: option.innerText,
        kind: option.querySelector('.search-kind').innerText,
    }));
}"""
CHOSEN = "document.getElementById(document.activeElement.getAttribute('aria-activedescendant'))?.innerText"


class Driven(Protocol):
    """What the tests need of a page of either browser."""

    def goto(self, url: str) -> object: ...
    def evaluate(self, expression: str, arg: Any = None, /) -> Any: ...
    def wait(self, condition: str) -> object: ...
    def press(self, key: str) -> object: ...
    def type(self, text: str) -> object: ...


@pytest.fixture(params=BROWSERS)
def driven(request: pytest.FixtureRequest) -> Driven:
    """A watched page: the test runs once in each browser."""
    found: Driven = hands_of(request)
    return found


def listed(page: Driven, text: str) -> list[dict[str, str]]:
    found: list[dict[str, str]] = page.evaluate(LIST_OF, text)
    return found


def choose_board(page: Driven, family: str) -> None:
    page.evaluate(
        """family => {
            const board = document.getElementById('family-filter');
            board.value = family;
            board.dispatchEvent(new Event('change', {bubbles: true}));
        }""",
        family,
    )


def test_what_people_type_finds_its_page(driven, file_url):
    """Every third of them in Firefox, which runs the same arithmetic."""
    driven.goto(file_url("index.html"))
    wrong = []
    queries = QUERIES if isinstance(driven, Chromium) else QUERIES[::3]
    for board in sorted({query.get("board", "") for query in queries}):
        choose_board(driven, board)
        for query in (query for query in queries if query.get("board", "") == board):
            paths = [option["path"] for option in listed(driven, query["typed"])]
            if query.get("first", query.get("among")) not in paths[:3]:
                wrong.append(f"{query['typed']}: {paths[:3]}")
    assert not wrong, "\n".join(wrong)


def test_from_the_customers_words_to_the_place_to_probe_by_keyboard(driven, site_url):
    driven.goto(site_url("siskin-12/nets/MAIN.html"))
    driven.press("/")
    driven.type("won't see the new battery")
    driven.press("Enter")  # the index may still be loading
    driven.wait("location.pathname.endsWith('/symptoms/pack-not-seen.html')")


def test_arrows_choose_and_go_round(driven, file_url):
    driven.goto(file_url())
    driven.press("/")
    driven.type("fuse")
    driven.wait("document.querySelectorAll('#search-list [role=option]').length > 2")
    options = driven.evaluate(
        "[...document.querySelectorAll('#search-list [role=option]')].map(o => o.innerText)"
    )
    seen = [driven.evaluate(CHOSEN)]
    for key in ("ArrowDown", "ArrowDown", "ArrowUp", "ArrowUp", "ArrowUp"):
        driven.press(key)
        seen.append(driven.evaluate(CHOSEN))
    assert seen == [options[0], options[1], options[2], options[1], options[0], options[-1]]
    selected = "[...document.querySelectorAll('#search-list [aria-selected=true]')].map(o => o.innerText)"
    assert driven.evaluate(selected) == [options[-1]]


def test_escape_closes_then_clears_then_gives_the_focus_back(driven, file_url):
    driven.goto(file_url())
    driven.evaluate("document.querySelector('.brand').focus()")
    driven.press("/")
    driven.type("fuse")
    driven.wait("document.getElementById('search-input').getAttribute('aria-expanded') === 'true'")
    state = """(() => {
        const input = document.getElementById('search-input');
        const open = !document.querySelector('.search-panel').hidden;
        return [input.value, input.getAttribute('aria-expanded'), open, document.activeElement === input];
    })()"""
    driven.press("Escape")
    assert driven.evaluate(state) == ["fuse", "false", False, True]
    driven.press("ArrowDown")
    driven.wait("document.getElementById('search-input').getAttribute('aria-expanded') === 'true'")
    driven.press("Escape")
    driven.press("Escape")
    assert driven.evaluate(state) == ["", "false", False, True]
    driven.press("Escape")
    assert driven.evaluate("document.activeElement.className") == "brand"


def test_the_slash_stays_with_a_field_that_is_typed_into(page, file_url):
    page.goto(file_url())
    page.evaluate("document.body.append(Object.assign(document.createElement('textarea'), {id: 'notes'}))")
    page.focus("#notes")
    page.keyboard.type("and/or")
    assert page.input_value("#notes") == "and/or"


def test_the_board_filter_holds_and_can_be_lifted(driven, file_url):
    driven.goto(file_url())
    choose_board(driven, "teal-8")
    assert [option["path"] for option in listed(driven, "siskin-12/controller-firmware-lost")][:1] != [
        "siskin-12/controller-firmware-lost.html"
    ]
    driven.wait("benchlore.store.get('family').then(kept => kept === 'teal-8')")
    driven.goto(file_url("techniques/junction-test.html"))
    driven.wait("document.getElementById('family-filter').value === 'teal-8'")
    paths = [option["path"] for option in listed(driven, "charger data pin shorted")]
    assert "teal-8/charger-data-pin-shorted.html" in paths
    assert "siskin-12/charger-data-pin-shorted.html" not in paths
    driven.evaluate("document.querySelector('.search-everywhere').click()")
    lifted = (
        "document.querySelector('#search-list [href$=\"siskin-12/charger-data-pin-shorted.html\"]') !== null"
    )
    driven.wait(lifted)
    assert driven.evaluate("document.getElementById('family-filter').value") == ""


def test_a_reading_leads_to_its_measurement_and_to_the_faults_that_it_fits(driven, file_url):
    driven.goto(file_url("faults.html"))
    found = listed(driven, "pack data 0.007 V")
    assert [option["kind"] for option in found[:3]] == ["Reading", "Fault", "Fault"]
    assert "0.007\u00a0V on PACK_DATA, adapter in, pack out, switched on: absent" in found[0]["text"]
    assert found[0]["path"] == "siskin-12/nets/PACK_DATA.html#measure-pack-data-volts"
    assert "siskin-12/pen-bay-holds-pack-data-low.html" in [option["path"] for option in found[1:4]]
    driven.press("Enter")
    driven.wait("location.pathname.endsWith('/siskin-12/nets/PACK_DATA.html')")
    driven.wait("document.querySelector(location.hash) !== null")


def test_a_reading_between_outcomes_says_so(page, file_url):
    page.goto(file_url())
    texts = [option["text"] for option in listed(page, "MAIN 8.30 V")]
    assert any("adapter in, pack out, switched on: between commanded and default" in text for text in texts)


def test_a_link_into_the_same_page_closes_the_list(page, file_url):
    page.goto(file_url("siskin-12/nets/PACK_DATA.html"))
    page.keyboard.press("/")
    page.keyboard.type("J15_2")
    wait_until(page, "document.querySelector('#search-list [role=option]')")
    page.keyboard.press("Enter")
    wait_until(page, "location.hash === '#point-J15_2'")
    assert page.locator(".search-panel").is_hidden()


def test_what_is_not_in_the_book_is_said_with_what_to_do(page, file_url):
    page.goto(file_url())
    choose_board(Chromium(page), "siskin-12")
    found = listed(page, "camera dead")
    assert [option["kind"] for option in found[:2]] == ["Not in the book", "Not in the book"]
    assert page.locator(".search-status").inner_text().startswith("“camera dead” is not in the book")
    assert found[1]["path"] == "contribute/index.html"
    page.keyboard.press("Enter")
    wait_until(page, "location.pathname.endsWith('/bench.html') && window.benchlore.bench")
    page.evaluate("benchlore.bench.ready.then(() => true)")
    job = page.evaluate("benchlore.bench.present()")
    assert (job["family"], job["words"]) == ("siskin-12", "camera dead")


def test_words_of_danger_open_the_hazard(page, file_url):
    page.goto(file_url())
    found = listed(page, "swollen battery")
    assert found[0]["kind"] == "Danger first"
    page.keyboard.press("Enter")
    wait_until(page, "location.pathname.endsWith('/hazards/lithium-pack.html')")


def test_the_page_of_a_reading_that_was_found_starts_a_job_with_it(driven, file_url):
    driven.goto(file_url("index.html"))
    choose_board(driven, "siskin-12")
    found = listed(driven, "MAIN 7.92 V")
    assert "Bench" in [option["kind"] for option in found[:5]]
    driven.press("Enter")
    driven.wait("document.querySelector('.measurement .start') !== null")
    assert (
        driven.evaluate("document.querySelector('.measurement .start').textContent")
        == "Start a job with 7.92\u00a0V"
    )
    driven.evaluate("document.querySelector('.measurement .start').click()")
    driven.wait("location.pathname.endsWith('/bench.html') && window.benchlore.bench !== undefined")
    driven.evaluate("benchlore.bench.ready.then(() => true)")
    job = driven.evaluate("benchlore.bench.present()")
    assert job["family"] == "siskin-12"
    assert [(e["measure"], e["text"]) for e in job["entries"]] == [("main-rail-adapter", "7.92 V")]


def test_the_open_list_is_accessible(page, file_url):
    page.goto(file_url())
    assert listed(page, "main 7.92")
    assert axe_violations(page, "header") == []
    page.emulate_media(color_scheme="dark")
    assert axe_violations(page, "header", contrast_only=True) == [], "dark"


def test_the_open_list_fits_a_phone(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 640})
    page.goto(file_url())
    assert listed(page, "main 7.92")
    assert sideways(page) == []
    heights = page.evaluate(
        "[...document.querySelectorAll('.search-option')].map(o => o.getBoundingClientRect().height)"
    )
    assert min(heights) >= 44
    wide = page.evaluate("document.querySelector('.search-panel').getBoundingClientRect().width")
    assert wide > 0.9 * 360, "not as narrow as the field beside the choice of a board"


def part_of(site: Path, folder: Path) -> Path:
    """A copy of the home page with what it loads, for tests that spoil it."""
    shutil.copytree(site / "assets", folder / "assets")
    (folder / "data").mkdir()
    shutil.copy(site / "data/vocabulary.js", folder / "data")
    for name in ("index.html", "hub.html"):
        shutil.copy(site / name, folder / name)
    return folder


def test_a_missing_index_is_said(page, site, tmp_path, watch: Watch):
    folder = part_of(site, tmp_path / "site")
    (folder / "assets/search-index.js").unlink()
    page.goto((folder / "index.html").as_uri())
    assert listed(page, "fuse") == []
    assert "assets/search-index.js did not load" in page.locator(".search-status").inner_text()
    assert all("ERR_FILE_NOT_FOUND" in error for error in watch.errors)
    watch.errors.clear()


def test_an_index_of_another_format_is_refused(page, site, tmp_path):
    folder = part_of(site, tmp_path / "site")
    index = {**build_index([Document("net", "", "MAIN", "MAIN", "", ((1.0, "main"),))], {}), "format": 99}
    (folder / "assets/search-index.js").write_text(to_script("searchIndex", index), encoding="utf-8")
    page.goto((folder / "index.html").as_uri())
    assert listed(page, "main") == []
    assert "format 99" in page.locator(".search-status").inner_text()


def test_markup_in_a_record_stays_text(page, site, tmp_path):
    folder = part_of(site, tmp_path / "site")
    hostile = (
        '<img src=x onerror="document.body.dataset.hurt=1"><script>document.body.dataset.hurt=1</script>'
    )
    document = Document("fault", "x", "y", hostile, hostile, ((1.0, "charger"),))
    index = to_script("searchIndex", build_index([document], {"x": f"Family {hostile}"}))
    (folder / "assets/search-index.js").write_text(index, encoding="utf-8")
    page.goto((folder / "index.html").as_uri())
    [option] = listed(page, "charger")
    assert option["text"].count(hostile) == 3
    assert page.evaluate("document.body.dataset.hurt") is None


# The engine by itself.


def with_engine(page: Driven, url: str) -> Driven:
    page.goto(url)
    page.evaluate("benchlore.search.ready().then(() => null)")
    return page


def over_json(page: Driven, function: str, arg: Any) -> Any:
    """As `evaluate`, quick for large arguments."""
    return json.loads(
        page.evaluate(f"text => JSON.stringify(({function})(JSON.parse(text)))", json.dumps(arg))
    )


def texts_to_split() -> list[str]:
    """Ordinary texts, every letter, mark and number of the scripts in common use, and random mixtures."""
    texts = [
        "won't see the new battery",
        "PACK_DATA pack_ _pack SB3V3 LOGIC_1V8 QFN-28 usb-c 8,40 V 8.40V 2.2 kΩ 10µF -0.5 1.2.3 a1.5",
        "Straße İstanbul ΣΊΣΥΦΟΣ ﬁne ½ ² № 3½ digits 60 °C e‑mark a—b a–b it’s `code` soft\u00adhyphen",
        "",
    ]
    assigned = [chr(c) for c in range(0x20, 0x3000) if unicodedata.category(chr(c)) not in {"Cn", "Co", "Cs"}]
    texts += [f"a{letter}b 1{letter}2" for letter in assigned]
    source = random.Random(20)
    alphabet = "abzAZ019__--..,,  '’µΩé3v"
    return texts + ["".join(source.choices(alphabet, k=source.randint(1, 14))) for _ in range(2000)]


def test_words_are_split_as_in_the_index(driven, file_url):
    engine = with_engine(driven, file_url())
    texts = texts_to_split()
    split = over_json(engine, "texts => texts.map(text => benchlore.searchEngine.words(text))", texts)
    expected = [[list(pieces) for pieces in words(text)] for text in texts]
    wrong = [(t, s, e) for t, s, e in zip(texts, split, expected, strict=True) if s != e]
    assert not wrong, f"{len(wrong)} of {len(texts)}: {wrong[:10]}"


def distance(one: str, other: str) -> int:
    """Edit distance with swaps of neighbours (Damerau, CACM 7(3), 1964), each letter edited once."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        before, last, row = row, before, [i]
        for j, b in enumerate(other, 1):
            row.append(min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (a != b)))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                row[j] = min(row[j], last[j - 2] + 1)
    return row[-1]


def test_one_typo_is_forgiven_and_two_are_not(page, file_url):
    engine = with_engine(page, file_url())
    source = random.Random(1964)
    pairs = [["".join(source.choices("abc", k=source.randint(1, 6))) for _ in "12"] for _ in range(4000)]
    near = over_json(
        engine,
        "pairs => pairs.map(pair => [false, true].map(part => benchlore.searchEngine.isNear(...pair, part)))",
        pairs,
    )
    for (typed, word), (whole, beginning) in zip(pairs, near, strict=True):
        if typed != word:
            assert whole == (distance(typed, word) == 1), (typed, word)
        if not word.startswith(typed):
            starts = [word[:end] for end in range(len(word) + 1)]
            assert beginning == any(distance(typed, start) == 1 for start in starts), (typed, word)


READINGS = [
    ("MAIN 7.92", 7.92, "", "MAIN"),
    ("7,92 V", 7.92, "V", ""),
    ("main 7.92V", 7.92, "V", "main"),
    ("819 mV on MAIN", 0.819, "V", "on MAIN"),
    ("MAIN 22 100", 22100.0, "", "MAIN"),
    ("MAIN 1.2 Meg", 1.2e6, "ohm", "MAIN"),
    ("pack data 0.007 V", 0.007, "V", "pack data"),
    ("C55 2k2", 2200.0, "ohm", "C55"),
    ("C55 4.7 kΩ", 4700.0, "ohm", "C55"),
    ("470R", 470.0, "ohm", ""),
    ("1.5 Mohm", 1.5e6, "ohm", ""),
    ("12 µA", 12e-6, "A", ""),
    ("32.768 khz", 32768.0, "Hz", ""),
    ("hot 61 °C", 61.0, "degC", "hot"),
    ("−0.5 V", -0.5, "V", ""),
    (".5 V", 0.5, "V", ""),
    ("pack data OL", "over", "", "pack data"),
    ("O.L.", "over", "", ""),
    ("0L", "over", "", ""),
    ("open", "over", "", ""),
    ("5 constructor", 5.0, "", "constructor"),
]


def test_readings_are_parsed_as_they_are_typed(page, file_url):
    engine = with_engine(page, file_url())
    parsed = engine.evaluate(
        """texts => texts.map(text => {
            const {low, unit, where} = benchlore.searchReading.parse(text);
            return [text, low === Infinity ? 'over' : low, unit, where];
        })""",
        [text for text, *_ in READINGS],
    )
    assert [tuple(reading) for reading in parsed] == READINGS


def test_what_is_no_reading(page, file_url):
    engine = with_engine(page, file_url())
    texts = ["", "main", "U30", "LOGIC_3V3", "3V3", "usb-c", "7.92.1", "1-2", "J15_2"]
    texts += ["5constructor", "5constructorV", "MAIN 5toStringA"]  # what every JavaScript object has
    assert engine.evaluate("texts => texts.filter(text => benchlore.searchReading.parse(text))", texts) == []
