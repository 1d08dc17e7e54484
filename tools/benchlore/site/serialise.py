"""Data as text: JSON files, and scripts for pages opened from disk, which can fetch no file."""

from __future__ import annotations

import json
from typing import Any


def to_json(value: Any) -> str:
    """Indented JSON text."""
    return json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def to_script(name: str, value: Any, key: str = "") -> str:
    """A classic script that sets `benchlore.NAME`, or with a key that property of `benchlore.NAME`."""
    data = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    opening = "window.benchlore=window.benchlore||{};\n"
    if not key:
        return f"{opening}benchlore.{name}={data};\n"
    return f"{opening}benchlore.{name}=benchlore.{name}||{{}};\nbenchlore.{name}[{json.dumps(key)}]={data};\n"
