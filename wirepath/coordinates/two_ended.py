"""Two-ended files: CSV rows for a wire whose ends follow different lines in step; their reader.

Where the workshop says how far apart the planes of the two ends lie, figures are those of
the ends in their planes; else those of the wire on the two faces of the foam.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.coordinates.heading import heading
from wirepath.coordinates.laying import passes_of
from wirepath.coordinates.spelling import fixed
from wirepath.model import Layout, Move, MoveKind, Pass, Plan
from wirepath.workshop import Rig

Points = NDArray[np.float64]

COLUMNS = (
    "pass",
    "step",
    "move",
    "piece",
    "feed_mm_per_s",
    "x_near_mm",
    "y_near_mm",
    "feed_near_mm_per_s",
    "x_far_mm",
    "y_far_mm",
    "feed_far_mm_per_s",
)

GAPS_MARK = "# ends: "
"""The comment line that says where the two ends move."""

ROUNDING_MM = 0.0011
"""How far the length of a row may be off: two points rounded to 0.001 mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaps:
    """How far the planes of the wire's two ends lie off the foam's faces, and its thickness."""

    near_mm: float
    far_mm: float
    thick_mm: float

    def at_ends(self, near: Points, far: Points) -> tuple[Points, Points]:
        """Return the ends' places for the wire's places on the two faces, (n, 2) each."""
        lean = (far - near) / self.thick_mm
        return near - lean * self.near_mm, far + lean * self.far_mm

    def at_faces(self, near: Points, far: Points) -> tuple[Points, Points]:
        """Return the wire's places on the two faces for those of its ends."""
        lean = (far - near) / (self.near_mm + self.thick_mm + self.far_mm)
        return near + lean * self.near_mm, far - lean * self.far_mm


def has_two_ends(plan: Plan, layout: Layout, setup: int | None = None) -> bool:
    """Return whether the wire's ends part anywhere on a layout, or in one of its setups."""
    return any(
        move.far is not None
        for one in plan.passes
        if one.layout == layout.number and setup in (None, one.setup)
        for move in one.moves
    )


def gaps_of(rig: Rig, layout: Layout) -> Gaps:
    """Return where a rig's ends move with a layout's slab on it; at the faces if not known."""
    if rig.ends_apart_mm is None:
        return Gaps(near_mm=0.0, far_mm=0.0, thick_mm=layout.thickness_mm)
    return Gaps(
        near_mm=rig.near_gap_mm,
        far_mm=rig.ends_apart_mm - rig.near_gap_mm - layout.thickness_mm,
        thick_mm=layout.thickness_mm,
    )


# --- Writing -----------------------------------------------------------------------


def two_ended_text(plan: Plan, layout: Layout, setup: int | None = None) -> str:
    """Return the text of a layout's file: comment lines in words, a header row, a row a point.

    Or that of one of its setups, by number, in figures of the table. Lines end with CR LF
    (RFC 4180).
    """
    gaps = gaps_of(plan.workshop.rig, layout)
    text = io.StringIO()
    for line in (*heading(plan, layout, setup), *about_ends(gaps)):
        text.write(f"# {line}\r\n")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for one in passes_of(plan, layout, setup):
        writer.writerows(_rows(one, gaps))
    return text.getvalue()


def about_ends(gaps: Gaps) -> Iterator[str]:
    """Yield what a file for two ends says of them, in words."""
    yield (
        f"{GAPS_MARK.removeprefix('# ')}near {gaps.near_mm:.6g} mm in front of the near face, "
        f"far {gaps.far_mm:.6g} mm behind the far face, foam {gaps.thick_mm:.6g} mm between"
    )
    yield (
        "two ends: near is the end in front, far the one behind; both go straight to their "
        "points in the same time, so the wire leans between them"
    )
    yield (
        "feeds: feed_mm_per_s is that of the wire where it crosses the foam's faces faster; "
        "feed_near and feed_far those of the two ends"
    )
    yield "slower: where the wire goes slower it melts a wider slot; that is included too"


def _rows(one: Pass, gaps: Gaps) -> Iterator[Sequence[object]]:
    for step, move in enumerate(one.moves, 1):
        near, far = ways_of(move)
        at_near, at_far = gaps.at_ends(near, far)
        own = [np.hypot(*np.diff(way, axis=0).T) for way in (near, far)]
        ends = [np.hypot(*np.diff(way, axis=0).T) for way in (at_near, at_far)]
        seconds = np.maximum(*own) / move.feed_mm_per_s
        feeds = [span / np.maximum(seconds, 1e-12) for span in ends]
        piece = "" if move.piece is None else move.piece
        for k in range(0 if step == 1 else 1, len(near)):
            row = max(k - 1, 0)
            yield (
                one.number,
                step,
                move.kind,
                piece,
                fixed(move.feed_mm_per_s),
                *(fixed(value) for value in at_near[k]),
                fixed(feeds[0][row]),
                *(fixed(value) for value in at_far[k]),
                fixed(feeds[1][row]),
            )


def ways_of(move: Move) -> tuple[Points, Points]:
    """Return the points of a move's near and far end, (n, 2) each; alike where they go alike."""
    near = shapely.get_coordinates(move.line)
    return near, near if move.far is None else shapely.get_coordinates(move.far)


# --- Reading -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row as it stands in the file, in figures."""

    number: int
    step: int
    kind: MoveKind
    piece: int | None
    feed: float
    near: tuple[float, float]
    near_feed: float
    far: tuple[float, float]
    far_feed: float

    @property
    def label(self) -> tuple[int, int, MoveKind, int | None, float]:
        """What all rows of a move share."""
        return self.number, self.step, self.kind, self.piece, self.feed


def gaps_from(comment: str) -> Gaps:
    """Return what a comment line says of the ends; ValueError where it says something else."""
    words = comment.removeprefix(GAPS_MARK).split()
    figures = [float(words[words.index(word) + 1]) for word in ("near", "far", "foam")]
    return Gaps(near_mm=figures[0], far_mm=figures[1], thick_mm=figures[2])


def passes_from(
    rows: Sequence[Row], layout: int, gaps: Gaps, *, in_setup: bool = False
) -> Iterator[Pass]:
    """Give the passes that rows say, counted from 1, or on from where a setup's file begins.

    Raises ValueError where they do not follow each other.
    """
    first = rows[0].number if in_setup and rows else 1
    for count, (number, group) in enumerate(groupby(rows, key=lambda row: row.number), first):
        if number != count:
            raise ValueError(f"pass {count} is missing: pass {number} comes in its place")
        yield Pass(layout=layout, number=number, moves=tuple(_moves(number, list(group), gaps)))


def _moves(number: int, rows: Sequence[Row], gaps: Gaps) -> Iterator[Move]:
    here: list[Row] = []
    for count, (label, group) in enumerate(groupby(rows, key=lambda row: row.label), 1):
        _, step, kind, piece, feed = label
        own = list(group)
        points = here + own
        if step != count:
            raise ValueError(f"pass {number}: step {step} comes where step {count} should")
        if len(points) < 2:
            raise ValueError(f"pass {number}: the first step has a single point")
        for before, after in pairwise(points):
            _refuse_out_of_step(number, step, before, after)
        near, far = gaps.at_faces(
            np.array([row.near for row in points]), np.array([row.far for row in points])
        )
        together = np.abs(far - near).max() < ROUNDING_MM
        yield Move(
            kind=kind,
            line=LineString(near),
            far=None if together else LineString(far),
            feed_mm_per_s=feed,
            piece=piece,
        )
        here = own[-1:]


def _refuse_out_of_step(number: int, step: int, before: Row, after: Row) -> None:
    """Raise ValueError where the two ends would not be there at the same time."""
    ways = (
        (np.hypot(*np.subtract(after.near, before.near)), after.near_feed),
        (np.hypot(*np.subtract(after.far, before.far)), after.far_feed),
    )
    # Length times the other's feed: no division, so an end that stands still is no trouble.
    (one, one_feed), (other, other_feed) = ways
    off = abs(one * other_feed - other * one_feed)
    slack = ROUNDING_MM * (one_feed + other_feed) + ROUNDING_MM * (one + other)
    if off > slack:
        raise ValueError(f"pass {number}, step {step}: the two ends do not take the same time")
