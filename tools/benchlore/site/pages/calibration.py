"""How good the plans are: simulated jobs of every family, played by its plans."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import fsum

from benchlore.book.model import Book, Family, Symptom
from benchlore.diagnosis.simulate import Minutes
from benchlore.site import paths
from benchlore.site.calibration import JOBS, Calibration, agree, calibration
from benchlore.site.drawings import reliability
from benchlore.site.page import SitePage
from benchlore.site.plans import FamilyPlans, plans
from benchlore.site.sections.diagnosis import STYLES


@dataclass(frozen=True, slots=True)
class Line:
    """The jobs of one symptom; `guess`: expected minutes of the best fix order without measuring."""

    symptom: Symptom
    minutes: Minutes
    guess: float


@dataclass(frozen=True, slots=True)
class Shown:
    """A family's calibration as the page shows it; `guess`: as of its lines, over all jobs."""

    family: Family
    found: Calibration
    lines: tuple[Line, ...]
    guess: float

    @property
    def furthest(self) -> float:
        """The largest distance between a stated probability and what was true."""
        return max((abs(one.true - one.stated) for one in self.found.deciles), default=0.0)


def pages(book: Book) -> Iterator[SitePage]:
    """The one page."""
    shown = [_shown(book, known) for known in plans(book).values()]
    context = {
        "shown": shown,
        "jobs": JOBS,
        "agree": agree,
        "reliable": reliability.agrees,
        "percent": reliability.percent,
        "plot": reliability.drawing,
    }
    toc = tuple((f"on-{one.family.id}", one.family.title) for one in shown)
    yield SitePage(
        paths.CALIBRATION, "How good are the plans?", "calibration.html", context, styles=STYLES, toc=toc
    )


def _shown(book: Book, known: FamilyPlans) -> Shown:
    found = calibration(known)
    lines = tuple(
        Line(book.symptoms[symptom], minutes, known.plans[symptom].guess.expected)
        for symptom, minutes in found.by_symptom.items()
    )
    played = sum(line.minutes.jobs for line in lines)
    guess = fsum(line.guess * line.minutes.jobs for line in lines) / played if played else 0.0
    return Shown(known.family, found, lines, guess)
