"""How a measurement is set up, and what a trainee may choose from instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from benchlore.book.model import Family, Measurement
from benchlore.quantity import Quantity
from benchlore.vocabulary import BLACK_ON_GROUND, RED_ON_GROUND

USUAL_LEADS = BLACK_ON_GROUND
TURNED_LEADS = RED_ON_GROUND
_IN_A_CABLE = "USB-C ammeter"
_MORE = 2  # voltages above the ceiling that are offered as wrong ceilings


@dataclass(frozen=True, slots=True)
class Choices:
    """What the family's measurements use: bench states, meter functions, leads, parts to unplug."""

    states: tuple[str, ...]
    modes: tuple[str, ...]
    leads: tuple[str, ...]
    parts: tuple[str, ...]


def choices(family: Family) -> Choices:
    """Everything that a set-up of the family can be chosen from, in the order of the book."""
    measures = tuple(family.measurements.values())
    used = {m.state for m in measures}
    leads = [leads_of(m) for m in measures]
    return Choices(
        tuple(state for state in family.states if state in used),
        tuple(dict.fromkeys(m.mode for m in measures)),
        tuple(dict.fromkeys([USUAL_LEADS, TURNED_LEADS, *(text for text in leads if text)])),
        tuple(part for part in family.parts if any(part in m.unplugged for m in measures)),
    )


def lead_kind(family: Family, leads: str) -> Literal["usual", "turned", "ammeter", "plugged", "other"]:
    """What leads make of the meter: probes on the net, one way or turned about, or an ammeter.

    Every ammeter of the family's records is taken for a meter's current input, which can be laid across a
    net; but not one that goes into a cable by its plugs.
    """
    if leads.startswith(USUAL_LEADS):
        return "usual"
    if leads.startswith(TURNED_LEADS):
        return "turned"
    if any(m.mode == "amps" and leads_of(m) == leads for m in family.measurements.values()):
        return "plugged" if leads.startswith(_IN_A_CABLE) else "ammeter"
    return "other"


def leads_of(measurement: Measurement) -> str:
    """How the leads go, or nothing where no meter leads are used."""
    if measurement.leads:
        return measurement.leads
    return USUAL_LEADS if measurement.function.leads else ""


def ceilings(family: Family, measurement: Measurement) -> tuple[Quantity, ...]:
    """The ceiling voltage of an injection and, after it, nominal voltages that lie above it.

    Into a rail: those above the rail's own too. Into another line: from the line's own on, which is the
    likeliest slip.
    """
    if measurement.inject is None:
        return ()
    right, own = measurement.inject.volts, net_nominal(family, measurement)
    net = family.nets.get(measurement.net)
    least = right.high * 1.2
    if own is not None and net is not None:
        least = max(least, own.high * 1.2 if net.kind == "rail" else own.low)
    above = {
        net.nominal.middle: net.nominal
        for net in family.nets.values()
        if net.nominal is not None and net.nominal.unit == "V" and net.nominal.low >= least
    }
    return (right, *(above[volts] for volts in sorted(above)[:_MORE]))


def net_nominal(family: Family, measurement: Measurement) -> Quantity | None:
    """The nominal voltage of the net that a measurement is on, or None where it has none."""
    net = family.nets.get(measurement.net)
    return net.nominal if net else None
