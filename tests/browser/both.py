"""One pair of hands for a page of either browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.checks import reload_page, wait_until
from tests.browser.firefox import FirefoxPage

# The parameters of a fixture that gives `hands_of(request)`, once in each browser.
BROWSERS = (
    pytest.param("chromium", marks=pytest.mark.browser),
    pytest.param("firefox", marks=pytest.mark.firefox),
)


class Chromium:
    """A page of Chromium."""

    def __init__(self, page: Page) -> None:
        self.page, self.goto, self.evaluate, self.click = page, page.goto, page.evaluate, page.click
        self.press, self.type = page.keyboard.press, page.keyboard.type

    def wait(self, condition: str) -> None:
        wait_until(self.page, condition)

    def reload(self) -> None:
        reload_page(self.page)

    def load(self, file: Path) -> None:
        self.page.set_input_files("#load", file)

    def saved(self) -> str:
        with self.page.expect_download() as download:
            self.page.click("#save")
        return Path(download.value.path()).read_text(encoding="utf-8")


class Firefox:
    """A page of Firefox."""

    def __init__(self, page: FirefoxPage) -> None:
        self.page, self.goto, self.evaluate, self.click = page, page.goto, page.evaluate, page.click
        self.wait, self.press, self.type = page.wait_for, page.press, page.type

    def reload(self) -> None:
        self.page.evaluate("() => { window.old = true; setTimeout(() => location.reload()); }")
        self.page.wait_for("!window.old && document.readyState === 'complete'")

    def load(self, file: Path) -> None:
        self.page.set_files("#load", [file])

    def saved(self) -> str:
        self.page.click("#save")
        return self.page.download().read_text(encoding="utf-8")


def hands_of(request: pytest.FixtureRequest) -> Any:
    """The page of the browser that the fixture's parameter names."""
    if request.param == "chromium":
        return Chromium(request.getfixturevalue("page"))
    return Firefox(request.getfixturevalue("firefox_page"))
