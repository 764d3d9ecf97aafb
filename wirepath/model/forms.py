"""Forms and pieces: what is cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Geometry, Polygon

from wirepath.model.job import Turning
from wirepath.workshop import EntryPlace, HoleWay


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Where a form may stand between two heights: nowhere outside `region`.

    The levels of a form follow each other from the flat back (0) to its highest point
    without gaps, each region inside the one below. Contours bound a form, they do not
    draw its surface: each contour's region is raised to the height of the next one.
    """

    from_mm: float
    to_mm: float
    region: Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruled:
    """Two closed lines, paired point by point, `thickness_mm` apart along the wire.

    Points are not repeated at the end. `near` lies on the front face, `far` behind it;
    both run counter-clockwise seen from the front. Between them lie straight lines, the
    rulings: a point of `near` and its partner of `far` are the ends of one.
    """

    near: tuple[tuple[float, float], ...]
    far: tuple[tuple[float, float], ...]
    thickness_mm: float

    def section(self, share: float) -> Polygon:
        """Return the section at `share` of the thickness, 0 at the near face."""
        near, far = np.array(self.near), np.array(self.far)
        return Polygon(near + share * (far - near))

    @property
    def volume_mm3(self) -> float:
        """The volume between the faces: Simpson's rule, exact for a prismatoid."""
        areas = [self.section(share).area for share in (0.0, 0.5, 1.0)]
        return self.thickness_mm * float(areas[0] + 4 * areas[1] + areas[2]) / 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Taper:
    """A piece whose two faces differ: as finished, and as cut, the allowance included.

    Both stand in the frame of the near face's drawing; the far face is named after its
    outline, and None where it is the near one less a draft.
    """

    finished: Ruled
    cut: Ruled
    far: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One lump of foam cut as one.

    `finished` is its outline at finished size, `outline` what the wire leaves:
    finished plus allowance. Both stand in the frame of the drawing. `thickness_mm`
    is its extent along the wire, allowance included. Copies share `part`. The pieces a
    form is parted into share `section_of`, the form's name, and are glued together
    again; `from_mm` is how far a piece's back stands off the form's back. A form parted by
    main seams has groups, from 1: what is glued in the workshop and driven as one.

    A `taper` has two faces and is no prism: then `finished` and `outline` hold all that
    the solid takes up as seen from the front.
    """

    number: int
    name: str
    part: str
    finished: Polygon
    outline: Polygon
    thickness_mm: float
    allowance_mm: float
    foam: str
    turning: Turning = "quarter"
    flip: bool = False
    holes: HoleWay | None = None
    """How its holes are reached; None for as the workshop does it."""
    entry: EntryPlace | None = None
    entry_at: tuple[float, float] | None = None
    section_of: str | None = None
    from_mm: float = 0.0
    group: int | None = None
    taper: Taper | None = None

    @property
    def volume_mm3(self) -> float:
        """Volume of the piece as the wire leaves it."""
        if self.taper:
            return self.taper.cut.volume_mm3
        return float(self.outline.area) * self.thickness_mm
