"""Plain data that fit their schema, to frozen records. Nothing here fails on data that the schema passed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from benchlore.book.model import (
    Board,
    Expectation,
    Fact,
    Family,
    Fault,
    Fix,
    Hazard,
    Injection,
    Measurement,
    Meter,
    MeterRange,
    Net,
    Outcome,
    Part,
    PartUse,
    Place,
    Replace,
    Retired,
    Revision,
    Shop,
    State,
    Symptom,
    Technique,
    TestPoint,
    frozen_map,
)
from benchlore.findings import Origin
from benchlore.quantity import Quantity, parse_quantity

Raw = Mapping[str, Any]


def symptoms(file: str, data: Raw) -> Mapping[str, Symptom]:
    """The symptoms of a symptoms file, by id."""
    return frozen_map(
        {
            key: Symptom(
                key,
                Origin(file, (key,)),
                raw["title"],
                tuple(raw["said"]),
                raw["seen_by"],
                raw.get("note", ""),
                tuple(raw.get("hazard", ())),
            )
            for key, raw in data.items()
        }
    )


def hazards(file: str, data: Raw) -> Mapping[str, Hazard]:
    """The hazards of a hazards file, by id."""
    return frozen_map(
        {
            key: Hazard(
                key,
                Origin(file, (key,)),
                raw["title"],
                raw["signal"],
                raw["harm"],
                tuple(raw["avoid"]),
                tuple(raw.get("signs", ())),
                raw["source"],
            )
            for key, raw in data.items()
        }
    )


def meters(file: str, data: Raw) -> Mapping[str, Meter]:
    """The meters of a meters file, by id."""
    return frozen_map({key: _meter(key, Origin(file, (key,)), raw) for key, raw in data.items()})


def _meter(key: str, origin: Origin, raw: Raw) -> Meter:
    accuracy = {mode: tuple(_meter_range(r) for r in ranges) for mode, ranges in raw["accuracy"].items()}
    return Meter(
        key,
        origin,
        raw["title"],
        frozen_map(accuracy),
        parse_quantity(raw["input_resistance"]),
        parse_quantity(raw["test_current"]),
        parse_quantity(raw["open_voltage"]),
        raw.get("note", ""),
    )


def _meter_range(raw: Raw) -> MeterRange:
    up_to, resolution = parse_quantity(raw["up_to"]), parse_quantity(raw["resolution"])
    return MeterRange(up_to, resolution, float(raw["reading"].rstrip("%")), int(raw["counts"]))


def states(file: str, data: Raw) -> Mapping[str, State]:
    """The bench states of a states file, by id."""
    return frozen_map(
        {
            key: State(
                key,
                Origin(file, (key,)),
                raw["title"],
                tuple(raw["sources"]),
                float(raw["minutes"]),
                tuple(raw["how"]),
                raw.get("discharged", False),
                tuple(raw.get("hazard", ())),
            )
            for key, raw in data.items()
        }
    )


def technique(key: str, file: str, raw: Raw) -> Technique:
    """The technique of a technique file."""
    return Technique(
        key,
        Origin(file),
        raw["title"],
        raw["summary"],
        tuple(raw["steps"]),
        tuple(raw["hazard"]),
        tuple(raw.get("needs", ())),
        raw.get("heat", False),
        raw["source"],
    )


def shop(file: str, raw: Raw) -> Shop:
    """The shop of a shop file."""
    return Shop(
        Origin(file),
        raw["title"],
        raw["currency"],
        float(raw["labour_rate"]),
        raw["default_meter"],
        float(raw["unplug_minutes"]),
        float(raw["escalate"]["minutes"]),
        raw["escalate"]["to"],
    )


def family(key: str, file: str, raw: Raw) -> Family:
    """The family of a family file."""
    origin = Origin(file)
    board = raw["board"]
    return Family(
        key,
        origin,
        raw["title"],
        raw["kind"],
        raw["summary"],
        frozen_map({k: Revision(k, r["tell"]) for k, r in raw["revisions"].items()}),
        Board(
            _mm(board["width"]),
            _mm(board["height"]),
            frozen_map({k: _place(r) for k, r in board["landmarks"].items()}),
        ),
        frozen_map({k: _net(k, origin.at("nets", k), r) for k, r in raw["nets"].items()}),
        frozen_map({k: _part(k, origin.at("parts", k), r) for k, r in raw["parts"].items()}),
        frozen_map(
            {k: _test_point(k, origin.at("test_points", k), r) for k, r in raw["test_points"].items()}
        ),
        frozen_map(
            {k: _measurement(k, origin.at("measurements", k), r) for k, r in raw["measurements"].items()}
        ),
        frozen_map(raw.get("waive")),
    )


def _mm(text: str) -> float:
    return parse_quantity(text).middle


def _place(raw: Raw) -> Place:
    size = raw.get("size")
    return Place(
        raw["side"],
        frozen_map({revision: (_mm(x), _mm(y)) for revision, (x, y) in raw["at"].items()}),
        (_mm(size[0]), _mm(size[1])) if size else None,
    )


def _net(key: str, origin: Origin, raw: Raw) -> Net:
    return Net(
        key,
        origin,
        raw["kind"],
        raw["for"],
        parse_quantity(raw["nominal"]) if "nominal" in raw else None,
        raw.get("fed_by"),
        raw.get("source"),
        raw.get("bus"),
        tuple(raw.get("up_in", ())),
        tuple(_fact(origin.at("set_by", i), fact) for i, fact in enumerate(raw.get("set_by", ()))),
    )


_FACT_NAMES = ("from", "to")


def _fact(origin: Origin, raw: Raw) -> Fact:
    values = {key: value for key, value in raw.items() if key not in ("fact", "in", *_FACT_NAMES)}
    return Fact(
        raw["fact"],
        origin,
        frozen_map({key: _fact_quantity(value) for key, value in values.items()}),
        frozen_map({key: raw[key] for key in _FACT_NAMES if key in raw}),
        tuple(raw.get("in", ())),
    )


def _fact_quantity(value: str | float) -> Quantity:
    if isinstance(value, str):
        return parse_quantity(value)
    count = int(value)  # JSON Schema takes 1.0 for a whole number
    return Quantity(str(count), "", count, count, count)


def _part(key: str, origin: Origin, raw: Raw) -> Part:
    replace = raw["replace"]
    return Part(
        key,
        origin,
        raw["name"],
        raw["package"],
        tuple(raw["nets"]),
        Replace(float(replace["minutes"]), replace["skill"], replace.get("donor", ""), replace.get("price")),
        raw.get("unplugs", False),
    )


def _test_point(key: str, origin: Origin, raw: Raw) -> TestPoint:
    return TestPoint(key, origin, raw["net"], _place(raw), frozen_map(raw["where"]))


def _measurement(key: str, origin: Origin, raw: Raw) -> Measurement:
    inject = raw.get("inject")
    return Measurement(
        key,
        origin,
        raw["at"],
        raw["mode"],
        raw["state"],
        float(raw["minutes"]),
        raw["asks"],
        frozen_map({k: _outcome(k, r) for k, r in raw["outcomes"].items()}),
        tuple(raw.get("unplugged", ())),
        raw.get("leads", ""),
        raw.get("note", ""),
        raw.get("technique"),
        Injection(parse_quantity(inject["volts"]), parse_quantity(inject["limit"])) if inject else None,
        frozen_map(raw.get("waive")),
    )


def _outcome(key: str, raw: Raw) -> Outcome:
    limits = parse_quantity(raw["range"]) if "range" in raw else None
    return Outcome(key, limits, raw["means"], raw.get("normal", False), raw.get("stop", False))


def fault(key: str, file: str, raw: Raw) -> Fault | Retired:
    """The fault pattern of a fault file, or the note that it is retired."""
    origin = Origin(file)
    if "moved_to" in raw:
        return Retired(key, origin, moved_to=raw["moved_to"])
    if "retired" in raw:
        return Retired(key, origin, reason=raw["retired"])
    fix, cause = raw["fix"], raw["common_cause"]
    return Fault(
        key,
        origin,
        key.split("/", 1)[0],
        raw["title"],
        raw["summary"],
        tuple(raw.get("revisions", ())),
        frozen_map(raw["symptom"]),
        tuple(_expectation(origin.at("test_points", i), r) for i, r in enumerate(raw["test_points"])),
        cause["part"],
        cause["how"],
        int(raw["seen"]),
        Fix(
            fix["action"],
            float(fix["minutes"]),
            tuple(fix["steps"]),
            frozen_map(fix["confirm"]),
            tuple(_part_use(use) for use in fix.get("parts", ())),
        ),
        tuple(raw["hazard"]),
        tuple(raw.get("techniques", ())),
        frozen_map({k: str(v) for k, v in raw["worked_example"].items()}),
        frozen_map(raw.get("waive")),
    )


def _expectation(origin: Origin, raw: Raw) -> Expectation:
    expected = raw["expected_reading"]
    outcomes = {expected: 1.0} if isinstance(expected, str) else {k: float(v) for k, v in expected.items()}
    return Expectation(origin, raw["measure"], frozen_map(outcomes), raw.get("note", ""))


def _part_use(raw: str | Raw) -> PartUse:
    return PartUse(raw) if isinstance(raw, str) else PartUse(raw["part"], raw["donor"])
