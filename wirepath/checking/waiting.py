"""Promise 3, on a table: passes begin and end where the wire waits, and get there through air."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.checking.finding import EXACT_MM, Finding, found, place_of
from wirepath.checking.scene import Scene
from wirepath.checking.tables import on_table
from wirepath.errors import Fault
from wirepath.model import Move, Pass, Plan

ROUNDED_MM = 0.001
"""Plans give points to 0.001 mm."""


def check_waiting(plan: Plan, scenes: Sequence[Scene]) -> Finding:
    """Return whether each pass that is not threaded starts and ends at the rig's `waits_at`.

    Up to the straight step that leads into the foam, and from the one that leads out, it
    keeps half of what it melts off the foam as bought; that air is air, and that clamps are
    kept off, is measured of all moves elsewhere.
    """
    faults: list[Fault] = []
    ways, least = 0, float("inf")
    asked = np.array(plan.workshop.rig.waits_at)
    for scene in (one for one in scenes if one.is_first):
        for one in scene.passes:
            if one.is_threaded or not one.moves:
                continue
            for word, way in (("starts", _in_air(one.moves)), ("ends", _in_air(_backwards(one)))):
                ways += 1
                where = f"{place_of(scene.layout.number)}, pass {one.number}"
                start = on_table(way[:1], scene.layout.setup(one.setup))[0]
                off = float(np.hypot(*(start - asked)))
                if off > ROUNDED_MM:
                    what = f"the pass {word} {off:.2f} mm from where the wire waits"
                    faults.append(Fault(what, where))
                free = way if len(way) == 1 else way[:-1]
                line = shapely.points(free[0]) if len(free) == 1 else LineString(free)
                room = float(shapely.distance(line, scene.face)) - scene.widest_mm
                least = min(least, room)
                if room < -EXACT_MM:
                    what = f"where it {word}, the wire comes {-room:.2f} mm too near to the foam"
                    faults.append(Fault(what, where))
    return found(
        3,
        "Passes begin and end where the wire waits, and get there through air",
        f"{ways} ways, the nearest to the foam {least:.1f} mm clear",
        faults,
    )


def _in_air(moves: Sequence[Move]) -> NDArray[np.float64]:
    """Return the points of the moves in air that come first, (n, 2); else the first point."""
    air = [move.line for move in takewhile(lambda move: move.kind == "air", moves)]
    points = shapely.get_coordinates(air or moves[0].line)
    return points if air else points[:1]


def _backwards(one: Pass) -> list[Move]:
    return [replace(move, line=move.line.reverse()) for move in reversed(one.moves)]
