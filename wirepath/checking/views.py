"""Promise 4 for forms drawn from several sides: contours and sections hold all they allow.

Looked at in points that fill the box round the form evenly: a point that every outline
shows must lie inside what stands at its height.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

from wirepath import overlay
from wirepath.checking.finding import EDGE_MM, Finding, found
from wirepath.checking.spread import spread_points
from wirepath.errors import Fault
from wirepath.model import Job, Traced

Floats = NDArray[np.float64]

POINTS = 40_000
"""In the box round each form: one to a cube of 30 mm in a block of 1 m3."""


def check_views(job: Job, traced: Traced) -> tuple[Finding, ...]:
    """Return whether forms hold what their outlines allow; nothing where none is drawn so."""
    if not traced.views:
        return ()
    faults: list[Fault] = []
    inside = 0
    for name in sorted({view.form for view in traced.views}):
        points = _allowed(job, traced, name)
        inside += len(points)
        faults += _lost(job, traced, name, points)
    return (
        found(
            4,
            "Contours and sections hold all that the outlines allow",
            f"{inside} points that every outline shows",
            faults,
        ),
    )


def _allowed(job: Job, traced: Traced, name: str) -> Floats:
    """Return points (n, 3) of the box round a form that all its outlines show."""
    seen = {view.seen: view.region for view in traced.views if view.form == name}
    x0, y0, x1, y1 = seen["front"].bounds
    depth = seen["side"].bounds[2] if "side" in seen else seen["top"].bounds[3]
    points: Floats = np.array([x0, y0, 0.0]) + spread_points(POINTS) * [x1 - x0, y1 - y0, depth]
    x, y, z = points.T
    keep = shapely.contains_xy(seen["front"], x, y)
    top = depth if job.form.kind == "relief" else None
    for which, across in (("side", y), ("top", x)):
        if which not in seen:
            continue
        # Under what a relief's outline shows is foam, down to the back.
        ends = np.stack([z, z if top is None else np.full_like(z, top)], axis=1)
        other = np.stack([across, across], axis=1)
        flat = np.stack([ends, other] if which == "side" else [other, ends], axis=2)
        shapely.prepare(seen[which])
        keep &= shapely.intersects(seen[which], shapely.linestrings(flat))
    allowed: Floats = points[keep]
    return allowed


def _lost(job: Job, traced: Traced, name: str, points: Floats) -> Iterator[Fault]:
    for low, high, region in _standing(job, traced, name):
        here = points[(points[:, 2] >= low) & (points[:, 2] < high)]
        room = shapely.buffer(region, EDGE_MM)
        shapely.prepare(room)
        out = ~shapely.contains_xy(room, here[:, 0], here[:, 1])
        if out.any():
            x, y, z = here[int(out.argmax())]
            yield Fault(
                f"the outlines allow foam {z:.1f} mm off the back, the form has none there",
                f"{name!r}, near x {x:.1f}, y {y:.1f} mm",
            )
            return


def _standing(job: Job, traced: Traced, name: str) -> Iterator[tuple[float, float, Geometry]]:
    """Give (from, to, where the form may stand) from the back up."""
    if job.form.kind == "full round":
        for one in traced.sections:
            if one.form == name:
                yield one.from_mm, one.to_mm, one.region
        return
    outline = overlay.union([one.polygon for one in traced.outlines if one.layer == name])
    heights = sorted({one.height_mm for one in traced.contours})
    for low, high in zip([0.0, *heights], [*heights, np.inf], strict=True):
        regions = [one.region for one in traced.contours if one.height_mm == low]
        yield low, high, overlay.union(regions) if low else outline
