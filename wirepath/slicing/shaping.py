"""The meshes that a job makes -> outlines and contours, as if they had been drawn.

From there on a mesh is planned and proved like any relief. That the contours hold the
mesh is proved by itself (`checking.meshes`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon

from wirepath.errors import DrawingError, Fault, SettingsError
from wirepath.geometry import polygons
from wirepath.model import Contour, Job, Level, Mesh, Note, Outline, PartSettings, Traced
from wirepath.slicing.mesh import measured, triangles
from wirepath.slicing.sections import relief_levels


def shaped(job: Job, traced: Traced) -> tuple[Job, Traced]:
    """Return a job and its drawing, the drawing's meshes that are forms made outlines and contours.

    A mesh tells its own peak, which the job then gives. Nothing changes where no mesh is a
    form. Raises SettingsError where the job asks for something a mesh cannot be, DrawingError
    where a mesh has no depth.
    """
    forms = [mesh for mesh in traced.meshes if mesh.is_form]
    if not forms:
        return job, traced
    _refuse(job, forms)
    outlines: list[Outline] = []
    contours: list[Contour] = []
    peaks: dict[str, float] = {}
    for mesh in forms:
        faces = triangles([mesh])
        levels = relief_levels(
            faces, spacing_mm=job.read.mesh_step_mm, plate_mm=job.read.mesh_plate_mm
        )
        lumps = polygons(levels[0].region)
        for number, lump in enumerate(lumps, 1):
            name = mesh.layer if len(lumps) == 1 else f"{mesh.layer} {number}"
            outlines.append(Outline(name=name, polygon=lump, layer=mesh.layer))
            peaks[name] = _peak(faces.reshape(-1, 3), lump) + job.read.mesh_plate_mm
        contours += _contours(levels)
    contours.sort(key=lambda one: one.height_mm)
    return _with_peaks(job, peaks), replace(
        traced,
        outlines=tuple(outlines),
        contours=tuple(contours),
        notes=(*traced.notes, *(note for mesh in forms for note in _notes(mesh))),
    )


def _contours(levels: tuple[Level, ...]) -> Iterator[Contour]:
    for level in levels[1:]:
        for part in polygons(level.region):
            yield Contour(height_mm=level.from_mm, region=part)


def _peak(points: np.ndarray, lump: Polygon) -> float:
    """Return the height of the highest corner, points (n, 3), over a lump of the back."""
    room = shapely.buffer(lump, 1e-3)
    return float(points[shapely.contains_xy(room, points[:, 0], points[:, 1]), 2].max())


def _with_peaks(job: Job, peaks: dict[str, float]) -> Job:
    """Return the job with the highest peak as its own; lower forms get an entry each."""
    most = max(peaks.values())
    own = {part.name: part for part in job.parts}
    lower = [
        replace(own.get(name, PartSettings(name=name)), thickness_mm=peak)
        for name, peak in peaks.items()
        if peak < most
    ]
    named = {part.name for part in lower}
    parts = (*(part for part in job.parts if part.name not in named), *lower)
    return replace(job, form=replace(job.form, peak_mm=most), parts=parts)


def _notes(mesh: Mesh) -> Iterator[Note]:
    figures = measured(mesh)
    if figures.open_edges:
        yield Note(
            kind="warning",
            text=f"the mesh {mesh.layer!r} is open at {figures.open_edges} edges: all between its "
            "surface and the flat back is filled",
            at=figures.open_at[0][:2],
        )


def _refuse(job: Job, forms: list[Mesh]) -> None:
    if job.form.kind != "relief":
        raise SettingsError(
            Fault(
                f"the drawing is a mesh, but a {job.form.kind} form is made from outlines",
                "form.kind",
                "write kind = 'relief', or name a drawing with outlines",
            )
        )
    own = [f"parts[{k}]" for k, part in enumerate(job.parts) if part.thickness_mm is not None]
    if own:
        raise SettingsError(
            [
                Fault("a mesh tells its own peak", f"{where}.thickness_mm", "remove it")
                for where in own
            ]
        )
    flat = [mesh.layer for mesh in forms if not np.ptp(np.array(mesh.points)[:, 2]) > 0]
    if flat:
        raise DrawingError(
            [
                Fault(
                    "the mesh has no depth seen from its front",
                    name,
                    "check mesh_front: the axis that points out of the front",
                )
                for name in flat
            ]
        )
