"""Publishing swaps whole sites: failed, interrupted, killed and simultaneous builds never show a mix."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from benchlore.site import publish
from benchlore.site.publish import MARKER, PublishError, Staging

PAGES = 40


def build(site: Path, text: str) -> None:
    """Publish a stand-in site whose every page says `text`."""
    with Staging(site) as staging:
        write_pages(staging.folder, text)
        staging.publish()


def write_pages(folder: Path, text: str) -> None:
    for number in range(PAGES):
        page = folder / f"family-{number % 4}" / f"{number}.html"
        page.parent.mkdir(exist_ok=True)
        page.write_text(text, encoding="utf-8")
    (folder / "index.html").write_text(text, encoding="utf-8")


def texts(site: Path) -> list[str]:
    return [path.read_text(encoding="utf-8") for path in site.rglob("*.html")]


def beside(site: Path) -> set[str]:
    return {path.name for path in site.parent.iterdir()}


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return tmp_path / "site"


@pytest.fixture(params=["exchange", "two renames"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both ways to swap folders, whatever this system can do."""
    if request.param == "two renames":
        monkeypatch.setattr(publish, "exchange", lambda one, other: False)


@pytest.mark.usefixtures("way")
def test_a_new_site_replaces_the_old_one_whole(site):
    build(site, "old")
    (site / "gone.html").write_text("old")
    build(site, "new")
    assert texts(site) == ["new"] * (PAGES + 1)
    assert beside(site) == {"site", ".site-lock"}


@pytest.mark.usefixtures("way")
def test_first_site_makes_its_parents(tmp_path):
    build(tmp_path / "a" / "b" / "site", "first")
    assert len(texts(tmp_path / "a" / "b" / "site")) == PAGES + 1


@pytest.mark.parametrize("trouble", [RuntimeError, KeyboardInterrupt])
def test_a_failed_or_interrupted_build_leaves_the_site(site, trouble):
    build(site, "old")

    def fail() -> None:
        with Staging(site) as staging:
            write_pages(staging.folder, "new")
            raise trouble

    with pytest.raises(trouble):
        fail()
    assert texts(site) == ["old"] * (PAGES + 1)
    assert beside(site) == {"site", ".site-lock"}


def test_a_build_without_a_home_page_is_not_published(site):
    build(site, "old")
    with pytest.raises(PublishError, match=r"no index\.html"), Staging(site) as staging:
        staging.publish()
    assert texts(site) == ["old"] * (PAGES + 1)


def test_a_folder_of_somebody_else_is_never_replaced(site):
    site.mkdir()
    (site / "thesis.txt").write_text("years of work")
    with pytest.raises(PublishError, match="no build published"), Staging(site):
        pass
    assert (site / "thesis.txt").read_text() == "years of work"
    assert beside(site) == {"site", ".site-lock"}


def test_a_file_in_the_way_is_refused(site):
    site.write_text("notes")
    with pytest.raises(PublishError, match="not a folder"), Staging(site):
        pass
    assert site.read_text() == "notes"


def test_an_empty_folder_is_used(site):
    site.mkdir()
    build(site, "first")
    assert len(texts(site)) == PAGES + 1


def test_a_link_to_the_site_stays_a_link(site, tmp_path):
    real = tmp_path / "elsewhere" / "real"
    real.mkdir(parents=True)
    site.symlink_to(real, target_is_directory=True)
    build(site, "one")
    build(site, "two")
    assert site.is_symlink()
    assert texts(real) == ["two"] * (PAGES + 1)


def test_a_site_that_cannot_be_moved_stays(site, monkeypatch):
    monkeypatch.setattr(publish, "exchange", lambda one, other: False)
    build(site, "old")
    rename = Path.rename

    def locked(path: Path, target: Path) -> Path:
        if path == site:
            raise PermissionError(13, "in use")
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", locked)
    with pytest.raises(PublishError, match="in use"):
        build(site, "new")
    assert texts(site) == ["old"] * (PAGES + 1)


def test_a_kill_between_two_renames_is_mended_by_the_next_build(site):
    build(site, "old")
    site.rename(site.parent / ".site-old-12345678")
    begun = site.parent / ".site-new-12345678"
    begun.mkdir()
    (begun / MARKER).touch()
    (begun / "half.html").touch()
    with Staging(site):  # a build that makes nothing
        assert texts(site) == ["old"] * (PAGES + 1)
    assert texts(site) == ["old"] * (PAGES + 1)
    assert beside(site) == {"site", ".site-lock"}


def test_leftovers_of_other_sites_are_not_touched(site):
    (site.parent / ".site2-new-1").mkdir()
    build(site, "one")
    assert ".site2-new-1" in beside(site)


@pytest.mark.parametrize(
    "name",
    [".site-new-mine", ".site-old-photos", ".site-new-0123abcd", ".site-old-0123abcd", ".site-new-0123ABCD"],
)
def test_folders_of_somebody_else_are_kept_whatever_their_names(site, name):
    """The last three have the form of a build's own names, or nearly so, but no build's marker."""
    foreign = site.parent / name
    foreign.mkdir()
    (foreign / "thesis.txt").write_text("years of work")
    with Staging(site):
        assert not site.exists()
    build(site, "one")
    build(site, "two")
    assert (foreign / "thesis.txt").read_text() == "years of work"
    assert texts(site) == ["two"] * (PAGES + 1)


def test_a_refused_build_clears_nothing_away(site):
    site.mkdir()
    (site / "mine").touch()
    left = site.parent / ".site-new-0123abcd"
    left.mkdir()
    (left / MARKER).touch()
    with pytest.raises(PublishError, match="no build published"), Staging(site):
        pass
    assert left.is_dir()


@pytest.mark.parametrize("other", ["site-new-theme", "site-old-theme", "site-new-01234567"])
def test_builds_of_sites_whose_names_begin_alike_do_not_meet(site, other):
    with Staging(site.parent / other) as first:
        build(site, "one")
        write_pages(first.folder, "other")
        first.publish()
    assert texts(site) == ["one"] * (PAGES + 1)
    assert texts(site.parent / other) == ["other"] * (PAGES + 1)


def test_a_site_has_no_name_that_builds_use(site):
    with pytest.raises(PublishError, match="folders of their own"), Staging(site.parent / ".a-new-0123abcd"):
        pass
    assert not beside(site)


def test_what_is_cleared_away_keeps_its_marker_to_the_last(site, monkeypatch):
    """Else what a kill leaves half deleted would belong to nobody."""
    left = site.parent / ".site-new-0123abcd"
    (left / "open").mkdir(parents=True)
    (left / MARKER).touch()
    rmtree = shutil.rmtree

    def busy(folder: Path, ignore_errors: bool) -> None:
        if folder.name != "open":
            rmtree(folder, ignore_errors=ignore_errors)

    monkeypatch.setattr(shutil, "rmtree", busy)
    with Staging(site):
        assert (left / MARKER).is_file()
    monkeypatch.undo()
    with Staging(site):
        assert not left.exists()


def test_the_same_input_gives_the_same_bytes(site):
    trees = []
    for _ in range(2):
        build(site, "same")
        trees.append({p.relative_to(site): p.read_bytes() for p in site.rglob("*") if p.is_file()})
    assert trees[0] == trees[1]
    assert Path(MARKER) in trees[0]


BUILDER = textwrap.dedent(
    """
    import sys, time
    from pathlib import Path
    from benchlore.site.publish import Staging

    site, text, pages, pause = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), float(sys.argv[4])
    with Staging(site, waiting=lambda: print("waiting", flush=True)) as staging:
        print("building", flush=True)
        for number in range(pages):
            (staging.folder / f"{number}.html").write_text(text)
            time.sleep(pause)
        (staging.folder / "index.html").write_text(text)
        staging.publish()
        print("published", flush=True)
    """
)


def start(site: Path, text: str, *, pages: int = PAGES, pause: float = 0.0) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", BUILDER, str(site), text, str(pages), str(pause)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def test_two_builds_at_once_do_not_mix(site):
    build(site, "old")
    with Staging(site) as staging:
        second = start(site, "second")
        assert second.stdout is not None
        assert second.stdout.readline() == "waiting\n"
        write_pages(staging.folder, "first")
        staging.publish()
        assert texts(site) == ["first"] * (PAGES + 1)
    assert second.communicate()[0] == "building\npublished\n"
    assert set(texts(site)) == {"second"}


@pytest.mark.skipif(sys.platform == "win32", reason="kill -9 is POSIX")
def test_a_killed_build_leaves_the_site_and_frees_its_place(site):
    build(site, "old")
    moments = random.Random(7)
    for _ in range(5):
        with start(site, "new", pause=0.001) as killed:
            assert killed.stdout is not None
            killed.stdout.readline()
            try:
                killed.wait(moments.uniform(0, 0.06))
            except subprocess.TimeoutExpired:
                os.kill(killed.pid, signal.SIGKILL)
        assert texts(site) in (["old"] * (PAGES + 1), ["new"] * (PAGES + 1))
    build(site, "last")
    assert texts(site) == ["last"] * (PAGES + 1)
    assert beside(site) == {"site", ".site-lock"}
