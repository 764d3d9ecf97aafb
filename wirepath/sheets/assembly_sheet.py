"""The whole as it will stand, seen from the front, layer by layer: which piece goes where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from wirepath.model import Piece, Plan
from wirepath.sheets.figures import kilos, measure, runs, short, size_text
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table, heading
from wirepath.sheets.layer_picture import Layer as Picture
from wirepath.sheets.layer_picture import draw_layer
from wirepath.sheets.lettering import Box
from wirepath.sheets.page import Page, upright
from wirepath.sheets.strip import body, run_on
from wirepath.units import litres
from wirepath.wording import Words


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the whole, and the pieces that go there: copies share one place."""

    area: Polygon
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Layer:
    """Everything whose back stands `from_mm` off the back of the whole."""

    from_mm: float
    places: tuple[Place, ...]


def layers(plan: Plan) -> list[Layer]:
    """Return the layers of the whole from the back to the front."""
    found: dict[float, dict[bytes, list[Piece]]] = {}
    for piece in plan.pieces:
        places = found.setdefault(round(piece.from_mm, 3), {})
        places.setdefault(shapely.to_wkb(shapely.normalize(piece.finished)), []).append(piece)
    return [
        Layer(from_mm, tuple(Place(alike[0].finished, tuple(alike)) for alike in places.values()))
        for from_mm, places in sorted(found.items())
    ]


def is_one_form(plan: Plan) -> bool:
    """Return whether every piece belongs to one form that is glued together of them."""
    forms = {piece.section_of for piece in plan.pieces}
    return len(forms) == 1 and None not in forms


def assembly_pages(plan: Plan, words: Words) -> list[Page]:
    """Return a page for each layer of the whole; none where one parted form is all there is.

    Its layers stand on the sheets that tell how it goes together.
    """
    if is_one_form(plan):
        return []
    pages: list[Page] = []
    stack = layers(plan)
    for number, layer in enumerate(stack, 1):
        title = words.assembly_title
        if len(stack) > 1:
            title = words.assembly_layer_title.format(
                number=number,
                total=len(stack),
                mm=measure(layer.from_mm, plan.workshop.paper),
            )
        pages += _layer_pages(plan, layer, title, words, is_last=number == len(stack))
    return pages


def _layer_pages(
    plan: Plan, layer: Layer, title: str, words: Words, *, is_last: bool
) -> list[Page]:
    page = Page(*upright(plan.workshop.paper.size), title=title)
    pages = [page]
    area = body(page)
    shown = Picture(
        areas=tuple(
            (runs([piece.number for piece in place.pieces]), place.area) for place in layer.places
        ),
        behind=tuple(outline.polygon for outline in plan.traced.outlines),
        within=extent(plan.pieces),
    )
    drawn = draw_layer(page, plan, shown, area, words)
    flow = Flow(
        [Frame(page, Box(area.x0, area.y0, area.x1, drawn.bottom - 3.0))],
        run_on(pages, plan, title),
    )
    if drawn.missing:
        flow.add(Paragraph(words.list_only.format(what=", ".join(drawn.missing))))
    add_sizes(flow, plan, layer, words, is_last=is_last)
    return pages


def extent(pieces: Sequence[Piece]) -> tuple[float, float, float, float]:
    """Return west, south, east, north of pieces as finished."""
    areas = np.array([piece.finished for piece in pieces], dtype=object)
    west, south, east, north = map(float, shapely.total_bounds(areas))
    return west, south, east, north


def add_sizes(flow: Flow, plan: Plan, layer: Layer, words: Words, *, is_last: bool) -> None:
    """List what goes where with its finished size; below the last layer what all of it weighs."""
    flow.table(_forms(plan, layer, words), before=(heading(words.assembly_forms),))
    if is_last:
        weights = dict(plan.estimate.piece_weights_kg)
        total = words.assembly_total.format(
            pieces=len(plan.pieces),
            weight=kilos(sum(weights.values())),
            litres=short(litres(sum(piece.volume_mm3 for piece in plan.pieces))),
        )
        flow.add(Paragraph(total, before_mm=2.0))


def _forms(plan: Plan, layer: Layer, words: Words) -> Table:
    weights = dict(plan.estimate.piece_weights_kg)
    rows = []
    for place in layer.places:
        first = place.pieces[0]
        west, south, east, north = place.area.bounds
        thick = first.thickness_mm - first.allowance_mm * (plan.job.form.kind == "relief")
        rows.append(
            (
                runs([piece.number for piece in place.pieces]),
                first.part,
                size_text(plan, (east - west, north - south, thick), words),
                str(len(place.pieces)),
                kilos(weights.get(first.number, 0.0)),
            )
        )
    return Table(words.assembly_heads, rows, "llrrr", wraps=(0, 1, 2))
