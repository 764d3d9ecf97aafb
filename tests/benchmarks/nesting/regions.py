# ruff: noqa: T201
"""Minkowski differences by the edges that can touch, against unions of sums of convex parts.

    python tests/benchmarks/nesting/regions.py [--times 5]

Processor milliseconds a pair, least of `--times`; *taken* is the way that `difference_of` chooses.
"""

from __future__ import annotations

import argparse
import math
import time

import numpy as np
import shapely
from shapely import Geometry, Point, Polygon, box

from wirepath import overlay
from wirepath.nesting import minkowski
from wirepath.nesting.minkowski import convolution, difference_of
from wirepath.nesting.simplifying import simplified_outward
from wirepath.nesting.solids import Solid


def wavy(corners: int, noise: float, seed: int, *, simplify_mm: float = 0.0) -> Polygon:
    """Return a disc of some 250 mm with waves round its edge, every corner strewn by `noise`."""
    chance = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = 1 + 0.25 * np.sin(2 * angle + chance.uniform(0, 6)) + 0.1 * np.sin(5 * angle)
    reach += chance.uniform(-noise, noise, corners)
    ring = 125 * np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
    outline = shapely.orient_polygons(Polygon(ring))
    return simplified_outward(outline, tolerance_mm=simplify_mm) if simplify_mm else outline


def comb(teeth: int) -> Geometry:
    """Return a comb, which few convex parts tile."""
    return overlay.union(
        [box(0, 0, 20 * teeth, 10)] + [box(20 * k, 0, 20 * k + 8, 60 + k) for k in range(teeth)]
    )


PAIRS: dict[str, tuple[Geometry, Geometry]] = {
    "rectangles": (box(0, 0, 100, 60), box(0, 0, 80, 90)),
    "wavy discs, simplified": (
        wavy(200, 0, 1, simplify_mm=2.0),
        wavy(200, 0, 2, simplify_mm=2.0),
    ),
    "rings of wavy discs": (
        overlay.difference(wavy(200, 0, 1, simplify_mm=2.0), Point(0, 0).buffer(60, quad_segs=6)),
        overlay.difference(wavy(200, 0, 2, simplify_mm=2.0), Point(0, 0).buffer(50, quad_segs=6)),
    ),
    "wavy discs of 200 corners": (wavy(200, 0, 1), wavy(200, 0, 2)),
    "ragged discs of 100 corners": (wavy(100, 0.02, 1), wavy(100, 0.02, 2)),
    "combs of 12 and 14 teeth": (comb(12), comb(14)),
}


def least_ms(one: Geometry, other: Geometry, each: float, times: int) -> tuple[float, Geometry]:
    """Return the least processor time of a difference, and the difference."""
    taken: list[float] = []
    for _ in range(times):
        pair = Solid(outline=one), Solid(outline=other)
        _ = pair[0].parts, pair[1].parts, pair[0].rim, pair[1].rim  # once a variant, not a pair
        minkowski.SEGMENTS_EACH = each
        begin = time.process_time()
        found = difference_of(*pair)
        taken.append(1e3 * (time.process_time() - begin))
    return min(taken), found


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--times", type=int, default=5)
    times = parser.parse_args().times
    chosen = minkowski.SEGMENTS_EACH
    print("| outlines | sums | segments | by parts, ms | by edges, ms | ratio | taken |")
    print("|---|---|---|---|---|---|---|")
    for name, (one, other) in PAIRS.items():
        a, b = Solid(outline=one), Solid(outline=other)
        sums, segments = (
            len(a.parts) * len(b.parts),
            len(convolution(a.rim, b.rim.mirrored())),
        )
        by_parts, old = least_ms(one, other, 0.0, times)
        by_edges, new = least_ms(one, other, math.inf, times)
        assert overlay.symmetric_difference(old, new).area < 1e-4
        taken = "edges" if segments < chosen * sums else "parts"
        print(
            f"| {name} | {sums} | {segments} | {by_parts:.1f} | {by_edges:.1f} "
            f"| {by_parts / by_edges:.1f} | {taken} |"
        )


if __name__ == "__main__":
    main()
