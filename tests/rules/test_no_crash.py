"""No record makes a rule fail: whatever a value of the good book becomes, the checks end in findings."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchlore.book import load_book
from benchlore.book.yaml_reader import parse
from benchlore.rules import check
from tests.rules.fixtures import GOOD

pytestmark = pytest.mark.slow

FILES = sorted(path.relative_to(GOOD).as_posix() for path in GOOD.rglob("*.yaml"))
RECORDS = {file: parse((GOOD / file).read_text(encoding="utf-8"))[0] for file in FILES}


def places(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The path of every value below the top."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from places(value, (*path, key))


PLACES = [(file, path) for file, record in RECORDS.items() for path in places(record)]
LEAVES = sorted(
    {value for _, record in RECORDS.items() for value in yaml.safe_dump(record).split() if value.isascii()}
)
ODD = ["", "todo", "open", "under 0 V", "over 0 ohm", "0 V", "-5 to 5 V", "1 V 99%", "1 Gohm", "index", "A"]
VALUES = (
    st.sampled_from(ODD)
    | st.sampled_from(LEAVES)
    | st.sampled_from([0, 1, -1, 2.5, True, None, [], {}, [1], {"a": 1}, {"healthy": 0.5, "low": 0.5}])
)


def changed(data: Any, path: tuple[str | int, ...], value: Any, gone: bool) -> Any:
    """A copy of the data with another value, or none, at a path."""
    key, *rest = path
    copy: Any = list(data) if isinstance(data, list) else dict(data)
    if rest:
        copy[key] = changed(copy[key], tuple(rest), value, gone)
    elif gone:
        del copy[key]
    else:
        copy[key] = value
    return copy


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    root: Path = tmp_path_factory.mktemp("spoiled")
    shutil.copytree(GOOD, root, dirs_exist_ok=True)
    return root


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from(PLACES), VALUES, st.booleans()), min_size=1, max_size=2))
def test_checks_end_in_findings(folder, changes):
    spoiled = dict(RECORDS)
    for (file, path), value, gone in changes:
        try:
            spoiled[file] = changed(spoiled[file], path, value, gone)
        except (KeyError, IndexError, TypeError, ValueError):
            continue  # the first change took away the place of the second
    touched = {file for (file, _), _, _ in changes}
    try:
        for file in touched:
            (folder / file).write_text(yaml.safe_dump(spoiled[file], sort_keys=False), encoding="utf-8")
        for finding in check(load_book(folder)):
            assert finding.message
            assert finding.line >= 1
    finally:
        for file in touched:
            shutil.copy(GOOD / file, folder / file)
