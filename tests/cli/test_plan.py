"""`benchlore plan`: a tree that adds up, beside fixing without measuring."""

import json
import shutil

import jsonschema
import pytest

from benchlore.book.schemas import schema
from benchlore.cli import main
from tests.rules.fixtures import GOOD

ROOT = ["--root", str(GOOD)]


@pytest.fixture
def found(capsys):
    assert main(["plan", "wren-5", "dead-on-adapter", *ROOT, "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_the_answer_keeps_to_its_schema(found):
    jsonschema.Draft202012Validator(schema("plan")).validate(found)


def test_the_plan_costs_less_than_fixing_by_guess(found):
    assert 0 < found["expected_minutes"] < found["without_measuring"]["expected_minutes"]
    assert found["expected_minutes"] == found["tree"]["expected_minutes"]


def test_every_step_adds_up(found):
    """Expected minutes of a step are its own, and those of what follows by its probability."""

    def add_up(step):
        expected = step["minutes"]
        if step["kind"] == "measure":
            assert sum(branch["probability"] for branch in step["branches"]) == pytest.approx(1)
            for branch in step["branches"]:
                assert branch["then"]["reach"] == pytest.approx(step["reach"] * branch["probability"])
                expected += branch["probability"] * add_up(branch["then"])
        elif step["kind"] == "fix":
            expected += (1 - step["success"]) * add_up(step["failed"])
        assert step["expected_minutes"] == pytest.approx(expected)
        return expected

    add_up(found["tree"])


def test_text_tells_the_same(found, capsys):
    assert main(["plan", "wren-5", "dead-on-adapter", *ROOT]) == 0
    out = capsys.readouterr().out
    assert out.startswith("CAUTION\n")
    assert f"By this plan:      {found['expected_minutes']:.0f} min expected" in out
    assert f"Without measuring: {found['without_measuring']['expected_minutes']:.0f} min expected" in out
    assert f"[100.0 %] measure {found['tree']['id']}" in out
    assert "fix wren-5/fuse-open" in out
    assert "fix wren-5/rail-short" in out


@pytest.mark.parametrize(
    "asked", [("plan", "wren-5", "dead-on-adapter"), ("rank", "wren-5", "--symptom", "dead-on-adapter")]
)
def test_the_hazards_of_the_symptom_itself_are_said(tmp_path, capsys, asked):
    """No step of the way brings solvent; the symptom does."""
    shutil.copytree(GOOD, tmp_path / "book")
    path = tmp_path / "book/faults/common/symptoms.yaml"
    title = "  title: Does not run from the adapter\n"
    path.write_text(path.read_text().replace(title, title + "  hazard: [solvent]\n"))
    for root, said in [(GOOD, False), (tmp_path / "book", True)]:
        assert main([*asked, "--root", str(root)]) == 0
        assert (": Cleaning solvent." in capsys.readouterr().out) == said


def test_a_plan_from_what_was_read_goes_on_from_there(capsys):
    args = ["plan", "wren-5", "dead-on-adapter", *ROOT, "--reading", "fused-rail=5.0 V", "--format", "json"]
    assert main(args) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(schema("plan")).validate(found)
    assert found["readings"] == {"fused-rail": "5.0 V"}
    assert found["contradictions"] == []
    assert found["tree"]["id"] != "fused-rail"
    assert found["tree"]["reach"] == pytest.approx(1)


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["wren-6", "no-picture"], "'wren-6' is not a family; did you mean 'wren-5'?"),
        (["wren-5", "no-pictur"], "'no-pictur' is not a symptom; did you mean 'no-picture'?"),
        (["wren-5", "no-picture", "--revision", "C"], "wren-5 has no revision 'C'; use one of A, B"),
        (["wren-5", "no-picture", "--meter", "x"], "'x' is not a meter; use one of"),
    ],
)
def test_refusals_name_the_mend(capsys, args, said):
    assert main(["plan", *args, *ROOT]) == 2
    assert capsys.readouterr().err.startswith(f"benchlore: {said}")
