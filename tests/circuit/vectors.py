"""Cases of the bench calculations that Python and the browser must answer alike."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import asdict
from typing import Any

from benchlore.circuit.calculators import CALCULATORS
from benchlore.circuit.inputs import InputError

VOLTS = (
    "3.42 V",
    "3.42 V 2%",
    "1.8",
    "5 V 5 %",
    "6 to 8.4 V",
    "12",
    "3,3 V ±1%",
    "0.9V",
    "0 V",
    "-1 V",
    "volts",
)
OHMS = (
    "2.2 kohm 5%",
    "2.2k",
    "4.7 kΩ",
    "10 Mohm",
    "470",
    "1 to 2 kohm",
    "0.4 ohm",
    "20 mohm 20%",
    "1 mohm",
    "0",
)
READINGS = (
    "0",
    "7 mV",
    "0.36",
    "1,71 V",
    "3.42",
    "3.36 V 1%",
    "5",
    "-0.2",
    "0.1 to 0.2 V",
    "",
    "1,234",
    "open",
)
CC = ("0.24", "0.25", "0.41", "0.62", "0.66", "0.92 V", "1.2", "1.23", "1.7", "2.04", "2.05", "0.6 to 0.8 V")
AMPS = ("3 A", "500 mA", "1.5", "2 to 3 A", "0 A", "3 V")


def answer(kind: str, given: dict[str, str]) -> dict[str, Any]:
    """The result as plain data and in words; a refusal as the field and the reason."""
    one = CALCULATORS[kind]
    try:
        found = one.work(**one.read(given))
        return {"result": _finite(asdict(found)), "said": [list(pair) for pair in one.said(found)]}
    except InputError as error:
        return {"refused": {"field": error.field, "reason": error.reason}}


def vectors() -> list[dict[str, Any]]:
    """About two thousand cases: every pair of the texts above, and random values."""
    cases: list[dict[str, Any]] = [
        {"kind": "leak", "given": {"supply": v, "pull_up": r, "reading": x, "meter": "10 Mohm"}}
        for v, r, x in itertools.product(VOLTS, OHMS, READINGS)
    ]
    cases += [
        {"kind": "inject", "given": {"rail": v, "short": r}}
        for v, r in itertools.product(VOLTS, OHMS + READINGS)
    ]
    cases += [
        {"kind": "fuse", "given": {"drop": x, "resistance": r, "rating": a}}
        for x, r, a in itertools.product(READINGS, OHMS, ("", *AMPS))
    ]
    cases += [{"kind": "cc", "given": {"reading": text}} for text in (*VOLTS, *READINGS, *CC)]
    chance = random.Random(60063)
    for _ in range(300):
        supply, pull_up = 10 ** chance.uniform(-0.3, 1.5), 10 ** chance.uniform(1, 6)
        reading = supply * chance.random()
        cases += [
            {
                "kind": "leak",
                "given": {
                    "supply": f"{supply:.4f} V {chance.randint(0, 10)}%",
                    "pull_up": f"{pull_up:.3f} ohm {chance.randint(0, 20)}%",
                    "reading": f"{reading:.5f} V {chance.randint(0, 3)}%",
                    "meter": chance.choice(("10 Mohm", "1 Mohm", "10 Mohm 1%")),
                },
            },
            {
                "kind": "inject",
                "given": {"rail": f"{supply:.4f}", "short": f"{10 ** chance.uniform(-3, 4):.4f}"},
            },
        ]
    return [case | answer(case["kind"], case["given"]) for case in cases]


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    return None if isinstance(value, float) and not math.isfinite(value) else value
