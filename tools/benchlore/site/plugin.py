"""The MkDocs plugin: loads the book, registers its pages, and leaves the shell around them to `main.html`.

Thin on purpose. What a page says is made in `pages/` and `render.py`, which know nothing of MkDocs.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal

import jinja2
from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils.meta import get_data

from benchlore.book import Loaded, load_book
from benchlore.book.export import export_record
from benchlore.book.model import Book
from benchlore.findings import Finding
from benchlore.rules import check
from benchlore.site import bundles, paths
from benchlore.site.hub import hub
from benchlore.site.page import SiteFile, SitePage, base, relative, source_path
from benchlore.site.pages import all_pages
from benchlore.site.render import environment, render
from benchlore.site.search import files as search
from benchlore.site.serialise import to_json

# Pages need nothing from outside the site, and no inline script or style. Drawings in the style sheets are
# data: URLs; the store of pages opened from disk is a frame; a worker can only come from a Blob there.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "frame-src 'self'; worker-src blob:; connect-src 'none'; base-uri 'none'; form-action 'none'"
)


class Options(Config):  # type: ignore[no-untyped-call]
    """`site_id` names this site's settings in the browser: pages opened from disk may share one store."""

    site_id = config_options.Type(str, default="benchlore")


class RecordPage(Page):
    """A page whose content comes from a template, not from Markdown."""

    def __init__(self, made: SitePage, env: jinja2.Environment, file: File, config: MkDocsConfig) -> None:
        super().__init__(made.title, file, config)
        self.made = made
        self._env = env

    def read_source(self, config: MkDocsConfig) -> None:  # noqa: ARG002
        """There is no Markdown text."""
        self.markdown, self.meta = "", {}

    def render(self, config: MkDocsConfig, files: Files) -> None:  # noqa: ARG002
        """The content, from the page's template."""
        self.content = render(self._env, self.made)


class BenchlorePlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]
    """The book is read anew for each build, so `mkdocs serve` follows the records."""

    _serving = False

    def on_startup(
        self,
        *,
        command: Literal["build", "gh-deploy", "serve"],
        dirty: bool,  # noqa: ARG002
    ) -> None:
        """Remember whether pages are served with live reload, which needs an inline script."""
        self._serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Leave out what an offline site with the same bytes cannot have.

        The 404 page knows no relative way home; the sitemap carries dates.
        """
        self._root = Path(config.config_file_path).parent
        config.theme.static_templates -= {"404.html", "sitemap.xml"}
        return config

    def on_serve(
        self,
        server: LiveReloadServer,
        *,
        config: MkDocsConfig,  # noqa: ARG002
        builder: Any,  # noqa: ARG002
    ) -> LiveReloadServer:
        """Build again when a record, a template or an asset changes."""
        server.watch(str(self._root / "faults"))
        server.watch(str(self._root / "site_overrides"))
        return server

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Register every page of the book, the data for the browser and our assets."""
        loaded = load_book(self._root)
        _refuse(check(loaded))
        self._book = loaded.book
        made, extra = all_pages(loaded.book)
        written = tuple(_written_by_hand(files))
        env = environment(
            self._root / "site_overrides/theme/pages", loaded.book, frozenset(page.path for page in made)
        )
        if dated := files.get_file_from_path("sitemap.xml"):
            files.remove(dated)
        for page in made:
            file = _generated(config, page.path.removesuffix(".html") + ".md", "", page.path)
            RecordPage(page, env, file, config)
            files.append(file)
        for ready in (
            *extra,
            hub(),
            *bundles.files(made, self._root / "site_overrides"),
            *search.files(loaded.book, (*made, *written)),
            *_data_files(loaded.book, made),
            *_source_files(loaded),
        ):
            files.append(_generated(config, ready.path, ready.text, ready.path))
        overrides = self._root / "site_overrides"
        for asset in sorted((overrides / "assets").rglob("*")):
            if asset.is_file() and asset.suffix not in (".js", ".css"):
                name = asset.relative_to(overrides).as_posix()
                files.append(File(name, str(overrides), config.site_dir, config.use_directory_urls))
        self._paths = frozenset(file.dest_uri for file in files)
        return files

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
        made = page.made if isinstance(page, RecordPage) else SitePage(here, page.title or "", "", section="")
        families = [family for _, family in sorted(self._book.families.items())]
        context.update(
            made=made,
            is_record=isinstance(page, RecordPage),
            base=base(here),
            to=lambda there: relative(here, there),
            paths=paths,
            has=self._paths.__contains__,
            policy="" if self._serving else POLICY,
            site_id=self.config.site_id,
            families=families,
            family=self._book.families.get(made.family or ""),
            scripts=bundles.scripts(made),
            styles=bundles.styles(made),
        )
        return context


def _refuse(findings: Iterable[Finding]) -> None:
    errors = [finding for finding in findings if finding.severity == "error"]
    if errors:
        lines = [f"{f.file}:{f.line}:{f.column}: [{f.rule}] {f.message}" for f in errors[:20]]
        more = f"\n... and {len(errors) - 20} more" if len(errors) > 20 else ""
        raise PluginError("The book has errors; run `benchlore check`.\n" + "\n".join(lines) + more)


def _generated(config: MkDocsConfig, src_uri: str, content: str, dest_uri: str) -> File:
    file = File.generated(config, src_uri, content=content, inclusion=InclusionLevel.NOT_IN_NAV)
    file.dest_uri = dest_uri
    return file


def _written_by_hand(files: Files) -> Iterable[SitePage]:
    """The Markdown pages, with the title that stands at their head."""
    for file in files.documentation_pages():
        _, head = get_data(file.content_string)
        yield SitePage(file.dest_uri, str(head.get("title", file.name)), "")


def _data_files(book: Book, pages: Iterable[SitePage]) -> Iterable[SiteFile]:
    for page in pages:
        if page.data_path:
            data = export_record(book, page.record, book.families.get(page.family or ""))
            yield SiteFile(page.data_path, to_json(data))


def _source_files(loaded: Loaded) -> Iterable[SiteFile]:
    for file, text in loaded.sources.texts.items():
        yield SiteFile(source_path(file), text)
