"""The typeface as its file tells it: which glyph a letter has, how wide, what a PDF needs of it.

It comes with matplotlib, so that a sheet is the same on every machine. matplotlib itself is not
imported: that takes as long as the sheets of a small plan.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path

from fontTools.ttLib import TTFont

FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
"""By whether it is bold."""

READ_BY_PDF = {"head", "hhea", "maxp", "hmtx", "cvt ", "fpgm", "prep", "loca", "glyf"}
"""Tables that a PDF reads of a typeface whose glyphs it calls by number (ISO 32000-1, 9.9)."""


@dataclass(frozen=True, slots=True)
class Typeface:
    """One weight of the typeface. Lengths are in em."""

    file: Path
    name: str
    glyphs: Mapping[int, int] = field(repr=False)
    """The glyph of each code point."""
    advances: Mapping[int, float] = field(repr=False)
    """How far each glyph moves the pen."""
    kerning: Mapping[tuple[int, int], float] = field(repr=False)
    """How much farther it moves between two glyphs: less than 0 where they are drawn together."""
    box: tuple[float, float, float, float]
    """What the glyphs cover, all laid on one another: x0 y0 x1 y1."""
    ascent: float
    descent: float

    def subset(self, glyphs: Collection[int]) -> bytes:
        """Return a file of the typeface with these glyphs only, their numbers as they were."""
        from fontTools.subset import Options, Subsetter

        font = TTFont(self.file, lazy=True, recalcTimestamp=False)
        for table in set(font.keys()) - READ_BY_PDF - {"GlyphOrder"}:
            del font[table]
        shrink = Subsetter(Options(retain_gids=True, notdef_outline=True, glyph_names=False))
        shrink.populate(gids=sorted(glyphs))
        shrink.subset(font)
        file = BytesIO()
        font.save(file)
        return file.getvalue()


@cache
def typeface(bold: bool) -> Typeface:
    """Return the typeface, read once."""
    file = _folder() / FILES[bold]
    font = TTFont(file, lazy=True)
    head, number = font["head"], font.getReverseGlyphMap()
    em = head.unitsPerEm
    return Typeface(
        file=file,
        name=font["name"].getDebugName(6),
        glyphs={code: number[glyph] for code, glyph in font.getBestCmap().items()},
        advances={number[glyph]: wide / em for glyph, (wide, _) in font["hmtx"].metrics.items()},
        kerning={
            (number[one], number[other]): by / em
            for table in font["kern"].kernTables
            for (one, other), by in table.kernTable.items()
        },
        box=(head.xMin / em, head.yMin / em, head.xMax / em, head.yMax / em),
        ascent=font["hhea"].ascent / em,
        descent=font["hhea"].descent / em,
    )


def _folder() -> Path:
    spec = find_spec("matplotlib")
    if spec is not None and spec.origin is not None:
        folder = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
        if folder.is_dir():
            return folder
    # Some systems keep matplotlib's data elsewhere: it alone knows where.
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"
