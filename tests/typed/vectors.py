"""Typed values with the answers that technicians expect, and what Python makes of them everywhere.

`values.json` was written by somebody who had not seen the grammar. Where the product answers otherwise on
purpose, `DIFFERS` says why.
"""

from __future__ import annotations

import json
import math
import random
from itertools import pairwise
from pathlib import Path
from typing import Any

from benchlore.book.model import Measurement, Meter, MeterRange, Outcome, frozen_map
from benchlore.circuit.inputs import InputError
from benchlore.circuit.typed import typed as field_value
from benchlore.diagnosis.reading import ReadingError, read
from benchlore.findings import Origin
from benchlore.quantity import Quantity, parse_quantity
from benchlore.typed import TypedError, typed
from benchlore.vocabulary import FUNCTIONS

Case = dict[str, Any]
HERE = Path(__file__).parent
FILE: Case = json.loads((HERE / "values.json").read_text(encoding="utf-8"))
# The list says `diode-mode` for what records call `junction`.
_FUNCTION = {"diode-mode": "junction"}
DIFFERS = {
    ("8..19", "dc-volts"): "two points part the ends of an unsteady reading, as in the list's own 3..8",
    (
        "8.41 mV",
        "dc-volts",
    ): "a unit that was typed is taken at its word",
}
_RANGES = {
    "dc-volts": ("0.2 V/0.1 mV", "2 V/1 mV", "20 V/10 mV", "1000 V/1 V"),
    "ac-ripple": ("0.2 V/0.1 mV", "2 V/1 mV", "20 V/10 mV", "1000 V/1 V"),
    "junction": ("2 V/1 mV", "3 V/10 mV"),
    "ohms": ("200 ohm/0.1 ohm", "2 kohm/1 ohm", "20 kohm/10 ohm", "60 Mohm/10 kohm"),
    "amps": ("20 mA/10 uA", "200 mA/100 uA", "10 A/10 mA"),
    "hertz": ("2 kHz/1 Hz", "20 kHz/10 Hz", "200 kHz/100 Hz", "60 MHz/10 kHz"),
    "seconds": ("100000 s/0.1 s",),
    "celsius": ("1000 degC/1 degC",),
}


def _range(text: str) -> MeterRange:
    up_to, resolution = map(parse_quantity, text.split("/"))
    return MeterRange(up_to=up_to, resolution=resolution, reading=1.0, counts=3)


METER = Meter(
    id="wide",
    origin=Origin("x"),
    title="A meter with wide ranges",
    accuracy=frozen_map({mode: tuple(map(_range, ranges)) for mode, ranges in _RANGES.items()}),
    input_resistance=parse_quantity("10 Mohm"),
    test_current=parse_quantity("1 mA"),
    open_voltage=parse_quantity("3 V"),
)


def cases() -> list[Case]:
    """The cases of the file, each with its `mode` and its healthy range, None where all is healthy."""
    return [
        {"normal": None, **case, "mode": _FUNCTION.get(case["function"], case["function"])}
        for case in (*FILE["typed"], *FILE["with_normal"])
    ]


def measurement(case: Case) -> Measurement:
    """A measurement in the mode of a case, healthy in its normal range alone."""
    # In page data, a range without any end is the over-range reading.
    ends = (-1e300 if case["normal"] is None else -math.inf, *(case["normal"] or ()), math.inf)
    names = ("fine",) if case["normal"] is None else ("lower", "fine", "higher")
    outcomes = [
        Outcome(id=name, range=Quantity(name, "", low, high), normal=name == "fine", means=name)
        for name, (low, high) in zip(names, pairwise(ends), strict=True)
    ]
    return Measurement(
        id="m",
        origin=Origin("x"),
        at="TP1",
        mode=case["mode"],
        state="all-off",
        minutes=1.0,
        asks="?",
        outcomes=frozen_map({o.id: o for o in outcomes}),
    )


def reading(case: Case) -> Case:
    """What the bench, a study, a proof and the command line make of a typed reading."""
    try:
        found = read(measurement(case), METER, case["typed"])
    except ReadingError as error:
        return _refusal(error)
    if found.span is not None:
        return {"answer": "unsteady", "low": found.span[0], "high": found.span[1], "note": found.note}
    if found.value is None:
        return {"answer": "over-range"}
    return {"answer": "value", "value": found.value, "note": found.note}


def value(case: Case) -> Case:
    """What the grammar makes of a typed value by itself."""
    try:
        found = typed(case["typed"], FUNCTIONS[case["mode"]].unit or "")
    except TypedError as error:
        return _refusal(error)
    return {"low": found.low, "high": found.high, "unit": found.unit}


def field(case: Case) -> Case:
    """What a field of a calculator makes of it."""
    try:
        found = field_value("field", case["typed"], FUNCTIONS[case["mode"]].unit or "")
    except InputError as error:
        return {"refused": error.reason}
    return {"low": found.low, "high": found.high}


def _refusal(error: ReadingError | TypedError) -> Case:
    return {
        "answer": "ask" if error.choices else "refuse",
        "choices": list(error.choices),
        "reason": error.reason,
    }


def browser_case(way: str, case: Case) -> Case:
    """A case as `replay.js` takes it."""
    measured = measurement(case)
    return {
        "way": way,
        "typed": case["typed"],
        "unit": measured.unit,
        "meter": {
            "title": METER.title,
            "accuracy": {
                case["mode"]: [
                    {
                        "up_to": _quantity(r.up_to),
                        "resolution": _quantity(r.resolution),
                        "reading": r.reading,
                        "counts": r.counts,
                    }
                    for r in METER.accuracy[case["mode"]]
                ]
            },
        },
        "measurement": {
            "mode": measured.mode,
            "links": {"unit": measured.unit},
            "outcomes": {
                o.id: {"id": o.id, "normal": o.normal, "range": o.range and _quantity(o.range)}
                for o in measured.outcomes.values()
            },
        },
    }


def _quantity(value: Quantity) -> Case:
    low, high = (end if math.isfinite(end) else None for end in (value.low, value.high))
    return {"low": low, "high": high}


def mixtures(count: int, seed: int) -> list[Case]:
    """Pieces of typed values, mixed: most are no value, and both languages have to say so alike."""
    chance = random.Random(seed)
    pieces = ["0", "1", "22", "100", "8.19", ",5", ".", ",", " ", "-", "\u2013", "k", "K", "m", "M", "Meg"]
    pieces += ["V", "v", "ohm", "\u03a9", "R", "A", "Hz", "s", "\u00b0C", "C", "F", "dc", " AC", "to", " to "]
    pieces += ["OL", "..", "~", "about ", "%", " 5%", "+-", "e3", "e-3", ":", "'", "\u00b5", "1 ", "h", "min"]
    modes = list(_RANGES)
    return [
        {
            "typed": "".join(chance.choices(pieces, k=chance.randint(1, 5))),
            "mode": chance.choice(modes),
            "normal": chance.choice((None, [0.4, 0.6], [17600.0, 26400.0])),
        }
        for _ in range(count)
    ]
