"""`benchlore walk`: the order of the points, and what good boards read beside the records."""

from __future__ import annotations

import pytest

from benchlore.cli import main
from tests.books import EXAMPLE
from tests.walk.good_boards import saved, walk_of

ROOT = ["--root", str(EXAMPLE)]


def test_the_order_says_hazards_set_ups_minutes_and_points(capsys):
    assert main(["walk", "siskin-12", *ROOT]) == 0
    said = capsys.readouterr().out
    assert said.startswith("CAUTION\n")
    assert "Lithium-ion pack" in said.split("Siskin 12:")[0]
    assert "Siskin 12: 26 measurements, about 40 min by common/shop.yaml" in said
    assert said.index("1. Nothing connected, discharged (2 min)") < said.index("Adapter in, pack out")


def test_differences_come_first_and_are_counted(book, tmp_path, capsys):
    family = book.families["siskin-12"]
    files = []
    for seed in (1, 2):
        walk = walk_of(book, family, lambda: 0.5, seed)
        walk["readings"].append(
            {"measure": "main-rail-adapter", "meter": walk["meter"], "text": f"8.0{seed}"}
        )
        walk["readings"].append({"measure": "gone", "meter": walk["meter"], "text": "1"})
        files.append(str(saved(tmp_path, walk)))
    assert main(["walk", "siskin-12", *files, *ROOT]) == 0
    said = capsys.readouterr().out.replace("\u00a0", " ")
    assert (
        "Siskin 12: 2 boards (board 1, board 2)\n"
        "Differ: 1. At the edge, within the meter's error: 1. As the book says: 24.\nNot read: 0.\n" in said
    )
    differs = " ".join(said.split("\nDIFFERS ")[1].split("\nagrees ")[0].split())
    assert differs.startswith("main-rail-adapter: 8.01, 8.02; healthy 8.35 to 8.45 V; 340.0 mV below it;")
    assert "spread 10.00 mV" in differs
    assert "the circuit gives 8.3" in differs
    assert "Read, but no measurement of siskin-12 any more: gone" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["siskin-21"], "did you mean 'siskin-12'?"),
        (["siskin-12", "nowhere.json"], "nowhere.json cannot be read"),
        (["teal-8", "{file}"], "is a walk of 'siskin-12', not of 'teal-8'"),
    ],
)
def test_what_cannot_be_done_is_refused(book, tmp_path, capsys, arguments, says):
    file = saved(tmp_path, walk_of(book, book.families["siskin-12"], lambda: 0.5, 1))
    assert main(["walk", *(one.format(file=file) for one in arguments), *ROOT]) == 2
    assert says in capsys.readouterr().err
