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
SMALL_TEXT = """least => {
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


# Every rule but contrast on all elements. Contrast takes four fifths of axe's time and comes of colours, size
# and weight alone: it is asked of one element for each combination of these that the page has.
_AXE_RUN = """async ({context, contrastOnly}) => {
    const root = context ? document.querySelector(context) : document;
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
        const look = [color, fontSize, fontWeight, textShadow, ground(element)].join('|');
        if (!shown.has(look)) shown.set(look, element);
    }
    const options = {resultTypes: ['violations'], preload: false};
    const found = [];
    if (!contrastOnly) {
        const rules = {'color-contrast': {enabled: false}};
        found.push(...(await axe.run(context || document, {...options, rules})).violations);
    }
    if (shown.size) {
        const include = [...shown.values()];
        found.push(...(await axe.run({include}, {...options, runOnly: ['color-contrast']})).violations);
    }
    return found;
}"""


def axe_violations(
    page: Evaluates, context: str | None = None, *, contrast_only: bool = False, moderate: bool = False
) -> list[str]:
    """Serious and critical violations that axe-core finds on a page (or in a CSS selector), one a line.

    `contrast_only`: for a page that differs only by its colours from one that was looked at whole.
    `moderate`: moderate and minor ones, too.
    """
    page.evaluate(f"() => {{ window.axe ?? (() => {{ {AXE}; }})(); }}")
    found = page.evaluate(_AXE_RUN, {"context": context, "contrastOnly": contrast_only})
    return [
        f"{violation['id']} ({violation['impact']}): {violation['help']}: {node['html']}"
        for violation in found
        if moderate or violation["impact"] in {"serious", "critical"}
        for node in violation["nodes"]
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


# The empty page around a frame; the tests' server has it, not the site.
AROUND = "around-a-frame.html"
# Never painted at any width but the first, which is what a tab that is resized spends its time on.
_FRAME = """url => new Promise(loaded => {
    const frame = document.createElement('iframe');
    frame.style = 'position: absolute; left: 0; top: 0; border: 0; width: 360px; height: 900px';
    frame.onload = () => loaded();
    frame.src = url;
    document.body.replaceChildren(frame);
})"""
_AT_WIDTHS = """([widths, asked]) => {
    const frame = document.querySelector('iframe'), ask = eval(asked);
    return widths.map(width => {
        frame.style.width = `${width}px`;
        const {innerWidth, document: {documentElement}} = frame.contentWindow;
        if (innerWidth !== width || documentElement.clientWidth !== width) throw new Error(`not ${width} px`);
        return ask(frame.contentDocument);
    });
}"""


class Framed:
    """A page in a frame, for what is asked of it at many widths: a quarter of what resizing a tab takes.

    The width of its frame is a page's viewport, to media and container queries, to viewport units and to what
    scrolls. Scripts hear of a width with the next picture alone, so nothing that is open closes meanwhile.
    """

    def __init__(self, page: Page, site: str, path: str) -> None:
        """`site`: its address on loopback: what is in the frame of a file is out of reach."""
        if not page.url.startswith(site):
            page.goto(site + AROUND)
        page.evaluate(_FRAME, site + path)
        self.page = page
        (self.frame,) = page.main_frame.child_frames

    def unfold(self) -> None:
        """Open all that is folded, once the page's scripts have run."""
        self.frame.locator("#scheme").wait_for()
        self.frame.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")

    def at(self, widths: Iterable[int], asked: str) -> dict[int, Any]:
        """What a function in JavaScript says of the page's document at each width, in pixels."""
        widths = list(widths)
        return dict(zip(widths, self.page.evaluate(_AT_WIDTHS, [widths, asked]), strict=True))

    def sideways(self, widths: Iterable[int]) -> dict[int, list[str]]:
        """What makes it scroll sideways, as in `sideways`, at the widths at which something does."""
        return {width: found for width, found in self.at(widths, _SIDEWAYS).items() if found}
