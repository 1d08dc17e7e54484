"""Part pages: what it is, where it sits, what replacing it takes, which faults it has; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault
from benchlore.site import paths, words
from benchlore.site.page import SitePage, page_of
from benchlore.site.probe_table import place_of
from benchlore.site.sections import sections, styles_of, toc_of


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """One page a part."""
    for part in family.parts.values():
        faults = links.faults_of_part(book, family.id, part.id)
        looks = [m for m in family.measurements.values() if m.at == part.id and not m.net]
        extra = sections("part", book, family, part)
        context = {
            "family": family,
            "part": part,
            "nets": [family.nets[name] for name in part.nets if name in family.nets],
            "faults": faults,
            "place": place_of(family, part.id, ()),
            "fails": _fails(part.id, faults),
            "looks": [(m, links.faults_of_measurement(book, family.id, m.id)) for m in looks],
            "hazards": links.hazards_of_measurements(book, family, looks),
            "standing": links.standing_hazards(book, family),
            "unplugged_in": [m for m in family.measurements.values() if part.id in m.unplugged],
            "shows_as": links.coming_of(family, part.id),
            "shown": links.symptoms_of_family(book, family.id),
            "sections": extra,
        }
        path, styles = paths.part(family.id, part.id), styles_of(extra)
        toc = (*((("read", "What is looked at"),) if looks else ()), *toc_of(extra), ("faults", "Faults"))
        yield page_of(part, path, part.id, "part.html", context, family=family.id, styles=styles, toc=toc)


def _fails(part: str, faults: tuple[Fault, ...]) -> tuple[str, ...]:
    """How the part itself fails in the faults of the book."""
    said = (words.cause(fault.cause) for fault in faults if fault.cause.part == part)
    return tuple(dict.fromkeys(one for one in said if one))


def pages(book: Book) -> Iterator[SitePage]:
    """The index."""
    counted = []
    for _, family in sorted(book.families.items()):
        parts = [part for _, part in sorted(family.parts.items())]
        counted.append((family, [(part, links.faults_of_part(book, family.id, part.id)) for part in parts]))
    yield SitePage(paths.PARTS, "Parts", "parts.html", {"families": counted})
