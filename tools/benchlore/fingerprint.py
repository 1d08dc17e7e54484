"""A hash of what a page is made from: frozen records, and what is put together of them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

_PLAIN = frozenset({str, int, float, bool, bytes, type(None)})


class Fingerprints:
    """Hashes of values, for one build. The records of a book are hashed once, since many pages share them.

    Records, texts, numbers, tuples, lists, sets, mappings in their order, and functions of modules, which
    count by their names: their code is another matter. Raises TypeError for anything else.
    """

    def __init__(self) -> None:
        # The value is kept with its hash, so that no other value gets its identity.
        self._known: dict[int, tuple[Any, bytes]] = {}
        self._fields: dict[type, tuple[str, ...]] = {}

    def of(self, value: Any) -> str:
        """The hash of a value; equal for equal values."""
        return _hash(self._digest(value)).hex()

    def _digest(self, value: Any) -> bytes:
        """What stands for a value: a hash, or of a plain value its type, length and text."""
        kind = type(value)
        if kind in _PLAIN:
            return _plain(kind, value)
        if kind is tuple or kind is list:
            return _hash(b"list" + b"".join([self._digest(one) for one in value]))
        if is_dataclass(kind):
            known = self._known.get(id(value))
            if known is None:
                names = self._fields.get(kind)
                if names is None:
                    names = self._fields[kind] = tuple(field.name for field in fields(kind))
                parts = [self._digest(getattr(value, name)) for name in names]
                known = self._known[id(value)] = value, _hash(kind.__qualname__.encode() + b"".join(parts))
            return known[1]
        return self._other(value)

    def _other(self, value: Any) -> bytes:
        if isinstance(value, str | int | float | bytes):
            return _plain(type(value), value)
        if isinstance(value, tuple | list):
            return _hash(b"list" + b"".join(map(self._digest, value)))
        if isinstance(value, Mapping):
            parts = [self._digest(part) for item in value.items() for part in item]
            return _hash(b"mapping" + b"".join(parts))
        if isinstance(value, frozenset | set):
            return _hash(b"set" + b"".join(sorted(map(self._digest, value))))
        if callable(value) and not getattr(value, "__closure__", None):
            return _hash(f"function {value.__module__}.{value.__qualname__}".encode())
        raise TypeError(f"nothing tells two values of {type(value).__name__} apart: {value!r}")


def _plain(kind: type, value: Any) -> bytes:
    text = repr(value)
    return f"{kind.__name__} {len(text)} {text}".encode()


def _hash(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()
