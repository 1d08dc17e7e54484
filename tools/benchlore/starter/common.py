"""The common records that travel with the package: a book takes over those that it needs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from benchlore.shipped import home

# Where a record begins in a file that holds many: its name stands at the left edge.
_NAME = re.compile(r"^(?=[a-z0-9])", re.MULTILINE)


def shipped_common() -> Path:
    """The folder of the common records."""
    return home() / "faults" / "common"


def heading(kind: str) -> str:
    """What stands above the first record of `symptoms`, `hazards`, `meters` or `states`."""
    return _NAME.split(_text(f"{kind}.yaml"), maxsplit=1)[0]


def entries(kind: str) -> Mapping[str, str]:
    """The records of such a file, by id: each with its lines and one blank line behind it."""
    blocks = _NAME.split(_text(f"{kind}.yaml"))[1:]
    return {block.partition(":")[0]: f"{block.rstrip()}\n\n" for block in blocks}


def technique(id_: str) -> str | None:
    """The text of a technique, or None where the package has none of that name."""
    path = shipped_common() / "techniques" / f"{id_}.yaml"
    return path.read_text(encoding="utf-8") if path.is_file() else None


def shop() -> str:
    """The text of the shop's own file."""
    return _text("shop.yaml")


def _text(name: str) -> str:
    return (shipped_common() / name).read_text(encoding="utf-8")
