"""What a fault pattern writes shorter, and what it leaves to its steps and its family."""

from __future__ import annotations

import shutil

import pytest
import yaml

from benchlore.book import load_book
from benchlore.book.short import in_full, shortened
from benchlore.book.yaml_reader import parse
from benchlore.findings import Finding
from benchlore.rules import check
from tests.books import GOOD, ROOT

FUSE = "faults/wren-5/fuse-open.yaml"


@pytest.fixture
def root(tmp_path):
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    return tmp_path


def edit(root, file, before, after):
    path = root / file
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")


def found(root) -> list[tuple[str, int, str]]:
    findings: tuple[Finding, ...] = load_book(root).findings
    return [(one.file, one.line, one.rule) for one in findings]


def held(root) -> list[str]:
    fix = load_book(root).book.faults["wren-5/fuse-open"].fix
    return [step.discharge.text for step in fix.steps if step.discharge]


def steps(root, fault):
    return [(s.verb.id if s.verb else "", s.say) for s in load_book(root).book.faults[fault].fix.steps]


def test_a_reading_beside_the_name_of_its_measurement_is_the_same_as_written_out(root):
    long = load_book(root).book.faults["wren-5/fuse-open"]
    edit(root, FUSE, "  - measure: fused-rail\n    expected_reading: absent", "  - fused-rail: absent")
    short = load_book(root).book.faults["wren-5/fuse-open"]
    assert found(root) == []
    assert [(e.measure, e.expected_reading, e.note) for e in short.test_points] == [
        (e.measure, e.expected_reading, e.note) for e in long.test_points
    ]


@pytest.mark.parametrize(
    "entry", ["{fused-rail: absent, main-rail: normal}", "{note: It stays dead.}", "{Fused: absent}", "{}"]
)
def test_an_entry_names_one_measurement(root, entry):
    long = "  - measure: fused-rail\n    expected_reading: absent\n    note: The fuse carries nothing."
    edit(root, FUSE, long, f"  - {entry}")
    line = 1 + (root / FUSE).read_text(encoding="utf-8").split("\n").index(f"  - {entry}")
    assert {(file, at) for file, at, _ in found(root)} == {(FUSE, line)}


def cause(root):
    one = load_book(root).book.faults["wren-5/fuse-open"].cause
    return one.part, one.mode, [(way.part, way.mode, way.share) for way in one.variants], one.how


def test_how_a_part_has_failed_stands_beside_its_designator(root):
    part, mode, ways, how = cause(root)
    assert (part, mode, ways) == ("F1", "open", [])
    edit(root, FUSE, "  part: F1\n  mode: open\n", "  F1: open\n")
    assert (found(root), cause(root)) == ([], (part, mode, ways, how))
    edit(root, FUSE, "  F1: open\n", "  F1: {open: 0.8, loose: 0.2}\n")
    assert found(root) == []
    assert cause(root) == ("F1", None, [("F1", "open", 0.8), ("F1", "loose", 0.2)], how)


@pytest.mark.parametrize(
    "full",
    [
        {"part": "F1", "mode": "open", "how": "A surge."},
        {"part": "F1", "variants": [{"mode": "open", "share": 0.8}, {"mode": "loose", "share": 0.2}]},
    ],
)
def test_a_cause_is_written_short_and_comes_back(full):
    short = shortened({"cause": full}, {})["cause"]
    assert next(iter(short)) == "F1"
    assert not {"part", "mode", "variants"} & short.keys()
    assert in_full({"cause": short}) == {"cause": full}


@pytest.mark.parametrize(
    "full",
    [
        {"part": "F1", "how": "Nobody knows."},
        {
            "part": "C1",
            "variants": [{"mode": "leaks", "share": 0.5, "ohms": "9 ohm"}, {"mode": "open", "share": 0.5}],
        },
        {"part": "C1", "variants": [{"mode": "leaks", "share": 0.5}, {"mode": "leaks", "share": 0.5}]},
        {
            "part": "C1",
            "mode": "open",
            "variants": [{"mode": "leaks", "share": 0.5}, {"mode": "open", "share": 0.5}],
        },
    ],
)
def test_a_cause_that_says_more_stays_as_it_is(full):
    assert shortened({"cause": full}, {})["cause"] == full


@pytest.mark.parametrize(
    ("line", "rule", "says"),
    [
        ("  F1: opne", "wrong-value", "'opne' is not allowed here"),
        ("  F1: {open: 0.8, loose: 1.2}", "wrong-value", "1.2 does not fit"),
        ("  F1: {open: 0.8, lose: 0.2}", "wrong-value", "'lose' is not allowed here"),
        ("  fuse: open", "unknown-field", "'fuse' is not a field here"),
        ("  F1: open\n  U1: open", "missing-field", "'F1' and 'U1' name a part at fault"),
        ("  part: U1\n  F1: open", "missing-field", "'part' and 'F1' name a part at fault"),
        ("  mode: open", "missing-field", "the part at fault is missing"),
        ("  U1: loose\n  mode: open", "wrong-value", "how U1 has failed is said twice"),
        (
            "  C1: leaks\n  variants: [{mode: open, share: 0.5}, {mode: leaks, share: 0.5}]",
            "wrong-value",
            "how C1 has failed is said twice",
        ),
    ],
)
def test_a_slip_in_a_cause_is_found_where_it_stands(root, line, rule, says):
    edit(root, FUSE, "  part: F1\n  mode: open\n", f"{line}\n")
    (one,) = load_book(root).findings
    assert (one.rule, says in one.message) == (rule, True)
    near = ("cause:", *line.split("\n"))
    assert one.excerpt.rstrip() in near


def test_what_a_rule_says_of_a_short_cause_stands_at_its_line(root):
    edit(root, FUSE, "  part: F1\n  mode: open\n", "  F9: {leaks: 0.5, open: 0.4}\n")
    line = 1 + (root / FUSE).read_text(encoding="utf-8").split("\n").index("  F9: {leaks: 0.5, open: 0.4}")
    said = {one.rule: (one.line, one.column) for one in check(load_book(root)) if one.file == FUSE}
    assert said["unknown-part"] == (line, 3)
    assert said["shares-not-one"] == (line, 26)
    edit(root, FUSE, "  F9: {leaks: 0.5, open: 0.4}\n", "  F1: leaks\n")
    said = {one.rule: (one.line, one.column) for one in check(load_book(root)) if one.file == FUSE}
    assert said["impossible-mode"] == (line, 7)


@pytest.mark.parametrize(
    ("line", "says", "mend"),
    [
        ("  F1: {open: 1}", "one way alone", "write 'F1: open'"),
        ("  f1: open", "'f1' is not a field here", "did you mean 'F1'?"),
        ("  F1:", "nothing stands behind 'F1:'", "write its value; this field holds: The part at fault, "),
        ("  F1: [open]", '["open"] is not a text or', "this field holds: The part at fault, "),
    ],
)
def test_a_slip_beside_a_designator_says_how_it_is_mended(root, line, says, mend):
    edit(root, FUSE, "  part: F1\n  mode: open\n", f"{line}\n")
    (one,) = load_book(root).findings
    assert says in one.message
    assert one.mend.startswith(mend)


def test_a_cause_that_is_like_another_one_may_name_another_part(root):
    edit(root, FUSE, "  part: F1\n  mode: open\n", "  F1: {open: 0.8, loose: 0.2}\n")
    text = "like: wren-5/fuse-open\ntitle: Converter is dead\ncause:\n  U1: open\n"
    (root / "faults/wren-5/converter-like.yaml").write_text(text, encoding="utf-8")
    one = load_book(root).book.faults["wren-5/converter-like"].cause
    assert (one.part, one.mode, one.variants) == ("U1", "open", ())


def test_a_cause_that_is_like_another_one_says_once_how_its_part_has_failed(root):
    like = "like: wren-5/fuse-open\ntitle: Regulator loose\ncause:\n  U1: loose\n  mode: open\n"
    (root / "faults/wren-5/u1-loose.yaml").write_text(like, encoding="utf-8")
    (one,) = load_book(root).findings
    assert (one.file, one.line, one.rule) == ("faults/wren-5/u1-loose.yaml", 3, "wrong-value")
    assert (one.message, one.mend) == ("how U1 has failed is said twice", "keep one of them")


def test_a_proof_may_name_its_measurements_alone(root):
    long = load_book(root).book.faults["wren-5/fuse-open"]
    edit(root, FUSE, "  confirm: {fused-rail: healthy}", "  confirm: [fused-rail]")
    short = load_book(root).book.faults["wren-5/fuse-open"]
    assert found(root) == []
    assert short.fix.confirm == long.fix.confirm == {"fused-rail": "healthy"}
    data = {
        "cause": {"part": "F1"},
        "fix": {"steps": [{"replace": "F1"}], "confirm": {"fused-rail": "healthy"}},
    }
    assert shortened(data, {"fused-rail": "healthy"})["fix"]["confirm"] == ["fused-rail"]
    assert shortened(data, {"fused-rail": "normal"})["fix"]["confirm"] == {"fused-rail": "healthy"}


@pytest.mark.parametrize("proof", ["[]", "[fused-rail, fused-rail]", "fused-rail", "[{fused-rail: healthy}]"])
def test_a_proof_is_a_list_of_names_or_names_with_outcomes(root, proof):
    edit(root, FUSE, "  confirm: {fused-rail: healthy}", f"  confirm: {proof}")
    line = 1 + (root / FUSE).read_text(encoding="utf-8").split("\n").index(f"  confirm: {proof}")
    assert {(file, at) for file, at, _ in found(root)} == {(FUSE, line)}


def test_a_name_in_a_proof_that_leads_nowhere_is_found_where_it_stands(root):
    edit(root, FUSE, "  confirm: {fused-rail: healthy}", "  confirm: [main-rail, fuse-rail]")
    one = next(one for one in check(load_book(root)) if one.rule == "unknown-measurement")
    assert (one.excerpt[one.column - 1 :], one.mend) == ("fuse-rail]", "did you mean 'fused-rail'?")
    assert not [one for one in check(load_book(root)) if one.rule == "unknown-outcome"]


def test_the_action_is_what_is_done_to_the_part_at_fault_last():
    fix = {"steps": ["Look.", {"replace": "F1"}, {"clean": "J1", "with": "alcohol"}], "minutes": 1}
    fault = {"cause": {"part": "F1"}, "fix": fix}
    assert in_full(fault)["fix"]["action"] == "replace"
    assert in_full({**fault, "cause": {"part": "Q9"}})["fix"]["action"] == "clean"
    some = {"steps": [{"reflow": "F1"}, {"replace": "F1", "if": "it still moves"}]}
    assert in_full({**fault, "fix": some})["fix"]["action"] == "reflow"
    assert in_full({**fault, "fix": {"steps": some["steps"][1:]}})["fix"]["action"] == "replace"
    assert in_full({**fault, "fix": {**fix, "action": "jumper"}})["fix"]["action"] == "jumper"
    off = {"steps": [{"remove": "F1"}], "minutes": 1}
    assert in_full({**fault, "fix": off})["fix"]["action"] == "replace"
    use = {"steps": [{"fit": [{"part": "F1", "value": "2 A"}]}, {"unplug": "J1"}, {"plug": "J1"}]}
    assert in_full({**fault, "fix": use})["fix"]["action"] == "replace"


def test_a_fix_whose_steps_say_no_action_states_it(root):
    text = (root / FUSE).read_text(encoding="utf-8")
    head, _, _ = text.partition("  steps:")
    tail = text[text.index("  confirm:") :]
    (root / FUSE).write_text(f"{head}  steps:\n    - Wait for it.\n{tail}", encoding="utf-8")
    edit(root, FUSE, "  action: replace\n", "")
    line = 1 + head.split("\n").index("fix:")
    assert found(root) == [(FUSE, line, "missing-field")]


def test_a_fix_without_power_begins_as_its_family_says(root):
    opening = "    - unplug: everything\n    - discharge: 10 s\n"
    before = steps(root, "wren-5/fuse-open")
    edit(root, FUSE, opening, "")
    assert steps(root, "wren-5/fuse-open") == before[2:]  # not where the family does not say how long
    edit(root, "faults/wren-5/family.yaml", "\nboard:", "\ndischarge: 10 s\nboard:")
    assert steps(root, "wren-5/fuse-open") == before
    # Whoever says when everything is unplugged says where the work begins; the charge goes there.
    edit(root, FUSE, "  steps:\n", "  steps:\n    - look: F1\n    - unplug: everything\n")
    verbs = ["look", "unplug", "discharge", *(verb for verb, _ in before[2:])]
    assert [verb for verb, _ in steps(root, "wren-5/fuse-open")] == verbs
    assert held(root) == ["10 s"]
    edit(root, FUSE, "    - unplug: everything\n", "    - unplug: everything\n    - discharge: 20 s\n")
    assert [verb for verb, _ in steps(root, "wren-5/fuse-open")] == verbs
    assert held(root) == ["20 s"]
    edit(
        root,
        FUSE,
        "    - unplug: everything\n    - discharge: 20 s\n",
        "    - unplug: adapter\n    - unplug: pack\n    - discharge: 30 s\n",
    )
    assert held(root) == ["30 s"]


def test_what_is_unplugged_on_a_condition_opens_no_work(root):
    opening = "    - unplug: everything\n    - discharge: 10 s\n"
    edit(root, "faults/wren-5/family.yaml", "\nboard:", "\ndischarge: 10 s\nboard:")
    edit(root, FUSE, opening, "    - {unplug: everything, if: the case is open}\n")
    fix = load_book(root).book.faults["wren-5/fuse-open"].fix
    begun = [(step.verb.id if step.verb else "", step.if_) for step in fix.steps[:4]]
    on = "the case is open"
    assert begun == [("unplug", ""), ("discharge", ""), ("unplug", on), ("discharge", on)]
    # A key that is held on a condition lets no charge out without it.
    edit(root, FUSE, "if: the case is open}\n", "if: the case is open}\n    - discharge: 20 s\n")
    assert held(root) == ["20 s"]
    edit(root, FUSE, "    - {unplug: everything, if: the case is open}\n", "    - unplug: everything\n")
    edit(root, FUSE, "    - discharge: 20 s\n", "    - {discharge: 20 s, if: the case is open}\n")
    assert held(root) == ["10 s", "20 s"]


def test_a_proof_that_may_read_two_normal_outcomes_says_which(root):
    edit(root, FUSE, "  confirm: {fused-rail: healthy}", "  confirm: [fused-rail]")
    family = root / "faults/wren-5/family.yaml"
    data = yaml.safe_load(family.read_text(encoding="utf-8"))
    outcomes = data["measurements"]["fused-rail"]["outcomes"]
    second = next(name for name, one in outcomes.items() if not one.get("normal"))
    outcomes[second]["normal"] = True
    family.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    one = next(one for one in check(load_book(root)) if one.rule == "confirm-not-normal")
    assert one.file == FUSE
    assert one.message == "'fused-rail' has 2 normal outcomes, and the proof does not say which"
    assert one.mend.startswith("write 'fused-rail: ")
    # So what is written for a family with two says which, too.
    measured = load_book(root).book.families["wren-5"].measurements["fused-rail"]
    assert (len(measured.normal), measured.proves) == (2, "")


def test_what_lacks_before_work_is_said_with_the_time_of_the_family(root):
    edit(root, "faults/wren-5/family.yaml", "\nboard:", "\ndischarge: 2 min\nboard:")
    edit(
        root,
        FUSE,
        "    - unplug: everything\n    - discharge: 10 s\n",
        "    - remove: F1\n    - discharge: 2 min\n",
    )
    mends = [one.mend for one in check(load_book(root)) if one.rule == "work-under-power"]
    assert mends[:1] == ["put 'unplug: everything' and 'discharge: 2 min' before it"]


def test_work_that_needs_no_board_without_power_is_not_opened(root):
    edit(root, "faults/wren-5/family.yaml", "\nboard:", "\ndischarge: 10 s\nboard:")
    text = (root / FUSE).read_text(encoding="utf-8")
    head, _, _ = text.partition("  steps:")
    tail = text[text.index("  confirm:") :]
    (root / FUSE).write_text(f"{head}  steps:\n    - Turn it off and on.\n{tail}", encoding="utf-8")
    assert steps(root, "wren-5/fuse-open") == [("", "Turn it off and on.")]


@pytest.mark.parametrize("words", ["Bridge both pads with the iron.", "Wipe it with alcohol."])
def test_words_of_heat_and_of_solvent_take_power_out_too(root, words):
    edit(root, "faults/wren-5/family.yaml", "\nboard:", "\ndischarge: 10 s\nboard:")
    text = (root / FUSE).read_text(encoding="utf-8")
    head, _, _ = text.partition("  steps:")
    tail = text[text.index("  confirm:") :]
    (root / FUSE).write_text(f"{head}  steps:\n    - {words}\n{tail}", encoding="utf-8")
    assert steps(root, "wren-5/fuse-open") == [("unplug", ""), ("discharge", ""), ("", words)]


@pytest.mark.shipped
def test_what_the_book_writes_shorter_comes_back():
    for path in sorted((ROOT / "faults").glob("*/*.yaml")):
        data = parse(path.read_text(encoding="utf-8"))[0]
        if isinstance(data, dict) and "cause" in data and "like" not in data:
            assert in_full(shortened(in_full(data), {})) == in_full(data), path
