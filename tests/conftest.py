"""Settings of all tests."""

from __future__ import annotations

import gc
import os
from collections import Counter
from pathlib import Path

import hypothesis
import pytest

from benchlore.book import Book
from tests.books import EXAMPLE, ROOT, example, shipped
from tests.built import built
from tests.order import Order
from tests.seconds import Seconds

# Time limits a loaded machine could miss are no property of the code; the build machine repeats what it ran.
hypothesis.settings.register_profile("here", deadline=None)
hypothesis.settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") else "here")


# The tests hold books, boards and plans of many records. To look for garbage among them as often as Python
# does by itself takes a fifteenth of their time.
gc.set_threshold(100_000, 20, 100)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--no-browser", action="store_true", help="leave out the tests that need a browser")
    parser.addoption("--whole", action="store_true", help="play all random walks")


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(Order())
    config.pluginmanager.register(Seconds())


@pytest.hookimpl(tryfirst=True)  # before -m selects by marker
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark tests by what their fixtures start or build, and leave the browser tests out when asked to."""
    for item in items:
        fixtures = getattr(item, "fixturenames", ())
        if {"site", "each_book", "each_site", "shipped_site", "shipped_book"} & set(fixtures):
            item.add_marker(pytest.mark.slow)
        if {"shipped_site", "shipped_book"} & set(fixtures):
            item.add_marker(pytest.mark.shipped)
        if "chromium" in fixtures:
            item.add_marker(pytest.mark.browser)
        if "firefox_program" in fixtures:
            item.add_marker(pytest.mark.firefox)
    if config.getoption("--no-browser"):
        left_out = [
            item for item in items if item.get_closest_marker("browser") or item.get_closest_marker("firefox")
        ]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in left_out]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say at the end which tests did not run, and why; no machine owes what is `optional`."""
    reports = terminalreporter.stats.get("skipped", ())
    reasons = Counter(str(report.longrepr[2]).removeprefix("Skipped: ") for report in reports)
    for reason, count in sorted(reasons.items()):
        what = "Left out" if reason.startswith("optional: ") else "Did not run"
        terminalreporter.write_line(f"{what}, {count} test{'s' * (count > 1)}: {reason}")


@pytest.fixture(scope="session")
def whole(pytestconfig: pytest.Config) -> bool:
    """Whether the run may take its time."""
    return bool(pytestconfig.getoption("--whole"))


@pytest.fixture(scope="session", params=["example", pytest.param("shipped", marks=pytest.mark.shipped)])
def each(request: pytest.FixtureRequest) -> Path:
    """The root of a book: a test runs on the tests' own book and on the one in `faults/`."""
    return EXAMPLE if request.param == "example" else ROOT


@pytest.fixture(scope="session")
def each_book(each: Path) -> Book:
    return example() if each == EXAMPLE else shipped()


@pytest.fixture(scope="session")
def each_site(each: Path) -> Path:
    """The built site of each book; nobody writes into it."""
    return built(each)


@pytest.fixture(scope="session")
def shipped_book() -> Book:
    """The book in `faults/`."""
    return shipped()


@pytest.fixture(scope="session")
def book() -> Book:
    """The tests' own book, `tests/example/`."""
    return example()


@pytest.fixture(scope="session")
def site() -> Path:
    """The site of the tests' own book, built once for the whole run; nobody writes into it."""
    return built(EXAMPLE)


@pytest.fixture(scope="session")
def shipped_site() -> Path:
    """The site of the book in `faults/`, built once for the whole run; nobody writes into it."""
    return built(ROOT)
