"""What a person's hands do on a page, in either browser: press keys, type, look."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from tests.browser.checks import reload_page, wait_until
from tests.browser.firefox import FirefoxPage


class Hands:
    """A page of Chromium or Firefox, worked by keyboard alone."""

    def __init__(self, page: Page | FirefoxPage) -> None:
        self.page: Any = page  # tests of one browser alone use what only that one has

    def open(self, url: str) -> None:
        """Open an address and wait for the bench page's first view."""
        self.page.goto(url)
        self.ready()

    def ready(self) -> None:
        """Wait for the first view."""
        self.page.evaluate("benchlore.bench.ready.then(() => true)")

    def reload(self) -> None:
        """Load the page again, whatever it still had to do."""
        if isinstance(self.page, FirefoxPage):
            self.page.reload()
        else:
            reload_page(self.page)
        self.ready()

    def window(self) -> Hands:
        """The same hands on one more window of the same browser."""
        window = self.page.window() if isinstance(self.page, FirefoxPage) else self.page.context.new_page()
        return Hands(window)

    def saved(self, selector: str) -> str:
        """Click a button that saves a file; the file's text."""
        if isinstance(self.page, FirefoxPage):
            self.page.click(selector)
            return self.page.download().read_text(encoding="utf-8")
        with self.page.expect_download() as saved:
            self.page.click(selector)
        return Path(saved.value.path()).read_text(encoding="utf-8")

    def press(self, *keys: str) -> None:
        """Press keys, one after the other."""
        for key in keys:
            if isinstance(self.page, FirefoxPage):
                self.page.press(key)
            else:
                self.page.keyboard.press(key)

    def type(self, text: str) -> None:
        """Type into whatever has the focus."""
        if isinstance(self.page, FirefoxPage):
            self.page.type(text)
        else:
            self.page.keyboard.type(text)

    def complain(self, words: str) -> None:
        """Say at the intake, whose field has the focus, what the customer says."""
        self.type(words)
        self.wait("document.getElementById('symptom-hint').textContent !== 'The index is loading.'")
        self.press("Enter")

    def tab_to(self, element_id: str, most: int = 60) -> None:
        """Press Tab until an element has the focus."""
        for _ in range(most):
            if self.focus == element_id:
                return
            self.press("Tab")
        raise AssertionError(f"{most} times Tab never came to #{element_id}; it is at #{self.focus}")

    @property
    def url(self) -> str:
        """The address with the state of the job."""
        self.settle()
        return str(self.page.evaluate("location.href"))

    def choose(self, measure: str) -> None:
        """Choose a measurement from the list of all."""
        self.press("l")
        self.page.evaluate(f"document.getElementById('list-{measure}').click()")
        assert self.card == ("measure", measure)

    @property
    def focus(self) -> str:
        """The id of the element in focus."""
        return str(self.page.evaluate("document.activeElement.id"))

    @property
    def card(self) -> tuple[str, str]:
        """What the card asks for: its kind, and the measurement or fault."""
        kind, found = self.page.evaluate(
            "(({dataset}) => [dataset.kind, dataset.id])(document.getElementById('next'))"
        )
        return kind, found

    @property
    def job(self) -> dict[str, Any]:
        """The job that is open."""
        found: dict[str, Any] = json.loads(self.page.evaluate("JSON.stringify(benchlore.bench.present())"))
        return found

    @property
    def entries(self) -> list[tuple[str, str]]:
        """The readings of the job: measurement and text."""
        return [
            (entry["measure"], entry["text"]) for entry in self.job["entries"] if entry["kind"] == "reading"
        ]

    @property
    def said(self) -> str:
        """What the live region said last."""
        return str(self.page.evaluate("document.getElementById('bench-live').textContent"))

    def text(self, selector: str) -> str:
        """The visible text of the first element that fits, once it is there."""
        if isinstance(self.page, FirefoxPage):
            return self.page.text(selector)
        return str(self.page.inner_text(selector))

    def wait(self, condition: str) -> None:
        """Wait until a JavaScript expression holds."""
        if isinstance(self.page, FirefoxPage):
            self.page.wait_for(condition)
        else:
            wait_until(self.page, condition)

    def settle(self) -> None:
        """Wait until everything entered is kept."""
        self.page.evaluate("benchlore.bench.settled().then(() => true)")
