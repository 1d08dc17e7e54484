"""Which small mistakes do the tests notice? `python3 tools/mutants.py [--count 15] [--seed 1] [PACKAGE ...]`.

Makes a seeded sample of one-place changes (`<` for `<=`, 2 for 1, `and` for `or`) in each package, one at a
time, in a copy of the sources, and runs the tests that cover the package. Prints a table of what was noticed,
and by which test. `--tree` takes the sources and the tests of another checkout, for a comparison.
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import difflib
import os
import random
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from bootstrap import ROOT, ensure_venv, finish, say

# The tests that cover each package; those of the changed module go first.
TESTS = {
    "circuit": ("tests/circuit", "tests/standards", "tests/rules"),
    "diagnosis": ("tests/diagnosis", "tests/standards", "tests/bench", "tests/cli/test_rank.py"),
    "rules": ("tests/rules", "tests/cli/test_check.py", "tests/circuit"),
}
# What nobody writes by mistake, or what changes nothing: `|` stands in annotations, decorators freeze.
LEFT_OUT = re.compile(
    r"Bit(Or|And|Xor)|Shift|_(Mod|Pow|FloorDiv)$|_Is(Not)?$|RemoveDecorator|ExceptionReplacer|NoOp|Variable"
)
PATIENCE = 280  # seconds for the tests of one mutant; one that needs longer is noticed
_FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+)", re.MULTILINE)


@dataclass(frozen=True)
class Mutant:
    """A change: the `occurrence` of what an operator can change in a file."""

    path: str
    operator: str
    occurrence: int


def main() -> int:
    """Try the sample; 1 when a mutant was not noticed."""
    options = parse(sys.argv[1:])
    python = ensure_venv(("mutation", "oracle", "test"))
    if Path(sys.executable).parent != python.parent:
        return subprocess.run([str(python), __file__, *sys.argv[1:]], check=False).returncode
    survived = 0
    for package in options.packages or TESTS:
        with tempfile.TemporaryDirectory() as folder:
            copy = copied(options.tree, Path(folder) / "tree")
            if failed := noticed(python, copy, TESTS[package]):
                say(f"{package}: the tests fail without any change: {failed}")
                return 2
            for mutant in sample(options.tree, package, options.count, options.seed):
                survived += not tried(python, copy, package, mutant)
    return 1 if survived else 0


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command line's options."""
    parser = argparse.ArgumentParser(prog="mutants.py", description="Try small mistakes on the tests.")
    parser.add_argument("--count", type=int, default=15, help="mutants of each package (default: 15)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tree", type=Path, default=ROOT, help="another checkout (default: this one)")
    parser.add_argument("packages", metavar="PACKAGE", nargs="*", choices=[[], *TESTS], help=", ".join(TESTS))
    return parser.parse_args(arguments)


def sample(root: Path, package: str, count: int, seed: int) -> list[Mutant]:
    """So many mutants of a package, each place in its code as likely as any other."""
    every = list(mutants(root, package))
    return random.Random(f"{package} {seed}").sample(every, min(count, len(every)))


def mutants(root: Path, package: str) -> Iterator[Mutant]:
    """Every mutant of a package."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.plugins import get_operator, operator_names

    operators = {name: get_operator(name) for name in sorted(operator_names()) if not LEFT_OUT.search(name)}
    for path in sorted((root / "tools" / "benchlore" / package).rglob("*.py")):
        tree = get_ast(path.read_text(encoding="utf-8"))
        for name, operator in operators.items():
            places = [place for node in ast_nodes(tree) for place in operator().mutation_positions(node)]
            yield from (Mutant(path.relative_to(root).as_posix(), name, n) for n in range(len(places)))


def tried(python: Path, copy: Path, package: str, mutant: Mutant) -> bool:
    """Run the tests with one change, and print what came of it; whether it was noticed."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    path = copy / mutant.path
    code = path.read_text(encoding="utf-8")
    changed = mutate_code(code, get_operator(mutant.operator)(), mutant.occurrence)
    own = [f"{tests}/test_{path.stem}.py" for tests in TESTS[package] if not tests.endswith(".py")]
    path.write_text(changed, encoding="utf-8")
    try:
        killer = noticed(python, copy, (*(one for one in own if (copy / one).exists()), *TESTS[package]))
    finally:
        path.write_text(code, encoding="utf-8")
    say(f"| {package} | {place(mutant, code, changed)} | {killer or '**survived**'} |")
    return bool(killer)


def place(mutant: Mutant, code: str, changed: str) -> str:
    """The file and line of a mutant, what stood there and what stands there now."""
    lines = code.splitlines(), changed.splitlines()
    [(_, start, end, new, till)] = [
        step
        for step in difflib.SequenceMatcher(a=lines[0], b=lines[1], autojunk=False).get_opcodes()
        if step[0] != "equal"
    ]
    file = mutant.path.removeprefix("tools/benchlore/")
    was, now = (" ".join(part).strip() for part in (lines[0][start:end], lines[1][new:till]))
    return f"{file}:{start + 1} | `{was}` | `{now}`"


def noticed(python: Path, copy: Path, tests: Sequence[str]) -> str:
    """The first test that fails on the copy; nothing where all pass."""
    options = [
        "-q",
        "-x",
        "--no-header",
        "--tb=no",
        "-p",
        "no:cacheprovider",
        "-m",
        "not slow",
        "--no-browser",
    ]
    environment = {
        **os.environ,
        "PYTHONPATH": str(copy / "tools"),
        "CI": "1",
    }  # the same drawn cases each time
    command = [str(python), "-m", "pytest", *options, *tests]
    try:
        ran = subprocess.run(
            command, cwd=copy, env=environment, capture_output=True, text=True, timeout=PATIENCE, check=False
        )
    except subprocess.TimeoutExpired:
        return "takes too long"
    if ran.returncode == 0:
        return ""
    failed = _FAILED.search(ran.stdout)
    return failed[1] if failed else "cannot be imported"


def copied(root: Path, folder: Path) -> Path:
    """A copy of the files that git knows."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=root, capture_output=True, text=True, check=True
    ).stdout
    for name in listed.split("\0"):
        if name and (root / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(root / name, folder / name)
    return folder


if __name__ == "__main__":
    finish(main)
