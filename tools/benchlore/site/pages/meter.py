"""Meter pages: the accuracy of a class of instrument, function by function; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book
from benchlore.site import paths
from benchlore.site.page import SitePage, page_of


def pages(book: Book) -> Iterator[SitePage]:
    """One page a meter, then the index."""
    meters = [meter for _, meter in sorted(book.meters.items())]
    for meter in meters:
        context = {"meter": meter, "default": meter.id == book.shop.default_meter}
        yield page_of(meter, paths.meter(meter.id), meter.title, "meter.html", context)
    yield SitePage(paths.METERS, "Meters", "meters.html", {"meters": meters})
