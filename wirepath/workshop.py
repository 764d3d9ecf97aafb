"""Nouns of the shop: wire, rig, foams, stock. Written once, in the workshop file.

Every field is what the workshop file's key of the same name means; docs/files.md
is the reference for users. All sizes in mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from shapely import Polygon, box

from wirepath.units import (
    Count,
    CountOrNone,
    LengthMm,
    NotNegative,
    Positive,
    Range,
    Share,
    SizeMm,
    SmallMm,
)

Axis = Literal["length", "width", "thickness"]
"""An edge of a stock block, as it is sold: longest first."""

Side = Literal["left", "right", "lower", "upper"]
"""A side of the layout's face, seen from the front."""

Waste = Literal["whole", "open", "lumps"]
"""What becomes of the waste round the pieces: left whole, parted where it holds a piece fast,
or parted into lumps that one person lifts besides."""

EntryPlace = Literal[
    "left",
    "right",
    "lower",
    "upper",
    "lower left",
    "lower right",
    "upper left",
    "upper right",
]
"""A side or corner of a piece as drawn, seen from the front."""

HoleWay = Literal["slit", "thread"]
"""How a hole is reached: by a slit through its piece, or by the wire threaded through the foam."""

BlockTurn = Literal["no", "half", "quarter"]
"""How a block may be turned on the table: not, end for end, or by quarters too."""

Lifters = Literal["one person", "two people", "no limit"]
"""Who lifts: what weighs more is not planned for."""

Language = Literal["en", "de", "nl"]

FoamKind = Literal["EPS", "XPS"]
"""The only foams planned for: others give off poison or do not melt (see `safety`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """The hot wire and what feeds it."""

    alloy: Literal["NiCr 80/20", "NiCr 60/15", "304 stainless"] = "NiCr 80/20"
    diameter_mm: SmallMm = 0.5
    gauge: str | None = None
    """An American wire gauge such as "AWG 24": gives the diameter when the file is read."""
    length_mm: SizeMm
    """Straight wire between its two ends that may lie in foam: the longest cut across."""
    supply_v: Positive = 24.0
    supply: Literal["AC", "DC"] = "AC"
    current_a: Positive | None = None
    """The current you cut with, as read off the supply; None where nobody looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """A rectangle that the wire keeps out of, over foam or beside it, in air too.

    Its lower left corner is measured from the datum corner of the block as it lies, so
    what stands left of the block or below it is negative. It has room enough round the
    clamp itself: the wire and its slot come as near as its edge.
    """

    x_mm: float
    y_mm: float
    width_mm: SizeMm
    height_mm: SizeMm

    @property
    def polygon(self) -> Polygon:
        """The area, in the layout's frame."""
        x, y = self.x_mm, self.y_mm
        return box(x, y, x + self.width_mm, y + self.height_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """What holds the wire: a table that follows coordinates, a bow in two people's hands, or a
    frame that stands still, past which the foam is pushed along a fence."""

    kind: Literal["table", "bow", "fence"] = "table"
    wire_lies: Literal["upright", "level"] = "upright"
    """Whether the foam lies flat and the wire stands, or the foam stands and the wire is level."""
    acceleration_mm_per_s2: Positive = 100.0
    """How fast a table's speed changes; for the simulated time only."""
    travel_x_mm: SizeMm | None = None
    travel_y_mm: SizeMm | None = None
    clamps: tuple[Clamp, ...] = ()
    """What holds the foam on a table."""
    waits_at: tuple[float, float] | None = None
    """Where a table's wire waits between passes, x and y from the datum corner of the block as
    it lies; None for outside the foam, where the first way in begins."""
    block_may_shift: bool = False
    """Whether the block may be pushed along a table between two setups, to be cut past its
    travel."""
    block_may_turn: BlockTurn = "no"
    """How far the block may be turned on a table between two setups."""
    travel_from: tuple[float, float] | None = None
    """Where a table's travel begins, x and y from the datum corner of the block as it first
    lies; None for a lead-in outside it, or the waiting place where that is further out."""
    shift_error_mm: Annotated[float, Range(least=0.1, most=50)] = 1.0
    """How far off its marks a block may lie once it is moved (common practice, no source)."""
    tilt_deg: Annotated[float, Range(least=0, most=75)] | None = None
    """How far the wire, or the block before it, may be tilted out of the plane of the face, for
    roughing; None for 75 degrees with a bow and not at all with a table."""
    two_ended: bool = False
    """Whether a table moves the wire's two ends each along its own way, as tapers need."""
    ends_apart_mm: SizeMm | None = None
    """How far apart the planes lie in which the two ends move. None gives figures on the
    faces of the foam instead."""
    near_gap_mm: LengthMm = 0.0
    """From the near end's plane to the foam's near face."""
    pass_most_mm: SizeMm = 6000.0
    """Of a bow: the longest way through foam that is cut without a rest (common practice, no
    source)."""
    one_person_mm: LengthMm = 600.0
    """Of a bow: a wire no longer than this is held by one person (common practice, no source)."""
    fence_least_mm: LengthMm = 15.0
    """Nearest that a fence can be set to the middle of the wire (common practice, no source)."""
    fence_most_mm: SizeMm | None = None
    """Furthest; None for as far as any block needs."""
    fence_min: NotNegative = 1.0
    """Minutes to set the fence once (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCut:
    """A measured slot: its full width, cut straight through at a steady feed."""

    __test__ = False

    feed_mm_per_s: Positive
    kerf_mm: Positive
    foam: str | None = None
    """The foam it was cut in; None speaks for every foam that has no cuts of its own."""
    wire_mm: SmallMm | None = None
    """Diameter of the wire it was cut with; None for the wire of the file."""
    current_a: Positive | None = None
    bow_mm: LengthMm | None = None
    """How far the wire's middle lagged behind its ends; None where nobody looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How the wire is driven through the foam, and the widths that follow from it.

    As read from a file, `kerf_mm` may be 0: left out, for test cuts or an estimate to give.
    `kerf.settled` fills it in for a job's foam; no stage after it meets a 0.
    """

    kerf_mm: Positive = 0.0
    """Full width of the melted slot at `feed_mm_per_s`: measure it on a test cut."""
    test_cuts: tuple[TestCut, ...] = ()
    wanted_kerf_mm: Positive | None = None
    """A slot of this width is to be had: the test cuts give the feed for it."""
    estimate_kerf: bool = False
    """Whether a kerf nobody measured may be estimated by the balance of energy."""
    feed_mm_per_s: Positive = 5.0
    air_feed_mm_per_s: Positive = 30.0
    slot_feed_mm_per_s: Positive | None = None
    """The feed of a table on ways back through slots: nothing melts there. None for the feed."""
    kerf_base_mm: LengthMm | None = None
    """What of the kerf no feed takes away; the rest goes with 1 / feed. For tapers, whose ends
    go at different feeds. None as read where the test cuts give it, or 0."""
    corner_feed_mm_per_s: Positive | None = None
    """The feed near corners; None where they are not slowed."""
    corner_kerf_mm: Positive | None = None
    """Full width of the slot at that feed; None as read where the test cuts give it."""
    corner_mm: Annotated[float, Range(least=1, most=500)] = 10.0
    """How far before and after a corner the wire goes slower."""
    corner_from_deg: Annotated[float, Range(least=10, most=170)] = 45.0
    """Corners turn by at least so much."""
    corner_loops: bool = False
    """Whether the wire runs past outer corners, into the waste and back."""
    corner_loop_mm: Annotated[float, Range(least=1, most=500)] = 10.0
    """How far past the corner, where there is room."""
    web_mm: LengthMm = 8.0
    """How far apart the wire's lines round two pieces run at least, so that thin waste does not
    break: pieces stand one kerf and this apart, and this less one kerf of foam stands
    between their slots."""
    lead_in_mm: LengthMm = 20.0
    """How far outside the block a pass starts and ends."""
    overrun_mm: LengthMm = 5.0
    """How far the wire runs past the point where an outline closes."""
    entry_sides: tuple[Side, ...] = ()
    """Sides of the face where the wire may enter the foam; empty for any. Clamps keep it off."""
    holes: HoleWay = "slit"
    waste: Waste = "whole"
    thread_clear_mm: SizeMm = 15.0
    """Least way from where a wire is threaded to its line: room for the drill or the hot rod."""
    thread_min: NotNegative = 5.0
    """Minutes to make a hole for the wire, unhook it, thread it, and hook it up again."""
    setup_min: NotNegative = 10.0
    """Minutes to put one block or slab on the rig and find its datum."""

    @property
    def widest_kerf_mm(self) -> float:
        """Full width of the slot at the slowest feed in foam."""
        return max(self.kerf_mm, self.corner_kerf_mm or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Foam:
    """A grade of foam. `density_kg_per_m3` is the nominal one: used for weight and price."""

    name: str
    kind: str
    density_kg_per_m3: Positive


Corners = tuple[tuple[float, float], ...]
"""Corners of a region, in order, not closed: x along the length, y along the width, in mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocked:
    """An area of a block's largest face that no piece may cover: a knot, damage, old glue.

    It holds through the whole thickness; the wire may pass it. A rectangle by its lower
    left corner and size, or a region by its `corners`.
    """

    x_mm: float | None = None
    y_mm: float | None = None
    width_mm: SizeMm | None = None
    height_mm: SizeMm | None = None
    corners: Corners = ()

    @property
    def rectangle(self) -> tuple[float, float, float, float] | None:
        """x, y, width and height; None unless all four are given."""
        x, y, width, height = self.x_mm, self.y_mm, self.width_mm, self.height_mm
        if x is None or y is None or width is None or height is None:
            return None
        return x, y, width, height

    @property
    def polygon(self) -> Polygon:
        """The area, on the face as the block lies: x along its length, y along its width."""
        if self.rectangle is None:
            return Polygon(self.corners)
        x, y, width, height = self.rectangle
        return Polygon([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Foam that can be had: a size of block as it is sold, or a piece in the rack.

    `trim_mm` is lost at each of its six rough faces. Stock with an `outline` or `blocked`
    areas is at least as long as it is wide, and is laid with the wire through its thickness.
    """

    name: str
    foam: str
    length_mm: SizeMm
    width_mm: SizeMm
    thickness_mm: SizeMm
    price: NotNegative
    trim_mm: SmallMm = 0.0
    available: CountOrNone | None = None
    """How many can be had; None for as many as wanted."""
    outline: Corners = ()
    """The edge of the foam on its largest face, from 0, 0 to length, width; empty for a
    rectangle."""
    blocked: tuple[Blocked, ...] = ()

    def size_mm(self, axis: Axis) -> float:
        """Return the block's extent along `axis`, as bought."""
        return {
            "length": self.length_mm,
            "width": self.width_mm,
            "thickness": self.thickness_mm,
        }[axis]

    @property
    def volume_mm3(self) -> float:
        """The volume of the block as bought."""
        if self.outline:
            return float(Polygon(self.outline).area) * self.thickness_mm
        return self.length_mm * self.width_mm * self.thickness_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RackPiece:
    """An offcut in store, or `count` of one size: taken before any block is bought.

    `length_mm` and `width_mm` may be left out where an `outline` is given.
    """

    name: str
    foam: str
    length_mm: SizeMm | None = None
    width_mm: SizeMm | None = None
    thickness_mm: SizeMm
    count: Count = 1
    trim_mm: SmallMm = 0.0
    outline: Corners = ()
    blocked: tuple[Blocked, ...] = ()

    @property
    def stock(self) -> Stock:
        """The same foam as stock that costs nothing."""
        over = [max((corner[axis] for corner in self.outline), default=0.0) for axis in (0, 1)]
        return Stock(
            name=self.name,
            foam=self.foam,
            length_mm=self.length_mm or over[0],
            width_mm=self.width_mm or over[1],
            thickness_mm=self.thickness_mm,
            price=0.0,
            trim_mm=self.trim_mm,
            available=self.count,
            outline=self.outline,
            blocked=self.blocked,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcuts:
    """What is worth keeping: a clear rectangle at least this large, this thick."""

    keep_length_mm: SizeMm = 400.0
    keep_width_mm: SizeMm = 200.0
    keep_thickness_mm: SizeMm = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """What the shop lets one and two people lift, in kg.

    Defaults: HSE manual handling filter (INDG143), 25 kg for one man at knuckle
    height close in, 16 kg for one woman; the lower one serves all. Two people: two
    thirds of the sum of 25 kg each (HSE L23, from memory).
    """

    one_person_kg: Positive = 16.0
    two_people_kg: Positive = 33.0

    def most_kg(self, who: Lifters) -> float:
        """Return the most that these may lift."""
        return {
            "one person": self.one_person_kg,
            "two people": self.two_people_kg,
            "no limit": float("inf"),
        }[who]


@dataclass(frozen=True, slots=True, kw_only=True)
class Van:
    """The van that work is taken out in: a box with its opening at the rear."""

    opening_width_mm: SizeMm
    opening_height_mm: SizeMm
    length_mm: SizeMm
    """Inside, from the bulkhead to the door."""
    width_mm: SizeMm
    """Inside, between the wheel arches where they are in the way."""
    height_mm: SizeMm
    payload_kg: Positive
    clear_mm: LengthMm = 30.0
    """How much smaller than the opening, in width and height, what goes through it must be
    (common practice, no source)."""

    @property
    def passing_mm(self) -> tuple[float, float, float]:
        """Most that a box slid straight in may be: along the van, across it, up."""
        return (
            self.length_mm,
            min(self.opening_width_mm - self.clear_mm, self.width_mm),
            min(self.opening_height_mm - self.clear_mm, self.height_mm),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Glue:
    """What parted forms are put together with. Defaults are common practice, no source."""

    name: str = ""
    """What stands on its label; it must suit foam."""
    set_min: NotNegative | None = None
    """Minutes until a joint may be moved, from the label."""
    pin_diameter_mm: SmallMm = 8.0
    pin_length_mm: SizeMm = 160.0
    """Of the dowels across a seam, wood or bamboo; where foam is thin, shorter ones are planned."""
    pin_cover_mm: LengthMm = 20.0
    """Least foam between a pin and the finished surface, another pin or another seam."""
    pin_clear_mm: LengthMm = 50.0
    """Least way between a pin and the line of a wire that cuts after gluing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """How foam is bought and work is priced. Prices are in `currency`, as invented or quoted."""

    currency: str = "crowns"
    delivery_price: NotNegative = 0.0
    spare_share: Share = 0.0
    """Share of blocks ordered on top, rounded up to whole blocks: 0.1 orders one in ten more."""
    hour_price: NotNegative = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """What the sheets are printed on."""

    size: Literal["A4", "A3"] = "A4"
    grid_mm: SizeMm | None = None
    """Side of the setting-out squares on the foam; None picks a round one."""
    language: Language = "en"
    """Of the texts on the cut sheets: English, German or Dutch."""
    inches: bool = False
    """Whether inches, to the nearest sixteenth, stand beside the millimetres on the sheets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Files:
    """Which coordinate files are written besides the CSV, and how word files are spelled.

    Word files hold address words as in ISO 6983 and the NIST RS274/NGC report, whose
    spelling differs from machine to machine.
    """

    also: tuple[Literal["DXF", "words"], ...] = ()
    unit: Literal["mm", "inch"] = "mm"
    units_word: str = "G21"
    """G21 is mm and G20 inch in RS274/NGC; others of the family use G71 and G70."""
    end_word: str = "M2"
    decimals: Annotated[int, Range(least=2, most=6)] = 3
    line_numbers: bool = False
    ending: str = "txt"
    """Ending of the word files' names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Workshop:
    """The shop as a whole."""

    name: str
    wire: Wire
    rig: Rig = field(default_factory=Rig)
    cutting: Cutting
    foams: tuple[Foam, ...]
    stock: tuple[Stock, ...]
    rack: tuple[RackPiece, ...] = ()
    rack_file: str | None = None
    """A file of `[[rack]]` tables besides, relative to the workshop file; read into `rack`."""
    offcuts: Offcuts = field(default_factory=Offcuts)
    lift: Lift = field(default_factory=Lift)
    glue: Glue = field(default_factory=Glue)
    van: Van | None = None
    order: Order = field(default_factory=Order)
    paper: Paper = field(default_factory=Paper)
    files: Files = field(default_factory=Files)

    def foam(self, name: str) -> Foam:
        """Return the foam called `name`; KeyError when the file has been read unchecked."""
        for foam in self.foams:
            if foam.name == name:
                return foam
        raise KeyError(name)

    def stock_named(self, name: str) -> Stock:
        """Return the stock or the rack piece called `name`; KeyError when there is none."""
        for stock in self.stock:
            if stock.name == name:
                return stock
        for piece in self.rack:
            if piece.name == name:
                return piece.stock
        raise KeyError(name)

    @property
    def setup_price(self) -> float:
        """What the hands cost that set one block or slab up."""
        return self.cutting.setup_min / 60 * self.order.hour_price

    def in_rack(self, name: str) -> bool:
        """Whether the stock called `name` lies in the rack, so that it need not be bought."""
        return any(piece.name == name for piece in self.rack)
