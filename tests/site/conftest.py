"""A tiny book, loaded once."""

from __future__ import annotations

import pytest

from benchlore.book import Book, load_book
from tests.books import GOOD, ROOT

TEMPLATES = ROOT / "site_overrides/theme/pages"


@pytest.fixture(scope="session")
def small() -> Book:
    """The tiny book of the rules' tests."""
    return load_book(GOOD).book
