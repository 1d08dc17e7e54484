"""Prose fields become a little HTML and nothing else."""

from __future__ import annotations

import html
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.site.prose import inline, prose, safe_target

ALLOWED = {"p", "em", "strong", "code", "a", "ul", "ol", "li", "br"}


class Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


def tags(markup: str) -> list[tuple[str, dict[str, str | None]]]:
    seen = Seen()
    seen.feed(markup)
    seen.close()
    return seen.tags


def test_the_markdown_that_a_record_may_use():
    text = "Unplug *both*, then **wait**.\n\n- read `MAIN`\n- see [the test](techniques/junction-test.html)"
    assert prose(text, "../") == (
        "<p>Unplug <em>both</em>, then <strong>wait</strong>.</p>\n<ul>\n<li>read <code>MAIN</code></li>\n"
        '<li>see <a href="../techniques/junction-test.html">the test</a></li>\n</ul>'
    )


def test_a_link_to_an_https_page_tells_it_nothing():
    assert inline("[source](https://example.org/a?b=1&c=2)") == (
        '<a href="https://example.org/a?b=1&amp;c=2" rel="noopener noreferrer">source</a>'
    )


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "<b onmouseover='alert(1)'>hover</b>",
        "[click](javascript:alert(1))",
        "[click](JaVaScRiPt:alert(1))",
        "[click](java&#115;cript:alert(1))",
        "[click](<javascript:alert(1)>)",
        "[click](data:text/html,<script>alert(1)</script>)",
        "[click](vbscript:x)",
        "[click](file:///etc/passwd)",
        "[click](http://example.org/)",
        "[click](//example.org/)",
        "[click](\\\\example.org\\x)",
        "[click](../../../etc/passwd)",
        "[click][1]\n\n[1]: javascript:alert(1)",
        "<https://example.org/>",
        "<javascript:alert(1)>",
        '[a](https://example.org "x\\" onclick=alert(1) y")',
        "</p></div></article><h1>broken",
        "<!-- <table><tr>",
        "<style>*{display:none}</style>",
        "<a href='x' style='position:fixed'>",
        "&lt;script&gt;alert(1)&lt;/script&gt;",
        "\x00<scr\x00ipt>",
        "`<script>`",
    ],
)
def test_hostile_text_stays_text(hostile):
    for markup in (prose(hostile, "../"), inline(hostile, "../")):
        for tag, attributes in tags(markup):
            assert tag in ALLOWED, markup
            assert set(attributes) <= ({"href", "rel", "title"} if tag == "a" else set()), markup
            if tag == "a":
                assert (attributes["href"] or "").startswith(("https://", "../")), markup
        assert "<script" not in markup


@given(st.text())
def test_no_text_makes_a_tag_of_its_own(text):
    for tag, attributes in tags(inline(text)):
        assert tag in ALLOWED
        assert set(attributes) <= {"href", "rel", "title"}


@given(st.text(alphabet="abc <>&\"'=/", max_size=40))
def test_nothing_is_lost(text):
    """What a reader sees is what was written, up to white space."""
    shown = html.unescape(str(inline(text)))
    assert shown.split() == text.split()


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("about 8.4 V here", "about 8.4\u00a0V here"),
        ("2.2 kohm or 4.7 uF", "2.2\u00a0kohm or 4.7\u00a0uF"),
        ("60 degC, 5 min, 41 mm", "60\u00a0degC, 5\u00a0min, 41\u00a0mm"),
        ("5 Volts of 3 Vikings", "5 Volts of 3 Vikings"),
    ],
)
def test_a_number_keeps_its_unit(text, shown):
    assert inline(text) == shown


def test_targets():
    assert safe_target("https://example.org")
    assert safe_target("techniques/x.html#steps")
    for refused in ("http://x", "javascript:1", "../x", "a/../../x", "/x", "//x", "#x", "?x", "\\x"):
        assert not safe_target(refused), refused


def test_a_target_is_judged_as_a_browser_reads_it():
    """`%2e` in a path segment is a dot (WHATWG URL Standard, section 4.1)."""
    assert safe_target("techniques/50%25-duty.html")
    for refused in ("%2e%2e/x", ".%2E/x", "a/%2e%2e/%2e./x", "%2fx", "%5cx", "javascript%3a1", "..%2fx"):
        assert not safe_target(refused), refused
    assert "<a" not in inline("[out](%2e%2e/other.html)")
