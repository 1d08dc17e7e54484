"""The typeface of the pages, as it stands in the style sheet: what it can write, what it weighs."""

from __future__ import annotations

import base64
import io
import re

import pytest

from benchlore.site import face
from tests.parts import Library

ttLib = Library("fontTools.ttLib")  # noqa: N816
RULE = re.compile(r"@font-face\{[^}]*font-weight:(\d+)[^}]*base64,([^\"]+)\"")


@pytest.fixture(scope="module")
def sheet() -> str:
    pytest.importorskip(face.PACKAGE, reason="the package of the typeface is not installed")
    return face.sheet()


@pytest.fixture(scope="module")
def fonts(sheet):
    made = {
        int(weight): ttLib.TTFont(io.BytesIO(base64.b64decode(data))) for weight, data in RULE.findall(sheet)
    }
    assert tuple(made) == face.WEIGHTS
    return made


def test_it_weighs_little_and_is_the_same_whoever_makes_it(sheet):
    assert len(sheet) < 80_000
    assert face._cut() == dict(RULE.findall(sheet))


def test_it_writes_units_readings_and_the_languages_of_the_counter(fonts):
    for font in fonts.values():
        letters = font.getBestCmap()
        missing = [one for one in "0123456789.,±−Ωµ°·×→äöüßéèñ¿œ“”–" if ord(one) not in letters]
        assert missing == []


def test_figures_are_of_one_width_and_zero_may_have_its_slash(fonts):
    """Tabular by themselves; the feature `zero` is OpenType's slashed zero (registered feature tags)."""
    for font in fonts.values():
        letters, widths = font.getBestCmap(), font["hmtx"]
        assert len({widths[letters[ord(one)]][0] for one in "0123456789"}) == 1
        assert "zero" in {one.FeatureTag for one in font["GSUB"].table.FeatureList.FeatureRecord}


def test_one_l_and_capital_i_are_three_shapes(fonts):
    for font in fonts.values():
        letters, glyphs = font.getBestCmap(), font["glyf"]
        shapes = [tuple(glyphs[letters[ord(one)]].getCoordinates(glyphs)[0]) for one in "1lI"]
        assert len(set(shapes)) == 3
        assert all(len(shape) > 4 for shape in shapes), "none is a plain bar"


def test_it_names_its_licence_and_not_the_reserved_name(sheet, fonts):
    """SIL Open Font License 1.1, conditions 2 and 3."""
    assert "SIL Open Font License 1.1" in sheet
    for font in fonts.values():
        names = {one.nameID: one.toUnicode() for one in font["name"].names}
        assert "SIL Open Font License" in names[13]
        assert names[0].startswith("Copyright")
        assert not [text for of, text in names.items() if of not in (0, 13, 14) and "Plex" in text]
