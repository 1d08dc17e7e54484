"""Which tests of the circuits can run on the book in `faults/`."""

from pathlib import Path

BOARDS = Path(__file__).parent / "boards"
FAULTS = Path(__file__).resolve().parents[2] / "faults"

# The circuits in `boards/` are those of two families of the book, written out. Where the book has other
# families there is nothing to hold them against.
if not all((FAULTS / board.stem).is_dir() for board in BOARDS.glob("*.yaml")):
    collect_ignore = ["test_boards_ngspice.py", "test_predict.py", "test_suspects.py"]
