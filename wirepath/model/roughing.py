"""Bulk taken off with straight cuts before carving."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import shapely
from shapely import LineString, Polygon

from wirepath.model.forms import Level

FaceName = Literal["left", "right", "bottom", "top", "back", "front"]
"""A face of a block as it stands with the form, seen from the front."""

RoughingKind = Literal[
    "outline",
    "profile",
    "tilted profile",
    "standing profile",
    "corner",
    "slab",
    "slanted slab",
    "hole",
]
"""How the wire lies on a roughing cut.

    outline         square to the back, round the form
    profile         in the plane of the face, over the form
    tilted profile  aslant to the face
    standing profile  aslant to the face too, but along a narrow face, on which the block stands
    corner          anywhere, moved straight: a flat cut
    slab            square to a slab sawn from the block, round the form at its height
    slanted slab    from the form's edge under the slab to its edge over it
    hole            square to a slab, round a hole in it, reached by a slit
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A block of foam that a form is roughed from, in the form's frame; its back is z = 0.

    A blank that does not begin at the flat back (a slab) has its own `from_mm`. The pieces of
    a plan are cut out of their slabs before they are roughed: their foam does not fill the
    block, and what they lie back in while they are roughed, their offcuts, does not count.
    """

    number: int = 1
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    thickness_mm: float
    from_mm: float = 0.0
    foam: tuple[Level, ...] = ()
    """Upright prisms that share no space: the foam, where it does not fill the block."""
    pieces: tuple[int, ...] = ()
    """Numbers of the plan's pieces whose foam this is."""

    @property
    def volume_mm3(self) -> float:
        """Volume of the foam."""
        if self.foam:
            return sum((p.to_mm - p.from_mm) * float(shapely.area(p.region)) for p in self.foam)
        return self.width_mm * self.height_mm * self.thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class WireDirection:
    """How the wire lies, as three unit vectors in the form's frame.

    Whoever looks along `wire` sees the wire as a point and the path in the cutting
    plane, spanned by `right` and `up`.
    """

    right: tuple[float, float, float]
    up: tuple[float, float, float]
    wire: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceMark:
    """Where the wire meets a face: on the four narrow faces `along_mm` from the face's
    left or bottom edge and `height_mm` from the back; on the back and the front
    `along_mm` from the left edge *as seen from the front* and `height_mm` from the bottom."""

    face: FaceName
    along_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkPair:
    """The two ends of the wire at one station."""

    number: int
    first: FaceMark
    second: FaceMark


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingOffcut:
    """A lump that a roughing cut frees, with the size of the box it fits in."""

    number: int
    litres: float
    weight_kg: float
    length_mm: float
    width_mm: float
    thickness_mm: float
    keep: bool
    """Whether a clear lump of the size the workshop keeps can be cut from it."""
    people: int
    """How many must lift it; 0 for more than two."""


RoughingNoteKind = Literal[
    "mirrored",
    "seen through",
    "two people",
    "more than two",
    "thin",
    "glue line",
    "both ends",
    "ring",
    "hollow",
    "hollow form",
    "holes",
    "short wire",
    "slopes",
]
"""What a note on roughing is about, with the figures it gives.

    mirrored       cut from the back, last
    seen through   a hole is seen right through the form along the wire: m2
    two people     an offcut for two: its number, kg
    more than two  an offcut for more: its number, kg
    thin           thin foam stays: at how many places, thinner than mm
    glue line      the wire crosses the seam of two pieces: their numbers
    both ends      both ends of the wire follow lines of their own
    ring           a slab has holes: how many
    hollow         no wire reaches the bottom of a hollow: litres, x and y in mm
    hollow form    what straight wires could take at most: per cent of the bulk
    holes          the form has holes right through
    short wire     ways the wire is too short for: its length in mm
    slopes         the surface was taken as straight between contours
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingNote:
    """Something to know of a cut, or of the roughing of a form, to be put in words."""

    kind: RoughingNoteKind
    values: tuple[float, ...] = ()
    ways: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingCut:
    """One straight-wire cut, or the cuts along one shape in one set-up.

    The cutting plane's frame has its datum at the left and lower end of the block's
    shadow in that plane; a point of the form's frame lies at its products with
    `right` and `up`, less `datum`. Slabs are cut in the form's own x and y.
    """

    number: int
    """Place in the order of work."""
    blank: int
    kind: RoughingKind
    direction: WireDirection
    datum: tuple[float, float]
    lines: tuple[LineString, ...]
    """The wire's centre, each from air to air, allowance and kerf included."""
    kept: tuple[Polygon, ...]
    """What the wire's centre passes round, in the same frame."""
    upper: tuple[Polygon, ...] = ()
    """Slanted slabs: where the wire's upper end passes, corner for corner with `kept`."""
    upper_lines: tuple[LineString, ...] = ()
    """Slanted slabs: the upper end's line, point for point with `lines`."""
    slits: tuple[LineString, ...] = ()
    """Holes: the way to each hole across the form, to be glued after; not in `lines`."""
    turn_deg: float
    """How far the block is turned about the z axis, clockwise seen from the front, before the
    cut: then `right` lies along x."""
    tilt_deg: float
    """How far the wire rises out of the plane of the face; 90 for square to it."""
    length_mm: float
    area_m2: float
    longest_wire_mm: float
    litres: float
    """Foam that leaves the block with this cut, in the order of work."""
    marks: tuple[MarkPair, ...] = ()
    offcuts: tuple[RoughingOffcut, ...] = ()
    mirrored: bool = False
    """By hand it is drawn on the back, so left and right change sides. A table takes it as it is
    seen from the front."""
    notes: tuple[RoughingNote, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingRow:
    """One way to rough a form, for the comparison."""

    way: str
    blanks: int
    foam_litres: float
    litres_off: float
    litres_left: float
    """Foam left over target and allowance, and the allowance itself, over the raised form."""
    cuts: int
    metres: float
    longest_wire_mm: float
    """Of the cuts, and of sawing a block into slabs."""
    seam_m2: float
    fits: bool = True
    """Whether the wire is long enough for all of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthMap:
    """How deep the carver still has to go at most, in mm, in rows from the bottom.

    Cells are squares of `cell_mm`, the first with its lower left corner at `x_mm`,
    `y_mm`; -1 where no foam is left.
    """

    x_mm: float
    y_mm: float
    cell_mm: float
    rows: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingPlan:
    """What straight cuts take off a form, and in which order. Litres, unless named otherwise."""

    name: str
    """The outline's."""
    forms: tuple[str, ...] = ()
    """Copies roughed alike, by the names that their pieces bear in `section_of`, or by their
    own names where they are whole; `Blank.pieces` are those of the first. Litres are of one."""
    way: str
    blanks: tuple[Blank, ...]
    cuts: tuple[RoughingCut, ...]
    kerf_mm: float
    allowance_mm: float
    block_litres: float
    removable_litres: float
    """Block less the form raised to the next level and its allowance."""
    bound_litres: float
    """What no straight wire can exceed on the whole block, to the fineness of the grid and
    the directions tried."""
    blanks_bound_litres: float
    """What the wire of this rig cannot exceed on the blanks each by itself, as they are cut here:
    by its length, its tilt, and what passes between its ends."""
    litres_off: float
    carve_most_litres: float
    """Left to carve if the form stands as low as its contours allow."""
    carve_least_litres: float
    """Left to carve if the form stands as high as its contours allow."""
    rows: tuple[RoughingRow, ...] = ()
    depth: DepthMap | None = None
    notes: tuple[RoughingNote, ...] = ()

    @property
    def left_litres(self) -> float:
        """Foam left standing: form, allowance, and what the cuts could not reach."""
        return self.block_litres - self.litres_off

    @property
    def bulk_share(self) -> float:
        """Litres off as a share of the removable bulk."""
        return self.litres_off / self.removable_litres if self.removable_litres else 1.0

    @property
    def bound_share(self) -> float:
        """Litres off as a share of what a straight wire could take from the whole block."""
        return self.litres_off / self.bound_litres if self.bound_litres else 1.0
