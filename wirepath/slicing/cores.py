"""What of a form stays for sure, however it is carved: where pins may lie.

Outlines, contours and sections tell where a form may stand, and so does a block's worth of
them. Cores are the other bound.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, Polygon, STRtree

from wirepath.model import Job, Level, Traced
from wirepath.slicing.mesh import triangles
from wirepath.slicing.rounded import Views, rounded
from wirepath.slicing.sections import covered, section_between

Areas = NDArray[np.object_]
Flags = NDArray[np.bool_]
Floats = NDArray[np.float64]


class Core(Protocol):
    """What of one form stays for sure; heights are mm off the back of its foam."""

    @property
    def tops(self) -> tuple[float, ...]:
        """Return the heights at which less begins to stay; none where it changes all the way."""

    def holds(self, areas: Areas, low_mm: float, high_mm: float) -> Flags:
        """Return which areas, (n,), seen from the front, stay all the way between two heights."""


@dataclass(frozen=True, slots=True)
class StackedCore:
    """Of a form by its levels: a contour's region stays up to the contour's height.

    A form without contours stays as it is drawn. One level higher nothing is sure: the surface
    lies somewhere below the next contour.
    """

    levels: Sequence[Level]

    @property
    def tops(self) -> tuple[float, ...]:
        """Return the contours' heights, or that of all of it where there are none."""
        return tuple(top for _, top in self._steps())

    def holds(self, areas: Areas, low_mm: float, high_mm: float) -> Flags:
        """Return which lie in the region that reaches so high; it stands on the back."""
        high = next((region for region, top in self._steps() if top >= high_mm), Polygon())
        return _covers(high if low_mm >= 0 else Polygon(), areas)

    def _steps(self) -> list[tuple[Geometry, float]]:
        if len(self.levels) == 1:
            return [(self.levels[0].region, self.levels[0].to_mm)]
        return [(upper.region, lower.to_mm) for lower, upper in pairwise(self.levels)]


@dataclass(frozen=True, slots=True, eq=False)
class MeshCore:
    """Of a closed mesh, (n, 3, 3): what no face of it comes into between two heights."""

    faces: Floats
    tops: tuple[float, ...] = ()

    def holds(self, areas: Areas, low_mm: float, high_mm: float) -> Flags:
        """Return which lie in a section of the mesh, where no face passes from height to height."""
        z = self.faces[:, :, 2]
        if low_mm < z.min() or high_mm > z.max():
            return np.zeros(len(areas), dtype=np.bool_)
        whole, shades = _section_and_shades(self, low_mm, high_mm)
        found = _covers(whole, areas)
        # Thousands of faces: their union, which nobody needs, takes a hundred times as long.
        met, _ = shades.query(areas[found], predicate="intersects")
        found[np.flatnonzero(found)[met]] = False
        return found


@lru_cache(maxsize=64)
def _section_and_shades(core: MeshCore, low_mm: float, high_mm: float) -> tuple[Geometry, STRtree]:
    """Return a section of a mesh between two heights, and all that its faces cover between them;
    kept, for seams of one layer ask for the same heights."""
    whole = section_between(core.faces, low_mm, high_mm)
    return whole, STRtree(covered(core.faces, low_mm, high_mm))


def _covers(region: Geometry, areas: Areas) -> Flags:
    shapely.prepare(region)
    found: Flags = shapely.covers(region, areas)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class ViewsCore:
    """Of a form by its outlines from several sides, which stands `lift_mm` off the back.

    They tell the most that may stand there, never what stays. Taken to stay is what a carver
    leaves who rounds every section to an ellipse that touches the outlines.
    """

    views: Views
    lift_mm: float
    tops: tuple[float, ...] = ()

    def holds(self, areas: Areas, low_mm: float, high_mm: float) -> Flags:
        """Return which lie in the rounded form all the way between two heights."""
        return _covers(rounded(self.views, low_mm - self.lift_mm, high_mm - self.lift_mm), areas)


def form_cores(job: Job, traced: Traced, levels: Mapping[str, Sequence[Level]]) -> dict[str, Core]:
    """Return what stays of each form, by the name of its outline; layers share their form's.

    `levels` are each part's (`forming.form_levels`).
    """
    if job.form.kind != "full round":
        return {part: StackedCore(own) for part, own in levels.items()}
    lift = job.form.allowance_mm
    forms: dict[str, Core] = {}
    for mesh in traced.meshes:
        if mesh.is_form:
            faces = triangles([mesh])
            back = np.array([0.0, 0.0, lift - float(faces[:, :, 2].min())])
            forms[mesh.layer] = MeshCore(faces + back)
    for name in dict.fromkeys(view.form for view in traced.views):
        own = {view.seen: view.region for view in traced.views if view.form == name}
        forms[name] = ViewsCore(Views(own["front"], own.get("side"), own.get("top")), lift)
    return {
        outline.name: forms[outline.layer] for outline in traced.outlines if outline.layer in forms
    }
