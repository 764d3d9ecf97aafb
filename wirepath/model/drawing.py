"""What a drawing holds, read and traced."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely import Geometry, LineString, Polygon


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
    is_form: bool = False
    """Whether it is what the job makes, and not only something found in the drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A closed line of the thing to be made, with its holes, at finished size."""

    name: str
    polygon: Polygon
    layer: str = ""
    from_mm: float = 0.0
    """Layers of a full-round form: how far the layer's back is off the form's lowest point."""


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
class View:
    """A form's outline from one side, in the form's frame: z is how far off the back.

    front has x to the right and y up, side z and y, top x and z.
    """

    form: str
    seen: Literal["front", "side", "top"]
    region: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """All that a full-round form may fill anywhere between two heights off its lowest point."""

    form: str
    from_mm: float
    to_mm: float
    region: Geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """All that the reader made of a drawing, in mm at finished size, lower left at 0, 0.

    Contours, seam lines and places to keep clear stand in the same frame as the outlines.
    """

    outlines: tuple[Outline, ...]
    contours: tuple[Contour, ...] = ()
    seam_lines: tuple[LineString, ...] = ()
    """Where the drawing parts the forms."""
    finished_lines: tuple[LineString, ...] = ()
    """The stretches of outlines that the wire cuts finished, each a part of the outline itself."""
    keep_clear: tuple[Polygon, ...] = ()
    """Where the drawing lets no seam run."""
    far: tuple[Outline, ...] = ()
    """The far faces of tapers, from layers of their own, named as the outlines are."""
    marks: tuple[Mark, ...] = ()
    meshes: tuple[Mesh, ...] = ()
    """Meshes and 3D faces, at finished size in the same frame. Those that are forms stand with
    their front towards z, the lowest point of all at z = 0."""
    views: tuple[View, ...] = ()
    """Of forms that are given by outlines from several sides, the front ones among them."""
    sections: tuple[Section, ...] = ()
    """Of full-round forms, each from its lowest point up; their outlines are then layers."""
    notes: tuple[Note, ...] = ()
    counts: tuple[EntityCount, ...] = ()
    units: str = "mm"
    """The unit the drawing was taken to be in, and why: 'inch (stated in the drawing)'."""
    scale: float = 1.0
    """Millimetres at finished size for one millimetre drawn."""
