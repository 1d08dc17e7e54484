"""What the meter's input resistance takes from a divider."""

from benchlore.circuit.divider import divider


def test_f6_divider_read_by_10_megohm():
    """Confirmed with ngspice (computed): 100k/100k from 10 V read by 10 Mohm is 4.975124 V."""
    assert round(divider(10.0, 100e3, 100e3, 10e6), 6) == 4.975124
    assert divider(10.0, 100e3, 100e3, float("inf")) == 5.0
