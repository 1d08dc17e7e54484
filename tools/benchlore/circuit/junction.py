"""Diode mode: a protection junction between ground and the net, fed by the meter's test current.

Currents in A, voltages in V, resistances in ohm, temperatures in degC.
"""

from __future__ import annotations

import math

# CODATA, exact since the SI of 2019.
BOLTZMANN = 1.380649e-23  # J/K
ELEMENTARY_CHARGE = 1.602176634e-19  # C
ZERO_CELSIUS = 273.15  # K
SILICON_GAP = 1.11  # V (Sedra and Smith, Microelectronic Circuits: bandgap of silicon at room temperature)
RATED_CURRENT = 1e-3  # a fact states its drop at 1 mA
RATED_TEMPERATURE = 25.0  # and at 25 degC
# Meter makers state a test current of about 1 to 1.5 mA and 3 V with the leads open (Minipa ET-3702A manual,
# p. 36).
TEST_CURRENT = (1e-3, 1.5e-3)
# Meters are specified at 23 degC +- 5 K (makers' accuracy notes); a board off the hot air must cool first.
BENCH_TEMPERATURE = (18.0, 28.0)


def thermal_voltage(celsius: float) -> float:
    """kT/q (V): 25.852 mV at 300 K (CODATA constants)."""
    return BOLTZMANN * (celsius + ZERO_CELSIUS) / ELEMENTARY_CHARGE


def drift(drop: float, celsius: float) -> float:
    """Drift of a silicon junction (V/K): (V - 3 VT - VG)/T, about -2 mV/K; not for Schottky.

    0.6 V at 300 K gives -1.96 mV/K. Source: semiconductor textbooks (Sedra and Smith, Microelectronic
    Circuits).
    """
    return (drop - 3 * thermal_voltage(celsius) - SILICON_GAP) / (celsius + ZERO_CELSIUS)


def drop_at(drop: float, current: float, celsius: float) -> float:
    """Drop of the bare junction (V) at another current and temperature than the fact's 1 mA and 25 degC.

    The exponential law of the junction, V(I) = V(1 mA) + VT ln(I / 1 mA), after the drift with temperature.
    """
    warmed = drop + drift(drop, RATED_TEMPERATURE) * (celsius - RATED_TEMPERATURE)
    return warmed + thermal_voltage(celsius) * math.log(current / RATED_CURRENT)


def with_parallel(drop: float, current: float, parallel: float, celsius: float) -> float:
    """What the meter reads (V): the junction that drops `drop` at `current`, with `parallel` ohm across it.

    The resistance takes part of the current: V = drop + VT ln(1 - V/(R I)), solved by bisection. `parallel`
    may be infinite. IS = 1e-14 A at 1 mA and 27 degC: 0.655118 V, with 1 kohm across 0.629441 V (confirmed
    with ngspice).
    """
    if math.isinf(parallel):
        return drop
    vt = thermal_voltage(celsius)
    low, high = 0.0, min(drop, parallel * current)
    for _ in range(100):
        v = (low + high) / 2
        if v in (low, high):  # no number lies between them
            break
        left = 1 - v / (parallel * current)
        if left > 0 and v < drop + vt * math.log(left):
            low = v
        else:
            high = v
    return (low + high) / 2


def reading(drop: float, current: float, celsius: float, parallel: float) -> float:
    """Reading in diode mode (V) of a net whose junction drops `drop` at 1 mA and 25 degC.

    Rises with the drop, the current and the resistance beside it; falls with the temperature.
    """
    return with_parallel(drop_at(drop, current, celsius), current, parallel, celsius)
