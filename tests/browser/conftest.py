"""Browsers, the built site, and pages that are watched for requests and errors."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, expect, sync_playwright

import browsers
from tests.browser.checks import PATIENCE, Watch
from tests.browser.firefox import Firefox, FirefoxPage
from tests.browser.tabs import SCREEN, Tab, Tabs

# As long in Chromium as in Firefox: a limit a loaded machine could miss is no property of the pages.
expect.set_options(timeout=PATIENCE * 1000)

# Chromium asks nobody by itself, and a page that asks outside gets no answer.
CHROMIUM_FLAGS = [
    "--disable-background-networking",
    "--disable-component-update",
    # Popups of the address bar and a spare process for every new window: half the time of a context. This
    # takes the place of Playwright's own list, so the rest is as a user's browser has it.
    "--disable-features=WebUIOmniboxPopup,WebUIOmniboxAimPopup,SpareRendererForSitePerProcess",
    "--disable-gpu",
    "--disable-quic",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
    "--no-first-run",
]


@pytest.fixture(scope="session")
def file_url(site: Path) -> Callable[..., str]:
    """`file_url("siskin-12/index.html")` is that page's address on disk."""
    return lambda path="index.html": f"{site.as_uri()}/{path}"


@pytest.fixture(scope="session")
def http_url(site: Path, serve: Callable[[Path], str]) -> Callable[..., str]:
    """`http_url("siskin-12/index.html")` is that page's address on a loopback server."""
    base = serve(site)
    return lambda path="index.html": base + path


@pytest.fixture(params=["file", "http"])
def site_url(request: pytest.FixtureRequest) -> Callable[..., str]:
    """Both ways to reach a page: the test runs once for each."""
    url: Callable[..., str] = request.getfixturevalue(f"{request.param}_url")
    return url


@pytest.fixture(scope="session")
def serve() -> Iterator[Callable[[Path], str]]:
    """`serve(folder)` serves a folder on loopback; the result is its address, with a closing slash."""
    servers = []

    def start(folder: Path) -> str:
        handler = functools.partial(SilentHandler, directory=str(folder))
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
        thread.start()
        servers.append((server, thread))
        return f"http://127.0.0.1:{server.server_address[1]}/"

    yield start
    for server, thread in servers:
        server.shutdown()
        thread.join()
        server.server_close()


class SilentHandler(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *args: Any) -> None:
        """The browser's errors tell more than the server's log."""


@pytest.fixture(scope="session")
def browsers_wanted(pytestconfig: pytest.Config) -> None:
    """No browser starts in a run that asks for none."""
    if pytestconfig.getoption("--no-browser"):
        pytest.fail("this test starts a browser and has neither of the markers 'browser' and 'firefox'")


@pytest.fixture(scope="session")
def playwright(browsers_wanted: None) -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def chromium_options() -> dict[str, Any]:
    """How to launch the installed Chromium, Chrome or Edge; Playwright's own where there is none."""
    return {"executable_path": browsers.find("chromium"), "args": CHROMIUM_FLAGS, "headless": True}


@pytest.fixture(scope="session")
def chromium(playwright: Playwright, chromium_options: dict[str, Any]) -> Iterator[Browser]:
    try:
        browser = playwright.chromium.launch(**chromium_options)
    except Error:
        if chromium_options["executable_path"] is None:  # nor has Playwright one of its own
            pytest.skip(browsers.missing("chromium"))
        raise
    yield browser
    browser.close()


@pytest.fixture
def watch() -> Iterator[Watch]:
    """What the test's pages of Chromium did; the test fails for any request outside and any error."""
    watch = Watch()
    yield watch
    watch.verify()


@pytest.fixture(scope="session")
def tabs(chromium: Browser) -> Iterator[Tabs]:
    tabs = Tabs(chromium)
    yield tabs
    tabs.close()


@pytest.fixture
def new_page(chromium: Browser, tabs: Tabs, watch: Watch) -> Iterator[Callable[..., Page]]:
    """`new_page(color_scheme="dark", viewport=...)`: a watched page with stores of its own."""
    contexts: list[BrowserContext] = []
    lent: list[Tab] = []

    def make(**options: Any) -> Page:
        if not lent and options.keys() <= {"viewport", "color_scheme"}:
            lent.append(tabs.lend(watch, **options))
            return lent[0].page
        context = chromium.new_context(**{"viewport": SCREEN, **options})
        contexts.append(context)
        watch.follow(context)
        return context.new_page()

    yield make
    for context in contexts:
        context.close()
    for tab in lent:
        tabs.take_back(tab)


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """A watched page of Chromium, 1280 x 800, with stores of its own."""
    return new_page()


class ChromiumProfile:
    """A Chromium with a profile on disk: `page` is its page, `reopen()` quits it and starts it again."""

    def __init__(self, launch: Callable[[], BrowserContext], watch: Watch) -> None:
        self._launch = launch
        self._watch = watch
        self._start()

    def _start(self) -> None:
        self._context = self._launch()
        self._watch.follow(self._context)
        self.page = self._context.pages[0]

    def reopen(self) -> None:
        self.close()
        self._start()

    def close(self) -> None:
        self._context.close()


@pytest.fixture
def chromium_profile(
    chromium: Browser,
    playwright: Playwright,
    chromium_options: dict[str, Any],
    tmp_path: Path,
    watch: Watch,
) -> Iterator[ChromiumProfile]:
    """A Chromium of the test's own that can be closed and opened again on the same profile."""
    launch = functools.partial(
        playwright.chromium.launch_persistent_context, tmp_path / "chromium-profile", **chromium_options
    )
    profile = ChromiumProfile(launch, watch)
    yield profile
    profile.close()


@pytest.fixture(scope="session")
def firefox_program(browsers_wanted: None) -> Path:
    program = browsers.find("firefox")
    if program is None:
        pytest.skip(browsers.missing("firefox"))
    return program


@pytest.fixture(scope="session")
def resting_firefox(firefox_program: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firefox]:
    """The run's Firefox, on a fresh profile, stopped between the tests that use it."""
    firefox = Firefox(firefox_program, tmp_path_factory.mktemp("firefox") / "profile")
    firefox.start()
    firefox.rest()
    yield firefox
    firefox.close()
    firefox.remove()


@pytest.fixture
def firefox(resting_firefox: Firefox) -> Iterator[Firefox]:
    """The run's Firefox, awake."""
    resting_firefox.wake()
    yield resting_firefox
    resting_firefox.rest()


@pytest.fixture
def firefox_page(firefox: Firefox) -> Iterator[FirefoxPage]:
    """A watched page of Firefox, 1280 x 800, with stores of its own."""
    page = FirefoxPage(firefox, isolated=True)
    yield page
    page.close()
    page.watch.verify()


@pytest.fixture
def firefox_profile_page(firefox_program: Path, tmp_path: Path) -> Iterator[FirefoxPage]:
    """A watched page of a Firefox of the test's own; `reopen()` restarts it on the same profile."""
    firefox = Firefox(firefox_program, tmp_path / "firefox-profile")
    firefox.start()
    page = FirefoxPage(firefox, isolated=False)
    yield page
    page.close()
    firefox.close()
    firefox.remove()
    page.watch.verify()
