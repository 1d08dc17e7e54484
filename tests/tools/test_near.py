"""tools/near.py: the tests nearest to a change run first, and what a minute does not hold is counted."""

from __future__ import annotations

import json
import subprocess
from types import SimpleNamespace

import pytest

import near
from tests.seconds import Seconds

MODULES = {
    "tools/made/__init__.py": (
        "from made.inner import law\nfrom made.other import (\n    much,\n    more as less,\n)\n"
    ),
    "tools/made/inner.py": "law = 1\n",
    "tools/made/other.py": "from made import inner\nmuch = more = inner.law\nREAD = 'names.json', 'schema'\n",
    "tests/conftest.py": "def shipped_book(): ...\n",
    "tests/a/conftest.py": "",
    "tests/a/test_law.py": "from made import law\n",
    "tests/a/test_much.py": "def test():\n    from made import much\n",
    "tests/a/test_whole.py": "import made\n",
    "tests/b/test_none.py": "import json\nmade = 'schema/made.json'\n",
    "tests/b/test_shipped.py": "from tests.books import shipped\n",
    "tests/c/test_page.py": "PAGE = ROOT / 'faults' / 'README.md'\n",
    "tests/c/test_start.py": "path = new / 'faults' / 'common' / 'shop.yaml'\n",
    "tests/c/test_boards.py": "FAMILIES = 'tern-10', 'petrel-13'\n",
}


@pytest.fixture
def root(tmp_path):
    for name, text in MODULES.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    (tmp_path / "faults").mkdir()
    (tmp_path / near.PAGE).write_text("<!-- record: faults/gannet-24/shown.yaml -->")
    return tmp_path


def times(root, **seconds):
    (root / ".cache").mkdir()
    known = {f"tests/{name.replace('__', '/')}.py::test": took for name, took in seconds.items()}
    (root / near.SECONDS).write_text(json.dumps(known))


def stems(choice):
    return [name.rpartition("/test_")[2].removesuffix(".py") for name in choice.files]


@pytest.mark.parametrize(
    ("changed", "ran", "others"),
    [
        # By name through `__init__`: who takes `much` alone is one import farther from inner.py.
        (["tools/made/inner.py"], ["law", "much", "whole"], 5),
        (["tools/made/other.py"], ["much", "whole"], 6),
        (["tools/made/names.json"], ["much", "whole"], 6),  # named by other.py
        (["tools/made/things.json"], ["whole", "law", "much"], 5),  # named by none: of its folder
        (["tests/b/test_none.py"], ["none"], 7),
        (["tests/a/conftest.py"], ["law", "much", "whole"], 5),
        (["tests/a/odd.txt"], ["law", "much", "whole"], 5),
        (["tests/conftest.py"], ["law", "much", "whole", "none", "shipped", "page", "start", "boards"], 0),
        (["faults/tern-10/no-power.yaml"], ["shipped", "boards"], 6),
        (["faults/tern-10/family/parts.yaml"], ["shipped", "boards"], 6),
        (["faults/gannet-24/no-power.yaml"], ["shipped"], 7),  # nobody names its family
        (["faults/gannet-24/shown.yaml"], ["shipped", "page"], 6),
        (["faults/README.md"], ["shipped", "page"], 6),
        (["faults/common/shop.yaml"], ["shipped", "start"], 6),
        (["faults/common/README.md"], ["shipped"], 7),
        (["schema/made.json"], ["much", "whole", "none"], 5),  # of a folder that other.py names
        (["nothing.txt"], [], 8),
    ],
)
def test_who_imports_or_names_what_changed_runs(root, changed, ran, others):
    choice = near.choose(root, changed, 60, 2)
    assert sorted(stems(choice)) == sorted(ran)
    assert (choice.farther, choice.others) == (0, others)


def test_the_nearest_come_first_and_of_these_the_cheap(root):
    times(root, a__test_law=9, a__test_much=1, a__test_whole=2)
    assert stems(near.choose(root, ["tools/made/inner.py"], 60, 2)) == ["law", "much", "whole"]
    times_of_law = json.loads((root / near.SECONDS).read_text())
    times_of_law["tests/a/test_whole.py::test"] = 0.5
    (root / near.SECONDS).write_text(json.dumps(times_of_law))
    assert stems(near.choose(root, ["tools/made/inner.py"], 60, 2)) == ["law", "whole", "much"]


def test_what_a_minute_does_not_hold_is_counted_and_the_next_is_tried(root):
    times(root, a__test_law=40, a__test_much=9, a__test_whole=6)
    choice = near.choose(root, ["tools/made/inner.py"], 5, 2)
    assert (stems(choice), choice.farther, choice.others) == (["whole"], 2, 5)
    changed = ["tools/made/inner.py", "tests/a/test_law.py"]
    assert stems(near.choose(root, changed, 5, 2)) == ["law"]  # a changed test runs whatever it takes


def test_what_was_never_timed_counts_as_the_mean(root):
    least = near.UNKNOWN / 2 + near.COLLECTED
    assert len(near.choose(root, ["tests/conftest.py"], 2.5 * least, 2).files) == 2


def test_a_file_without_quick_tests_is_not_counted(root):
    none = dict.fromkeys(("b__test_none", "b__test_shipped", "c__test_page", "c__test_start"), 0)
    times(root, **none, c__test_boards=0, a__test_law=0)
    choice = near.choose(root, ["tools/made/inner.py", "tests/a/test_law.py"], 60, 2)
    assert stems(choice) == ["law", "much", "whole"]  # it changed itself
    assert choice.others == 0


def test_what_quick_tests_take_is_kept_beside_earlier_runs(tmp_path, monkeypatch):
    monkeypatch.delenv("PYTEST_XDIST_WORKER", raising=False)
    kept = tmp_path / "kept" / "seconds.json"

    def run(*ran, status=0, args=("tests",), **options):
        plugin = Seconds(kept)
        for test, took, *marks in ran:
            report = SimpleNamespace(nodeid=test, duration=took, keywords=dict.fromkeys(marks, 1))
            plugin.pytest_runtest_logreport(report)  # type: ignore[arg-type]
        config = SimpleNamespace(args=args, getoption=options.get)
        plugin.pytest_sessionfinish(SimpleNamespace(config=config), status)  # type: ignore[arg-type]
        return json.loads(kept.read_text())

    here, other = "tests/tools/test_near.py", "tests/tools/test_supply.py"
    all_of_it = {f"{here}::a": 1.5, f"{here}::b": 0, f"{other}::a": 3.0}
    first = ((f"{here}::a", 1.0), (f"{here}::a", 0.5), (f"{here}::b", 9.0, "slow"), (f"{other}::a", 3.0))
    assert run(*first, ("tests/gone.py::c", 1.0)) == all_of_it | {"tests/gone.py::c": 1.0}
    one = (f"{here}::c", 2.0)
    parts = (
        {"keyword": "c"},
        {"markexpr": "not slow"},
        {"args": (f"{here}::c",)},
        {"maxfail": 1},
        {"status": 2},
    )
    for part in parts:
        assert run(one, **part) == all_of_it | {f"{here}::c": 2.0}, (
            "it ran in part, so the others may be there"
        )
    assert run(one, status=1) == {f"{here}::c": 2.0, f"{other}::a": 3.0}, "it has no other now"


def test_what_changed_is_told_by_git(tmp_path):
    def git(*words):
        name = ["-c", "user.name=x", "-c", "user.email=x"]
        subprocess.run(["git", *name, *words], cwd=tmp_path, check=True, capture_output=True)

    assert near.changed(tmp_path) is None
    git("init", "-q")
    for name in ("kept", "moved é"):
        (tmp_path / name).write_text(name)
        git("add", name)
        git("commit", "-q", "-m", name)
    assert near.changed(tmp_path) == ["moved é"]
    (tmp_path / "kept").write_text("otherwise")
    (tmp_path / "new").write_text("")
    assert near.changed(tmp_path) == ["kept", "new"]


@pytest.mark.parametrize(
    ("name", "due"),
    [("site_overrides/assets/js/bench.js", True), ("schema/fault.json", True), ("tools/near.py", False)],
)
def test_scripts_are_checked_where_they_or_their_types_changed(name, due):
    assert near.touches_scripts([name]) is due
