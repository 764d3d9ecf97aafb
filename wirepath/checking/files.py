"""Promise 6: coordinate files, order, piece, offcut, pin lists say what the plan says.

Rows are what a CSV reader gives: column name to text. Units stand in the column names.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from wirepath.checking.finding import Finding, found, place_of
from wirepath.checking.solids import solid_mm3, ways
from wirepath.errors import Fault
from wirepath.geometry import place, turn_matrix
from wirepath.model import MoveKind, Pass, Piece, PieceMiss, Placement, Plan, Setup
from wirepath.units import kilograms, litres

Row = Mapping[str, str]
FiledSetup = tuple[int, int | None, Setup | None]
"""What one coordinate file is for: layout and setup, and how it says that the block lies."""

Label = tuple[MoveKind, int | None]
"""What a step is said to be: its kind, and the piece it is for."""

Cell = str | bool | float | tuple[float, ...]
"""What must stand in a cell; a tuple holds several figures that are all right."""

Figures = Mapping[str, Cell]
"""Column name to what must stand there."""

POINT_MM = 0.006
"""Points in coordinate files: half of a hundredth of a mm, with room."""

FEED_SHARE = 0.001
"""Feeds in coordinate files."""

ROUNDING = {"mm": 0.051, "deg": 0.0051, "m3": 0.00051, "kg": 0.051, "litres": 0.051}
"""Most a printed figure may differ, by the unit its column name ends in: half a last digit."""

PRICES = ("price", "price_each")
PRICE_ROUNDING = 0.0051
"""Prices: half a hundredth. Columns that are neither price nor measure hold whole numbers."""

YES = ("yes", "true", "1")


def check_files(
    plan: Plan,
    coordinate_passes: Mapping[int, tuple[Pass, ...]],
    order_rows: Sequence[Row],
    piece_rows: Sequence[Row],
    offcut_rows: Sequence[Row],
    rack_rows: Sequence[Row] = (),
    load_rows: Sequence[Row] = (),
    setups: Sequence[FiledSetup] = (),
    pin_rows: Sequence[Row] = (),
) -> tuple[Finding, ...]:
    """Return whether what was read back from the written files is what the plan says.

    `coordinate_passes` maps a layout's number to the passes of its files, `setups` are what
    each of the files says of how the block lies. Rows may stand in any order. The plan's
    numbers must hold together (`check_plan`'s first finding).
    """
    return (
        _coordinates(plan.with_blanks(), coordinate_passes, setups),
        _table("order list", "stock", order_rows, _order_figures(plan)),
        _table("list of the rack", "name", rack_rows, _rack_figures(plan)),
        _table("piece list", "number", piece_rows, _piece_figures(plan)),
        _table("offcut list", "number", offcut_rows, _offcut_figures(plan.with_blanks())),
        *(
            [_table("list of pins", "place", pin_rows, _pin_figures(plan))]
            if plan.assembly.pins or pin_rows
            else []
        ),
        *(
            [_table("list of loads", "box", load_rows, _load_figures(plan))]
            if plan.loads or load_rows
            else []
        ),
    )


# --- Coordinates -------------------------------------------------------------------


def _coordinates(
    plan: Plan, files: Mapping[int, tuple[Pass, ...]], setups: Sequence[FiledSetup]
) -> Finding:
    """Return whether the coordinate files hold the plan's passes, point by point."""
    faults = [
        Fault("there is a coordinate file, but no such layout", place_of(number))
        for number in sorted(set(files) - {layout.number for layout in plan.layouts})
    ]
    points = 0
    for layout in plan.layouts:
        filed = [(number, lies) for name, number, lies in setups if name == layout.number]
        asked = list(enumerate(layout.setups, 1))
        if asked and not _lie_alike(filed, asked):
            what = "the files say of other setups than the plan how the block lies"
            faults.append(Fault(what, place_of(layout.number)))
        there = {one.number: one for one in files.get(layout.number, ())}
        here = {one.number: one for one in plan.passes if one.layout == layout.number}
        if here.keys() != there.keys() or len(there) != len(files.get(layout.number, ())):
            what = f"passes {sorted(there)} in the file, {sorted(here)} in the plan"
            faults.append(Fault(what, place_of(layout.number)))
        for number in sorted(here.keys() & there.keys()):
            faults += _pass_differs(here[number], there[number])
            points += sum(len(move.line.coords) for move in here[number].moves)
    return found(
        6,
        "The coordinate files say what the plan says",
        f"{len(setups) or len(files)} files, {points} points compared to {POINT_MM} mm",
        faults,
    )


def _lie_alike(
    filed: Sequence[tuple[int | None, Setup | None]], asked: Sequence[tuple[int, Setup]]
) -> bool:
    """Return whether files tell of the same setups as a plan, the block where it lies there."""
    there = dict(filed)
    if len(filed) != len(asked) or there.keys() != {number for number, _ in asked}:
        return False
    for number, setup in asked:
        lies = there[number]
        if lies is None or lies.turn_deg != setup.turn_deg:
            return False
        if max(abs(lies.x_mm - setup.x_mm), abs(lies.y_mm - setup.y_mm)) > POINT_MM:
            return False
    return True


def _pass_differs(here: Pass, there: Pass) -> list[Fault]:
    """Return the first place where a pass in a file is not the plan's."""
    where = f"{place_of(here.layout)}, pass {here.number}"
    if there.layout != here.layout:
        return [Fault(f"the file states layout {there.layout}", where)]
    if there.setup != here.setup:
        return [Fault(f"stands in the file of setup {there.setup}, not {here.setup}", where)]
    steps, labels = _steps(here)
    file_steps, file_labels = _steps(there)
    if len(steps) != len(file_steps):
        what = f"{len(file_steps)} straight moves in the file, {len(steps)} in the plan"
        return [Fault(what, where)]
    far = np.abs(steps[:, :8] - file_steps[:, :8]).max(axis=1) > POINT_MM
    fast = np.abs(steps[:, 8] - file_steps[:, 8]) > FEED_SHARE * steps[:, 8]
    other = np.array([a != b for a, b in zip(labels, file_labels, strict=True)], dtype=bool)
    wrong = (("another point", far), ("another feed", fast), ("another kind or piece", other))
    faults = []
    for word, mask in wrong:
        if mask.any():
            x, y = steps[int(mask.argmax()), :2]
            faults.append(
                Fault(f"{word} in the file than in the plan", f"{where}, near x {x:.1f}, y {y:.1f}")
            )
    return faults


def _steps(one: Pass) -> tuple[NDArray[np.float64], list[Label]]:
    """Return all straight steps of a pass: (n, 9) from, to (mm) and feed; n labels.

    From and to are those of the near end, then of the far one.
    """
    rows: list[NDArray[np.float64]] = []
    labels: list[Label] = []
    for move in one.moves:
        points, far = ways(move)
        feed = np.full((len(points) - 1, 1), move.feed_mm_per_s)
        rows.append(np.hstack((points[:-1], points[1:], far[:-1], far[1:], feed)))
        labels += [(move.kind, move.piece)] * (len(points) - 1)
    return np.concatenate([np.empty((0, 9)), *rows]), labels


# --- Tables ------------------------------------------------------------------------


def _table(title: str, key: str, rows: Sequence[Row], asked: Mapping[str, Figures]) -> Finding:
    """Return whether a table holds one row for each thing asked for, with its figures."""
    faults: list[Fault] = []
    seen: set[str] = set()
    for index, row in enumerate(rows, 1):
        name = row.get(key, "")
        if name in seen:
            faults.append(Fault("stands there twice", f"{title}, {key} {name}"))
        elif name not in asked:
            faults.append(Fault("is not in the plan", f"{title}, row {index}, {key} {name!r}"))
        else:
            faults += _row_differs(row, asked[name], f"{title}, {key} {name}")
        seen.add(name)
    faults += [
        Fault("is in the plan, but not in the list", f"{title}, {key} {name}")
        for name in asked
        if name not in seen
    ]
    return found(6, f"The {title} says what the plan says", f"{len(rows)} rows compared", faults)


def _row_differs(row: Row, asked: Figures, where: str) -> list[Fault]:
    return [
        Fault(f"{row.get(column)!r} in the list, {_words(right)} in the plan", f"{where}, {column}")
        for column, right in asked.items()
        if not _says(row.get(column), right, column)
    ]


def _words(right: Cell) -> str:
    if isinstance(right, tuple):
        return " or ".join(f"{figure:.6g}" for figure in right)
    return repr(right) if isinstance(right, str | bool) else f"{right:.6g}"


def _says(text: str | None, right: Cell, column: str) -> bool:
    """Return whether a cell's text says `right`, numbers to half their last usual digit."""
    if text is None:
        return False
    if isinstance(right, bool):
        return (text.strip().lower() in YES) is right
    if isinstance(right, str):
        return text.strip() == right
    try:
        figure = float(text)
    except ValueError:
        return False
    slack = PRICE_ROUNDING if column in PRICES else ROUNDING.get(column.rpartition("_")[2], 0.0)
    choices = right if isinstance(right, tuple) else (right,)
    return any(abs(figure - choice) <= slack for choice in choices)


def _order_figures(plan: Plan) -> dict[str, Figures]:
    return {
        line.stock: {
            "foam": line.foam,
            "length_mm": line.length_mm,
            "width_mm": line.width_mm,
            "thickness_mm": line.thickness_mm,
            "needed": line.needed,
            "spare": line.spare,
            "to_order": line.needed + line.spare,
            "price_each": line.price_each,
            "price": (line.needed + line.spare) * line.price_each,
            "volume_m3": line.volume_m3,
            "weight_kg": line.weight_kg,
        }
        for line in plan.estimate.order
    }


def _rack_figures(plan: Plan) -> dict[str, Figures]:
    return {
        line.name: {
            "foam": line.foam,
            "length_mm": line.length_mm,
            "width_mm": line.width_mm,
            "thickness_mm": line.thickness_mm,
            "take": line.count,
            "volume_m3": line.volume_m3,
            "weight_kg": line.weight_kg,
        }
        for line in plan.estimate.rack
    }


def _piece_figures(plan: Plan) -> dict[str, Figures]:
    figures: dict[str, Figures] = {}
    misses = {miss.piece: miss for miss in plan.misses}
    for layout in plan.layouts:
        for placement in layout.placements:
            piece = plan.piece(placement.piece)
            figures[str(piece.number)] = {
                "name": piece.name,
                "part": piece.part,
                "block": layout.block,
                "layout": layout.number,
                "angle_deg": placement.angle_deg,
                "flipped": placement.flipped,
                "thickness_mm": piece.thickness_mm,
                "allowance_mm": piece.allowance_mm,
                "foam": piece.foam,
                "volume_litres": litres(solid_mm3(piece)),
                "weight_kg": kilograms(
                    solid_mm3(piece),
                    plan.workshop.foam(piece.foam).density_kg_per_m3,
                ),
                **_where_and_how_big(piece, placement),
                **_miss(misses.get(piece.number)),
            }
    return figures


def _miss(miss: PieceMiss | None) -> Figures:
    if miss is None:
        return {"miss_mm": 0.0, "miss_x_mm": "", "miss_y_mm": ""}
    return {"miss_mm": miss.miss_mm, "miss_x_mm": miss.at[0], "miss_y_mm": miss.at[1]}


def _where_and_how_big(piece: Piece, placement: Placement) -> dict[str, tuple[float, ...]]:
    """Return place and size, each as the placement states it or as the piece then lies."""
    drawn = piece.outline.bounds
    lying = place(piece.outline, placement).bounds
    return {
        "x_mm": (placement.x_mm, lying[0]),
        "y_mm": (placement.y_mm, lying[1]),
        "width_mm": (drawn[2] - drawn[0], lying[2] - lying[0]),
        "height_mm": (drawn[3] - drawn[1], lying[3] - lying[1]),
    }


def _offcut_figures(plan: Plan) -> dict[str, Figures]:
    figures: dict[str, Figures] = {
        str(offcut.number): {
            "name": offcut.name,
            "block": offcut.block,
            "layout": "" if offcut.layout is None else offcut.layout,
            "x_mm": offcut.x_mm,
            "y_mm": offcut.y_mm,
            "width_mm": offcut.width_mm,
            "height_mm": offcut.height_mm,
            "from_mm": offcut.from_mm,
            "thickness_mm": offcut.thickness_mm,
            "volume_litres": litres(offcut.volume_mm3),
            "roughing_cut": "",
            "weight_kg": kilograms(offcut.volume_mm3, _density(plan, offcut.block)),
        }
        for offcut in plan.estimate.offcuts
    }
    lumps: dict[str, Figures] = {
        f"R{form}-{lump.number}-{copy}": {
            "block": "",
            "layout": "",
            "width_mm": lump.length_mm,
            "height_mm": lump.width_mm,
            "thickness_mm": lump.thickness_mm,
            "volume_litres": lump.litres,
            "roughing_cut": f"{form}-{cut.number}",
            "weight_kg": lump.weight_kg,
        }
        for form, rough in enumerate(plan.roughing, 1)
        for cut in rough.cuts
        for lump in cut.offcuts
        for copy in range(1, len(rough.forms) + 1)
        if lump.keep
    }
    return figures | lumps


def _density(plan: Plan, block: int) -> float:
    foam = plan.workshop.stock_named(plan.block(block).stock).foam
    return plan.workshop.foam(foam).density_kg_per_m3


def _pin_figures(plan: Plan) -> dict[str, Figures]:
    """Return where each pin goes into either of its pieces, placed anew.

    Figures are mm from the datum corner of the piece's layout for pins between layers.
    """
    found: dict[str, Figures] = {}
    lies = {one.piece: (layout, one) for layout in plan.layouts for one in layout.placements}
    for pin in plan.assembly.pins:
        seam = plan.seams[pin.seam - 1]
        tops = [plan.piece(n).from_mm + plan.piece(n).thickness_mm for n in seam.pieces]
        for number, top in zip(seam.pieces, tops, strict=True):
            layout, one = lies[number]
            figures: dict[str, Cell] = {
                "pin": pin.number,
                "seam": pin.seam,
                "piece": number,
                "block": layout.block,
                "layout": layout.number,
                "diameter_mm": plan.workshop.glue.pin_diameter_mm,
                "deep_mm": math.hypot(*np.subtract(pin.end, pin.start)) / 2,
            }
            if seam.kind == "layer":
                a, b, d, e = turn_matrix(one.angle_deg)
                x, y = pin.start[0] * (-1.0 if one.flipped else 1.0), pin.start[1]
                # The piece under the seam ends at it: there the pin goes into its front.
                is_front = (top == min(tops)) != one.flipped
                figures["on"] = "front" if is_front else "back"
                figures["right_mm"] = a * x + b * y + one.x_mm
                figures["up_mm"] = d * x + e * y + one.y_mm
            else:
                figures["on"] = "edge"
                figures["along_mm"] = pin.along_mm or 0.0
                figures["height_mm"] = pin.start[2]
            found[f"{pin.number}-{number}"] = figures
    return found


def _load_figures(plan: Plan) -> dict[str, Figures]:
    return {
        f"{load.number}-{order}": {
            "load": load.number,
            "order": order,
            "pieces": " ".join(str(number) for number in item.pieces),
            "x_mm": item.x_mm,
            "y_mm": item.y_mm,
            "z_mm": item.z_mm,
            "length_mm": item.length_mm,
            "width_mm": item.width_mm,
            "height_mm": item.height_mm,
            "weight_kg": item.weight_kg,
        }
        for load in plan.loads
        for order, item in enumerate(load.items, 1)
    }
