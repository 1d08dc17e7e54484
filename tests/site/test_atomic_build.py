"""`kill -9` at random moments of real builds: the site on disk is complete, the old or the new."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.site.small_book import FEW_JOBS, book, contents, differing

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="kill -9 and fork are POSIX"),
]

# Imports once; then a child of its own runs the real command for each root that it reads, or publishes a site
# that was built before, and reports.
BUILDER = textwrap.dedent(
    """
    import os, shutil, sys
    from pathlib import Path
    import benchlore.site.build, benchlore.site.plugin
    from benchlore.cli import main
    from benchlore.site.calibration import calibration
    from benchlore.site.publish import Staging

    calibration.__defaults__ = FEW_JOBS

    def report(text):
        print(text, flush=True)

    publish = Staging.publish
    def reported(staging):
        report("publishing")
        publish(staging)
    Staging.publish = reported

    def again(built):
        with Staging(Path(sys.argv[1])) as staging:
            shutil.copytree(built, staging.folder, dirs_exist_ok=True)
            staging.publish()

    for line in sys.stdin:
        what, folder = line.rstrip("\\n").split(" ", 1)
        child = os.fork()
        if child == 0:
            report(os.getpid())
            try:
                if what == "build":
                    code = main(["build", "--root", folder, "--site-dir", sys.argv[1]])
                else:
                    code = again(folder)
            except SystemExit as error:
                code = error.code
            os._exit(1 if code else 0)
        report(f"ended {os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])}")
    """
)


class Builder:
    """A process that has all of the generator loaded, and forks the builds."""

    def __init__(self, site: Path) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", f"FEW_JOBS = {FEW_JOBS}\n{BUILDER}", str(site)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._stdin, self._stdout = self._process.stdin, self._process.stdout

    def start(self, root: Path) -> int:
        """Start a build; the id of its process."""
        return self._ask("build", root)

    def start_again(self, site: Path) -> int:
        """Start to publish a copy of a site; the id of its process."""
        return self._ask("again", site)

    def _ask(self, what: str, folder: Path) -> int:
        self._stdin.write(f"{what} {folder}\n")
        self._stdin.flush()
        return int(self._stdout.readline())

    def publishing(self) -> None:
        """Wait until the build has made everything and begins to publish it."""
        assert self._stdout.readline() == "publishing\n"

    def end(self) -> int:
        """Wait until the build has ended; its exit code, or minus the signal that killed it."""
        for line in self._stdout:
            if line.startswith("ended "):
                return int(line.split()[1])
        raise AssertionError("the builder died")

    def close(self) -> None:
        with self._process:
            self._stdin.close()


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return tmp_path / "site"


@pytest.fixture
def builder(site: Path) -> Iterator[Builder]:
    builder = Builder(site)
    yield builder
    builder.close()


def test_twenty_kills(builder, site, tmp_path):
    books = [book(tmp_path / "one", "Wren 5 one"), book(tmp_path / "two", "Wren 5 two")]
    built = [tmp_path / "built-one", tmp_path / "built-two"]
    whole = []
    for root, kept in zip(books, built, strict=True):
        begun = time.monotonic()
        builder.start(root)
        assert builder.end() == 0
        duration = time.monotonic() - begun
        shutil.copytree(site, kept)
        whole.append(contents(site))
    assert whole[0] != whole[1]

    moments = random.Random(20)
    killed = []
    for number in range(20):
        other = 1 - whole.index(contents(site))
        if number % 4 == 3:  # while it makes the pages
            process = builder.start(books[other])
            time.sleep(duration * moments.uniform(number - 3, number + 1) / 20)
        else:  # while it puts them in place
            process = builder.start_again(built[other])
            builder.publishing()
            time.sleep(moments.uniform(0, 0.006))
        with suppress(ProcessLookupError):  # it had ended
            os.kill(process, signal.SIGKILL)
        killed.append(builder.end() == -signal.SIGKILL)
        left = contents(site)
        assert left in whole, f"kill {number} left a mix: {[differing(left, one) for one in whole]}"
    assert sum(killed) >= 10  # some builds end before their moment comes

    builder.start(books[0])
    assert builder.end() == 0
    assert not differing(contents(site), whole[0])
    assert {path.name for path in tmp_path.iterdir()} == {
        *("one", "two", "built-one", "built-two"),
        *("site", ".site-lock"),
    }
