"""Promise 4 for forms that come as meshes: outlines and contours hold the mesh.

All else is measured from outlines and contours, so these are measured from the mesh: the part
of each triangle between two heights must lie inside the contour below it.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.checking.finding import EDGE_MM, Finding, found
from wirepath.errors import Fault
from wirepath.model import Job, Mesh, Traced

Floats = NDArray[np.float64]


def check_meshes(job: Job, traced: Traced) -> tuple[Finding, ...]:
    """Return whether the forms hold their meshes; nothing where no mesh is a form."""
    meshes = [mesh for mesh in traced.meshes if mesh.is_form]
    if not meshes:
        return ()
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


def _fault(job: Job, traced: Traced, mesh: Mesh) -> Fault | None:
    points = np.array(mesh.points) + np.array([0.0, 0.0, job.read.mesh_plate_mm])
    faces = np.concatenate([_fan(points, face) for face in mesh.faces])
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
        shades = _between(faces, low, high)
        room = shapely.buffer(region, EDGE_MM)
        shapely.prepare(room)
        out = ~shapely.covers(room, shades)
        if out.any():
            x, y = shapely.get_coordinates(shapely.centroid(shades[out][0]))[0]
            return Fault(
                f"it stands outside the contour at {low:g} mm",
                f"{where}, near x {x:.1f}, y {y:.1f}",
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


def _fan(points: Floats, face: tuple[int, ...]) -> Floats:
    """Return a face as triangles from its first corner, (n, 3, 3)."""
    corners = points[list(face)]
    return np.stack(
        [np.broadcast_to(corners[0], corners[2:].shape), corners[1:-1], corners[2:]], axis=1
    )


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
