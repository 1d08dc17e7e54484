"""The tests nearest to what changed, as many as some seconds hold: what `--fast` of test.py runs.

What changed is what differs from the last commit, or the last commit itself where nothing does. How near a
file of tests is comes of the imports, followed name by name through the packages' `__init__`, and of the
files that a module names. What it takes stands in `.cache/test-seconds.json`, which every run of the tests
brings up to date (`tests/seconds.py`). So nothing is traced, and nothing of it is in git. It is no proof:
what is far, or dear, is left out, and the closing lines say how much. Standard library only.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections import defaultdict, deque
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

# Where the seconds of each quick test lie, below the root.
SECONDS = Path(".cache", "test-seconds.json")
UNKNOWN = 4.0  # seconds of a file of tests that was never timed: the mean, beside other work
COLLECTED = 0.15  # seconds in which a worker reads a file of tests, in the mean
# By what words a module says that it reads a book; few records are named.
BOOKS = (
    ("faults/", re.compile(r"\bshipped|\beach_(book|site)\b")),
    ("tests/example/", re.compile(r"\bbook\b|\bexample|\bEXAMPLE\b|\beach_(book|site)\b")),
)
PAGE = "faults/README.md"  # it shows records as they stand
OF_TESTS = re.compile(r"tests/.*/(?!conftest\.py)")
SCRIPTS = {".js", ".ts", ".css"}
SCRIPT_TYPES = ("schema/", "biome.json", "tsconfig.json", "tools/benchlore/site/script_types.py")


FROM = re.compile(r"^[ ]*from ([\w.]+) import (\([^)]*\)|[^(\n]+)", re.MULTILINE)
IMPORT = re.compile(r"^[ ]*import ([\w.]+)", re.MULTILINE)


@dataclass(frozen=True)
class Choice:
    """Files of tests to run, nearest first; how many more a change reaches, and how many none does."""

    files: tuple[str, ...]
    farther: int
    others: int


def changed(root: Path) -> list[str] | None:
    """The files that differ from the last commit, or else its own; None where git cannot tell."""
    for commits in ("HEAD",), ("HEAD~1", "HEAD"):
        asked = [
            ["diff", "--name-only", "-z", *commits],
            ["ls-files", "-z", "--others", "--exclude-standard"],
        ]
        try:
            told = [
                subprocess.run(["git", *words], cwd=root, capture_output=True, text=True, check=True).stdout
                for words in asked
            ]
        except (OSError, subprocess.CalledProcessError):
            return None
        if found := sorted({name for names in told for name in names.split("\0") if name}):
            return found
    return []


def touches_scripts(names: Iterable[str]) -> bool:
    """Whether the type checker of the scripts can answer otherwise for these changes."""
    return any(Path(name).suffix in SCRIPTS or name.startswith(SCRIPT_TYPES) for name in names)


def choose(root: Path, names: Collection[str], seconds: float, workers: int) -> Choice:
    """Of the quick tests those files nearest to the changed `names` that `workers` end within `seconds`.

    The near ones come first, of equally near ones the cheap. Where one does not fit, those behind it are
    tried. Changed tests always run.
    """
    modules = _modules(root)
    distance = _distances(modules, {*names, *showing(root, names)})
    known = _known_seconds(root)
    tests = [
        name
        for name in modules
        if Path(name).name.startswith("test_") and (known.get(name, UNKNOWN) > 0 or name in names)
    ]
    cost = {name: known.get(name, UNKNOWN) / workers + COLLECTED for name in tests}
    taken, spent = [], 0.0
    reached = sorted(
        (name for name in tests if name in distance), key=lambda name: (distance[name], cost[name])
    )
    for name in reached:
        if name in names or spent + cost[name] <= seconds:
            taken.append(name)
            spent += cost[name]
    return Choice(tuple(taken), len(reached) - len(taken), len(tests) - len(reached))


def _known_seconds(root: Path) -> dict[str, float]:
    """What the quick tests of each file took when they last ran; 0 where it has none."""
    try:
        known = json.loads((root / SECONDS).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        known = {}
    sums: dict[str, float] = defaultdict(float)
    for test, took in known.items():
        sums[test.partition("::")[0]] += took
    return sums


def _modules(root: Path) -> dict[str, str]:
    """The text of each module of the package, the tests and the tools, by its path."""
    return {
        path.relative_to(root).as_posix(): path.read_text(encoding="utf-8")
        for folder in ("tests", "tools")
        for path in sorted((root / folder).rglob("*.py"))
    }


def _distances(modules: Mapping[str, str], names: Collection[str]) -> dict[str, int]:
    """How many imports lie between a module and the nearest change; no entry where none leads there.

    A changed module and who reads another changed file have 0.
    """
    users: dict[str, set[str]] = defaultdict(set)
    imports = Imports(modules)
    for name in modules:
        for used in imports.of(name):
            users[used].add(name)
    changed = {one for name in names for one in ((name,) if name in modules else readers(modules, name))}
    distance = dict.fromkeys(sorted(changed), 0)
    waiting = deque(distance)
    while waiting:
        name = waiting.popleft()
        for user in sorted(users[name] - distance.keys()):
            distance[user] = distance[name] + 1
            waiting.append(user)
    return distance


def readers(modules: Mapping[str, str], name: str) -> set[str]:
    """The modules that read a file that is no module, as far as their text tells.

    Of what lies in a book the tests that say by a word that they read that book, or that name it. Of other
    files those that name it and, where no product is among them, those of the nearest folder above it that
    has any, or else those that name that folder.
    """
    for book, words in BOOKS:
        if name.startswith(book):
            # What lies in `tests/` itself, and each conftest.py, gives a book to whoever names it.
            tests = {one for one in modules if OF_TESTS.match(one)}
            return {one for one in tests if words.search(modules[one])} | tests & _naming_record(
                modules, name
            )
    path = Path(name)
    found = _naming(modules, path.name)
    if any(module.startswith("tools/") for module in found):
        return found
    above = list(path.parents)[:-1]
    for folder in above:
        inside = {module for module in modules if Path(module).parent == folder}
        if inside and folder.as_posix() not in ("tests", "tools"):
            return found | inside
    for folder in above:
        if naming := _naming(modules, folder.name):
            return found | naming
    return found


def _naming_record(modules: Mapping[str, str], name: str) -> set[str]:
    """The modules that name the family of a file in a book; where it is of none, its folder and itself."""
    folder, _, file = name.partition("faults/")[2].rpartition("/")
    family = folder.split("/")[0]
    if family in ("", "common"):  # who writes a book names them, too
        return _naming(modules, family or "faults") & _naming(modules, file)
    return _naming(modules, family)


def showing(root: Path, names: Iterable[str]) -> set[str]:
    """The page that shows some of these records, so that who holds it to them counts as near."""
    try:
        text = (root / PAGE).read_text(encoding="utf-8")
    except OSError:
        return set()
    return {PAGE} if any(name.startswith("faults/") and name in text for name in names) else set()


def _naming(modules: Mapping[str, str], name: str) -> set[str]:
    """The modules in whose text a file or folder stands, as a text of its own or in a path."""
    named = re.compile(rf"""(?<=["'`/]){re.escape(name)}(?=["'`/])""")
    return {module for module, text in modules.items() if named.search(text)}


class Imports:
    """Who imports whom, by path."""

    def __init__(self, modules: Mapping[str, str]) -> None:
        self._paths = {_dotted(name): name for name in modules}
        self._taken = {name: list(_taken(text)) for name, text in modules.items()}
        self._kept = {
            name: {one: (stem, one) for stem, one in taken}
            for name, taken in self._taken.items()
            if name.endswith("__init__.py")
        }

    def of(self, name: str) -> set[str]:
        """The modules that one imports itself; those of a test have `conftest.py` of its folders, too."""
        found = {self._where(stem, one) for stem, one in self._taken[name]}
        if name.startswith("tests/") and not name.endswith("conftest.py"):
            folders = name.split("/")[:-1]
            found |= {
                self._paths.get(".".join([*folders[:n], "conftest"])) for n in range(1, len(folders) + 1)
            }
        return {one for one in found if one and one != name}

    def _where(self, stem: str, name: str) -> str | None:
        """The module that `from stem import name` takes a name from, through the packages' own imports."""
        for _ in range(8):
            if module := self._paths.get(f"{stem}.{name}" if name else stem):
                return module
            package = self._paths.get(stem)
            if package is None or name not in self._kept.get(package, {}):
                return package
            stem, name = self._kept[package][name]
        return self._paths.get(stem)


def _taken(text: str) -> Iterator[tuple[str, str]]:
    """The modules and names that a module takes, or a module and "": formatted code is regular enough."""
    for module, names in FROM.findall(text):
        for name in names.strip("()").replace("\n", " ").split(","):
            if name.strip():
                yield module, name.split()[0]
    yield from ((name, "") for name in IMPORT.findall(text))


def _dotted(name: str) -> str:
    return name.removeprefix("tools/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")
