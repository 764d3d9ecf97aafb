"""The lists of a plan as CSV: order.csv, rack.csv, pieces.csv, offcuts.csv, pins.csv, loads.csv.

RFC 4180: comma, quotes doubled, CRLF, a header row; numbers with a point.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from shapely import Point

from wirepath.errors import Fault, FileError
from wirepath.geometry import place
from wirepath.model import PieceMiss, Plan
from wirepath.units import kilograms, litres

Row = Mapping[str, str]


def write_lists(plan: Plan, folder: Path) -> None:
    """Write order, rack, pieces and offcuts; with pins pins.csv, with a van loads.csv."""
    _write(folder / "order.csv", ORDER_COLUMNS, _order_rows(plan))
    _write(folder / "rack.csv", RACK_COLUMNS, _rack_rows(plan))
    _write(folder / "pieces.csv", PIECE_COLUMNS, _piece_rows(plan))
    _write(folder / "offcuts.csv", OFFCUT_COLUMNS, _offcut_rows(plan.with_blanks()))
    if plan.assembly.pins:
        _write(folder / "pins.csv", PIN_COLUMNS, _pin_rows(plan))
    if plan.loads:
        _write(folder / "loads.csv", LOAD_COLUMNS, _load_rows(plan))


def read_list(path: Path) -> tuple[Row, ...]:
    """Return the rows of a list, by column name. Raises FileError where it cannot be read."""
    try:
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file, strict=True))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise FileError(
            Fault(f"cannot be read: {error}", str(path), "make the plan again")
        ) from error
    if any(None in row or None in row.values() for row in rows):
        raise FileError(
            Fault("a row is longer or shorter than the header", str(path), "make the plan again")
        )
    return tuple(rows)


ORDER_COLUMNS = (
    "stock,foam,length_mm,width_mm,thickness_mm,needed,spare,to_order,"
    "price_each,price,volume_m3,weight_kg"
).split(",")
RACK_COLUMNS = "name,foam,length_mm,width_mm,thickness_mm,take,volume_m3,weight_kg".split(",")
PIECE_COLUMNS = (
    "number,name,part,block,layout,x_mm,y_mm,angle_deg,flipped,width_mm,height_mm,"
    "thickness_mm,allowance_mm,foam,volume_litres,weight_kg,"
    "miss_mm,miss_x_mm,miss_y_mm"
).split(",")
OFFCUT_COLUMNS = (
    "number,name,block,layout,x_mm,y_mm,width_mm,height_mm,from_mm,thickness_mm,volume_litres,"
    "roughing_cut,weight_kg"
).split(",")

PIN_COLUMNS = (
    "place,pin,seam,piece,on,block,layout,right_mm,up_mm,along_mm,height_mm,diameter_mm,deep_mm"
).split(",")

LOAD_COLUMNS = (
    "box,load,order,pieces,x_mm,y_mm,z_mm,length_mm,width_mm,height_mm,weight_kg"
).split(",")


def _write(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        writer.writerows(rows)


def _fixed(value: float, decimals: int = 3) -> str:
    """Return a number with fixed decimals, never as -0.000."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"


def _order_rows(plan: Plan) -> Iterator[Sequence[object]]:
    for line in plan.estimate.order:
        yield (
            line.stock,
            line.foam,
            *map(_fixed, (line.length_mm, line.width_mm, line.thickness_mm)),
            line.needed,
            line.spare,
            line.count,
            _fixed(line.price_each, 2),
            _fixed(line.price, 2),
            _fixed(line.volume_m3, 6),
            _fixed(line.weight_kg),
        )


def _rack_rows(plan: Plan) -> Iterator[Sequence[object]]:
    for line in plan.estimate.rack:
        yield (
            line.name,
            line.foam,
            *map(_fixed, (line.length_mm, line.width_mm, line.thickness_mm)),
            line.count,
            _fixed(line.volume_m3, 6),
            _fixed(line.weight_kg),
        )


def _piece_rows(plan: Plan) -> Iterator[Sequence[object]]:
    places = {one.piece: (layout, one) for layout in plan.layouts for one in layout.placements}
    weights = dict(plan.estimate.piece_weights_kg)
    misses = {miss.piece: miss for miss in plan.misses}
    for piece in plan.pieces:
        layout, placement = places[piece.number]
        west, south, east, north = piece.outline.bounds
        yield (
            piece.number,
            piece.name,
            piece.part,
            layout.block,
            layout.number,
            _fixed(placement.x_mm),
            _fixed(placement.y_mm),
            _fixed(placement.angle_deg),
            "yes" if placement.flipped else "no",
            _fixed(east - west),
            _fixed(north - south),
            _fixed(piece.thickness_mm),
            _fixed(piece.allowance_mm),
            piece.foam,
            _fixed(litres(piece.volume_mm3)),
            _fixed(weights[piece.number]),
            *_miss_cells(misses.get(piece.number)),
        )


def _miss_cells(miss: PieceMiss | None) -> tuple[str, str, str]:
    """Return how far and where the slot misses the outline; 0 and no place where nowhere."""
    if miss is None:
        return _fixed(0.0), "", ""
    return _fixed(miss.miss_mm), _fixed(miss.at[0]), _fixed(miss.at[1])


def _offcut_rows(plan: Plan) -> Iterator[Sequence[object]]:
    for offcut in plan.estimate.offcuts:
        yield (
            offcut.number,
            offcut.name,
            offcut.block,
            "" if offcut.layout is None else offcut.layout,
            *map(
                _fixed,
                (
                    offcut.x_mm,
                    offcut.y_mm,
                    offcut.width_mm,
                    offcut.height_mm,
                    offcut.from_mm,
                    offcut.thickness_mm,
                    litres(offcut.volume_mm3),
                ),
            ),
            "",
            _fixed(kilograms(offcut.volume_mm3, _density(plan, offcut.block))),
        )
    yield from _roughing_offcut_rows(plan)


def _roughing_offcut_rows(plan: Plan) -> Iterator[Sequence[object]]:
    """Give the lumps worth keeping that roughing frees, one row each for every copy.

    Width, height and thickness are those of the box a lump fits in, the longest first.
    """
    for form, rough in enumerate(plan.roughing, 1):
        for cut in rough.cuts:
            for lump in cut.offcuts:
                for copy in range(1, len(rough.forms) + 1) if lump.keep else ():
                    yield (
                        f"R{form}-{lump.number}-{copy}",
                        *[""] * 5,
                        *map(_fixed, (lump.length_mm, lump.width_mm)),
                        "",
                        *map(_fixed, (lump.thickness_mm, lump.litres)),
                        f"{form}-{cut.number}",
                        _fixed(lump.weight_kg),
                    )


def _density(plan: Plan, block: int) -> float:
    foam = plan.workshop.stock_named(plan.block(block).stock).foam
    return plan.workshop.foam(foam).density_kg_per_m3


def _pin_rows(plan: Plan) -> Iterator[Sequence[object]]:
    """Give each pin twice, once in either piece, where a maker measures it.

    Between layers on the foam before it is cut, from the datum corner, on the front or the
    back; across an edge seam along it, and how high off the form's back.
    """
    places = {one.piece: (layout, one) for layout in plan.layouts for one in layout.placements}
    for pin in plan.assembly.pins:
        seam = plan.seams[pin.seam - 1]
        low = min(seam.pieces, key=lambda number: plan.piece(number).from_mm)
        for number in seam.pieces:
            layout, placement = places[number]
            if seam.kind == "layer":
                spot = place(Point(*pin.start[:2]), placement)
                side = "front" if (number == low) != placement.flipped else "back"
                measured = (side, _fixed(spot.x), _fixed(spot.y), "", "")
            else:
                measured = ("edge", "", "", _fixed(pin.along_mm or 0.0), _fixed(pin.start[2]))
            on, *figures = measured
            yield (
                f"{pin.number}-{number}",
                pin.number,
                pin.seam,
                number,
                on,
                layout.block,
                layout.number,
                *figures,
                _fixed(plan.workshop.glue.pin_diameter_mm),
                _fixed(math.dist(pin.start, pin.end) / 2),
            )


def _load_rows(plan: Plan) -> Iterator[Sequence[object]]:
    for load in plan.loads:
        for order, item in enumerate(load.items, 1):
            yield (
                f"{load.number}-{order}",
                load.number,
                order,
                " ".join(map(str, item.pieces)),
                *map(
                    _fixed,
                    (
                        item.x_mm,
                        item.y_mm,
                        item.z_mm,
                        item.length_mm,
                        item.width_mm,
                        item.height_mm,
                        item.weight_kg,
                    ),
                ),
            )
