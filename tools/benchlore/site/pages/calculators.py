"""The bench calculators on one page, each with its hazards and cautions, filled in from the book's nets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from benchlore.book import links
from benchlore.book.model import Book, Family, Net, frozen_map
from benchlore.circuit.calculators import CALCULATORS, FIRST, Calculator, Field
from benchlore.circuit.heat import HEAT
from benchlore.site import paths
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.sections.circuit import NET_VALUES, STYLES
from benchlore.site.serialise import to_script

SCRIPTS = (
    paths.VOCABULARY_DATA,
    paths.CALCULATOR_DATA,
    "assets/js/typed.js",
    "assets/js/bench/quantity.js",
    "assets/js/calculators/arithmetic.js",
    *(f"assets/js/calculators/{kind}.js" for kind in CALCULATORS),
    "assets/js/calculators/page.js",
)


@dataclass(frozen=True, slots=True)
class Line:
    """A net that fills a calculator in, and the values by field."""

    family: Family
    net: Net
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Shown:
    """A calculator on the page. `hazards`: the gravest first; `fields`: each with what it holds at first."""

    calculator: Calculator
    hazards: tuple[str, ...]
    fields: tuple[tuple[Field, str], ...]
    lines: tuple[Line, ...]


def pages(book: Book) -> Iterator[SitePage | SiteFile]:
    """The one page, and what its scripts know of the fields."""
    shown = tuple(_shown(book, one) for one in CALCULATORS.values())
    yield SitePage(
        paths.CALCULATORS,
        "Bench calculators",
        "calculators.html",
        {"calculators": shown, "first": FIRST, "kinds": tuple(CALCULATORS)},
        section="bench",
        scripts=SCRIPTS,
        styles=STYLES,
        toc=tuple((one.kind, one.title) for one in CALCULATORS.values()),
    )
    yield SiteFile(paths.CALCULATOR_DATA, to_script("calculatorForms", forms()))


def forms() -> dict[str, Any]:
    """The fields of each calculator, and the words for heat."""
    return {
        "fields": {
            kind: {f.name: {"unit": f.unit, "required": f.required} for f in _on_page(one)}
            for kind, one in CALCULATORS.items()
        },
        "heat": dict(HEAT),
    }


def _on_page(one: Calculator) -> tuple[Field, ...]:
    return tuple(field for field in one.fields if not field.stands_for)


def _shown(book: Book, one: Calculator) -> Shown:
    meter = book.meters.get(book.shop.default_meter)
    fields = tuple(
        (field, meter.input_resistance.text if field.of_meter and meter else field.start)
        for field in _on_page(one)
    )
    return Shown(one, links.by_severity(book, one.hazards), fields, _lines(book, one))


def _lines(book: Book, one: Calculator) -> tuple[Line, ...]:
    """The nets of all families for which there are values."""
    if not one.of_net:
        return ()
    found = (
        Line(family, net, frozen_map(NET_VALUES[one.of_net](book, family, net)))
        for _, family in sorted(book.families.items())
        for net in family.nets.values()
    )
    return tuple(line for line in found if line.values)
