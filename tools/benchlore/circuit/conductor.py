"""Resistance of a copper track.

Copper: resistivity 1/58 ohm mm2/m at 20 degC and 0.393 %/K (IEC 60028, from memory).
"""

from __future__ import annotations

RESISTIVITY = 1e-6 / 58  # ohm m at 20 degC
COEFFICIENT = 0.00393  # 1/K at 20 degC
OUNCE_FOIL = 34.3e-6  # m: one ounce a square foot


def track_resistance(length: float, width: float, foil: float = OUNCE_FOIL, celsius: float = 20.0) -> float:
    """Resistance (ohm) of a track: rho (length/width)/foil, all in m; a square of 34.3 um foil has 0.502
    mohm."""
    return RESISTIVITY * length / (width * foil) * (1 + COEFFICIENT * (celsius - 20))
