"""The pictures beside parts and test points: on the pages of the net, of the part and of its faults."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Net, Part, TestPoint
from benchlore.book.pictures import PictureFile, picture_file
from benchlore.site import paths
from benchlore.site.sections.section import Section

STYLES = ("assets/css/pictures.css",)


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture as a page shows it: of what, its clean copy, and what there is to see."""

    family: str
    subject: str
    page: str
    file: PictureFile
    shows: str

    @property
    def path(self) -> str:
        """The clean copy, from the site's root."""
        return paths.picture(self.family, self.file.name)


def of_net(book: Book, family: Family, net: Net) -> Section | None:
    """Those of the points on a net, then of its parts."""
    points = links.test_points_of_net(family, net.id)
    return _section(shown(book, family, (*points, *links.parts_of_net(family, net.id))))


def of_part(book: Book, family: Family, part: Part) -> Section | None:
    """Those of a part, then of the points on it: `C55`, or `F1_OUT` of the fuse F1."""
    points = (p for p in family.test_points.values() if p.sits_on == part.id)
    return _section(shown(book, family, (part, *points)))


def of_fault(book: Book, fault: Fault) -> Section | None:
    """Those of the parts of a fault, then of the points that it is measured at."""
    family = book.families[fault.family]
    parts = (family.parts[name] for name in links.parts_of_fault(fault) if name in family.parts)
    names = dict.fromkeys(point for _, m in links.measured(book, fault) for point in m.points)
    points = (family.test_points[name] for name in names if name in family.test_points)
    return _section(shown(book, family, (*parts, *points)))


def shown(book: Book, family: Family, records: Iterable[Part | TestPoint]) -> Iterator[Shown]:
    """The pictures of some records, in order, each file once."""
    seen: set[str] = set()
    for record in records:
        for picture in record.pictures:
            file = book.pictures.get(picture_file(family.id, picture.file))
            if file is None or file.trouble or picture.file in seen:
                continue
            seen.add(picture.file)
            page = (
                paths.part(family.id, record.id)
                if isinstance(record, Part)
                else paths.test_point(family.id, record.net, record.id)
            )
            yield Shown(family.id, record.id, page, file, picture.shows)


def _section(found: Iterator[Shown]) -> Section | None:
    pictures = tuple(found)
    if not pictures:
        return None
    return Section("pictures", "Pictures", "_pictures.html", {"pictures": pictures}, STYLES)
