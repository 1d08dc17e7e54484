"""What the volts and the ohms of one rail allow beside each other."""

from __future__ import annotations

import math
from collections.abc import Iterator

from benchlore.book.model import Family
from benchlore.diagnosis.interlock import OHMS

# A fuse carries twice its rating for some seconds (IEC 60127-2, from memory); a limit is passed for a while.
OVERLOAD = 2.0


def most_amps(family: Family) -> float:
    """The largest current (A) that the circuit of a family states of a source, a fuse, a path or a converter,
    with what it bears for a while; infinite where none is stated.
    """
    stated = [
        limit.high
        for net in family.nets.values()
        for element in (*net.source, *net.path, *net.converter)
        for name in ("limit", "rating", "load")
        if (limit := getattr(element, name, None)) is not None
    ]
    return OVERLOAD * max(stated, default=math.inf)


def ohms_beside(family: Family, measure: str) -> tuple[str, ...]:
    """The measurements of resistance that the volts of a rail are held to: of its net, with no part in that
    is out for the volts.
    """
    volts = family.measurements[measure]
    net = family.nets.get(volts.net)
    if volts.mode != "dc-volts" or not volts.to_ground or net is None or net.kind != "rail":
        return ()
    return tuple(
        m.id
        for m in family.measurements.values()
        if m.mode == OHMS and m.net == net.id and m.to_ground and set(volts.unplugged) <= set(m.unplugged)
    )


def held_together(family: Family) -> Iterator[tuple[tuple[str, str], float]]:
    """The volts and ohms of each rail, by measurement, with the current (A) that they must not come to."""
    amps = most_amps(family)
    if amps < math.inf:
        for volts in family.measurements:
            yield from (((volts, ohms), amps) for ohms in ohms_beside(family, volts))
