"""`benchlore leak`, `inject` and `fuse`."""

import json
from pathlib import Path

import pytest

from benchlore.cli import main
from tests.books import EXAMPLE

ROOT = str(Path(__file__).resolve().parents[1] / "rules" / "good")
OTHER = str(EXAMPLE)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_leak_by_values(capsys):
    assert main(["leak", "--supply", "3.42 V", "--pull-up", "2.2 kohm", "--reading", "0.36 V"]) == 0
    out = plain(capsys.readouterr().out)
    assert out.startswith("CAUTION\n  - Local codes and licensed practice come before anything here.\n")
    assert "Leak to ground: 259 ohm" in out
    assert "too little to be seen as heat" in out


def test_leak_by_the_net_of_the_book(capsys):
    assert main(["leak", "--root", ROOT, "--net", "wren-5/SDA", "--reading", "0.12", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    # 3.328 V by its divider, pulled up by 2.2 kohm.
    assert found["resistance"]["middle"] == pytest.approx(0.12 * 2200 / (3.328 - 0.12), rel=1e-3)
    assert found["resistance"]["low"] < found["resistance"]["middle"] < found["resistance"]["high"]
    assert found["cautions"][0].startswith("Local codes")


def test_a_healthy_line_and_its_open_leak_in_json(capsys):
    assert main(["leak", "--root", ROOT, "--net", "wren-5/SDA", "--reading", "3.33 V"]) == 0
    assert "No leak: the reading is healthy" in capsys.readouterr().out
    args = ["leak", "--supply", "3.3", "--pull-up", "2.2k", "--reading", "3.3", "--format", "json"]
    assert main(args) == 0
    assert json.loads(capsys.readouterr().out)["resistance"]["high"] is None


def test_inject(capsys):
    assert main(["inject", "--root", ROOT, "--net", "wren-5/MAIN", "--short", "0.5 ohm"]) == 0
    out = plain(capsys.readouterr().out)
    assert "  - Begin at 0.5 V and raise it slowly: " in out
    assert out.index("CAUTION") < out.index("Begin at: 0.5 V, current limit 1.0 A\n")
    assert "Never above: 3.30 V, the rail's normal voltage\n" in out
    assert "The rail then reads: 500 mV, held by the limit\n" in out


def test_fuse(capsys):
    assert main(["fuse", "--drop", "24 mV", "--resistance", "20 mohm 20%", "--rating", "3 A"]) == 0
    out = plain(capsys.readouterr().out)
    assert "Current: 1.20 A (1.00 A to 1.50 A)\n" in out
    assert "Share of the rating: 40 %\n" in out
    assert main(["fuse", "--drop", "19 V", "--resistance", "20 mohm"]) == 0
    assert "Fuse open: a whole fuse never drops as much" in capsys.readouterr().out


def test_a_track_in_squares(capsys):
    assert main(["fuse", "--drop", "10 mV", "--squares", "20"]) == 0
    # 20 squares of 0.502 mohm: about an ampere.
    assert "Current: 995 mA (" in plain(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["leak", "--reading", "1 V"], "--supply is missing"),
        (["leak", "--supply", "3.3 V", "--reading", "1 V"], "--pull-up is missing"),
        (
            ["leak", "--supply", "3.3", "--pull-up", "2.2 V", "--reading", "1"],
            "--pull-up: this is a voltage, in V; ohms belong here",
        ),
        (
            ["leak", "--supply", "3.3", "--pull-up", "2.2k", "--reading", "5"],
            "--reading: lies above the rail",
        ),
        (["leak", "--net", "wren/SDA", "--reading", "1", "--root", ROOT], "did you mean 'wren-5'?"),
        (["leak", "--net", "wren-5/SDL", "--reading", "1", "--root", ROOT], "did you mean 'SDA'?"),
        (["leak", "--net", "wren-5/VIN", "--reading", "1", "--root", ROOT], "knows no pull-up of wren-5/VIN"),
        (["leak", "--net", "wren-5", "--reading", "1", "--root", ROOT], "write --net wren-5/NET, such as"),
        (["leak", "--net", "wren-5/", "--reading", "1", "--root", ROOT], "no net is named"),
        (["leak", "--net", "siskin-12", "--reading", "1", "--root", OTHER], "such as siskin-12/"),
        (["leak", "--net", "siskin-12/QQQQ", "--reading", "1", "--root", OTHER], "such as siskin-12/"),
        (["inject", "--short", "1 ohm"], "--rail is missing"),
        (["inject", "--short", "0 ohm", "--rail", "3 V"], "--short: must be more than zero"),
        (["inject", "--net", "wren-5/SDA", "--short", "1", "--root", ROOT], "SDA is no rail"),
        (["fuse", "--drop", "1 mV", "--squares", "-1"], "--squares: write how many times"),
        (["fuse", "--drop", "-1 mV", "--resistance", "1"], "--drop: is negative; swap the leads"),
    ],
)
def test_what_cannot_be_done_is_refused_plainly(args, said, capsys):
    assert main(args) == 2
    assert said in capsys.readouterr().err
