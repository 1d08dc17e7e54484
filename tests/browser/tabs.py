"""One tab of Chromium for test after test: to make a tab takes as long as to load a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Error, Page, ViewportSize

from tests.browser.checks import Watch, follow

SCREEN: ViewportSize = {"width": 1280, "height": 800}
# What nobody can take back from a tab.
LASTING = ("add_init_script", "expose_binding", "expose_function", "on", "once", "route")
# A page that is left may still want to keep something. True when its clock is the real one.
FORGET = """() => {
    sessionStorage.clear();
    Storage.prototype.setItem = () => {};
    return !('__pwClock' in globalThis);
}"""


class Tab:
    """A tab with stores of its own."""

    def __init__(self, chromium: Browser, watch: Watch) -> None:
        self.watch = watch
        self._context = chromium.new_context(viewport=SCREEN)
        follow(self._context, lambda: self.watch)
        self.page: Page = self._context.new_page()
        self._tools = self._context.new_cdp_session(self.page)
        self._changed = False
        for one in (self.page, self._context):
            for name in LASTING:
                setattr(one, name, self._noting(getattr(one, name)))

    def _noting(self, method: Callable[..., Any]) -> Callable[..., Any]:
        def noted(*arguments: Any, **options: Any) -> Any:
            self._changed = True
            return method(*arguments, **options)

        return noted

    def wipe(self) -> bool:
        """Forget the page, its stores and its history; False where something would stay."""
        origins = {origin for url in self.watch.requests if (origin := _origin(url))}
        if self._changed or len(origins) > 1:  # a tab's own store of an earlier origin is out of reach
            return False
        try:
            for page in self._context.pages:
                if page is not self.page:
                    page.close()
            if not self.page.evaluate(FORGET):
                return False
            self.page.goto("about:blank")
            for origin in origins:
                self._tools.send("Storage.clearDataForOrigin", {"origin": origin, "storageTypes": "all"})
            self._tools.send("Page.resetNavigationHistory")
        except Error:  # a page that is gone, or one without stores
            return False
        return True

    def close(self) -> None:
        self._context.close()


class Tabs:
    """The tab that waits for the next test."""

    def __init__(self, chromium: Browser) -> None:
        self._chromium = chromium
        self._free: Tab | None = None

    def lend(self, watch: Watch, viewport: ViewportSize = SCREEN, color_scheme: Any = "light") -> Tab:
        """A tab on which nothing was done."""
        tab, self._free = self._free or Tab(self._chromium, watch), None
        tab.watch = watch
        tab.page.set_viewport_size(viewport)
        tab.page.emulate_media(color_scheme=color_scheme, media="null")
        return tab

    def take_back(self, tab: Tab) -> None:
        """Keep a tab for the next test, wiped; one that cannot be wiped goes."""
        if tab.wipe():
            self._free = tab
        else:
            tab.close()

    def close(self) -> None:
        if self._free:
            self._free.close()


def _origin(url: str) -> str | None:
    """The origin that owns an address's stores; None for what has none."""
    parts = urlsplit(url)
    if parts.scheme == "file":
        return "file://"
    return f"{parts.scheme}://{parts.netloc}" if parts.scheme in ("http", "https") else None
