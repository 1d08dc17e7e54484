"""What the fuzzer starts from, and what it once found, keep the promises of their target."""

from pathlib import Path

import pytest
import yaml

from benchlore.book import load_book
from benchlore.rules import check
from tests.books import GOOD
from tests.fuzz import page
from tests.fuzz.records import changed
from tests.fuzz.targets import TARGETS, book

CORPUS = Path(__file__).parent / "corpus"
INPUTS = sorted(path for path in CORPUS.rglob("*") if path.is_file())


def test_every_target_has_inputs():
    assert {path.parent.name for path in INPUTS} == {*TARGETS, *page.TARGETS}


@pytest.mark.parametrize("target", page.TARGETS)
def test_the_scripts_of_the_page_keep_their_promises(target):
    inputs = page.texts(CORPUS / target)
    assert page.run(target, inputs) == {"runs": len(inputs), "kept": [], "found": None}


@pytest.mark.parametrize(
    ("spoiled", "reason"),
    [
        ("benchlore.jobfile.check = data => data.nothing.there;", "fell over: TypeError"),
        ("benchlore.jobfile.check = data => ({...data, entries: 7});", "does not fit its form"),
        ("benchlore.address.encode = () => 'v=1';", "read back otherwise"),
        ("benchlore.jobfile.check = () => { throw new Error('no'); };", "no sentence"),
    ],
)
def test_a_broken_promise_is_found(spoiled, reason, monkeypatch):
    scripts = f"{page._scripts()}\n{spoiled}"
    monkeypatch.setattr(page, "_scripts", lambda: scripts)
    assert reason in page.run("address", page.texts(CORPUS / "address"))["found"]["reason"]


def test_what_reaches_new_code_is_kept():
    """From one plain address, in a second: entries, proofs and refusals that it does not hold."""
    answer = page.run("address", ["#v=1&family=siskin-12&entry=r~a~b~c"], seconds=1, seed=7)
    assert answer["found"] is None
    assert answer["kept"]


@pytest.mark.slow
def test_a_record_is_changed_so_that_it_stays_yaml_and_the_rules_see_it():
    """Of a sound record's changes most are read, and some pass its form: the rules find what is wrong."""
    whole = (GOOD / "faults" / "wren-5" / "rail-short.yaml").read_bytes()
    made = {changed(whole, seed) for seed in range(60)}
    assert len(made) > 50
    assert changed(whole, 7) == changed(whole, 7)
    assert changed(b"a: [", 1) is None
    assert None not in made
    assert all(isinstance(yaml.safe_load(data), dict) for data in made if data)
    place, found = book(), set()
    for data in sorted(filter(None, made)):
        place.write_bytes(data)
        found |= {finding.rule for finding in check(load_book(place.parents[2]))}
        if len(found) > 10:  # on every one of them the rules end: test_no_crash.py
            return
    raise AssertionError(found)


READ = [path for path in INPUTS if path.parent.name in TARGETS]


@pytest.mark.parametrize("path", READ, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_input(path):
    TARGETS[path.parent.name](path.read_bytes())
