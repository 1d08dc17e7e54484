"""The vocabulary as data for the browser: what its scripts need to know of words, units and meters."""

from __future__ import annotations

import math
from typing import Annotated, Literal, TypedDict

from benchlore.book.forms import declarations, schema_of
from benchlore.book.projection import Projection
from benchlore.book.schemas import schema
from benchlore.site import paths
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


class _Function(TypedDict):
    label: Annotated[str, "At the head of a table."]
    phrase: Annotated[str, "Within a sentence."]
    unit: str | None
    power: Literal["on", "off", "either"]
    current: Literal["dc", "ac", ""]
    signed: bool
    least: Annotated[float | None, "Null: without an end."]
    most: Annotated[float | None, "Null: without an end."]
    over_range: bool
    turned: str
    instead: dict[str, str]


class _Unit(TypedDict):
    sign: str
    measures: Annotated[str, "`a voltage`."]
    words: list[str]
    prefixed: bool
    others: Annotated[dict[str, tuple[float, float]], "Factor and offset by the word that is typed."]


class _Exercise(TypedDict):
    title: str
    what: str
    kinds: Annotated[tuple[str, ...], "The kinds of cards that it asks."]
    cards: Annotated[int, "How many a session has."]


class _Tables(TypedDict):
    functions: dict[str, _Function]
    units: dict[str, _Unit]
    prefixes: dict[str, float]
    prefix_words: dict[str, str]
    over_range: list[str]
    signals: Annotated[list[str], "The gravest first."]
    exercises: dict[str, _Exercise]
    most_words: Annotated[int, "Letters of the customer's words that a job keeps."]


def types() -> str:
    """The types of these data, for the check of the scripts: `VocabularyTables` and what it holds."""
    return declarations(schema_of(Projection(), _Tables), "Vocabulary", frozenset({"Function", "Exercise"}))


def file() -> SiteFile:
    """The script that sets `benchlore.vocabulary`."""
    return SiteFile(paths.VOCABULARY_DATA, to_script("vocabulary", data()))


def data() -> _Tables:
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
        "most_words": schema("job")["properties"]["words"]["maxLength"],
    }


def _function(function: MeterFunction) -> _Function:
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


def _unit(unit: Unit) -> _Unit:
    return {
        "sign": unit.sign,
        "measures": unit.measures,
        "words": list(unit.words),
        "prefixed": unit.prefixed,
        "others": dict(unit.others),
    }


def _bound(value: float) -> float | None:
    return value if math.isfinite(value) else None
