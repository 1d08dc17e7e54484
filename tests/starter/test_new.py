"""`benchlore new`: what is typed becomes records that pass the check; it overwrites nothing."""

from __future__ import annotations

import builtins
import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.book.model import frozen_map
from benchlore.book.yaml_reader import parse
from benchlore.cli import main
from benchlore.rules import check
from benchlore.rules.steps import read_after_heat
from benchlore.starter import values
from benchlore.starter.ask_fault import _read_after
from benchlore.starter.talk import RefusedError, number, one_of
from benchlore.starter.writing import as_record
from tests.books import EXAMPLE, example

ANSWERS = Path(__file__).parent / "family.answers"
NEW = ["new", "family", "wren-desk"]
SLIPS = 8  # in the script of answers


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("new") / "shop"
    assert main(["init", str(root)]) == 0
    return root


@pytest.fixture
def shop(first: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(first, tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    return tmp_path / "shop"


@pytest.fixture(scope="module")
def made(first: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with the family of the script."""
    root = tmp_path_factory.mktemp("made") / "shop"
    shutil.copytree(first, root)
    assert main([*NEW, "--answers", str(ANSWERS), "--yes", "--root", str(root)]) == 0
    return root


def texts(root: Path) -> dict[str, str]:
    return {
        path.relative_to(root).as_posix(): path.read_text(encoding="utf-8")
        for path in root.rglob("*")
        if path.is_file()
    }


def lines() -> list[str]:
    return [line for line in ANSWERS.read_text(encoding="utf-8").split("\n")[:-1] if not line.startswith("#")]


@pytest.mark.slow
def test_family_of_the_script_passes_the_check(made):
    loaded = load_book(made)
    assert check(loaded) == ()
    family = loaded.book.families["wren-desk"]
    faults = [fault for fault in loaded.book.faults.values() if fault.family == "wren-desk"]
    counts = len(family.nets), len(family.parts), len(family.measurements), len(faults)
    assert counts == (12, 12, 15, 8)


@pytest.mark.slow
def test_slips_are_refused_at_once_and_less_is_typed_than_written(shop, capsys):
    assert main([*NEW, "--answers", str(ANSWERS), "--yes"]) == 0
    said = capsys.readouterr().out
    assert said.count("\n  No: ") == SLIPS
    found = re.search(r"(\d+) answers typed, (\d+) by Enter, (\d+) refused; (\d+) lines written", said)
    assert found
    typed, entered, refused, written = map(int, found.groups())
    assert refused == SLIPS
    assert typed + entered + refused == len(lines())
    assert typed < 0.7 * written


class Person:
    """Types the lines of the script, and leaves after so many."""

    def __init__(self, answers: list[str], leaves: int | None = None) -> None:
        self.left = answers
        self.most = leaves

    def __call__(self, _: str = "") -> str:
        if self.most == 0 or not self.left:
            raise KeyboardInterrupt
        if self.most is not None:
            self.most -= 1
        return self.left.pop(0)


@pytest.mark.slow
@pytest.mark.parametrize("visits", [[1, 40, 3], [300], [100, 400]])
def test_left_and_taken_up_again_it_writes_the_same(visits, shop, made, monkeypatch, capsys):
    answers = lines()
    before = texts(shop)
    for most in visits:
        monkeypatch.setattr(builtins, "input", Person(answers, most))
        assert main(NEW) == 130
        assert "the same command goes on there" in capsys.readouterr().out
        kept = {name: text for name, text in texts(shop).items() if not name.startswith(".new-")}
        assert kept == before
    monkeypatch.setattr(builtins, "input", Person(answers))
    assert main(NEW) == 0
    assert texts(shop) == texts(made)


@pytest.mark.slow
def test_how_the_device_is_opened_is_asked(shop, capsys):
    """A slip is refused; the package's technique is taken over; parts are named once they are known."""
    answers = lines()
    states = answers.index("nothing-connectd adapter-only") + 2
    assert answers[states] == "", "the question for the technique"
    answers[states : states + 1] = ["sealed-shel", "sealed-shell"]
    points = answers.index("J1_TIP")
    answers.insert(points, "J1")
    (shop / "a.txt").write_text("\n".join(answers) + "\n", encoding="utf-8")
    assert main([*NEW, "--answers", "a.txt", "--yes"]) == 0
    assert "'sealed-shel' is no technique of the book" in capsys.readouterr().out
    text = (shop / "faults" / "wren-desk" / "family.yaml").read_text(encoding="utf-8")
    assert "\nopening: {technique: sealed-shell, without: [J1]}\n" in text
    book = load_book(shop).book
    assert "sealed-shell" in book.techniques
    opening = book.families["wren-desk"].opening
    assert opening is not None
    assert (opening.technique, opening.without) == ("sealed-shell", ("J1",))


def test_unanswered_question_is_named(shop, capsys):
    assert main([*NEW, "--yes"]) == 2
    assert "'What is the board called?', and it has no default" in capsys.readouterr().err
    assert not (shop / "faults" / "wren-desk").exists()


@pytest.mark.parametrize(
    ("command", "says"),
    [
        (["family", "sample-board"], "is there already"),
        (["family", "Wren Desk"], "lower-case words"),
        (["fault", "sample-board", "converter-dead"], "is there already"),
        (["fault", "sample-bord", "x"], "did you mean 'sample-board'?"),
        (["measurement", "sample-board", "C1"], "did you mean"),
        (["symptom", "no-power"], "is there already"),
        (["technique", "iron-rework"], "is there already"),
    ],
)
def test_what_cannot_begin_is_refused(command, says, shop, capsys):
    before = texts(shop)
    assert main(["new", *command, "--yes"]) == 2
    assert says in capsys.readouterr().err
    assert texts(shop) == before


def test_measurement_comes_behind_the_last_one(shop, capsys):
    file = shop / "faults" / "sample-board" / "family.yaml"
    before = file.read_text(encoding="utf-8")
    (shop / "a.txt").write_text("ohms\n\nfused-ohms\n", encoding="utf-8")
    assert main(["new", "measurement", "sample-board", "F1_OUT", "--answers", "a.txt", "--yes"]) == 0
    after = file.read_text(encoding="utf-8")
    assert after.startswith(before)
    loaded = load_book(shop)
    normal = loaded.book.families["sample-board"].measurements["fused-ohms"].outcomes["normal"]
    # 18 kohm 20 % to ground, and the range that the circuit gives for it.
    assert normal.range is not None
    assert normal.range.text == "14.4 to 21.6 kohm"
    assert [one for one in check(loaded) if one.severity == "error"] == []


def test_symptom_of_the_package_is_taken_over(shop):
    assert main(["new", "symptom", "charges-slowly", "--yes"]) == 0
    book = load_book(shop).book
    shipped = load_book(EXAMPLE).book.symptoms["charges-slowly"]
    assert (book.symptoms["charges-slowly"].title, set(book.symptoms)) == (
        shipped.title,
        {"no-power", "charges-slowly"},
    )


def test_symptom_of_ones_own_is_asked_for(shop):
    (shop / "a.txt").write_text(
        "Squeaks: at night\n\nit squeaks\nmakes a noise: 'eek'\n\nquietscht\nde: quietscht\nde: pfeift\n\n\n",
        encoding="utf-8",
    )
    assert main(["new", "symptom", "squeaks", "--answers", "a.txt", "--yes"]) == 0
    loaded = load_book(shop)
    assert loaded.findings == ()
    assert loaded.book.symptoms["squeaks"].said == ("it squeaks", "makes a noise: 'eek'")
    assert dict(loaded.book.symptoms["squeaks"].said_in) == {"de": ("quietscht", "pfeift")}


def test_technique_is_asked_for_and_its_hazards_are_known(shop):
    (shop / "a.txt").write_text("Glue\nHolds it.\nHeat the glue.\n\nbrun\nburn\n\n", encoding="utf-8")
    assert main(["new", "technique", "glue-it", "--answers", "a.txt", "--yes"]) == 0
    loaded = load_book(shop)
    assert loaded.findings == ()
    assert loaded.book.techniques["glue-it"].hazard == ("burn",)


JOB = {
    "format": "benchlore-job",
    "version": 1,
    "id": "x",
    "family": "sample-board",
    "revision": "A",
    "symptoms": ["no-power"],
    "meter": "hand-held-3-half",
    "entries": [
        {"kind": "reading", "measure": "vin-volts", "meter": "hand-held-3-half", "text": "0.1 V"},
        {"kind": "reading", "measure": "vin-volts", "meter": "hand-held-3-half", "text": "0.02 V"},
        {"kind": "reading", "measure": "logic-ohms", "meter": "hand-held-3-half", "text": "1.5 kohm"},
        {"kind": "escalate"},
    ],
}


def test_job_of_the_bench_page_begins_a_record(shop, capsys):
    (shop / "job.json").write_text(json.dumps(JOB), encoding="utf-8")
    answers = [
        "J1",
        "open",
        "",
        "",
        "",
        "Nothing comes in.",
        "A pull at the cable.",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
    ]
    (shop / "a.txt").write_text("".join(f"{line}\n" for line in answers), encoding="utf-8")
    command = [
        "new",
        "fault",
        "sample-board",
        "inlet-cracked",
        "--from-job",
        "job.json",
        "--answers",
        "a.txt",
        "--yes",
    ]
    assert main(command) == 0
    loaded = load_book(shop)
    fault = loaded.book.faults["sample-board/inlet-cracked"]
    assert dict(fault.worked_example) == {"vin-volts": "0.02 V", "logic-ohms": "1.5 kohm"}
    assert dict(fault.symptom) == {"no-power": "always"}
    assert [one for one in check(loaded) if one.severity == "error"] == []


@pytest.mark.parametrize("job", ["{", "[]", '{"format": "x"}', json.dumps({**JOB, "family": "other"})])
def test_file_that_is_no_job_of_the_family_is_refused(job, shop, capsys):
    (shop / "job.json").write_text(job, encoding="utf-8")
    assert main(["new", "fault", "sample-board", "x", "--from-job", "job.json"]) == 2
    assert "job.json" in capsys.readouterr().err


REFUSED: list[tuple[Callable[[str], object], str, str]] = [
    (values.value("V"), "3,3 V", "decimal point"),
    (values.value("V"), "3.3", "add the unit"),
    (values.value("V"), "2k2", "quantity"),
    (values.value("V"), "4.7 kohm", "write it in V"),
    (values.band("ohm"), "4.7 kohm", "4.7 kohm 5%"),
    (values.band("V"), "8.4 to 8.2 V", "smaller"),
    (values.net_name(), "Main 3V3", "capitals"),
    (values.net_name(("MAIN",)), "MAIN", "there already"),
    (values.designator, "resistor 5", "designator"),
    (values.slug(), "Fuse Open", "hyphens"),
    (values.slug(), "aux", "Windows"),
    (values.slug(("x",)), "x", "there already"),
    (values.place, "24", "across and up"),
    (number, "ten", "no number"),
    (number, "-3", "above 0"),
    (number, "nan", "above 0"),
    (one_of(("adapter", "pack")), "adaptor", "did you mean 'adapter'?"),
]


@pytest.mark.parametrize(("read", "typed", "says"), REFUSED, ids=[typed for _, typed, _ in REFUSED])
def test_refusals_say_what_would_do(read, typed, says):
    with pytest.raises(RefusedError, match=re.escape(says)):
        read(typed)


@pytest.mark.parametrize("path", sorted(EXAMPLE.glob("faults/*/*.yaml")), ids=lambda path: path.stem)
def test_records_of_the_example_are_written_back_as_the_same_data(path):
    """`as_record` raises where what it wrote reads otherwise."""
    data = parse(path.read_text(encoding="utf-8"))[0]
    assert isinstance(data, dict)
    assert parse(as_record("x", data))[0] == data


def test_words_that_mean_something_in_yaml_are_written_as_words():
    data = {
        "a": "yes",
        "b": "- x",
        "c": "x: y",
        "d": "# no",
        "e": ["no", "1", {"k": "{v}, w"}],
        "f": "'x' \\ \"y\"",
        "g": "x " * 90 + "y: z",
    }
    assert parse(as_record("x", data))[0] == data


def test_a_reading_after_heat_that_has_no_healthy_outcome_yet_is_passed_over():
    """A family that is being drafted may say of a measurement only what is wrong."""
    family = next(
        f
        for f in example().families.values()
        if any(len(read_after_heat(f, part)) > 1 for part in f.parts.values())
    )
    part = next(p for p in family.parts.values() if len(read_after_heat(family, p)) > 1)
    readings = read_after_heat(family, part)

    def asked(*without: str):
        measurements = dict(family.measurements)
        for name in without:
            one = measurements[name]
            wrong = {id_: replace(o, normal=False) for id_, o in one.outcomes.items()}
            measurements[name] = replace(one, outcomes=frozen_map(wrong))
        drafted = replace(family, measurements=frozen_map(measurements))
        return [step["measure"] for step in _read_after(drafted, part.id)]

    assert asked() == [readings[0]]
    assert asked(readings[0]) == [readings[1]]
    assert asked(*readings) == []
