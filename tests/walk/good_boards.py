"""Simulated good boards, and the walks that somebody with a meter brings back from them."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

from benchlore.book.model import Book, Family, Measurement, Meter, Outcome
from benchlore.diagnosis.meter import accuracy_limit, largest_reading, range_for
from benchlore.walk.order import walked

# Where the true value lies between the ends of what is healthy: 0 the lower, 1 the upper.
Place = Callable[[], float]


def ends(measurement: Measurement, outcome: Outcome, meter: Meter) -> tuple[float, float]:
    """The true values of a healthy outcome: `under 60 mV` from nothing, `over 2 V` to beyond the meter."""
    assert outcome.range is not None
    largest = largest_reading(meter.accuracy[measurement.mode])
    low = outcome.range.low if math.isfinite(outcome.range.low) else 0.0
    return low, outcome.range.high if math.isfinite(outcome.range.high) else max(low, largest) * 2


def reads(
    measurement: Measurement, outcome: Outcome, meter: Meter, place: float, chance: random.Random
) -> str:
    """What the meter shows of a board whose true value lies at `place`: its error is anywhere within the
    accuracy limits (JCGM 100:2008, 4.3.7), and it shows whole steps of its resolution."""
    if outcome.range is None:
        return outcome.id
    low, high = ends(measurement, outcome, meter)
    ranges = meter.accuracy[measurement.mode]
    true = low + (high - low) * place if math.isfinite(high) else high
    if true > largest_reading(ranges):
        return "OL"
    one = range_for(ranges, true)
    limit = accuracy_limit(one, true)
    step = one.resolution.middle
    whole = math.floor if chance.random() < 0.5 else math.ceil
    error = chance.uniform(-limit, limit)
    shown = round((true + error) / step) * step
    if abs(shown - true) > limit:  # the last digit carried it out
        shown = whole(true / step) * step
    shown = max(shown, measurement.function.least)
    return f"{shown:.10g} {measurement.unit}" if shown <= largest_reading(ranges) else "OL"


def walk_of(book: Book, family: Family, place: Place, seed: int, label: str = "") -> dict[str, Any]:
    """A walk over one board, as the page saves it."""
    chance = random.Random(seed)
    meter = book.meters[book.shop.default_meter]
    readings = []
    for one in walked(family):
        has = one.unit is None or one.mode in meter.accuracy
        outcome = one.outcomes[one.normal[0]]
        text = reads(one, outcome, meter, place(), chance) if has else outcome.id
        readings.append({"measure": one.id, "meter": meter.id, "text": text})
    return {
        "format": "benchlore-walk",
        "version": 1,
        "id": f"board-{seed}",
        "family": family.id,
        "revision": "",
        "label": label or f"board {seed}",
        "meter": meter.id,
        "points": [],
        "readings": readings,
    }


def saved(folder: Path, walk: dict[str, Any]) -> Path:
    path = folder / f"{walk['id']}.json"
    path.write_text(json.dumps(walk), encoding="utf-8")
    return path
