"""Nouns of the job: drawing, outline, piece, block, layout, pass, plan.

All frozen: to change one, make a new one (`dataclasses.replace`). All sizes in mm.
Geometry is shapely's, y up, outer rings counter-clockwise, holes clockwise, looked
at from the front face (docs/conventions.md). A value that two stages share stands
here; a value that only one stage needs stands with that stage.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Annotated, Literal

import numpy as np
import shapely
from shapely import Geometry, LineString, Polygon

from wirepath.units import (
    Count,
    LengthMm,
    LengthUnit,
    NotNegative,
    Positive,
    Range,
    SizeMm,
    SmallMm,
    kilograms,
)
from wirepath.workshop import Axis, EntryPlace, HoleWay, Lifters, Side, Stock, Workshop

# --- The job file ------------------------------------------------------------------

Turning = Literal["none", "half", "quarter", "any"]
"""How a piece may be turned on the block: not, by 180, by 90 degrees, or by any angle."""

FormKind = Literal["flat", "profile", "relief"]
"""flat: outline x thickness. profile: outline x length. relief: contours + peak."""

HeightSense = Literal["from the back", "from the front"]
"""Whether a contour's figure is its height above the flat back or its depth below the front."""

Naming = Literal["text", "layer", "position", "first that fits"]
"""What outlines are called after: a text inside, their layer, their place; or whichever of
these, in this order, tells them apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLength:
    """Two points of the drawing, in its own figures, and how far apart they are when finished."""

    start: tuple[float, float]
    end: tuple[float, float]
    length_mm: SizeMm


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerHeight:
    """The figure of the contours on layers called `layer` (a pattern), in mm when finished."""

    layer: str
    height_mm: LengthMm


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How the drawing is to be read."""

    units: LengthUnit | None = None
    """Overrides the unit the drawing states."""
    scale: Positive | None = None
    finished_width_mm: SizeMm | None = None
    finished_height_mm: SizeMm | None = None
    outline_layers: tuple[str, ...] = ()
    """Patterns such as `CUT*`; empty takes every visible layer that no other key names."""
    contour_layers: tuple[str, ...] = ()
    seam_layers: tuple[str, ...] = ()
    """Layers of lines that part the forms they cross."""
    keep_clear_layers: tuple[str, ...] = ()
    """Layers of closed lines round places where no seam may run."""
    gap_mm: SmallMm = 0.1
    """Loose ends nearer than this, at finished size, are joined and the join is told."""
    known_length: KnownLength | None = None
    """Fixes the size in place of `scale`: for a maquette with one length measured."""
    hidden_layers: bool = False
    """Reads layers that are off, frozen or never printed, and entities marked invisible."""
    open_lines: Literal["refuse", "leave out"] = "refuse"
    """What to do with lines that close no outline."""
    unclear_faces: Literal["refuse", "parts", "holes"] = "refuse"
    """Where lines meet in T joints, or a face lies all inside others it shares borders with:
    whether every face is a part, or the enclosed ones are holes."""
    hatch_borders: bool = False
    """Takes the borders of hatched areas as drawn lines."""
    naming: Naming = "first that fits"
    far_layers: tuple[str, ...] = ()
    """Layers of the far faces of tapers; they lie over the near ones, so they are read apart."""
    mark_layers: tuple[str, ...] = ()
    """Layers of what says which corners of a taper belong together: see `Mark`."""
    heights: HeightSense | None = None
    front_mm: SizeMm | None = None
    """With heights "from the front": how far the front they are measured from is off the back."""
    height_pattern: str | None = None
    """A layer name with {height} in the figure's place, such as `relief-{height}`: the figure
    is in mm when finished. Without it and `layer_heights`, contours stand at their elevation."""
    layer_heights: tuple[LayerHeight, ...] = ()
    curve_tolerance_mm: Positive = 0.05
    """How far a straight piece of a flattened curve may stray from it, at finished size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormSettings:
    """What is to be made from the outlines."""

    kind: FormKind
    foam: str
    thickness_mm: SizeMm | None = None
    """Flat forms: from the back to the front face."""
    length_mm: SizeMm | None = None
    """Profiles: how long the outline is run."""
    peak_mm: SizeMm | None = None
    """Reliefs: height of the highest point above the flat back."""
    allowance_mm: LengthMm = 0.0
    """Foam left on outside the finished outline, and over a relief's front, for carving."""
    finished_sides: tuple[Side, ...] = ()
    """Sides that the wire cuts finished: no allowance stands beyond a form's own extent there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutSettings:
    """How the pieces may be laid on blocks."""

    turning: Turning = "quarter"
    flip: bool = False
    """Whether a piece may be cut face down. Never for a foam with a good side."""
    share_edges: bool = True
    """Whether pieces are pushed together, one kerf apart, where one cut then does two edges."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSettings:
    """What differs for the outlines called `name` (a pattern such as `arch-*`)."""

    name: str
    copies: Count = 1
    thickness_mm: SizeMm | None = None
    turning: Turning | None = None
    finished_sides: tuple[Side, ...] | None = None
    """In place of the form's; None takes those."""
    holes: HoleWay | None = None
    entry: EntryPlace | None = None
    """The corner where the wire comes to its outline and closes it."""
    entry_at: tuple[float, float] | None = None
    """Or a place of the drawing, at finished size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperSettings:
    """Outlines called `near` (a pattern) that taper to another face behind them.

    The far face is the outline called `far`; or the near one less a draft all round; or,
    with neither, the outline on `far_layers` that lies behind it.
    """

    near: str
    far: str | None = None
    draft_mm: float | None = None
    """How far every side of the far face lies inside the near one; outside where negative."""
    draft_deg: Annotated[float, Range(least=-60, most=60)] | None = None
    """The same as an angle: every side leans inward by so much over the thickness."""
    align: Literal["as drawn", "marks", "middles"] = "as drawn"
    """Where the far face lies behind the near one: as drawn, or moved (never turned) until
    marked places or the middles of their areas agree."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A rectangle of the drawing, at finished size, lower left at `x_mm`, `y_mm`."""

    x_mm: float
    y_mm: float
    width_mm: SizeMm
    height_mm: SizeMm


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamSettings:
    """Where forms too large for a block are parted. Places are in the drawing's frame."""

    at_x_mm: tuple[float, ...] = ()
    """Seams asked for, straight up through everything that lies there."""
    at_y_mm: tuple[float, ...] = ()
    keep_clear: tuple[Zone, ...] = ()
    """Where no seam may run: a face, lettering."""
    staggered: bool = True
    """Whether the seams of neighbouring rows and layers keep `lap_mm` apart, as in a wall."""
    lap_mm: LengthMm = 150.0
    """Common practice, no source."""
    least_mm: LengthMm = 80.0
    """Narrower pieces are joined to a neighbour where it stays small enough."""
    lift: Lifters = "two people"
    """Pieces of a parted form weigh no more than the workshop lets these lift."""
    travel: Literal["pieces", "groups"] = "pieces"
    """Whether pieces go into the van one by one, or glued together as far as they pass its door."""
    share_slabs: bool = True
    """Whether a piece may be cut thicker than its form needs, to lie on a slab with others."""
    way: Literal["cheaper", "cut first", "glue first"] = "cheaper"
    """Whether pieces are cut and then glued, or a blank is glued and the outline cut from it."""
    dry_mm: LengthMm = 30.0
    """How far glue stays off the way of a wire that comes after it (common practice, no source):
    glue does not melt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingSettings:
    """Whether and how the bulk is taken off the pieces of reliefs with straight cuts."""

    on: bool = True
    way: str | None = None
    """A way of the comparison, by its name; None takes the one worth most."""
    allowance_mm: LengthMm | None = None
    """Foam that no cut may touch, over the finished form; None for the form's own."""
    least_litres_per_cut: NotNegative | None = None
    least_litres_per_m2: NotNegative | None = None
    """What a cut must free to be made, by itself and for each square metre it cuts. Where
    neither is given it is a small share of the bulk (`roughing.planning.LEAST_GAIN`)."""
    most_cuts: Count = 9
    """On one piece."""
    carving_litres_per_hour: Positive | None = None
    """How much foam your carver takes off in an hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One commission. `drawing` and `workshop` are file names, relative to the job file."""

    name: str
    drawing: str
    workshop: str
    invented: bool = False
    """True for demo data: says so on every sheet."""
    date: str | None = None
    """Printed as given; no date is printed otherwise, so that sheets repeat."""
    read: Reading = field(default_factory=Reading)
    form: FormSettings
    layout: LayoutSettings = field(default_factory=LayoutSettings)
    parts: tuple[PartSettings, ...] = ()
    tapers: tuple[TaperSettings, ...] = ()
    seams: SeamSettings = field(default_factory=SeamSettings)
    roughing: RoughingSettings = field(default_factory=RoughingSettings)


# --- The drawing -------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Something the reader did or left out and the maker should know.

    `kind` is 'repair' (changed something), 'ignored' (left out), 'warning' (look at it).
    `at` is a place in mm at finished size, where there is one.
    """

    kind: Literal["repair", "ignored", "warning"]
    text: str
    at: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EntityCount:
    """What became of the drawing's entities of one kind: read + ignored + refused = found."""

    kind: str
    found: int
    read: int
    ignored: int
    refused: int
    why: str = ""
    """Why some were ignored or refused, in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Flat faces in space as a drawing holds them: x, y as in the drawing, z to the front.

    `faces` names the corners of each face by their place in `points`, counted from 0.
    """

    layer: str
    points: tuple[tuple[float, float, float], ...]
    faces: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A closed line of the thing to be made, with its holes, at finished size."""

    name: str
    polygon: Polygon
    layer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place, or two, drawn to say which corners of two faces belong together.

    A line from a corner of the near face to its partner has both ends. A text has the
    place it is set at and its words: the same words stand at two corners.
    """

    at: tuple[float, float]
    to: tuple[float, float] | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contour:
    """The region of a relief that stands at least `height_mm` above the flat back."""

    height_mm: float
    region: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """All that the reader made of a drawing, in mm at finished size, lower left at 0, 0.

    Contours, seam lines and places to keep clear stand in the same frame as the outlines.
    """

    outlines: tuple[Outline, ...]
    contours: tuple[Contour, ...] = ()
    seam_lines: tuple[LineString, ...] = ()
    """Where the drawing parts the forms."""
    keep_clear: tuple[Polygon, ...] = ()
    """Where the drawing lets no seam run."""
    far: tuple[Outline, ...] = ()
    """The far faces of tapers, from layers of their own, named as the outlines are."""
    marks: tuple[Mark, ...] = ()
    meshes: tuple[Mesh, ...] = ()
    """Meshes and 3D faces, at finished size in the same frame: read, not made use of here."""
    notes: tuple[Note, ...] = ()
    counts: tuple[EntityCount, ...] = ()
    units: str = "mm"
    """The unit the drawing was taken to be in, and why: 'inch (stated in the drawing)'."""
    scale: float = 1.0
    """Millimetres at finished size for one millimetre drawn."""


# --- Form, pieces and blocks -------------------------------------------------------


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
    again; `from_mm` is how far a piece's back stands off the form's back.

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
    taper: Taper | None = None

    @property
    def volume_mm3(self) -> float:
        """Volume of the piece as the wire leaves it."""
        if self.taper:
            return self.taper.cut.volume_mm3
        return float(self.outline.area) * self.thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Where two pieces of a form are glued together, by their numbers.

    An edge seam stands square to the back: `place` is its line seen from the front,
    `from_mm` to `to_mm` its heights above the form's back. A layer seam lies parallel
    to the back, at `from_mm` = `to_mm`: `place` is its area. `dry` is what of it gets no
    glue, as the wire still has to come by.
    """

    pieces: tuple[int, int]
    kind: Literal["edge", "layer"]
    place: Geometry
    from_mm: float
    to_mm: float
    dry: Geometry = field(default_factory=Polygon)

    @property
    def area_mm2(self) -> float:
        """The area to glue."""
        if self.kind == "layer":
            return float(shapely.area(self.place) - shapely.area(self.dry))
        length = shapely.length(self.place) - shapely.length(self.dry)
        return float(length) * (self.to_mm - self.from_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamMark:
    """A short line across a seam, drawn on both pieces so that they meet in one place.

    `seam` is the seam's place among the plan's, from 1. `at` stands in the drawing's
    frame, the line runs along `across_deg` there, counter-clockwise from x. An edge
    seam's mark lies `along_mm` from its left or, where it rises, lower end (`geometry.
    seam_line`); a layer seam's lies on the rim of its area and has no `along_mm`.
    """

    seam: int
    at: tuple[float, float]
    across_deg: float
    along_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A wooden dowel through a seam, half in each piece, from `start` to `end`.

    Both in the form's frame: x and y as drawn, z above the form's back. `along_mm` as
    in `SeamMark`.
    """

    number: int
    seam: int
    start: tuple[float, float, float]
    end: tuple[float, float, float]
    along_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueStep:
    """One joint made: the lump of pieces `moved` is glued to the lump `onto`."""

    number: int
    form: str
    moved: tuple[int, ...]
    onto: tuple[int, ...]
    seams: tuple[int, ...]
    """All seams between the two, by their place among the plan's, from 1."""
    place: Literal["workshop", "site"] = "workshop"
    """Whether it is made before or after the way in the van."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """How the pieces of parted forms are put together again."""

    steps: tuple[GlueStep, ...] = ()
    """In the order of work."""
    marks: tuple[SeamMark, ...] = ()
    pins: tuple[Pin, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadItem:
    """A piece, or pieces glued together, as a box in the van.

    The box's corner nearest to bulkhead, left side and floor stands at `x_mm` from the
    bulkhead, `y_mm` from the left side and `z_mm` over the floor; the sizes run likewise.
    It is the box around the pieces turned by `turn_deg`, laid on whichever side it lies.
    """

    pieces: tuple[int, ...]
    x_mm: float
    y_mm: float
    z_mm: float
    length_mm: float
    width_mm: float
    height_mm: float
    turn_deg: float
    weight_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One way of the van: what goes in, in the order of loading; the last comes out first."""

    number: int
    items: tuple[LoadItem, ...]

    @property
    def weight_kg(self) -> float:
        """Weight of all that is in it."""
        return sum(item.weight_kg for item in self.items)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where a piece lies on its layout.

    Its outline in the drawing's frame is flipped left to right first if `flipped`
    (x -> -x), then turned by `angle_deg` counter-clockwise about 0, 0, then shifted
    by `x_mm`, `y_mm`. `geometry.place` does it.
    """

    piece: int
    x_mm: float
    y_mm: float
    angle_deg: float = 0.0
    flipped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block that will be bought, or a piece from the rack; `stock` names which.

    `wire_axis` is the edge the wire lies along.

    The layout's face is spanned by the other two edges, the longer one along x.
    `slabs` lie in order from the datum face along `wire_axis`.
    """

    number: int
    stock: str
    wire_axis: Axis


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Pieces placed on the face of one slab, which is cut as one.

    The frame has its datum corner at the lower left of the face *as bought*, x to
    the right, y up, seen from the front. `from_mm` to `from_mm + thickness_mm` is
    the slab's place in the block along the wire, measured from the datum face. A
    slab as thick as its block is the block itself and needs no slab cut.
    """

    number: int
    block: int
    from_mm: float
    thickness_mm: float
    width_mm: float
    height_mm: float
    trim_mm: float
    placements: tuple[Placement, ...]
    held: tuple[int, ...] = ()
    """Pieces that come free after something they stand on, where the wire is level: to be
    held by hand."""
    drawn_out: tuple[int, ...] = ()
    """Pieces that parted waste holds all the same: to be drawn out along the wire."""
    outline: Polygon | None = None
    """The edge of the foam on this face, where it is no full rectangle."""
    blocked: tuple[Polygon, ...] = ()
    """Areas of the face that no piece may cover."""


# --- The wire's way ----------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class WireLine:
    """A closed line for the wire's centre, in the layout's frame, kerf included.

    `is_hole` lines run inside a hole of the piece, others outside its outline. `slow`
    are its stretches at the corner feed; `loops` lead out into the waste and back to a
    corner of the line, each a closed line from that corner.
    """

    piece: int
    is_hole: bool
    ring: LineString
    slow: tuple[LineString, ...] = ()
    loops: tuple[LineString, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceMiss:
    """Where the melted-back shape of a piece misses its outline most: foam left standing.

    A round slot rounds every inner corner, to a radius of half the kerf there. `at` is
    in the frame of the drawing.
    """

    piece: int
    miss_mm: float
    at: tuple[float, float]


MoveKind = Literal[
    "air", "entry", "thread", "outline", "hole", "link", "slit", "parting", "slot", "overrun"
]
"""What the wire does on a move.

    air      outside the foam
    entry    from the foam's edge to the first line, through waste
    thread   from where the wire was threaded through the foam, through waste, to a hole's line
    outline  along a piece's outline
    hole     along a hole of a piece
    link     through waste, from one line to the next
    slit     through a piece, from its outline to its hole: a seam to glue
    parting  into the waste, to part it
    slot     back through a slot it has cut before
    overrun  a little past the point where a line closes, in its own slot
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One move of the wire's centre along `line`, which starts where the last one ended.

    Where the wire's two ends part, `line` is where its near end goes, on the face in
    front, and `far` where the other one goes, point for point in the same time. On each
    straight step the end with the longer way keeps the feed.
    """

    kind: MoveKind
    line: LineString
    feed_mm_per_s: float
    piece: int | None = None
    far: LineString | None = None

    @property
    def length_mm(self) -> float:
        """How far the end with the longer way goes, step by step."""
        if self.far is None:
            return float(self.line.length)
        ends = (shapely.get_coordinates(line) for line in (self.line, self.far))
        return float(np.maximum(*(np.hypot(*np.diff(way, axis=0).T) for way in ends)).sum())

    @property
    def seconds(self) -> float:
        """How long the move takes."""
        return self.length_mm / self.feed_mm_per_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One unbroken trip of the wire, on one layout: from air back to air.

    Or, where it begins with a move `thread`, from the point where the wire was threaded
    through a hole's waste and back there.
    """

    layout: int
    number: int
    moves: tuple[Move, ...]

    @property
    def is_threaded(self) -> bool:
        """Whether the wire is threaded through the foam for this pass."""
        return bool(self.moves) and self.moves[0].kind == "thread"


# --- Roughing ----------------------------------------------------------------------

FaceName = Literal["left", "right", "bottom", "top", "back", "front"]
"""A face of a block as it stands with the form, seen from the front."""

RoughingKind = Literal[
    "outline", "profile", "tilted profile", "corner", "slab", "slanted slab", "hole"
]
"""How the wire lies on a roughing cut.

    outline         square to the back, round the form
    profile         in the plane of the face, over the form
    tilted profile  aslant to the face
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
    """Drawn on the back, so left and right change sides."""
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
    """The same for the blanks each by itself, as they are cut here."""
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


# --- The estimate ------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """Blocks of one stock size to order: `needed` by the plan plus `spare`."""

    stock: str
    foam: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    needed: int
    spare: int
    price_each: float
    volume_m3: float
    weight_kg: float

    @property
    def count(self) -> int:
        """Blocks to order."""
        return self.needed + self.spare

    @property
    def price(self) -> float:
        """Price of the line."""
        return self.count * self.price_each


@dataclass(frozen=True, slots=True, kw_only=True)
class RackLine:
    """Pieces to fetch from the rack: they are used, and cost nothing more."""

    name: str
    foam: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    count: int
    volume_m3: float
    weight_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """A clear lump left over and worth keeping: rectangular, but for a slab of odd foam."""

    number: int
    name: str = ""
    """What to write on it: its name in the rack from now on."""
    block: int
    layout: int | None
    """None for a slab that is not cut at all."""
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    from_mm: float
    thickness_mm: float
    outline: Polygon | None = None
    """The edge of a slab that is no rectangle, on its block's face; the sizes are the box's."""

    @property
    def volume_mm3(self) -> float:
        """Volume of the lump."""
        face_mm2 = self.width_mm * self.height_mm
        if self.outline is not None:
            face_mm2 = float(self.outline.area)
        return face_mm2 * self.thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class FoamBalance:
    """Where the foam of all needed blocks goes, in litres; parts add up to `bought` + `rack`."""

    bought: float
    rack: float = 0.0
    """Of the rack pieces that are used."""
    pieces: float
    kerf: float
    trim: float
    offcuts: float
    scrap: float

    @property
    def taken(self) -> float:
        """Foam bought and taken from the rack together."""
        return self.bought + self.rack

    @property
    def waste(self) -> float:
        """Foam that is thrown away: kerf, trim and scrap, not the offcuts kept."""
        return self.kerf + self.trim + self.scrap

    @property
    def waste_share(self) -> float:
        """Waste as a share of the foam taken, bought and from the rack."""
        return self.waste / self.taken if self.taken else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WireLengths:
    """How far the wire goes, in mm: through foam, back through slots, outside."""

    foam_mm: float
    slot_mm: float
    air_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingFigures:
    """What the roughing of all pieces, every copy, comes to."""

    cuts: int
    foam_mm: float
    """How far the wire goes through the blocks, in feed direction."""
    litres_off: float
    carve_least_litres: float
    carve_most_litres: float
    """Left to carve, as high or as low as the forms may stand between their contours."""
    carve_least_hours: float | None = None
    carve_most_hours: float | None = None
    """At the job's rate of carving, where it states one."""
    cutting_min: float
    setup_min: float
    """Each cut is a set-up of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What the plan costs and takes."""

    order: tuple[OrderLine, ...]
    rack: tuple[RackLine, ...] = ()
    offcuts: tuple[Offcut, ...]
    foam: FoamBalance
    fewest_blocks: int
    """No plan can do with fewer blocks to buy: a lower bound."""
    least_order_price: float = 0.0
    """No order that serves this plan's pieces can cost less, delivery included: a lower bound."""
    piece_weights_kg: tuple[tuple[int, float], ...]
    """(piece number, kg), in piece order."""
    wire: WireLengths
    slab_cut_mm: float
    """Length of the flat cuts that part slabs, feed direction, all blocks together."""
    cutting_min: float
    setup_min: float
    foam_price: float
    delivery_price: float
    labour_price: float
    currency: str
    carve_litres: float | None = None
    """Reliefs: foam left over the finished form, by contours, after the cuts of this plan."""
    roughing: RoughingFigures | None = None
    """Its minutes are part of the labour's price, not of `cutting_min` and `setup_min`."""

    @property
    def order_price(self) -> float:
        """What the order costs: foam and delivery."""
        return self.foam_price + self.delivery_price

    @property
    def over_least(self) -> float:
        """How much dearer the order is than the least any can cost, as a share of that."""
        if self.least_order_price <= 0:
            return 0.0
        return self.order_price / self.least_order_price - 1

    @property
    def price(self) -> float:
        """Foam, delivery and labour together."""
        return self.foam_price + self.delivery_price + self.labour_price


# --- Forms larger than a block -----------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class GluedBlank:
    """Square cells glued to one blank, from which a form larger than a block is cut.

    `cells` are numbers of pieces. Its form is numbered after the pieces, its layout after
    the layouts on blocks, and so is the block that its layout names: the blank itself,
    once glued (`Plan.with_blanks`). What `layout` holds is the rectangle around the cells.
    """

    number: int
    form: Piece
    cells: tuple[int, ...]
    layout: Layout
    passes: tuple[Pass, ...]
    foam: FoamBalance
    """Where the foam of the cells goes: `bought` is what they hold, there is no trim."""
    loose: tuple[int, ...] = ()
    """Cells whose share of the form no glue holds: to be glued on after the cut."""


WayName = Literal["cut first", "glue first"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamWay:
    """One way to make forms larger than a block, with all else the job holds: to compare.

    `hands_min` are minutes of cutting, setting up, handling the parts of such forms and
    gluing; waste is a share of the foam bought. `blocks` is 0 where no plan could be made.
    """

    way: WayName
    why_not: str = ""
    """Why it cannot be done with this stock and rig; empty where it can."""
    blocks: int = 0
    foam_price: float = 0.0
    hands_min: float = 0.0
    hands_price: float = 0.0
    waste_share: float = 0.0
    wire_mm: float = 0.0
    """Through foam, slab cuts too."""
    seams: int = 0
    seam_mm: float = 0.0
    """Length of the seams that stand square to the back."""
    glue_mm2: float = 0.0
    heaviest_kg: float = 0.0
    """The heaviest lump to lift: a piece, or a glued blank."""
    carve_litres: float | None = None
    """Reliefs: foam left for the carver, after roughing; blanks are not roughed."""

    @property
    def price(self) -> float:
        """Price of foam and hands."""
        return self.foam_price + self.hands_price


# --- The plan ----------------------------------------------------------------------

PLAN_VERSION = 1
"""Raised whenever an older reader would misread a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything, from job to passes: what `plan.json` holds."""

    version: int
    job: Job
    workshop: Workshop
    traced: Traced
    pieces: tuple[Piece, ...]
    blocks: tuple[Block, ...]
    layouts: tuple[Layout, ...]
    passes: tuple[Pass, ...]
    estimate: Estimate
    misses: tuple[PieceMiss, ...] = ()
    """Of every piece that the round slot misses anywhere, in the order of the pieces."""
    seams: tuple[Seam, ...] = ()
    assembly: Assembly = field(default_factory=Assembly)
    loads: tuple[Load, ...] = ()
    """Where the workshop has a van: in the order of the ways."""
    fewest_loads: int = 0
    """No plan can do with fewer loads: a lower bound by volume of foam and by payload."""
    roughing: tuple[RoughingPlan, ...] = ()
    """Reliefs: the straight cuts that take the bulk off their pieces, unless not asked for."""
    blanks: tuple[GluedBlank, ...] = ()
    """Where blanks are glued first: forms cut from them; `pieces` hold the cells."""
    ways: tuple[SeamWay, ...] = ()
    """Both ways compared; none where nothing has to be parted: they are the same then."""

    def with_blanks(self) -> Plan:
        """Return the plan with its blanks as blocks, their forms as pieces laid on them.

        The forms are made of foam that the pieces hold already, so what adds up pieces or
        blocks needs the plan itself. A plan that has them in line already stays as it is.
        """
        if not self.blanks or len(self.layouts) >= self.blanks[0].layout.number:
            return self
        layouts = [blank.layout for blank in self.blanks]
        stock = [
            Stock(
                name=f"glued blank {blank.number}",
                foam=blank.form.foam,
                length_mm=blank.layout.width_mm,
                width_mm=blank.layout.height_mm,
                thickness_mm=blank.layout.thickness_mm,
                price=0.0,
            )
            for blank in self.blanks
        ]
        densities = {foam.name: foam.density_kg_per_m3 for foam in self.workshop.foams}
        weights = [
            (
                blank.form.number,
                kilograms(blank.foam.pieces * 1e6, densities.get(blank.form.foam, 0.0)),
            )
            for blank in self.blanks
        ]
        return replace(
            self,
            workshop=replace(self.workshop, stock=(*self.workshop.stock, *stock)),
            pieces=(*self.pieces, *(blank.form for blank in self.blanks)),
            blocks=(
                *self.blocks,
                *(
                    Block(number=layout.block, stock=own.name, wire_axis="thickness")
                    for layout, own in zip(layouts, stock, strict=True)
                ),
            ),
            layouts=(*self.layouts, *layouts),
            passes=(*self.passes, *(one for blank in self.blanks for one in blank.passes)),
            estimate=replace(
                self.estimate, piece_weights_kg=(*self.estimate.piece_weights_kg, *weights)
            ),
        )

    def blank_of(self, layout: Layout) -> GluedBlank | None:
        """Return the blank that a layout is cut from; None where that is a block."""
        return next((one for one in self.blanks if one.layout.number == layout.number), None)

    def piece(self, number: int) -> Piece:
        """Return the piece with this number (they count from 1, without gaps)."""
        return self.pieces[number - 1]

    def block(self, number: int) -> Block:
        """Return the block with this number (they count from 1, without gaps)."""
        return self.blocks[number - 1]
