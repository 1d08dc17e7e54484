"""A page's content: its template, rendered with Jinja2. Knows nothing of the generator around it."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from pathlib import Path

import jinja2
from markupsafe import Markup, escape

from benchlore import vocabulary
from benchlore.book.model import Book
from benchlore.quantity import Quantity
from benchlore.site import paths, words
from benchlore.site.drawings import locator, marks, strip
from benchlore.site.page import SitePage, base, relative
from benchlore.site.prose import inline, keep_units, prose

_LINES = re.compile(r"\n\s*\n+")


def environment(templates: Path, book: Book, known: Collection[str]) -> jinja2.Environment:
    """The environment for all pages of a book. A name that a template does not know is an error.

    `known` holds the paths of all pages, so that a template can ask `has(path)`.
    """
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(templates),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.globals.update(
        book=book,
        paths=paths,
        words=words,
        vocabulary=vocabulary,
        strip=strip.strip,
        locator=locator.locator,
        one_a_line=locator.one_a_line,
        sides=locator.sides,
        WIDE=locator.WIDE,
        WIDTH=locator.WIDTH,
        has=known.__contains__,
        mark=marks.mark,
        sign=marks.sign,
    )
    env.filters.update(prose=_prose, inline=_inline, reading=reading, units=_units, minutes=words.minutes)
    return env


def render(env: jinja2.Environment, page: SitePage) -> str:
    """The content of a page as HTML; `to(path)` in its template makes the relative link."""
    template = env.get_template(page.template)
    html = template.render(page=page, to=linker(page.path), **page.context)
    return _LINES.sub("\n", html)


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
