"""JESD8C.01 (3.3 V logic) and JESD8-7A (1.8 V logic)."""

import pytest

from benchlore.circuit.bus import levels
from benchlore.circuit.interval import CircuitError


def test_d1_logic_3v3():
    """JESD8C.01 (second-hand): VIL 0.8, VIH 2.0, VOL 0.4, VOH 2.4 V."""
    found = levels("logic-3v3", 3.3)
    assert (found.vil, found.vih, found.vol, found.voh) == (0.8, 2.0, 0.4, 2.4)


def test_d2_logic_1v8():
    """JESD8-7A (second-hand): VIL 0.35 VDD, VIH 0.65 VDD, VOL 0.45 V, VOH VDD - 0.45 V."""
    found = levels("logic-1v8", 1.8)
    assert found.voh is not None
    assert (found.vil, found.vih, found.vol, found.voh) == pytest.approx((0.63, 1.17, 0.45, 1.35))


def test_unknown_standard_is_refused():
    with pytest.raises(CircuitError, match="no standard with logic levels"):
        levels("logic-5v", 5.0)
