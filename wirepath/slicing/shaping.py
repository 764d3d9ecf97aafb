"""Meshes, and outlines from several sides -> outlines, contours, sections, as if drawn.

From there on such a form is planned and proved like any drawing. That outlines, contours
and sections hold it is proved by itself (`checking.meshes`, `checking.views`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.errors import DrawingError, Fault, SettingsError
from wirepath.geometry import polygons
from wirepath.model import (
    Contour,
    Job,
    Level,
    Mesh,
    Note,
    Outline,
    PartSettings,
    Section,
    Traced,
)
from wirepath.slicing.hull import hull_levels
from wirepath.slicing.mesh import measured, solid_faults, triangles
from wirepath.slicing.sections import mesh_levels, relief_levels
from wirepath.units import litres

NECK_MM = 1.0
"""Width at finished size of the neck between parts of a layer that are cut as one: enough to be
an area; the allowance makes it strong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """One form by its levels, from the back, or its lowest point, up."""

    name: str
    levels: tuple[Level, ...]
    points: np.ndarray | None = None
    """A mesh's corners, (n, 3): what its height is measured by, more finely than by levels."""


def shaped(job: Job, traced: Traced) -> tuple[Job, Traced]:
    """Return a job and its drawing, its meshes, or outlines from several sides, made outlines.

    A relief gets contours, and the job the peak that the form has. A full-round form gets
    sections, and an outline for each layer it is glued from. Drawings of other forms stay as
    they are. Raises SettingsError where the job asks for something the form cannot be,
    DrawingError where a mesh is not what the form needs.
    """
    meshes = [mesh for mesh in traced.meshes if mesh.is_form]
    if traced.views:
        _refuse_depths(job, "its outlines tell a form's depth")
        forms = [_hull(job, traced, name) for name in dict.fromkeys(v.form for v in traced.views)]
        if job.form.kind == "full round":
            return job, _in_the_round(job, traced, forms)
        return _as_relief(job, traced, forms)
    if not meshes:
        return job, traced
    _refuse(job, meshes)
    if job.form.kind == "full round":
        told = [note for mesh in meshes for note in _overlap_notes(mesh)]
        round_forms = _in_the_round(job, traced, [_solid(job, mesh) for mesh in meshes])
        new = [note for note in told if note not in traced.notes]
        return job, replace(round_forms, notes=(*round_forms.notes, *new))
    notes = [note for mesh in meshes for note in _open_notes(mesh)]
    job, traced = _as_relief(job, traced, [_surface(job, mesh) for mesh in meshes])
    return job, replace(traced, notes=(*traced.notes, *notes))


def _surface(job: Job, mesh: Mesh) -> _Form:
    faces, plate = triangles([mesh]), job.read.mesh_plate_mm
    levels = relief_levels(faces, spacing_mm=job.read.mesh_step_mm, plate_mm=plate)
    points = faces.reshape(-1, 3) + np.array([0.0, 0.0, plate])
    return _Form(name=mesh.layer, levels=levels, points=points)


def _solid(job: Job, mesh: Mesh) -> _Form:
    faces = triangles([mesh])
    levels = mesh_levels(faces, spacing_mm=job.read.mesh_step_mm)
    for below, above in pairwise(levels):
        if above.from_mm > below.to_mm + 1e-6:
            raise DrawingError(
                Fault(
                    f"nothing of it stands from {below.to_mm:.0f} to {above.from_mm:.0f} mm off "
                    "its back: what lies before that could be glued to nothing",
                    f"mesh {mesh.layer!r}",
                    "join its lumps in the model, or put each on a layer of its own",
                )
            )
    return _Form(name=mesh.layer, levels=levels, points=faces.reshape(-1, 3))


def _hull(job: Job, traced: Traced, name: str) -> _Form:
    seen = {view.seen: view.region for view in traced.views if view.form == name}
    levels = hull_levels(
        seen["front"],
        seen.get("side"),
        seen.get("top"),
        spacing_mm=job.read.view_step_mm,
        filled=job.form.kind == "relief",
    )
    return _Form(name=name, levels=levels)


# --- Reliefs --------------------------------------------------------------------------


def _as_relief(job: Job, traced: Traced, forms: Sequence[_Form]) -> tuple[Job, Traced]:
    outlines: list[Outline] = []
    peaks: dict[str, float] = {}
    for form in forms:
        lumps = polygons(form.levels[0].region)
        for number, lump in enumerate(lumps, 1):
            name = form.name if len(lumps) == 1 else f"{form.name} {number}"
            outlines.append(Outline(name=name, polygon=lump, layer=form.name))
            peaks[name] = _peak(form, lump)
    contours = [
        Contour(height_mm=level.from_mm, region=part)
        for form in forms
        for level in form.levels[1:]
        for part in polygons(level.region)
    ]
    contours.sort(key=lambda one: one.height_mm)
    return _with_peaks(job, peaks), replace(
        traced, outlines=tuple(outlines), contours=tuple(contours)
    )


def _peak(form: _Form, lump: Polygon) -> float:
    """Return how high the form stands over a lump of its back."""
    points = form.points
    if points is None:
        return max(one.to_mm for one in form.levels if shapely.intersects(one.region, lump))
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


def _open_notes(mesh: Mesh) -> Iterator[Note]:
    figures = measured(mesh)
    if figures.open_edges:
        yield Note(
            kind="warning",
            text=f"the mesh {mesh.layer!r} is open at {figures.open_edges} edges: all between its "
            "surface and the flat back is filled",
            at=figures.open_at[0][:2],
        )


def _overlap_notes(mesh: Mesh) -> Iterator[Note]:
    figures = measured(mesh)
    if figures.overlap_mm3:
        yield Note(
            kind="warning",
            text=f"shells of the mesh {mesh.layer!r} overlap: {litres(figures.overlap_mm3):.2f} "
            "litres that several of them hold count once, and nothing is hollow there",
        )


# --- Full round -----------------------------------------------------------------------


def _in_the_round(job: Job, traced: Traced, forms: Sequence[_Form]) -> Traced:
    """Return the drawing with sections, and with layers where the job says how thick they are."""
    outlines: list[Outline] = []
    for form in forms:
        if job.form.layer_mm is not None:
            outlines += _layers(form, job.form.layer_mm, job.form.allowance_mm)
            continue
        whole = overlay.union([level.region for level in form.levels])
        outlines += [Outline(name=form.name, polygon=part) for part in polygons(whole)]
    told = [
        note
        for one in (outlines if job.form.layer_mm is not None else ())
        if (note := _place(one, job.form.layer_mm)) not in traced.notes
    ]
    return replace(
        traced,
        outlines=tuple(outlines),
        sections=tuple(
            Section(form=form.name, from_mm=level.from_mm, to_mm=level.to_mm, region=level.region)
            for form in forms
            for level in form.levels
        ),
        notes=(*traced.notes, *told),
    )


def _layers(form: _Form, layer_mm: float, allowance_mm: float) -> Iterator[Outline]:
    """Yield the outlines of equal layers, the allowance behind and before the form among them.

    A layer holds what the form fills in it, or so near that its allowance reaches in. Parts
    of it whose allowances meet are one lump of foam, and one outline.
    """
    top = form.levels[-1].to_mm + allowance_mm
    for number in range(math.ceil((top + allowance_mm) / layer_mm - 1e-9)):
        low = number * layer_mm - allowance_mm
        near = [
            level.region
            for level in form.levels
            if level.to_mm > low - allowance_mm and level.from_mm < low + layer_mm + allowance_mm
        ]
        parts = _lumps(overlay.union(near), allowance_mm)
        for count, part in enumerate(parts, 1):
            name = f"{form.name} layer {number + 1}"
            yield Outline(
                name=name if len(parts) == 1 else f"{name} part {count}",
                polygon=part,
                layer=form.name,
                from_mm=low,
            )


def _lumps(region: Geometry, allowance_mm: float) -> list[Polygon]:
    """Return the parts of a region, those that stand nearer than two allowances as one.

    They are joined by a neck along the shortest way: with the allowance round it, it is as
    wide as two allowances, and holds until it is carved away.
    """
    rest, lumps = polygons(region), []
    while rest:
        lump = rest.pop(0)
        while rest:
            gaps = shapely.distance(lump, rest)
            nearest = int(gaps.argmin())
            if gaps[nearest] >= 2 * allowance_mm:
                break
            other = rest.pop(nearest)
            neck = shapely.shortest_line(lump, other).buffer(NECK_MM / 2)
            (lump,) = polygons(overlay.union([lump, neck, other]))
        lumps.append(lump)
    return lumps


def _place(outline: Outline, layer_mm: float | None) -> Note:
    x, y, _, _ = outline.polygon.bounds
    return Note(
        kind="warning",
        text=f"{outline.name}: {layer_mm:g} mm thick, its back {round(outline.from_mm):+d} mm off "
        f"the form's lowest point; the box round it stands {round(x)} mm right of, {round(y)} mm "
        "above the lower left corner of the box round all layers",
    )


# --- Faults ---------------------------------------------------------------------------


def _refuse(job: Job, meshes: Sequence[Mesh]) -> None:
    if job.form.kind not in ("relief", "full round"):
        raise SettingsError(
            Fault(
                f"the drawing is a mesh, but a {job.form.kind} form is made from outlines",
                "form.kind",
                "write kind = 'relief' or 'full round', or name a drawing with outlines",
            )
        )
    _refuse_depths(job, "a mesh tells its own depth")
    faults = [
        Fault(
            "the mesh has no depth seen from its front",
            mesh.layer,
            "check mesh_front: the axis that points out of the front",
        )
        for mesh in meshes
        if not np.ptp(np.array(mesh.points)[:, 2]) > 0
    ]
    if job.form.kind == "full round":
        faults += [fault for mesh in meshes for fault in solid_faults(measured(mesh))]
    if faults:
        raise DrawingError(faults)


def _refuse_depths(job: Job, why: str) -> None:
    own = [f"parts[{k}]" for k, part in enumerate(job.parts) if part.thickness_mm is not None]
    if own:
        raise SettingsError([Fault(why, f"{where}.thickness_mm", "remove it") for where in own])
