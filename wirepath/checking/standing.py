"""Promise 3, of a level wire: what is cut free rests on foam that stands, or is to be held."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Geometry, Polygon, STRtree

from wirepath import overlay
from wirepath.checking.finding import Finding, found, place_of
from wirepath.checking.scene import Scene, inside_point, objects
from wirepath.errors import Fault

OVERHANG_MM = 5.0
"""A piece leans on what is under it over more than this; less is a corner that touches."""

QUICK_MM = 0.5
"""Outlines are straightened by this for their shadows: far less than `OVERHANG_MM`."""


def check_standing(scenes: Sequence[Scene]) -> Finding:
    """Return whether each piece comes free before those it stands on, held ones left out.

    A piece that comes free after one it lies over, however little, may be held. Pieces in
    a hole stand on its plug: they are compared with each other alone. Two that lie each
    above the other, as hooks do, hold one another.
    """
    faults: list[Fault] = []
    pairs = held = 0
    for scene in scenes:
        early, late, compared = _too_early(scene)
        pairs += compared
        held += len(scene.layout.held)
        for upper, lower in early:
            if scene.pieces[upper].number not in scene.layout.held:
                faults.append(
                    Fault(
                        f"comes free after piece {scene.pieces[lower].number}, on which it stands",
                        place_of(
                            scene.layout.number,
                            piece=scene.pieces[upper].number,
                            at=inside_point(scene.placed[upper]),
                        ),
                    )
                )
        numbers = {piece.number: index for index, piece in enumerate(scene.pieces)}
        faults += [
            Fault(
                "is to be held, it says, but rests on foam that stands",
                place_of(scene.layout.number, piece=number),
            )
            for number in scene.layout.held
            if numbers.get(number) not in late
        ]
    return found(
        3,
        "What comes free under a level wire rests on foam that stands",
        f"{pairs} pairs, one above the other; {held} pieces are to be held by hand",
        faults,
    )


def _too_early(scene: Scene) -> tuple[list[tuple[int, int]], set[int], int]:
    """Return (upper, lower) of pairs where the lower comes free first, and how many were asked.

    Between them: the pieces that come free after one they lie over at all.
    """
    if not scene.placed:
        return [], set(), 0
    freed = {move.piece: at for at, move in enumerate(scene.moves) if move.piece is not None}
    numbers = [piece.number for piece in scene.pieces]
    shapes = shapely.simplify(objects(scene.placed), QUICK_MM)
    shadows = objects(tuple(_shadow(shape) for shape in shapes))
    uppers, lowers = STRtree(shapes).query(shadows, predicate="intersects")
    pools = _pools(scene)
    asked = [
        upper != lower and pools[upper] == pools[lower]
        for upper, lower in zip(uppers, lowers, strict=True)
    ]
    uppers, lowers = uppers[asked], lowers[asked]
    first_below = np.array(
        [
            freed.get(numbers[upper], -1) > freed.get(numbers[lower], -1)
            for upper, lower in zip(uppers, lowers, strict=True)
        ],
        dtype=bool,
    )
    covers = overlay.intersection(shadows[uppers], shapes[lowers])
    west, _, east, _ = shapely.bounds(covers).reshape(-1, 4).T
    wide = np.nan_to_num(east - west) > OVERHANG_MM
    pairs = set(zip(uppers[wide].tolist(), lowers[wide].tolist(), strict=True))
    hooks = {(upper, lower) for upper, lower in pairs if (lower, upper) in pairs}
    early = set(zip(uppers[wide & first_below], lowers[wide & first_below], strict=True))
    return (
        [(int(upper), int(lower)) for upper, lower in sorted(early - hooks)],
        set(uppers[first_below].tolist()),
        len(pairs - hooks),
    )


def _shadow(shape: Polygon) -> Geometry:
    """Return what lies straight under a shape, down to the table, itself included."""
    points = shapely.get_coordinates(shape.exterior)
    ends = np.stack([points[:-1], points[1:]], axis=1)
    feet = ends[:, ::-1] * (1.0, 0.0)
    quads = shapely.polygons(np.concatenate([ends, feet], axis=1))
    found: Geometry = overlay.union(shapely.make_valid(quads))
    return found


def _pools(scene: Scene) -> list[tuple[int, int] | None]:
    """Return for each piece the hole it lies in, (piece, hole); None for those in none."""
    holes = [
        ((at, k), Polygon(ring))
        for at, placed in enumerate(scene.placed)
        for k, ring in enumerate(placed.interiors)
    ]
    pools: list[tuple[int, int] | None] = []
    for at, placed in enumerate(scene.placed):
        round_it = [
            (hole.area, name) for name, hole in holes if name[0] != at and hole.contains(placed)
        ]
        pools.append(min(round_it)[1] if round_it else None)
    return pools
