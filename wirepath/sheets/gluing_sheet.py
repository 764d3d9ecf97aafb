"""How parted forms go together: a map of each layer, its seams, and the steps of gluing."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Point

from wirepath.geometry import seam_line
from wirepath.model import GlueStep, Piece, Plan, Seam
from wirepath.sheets.assembly_sheet import Layer, add_sizes, extent, is_one_form
from wirepath.sheets.assembly_sheet import layers as whole_layers
from wirepath.sheets.face_sheet import corner_of, face_pages, lower_and_upper
from wirepath.sheets.figures import beside, kilos, measure, runs, sentence, short, who_lifts, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Space, Table, heading
from wirepath.sheets.key import SAMPLE_MM, Sample, draw_key, hatched_sample, line_sample
from wirepath.sheets.layer_picture import DOT_MM, MAIN_MM, TICK_MM, draw_layer, seam_name
from wirepath.sheets.layer_picture import Layer as Picture
from wirepath.sheets.lettering import TEXT, Box
from wirepath.sheets.page import DASHES, HAIR, HEAVY, MEDIUM, THICK, THIN, Page, upright
from wirepath.sheets.strip import body, run_on
from wirepath.wording import Words

STEP_COLUMN_MM = 180.0

BESIDE_MM = 80.0
"""Where a tall form leaves so much of the page beside it, key and notes stand there."""


@dataclass(frozen=True, slots=True)
class _Layer:
    """What is glued of one form at one height: its pieces, and the seams that lie there."""

    form: str
    from_mm: float
    pieces: tuple[Piece, ...]
    below: tuple[Piece, ...]
    seams: tuple[tuple[int, Seam], ...]
    """With their numbers: edges between its pieces, and areas on which they lie."""


def gluing_pages(plan: Plan, words: Words) -> list[Page]:
    """Return the maps and the steps of every parted form; none where no form is parted."""
    forms: dict[str, list[Piece]] = defaultdict(list)
    for piece in plan.pieces:
        if piece.section_of is not None:
            forms[piece.section_of].append(piece)
    pages: list[Page] = []
    for form, pieces in forms.items():
        layers = list(_layers(plan, form, pieces))
        # One form alone has no sheets of the whole: its sizes stand here.
        sizes = whole_layers(plan) if is_one_form(plan) else [None] * len(layers)
        for number, (layer, sized) in enumerate(zip(layers, sizes, strict=True), 1):
            title = words.gluing_title.format(form=form)
            if len(layers) > 1:
                title = words.gluing_layer_title.format(
                    form=form,
                    number=number,
                    total=len(layers),
                    mm=measure(layer.from_mm, plan.workshop.paper),
                )
            last = number == len(layers)
            pages += _map_pages(plan, layer, title, words, sized, is_last=last)
        pages += face_pages(plan, form, words)
        pages += _step_pages(plan, form, words)
    return pages


def _layers(plan: Plan, form: str, pieces: Sequence[Piece]) -> Iterator[_Layer]:
    heights = sorted({round(piece.from_mm, 3) for piece in pieces})
    before: tuple[Piece, ...] = ()
    for height in heights:
        own = tuple(piece for piece in pieces if round(piece.from_mm, 3) == height)
        numbers = {piece.number for piece in own}
        seams = tuple(
            (number, seam)
            for number, seam in enumerate(plan.seams, 1)
            # A seam is drawn with the later of its layers.
            if max(seam.pieces, key=lambda n: (round(plan.piece(n).from_mm, 3), n)) in numbers
        )
        yield _Layer(form, height, own, before, seams)
        before = own


# --- The map -------------------------------------------------------------------------


def _map_pages(
    plan: Plan, layer: _Layer, title: str, words: Words, sizes: Layer | None, *, is_last: bool
) -> list[Page]:
    page = Page(*upright(plan.workshop.paper.size), title=title)
    pages = [page]
    area = body(page)
    shown = Picture(
        areas=tuple((str(piece.number), piece.finished) for piece in layer.pieces),
        behind=tuple(piece.finished for piece in layer.below),
        within=extent([one for one in plan.pieces if one.section_of == layer.form]),
        seams=layer.seams,
    )
    drawn = draw_layer(page, plan, shown, area, words)
    top = Box(area.x0, area.y0, area.x1, drawn.bottom - 2.0)
    beside = Box(drawn.right + 2.0, drawn.bottom, area.x1, area.y1)
    is_beside = beside.width >= BESIDE_MM
    if is_beside:
        top = beside
    key_end = draw_key(page, top, _key(plan, layer, words))
    frames = [Frame(page, Box(top.x0, top.y0, top.x1, key_end - 2.0))]
    if is_beside:
        frames.append(Frame(page, Box(area.x0, area.y0, area.x1, drawn.bottom - 2.0)))
    flow = Flow(frames, run_on(pages, plan, title))
    flow.add(Paragraph(words.gluing_key))
    if drawn.missing:
        flow.add(Paragraph(words.list_only.format(what=", ".join(drawn.missing))))
    if is_beside:
        flow.add(Paragraph(words.gluing_note))
        _add_pin_notes(flow, plan, layer, words)
        flow.leave_frame()
    rows = [_seam_row(plan, number, seam, words) for number, seam in layer.seams]
    if rows:
        table = Table(words.gluing_heads, rows, "llrrll", wraps=(1, 2, 4, 5))
        note = () if is_beside else (Paragraph(words.gluing_note),)
        flow.table(table, before=(heading(words.gluing_seams), *note))
        if not is_beside:
            _add_pin_notes(flow, plan, layer, words)
    _add_strips(flow, plan, layer, words)
    if sizes is not None:
        add_sizes(flow, plan, sizes, words, is_last=is_last)
    return pages


def _add_pin_notes(flow: Flow, plan: Plan, layer: _Layer, words: Words) -> None:
    for text in pin_notes(plan, [number for number, _ in layer.seams], words):
        flow.add(Space(2.0), Paragraph(text, bold=True))


def _key(plan: Plan, layer: _Layer, words: Words) -> list[Sample]:
    """Return the samples for what the map of a layer shows."""
    own = [number for number, _ in layer.seams]
    pins = [pin for pin in plan.assembly.pins if pin.seam in own]
    upright_pins = [pin for pin in pins if pin.start[:2] == pin.end[:2]]
    samples = [Sample(words.key_edge, line_sample(THICK, ()))]
    if set(plan.main_seams) & set(own):
        samples.append(Sample(words.key_main_seam, _double))
    samples.append(Sample(words.key_across, _mark))
    if len(pins) > len(upright_pins):
        samples.append(Sample(words.key_pin, _pin))
    if upright_pins:
        samples.append(Sample(words.key_pin_through, _dot))
    if layer.below:
        samples.append(Sample(words.key_behind, line_sample(THIN, DASHES)))
    if any(seam.kind == "layer" and not shapely.is_empty(seam.dry) for _, seam in layer.seams):
        samples.append(Sample(words.key_hatched, hatched_sample))
    if plan.traced.contours:
        samples.append(Sample(words.key_contour, line_sample(HAIR, ())))
    return samples


def _double(page: Page, x: float, y: float) -> None:
    for off in (-MAIN_MM, MAIN_MM):
        page.line([(x, y + off), (x + SAMPLE_MM, y + off)], THICK)


def _mark(page: Page, x: float, y: float) -> None:
    page.line([(x, y), (x + SAMPLE_MM, y)], THICK)
    page.line([(x + SAMPLE_MM / 2, y - TICK_MM), (x + SAMPLE_MM / 2, y + TICK_MM)], MEDIUM)


def _pin(page: Page, x: float, y: float) -> None:
    page.line([(x, y), (x + SAMPLE_MM, y)], THICK)
    page.line([(x + SAMPLE_MM / 2, y - TICK_MM), (x + SAMPLE_MM / 2, y + TICK_MM)], HEAVY)


def _dot(page: Page, x: float, y: float) -> None:
    page.fill(shapely.get_coordinates(Point(x + SAMPLE_MM / 2, y).buffer(DOT_MM).exterior))


def _seam_row(plan: Plan, number: int, seam: Seam, words: Words) -> tuple[str, ...]:
    marks = [mark for mark in plan.assembly.marks if mark.seam == number]
    pins = [pin for pin in plan.assembly.pins if pin.seam == number]

    def figure(mm: float) -> str:
        return beside(whole(mm), mm, plan.workshop.paper)

    def place(x: float, y: float) -> str:
        return words.gluing_at.format(across=figure(x), up=figure(y))

    if seam.kind == "edge":
        long = figure(float(shapely.length(seam.place)))
        told = ", ".join(figure(mark.along_mm or 0.0) for mark in marks)
        pinned = ", ".join(
            f"{figure(pin.along_mm or 0.0)} / {figure(pin.start[2])}" for pin in pins
        )
    else:
        long = ""
        west, south = corner_of(plan, seam)
        told = ", ".join(place(mark.at[0] - west, mark.at[1] - south) for mark in marks)
        pinned = ", ".join(place(pin.start[0] - west, pin.start[1] - south) for pin in pins)
    if pins:
        length = float(np.linalg.norm(np.subtract(pins[0].end, pins[0].start)))
        pinned = words.gluing_pins.format(
            count=len(pins),
            diameter=figure(plan.workshop.glue.pin_diameter_mm),
            length=figure(length),
            places=pinned,
        )
    return (
        seam_name(number),
        words.gluing_pair.format(one=seam.pieces[0], other=seam.pieces[1]),
        long,
        short(seam.area_mm2 / 1e4),
        told or words.gluing_none,
        pinned or words.gluing_none,
    )


def pin_notes(plan: Plan, seams: Sequence[int], words: Words) -> Iterator[str]:
    """Give what to do at those seams that no pin fits, or only one.

    A layer is held by the pins of all faces that its step glues at once.
    """
    counts = Counter(pin.seam for pin in plan.assembly.pins)
    held = dict(counts)
    for step in plan.assembly.steps:
        flat = [number for number in step.seams if plan.seams[number - 1].kind == "layer"]
        held |= dict.fromkeys(flat, sum(counts[number] for number in step.seams))

    def named(count: int, kinds: Sequence[str]) -> str:
        own = [n for n in seams if held.get(n, 0) == count and plan.seams[n - 1].kind in kinds]
        return ", ".join(map(seam_name, own))

    for count, kinds, text in (
        (0, ("edge",), words.gluing_no_pins),
        (0, ("layer",), words.gluing_no_pins_layer),
        (1, ("edge", "layer"), words.gluing_one_pin),
    ):
        if names := named(count, kinds):
            yield text.format(seams=names)


def _add_strips(flow: Flow, plan: Plan, layer: _Layer, words: Words) -> None:
    """Add where glue goes on the seams of a form that is roughed once it is glued."""
    rows = [
        (seam_name(number), _strips(plan, seam, words))
        for number, seam in layer.seams
        if seam.strips is not None
    ]
    if rows:
        dry = measure(plan.job.seams.dry_mm, plan.workshop.paper)
        note = Paragraph(words.gluing_strips_note.format(dry=dry))
        table = Table(words.gluing_strips_heads, rows, "ll", wraps=(1,))
        flow.table(table, before=(heading(words.gluing_strips), note))


def _strips(plan: Plan, seam: Seam, words: Words) -> str:
    line = seam_line(seam.place)
    found = []
    for strip in seam.strips or ():
        ends = [line.project(Point(end)) for end in (strip.line.coords[0], strip.line.coords[-1])]
        found.append((*sorted(ends), strip.from_mm, strip.to_mm))

    def span(low: float, high: float) -> str:
        low_text, high_text = (beside(whole(mm), mm, plan.workshop.paper) for mm in (low, high))
        return words.from_to.format(low=low_text, high=high_text)

    told = [f"{span(left, right)} / {span(low, top)}" for left, right, low, top in sorted(found)]
    return "; ".join(told) or words.gluing_strips_none


# --- The steps -----------------------------------------------------------------------


def _step_pages(plan: Plan, form: str, words: Words) -> list[Page]:
    title = words.gluing_steps_title.format(form=form)
    pages: list[Page] = []

    flow = Flow([], run_on(pages, plan, title, STEP_COLUMN_MM))
    flow.add(Paragraph(words.gluing_caution, cap_mm=TEXT, bold=True, after_mm=2.0))
    for text in (*how_to_glue(plan, words), *_dowels(plan, form, words)):
        flow.add(Paragraph(text, cap_mm=TEXT, after_mm=1.5))
    steps = [step for step in plan.assembly.steps if step.form == form]
    place = ""
    for step in steps:
        if step.place != place and plan.loads:
            place = step.place
            told = words.gluing_at_home if place == "workshop" else words.gluing_on_site
            flow.lead(heading(told))
        weight = words.gluing_step_weight.format(**_weighed(plan, step.moved, words))
        flow.add(
            Space(0.8),
            Paragraph(
                f"{step_text(plan, step, words)} {weight}",
                cap_mm=TEXT,
                indent_mm=14.0,
                label=str(step.number),
                after_mm=1.5,
            ),
        )
    lumps = {frozenset((*step.moved, *step.onto)) for step in steps}
    whole_form = frozenset(one.number for one in plan.pieces if one.section_of == form)
    if whole_form in lumps:
        done = words.gluing_done.format(form=form, **_weighed(plan, sorted(whole_form), words))
        flow.add(Paragraph(done, cap_mm=TEXT, bold=True, before_mm=2.0))
    return pages


def _weighed(plan: Plan, pieces: Sequence[int], words: Words) -> dict[str, str]:
    """Return what pieces weigh together as texts name it, and who must lift that."""
    weights = dict(plan.estimate.piece_weights_kg)
    weight_kg = sum(weights.get(number, 0.0) for number in pieces)
    who = who_lifts(plan, weight_kg, words)
    return {"weight": kilos(weight_kg), "lift": f": {who}" if who else ""}


def _dowels(plan: Plan, form: str, words: Words) -> list[str]:
    """Return the dowels to cut for a form's pins, by length."""
    lengths = Counter(
        round(float(np.linalg.norm(np.subtract(pin.end, pin.start))), 3)
        for pin in plan.assembly.pins
        if plan.piece(plan.seams[pin.seam - 1].pieces[0]).section_of == form
    )
    paper = plan.workshop.paper
    told = [
        words.gluing_dowel.format(
            count=lengths[length],
            diameter=measure(plan.workshop.glue.pin_diameter_mm, paper),
            length=measure(length, paper),
        )
        for length in sorted(lengths, reverse=True)
    ]
    return [words.gluing_dowels.format(list=", ".join(told))] if told else []


def how_to_glue(plan: Plan, words: Words) -> list[str]:
    """Return which glue, how a step is done, and how long it sets."""
    glue = plan.workshop.glue
    time = words.gluing_label
    if glue.set_min is not None:
        time = words.gluing_minutes.format(minutes=short(glue.set_min))
    return [
        words.gluing_glue.format(name=glue.name) if glue.name else words.gluing_any_glue,
        *(sentence(text.format(time=time)) for text in words.gluing_how),
        *([words.gluing_how_layers] if any(one.kind == "layer" for one in plan.seams) else []),
        *([words.gluing_how_carved] if is_dry_beside_the_form(plan) else []),
        *([words.gluing_rounded] if is_taken_as_rounded(plan) else []),
    ]


def is_dry_beside_the_form(plan: Plan) -> bool:
    """Return whether glue ends where the carver takes foam away."""
    faces = [seam for seam in plan.seams if seam.kind == "layer"]
    is_round = plan.job.form.kind == "full round"
    return is_round and any(not shapely.is_empty(seam.dry) for seam in faces)


def is_taken_as_rounded(plan: Plan) -> bool:
    """Return whether pins stand where nobody knows, but by a rule, what the carver leaves."""
    is_round = plan.job.form.kind == "full round" and bool(plan.traced.views)
    return is_round and bool(plan.assembly.pins)


def step_text(plan: Plan, step: GlueStep, words: Words) -> str:
    """Return a step of gluing as a sentence."""
    pins = sum(1 for pin in plan.assembly.pins if pin.seam in step.seams)
    area = sum(plan.seams[number - 1].area_mm2 for number in step.seams)
    on_layer = any(plan.seams[number - 1].kind == "layer" for number in step.seams)
    none = words.gluing_step_no_pins_layer if on_layer else words.gluing_step_no_pins
    text = words.gluing_step.format(
        moved=_pieces(step.moved, words),
        onto=_pieces(step.onto, words),
        seams=", ".join(seam_name(number) for number in step.seams),
        area=short(area / 1e4),
        pins=words.gluing_step_pins.format(count=pins) if pins else none,
    )
    if any(plan.seams[number - 1].strips is not None for number in step.seams):
        text += " " + words.gluing_step_strips
    if _goes_under(plan, step):
        text += " " + words.gluing_step_under
    return text


def _goes_under(plan: Plan, step: GlueStep) -> bool:
    """Return whether a lump is the lower one at all faces of a step that lie flat."""
    faces = [plan.seams[n - 1] for n in step.seams if plan.seams[n - 1].kind == "layer"]
    return bool(faces) and all(lower_and_upper(plan, one)[0] in step.moved for one in faces)


def _pieces(numbers: Sequence[int], words: Words) -> str:
    if len(numbers) == 1:
        return words.piece.format(number=numbers[0])
    return words.gluing_lump.format(numbers=runs(numbers))
