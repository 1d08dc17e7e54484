"""Changes to a record that leave it YAML: bytes alone seldom get past its form to the rules behind it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import yaml

# What a careless hand or a hostile one writes in the place of a value.
STRANGE: tuple[Any, ...] = (
    *("", " ", "-", "0", "~", "null", "1e999", "0 ohm", "under 0 V", "over 1e308 V", "5 to 3 V", "1 V 200%"),
    *(
        "../x",
        "wren-5/fuse-open",
        "A" * 300,
        "\u202e",
        "e\u0301",
        "[a](javascript:x)",
        "sda-level then healthy",
    ),
    *(None, True, False, 0, -1, 10**12, 0.5, float("nan"), float("inf"), [], {}, [[]], {"": ""}, ["A", "A"]),
)
Place = tuple[Any, Any]  # a list or mapping, and the index or key in it


def changed(data: bytes, seed: int) -> bytes | None:
    """A record with one to three places changed; None where it is no YAML."""
    rng = random.Random(seed)
    try:
        record = yaml.safe_load(data.decode("utf-8"))
        if not isinstance(record, dict | list):
            return None
        for _ in range(rng.randint(1, 3)):
            places = list(_places(record))
            if places:
                _change(rng, places)
        return yaml.safe_dump(record, sort_keys=False, allow_unicode=True).encode("utf-8", "surrogatepass")
    except (yaml.YAMLError, ValueError, RecursionError, TypeError):
        return None


def _places(value: Any) -> Iterator[Place]:
    """Every place in a value, its containers before what they hold."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in list(items):
        yield value, key
        yield from _places(inner)


def _change(rng: random.Random, places: list[Place]) -> None:
    holder, key = rng.choice(places)
    other, of = rng.choice(places)
    match rng.randrange(6):
        case 0:
            del holder[key]
        case 1 | 2:
            holder[key] = rng.choice(STRANGE)
        case 3:
            holder[key] = _copied(other[of])
        case 4 if isinstance(holder, dict):
            holder[str(of)] = holder.pop(key)
        case _ if isinstance(holder, list):
            holder.insert(rng.randint(0, len(holder)), _copied(holder[key]))
        case _:
            holder[key] = [_copied(holder[key]), _copied(other[of])]


def _copied(value: Any) -> Any:
    """A copy, so that no anchor stands in the YAML."""
    return yaml.safe_load(yaml.safe_dump(value)) if isinstance(value, dict | list) else value
