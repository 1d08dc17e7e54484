"""The bench calculators: leak, injection and fuse, each with its cautions, filled in from the book's nets."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from benchlore.book import links
from benchlore.book.model import Book, Family, Net, frozen_map
from benchlore.circuit.cautions import CAUTIONS, FIRST
from benchlore.site import paths, vocabulary_data
from benchlore.site.page import SitePage
from benchlore.site.sections.circuit import STYLES, line_values, rail_values

SCRIPTS = (
    vocabulary_data.PATH,
    "assets/js/typed.js",
    "assets/js/bench/quantity.js",
    "assets/js/calculators/arithmetic.js",
    "assets/js/calculators/page.js",
)


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a calculator: its name in the script, its label, an example, and what it starts with."""

    name: str
    label: str
    example: str
    hint: str = ""
    value: str = ""
    required: bool = True


@dataclass(frozen=True, slots=True)
class Line:
    """A net that fills a calculator in, and the values by field."""

    family: Family
    net: Net
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Calculator:
    """One calculator: the hazards of its work, its cautions, its fields, the nets that fill it in."""

    kind: str
    title: str
    purpose: str
    hazards: tuple[str, ...]
    cautions: tuple[str, ...]
    fields: tuple[Field, ...]
    lines: tuple[Line, ...] = ()


def pages(book: Book) -> Iterator[SitePage]:
    """The one page."""
    calculators = _calculators(book)
    yield SitePage(
        paths.CALCULATORS,
        "Bench calculators: leak, injection, fuse",
        "calculators.html",
        {"calculators": calculators, "first": FIRST},
        section="bench",
        scripts=SCRIPTS,
        styles=STYLES,
        toc=tuple((made.kind, made.title) for made in calculators),
    )


def _calculators(book: Book) -> tuple[Calculator, ...]:
    meter = book.meters.get(book.shop.default_meter)
    resistance = meter.input_resistance.text if meter else "10 Mohm"
    return (
        Calculator(
            "leak",
            "The leak behind a low line",
            "A data line with a pull-up reads low. What resistance to ground explains the reading, and would "
            "it show as heat?",
            links.by_severity(book, ("probe-slip", "static")),
            CAUTIONS["leak"],
            (
                Field("supply", "Rail that it is pulled up to", "3.42 V 2%"),
                Field("pull_up", "Pull-up", "2.2 kohm 5%"),
                Field("meter", "Meter's input resistance", "10 Mohm", value=resistance),
                Field("reading", "What the line reads", "0.36 V"),
            ),
            _lines(book, partial(line_values, book)),
        ),
        Calculator(
            "inject",
            "Settings for an injection",
            "A rail or a line is shorted. How high may the supply go, and what current limit to start with?",
            links.by_severity(book, ("lithium-pack", "burn", "eye", "stored-charge", "static")),
            CAUTIONS["inject"],
            (
                Field("rail", "The rail's own normal voltage", "3.42 V"),
                Field("short", "Rail to ground, power off", "0.4 ohm", "less the leads' own resistance"),
            ),
            _lines(book, lambda _, net: rail_values(net)),
        ),
        Calculator(
            "fuse",
            "The current through a fuse",
            "The board runs. What current flows through a fuse or a shunt, from the voltage across it?",
            links.by_severity(book, ("shock", "probe-slip", "static")),
            CAUTIONS["fuse"],
            (
                Field("drop", "Voltage across it", "24 mV"),
                Field("resistance", "Its cold resistance", "20 mohm 20%"),
                Field("rating", "Its rated current", "3 A", "may be left out", required=False),
            ),
        ),
    )


def _lines(book: Book, values: Callable[[Family, Net], dict[str, str]]) -> tuple[Line, ...]:
    """The nets of all families for which there are values."""
    found = (
        Line(family, net, frozen_map(values(family, net)))
        for _, family in sorted(book.families.items())
        for net in family.nets.values()
    )
    return tuple(line for line in found if line.values)
