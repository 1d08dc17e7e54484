"""The current through a fuse or a shunt, from the drop across it."""

from __future__ import annotations

from dataclasses import dataclass

from benchlore.circuit.inputs import Estimate, not_negative, positive
from benchlore.quantity import Quantity

OPEN_DROP = 1.0  # V; a whole fuse never drops as much (common practice, no source)


@dataclass(frozen=True, slots=True)
class FuseCurrent:
    """Current (A), power in the fuse (W), and the current's share of the rating, where one is given.

    `open`: the drop is that of a fuse that has gone, and the current means nothing.
    """

    open: bool
    current: Estimate
    power: Estimate
    share: float | None


def current_from_drop(drop: Quantity, resistance: Quantity, rating: Quantity | None = None) -> FuseCurrent:
    """The current that drops `drop` (V) across `resistance` (ohm): I = V/R, P = V^2/R.

    A fuse warms and its resistance rises, so its cold resistance gives a current that is, if anything, too
    high (data sheets of chip fuses, from memory). Raises InputError. Source: Ohm's law.
    """
    not_negative("drop", drop, "V")
    positive("resistance", resistance, "ohm")
    if rating is not None:
        positive("rating", rating, "A")
    current = Estimate(
        drop.low / resistance.high, drop.middle / resistance.middle, drop.high / resistance.low
    )
    power = Estimate(
        drop.low**2 / resistance.high, drop.middle**2 / resistance.middle, drop.high**2 / resistance.low
    )
    return FuseCurrent(
        drop.middle >= OPEN_DROP, current, power, current.middle / rating.low if rating else None
    )
