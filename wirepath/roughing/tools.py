"""What roughing needs to know of the shop."""

from __future__ import annotations

from dataclasses import dataclass, field

from wirepath.workshop import Lift, Offcuts, Workshop

BOW_TILT_DEG = 75.0
"""Two people can hold a bow at any slant; steeper than this the marks run together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """Wire, rig and habits of the shop, for roughing."""

    kerf_mm: float
    wire_mm: float
    by_hand: bool
    tilt_deg: float
    """How far the wire can be tilted out of the plane of the face, or the block before it."""
    travel_mm: tuple[float, float] | None = None
    """What a table can reach, longer way first."""
    density_kg_per_m3: float = 15.0
    keep: Offcuts = field(default_factory=Offcuts)
    lift: Lift = field(default_factory=Lift)
    slanted_slabs: bool = True
    """Whether both ends of the wire can follow lines of their own."""
    by_fence: bool = False
    """Whether foam is pushed past a fixed wire: straight cuts only, along an edge of the block."""
    setup_min: float = 0.0
    feed_mm_per_s: float = 5.0
    """Each cut takes a setting up and its way at this feed."""


def tools_of(workshop: Workshop, foam: str, *, tilt_deg: float | None = None) -> Tools:
    """Return what the workshop file says for roughing blocks of `foam`.

    Without `tilt_deg` it is the rig's; where that states none, a bow tilts freely and a
    table not at all.
    """
    by_hand = workshop.rig.kind == "bow"
    if tilt_deg is None:
        tilt_deg = workshop.rig.tilt_deg
    travel = (workshop.rig.travel_x_mm, workshop.rig.travel_y_mm)
    given = [one for one in travel if one is not None]
    return Tools(
        kerf_mm=workshop.cutting.kerf_mm,
        wire_mm=workshop.wire.length_mm,
        by_hand=by_hand,
        tilt_deg=(BOW_TILT_DEG if by_hand else 0.0) if tilt_deg is None else tilt_deg,
        travel_mm=(max(given), min(given)) if len(given) == 2 and not by_hand else None,
        density_kg_per_m3=workshop.foam(foam).density_kg_per_m3,
        keep=workshop.offcuts,
        lift=workshop.lift,
        slanted_slabs=by_hand or workshop.rig.two_ended,
        by_fence=workshop.rig.kind == "fence",
        setup_min=workshop.cutting.setup_min,
        feed_mm_per_s=workshop.cutting.feed_mm_per_s,
    )
