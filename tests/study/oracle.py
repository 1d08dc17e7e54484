"""The published rules that the study page follows, written a second time and independently of its scripts."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass, replace
from fractions import Fraction

MASK = 0xFFFFFFFF


def philox(counter: tuple[int, int, int, int], key: tuple[int, int]) -> tuple[int, int, int, int]:
    """Philox4x32-10 of Salmon, Moraes, Dror and Shaw (Supercomputing 2011), figure 2 and section 3.3."""
    c, k = list(counter), list(key)
    for _ in range(10):
        one, two = 0xD2511F53 * c[0], 0xCD9E8D57 * c[2]
        c = [(two >> 32) ^ c[1] ^ k[0], two & MASK, (one >> 32) ^ c[3] ^ k[1], one & MASK]
        k = [(k[0] + 0x9E3779B9) & MASK, (k[1] + 0xBB67AE85) & MASK]
    return c[0], c[1], c[2], c[3]


def fnv1a(text: str) -> int:
    """FNV-1a, 32 bits (Fowler, Noll, Vo)."""
    value = 2166136261
    for byte in text.encode():
        value = ((value ^ byte) * 16777619) & MASK
    return value


def uniforms(seed: str, purpose: str, count: int) -> list[float]:
    """The first numbers of a stream: 53 bits of two words each (Matsumoto and Nishimura's genrand_res53)."""
    key = (fnv1a(seed), fnv1a(purpose))
    found: list[float] = []
    for place in range((count + 1) // 2):
        a, b, c, d = philox((place, 0, 0, 0), key)
        found += [((a >> 5) * 2**26 + (b >> 6)) / 2**53, ((c >> 5) * 2**26 + (d >> 6)) / 2**53]
    return found[:count]


@dataclass(frozen=True, slots=True)
class Item:
    """An item of SM-2: what the thesis keeps of it, and whether it is still in the drill of the day."""

    repetition: int = 0
    factor: Fraction = Fraction(5, 2)
    interval: int = 0
    day: datetime.date | None = None
    next: datetime.date | None = None
    drill: bool = False


def sm2(item: Item, quality: int, day: datetime.date) -> Item:
    """One answer, by the steps of SM-2 (Wozniak 1990, 3.2): numbers in brackets are the thesis's own.

    From memory of the thesis as its author published it; I(n) uses the factor as modified by the answer.
    """
    if item.drill and item.day == day:  # [7] repeat the same day until the score is at least four
        return replace(item, drill=quality < 4)
    if quality < 3:  # [6] start from the beginning without changing the E-factor
        repetition, factor = 0, item.factor
        interval = 1
    else:
        # [5] EF' := EF + (0.1 - (5 - q) * (0.08 + (5 - q) * 0.02)), not below 1.3
        factor = (
            item.factor
            + Fraction(1, 10)
            - (5 - quality) * (Fraction(8, 100) + (5 - quality) * Fraction(2, 100))
        )
        factor = max(factor, Fraction(13, 10))
        repetition = item.repetition + 1
        # [3] I(1) := 1, I(2) := 6, for n > 2 I(n) := I(n-1) * EF, fractions rounded up
        interval = {1: 1, 2: 6}.get(repetition) or min(math.ceil(item.interval * factor), 36500)
    return Item(repetition, factor, interval, day, day + datetime.timedelta(days=interval), quality < 4)
