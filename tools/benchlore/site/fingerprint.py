"""A hash of what a page is made from: frozen records, and what is put together of them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any


class Fingerprints:
    """Hashes of values, for one build. The records of a book are hashed once, since many pages share them.

    Records, texts, numbers, tuples, lists, sets, mappings in their order, and functions of modules, which
    count by their names: their code is another matter. Raises TypeError for anything else.
    """

    def __init__(self) -> None:
        # The value is kept with its hash, so that no other value gets its identity.
        self._known: dict[int, tuple[Any, bytes]] = {}

    def of(self, value: Any) -> str:
        """The hash of a value; equal for equal values."""
        return self._digest(value).hex()

    def _digest(self, value: Any) -> bytes:
        if is_dataclass(value) and not isinstance(value, type):
            if id(value) not in self._known:
                parts = (getattr(value, field.name) for field in fields(value))
                self._known[id(value)] = value, self._joined(type(value).__qualname__, parts)
            return self._known[id(value)][1]
        if isinstance(value, str | int | float | bytes | None):
            return _hash(f"{type(value).__name__} {value!r}".encode())
        if isinstance(value, tuple | list):
            return self._joined("list", value)
        if isinstance(value, Mapping):
            return self._joined("mapping", (part for item in value.items() for part in item))
        if isinstance(value, frozenset | set):
            return _hash(b"set" + b"".join(sorted(map(self._digest, value))))
        if callable(value) and not getattr(value, "__closure__", None):
            return _hash(f"function {value.__module__}.{value.__qualname__}".encode())
        raise TypeError(f"nothing tells two values of {type(value).__name__} apart: {value!r}")

    def _joined(self, kind: str, parts: Iterable[Any]) -> bytes:
        return _hash(kind.encode() + b"".join(map(self._digest, parts)))


def _hash(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()
