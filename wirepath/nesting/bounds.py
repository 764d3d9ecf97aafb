"""How many blocks no plan can do without."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import groupby
from operator import mul

import shapely
from shapely import box

from wirepath.model import Piece
from wirepath.nesting.nofit import no_fit
from wirepath.nesting.shapes import extents, variants
from wirepath.nesting.ways import ROUNDING_MM, Way, fits, ways
from wirepath.workshop import Workshop

MOST_EXCLUSIONS = 12
"""Distinct outlines compared pair by pair, largest first: the small ones exclude nothing."""

MOST_POINTS = 300
"""Outlines with more points are not asked whether they exclude each other."""


def fewest_blocks(pieces: Sequence[Piece], workshop: Workshop) -> int:
    """Return a lower bound on the blocks of any plan, over all stock sizes.

    By area: pieces widened by half the clearance do not overlap, on faces widened
    alike. By exclusion: pieces of which no two fit on one face need a slab each. Slabs
    of different thickness may share a block, so their shares of its depth are added up.
    Pieces must fit some block.
    """
    clearance_mm = workshop.cutting.kerf_mm + workshop.cutting.web_mm
    kerf_mm = workshop.cutting.kerf_mm
    fewest: Counter[str] = Counter()
    shares: dict[str, float] = {}
    for (foam, thickness_mm), same in groupby(sorted(pieces, key=_group), key=_group):
        group = list(same)
        found = ways(foam, thickness_mm, workshop)
        area = widened_area(group, clearance_mm=clearance_mm)
        alone, holding = _by_exclusion(group, found, clearance_mm)
        faces = [face_area(way, clearance_mm=clearance_mm) for way in found]
        slabs = [way.slabs for way in found]
        depths = [(way.depth_mm + kerf_mm) / (way.thickness_mm + kerf_mm) for way in found]
        most = [(slabs[k], depths[k]) for k, way in enumerate(found) if way in holding]
        by_slabs = max(area / max(map(mul, faces, slabs)), alone / max(n for n, _ in most))
        by_depth = max(area / max(map(mul, faces, depths)), alone / max(n for _, n in most))
        fewest[foam] = max(fewest[foam], math.ceil(by_slabs - ROUNDING_MM))
        shares[foam] = shares.get(foam, 0.0) + by_depth
    return sum(max(fewest[foam], math.ceil(shares[foam] - ROUNDING_MM)) for foam in fewest)


def fewest_slabs(group: Sequence[Piece], way: Way, *, clearance_mm: float) -> int:
    """Return how many slabs of this way the pieces need by area alone."""
    return math.ceil(
        widened_area(group, clearance_mm=clearance_mm) / face_area(way, clearance_mm=clearance_mm)
        - ROUNDING_MM
    )


def _group(piece: Piece) -> tuple[str, float]:
    return piece.foam, piece.thickness_mm


def widened_area(group: Sequence[Piece], *, clearance_mm: float) -> float:
    """Return the area of the pieces, each widened by half the clearance."""
    # A buffer's arcs are drawn by chords inside the true ones: the bound stays a bound.
    return float(shapely.area(shapely.buffer([p.outline for p in group], clearance_mm / 2)).sum())


def face_area(way: Way, *, clearance_mm: float) -> float:
    """Return the area of the usable face, widened by half the clearance."""
    width, height = way.usable_mm
    return (width + clearance_mm) * (height + clearance_mm)


def _by_exclusion(
    group: Sequence[Piece], found: Sequence[Way], clearance_mm: float
) -> tuple[int, list[Way]]:
    """Return the size of a set of pieces that pairwise exclude each other, largest first.

    And the ways that hold any of them.
    """
    copies: Counter[bytes] = Counter()
    kinds: dict[bytes, Piece] = {}
    for piece in group:
        key = piece.outline.normalize().wkb + piece.turning.encode() + bytes([piece.flip])
        copies[key] += 1
        kinds.setdefault(key, piece)
    largest = sorted(kinds, key=lambda key: (-kinds[key].outline.area, key))[:MOST_EXCLUSIONS]
    chosen: list[bytes] = []
    count = 0
    for key in largest:
        if all(_exclude(kinds[key], kinds[other], found, clearance_mm) for other in chosen):
            chosen.append(key)
            alone = _exclude(kinds[key], kinds[key], found, clearance_mm)
            count += copies[key] if alone else 1
    return count, [way for way in found if any(fits(kinds[key], way) for key in chosen)]


def _exclude(one: Piece, other: Piece, found: Sequence[Way], clearance_mm: float) -> bool:
    """Whether the two can share no face of any way, however they are turned."""
    if "any" in (one.turning, other.turning):
        return False  # a sample of angles proves nothing
    if _side_by_side(one, other, found):
        return False
    if max(shapely.get_num_coordinates([one.outline, other.outline])) > MOST_POINTS:
        return False  # its convex parts would take minutes
    for a in variants(one):
        for b in variants(other):
            region = None
            for way in found:
                width, height = way.usable_mm
                if max(a.width_mm, b.width_mm) > width or max(a.height_mm, b.height_mm) > height:
                    continue
                if region is None:
                    region = no_fit(a.parts, b.parts, clearance_mm=clearance_mm)
                room = box(
                    a.width_mm - width,
                    a.height_mm - height,
                    width - b.width_mm,
                    height - b.height_mm,
                )
                if not shapely.contains_properly(region, room):
                    return False
    return True


def _side_by_side(one: Piece, other: Piece, found: Sequence[Way]) -> bool:
    """Whether their boxes fit beside or above each other on some face.

    They may be too near by the clearance: then nothing is proved, so nothing is excluded.
    """
    return any(
        max(w, v) <= width and max(h, g) <= height and (w + v <= width or h + g <= height)
        for width, height in (way.usable_mm for way in found)
        for w, h in extents(one)
        for v, g in extents(other)
    )
