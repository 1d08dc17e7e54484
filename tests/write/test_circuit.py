"""What the form foretells, ranks and warns of, as Python does."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from benchlore.book import Book, links
from benchlore.book.model import Opening, PartUse, Step, frozen_map
from benchlore.book.records import read_record
from benchlore.book.short import in_full as in_full_form
from benchlore.book.work import technique_of_opening
from benchlore.book.yaml_reader import parse
from benchlore.circuit.foretold import foretold, in_full
from benchlore.diagnosis.hypotheses import hypotheses_of
from benchlore.findings import Origin
from benchlore.site import steps
from tests.books import EXAMPLE, example
from tests.write.scripts import run

FAMILY = "siskin-12"
CLOSE = 1e-3  # shares go out with four digits
# What a cause may say that the tables beforehand do not know of.
BESIDE = ("ohms", "volts", "then", "when", "share_of_time")


@cache
def records() -> dict[str, dict]:
    found = {}
    for path in sorted((EXAMPLE / "faults" / FAMILY).glob("*.yaml")):
        data = parse(path.read_text(encoding="utf-8"))[0]
        if path.stem != "family":
            assert isinstance(data, dict)
            found[path.stem] = data
    return found


def without(book: Book, fault: str) -> Book:
    """The book with one record less."""
    left = {id_: one for id_, one in book.faults.items() if id_ != fault}
    return in_full(replace(book, faults=frozen_map(left)))


def test_the_circuit_foretells_the_same_of_every_recorded_cause():
    book = example()
    mine = run(
        "return given.map((cause) => benchlore.circuit.foretold(context.own, cause));",
        [record["cause"] for record in records().values()],
        book,
        FAMILY,
    )
    compared = 0
    for (name, record), found in zip(records().items(), mine, strict=True):
        theirs = foretold(book, book.families[FAMILY])[f"{FAMILY}/{name}"]
        ways = [record["cause"], *record["cause"].get("variants", [])]
        beside = any(key in way for way in ways for key in BESIDE)
        if found is None:
            assert not theirs, name
            continue
        assert found["about"] == beside, name
        if beside:
            continue
        assert set(found["rows"]) == set(theirs), name
        for measure, row in theirs.items():
            for outcome in {*row, *found["rows"][measure]}:
                share = found["rows"][measure].get(outcome, 0)
                assert share == pytest.approx(row.get(outcome, 0), abs=CLOSE), (name, measure)
        compared += 1
    assert compared > 8


@pytest.mark.parametrize("name", ["pack-data-pull-up-open", "inlet-fuse-open", "pack-clock-resistor-cracked"])
def test_one_fault_more_is_weighed_as_in_python(name):
    """The book with the record, by Python; the book without it and the record as it is typed, in the page."""
    book = example()
    fault = f"{FAMILY}/{name}"
    program = """
        const record = benchlore.short.inFull(context, given.record);
        const more = benchlore.effect.faultOf(context, given.name, record);
        return benchlore.effect.familyWith(context, more).hypotheses;"""
    given = {"name": name, "record": records()[name]}
    found = run(program, given, without(book, fault), FAMILY)
    for revision in (None, *book.families[FAMILY].revisions):
        wanted = hypotheses_of(book, book.families[FAMILY], revision, suspects=False)
        mine = found[revision or ""]
        assert tuple(mine["names"]) == wanted.names
        assert mine["prior"] == pytest.approx(list(wanted.prior))
        assert mine["minutes"] == pytest.approx(list(wanted.minutes))
        assert tuple(mine["hot"]) == wanted.hot
        for symptom, row in wanted.shows.items():
            assert mine["shows"][symptom] == pytest.approx(list(row)), symptom
        assert set(mine["reads"]) == set(wanted.rows)
        for measure, rows in wanted.rows.items():
            known = mine["reads"][measure]
            assert set(known["says"]) == wanted.says[measure], measure
            for place, row in zip(known["of"], rows, strict=True):
                assert known["rows"][place] == pytest.approx(list(row), abs=CLOSE), measure


def test_the_hazards_of_every_record_are_those_of_its_page():
    """What the page lists besides comes with measurements that only the circuit finds worth making."""
    book = example()
    mine = run(
        """return given.map((record) =>
            benchlore.work.hazards(context, benchlore.short.inFull(context, record)).map(({ id }) => id));""",
        list(records().values()),
        book,
        FAMILY,
    )
    for name, found in zip(records(), mine, strict=True):
        fault = book.faults[f"{FAMILY}/{name}"]
        wanted = links.hazards_of_fault(book, fault)
        assert set(found) <= set(wanted), name
        assert list(links.by_severity(book, found)) == found, name
        steps = {one for ids in links.hazards_by_step(book, fault) for one in ids}
        assert steps <= set(found), name
        assert len(set(wanted) - set(found)) <= 1, name


def test_the_hazards_of_opening_the_device_come_with_the_same_steps():
    book = example()
    name, whole = next(iter(records().items()))
    done = [
        *({"replace": "R82"}, {"reflow": "J1"}, {"remove": "K1"}, {"fit": "K1"}, {"unplug": "K1"}),
        *({"plug": "K1"}, {"clean": "U12", "with": "brush"}, {"wash": True}),
        *({"clean": "J1", "with": "brush"}, {"plug": "J1"}, {"unplug": "everything"}, {"look": "U12"}),
        *({"program": "U30"}, {"measure": "core-ohms"}, "Look at it."),
    ]
    given = [{**whole, "fix": {**whole["fix"], "steps": [step], "action": "replace"}} for step in done]
    script = """return given.map((record) =>
        benchlore.work.hazards(context, benchlore.short.inFull(context, record)).map(({ id }) => id));"""
    before = run(script, given, book, FAMILY)
    rare = next(one for one in book.hazards if not any(one in found for found in before))
    technique = replace(book.techniques["ultrasonic-wash"], id="shell", wash=False, hazard=(rare,))
    shut = replace(book.families[FAMILY], opening=Opening(technique="shell", without=("J1",)))
    there = replace(
        book,
        families=frozen_map({**book.families, FAMILY: shut}),
        techniques=frozen_map({**book.techniques, "shell": technique}),
    )
    read = [read_record("fault", f"{FAMILY}/{name}", "", in_full_form(one)) for one in given]
    opened = [technique_of_opening(one, shut) == "shell" for one in read]
    assert opened == [True] * 8 + [False] * 7
    now = run(script, given, there, FAMILY)
    assert [rare in found for found in now] == opened


def test_the_steps_of_every_record_are_said_as_on_its_page():
    book = example()
    program = """return given.map((record) => benchlore.short.inFull(context, record).fix.steps.map(
        (step) => benchlore.work.sentence(context, step)));"""
    mine = run(program, list(records().values()), book, FAMILY)
    for name, found in zip(records(), mine, strict=True):
        wanted = steps.of_fix(book, book.faults[f"{FAMILY}/{name}"])
        assert [plain(said) for said in found] == [plain(said) for said in wanted], name


def test_a_measurement_in_a_condition_is_said_as_on_the_page():
    book, words = example(), "core-ohms then reads low, self-made"
    said = run(
        "return benchlore.work.sentence(context, given);", {"replace": "U30", "if": words}, book, FAMILY
    )
    step = Step(origin=Origin("x.yaml"), replace=(PartUse(part="U30"),), if_=words)
    assert plain(said) == plain(steps._Speaker(book.families[FAMILY]).sentence(step))


def plain(said: str) -> str:
    return said.replace("\u00a0", " ").replace("\u03a9", "ohm")
