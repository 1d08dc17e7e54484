"""Family pages: revisions, sketches, rails, test points, parts, faults by symptom; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family
from benchlore.site import paths
from benchlore.site.drawings.locator import Probe
from benchlore.site.page import SitePage
from benchlore.site.sections import scripts_of, sections, styles_of, toc_of
from benchlore.site.sections.circuit import up_in, ways_in


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """The family's own page."""
    yield _page(book, family)


def pages(book: Book) -> Iterator[SitePage]:
    """The index."""
    families = [family for _, family in sorted(book.families.items())]
    counted = [(family, links.faults_of_family(book, family.id)) for family in families]
    yield SitePage(paths.FAMILIES, "Board families", "families.html", {"families": counted})


def _page(book: Book, family: Family) -> SitePage:
    faults = links.faults_of_family(book, family.id)
    shown = [s for _, s in sorted(book.symptoms.items()) if any(s.id in f.symptom for f in faults)]
    extra = sections("family", book, family)
    context = {
        "family": family,
        "faults": faults,
        "by_symptom": [(s, links.faults_of_symptom(book, s.id, family.id)) for s in shown],
        "nets": [
            (
                net,
                links.faults_of_net(book, family.id, net.id),
                ways_in(family, net),
                up_in(book, family, net),
            )
            for net in family.nets.values()
        ],
        "parts": [(part, links.faults_of_part(book, family.id, part.id)) for part in family.parts.values()],
        "probes": tuple(Probe(point, point.id) for point in family.test_points.values()),
        "sections": extra,
    }
    toc = (
        ("revisions", "Revisions"),
        ("by-symptom", "Faults by symptom"),
        ("sketch", "Where to probe"),
        *toc_of(extra),
        ("nets", "Rails and lines"),
        ("parts", "Parts"),
    )
    return SitePage(
        paths.family(family.id),
        family.title,
        "family.html",
        context,
        source=family.origin.file,
        record=family,
        family=family.id,
        styles=styles_of(extra),
        scripts=scripts_of(extra),
        toc=toc,
    )
