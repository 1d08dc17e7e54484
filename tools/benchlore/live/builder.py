"""Build the site, wait for a save, build again: `python -m benchlore.live.builder ROOT SITE [--strict]`.

Says on its standard output what it does, as one JSON object a line (`Told`, `Early`), and reads on its
standard input which pages are open once it has said that it builds. It ends with AGAIN when the code
or the schemas have changed, which a process reads once, and when the process that started it is gone.
It is a process of its own, without threads, so that it may build on all processors.
"""

from __future__ import annotations

import json
import os
import sys
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Any, TypedDict

from benchlore.findings import Finding
from benchlore.live.watch import book_and_face, changed, code_places, settled, snapshot
from benchlore.progress import progress
from benchlore.site.build import build_site
from benchlore.site.errors import BookError, BuildError
from benchlore.site.publish import PublishError, Staging
from benchlore.workers import WorkerError

AGAIN = 75  # EX_TEMPFAIL of sysexits.h


class Told(TypedDict):
    """What came of a build, or that one has begun (`building`; the rest is then empty).

    `built`: whether there is a new site; if not, the last one is still there. `findings` of the book, and
    `trouble` that is no finding; `files` that were checked; `seconds` that it took.
    """

    building: bool
    built: bool
    findings: list[dict[str, Any]]
    trouble: str
    files: int
    seconds: float


class Early(TypedDict):
    """A page that somebody looks at, made before the site that it belongs to."""

    page: str
    html: str


def told(building: bool = False, built: bool = False, trouble: str = "") -> Told:
    """A message without findings."""
    return {
        "building": building,
        "built": built,
        "findings": [],
        "trouble": trouble,
        "files": 0,
        "seconds": 0.0,
    }


def build_once(
    root: Path,
    site: Path,
    strict: bool = False,
    first: Sequence[str] = (),
    show: Callable[[str, bytes], None] = lambda *_: None,
) -> Told:
    """Build the site and say what came of it; never raises for what the book or the templates hold.

    `first`, `show`: as `build_site` has them.
    """
    start = time.monotonic()
    findings: Sequence[Finding] = ()
    made = told()
    try:
        with Staging(site) as staging:
            with progress("parts of the site made") as tell:
                findings = build_site(root, staging.folder, staging.final, tell, strict, first, show)
            staging.publish()
        made["built"] = True
    except BookError as error:
        findings = error.findings
    except (BuildError, PublishError, WorkerError, OSError) as error:
        made["trouble"] = str(error)
    except Exception as error:  # a mistake in a template, say: told, and mended while this goes on
        traceback.print_exc()
        made["trouble"] = f"{type(error).__name__}: {error}"
    made["findings"] = [asdict(finding) for finding in findings]
    made["files"] = sum(1 for path in snapshot((root / "faults",)) if path.endswith(".yaml"))
    made["seconds"] = time.monotonic() - start
    return made


def run(
    root: Path,
    site: Path,
    strict: bool,
    say: Callable[[Told | Early], None],
    ask: Callable[[], Sequence[str]],
    alive: Callable[[], bool],
) -> int:
    """Build again after each change, as long as `alive`; an exit code.

    `ask` gives the paths of the pages that somebody looks at now, after it was said that a build has begun.
    """

    def show(path: str, page: bytes) -> None:
        say({"page": path, "html": page.decode()})

    def look() -> tuple[Any, Any]:
        return snapshot(book_and_face(root)), snapshot(code_places())

    seen: tuple[Any, Any] | None = settled(look, look())
    started_with = seen and seen[1]
    while seen is not None:
        if seen[1] != started_with:
            return AGAIN
        say(told(building=True))
        say(build_once(root, site, strict, ask(), show))
        seen = changed(look, seen, alive)
    return 0


def main(arguments: Sequence[str]) -> int:
    """Run the program."""
    root, site, *strict = arguments
    # What libraries print goes to the error stream: the other one belongs to the messages.
    messages = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    parent = os.getppid()
    say = partial(_say, messages)
    try:
        return run(Path(root), Path(site), bool(strict), say, _asked, lambda: os.getppid() == parent)
    except (KeyboardInterrupt, BrokenPipeError):  # the process that listens has been stopped
        return 0


def _asked() -> list[str]:
    """The answer of the process that listens, one JSON list a line; nothing from one that is gone."""
    return list(json.loads(sys.stdin.readline() or "[]"))


def _say(messages: Any, what: Told | Early) -> None:
    messages.write(json.dumps(what) + "\n")
    messages.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
