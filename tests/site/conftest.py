"""The real book and a small one, loaded once."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchlore.book import Book, load_book

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = ROOT / "site_overrides/theme/pages"


@pytest.fixture(scope="session")
def book() -> Book:
    """The book of this repository."""
    return load_book(ROOT).book


@pytest.fixture(scope="session")
def small() -> Book:
    """The small book of the rules' tests."""
    return load_book(ROOT / "tests/rules/good").book
