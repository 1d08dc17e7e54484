"""`benchlore rank`: its answer, its refusals, and what it says when nothing in the book explains them."""

import json
import shutil

import jsonschema
import pytest

from benchlore.book.schemas import schema
from benchlore.cli import main
from tests.books import EXAMPLE
from tests.rules.fixtures import GOOD

OTHER = str(EXAMPLE)
DEAD = ["rank", "wren-5", "--root", str(GOOD), "--symptom", "dead-on-adapter"]


def shown(capsys, *args):
    assert main([*args]) == 0
    return capsys.readouterr().out


def answer(capsys, *args):
    found = json.loads(shown(capsys, *args, "--format", "json"))
    jsonschema.Draft202012Validator(schema("rank")).validate(found)
    assert sum(fault["probability"] for fault in found["faults"]) + found["not_in_book"] == pytest.approx(1)
    return found


def refused(capsys, *args):
    assert main([*args]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    return said.err.removeprefix("benchlore: ").strip()


def test_readings_single_out_the_fuse(capsys):
    found = answer(capsys, *DEAD, "--reading", "fused-rail=0.02 V", "main-rail-on-pack=3,31")
    first = found["faults"][0]
    assert first["id"] == "wren-5/fuse-open"
    assert first["probability"] > 0.9
    assert found["explained"]
    assert found["clashes"] == []
    assert [one["measurement"] for one in found["readings"]] == ["fused-rail", "main-rail-on-pack"]
    assert found["readings"][1]["value"] == 3.31
    # Rectangular limits of the tiny book's meter at 3.31 V: (0.5 % of reading + 3 x 10 mV) / sqrt(3).
    assert found["readings"][1]["standard_uncertainty"] == pytest.approx(
        (3.31 * 0.005 + 0.03) / 3**0.5, rel=1e-9
    )
    assert sum(found["readings"][1]["outcomes"].values()) == pytest.approx(1)


def test_next_actions_come_cheapest_first_with_their_hazards(capsys):
    found = answer(capsys, *DEAD)
    expected = [action["expected_minutes"] for action in found["next"]]
    assert expected == pytest.approx(sorted(expected))
    escalate = next(action for action in found["next"] if action["kind"] == "escalate")
    assert escalate["id"] is None
    assert escalate["hazards"] == []
    fix = next(action for action in found["next"] if action["kind"] == "fix")
    assert fix["hazards"][0] == "lithium-pack"


def test_text_puts_the_cautions_first(capsys):
    out = shown(capsys, *DEAD, "--reading", "fused-rail=0.02 V")
    assert out.startswith("CAUTION\n  - Local codes and licensed practice come before anything here.\n")
    assert "Wren 5, any revision, read with: " in out
    assert "Input fuse open (wren-5/fuse-open)" in out
    assert "something else" in out
    assert "What to do next" in out


def test_a_reading_that_the_meter_cannot_decide(capsys):
    out = " ".join(shown(capsys, *DEAD, "--reading", "sda-level=0.80").split())
    assert "lies between low and held; with 0.5 % + 3 counts either is possible; use a better meter" in out


def test_nothing_in_the_book_explains_what_no_fault_reads(capsys):
    args = [
        *DEAD,
        "--reading",
        "fused-rail=5.0",
        "main-junction=OL",
        "main-rail=3.3",
        "main-rail-on-pack=2.2",
    ]
    found = answer(capsys, *args)
    assert not found["explained"]
    assert found["not_in_book"] > 0.5
    assert found["clashes"]
    out = shown(capsys, *args)
    assert "Nothing in the book explains this" in out
    for clash in found["clashes"]:
        assert f"- {clash} clashes with the likeliest fault" in out


SHORTED = ["rank", "siskin-12", "--root", OTHER, "--symptom", "no-power", "--reading"]


def test_two_entries_that_contradict_each_other_come_before_anything_else(capsys):
    args = [*SHORTED, "main-rail-pack=8.40 V", "main-rail-ohms=0.4"]
    found = answer(capsys, *args)
    (one,) = found["contradictions"]
    assert one["readings"] == ["main-rail-pack", "main-rail-ohms"]
    assert one["measure_again"] == ["main-rail-ohms"], "with the short, power is barred"
    assert found["next"][0]["id"] == "main-rail-ohms"
    out = " ".join(shown(capsys, *args).split())
    assert "Two entries contradict each other: main-rail-pack=8.40 V and main-rail-ohms=0.4." in out
    assert "Measure main-rail-ohms again before anything else." in out


def test_the_second_reading_of_a_measurement_stands(capsys):
    found = answer(capsys, *SHORTED, "main-rail-ohms=0.4", "main-rail-pack=8.40 V", "main-rail-ohms=22k")
    assert found["contradictions"] == []
    assert [one["measurement"] for one in found["readings"]] == ["main-rail-pack", "main-rail-ohms"]


def test_over_range_and_named_outcomes_have_no_value(capsys):
    found = answer(capsys, *DEAD, "--reading", "main-junction=OL", "socket-look=green")
    over, seen = found["readings"]
    assert over["over_range"]
    assert over["value"] is None
    assert seen["outcome"] == "green"
    assert seen["unit"] is None
    assert seen["standard_uncertainty"] is None


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["wren-6", "--symptom", "no-picture"], "'wren-6' is not a family; did you mean 'wren-5'?"),
        (["wren-5", "--symptom", "no-pictur"], "'no-pictur' is not a symptom; did you mean 'no-picture'?"),
        (
            ["wren-5", "--symptom", "no-picture", "--revision", "C"],
            "wren-5 has no revision 'C'; use one of A, B",
        ),
        (
            ["wren-5", "--symptom", "no-picture", "--meter", "handhel"],
            "'handhel' is not a meter; did you mean 'handheld'?",
        ),
        (
            ["wren-5", "--symptom", "no-picture", "--reading", "sda-levl=1"],
            "'sda-levl' is not a measurement of wren-5; did you mean 'sda-level'?",
        ),
        (
            ["wren-5", "--symptom", "no-picture", "--reading", "sda-level=3 A"],
            "--reading sda-level: this is a current, in A; volts belong here; check the dial, or type a "
            "value, such as 3.05 V",
        ),
        (
            ["wren-5", "--symptom", "no-picture", "--reading", "sda-level"],
            "--reading: 'sda-level' is not a measurement with its reading; "
            "write it as MEASUREMENT=VALUE, in quotes where it holds a blank",
        ),
        (
            ["wren-5", "--symptom", "no-picture", "--reading", "sda-level=1", "V"],
            "--reading: 'V' is not a measurement with its reading; "
            "write it as MEASUREMENT=VALUE, in quotes where it holds a blank",
        ),
    ],
)
def test_refusals_name_the_mend(capsys, args, said):
    assert refused(capsys, "rank", *args, "--root", str(GOOD)) == said


@pytest.mark.parametrize("typed", ["", "1 2", "-", "1e99", "nan", "NaN V", "99999", "=", "\x00", "½"])
def test_whatever_is_typed_is_read_or_refused_with_a_mend(capsys, typed):
    assert "; " in refused(capsys, *DEAD, "--reading", f"main-rail={typed}")


def test_records_that_cannot_be_read_are_named(capsys, tmp_path):
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    record = tmp_path / "faults" / "wren-5" / "fuse-open.yaml"
    record.write_text("title: [\n", encoding="utf-8")
    assert main(["rank", "wren-5", "--root", str(tmp_path), "--symptom", "dead-on-adapter"]) == 0
    assert "faults/wren-5/fuse-open.yaml" in capsys.readouterr().err


def test_the_charger_that_was_never_commanded(capsys):
    args = ["rank", "siskin-12", "--root", OTHER, "--symptom", "pack-not-seen"]
    readings = ["main-rail-adapter=7.92", "main-rail-pen-bay-unplugged=8.41", "pack-data-junction=.004"]
    found = answer(capsys, *args, "--reading", *readings)
    assert found["faults"][0]["id"] == "siskin-12/pen-bay-holds-pack-data-low"
    assert found["faults"][0]["probability"] > 0.9


def test_without_a_symptom_it_says_what_to_measure(capsys):
    found = answer(capsys, "rank", "siskin-12", "--root", OTHER)
    assert found["symptoms"] == []
    assert found["next"][0]["kind"] == "measure"
    assert "Shows:" not in shown(capsys, "rank", "siskin-12", "--root", OTHER)
