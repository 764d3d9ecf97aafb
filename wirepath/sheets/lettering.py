"""Lettering: sizes, how wide a text prints, where it is broken into lines.

Sizes are heights of a capital in mm, from the series of ISO 3098: 2.5, 3.5, 5, 7, 10.
The typeface comes with matplotlib, so that a sheet is the same on every machine.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib
from matplotlib.ft2font import FT2Font, LoadFlags

NOTE, TEXT, HEAD, BIG, HUGE = 2.5, 3.5, 5.0, 7.0, 10.0

CAP_PER_EM = 1493 / 2048
"""Height of a capital of the typeface, as a share of its em (its OS/2 table)."""
ASCENT_PER_EM = 0.77
"""From the baseline to the top of b, d, l."""
DESCENT_PER_EM = 0.24
"""From the baseline to the bottom of g, p, y."""
MM_PER_POINT = 25.4 / 72


def points(cap_mm: float) -> float:
    """Return the type size in points whose capitals are `cap_mm` high."""
    return cap_mm / CAP_PER_EM / MM_PER_POINT


def line_mm(cap_mm: float) -> float:
    """Return the distance from one baseline to the next."""
    return 1.3 * cap_mm / CAP_PER_EM


def typeface(bold: bool) -> Path:
    """Return the file of the typeface."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name


@cache
def _font(bold: bool) -> Any:
    font = FT2Font(str(typeface(bold)))
    font.set_size(100, 72)
    return font


@cache
def _advance(letter: str, bold: bool) -> float:
    """Return how far a letter moves the pen, in em."""
    glyph = _font(bold).load_char(ord(_printable(letter)), flags=LoadFlags.NO_HINTING)
    return float(glyph.linearHoriAdvance) / 65536 / 100


@cache
def _printable(letter: str) -> str:
    if letter.isspace():
        return " "
    known = letter.isprintable() and _font(False).get_char_index(ord(letter)) != 0
    return letter if known else "?"


def printable(text: str) -> str:
    """Return `text` with every letter the typeface lacks as a question mark."""
    return "".join(_printable(letter) for letter in text)


@cache
def _em(text: str, bold: bool) -> float:
    return sum(_advance(letter, bold) for letter in text)


def width_mm(text: str, cap_mm: float, *, bold: bool = False) -> float:
    """Return how wide `text` prints on one line (kerning, which narrows it, is neglected)."""
    return _em(text, bold) * cap_mm / CAP_PER_EM


def shorten(text: str, room_mm: float, cap_mm: float, *, bold: bool = False) -> str:
    """Return `text`, its end replaced by dots where it is wider than `room_mm`."""
    text = printable(text)
    if width_mm(text, cap_mm, bold=bold) <= room_mm:
        return text
    while text and width_mm(text + "…", cap_mm, bold=bold) > room_mm:
        text = text[:-1]
    return text.rstrip() + "…"


JOINED = re.compile(
    r"""(?<=\d)\ (?=(?:mm|m|kg|min|V)\b|\d+/\d+\")   # a figure and its unit, 7 and 3/16 inches
    |(?<=\"\))\ (?=mm\b)                             # a size with its inches and the unit
    |\ (?=\d[\d-]*\))                                # a name in brackets and its number
    """,
    re.VERBOSE,
)
"""Spaces at which no line is to end."""


@cache
def wrap(text: str, room_mm: float, cap_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return the lines of `text`, none wider than `room_mm`; long words are broken.

    What belongs together (`JOINED`) stays on one line where it fits on one.
    """
    lines = [""]
    for word in _words(text, room_mm, cap_mm, bold):
        longer = f"{lines[-1]} {word}".strip()
        if width_mm(longer, cap_mm, bold=bold) <= room_mm:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_mm(lines[-1] + letter, cap_mm, bold=bold) > room_mm:
                lines.append("")
            lines[-1] += letter
    return tuple(lines)


def _words(text: str, room_mm: float, cap_mm: float, bold: bool) -> Iterator[str]:
    """Yield what stays on one line, in order: words, and words joined if they fit."""
    for words in JOINED.sub("\N{NO-BREAK SPACE}", " ".join(text.split())).split(" "):
        joined = printable(words)
        if width_mm(joined, cap_mm, bold=bold) <= room_mm:
            yield joined
        else:
            yield from joined.split()


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the page, in mm from its lower left corner."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Extent to the right."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Extent upwards."""
        return self.y1 - self.y0

    def grown(self, by_mm: float) -> Box:
        """Return the box with a rim of `by_mm` around it."""
        return Box(self.x0 - by_mm, self.y0 - by_mm, self.x1 + by_mm, self.y1 + by_mm)

    def meets(self, other: Box) -> bool:
        """Return whether the two overlap; touching rims do not."""
        return (
            self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1
        )
