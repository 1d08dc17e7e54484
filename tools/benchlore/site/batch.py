"""A batch: the pages and files that come from the same records, made together and known by one key.

Each family is a batch, and its pages are given the family's records and the common ones, no others. What
looks across families is one more batch. So the key of a batch holds the texts of the records that it was
given, the shell, the templates and the code; a changed record reaches the batches that have it in their keys.
Within a batch, a page is rendered again only where something in its context has changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path

import jinja2

from benchlore.book import Loaded, links, schemas
from benchlore.book.export import export_record
from benchlore.book.ids import COMMON, folder_of
from benchlore.book.model import Book
from benchlore.book.pictures import clean
from benchlore.cache import Drawer, code_of, keep, key_of, recall
from benchlore.fingerprint import Fingerprints
from benchlore.shipped import face
from benchlore.site import paths, write_data
from benchlore.site.calibration import calibration
from benchlore.site.drawings.kept import drawings_kept
from benchlore.site.folder import Seal, SiteFolder
from benchlore.site.hub import hub
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.pages import page_at, pages_of_book, pages_of_family
from benchlore.site.plans import keep_plan, plans_of, unplanned
from benchlore.site.render import common_of, environment, render
from benchlore.site.search import files as search
from benchlore.site.serialise import to_json
from benchlore.site.shell import Shell

# All of the package: a page is put together from many parts, and a stale one would be believed.
_CODE = code_of(".", packages=("jinja2", "markupsafe", "markdown-it-py", "mdurl", "pillow"))
_OF_BOOK = "-book"  # no family is called so

# Path, title, template and family of a page that the search finds by its title.
Titled = Sequence[str]
# Path, scripts and styles of a page.
Loads = tuple[str, Sequence[str], Sequence[str]]
_FORM = ({str: str}, [(str, str, str, str)], [(str, [str], [str])])


@dataclass(frozen=True, slots=True)
class Finished:
    """A batch that lies in the site.

    `seals`: of its files, by path. `titled`: its pages that show no record. `loads`: a page for each set of
    scripts and styles that its pages load.
    """

    seals: Mapping[str, Seal]
    titled: Sequence[Titled]
    loads: Sequence[Loads]


class Batches:
    """The batches of one build. `finish` may run in several processes, a batch in each.

    Raises BuildError where there is no shell to put around the pages.
    """

    def __init__(self, root: Path, loaded: Loaded, folder: SiteFolder) -> None:
        self._book, self._texts, self._pictures = loaded.book, loaded.sources.texts, loaded.sources.pictures
        self._templates = face(root) / "site_overrides" / "theme" / "pages"
        self._folder = folder
        self._shell = Shell(root, loaded.book)
        self._written, self._by_hand = self._shell.files()  # first: it tells what lacks
        looks = [(path.name, path.read_bytes()) for path in sorted(self._templates.glob("*.html"))]
        self._look = key_of(_CODE, schemas.code(), self._shell.key, looks)
        self.families = tuple(sorted(loaded.book.families))

    def unchanged(self, family: str) -> Finished | None:
        """A family's batch, taken over from the last site; None where something of it must be made."""
        return self._taken_over(family, self._key(self._files_of(family)))

    def page(self, path: str) -> bytes | None:
        """A page by itself, before all others: the same bytes as in its batch. None for one that no record
        leads to. Raises BuildError.
        """
        name = path.split("/")[0]
        if name not in self._book.families:
            name = _OF_BOOK
        with drawings_kept(name):
            page = page_at(self._book, path)
            if page is None:
                return None
            body = render(
                _environment(self._templates, self._look), page, book=common_of(self._book_of(name))
            )
        return self._shell.around(page, body, Drawer(f"shells/{name}")).encode()

    def size(self, family: str) -> int:
        """How much a family holds, in characters."""
        return sum(len(self._texts[file]) for file in self._files_of(family))

    def prepare(self) -> None:
        """What the processes that make batches have in common, made before they start."""
        _environment(self._templates, self._look)

    def unplanned(self, family: str) -> Iterator[str]:
        """What `plan` is to be told, so that a family's batch finds its plans."""
        book = links.book_of(self._book, family)
        return (f"{family}/{symptom}" for symptom in unplanned(book, book.families[family]))

    def plan(self, name: str) -> None:
        """Make and keep the plan of a family and a symptom."""
        family, symptom = name.split("/")
        book = links.book_of(self._book, family)
        keep_plan(book, book.families[family], symptom)

    def play(self, family: str) -> None:
        """Play and keep a family's simulated jobs; the page that shows them comes after all families."""
        book = links.book_of(self._book, family)
        known = plans_of(book, book.families[family])
        if known:
            calibration(book, known)

    def finish(self, family: str) -> Finished:
        """Make a family's batch. Raises BuildError."""
        with drawings_kept(family):
            return self._finish(family)

    def _finish(self, family: str) -> Finished:
        files = self._files_of(family)
        made = [*pages_of_family(self._book, family), *self._sources(files)]
        made.append(write_data.records_file(family, {file: self._texts[file] for file in files}))
        return self._put(family, self._key(files), made, self._clean(family))

    def _clean(self, family: str) -> Mapping[str, bytes]:
        """The clean copies of a family's pictures."""
        return {
            paths.picture(family, self._book.pictures[file].name): clean(raw)
            for file, raw in self._pictures.items()
            if folder_of(file) == family and not self._book.pictures[file].trouble
        }

    def finish_book(self, titled: Sequence[Titled]) -> Finished:
        """The batch of the whole book, after those of the families and with their `titled`."""
        key = self._key(self._texts)
        known = self._taken_over(_OF_BOOK, key)
        if known:
            return known
        with drawings_kept(_OF_BOOK):
            return self._finish_book(key, titled)

    def _finish_book(self, key: str, titled: Sequence[Titled]) -> Finished:
        made = [*pages_of_book(self._book), hub()]
        by_hand = [(path, title, "", "") for path, title in self._by_hand.items()]
        listed = [*titled, *_titled(made), *by_hand]
        made += search.files(self._book, (SitePage(p, t, m, family=f or None) for p, t, m, f in listed))
        own = {id_ for family in self.families for id_ in self._files_of(family)}
        made += self._sources(file for file in self._texts if file not in own)
        return self._put(_OF_BOOK, key, made, self._written)

    def _book_of(self, name: str) -> Book:
        """What the pages of a batch are given."""
        return self._book if name == _OF_BOOK else links.book_of(self._book, name)

    def _files_of(self, family: str) -> tuple[str, ...]:
        return tuple(file for file in self._texts if folder_of(file) == family)

    def _key(self, files: Sequence[str] | Mapping[str, str]) -> str:
        common = (file for file in self._texts if folder_of(file) == COMMON)
        texts = [(file, self._texts[file]) for file in dict.fromkeys((*files, *common))]
        folders = {folder_of(file) for file in files}
        shown = [(f, one.digest) for f, one in self._book.pictures.items() if folder_of(f) in folders]
        return key_of(self._look, texts, shown)

    def _sources(self, files: Iterator[str] | Sequence[str]) -> Iterator[SiteFile]:
        return (SiteFile(paths.record_text(file), self._texts[file]) for file in files)

    def _taken_over(self, name: str, key: str) -> Finished | None:
        known = recall(f"made/{name}", key, _FORM)
        if known is None:
            return None
        contents, titled, loads = known[0]
        seals = {path: self._folder.link(path, content) for path, content in contents.items()}
        found = {path: seal for path, seal in seals.items() if seal is not None}
        return Finished(found, titled, loads) if len(found) == len(seals) else None

    def _put(
        self,
        name: str,
        key: str,
        made: Sequence[SitePage | SiteFile],
        others: Mapping[str, bytes] | None = None,
    ) -> Finished:
        book = self._book_of(name)
        env = _environment(self._templates, self._look)
        prints = Fingerprints()
        shared = common_of(book)
        common = prints.of(shared)
        bodies, shells = Drawer(f"pages/{name}"), Drawer(f"shells/{name}")
        data = dict(others or {})
        for one in made:
            if isinstance(one, SiteFile):
                data[one.path] = one.text.encode()
                continue
            page_key = key_of(self._look, common, prints.of(one))
            body = bodies.get(one.path, page_key, partial(render, env, one, book=shared))
            data[one.path] = self._shell.around(one, body, shells).encode()
            if one.data_path:
                holder = book.families.get(one.family or "")
                data[one.data_path] = to_json(export_record(book, one.record, holder)).encode()
        bodies.close()
        shells.close()
        done = Finished(
            {path: self._folder.put(path, data[path]) for path in data}, _titled(made), _loads(made)
        )
        contents = {path: seal[0] for path, seal in done.seals.items()}
        keep(f"made/{name}", key, [contents, done.titled, done.loads])
        return done


@lru_cache(maxsize=1)
def _environment(templates: Path, look: str) -> jinja2.Environment:  # noqa: ARG001 (other templates, another one)
    """Templates are compiled once in a process, until they change; all at once, before it is forked."""
    env = environment(templates)
    for name in env.list_templates(extensions=["html"]):
        env.get_template(name)
    return env


def _titled(made: Sequence[SitePage | SiteFile]) -> list[Titled]:
    pages = (one for one in made if isinstance(one, SitePage) and one.record is None)
    return [(page.path, page.title, page.template, page.family or "") for page in pages]


def _loads(made: Sequence[SitePage | SiteFile]) -> list[Loads]:
    pages = [one for one in made if isinstance(one, SitePage)]
    found = {(page.scripts, page.styles): page.path for page in reversed(pages)}
    return [(path, scripts, styles) for (scripts, styles), path in sorted(found.items())]
