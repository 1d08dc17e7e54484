"""What to mind before a bench calculation is put to use. Common practice, no source, where none is named."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

FIRST = "Local codes and licensed practice come before anything here."

CAUTIONS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "leak": (
            "The board is live while you read the line: insulate the probe to its last millimetre and clip "
            "ground first.",
            "Measure resistances only with adapter, pack and every other source out and the charge gone.",
        ),
        "inject": (
            "Adapter, pack and every other source out, and the charge gone, before the leads touch.",
            "Never more than the rail's own voltage: when the short opens, all on it sees the ceiling.",
            "Begin at 0.5 V and raise it slowly: above that, unpowered chips are fed through their clamps.",
            "Set voltage and limit with the leads apart, then short them and check the limit.",
            "Wear safety glasses, and look for heat with a camera or alcohol, never with a finger: the short "
            "burns, and a capacitor can burst.",
            "Stay under what tracks and leads carry, a few amperes, whatever the ceiling would allow.",
            "Ten seconds at a time, then let it cool. Stop when something smokes.",
        ),
        "fuse": (
            "The board is live: clip one lead, touch with the other, and do not bridge the fuse with a tip.",
            "Above 60 V d.c. use leads and probes rated for it (IEC 61010-031).",
            "Never fit a larger fuse or a wire to see whether it holds.",
        ),
    }
)
