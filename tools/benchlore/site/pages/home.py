"""The home page with its three doors, and the pages behind two of them."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family, Symptom
from benchlore.site import paths
from benchlore.site.page import SitePage


def pages(book: Book) -> Iterator[SitePage]:
    """Home, look it up, learn."""
    families = [(f, len(links.faults_of_family(book, f.id))) for _, f in sorted(book.families.items())]
    context = {"families": families, "symptoms": _symptoms(book)}
    yield SitePage(paths.HOME, "Benchlore", "home.html", context, section="")
    yield SitePage(paths.LOOK_UP, "Look it up", "look-up.html", context, section="look")
    yield SitePage(paths.LEARN, "Learn", "learn.html", context, section="learn")


def _symptoms(book: Book) -> list[tuple[Symptom, list[tuple[Family, int]]]]:
    """The symptoms seen most often first, each with the families that show it and how many faults do."""
    seen = {s: sum(f.seen for f in links.faults_of_symptom(book, s)) for s in book.symptoms}
    return [
        (symptom, counted)
        for name, symptom in sorted(book.symptoms.items(), key=lambda item: (-seen[item[0]], item[0]))
        if (counted := _counted(book, name))
    ]


def _counted(book: Book, symptom: str) -> list[tuple[Family, int]]:
    faults = [
        (f, len(links.faults_of_symptom(book, symptom, f.id))) for _, f in sorted(book.families.items())
    ]
    return [(family, count) for family, count in faults if count]
