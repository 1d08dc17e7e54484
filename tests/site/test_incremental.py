"""A build takes over what no edit reached; its bytes are those of a build that takes over nothing.

    python -m tests.site.test_incremental [EDITS] [SEED]

makes so many random edits, renames and deletions in a small book, and compares after each.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest
import yaml
from jinja2 import Environment

from benchlore import cache
from benchlore.site.build import build_site
from benchlore.site.calibration import calibration
from benchlore.site.errors import BuildError
from benchlore.site.page import SitePage
from benchlore.site.publish import Staging
from benchlore.site.render import render
from tests.site.small_book import BUILD, FEW_JOBS, book, contents, differing

pytestmark = pytest.mark.slow

FEWEST = 3  # faults that an edit finds


class Sites:
    """A book, and its site built after each edit; beside it, the same built with nothing kept."""

    def __init__(self, place: Path) -> None:
        self.root, self.site, self.fresh, self.kept, self.empty = (
            place / name for name in ("book", "site", "fresh", "kept", "empty")
        )

    def begin(self) -> None:
        """Write the book."""
        book(self.root, "Wren 5")
        twin = self.root / "faults/wren-7"
        shutil.copytree(self.root / "faults/wren-5", twin)
        family = twin / "family.yaml"
        family.write_text(family.read_text("utf-8").replace("title: Wren 5", "title: Wren 7"), "utf-8")

    def copy(self, place: Path) -> Sites:
        """The book, its site and what was kept, in another place."""
        other = Sites(place)
        for one, copied in ((self.root, other.root), (self.site, other.site), (self.kept, other.kept)):
            shutil.copytree(one, copied)
        return other

    def build(self) -> None:
        """Build over the last site, with what was kept."""
        with keeping_in(self.kept), Staging(self.site) as staging:
            build_site(self.root, staging.folder, staging.final)
            staging.publish()

    def build_fresh(self) -> None:
        """Build with nothing kept and no last site."""
        for folder in (self.empty, self.fresh):
            shutil.rmtree(folder, ignore_errors=True)
        with keeping_in(self.empty), Staging(self.fresh) as staging:
            build_site(self.root, staging.folder, staging.final)
            staging.publish()

    def differing(self) -> list[str]:
        return differing(contents(self.site), contents(self.fresh))


class keeping_in:  # noqa: N801
    """Everything is kept in a folder of its own, and jobs are few."""

    def __init__(self, folder: Path) -> None:
        self._patch = pytest.MonkeyPatch()
        self._folder = folder

    def __enter__(self) -> None:
        self._patch.setattr(cache, "_usual_folder", lambda: self._folder)
        self._patch.setattr(calibration, "__defaults__", FEW_JOBS)

    def __exit__(self, *_: object) -> None:
        self._patch.undo()


def building(root: Path, site: Path, kept: Path, **environment: str) -> subprocess.Popen[bytes]:
    """A process that builds."""
    command = [sys.executable, "-c", BUILD, str(root), str(site), str(kept)]
    return subprocess.Popen(command, env={**os.environ, **environment})


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """Built once, with nothing kept; nobody may change it."""
    made = Sites(tmp_path_factory.mktemp("first"))
    made.begin()
    then = {"PYTHONHASHSEED": "2", "SOURCE_DATE_EPOCH": "1800000000", "TZ": "Asia/Tokyo"}
    assert building(made.root, made.site, made.kept, **then).wait() == 0
    return made


@pytest.fixture
def sites(first, tmp_path):
    """Built again in its place: a build takes over only what lies where it put it itself."""
    made = first.copy(tmp_path)
    made.build()
    return made


@pytest.fixture
def rendered(monkeypatch):
    """The paths of the pages that were rendered; in this process, so that it hears of them."""
    paths: list[str] = []

    def heard(env: Environment, page: SitePage, **more: Any) -> str:
        paths.append(page.path)
        return render(env, page, **more)

    monkeypatch.setattr("benchlore.workers.os.sched_getaffinity", lambda _: {0}, raising=False)
    monkeypatch.setattr("benchlore.site.batch.render", heard)
    return paths


def edit(root: Path, name: str, old: str, new: str) -> None:
    path = root / "faults" / name
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def test_an_edit_reaches_only_the_pages_that_show_it(sites, rendered):
    """A build without one renders nothing and links everything."""
    before = {path: path.stat().st_ino for path in sites.site.rglob("*.html")}
    rendered.clear()
    sites.build()
    assert rendered == []
    assert {path: path.stat().st_ino for path in sites.site.rglob("*.html")} == before
    edit(sites.root, "wren-5/fuse-open.yaml", "title: ", "title: Reworded ")
    sites.build()
    assert "wren-5/fuse-open.html" in rendered
    assert not [path for path in rendered if path.startswith(("wren-7/", "meters/", "contribute/"))]
    sites.build_fresh()
    assert sites.differing() == []


def test_a_page_by_itself_is_the_page_of_the_site(sites):
    """Each page, after an edit that reaches the plans; only those that have changed are shown."""
    edit(sites.root, "wren-5/fuse-open.yaml", "title: ", "title: Reworded ")
    edit(sites.root, "wren-5/fuse-open.yaml", "seen: ", "seen: 1")
    pages = [path.relative_to(sites.site).as_posix() for path in sites.site.rglob("*.html")]
    shown: dict[str, bytes] = {}
    before = {path: (sites.site / path).read_bytes() for path in pages}
    with keeping_in(sites.kept), Staging(sites.site) as staging:
        build_site(sites.root, staging.folder, staging.final, first=pages, show=shown.__setitem__)
        staging.publish()
    assert {
        "wren-5/fuse-open.html",
        "wren-5/index.html",
        "wren-5/symptoms/dead-on-adapter.html",
    } <= shown.keys()
    now = {path: (sites.site / path).read_bytes() for path in pages}
    assert {path: now[path] for path in shown} == shown
    changed = {path for path in pages if now[path] != before[path]}
    assert {path for path in changed if path.startswith("wren-5/")} <= shown.keys() <= changed


def test_what_somebody_changed_in_the_site_is_made_again(sites):
    """And what is kept may be spoiled."""
    whole = contents(sites.site)
    (sites.site / "index.html").write_text("spoiled", "utf-8")
    (sites.site / "learn.html").unlink()
    link = sites.site / "faults.html"
    link.unlink()
    link.symlink_to(sites.root / "mkdocs.yml")
    sites.build()
    assert differing(contents(sites.site), whole) == []

    for number, path in enumerate(sorted(path for path in sites.kept.rglob("*.json"))):
        match number % 4:
            case 0:
                path.write_bytes(path.read_bytes()[:-9])
            case 1:
                path.write_bytes(path.read_bytes().replace(b"Wren", b"Wron"))
            case 2 if hasattr(os, "mkfifo"):
                path.unlink()
                os.mkfifo(path)
            case _:
                path.unlink()
                path.mkdir()
    edit(sites.root, "wren-5/fuse-open.yaml", "seen: ", "seen: 1")
    sites.build()
    sites.build_fresh()
    assert sites.differing() == []
    assert whole != contents(sites.site)


def test_two_builds_may_share_what_is_kept_and_the_same_input_gives_the_same_bytes(first, tmp_path):
    """At the same time, of two books, with nothing kept before. And the same input gives the same bytes,
    whatever the day, the folder and the order of hashes."""
    kept = tmp_path / "shared"
    one = shutil.copytree(first.root, tmp_path / "here" / "deeper")
    other = book(tmp_path / "other", "Wren 5 too")
    targets = {one: tmp_path / "one-site", other: tmp_path / "other-site"}
    then = {"PYTHONHASHSEED": "1", "SOURCE_DATE_EPOCH": "1", "TZ": "UTC"}
    running = [building(root, site, kept, **then) for root, site in targets.items()]
    assert [process.wait() for process in running] == [0, 0]
    assert differing(contents(targets[one]), contents(first.site)) == []


def test_random_edits(sites):
    assert wander(sites, 3, random.Random(20)) >= 2


def wander(sites: Sites, edits: int, chance: random.Random) -> int:
    """Edit at random, and compare after each edit; how many edits left a book that can be built."""
    good, first = 0, _texts(sites.root)
    for number in range(edits):
        if len(_faults(sites.root)) < FEWEST:  # deleted one by one: begin again
            _put_back(sites.root, first)
        before = _texts(sites.root)
        told = chance.choice((reword, count, rename, delete, renumber))(sites.root, chance)
        try:
            sites.build()
        except BuildError:  # the edit broke the book: take it back
            _put_back(sites.root, before)
            sites.build()
        else:
            good += 1
        sites.build_fresh()
        assert sites.differing() == [], f"edit {number}: {told}"
    return good


def _texts(root: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in _records(root)}


def _put_back(root: Path, texts: dict[Path, bytes]) -> None:
    for path in _records(root):
        path.unlink()
    for path, data in texts.items():
        path.write_bytes(data)


def _records(root: Path) -> list[Path]:
    return sorted((root / "faults").rglob("*.yaml"))


def _faults(root: Path) -> list[Path]:
    return [path for path in _records(root) if path.parent.name.startswith("wren") and path.stem != "family"]


def reword(root: Path, chance: random.Random) -> str:
    """Another word at the end of some text of some record."""
    path = chance.choice(_records(root))
    data = yaml.safe_load(path.read_text("utf-8"))
    places = [
        (holder, key)
        for holder in _holders(data)
        for key in ("title", "summary", "note", "means", "asks", "purpose", "for", "tell", "how", "harm")
        if isinstance(holder, dict) and isinstance(holder.get(key), str)
    ]
    if places:
        holder, key = chance.choice(places)
        holder[key] = f"{holder[key].rstrip()} Also {chance.randrange(1000)}."
        path.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), "utf-8")
    return f"reword {path}"


def _holders(data: Any) -> list[Any]:
    below = data.values() if isinstance(data, dict) else data if isinstance(data, list) else ()
    return [data, *(found for one in below for found in _holders(one))]


def count(root: Path, chance: random.Random) -> str:
    """Another number of jobs with a fault: it changes the plans."""
    path = chance.choice(_faults(root))
    data = yaml.safe_load(path.read_text("utf-8"))
    if "seen" in data:
        data["seen"] = chance.randrange(1, 60)
        path.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), "utf-8")
    return f"count {path}"


def renumber(root: Path, chance: random.Random) -> str:
    """Other minutes for a measurement of a family, or another place on the board."""
    path = chance.choice([path for path in _records(root) if path.name == "family.yaml"])
    data = yaml.safe_load(path.read_text("utf-8"))
    measurement = chance.choice(sorted(data["measurements"]))
    data["measurements"][measurement]["minutes"] = chance.randrange(1, 9)
    path.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), "utf-8")
    return f"renumber {path}"


def rename(root: Path, chance: random.Random) -> str:
    """A fault under another name, the old one left to lead there."""
    path = chance.choice(_faults(root))
    new = path.with_name(f"{path.stem}-{chance.randrange(100)}.yaml")
    text = path.read_text("utf-8")
    if "moved_to" not in text:
        new.write_text(text, "utf-8")
        path.write_text(f"moved_to: {path.parent.name}/{new.stem}\n", "utf-8")
    return f"rename {path}"


def delete(root: Path, chance: random.Random) -> str:
    path = chance.choice(_faults(root))
    path.unlink()
    return f"delete {path}"


if __name__ == "__main__":
    amount, seed = (*map(int, sys.argv[1:]), *(200, 20)[len(sys.argv) - 1 :])
    with tempfile.TemporaryDirectory() as folder:
        begun = Sites(Path(folder))
        begun.begin()
        begun.build()
        built = wander(begun, amount, random.Random(seed))
    print(f"{amount} edits, {built} of them built, and every site the same as a fresh one")
