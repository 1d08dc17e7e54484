"""The order of a run: what needs no site comes first in each worker's piece, and no file is torn apart."""

from __future__ import annotations

import threading
from contextlib import suppress
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests.books import EXAMPLE, ROOT
from tests.order import Order, sites_of


def item(file: str, *fixtures: str, shipped: bool = False) -> Any:
    def marker(name: str) -> bool | None:
        return True if shipped and name == "shipped" else None

    return SimpleNamespace(path=Path(file), fixturenames=fixtures, get_closest_marker=marker)


def test_each_worker_begins_with_what_needs_no_site(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTEST_XDIST_WORKER_COUNT", "2")
    seen = [item("a.py", "site") for _ in range(4)] + [item("b.py", "shipped_site") for _ in range(4)]
    plain = [item(name) for name in "cdef" for _ in range(3)]
    items = [*seen, *plain]
    Order().pytest_collection_modifyitems(items)
    assert sorted(map(id, items)) == sorted(map(id, [*seen, *plain]))
    for half in (items[:10], items[10:]):
        files = [one.path.stem for one in half]
        assert len(set(files[:6])) == 2
        assert {*files[:6]} <= {*"cdef"}
        assert len({*files[6:]}) == 1


def test_what_reads_the_shipped_book_is_in_the_first_piece(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before all that waits for no site, so that no other worker takes it over."""
    monkeypatch.setenv("PYTEST_XDIST_WORKER_COUNT", "2")
    texts = {"a": "def test(book)", "b": "def test(shipped_book)", "c": "", "d": "return shipped()", "e": ""}
    for name, text in texts.items():
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
    items = [item(str(tmp_path / f"{name}.py")) for name in "aaabccccdeeee"]
    Order().pytest_collection_modifyitems(items)
    assert "".join(one.path.stem for one in items[:2]) in ("bd", "db")


def test_the_book_of_each_site_is_known() -> None:
    assert sites_of(item("a.py", "book")) == set()
    assert sites_of(item("a.py", "site", "shipped_site")) == {EXAMPLE, ROOT}
    assert sites_of(item("a.py", "each_site")) == {EXAMPLE}
    assert sites_of(item("a.py", "each_site", shipped=True)) == {ROOT}


def test_one_worker_compiles_the_tests_and_the_others_wait_for_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTEST_XDIST_WORKER", "gw1")
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    session: Any = SimpleNamespace(config=SimpleNamespace(args=["tests"]))
    read = tmp_path / "read"
    first, other, later = (Order(read).pytest_collection(session) for _ in range(3))
    next(first)
    waiting = threading.Thread(target=next, args=(other,))
    waiting.start()
    waiting.join(0.3)
    assert waiting.is_alive()
    with suppress(StopIteration):
        first.send(None)
    waiting.join()
    assert read.exists()
    next(later)


def test_where_nothing_can_be_kept_the_tests_are_read_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTEST_XDIST_WORKER", "gw1")
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    session: Any = SimpleNamespace(config=SimpleNamespace(args=["tests"]))
    (tmp_path / "file").touch()
    reading = Order(tmp_path / "file" / "read").pytest_collection(session)
    next(reading)
    with pytest.raises(StopIteration) as done:
        reading.send("the tests")
    assert done.value.value == "the tests"


def test_who_reads_some_tests_waits_for_nobody(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTEST_XDIST_WORKER", "gw1")
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    session: Any = SimpleNamespace(config=SimpleNamespace(args=["tests/tools"]))
    for one in (Order(tmp_path / "read").pytest_collection(session) for _ in range(2)):
        next(one)
        with suppress(StopIteration):
            one.send(None)
    assert not list(tmp_path.iterdir())
