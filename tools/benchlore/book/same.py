"""A record as a key: what is worked out of it once is kept while it is the same one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class Same(Generic[T]):
    """Equal where it holds the very same record: one as large as a book is not compared by its fields."""

    record: T

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.record is self.record

    def __hash__(self) -> int:
        return id(self.record)
