"""How good the plans are: simulated jobs of every family, on boards that do not follow the book's numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import fsum

from benchlore.book import links
from benchlore.book.model import Book, Family, Symptom
from benchlore.diagnosis.boards import MISREAD, OFF, UNRECORDED
from benchlore.diagnosis.simulate import Minutes
from benchlore.site import paths
from benchlore.site.calibration import JOBS, Calibration, Weak, calibration
from benchlore.site.drawings import reliability
from benchlore.site.page import Named, SitePage
from benchlore.site.plan_rows import titled
from benchlore.site.plans import FamilyPlans, brief, plans
from benchlore.site.sections.diagnosis import STYLES


@dataclass(frozen=True, slots=True)
class Line:
    """The jobs of one symptom; `guess`: expected minutes of the best fix order without measuring."""

    symptom: Symptom
    minutes: Minutes
    guess: float


@dataclass(frozen=True, slots=True)
class WeakLine:
    """Where the book is weak: the fault, or what has no record by its title, and what it was taken for."""

    found: Weak
    recorded: Named | None
    title: str
    taken_for: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A family's calibration as the page shows it; `guess`: as of its lines, over all jobs."""

    family: Family
    found: Calibration
    lines: tuple[Line, ...]
    guess: float
    weak: tuple[WeakLine, ...]

    @property
    def furthest(self) -> float:
        """The largest distance between a stated probability and what was true."""
        return max((abs(one.true - one.stated) for one in self.found.deciles), default=0.0)


def pages(book: Book) -> Iterator[SitePage]:
    """The one page."""
    shown = [_shown(links.book_of(book, family), known) for family, known in plans(book).items()]
    context = {
        "shown": shown,
        "jobs": JOBS,
        "off": OFF,
        "misread": MISREAD,
        "unrecorded": UNRECORDED,
        "reliable": reliability.agrees,
        "percent": reliability.percent,
        "plot": reliability.drawing,
    }
    toc = tuple((f"on-{one.family.id}", one.family.title) for one in shown)
    yield SitePage(
        paths.CALIBRATION, "How good are the plans?", "calibration.html", context, styles=STYLES, toc=toc
    )


def _shown(book: Book, known: FamilyPlans) -> Shown:
    found = calibration(book, known)
    lines = tuple(
        Line(book.symptoms[symptom], minutes, brief(known, symptom).guess)
        for symptom, minutes in found.by_symptom.items()
    )
    played = sum(line.minutes.jobs for line in lines)
    guess = fsum(line.guess * line.minutes.jobs for line in lines) / played if played else 0.0
    weak = tuple(_weak(book, known.family, one) for one in found.weak)
    return Shown(known.family, found, lines, guess, weak)


def _weak(book: Book, family: Family, found: Weak) -> WeakLine:
    recorded = Named(found.id, book.faults[found.id].title) if found.id in book.faults else None
    taken_for = titled(book, family, found.taken_for) if found.taken_for else ""
    return WeakLine(found, recorded, titled(book, family, found.id), taken_for)
