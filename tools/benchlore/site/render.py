"""A page's content: its template, rendered with Jinja2. Knows nothing of the generator around it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup, escape

from benchlore import vocabulary
from benchlore.book.model import (
    Book,
    Hazard,
    Meter,
    Shop,
    State,
    Symptom,
    Technique,
    frozen_map,
)
from benchlore.quantity import Quantity
from benchlore.site import paths, words
from benchlore.site.drawings import locator, marks, strip
from benchlore.site.page import Named, SitePage, base, relative
from benchlore.site.prose import inline, keep_units, prose

_LINES = re.compile(r"\n\s*\n+")


@dataclass(frozen=True, slots=True)
class Common:
    """What a template finds under `book`, whatever its page: no fault, and of families the names.

    All else comes in the page's context, so that context and common records are all that a page depends on.
    """

    shop: Shop
    symptoms: Mapping[str, Symptom]
    hazards: Mapping[str, Hazard]
    meters: Mapping[str, Meter]
    states: Mapping[str, State]
    techniques: Mapping[str, Technique]
    families: Mapping[str, Named]


def common_of(book: Book) -> Common:
    """The common records of a book, and the names of its families."""
    families = {id_: Named(id_, family.title) for id_, family in book.families.items()}
    shared = book.symptoms, book.hazards, book.meters, book.states, book.techniques
    return Common(book.shop, *shared, frozen_map(families))


def environment(templates: Path, book: Book | None = None) -> jinja2.Environment:
    """The environment for all pages of a book; without one, `render` must be given its `book`.

    A name that a template does not know is an error.
    """
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(templates),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    if book is not None:
        env.globals["book"] = common_of(book)
    env.globals.update(
        paths=paths,
        words=words,
        vocabulary=vocabulary,
        strip=strip.strip,
        locator=locator.locator,
        sides=locator.sides,
        WIDE=locator.WIDE,
        WIDTH=locator.WIDTH,
        mark=marks.mark,
        sign=marks.sign,
    )
    env.filters.update(prose=_prose, inline=_inline, reading=reading, units=_units, minutes=words.minutes)
    return env


def render(env: jinja2.Environment, page: SitePage, **more: Any) -> str:
    """The content of a page as HTML; `to(path)` in its template makes the relative link."""
    template = env.get_template(page.template)
    to = linker(page.path)
    more |= {"page": page, "to": to, "fault_href": lambda fault: to(paths.fault(fault))}
    html = template.render(**more, **page.context)
    return _LINES.sub("\n", html) + str(marks.symbols(html))


def linker(here: str) -> Callable[[str], str]:
    """The function that makes links from one page."""
    return lambda there: relative(here, there)


def reading(quantity: Quantity) -> Markup:
    """A quantity as the bench reads it, on one line."""
    return Markup('<span class="reading">{}</span>').format(words.quantity(quantity))


def _units(text: str) -> Markup:
    return escape(keep_units(text))


@jinja2.pass_context
def _prose(context: jinja2.runtime.Context, text: str) -> Markup:
    return prose(text, base(context["page"].path))


@jinja2.pass_context
def _inline(context: jinja2.runtime.Context, text: str) -> Markup:
    return inline(text, base(context["page"].path))
