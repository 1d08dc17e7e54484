"""The MkDocs plugin: our shell, around the few pages that are written by hand.

The only module that imports MkDocs. The pages of the book are made in `pages/` and `render.py`; `shell.py`
asks here for what goes around them.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import jinja2
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.commands.build import get_context
from mkdocs.config import config_options, load_config
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, MkDocsException, PluginError
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files
from mkdocs.structure.nav import Navigation, get_navigation
from mkdocs.structure.pages import Page
from mkdocs.utils.meta import get_data

from benchlore.book import Book
from benchlore.shipped import face
from benchlore.site import bundles, paths
from benchlore.site.errors import BuildError
from benchlore.site.page import SitePage, base, relative

# Pages need nothing from outside the site, and no inline script or style. Drawings in the style sheets are
# data: URLs; the store of pages opened from disk is a frame; a worker can only come from a Blob there.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src data:; "
    "frame-src 'self'; worker-src blob:; connect-src 'none'; base-uri 'none'; form-action 'none'"
)

# Files of the theme that our shell does not use: scripts, colours, source maps, what carries dates.
_UNUSED_STARTS = ("assets/javascripts/", "assets/images/", "assets/stylesheets/palette")
_UNUSED_ENDS = ("sitemap.xml", ".map")
# The boxes that open the theme's own drawer and search.
_BOXES = re.compile(r'(<input class="md-toggle"[^>]*?) autocomplete="off"')


class Options(Config):  # type: ignore[no-untyped-call]
    """`site_id` names this site's settings in the browser: pages opened from disk may share one store."""

    site_id = config_options.Type(str, default="benchlore")


class BenchlorePlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]
    """Puts our shell around the pages that the generator makes."""

    book: Book | None = None
    titles: Mapping[str, str] = {}

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Leave out what an offline site with the same bytes cannot have.

        The 404 page knows no relative way home; the sitemap carries dates.
        """
        if self.book is None:
            raise PluginError("this makes the shell alone; `benchlore build` makes the site")
        config.theme.static_templates -= {"404.html", "sitemap.xml"}
        return config

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:  # noqa: ARG002
        """Leave out what no page uses, and keep the titles of the pages written by hand."""
        for file in list(files):
            if file.src_uri.startswith(_UNUSED_STARTS) or file.src_uri.endswith(_UNUSED_ENDS):
                files.remove(file)
        heads = {f: get_data(f.content_string)[1] for f in files.documentation_pages()}
        self.titles = {file.dest_uri: str(head.get("title", file.name)) for file, head in heads.items()}
        return files

    def on_env(self, env: jinja2.Environment, *, config: MkDocsConfig, files: Files) -> jinja2.Environment:
        """Keep what renders a page."""
        self.env, self.files, self.nav = env, files, get_navigation(files, config)
        return env

    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:  # noqa: ARG002
        """Without an attribute of the theme's boxes that HTML does not know there."""
        return _BOXES.sub(r"\1", output)

    def on_page_context(
        self,
        context: Any,  # MkDocs' own TemplateContext, which is no public type
        *,
        page: Page,
        config: MkDocsConfig,  # noqa: ARG002
        nav: Navigation,  # noqa: ARG002
    ) -> Any:
        """What the shell needs to know about a page, whether it comes from a template or from Markdown."""
        here = page.file.dest_uri
        made = page.made if isinstance(page, RecordPage) else _by_hand(here, page.title or "")
        assert self.book is not None
        families = [family for _, family in sorted(self.book.families.items())]
        context.update(
            made=made,
            is_record=isinstance(page, RecordPage),
            base=base(here),
            to=lambda there: relative(here, there),
            paths=paths,
            policy=POLICY,
            site_id=self.config.site_id,
            families=families,
            family=self.book.families.get(made.family or ""),
            scripts=bundles.scripts(made),
            styles=bundles.styles(made),
        )
        return context


class Generator:
    """The generator after its run: the files that it wrote, the titles of its pages, and shells on demand."""

    def __init__(self, config: MkDocsConfig, plugin: BenchlorePlugin, files: Mapping[str, bytes]) -> None:
        self._config, self._plugin = config, plugin
        self.files, self.titles = files, plugin.titles

    def page(self, made: SitePage, content: str) -> str:
        """The whole page of a content."""
        config, plugin = self._config, self._plugin
        file = File.generated(config, made.path.removesuffix(".html") + ".md", content="")
        page = RecordPage(made, file, config)
        page.content = content
        context = get_context(plugin.nav, plugin.files, config, page)
        context = config.plugins.on_page_context(context, page=page, config=config, nav=plugin.nav)
        html: str = plugin.env.get_template("main.html").render(context)
        return html


class RecordPage(Page):
    """A page whose content comes from elsewhere."""

    def __init__(self, made: SitePage, file: File, config: MkDocsConfig) -> None:
        super().__init__(made.title, file, config)
        self.made = made
        self.markdown, self.meta = "", {}


def _by_hand(path: str, title: str) -> SitePage:
    return SitePage(path, title, "", section="", styles=bundles.TEXT_STYLE.parts)


class _Said(logging.Handler):
    """Keeps what the generator says to its log."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def generate(root: Path, folder: Path, book: Book) -> Generator:
    """Run the generator on the pages written by hand, in a folder of its own. Raises BuildError."""
    said = _Said()
    log = logging.getLogger("mkdocs")
    log.setLevel(logging.ERROR)
    log.addHandler(said)
    log.propagate = False  # it is told once, with the error
    try:
        look = face(root)
        named = {} if look == root else {"site_name": book.shop.title}
        config = load_config(str(look / "mkdocs.yml"), site_dir=str(folder), strict=True, **named)
        plugin = config.plugins["benchlore"]
        assert isinstance(plugin, BenchlorePlugin)
        plugin.config.site_id = book.shop.site or plugin.config.site_id
        plugin.book = book
        config.plugins.on_startup(command="build", dirty=False)
        mkdocs_build(config)
        config.plugins.on_shutdown()
    except Abort as error:  # the generator has told its reason to its log, or carries it as the context
        reason = str(error.__context__ or "\n".join(said.lines) or error)
        raise BuildError(reason) from error
    except MkDocsException as error:
        raise BuildError(str(error)) from error
    finally:
        log.removeHandler(said)
        log.propagate = True
    written = sorted(path for path in folder.rglob("*") if path.is_file())
    return Generator(config, plugin, {p.relative_to(folder).as_posix(): p.read_bytes() for p in written})
