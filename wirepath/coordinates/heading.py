"""What every coordinate file says of itself, line by line."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import box

from wirepath.coordinates.laying import about_setup, passes_of
from wirepath.coordinates.spelling import fixed, plain
from wirepath.geometry import face_axes, on_table
from wirepath.kerf import kerf_basis
from wirepath.model import Layout, Plan


def heading(plan: Plan, layout: Layout, setup: int | None = None) -> Iterator[str]:
    """Yield what a layout's file says of itself: job, foam, units, datum, axes, wire, kerf.

    Or the file of one of its setups.
    """
    block = plan.block(layout.block)
    stock = plan.workshop.stock_named(block.stock)
    foam = plan.workshop.foam(stock.foam)
    cutting = plan.workshop.cutting
    x_edge, y_edge = face_axes(stock, block.wire_axis)
    yield f"job: {plain(plan.job.name)}"
    if plan.job.invented:
        yield "invented demo data: not a real commission, stock or price"
    if plan.job.date:
        yield f"date: {plain(plan.job.date)}"
    yield f"layout: {layout.number}"
    if setup is not None:
        yield from about_setup(layout, setup)
    blank = plan.blank_of(layout)
    if blank is None:
        yield f"block: {layout.block} of {len(plan.blocks)}, stock {plain(stock.name)}"
    else:
        cells = ", ".join(str(number) for number in blank.cells)
        yield (
            f"block: {layout.block}, which is blank {blank.number}, glued of pieces {cells}: "
            "first glue, wait until it is dry, then cut"
        )
    yield (
        f"foam: {plain(foam.name)}, {plain(foam.kind)}, {foam.density_kg_per_m3:g} kg/m3; "
        "hot-wire no other foam than EPS or XPS"
    )
    yield (
        f"block as {'bought' if blank is None else 'glued'}: {stock.length_mm:g} x "
        f"{stock.width_mm:g} x {stock.thickness_mm:g} mm (length x width x thickness)"
    )
    yield (
        f"slab on the table: {layout.from_mm:g} to {layout.from_mm + layout.thickness_mm:g} mm "
        "from the block's datum face, measured along the wire"
    )
    if layout.outline is not None:
        yield (
            "foam: no full rectangle; x 0, y 0 is the lower left corner of the box around it, "
            "as the cut sheet shows"
        )
    lies = layout.setup(setup or 1)
    west, south, east, north = on_table(box(0, 0, layout.width_mm, layout.height_mm), lies).bounds
    yield f"face: x {west:g} to {east:g}, y {south:g} to {north:g}"
    yield "units: mm, mm/s; decimal point"
    if setup is not None:
        yield (
            "datum: x 0, y 0 is the table's datum corner, where the lower left corner of the foam, "
            "rough faces included, lies before it is moved, seen from the front"
        )
    else:
        yield (
            "datum: x 0, y 0 is the lower left corner of the foam as bought, rough faces "
            "included, seen from the front"
            if blank is None
            else "datum: x 0, y 0 is the lower left corner of the rectangle round the pieces as "
            "glued, seen from the front"
        )
    if lies.turn_deg % 180:
        x_edge, y_edge = y_edge, x_edge
    yield (
        f"axes: x to the right along the block's {x_edge}, y up along its {y_edge}; "
        "absolute figures"
    )
    leaning = any(p.taper for p in (plan.piece(one.piece) for one in layout.placements))
    yield (
        f"wire: square to this face, parallel to the block's {block.wire_axis}"
        + (", but for tapers, where its ends part" if leaning else "")
    )
    yield (
        f"kerf: {cutting.kerf_mm:.4g} mm full width at {cutting.feed_mm_per_s:.4g} mm/s is "
        "included: the figures are the wire's centre; add nothing"
    )
    if cutting.corner_feed_mm_per_s and cutting.corner_kerf_mm:
        yield (
            f"corners: {cutting.corner_kerf_mm:.4g} mm full width at "
            f"{cutting.corner_feed_mm_per_s:g} mm/s, {cutting.corner_mm:g} mm before and after "
            "each; included"
        )
    if cutting.slot_feed_mm_per_s:
        yield f"slots: back through its own slot the wire goes {cutting.slot_feed_mm_per_s:g} mm/s"
    basis = kerf_basis(plan.workshop, plan.job.form.foam)
    if basis.estimate:
        yield (
            f"THE KERF IS AN ESTIMATE, {basis.estimate.low_mm:.1f} to {basis.estimate.high_mm:.1f} "
            "mm: make a test cut and plan again before cutting to size"
        )
    yield (
        "rows: one for each point; the wire goes straight there at its feed; the first row of a "
        "pass is where it starts, outside the foam"
    )
    if plan.workshop.rig.waits_at is not None:
        x, y = plan.workshop.rig.waits_at
        yield (
            f"waits: x {fixed(x)}, y {fixed(y)}: every pass starts there and comes back there, "
            "through air; but for passes that begin in the foam"
        )
    threaded = [one for one in passes_of(plan, layout, setup) if one.is_threaded]
    for one in threaded:
        x, y = one.moves[0].line.coords[0]
        yield (
            f"pass {one.number}: begins in the foam, at x {fixed(x)}, y {fixed(y)}: power off, "
            "wire cold; make a hole there, unhook the wire, thread it through, hook it up; unhook "
            "and draw it out after"
        )
    yield "caution: hot wire, fumes and fire; extract at the wire; never stop the wire in the foam"
