"""The words that the rules keep for over-range are those that a typed reading is taken by."""

import pytest

from benchlore.book import load_book
from benchlore.diagnosis.reading import read
from benchlore.rules.ranges import OVER_RANGE
from tests.rules.fixtures import GOOD


@pytest.mark.parametrize("word", OVER_RANGE)
def test_the_word_is_read_as_over_range(word):
    book = load_book(GOOD).book
    measurement = book.families["wren-5"].measurements["main-junction"]
    assert read(measurement, book.meters["handheld"], word).over_range
