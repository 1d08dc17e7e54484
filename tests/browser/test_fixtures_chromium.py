"""The tools of the Chromium tests do what the tests believe: they see, they fail, they keep."""

from __future__ import annotations

import pytest
from pypdf import PdfReader

from tests.browser.checks import Watch, at_widths, axe_violations, leaves, print_pdf, sideways, sideways_at
from tests.browser.tabs import Tabs

GOOD = """<!doctype html><html lang=en><title>Good</title><link rel=icon href=data:,>
<main><h1>Good</h1><p>Text</p></main>"""


@pytest.fixture
def good(tmp_path):
    (tmp_path / "good.html").write_text(GOOD)
    return (tmp_path / "good.html").as_uri()


def test_page_opens_files_and_loopback(page, watch, good, serve, tmp_path):
    page.goto(good)
    assert page.title() == "Good"
    page.goto(serve(tmp_path) + "good.html")
    assert page.title() == "Good"
    assert len(watch.requests) == 2


@pytest.mark.parametrize(
    ("script", "complaint"),
    [
        (
            "fetch('http://example.com/x').catch(() => 0)",
            "requests that left the page: .'http://example.com/x'",
        ),
        ("new Image().src = 'https://example.com/i.png'", "https://example.com/i.png"),
        ("new WebSocket('ws://example.com/')", "ws://example.com/"),
        ("throw new Error('boom')", "boom"),
        ("console.error('burnt')", "burnt"),
        ("new Image().src = 'not-there.png'", "ERR_FILE_NOT_FOUND"),
    ],
)
def test_watch_fails_for(chromium, tmp_path, script, complaint):
    (tmp_path / "bad.html").write_text(f"{GOOD}<script>{script}</script>")
    watch = Watch()
    context = chromium.new_context()
    watch.follow(context)
    page = context.new_page()
    page.goto((tmp_path / "bad.html").as_uri())
    page.evaluate("new Promise(done => requestAnimationFrame(() => setTimeout(done)))")
    context.close()
    with pytest.raises(AssertionError, match=complaint):
        watch.verify()


@pytest.mark.parametrize(
    ("url", "away"),
    [
        ("file:///tmp/x.html", False),
        ("http://127.0.0.1:8000/", False),
        ("http://localhost/x", False),
        ("data:text/plain,x", False),
        ("blob:null/1", False),
        ("http://127.0.0.1.example.com/", True),
        ("https://example.com/", True),
        ("ws://example.com/", True),
    ],
)
def test_leaves(url, away):
    assert leaves(url) is away


def test_pages_do_not_share_stores(new_page, good):
    one, other = new_page(), new_page()
    one.goto(good)
    other.goto(good)
    one.evaluate("localStorage.setItem('k', 'one')")
    assert other.evaluate("localStorage.getItem('k')") is None


def test_a_tab_keeps_nothing_from_test_to_test(chromium, good, tmp_path):
    leaving = (
        "addEventListener('pagehide', () => [localStorage, sessionStorage].forEach(s => s.setItem('a', 'b')))"
    )
    (tmp_path / "late.html").write_text(f"{GOOD}<script>{leaving}</script>")
    tabs = Tabs(chromium)
    first = tabs.lend(Watch(), viewport={"width": 360, "height": 640}, color_scheme="dark")
    first.page.goto((tmp_path / "late.html").as_uri())
    first.page.evaluate("localStorage.kept = sessionStorage.kept = 'one'; name = 'one'")
    first.page.emulate_media(media="print")
    first.page.context.new_page()
    tabs.take_back(first)
    second = tabs.lend(Watch())
    assert second is first
    second.page.goto(good)
    assert second.page.evaluate("[localStorage.length, sessionStorage.length, innerWidth]") == [0, 0, 1280]
    assert second.page.evaluate("history.length") == 2  # the blank page and this one
    assert not second.page.evaluate("matchMedia('print, (prefers-color-scheme: dark)').matches")
    assert len(second.page.context.pages) == 1
    assert first.watch.requests == [good]
    tabs.take_back(second)
    tabs.close()


@pytest.mark.parametrize(
    "change",
    [
        lambda page: page.add_init_script("1"),
        lambda page: page.clock.set_fixed_time("2026-03-02T09:00:00"),
        lambda page: page.on("dialog", lambda dialog: None),
        lambda page: page.close(),
        lambda page: page.context.route("**/x", lambda route: None),
    ],
    ids=["script", "clock", "listener", "closed", "route"],
)
def test_a_tab_with_what_cannot_be_taken_back_goes(chromium, good, change):
    tabs = Tabs(chromium)
    first = tabs.lend(Watch())
    first.page.goto(good)
    change(first.page)
    tabs.take_back(first)
    second = tabs.lend(Watch())
    assert second is not first
    second.close()


def test_new_page_takes_options(new_page, good):
    page = new_page(color_scheme="dark", viewport={"width": 360, "height": 640})
    page.goto(good)
    assert page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches && innerWidth") == 360


def test_axe_finds_serious_violations_even_under_a_strict_policy(page, tmp_path):
    policy = "<meta http-equiv=Content-Security-Policy content=\"script-src 'self'\">"
    (tmp_path / "bad.html").write_text(
        f"<!doctype html><html lang=en>{policy}<title>Bad</title><main><h1>Bad</h1><img src='data:,'></main>"
    )
    page.goto((tmp_path / "bad.html").as_uri())
    found = axe_violations(page)
    assert [line.split(":")[0] for line in found] == ["image-alt (critical)"]
    assert axe_violations(page, "h1") == []


def test_axe_finds_every_combination_of_colours_without_contrast(page, tmp_path):
    grey = "<p style='color:#999'>low</p>"
    (tmp_path / "bad.html").write_text(
        f"{GOOD}<style>p {{ color: #333 }}</style><p>well</p>{grey}{grey}"
        f"<section style='background:#111'>{grey}<p class=dark>dark on dark</p></section>"
        "<section style='opacity:.3'><p class=thin>thin</p></section>"
    )
    page.goto((tmp_path / "bad.html").as_uri())
    found = axe_violations(page, contrast_only=True)
    assert [line.split(": ")[-1] for line in found] == [
        '<p style="color:#999">low</p>',
        '<p class="dark">dark on dark</p>',
        '<p class="thin">thin</p>',
    ]
    assert axe_violations(page) == found


def test_axe_asks_again_for_what_has_not_passed(page, tmp_path):
    """A look that passed on a page is good on the next one; one that failed is not, nor any in the dark."""
    shown = """<!doctype html><html lang=en><title>x</title><link rel=icon href=data:,><style>
        @media (prefers-color-scheme: dark) { #good { color: #444; background: #333 } }</style>
        <main><h1>x</h1><p id=good style="font-size: 17.25px">Text</p>
        <p id=bad style="color: #ddd; font-size: 17.25px">Text</p></main>"""
    (tmp_path / "x.html").write_text(shown)
    for _ in range(2):
        page.goto((tmp_path / "x.html").as_uri())
        (found,) = axe_violations(page, contrast_only=True)
        assert 'id="bad"' in found
    page.emulate_media(color_scheme="dark")
    assert any('id="good"' in found for found in axe_violations(page, contrast_only=True))


def test_axe_passes_a_good_page(page, good):
    page.goto(good)
    assert axe_violations(page) == []


def test_print_counts_sheets(page, tmp_path):
    (tmp_path / "long.html").write_text(f"{GOOD}<p style='break-before:page'>Second sheet</p>")
    page.goto((tmp_path / "long.html").as_uri())
    pdf = print_pdf(page, tmp_path / "long.pdf")
    assert isinstance(pdf, PdfReader)
    assert len(pdf.pages) == 2
    assert "Second sheet" in pdf.pages[1].extract_text()
    width, height = (float(side) / 72 * 25.4 for side in pdf.pages[0].mediabox[2:])
    assert (round(width), round(height)) == (210, 297)


def test_sideways_names_what_is_too_wide(new_page, tmp_path, good):
    page = new_page(viewport={"width": 360, "height": 640})
    page.goto(good)
    assert sideways(page) == []
    (tmp_path / "wide.html").write_text(
        f"{GOOD}<div style='overflow-x:auto'><p style='width:900px'>scrolls by itself</p></div>"
        "<p class=wide style='width:500px'><b style='display:block'>x</b></p>"
    )
    page.goto((tmp_path / "wide.html").as_uri())
    assert sideways(page) == ["p.wide to 508 of 360 px"]


def test_a_page_is_asked_as_it_stands_at_each_width(page, tmp_path):
    """Its own state, its style sheet, what stands in the top layer; and it is left as it was."""
    shown = """<!doctype html><html lang=en><title>x</title><link rel=icon href=data:,>
        <link rel=stylesheet href=x.css><main><h1>x</h1><p>y</p><input><dialog>z</dialog>
        <select><option>a<option>b</select></main>
        <script>document.querySelector('p').style.width = '40vw';
        document.querySelector('select').value = 'b';
        document.querySelector('dialog').showModal();</script>"""
    (tmp_path / "x.html").write_text(shown)
    (tmp_path / "x.css").write_text("@media (max-width: 500px) { h1 { width: 480px } }")
    page.goto((tmp_path / "x.html").as_uri())
    found = at_widths(
        page,
        (400, 600),
        """document => [document.querySelector('p').offsetWidth,
        document.compatMode, document.querySelector('dialog').matches(':modal'),
        document.querySelector('select').value]""",
    )
    assert found == {400: [160, "CSS1Compat", True, "b"], 600: [240, "CSS1Compat", True, "b"]}
    assert sideways_at(page, (400, 470, 500, 600)) == {
        400: ["h1 to 488 of 400 px"],
        470: ["h1 to 488 of 470 px"],
    }
    assert page.evaluate("[document.querySelector('iframe'), innerWidth]") == [None, 1280]
