"""The built site as a whole: every link leads somewhere, and nothing in it needs the network."""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from functools import cache
from html.parser import HTMLParser
from urllib.parse import unquote, urljoin, urlsplit

import pytest

from benchlore.site.build import build_site
from benchlore.site.errors import BuildError
from benchlore.site.plugin import POLICY
from tests.site.small_book import book as small_book

VOID = {"meta", "link", "img", "input", "br", "hr", "col", "source", "wbr", "area", "base", "embed", "track"}


TAG = re.compile(
    r"<!--.*?-->|<![a-z][^>]*>|<[/a-z](?:[^>\"']|\"[^\"]*\"|'[^']*')*>", re.IGNORECASE | re.DOTALL
)


class Tag(HTMLParser):
    """One tag. Most stand on many pages, letter for letter: each is read once (`tag`)."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.name = ""
        self.opens = self.closes = False
        self.ids: tuple[str, ...] = ()
        self.links: tuple[str, ...] = ()
        self.script: dict[str, str | None] | None = None
        self.handlers: tuple[str, ...] = ()
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.name, self.opens = tag, tag not in VOID
        self.ids = (found["id"],) if "id" in found else ()
        places = ("href", "src", "action", "poster", "srcset", "data")
        self.links = tuple(v or "" for k, v in attrs if k in places)
        self.handlers = tuple(f"{tag} {k}" for k in found if k.startswith("on") or k == "style")
        if tag in ("script", "style"):
            self.script = {"tag": tag, **found}

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        self.opens = False

    def handle_endtag(self, tag):
        self.name, self.closes = tag, True


tag = cache(Tag)


class Page:
    def __init__(self, path: str, text: str) -> None:
        self.ids: list[str] = []
        self.links: list[str] = []
        self.scripts: list[dict[str, str | None]] = []
        self.handlers: list[str] = []
        self.unclosed: list[str] = []
        self.gone = "This record has moved" in text or "This record was retired" in text
        self.loose = [found[:40] for found in re.findall(r"<.*", TAG.sub("", text))]
        open_: list[str] = []
        for one in map(tag, TAG.findall(text)):
            self.ids += one.ids
            self.links += one.links
            self.handlers += one.handlers
            if one.script:
                self.scripts.append(one.script)
            if one.opens:
                open_.append(one.name)
            elif one.closes and one.name in open_:
                while (last := open_.pop()) != one.name:
                    if last not in ("p", "li", "dt", "dd", "tr", "td", "th", "thead", "tbody", "option"):
                        self.unclosed.append(last)
        self.unclosed += open_
        self.known = frozenset(self.ids)
        self.path = path

    def target(self, link: str) -> str:
        """The path that a link leads to, quoted: alike for all pages of a folder, but to a page itself."""
        if not link or link[0] in "#?":
            return self.path
        return _target(posixpath.dirname(self.path), link)


@cache
def _target(folder: str, link: str) -> str:
    return urlsplit(urljoin(f"http://site/{folder}/", link)).path.lstrip("/")


def _lands(fragment: str, page: Page) -> bool:
    """An id of the page; what follows a `?`, or has a `=`, is a state that the page reads by itself."""
    name = unquote(fragment).partition("?")[0]
    return "=" in name or name in page.known


@pytest.fixture(scope="module")
def pages(each_site) -> dict[str, Page]:
    found = sorted(each_site.rglob("*.html"))
    names = [path.relative_to(each_site).as_posix() for path in found]
    return {
        name: Page(name, path.read_text(encoding="utf-8")) for name, path in zip(names, found, strict=True)
    }


def test_every_link_leads_to_a_file_and_every_fragment_to_an_id(each_site, pages):
    files = {path.relative_to(each_site).as_posix() for path in each_site.rglob("*") if path.is_file()}
    wrong = []
    for path, page in pages.items():
        for link in dict.fromkeys(page.links):
            parts = urlsplit(link)
            if parts.scheme == "https":
                continue
            there = unquote(page.target(link))
            if parts.scheme or parts.netloc or there not in files:
                wrong.append(f"{path}: {link}")
            elif parts.fragment and there in pages and not _lands(parts.fragment, pages[there]):
                wrong.append(f"{path}: {link} (no such id)")
    assert not wrong, "\n".join(wrong[:40])


def test_every_page_can_be_reached_from_home(pages):
    seen, todo = set(), ["index.html"]
    while todo:
        path = todo.pop()
        if path in seen:
            continue
        seen.add(path)
        for link in dict.fromkeys(pages[path].links):
            there = pages[path].target(link)
            if there in pages and not urlsplit(link).scheme:
                todo.append(there)
    left_behind = {path for path, page in pages.items() if page.gone}  # of who has an old address
    assert set(pages) - seen <= {"hub.html", *left_behind}


def test_ids_are_unique_and_tags_are_closed(pages):
    for path, page in pages.items():
        assert [name for name, count in Counter(page.ids).items() if count > 1] == [], path
        assert page.unclosed == [], path
        assert page.loose == [], path  # what begins no tag


def test_nothing_is_inline_and_nothing_comes_from_outside(pages):
    """What the policy forbids is not there in the first place; https links are for people to follow."""
    for path, page in pages.items():
        assert page.handlers == [], path
        for script in page.scripts:
            assert script["tag"] == "script", path
            assert script.get("src"), path
            assert not urlsplit(script["src"]).scheme, path
            assert not {"integrity", "crossorigin", "type"} & script.keys(), path


def test_every_page_carries_the_policy(each_site, pages):
    for path in pages:
        if path != "hub.html":
            text = (each_site / path).read_text(encoding="utf-8")
            assert f'http-equiv="Content-Security-Policy" content="{POLICY}"' in text, path
    assert "script-src 'self';" in POLICY
    assert "unsafe" not in POLICY


def test_style_sheets_ask_for_nothing_outside(each_site):
    for sheet in each_site.rglob("*.css"):
        for url in re.findall(r"url\(\s*['\"]?([^'\")]+)|@import\s+['\"]([^'\"]+)", sheet.read_text("utf-8")):
            assert not (url[0] or url[1]).startswith(("http:", "https:", "//")), f"{sheet.name}: {url}"


def test_every_page_says_that_local_codes_come_first_once(each_site, pages):
    for path in pages:
        if path != "hub.html":
            text = (each_site / path).read_text(encoding="utf-8")
            assert text.count("Local codes and licensed practice come first") == 1, path


def test_nothing_goes_out_that_no_page_loads(each_site, pages):
    """Scripts, style sheets, fonts and pictures: each named by a page, or loaded by a script."""
    later = {f"assets/js/{name}.js" for name in ("typed", "search-engine")}
    later |= {"assets/search-index.js", "assets/search-readings.js"}
    later |= {path.relative_to(each_site).as_posix() for path in each_site.glob("data/[bw]*/*.js")}
    named = {
        posixpath.normpath(posixpath.join(posixpath.dirname(path), link))
        for path, page in pages.items()
        for link in page.links
    }
    quiet = {".html", ".json", ".txt"}
    there = {
        path.relative_to(each_site).as_posix()
        for path in each_site.rglob("*.*")
        if path.is_file() and path.suffix not in quiet
    }
    assert sorted(there - named - later) == [".benchlore-site"]


def test_a_page_asks_for_one_style_sheet_and_one_script_beside_those_of_all_pages(each_site):
    for path in each_site.rglob("*.html"):
        if path.name != "hub.html":
            text = path.read_text(encoding="utf-8")
            by_hand = "md-typeset" in text  # stands in the theme's frame and typography
            assert text.count('rel="stylesheet"') <= 2 + by_hand, path.name
            assert len(re.findall(r"<script\b[^>]*/assets/js/|<script\b[^>]*\"assets/js/", text)) <= 3, (
                path.name
            )


def test_a_number_never_breaks_from_its_unit(each_site):
    """Readings are set on one line, and prose has a no-break space before a unit."""
    loose = re.compile(r">[^<]*\d (?:V|mV|A|mA|kohm|ohm|Hz|min|mm|degC|Ω|kΩ|°C)\b[^<]*<")
    for path in (path for nets in each_site.glob("*/nets") for path in nets.parent.glob("*.html")):
        text = path.read_text(encoding="utf-8")
        body = re.sub(r"<(title|desc|option|svg)\b.*?</\1>", "", text, flags=re.DOTALL)
        assert loose.findall(body) == [], path.name


def test_a_book_with_errors_is_not_rendered(tmp_path):
    root = small_book(tmp_path / "book", "Wren 5")
    fault = root / "faults/wren-5/fuse-open.yaml"
    fault.write_text(fault.read_text(encoding="utf-8").replace("symptom:", "symptoms:"), encoding="utf-8")
    with pytest.raises(BuildError, match=r"faults/wren-5/fuse-open.yaml:\d+:\d+: "):
        build_site(root, tmp_path / "site")
    assert not (tmp_path / "site/index.html").exists()
