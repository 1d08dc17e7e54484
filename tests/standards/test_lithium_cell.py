"""One lithium-ion cell, from cell data sheets."""

from benchlore.circuit.cell import CUT_OFF, FULL, NOMINAL


def test_h8_cell():
    """Cell data sheets (second-hand): 4.2 V full, 2.5 to 3.0 V cut-off, 3.6 to 3.8 V nominal."""
    assert FULL == 4.2
    assert CUT_OFF == (2.5, 3.0)
    assert NOMINAL == (3.6, 3.8)
    assert CUT_OFF[1] < NOMINAL[0] < NOMINAL[1] < FULL
