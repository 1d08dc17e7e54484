"""For the contributor: how to add a fault, every field of every record, every rule of the checks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from benchlore.book.model import Book
from benchlore.rules import all_docs
from benchlore.site import fields, paths
from benchlore.site.page import SitePage

_STYLES = ("assets/css/contribute.css",)


def pages(book: Book) -> Iterator[SitePage]:
    """The guide, the fields, the rules."""
    docs = all_docs()
    kinds = fields.kinds()
    groups = [(title, list(found)) for title, found in groupby(docs, key=lambda doc: doc.group)]
    families = [family for _, family in sorted(book.families.items())]
    counts = {
        "rules": len(docs),
        "fields": sum(len(kind.fields) for kind in kinds),
        "kinds": len(kinds),
    }
    yield SitePage(
        paths.CONTRIBUTE,
        "Add what you know",
        "contribute.html",
        {"families": families, "counts": counts},
        section="",
        styles=_STYLES,
        toc=(
            ("form", "With the form"),
            ("steps", "Step by step"),
            ("reference", "To look up"),
            ("waive", "When a finding is right"),
        ),
    )
    yield SitePage(
        paths.FIELDS,
        "Every field",
        "fields.html",
        {"kinds": kinds},
        section="",
        styles=_STYLES,
        toc=tuple((kind.id, kind.title) for kind in kinds),
    )
    yield SitePage(
        paths.RULES,
        "Every rule of the checks",
        "rules.html",
        {"groups": groups},
        section="",
        styles=_STYLES,
        toc=tuple((f"group-{number}", title) for number, (title, _) in enumerate(groups, 1)),
    )
