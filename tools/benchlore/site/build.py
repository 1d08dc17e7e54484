"""Build the whole site into a folder. Publishing it is another matter (publish.py)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from benchlore.book import load_book
from benchlore.cache import trim
from benchlore.circuit.foretold import in_full
from benchlore.findings import Finding
from benchlore.progress import Progress
from benchlore.rules import check_known
from benchlore.shipped import face
from benchlore.site import bundles, write_data
from benchlore.site.batch import Batches, Finished
from benchlore.site.errors import BookError
from benchlore.site.folder import Seal, SiteFolder
from benchlore.site.page import SitePage
from benchlore.site.pages import refuse_twins
from benchlore.workers import processes, spread

_CACHE_BYTES = 1 << 30  # of all that builds and checks keep


def build_site(
    root: Path,
    site_dir: Path,
    last: Path | None = None,
    tell: Progress = lambda *_: None,
    strict: bool = False,
    first: Sequence[str] = (),
    show: Callable[[str, bytes], None] = lambda *_: None,
) -> tuple[Finding, ...]:
    """Render the book in `root` into `site_dir`, a folder with nothing in it but names with a dot in front.

    Gives what there is to say about the book; an error stops the build, when `strict` a warning, too.

    `last`: the site that the new one will replace; what is the same in both is taken over. The same input
    gives the same bytes, whatever is taken over or kept. `tell` hears how many parts are done. `first`: paths
    of pages that somebody looks at; `show` is given those that are others than in the last site, before the
    rest is made.
    Raises BookError and other BuildErrors, WorkerError; what lies in `site_dir` then is not a site.
    """
    loaded = load_book(root, kept=True)
    # What each way of failing reads is for the form; the check has worked out half of it.
    findings = check_known(loaded, write_data.prepare)
    _refuse(findings, strict)
    loaded = replace(loaded, book=in_full(loaded.book))
    folder = SiteFolder(site_dir, last or site_dir)
    batches = Batches(root, loaded, folder)
    for path in first:
        page = batches.page(path)
        if page is not None and page != _content(last, path):
            show(path, page)
    done = _families(batches, tell)
    whole = batches.finish_book([one for family in batches.families for one in done[family].titled])
    finished = (*done.values(), whole)
    paths = [path for one in finished for path in one.seals]
    loads = (load for one in finished for load in one.loads)
    pages = [SitePage(path, "", "", scripts=tuple(js), styles=tuple(css)) for path, js, css in loads]
    assets = dict(_assets(face(root) / "site_overrides", folder, pages))
    refuse_twins((*paths, *assets))
    folder.remember({path: seal for one in finished for path, seal in one.seals.items()} | assets)
    trim(_CACHE_BYTES)
    tell(len(done) + 1, len(done) + 1)
    return findings


def _content(site: Path | None, path: str) -> bytes:
    """What a page of a site holds; nothing where there is none."""
    try:
        return (site / path).read_bytes() if site else b""
    except OSError:
        return b""


def _families(batches: Batches, tell: Progress) -> dict[str, Finished]:
    """The batches of all families: those that are unchanged, then the others, on all processors, the longest
    work first.
    """
    done = {}
    for family in batches.families:
        unchanged = batches.unchanged(family)
        if unchanged:
            done[family] = unchanged
    left = sorted(set(batches.families) - set(done), key=lambda family: (-batches.size(family), family))
    steps = len(done) + len(left) + 1
    tell(len(done), steps)
    # With many families each processor has enough to do with its own.
    apart = len(left) <= processes()
    if left:
        batches.prepare()
    if apart:
        for _ in spread(batches.plan, [name for family in left for name in batches.unplanned(family)]):
            pass

    def work(name: str) -> Finished | None:
        family, _, jobs = name.partition("/")
        if jobs or not apart:
            batches.play(family)
        return None if jobs else batches.finish(family)

    names = [*left, *(f"{family}/jobs" for family in left if apart)]
    for name, finished in spread(work, names):
        if finished:
            done[name] = finished
            tell(len(done), steps)
    return done


def _assets(overrides: Path, folder: SiteFolder, pages: Iterable[SitePage]) -> Iterator[tuple[str, Seal]]:
    """Scripts and styles, bundled for the pages that load them, and pictures."""
    for made in bundles.files(pages, overrides):
        yield made.path, folder.put(made.path, made.text.encode())
    for asset in sorted((overrides / "assets").rglob("*")):
        if asset.is_file() and asset.suffix not in (".js", ".css"):
            path = asset.relative_to(overrides).as_posix()
            yield path, folder.put(path, asset.read_bytes())


def _refuse(findings: Sequence[Finding], strict: bool) -> None:
    stopping = ("error", "warning") if strict else ("error",)
    refused = [finding for finding in findings if finding.severity in stopping]
    if refused:
        raise BookError(findings, refused)
