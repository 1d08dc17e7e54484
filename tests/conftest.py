"""Settings of all tests."""

from __future__ import annotations

import os
from pathlib import Path

import hypothesis
import pytest

from tests.built import ROOT, built

# Time limits a loaded machine could miss are no property of the code; the build machine repeats what it ran.
hypothesis.settings.register_profile("here", deadline=None)
hypothesis.settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") else "here")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--no-browser", action="store_true", help="leave out the tests that need a browser")


@pytest.hookimpl(tryfirst=True)  # before -m selects by marker
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark tests by the browser that their fixtures start, and leave them out when asked to."""
    for item in items:
        fixtures = getattr(item, "fixturenames", ())
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


@pytest.fixture(scope="session")
def site() -> Path:
    """The site of the book in `faults/`, built once for the whole run; nobody writes into it."""
    return built(ROOT)
