# ruff: noqa: T201
"""How dense the strip search packs, against the library `spyrrow` given the same processor time.

    python tests/benchmarks/nesting/strips.py [--seconds 10] [--seeds 1 2] [--names swim fu]
        [--keep library.json] [--without-programme] [--any]

Instances: the published ones in ../shared/nesting (collected by the ESICUP group, named after
their first authors' papers), read from there and left out when absent; and sets of our own,
a rectangle cut into pieces, whose optimum is 100 %. Each turn the library goes first, with one
worker; then ours gets the processor time it took, maps and all. Every answer of ours is
proved with shapely. Prints a table for docs/performance.md. With `--keep` the library's
answers and times are written to a file and taken from there the next time. Without the
linear programme the grid search alone lays pieces out, on maps that forgive no overlap.
With `--any` the library is left out: pieces with quarter turns against the same at any angle.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from itertools import combinations
from pathlib import Path

import numpy as np
import shapely
import spyrrow
from shapely import Polygon, box

from wirepath.nesting import strip as strip_module
from wirepath.nesting.any_angle import shortest_of_any_angle
from wirepath.nesting.fields import Effort
from wirepath.nesting.maps import FORGIVEN, Maps, cell_size_mm
from wirepath.nesting.regions import Regions
from wirepath.nesting.search import Stand
from wirepath.nesting.shapes import Turn, Variant, turned_variants
from wirepath.nesting.strip import Strip

SHARED = Path(__file__).parents[4] / "shared" / "nesting"

Item = tuple[Polygon, int, list[float]]
"""Outline, how many, angles allowed in degrees."""


class ProcessorTime(Effort):
    """Effort that ends after so many seconds of this process, not after so much work."""

    @property
    def left(self) -> float:
        return self.allowed - time.process_time()


def published() -> dict[str, tuple[float, list[Item]]]:
    found = {}
    for path in sorted(SHARED.glob("*.json")):
        data = json.loads(path.read_text(encoding="utf-8"))
        found[data["name"]] = (
            data["strip_height"],
            [
                (Polygon(one["shape"]["data"]), one["demand"], one["allowed_orientations"])
                for one in data["items"]
            ],
        )
    return found


def cut_rectangle(count: int, seed: int) -> tuple[float, list[Item]]:
    """A rectangle of 1000 x 1500 cut by straight lines, the largest piece first: 100 % dense."""
    chance = np.random.default_rng(seed)
    parts = [box(0, 0, 1500, 1000)]
    while len(parts) < count:
        parts.sort(key=lambda one: one.area)
        one = parts.pop()
        x, y = one.centroid.coords[0]
        angle = chance.choice([0.0, 90.0]) if chance.random() < 0.6 else chance.uniform(0, 180)
        dx, dy = 4000 * math.cos(math.radians(angle)), 4000 * math.sin(math.radians(angle))
        side = Polygon(
            [
                (x - dx, y - dy),
                (x + dx, y + dy),
                (x + dx - dy, y + dy + dx),
                (x - dx - dy, y - dy + dx),
            ]
        )
        parts.extend([one & side, one - side])
    return 1000.0, [(one, 1, [0.0, 180.0]) for one in parts]


def ours(
    height: float,
    items: list[Item],
    seconds: float,
    seed: int,
    forgiven: float = FORGIVEN,
    *,
    free: bool = False,
) -> tuple[float, Maps, list[int], Strip]:
    end = time.process_time() + seconds
    kinds: list[list[Variant]] = []
    seen: dict[tuple[bytes, tuple[float, ...]], int] = {}
    pieces: list[int] = []
    for outline, count, angles in items:
        x, y = outline.bounds[:2]
        at_corner = shapely.transform(outline, lambda p, x=x, y=y: p - (x, y))
        key = (shapely.set_precision(at_corner, 1e-7).normalize().wkb, tuple(angles))
        if key not in seen:
            seen[key] = len(kinds)
            kinds.append(turned_variants(outline, [Turn(angle) for angle in angles]))
        pieces.extend([seen[key]] * count)
    area = sum(outline.area * count for outline, count, _ in items)
    maps = Maps(
        Regions(kinds, clearance_mm=0.0),
        cell_mm=cell_size_mm(height, area / len(pieces)),
        forgiven=forgiven,
    )
    maps.free = frozenset(range(len(kinds))) if free else frozenset()
    strip = shortest_of_any_angle(
        maps, pieces, height_mm=height, seed=seed, effort=ProcessorTime(allowed=end)
    )
    return 100 * area / height / strip.width_mm, maps, pieces, strip


def left_on_grid(maps: Maps, stand: Stand, height_mm: float, effort: Effort) -> Strip | None:
    """Stands in for the linear programme: the grid's own spots, where nothing overlaps."""
    spots = [(x * maps.cell_mm, y * maps.cell_mm) for x, y in zip(stand.x, stand.y, strict=True)]
    there = [
        shapely.transform(maps.variants[v].outline, lambda p, at=at: p + at)
        for v, at in zip(stand.variant, spots, strict=True)
    ]
    if any(a.intersection(b).area > 1e-9 * a.area for a, b in combinations(there, 2)):
        return None
    return Strip(tuple(stand.variant), tuple(spots), float(shapely.total_bounds(there)[2]))


def prove(maps: Maps, strip: Strip, height: float, area: float) -> None:
    laid = [
        shapely.transform(maps.variants[v].outline, lambda p, at=at: p + at)
        for v, at in zip(strip.variants, strip.spots, strict=True)
    ]
    assert sum(a.intersection(b).area for a, b in combinations(laid, 2)) < 1e-9 * area
    x0, y0, x1, y1 = shapely.total_bounds(laid)
    assert min(x0, y0) > -1e-6 * height
    assert y1 < height * (1 + 1e-6)
    assert x1 - x0 < strip.width_mm * (1 + 1e-9)


def kept(path: Path | None) -> dict[str, list[float]]:
    """Return density and processor time of the library's earlier answers."""
    if path is None or not path.exists():
        return {}
    return dict(json.loads(path.read_text(encoding="utf-8")))


def theirs(name: str, height: float, items: list[Item], seconds: float, seed: int) -> float:
    instance = spyrrow.StripPackingInstance(
        name,
        height,
        [
            spyrrow.Item(str(n), list(outline.exterior.coords), count, angles)
            for n, (outline, count, angles) in enumerate(items)
        ],
    )
    settings = spyrrow.StripPackingConfig(
        early_termination=False,
        total_computation_time=math.ceil(seconds),
        num_workers=1,
        seed=seed,
    )
    return 100 * instance.solve(settings).density


def compare_turning(
    sets: dict[str, tuple[float, list[Item]]], seconds: float, seeds: list[int]
) -> None:
    """Print densities with quarter turns and at any angle, the same time each."""
    print("| instance | quarter turns | any angle |\n|---|---|---|")
    for name, (height, items) in sets.items():
        quarters = [(outline, count, [0.0, 90.0, 180.0, 270.0]) for outline, count, _ in items]
        area = sum(outline.area * count for outline, count, _ in items)
        dense: list[list[float]] = [[], []]
        for free in (False, True):
            for seed in seeds:
                density, maps, _, strip = ours(height, quarters, seconds, seed, free=free)
                prove(maps, strip, height, area)
                dense[free].append(density)
        print(f"| {name} | {np.mean(dense[0]):.2f} | {np.mean(dense[1]):.2f} |", flush=True)


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--seconds", type=float, default=10)
    reader.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3, 4, 5])
    reader.add_argument("--names", nargs="+", default=[])
    reader.add_argument("--keep", type=Path)
    reader.add_argument("--without-programme", action="store_true")
    reader.add_argument("--any", action="store_true")
    asked = reader.parse_args()
    forgiven = 0.0 if asked.without_programme else FORGIVEN
    if asked.without_programme:
        strip_module._pressed = left_on_grid
    library_answers = kept(asked.keep)
    sets = published() | {f"cut {n}": cut_rectangle(n, n) for n in (12, 25, 50)}
    if asked.any:
        some = {name: sets[name] for name in asked.names or sets}
        compare_turning(some, asked.seconds, asked.seeds)
        return
    print(
        "| instance | pieces | ours | library | ratio | least | cpu s |\n"
        "|---|---|---|---|---|---|---|"
    )
    ratios: list[float] = []
    slow = 1.0  # wall seconds per processor second: on a busy machine the library gets longer
    for name, (height, items) in sets.items():
        if asked.names and name not in asked.names:
            continue
        area = sum(outline.area * count for outline, count, _ in items)
        dense: list[tuple[float, float]] = []
        used: list[float] = []
        for seed in asked.seeds:
            key = f"{name} {asked.seconds:g} {seed}"
            if key not in library_answers:
                wall, start = time.perf_counter(), time.process_time()
                reference = theirs(name, height, items, asked.seconds * slow, seed)
                took = time.process_time() - start
                slow = min(max((time.perf_counter() - wall) / took, 1.0), 8.0)
                library_answers[key] = [reference, took]
            reference, took = library_answers[key]
            used.append(took)
            density, maps, pieces, strip = ours(height, items, took, seed, forgiven)
            prove(maps, strip, height, area)
            dense.append((density, reference))
        each = [one / other for one, other in dense]
        mean, library = np.mean(dense, axis=0)
        ratios.append(mean / library)
        print(
            f"| {name} | {len(pieces)} | {mean:.2f} | {library:.2f} | {mean / library:.4f} "
            f"| {min(each):.4f} | {np.mean(used):.1f} |",
            flush=True,
        )
    if asked.keep:
        asked.keep.write_text(json.dumps(library_answers, indent=1), encoding="utf-8")
    print(f"\nGeometric mean of the ratios: {math.exp(np.mean(np.log(ratios))):.4f}")


if __name__ == "__main__":
    main()
