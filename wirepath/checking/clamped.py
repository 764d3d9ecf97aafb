"""Promise 3, on a table: neither wire nor slot enters a clamp, in foam or in air."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import shapely
from shapely import Polygon

from wirepath.checking.finding import EXACT_MM, Finding, found, place_of
from wirepath.checking.scene import Scene, lines_of
from wirepath.checking.tables import by_setup, lines_on_table
from wirepath.errors import Fault
from wirepath.model import Plan


def check_clamped(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether every move keeps half of what it melts off every clamp of the rig.

    Where the wire leans it does so at every depth looked at, and at both faces. A block that
    is moved is looked at as it lies in each setup.
    """
    clamps = plan.workshop.rig.clamps
    faults: list[Fault] = []
    least = float("inf")
    for scene in scenes:
        lines = lines_of(scene.moves)
        for (_, setup, own), (number, clamp) in product(by_setup(scene), enumerate(clamps, 1)):
            if not len(own):
                continue
            west, south = clamp.x_mm, clamp.y_mm
            east, north = west + clamp.width_mm, south + clamp.height_mm
            area = Polygon([(west, south), (east, south), (east, north), (west, north)])
            there = lines_on_table(lines[own], setup)
            room = shapely.distance(there, area) - scene.half_widths_mm[own]
            least = min([least, *room.tolist()])
            worst = int(room.argmin())
            if room[worst] < -EXACT_MM - ROUNDED_MM:
                move = scene.moves[int(own[worst])]
                x, y = shapely.get_coordinates(shapely.shortest_line(there[worst], area))[0]
                told = Fault(
                    f"a move '{move.kind}' comes {-room[worst]:.2f} mm too near to clamp {number}",
                    place_of(scene.layout.number, piece=move.piece, at=(float(x), float(y))),
                )
                faults += scene.told([told])
    return found(
        3,
        "The wire keeps out of the clamps",
        f"{len(clamps)} clamps, the nearest move {least:.1f} mm clear",
        faults,
    )


ROUNDED_MM = 0.001
"""Plans give points to 0.001 mm."""
