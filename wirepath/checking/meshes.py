"""Promise 4 for forms that come as meshes: outlines and contours hold the mesh.

All else is measured from outlines and contours, so these are measured from the mesh: the part
of each triangle between two heights must lie inside the contour below it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.checking.columns import hollow
from wirepath.checking.finding import EDGE_MM, Finding, found
from wirepath.errors import Fault
from wirepath.model import Job, Mesh, Traced

Floats = NDArray[np.float64]


def check_meshes(job: Job, traced: Traced) -> tuple[Finding, ...]:
    """Return whether the forms hold their meshes; nothing where no mesh is a form."""
    meshes = [mesh for mesh in traced.meshes if mesh.is_form]
    if not meshes:
        return ()
    if job.form.kind == "full round":
        faults = [fault for mesh in meshes for fault in _round_faults(job, traced, mesh)]
    else:
        faults = [fault for mesh in meshes if (fault := _fault(job, traced, mesh))]
    count = sum(len(mesh.faces) for mesh in meshes)
    return (
        found(
            4,
            "Outlines and contours hold the meshes they are made from",
            f"{count} faces looked at, each between the heights it passes",
            faults,
        ),
    )


def mesh_mm3(mesh: Mesh) -> float:
    """Return the sum of the volumes of a closed mesh's shells: of the prisms under its faces, down
    to a level plane, those of faces that look down taken off."""
    faces = _faces(np.array(mesh.points), mesh)
    one, other = faces[:, 1, :2] - faces[:, 0, :2], faces[:, 2, :2] - faces[:, 0, :2]
    shades = (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]) / 2
    heights = faces[:, :, 2].mean(axis=1) - faces[:, :, 2].min()
    return float((shades * heights).sum())


def _round_faults(job: Job, traced: Traced, mesh: Mesh) -> Iterator[Fault]:
    """Give the first section and the first layer that do not hold a full-round form."""
    faces = _faces(np.array(mesh.points), mesh)
    low, top = float(faces[:, :, 2].min()), float(faces[:, :, 2].max())
    sections = [
        (one.from_mm, one.to_mm, one.region) for one in traced.sections if one.form == mesh.layer
    ]
    yield from _held(faces, sections, low, top, f"sections of {mesh.layer!r}")
    yield from hollow(mesh, sections, f"sections of {mesh.layer!r}")
    if job.form.layer_mm is None:
        return
    reach, thick = job.form.allowance_mm, job.form.layer_mm
    backs = sorted({one.from_mm for one in traced.outlines if one.layer == mesh.layer})
    layers = [
        (
            back,
            back + thick,
            overlay.union(
                [
                    one.polygon
                    for one in traced.outlines
                    if one.layer == mesh.layer and one.from_mm == back
                ]
            ),
        )
        for back in backs
    ]
    where = f"layers of {mesh.layer!r}"
    yield from _held(faces, layers, low - reach, top + reach, where, reach=reach)


def _held(
    faces: Floats,
    bands: Sequence[tuple[float, float, Geometry]],
    low: float,
    top: float,
    where: str,
    *,
    reach: float = 0.0,
) -> Iterator[Fault]:
    """Give the first band (from, to, region) that faces stand out of, and bands that leave gaps.

    A band counts for faces up to `reach` under and over it.
    """
    edges = [low, *(to for _, to, _ in bands)]
    begins = [*(start for start, _, _ in bands), top]
    gaps = [(a, b) for a, b in zip(edges, begins, strict=True) if b - a > EDGE_MM]
    if gaps:
        yield Fault(f"nothing stands from {gaps[0][0]:g} to {gaps[0][1]:g} mm", where)
        return
    for start, end, region in bands:
        spot = _stray(faces, start - reach, end + reach, region)
        if spot is not None:
            yield Fault(
                f"the mesh stands outside what is kept from {start:g} to {end:g} mm",
                f"{where}, near x {spot[0]:.1f}, y {spot[1]:.1f} mm",
            )
            return


def _stray(faces: Floats, low: float, high: float, region: Geometry) -> tuple[float, float] | None:
    """Return where the parts of faces between two heights first leave a region, or None.

    Parts no higher than `EDGE_MM` that only reach over one of the heights are let be.
    """
    shades = _between(faces, low + EDGE_MM, high - EDGE_MM)
    room = shapely.buffer(region, EDGE_MM)
    shapely.prepare(room)
    out = ~shapely.covers(room, shades)
    if not out.any():
        return None
    x, y = shapely.get_coordinates(shapely.centroid(shades[out][0]))[0]
    return float(x), float(y)


def _fault(job: Job, traced: Traced, mesh: Mesh) -> Fault | None:
    points = np.array(mesh.points) + np.array([0.0, 0.0, job.read.mesh_plate_mm])
    faces = _faces(points, mesh)
    where = f"mesh {mesh.layer!r}"
    top = float(points[:, 2].max())
    peak = max(
        [job.form.peak_mm or 0.0]
        + [part.thickness_mm for part in job.parts if part.thickness_mm is not None]
    )
    if top > peak + EDGE_MM:
        return Fault(f"it is {top:.2f} mm high, the form {peak:.2f} mm", where)
    floors = _floors(traced, mesh)
    heights = [height for height, _ in floors]
    for (low, region), high in zip(floors, [*heights[1:], np.inf], strict=True):
        spot = _stray(faces, low, high, region)
        if spot is not None:
            return Fault(
                f"it stands outside the contour at {low:g} mm",
                f"{where}, near x {spot[0]:.1f}, y {spot[1]:.1f} mm",
            )
    return None


def _floors(traced: Traced, mesh: Mesh) -> list[tuple[float, Geometry]]:
    """Return (height, where the form may stand above it) from the back up."""
    outline = overlay.union([one.polygon for one in traced.outlines if one.layer == mesh.layer])
    regions: dict[float, list[Geometry]] = defaultdict(list)
    for contour in traced.contours:
        if shapely.intersects(contour.region, outline):
            regions[contour.height_mm].append(contour.region)
    return [
        (0.0, outline),
        *((height, overlay.union(regions[height])) for height in sorted(regions)),
    ]


def _faces(points: Floats, mesh: Mesh) -> Floats:
    """Return the faces of a mesh as triangles, each fanned from its first corner, (n, 3, 3)."""
    fans = [(face[0], one, other) for face in mesh.faces for one, other in pairwise(face[1:])]
    corners: Floats = points[np.array(fans)]
    return corners


def _between(faces: Floats, low: float, high: float) -> NDArray[np.object_]:
    """Return what parts of triangles (n, 3, 3) between two heights cover: areas, lines, points."""
    z = faces[:, :, 2]
    near = faces[(z.max(axis=1) > low) & (z.min(axis=1) < high)]
    spots = [np.where(((near[..., 2] >= low) & (near[..., 2] <= high))[..., None], near, np.nan)]
    ahead = np.roll(near, -1, axis=1)
    for level in (low, high):
        rise = ahead[..., 2] - near[..., 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (level - near[..., 2]) / rise
        share = np.where((share >= 0) & (share <= 1), share, np.nan)
        spots.append(near + share[..., None] * (ahead - near))
    every = np.concatenate(spots, axis=1)[..., :2]
    sound = np.isfinite(every).all(axis=2)
    every, sound = every[sound.any(axis=1)], sound[sound.any(axis=1)]
    owner = np.repeat(np.arange(len(every)), sound.sum(axis=1))
    if not len(owner):
        return np.empty(0, dtype=object)
    return np.asarray(
        shapely.convex_hull(shapely.multipoints(shapely.points(every[sound]), indices=owner))
    )
