"""The laws against a circuit simulator, where it is installed: `ngspice -b`."""

import re
import subprocess

import pytest

from benchlore.circuit.divider import divider
from benchlore.circuit.junction import with_parallel
from benchlore.circuit.leak import find_leak
from benchlore.quantity import Quantity, parse_quantity
from tests.parts import NGSPICE

pytestmark = NGSPICE


def simulated(tmp_path, *elements: str) -> float:
    """The voltage at node `out`."""
    netlist = tmp_path / "circuit.cir"
    lines = ["a circuit", *elements, ".options temp=27 tnom=27 gmin=1e-15 reltol=1e-9 abstol=1e-15"]
    lines += [".control", "op", "print v(out)", ".endc", ".end", ""]
    netlist.write_text("\n".join(lines), encoding="utf-8")
    ran = subprocess.run(["ngspice", "-b", netlist], capture_output=True, text=True, check=False, timeout=60)
    found = re.search(r"v\(out\) = (\S+)", ran.stdout)
    assert found, ran.stdout + ran.stderr
    return float(found[1])


def test_divider_with_a_meter(tmp_path):
    found = simulated(tmp_path, "V1 in 0 12", "R1 in out 174k", "R2 out 0 100k", "RM out 0 10meg")
    assert divider(12.0, 174e3, 100e3, 10e6) == pytest.approx(found, rel=1e-6)


def test_line_with_a_leak_and_back(tmp_path):
    found = simulated(tmp_path, "V1 in 0 3.42", "RP in out 2.2k", "RL out 0 330", "RM out 0 10meg")
    reading = Quantity("", "V", found, found, found)
    supply, pull_up, meter = (parse_quantity(text) for text in ("3.42 V", "2.2 kohm", "10 Mohm"))
    leak = find_leak(supply, pull_up, reading, meter)
    assert leak.resistance.middle == pytest.approx(330, rel=1e-5)


@pytest.mark.parametrize("ohms", [470, 1000, 10_000])
def test_junction_with_a_resistance_beside_it(tmp_path, ohms):
    found = simulated(tmp_path, "I1 0 out 1m", "D1 out 0 D", f"R1 out 0 {ohms}", ".model D D(IS=1e-14)")
    bare = simulated(tmp_path, "I1 0 out 1m", "D1 out 0 D", ".model D D(IS=1e-14)")
    assert with_parallel(bare, 1e-3, ohms, 27) == pytest.approx(found, abs=2e-6)
