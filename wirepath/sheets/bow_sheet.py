"""A layout cut with a bow: who leads, at what pace, and each pass from station to station."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby

import shapely

from wirepath.kerf import placed_stations
from wirepath.model import Layout, Pass, Plan, Rest
from wirepath.sheets.figures import beside, short, whole
from wirepath.sheets.flow import Flow, Frame, Paragraph, Table, heading
from wirepath.sheets.layout_sheet import shared_name
from wirepath.sheets.lettering import TEXT
from wirepath.sheets.page import Page
from wirepath.sheets.steps import entry_place
from wirepath.sheets.strip import body, columns, text_page
from wirepath.stationing import laid_stations
from wirepath.wording import Words
from wirepath.wording.bow import BOW, BowWords

PACE_MM = 50.0
"""The length that the pace is told for: the usual distance of stations."""

Marks = dict[tuple[int, bool], list[tuple[str, float, float]]]
"""Stations of each piece, of its outline or its holes: label, x and y on the layout."""


def bow_pages(plan: Plan, group: Sequence[Layout], words: Words) -> list[Page]:
    """Return the pages that tell how layouts alike are cut with a bow; none without one."""
    rig, cutting = plan.workshop.rig, plan.workshop.cutting
    layout = group[0]
    passes = [one for one in plan.passes if one.layout == layout.number]
    if rig.kind != "bow" or not passes:
        return []
    own = BOW[plan.workshop.paper.language]
    pages: list[Page] = []

    def more() -> Sequence[Frame]:
        pages.append(text_page(plan, own.title.format(name=shared_name(plan, group, words))))
        return columns(pages[-1], body(pages[-1]), 150.0)

    flow = Flow([], more)
    longest = max(passes, key=foam_mm)
    span = plan.workshop.wire.length_mm
    summary = own.summary.format(
        passes=len(passes),
        metres=_metres(foam_mm(longest)),
        minutes=_minutes(longest),
        feed=short(cutting.feed_mm_per_s),
        span=short(span),
        thickness=short(layout.thickness_mm),
    )
    flow.add(Paragraph(summary, cap_mm=TEXT, bold=True, after_mm=2.0))
    who = own.one_person if span <= rig.one_person_mm else own.two_people
    flow.add(Paragraph(who, cap_mm=TEXT, bold=True, after_mm=2.0))
    flow.add(Paragraph(own.rules_title, cap_mm=TEXT, bold=True, after_mm=1.0))
    rules = [*own.rules, *([own.rest_rule] if layout.rests else [])]
    for number, text in enumerate(rules, 1):
        told = text.format(
            seconds=short(PACE_MM / cutting.feed_mm_per_s), metres=_metres(rig.pass_most_mm)
        )
        flow.add(Paragraph(told, cap_mm=TEXT, indent_mm=7.0, label=str(number), after_mm=1.0))
    rows = list(_rows(plan, layout, passes, own, words))
    table = Table(own.heads, rows, "rllr", wraps=(1,), gap_mm=5.0, cap_mm=TEXT)
    flow.table(table, before=(heading(own.table_title),))
    return pages


def foam_mm(one: Pass) -> float:
    """Return how far the near end of the wire goes through foam, slots included, on a pass."""
    return float(sum(move.line.length for move in one.moves if move.kind != "air"))


def _metres(mm: float) -> str:
    return f"{mm / 1000:.1f}"


def _minutes(one: Pass) -> str:
    return str(math.ceil(sum(move.seconds for move in one.moves) / 60))


def _rows(
    plan: Plan, layout: Layout, passes: Sequence[Pass], own: BowWords, words: Words
) -> Iterator[tuple[str, ...]]:
    """Give each pass: where it goes in, then its stretches and rests in order, metres so far."""
    marks = _marks(plan, layout)
    paper = plan.workshop.paper
    entries = threadings = 0
    for one in passes:
        if one.is_threaded:
            threadings += 1
            begin = own.threaded.format(number=threadings)
        else:
            entries += 1
            first = next((move for move in one.moves if move.kind != "air"), one.moves[0])
            x, y = shapely.get_coordinates(first.line)[0]
            edge, distance, _, _ = entry_place(layout, (x, y))
            place = words.up if edge in (0, 2) else words.across
            begin = own.way_in.format(
                number=entries,
                edge=words.edges[edge],
                place=place.format(mm=beside(whole(distance), distance, paper)),
            )
        told = own.length.format(metres=_metres(foam_mm(one)), minutes=_minutes(one))
        yield str(one.number), begin, told, ""
        pauses = [rest for rest in layout.rests if rest.number == one.number]
        for piece, ends, end_mm in _stretches(one, marks, own):
            while pauses and pauses[0].after_mm < end_mm - 1e-6:
                yield _pause(pauses.pop(0), own, words)
            yield "", own.piece.format(number=piece), ends, _metres(end_mm)
        for rest in pauses:
            yield _pause(rest, own, words)


def _pause(rest: Rest, own: BowWords, words: Words) -> tuple[str, ...]:
    """Return the row of a rest: on the stretch that follows, or after the last one."""
    across = words.across.format(mm=whole(rest.at[0]))
    up = words.up.format(mm=whole(rest.at[1]))
    return "", own.rest, f"{across}, {up}", _metres(rest.after_mm)


def _marks(plan: Plan, layout: Layout) -> Marks:
    """Return the stations of all pieces of a layout, as their templates number them."""
    found: Marks = {}
    cutting = plan.workshop.cutting
    for placement in layout.placements:
        piece = plan.piece(placement.piece)
        if piece.taper is not None:
            found[piece.number, False] = [
                (str(mark.number), *mark.near)
                for mark in placed_stations(piece, placement, cutting)[:-1]
            ]
            continue
        rings = laid_stations(piece, placement, cutting.kerf_mm)
        for index, ring in enumerate(rings):
            found.setdefault((piece.number, index > 0), []).extend(
                (mark.label, mark.x, mark.y) for mark in ring
            )
    return found


def _stretches(one: Pass, marks: Marks, own: BowWords) -> Iterator[tuple[int, str, float]]:
    """Give each stretch along a piece: the piece, from which station to which, mm by its end."""
    done = 0.0
    for (kind, piece), some in groupby(one.moves, key=lambda move: (move.kind, move.piece)):
        moves = list(some)
        done += sum(move.line.length for move in moves if move.kind != "air")
        if kind in ("outline", "hole") and piece is not None:
            near = marks[piece, kind == "hole"]
            first = _nearest(near, shapely.get_coordinates(moves[0].line)[0])
            last = _nearest(near, shapely.get_coordinates(moves[-1].line)[-1])
            yield piece, own.stretch.format(first=first, last=last), done


def _nearest(marks: Sequence[tuple[str, float, float]], at: Sequence[float]) -> str:
    return min(marks, key=lambda mark: math.dist(mark[1:], at))[0]
