"""Family pages: revisions, power tree, sketches, rails with their points, faults, parts; and their index."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Symptom
from benchlore.site import paths
from benchlore.site.drawings.locator import Probe
from benchlore.site.page import SitePage, page_of
from benchlore.site.sections import sections, styles_of, toc_of
from benchlore.site.sections.circuit import TREE, ways_in
from benchlore.vocabulary import FREQUENCIES

OFTEN = tuple(FREQUENCIES)


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """The family's own page."""
    yield _page(book, family)


def pages(book: Book) -> Iterator[SitePage]:
    """The index."""
    families = [family for _, family in sorted(book.families.items())]
    counted = [(family, links.faults_of_family(book, family.id)) for family in families]
    yield SitePage(paths.FAMILIES, "Board families", "families.html", {"families": counted})


def _page(book: Book, family: Family) -> SitePage:
    extra = sections("family", book, family)
    tree = tuple(section for section in extra if section.anchor == TREE)
    others = tuple(section for section in extra if section not in tree)
    by_symptom, also = _by_symptom(book, links.faults_of_family(book, family.id))
    points = family.test_points.values()
    opened = book.techniques.get(family.opening.technique) if family.opening else None
    context = {
        "family": family,
        "by_symptom": by_symptom,
        "also": also,
        "nets": [
            (net, ways_in(family, net), tuple(p for p in points if p.net == net.id))
            for net in family.nets.values()
        ],
        "probes": tuple(Probe(point, point.id) for point in points),
        "tree": tree,
        "sections": others,
        "hazards": links.standing_hazards(book, family),
        "common": tuple(hazard for state in book.states.values() for hazard in state.hazard),
        "opened": opened,
        "opening_hazards": links.of_family(book, family, opened.hazard) if opened else (),
    }
    toc = (
        ("revisions", "Revisions"),
        *((("opening", "Opening"),) if opened else ()),
        *toc_of(tree),
        ("sketch", "Where to probe"),
        ("nets", "Rails and lines"),
        ("faults", "Faults"),
        ("parts", "Parts"),
        *toc_of(others),
    )
    path, styles = paths.family(family.id), styles_of(extra)
    return page_of(
        family, path, family.title, "family.html", context, family=family.id, styles=styles, toc=toc
    )


def _by_symptom(
    book: Book, faults: Sequence[Fault]
) -> tuple[list[tuple[Symptom, list[Fault]]], list[Symptom]]:
    """Each fault once, under the symptom that it shows most often; and the symptoms that none shows most."""
    found: dict[str, list[Fault]] = {}
    for fault in faults:
        found.setdefault(min(fault.symptom, key=lambda s: OFTEN.index(fault.symptom[s])), []).append(fault)
    shown = {name for fault in faults for name in fault.symptom}
    known = [symptom for _, symptom in sorted(book.symptoms.items()) if symptom.id in shown]
    grouped = [
        (s, sorted(found[s.id], key=lambda fault: (-fault.seen, fault.id))) for s in known if s.id in found
    ]
    grouped.sort(key=lambda one: -sum(fault.seen for fault in one[1]))
    return grouped, [symptom for symptom in known if symptom.id not in found]
