"""What the screen shows of a drawing, an order, a plan: lines of text, and plain data."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from shapely import box

from wirepath.checking import Finding
from wirepath.errors import Fault
from wirepath.forming import contour_volumes
from wirepath.geometry import on_table
from wirepath.kerf import KerfBasis, KerfFit, good_feeds, kerf_basis
from wirepath.model import Estimate, Job, Plan, RoughingFigures, RoughingPlan, Traced
from wirepath.plain_data import to_plain
from wirepath.slicing import MeshFigures, measured
from wirepath.stops import piece_stops, stop_widening_mm
from wirepath.units import litres
from wirepath.varying import ChangeRow
from wirepath.wire import TOUCHABLE_V, WireCard
from wirepath.wording.roughing import ENGLISH as ROUGHING
from wirepath.wording.roughing import note_text
from wirepath.wording.test_cut import ENGLISH as TEST_CUT
from wirepath.workshop import Wire

KERF_SOURCES = {
    "stated": "as stated",
    "test cuts": "from test cuts",
    "estimate": "an ESTIMATE",
}

BAR = 40
"""Characters of the longest bar."""


def drawing_lines(traced: Traced, faults: Sequence[Fault], job: Job | None = None) -> Iterator[str]:
    """Give what the reader found: parts with sizes in mm, counts, repairs, refusals.

    The job, where there is one, says how high a relief's peak stands.
    """
    yield f"units: {traced.units}; scale {traced.scale:g}"
    yield ""
    rows: list[Sequence[str]]
    if traced.outlines:
        rows = []
        for outline in traced.outlines:
            west, south, east, north = outline.polygon.bounds
            rows.append(
                (
                    outline.name,
                    outline.layer,
                    f"{east - west:.1f}",
                    f"{north - south:.1f}",
                    str(len(outline.polygon.interiors)),
                    f"{outline.polygon.area / 1e6:.4f}",
                )
            )
        heads = ("outline", "layer", "width mm", "height mm", "holes", "area m2")
        yield from _table(heads, rows, left=2)
    else:
        yield "no outlines"
    if traced.meshes:
        yield ""
        yield from _mesh_lines([measured(mesh) for mesh in traced.meshes])
    if traced.contours:
        heights = [contour.height_mm for contour in traced.contours]
        yield ""
        yield f"contours: {len(heights)}, from {min(heights):g} to {max(heights):g} mm high"
        to_peak = job is not None and job.form.peak_mm is not None
        for name, volume in contour_volumes(traced, job).items():
            yield (
                f"foam of {name!r}: {litres(volume.least_mm3):.2f} to "
                f"{litres(volume.most_mm3):.2f} litres"
                + ("" if to_peak else ", up to its highest contour: a job's peak_mm tells the rest")
            )
    if traced.seam_lines or traced.keep_clear:
        metres = sum(line.length for line in traced.seam_lines) / 1000
        yield ""
        yield (
            f"seam lines: {len(traced.seam_lines)}, {metres:.2f} m; "
            f"places to keep clear: {len(traced.keep_clear)}"
        )
    if traced.finished_lines:
        metres = sum(line.length for line in traced.finished_lines) / 1000
        yield ""
        yield f"edges to be cut finished: {len(traced.finished_lines)}, {metres:.2f} m"
    if traced.counts:
        yield ""
        rows = [
            (
                count.kind,
                *map(str, (count.found, count.read, count.ignored, count.refused)),
                count.why,
            )
            for count in traced.counts
        ]
        yield from _table(("entity", "found", "read", "ignored", "refused", "why"), rows, left=1)
    for kind, title in (("repair", "repaired"), ("warning", "look at"), ("ignored", "left out")):
        notes = [note for note in traced.notes if note.kind == kind]
        if notes:
            yield ""
            yield f"{title}:"
            yield from (
                f"  - {note.text}"
                + (f" (near x {note.at[0]:.1f}, y {note.at[1]:.1f} mm)" if note.at else "")
                for note in notes
            )
    if faults:
        yield ""
        yield "refused:"
        for number, fault in enumerate(faults, 1):
            yield from (f"  {line}" for line in f"{number}. {fault}".splitlines())


def _mesh_lines(meshes: Sequence[MeshFigures]) -> Iterator[str]:
    rows = [
        (
            one.name,
            str(one.faces),
            *(f"{size:.1f}" for size in one.size_mm),
            f"{one.surface_mm2 / 1e6:.4f}",
            "" if one.volume_mm3 is None else f"{litres(one.volume_mm3):.3f}",
            f"open at {one.open_edges} edges" if one.open_edges else "yes",
        )
        for one in meshes
    ]
    heads = ("mesh", "faces", "width mm", "height mm", "depth mm", "surface m2", "litres", "closed")
    yield from _table(heads, rows, left=1)
    for one in meshes:
        places = "; ".join(f"x {x:.1f}, y {y:.1f}, z {z:.1f} mm" for x, y, z in one.open_at)
        if places:
            rest = one.open_edges - len(one.open_at)
            yield f"open edges of {one.name!r} near {places}" + (f"; {rest} more" if rest else "")
        if one.inside_out:
            yield f"{one.name!r} is inside out: its faces look inward"
        if one.hollows:
            yield (
                f"hollow places in {one.name!r}: {one.hollows}, {litres(one.hollow_mm3):.3f} "
                "litres, not counted among its litres"
            )
        if one.overlap_mm3:
            yield (
                f"shells of {one.name!r} overlap by {litres(one.overlap_mm3):.3f} litres, counted "
                "once"
            )


def order_lines(estimate: Estimate, *, setup_price: float = 0.0) -> Iterator[str]:
    """Give the blocks to order, the waste and the price; `setup_price` is that of the hands that
    set one block up (`Workshop.setup_price`)."""
    rows = [
        (
            line.stock,
            line.foam,
            f"{line.length_mm:g} x {line.width_mm:g} x {line.thickness_mm:g}",
            str(line.needed),
            str(line.spare),
            str(line.count),
            f"{line.price_each:.2f}",
            f"{line.price:.2f}",
        )
        for line in estimate.order
    ]
    if rows:
        heads = ("stock", "foam", "size mm", "needed", "spare", "order", "each", "price")
        yield from _table(heads, rows, left=3)
    else:
        yield "no blocks to buy: the rack holds enough"
    yield ""
    if estimate.rack:
        yield "take from the rack: " + ", ".join(
            (f"{line.count} of " if line.count > 1 else "")
            + f"{line.name} ({line.length_mm:g} x {line.width_mm:g} x {line.thickness_mm:g} mm)"
            for line in estimate.rack
        )
    foam = estimate.foam
    if needed := estimate.to_buy:
        told = f"no plan can do with fewer than {estimate.fewest_blocks}"
        if estimate.fewest_blocks == needed:
            told = "no plan can do with fewer"
        elif not estimate.fewest_blocks:
            told = "it is not proved that the rack alone could not do"
        yield f"{needed} block{'s' if needed != 1 else ''} to buy; {told}"
    if estimate.least_order_price > 0:
        yield (
            f"the order costs {estimate.order_price:.2f}: within "
            f"{_per_cent_up(estimate.over_least)} of {estimate.least_order_price:.2f}, the least "
            "that any order can cost"
        )
        if estimate.over_least >= 0.01 and setup_price > 0:
            yield "to set up more blocks costs hands: that counts in the choice too"
    rack = f" and {foam.rack:.1f} litres from the rack" if foam.rack else ""
    yield (
        f"foam bought for the plan {foam.bought:.1f} litres{rack}: pieces {foam.pieces:.1f}, "
        f"offcuts kept {foam.offcuts:.1f}, waste {foam.waste:.1f} "
        f"({foam.waste_share:.1%} of {'what is taken' if foam.rack else 'what is bought'})"
    )
    yield f"the waste is trim {foam.trim:.1f}, kerf {foam.kerf:.1f}, scrap {foam.scrap:.1f} litres"
    if estimate.roughing is not None:
        yield from _roughing_figures(estimate.roughing)
    if estimate.carve_litres is not None:
        yield f"left for the carver to take off: about {estimate.carve_litres:.1f} litres"
    spare = sum(line.spare * line.price_each for line in estimate.order)
    yield (
        f"price in {estimate.currency}: foam {estimate.foam_price:.2f}"
        + (f" (spare blocks {spare:.2f} of it)" if spare else "")
        + f", delivery {estimate.delivery_price:.2f}, labour {estimate.labour_price:.2f}, "
        f"together {estimate.price:.2f}"
    )


def _roughing_figures(rough: RoughingFigures) -> Iterator[str]:
    yield (
        f"roughing: {rough.cuts} straight cuts, {rough.foam_mm / 1000:.1f} m, take "
        f"{rough.litres_off:.1f} litres off; about {rough.cutting_min:.0f} min cutting and "
        f"{rough.setup_min:.0f} min setting up"
    )
    text = f"then to carve: {rough.carve_least_litres:.0f} to {rough.carve_most_litres:.0f} litres"
    if rough.carve_least_hours is not None and rough.carve_most_hours is not None:
        text += f", {rough.carve_least_hours:.1f} to {rough.carve_most_hours:.1f} hours"
    yield text


def _per_cent_up(share: float) -> str:
    """Return a share in per cent, rounded up to a tenth: it is not to promise too much."""
    return f"{math.ceil(share * 1000 - 1e-6) / 10:g} %"


def way_lines(plan: Plan) -> Iterator[str]:
    """Give the two ways to make forms larger than a block, compared; or that they are one."""
    if not plan.ways:
        yield "nothing is larger than a block: cut first or glue first is the same"
        return
    made = "glue first" if plan.blanks else "cut first"
    currency = plan.estimate.currency
    labels = (
        "blocks",
        f"foam bought, {currency}",
        "hands, hours",
        f"foam and hands, {currency}",
        "waste, of the foam bought",
        "wire through foam, m",
        "seams",
        "seams square to the back, m",
        "glue, m2",
        "heaviest lump, kg",
        "left to carve, litres",
    )
    columns = [
        (
            str(row.blocks),
            f"{row.foam_price:.2f}",
            f"{row.hands_min / 60:.1f}",
            f"{row.price:.2f}",
            f"{row.waste_share:.1%}",
            f"{row.wire_mm / 1000:.1f}",
            str(row.seams),
            f"{row.seam_mm / 1000:.1f}",
            f"{row.glue_mm2 / 1e6:.2f}",
            f"{row.heaviest_kg:.1f}",
            "-" if row.carve_litres is None else f"{row.carve_litres:.0f}",
        )
        if row.blocks
        else ("-",) * len(labels)
        for row in plan.ways
    ]
    heads = (
        "forms larger than a block",
        *(row.way + " *" * (row.way == made) for row in plan.ways),
    )
    yield from _table(heads, list(zip(labels, *columns, strict=True)), left=1)
    yield ("* is planned; hands are cutting, setting up, handling parts and gluing")
    yield from (f"{row.way} cannot be done: {row.why_not}" for row in plan.ways if row.why_not)
    for blank in plan.blanks:
        layout = blank.layout
        yield (
            f"blank {blank.number} for {blank.form.name!r}: {len(blank.cells)} cells, "
            f"{layout.width_mm:.0f} x {layout.height_mm:.0f} x {layout.thickness_mm:.0f} mm; glue "
            f"it, wait until the glue is dry, then cut; no glue within "
            f"{plan.job.seams.dry_mm:g} mm of the wire's way"
        )
        if blank.loose:
            cells = ", ".join(str(number) for number in blank.loose)
            yield f"  no glue holds what cells {cells} have of the form: glue it on after the cut"


def wire_lines_of(estimate: Estimate) -> Iterator[str]:
    """Give how far the wire goes and how long that takes."""
    wire = estimate.wire
    yield (
        f"wire: {wire.foam_mm / 1000:.1f} m through foam, {wire.slot_mm / 1000:.1f} m back through "
        f"slots, {wire.air_mm / 1000:.1f} m in air, {estimate.slab_cut_mm / 1000:.1f} m slab cuts"
    )
    yield (
        f"time: about {estimate.cutting_min:.0f} min cutting, simulated from the moves, and "
        f"{estimate.setup_min:.0f} min setting up"
    )


def plan_lines(plan: Plan) -> Iterator[str]:
    """Give a plan in short: pieces, blocks, order, wire."""
    yield (
        f"{plan.job.name}: pieces {len(plan.pieces)}, blocks {len(plan.blocks)}, "
        f"slabs to cut {len(plan.layouts)}"
    )
    yield from _setup_lines(plan)
    if plan.job.invented:
        yield "(demo data: everything in it is invented)"
    yield ""
    yield from order_lines(plan.estimate, setup_price=plan.workshop.setup_price)
    yield from wire_lines_of(plan.estimate)
    yield from assembly_lines(plan)
    basis = kerf_basis(plan.workshop, plan.job.form.foam)
    yield (
        f"kerf: {basis.cutting.kerf_mm:.2f} mm at {basis.cutting.feed_mm_per_s:.2f} mm/s, "
        f"{KERF_SOURCES[basis.source]}"
    )
    yield from _miss_lines(plan)
    yield from _stop_lines(plan)
    yield from basis.cautions
    yield ""
    yield from way_lines(plan)


def _setup_lines(plan: Plan) -> Iterator[str]:
    """Give the layouts whose block is moved on the table between setups, and how."""
    for layout in plan.with_blanks().layouts:
        if not layout.setups:
            continue
        told = []
        for number, setup in enumerate(layout.setups, 1):
            face = on_table(box(0, 0, layout.width_mm, layout.height_mm), setup)
            ways = [f"turned {setup.turn_deg:g} degrees"] if setup.turn_deg else []
            for low, less, more in zip(
                face.bounds[:2], ("left", "down"), ("right", "up"), strict=True
            ):
                ways += [f"pushed {abs(low):g} mm {less if low < 0 else more}"] if low else []
            told.append(f"{number} {', '.join(ways) or 'at the datum corner'}")
        yield (
            f"layout {layout.number} is cut in {len(told)} setup{'s' if len(told) != 1 else ''}: "
            f"{'; '.join(told)}"
        )


def _stop_lines(plan: Plan) -> Iterator[str]:
    """Give how much wider the slot gets where the wire stops, and the piece with most stops."""
    found = piece_stops(plan)
    if found:
        most = max(found, key=lambda one: (one.count, -one.piece))
        yield (
            f"where the wire stops on a line, {sum(one.count for one in found)} times, its slot "
            f"gets about {_stop_mm(plan):.2f} mm wider (reckoned, not measured); most often on "
            f"{plan.with_blanks().piece(most.piece).name}, {most.count} times"
        )


def _stop_mm(plan: Plan) -> float:
    rig = plan.workshop.rig
    return stop_widening_mm(plan.workshop.cutting, rig.acceleration_mm_per_s2)


def _miss_lines(plan: Plan) -> Iterator[str]:
    """Give how round inner corners come out, and the part the slot misses most."""
    if not plan.misses:
        return
    cutting = plan.workshop.cutting
    radius = (cutting.corner_kerf_mm or cutting.kerf_mm) / 2
    worst = max(plan.misses, key=lambda miss: miss.miss_mm)
    x, y = worst.at
    yield (
        f"inner corners come out rounded by {radius:.2f} mm; largest miss {worst.miss_mm:.2f} mm, "
        f"at {plan.with_blanks().piece(worst.piece).name} near x {x:.0f}, y {y:.0f} mm"
    )


def assembly_lines(plan: Plan) -> Iterator[str]:
    """Give how much is glued, and how many loads it makes."""
    if plan.seams:
        glued = sum(seam.area_mm2 for seam in plan.seams) / 1e6
        yield (
            f"gluing: {len(plan.seams)} seams, {glued:.2f} m2, in {len(plan.assembly.steps)} "
            f"steps; {len(plan.assembly.pins)} pins"
        )
        pinned = {pin.seam for pin in plan.assembly.pins}
        if bare := len(plan.seams) - len(pinned):
            yield f"seams that no pin fits: {bare}; the sheets say which, and what holds them"
    if plan.loads and plan.workshop.van:
        if main := plan.main_seams:
            metres = sum(plan.seams[number - 1].length_mm for number in main) / 1000
            yield f"main seams, glued on site: {len(main)}, {metres:.2f} m"
        boxes = [item for load in plan.loads for item in load.items]
        big = max(boxes, key=lambda one: (one.volume_mm3, one.pieces))
        _, across, up = plan.workshop.van.passing_mm
        yield (
            f"{len(boxes)} boxes travel, the largest {big.length_mm:.0f} x {big.width_mm:.0f} x "
            f"{big.height_mm:.0f} mm; the van's opening lets {across:.0f} x {up:.0f} mm through"
        )
        heaviest = max(load.weight_kg for load in plan.loads)
        yield (
            f"van: {len(plan.loads)} load{'s' if len(plan.loads) != 1 else ''}, the heaviest "
            f"{heaviest:.1f} kg; no plan can do with fewer than {plan.fewest_loads}"
        )


def roughing_lines(plan: RoughingPlan) -> Iterator[str]:
    """Give the ways to rough a form compared, and what the one worked out does."""
    yield f"{plan.name}: ways compared"
    yield ""
    rows = [
        (
            row.way + ("" if plan.way != row.way else " *"),
            str(row.blanks),
            f"{row.foam_litres:.0f}",
            f"{row.litres_off:.0f}",
            f"{row.litres_left:.0f}",
            str(row.cuts),
            f"{row.metres:.1f}",
            f"{row.longest_wire_mm:.0f}" + ("" if row.fits else " does not go"),
            f"{row.seam_m2:.2f}",
        )
        for row in plan.rows
    ]
    heads = (
        "way (* worked out)",
        "blocks",
        "foam l",
        "off l",
        "left l",
        "cuts",
        "cut m",
        "wire mm",
        "glue m2",
    )
    yield from _table(heads, rows, left=1)
    yield ""
    yield (
        f"{plan.way}: {len(plan.cuts)} cuts take {plan.litres_off:.0f} litres off, "
        f"{plan.bulk_share:.0%} of the bulk; straight wires could take {plan.bound_litres:.0f} "
        f"from the whole block, this rig's {plan.blanks_bound_litres:.0f} from "
        + ("it" if len(plan.blanks) == 1 else f"its {len(plan.blanks)} blocks each by itself")
    )
    least, most = f"{plan.carve_least_litres:.0f}", f"{plan.carve_most_litres:.0f}"
    yield (
        f"left to carve: {least} to {most} litres, as high or as low as the form may stand "
        "between its contours"
        if least != most
        else f"left to carve: {least} litres"
    )
    yield from (note_text(note, ROUGHING) for note in plan.notes)


def change_lines(rows: Sequence[ChangeRow], currency: str) -> Iterator[str]:
    """Give what each change would come to beside the plan as it is, then prices as bars."""
    now = rows[0]
    table = [
        (row.name, "no plan", *[""] * 7, row.refused)
        if row.refused
        else (
            row.name,
            str(row.blocks),
            f"{row.foam_m3:.3f}",
            f"{row.waste_share:.1%}",
            str(row.pieces),
            str(row.seams),
            f"{row.wire_m:.1f}",
            f"{row.price:.2f}",
            "" if row is now else f"{row.price - now.price:+.2f}",
            "",
        )
        for row in rows
    ]
    heads = ("change", "blocks", "m3", "waste", "pieces", "seams", "wire m", "price", "more", "why")
    yield from _table(heads, table, left=1)
    yield ""
    yield (
        f"m3 is foam bought, waste is a share of it; price in {currency}: foam, delivery, labour; "
        "wire is metres through foam; no row counts roughing"
    )
    yield ""
    dearest = max(row.price for row in rows)
    wide = max(len(row.name) for row in rows)
    for row in rows:
        if not row.refused:
            length = round(BAR * row.price / dearest) if dearest else 0
            yield f"{row.name:{wide}}  {'=' * length} {row.price:.0f}"


def card_lines(card: WireCard) -> Iterator[str]:
    """Give the card of a wire at a temperature in still air."""
    yield (
        f"{card.alloy}, {card.diameter_mm:g} mm thick, {card.length_mm:g} mm long, "
        f"at {card.temperature_c:g} C in still air"
    )
    yield ""
    for name, value in (
        ("resistance cold", f"{card.cold_ohm:.2f} ohm (5 % either way)"),
        ("resistance hot", f"{card.hot_ohm:.2f} ohm"),
        ("current", f"{card.current_a:.2f} A"),
        ("voltage", f"{card.volts:.1f} V {card.supply}: {card.supply_class}"),
        ("power", f"{card.power_w:.0f} W, {card.power_w_per_m:.0f} W a metre"),
        ("US Class 2 supply", "would do (30 V, 100 VA)" if card.class_2 else "would not do"),
        ("longest wire", f"{card.longest_mm:.0f} mm on the workshop's supply"),
        ("touchable up to", f"{card.touchable_mm:.0f} mm of wire, {TOUCHABLE_V[card.supply]:g} V"),
        ("stretch", f"{card.stretch_mm:.1f} mm to take up"),
        ("hang with fixed ends", f"{card.fixed_sag_mm:.0f} mm in the middle"),
        ("pull", f"{card.tension_n:.0f} N at most"),
        ("hang by its weight", f"{card.weight_sag_mm:.2f} mm at that pull"),
        (
            "bow too far",
            f"1 % of its length, at {card.bow_load_n_per_m:.1f} N a metre of side load",
        ),
    ):
        yield f"{name:21} {value}"
    yield ""
    yield "A wire in foam runs cooler than in air. Start here, then make a test cut."
    yield from card.cautions


def test_cut_lines() -> Iterator[str]:
    """Give, in steps, how to cut and measure the slots that the kerf is fitted to."""
    yield "How to measure your kerf:"
    for number, step in enumerate(TEST_CUT.steps, 1):
        yield f"  {number}. {step}"
    yield TEST_CUT.rest
    yield "Fit them: wirepath kerf 4:1.6 6:1.22 8:1.0 --wire-mm 0.5"
    yield "A page to print, with a picture: wirepath kerf --sheet test-cut.pdf"


def basis_lines(foam: str, basis: KerfBasis, wire: Wire) -> Iterator[str]:
    """Give the kerf that work in a foam is cut with, and what it rests on."""
    cutting = basis.cutting
    yield (
        f"{foam}: kerf {cutting.kerf_mm:.2f} mm at {cutting.feed_mm_per_s:.2f} mm/s, "
        f"{KERF_SOURCES[basis.source]}"
    )
    if basis.fit:
        slowest, fastest = good_feeds(basis.fit, wire)
        yield from (f"  {line}" if line else "" for line in kerf_lines(basis.fit, None))
        if slowest <= fastest:
            yield f"  good feeds, as tested: {slowest:.2f} to {fastest:.2f} mm/s"
    yield from (
        f"  {text}" for text in basis.cautions if not basis.fit or text not in basis.fit.cautions
    )
    yield ""


def kerf_lines(fit: KerfFit, want_mm: float | None) -> Iterator[str]:
    """Give the law fitted to test slots, how well it fits, and the feed for a wanted kerf."""
    law = fit.law
    yield f"kerf = {law.a_mm:.2f} mm + {law.b_mm2_per_s:.2f} mm2/s / feed"
    yield ""
    rows = [
        (
            f"{cut.feed_mm_per_s:g}",
            f"{cut.kerf_mm:.2f}",
            f"{law.kerf_mm(cut.feed_mm_per_s):.2f}",
            f"{residual:+.2f}",
        )
        for cut, residual in zip(fit.cuts, fit.residuals_mm, strict=True)
    ]
    yield from _table(("feed mm/s", "measured mm", "fitted mm", "miss mm"), rows, left=0)
    yield ""
    yield f"largest miss {fit.worst_mm:.2f} mm"
    yield from fit.cautions
    if want_mm is None:
        return
    feed = law.feed_mm_per_s(want_mm)
    tested = fit.slowest_mm_per_s <= feed <= fit.fastest_mm_per_s
    yield (
        f"a slot of {want_mm:g} mm takes a feed of {feed:.2f} mm/s: in the workshop file, "
        f"kerf_mm = {want_mm:g} and feed_mm_per_s = {feed:.2f}"
    )
    if not tested:
        yield "That feed lies outside those you tested: cut a slot at it before you trust it."


def proof_lines(findings: Iterable[Finding]) -> Iterator[str]:
    """Give each promise, whether it is kept and what was measured, then the faults."""
    for finding in findings:
        mark = "kept  " if finding.passed else "BROKEN"
        yield f"{mark}  {finding.title}: {finding.measured}"
        for fault in finding.faults:
            yield from (f"          {line}" for line in str(fault).splitlines())


def drawing_data(traced: Traced, faults: Sequence[Fault], job: Job | None = None) -> dict[str, Any]:
    """Return what the reader found as plain data for scripts, geometry included."""
    return {
        "drawing": to_plain(traced),
        "meshes": [to_plain(measured(mesh)) for mesh in traced.meshes],
        "reliefs": {name: to_plain(one) for name, one in contour_volumes(traced, job).items()},
        "faults": to_plain(tuple(faults)),
    }


def order_data(plan: Plan) -> dict[str, Any]:
    """Return the estimate as plain data for scripts, sums included."""
    estimate = plan.estimate
    return {
        "job": plan.job.name,
        "estimate": to_plain(estimate),
        "blocks_to_order": sum(line.count for line in estimate.order),
        "waste_share_of_bought_and_rack": estimate.foam.waste_share,
        "price": estimate.price,
        "ways": to_plain(plan.ways),
        "pieces_litres": sum(litres(piece.volume_mm3) for piece in plan.pieces),
    }


def proof_data(findings: Iterable[Finding]) -> list[Any]:
    """Return the findings as plain data for scripts."""
    return [to_plain(finding) for finding in findings]


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, left: int) -> Iterator[str]:
    """Give aligned lines: the first `left` columns and the last of words to the left."""
    widths = [max(len(row[i]) for row in (heads, *rows)) for i in range(len(heads))]
    for row in (heads, *rows):
        cells = [
            text.ljust(width) if i < left or heads[i] == "why" else text.rjust(width)
            for i, (text, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield "  ".join(cells).rstrip()
