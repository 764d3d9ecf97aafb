"""Blank and form on a grid of cells: what each direction could free, and the line hull.

Only for ranking and for the bound. Cuts are made and proved on vectors.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, GeometryType

from wirepath.model import Blank, Level, WireDirection
from wirepath.roughing.directions import FLAT, slanting
from wirepath.roughing.stack import foam_at, grown_sections

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]

CELL_MM = 10.0
MOST_CELLS = 400_000
"""Blanks with more cells of `CELL_MM` get larger ones."""

BOUND_TURNS = tuple(7.5 * k for k in range(24))
BOUND_TILTS = (8.0, 15.0, 25.0, 35.0, 45.0, 60.0, 75.0)
"""Directions tried for the bound; 24 flat ones, and these tilts each with 24 turns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cells of a blank: `solid` (nz, ny, nx) is where target and allowance stand.

    `xs`, `ys`, `zs` are the middles of the cells in the form's frame, mm. The removable ones,
    foam that is not solid, are told by their `layer` and by their `column` (j * nx + i), (n,).
    """

    blank: Blank
    cell: tuple[float, float, float]
    xs: Floats
    ys: Floats
    zs: Floats
    solid: Bools
    layer: NDArray[np.intp]
    column: NDArray[np.intp]
    tall: NDArray[np.intp] | None
    """How many cells of each column are solid, (ny * nx,), where they all stand on the back: then
    no wire in the plane of the face sees a hole. None where some do not."""

    @property
    def cell_litres(self) -> float:
        """Litres of one cell."""
        return self.cell[0] * self.cell[1] * self.cell[2] / 1e6

    @property
    def removable(self) -> int:
        """How many cells can be removed."""
        return len(self.layer)

    def points(self) -> Floats:
        """Return the middles of the removable cells, (n, 3), mm."""
        j, i = np.divmod(self.column, len(self.xs))
        return np.stack([self.xs[i], self.ys[j], self.zs[self.layer]], axis=1)


def make_grid(
    levels: Sequence[Level], blank: Blank, allowance_mm: float, *, cell_mm: float = CELL_MM
) -> Grid:
    """Return the grid of a blank, in cells of about `cell_mm`, larger for large blanks."""
    size = (blank.width_mm, blank.height_mm, blank.thickness_mm)
    cell = max(cell_mm, (math.prod(size) / MOST_CELLS) ** (1 / 3))
    nx, ny, nz = (max(2, round(length / cell)) for length in size)
    steps = (size[0] / nx, size[1] / ny, size[2] / nz)
    xs = blank.x_mm + steps[0] * (np.arange(nx) + 0.5)
    ys = blank.y_mm + steps[1] * (np.arange(ny) + 0.5)
    zs = blank.from_mm + steps[2] * (np.arange(nz) + 0.5)
    solid = rasters(grown_sections(levels, allowance_mm, zs), xs, ys)
    free = ~solid
    if blank.foam:
        free &= rasters(foam_at(blank, zs), xs, ys)
    layer, column = np.nonzero(free.reshape(nz, -1))
    on_back = bool((solid[:-1] >= solid[1:]).all())
    return Grid(
        blank=blank,
        cell=steps,
        xs=xs,
        ys=ys,
        zs=zs,
        solid=solid,
        layer=layer,
        column=column,
        tall=solid.sum(axis=0).ravel() if on_back else None,
    )


def raster(region: Geometry, xs: Floats, ys: Floats) -> Bools:
    """Return which points of the lattice `xs` by `ys` lie in `region`, (ny, nx)."""
    return np.asarray(rasters(np.array([region]), xs, ys)[0])


def rasters(regions: NDArray[np.object_], xs: Floats, ys: Floats) -> Bools:
    """Return which points of the lattice `xs` by `ys` lie in each region, (n, ny, nx).

    By parity: each edge flips all points right of where it crosses their row.
    """
    own = list({id(region): region for region in regions}.values())
    parts, region_of = shapely.get_parts(own, return_index=True)
    areas = shapely.get_type_id(parts) == GeometryType.POLYGON
    rings, part_of = shapely.get_rings(parts[areas], return_index=True)
    points, ring_of = shapely.get_coordinates(rings, return_index=True)
    same = ring_of[:-1] == ring_of[1:]
    a, b = points[:-1][same], points[1:][same]
    layer = region_of[areas][part_of][ring_of[:-1][same]]
    first = np.searchsorted(ys, np.minimum(a[:, 1], b[:, 1]), side="left")
    last = np.searchsorted(ys, np.maximum(a[:, 1], b[:, 1]), side="left")
    counts = last - first
    edge = np.repeat(np.arange(len(a)), counts)
    starts = np.cumsum(counts) - counts
    rows = np.arange(len(edge)) - np.repeat(starts, counts) + np.repeat(first, counts)
    share = (ys[rows] - a[edge, 1]) / (b[edge, 1] - a[edge, 1])
    cross = a[edge, 0] + share * (b[edge, 0] - a[edge, 0])
    shape = (len(own), len(ys), len(xs) + 1)
    places = (layer[edge] * shape[1] + rows) * shape[2] + np.searchsorted(xs, cross, side="left")
    flips = np.bincount(places, minlength=math.prod(shape)).reshape(shape)
    found = np.cumsum(flips[:, :, :-1], axis=2) % 2 == 1
    if len(own) == len(regions):
        return np.asarray(found)
    place_of = {id(region): place for place, region in enumerate(own)}
    return np.asarray(found[[place_of[id(region)] for region in regions]])


def freed(
    grid: Grid, direction: WireDirection, wire_mm: float = math.inf, *, slits: bool = False
) -> Bools:
    """Return which removable cells lie on a wire in this direction that misses the form.

    The wire must come there from outside, moving sideways: holes that are seen right
    through the form do not count, unless `slits` lead to them. Wires longer than `wire_mm` in
    the blank count as blocked. Returns (n,) along the removable ones.
    """
    if abs(direction.wire[2]) < FLAT:
        return _freed_flat(grid, direction, wire_mm)
    return _freed_rising(grid, direction, wire_mm, slits=slits)


def _freed_flat(grid: Grid, direction: WireDirection, wire_mm: float) -> Bools:
    out = np.array([direction.wire[1], -direction.wire[0]])
    across = grid.xs[None, :] * out[0] + grid.ys[:, None] * out[1]
    width = max(grid.cell[0], grid.cell[1])
    bins = np.rint((across - across.min()) / width).astype(np.intp)
    count = int(bins.max()) + 1
    long = np.zeros(count, dtype=bool)
    if math.isfinite(wire_mm):
        middle = across.min() + width * np.arange(count)
        long = _flat_chords(grid.blank, out, middle) > wire_mm + 1e-6
    seen_at = bins.ravel()[grid.column]
    if grid.tall is not None:
        tallest = np.zeros(count, dtype=np.intp)
        np.maximum.at(tallest, bins.ravel(), grid.tall)
        tallest[long] = len(grid.zs)
        return np.asarray(grid.layer >= tallest[seen_at])
    hit = np.zeros((len(grid.zs), count), dtype=bool)
    for layer, row in zip(grid.solid, hit, strict=True):
        row[bins[layer]] = True
    return np.asarray(from_outside(hit | long)[grid.layer, seen_at])


def _flat_chords(blank: Blank, out: Floats, places: Floats) -> Floats:
    """Return how long a line square to `out` lies in the blank's face, at products `places`."""
    wire = np.array([-out[1], out[0]])
    low = np.array([blank.x_mm, blank.y_mm])
    high = low + np.array([blank.width_mm, blank.height_mm])
    start = places[:, None] * out
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = (low - start) / wire, (high - start) / wire
    level = np.abs(wire) < FLAT
    enter = np.where(level, -np.inf, np.minimum(one, other)).max(axis=1)
    leave = np.where(level, np.inf, np.maximum(one, other)).min(axis=1)
    return np.asarray(np.maximum(leave - enter, 0.0))


def _freed_rising(grid: Grid, direction: WireDirection, wire_mm: float, *, slits: bool) -> Bools:
    wire = direction.wire
    slope = np.array([wire[0], wire[1]]) / wire[2]
    heights = grid.zs - grid.zs[0]
    shifts = np.rint(np.outer(heights, slope) / grid.cell[:2]).astype(int)
    before = np.maximum(0, shifts).max(axis=0)
    after = np.maximum(0, -shifts).max(axis=0)
    _, ny, nx = grid.solid.shape
    blocked = np.zeros((ny + before[1] + after[1], nx + before[0] + after[0]), dtype=bool)
    if math.isfinite(wire_mm):
        blocked |= _rising_chords(grid, slope, before, blocked.shape) > wire_mm * abs(wire[2])
    for layer, (dx, dy) in zip(grid.solid, shifts, strict=True):
        x, y = before[0] - dx, before[1] - dy
        blocked[y : y + ny, x : x + nx] |= layer
    width = blocked.shape[1]
    columns = np.add.outer(width * np.arange(before[1], before[1] + ny), np.arange(nx) + before[0])
    seen_at = columns.ravel()[grid.column] - (shifts @ (1, width))[grid.layer]
    if blocked.ravel()[seen_at].all():
        return np.zeros(len(seen_at), dtype=bool)
    if slits:
        return np.asarray(~blocked.ravel()[seen_at])
    return np.asarray(from_outside(blocked).ravel()[seen_at])


def from_outside(blocked: Bools) -> Bools:
    """Return which cells of a plane, (n, m), can be reached from its edge past blocked ones."""
    # Imported here: scipy takes a third of a second, too long for `--help`.
    from scipy.ndimage import label

    places, _ = label(np.pad(~blocked, 1, constant_values=True))
    return np.asarray(places == places[0, 0])[1:-1, 1:-1]


def _rising_chords(
    grid: Grid, slope: Floats, before: NDArray[np.intp], shape: tuple[int, ...]
) -> Floats:
    """Return how much of each line's height lies in the blank, mm, for each place at `zs[0]`."""
    blank = grid.blank
    low, high = np.zeros(shape), np.full(shape, blank.thickness_mm)
    sizes, corner = (blank.width_mm, blank.height_mm), (blank.x_mm, blank.y_mm)
    foot = grid.zs[0] - blank.from_mm
    for axis, centres in enumerate((grid.xs, grid.ys)):
        if abs(slope[axis]) < FLAT:
            continue
        count = shape[1 - axis]
        place = centres[0] + grid.cell[axis] * (np.arange(count) - before[axis]) - corner[axis]
        one, other = -place / slope[axis] + foot, (sizes[axis] - place) / slope[axis] + foot
        near, far = np.minimum(one, other), np.maximum(one, other)
        if axis == 0:
            near, far = near[None, :], far[None, :]
        else:
            near, far = near[:, None], far[:, None]
        low, high = np.maximum(low, near), np.minimum(high, far)
    return np.asarray(np.maximum(high - low, 0.0))


def bound_directions() -> list[WireDirection]:
    """Return the directions that the bound tries, the upright one among them."""
    tilted = [slanting(15.0 * turn, tilt) for tilt in BOUND_TILTS for turn in range(24)]
    return [slanting(0.0, 90.0), *(slanting(turn) for turn in BOUND_TURNS), *tilted]


def line_hull_share(
    grid: Grid,
    wire_mm: float = math.inf,
    directions: Sequence[WireDirection] | None = None,
    *,
    slits: bool = False,
) -> float:
    """Return the share of the removable cells that some straight wire could take.

    A point can go where a line through it misses target and allowance, in a hole that is seen
    through only with `slits`. To the fineness of the grid and of the directions tried
    (`bound_directions`, if none are given).
    """
    left = grid
    for direction in bound_directions() if directions is None else directions:
        if not left.removable:
            break
        stays = ~freed(left, direction, wire_mm, slits=slits)
        left = replace(left, layer=left.layer[stays], column=left.column[stays])
    return (grid.removable - left.removable) / grid.removable if grid.removable else 1.0


def clear_lump(cells: Bools, cell: tuple[float, float, float], size: Sequence[float]) -> bool:
    """Return whether a clear box of `size`, upright in any way, fits in `cells` (nz, ny, nx)."""
    if not cells.any():
        return False
    used = [np.flatnonzero(cells.any(axis=axes)) for axes in ((1, 2), (0, 2), (0, 1))]
    cells = cells[tuple(slice(one[0], one[-1] + 1) for one in used)]
    total = np.zeros(tuple(n + 1 for n in cells.shape), dtype=np.int32)
    total[1:, 1:, 1:] = cells.cumsum(0, dtype=np.int32).cumsum(1).cumsum(2)
    for lengths in set(itertools.permutations(size)):
        nx, ny, nz = (
            math.ceil(want / step - 1e-9) for want, step in zip(lengths, cell, strict=True)
        )
        if nz > cells.shape[0] or ny > cells.shape[1] or nx > cells.shape[2]:
            continue
        found = total[nz:] - total[:-nz]
        found = found[:, ny:] - found[:, :-ny]
        found = found[:, :, nx:] - found[:, :, :-nx]
        if (found == nz * ny * nx).any():
            return True
    return False
