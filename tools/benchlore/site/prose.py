"""Prose fields to HTML: paragraphs, lists, *emphasis*, `code` and links. Everything else stays text.

Raw HTML is not recognised, so a tag comes out escaped. A link goes to an https page or to a page of this
site, written from the site's root (`techniques/junction-test.html`); any other target leaves the text as
written.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import MutableMapping, Sequence
from functools import cache
from typing import Any
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.token import Token
from markdown_it.utils import OptionsDict
from markupsafe import Markup

from benchlore.vocabulary import PREFIXES, UNITS

_UNITS = "|".join(
    sorted({re.escape(p + u) for u in UNITS for p in PREFIXES} | {"Ω", "°C"}, key=lambda u: (-len(u), u))
)
_NUMBER_UNIT = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?!\w))")
_SCHEME = re.compile(r"[a-z][a-z0-9+.-]*:", re.IGNORECASE)


def prose(text: str, base: str = "") -> Markup:
    """Paragraphs and lists. `base` leads from the page to the site's root (`../`)."""
    html: str = _parser().render(text, {"base": base})
    return Markup(html.strip())


def inline(text: str, base: str = "") -> Markup:
    """One line without a paragraph around it."""
    return Markup(_parser().renderInline(text, {"base": base}))


def keep_units(text: str) -> str:
    """A no-break space between a number and its unit."""
    return _NUMBER_UNIT.sub("\u00a0", text)


def safe_target(url: str) -> bool:
    """True for an https address and for a path that stays inside the site.

    Judged as a browser reads it: `%2e%2e` in a path is `..` (WHATWG URL Standard, section 4.1, "double-dot
    URL path segment").
    """
    if url.lower().startswith("https://"):
        return True
    path = unquote(url)
    if _SCHEME.match(path) or path.startswith(("/", "\\", "#", "?")) or "\\" in path:
        return False
    return not posixpath.normpath(path).startswith("..")


@cache
def _parser() -> MarkdownIt:
    parser = MarkdownIt("zero", {"html": False, "linkify": False, "typographer": False})
    parser.enable(["emphasis", "backticks", "escape", "entity", "link", "list", "newline"])
    parser.validateLink = safe_target  # type: ignore[method-assign]
    parser.add_render_rule("text", _text)
    parser.add_render_rule("link_open", _link_open)
    return parser


def _text(renderer: RendererHTML, tokens: Sequence[Token], index: int, *_: Any) -> str:  # noqa: ARG001
    return str(Markup.escape(keep_units(tokens[index].content)))


def _link_open(
    renderer: RendererHTML,
    tokens: Sequence[Token],
    index: int,
    options: OptionsDict,
    env: MutableMapping[str, Any],
) -> str:
    token = tokens[index]
    target = str(token.attrs["href"])
    if target.lower().startswith("https://"):
        token.attrSet("rel", "noopener noreferrer")
    else:
        token.attrSet("href", env.get("base", "") + target)
    return renderer.renderToken(tokens, index, options, env)
