"""The types of the data that the scripts get: `python -m benchlore.site.script_types FILE` writes them."""

from __future__ import annotations

import sys
from pathlib import Path

from benchlore.site import data, study_data, vocabulary_data, write_data
from benchlore.site.search import index, readings


def write(path: Path) -> None:
    """Write the declarations; the check of the scripts reads them, and git ignores them."""
    path.parent.mkdir(parents=True, exist_ok=True)
    made = [part.types() for part in (data, study_data, vocabulary_data, write_data, index, readings)]
    path.write_text("\n".join([f"/* Made by {__name__}. */\n", *made]), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write(Path(sys.argv[1]))
