"""Where the block of a file lies on the table: at the datum, or moved for one of several setups."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import LineString, box

from wirepath.coordinates.spelling import fixed
from wirepath.geometry import off_table, on_table
from wirepath.model import Layout, Move, Pass, Plan, Setup

SETUP_MARK = "# setup: "
"""The comment line that says how the block lies, in a file of one setup of several."""

SAID = re.compile(
    r"(?P<number>\d+) of (?P<count>\d+), turned (?P<turn>\d+) degrees, "
    r"corner at x (?P<x>-?\d+\.\d+), y (?P<y>-?\d+\.\d+)"
)

DECIMALS = 3


def passes_of(plan: Plan, layout: Layout, setup: int | None) -> tuple[Pass, ...]:
    """Return the passes of a file, in its frame: of a layout, or of one setup on the table."""
    own = (one for one in plan.passes if one.layout == layout.number)
    if setup is None:
        return tuple(own)
    lies = layout.setup(setup)
    return tuple(_moved(one, lies, to_table=True) for one in own if one.setup == setup)


def put_back(passes: Sequence[Pass], number: int, setup: Setup) -> tuple[Pass, ...]:
    """Return passes as a file of a setup gives them in the layout's frame."""
    return tuple(replace(_moved(one, setup, to_table=False), setup=number) for one in passes)


def about_setup(layout: Layout, number: int) -> Iterator[str]:
    """Yield what the file of a setup says of how the block lies, first for its reader."""
    setup = layout.setup(number)
    yield (
        f"{SETUP_MARK.removeprefix('# ')}{number} of {len(layout.setups)}, turned "
        f"{setup.turn_deg:.0f} degrees, corner at x {fixed(setup.x_mm)}, y {fixed(setup.y_mm)}"
    )
    yield f"lies: {_lies(layout, setup)}; corner: the face's own lower left one, as drawn"


def _lies(layout: Layout, setup: Setup) -> str:
    """Return in words how the block lies on the table."""
    west, south, _, _ = on_table(box(0, 0, layout.width_mm, layout.height_mm), setup).bounds
    turned = ("as drawn", "a quarter to the left", "end for end", "a quarter to the right")
    quarters = round(setup.turn_deg / 90) % 4
    ways = [turned[0] if not quarters else f"turned {turned[quarters]}"]
    for low, less, more in ((west, "left", "right"), (south, "down", "up")):
        if low:
            ways.append(f"pushed {abs(low):g} mm {less if low < 0 else more} from the datum corner")
    return ", ".join(ways) if len(ways) > 1 else f"{ways[0]}, edges at the datum corner"


def read_setup(comment: str) -> tuple[int, Setup]:
    """Return the number of a setup and how the block lies, from a file's comment line.

    Raises ValueError where it says something else.
    """
    said = SAID.fullmatch(comment.removeprefix(SETUP_MARK).strip())
    if said is None:
        raise ValueError(f"the comment line '{SETUP_MARK}' does not say how the block lies")
    turn = float(said["turn"])
    if turn % 90:
        raise ValueError(f"the block cannot lie turned by {turn:g} degrees")
    return int(said["number"]), Setup(
        turn_deg=turn, x_mm=float(said["x"]) + 0.0, y_mm=float(said["y"]) + 0.0
    )


def _moved(one: Pass, setup: Setup, *, to_table: bool) -> Pass:
    move = on_table if to_table else off_table

    def led(line: LineString) -> LineString:
        points = shapely.get_coordinates(move(line, setup))
        # Whole quarter turns and a shift in thousandths keep points in thousandths.
        return LineString(np.round(points, DECIMALS + 3) + 0.0)

    def moved(step: Move) -> Move:
        far = None if step.far is None else led(step.far)
        return replace(step, line=led(step.line), far=far)

    return replace(one, moves=tuple(moved(step) for step in one.moves))
