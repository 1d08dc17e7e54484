"""The book: files with positions, checked against their schema, built into frozen records."""

from benchlore.book.loader import Loaded, load_book
from benchlore.book.model import Book
from benchlore.book.sources import Sources

__all__ = ["Book", "Loaded", "Sources", "load_book"]
