"""What the form says while one types: what `benchlore check` says, in words that presume no YAML."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from benchlore.book import Book, load_book
from benchlore.book import short as short_form
from benchlore.book.model import frozen_map
from benchlore.book.records import read_record
from benchlore.book.schemas import shape_problems
from benchlore.book.work import opened
from benchlore.book.yaml_reader import parse
from benchlore.circuit.foretold import in_full
from benchlore.quantity import parse_quantity
from benchlore.rules import all_docs
from tests.books import EXAMPLE, GOOD
from tests.browser.test_forms import damaged
from tests.rules.fixtures import cases, spoiled
from tests.rules.said import kept
from tests.write.scripts import run

FAMILY = "wren-5"
# Said once the rest is right.
LAST = {"example-misleads", "not-told-apart"}
# Of a cause with these the page knows no reading beforehand.
BESIDE = ("ohms", "volts", "then", "when", "share_of_time")
Record = dict[str, Any]
_FINDINGS = """
    return given.map(([name, read]) => {
        const record = benchlore.short.inFull(context, read);
        const draft = { id: "d", family: id, name, before: name, record, time: "" };
        const whole = benchlore.record.whole(benchlore.writeForm, record, true);
        return benchlore.findings.findings(context, draft, whole);
    });"""
# Words of the file and of its form, which somebody at the bench need not know.
_YAML = re.compile(
    r"\b(YAML|key|field '|mapping|indent\w*|schema|test_points|expected_reading|worked_example)\b"
)


@cache
def good() -> Book:
    return in_full(load_book(GOOD).book)


def record_of(path: Path) -> Record:
    data = parse(path.read_text(encoding="utf-8"))[0]
    assert isinstance(data, dict)
    return data


def said(records: list[tuple[str, Record]], book: Book, family: str) -> list[list[Any]]:
    return list(run(_FINDINGS, records, book, family))


@pytest.mark.slow
@pytest.mark.parametrize("root", [EXAMPLE, GOOD])
def test_a_record_of_the_book_has_nothing_to_mend(root):
    book = in_full(load_book(root).book)
    for family in book.families:
        folder = root / "faults" / family
        records = [(p.stem, record_of(p)) for p in sorted(folder.glob("*.yaml")) if p.stem != "family"]
        for (name, _), found in zip(records, said(records, book, family), strict=True):
            waived = record_of(folder / f"{name}.yaml").get("waive", {})
            open_ = [one for one in found if one["kind"] != "note" and one["rule"] not in waived]
            assert open_ == [], name


def test_the_form_opens_the_work_as_the_book_does():
    book = good()
    plain = book.families[FAMILY]
    parts = frozen_map({**plain.parts, "A1": replace(plain.parts["J1"], id="A1", kind="adapter")})
    family = replace(plain, discharge=parse_quantity("10 s"), parts=parts)
    unpowered = next(m.id for m in family.measurements.values() if m.function.power == "off")
    powered = next(m.id for m in family.measurements.values() if m.mode == "dc-volts")
    file = "faults/wren-5/fuse-open.yaml"
    short = short_form.in_full(record_of(GOOD / file))
    ways: list[tuple[list[Any], int]] = [
        ([{"replace": "F1"}], 2),
        ([{"unplug": "J1"}, {"plug": "J1"}], 2),
        ([{"clean": "J1", "with": "brush"}], 2),
        ([{"measure": unpowered}], 2),
        (["Bridge both pads with the iron."], 2),
        ([{"look": "F1", "say": "Wipe it with alcohol."}], 2),
        ([{"measure": powered}], 0),
        ([{"unplug": "adapter"}, {"plug": "adapter"}], 0),
        (["Turn it off and on."], 0),
        ([{"replace": "A1"}], 1),
        ([{"replace": "A1", "say": "Solder its cable."}], 2),
        ([{"replace": "A1", "say": "Wipe the socket with alcohol."}], 2),
        ([{"look": "J1"}, {"unplug": "everything"}, {"unplug": "A1"}, {"fit": "A1"}], 0),
        ([{"replace": "A1"}, {"replace": "F1"}], 2),
        ([{"look": "F1"}, {"unplug": "everything"}, {"discharge": "20 s"}, {"replace": "F1"}], 0),
        ([{"look": "F1"}, {"unplug": ["everything", "J1"]}, {"replace": "F1"}], 1),
        ([{"unplug": "everything", "if": "it is open"}, {"replace": "F1"}], 3),
        ([{"unplug": "everything", "if": "it is open"}, {"discharge": "20 s"}, {"replace": "F1"}], 0),
        ([{"discharge": "20 s", "if": "it is open"}, {"replace": "F1"}], 2),
    ]
    records = [{**short, "fix": {**short["fix"], "steps": steps}} for steps, _ in ways]
    there = replace(book, families=frozen_map({**book.families, FAMILY: family}))
    script = """return given.map((one) => {
        const full = benchlore.short.inFull(context, one);
        return [full.fix.steps.length, benchlore.short.shortened(context, full).fix];
    });"""
    read = [read_record("fault", f"{FAMILY}/fuse-open", file, one) for one in records]
    expected = [len(steps) + more for steps, more in ways]
    assert [len(opened(one, family).fix.steps) for one in read] == expected
    mine = run(script, records, there, FAMILY)
    assert [length for length, _ in mine] == expected
    assert [short["steps"] for _, short in mine] == [steps for steps, _ in ways]
    assert [short["confirm"] for _, short in mine] == [["fused-rail"]] * len(ways)


def test_the_form_takes_the_action_from_the_steps_as_the_book_does():
    often, seldom = {"replace": "F1"}, {"if": "it still moves"}
    ways = [
        [often],
        [{"reflow": "F1"}, {**often, **seldom}],
        [{"reflow": "F1", **seldom}, {"clean": "J1", "with": "brush"}],
        [{"clean": "J1", "with": "brush"}, {"reflow": "U1", **seldom}],
        [{"remove": "F1"}],
        ["Look."],
    ]
    records = [{"cause": {"part": "F1"}, "fix": {"steps": steps}} for steps in ways]
    expected = [short_form.action_of(one) for one in records]
    assert expected == ["replace", "reflow", "reflow", "clean", "replace", ""]
    script = "return given.map((one) => benchlore.short.inFull(context, one).fix.action || '');"
    assert run(script, records, good(), FAMILY) == expected


def test_the_form_reads_and_writes_a_cause_as_the_book_does():
    ways = [{"mode": "leaks", "share": 0.6}, {"mode": "open", "share": 0.4}]
    causes = [
        {"part": "F1", "mode": "open", "how": "A surge."},
        {"part": "C1", "at": "MAIN", "variants": ways},
        {"part": "C1", "variants": [{**ways[0], "ohms": "9 ohm"}, ways[1]]},
        {"part": "C1", "variants": [ways[0], ways[0]]},
        {"part": "C1", "mode": "open", "variants": ways},
        {"part": "C1", "how": "Nobody knows."},
        {"F1": "open", "how": "A surge."},
        {"C1": {"leaks": 0.6, "open": 0.4}, "at": "MAIN"},
        {"F1": "open", "U1": "open"},
        {"part": "U1", "F1": "open"},
        {"F1": "open", "mode": "loose"},
        {"C1": "leaks", "variants": ways},
        {"how": "Nobody knows."},
    ]
    script = """return given.map((cause) => [
        benchlore.short.inFull(context, { cause }).cause,
        benchlore.short.shortened(context, { cause }).cause,
    ]);"""
    expected = [
        [short_form.in_full({"cause": one})["cause"], short_form.shortened({"cause": one}, {})["cause"]]
        for one in causes
    ]
    found = run(script, causes, good(), FAMILY)
    assert found == expected
    assert [list(one) for pair in found for one in pair] == [list(one) for pair in expected for one in pair]


def test_the_form_reads_a_proof_that_only_names_its_measurements():
    given = {"fix": {"confirm": ["fused-rail", "nowhere"]}}
    found = run("return benchlore.short.inFull(context, given);", given, good(), FAMILY)
    assert found == {"fix": {"confirm": {"fused-rail": "healthy", "nowhere": ""}}}


@cache
def spoilt_records(folder: Path) -> list[tuple[str, str, Record, set[str]]]:
    """Of each fixture that spoils one fault pattern and nothing else: its name, the record's, the record, and
    the rules that `check` names in it, which `test_fixtures.py` holds to it."""
    found, known = [], kept()
    for number, case in enumerate(cases()):
        files = [edit.file for edit in case.edits]
        if len(files) != 1 or not re.fullmatch(rf"faults/{FAMILY}/(?!family)[^/]+", files[0]):
            continue
        root = folder / str(number)
        (root / "faults").mkdir(parents=True)
        shutil.copytree(GOOD / "faults", root / "faults", dirs_exist_ok=True)
        spoiled(case, root)
        path = root / files[0]
        if not path.is_file():
            continue
        text = path.read_text(encoding="utf-8")
        data, faults, _ = parse(text)
        if faults or not isinstance(data, dict):
            continue
        if "cause" in data and short_form.wrong_cause(short_form.in_full(data), data)[0]:
            continue  # the page does not open it: the form of such a record is judged below
        rules = set(re.findall(rf"^{re.escape(files[0])}:\d+:\d+ \w+ ([a-z0-9-]+): ", known[case.name], re.M))
        found.append((case.name, path.stem, data, rules))
    return found


@pytest.mark.slow
def test_the_form_finds_what_check_finds(tmp_path_factory):
    """On every spoilt record of the rules' own fixtures, by the rules that the page says it knows."""
    spoilt = spoilt_records(tmp_path_factory.mktemp("spoilt"))
    known = set(run("return benchlore.findings.KNOWN;", None, good(), FAMILY))
    mine = said([(name, record) for _, name, record, _ in spoilt], good(), FAMILY)
    wrong = []
    for (case, _, record, rules), found in zip(spoilt, mine, strict=True):
        got = {one["rule"] for one in found}
        wanted = (rules & known) - {"repeats-prediction"}
        if any(one["kind"] == "wrong" for one in found):
            wanted -= LAST
        if any(name in record.get("cause", {}) for name in BESIDE):
            wanted -= {"contradicts-circuit"}  # the page says that `check` works this out
        if missed := wanted - got:
            wrong.append(f"{case}: not said: {sorted(missed)}; said: {sorted(got)}")
        if more := {one["rule"] for one in found if one["kind"] == "wrong"} - rules:
            wrong.append(f"{case}: said without need: {sorted(more)}")
    assert len(spoilt) > 40
    assert not wrong, f"{len(wrong)} of {len(spoilt)}\n" + "\n".join(wrong)


def change(*where: str | int, to: Any) -> Any:
    """A change of a record: a value put at a place; None takes it out."""

    def apply(record: Record) -> None:
        holder: Any = record
        for step in where[:-1]:
            holder = holder[step]
        if to is None:
            del holder[where[-1]]
        else:
            holder[where[-1]] = to

    return apply


FUSE, SHORT, LINE = "fuse-open", "rail-short", "line-held-low"
STEPS = ("fix", "steps")
# Mistakes of newcomers: in which record, what is done, the field, what is wrong, and what mends it.
MISTAKES = {
    "no reason given": (
        FUSE,
        change("cause", "how", to=None),
        "How did it come about",
        "still empty",
        "never who",
    ),
    "no symptom": (FUSE, change("symptom", to={}), "What it shows", "still empty", "at the counter"),
    "a blank title": (
        FUSE,
        change("title", to="   "),
        "The fault in one line",
        "still empty",
        "Input fuse is open",
    ),
    "a count in words": (FUSE, change("seen", to="six"), "proved", "must be a whole number", "number: 3."),
    "half a job": (FUSE, change("seen", to=12.5), "proved", "must be a whole number", "number: 3."),
    "minutes in words": (
        FUSE,
        change("fix", "minutes", to="six"),
        "Minutes",
        "must be a number",
        "without a unit",
    ),
    "minutes below zero": (FUSE, change("fix", "minutes", to=-4), "Minutes", "at least", "Check the number"),
    "soldered with the adapter in": (
        FUSE,
        change(*STEPS, to=[{"unplug": "pack"}, {"discharge": "10 s"}, {"replace": "F1"}]),
        "Step by step, number 3",
        "power still in (adapter)",
        "Unplug everything",
    ),
    "soldered with charge left": (
        FUSE,
        change(*STEPS, 1, to=None),
        "Step by step, number 2",
        "still holds charge",
        "Discharge 10 s",
    ),
    "never dried": (
        FUSE,
        change(
            *STEPS,
            to=[
                {"unplug": "everything"},
                {"discharge": "10 s"},
                {"replace": "F1"},
                {"clean": "F1", "with": "alcohol"},
            ],
        ),
        "number 4",
        "never dried",
        "Let it dry 5 min",
    ),
    "taken off and forgotten": (FUSE, change(*STEPS, 3, to=None), "number 3", "never put on again", "Fit F1"),
    "put on and never taken off": (
        FUSE,
        change(*STEPS, 2, to=None),
        "number 3",
        "no step has taken it off",
        "Replace",
    ),
    "another part replaced": (
        FUSE,
        change(*STEPS, to=[{"unplug": "everything"}, {"discharge": "10 s"}, {"replace": ["F1", "U1"]}]),
        "number 3",
        "U1 is not at fault",
        "why this one goes, too",
    ),
    "a step that is left empty": (
        FUSE,
        change(*STEPS, 3, to={"fit": ""}),
        "number 4",
        "still empty",
        "put on",
    ),
    "reflowed and replaced": (
        FUSE,
        change("fix", "action", to="reflow"),
        "What mends it",
        "no step does that",
        "another fix",
    ),
    "a fuse that is shorted": (
        FUSE,
        change("cause", "mode", to="shorted-to-ground"),
        "How has it failed",
        "never fails like this",
        "open",
    ),
    "the wrong net": (
        LINE,
        change("cause", "at", to="FUSED"),
        "On which net",
        "J1 is not on FUSED",
        "MAIN, SDA",
    ),
    "shares that do not add up": (
        LINE,
        change("test_points", 2, "expected_reading", to={"green": 0.7, "clean": 0.2}),
        "It reads",
        "come to 90",
        "Change one",
    ),
    "a reading that cannot be": (
        FUSE,
        change("test_points", 0, "expected_reading", to="healthy"),
        "It reads",
        "By the circuit it reads absent",
        "how the part has failed",
    ),
    "stated twice": (
        FUSE,
        change("test_points", 1, "measure", to="fused-rail"),
        "What it reads, number 2",
        "stands twice",
        "Take one out",
    ),
    "a proof that proves nothing": (
        FUSE,
        change("fix", "confirm", to={"main-rail-on-pack": "healthy"}),
        "What proves it",
        "the same before the fix",
        "reads wrong with the fault",
    ),
    "a proof that is a fault": (
        FUSE,
        change("fix", "confirm", to={"fused-rail": "low"}),
        "Fused rail",
        "not what a healthy board reads",
        "marked healthy",
    ),
    "amperes for volts": (FUSE, change("worked_example", "fused-rail", to="0.02 A"), "Fused rail", "A", "V"),
    "a decimal comma": (
        FUSE,
        change("worked_example", "fused-rail", to="0,02 V"),
        "Fused rail",
        "comma",
        "0.02 V",
    ),
    "no unit": (FUSE, change("worked_example", "fused-rail", to="0.02"), "Fused rail", "no unit", "0.02 V"),
    "a case that leads elsewhere": (
        FUSE,
        change("worked_example", to={"main-rail-on-pack": "0.02 V"}),
        "Readings of one real job",
        "likely",
        "tells it from that one",
    ),
    "words that wait": (
        FUSE,
        change("cause", "how", to="TODO"),
        "How did it come about",
        "waits to be written",
        "Write it",
    ),
    "whose device": (
        FUSE,
        change("cause", "how", to="Mrs Example used a wrong adapter."),
        "How did it come about",
        "whose device",
        "never who",
    ),
    "a maker's number": (
        FUSE,
        change("summary", to="Take an AB12345."),
        "make the symptom",
        "part number",
        "QFN-28",
    ),
    "how much, without a unit": (
        LINE,
        change("cause", "ohms", to="3"),
        "How many ohms",
        "no value with its unit",
        "20 to 100 ohm",
    ),
    "a name with capitals": (FUSE, None, "Name of the file", "small letters", "fuse-blown"),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_answered_with_where_why_and_mend(mistake):
    name, apply, where, why, mend = MISTAKES[mistake]
    record = record_of(GOOD / "faults" / FAMILY / f"{name}.yaml")
    if apply:
        apply(record)
    program = _FINDINGS.replace("before: name", "before: given[0][0]").replace(
        "return benchlore.findings.findings(context, draft, whole);",
        """return benchlore.findings.findings(context, draft, whole).map((one) =>
            ({ ...one, label: benchlore.labels.place(one.where) }));""",
    )
    [found] = run(program, [[name if apply else "Fuse Blown", record]], good(), FAMILY)
    fits = [one for one in found if where in one["label"] and why in one["why"] and mend in one["mend"]]
    assert fits, found
    for one in found:
        words = f"{one['why']} {one['mend']}"
        assert not _YAML.search(words), words
        assert one["why"].endswith((".", "?"))
        assert one["mend"].endswith((".", "!")), one["mend"]


def test_the_form_of_a_record_is_judged_as_its_schema_judges_it():
    """Over every small damage to a record, as for the files that people save."""
    whole = record_of(GOOD / "faults" / FAMILY / f"{LINE}.yaml")
    whole["cause"]["variants"] = [{"mode": "leaks", "share": 0.4}, {"mode": "stuck", "share": 0.6}]
    texts = damaged(whole)
    mine = run(
        """return given.map((one) => {
            const record = benchlore.short.inFull(context, one);
            return benchlore.form.findings(benchlore.writeForm, record).length > 0;
        });""",
        texts,
        good(),
        FAMILY,
    )
    for one, found in zip(texts, mine, strict=True):
        rules = {rule for rule, _ in shape_problems("fault", "x", one)}
        cause = one.get("cause") if isinstance(one, dict) else None
        full = {"cause": short_form.cause_in_full(cause)}
        rules |= {short_form.wrong_cause(full, full)[0]} - {""}
        assert found == bool(rules - {"malformed-quantity"}), (one, rules)
    assert 20 < mine.count(False) < len(mine)


def test_what_the_page_says_it_knows_are_rules_of_check():
    known = run("return benchlore.findings.KNOWN;", None, good(), FAMILY)
    rules = {doc.id for doc in all_docs()}
    assert set(known) <= rules, set(known) - rules
    assert len(known) == len(set(known))
