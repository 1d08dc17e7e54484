"""What the engine makes of what rules say: which subjects it asks, what waivers silence, what counts only
when all was read; and a family that did not change is not judged again."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from benchlore import cache
from benchlore.book import Loaded, load_book
from benchlore.book.model import Fault, Retired, State, frozen_map
from benchlore.findings import Finding, Origin, Problem
from benchlore.rules import WAIVER_RULES, book_check, check, check_book, check_known
from benchlore.rules.engine import Examined, Rules, common_of, conclude, examine, parts
from benchlore.rules.rule import Rule, Seen, across, rule
from benchlore.rules.subjects import FAULT, STATE
from benchlore.rules.waivers import Waiver
from tests.rules.asked import BOOK
from tests.rules.fixtures import GOOD

LOADED = load_book(GOOD)
FUSE = BOOK.faults["wren-5/fuse-open"]
FILE = FUSE.origin.file


def made(waivable: bool = True, whole: bool = False) -> Rule:
    """A rule that has something to say of each fault."""

    @rule("warning", each=FAULT, waivable=waivable, whole=whole)
    def some_rule(fault: Fault) -> Iterator[Problem]:
        yield Problem(fault.origin.at("title"), fault.id)

    return some_rule


def counting(waivable: bool = True, whole: bool = False) -> Rule:
    """A rule across families that has something to say of the title of one fault."""

    @across(visit=lambda book: sorted(book.faults), notes=[str], waivable=waivable, whole=whole)
    def over_all(seen: Seen) -> Iterator[Problem]:
        yield Problem(Origin(FILE, ("title",)), f"{sum(map(len, seen))} faults")

    return over_all


def part(*faults: Fault, **more: Any) -> Loaded:
    book = replace(BOOK, faults=frozen_map({fault.id: fault for fault in faults}), **more)
    return Loaded(book, (), LOADED.sources)


def waiving(*rules: str) -> Fault:
    return replace(FUSE, waive=frozen_map(dict.fromkeys(rules, "So.")))


def names(findings: Any) -> list[str]:
    return sorted(finding.rule for finding in findings)


@pytest.mark.parametrize(
    ("waived", "waivable", "told"),
    [
        ((), True, ["some-rule"]),
        (("some-rule",), True, []),
        (("some-rule",), False, ["refused-waiver", "some-rule"]),
        (("other-rule",), True, ["some-rule", "unknown-rule"]),
        (("not-yaml",), True, ["refused-waiver", "some-rule"]),  # one of the loader's
        (("unused-waiver",), True, ["refused-waiver", "some-rule"]),  # one of the waivers' own
    ],
)
def test_what_a_waiver_silences(waived, waivable, told) -> None:
    rules = Rules((made(waivable),), WAIVER_RULES, ("not-yaml",))
    found = examine(part(waiving(*waived)), rules)
    assert names(found.findings) == told
    assert (found.absent, found.waivers) == ((), ())
    assert found.read


def test_a_waiver_of_what_is_not_found_is_unused() -> None:
    other = replace(waiving("some-rule"), id="wren-5/other", origin=Origin("faults/wren-5/other.yaml"))
    quiet = rule(each=FAULT)(_quiet)
    assert names(examine(part(other), Rules((quiet, made()), WAIVER_RULES)).findings) == []
    unused = replace(other, waive=frozen_map({"-quiet": "So."}))
    found = examine(part(unused), Rules((quiet, made()), WAIVER_RULES))
    assert (names(found.findings), names(found.absent)) == (["some-rule"], ["unused-waiver"])


def _quiet(fault: Fault) -> Iterator[Problem]:
    if not fault.title:
        yield Problem(fault.origin, "")


@pytest.mark.parametrize("waived", [(), ("some-rule",), ("-quiet",)])
def test_what_is_absent_counts_when_all_was_read(waived) -> None:
    """So does what is said of a waiver of such a rule."""
    quiet = rule(each=FAULT, whole=True)(_quiet)
    found = examine(part(waiving(*waived)), Rules((made(whole=True), quiet), WAIVER_RULES))
    told = {(): ["some-rule"], ("some-rule",): [], ("-quiet",): ["some-rule", "unused-waiver"]}[waived]
    assert found.findings == ()
    assert names(found.absent) == told
    whole = conclude(common_of(BOOK), [found], Rules(()), LOADED.sources)
    assert names(whole) == told
    torn = replace(found, read=False)
    assert conclude(common_of(BOOK), [found, torn], Rules(()), LOADED.sources) == ()


@pytest.mark.parametrize(
    ("whole", "read", "told"), [(False, True, 1), (False, False, 1), (True, True, 1), (True, False, 0)]
)
def test_a_rule_across_families_runs_when_it_may(whole, read, told) -> None:
    rules = Rules((counting(whole=whole),), WAIVER_RULES)
    examined = [examine(part(FUSE), rules), Examined((), (), read)]
    found = conclude(common_of(BOOK), examined, rules, LOADED.sources)
    assert [one.message for one in found] == ["1 faults"] * told


@pytest.mark.parametrize(
    ("waived", "waivable", "told"),
    [
        ("over-all", True, []),
        ("over-all", False, ["over-all", "refused-waiver"]),
        ("some-rule", True, ["over-all"]),  # said of the family already
    ],
)
def test_what_a_waiver_silences_across_families(waived, waivable, told) -> None:
    rules = Rules((counting(waivable), made()), WAIVER_RULES)
    waiver = Waiver(waived, FUSE.origin)
    examined = [Examined((), (), True, {"over-all": ["a"]}, (waiver,))]
    assert names(conclude(common_of(BOOK), examined, rules, LOADED.sources)) == told
    elsewhere = [replace(examined[0], waivers=(Waiver("over-all", Origin("faults/wren-5/other.yaml")),))]
    if waivable:
        found = conclude(common_of(BOOK), elsewhere, rules, LOADED.sources)
        assert names(found) == ["over-all", "unused-waiver"]


def test_a_waiver_of_a_rule_that_did_not_run_is_not_judged() -> None:
    rules = Rules((counting(whole=True),), WAIVER_RULES)
    examined = [Examined((), (), False, {"over-all": ["a"]}, (Waiver("over-all", FUSE.origin),))]
    assert conclude(common_of(BOOK), examined, rules, LOADED.sources) == ()
    assert names(conclude(common_of(BOOK), [replace(examined[0], read=True)], rules, LOADED.sources)) == []


@pytest.mark.parametrize("kind", ["families", "faults", "retired", "unread", "none"])
def test_the_common_records_are_judged_once(kind) -> None:
    """With each family stand the common records; they are judged by themselves."""

    @rule(each=STATE)
    def of_states(state: State) -> Iterator[Problem]:
        yield Problem(state.origin, state.id)

    retired = Retired(id="wren-5/old", origin=Origin("faults/wren-5/old.yaml"), moved_to=FUSE.id)
    records: dict[str, Any] = {
        "families": BOOK.families,
        "faults": {FUSE.id: FUSE},
        "retired": {retired.id: retired},
        "unread": {"wren-5": None},
    }
    own: dict[str, Any] = {name: frozen_map(one if name == kind else {}) for name, one in records.items()}
    loaded = Loaded(replace(common_of(BOOK), **own), (), LOADED.sources)
    found = examine(loaded, Rules((of_states,))).findings
    assert len(found) == (len(BOOK.states) if kind == "none" else 0)


def test_each_finding_of_the_loader_goes_with_its_folder() -> None:
    def finding(file: str) -> Finding:
        return Finding(file, 1, 1, "not-yaml", "error", "So.")

    files = ("faults/common/shop.yaml", "faults/wren-5/a.yaml", "faults/finch-2/family.yaml")
    found = list(parts(replace(LOADED, findings=tuple(map(finding, files)))))
    assert [[one.file for one in each.findings] for each in found] == [
        [files[0]],
        [files[2]],
        [files[1]],
    ]
    assert [sorted(each.book.families) for each in found] == [[], [], ["wren-5"]]


def test_a_family_that_did_not_change_is_not_judged_again(tmp_path: Path, monkeypatch) -> None:
    """Of two families, each with something to say, in one process."""
    shutil.copytree(GOOD, tmp_path / "two")
    root = tmp_path / "two"
    shutil.copytree(root / "faults/wren-5", root / "faults/finch-2")
    for family in ("wren-5", "finch-2"):
        path = root / f"faults/{family}/fuse-open.yaml"
        path.write_text(
            path.read_text(encoding="utf-8").replace("minutes: 8", "minutes: 7"), encoding="utf-8"
        )
    judged: list[list[str]] = []

    def noted(one: Loaded, rules: Rules) -> Examined:
        judged.append(sorted(one.book.families))
        return examine(one, rules)

    monkeypatch.setattr(cache, "_usual_folder", lambda: tmp_path / "cache")
    monkeypatch.setattr(book_check, "spread", lambda work, waiting: [(name, work(name)) for name in waiting])
    monkeypatch.setattr(book_check, "examine", noted)
    loaded = load_book(root)
    wanted = check(loaded)
    assert [one.file for one in wanted] == ["faults/finch-2/fuse-open.yaml", "faults/wren-5/fuse-open.yaml"]
    assert check_known(loaded) == wanted
    assert sorted(judged) == [[], ["finch-2"], ["wren-5"]]
    judged.clear()
    assert check_known(loaded) == wanted
    assert judged == [[]], "the common records alone"
    path = root / "faults/wren-5/fuse-open.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("minutes: 7", "minutes: 8"), encoding="utf-8")
    judged.clear()
    assert [one.file for one in check_known(load_book(root))] == ["faults/finch-2/fuse-open.yaml"]
    assert sorted(judged) == [[], ["wren-5"]]


def test_a_family_with_a_file_that_cannot_be_read_is_not_kept(tmp_path: Path, monkeypatch) -> None:
    """Under which bytes would it be? What is heard of the work counts it all the same."""
    shutil.copytree(GOOD, tmp_path / "two")
    root = tmp_path / "two"
    shutil.copytree(root / "faults/wren-5", root / "faults/finch-2")
    (root / "faults/finch-2/extra.yaml").write_bytes(b"\xff\xfe\xfa")
    monkeypatch.setattr(cache, "_usual_folder", lambda: tmp_path / "cache")
    monkeypatch.setattr(book_check, "spread", lambda work, waiting: [(name, work(name)) for name in waiting])
    heard: list[tuple[int, int]] = []
    check_book(root, tell=lambda done, of: heard.append((done, of)))
    assert heard == [(0, 2), (1, 2), (2, 2)]
    assert [path.stem for path in (tmp_path / "cache/check").iterdir()] == ["wren-5"]
    heard.clear()
    check_book(root, tell=lambda done, of: heard.append((done, of)))
    assert heard == [(1, 2), (2, 2)]
    heard.clear()
    check_book(root, kept=False, tell=lambda done, of: heard.append((done, of)))
    assert heard == [(0, 2), (1, 2), (2, 2)]
