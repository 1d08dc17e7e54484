"""What every page must keep, in any browser: no request outside, no error, no sideways scroll, accessible."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import urlsplit

import axe_playwright_python
from playwright.sync_api import BrowserContext, Error, Page
from pypdf import PdfReader

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
PATIENCE = 20.0  # seconds
LOOPBACK = {"127.0.0.1", "localhost", "::1"}
# What is smaller than so many pixels on a page, labels of drawings, too. On paper, 8 pt are 10.67 px.
SMALL_TEXT = """(least, document = window.document) => {
    const found = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode, element = text.parentElement, range = document.createRange();
        range.selectNode(text);
        const seen = element.checkVisibility() && range.getBoundingClientRect().width >= 2;
        if (!text.data.trim() || !seen) continue;
        if (element.closest('title, desc, script')) continue;
        const drawing = element.closest('svg'), matrix = drawing && element.getScreenCTM();
        const scale = drawing ? Math.hypot(matrix.a, matrix.b) : 1;
        const size = parseFloat(getComputedStyle(element).fontSize) * scale;
        if (size < least) found.push(`${size.toFixed(1)} px: ${text.data.trim().slice(0, 40)}`);
    }
    return found;
}"""
# Made inside the page or the browser; nothing is asked from anybody.
INTERNAL = {"about", "blob", "chrome", "data", "resource"}


class Evaluates(Protocol):
    """A page of any browser."""

    def evaluate(self, expression: str, arg: Any = None, /) -> Any: ...


class Watch:
    """What a page did: every address that it asked for, and every error that it met."""

    def __init__(self) -> None:
        self.requests: list[str] = []
        self.errors: list[str] = []

    def follow(self, context: BrowserContext) -> None:
        """Note every request and every error of a Chromium context's pages."""
        follow(context, lambda: self)

    @property
    def outside(self) -> list[str]:
        """Requests that left the page's own disk or loopback server."""
        return [url for url in self.requests if leaves(url)]

    def verify(self) -> None:
        """Fail when the page asked anybody else for anything, or met an error."""
        assert not self.outside, f"requests that left the page: {self.outside}"
        assert not self.errors, "errors in the page:\n" + "\n".join(self.errors)


def follow(context: BrowserContext, watch: Callable[[], Watch]) -> None:
    """Note what a Chromium context's pages do in the watch that is on duty."""
    context.on("request", lambda request: watch().requests.append(request.url))
    context.on("weberror", lambda error: watch().errors.append(str(error.error)))
    context.on("console", lambda said: watch().errors.append(said.text) if said.type == "error" else None)
    context.on("page", lambda page: page.on("websocket", lambda socket: watch().requests.append(socket.url)))


def leaves(url: str) -> bool:
    """Whether an address is neither on disk nor on this machine's loopback."""
    parts = urlsplit(url)
    return not (parts.scheme in INTERNAL or parts.scheme == "file" or parts.hostname in LOOPBACK)


def wait_until(page: Page, condition: str) -> None:
    """Wait until an expression is truthy in a page of Chromium, over page loads too.

    The pages' policy forbids what `Page.wait_for_function` does after its first look.
    """
    end = time.monotonic() + PATIENCE
    while True:
        try:
            if page.evaluate(condition):
                return
            trouble = "it stayed false"
        except Error as error:  # the page is changing, or not ready for the question
            trouble = error.message
        assert time.monotonic() < end, f"waited {PATIENCE} s in vain for {condition}: {trouble}"
        page.wait_for_timeout(10)


def reload_page(page: Page) -> None:
    """Load a page of Chromium again, as soon as a hand can.

    Chromium hears of a page's new address and of what its tab keeps by messages that a driver's own can
    overtake.
    """
    page.wait_for_timeout(50)
    page.reload()


# Every rule but contrast on all elements. Contrast takes four fifths of axe's time and comes of colours,
# size and weight alone: it is asked of one element for each combination of these that the page has, and of
# none that has passed on an earlier page of the run.
_AXE_RUN = """async ({context, contrastOnly, passed}) => {
    const root = context ? document.querySelector(context) : document;
    const dark = matchMedia('(prefers-color-scheme: dark)').matches;
    const known = new Set(passed);
    const grounds = new Map();
    const ground = element => {
        if (!element) return '';
        if (!grounds.has(element)) {
            const {backgroundColor, backgroundImage, opacity} = getComputedStyle(element);
            const own = [backgroundColor, backgroundImage, opacity].join(' ');
            const bare = own === 'rgba(0, 0, 0, 0) none 1';
            grounds.set(element, ground(element.parentElement) + (bare ? '' : own + '/'));
        }
        return grounds.get(element);
    };
    const worded = element => element.matches('input, select, textarea')
        || [...element.childNodes].some(node => node.nodeType === Node.TEXT_NODE && node.data.trim());
    const shown = new Map();
    for (const element of root.querySelectorAll('*')) {
        if (!element.checkVisibility() || !worded(element)) continue;
        const {color, fontSize, fontWeight, textShadow} = getComputedStyle(element);
        const off = element.closest(':disabled, [aria-disabled=true]') !== null;
        const look = [dark, off, color, fontSize, fontWeight, textShadow, ground(element)].join('|');
        if (!shown.has(look) && !known.has(look)) shown.set(look, element);
    }
    const options = {resultTypes: ['violations'], preload: false};
    const found = [];
    if (!contrastOnly) {
        const rules = {'color-contrast': {enabled: false}};
        found.push(...(await axe.run(context || document, {...options, rules})).violations);
    }
    const good = [];
    if (shown.size) {
        const asked = {resultTypes: ['violations', 'passes'], preload: false, elementRef: true};
        const include = [...shown.values()];
        const {violations, passes} = await axe.run({include}, {...asked, runOnly: ['color-contrast']});
        const sound = new Set(passes.flatMap(({nodes}) => nodes.map(({element}) => element)));
        good.push(...[...shown].filter(([, element]) => sound.has(element)).map(([look]) => look));
        found.push(...violations);
    }
    return [found.map(({id, impact, help, nodes}) =>
        ({id, impact, help, html: nodes.map(({html}) => html)})), good];
}"""
# Looks of text that have passed in this process: a look is the same on any page.
_passed: set[str] = set()


def axe_violations(
    page: Evaluates, context: str | None = None, *, contrast_only: bool = False, moderate: bool = False
) -> list[str]:
    """Serious and critical violations that axe-core finds on a page (or in a CSS selector), one a line.

    `contrast_only`: for a page that differs only by its colours from one that was looked at whole.
    `moderate`: moderate and minor ones, too.
    """
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(f"() => {{ {AXE}; }}")
    asked = {"context": context, "contrastOnly": contrast_only, "passed": sorted(_passed)}
    found, good = page.evaluate(_AXE_RUN, asked)
    _passed.update(good)
    return [
        f"{violation['id']} ({violation['impact']}): {violation['help']}: {html}"
        for violation in found
        if moderate or violation["impact"] in {"serious", "critical"}
        for html in violation["html"]
    ]


def print_pdf(page: Page, path: Path) -> PdfReader:
    """Print a page of Chromium on A4 as a reader would, and open the PDF; `len(pdf.pages)` counts sheets."""
    page.pdf(path=path, format="A4", print_background=False, prefer_css_page_size=True)
    return PdfReader(path)


# What makes a page scroll sideways at its present width.
_SIDEWAYS = """document => {
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= width) return [];
    const right = element => element.getBoundingClientRect().right;
    const scrolls = element => element && element !== document.body
        && (getComputedStyle(element).overflowX !== 'visible' || scrolls(element.parentElement));
    const wide = [...document.body.querySelectorAll('*')].filter(element =>
        right(element) > width + 1 && right(element.parentElement) <= width + 1
        && !scrolls(element.parentElement));
    const name = element => element.tagName.toLowerCase()
        + [...element.classList].map(c => '.' + c).join('')
        + ' to ' + Math.round(right(element)) + ' of ' + width + ' px';
    return wide.length ? wide.map(name) : ['the page itself'];
}"""


def sideways(page: Evaluates) -> list[str]:
    """What makes a page scroll sideways at its present width, outermost first; nothing when it does not."""
    return [str(line) for line in page.evaluate(f"() => ({_SIDEWAYS})(document)")]


# A copy of the page as it stands, without its scripts, in a frame that is never painted: a width takes a
# tenth of what it takes to resize a tab.
_AT_WIDTHS = """async ([widths, asked]) => {
    const ask = eval(asked), whole = document.documentElement.cloneNode(true);
    whole.querySelectorAll('iframe, script').forEach(one => one.remove());
    const modal = [...document.querySelectorAll('dialog')].map(one => one.matches(':modal'));
    const chosen = [...document.querySelectorAll('select')].map(one => one.selectedIndex);
    const active = document.activeElement, frame = document.createElement('iframe');
    frame.style = 'position: fixed; left: 0; top: 0; border: 0; height: 900px; visibility: hidden';
    document.documentElement.append(frame);
    const copy = frame.contentDocument;
    copy.open();
    copy.write('<!doctype html><title>-</title>');
    copy.close();
    const sheets = [...whole.querySelectorAll('link[rel~=stylesheet]')].map(sheet =>
        new Promise((loaded, failed) => Object.assign(sheet, {onload: loaded, onerror: failed})));
    copy.replaceChild(copy.adoptNode(whole), copy.documentElement);
    await Promise.all(sheets);
    copy.querySelectorAll('select').forEach((one, n) => { one.selectedIndex = chosen[n]; });
    copy.querySelectorAll('dialog').forEach((one, n) => {
        if (!modal[n]) return;
        one.open = false;
        one.showModal();
        active.focus({preventScroll: true});
    });
    copy.documentElement.getBoundingClientRect();
    await copy.fonts.ready;
    const found = widths.map(width => {
        frame.style.width = `${width}px`;
        const {innerWidth} = frame.contentWindow, {clientWidth} = copy.documentElement;
        if (innerWidth !== width || clientWidth !== width) throw new Error(`not ${width} px`);
        return ask(copy);
    });
    frame.remove();
    return found;
}"""


def at_widths(page: Page, widths: Iterable[int], asked: str) -> dict[int, Any]:
    """What a function in JavaScript says of a Chromium page's document, as it stands, at each width.

    Widths are the viewport's, in pixels: to media and container queries, to viewport units and to what
    scrolls. The page's scripts do not hear of it: what folds on a phone is as the page has it now. The copy
    has what is typed, ticked and chosen; not what `:target` and `:focus` match (but in an open dialog), how
    far anything is scrolled, or what a script has drawn on a canvas.
    """
    widths = list(widths)
    return dict(zip(widths, page.evaluate(_AT_WIDTHS, [widths, asked]), strict=True))


def sideways_at(page: Page, widths: Iterable[int]) -> dict[int, list[str]]:
    """What makes a page scroll sideways, as in `sideways`, at the widths at which something does."""
    return {width: found for width, found in at_widths(page, widths, _SIDEWAYS).items() if found}


def unfold(page: Page) -> None:
    """Open all that is folded, once the page's scripts have run."""
    page.locator("#scheme").wait_for()
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")


def in_sight(page: Page, selector: str, below: float = 0) -> bool:
    """Whether an element lies on the screen as it is scrolled; so many px at its top are covered."""
    box = page.locator(selector).bounding_box()
    assert box is not None, f"{selector} is not shown"
    height: float = page.evaluate("window.innerHeight")
    return below <= box["y"] and box["y"] + box["height"] <= height
