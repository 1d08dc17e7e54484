"""The tools of the Firefox tests do what the tests believe: they see, they fail, they keep."""

from __future__ import annotations

import pytest
from pypdf import PdfReader

from tests.browser.checks import axe_violations, sideways
from tests.browser.firefox import FirefoxError, FirefoxPage

FORM = """<!doctype html><html lang=en><title>Form</title><main><h1>Form</h1>
<label>Reading <input id=reading></label><label>File <input id=file type=file></label>
<p style="height: 3000px">tall</p><button id=low>Take</button>
<a id=next href=next.html>next</a><output id=out></output></main>
<script>
const reading = document.querySelector('#reading'), out = document.querySelector('#out');
let last = [];
document.querySelector('#low').onclick = () => { out.textContent = 'took ' + reading.value; };
reading.onkeydown = event => { last.push((event.ctrlKey ? 'ctrl ' : '') + event.key); };
</script>"""


@pytest.fixture
def form(tmp_path):
    (tmp_path / "form.html").write_text(FORM)
    (tmp_path / "next.html").write_text("<!doctype html><title>Next</title><p>there</p>")
    return (tmp_path / "form.html").as_uri()


def test_a_reader_types_presses_and_clicks(firefox_page, form):
    firefox_page.goto(form)
    firefox_page.click("#reading")
    firefox_page.type("8,41 V µ")
    assert firefox_page.evaluate("reading.value") == "8,41 V µ"
    firefox_page.evaluate("() => { last = []; }")
    for keys in ("Control+a", "Delete", "/", "+", "Enter", "ArrowDown", "Escape"):
        firefox_page.press(keys)
    pressed = ["ctrl Control", "ctrl a", "Delete", "/", "+", "Enter", "ArrowDown", "Escape"]
    assert firefox_page.evaluate("last") == pressed
    firefox_page.click("#low")
    assert firefox_page.text("#out") == "took /+"
    firefox_page.click("#next")
    firefox_page.wait_for("document.title === 'Next'")
    assert firefox_page.text("p") == "there"
    firefox_page.back()
    assert firefox_page.url == form
    assert firefox_page.texts("label") == ["Reading", "File"]


def test_evaluate_takes_an_argument_and_waits_for_promises(firefox_page, form):
    firefox_page.goto(form)
    assert firefox_page.evaluate("async a => ({sum: a[0] + a[1]})", [1, 2]) == {"sum": 3}
    assert firefox_page.evaluate("undefined") is None
    with pytest.raises(FirefoxError, match="no such thing"):
        firefox_page.evaluate("Promise.reject(new Error('no such thing'))")


def test_what_does_not_come_is_said(firefox_page, form):
    firefox_page.goto(form)
    with pytest.raises(FirefoxError, match=r"form\.html for 1 > 2: it stayed false"):
        firefox_page.wait_for("1 > 2", timeout=0.1)
    firefox_page.evaluate("() => { document.body.style.display = 'none'; }")
    with pytest.raises(FirefoxError, match="#low is not visible"):
        firefox_page.click("#low", timeout=0.1)


def test_files_are_chosen_and_saved(firefox_page, form, tmp_path):
    firefox_page.goto(form)
    (tmp_path / "job.json").write_text("{}")
    firefox_page.set_files("#file", [tmp_path / "job.json"])
    assert firefox_page.evaluate("document.querySelector('#file').files[0].name") == "job.json"
    firefox_page.evaluate(
        """() => { const link = document.createElement('a'); link.download = 'saved.txt';
                   link.href = URL.createObjectURL(new Blob(['kept'])); link.click(); }"""
    )
    assert firefox_page.download().read_text() == "kept"


def test_pages_do_not_share_stores(firefox, form):
    one, other = (FirefoxPage(firefox, isolated=True) for _ in range(2))
    one.goto(form)
    other.goto(form)
    one.evaluate("localStorage.setItem('k', 'one')")
    assert other.evaluate("localStorage.getItem('k')") is None
    one.close()
    other.close()


@pytest.mark.parametrize(
    ("script", "complaint"),
    [
        ("fetch('http://example.com/x', {mode: 'no-cors'}).catch(() => 0)", "http://example.com/x"),
        ("throw new Error('boom')", "boom"),
        ("console.error('burnt')", "burnt"),
    ],
)
def test_watch_fails_for(firefox, tmp_path, script, complaint):
    (tmp_path / "bad.html").write_text(f"<!doctype html><title>Bad</title><script>{script}</script>")
    page = FirefoxPage(firefox, isolated=True)
    page.goto((tmp_path / "bad.html").as_uri())
    page.close()
    with pytest.raises(AssertionError, match=complaint):
        page.watch.verify()


def test_the_same_checks_serve_both_browsers(firefox_page, form, tmp_path):
    firefox_page.set_viewport(360, 640)
    firefox_page.goto(form)
    assert axe_violations(firefox_page) == []
    assert sideways(firefox_page) == []
    firefox_page.screenshot(tmp_path / "page.png")
    assert (tmp_path / "page.png").read_bytes()[1:4] == b"PNG"
    firefox_page.pdf(tmp_path / "page.pdf")
    assert len(PdfReader(tmp_path / "page.pdf").pages) > 1


def test_loopback_is_reached(firefox_page, form, serve, tmp_path):
    base = serve(tmp_path)
    firefox_page.goto(base + "form.html")
    assert base + "form.html" in firefox_page.seen().requests
