"""Coordinate files of roughing cuts on a table: one a cut, in the cutting plane; read back.

Comment lines in words, then CSV (RFC 4180). Of a slanted edge both ends of the wire have
figures of their own. What the check proves is read from the lines that it needs and the rows.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import shapely
from shapely import LineString

from wirepath.coordinates.spelling import fixed, plain
from wirepath.errors import Fault, FileError
from wirepath.model import Blank, Job, Piece, RoughingCut, RoughingPlan
from wirepath.roughing.directions import stands_on
from wirepath.workshop import Workshop

COLUMNS = ("line", "right_mm", "up_mm")
BOTH_COLUMNS = (*COLUMNS, "upper_right_mm", "upper_up_mm")

MEND = "make the plan again; do not edit coordinate files by hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingFile:
    """What one file says: a cut of a form, by their numbers, its set-up and its lines."""

    form: int
    cut: int
    turn_deg: float
    tilt_deg: float
    stands_on: str
    """The narrow face a block stands on; empty for the back or where it is tilted."""
    lines: tuple[LineString, ...]
    upper_lines: tuple[LineString, ...] = ()


def file_name(form: int, cut: int) -> str:
    """Return the name of a cut's file; the form is counted as the plan holds them."""
    return f"roughing-{form:02}-cut-{cut:02}.csv"


def write_roughing_coordinates(
    job: Job,
    workshop: Workshop,
    roughing: Sequence[RoughingPlan],
    folder: Path,
    *,
    pieces: Sequence[Piece] = (),
) -> None:
    """Write a file for each roughing cut on a table into `folder`; none for a bow.

    `pieces` are those that blanks were cut from, where a plan has cut them out before.
    """
    if workshop.rig.kind != "table":
        return
    names = {piece.number: piece.name for piece in pieces}
    for form, rough in enumerate(roughing, 1):
        blanks = {blank.number: blank for blank in rough.blanks}
        for cut in rough.cuts:
            blank = blanks[cut.blank]
            heading = [
                *_whose(job, form, rough, cut),
                *_block(blank, [names[number] for number in blank.pieces]),
                *_set_up(workshop, cut),
            ]
            text = roughing_text(heading, cut)
            (folder / file_name(form, cut.number)).write_text(text, encoding="utf-8", newline="")


def roughing_text(heading: Sequence[str], cut: RoughingCut) -> str:
    """Return the text of a cut's file, lines ended by CR LF."""
    text = io.StringIO()
    for words in heading:
        text.write(f"# {words}\r\n")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(BOTH_COLUMNS if cut.upper_lines else COLUMNS)
    for number, line in enumerate(cut.lines, 1):
        ends = [shapely.get_coordinates(line)]
        if cut.upper_lines:
            ends.append(shapely.get_coordinates(cut.upper_lines[number - 1]))
        for places in zip(*ends, strict=True):
            writer.writerow([number, *(fixed(float(value)) for at in places for value in at)])
    return text.getvalue()


def _whose(job: Job, form: int, rough: RoughingPlan, cut: RoughingCut) -> Iterator[str]:
    yield f"job: {plain(job.name)}"
    if job.invented:
        yield "invented demo data: not a real commission, stock or price"
    yield f"roughing: {form}"
    yield f"cut: {cut.number}"
    yield f"form: {plain(rough.name)}, cut {cut.number} of {len(rough.cuts)}, {cut.kind}"


def _block(blank: Blank, names: Sequence[str]) -> Iterator[str]:
    if names:
        yield f"pieces: {', '.join(map(plain, names))}, cut out by their outlines"
    yield (
        f"block: {blank.width_mm:.1f} x {blank.height_mm:.1f} x {blank.thickness_mm:.1f} mm, "
        "width x height x thickness as the form stands"
        + ("; where the piece does not fill it, its offcuts do" if names else "")
    )


def _set_up(workshop: Workshop, cut: RoughingCut) -> Iterator[str]:
    yield f"turn_deg: {cut.turn_deg:.6f}"
    yield f"tilt_deg: {cut.tilt_deg:.6f}"
    on = stands_on(cut.direction)
    if on is not None:
        yield f"stands_on: {on}"
        yield (
            "standing: on the narrow face of that name, seen from the front, or with an upright "
            "wire with that face along it; up_mm is measured from it, and nothing is tilted"
        )
    yield (
        "turn: how far the block is turned clockwise, seen from the front; tilt: how far the wire "
        "rises out of the plane of the face, 90 for square to it"
    )
    yield (
        "datum: the left and lower end of the block's outline, seen along the wire; right_mm and "
        "up_mm are measured from there in the plane square to the wire"
    )
    yield "kerf and allowance are included: the figures are the wire's centre; add nothing"
    yield "rows: one for each point; each line begins and ends outside the block"
    if cut.upper_lines:
        yield (
            "ends: right_mm and up_mm are where the wire passes the back of the slab, "
            "upper_right_mm and upper_up_mm its front; both ends take the same time between rows"
        )
    for slit in cut.slits:
        (x0, y0), (x1, y1) = slit.coords[0], slit.coords[-1]
        yield (
            f"slit: lead the wire in and out from right {fixed(x0)}, up {fixed(y0)} to right "
            f"{fixed(x1)}, up {fixed(y1)}; glue it after"
        )
    yield f"feed: {workshop.cutting.feed_mm_per_s:g} mm/s in foam"
    yield "caution: hot wire, fumes and fire; extract at the wire; never stop the wire in the foam"


# --- Reading -----------------------------------------------------------------------


def read_roughing_coordinates(path: Path) -> RoughingFile:
    """Return what the file of a cut at `path` says.

    Raises FileError where it cannot be read or does not hold together.
    """
    try:
        rows = path.read_bytes().decode("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(Fault(f"cannot be read: {error}", str(path), MEND)) from error
    said = dict(
        line.removeprefix("# ").split(": ", 1) for line in rows if line[:1] == "#" and ": " in line
    )
    try:
        table = list(csv.reader((line for line in rows if line[:1] != "#"), strict=True))
        if tuple(table[0]) not in (COLUMNS, BOTH_COLUMNS):
            raise ValueError(f"the header row must read {','.join(COLUMNS)}")
        points = [(int(row[0]), [float(value) for value in row[1:]]) for row in table[1:]]
        if any(len(row) != len(table[0]) for row in table):
            raise ValueError("a row is longer or shorter than the header")
        return RoughingFile(
            form=int(said["roughing"]),
            cut=int(said["cut"]),
            turn_deg=float(said["turn_deg"]),
            tilt_deg=float(said["tilt_deg"]),
            stands_on=said.get("stands_on", ""),
            lines=_lines(points, 0),
            upper_lines=_lines(points, 2) if len(table[0]) > len(COLUMNS) else (),
        )
    except (ValueError, KeyError, IndexError, csv.Error, shapely.GEOSException) as error:
        raise FileError(Fault(f"does not hold together: {error}", str(path), MEND)) from error


def _lines(points: Sequence[tuple[int, list[float]]], first: int) -> tuple[LineString, ...]:
    return tuple(
        LineString([at[first : first + 2] for _, at in group])
        for _, group in groupby(points, key=lambda point: point[0])
    )
