"""A walk over a known-good board in both browsers, from disk: one reading and Enter after the other."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest

from benchlore.cli import main
from benchlore.walk.file import read_walk, shown
from benchlore.walk.healthy import judge, range_of
from benchlore.walk.order import stops, walked
from tests.books import EXAMPLE
from tests.browser.both import BROWSERS, Chromium, hands_of
from tests.browser.checks import axe_violations, sideways_at, wait_until
from tests.walk.good_boards import saved, walk_of

FAMILY = "siskin-12"
ENTER = """text => {
    const field = document.getElementById("reading");
    if (!field) {
        const names = [...document.querySelectorAll(".answer b")].map(one => one.textContent);
        document.getElementById(`answer-${names.indexOf(text.replace(/-/g, " ")) + 1}`).click();
        return;
    }
    field.value = text;
    field.dispatchEvent(new Event("input", {bubbles: true}));
    document.getElementById("enter-reading").click();
}"""
TITLE = "document.getElementById('next-title')?.textContent"


@pytest.fixture(params=BROWSERS)
def hands(request: pytest.FixtureRequest) -> Any:
    return hands_of(request)


def begin(hands: Any, label: str) -> None:
    hands.wait("document.getElementById('begin') !== null")
    hands.evaluate(
        """label => { const field = document.getElementById("label"); field.value = label;
        field.dispatchEvent(new Event("input", {bubbles: true})); }""",
        label,
    )
    hands.click("#begin")
    hands.wait(f"({TITLE} || '') !== ''")


def test_a_whole_board_is_walked_kept_saved_and_compared(hands, file_url, book, tmp_path, capsys):
    """Every point in the order of Python; a reload in the middle loses nothing; Python reads the file."""
    family = book.families[FAMILY]
    texts = {
        one["measure"]: one["text"] for one in walk_of(book, family, random.Random(3).random, 3)["readings"]
    }
    texts["main-rail-adapter"] = "7.95"  # one that is off, but bars nothing
    order = [name for stop in stops(book, family) for name in stop.measures]
    hands.goto(file_url(f"{FAMILY}/walk.html"))
    begin(hands, "A-17")
    for n, name in enumerate(order):
        if n == len(order) // 2:
            hands.evaluate("() => benchlore.walks.page.settled().then(() => true)")
            hands.reload()
            hands.wait("document.querySelector('.walk-boards button') !== null")
            hands.evaluate("document.querySelector('.walk-boards button').click()")
        at = family.measurements[name].at
        hands.wait(f"({TITLE} || '').includes({json.dumps(at)})")
        assert f"{n + 1} of {len(order)}," in hands.evaluate("document.querySelector('.kicker').textContent")
        hands.evaluate(ENTER, texts[name])
    hands.wait("document.getElementById('read-title') !== null")
    walk = tmp_path / "walk.json"
    walk.write_text(hands.saved(), encoding="utf-8")
    found = read_walk(walk)
    assert {name: one.text for name, one in found.taken.items()} == texts
    table = hands.evaluate("document.querySelector('.walk-read table').innerText")
    first = hands.evaluate("document.querySelector('.walk-read tbody tr').textContent")
    assert "DC volts on MAIN at C55" in first
    assert "0.40 V below what the book says" in " ".join(first.split()) or "400" in first
    assert table.count("as the book says") >= 20
    assert main(["walk", FAMILY, str(walk), "--root", str(EXAMPLE)]) == 0
    assert "DIFFERS main-rail-adapter" in capsys.readouterr().out


def test_the_page_compares_as_python_does(page, file_url, book, tmp_path):
    """Verdicts, how far off, and ranges of three boards, some readings far off."""
    family = book.families[FAMILY]
    measured = {one.id: one for one in walked(family)}
    chance = random.Random(5)
    boards = [walk_of(book, family, lambda: chance.uniform(-0.6, 1.6), seed) for seed in (1, 2, 3)]
    walks = [read_walk(saved(tmp_path, board)) for board in boards]
    found = shown(book, walks, measured)
    page.goto(file_url(f"{FAMILY}/walk.html"))
    wait_until(page, "document.getElementById('begin')")
    asked = {name: [one.reading.typed for one in found[name]] for name in found}
    answers = page.evaluate(
        """asked => Object.fromEntries(Object.entries(asked).map(([name, texts]) => {
            const {compare} = benchlore.walks;
            const measurement = benchlore.benchFamilies[benchlore.walkStops.family].measurements[name];
            const meter = benchlore.benchBook.meters[benchlore.benchBook.shop.default_meter];
            const all = texts.map(text => compare.show(measurement, meter, text));
            const plain = value => Number.isFinite(value) ? value : String(value);
            const range = compare.rangeOf(measurement, all);
            return [name, {
                judged: all.map(one => compare.judge(measurement, one)).map(j => [j.verdict, plain(j.off)]),
                range: range && ["low", "high", "spread", "limit"].map(
                    key => range[key] === null ? null : plain(range[key])),
            }];
        }))""",
        asked,
    )

    def plain(value):
        return (
            value
            if value is None or abs(value) != float("inf")
            else ("Infinity" if value > 0 else "-Infinity")
        )

    verdicts = set()
    for name, boards_read in found.items():
        said = answers[name]
        for (verdict, off), one in zip(said["judged"], boards_read, strict=True):
            mine = judge(measured[name], one)
            verdicts.add(mine[0])
            assert verdict == mine[0], name
            assert off == (pytest.approx(mine[1]) if abs(mine[1]) != float("inf") else plain(mine[1])), name
        walk = range_of(measured[name], boards_read)
        if walk is None:
            assert said["range"] is None
        else:
            ends = (walk.low, walk.high, walk.spread, walk.limit)
            for theirs, own in zip(said["range"], ends, strict=True):
                known = plain(own)
                assert theirs == (pytest.approx(known) if isinstance(known, float) else known), name
    assert verdicts == {"agrees", "edge", "differs"}


def test_the_second_board_gives_the_spread(page, file_url, book, tmp_path):
    family = book.families[FAMILY]
    for seed, text in ((1, "8.37 V"), (2, "8.43 V")):
        walk = walk_of(book, family, lambda: 0.5, seed, f"A-{seed}")
        walk["readings"].append({"measure": "main-rail-adapter", "meter": walk["meter"], "text": text})
        page.goto("about:blank")
        page.goto(file_url(f"{FAMILY}/walk.html"))
        wait_until(page, "document.getElementById('load')")
        page.set_input_files("#load", saved(tmp_path, walk))
        page.locator("#read-title").wait_for()
        page.evaluate("benchlore.walks.page.settled().then(() => true)")
    row = page.locator(".walk-read tbody tr", has_text="DC volts on MAIN at C55 (Adapter only)")
    assert row.locator("td").nth(3).inner_text().replace("\u00a0", " ") == "60 mV"
    assert page.locator(".walk-read thead th").all_inner_texts()[1:3] == ["A-2", "A-1"]


def test_nothing_is_powered_while_a_reading_bars_it(page, file_url, book):
    family = book.families[FAMILY]
    texts = {one["measure"]: one["text"] for one in walk_of(book, family, lambda: 0.5, 1)["readings"]}
    texts["main-rail-ohms"] = "0.4"
    page.goto(file_url(f"{FAMILY}/walk.html"))
    begin(Chromium(page), "A-1")
    for stop in stops(book, family):
        live = bool(family.states[stop.setup.state].sources)
        for name in stop.measures:
            if live:
                assert page.locator("#reading, .answer").count() == 0
                assert "Stop: unplug every source." in page.locator("article.next").inner_text()
                page.get_by_role("button", name="Mistyped: take back").click()
                page.fill("#reading", "21.9k")
                page.press("#reading", "Enter")
                assert page.locator("#reading, .answer").count() > 0
                return
            page.evaluate(ENTER, texts[name])


def test_only_a_reading_of_this_page_sets_the_bench_up(page, file_url, book, tmp_path):
    """Not what was left out, taken back, barred by what it read, or read before the walk was opened."""
    done = "already set up"
    page.goto(file_url(f"{FAMILY}/walk.html"))
    begin(Chromium(page), "A-1")
    page.click("#leave-out")
    assert done not in set_up(page)
    page.evaluate(ENTER, healthy(page))
    assert done in set_up(page)
    page.click("#leave-out")
    assert done in set_up(page), "what was left out changes nothing"
    page.click("#back")
    assert done not in set_up(page)
    page.evaluate(ENTER, healthy(page))
    assert done in set_up(page)
    page.click("#leave")
    page.locator(".walk-boards button").first.click()
    assert done not in set_up(page)

    walk = walk_of(book, book.families[FAMILY], lambda: 0.5, 1)
    file = saved(tmp_path, {**walk, "readings": walk["readings"][:2]})
    page.click("#leave")
    page.set_input_files("#load", file)
    page.locator("#read-title").wait_for()
    page.click("#go")
    assert done not in set_up(page)


def test_a_reading_that_bars_its_own_power_leaves_nothing_plugged_in(page, file_url, book):
    page.goto(file_url(f"{FAMILY}/walk.html"))
    begin(Chromium(page), "A-1")
    found = page.evaluate(
        """() => {
            const { route, file } = benchlore.walks;
            const at = (measure, text) => {
                const walk = file.whole({family: "siskin-12", meter: benchlore.benchBook.shop.default_meter,
                    readings: [{measure, meter: benchlore.benchBook.shop.default_meter, text}]});
                return route.stands(walk, 0).state;
            };
            return [["main-rail-adapter", "8.40"], ["main-rail-adapter", "11.9"], ["main-rail-ohms", "0.4"]]
                .map(one => at(...one));
        }"""
    )
    assert found == ["adapter-only", None, "nothing-connected"]


def set_up(page) -> str:
    return str(page.locator(".walk-work .card-steps").inner_text())


def healthy(page) -> str:
    """A healthy answer or reading to what is asked."""
    return str(
        page.evaluate(
            """() => {
                const title = document.getElementById("next-title").textContent;
                const { route, stepView } = benchlore.walks;
                const family = benchlore.benchFamilies[benchlore.walkStops.family];
                const step = Object.values(family.measurements)
                    .find(({id}) => stepView.titleOf({family}, id) === title);
                const normal = Object.values(step.outcomes).find(one => one.normal);
                if (step.links.unit === null) return normal.id;
                const { low, high } = normal.range;
                return String(low === null ? high / 2 : high === null ? low * 1.2 : (low + high) / 2);
            }"""
        )
    )


def test_hazards_and_set_up_stand_above_what_is_asked(page, file_url):
    page.goto(file_url(f"{FAMILY}/walk.html"))
    begin(Chromium(page), "A-1")
    text = page.locator("#walk").inner_text()
    asked = text.index("Answer")
    for words in (
        "DANGER",
        "Lithium-ion pack",
        "Unplug the pack.",
        "Check that the main or system rail reads under",
    ):
        assert text.index(words) < asked, words
    assert page.evaluate("document.activeElement.id") in ("next-title", "standing-seen")


def test_a_reading_that_cannot_be_is_refused_and_asked_again(page, file_url, book):
    family = book.families[FAMILY]
    texts = {one["measure"]: one["text"] for one in walk_of(book, family, lambda: 0.5, 1)["readings"]}
    page.goto(file_url(f"{FAMILY}/walk.html"))
    begin(Chromium(page), "A-1")
    for name in stops(book, family)[0].measures:
        if family.measurements[name].mode == "ohms":
            break
        page.evaluate(ENTER, texts[name])
    page.fill("#reading", "banana")
    page.press("#reading", "Enter")
    assert (
        "cannot be read" in page.locator("#reading-refusal").inner_text() or page.locator(".refusal").count()
    )
    assert page.evaluate("document.activeElement.id") == "reading"
    page.fill("#reading", "21.9k")
    page.press("#reading", "Enter")
    assert page.locator("#last").inner_text().startswith("Last: Ohms on")


def test_damaged_files_are_refused_in_words(page, file_url, book, tmp_path):
    page.goto(file_url(f"{FAMILY}/walk.html"))
    wait_until(page, "document.getElementById('load')")
    for text, says in (
        ("", "The file is empty."),
        ('{"format": "benchlore-walk"', "not JSON, or it is cut short"),
        ('{"format": "benchlore-job"}', "This is not a walk saved by this site"),
        (
            json.dumps(walk_of(book, book.families["teal-8"], lambda: 0.5, 1)),
            "It is a walk of 'teal-8'",
        ),
        (json.dumps({"format": "benchlore-walk", "version": 1, "id": 7}), "'family' is missing"),
    ):
        file = tmp_path / "x.json"
        file.write_text(text, encoding="utf-8")
        page.set_input_files("#load", file)
        page.locator(".message", has_text=says).wait_for()
        page.get_by_role("button", name="Close this message").click()


def test_a_board_without_records_is_walked_and_becomes_a_walk_file(hands, file_url, tmp_path):
    hands.goto(file_url("walk.html"))
    hands.wait("document.getElementById('begin') !== null")
    fill = """([id, text]) => { const field = document.getElementById(id); field.value = text;
        field.dispatchEvent(new Event(field.tagName === 'SELECT' ? 'change' : 'input', {bubbles: true})); }"""
    hands.click("#begin")
    hands.wait("document.querySelector('.refusal') !== null")
    hands.evaluate(fill, ["title", "Plover 3"])
    hands.click("#begin")
    hands.wait("document.getElementById('point-net') !== null")
    for net, at, mode, state in (
        ("main 5v", "c5", "dc-volts", "adapter-only"),
        ("main 5v", "c5", "ohms", "nothing-connected"),
    ):
        for name, text in (("net", net), ("at", at), ("mode", mode), ("state", state)):
            hands.evaluate(fill, [f"point-{name}", text])
        hands.click("#add-point")
    hands.wait("document.querySelectorAll('.walk-listed li').length === 2")
    hands.click("#go")
    hands.wait(f"({TITLE} || '').startsWith('Ohms on MAIN_5V at C5')")  # without power first
    hands.evaluate(ENTER, "1.52k")
    hands.wait(f"({TITLE} || '').startsWith('DC volts on MAIN_5V')")
    hands.evaluate(ENTER, "5.02")
    hands.wait("document.getElementById('read-title') !== null")
    file = tmp_path / "walk.json"
    file.write_text(hands.saved(), encoding="utf-8")
    walk = read_walk(file)
    assert [(p.net, p.at, p.mode) for p in walk.points] == [
        ("MAIN_5V", "C5", "dc-volts"),
        ("MAIN_5V", "C5", "ohms"),
    ]
    assert [one.text for one in walk.taken.values()] == ["1.52k", "5.02"]
    hands.click("#next-board")
    for title, text in (("Ohms on MAIN_5V at C5", "1.60k"), ("DC volts on MAIN_5V", "4.99")):
        hands.wait(f"({TITLE} || '').startsWith('{title}')")
        hands.evaluate(ENTER, text)
    hands.wait("document.getElementById('read-title') !== null")
    rows = hands.evaluate("[...document.querySelectorAll('.walk-read tbody tr')].map(row => row.innerText)")
    spreads = [" ".join(row.replace("\u00a0", " ").split()) for row in rows]
    assert spreads[0].endswith("80 \u03a9"), spreads
    assert spreads[1].endswith("30 mV"), spreads


@pytest.mark.parametrize("path", [f"{FAMILY}/walk.html", f"{FAMILY}/walk-sheet.html", "walk.html"])
def test_the_pages_are_accessible_and_fit(new_page, file_url, path):
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url(path))
    page.locator("#scheme").wait_for()
    views = [""]
    if path.endswith("walk.html"):
        wait_until(page, "document.getElementById('begin')")
        if page.locator("#title").count():
            page.fill("#title", "Plover 3")
        views.append("#begin")
    for press in views:
        if press:
            page.click(press)
        assert sideways_at(page, (320, 360, 768, 1920)) == {}, press
        assert axe_violations(page) == []
        page.emulate_media(color_scheme="dark")
        assert axe_violations(page, contrast_only=True) == []
        page.emulate_media(color_scheme="light")
