"""The typeface of the pages: cut out of its package and put into the style sheet as data.

A bench PC has whatever system face it has; this one has figures of one width, a slashed zero, and a 1, an l
and an I that nobody mistakes. As data it works from disk and in print, without a request. What the cut lacks
(symbols, other scripts) comes from the system's face, letter by letter.
"""

from __future__ import annotations

import base64
import io
from importlib.resources import files
from importlib.util import find_spec

from benchlore.cache import code_of, key_of, remembered

PACKAGE = "fontpkg_ibm_plex_sans"
# As the style sheets call it: its licence keeps the name of the original for the original.
NAME = "Bench"
WEIGHTS = (400, 700)
_SOURCE = "files/IBMPlexSans[wdth,wght].ttf"
_SAYS = "Cut from IBM Plex Sans, copyright IBM Corp., SIL Open Font License 1.1, https://openfontlicense.org"
# Latin-1, and what units, readings and prose need besides.
_LETTERS = (*range(0x20, 0x7F), *range(0xA0, 0x100), *map(ord, "ŒœŸ–—‘’“”„…•′″€™Ωμ−×→←↑↓≥≤≈√Δπ"), 0x2126)
# The slashed zero. Kerning would weigh as much as all letters together.
_FEATURES = ("zero",)
_UNUSED = ("GPOS", "STAT")
# Name records that stay: copyright, licence, its address.
_NAMES = (0, 13, 14)


def sheet() -> str:
    """The rules that bring the face, for the head of a style sheet; empty without its package."""
    if find_spec(PACKAGE) is None:
        return ""
    key = key_of(code_of("site/face.py", packages=("fontpkg-ibm-plex-sans", "fonttools")))
    cut: dict[str, str] = remembered("face", key, _cut, {str: str})
    return f"/* {_SAYS} */\n" + "".join(_rule(weight, cut[str(weight)]) for weight in WEIGHTS)


def _rule(weight: int, data: str) -> str:
    return (
        f'@font-face{{font-family:"{NAME}";font-weight:{weight};font-style:normal;font-display:block;'
        f'src:url("data:font/ttf;base64,{data}") format("truetype")}}\n'
    )


def _cut() -> dict[str, str]:
    """Each weight as base64 of a font file. Not compressed: compressors differ from system to system."""
    # Half a second to import, and a style sheet is seldom made anew.
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont
    from fontTools.varLib.instancer import instantiateVariableFont

    options = Options()
    options.layout_features = list(_FEATURES)
    options.name_IDs = list(_NAMES)
    options.hinting = options.glyph_names = options.legacy_kern = False
    font = TTFont(io.BytesIO(files(PACKAGE).joinpath(_SOURCE).read_bytes()), recalcTimestamp=False)
    for tag in set(_UNUSED) & set(font.keys()):  # left in, they are read whole before they are left out
        del font[tag]
    cutter = Subsetter(options)
    cutter.populate(unicodes=_LETTERS)
    cutter.subset(font)
    small = _saved(font)
    made = {}
    for weight in WEIGHTS:
        whole = TTFont(io.BytesIO(small), recalcTimestamp=False)
        one = instantiateVariableFont(whole, {"wght": weight, "wdth": 100})
        made[str(weight)] = base64.b64encode(_saved(one)).decode("ascii")
    return made


def _saved(font: object) -> bytes:
    out = io.BytesIO()
    font.save(out)  # type: ignore[attr-defined]
    return out.getvalue()
