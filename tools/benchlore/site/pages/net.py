"""Net pages: where to probe, what it reads, what sits on it, which faults it shows; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family, Net
from benchlore.site import paths
from benchlore.site.drawings.locator import Probe
from benchlore.site.page import SitePage, page_of
from benchlore.site.sections import sections, styles_of, toc_of
from benchlore.site.sections.circuit import between, derived_readings, start_order, up_in, ways_in, ways_out


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """One page a net."""
    for net in family.nets.values():
        yield _page(book, family, net)


def pages(book: Book) -> Iterator[SitePage]:
    """The index."""
    counted = []
    for _, family in sorted(book.families.items()):
        nets = [net for _, net in sorted(family.nets.items())]
        counted.append((family, [(net, links.faults_of_net(book, family.id, net.id)) for net in nets]))
    yield SitePage(paths.NETS, "Nets", "nets.html", {"families": counted})


def _page(book: Book, family: Family, net: Net) -> SitePage:
    measurements = links.measurements_of_net(family, net.id)
    points = links.test_points_of_net(family, net.id)
    extra = sections("net", book, family, net)
    context = {
        "family": family,
        "net": net,
        "hazards": links.hazards_of_measurements(book, family, measurements),
        "standing": links.standing_hazards(book, family),
        "points": points,
        "probes": tuple(Probe(point, point.id) for point in points),
        "derived": derived_readings(book, family, measurements),
        "between": between,
        "measurements": [(m, links.faults_of_measurement(book, family.id, m.id)) for m in measurements],
        "ways_in": ways_in(family, net),
        "ways_out": ways_out(family, net),
        "start_order": start_order(family, net),
        "up_in": up_in(book, family, net),
        "faults": links.faults_of_net(book, family.id, net.id),
        "shows_as": links.coming_of(family, net.id),
        "shown": links.symptoms_of_family(book, family.id),
        "sections": extra,
    }
    toc = (
        ("probe", "Where to probe"),
        ("read", "What it reads"),
        *toc_of(extra),
        ("faults", "Faults"),
    )
    path, styles = paths.net(family.id, net.id), styles_of(extra)
    return page_of(net, path, net.id, "net.html", context, family=family.id, styles=styles, toc=toc)
