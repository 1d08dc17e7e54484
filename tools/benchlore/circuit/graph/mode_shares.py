"""How the kinds of parts fail: the modes that each can have, and the share of each mode of all failures.

From the normalised distributions of FMD-91 as MIL-HDBK-338B prints them, for parts in service; a board that
was wet, dropped or levered follows its own shares, and a shop's own jobs outweigh them. The battery's figures
were seen in a published table, the others are from memory. Where the handbook's modes are finer than ours or
named by what an output does, the comment says how they were taken together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

FMD_91 = "MIL-HDBK-338B, normalised distributions of FMD-91 (from memory)"
FMD_91_SEEN = "MIL-HDBK-338B, normalised distributions of FMD-91"
PRACTICE = "common practice, no source"
# Of what the handbook calls a short, what still has a resistance that counts (common practice, no source).
LEAKY = 0.2
# Of what the handbook calls open, a joint that touches now and then, at a part that is heavy or rigid on two
# joints: it cracks as the board bends (common practice, no source).
CRACKED = 0.3

# As printed, before anything is taken together; they add to 1, but for rounding in the last place.
PRINTED: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "capacitor, ceramic": {"short": 0.49, "change in value": 0.29, "open": 0.22},
        "capacitor, aluminium": {"short": 0.53, "open": 0.35, "leak": 0.10, "change in value": 0.02},
        "resistor, fixed film": {"open": 0.59, "change in value": 0.36, "short": 0.05},
        "diode, general": {"short": 0.49, "open": 0.36, "parameter change": 0.15},
        "transistor, field effect": {
            "short": 0.51,
            "output low": 0.22,
            "parameter change": 0.17,
            "open": 0.05,
            "output high": 0.05,
        },
        "inductor": {"short": 0.42, "open": 0.42, "change in value": 0.16},
        "connector": {"open": 0.61, "poor contact": 0.23, "short": 0.16},
        "battery, lithium": {"degraded output": 0.78, "start-up delay": 0.14, "short": 0.06, "open": 0.02},
        "crystal, quartz": {"open": 0.89, "no oscillation": 0.11},
        "fuse": {"fails to open": 0.49, "slow to open": 0.43, "opens too early": 0.08},
        "digital circuit, MOS": {
            "input open": 0.36,
            "output open": 0.36,
            "supply open": 0.12,
            "output stuck low": 0.09,
            "output stuck high": 0.08,
        },
        "hybrid device": {"open": 0.51, "degraded output": 0.26, "short": 0.17, "no output": 0.06},
    }
)


def _ground(short: float, **others: float) -> Mapping[str, float]:
    return {"shorted-to-ground": (1 - LEAKY) * short, "leaks": LEAKY * short, **_modes(others)}


def _modes(shares: Mapping[str, float]) -> Mapping[str, float]:
    return {name.replace("_", "-"): share for name, share in shares.items()}


# An output that is stuck low is a pin that holds its line: half with power only, half as a short.
_CHIP = _ground(0.045, open=0.84, stuck=0.125)
# A chip on balls opens at a joint as often as inside (common practice, no source).
_ON_BALLS = _ground(0.045, open=0.42, loose=0.42, stuck=0.125)
# A chip that carries power (charger, converter, switch): as the handbook's hybrid device, the nearest that it
# has. What it puts out wrong is a value.
_POWER_CHIP = _ground(0.17, open=0.57, wrong_value=0.26)
_COIL = _modes(
    {
        "shorted_across": 0.42,
        "open": (1 - CRACKED) * 0.42,
        "loose": CRACKED * 0.42,
        "wrong_value": 0.16,
    }
)
_SHARES: Mapping[str, tuple[Mapping[str, float], str]] = {
    "mlcc": (_ground(0.49, wrong_value=0.29, open=0.22), FMD_91),
    # Dried out: its value is gone long before it is open.
    "electrolytic": ({"shorted-to-ground": 0.53, "open": 0.35, "leaks": 0.10, "worn": 0.02}, FMD_91),
    "resistor": (_modes({"open": 0.59, "wrong_value": 0.36, "shorted_across": 0.05}), FMD_91),
    # A parameter that has changed is a leak; a transistor with its output low does not conduct.
    "diode": (_modes({"shorted_across": 0.49, "open": 0.36, "leaks": 0.15}), FMD_91),
    "mosfet": (_modes({"shorted_across": 0.56, "open": 0.27, "leaks": 0.17}), FMD_91),
    "inductor": (_COIL, FMD_91),
    "ferrite": (_COIL, FMD_91),
    "connector": (_ground(0.16, open=0.61, loose=0.23), FMD_91),
    "pack": ({"worn": 0.92, "shorted-to-ground": 0.06, "open": 0.02}, FMD_91_SEEN),
    "crystal": ({"open": 1 - CRACKED, "loose": CRACKED}, FMD_91),
    # A fuse that is slow or fails to open shows nothing at the bench.
    "fuse": ({"open": 1.0}, FMD_91),
    "ic": (_CHIP, FMD_91),
    "bga": (_ON_BALLS, FMD_91),
    "sensor": (_CHIP, FMD_91),
    "button": ({"open": 0.5, "stuck": 0.3, "worn": 0.2}, PRACTICE),
    "adapter": ({"open": 0.6, "worn": 0.3, "loose": 0.1}, PRACTICE),
    "cable": ({"open": 0.45, "loose": 0.45, "shorted-to-ground": 0.1}, PRACTICE),
    "accessory": (_ground(0.6, open=0.4), PRACTICE),
}
# What only a record says of a part: nobody suspects it without one (common practice, no source). A protection
# diode and a low-side MOSFET end at ground, so that their short from end to end is one to ground.
_RECORDED: Mapping[str, tuple[str, ...]] = {
    "mosfet": ("shorted-to-ground",),
    "diode": ("shorted-to-ground",),
    "crystal": ("wrong-value",),
    "ic": ("content-lost", "wrong-value"),
    "bga": ("content-lost",),
    "connector": ("worn",),
    "pack": ("content-lost", "leaks"),
    "accessory": ("worn", "stuck"),
}
_ANY = ("loose", "damaged")  # every joint and contact can break, and what the eye finds is a mode, too


def modes_of(kind: str) -> tuple[str, ...]:
    """The modes that a kind of part can have: those with a share, then those that only records name."""
    shares, _ = _SHARES.get(kind, ({}, ""))
    return tuple(dict.fromkeys((*shares, *_RECORDED.get(kind, ()), *_ANY)))


def mode_shares(kind: str, *, power: bool = False) -> Mapping[str, float]:
    """The share of each mode of a kind of part, one in all; empty for a kind that is not listed. `power`: of
    a chip that carries it.
    """
    shares, _ = _SHARES.get(kind, ({}, ""))
    shares = _POWER_CHIP if power and kind == "ic" else shares
    total = math.fsum(shares.values())
    return MappingProxyType({mode: share / total for mode, share in shares.items()})


def source_of(kind: str) -> str:
    """Where the shares of a kind come from."""
    return _SHARES[kind][1]
