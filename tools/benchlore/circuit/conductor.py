"""Resistance of a copper track.

Copper: resistivity 1/58 ohm mm2/m at 20 degC and 0.393 %/K (IEC 60028, from memory).
"""

from __future__ import annotations

from benchlore.quantity import Quantity

RESISTIVITY = 1e-6 / 58  # ohm m at 20 degC
COEFFICIENT = 0.00393  # 1/K at 20 degC
OUNCE_FOIL = 34.3e-6  # m: one ounce a square foot


def track_resistance(length: float, width: float, foil: float = OUNCE_FOIL, celsius: float = 20.0) -> float:
    """Resistance (ohm) of a track: rho (length/width)/foil, all in m; a square of 34.3 um foil has 0.502
    mohm."""
    return RESISTIVITY * length / (width * foil) * (1 + COEFFICIENT * (celsius - 20))


# One-ounce foil as made, and a board from cold to warm (from memory).
FOIL_SPREAD = 0.2
WARM = 60.0  # degC


def squares_resistance(squares: float) -> Quantity:
    """Resistance (ohm) of a track that is `squares` times as long as wide, in one-ounce foil, with its
    spread.

    The foil is 20 % thinner or thicker, the track 20 to 60 degC warm.
    """
    thick, thin = OUNCE_FOIL * (1 + FOIL_SPREAD), OUNCE_FOIL * (1 - FOIL_SPREAD)
    return Quantity(
        f"{squares:g} squares",
        "ohm",
        track_resistance(squares, 1.0, thick),
        track_resistance(squares, 1.0, thin, WARM),
        track_resistance(squares, 1.0),
    )
