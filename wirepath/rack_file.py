"""Rack file (TOML) <-> the offcuts in store: `[[rack]]` tables and nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import shapely
from shapely import Polygon, box

from wirepath.errors import Fault, SettingsError
from wirepath.plain_data import from_plain, read_toml
from wirepath.workshop import Blocked, Corners, RackPiece, Stock

SAME_MM = 1e-6
"""An outline may miss its stated size by rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rack:
    """What a rack file holds."""

    rack: tuple[RackPiece, ...] = ()


def read_rack(path: Path) -> tuple[RackPiece, ...]:
    """Return the pieces in the rack file at `path`.

    Raises FileError where it cannot be read, SettingsError with every fault found.
    """
    rack, faults = from_plain(read_toml(path), Rack)
    if rack is None:
        raise SettingsError([fault.inside(path) for fault in faults])
    found = [fault.inside(path) for fault in rack_faults(rack.rack)]
    if found:
        raise SettingsError(found)
    return rack.rack


def rack_faults(rack: Sequence[RackPiece]) -> Iterator[Fault]:
    """Give what is wrong with the sizes, outlines and blocked areas of rack pieces."""
    for index, piece in enumerate(rack):
        where = f"rack[{index}]"
        sizes = (piece.length_mm, piece.width_mm)
        if not piece.outline and None in sizes:
            yield Fault(
                "it has neither a size nor an outline",
                where,
                "give length_mm and width_mm, or an outline",
            )
            continue
        yield from shape_faults(piece.stock, where)


def shape_faults(stock: Stock, where: str) -> Iterator[Fault]:
    """Give what is wrong with the outline and the blocked areas of stock."""
    length, width = stock.length_mm, stock.width_mm
    faces: Polygon = box(0, 0, length, width)
    if stock.outline:
        fault = _region_fault(stock.outline, f"{where}.outline")
        if fault:
            yield fault
            return
        faces = Polygon(stock.outline)
        x0, y0, x1, y1 = faces.bounds
        if max(abs(x0), abs(y0)) > SAME_MM:
            yield Fault(
                f"the outline begins at {x0:g}, {y0:g}, not at 0, 0",
                f"{where}.outline",
                "measure its corners from the lower left of the box around it",
            )
            return
        if max(abs(x1 - length), abs(y1 - width)) > SAME_MM:
            yield Fault(
                f"the outline is {x1:g} x {y1:g} mm, the size {length:g} x {width:g} mm",
                f"{where}.outline",
                "leave length_mm and width_mm out of a rack piece, or make both agree",
            )
            return
    if (stock.outline or stock.blocked) and width > length + SAME_MM:
        yield Fault(
            f"it is wider ({width:g} mm) than long ({length:g} mm), with an outline or blocked "
            "areas",
            where,
            "turn it by a quarter, so that its longer side lies along x",
        )
    for number, area in enumerate(stock.blocked):
        yield from _blocked_faults(area, faces, f"{where}.blocked[{number}]")


def _blocked_faults(area: Blocked, face: Polygon, where: str) -> Iterator[Fault]:
    given = [getattr(area, key) is not None for key in ("x_mm", "y_mm", "width_mm", "height_mm")]
    if any(given) == bool(area.corners) or (any(given) and not all(given)):
        yield Fault(
            "it is neither a rectangle nor a region",
            where,
            "give x_mm, y_mm, width_mm and height_mm, or corners alone",
        )
        return
    fault = _region_fault(area.corners, f"{where}.corners") if area.corners else None
    if fault:
        yield fault
    elif not area.polygon.intersects(face):
        yield Fault("it lies beside the block", where, "measure it from the lower left corner")


def _region_fault(corners: Corners, where: str) -> Fault | None:
    if len(corners) < 3:
        return Fault(f"{len(corners)} corners enclose nothing", where, "give at least three")
    polygon = Polygon(corners)
    if not polygon.is_valid or polygon.area <= 0:
        return Fault(
            f"the corners enclose no plain region: {shapely.is_valid_reason(polygon)}",
            where,
            "list the corners in order round the edge, none twice",
        )
    return None


def write_rack(rack: Iterable[RackPiece], path: Path, *, remarks: Sequence[str] = ()) -> None:
    """Write a rack file; `remarks` stand at its head as comments."""
    lines = [f"# {remark}" for remark in remarks]
    for piece in rack:
        lines += ["", "[[rack]]", *_pairs(piece)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _pairs(piece: RackPiece) -> Iterator[str]:
    yield f"name = {_quoted(piece.name)}"
    yield f"foam = {_quoted(piece.foam)}"
    if not piece.outline:
        yield f"length_mm = {piece.length_mm!r}"
        yield f"width_mm = {piece.width_mm!r}"
    yield f"thickness_mm = {piece.thickness_mm!r}"
    yield f"count = {piece.count}"
    if piece.trim_mm:
        yield f"trim_mm = {piece.trim_mm!r}"
    if piece.outline:
        yield f"outline = {_corners(piece.outline)}"
    for area in piece.blocked:
        yield "[[rack.blocked]]"
        if area.corners:
            yield f"corners = {_corners(area.corners)}"
        else:
            for key in ("x_mm", "y_mm", "width_mm", "height_mm"):
                yield f"{key} = {getattr(area, key)!r}"


def _corners(corners: Corners) -> str:
    return "[" + ", ".join(f"[{x!r}, {y!r}]" for x, y in corners) + "]"


def _quoted(text: str) -> str:
    """Return a TOML basic string: quotes, backslashes and control characters escaped."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c >= " " else f"\\u{ord(c):04x}" for c in escaped) + '"'
