"""The pages in a real browser: accessible, never sideways, one sheet a card, choices remembered."""

from __future__ import annotations

import itertools
import math
import re
import unicodedata
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import url2pathname

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from benchlore.site import face
from tests.browser.checks import SMALL_TEXT, at_widths, axe_violations, sideways_at, unfold

# One page of each kind.
KINDS = {
    "home": "index.html",
    "look it up": "look-up.html",
    "learn": "learn.html",
    "families": "families.html",
    "family": "siskin-12/index.html",
    "faults": "faults.html",
    "fault": "siskin-12/pen-bay-holds-pack-data-low.html",
    "fault of one revision": "siskin-12/pack-clock-resistor-cracked.html",
    "nets": "nets.html",
    "net": "siskin-12/nets/PACK_DATA.html",
    "parts": "parts.html",
    "part": "siskin-12/parts/E7.html",
    "symptoms": "symptoms/index.html",
    "symptom": "symptoms/pack-not-seen.html",
    "symptom on a board": "siskin-12/symptoms/pack-not-seen.html",
    "techniques": "techniques/index.html",
    "technique": "techniques/junction-test.html",
    "hazards": "hazards/index.html",
    "hazard": "hazards/lithium-pack.html",
    "meters": "meters/index.html",
    "meter": "meters/hand-held-3-half.html",
    "states": "states/index.html",
    "state": "states/nothing-connected.html",
    "bench calculators": "calculators.html",
    "how good the plans are": "calibration.html",
    "what the book covers": "coverage.html",
    "contribute": "contribute/index.html",
    "fields": "contribute/fields.html",
    "written by hand": "using.html",
}
# Kinds that a phone scrolls through: no longer than so many pixels when they open, 360 px wide.
PHONE = {
    "symptom": 4000,
    "symptom on a board": 8000,
    "fault": 8000,
    "fault of one revision": 8000,
    "net": 8000,
    "family": 8000,
}
DRAWN = ("fault", "net", "family", "how good the plans are")
# The dark scheme has the same markup and other colours: these kinds use all of them.
COLOURED = ("home", "fault", "net", "family", "hazard")
PRINTED = ("fault", "fault of one revision", "net", "symptom", "symptom on a board", "family")
# No list leaves the right third of its sheet empty.
LISTS = (
    *("look it up", "learn", "families", "nets", "parts", "symptoms", "techniques", "states"),
    "symptom on a board",
)
CARD = KINDS["fault"]


SMALL_LABELS = """() => [...document.querySelectorAll('svg text')].filter(text => {
    if (!text.ownerSVGElement.getBoundingClientRect().width) return false;
    const {a, b} = text.getScreenCTM();  // a turned label has its scale in b
    return parseFloat(getComputedStyle(text).fontSize) * Math.hypot(a, b) < 12;
}).map(text => `${text.ownerSVGElement.getAttribute('class')}: ${text.textContent}`)"""
# What A4 leaves between the margins.
PAPER = {"width": 726, "height": 1062}
EIGHT_POINTS = 10.6  # nearly; in pixels
# Room is scarcest at the least width at which a rule of the style sheets holds, or no longer holds.
_ENDS = re.compile(r"(min|max)-width: *([0-9.]+)(px|rem)")
LANDMARKS = "s => s.map(selector => document.querySelectorAll(selector).length)"


# What is filled with the ink of the text: the one thing to do.
FILLED = """document => {
    const probe = document.body.appendChild(document.createElement("i"));
    probe.style.backgroundColor = "var(--ink)";
    const ink = getComputedStyle(probe).backgroundColor;
    probe.remove();
    return [...document.querySelectorAll("main :is(a, button)")]
        .filter(one => one.checkVisibility() && getComputedStyle(one).backgroundColor === ink)
        .map(one => one.textContent);
}"""
# How far right the words of the sheet reach, as a share of its width.
REACHES = """document => {
    const card = document.querySelector(".card").getBoundingClientRect();
    const walker = document.createTreeWalker(document.querySelector(".card"), NodeFilter.SHOW_TEXT);
    const range = document.createRange();
    let right = 0;
    while (walker.nextNode()) {
        if (!walker.currentNode.data.trim()) continue;
        range.selectNodeContents(walker.currentNode);
        for (const box of range.getClientRects()) right = Math.max(right, box.right);
    }
    return (right - card.left) / card.width;
}"""
# Letters and words as far apart as a reader may set them (WCAG 2.2, 1.4.12): the widest label, and those that
# then meet or leave their drawing; a box is a little taller than its letters.
SQUEEZED = """document => {
    const all = [...document.querySelectorAll('svg text')];
    for (const { style } of all) {
        style.setProperty('letter-spacing', '0.12em', 'important');
        style.setProperty('word-spacing', '0.16em', 'important');
    }
    return [Math.max(...all.map(one => one.getBBox().width)),
        [...document.querySelectorAll('svg')].flatMap(svg => {
    const view = svg.viewBox.baseVal;
    const labels = [...svg.querySelectorAll('text:not([transform])')].map(text => {
        const { x, y, width, height } = text.getBBox();
        const end = y + height * 7 / 8;
        return { words: text.textContent, x, y: y + height / 8, right: x + width, bottom: end };
    });
    const meets = (a, b) => a.x < b.right && b.x < a.right && a.y < b.bottom && b.y < a.bottom;
    return labels.flatMap((one, n) => [
        ...(one.x < view.x - 1 || one.right > view.x + view.width + 1 ? [`${one.words} leaves it`] : []),
        ...labels.slice(n + 1).filter(other => meets(one, other))
            .map(({ words }) => one.words + ' meets ' + words),
    ]);
})];
}"""


def widths_of(page):
    """The widths at which room is scarcest under the style sheets of a page."""
    sheets = page.evaluate("[...document.querySelectorAll('link[rel~=stylesheet]')].map(one => one.href)")
    return sorted(
        {
            width
            for sheet in sheets
            for end, text, unit in _ENDS.findall(Path(url2pathname(urlsplit(sheet).path)).read_text("utf-8"))
            if 320 <= (width := round(float(text) * (16 if unit == "rem" else 1)) + (end == "max")) <= 1920
        }
        | {*range(320, 1921, 100)}
    )


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_of_each_kind_looks_right(new_page, file_url, kind):
    """On a phone as it opens, a list on a desk, too; then with all unfolded: at any width, to axe in both
    schemes, on paper.

    Filled is what to do: a symptom of many boards asks first which; of several starts of a fault one is. Each
    calculator has its own.
    """
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url(KINDS[kind]))
    page.locator("#scheme").wait_for()  # the page's scripts have run
    assert page.evaluate(LANDMARKS, ["main", "header.top", "footer.bottom", "h1"]) == [1, 1, 1, 1]
    assert page.title()
    assert page.evaluate("document.documentElement.scrollHeight") <= PHONE.get(kind, math.inf)
    assert page.evaluate(SMALL_LABELS) == []
    if kind in LISTS:
        desk = new_page(viewport={"width": 1366, "height": 768})
        desk.goto(file_url(KINDS[kind]))
        desk.locator("#scheme").wait_for()
        assert min(at_widths(desk, [1366, 1920], REACHES).values()) >= 2 / 3
    unfold(page)
    assert sideways_at(page, widths_of(page)) == {}
    filled = at_widths(page, [1280], FILLED)[1280]
    if kind in ("symptom on a board", "fault", "home", "symptom"):
        assert len(filled) == (kind != "symptom"), filled
    assert len(filled) <= 1 or kind == "bench calculators", filled
    if kind in DRAWN:
        widest, squeezed = at_widths(page, [1280], SQUEEZED)[1280]
        assert widest > 40
        assert squeezed == []
    assert axe_violations(page, moderate=True) == []
    if kind in COLOURED:
        page.emulate_media(color_scheme="dark")
        assert axe_violations(page, contrast_only=True) == [], "dark"
    if kind in PRINTED:
        page.emulate_media(media="print")
        small = f"document => ({SMALL_TEXT})({EIGHT_POINTS}, document)"
        assert at_widths(page, [PAPER["width"]], small) == {PAPER["width"]: []}


def test_a_printed_card_carries_what_the_job_needs(page, file_url, tmp_path):
    page.goto(file_url(CARD))
    page.pdf(path=tmp_path / "card.pdf", prefer_css_page_size=True)
    sheets = PdfReader(tmp_path / "card.pdf").pages
    a4 = (595, 842)  # in points
    assert {(round(float(s.mediabox.width)), round(float(s.mediabox.height))) for s in sheets} == {a4}
    assert len(sheets) <= 2
    text = unicodedata.normalize("NFKC", " ".join(sheet.extract_text() for sheet in sheets))
    text = " ".join(text.split())
    for wanted in (
        "DANGER",
        "WARNING",
        "CAUTION",
        "NOTICE",
        "7.80 to 8.20",
        "Unplug E7",
        "diode mode",
        "Proof",
    ):
        assert wanted.lower() in text.lower(), wanted
    assert "Lever with plastic" in text  # every control of a hazard is on paper
    assert "Local codes and licensed practice come first" in text
    assert "Look-alikes" not in text
    words = [text.index(word) for word in ("DANGER", "WARNING", "CAUTION", "NOTICE")]
    assert words == sorted(words), "the most serious hazard first"


GREY = """() => {
    // WCAG 2.2, relative luminance: what is left of a colour on a grey printer.
    const light = text => {
        const [r, g, b, a = 1] = text.match(/[0-9.]+/g).map(Number);
        const linear = [r, g, b].map(v => v / 255)
            .map(v => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
        const shown = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
        return a * shown + 1 - a;
    };
    return ['danger', 'warning', 'caution', 'notice'].map(word => {
        const panel = document.querySelector('.hazard-' + word);
        const style = getComputedStyle(panel.querySelector('.signal'));
        return {
            ground: light(style.backgroundColor),
            ink: light(style.color),
            frame: parseFloat(getComputedStyle(panel).borderTopWidth),
            sign: panel.querySelector('.sign') !== null,
            gap: parseFloat(style.marginRight),
        };
    });
}"""


def test_the_four_signal_words_differ_on_a_grey_printer(page, file_url):
    """By the ground from nearly black to none, and the two graver ones by their frame."""
    page.goto(file_url(CARD))
    page.emulate_media(media="print")
    found = page.evaluate(GREY)
    grounds = [one["ground"] for one in found]
    for darker, lighter in itertools.pairwise(grounds):
        assert (lighter + 0.05) / (darker + 0.05) > 1.3, grounds
    assert all(
        (max(one["ground"], one["ink"]) + 0.05) / (min(one["ground"], one["ink"]) + 0.05) >= 4.5
        for one in found
    )
    danger, warning, caution, notice = found
    assert danger["frame"] == warning["frame"] > caution["frame"] == notice["frame"]
    assert [one["sign"] for one in found] == [True, True, True, False]
    assert all(one["gap"] > 0 for one in found), "the word does not touch what follows"


def test_numbers_of_two_figures_are_whole_on_paper(page, file_url):
    """They stand left of a list's own edge, which a sheet cuts."""
    page.goto(file_url(CARD))
    page.emulate_media(media="print")
    room = page.evaluate(
        """() => {
            const list = document.querySelector('ol.do');
            const ruler = document.createElement('b');
            ruler.textContent = '10. ';
            list.querySelector('li').append(ruler);
            const wide = ruler.getBoundingClientRect().width;
            return parseFloat(getComputedStyle(list).paddingLeft) - wide;
        }"""
    )
    assert room >= 0


def test_a_framed_signal_word_stays_within_its_line_on_paper(new_page, file_url):
    page = new_page(viewport=PAPER)
    page.goto(file_url(CARD))
    page.emulate_media(media="print")
    high = page.evaluate(
        """() => [...document.querySelectorAll('.do .brings b')].map(word => {
            const line = parseFloat(getComputedStyle(word.closest('li')).lineHeight);
            return word.getBoundingClientRect().height - line;
        })"""
    )
    assert high
    assert max(high) <= 0.5


def test_no_line_between_rows_crosses_a_sketch(page, file_url):
    page.set_viewport_size({"width": 1366, "height": 768})
    page.goto(file_url(CARD))
    page.locator("#scheme").wait_for()
    crossed = page.evaluate(
        """() => {
            const sketch = document.querySelector('.fault-tell > .part-sketch');
            const {left, width, top, bottom} = sketch.getBoundingClientRect();
            return [...document.querySelectorAll('.fault-body .steps tr')]
                .map(row => row.getBoundingClientRect().top + 1)
                .filter(y => y > top && y < bottom - 2)
                .map(y => sketch.contains(document.elementFromPoint(left + width / 2, y)));
        }"""
    )
    assert crossed
    assert all(crossed)


def test_a_list_of_one_column_has_no_empty_third_beside_it(page, file_url):
    """Its sheet ends where its lines do; sheets of all kinds begin at the same edge."""
    page.set_viewport_size({"width": 1366, "height": 768})
    edges = set()
    for kind in ("technique", "written by hand", "family"):
        page.goto(file_url(KINDS[kind]))
        sheet = page.locator("article.card").bounding_box()
        edges.add(round(sheet["x"]))
        if kind != "family":
            assert sheet["width"] < 0.75 * 1366, kind
    assert len(edges) == 1


def test_what_is_filled_in_on_a_walk_stands_beside_its_name(page, file_url):
    page.goto(file_url("siskin-12/walk-sheet.html"))
    apart = """document => [...document.querySelectorAll('.walk-of .blank')].filter(blank => {
        const name = document.createRange();
        name.selectNode(blank.previousSibling);
        return Math.abs(name.getBoundingClientRect().bottom - blank.getBoundingClientRect().bottom) > 12;
    }).length"""
    assert at_widths(page, (360, 640, 768), apart) == {360: 0, 640: 0, 768: 0}


def _faces(page, url):
    pytest.importorskip(face.PACKAGE, reason="the package of the typeface is not installed")
    page.goto(url)
    return page.evaluate(
        """() => Promise.all([400, 700].map(weight => document.fonts.load(weight + ' 17px Bench')))
            .then(loaded => loaded.map(faces => faces.map(face => face.status).join()))"""
    )


def test_the_face_of_the_pages_comes_with_them_from_disk(page, file_url):
    """No bench PC needs it installed, nothing is fetched, and the theme's pages have it, too."""
    for kind in ("home", "fault", "written by hand"):
        assert _faces(page, file_url(KINDS[kind])) == ["loaded", "loaded"], kind
        assert page.evaluate("getComputedStyle(document.body).fontFamily").startswith("Bench")


def test_the_face_of_the_pages_comes_with_them_in_firefox(firefox_page, file_url):
    assert _faces(firefox_page, file_url(KINDS["fault"])) == ["loaded", "loaded"]


def test_words_of_a_printed_matrix_stay_whole(page, file_url, tmp_path):
    page.goto(file_url(KINDS["symptom on a board"]))
    page.pdf(path=tmp_path / "symptom.pdf", prefer_css_page_size=True)
    text = " ".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "symptom.pdf").pages)
    assert "commanded" in text
    assert not re.search(r"command(?:e\s+d|\s+ed)\b", text)


def test_the_revision_is_chosen_once(page, site_url):
    page.goto(site_url(CARD))
    assert page.locator("#row-1 [data-rev=A]").is_visible()
    assert page.locator("#row-1 [data-rev=B]").is_visible()
    page.get_by_role("radio", name="B", exact=True).check()
    assert page.locator("#row-1 [data-rev=A]").is_hidden()
    for path in (CARD, "siskin-12/index.html", "siskin-12/nets/MAIN.html"):
        page.goto(site_url(path))
        expect(page.locator("html")).to_have_attribute("data-revision", "B")
        assert page.locator(".sketch[data-rev=A]").first.is_hidden()
        assert page.locator(".sketch[data-rev=B]").first.is_visible()
        assert page.get_by_role("radio", name="B", exact=True).is_checked()
    page.goto(site_url("teal-8/index.html"))
    page.locator("#scheme").wait_for()
    assert page.get_by_role("radio", name="all").is_checked(), "each family has its own revisions"


# The page hears a second late that its store is ready, as on a slow disk.
SLOW_STORE = """
if (window.parent === window) addEventListener('message', event => {
    if (!event.isTrusted || event.data?.benchlore !== 'ready') return;
    event.stopImmediatePropagation();
    const late = new MessageEvent('message', {data: event.data, source: event.source});
    setTimeout(() => dispatchEvent(late), 1000);
});
"""


def test_no_choice_is_lost_while_the_store_is_not_ready(page, file_url):
    page.add_init_script(SLOW_STORE)
    page.goto(file_url(CARD))
    page.get_by_role("radio", name="B", exact=True).check()
    page.locator("#family-filter").select_option("teal-8")
    page.locator("#scheme").click()
    page.goto(file_url("siskin-12/index.html"))
    expect(page.locator("html")).to_have_attribute("data-revision", "B")
    expect(page.locator("#family-filter")).to_have_value("teal-8")
    expect(page.locator("#scheme")).to_have_text("Light")


def test_a_choice_made_as_the_page_is_left_is_kept(page, file_url):
    page.goto(file_url("siskin-12/index.html"))
    for choice in ("Light", "Dark", "Theme: system", "Light", "Dark"):
        page.locator("#scheme:not(.waits)").click()
        page.goto(file_url("index.html"))
        page.locator("#scheme:not(.waits)").wait_for()
        assert page.locator("#scheme").inner_text() == choice


def test_the_revision_is_chosen_once_in_firefox(firefox_page, site_url):
    firefox_page.goto(site_url(CARD))
    firefox_page.click("#revision-switch input[value=B]")
    firefox_page.wait_for("document.documentElement.dataset.revision === 'B'")
    for path in ("siskin-12/nets/MAIN.html", "siskin-12/index.html", CARD):
        firefox_page.goto(site_url(path))
        firefox_page.wait_for("document.documentElement.dataset.revision === 'B'")
        assert firefox_page.evaluate("document.querySelector('.sketch[data-rev=A]').hidden")
    firefox_page.evaluate("benchlore.store.set('revision/siskin-12', 'A')")
    firefox_page.goto(site_url("siskin-12/nets/MAIN.html"))
    firefox_page.wait_for("document.documentElement.dataset.revision === 'A'")


def test_a_fault_of_another_revision_says_so(page, file_url):
    page.goto(file_url(KINDS["fault of one revision"]))
    page.get_by_role("radio", name="B", exact=True).check()
    assert page.locator(".only.not-yours").is_visible()
    page.get_by_role("radio", name="A", exact=True).check()
    assert page.locator(".only.not-yours").count() == 0


STORE = """async () => {
    const store = benchlore.store;
    const said = [];
    document.addEventListener('benchlore:trouble', event => said.push(event.detail.reason));
    const empty = await store.get('job/1');
    const kept = [await store.set('job/2', {a: [1, 'ü', null]}), await store.set('job/1', 'x')];
    const keys = await store.keys('job/');
    const value = await store.get('job/2');
    const removed = await store.remove('job/2');
    const left = await store.keys('job/');
    return {empty, kept, keys, value, removed, left, said, trouble: store.trouble()};
}"""
KEPT = {
    "empty": None,
    "kept": [True, True],
    "keys": ["job/1", "job/2"],
    "value": {"a": [1, "ü", None]},
    "removed": True,
    "left": ["job/1"],
    "said": [],
    "trouble": "",
}


def test_the_store_keeps_lists_and_forgets(page, site_url):
    page.goto(site_url("symptoms/index.html"))
    assert page.evaluate(STORE) == KEPT


def test_the_store_keeps_lists_and_forgets_in_firefox(firefox_page, site_url):
    firefox_page.goto(site_url("symptoms/index.html"))
    assert firefox_page.evaluate(STORE) == KEPT


FORBID = """Object.defineProperty(window, 'localStorage', {
    get() { throw new DOMException('no', 'SecurityError'); }
});"""
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"


@pytest.mark.parametrize(("broken", "says"), [(FORBID, "switched off"), (FULL, "full")])
def test_a_store_that_fails_is_said_and_never_thrown(page, site_url, broken, says):
    page.add_init_script(broken)
    page.goto(site_url(CARD))
    page.get_by_role("radio", name="A", exact=True).check()
    page.locator("#trouble").wait_for()
    assert says in page.locator("#trouble").inner_text()
    assert page.locator("#row-1 [data-rev=B]").is_hidden(), "the choice holds on this page all the same"
    assert page.evaluate("benchlore.store.set('x', 1)") is False
    assert says in page.evaluate("benchlore.store.trouble()")


def test_a_damaged_value_is_said_and_left_alone(page, http_url):
    page.goto(http_url(CARD))
    page.evaluate("localStorage.setItem('benchlore/benchlore/job/9', '{broken')")
    assert page.evaluate("benchlore.store.get('job/9')") is None
    assert "'job/9' is damaged" in page.locator("#trouble").inner_text()
    assert page.evaluate("localStorage.getItem('benchlore/benchlore/job/9')") == "{broken"


def test_a_hub_that_does_not_answer_is_said(page, file_url):
    page.route("**/hub.html", lambda route: route.abort())
    page.clock.install()
    page.goto(file_url(CARD))
    page.clock.run_for(5000)
    page.locator("#trouble").wait_for()
    assert page.evaluate("benchlore.store.trouble()") != ""


def test_the_scheme_is_kept_and_is_there_before_the_first_paint(page, site_url):
    page.goto(site_url())
    page.locator("#scheme").click()
    page.locator("#scheme").click()
    assert page.locator("#scheme").inner_text() == "Dark"
    assert page.evaluate("benchlore.store.get('scheme')") == "dark"
    page.goto(site_url(CARD))
    assert page.evaluate("document.documentElement.dataset.scheme") == "dark"
    assert page.evaluate("getComputedStyle(document.body).colorScheme") == "dark"
    expect(page.locator("#scheme")).to_have_text("Dark")


def test_the_family_filter_hides_the_others_and_says_so(page, site_url):
    page.goto(site_url("faults.html"))
    page.locator("#family-filter").select_option("teal-8")
    assert page.locator("section[data-family=siskin-12]").is_hidden()
    page.goto(site_url("symptoms/pack-not-seen.html"))
    page.locator("#filtered").wait_for()
    assert page.locator("#filtered").inner_text().startswith("Only Teal 8 is shown.")
    assert page.locator("section[data-family=siskin-12]").is_hidden()
    page.get_by_role("button", name="All boards").click()
    assert page.locator("section[data-family=siskin-12]").is_visible()
    assert page.locator("#family-filter").input_value() == ""


def test_hazards_open_to_every_control(page, file_url):
    page.goto(file_url("siskin-12/main-rail-capacitor-shorted.html"))
    control = page.get_by_text("Look for a hot part with a camera")
    assert control.is_hidden()
    page.get_by_role("button", name="All controls").click()
    assert control.is_visible()


def test_without_scripts_everything_is_there(new_page, file_url):
    page = new_page(java_script_enabled=False)
    page.goto(file_url(CARD))
    assert page.get_by_text("Lever with plastic").is_visible()
    assert page.locator("#row-1 [data-rev=A]").is_visible()
    assert page.locator("#row-1 [data-rev=B]").is_visible()
    assert page.locator("#revision-switch").is_hidden()


def test_the_policy_blocks_what_a_record_might_smuggle_in(page, watch, file_url):
    page.goto(file_url(CARD))
    blocked = page.evaluate(
        """() => new Promise(resolve => {
            const found = [];
            document.addEventListener('securitypolicyviolation', event => {
                found.push(event.effectiveDirective);
                if (found.length === 2) resolve(found.sort());
            });
            const script = document.createElement('script');
            script.textContent = 'window.smuggled = true';
            document.body.append(script);
            const box = document.createElement('div');
            box.innerHTML = '<b style="color: red">x</b>';
            document.body.append(box);
        })"""
    )
    assert blocked == ["script-src-elem", "style-src-attr"]
    assert page.evaluate("window.smuggled") is None
    assert len(watch.errors) == 2
    watch.errors.clear()


def test_touch_targets_are_large_enough(new_page, file_url):
    """44 px for whatever is a control; links within a sentence are exempt (WCAG 2.2, 2.5.5)."""
    page = new_page(viewport={"width": 360, "height": 740}, has_touch=True)
    small = []
    for path in (KINDS["home"], CARD, KINDS["symptoms"], KINDS["look it up"]):
        page.goto(file_url(path))
        page.locator("#scheme").wait_for()
        small += page.evaluate(
            """() => [...document.querySelectorAll(
                    'button, select, summary, .top a, .toc a, .bottom a, .door, .start, .tile-more a, '
                    + '.kinds a, .links > li > a:first-child, #revision-switch label, #search input')]
                .filter(e => e.checkVisibility() && !e.closest('.skip'))
                .filter(e => e.getBoundingClientRect().height < 43.5)
                .map(e => location.pathname.split('/').pop() + ': ' + e.outerHTML.slice(0, 90))"""
        )
    assert not small, "\n".join(small)


def test_the_keyboard_reaches_the_content_first(page, file_url):
    page.goto(file_url(CARD))
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"


def test_a_phone_folds_and_opens_what_is_asked_for(new_page, file_url, tmp_path):
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url(KINDS["symptom on a board"]))
    matrix = page.locator(":is(.matrix, .matrix-list)")
    expect(page.locator(".plan")).to_be_visible()
    expect(matrix).to_be_hidden()
    page.locator("#matrix").click()
    expect(matrix).to_be_visible()
    page.goto(file_url("siskin-12/symptoms/no-power.html") + "#matrix")
    expect(matrix).to_be_visible()
    page.goto(file_url("siskin-12/nets/MAIN.html"))
    expect(page.locator(".working").first).to_be_hidden()
    page.get_by_text("On this page").click()
    page.get_by_role("link", name="What sets it").first.click()
    expect(page.locator(".working").first).to_be_visible()
    sketch = page.locator(".sketch[data-rev=B] .locator").first
    expect(sketch).to_be_hidden()
    page.locator("#mine").click()
    page.get_by_role("radio", name="B", exact=True).check()
    expect(sketch).to_be_visible()
    page.set_viewport_size({"width": 1280, "height": 800})
    expect(page.locator("details.fold:not([open])")).to_have_count(0)


@pytest.mark.parametrize("size", [(360, 740), (1366, 768)])
def test_a_symptom_leads_to_the_plan_of_the_reader_s_board(new_page, file_url, size):
    """Its first step is in the first screen: of the board alone, and of the chosen one among others."""
    page = new_page(viewport={"width": size[0], "height": size[1]})
    page.goto(file_url("symptoms/no-power.html"))
    page.locator("#scheme").wait_for()
    key = page.locator("#mine")
    folded = key.is_visible()
    if folded:
        key.click()
    page.locator("#family-filter").select_option("siskin-12")
    if folded:
        key.click()
    expect(page.locator(".begins-on:visible")).to_have_count(1)
    expect(page.locator(".begins-on:visible .begins-where")).to_be_in_viewport(ratio=1)
    page.locator(".begins-on:visible").get_by_role("link", name="Plan and faults").click()
    expect(page.locator(".plan-row").first).to_be_in_viewport(ratio=1)
    expect(page.locator(".plan")).to_have_count(1)
    assert "siskin-12/symptoms/no-power.html" in page.url


@pytest.mark.parametrize(("symptom", "boards", "filled"), [("charges-slowly", 1, 1), ("no-power", 2, 0)])
def test_a_symptom_of_one_board_has_one_thing_to_do(page, file_url, symptom, boards, filled):
    """Before anything is chosen: the way to its plan. Of several boards, which one is asked first."""
    page.goto(file_url(f"symptoms/{symptom}.html"))
    ways = page.locator(".start.plain:visible")
    expect(ways).to_have_count(boards)
    ink = page.evaluate("getComputedStyle(document.querySelector('.boards')).color")
    grounds = ways.evaluate_all("all => all.map(one => getComputedStyle(one).backgroundColor)")
    assert grounds.count(ink) == filled


def test_the_search_leads_to_the_symptom_on_the_chosen_board(page, file_url):
    page.goto(file_url())
    page.locator("#family-filter").select_option("teal-8")
    page.locator("#search input").fill(TITLES["no-power"])
    page.locator("#search-list [role=option]", has_text=TITLES["no-power"]).first.click()
    page.wait_for_url("**/teal-8/symptoms/no-power.html")


def test_readings_that_tell_nothing_are_folded_and_on_paper(page, file_url, tmp_path):
    page.goto(file_url(CARD))
    same = page.locator(".same-rows").last
    assert "as on a healthy board" in same.locator("summary").inner_text()
    hidden = same.locator("li").first
    expect(hidden).to_be_hidden()
    page.goto(file_url(CARD) + "#" + str(hidden.get_attribute("id")))
    expect(hidden).to_be_visible()


def test_standing_hazards_are_a_line_on_screen_and_panels_on_a_printed_card(page, file_url, tmp_path):
    page.goto(file_url(CARD))
    standing = page.locator(".hazards-standing")
    assert "Static electricity" in standing.inner_text()
    expect(page.locator(".hazard", has_text="Static electricity").first).to_be_hidden()
    page.goto(file_url("siskin-12/nets/PACK_DATA.html"))
    expect(page.locator(".hazard-danger")).to_be_hidden()  # what stands on every page is none
    page.goto(file_url("states/adapter-only.html"))
    expect(page.locator(".hazard-danger")).to_be_visible()


def test_a_question_mark_names_the_keys_on_every_page(page, file_url):
    for path in ("index.html", CARD, KINDS["symptom"], "walk.html", "study/siskin-12.html"):
        page.goto(file_url(path))
        page.locator("#scheme").wait_for()
        page.keyboard.press("?")
        assert "Search" in page.locator("dialog.site-keys").inner_text()
        page.keyboard.press("Escape")
        expect(page.locator("dialog.site-keys")).to_have_count(0)


def test_paper_shows_what_a_phone_folds(new_page, file_url, tmp_path):
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url("siskin-12/nets/MAIN.html"))
    expect(page.locator(".working").first).to_be_hidden()
    page.pdf(path=tmp_path / "net.pdf", prefer_css_page_size=True)
    text = " ".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "net.pdf").pages)
    for wanted in ("Root-sum-square", "removal order", "Donor", "Charger does not start"):
        assert wanted in text, wanted
    expect(page.locator(".working").first).to_be_hidden()


def test_a_measurement_on_a_phone_names_its_faults_by_number(new_page, file_url):
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url("siskin-12/symptoms/no-power.html") + "#matrix")
    named = page.locator(".fault-row th").all_text_contents()
    links = page.locator(".matrix-list p a")
    for link in links.all():
        row = page.locator(link.get_attribute("href"))
        assert row.locator("th .place").text_content() == link.inner_text()
        assert row.locator("th").text_content() == named[int(link.inner_text()) - 1]
    assert links.count() > len(named)
    links.first.click()
    expect(page.locator(links.first.get_attribute("href"))).to_be_in_viewport()
    # One line: the labels of a row stand in its text, not beside it.
    probe = page.locator(".fault-row td[data-label='Probe first']").first
    assert "grid" not in probe.evaluate("cell => getComputedStyle(cell).display")


def test_the_home_page_counts_the_faults_of_the_chosen_board(page, file_url):
    page.goto(file_url())
    tile = page.locator(".tiles > li", has=page.get_by_role("heading", name="Battery pack not seen"))
    assert "on Siskin 12" in tile.inner_text()
    assert "on Teal 8" in tile.inner_text()
    page.locator("#family-filter").select_option("teal-8")
    expect(tile.locator(".by-family")).to_have_text(re.compile(r"\d+ on Teal 8"), use_inner_text=True)
    assert "Siskin 12" not in tile.inner_text()
    assert page.locator(".tiles > li:visible").count() < page.locator(".tiles > li").count()


BOARDS = {"siskin-12": "Siskin 12", "teal-8": "Teal 8"}
TITLES = {
    "no-power": "Dead, no sign of life",
    "pack-not-seen": "Battery pack not seen",
    "pack-not-charging": "Pack seen but does not charge",
}


@pytest.mark.parametrize(
    ("path", "link", "family", "symptom"),
    [
        ("index.html", ".tiles > li:has(a[href='symptoms/no-power.html']) .start", "teal-8", "no-power"),
        ("symptoms/pack-not-seen.html", ".board-ways .start", "siskin-12", "pack-not-seen"),
        ("siskin-12/symptoms/pack-not-seen.html", ".plan-head .start", "siskin-12", "pack-not-seen"),
        (CARD, ".card-head .start", "siskin-12", "pack-not-charging"),
    ],
    ids=["home", "symptom", "symptom on a board", "fault"],
)
def test_a_job_starts_from_a_page_with_its_board_and_symptom(page, file_url, path, link, family, symptom):
    page.goto(file_url(path))
    page.locator(f"{link}[href*='family={family}&symptom={symptom}']").click()
    expect(page.locator("p.chosen > b")).to_have_text(BOARDS[family])
    chosen = page.locator(".chosen .chip")
    expect(chosen).to_have_count(1)
    expect(chosen).to_contain_text(TITLES[symptom])
    expect(page.locator("#revision-asked")).to_be_visible()  # what neither page nor symptom can tell


def test_a_symptom_has_one_primary_action_once_its_board_is_chosen(page, file_url):
    page.goto(file_url(KINDS["symptom"]))
    page.locator("#family-filter").select_option("siskin-12")
    assert len(page.evaluate(f"() => ({FILLED})(document)")) == 1, "one board is left"


def test_an_address_that_cannot_be_read_opens_the_page(page, file_url):
    page.goto(file_url("siskin-12/nets/MAIN.html") + "#%E0%A4%A")
    page.locator("#scheme").wait_for()
    page.evaluate("location.hash = '#%'")
    expect(page.get_by_role("heading", level=1)).to_be_visible()


def test_a_fault_is_on_one_screen(page, file_url):
    """What tells it, where to probe, fix and proof, at 1366 x 768; on a phone the fix is one tap away."""
    page.set_viewport_size({"width": 1366, "height": 768})
    page.goto(file_url("siskin-12/pack-clock-resistor-cracked.html"))
    page.locator("#scheme").wait_for()
    for part in (".steps tbody tr >> nth=0", ".locator >> nth=0", ".do li >> nth=0", ".proofs li >> nth=-1"):
        expect(page.locator(part)).to_be_in_viewport(ratio=1)
    page.set_viewport_size({"width": 360, "height": 740})
    page.get_by_role("navigation", name="On this page").get_by_role("link", name="Fix").click()
    expect(page.locator(".do li").first).to_be_in_viewport(ratio=1)


def test_the_choice_of_a_revision_stays_in_one_row(page, file_url):
    page.goto(file_url(KINDS["family"]))
    unfold(page)
    page.evaluate("document.querySelector('#mine').click()")
    rows = at_widths(
        page,
        sorted({*range(320, 1921, 20), *widths_of(page)}),
        """document => new Set([...document.querySelectorAll('#revision-switch label')]
            .map(one => one.getBoundingClientRect().top)).size""",
    )
    assert set(rows.values()) == {1}, {width: n for width, n in rows.items() if n != 1}


def test_a_screen_at_twice_its_size_spends_two_rows_on_the_header(page, file_url):
    """1280 px at 200 %: name, doors and theme, then search and choices."""
    page.goto(file_url(KINDS["family"]))
    page.locator("#scheme").wait_for()
    tops = """document => new Set(['.brand', '.doors-nav', '#scheme']
        .map(one => document.querySelector(one).closest('.top-row').offsetHeight)).size === 1
        && document.querySelector('.top-row').offsetHeight"""
    assert 44 <= at_widths(page, [640], tops)[640] < 88


@pytest.mark.parametrize("kind", ["look it up", "learn"])
def test_the_doors_stay_in_one_row_on_the_narrowest_screen(page, file_url, kind):
    """320 px wide: 1280 px at 400 %."""
    page.goto(file_url(KINDS[kind]))
    page.locator("#scheme").wait_for()
    height = "document => document.querySelector('.doors-nav').offsetHeight"
    rows = at_widths(page, [320, 340, 360], height)
    assert set(rows.values()) == {44}, rows


@pytest.mark.parametrize("kind", ["home", "family", "fault", "symptom on a board", "bench calculators"])
def test_the_header_of_a_phone_takes_an_eighth_of_its_screen(page, file_url, kind):
    """Two rows, all of it within reach: board and revision behind the key that says what is chosen."""
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(file_url(KINDS[kind]))
    page.locator("#scheme").wait_for()
    assert page.evaluate("document.querySelector('.top').getBoundingClientRect().bottom") <= 92.5
    for part in (".brand", ".doors-nav li:last-child a", "#scheme", "#search input", "#mine"):
        expect(page.locator(part)).to_be_in_viewport(ratio=1)


def test_what_is_chosen_on_a_phone_is_said_and_changed_behind_one_key(page, file_url):
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(file_url(KINDS["family"]))
    key = page.locator("#mine")
    expect(key).to_have_text("rev. all")
    assert page.locator("#revision-switch").is_hidden()
    key.click()
    page.locator("#revision-switch label").filter(has_text="B").click()
    page.locator("#family-filter").select_option("siskin-12")
    expect(key).to_have_text("Siskin 12, rev. B")
    expect(key).to_have_attribute("aria-label", "Chosen: Siskin 12, rev. B. Change.")
    page.locator("#family-filter").press("Escape")
    assert page.locator("#family-filter").is_hidden()
    expect(key).to_be_focused()
    expect(key).to_have_attribute("aria-expanded", "false")
    page.reload()
    expect(key).to_have_text("Siskin 12, rev. B")
    key.click()
    page.locator("#family-filter").select_option("teal-8")
    expect(key).to_have_text("Siskin 12, rev. B")
    expect(key).to_have_attribute("aria-label", "Chosen: Teal 8; Siskin 12, rev. B. Change.")


def test_a_board_s_page_calls_its_hazards_those_of_the_board(page, file_url):
    page.goto(file_url(KINDS["family"]))
    expect(page.get_by_role("group", name="Hazards of this board")).to_have_count(1)
    expect(page.get_by_role("group", name="Hazards of this work")).to_have_count(0)


@pytest.mark.parametrize(
    ("kind", "primary", "other"),
    [
        ("home", ".door >> nth=0", ".door >> nth=1"),
        ("fault", ".card-head .start >> nth=0", ".card-foot"),
        ("symptom on a board", ".plan-head .start, .card-head .start >> nth=0", ".card-foot"),
    ],
)
def test_a_primary_action_stands_out_in_colours_of_the_readers_own(new_page, file_url, kind, primary, other):
    page = new_page(forced_colors="active")
    page.goto(file_url(KINDS[kind]))
    page.locator("#scheme").wait_for()
    ground = "one => getComputedStyle(one).backgroundColor"
    ink = "one => getComputedStyle(one).color"
    main, rest = page.locator(primary).first, page.locator(other).first
    assert main.evaluate(ground) == rest.evaluate(ink) != rest.evaluate(ground)


def test_a_net_says_where_to_probe_it_in_the_first_screen_of_a_phone(page, file_url):
    """What it shows as when it is bad, and where it is up, come after what it reads."""
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(file_url(KINDS["net"]))
    page.locator("#scheme").wait_for()
    expect(page.locator("#probe")).to_be_in_viewport(ratio=1)
    told = page.get_by_text("Up in", exact=True)
    assert told.bounding_box()["y"] > page.locator("#read").bounding_box()["y"]


def test_what_stands_beside_a_link_of_a_list_runs_on_behind_it_on_paper(page, file_url):
    page.set_viewport_size({"width": 726, "height": 1062})
    page.goto(file_url(KINDS["hazard"]))
    page.locator("#scheme").wait_for()
    page.emulate_media(media="print")
    kinds = page.evaluate(
        "[...document.querySelectorAll('.links .aside')].map(one => getComputedStyle(one).display)"
    )
    assert kinds
    assert set(kinds) == {"inline"}


@pytest.mark.parametrize(
    ("path", "links"),
    [
        (KINDS["learn"], ".group > h2 > a"),
        (KINDS["home"], ".home a.only-way"),
        ("study/teal-8.html", ".stop-name > a"),
        (KINDS["symptom on a board"], ":is(.plan-fix, .plan-figure .only-way)"),
    ],
)
def test_a_link_that_is_the_only_way_is_as_high_as_a_finger(new_page, file_url, path, links):
    """44 px: WCAG 2.2, success criterion 2.5.5, target size (enhanced)."""
    page = new_page(viewport={"width": 360, "height": 740})
    page.goto(file_url(path))
    page.wait_for_selector(links)
    heights = page.locator(links).evaluate_all("all => all.map(one => one.getBoundingClientRect().height)")
    assert min(heights) >= 44
