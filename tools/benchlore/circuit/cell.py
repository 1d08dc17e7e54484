"""One lithium-ion cell, in V. Source: cell data sheets; the upper limit of high-voltage cells from memory."""

from __future__ import annotations

FULL = 4.2
CUT_OFF = (2.5, 3.0)
NOMINAL = (3.6, 3.8)
HIGH_VOLTAGE_FULL = 4.45  # cells made for a higher charge voltage
