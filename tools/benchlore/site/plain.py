"""A record as plain data for JSON: mappings, lists, strings and numbers."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from typing import Any

from benchlore.findings import Origin
from benchlore.quantity import Quantity


def plain(value: Any) -> Any:
    """Frozen records, mappings and tuples to what JSON knows.

    A quantity has its text, unit and ends: an infinite end is null, `open` is the over-range reading. An
    origin is its file.
    """
    if isinstance(value, Quantity):
        return _quantity(value)
    if isinstance(value, Origin):
        return value.file
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value


def to_json(value: Any) -> str:
    """The record as indented JSON text."""
    return json.dumps(plain(value), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def to_script(name: str, value: Any) -> str:
    """A classic script that sets `benchlore.NAME`, for pages opened from disk, which can fetch no file."""
    data = json.dumps(plain(value), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return f"window.benchlore=window.benchlore||{{}};\nbenchlore.{name}={data};\n"


def _quantity(value: Quantity) -> dict[str, Any]:
    ends = {"low": _finite(value.low), "high": _finite(value.high), "nominal": value.nominal}
    return {"text": value.text, "unit": value.unit, "open": value.is_open, **ends}


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
