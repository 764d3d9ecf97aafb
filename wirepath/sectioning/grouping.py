"""Main seams: a form parted into groups, each glued in the workshop and driven as one.

The pattern is found as that of pieces is, with the ways a box passes the van's opening in
place of blocks. That alone leaves open where a seam runs, so a group counts for the whole
blocks that would cover it: a main seam then lies where blocks end.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Geometry, Polygon

from wirepath import overlay
from wirepath.fitting import DUST_MM
from wirepath.geometry import least_box
from wirepath.model import Piece
from wirepath.sectioning.buying import hands_price
from wirepath.sectioning.drawn import parted
from wirepath.sectioning.needs import Needs
from wirepath.sectioning.parting import (
    FINE,
    HANDS,
    absorbed,
    block_sizes,
    lumps_in,
    patterns,
    slants,
)
from wirepath.sectioning.raster import Body
from wirepath.sectioning.reading import reading_rows
from wirepath.sectioning.rows import covering

WAYS = 2
"""How many groupings are parted into pieces, those that promise to be cheapest."""

Grouping = tuple[Polygon, ...]
"""The outlines of a form's groups, as it is read."""


def groupings(body: Body, needs: Needs, lines: Sequence[Geometry]) -> list[Grouping]:
    """Return ways to part a form into groups that pass the van's opening, none if none is found.

    `needs` are those of a group. Seams asked for, `lines`, are main seams where what they
    part would not pass as one.
    """
    assert isinstance(body.outline, Polygon)
    if _passes(body.outline, body, needs):
        return [(body.outline,)]
    ways = [list(_ways(body.within(face), needs)) for face in parted(body.outline, lines)]
    if not all(ways):
        return []
    found = [
        _in_order([one for some in ways for one in some[min(k, len(some) - 1)]])
        for k in range(max(map(len, ways)))
    ]

    def guess(way: Grouping) -> float:
        sides = np.array([(*least_box(one)[1:], body.height_mm(one)) for one in way])
        blocks = covering(sides[:, 0], sides[:, 1], sides[:, 2], block_sizes(needs.rooms)).sum()
        return float(blocks) + on_site_price(way, body, needs)

    return sorted(dict.fromkeys(found), key=guess)[:WAYS]


def _ways(body: Body, needs: Needs) -> Iterator[list[Polygon]]:
    outline = body.outline
    assert isinstance(outline, Polygon)
    if _passes(outline, body, needs):
        yield [outline]
        return
    for angle in (0.0, 90.0, *slants(outline, "quarter")):
        for _, cells in patterns(body, needs, angle, FINE, HANDS, ()):
            found = absorbed(body, needs, lumps_in(outline, cells, needs))
            if all(_passes(one, body, needs) for one in found):
                yield found


def _passes(shape: Polygon, body: Body, needs: Needs) -> bool:
    """Whether what stands on `shape` passes the opening as one, and can be lifted."""
    return _lies(shape, body.height_mm(shape), needs) and body.volume_mm3(shape) <= needs.most_mm3


def _lies(shape: Geometry, height_mm: float, needs: Needs) -> bool:
    _, width, length = least_box(shape)
    sides = sorted((width, length, height_mm))
    return any(
        all(side <= most + DUST_MM for side, most in zip(sides, sorted(size), strict=True))
        for size in needs.sizes
    )


def pass_the_van(pieces: Sequence[Piece], needs: Needs) -> bool:
    """Whether each group, as its pieces are cut, passes the opening and can be lifted."""
    groups = {piece.group: [one for one in pieces if one.group == piece.group] for piece in pieces}
    return all(
        _lies(
            overlay.union([piece.outline for piece in own]),
            max(piece.from_mm + piece.thickness_mm for piece in own)
            - min(piece.from_mm for piece in own),
            needs,
        )
        and sum(piece.volume_mm3 for piece in own) <= needs.most_mm3
        for own in groups.values()
    )


def on_site_price(grouping: Grouping, body: Body, needs: Needs) -> float:
    """Return what the hands cost that join the groups, over those of seams as such.

    A main seam counts twice: its glue sets on site, where nobody can go on with the rest
    (common practice, no source).
    """
    if len(grouping) < 2:
        return 0.0
    # A rim's length counts the outline once, each main seam twice.
    regions = [region for region, _ in body.steps]
    inside = overlay.intersection(np.array(grouping)[:, None], regions)
    main_mm = (shapely.length(inside).sum(axis=0) - shapely.length(regions)) / 2
    glued = float(main_mm @ np.diff([0.0, *(top for _, top in body.steps)]))
    return hands_price(len(grouping), glued, needs.hour_price)


def _in_order(shapes: Sequence[Polygon]) -> Grouping:
    return tuple(shapes[k] for row in reading_rows(shapes) for k in row)
