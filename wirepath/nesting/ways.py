"""Ways to cut a thickness from stock: which size, which axis along the wire, how many slabs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wirepath.errors import Fault, FitError
from wirepath.geometry import AXES, face_size_mm, travel_needed_mm
from wirepath.model import Piece
from wirepath.nesting.shapes import extents
from wirepath.workshop import Axis, Stock, Workshop

ROUNDING_MM = 1e-6
"""Float dust: lengths that differ by less are equal, here and in the proof of a layout."""

SLACK_MM = ROUNDING_MM / 10
"""Given to every gap so that pieces that fit exactly are not lost to float dust."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A stock size with one of its edges along the wire, for slabs of one thickness."""

    stock: Stock
    wire_axis: Axis
    thickness_mm: float
    slabs: int
    """How many slabs of this thickness one block gives."""
    first_mm: float
    """Where the first slab begins: after the trim, or 0 for a block used whole."""

    @property
    def face_mm(self) -> tuple[float, float]:
        """Width and height of the face as bought."""
        return face_size_mm(self.stock, self.wire_axis)

    @property
    def usable_mm(self) -> tuple[float, float]:
        """Width and height of the face less its trims."""
        width, height = self.face_mm
        return width - 2 * self.stock.trim_mm, height - 2 * self.stock.trim_mm

    @property
    def depth_mm(self) -> float:
        """Depth along the wire that slabs can be sawn from."""
        return self.stock.size_mm(self.wire_axis) - 2 * self.stock.trim_mm


def ways(foam: str, thickness_mm: float, workshop: Workshop) -> list[Way]:
    """Return every way to get slabs of `thickness_mm`, in the order of the workshop file.

    Ways with the same block and an equal face and depth are given once.
    """
    found: dict[tuple[str, tuple[float, float]], Way] = {}
    for stock in workshop.stock:
        if stock.foam != foam:
            continue
        for axis in AXES:
            way, limit = _way(stock, axis, thickness_mm, workshop)
            if way is not None and limit is None:
                found.setdefault((stock.name, way.face_mm), way)
    return list(found.values())


def _way(
    stock: Stock, axis: Axis, thickness_mm: float, workshop: Workshop
) -> tuple[Way | None, str | None]:
    """Return the way and what forbids it, told in words (None: nothing does)."""
    wire_mm, kerf_mm = workshop.wire.length_mm, workshop.cutting.kerf_mm
    depth, trim = stock.size_mm(axis), stock.trim_mm
    face = face_size_mm(stock, axis)
    whole = trim == 0 and abs(depth - thickness_mm) <= ROUNDING_MM
    if thickness_mm > depth + ROUNDING_MM:
        return None, f"the block is only {depth:g} mm deep"
    if thickness_mm > depth - 2 * trim + ROUNDING_MM:
        return None, f"its trim leaves a depth of {depth - 2 * trim:g} mm"
    if min(face) <= 2 * trim:
        return None, "its trim leaves nothing of the face"
    slabs = math.floor((depth - 2 * trim + kerf_mm + ROUNDING_MM) / (thickness_mm + kerf_mm))
    way = Way(
        stock=stock,
        wire_axis=axis,
        thickness_mm=depth if whole else thickness_mm,
        slabs=slabs,
        first_mm=trim,
    )
    if thickness_mm > wire_mm:
        return way, f"the wire, {wire_mm:g} mm long, is shorter than the piece is thick"
    if not whole and min(face) > wire_mm:
        return way, (
            f"the wire, {wire_mm:g} mm long, is shorter than the slab cut, {min(face):g} mm"
        )
    rig = workshop.rig
    if rig.kind == "table":
        for side, travel, name in zip(face, (rig.travel_x_mm, rig.travel_y_mm), "xy", strict=True):
            needed_mm = travel_needed_mm(side, workshop.cutting)
            if travel is not None and needed_mm > travel:
                return way, (
                    f"the face with its lead-ins, {needed_mm:g} mm, is longer than the table's "
                    f"travel in {name}"
                )
    return way, None


def fits(piece: Piece, way: Way) -> bool:
    """Whether the piece, turned as allowed, lies inside the way's usable face."""
    width, height = way.usable_mm
    return any(w <= width + ROUNDING_MM and h <= height + ROUNDING_MM for w, h in extents(piece))


def refuse_misfits(pieces: Sequence[Piece], workshop: Workshop) -> None:
    """Raise FitError naming every piece that no block can hold, and what stops each block."""
    faults: list[Fault] = []
    told: set[tuple[str, str]] = set()
    for piece in pieces:
        if any(fits(piece, way) for way in ways(piece.foam, piece.thickness_mm, workshop)):
            continue
        fault = _misfit(piece, workshop)
        if (piece.part, fault.what) not in told:
            told.add((piece.part, fault.what))
            faults.append(fault)
    if faults:
        raise FitError(faults)


def _misfit(piece: Piece, workshop: Workshop) -> Fault:
    stocks = [stock for stock in workshop.stock if stock.foam == piece.foam]
    where = f"piece {piece.number} {piece.name!r}"
    if not stocks:
        return Fault(
            f"no stock of foam {piece.foam!r} is listed",
            where=where,
            mend="add a [[stock]] of that foam to the workshop file, or choose another foam",
        )
    width, height = min(extents(piece), key=lambda size: (max(size), min(size)))
    reasons = "; ".join(f"{stock.name}: {_best_reason(piece, stock, workshop)}" for stock in stocks)
    return Fault(
        f"{width:.1f} x {height:.1f} x {piece.thickness_mm:g} mm thick fits no block ({reasons})",
        where=where,
        mend="make it smaller or thinner, allow it to be turned, split it into parts, "
        "or add a larger block or a longer wire to the workshop file",
    )


def _best_reason(piece: Piece, stock: Stock, workshop: Workshop) -> str:
    """Return why the piece misses the stock, for the axis along which it comes nearest."""
    reasons: list[tuple[int, float, str]] = []
    for axis in AXES:
        way, limit = _way(stock, axis, piece.thickness_mm, workshop)
        face = face_size_mm(stock, axis)
        if way is None:
            reasons.append((0, stock.size_mm(axis), limit or ""))
        elif not fits(piece, way):
            width, height = way.usable_mm
            bought = any(w <= face[0] and h <= face[1] for w, h in extents(piece))
            why = f"only its trim of {stock.trim_mm:g} mm is in the way" if bought else "too small"
            text = f"usable face {width:g} x {height:g} mm, depth {way.depth_mm:g} mm, {why}"
            reasons.append((2 if bought else 1, width * height, text))
        else:
            reasons.append((3, 0.0, limit or ""))
    return max(reasons)[2]
