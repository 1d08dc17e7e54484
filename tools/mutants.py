"""Which small mistakes do the tests notice? `python3 tools/mutants.py [--count 100] [--seed 1] [PACKAGE]`.

Makes a seeded sample of one-place changes (`<` for `<=`, 2 for 1, `and` for `or`) in each package, one at a
time, in a copy of the sources. The tests are read once, and run once without a change, to learn which test
runs which line. Then each change meets the tests of its line, quick ones and those with its names first, in a
fork of this process whose function is changed, or, where the change does something when its module is read,
in a Python of its own. Prints which test noticed it, and the share with its interval; a mutant that
"survived" may still be noticed by a test that was not asked.

What was learned is kept in `.cache/mutants/` under a hash of sources and tests, so a run that `--minutes`
or a key ends goes on where it was. `--file` and `--tests` ask one module and some tests. `--tree` takes the
sources and the tests of another checkout.
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import ast
import compileall
import contextlib
import difflib
import gc
import hashlib
import json
import math
import multiprocessing
import os
import py_compile
import random
import re
import shutil
import signal
import subprocess
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import FunctionType
from typing import Any

from bootstrap import ROOT, ensure_venv, finish, say

# The packages whose mistakes are tried, and the tests that are meant to notice them.
PACKAGES = ("circuit", "diagnosis", "rules")
TESTS = (
    *("tests/circuit", "tests/diagnosis", "tests/rules", "tests/standards", "tests/bench"),
    *("tests/cli/test_rank.py", "tests/cli/test_check.py"),
)
# What nobody writes by mistake, or what changes nothing: `|` stands in annotations, decorators freeze, and
# `is None` is `== None`.
LEFT_OUT = re.compile(
    r"Bit(Or|And|Xor)|Shift|_(Mod|Pow|FloorDiv)$|_Is(Not)?$|_Is_Eq$|_IsNot_NotEq$"
    r"|RemoveDecorator|ExceptionReplacer|NoOp|Variable"
)
# What changes no result: the settings of a dataclass, the size of a cache, and what only the type checker
# reads; and `strict=True` of `zip`, an assertion about its neighbours.
IDLE_LINE = re.compile(r"\s*(@dataclass\(|@lru_cache\(|if TYPE_CHECKING:)")
IDLE_PLACE = "strict="
KEYWORD_ONLY = re.compile(r"\*\s*,")  # no product: what follows in a signature has a name
UNPACKED = re.compile(r"(^|[{(,])\s*\*\*$")  # no power: a mapping, and with another sign it is no Python
NEAR, OTHERS = 40, 10  # seconds of tests that run the line, and, outside of functions, that run its module
FILES = 6  # of tests, read anew where the change does something when its module is read
PATIENCE = 20, 10  # seconds, and times what a test needs without a change: one that needs longer is noticed
LATE = "takes too long"
KEPT = ROOT / ".cache" / "mutants"
MADE = {".cache", ".hypothesis"}  # what the tests leave in a copy, while they are read already
FORK = multiprocessing.get_context("fork")
_OPTIONS = ("-q", "-x", "--no-header", "--tb=no", "-p", "no:cacheprovider", "-m", "not slow", "--no-browser")
_FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+)", re.MULTILINE)
_WORDS = re.compile(r"[a-z]{3,}")
_GONE = "not found:"  # what pytest says of a test that it was told to run


# The tests that ran each line of each file.
Lines = dict[str, dict[int, list[str]]]
LRU = type(lru_cache(lambda: None))


@dataclass(frozen=True)
class Mutant:
    """A change: the `occurrence` of what an operator can change in a file."""

    path: str
    operator: str
    occurrence: int


class Notes:
    """What was learned of some sources and tests, in a folder of their own."""

    def __init__(self, folder: Path) -> None:
        self._measured, self._killers = folder / "measured.json", folder / "killers.json"
        folder.mkdir(parents=True, exist_ok=True)
        known = json.loads(self._killers.read_text(encoding="utf-8")) if self._killers.is_file() else {}
        self._known: dict[str, str] = known

    def measured(self) -> "Measured | None":
        """What the tests did without a change; None before that was seen."""
        if not self._measured.is_file():
            return None
        seconds, tests, files = json.loads(self._measured.read_text(encoding="utf-8"))
        lines = {
            file: {int(line): [tests[n] for n in found] for line, found in known.items()}
            for file, known in files.items()
        }
        return Measured(seconds, lines, "")

    def keep_measured(self, measured: "Measured") -> None:
        """Keep what the tests did without a change."""
        if not self._measured.is_file():
            numbers = {test: n for n, test in enumerate(measured.seconds)}

            def numbered(tests: list[str]) -> list[int]:
                return [numbers[test] for test in tests if test in numbers]

            files = {
                file: {
                    line: [numbers[test] for test in tests if test in numbers]
                    for line, tests in known.items()
                }
                for file, known in measured.lines.items()
            }
            self._write(self._measured, [measured.seconds, [*numbers], files])

    def killer(self, mutant: Mutant) -> str | None:
        """The test that noticed a mutant, empty where none did; None where it was not tried."""
        return self._known.get(str(mutant))

    def keep_killer(self, mutant: Mutant, killer: str) -> None:
        """Keep which test noticed a mutant."""
        self._known[str(mutant)] = killer
        self._write(self._killers, self._known)

    def _write(self, path: Path, content: object) -> None:
        fresh = path.with_suffix(".new")
        fresh.write_text(json.dumps(content), encoding="utf-8")
        fresh.replace(path)


@dataclass(frozen=True)
class Measured:
    """What the tests did without a change: seconds of each, and which ran each line of each file."""

    seconds: dict[str, float]
    lines: Lines
    failed: str

    def of_lines(self, path: str, lines: Sequence[int]) -> set[str]:
        """The tests that ran one of these lines; what runs at import has none."""
        known = self.lines.get(path, {})
        return {test for line in lines for test in known.get(line, ()) if test in self.seconds}

    def of_file(self, path: str) -> set[str]:
        """The tests that ran a line of a file."""
        return self.of_lines(path, list(self.lines.get(path, {})))

    def within(self, tests: set[str], names: str, seconds: float) -> list[str]:
        """So many seconds of tests: quick ones first, and those that share words with some names."""
        words = set(_WORDS.findall(names))

        def order(test: str) -> tuple[float, str]:
            shared = len(words & set(_WORDS.findall(test.lower())))
            return (self.seconds[test] + 0.01) / (1 + shared) ** 2, test

        chosen = []
        for test in sorted(tests, key=order):
            if self.seconds[test] <= seconds:
                seconds -= self.seconds[test]
                chosen.append(test)
        return chosen


def main() -> int:
    """Try the sample; 1 when a mutant was not noticed."""
    options = parse(sys.argv[1:])
    python = ensure_venv(("mutation", "oracle", "test"))
    if Path(sys.executable).parent != python.parent:
        return subprocess.run([str(python), __file__, *sys.argv[1:]], check=False).returncode
    with tempfile.TemporaryDirectory() as folder:
        copy = copied(options.tree, Path(folder) / "tree")
        return with_tests(copy, options.tests, lambda tests: table(tests, options))


def table(tests: "Tests", options: argparse.Namespace) -> int:
    """Try the samples; 1 when a mutant was not noticed."""
    began = time.monotonic()
    notes = Notes(KEPT / hash_of(tests.copy, options.tests))
    measured = notes.measured() or tests.measure()
    if measured.failed:
        say(f"The tests fail without any change: {measured.failed}")
        return 2
    notes.keep_measured(measured)
    tests.learn(measured)
    survived = 0
    for package in options.packages or PACKAGES:
        chosen = sample(tests.copy, package, options.count, options.seed, options.file)
        done = []
        for mutant in chosen:
            if time.monotonic() - began > 60 * options.minutes:
                break
            done.append(tried(tests, measured, mutant, notes))
        killed, count = sum(done), len(done)
        if not done:
            continue
        low, high = interval(killed, count)
        left = f"; {len(chosen) - count} not tried yet" if count < len(chosen) else ""
        say(f"\n{package}: {killed} of {count} noticed, of all {low:.0%} to {high:.0%} (95 %){left}\n")
        survived += count - killed
    return 1 if survived else 0


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command line's options."""
    parser = argparse.ArgumentParser(prog="mutants.py", description="Try small mistakes on the tests.")
    parser.add_argument("--count", type=int, default=100, help="mutants of each package (default: 100)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=math.inf, help="stop after so long (default: never)")
    parser.add_argument("--file", default="", metavar="NAME", help="mutants of files whose path ends so")
    parser.add_argument("--tests", nargs="+", default=TESTS, metavar="FILE", help="the tests to ask")
    parser.add_argument("--tree", type=Path, default=ROOT, help="another checkout (default: this one)")
    parser.add_argument(
        "packages", metavar="PACKAGE", nargs="*", choices=[[], *PACKAGES], help=", ".join(PACKAGES)
    )
    return parser.parse_args(arguments)


def interval(killed: int, tried: int) -> tuple[float, float]:
    """Wilson's 95 % interval of a share: Wilson, J. Am. Stat. Assoc. 22 (1927) 209."""
    z, share = 1.959964, killed / tried
    middle, half = (
        share + z * z / (2 * tried),
        z * math.sqrt((share * (1 - share) + z * z / (4 * tried)) / tried),
    )
    return (middle - half) / (1 + z * z / tried), (middle + half) / (1 + z * z / tried)


def sample(root: Path, package: str, count: int, seed: int, file: str = "") -> list[Mutant]:
    """So many mutants of a package, or of its files whose path ends so, each as likely as any other."""
    every = [mutant for mutant in mutants(root, package) if mutant.path.endswith(file)]
    say(f"{package}: {min(count, len(every))} of {len(every)} mutants, seed {seed}")
    return random.Random(f"{package} {seed}").sample(every, min(count, len(every)))


def mutants(root: Path, package: str) -> Iterator[Mutant]:
    """Every mutant of a package."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.plugins import get_operator, operator_names

    operators = {name: get_operator(name) for name in sorted(operator_names()) if not LEFT_OUT.search(name)}
    for path in sorted((root / "tools" / "benchlore" / package).rglob("*.py")):
        code = path.read_text(encoding="utf-8")
        lines, nodes = code.splitlines(), list(ast_nodes(get_ast(code)))
        for name, operator in operators.items():
            places = [place for node in nodes for place in operator().mutation_positions(node)]
            yield from (
                Mutant(path.relative_to(root).as_posix(), name, n)
                for n, ((line, column), _) in enumerate(places)
                if not IDLE_LINE.match(lines[line - 1])
                if not lines[line - 1][:column].endswith(IDLE_PLACE)
                if not KEYWORD_ONLY.match(lines[line - 1][column:])
                if not UNPACKED.search(lines[line - 1][: column + 2])
            )


def tried(tests: "Tests", measured: Measured, mutant: Mutant, notes: "Notes") -> bool:
    """Run the tests with one change, unless that was done, and print what came of it; True if noticed."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    path = tests.copy / mutant.path
    code = path.read_text(encoding="utf-8")
    changed = mutate_code(code, get_operator(mutant.operator)(), mutant.occurrence)
    first, last, was, now = difference(code, changed)
    name, lines = around(code, first)
    near = measured.of_lines(mutant.path, range(first, last + 1)) or measured.of_lines(mutant.path, lines)
    near = near | tests.called_like(path.stem)  # what is remembered hides who else ran a line
    names = f"{path.stem} {name}".lower()
    order = measured.within(near, names, NEAR)
    if not name:  # it runs when its module is read, and some tests name it
        others = measured.within(measured.of_file(mutant.path) - near, names, OTHERS)
        order = [*tests.naming(was), *order, *others]
    killer = notes.killer(mutant)
    if killer is None:
        path.write_text(changed, encoding="utf-8")
        try:
            killer = tests.with_function(order, path, changed, name, lines) if first > lines[0] else None
            killer = tests.anew(order) if killer is None else killer
        finally:
            path.write_text(code, encoding="utf-8")
        notes.keep_killer(mutant, killer)
    file = mutant.path.removeprefix("tools/benchlore/")
    say(f"| {file}:{first} | `{was}` | `{now}` | {killer or '**survived**'} |")
    return bool(killer)


def difference(code: str, changed: str) -> tuple[int, int, str, str]:
    """The first and last line of a change, what stood there and what stands there now."""
    lines = code.splitlines(), changed.splitlines()
    [(_, start, end, new, till)] = [
        step
        for step in difflib.SequenceMatcher(a=lines[0], b=lines[1], autojunk=False).get_opcodes()
        if step[0] != "equal"
    ]
    was, now = (" ".join(part).strip() for part in (lines[0][start:end], lines[1][new:till]))
    return start + 1, end, was, now


def around(code: str, line: int) -> tuple[str, range]:
    """The outermost function that holds a line, as `Class.method`, and its lines, decorators included; of
    none: all lines."""
    tree = ast.parse(code)
    holders: list[ast.Module | ast.ClassDef] = [tree]
    for holder in (*holders, *(node for node in tree.body if isinstance(node, ast.ClassDef))):
        for node in holder.body:
            last = getattr(node, "end_lineno", 0)
            if not isinstance(node, ast.FunctionDef):
                continue
            start = min([node.lineno, *(one.lineno for one in node.decorator_list)])
            if start <= line <= last:
                prefix = f"{holder.name}." if isinstance(holder, ast.ClassDef) else ""
                return prefix + node.name, range(start, last + 1)
    return "", range(1, len(code.splitlines()) + 1)


def with_tests(copy: Path, files: Sequence[str], job: Callable[["Tests"], int]) -> int:
    """Read the tests of a copy, and do a job with them in the place of running them; what the job gives."""
    import pytest

    os.environ.update({"CI": "1", "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": str(copy / "tools")})
    os.chdir(copy)
    sys.path[:] = [str(copy / "tools"), *(one for one in sys.path if one != str(ROOT / "tools"))]
    for name in [name for name in sys.modules if name.split(".")[0] in {"benchlore", "bootstrap"}]:
        del sys.modules[name]
    watch, given = _Watch(), [2]
    cover = covering(copy)
    cover.start()

    class InPlace:
        def pytest_runtestloop(self, session: Any) -> bool:
            cover.stop()
            given[:] = [job(Tests(copy, session.items, watch, lines_of(cover, copy)))]
            return True

    options = [*_OPTIONS, "--capture=no", f"--basetemp={copy.parent / 'made'}", *files]
    pytest.main(options, plugins=[watch, InPlace()])
    return given[0]


class Tests:
    """The tests of a copy, read once; each run of them is a fork of this process."""

    def __init__(self, copy: Path, items: Sequence[Any], watch: "_Watch", at_reading: Lines) -> None:
        """`at_reading`: which lines ran while the tests were read; what they gave is in the tests already."""
        self.copy = copy
        self._at_reading = at_reading
        self._items = {item.nodeid: item for item in items}
        self._watch = watch
        self._seconds: Mapping[str, float] = defaultdict(float)

    def learn(self, measured: Measured) -> None:
        """How long each test takes without a change."""
        self._seconds = defaultdict(float, measured.seconds)

    def measure(self) -> Measured:
        """Run the tests without a change, and see which of them runs which line."""
        say(f"{len(self._items)} tests without a change ...")
        found = self._forked(self._recorded)
        return found if isinstance(found, Measured) else Measured({}, {}, str(found))

    def with_function(
        self, order: Sequence[str], path: Path, changed: str, name: str, lines: range
    ) -> str | None:
        """The first of these tests that fails with a function of these lines changed; nothing where all pass.

        None where there is no such function, or where all pass, but it ran when the tests were read.
        """

        def job() -> str | None:
            if not replace_function(path, changed, name):
                return "none"
            forget()
            return self._first_failure(order, hurry=True)

        found = str(self._forked(job) if name else "none")
        ran = set(lines) & self._at_reading.get(path.relative_to(self.copy).as_posix(), {}).keys()
        return None if found == "none" or (ran and not found) else found

    def called_like(self, stem: str) -> set[str]:
        """The tests of the files that have a module's name in theirs."""
        return {name for name in self._items if stem in Path(name.split("::")[0]).stem}

    def naming(self, line: str) -> list[str]:
        """The tests of the files that hold a constant of a line, the files with the fewest tests first."""
        constants = re.findall(r"\b_?[A-Z][A-Z_]{3,}\b", line)
        by_file: dict[str, list[str]] = defaultdict(list)
        for name in self._items:
            by_file[name.split("::")[0]].append(name)
        found = [
            names
            for file, names in by_file.items()
            if any(one in (self.copy / file).read_text(encoding="utf-8") for one in constants)
        ]
        return [name for names in sorted(found, key=len)[:FILES] for name in names]

    def anew(self, order: Sequence[str]) -> str:
        """The first of these tests that fails on the files as they are, in a Python of its own."""
        files = list(dict.fromkeys(name.split("::")[0] for name in order))[:FILES]
        chosen = [name for name in order if name.split("::")[0] in files]
        if not chosen:
            return ""
        try:
            ran = _run(chosen)
            if _GONE in ran.stdout + ran.stderr:  # a test has its name from what is changed
                ran = _run(files)
        except subprocess.TimeoutExpired:
            return LATE
        if _GONE in ran.stdout + ran.stderr:
            raise ValueError(f"a test cannot be named again: {ran.stdout} {ran.stderr}")
        failed = _FAILED.search(ran.stdout)
        return "" if ran.returncode == 0 else failed[1] if failed else "cannot be imported"

    def _first_failure(self, order: Sequence[str], hurry: bool = False) -> str:
        """The first of some tests that fails. `hurry`: one that takes too long ends the process."""
        items = [self._items[name] for name in order]
        for item, after in zip(items, [*items[1:], None], strict=True):
            if hurry:
                signal.alarm(math.ceil(PATIENCE[0] + PATIENCE[1] * self._seconds[item.nodeid]))
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self._watch.failed:
                break
        return self._watch.failed

    def _recorded(self) -> Measured:
        cover = covering(self.copy)
        forget()
        self._watch.context = cover.switch_context
        cover.start()
        failed = self._first_failure(list(self._items))
        cover.stop()
        return Measured(dict(self._watch.seconds), lines_of(cover, self.copy), failed)

    def _forked(self, job: Callable[[], Any]) -> Any:
        """What a job gives in a fork of this process; LATE when its alarm ended it."""
        receiver, sender = FORK.Pipe(duplex=False)
        process = FORK.Process(target=_inside, args=(job, sender))
        process.start()
        sender.close()
        try:
            return receiver.recv()
        except EOFError:
            process.join()
            return LATE if process.exitcode == -signal.SIGALRM else "the run of the tests ended"
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid or 0, signal.SIGKILL)
            process.join()


def _run(chosen: Sequence[str]) -> "subprocess.CompletedProcess[str]":
    """Some tests, or all of some files, in a Python of its own. Raises TimeoutExpired."""
    command = [sys.executable, "-m", "pytest", *_OPTIONS, *chosen]
    limit = FILES * PATIENCE[0] + PATIENCE[1] * NEAR
    return subprocess.run(command, capture_output=True, text=True, timeout=limit, check=False)


def covering(root: Path) -> Any:
    """What sees which lines of the sources below a folder run."""
    import coverage

    source = [str(root / "tools" / "benchlore")]
    return coverage.Coverage(data_file=None, source=source, config_file=False)


def lines_of(cover: Any, root: Path) -> Lines:
    """Which lines of which file ran, and in which tests."""
    data = cover.get_data()
    return {
        Path(name).resolve().relative_to(root.resolve()).as_posix(): data.contexts_by_lineno(name)
        for name in data.measured_files()
    }


def forget() -> None:
    """Empty what functions remember, of the code and of the tests: a change must reach it."""
    for one in gc.get_objects():
        module = str(getattr(one, "__module__", ""))
        if isinstance(one, LRU) and module.split(".")[0] in {"benchlore", "tests"}:
            one.cache_clear()


def _inside(job: Callable[[], Any], sender: Any) -> None:
    """The fork's own life: a group of its own, and no word of the tests'."""
    os.setsid()
    for stream in (1, 2):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
    try:
        sender.send(job())
    except Exception as error:  # a fork has no other way to say it
        sender.send(f"{type(error).__name__}: {error}")
    sender.close()


def replace_function(path: Path, changed: str, name: str) -> bool:
    """Give a function that is loaded already its code of a changed text of its file; whether there is one."""
    codes = [compile(changed, str(path), "exec")]
    fresh = {}
    while codes:
        code = codes.pop()
        fresh[code.co_qualname, code.co_firstlineno] = code
        codes += [inner for inner in code.co_consts if isinstance(inner, type(code))]
    found = False
    for one in gc.get_objects():
        if isinstance(one, FunctionType) and one.__code__.co_qualname == name:
            old = one.__code__
            if Path(old.co_filename) == path and (new := fresh.get((name, old.co_firstlineno))):
                one.__code__, found = new, True
    return found


class _Watch:
    """A plugin of pytest that keeps the seconds of each test and the first that fails."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = defaultdict(float)
        self.failed = ""
        self.context: Callable[[str], object] | None = None

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """A test begins."""
        if self.context:
            self.context(nodeid)

    def pytest_runtest_logreport(self, report: Any) -> None:
        """A part of a test ended."""
        self.seconds[report.nodeid] += report.duration
        if report.failed and not self.failed:
            self.failed = report.nodeid

    def pytest_collectreport(self, report: Any) -> None:
        """A file was read."""
        if report.failed and not self.failed:
            self.failed = report.nodeid


def hash_of(root: Path, files: Sequence[str]) -> str:
    """A hash of all that a copy holds, of what is tried on it, and of which tests are asked."""
    found = hashlib.sha256(Path(__file__).read_bytes() + repr(tuple(files)).encode())
    for path in sorted(path for path in root.rglob("*") if path.is_file() and path.suffix != ".pyc"):
        name = path.relative_to(root)
        if not MADE & set(name.parts):
            found.update(f"{name}\0".encode() + path.read_bytes() + b"\0")
    return found.hexdigest()[:16]


def copied(root: Path, folder: Path) -> Path:
    """A copy of the files that git knows, compiled: a change is seen by its bytes, not by its second."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=root, capture_output=True, text=True, check=True
    ).stdout
    for name in listed.split("\0"):
        if name and (root / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(root / name, folder / name)
    checked = py_compile.PycInvalidationMode.CHECKED_HASH
    compileall.compile_dir(folder / "tools", quiet=1, invalidation_mode=checked)
    return folder


if __name__ == "__main__":
    finish(main)
