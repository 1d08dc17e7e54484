"""A family started from walks over two good boards: what was read stands ready as its healthy ranges."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from benchlore.book import load_book
from benchlore.cli import main
from benchlore.quantity import parse_quantity
from benchlore.rules import check

POINTS = (
    ("p1", "VIN", "J1_TIP", "ohms", "nothing-connected", "middle contact of the inlet"),
    ("p2", "MAIN_5V", "C5", "ohms", "nothing-connected", "upper end of the capacitor beside the choke"),
    ("p3", "VIN", "J1_TIP", "dc-volts", "adapter-only", "middle contact of the inlet"),
    ("p4", "MAIN_5V", "C5", "dc-volts", "adapter-only", "upper end of the capacitor beside the choke"),
)
READ = (
    {"p1": "22.1k", "p2": "1.52k", "p3": "19.1", "p4": "5.02"},
    {"p1": "23.0k", "p2": "1.60k", "p3": "19.2", "p4": "4.99"},
)
# Enter wherever the walk knows the answer; behind the last line it is Enter to the end.
ANSWERS = "\n".join(
    (
        *("", "", "An invented board with one rail.", "", "The letter A beside the inlet.", "", "", "60 40"),
        *("Inlet", "", "4 20", "8 8", ""),
        *("", "The adapter's voltage.", "adapter", "", "", "J1", "", "", ""),
        *("", "Five volts for all.", "VIN", "converter", "", "U1", "", "", ""),
        "",
        *("", "", "", "", "", "0.8"),
        *("", "", "", "", "", "1.2"),
        "",
        *("", "", "", "4 20", ""),
        *("", "", "", "30 20", ""),
        "",
    )
)


def walk(n: int, **more: Any) -> dict[str, Any]:
    points = [dict(zip(("id", "net", "at", "mode", "state", "where"), one, strict=True)) for one in POINTS]
    readings = [{"measure": p, "meter": "hand-held-3-half", "text": text} for p, text in READ[n].items()]
    return {
        "format": "benchlore-walk",
        "version": 1,
        "id": f"w{n}",
        "title": "Plover 3 (invented)",
        "family": "",
        "revision": "",
        "meter": "hand-held-3-half",
        "points": points,
        "readings": readings,
        **more,
    }


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    assert main(["init", str(tmp_path / "shop")]) == 0
    return tmp_path / "shop"


def saved(folder: Path, *walks: dict[str, Any]) -> list[str]:
    paths = [folder / f"walk-{n}.json" for n in range(len(walks))]
    for path, one in zip(paths, walks, strict=True):
        path.write_text(json.dumps(one), encoding="utf-8")
    return [str(path) for path in paths]


def new(shop: Path, files: list[str], answers: str) -> int:
    script = shop / "answers.txt"
    script.write_text(answers, encoding="utf-8")
    options = ["--root", str(shop), "--answers", str(script), "--yes"]
    return main(["new", "family", "plover-3", "--from-walk", *files, *options])


@pytest.mark.slow
def test_two_walks_become_the_healthy_ranges_of_a_new_family(shop, tmp_path, capsys):
    assert new(shop, saved(tmp_path, walk(0), walk(1)), ANSWERS) == 0
    said = capsys.readouterr().out
    loaded = load_book(shop)
    assert [one for one in check(loaded) if one.severity == "error"] == []
    family = loaded.book.families["plover-3"]
    assert family.title == "Plover 3 (invented)"
    assert {(m.net, m.mode) for m in family.measurements.values()} == {(p[1], p[3]) for p in POINTS}
    for m in family.measurements.values():
        (point,) = (p[0] for p in POINTS if (p[1], p[3]) == (m.net, m.mode))
        healthy = m.outcomes["normal"].range
        read = [parse_quantity(f"{texts[point]} V".replace("k V", " kohm")).middle for texts in READ]
        assert healthy is not None
        assert healthy.low < min(read) <= max(read) < healthy.high
        assert healthy.high - healthy.low < 0.7 * max(read)
    assert "The walk: read 5.02, 4.99; meter +-55 mV; spread 30 mV" in said
    nominal = family.nets["MAIN_5V"].nominal
    assert nominal is not None
    assert nominal.middle == pytest.approx(5.0, abs=0.02)


@pytest.mark.slow
def test_one_walk_says_that_its_spread_is_not_known(shop, tmp_path, capsys):
    assert new(shop, saved(tmp_path, walk(0)), ANSWERS) == 0
    assert "one board alone: its spread is not known" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("walks", "says"),
    [
        ([{"family": "sample-board"}], "is a walk of 'sample-board', which has records"),
        ([{}, {"points": []}], ""),
        (
            [{"readings": [{"measure": "p1", "meter": "hand-held-3-half", "text": "1.2.3"}]}],
            "walk-0.json: p1:",
        ),
        ([{"version": 2}], "was saved in form 2"),
    ],
)
def test_walks_that_give_no_family_are_refused(shop, tmp_path, capsys, walks, says):
    made = [walk(0, **one) for one in walks]
    if says:
        assert new(shop, saved(tmp_path, *made), "") == 2
        assert says in capsys.readouterr().err
        assert not (shop / "faults" / "plover-3").exists()


def test_other_points_in_the_second_walk_are_refused(shop, tmp_path, capsys):
    other = walk(1)
    other["points"][0]["net"] = "ELSEWHERE"
    assert new(shop, saved(tmp_path, walk(0), other), "") == 2
    said = capsys.readouterr().err
    assert "point p1 is another one than in" in said
    assert "Next board" in said
