"""Record files that were read before are not read again: who spoils one file of a book takes the others
by what stands in them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import pytest

from benchlore.book import folder, schemas, sources, yaml_reader

KEPT = 200  # files; a book of the rules has a dozen
parsed = lru_cache(maxsize=KEPT)(yaml_reader.parse)


@dataclass(frozen=True)
class _Data:
    """Data that are known by their text."""

    text: str
    value: object = field(compare=False)


@lru_cache(maxsize=KEPT)
def _shaped(kind: str, file: str, data: _Data) -> tuple[Any, ...]:
    return tuple(schemas.shape_problems(kind, file, data.value))


def shaped(kind: str, file: str, data: object) -> tuple[Any, ...]:
    """`shape_problems`, asked once of the same data."""
    return _shaped(kind, file, _Data(repr(data), data))


@pytest.fixture(autouse=True, scope="module")
def read_once() -> Iterator[None]:
    """These are functions of their arguments alone, so a book is the same as without it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(folder, "parse", parsed)
        patch.setattr(sources, "parse", parsed)
        patch.setattr(folder, "shape_problems", shaped)
        yield
