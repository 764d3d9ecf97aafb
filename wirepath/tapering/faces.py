"""Job and drawing -> the tapers asked for: which outlines are faces of which piece."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.affinity import translate

from wirepath.errors import DrawingError, Fault, FitError, SettingsError
from wirepath.model import Job, Outline, Ruled, Taper, TaperSettings, Traced
from wirepath.tapering.marks import shared_out
from wirepath.tapering.pairing import Point, paired, ruling_faults
from wirepath.tapering.setting_off import set_off, turned_round

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A taper asked for: its near outline, its far one or none for a draft, and what asks."""

    near: Outline
    far: Outline | None
    settings: TaperSettings


def make_tapers(
    job: Job, traced: Traced, thick_mm: Mapping[str, float]
) -> tuple[dict[str, Taper], frozenset[str]]:
    """Return the tapers by the name of their near outline, and the outlines they use up.

    `thick_mm` is each outline's thickness, by name. Outlines used up are the far faces
    that lie among the ordinary ones. Raises SettingsError or DrawingError with all
    faults of settings and drawing.
    """
    settings, drawing = list(_setting_faults(job, traced)), list[Fault]()
    asked, faults = _asked(job, traced)
    drawing += faults
    with_far = [one for one in asked if one.far is not None]
    marks, faults = shared_out(
        traced.marks, [(one.near.polygon, one.far.polygon) for one in with_far if one.far]
    )
    drawing += faults
    own = {one.near.name: found for one, found in zip(with_far, marks, strict=True)}
    tapers: dict[str, Taper] = {}
    for one in asked:
        name = one.near.name
        try:
            finished = _finished(one, thick_mm[name], own.get(name, []))
            tapers[name] = Taper(
                finished=finished,
                cut=_grown(finished, job.form.allowance_mm),
                far=one.far.name if one.far else None,
            )
        except FitError as error:
            drawing += [fault.inside(f"taper {name!r}") for fault in error.faults]
    if settings:
        raise SettingsError([*settings, *drawing])
    if drawing:
        raise DrawingError(drawing)
    used = {one.far.name for one in with_far if one.far and one.far not in traced.far}
    return tapers, frozenset(used)


# --- Which outlines ----------------------------------------------------------------


def _asked(job: Job, traced: Traced) -> tuple[list[_Asked], list[Fault]]:
    """Return the tapers asked for, in the order of their outlines, and far faces left over."""
    by_name = {outline.name: outline for outline in (*traced.outlines, *traced.far)}
    far_names = {one.far for one in job.tapers}
    found: list[_Asked] = []
    left = [far for far in traced.far if far.name not in far_names]
    faults: list[Fault] = []
    for outline in traced.outlines:
        if outline.name in far_names:
            continue
        entry = next((one for one in job.tapers if fnmatchcase(outline.name, one.near)), None)
        if entry is not None and entry.far is not None:
            # Names of far faces may repeat those of near ones: on their own layer they win.
            own = [far for far in traced.far if far.name == entry.far]
            far = own[0] if own else by_name.get(entry.far)
            if far is not None:
                found.append(_Asked(near=outline, far=far, settings=entry))
        elif entry is not None and (entry.draft_mm is not None or entry.draft_deg is not None):
            found.append(_Asked(near=outline, far=None, settings=entry))
        else:
            behind = _behind(outline, left, traced.outlines)
            if behind is not None:
                settings = entry or TaperSettings(near=outline.name)
                found.append(_Asked(near=outline, far=behind, settings=settings))
                left.remove(behind)
            elif entry is not None:
                faults.append(
                    Fault(
                        f"no outline on a layer of far faces lies behind {outline.name!r}",
                        "tapers",
                        "name the far face (far), give a draft (draft_mm), or check far_layers",
                    )
                )
    faults += [
        Fault(
            f"the far face {far.name!r} lies behind no outline",
            f"near x {far.polygon.centroid.x:.0f}, y {far.polygon.centroid.y:.0f} mm",
            "draw it over its near face, or name both in a [[tapers]] table",
        )
        for far in left
    ]
    return found, faults


def _behind(near: Outline, left: Sequence[Outline], outlines: Sequence[Outline]) -> Outline | None:
    """Return the far face that lies behind `near`, and behind no other outline more."""
    for far in left:
        shared = [float(shapely.area(far.polygon.intersection(o.polygon))) for o in outlines]
        if max(shared) > 0 and outlines[int(np.argmax(shared))] is near:
            return far
    return None


def _setting_faults(job: Job, traced: Traced) -> Iterator[Fault]:
    near_names = [outline.name for outline in traced.outlines]
    names = {*near_names, *(outline.name for outline in traced.far)}
    users: dict[str, int] = {}
    for index, one in enumerate(job.tapers):
        where = f"tapers[{index}]"
        fitting = [name for name in near_names if fnmatchcase(name, one.near)]
        if not fitting:
            yield Fault(
                f"no outline is called {one.near!r}",
                f"{where}.near",
                f"use one of: {', '.join(map(repr, near_names[:12]))}",
            )
        if one.far is not None and one.far not in names:
            yield Fault(
                f"no outline is called {one.far!r}",
                f"{where}.far",
                f"use one of: {', '.join(map(repr, sorted(names)[:12]))}",
            )
        if one.far is not None and len(fitting) > 1:
            yield Fault(
                f"{len(fitting)} near faces cannot share the one far face {one.far!r}",
                f"{where}.near",
                "write a [[tapers]] table for each, or draw the far faces on far_layers",
            )
        for name in fitting:
            if name in users:
                yield Fault(
                    f"tapers[{users[name]}] and this one both fit the outline {name!r}",
                    f"{where}.near",
                    "narrow the patterns",
                )
            users.setdefault(name, index)


# --- The solid ---------------------------------------------------------------------


def _finished(one: _Asked, thick_mm: float, marks: Sequence[tuple[Point, Point]]) -> Ruled:
    if one.far is None:
        return _drafted(one.near.polygon, _draft_mm(one.settings, thick_mm), thick_mm)
    far = one.far.polygon
    if one.settings.align == "marks":
        if not marks:
            raise FitError(
                Fault(
                    "its faces are to be placed by marks, and there are none",
                    "",
                    "draw marks on a layer that mark_layers names, or write align = 'middles'",
                )
            )
        shift = np.mean([np.subtract(near, far) for near, far in marks], axis=0)
    elif one.settings.align == "middles":
        here, there = one.near.polygon.centroid, far.centroid
        shift = np.array([here.x - there.x, here.y - there.y])
    else:
        shift = np.zeros(2)
    moved = [(near, (at[0] + float(shift[0]), at[1] + float(shift[1]))) for near, at in marks]
    return paired(one.near.polygon, translate(far, *shift), thick_mm, moved)


def _draft_mm(settings: TaperSettings, thick_mm: float) -> float:
    if settings.draft_mm is not None:
        return settings.draft_mm
    assert settings.draft_deg is not None
    return math.tan(math.radians(settings.draft_deg)) * thick_mm


def _drafted(near: Polygon, draft_mm: float, thick_mm: float) -> Ruled:
    """Return the taper from an outline to itself less a draft all round, corner to corner."""
    if near.interiors:
        raise FitError(Fault("a taper cannot have holes", "", "cut the hole as a piece of its own"))
    ring = shapely.get_coordinates(shapely.orient_polygons(near).exterior)[:-1]
    far = _moved(ring, -draft_mm, f"a draft of {draft_mm:g} mm")
    ruled = Ruled(near=_tuples(ring), far=_tuples(far), thickness_mm=thick_mm)
    faults = list(ruling_faults(ruled))
    if faults:
        raise FitError(faults)
    return ruled


def _grown(finished: Ruled, allowance_mm: float) -> Ruled:
    """Return the taper with its allowance outside both faces, corners sharp."""
    if not allowance_mm:
        return finished
    what = f"an allowance of {allowance_mm:g} mm"
    near, far = (
        _moved(np.array(ring), allowance_mm, what) for ring in (finished.near, finished.far)
    )
    return Ruled(near=_tuples(near), far=_tuples(far), thickness_mm=finished.thickness_mm)


def _moved(ring: Points, outward_mm: float, what: str) -> Points:
    """Return the ring set off evenly; FitError where an edge, a bay or a neck would vanish."""
    line = set_off(ring, np.full(len(ring), outward_mm))
    turned = turned_round(ring, line)
    if turned.any() or not Polygon(line).is_valid:
        x, y = ring[int(np.argmax(turned))]
        raise FitError(
            Fault(
                f"{what} leaves no room for an edge, a rounding or a neck of the outline",
                f"near x {x:.1f}, y {y:.1f} mm",
                "make it smaller, or draw the far face as an outline of its own",
            )
        )
    return line


def _tuples(points: Points) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)
