"""Which tests of the circuits can run on the book in `faults/`."""

from pathlib import Path

from tests.circuit.boards import FAMILIES

FAULTS = Path(__file__).resolve().parents[2] / "faults"

# What these tests know of two families of the book can be held against no others.
if not all((FAULTS / family).is_dir() for family in FAMILIES):
    collect_ignore = ["test_boards_ngspice.py", "test_predict.py", "test_suspects.py"]
