"""The speed table: our build and our check beside their peers, on the same generated books, in one run.

    python tools/benchmarks/speed.py [ROW ...] [--families 2 20 200] [--runs 1] [--minutes 60] [--code DIR]

| row | what is timed | its peer |
| --- | --- | --- |
| build | a cold build | stock MkDocs + Material with search, on as many Markdown pages of the same text |
| build-edit | a build after one edited record | our own cold build |
| check | a cold check | check-jsonschema with our schemas, on the same files |
| check-edit | a check after one edited record | check-jsonschema, as above |
| record | a cold check, by record | the same at the smallest of the sizes |
| memory | the most memory that a cold build holds | that of stock MkDocs + Material |

The edit adds a job to `seen` of one fault pattern and words to its summary, so pages and plans change. Cold:
the code runs from a copy of its own, without caches. `--code DIR` measures another checkout. Of several runs
the quickest counts. Times and ratios are of processor time, since it alone stays comparable on a machine that
others use; time on the clock stands behind them. What works for more than `--minutes` is ended, and its rows
say so. The peers stand in the extra `benchmark`; memory needs Linux.
"""

from __future__ import annotations

import argparse
import compileall
import os
import platform
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from html.parser import HTMLParser
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import MappingProxyType

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

from benchlore.book.ids import kind_of  # noqa: E402
from benchmarks.books import write_book  # noqa: E402

SIZES = (2, 20, 200)
_PEERS = ("mkdocs", "mkdocs-material", "check-jsonschema")
# What a build and a check need of a checkout.
_CODE = ("tools/benchlore", "schema", "site_overrides", "mkdocs.yml", "pyproject.toml")
# check-jsonschema brings a package that jsonschema loads where it is there, which takes a second: what
# is timed is an installation without the peers.
_START = "import sys; sys.modules['rfc3987_syntax'] = None; from benchlore.cli import main; sys.exit(main())"
_PAUSE = 0.1  # s between two looks at the memory, at least
_LOOKING = 0.02  # share of the time that looking may take: a look at large processes is dear, and slows them
# The ratio that each row may have, by the number of families; None: at any size.
LIMITS: dict[str, dict[int | None, float]] = {
    "build": {2: 1.0, 20: 0.7, 200: 0.5},
    "build-edit": {2: 0.1, 20: 0.03, 200: 0.02},
    "check": {None: 5.0},
    "check-edit": {None: 0.2},
    "record": {None: 1.3},
    "memory": {None: 1.0},
}


@dataclass(frozen=True, slots=True)
class Run:
    """Seconds on the clock, seconds of processor time, and the most bytes held at a time."""

    seconds: float
    worked: float
    peak: int


@dataclass(slots=True)
class Bench:
    """A generated book of one size beside a copy of the code; each thing is measured once, when asked for."""

    folder: Path
    families: int
    runs: int
    minutes: float
    known: dict[str, Run] = field(default_factory=dict)

    @property
    def site(self) -> Path:
        """Where our site is built."""
        return self.folder / "site"

    @property
    def records(self) -> list[Path]:
        """All record files, sorted."""
        return sorted((self.folder / "faults").rglob("*.yaml"))

    def build(self) -> Run:
        """A cold build."""
        return self._measured("build", partial(self._ours, "build"), cold=True)

    def build_after_edit(self) -> Run:
        """A build after one edited record; the build before it is not timed where one was made."""
        self._warm("build")
        return self._measured("build-edit", partial(self._ours, "build"), edit=True)

    def check(self) -> Run:
        """A cold check."""
        return self._measured("check", partial(self._ours, "check"), cold=True)

    def check_after_edit(self) -> Run:
        """A check after one edited record."""
        self._warm("check")
        return self._measured("check-edit", partial(self._ours, "check"), edit=True)

    def mkdocs(self) -> Run:
        """Stock MkDocs + Material on the text of our pages, which are built first."""
        if "mkdocs" not in self.known:
            self.build()
            peer = self.folder / "peer"
            write_markdown(self.site, peer)
            command = [sys.executable, "-m", "mkdocs", "build", "--quiet", "--clean"]
            self.known["mkdocs"] = best(self.runs, lambda: run(command, peer, self.minutes))
        return self.known["mkdocs"]

    def check_jsonschema(self) -> Run:
        """check-jsonschema on every record file: one call a kind, since a call takes one schema."""
        if "check-jsonschema" not in self.known:
            self.known["check-jsonschema"] = best(self.runs, self._check_schemas)
        return self.known["check-jsonschema"]

    def _check_schemas(self) -> Run:
        by_kind: dict[str, list[str]] = {}
        for path in self.records:
            name = path.relative_to(self.folder).as_posix()
            kind, _ = kind_of(name) or ("", "")
            by_kind.setdefault(kind, []).append(name)
        runs = []
        for kind, files in by_kind.items():
            schema = self.folder / "schema" / f"{kind}.schema.json"
            beside = ["--base-uri", schema.as_uri()]  # where it looks for the schemas that this one names
            command = [sys.executable, "-m", "check_jsonschema", "--quiet", *beside]
            command += ["--schemafile", str(schema), *files]
            runs.append(run(command, self.folder, self.minutes))
        seconds, worked = sum(one.seconds for one in runs), sum(one.worked for one in runs)
        return Run(seconds, worked, max(one.peak for one in runs))

    def _measured(self, name: str, work: Callable[[], Run], cold: bool = False, edit: bool = False) -> Run:
        if name not in self.known:

            def once() -> Run:
                if cold:
                    shutil.rmtree(self.folder / ".cache", ignore_errors=True)
                    shutil.rmtree(self.site, ignore_errors=True)
                if edit:
                    self._edit()
                return work()

            self.known[name] = best(self.runs, once)
        return self.known[name]

    def _warm(self, what: str) -> None:
        if what not in self.known:
            say(f"{self.families} families: {what}, not timed")
            self._ours(what)

    def _ours(self, what: str) -> Run:
        command = [sys.executable, "-c", _START, what, "--root", str(self.folder)]
        return run(command, self.folder, self.minutes)

    def _edit(self) -> None:
        faults = [path for path in self.records if "\nseen:" in path.read_text(encoding="utf-8")]
        path = faults[len(faults) // 2]
        text = path.read_text(encoding="utf-8")
        text = re.sub(r"^seen: (\d+)", lambda found: f"seen: {int(found[1]) + 1}", text, flags=re.MULTILINE)
        path.write_text(text.replace("In the ", "Reworded. In the ", 1), encoding="utf-8")


def best(runs: int, once: Callable[[], Run]) -> Run:
    """The quickest of several runs."""
    return min((once() for _ in range(runs)), key=lambda one: one.worked)


class TooLongError(Exception):
    """A program did not end in the time that it has."""


def run(command: Sequence[str], folder: Path, minutes: float) -> Run:
    """Run a program in a folder, with the code that lies there. Raises RuntimeError where it fails, and
    TooLongError where it runs for more than these minutes.
    """
    environment = {**os.environ, "PYTHONPATH": str(folder / "tools"), "PYTHONHASHSEED": "0"}
    with tempfile.TemporaryFile() as said:
        start, before = time.perf_counter(), _of_ended()
        process = subprocess.Popen(command, cwd=folder, env=environment, stdout=said, stderr=said)
        peak = 0
        while process.poll() is None:
            looked = time.perf_counter()
            peak = max(peak, held(process.pid))
            took = time.perf_counter() - looked
            if time.perf_counter() - start > 60 * minutes:
                process.kill()
                process.wait()
                raise TooLongError(f"not ended in {minutes:g} min")
            with suppress(subprocess.TimeoutExpired):
                process.wait(max(_PAUSE, took / _LOOKING))
        seconds = time.perf_counter() - start
        if process.returncode:
            said.seek(0)
            words = said.read().decode("utf-8", "replace")[-2000:]
            raise RuntimeError(f"{' '.join(command[:6])} ended with {process.returncode}:\n{words}")
    return Run(seconds, _of_ended() - before, peak)


def _of_ended() -> float:
    """Processor time of all the programs that ended so far."""
    times = os.times()
    return times.children_user + times.children_system


def held(pid: int) -> int:
    """Memory of a process and of all below it, in bytes; what they share counts once. 0 where not known."""
    total = 0
    with suppress(OSError, ValueError):
        rollup = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii")
        total += 1024 * int(rollup.partition("\nPss:")[2].split()[0])
        for task in Path(f"/proc/{pid}/task").iterdir():
            total += sum(
                held(int(child)) for child in (task / "children").read_text(encoding="ascii").split()
            )
    return total


_BLOCKS = MappingProxyType(
    {"h1": "# ", "h2": "## ", "h3": "### ", "h4": "#### ", "p": "", "li": "- ", "dt": "", "dd": "- "}
)
_SKIPPED = frozenset({"svg", "script", "style", "nav", "head", "header", "footer"})


class _Text(HTMLParser):
    """The text of a page as Markdown: its headings, paragraphs, list entries and tables."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []
        self.words: list[str] = []
        self.cells: list[str] = []
        self.head = ""
        self.skipped = 0
        self.rows = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:  # noqa: ARG002
        self.skipped += tag in _SKIPPED
        if tag in _BLOCKS:
            self._close()
            self.head = _BLOCKS[tag]
        elif tag == "table":
            self._close()
            self.rows = 0

    def handle_endtag(self, tag: str) -> None:
        self.skipped -= tag in _SKIPPED
        if tag in ("td", "th"):
            self.cells.append(self._said().replace("|", "/"))
        elif tag == "tr":
            self.lines.append(f"| {' | '.join(self.cells)} |")
            if not self.rows:
                self.lines.append(f"|{' --- |' * len(self.cells)}")
            self.rows += 1
            self.cells = []
        elif tag in _BLOCKS or tag in ("table", "div", "section"):
            self._close()

    def handle_data(self, data: str) -> None:
        if not self.skipped:
            self.words.append(data)

    def _said(self) -> str:
        said = " ".join("".join(self.words).split())
        self.words = []
        return said

    def _close(self) -> None:
        if self.cells:  # a paragraph in a cell
            return
        if said := self._said():
            self.lines += ["", f"{self.head}{said}", ""]
        self.head = ""


def write_markdown(site: Path, peer: Path) -> None:
    """The text of every page of a site as a Markdown page, and a stock configuration to build them with."""
    shutil.rmtree(peer, ignore_errors=True)
    for page in sorted(site.rglob("*.html")):
        reader = _Text()
        reader.feed(page.read_text(encoding="utf-8"))
        target = (peer / "docs" / page.relative_to(site)).with_suffix(".md")
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text("\n".join(reader.lines) + "\n", encoding="utf-8")
    config = "site_name: Peer\ntheme:\n  name: material\n  font: false\nplugins: [search]\n"
    (peer / "mkdocs.yml").write_text(config, encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: our figure and the peer's in one unit; of both the time on the clock in s."""

    work: str
    peer: str
    ours: float
    theirs: float
    unit: str
    clock: tuple[float, float] | None = None


def _worked(work: str, peer: str, ours: Run, theirs: Run) -> Row:
    return Row(work, peer, ours.worked, theirs.worked, "s", (ours.seconds, theirs.seconds))


def row(name: str, bench: Bench, smallest: Bench) -> Row | None:
    """Measure a row; None where it says nothing at this size."""
    stock, schemas = "MkDocs + Material", "check-jsonschema"
    match name:
        case "build":
            return _worked("cold build", stock, bench.build(), bench.mkdocs())
        case "build-edit":
            return _worked("build after one edit", "our cold build", bench.build_after_edit(), bench.build())
        case "check":
            return _worked("cold check", schemas, bench.check(), bench.check_jsonschema())
        case "check-edit":
            return _worked(
                "check after one edit", schemas, bench.check_after_edit(), bench.check_jsonschema()
            )
        case "record" if bench is not smallest:
            ours, theirs = (1000 * b.check().worked / len(b.records) for b in (bench, smallest))
            return Row("cold check, a record", f"at {smallest.families} families", ours, theirs, "ms")
        case "memory":
            ours, theirs = (one.peak / 1e6 for one in (bench.build(), bench.mkdocs()))
            return Row("peak memory, cold build", stock, ours, theirs, "MB")
    return None


def table(names: Sequence[str], benches: Sequence[Bench]) -> Iterator[str]:
    """The table in Markdown, line by line; a line comes as soon as it is measured."""
    yield "| work | families | ours | peer | peer's | ratio | at most | on the clock |"
    yield "| --- | --- | --- | --- | --- | --- | --- | --- |"
    for bench in benches:
        for name in names:
            say(f"{bench.families} families: {name}")
            try:
                made = row(name, bench, benches[0])
            except TooLongError as error:
                yield f"| {name} | {bench.families} | {error} | | | | | |"
                continue
            if made:
                limit = LIMITS[name].get(bench.families, LIMITS[name].get(None))
                clock = f"{made.clock[0]:.3g} s / {made.clock[1]:.3g} s" if made.clock else ""
                cells = (
                    made.work,
                    str(bench.families),
                    f"{made.ours:.3g} {made.unit}",
                    made.peer,
                    f"{made.theirs:.3g} {made.unit}",
                    f"{made.ours / made.theirs:.2g} x" if made.theirs else "",
                    "" if limit is None else f"{limit:g} x",
                    clock,
                )
                yield f"| {' | '.join(cells)} |"


def say(text: str) -> None:
    """Progress, apart from the table."""
    print(f"{time.strftime('%H:%M:%S')} {text}", file=sys.stderr, flush=True)


def machine() -> str:
    """What the figures were taken on. `SystemExit` with a mend where a peer is missing."""
    model = platform.processor() or platform.machine()
    with suppress(OSError):
        found = re.search(r"model name\s*: (.*)", Path("/proc/cpuinfo").read_text(encoding="utf-8"))
        model = found[1] if found else model
    try:
        peers = ", ".join(f"{name} {version(name)}" for name in _PEERS)
    except PackageNotFoundError as missing:
        raise SystemExit(f"{missing.name} is not installed: pip install -e '.[benchmark]'") from missing
    return (
        f"{model}, {os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}; {peers}"
    )


def main() -> int:
    """Measure what the command line asks for, and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("rows", metavar="ROW", nargs="*", default=list(LIMITS), help="rows (default: all)")
    parser.add_argument("--families", type=int, nargs="+", default=SIZES, metavar="N")
    parser.add_argument("--runs", type=int, default=1, help="runs of each; the quickest counts")
    parser.add_argument("--minutes", type=float, default=60, help="after which a program is ended")
    parser.add_argument("--code", type=Path, default=ROOT, metavar="DIR", help="the checkout to measure")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    if unknown := set(options.rows) - set(LIMITS):
        parser.error(f"no row is called {', '.join(sorted(unknown))}; there are {', '.join(LIMITS)}")
    here = machine()
    with tempfile.TemporaryDirectory(prefix="benchlore-speed-") as scratch:
        benches = []
        for families in sorted(set(options.families)):
            folder = Path(scratch) / str(families)
            folder.mkdir()
            say(f"{families} families: writing the book")
            write_book(folder, families, options.seed)
            copy_code(options.code, folder)
            benches.append(Bench(folder, families, options.runs, options.minutes))
        print(here)
        for line in table(options.rows, benches):
            print(line, flush=True)
    return 0


def copy_code(checkout: Path, folder: Path) -> None:
    """What a build needs of a checkout, copied: its caches stay behind."""
    for name in _CODE:
        source, target = checkout / name, folder / name
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(source, target)
    # As an installation does: the first run must not pay for it.
    compileall.compile_dir(folder / "tools", quiet=1)


if __name__ == "__main__":
    sys.exit(main())
