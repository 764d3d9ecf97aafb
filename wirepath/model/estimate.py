"""Foam, money, weight, wire and time of a plan."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import Polygon


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
    """Carved forms: foam left over them, by contours or solids, after the cuts of this plan."""
    roughing: RoughingFigures | None = None
    """Its minutes are part of the labour's price, not of `cutting_min` and `setup_min`."""

    @property
    def to_buy(self) -> int:
        """How many blocks the plan itself needs bought, spare ones not counted."""
        return sum(line.needed for line in self.order)

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
