"""The scripts and style sheets of a page as one file each, written from the folder in order.

A page opened from disk or over a slow line waits for every file that it names. What every page loads is one
script and one style sheet;
what a page has of its own is one more of each, shared by the pages that name the same.
The parts go out as they are, each under a line with its name, so that a reader of the site finds the source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from benchlore.site import face
from benchlore.site.page import SiteFile, SitePage

SCRIPTS, STYLES = "assets/js/", "assets/css/"
# These stay alone: the one runs before the first paint, the other in the frame that keeps the store.
ALONE = ("assets/js/early.js", "assets/js/hub.js")


@dataclass(frozen=True, slots=True)
class Bundle:
    """A file of the site made of sources, all relative to `site_overrides` and to the site's root."""

    path: str
    parts: tuple[str, ...]


# On every page, before its own.
SHELL_SCRIPT = Bundle(
    "assets/js/shell.js", tuple(f"{SCRIPTS}{name}.js" for name in ("store", "site", "search"))
)
SHELL_STYLE = Bundle(
    "assets/css/shell.css",
    tuple(f"{STYLES}{name}.css" for name in ("colours", "shell", "card", "drawings", "print", "search")),
)
# Of the pages written by hand, which stand in the theme's frame and typography.
TEXT_STYLE = Bundle("assets/css/text.css", (f"{STYLES}text.css",))
# Loaded by the search box when it is first used; what reads typed values, only where the page has none: two
# would not know each other's refusals.
TYPED = Bundle("assets/js/typed.js", ("assets/js/typed.js",))
SEARCH_ENGINE = Bundle(
    "assets/js/search-engine.js",
    tuple(f"{SCRIPTS}{name}.js" for name in ("search-engine", "search-reading", "search-answer")),
)
# On every site, whatever its pages name.
ALWAYS = (SHELL_SCRIPT, SHELL_STYLE, TEXT_STYLE, TYPED, SEARCH_ENGINE)


def scripts(page: SitePage) -> tuple[str, ...]:
    """What a page loads after `early.js`, in order: the shell's script, its data, its own script."""
    own = own_script(page)
    data = tuple(name for name in page.scripts if not name.startswith(SCRIPTS))
    return (SHELL_SCRIPT.path, *data, *((own.path,) if own else ()))


def styles(page: SitePage) -> tuple[str, ...]:
    """The style sheets of a page, in order."""
    own = own_style(page)
    return (SHELL_STYLE.path, *((own.path,) if own else ()))


def own_script(page: SitePage) -> Bundle | None:
    """The script of a page alone, called after the folder of its last part."""
    parts = tuple(name for name in page.scripts if name.startswith(SCRIPTS))
    return Bundle(f"{SCRIPTS}{PurePosixPath(parts[-1]).parent.name}.js", parts) if parts else None


def own_style(page: SitePage) -> Bundle | None:
    """The style sheet of a page alone, called after its parts."""
    parts = tuple(dict.fromkeys(page.styles))
    return (
        Bundle(f"{STYLES}{'-'.join(PurePosixPath(name).stem for name in parts)}.css", parts)
        if parts
        else None
    )


def files(pages: Iterable[SitePage], sources: Path) -> Iterator[SiteFile]:
    """Every script and style sheet of the site; `sources` is the folder that holds `assets`.

    Raises ValueError when two pages give one name to different files, OSError when a part cannot be read.
    """
    made = {bundle.path: bundle for bundle in ALWAYS}
    for page in pages:
        for bundle in filter(None, (own_script(page), own_style(page))):
            if made.setdefault(bundle.path, bundle) != bundle:
                raise ValueError(f"{bundle.path} would be two files; {page.path} names other parts of it")
    for path, bundle in sorted(made.items()):
        head = face.sheet() if bundle is SHELL_STYLE else ""
        yield SiteFile(path, head + "".join(_part(sources, name) for name in bundle.parts))
    for path in ALONE:
        yield SiteFile(path, (sources / path).read_text(encoding="utf-8"))


def _part(sources: Path, name: str) -> str:
    text = (sources / name).read_text(encoding="utf-8")
    return f"/* ---- {name} ---- */\n{text.rstrip()}\n\n"
