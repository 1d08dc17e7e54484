"""How a value is printed on a part, IEC 60062:2016: R47 is 0.47 ohm, 4R7, 4K7, 4M7; a letter for the
tolerance."""

from __future__ import annotations

_LETTERS = {"R": 0, "K": 3, "M": 6, "G": 9}
# Percent. F and K as in the standard; G and J from memory.
TOLERANCE_LETTERS = {"F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0}


def resistor_code(ohms: float, tolerance: float | None = None) -> str:
    """The marking of a resistor: 2200 -> `2K2`, with `tolerance` (percent) 5 -> `2K2J`.

    `ohms` from 0.01 up to 10^12. A tolerance without a letter here adds none.
    """
    letter, power = next(
        ((c, p) for c, p in sorted(_LETTERS.items(), key=lambda item: -item[1]) if ohms >= 10**p), ("R", 0)
    )
    shown = f"{float(f'{ohms / 10**power:.4g}'):f}".rstrip("0")
    whole, _, part = shown.partition(".")
    code = f"{whole.lstrip('0') if part else whole}{letter}{part}"
    return code + next((c for c, percent in TOLERANCE_LETTERS.items() if percent == tolerance), "")
