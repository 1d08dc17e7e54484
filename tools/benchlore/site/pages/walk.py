"""The pages of a walk over a known-good board: a family's, its sheet, one for boards without records."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family
from benchlore.book.schemas import schema
from benchlore.site import paths
from benchlore.site.bench_scripts import READING, files
from benchlore.site.data import BENCH, demands
from benchlore.site.drawings.locator import Probe
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.serialise import to_script
from benchlore.vocabulary import FUNCTIONS
from benchlore.walk.order import order_of_states, stops, walk_minutes

# In the order in which they build on each other.
_BENCH = (*READING, "job", "dom", "hazards", "parts", "field")
_OWN = (
    "walkfile",
    "route",
    "compare",
    "keep",
    "view-begin",
    "view-points",
    "view-step",
    "view-table",
    "page",
)
_STYLES = ("assets/css/bench.css", "assets/css/walk.css")


def pages(book: Book) -> Iterator[SitePage | SiteFile]:
    """The page for boards without records, and what all walks share."""
    families = [family for _, family in sorted(book.families.items())]
    yield SitePage(
        paths.WALK,
        "Walk a good board",
        "walk.html",
        {"families": families, "family": None},
        section="bench",
        scripts=_scripts(),
        styles=_STYLES,
    )
    shared = {
        "form": demands(schema("walk")),
        "order": order_of_states(book.states.values()),
        "states": {name: BENCH.of(book, state) for name, state in sorted(book.states.items())},
        "leads": {name: one.leads_said() for name, one in FUNCTIONS.items()},
    }
    yield SiteFile(paths.WALK_DATA, to_script("walkBook", shared))


def of_family(book: Book, family: Family) -> Iterator[SitePage | SiteFile]:
    """The family's page, its order, its sheet."""
    yield SitePage(
        paths.walk(family.id),
        f"Walk a good board: {family.title}",
        "walk.html",
        {"families": [], "family": family},
        family=family.id,
        section="bench",
        scripts=_scripts(paths.bench_data(family.id), paths.walk_data(family.id)),
        styles=_STYLES,
    )
    found = [
        {
            "state": stop.setup.state,
            "unplugged": sorted(stop.setup.unplugged),
            "minutes": stop.minutes,
            "measures": stop.measures,
        }
        for stop in stops(book, family)
    ]
    yield SiteFile(paths.walk_data(family.id), to_script("walkStops", {"family": family.id, "stops": found}))
    yield _sheet(book, family)


def _scripts(*more: str) -> tuple[str, ...]:
    return (
        paths.VOCABULARY_DATA,
        "assets/js/typed.js",
        paths.BENCH_DATA,
        paths.WALK_DATA,
        *more,
        "assets/js/form.js",
        "assets/js/records.js",
        *files(_BENCH),
        *(f"assets/js/walk/{name}.js" for name in _OWN),
    )


def _sheet(book: Book, family: Family) -> SitePage:
    measures = family.measurements
    found = stops(book, family)
    befores = (frozenset(), *(stop.setup.unplugged for stop in found[:-1]))
    context = {
        "family": family,
        "stops": [
            (
                stop,
                [measures[one] for one in stop.measures],
                sorted(stop.setup.unplugged - before),
                sorted(before - stop.setup.unplugged),
            )
            for before, stop in zip(befores, found, strict=True)
        ],
        "minutes": walk_minutes(book, family),
        "hazards": links.standing_hazards(book, family),
        "probes": tuple(Probe(point, point.id) for point in family.test_points.values()),
    }
    return SitePage(
        paths.walk_sheet(family.id),
        f"{family.title}: sheet of a walk",
        "walk-sheet.html",
        context,
        family=family.id,
        section="bench",
        styles=("assets/css/walk.css",),
    )
