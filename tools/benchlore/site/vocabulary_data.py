"""The vocabulary as data for the browser: what its scripts need to know of words, units and meters."""

from __future__ import annotations

import math
from typing import Any

from benchlore.site.page import SiteFile
from benchlore.site.serialise import to_script
from benchlore.vocabulary import (
    EXERCISES,
    FUNCTIONS,
    OVER_RANGE,
    PREFIX_WORDS,
    PREFIXES,
    SIGNALS,
    UNITS,
    MeterFunction,
    Unit,
)

PATH = "data/vocabulary.js"


def file() -> SiteFile:
    """The script that sets `benchlore.vocabulary`."""
    return SiteFile(PATH, to_script("vocabulary", data()))


def data() -> dict[str, Any]:
    """The tables by id, in their order; an infinite bound is null."""
    return {
        "functions": {name: _function(function) for name, function in FUNCTIONS.items()},
        "units": {name: _unit(unit) for name, unit in UNITS.items()},
        "prefixes": dict(PREFIXES),
        "prefix_words": dict(PREFIX_WORDS),
        "over_range": sorted(OVER_RANGE),
        "signals": list(SIGNALS),
        "exercises": {
            one.id: {"title": one.title, "what": one.what, "kinds": one.kinds, "cards": one.cards}
            for one in EXERCISES.values()
        },
    }


def _function(function: MeterFunction) -> dict[str, Any]:
    return {
        "label": function.label,
        "phrase": function.phrase,
        "unit": function.unit,
        "power": function.power,
        "current": function.current,
        "signed": function.signed,
        "least": _bound(function.least),
        "most": _bound(function.most),
        "over_range": function.over_range,
        "turned": function.turned,
        "instead": dict(function.instead),
    }


def _unit(unit: Unit) -> dict[str, Any]:
    return {
        "sign": unit.sign,
        "measures": unit.measures,
        "words": list(unit.words),
        "prefixed": unit.prefixed,
        "others": {word: list(pair) for word, pair in unit.others.items()},
    }


def _bound(value: float) -> float | None:
    return value if math.isfinite(value) else None
