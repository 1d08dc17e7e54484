"""What travels with the package: schemas, the look of the site, and the common records of a new book.

In a checkout all of it lies where people edit it. `tools/packing.py` puts it into `_shipped/` of the package,
with the same names below it, whenever a wheel is made.
"""

from __future__ import annotations

from functools import cache
from importlib.metadata import version as version_of
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_FACE = "mkdocs.yml"


@cache
def home() -> Path:
    """The folder that holds `schema/`, `site_overrides/`, `mkdocs.yml` and `faults/common/`."""
    packed = _PACKAGE / "_shipped"
    return packed if packed.is_dir() else _PACKAGE.parents[1]


def face(root: Path) -> Path:
    """The folder of the `mkdocs.yml` and `site_overrides/` of a book's site: its own where it has them."""
    return root if (root / _FACE).is_file() else home()


def version() -> str:
    """The version of the installed package."""
    return version_of("benchlore")
