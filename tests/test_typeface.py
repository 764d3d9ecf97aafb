"""The typeface in our files, beside what FreeType reads in the typeface's own file."""

from io import BytesIO

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from matplotlib.ft2font import FT2Font, Kerning, LoadFlags

from wirepath.sheets.typeface import typeface

LETTERS = "AVTo1ß·×—Жλ"


def freetype(file):
    font = FT2Font(file)
    font.set_size(100, 72)
    return font


@pytest.mark.parametrize("bold", [False, True])
def test_letters_are_as_wide_as_freetype_finds_them(bold):
    face, font = typeface(bold), freetype(str(typeface(bold).file))
    for letter in LETTERS:
        glyph = font.load_char(ord(letter), flags=LoadFlags.NO_HINTING)
        wide = face.advances[face.glyphs[ord(letter)]]
        # FreeType tells it in 1/65536 of a pixel, of which an em here has 100.
        assert wide == pytest.approx(glyph.linearHoriAdvance / 65536 / 100, abs=1e-6)


@pytest.mark.parametrize("bold", [False, True])
def test_pairs_are_drawn_together_as_freetype_draws_them(bold):
    face, font = typeface(bold), freetype(str(typeface(bold).file))
    for pair in ("AV", "To", "Lo", "11"):
        one, other = (face.glyphs[ord(letter)] for letter in pair)
        # In design units, 2048 to the em.
        by = font.get_kerning(one, other, Kerning.UNSCALED)
        assert face.kerning.get((one, other), 0.0) == pytest.approx(by / 2048)


@pytest.mark.parametrize("bold", [False, True])
def test_a_part_of_the_typeface_draws_its_letters_alike(bold):
    face = typeface(bold)
    glyphs = [face.glyphs[ord(letter)] for letter in LETTERS]
    part, full = (freetype(file) for file in (BytesIO(face.subset(glyphs)), str(face.file)))
    for glyph in glyphs:
        lines = []
        for font in (part, full):
            font.load_glyph(glyph, flags=LoadFlags.NO_HINTING)
            lines.append(font.get_path()[0])
        np.testing.assert_array_equal(*lines)


def test_a_part_of_the_typeface_leaves_other_letters_out():
    face = typeface(False)
    kept = TTFont(BytesIO(face.subset([face.glyphs[ord("A")]])))["glyf"]
    drawn = [glyph for glyph in map(kept.__getitem__, kept.glyphs) if glyph.numberOfContours]
    assert len(drawn) == 2  # It, and the box for letters that are missing.
