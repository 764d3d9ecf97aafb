"""Promise 9, glued first: the cells of a blank hold its form, and no glue lies on the cut.

The blank once glued is proved as any block (`Plan.with_blanks`): slot, passes, reach. What
is proved here is that it holds the form, and that its seams are glued where they may be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
from shapely import Geometry, MultiLineString

from wirepath import overlay
from wirepath.checking.blank_foam import blank_foam, cells_of, placed_cells
from wirepath.checking.dropped import drawn_faults
from wirepath.checking.finding import (
    BUFFER_SHARE,
    CRUMB_MM2,
    EXACT_MM,
    FLAKE_MM,
    Finding,
    found,
    place_of,
    same,
)
from wirepath.checking.levels import heights_asked, storeys
from wirepath.checking.parted import finished_faults, gaps, prisms, too_tall
from wirepath.checking.scene import Scene
from wirepath.errors import Fault
from wirepath.geometry import place, polygons
from wirepath.model import GluedBlank, Plan, Seam
from wirepath.units import litres, told_apart

TOUCH_MM = 0.001
"""Glue and foam nearer than this touch: a thousandth is rounding, not a gap."""

NEEDLESS_SHARE = 0.05
"""Seams may stay dry this share further from the wire than asked: offsets err by less."""

HELD_MM = 1.0
"""Glue along less than this holds nothing (or over 1 mm2 of a layer)."""


def check_blanks(plan: Plan, scenes: Sequence[Scene]) -> tuple[Finding, ...]:
    """Return whether every blank holds its form and is glued off the wire's way.

    No finding where no blank is glued. `scenes` are those of the plan with its blanks.
    """
    if not plan.blanks:
        return ()
    by_layout = {scene.layout.number: scene for scene in scenes}
    held: list[Fault] = []
    glued: list[Fault] = []
    near, glue_mm2 = float("inf"), 0.0
    for blank in plan.blanks:
        where = f"blank {blank.number}, form {blank.form.name!r}"
        scene = by_layout[blank.layout.number]
        if not blank.cells or len(blank.layout.placements) != 1:
            held.append(Fault("it needs cells, and one form laid on them", where))
            continue
        held += _cells(plan, blank, where) + _covers(plan, blank, where)
        held += _frame(plan, blank, where) + _foam(plan, blank, scene, where)
        seams = [seam for seam in plan.seams if set(blank.cells).issuperset(seam.pieces)]
        way = _way(scene)
        for seam in seams:
            fault, gap = _glue(plan, blank, seam, way)
            glued += fault
            near = min(near, gap)
        glued += _pins(plan, blank, seams, way)
        glued += _loose(plan, blank, seams, where)
        glue_mm2 += sum(seam.area_mm2 for seam in seams)
    gap_words = f"{near:.1f} mm" if near < float("inf") else "farther"
    return (
        found(
            9,
            "Glued blanks hold their forms",
            f"{len(plan.blanks)} blanks of {sum(len(one.cells) for one in plan.blanks)} cells: "
            "no gap under the form, no cell without it, foam measured cell by cell",
            held,
        ),
        found(
            9,
            "No glue lies on the wire's way",
            f"{glue_mm2 / 1e6:.2f} m2 of glue, nearest to the wire {gap_words}, "
            f"{plan.job.seams.dry_mm:g} mm asked",
            glued,
        ),
    )


# --- The blank holds its form -------------------------------------------------------


def _cells(plan: Plan, blank: GluedBlank, where: str) -> list[Fault]:
    """Return cells that are not square, not this form's, or of another foam."""
    named = {piece.number for piece in plan.pieces if piece.section_of == blank.form.name}
    faults = drawn_faults(plan, blank.form, where)
    if named != set(blank.cells) or len(blank.cells) != len(named):
        faults.append(Fault("its cells are not the pieces that name its form", where))
    faults += finished_faults(blank.form.finished, cells_of(plan, blank), where)
    for cell in cells_of(plan, blank):
        corner = f"{where}, cell {cell.number}"
        if not cell.outline.equals(shapely.envelope(cell.outline)):
            faults.append(Fault("it is not square to the form", corner))
        if cell.foam != blank.form.foam or cell.part != blank.form.part:
            faults.append(Fault("it is of another foam or form", corner))
    return faults


def _covers(plan: Plan, blank: GluedBlank, where: str) -> list[Fault]:
    """Return where no cell stands though the form does, and cells it does not stand in."""
    cells = cells_of(plan, blank)
    outlines, low, top = prisms(cells)
    tried = []
    for outline in plan.traced.outlines:
        for height in sorted(heights_asked(plan.job, blank.form.part)):
            if outline.name == blank.form.part:
                form = storeys(plan, outline, height)
                tried.append(
                    gaps(form, outlines, low, top, where) + too_tall(plan, form, cells, where)
                )
    return min(tried, key=len) if tried else [Fault("no outline is called so", where)]


def _frame(plan: Plan, blank: GluedBlank, where: str) -> list[Fault]:
    """Return where the blank's layout is not the box around its cells as they lie."""
    layout = blank.layout
    bounds = shapely.total_bounds(placed_cells(plan, blank))
    top = max(cell.from_mm + cell.thickness_mm for cell in cells_of(plan, blank))
    pairs = (
        ("left edge", bounds[0], 0.0),
        ("lower edge", bounds[1], 0.0),
        ("width", bounds[2], layout.width_mm),
        ("height", bounds[3], layout.height_mm),
        ("thickness", top, layout.thickness_mm),
        ("trim", 0.0, layout.trim_mm),
        ("back", 0.0, layout.from_mm),
    )
    return [
        Fault(f"the {word} is {there:g} mm, that of the cells {here:g} mm", where)
        for word, here, there in pairs
        if abs(here - there) > EXACT_MM
    ]


def _foam(plan: Plan, blank: GluedBlank, scene: Scene, where: str) -> list[Fault]:
    """Return terms of the blank's foam that are not as measured."""
    here, told = blank_foam(plan, blank, scene.slot), blank.foam
    kept = sum(one.volume_mm3 for one in plan.estimate.offcuts if one.layout == blank.layout.number)
    exact = EXACT_MM + 1e-6 * litres(here.cells_mm3)
    loosely = exact + 0.005 * litres(here.kerf_mm3)  # round ends may be drawn coarser
    terms = (
        ("bought", told.bought, here.cells_mm3, exact),
        ("pieces", told.pieces, here.form_mm3, exact),
        ("kerf", told.kerf, here.kerf_mm3, loosely),
        ("offcuts", told.offcuts, kept, exact),
        ("scrap", told.scrap, here.beside_mm3 - kept, loosely),
        ("trim", told.trim, 0.0, exact),
    )
    return [
        Fault(f"{there:.3f} litres stated, {litres(mm3):.3f} measured", f"{where}, {term}")
        for term, there, mm3, slack in terms
        if abs(there - litres(mm3)) > slack
    ]


# --- Glue ---------------------------------------------------------------------------


def _way(scene: Scene) -> Geometry:
    """Return where the wire goes on a blank, but for what it does in air beside it."""
    moves = tuple(move for move in scene.moves if move.kind != "air")
    way: Geometry = MultiLineString([move.line for move in moves])
    return way


def _glue(plan: Plan, blank: GluedBlank, seam: Seam, way: Geometry) -> tuple[list[Fault], float]:
    """Return how a seam's glue is not as it should be, and how near to the wire it comes."""
    (placement,) = blank.layout.placements
    asked_mm = plan.job.seams.dry_mm
    where = f"blank {blank.number}, seam of pieces {seam.pieces[0]} and {seam.pieces[1]}"
    form = place(blank.form.outline, placement)
    whole, dry = (place(part, placement) for part in (seam.place, seam.dry))
    dust = CRUMB_MM2 if seam.kind == "layer" else FLAKE_MM
    faults = []
    if _size(seam, overlay.difference(dry, shapely.buffer(whole, TOUCH_MM))) > dust:
        faults.append(Fault("more is told to stay dry than there is of it", where))
    glue = overlay.difference(whole, shapely.buffer(dry, TOUCH_MM))
    if _size(seam, glue) <= dust:
        glue = shapely.Polygon()
    off = _size(seam, overlay.difference(glue, shapely.buffer(form, TOUCH_MM)))
    if off > 2 * dust:
        faults.append(Fault(f"{off:.1f} {_unit(seam)} are glued outside the form", where))
    gap = float("inf") if shapely.is_empty(glue) else float(shapely.distance(glue, way))
    if gap < asked_mm - TOUCH_MM:
        x, y = shapely.get_coordinates(shapely.shortest_line(glue, way))[0]
        at = place_of(blank.layout.number, at=(float(x), float(y)))
        faults.append(
            Fault(
                f"glue lies {told_apart(gap, asked_mm)} mm from the wire's way, {asked_mm:g} "
                "mm are asked",
                at,
            )
        )
    reach = shapely.buffer(way, asked_mm * (1 + NEEDLESS_SHARE) * (1 + BUFFER_SHARE))
    needless = _size(seam, overlay.difference(overlay.intersection(dry, form), reach))
    if needless > max(dust, NEEDLESS_SHARE * _size(seam, whole)):
        faults.append(
            Fault(f"{needless:.1f} {_unit(seam)} stay dry far from the wire's way", where)
        )
    return faults, gap


def _pins(plan: Plan, blank: GluedBlank, seams: Sequence[Seam], way: Geometry) -> Iterator[Fault]:
    """Give the pins of a blank that lie nearer to the wire's way than they may."""
    (placement,) = blank.layout.placements
    clear = plan.workshop.glue.pin_clear_mm
    for pin in plan.assembly.pins:
        if not 0 < pin.seam <= len(plan.seams) or plan.seams[pin.seam - 1] not in seams:
            continue
        axis = place(shapely.LineString([pin.start[:2], pin.end[:2]]), placement)
        gap = float(shapely.distance(axis, way))
        if gap < clear - TOUCH_MM:
            what = (
                f"it lies {told_apart(gap, clear)} mm from the wire's way, {clear:g} mm are asked"
            )
            yield Fault(what, f"blank {blank.number}, pin {pin.number}")


def _size(seam: Seam, part: Geometry) -> float:
    return float(shapely.area(part) if seam.kind == "layer" else shapely.length(part))


def _unit(seam: Seam) -> str:
    return "mm2" if seam.kind == "layer" else "mm"


def _loose(plan: Plan, blank: GluedBlank, seams: Sequence[Seam], where: str) -> list[Fault]:
    """Return cells told to be loose that are held, and those loose that are not told.

    Lumps of the form spread from the largest over glue; what they do not reach is loose.
    """
    lumps = [
        (cell.number, lump, lump.area * cell.thickness_mm)
        for cell in cells_of(plan, blank)
        for lump in polygons(overlay.intersection(cell.outline, blank.form.outline))
        if lump.area > HELD_MM
    ]
    bonds: dict[int, set[int]] = {k: set() for k in range(len(lumps))}
    for seam in seams:
        for one, other in _bonded(seam, lumps):
            bonds[one].add(other)
            bonds[other].add(one)
    volumes: list[tuple[float, set[int]]] = []
    left = set(bonds)
    while left:
        reached, front = set[int](), [min(left)]
        while front:
            here = front.pop()
            if here not in reached:
                reached.add(here)
                front += bonds[here]
        volumes.append((sum(lumps[k][2] for k in reached), reached))
        left -= reached
    largest = max((volume for volume, _ in volumes), default=0.0)
    main = next((team for volume, team in volumes if same(volume, largest)), set())
    equals = sum(same(volume, largest) for volume, _ in volumes)
    loose = {lumps[k][0] for k in range(len(lumps)) if k not in main}
    told = set(blank.loose)
    if loose == told or (equals > 1 and len(told) == len(loose)):
        return []
    return [Fault(f"cells {sorted(told)} are told loose, {sorted(loose)} are", where)]


def _bonded(seam: Seam, lumps: Sequence[tuple[int, Geometry, float]]) -> Iterator[tuple[int, int]]:
    """Give the pairs of lumps that a seam's glue joins."""
    glue = overlay.difference(seam.place, shapely.buffer(seam.dry, TOUCH_MM))
    if seam.strips is not None:
        glue = MultiLineString([strip.line for strip in seam.strips])
    one, other = (
        [k for k, (cell, _, _) in enumerate(lumps) if cell == number] for number in seam.pieces
    )
    for i in one:
        for j in other:
            shared = overlay.intersection(
                shapely.buffer(lumps[i][1], TOUCH_MM), shapely.buffer(lumps[j][1], TOUCH_MM)
            )
            if _size(seam, overlay.intersection(glue, shared)) > HELD_MM:
                yield i, j
