"""The sheets of one layout: the picture to scale, the steps in words, where the pieces lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wirepath.geometry import place, place_all
from wirepath.kerf import kerf_basis
from wirepath.model import GluedBlank, Layout, Plan
from wirepath.sheets.face_sheet import add_pins_to_mark, has_pins_to_mark
from wirepath.sheets.figures import (
    beside,
    blank_weight_kg,
    cut_finished,
    kilos,
    layout_name,
    layout_weight_kg,
    measure,
    range_mm,
    runs,
    sentence,
    short,
    who_lifts,
    whole,
)
from wirepath.sheets.flow import Flow, Frame, Item, Paragraph, Table, heading
from wirepath.sheets.key import draw_key, key_height_mm, key_samples
from wirepath.sheets.lettering import TEXT, Box
from wirepath.sheets.marks import SCALES, View
from wirepath.sheets.page import Page, Points, lying, upright
from wirepath.sheets.picture import draw_layout
from wirepath.sheets.rims import Rims, rims
from wirepath.sheets.setup_item import SetupItem, setup_sentences
from wirepath.sheets.squares import side_mm
from wirepath.sheets.step_group import StepGroup
from wirepath.sheets.steps import Step, steps
from wirepath.sheets.strip import body, columns, text_page
from wirepath.wording import Words
from wirepath.wording.fence import FENCE

STEP_COLUMN_MM = 130.0
"""Least width of a column of steps: words, and a small picture beside them."""

MOST_STEPS = 6
"""Steps that share one small picture, where nothing comes free for long."""

LEAST_FRAME_MM = 40.0
"""Lower strips beside or below a picture are left blank."""


PICTURE_SHARES = (0.36, 0.3)
"""Share of a frame's width that a step's picture takes: less where that saves a page with next
to nothing on it."""

FEWEST_HALVED = 8
"""Places of so many pieces are listed in two halves side by side."""


@dataclass(frozen=True, slots=True)
class _Fit:
    """How a layout fits a page."""

    page_mm: tuple[float, float]
    scale: float
    around: Rims


def alike(plan: Plan) -> list[tuple[Layout, ...]]:
    """Return the layouts, those cut in just the same way together, in order of the first.

    Alike are layouts of one size and depth of block whose pieces are copies that lie the
    same, and whose wire goes the same way.
    """
    groups: dict[tuple[object, ...], list[Layout]] = {}
    for layout in plan.layouts:
        block = plan.block(layout.block)
        laid = tuple(
            (plan.piece(one.piece).part, one.x_mm, one.y_mm, one.angle_deg, one.flipped)
            for one in layout.placements
        )
        way = tuple(
            (move.kind, move.line.wkb)
            for one in plan.passes
            if one.layout == layout.number
            for move in one.moves
        )
        size = (block.stock, block.wire_axis, layout.from_mm, layout.thickness_mm)
        key = (*size, layout.setups, laid, way)
        groups.setdefault(key, []).append(layout)
    return [tuple(group) for group in groups.values()]


def shared_name(plan: Plan, group: Sequence[Layout], words: Words) -> str:
    """Return the name of layouts alike: that of the first, and how many they are."""
    name = sentence(layout_name(plan, group[0], words))
    return words.alike_name.format(name=name, count=len(group)) if len(group) > 1 else name


def layout_pages(plan: Plan, group: Sequence[Layout], words: Words) -> list[Page]:
    """Return the picture page of layouts alike and the pages their steps run on to."""
    layout = group[0]
    told = steps(plan, layout, words)
    fit = _best_fit(plan, layout, told, words)
    name = shared_name(plan, group, words)
    page = Page(
        *fit.page_mm,
        title=words.layout_title.format(name=name),
        scale=words.scale.format(scale=short(fit.scale)),
    )
    side = side_mm(fit.scale, plan.workshop.paper.grid_mm)
    area = body(page)
    view = View(
        area.x0 + fit.around.left_mm,
        area.y1 - fit.around.top_mm - layout.height_mm / fit.scale,
        fit.scale,
    )
    missing = draw_layout(page, plan, layout, told, view, fit.around, side, words)
    picture_bottom = view.y0 - fit.around.bottom_mm
    picture_right = view.x0 + layout.width_mm / fit.scale + fit.around.right_mm
    samples = key_samples(plan, layout, fit.scale, words)
    key_right = area.x1 if area.x1 - picture_right < STEP_COLUMN_MM else picture_right
    key_box = Box(area.x0, area.y0, key_right, picture_bottom)
    below = draw_key(page, key_box, samples)

    pages = [page]

    def more() -> Sequence[Frame]:
        title = words.layout_steps_title.format(name=name)
        pages.append(text_page(plan, title))
        return columns(pages[-1], body(pages[-1]), STEP_COLUMN_MM)

    about = _about(plan, layout, fit, side, missing, words)
    frames = _free_frames(page, area, Box(key_box.x0, below, key_box.x1, area.y1))
    first: list[Item] = [about]
    if about.height_mm(area.width) <= below - area.y0 and not frames:
        about.draw(page, area.x0, below, area.width)
        first = []

    def write(share: float, together: bool, *, dry: bool) -> int:
        """Write all that follows the picture; return how many pages that takes."""
        flow = Flow(frames, more, dry=dry)
        if first:
            flow.add(*first)
        _add_texts(flow, plan, group, told, share, words, together=together)
        taken = len(pages) - 1
        if dry:
            del pages[1:]
        return taken

    # Of what takes the fewest pages: steps right below what leads to them, then large pictures.
    ways = [(share, together) for together in (True, False) for share in PICTURE_SHARES]
    taken = {way: write(*way, dry=True) for way in ways}
    write(*min(ways, key=lambda way: (taken[way], not way[1], -way[0])), dry=False)
    return pages


def _add_texts(
    flow: Flow,
    plan: Plan,
    group: Sequence[Layout],
    told: Sequence[Step],
    share: float,
    words: Words,
    *,
    together: bool,
) -> None:
    """Add what is alike, the steps with their pictures so wide, and where pieces lie.

    `together` keeps the first step in one frame with the cautions over it.
    """
    layout = group[0]
    if len(group) > 1:
        rows = [
            (layout_name(plan, one, words), ", ".join(str(lie.piece) for lie in one.placements))
            for one in group
        ]
        table = Table(words.alike_heads, rows, "ll", wraps=(1,), cap_mm=TEXT)
        flow.table(table, before=(heading(words.alike_title.format(count=len(group))),))
    _add_steps(flow, plan, layout, told, share, words, together=together)
    table = _places(plan, layout, words)
    if len(table.rows) >= FEWEST_HALVED:
        table = table.halved(flow.width_mm)
    flow.table(table, before=(heading(words.places_title),))
    add_pins_to_mark(flow, plan, group, words)


def layout_scale(plan: Plan, layout: Layout, words: Words) -> float:
    """Return the scale of a layout's picture: 10 for 1 : 10."""
    return _best_fit(plan, layout, steps(plan, layout, words), words).scale


def _best_fit(plan: Plan, layout: Layout, told: Sequence[Step], words: Words) -> _Fit:
    """Return the largest standard scale, and the way up that leaves more room beside it."""
    best: tuple[tuple[float, float], _Fit] | None = None
    for page_mm in (upright(plan.workshop.paper.size), lying(plan.workshop.paper.size)):
        for scale in SCALES:
            fit = _Fit(page_mm, scale, rims(plan, layout, told, scale, words))
            area = body(Page(*page_mm))
            wide = layout.width_mm / scale + fit.around.left_mm + fit.around.right_mm
            high = layout.height_mm / scale + fit.around.top_mm + fit.around.bottom_mm
            key = key_height_mm(key_samples(plan, layout, scale, words), min(wide, area.width))
            if wide <= area.width and high + key <= area.height:
                left = max(
                    area.width * (area.height - high - key), (area.width - wide) * area.height
                )
                if best is None or (scale, -left) < best[0]:
                    best = ((scale, -left), fit)
                break
    assert best is not None, "no block is longer than a kilometre"
    return best[1]


def _free_frames(page: Page, area: Box, used: Box) -> list[Frame]:
    """Return the frames right of the picture and below it, where they are worth using."""
    frames: list[Frame] = []
    if area.x1 - used.x1 - 6 >= STEP_COLUMN_MM:
        frames += columns(page, Box(used.x1 + 6, area.y0, area.x1, area.y1), STEP_COLUMN_MM)
    if used.y0 - 3 - area.y0 >= LEAST_FRAME_MM:
        frames += columns(page, Box(area.x0, area.y0, used.x1, used.y0 - 3), STEP_COLUMN_MM)
    return frames


def _about(
    plan: Plan, layout: Layout, fit: _Fit, side: float, missing: Sequence[str], words: Words
) -> Item:
    stock = plan.workshop.stock_named(plan.block(layout.block).stock)
    cutting = plan.workshop.cutting
    paper = plan.workshop.paper
    weight = layout_weight_kg(plan, layout)
    who = who_lifts(plan, weight, words)
    blank = plan.blank_of(layout)
    texts = [
        words.about_block.format(
            stock=stock.name,
            foam=stock.foam,
            width=measure(layout.width_mm, paper),
            height=measure(layout.height_mm, paper),
            thickness=measure(layout.thickness_mm, paper),
            weight=kilos(weight),
            lift=f": {who}" if who else "",
        )
        if blank is None
        else about_blank(plan, blank, words),
        words.about_kerf.format(
            half=short(cutting.kerf_mm / 2, 2),
            kerf=short(cutting.kerf_mm, 2),
            feed=short(cutting.feed_mm_per_s),
        ),
    ]
    if cutting.corner_feed_mm_per_s and cutting.corner_kerf_mm:
        texts.append(
            words.about_slow.format(
                mm=short(cutting.corner_mm),
                feed=short(cutting.corner_feed_mm_per_s),
                kerf=short(cutting.corner_kerf_mm, 2),
                half=short(cutting.corner_kerf_mm / 2, 2),
            )
        )
    if cutting.slot_feed_mm_per_s:
        texts.append(words.about_slots.format(feed=short(cutting.slot_feed_mm_per_s)))
    if cutting.corner_loops:
        texts.append(words.about_loops)
    basis = kerf_basis(plan.workshop, plan.job.form.foam)
    if basis.estimate:
        texts.append(words.about_estimate.format(**range_mm(basis.estimate)))
    if plan.workshop.in_rack(stock.name):
        texts.insert(0, words.about_rack.format(name=stock.name))
    if layout.outline is not None:
        texts.append(words.about_odd)
    allowances = sorted({plan.piece(one.piece).allowance_mm for one in layout.placements})
    if allowances and allowances[-1] > 0:
        texts.append(
            words.about_allowance.format(
                allowance=" / ".join(measure(one, paper) for one in allowances)
            )
        )
        if any(cut_finished(plan, plan.piece(one.piece)) for one in layout.placements):
            texts.append(words.about_cut_finished)
    if (cutting.kerf_mm / 2) / fit.scale < 0.7:
        texts.append(words.about_shape)
    texts += [words.squares_are.format(side=measure(side, paper)), words.about_rounding]
    if missing:
        texts.append(words.list_only.format(what=", ".join(missing)))
    return Paragraph(" ".join(texts), before_mm=1.0, after_mm=0.0)


def about_blank(plan: Plan, blank: GluedBlank, words: Words) -> str:
    """Return what a blank is glued of, its size and weight, and what no glue holds."""
    layout, paper = blank.layout, plan.workshop.paper
    weight = blank_weight_kg(plan, blank)
    who = who_lifts(plan, weight, words)
    about = words.blank_about.format(
        cells=len(blank.cells),
        form=blank.form.name,
        width=measure(layout.width_mm, paper),
        height=measure(layout.height_mm, paper),
        thickness=measure(layout.thickness_mm, paper),
        weight=kilos(weight),
        lift=f": {who}" if who else "",
    )
    if not blank.loose:
        return about
    return f"{about} {words.blank_loose.format(cells=runs(blank.loose))}"


def blank_title(blank: GluedBlank, words: Words) -> str:
    """Return the title of the sheet that a blank is glued by."""
    return words.blank_title.format(name=sentence(words.blank.format(blank=blank.number)))


def _name(plan: Plan, layout: Layout, words: Words) -> str:
    """Return the name that the sheets of a layout, and of those alike, bear."""
    return next(shared_name(plan, group, words) for group in alike(plan) if layout in group)


def _add_steps(
    flow: Flow,
    plan: Plan,
    layout: Layout,
    told: Sequence[Step],
    share: float,
    words: Words,
    *,
    together: bool,
) -> None:
    level = plan.workshop.rig.wire_lies == "level"
    begin = words.steps_begin_level if level else words.steps_begin
    blank = plan.blank_of(layout)
    first = []
    if blank is not None:
        text = words.blank_first.format(sheet=blank_title(blank, words))
        first = [Paragraph(text, cap_mm=TEXT, bold=True, after_mm=1.5)]
    if has_pins_to_mark(plan, layout):
        first.append(Paragraph(words.pins_first, cap_mm=TEXT, bold=True, after_mm=1.5))
    if layout.fence_cuts:
        if not told:
            return
        own = FENCE[plan.workshop.paper.language]
        begin = own.first.format(sheet=own.title.format(name=_name(plan, layout, words)))
    (flow.lead if together else flow.add)(
        heading(words.steps_title),
        *first,
        Paragraph(words.steps_caution, cap_mm=TEXT, bold=True, after_mm=1.5),
        *(
            [Paragraph(words.steps_thread_caution, cap_mm=TEXT, bold=True, after_mm=1.5)]
            if any(step.threading for step in told)
            else []
        ),
        Paragraph(
            begin.format(
                width=measure(layout.width_mm, plan.workshop.paper),
                height=measure(layout.height_mm, plan.workshop.paper),
            ),
            cap_mm=TEXT,
            after_mm=2.0,
        ),
    )
    placed = place_all(layout, plan.pieces)
    pieces = {one.piece: area for one, area in zip(layout.placements, placed, strict=True)}
    earlier: list[Points] = []
    group: list[Step] = []
    indent = 4.0 + 3.2 * len(str(len(told)))
    for step in told:
        if step.setup is not None:
            if group:
                flow.add(StepGroup(tuple(group), layout, pieces, tuple(earlier), indent, share))
                group.clear()
            told_of = setup_sentences(plan, layout, step.setup, words)
            flow.add(SetupItem(step.number, tuple(told_of), plan, layout, step.setup, indent))
            continue
        group.append(step)
        if step.freed is None and step is not told[-1] and len(group) < MOST_STEPS:
            continue
        flow.add(StepGroup(tuple(group), layout, pieces, tuple(earlier), indent, share))
        group.clear()
        if step.freed is not None:
            earlier.append(step.freed)


def _places(plan: Plan, layout: Layout, words: Words) -> Table:

    def figure(mm: float) -> str:
        return beside(whole(mm), mm, plan.workshop.paper)

    rows = []
    for one in layout.placements:
        piece = plan.piece(one.piece)
        west, south, east, north = place(piece.outline, one).bounds
        laid = (
            [words.turned.format(angle=short(one.angle_deg % 360))] if one.angle_deg % 360 else []
        )
        laid += [words.flipped] if one.flipped else []
        rows.append(
            (
                str(piece.number),
                piece.name if piece.name != str(piece.number) else "",
                words.from_to.format(low=figure(west), high=figure(east)),
                words.from_to.format(low=figure(south), high=figure(north)),
                ", ".join(laid),
            )
        )
    return Table(words.places_heads, rows, "rlrrl", wraps=(1, 2, 3))
