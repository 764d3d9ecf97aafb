"""What a job asks: the job file, read and checked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from wirepath.units import (
    Count,
    LengthMm,
    LengthUnit,
    NotNegative,
    Positive,
    Range,
    SizeMm,
    SmallMm,
)
from wirepath.workshop import EntryPlace, HoleWay, Lifters, Side

Turning = Literal["none", "half", "quarter", "any"]
"""How a piece may be turned on the block: not, by 180, by 90 degrees, or by any angle."""

FormKind = Literal["flat", "profile", "relief", "full round"]
"""flat: outline x thickness. profile: outline x length. relief: contours + peak.
full round: a mesh, or outlines from several sides; carved all round."""

MeshFront = Literal["x", "-x", "y", "-y", "z", "-z"]
"""The axis of a mesh that points out of the front, towards whoever looks at it."""

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
    finished_layers: tuple[str, ...] = ()
    """Layers of lines drawn along the edges that the wire cuts finished: no allowance there."""
    finished_within_mm: SmallMm = 1.0
    """How far such a line may stray from the outline, at finished size (common practice, no
    source: a line drawn by hand over another)."""
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
    side_layers: tuple[str, ...] = ()
    """Layers of the form's outline from the side, as high as the front one."""
    side_front: Literal["left", "right"] | None = None
    """On which side of the side outline the front is."""
    top_layers: tuple[str, ...] = ()
    """Layers of the form's outline from above, as wide as the front one."""
    top_front: Literal["bottom", "top"] | None = None
    """At which end of the top outline the front is."""
    mesh_layers: tuple[str, ...] = ()
    """Layers of meshes that are the forms, in place of outlines; an STL file is one anyway."""
    mesh_front: MeshFront = "z"
    mesh_step_mm: SizeMm = 10.0
    """How far apart a mesh is cut into contours, or sections, at finished size."""
    view_step_mm: SizeMm = 10.0
    """The same for a form given by outlines from several sides."""
    mesh_plate_mm: LengthMm = 0.0
    """Foam between a relief's flat back and the lowest point of its mesh."""
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
    layer_mm: SizeMm | None = None
    """Full round: how thick the slabs are that the form is glued from, back to front."""
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
    between_contours: Literal["steps", "slopes"] = "steps"
    """Whether each contour counts as high as the next one, or the surface runs straight between
    them: only where contours are no farther apart than the allowance."""
    least_litres_per_cut: NotNegative | None = None
    least_litres_per_m2: NotNegative | None = None
    """What a cut must free to be made, by itself and for each square metre it cuts. Where
    neither is given it is a small share of the bulk (`roughing.planning.LEAST_GAIN`), or what is
    carved while the cut is set up and made, if that is more."""
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
