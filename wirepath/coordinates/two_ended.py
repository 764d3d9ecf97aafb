"""Two-ended files: CSV rows for a wire whose ends follow different lines in step."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from wirepath.coordinates.heading import fixed, plain
from wirepath.routing.tapered import TaperMove

COLUMNS = (
    "step",
    "move",
    "x_near_mm",
    "y_near_mm",
    "feed_near_mm_per_s",
    "x_far_mm",
    "y_far_mm",
    "feed_far_mm_per_s",
)


def two_ended_text(
    moves: Sequence[TaperMove],
    *,
    name: str,
    width_mm: float,
    height_mm: float,
    thickness_mm: float,
    kerf_mm: float,
    feed_mm_per_s: float,
    invented: bool,
) -> str:
    """Return the text of a taper's file: comment lines in words, a header row, one row a move.

    Figures are those of the wire's centre *on the two faces* of the block, not at the
    carriages that hold it. Lines end with CR LF.
    """
    text = io.StringIO()
    for line in (
        f"taper: {plain(name)}",
        *(["invented demo data: not a real commission, stock or price"] if invented else []),
        f"face: x 0 to {width_mm:g}, y 0 to {height_mm:g}; block {thickness_mm:g} mm along the "
        "wire",
        "units: mm, mm/s; decimal point",
        "datum: x 0, y 0 is the lower left corner of the foam as bought, rough faces included, "
        "seen from the front, on both faces",
        "axes: x to the right, y up; absolute figures; near is the front face, far the one behind",
        f"kerf: {kerf_mm:g} mm full width at {feed_mm_per_s:g} mm/s is included, wider at the "
        "slower end: the figures are the wire's centre on the faces; add nothing",
        "rows: both ends go straight to their points in the same time; the first row is where "
        "they start, outside the foam",
        "caution: hot wire, fumes and fire; extract at the wire; never stop the wire in the foam",
    ):
        text.write(f"# {line}\r\n")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for step, move in enumerate(moves, 1):
        writer.writerow(
            (
                step,
                move.kind,
                *map(fixed, move.near),
                fixed(move.near_mm_per_s),
                *map(fixed, move.far),
                fixed(move.far_mm_per_s),
            )
        )
    return text.getvalue()
