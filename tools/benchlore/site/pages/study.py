"""Study pages: a family's path and exercises, the data that they work on, and the family's handout."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family, Measurement
from benchlore.site import paths, study_data
from benchlore.site.bench_scripts import RANKING, files
from benchlore.site.drawings.locator import Probe
from benchlore.site.page import SiteFile, SitePage
from benchlore.study import path, setups
from benchlore.study.cards import ASKED

# The bench page's arithmetic, then the study's own; in the order in which they build on each other.
BENCH_SCRIPTS = (*RANKING, "dom", "hazards", "parts")
STUDY_SCRIPTS = (
    "random",
    "schedule",
    "progress",
    "deck",
    "seed",
    "setup",
    "simulate",
    "view-parts",
    "questions",
    *(f"exercises/{kind}" for kind in ASKED),
    "job",
    "debrief",
    "keep",
    "view-home",
    "view-card",
    "view-debrief",
    "view-job",
    "sheet",
    "page",
)


def of_family(book: Book, family: Family) -> Iterator[SitePage | SiteFile]:
    """The study page, its data, the handout."""
    yield _study(family)
    yield study_data.family_file(book, family)
    yield _handout(book, family)


def _study(family: Family) -> SitePage:
    scripts = (
        paths.VOCABULARY_DATA,
        "assets/js/typed.js",
        paths.BENCH_DATA,
        paths.bench_data(family.id),
        paths.study_data(family.id),
        "assets/js/form.js",
        "assets/js/records.js",
        *files(BENCH_SCRIPTS),
        *(f"assets/js/study/{name}.js" for name in STUDY_SCRIPTS),
    )
    return SitePage(
        paths.study(family.id),
        f"Study {family.title}",
        "study.html",
        {"family": family},
        family=family.id,
        section="learn",
        scripts=scripts,
        styles=("assets/css/bench.css", "assets/css/study.css"),
    )


def _handout(book: Book, family: Family) -> SitePage:
    faults = sorted(links.faults_of_family(book, family.id), key=lambda fault: (-fault.seen, fault.id))
    context = {
        "family": family,
        "rails": [(stop, _reads(family, stop.net.id)) for stop in path.rails(family)],
        "lines": [(stop, _reads(family, stop.net.id)) for stop in path.lines(family)],
        "faults": faults,
        "hazards": links.hazards_of_family(book, family),
        "probes": tuple(Probe(point, point.id) for point in family.test_points.values()),
        "leads": setups.leads_of,
    }
    return SitePage(
        paths.handout(family.id),
        f"{family.title}: handout",
        "study-handout.html",
        context,
        family=family.id,
        section="learn",
        styles=("assets/css/study.css",),
    )


def _reads(family: Family, net: str) -> tuple[Measurement, ...]:
    return links.measurements_of_net(family, net)
