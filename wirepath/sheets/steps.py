"""The wire's way in words: passes -> numbered steps, one action each."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from wirepath.geometry import place_all
from wirepath.kerf import placed_stations
from wirepath.model import Layout, Move, MoveKind, Pass, Plan
from wirepath.sheets.figures import beside, kilos, measure, piece_name, short, who_lifts, whole
from wirepath.sheets.setup_item import setup_sentences
from wirepath.wording import Words
from wirepath.wording.fence import FENCE

SAME_MM = 0.01
"""Ends nearer than this are one point: plans give points to 0.001 mm."""

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One action: what to do, and the line (n, 2) it leads the wire along.

    `entry` numbers the mark where the wire goes in, `threading` the one where it is
    threaded, `setup` the setup that the block is laid or moved for. `freed` is the closed
    line (n, 2) of what comes free with this step. `seconds` are those of its moves, each at
    its own feed.
    """

    number: int
    kind: MoveKind | Literal["setup"]
    text: str
    points: Points
    piece: int | None = None
    setup: int | None = None
    entry: int | None = None
    threading: int | None = None
    freed: Points | None = None
    seconds: float = 0.0

    @property
    def start(self) -> tuple[float, float]:
        """Where the step begins, in the layout's frame."""
        return float(self.points[0][0]), float(self.points[0][1])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Action:
    """Moves that are one action. `first` and `last` tell whether it opens and closes its line."""

    kind: MoveKind
    moves: tuple[Move, ...]
    piece: int | None
    first: bool = True
    last: bool = False
    ring: Points | None = None
    run_on_mm: float = 0.0
    closes: bool = True

    @property
    def points(self) -> Points:
        return np.concatenate([shapely.get_coordinates(move.line) for move in self.moves])

    @property
    def end(self) -> Points:
        end: Points = shapely.get_coordinates(self.moves[-1].line)[-1]
        return end

    @property
    def length_mm(self) -> float:
        return sum(move.length_mm for move in self.moves)


def steps(plan: Plan, layout: Layout, words: Words) -> tuple[Step, ...]:
    """Return the steps of all passes of a layout, numbered through from 1.

    Cuts along a fence stand on a sheet of their own; what is cut by hand after them is told
    from the rectangle that they freed.
    """
    found: list[Step] = []
    entries = threadings = 0
    for one in plan.passes:
        if one.layout != layout.number or one.moves[0].kind == "fence":
            continue
        if layout.setups and one.setup not in {step.setup for step in found}:
            found.append(setup_step(plan, layout, one, len(found) + 1, words))
        frame = _frame(plan, layout, one)
        actions = _with_rings(list(_with_ways_in(_actions(one.moves))))
        if not layout.fence_cuts:
            actions = _with_shared(actions, plan, layout)
        if one.is_threaded:
            threadings += 1
            found.append(_threading(plan, layout, frame, one, len(found) + 1, threadings, words))
        for i, action in enumerate(actions):
            entries += action.kind == "entry"
            # Within one pass only its way in from the first lead-in switches the wire on.
            is_first = not any(before.kind == "entry" for before in actions[:i])
            found += _told(plan, frame, actions, i, len(found) + 1, entries, is_first, words)
        if one.is_threaded:
            found[-1] = replace(found[-1], text=words.step_unthread)
    return tuple(found)


def setup_step(plan: Plan, layout: Layout, one: Pass, number: int, words: Words) -> Step:
    """Return the step that lays or moves the block for a pass, the first of its setup."""
    start = shapely.get_coordinates(one.moves[0].line)[:1]
    return Step(
        number=number,
        kind="setup",
        text=" ".join(setup_sentences(plan, layout, one.setup, words)),
        points=np.concatenate((start, start)),
        setup=one.setup,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """What a pass is told from: the slab, or the rectangle of foam that is in hand."""

    layout: Layout
    corner: tuple[float, float] = (0.0, 0.0)
    size: tuple[float, float]

    def entry(self, start: tuple[float, float]) -> tuple[int, float]:
        """Return the edge nearest to a place of the layout, and how far along it that is."""
        at = start[0] - self.corner[0], start[1] - self.corner[1]
        alone = replace(self.layout, width_mm=self.size[0], height_mm=self.size[1])
        return entry_place(alone, at)[:2]


def _frame(plan: Plan, layout: Layout, one: Pass) -> _Frame:
    if not layout.fence_cuts:
        return _Frame(layout=layout, size=(layout.width_mm, layout.height_mm))
    named = next(move.piece for move in one.moves if move.piece is not None)
    places = [lie.piece for lie in layout.placements]
    x0, y0, x1, y1 = place_all(layout, plan.pieces)[places.index(named)].bounds
    return _Frame(layout=layout, corner=(x0, y0), size=(x1 - x0, y1 - y0))


def _threading(
    plan: Plan, layout: Layout, frame: _Frame, one: Pass, number: int, mark: int, words: Words
) -> Step:
    """Return the step before a threaded pass: where the hole goes, and how wide it may be."""
    at = shapely.get_coordinates(one.moves[0].line)[0]
    x, y = at - np.array(frame.corner)
    foam = shapely.distance(np.array(place_all(layout, plan.pieces)), shapely.points(at)).min()
    widest = max(2 * (float(foam) - plan.workshop.cutting.kerf_mm / 2), 0.0)
    template = words.step_thread
    name = ""
    if layout.fence_cuts and one.moves[0].piece is not None:
        template = FENCE[plan.workshop.paper.language].thread
        name = piece_name(plan.piece(one.moves[0].piece), words)
    text = template.format(
        number=mark,
        piece=name,
        across=words.across.format(mm=beside(whole(x), x, plan.workshop.paper)),
        up=words.up.format(mm=beside(whole(y), y, plan.workshop.paper)),
        widest=int(widest),
    )
    return Step(
        number=number,
        kind="thread",
        text=text,
        points=np.array([at, at]),
        piece=one.moves[0].piece,
        threading=mark,
    )


def entry_place(layout: Layout, start: tuple[float, float]) -> tuple[int, float, float, float]:
    """Return (edge, distance, x, y) of the place on the foam's rim nearest to `start`.

    Edges count left 0, bottom 1, right 2, top 3. The distance is from the datum
    corner: up for the left and right edge, across for the bottom and top one.
    """
    x, y = start
    width, height = layout.width_mm, layout.height_mm
    gaps = [abs(x), abs(y), abs(width - x), abs(height - y)]
    edge = gaps.index(min(gaps))
    x, y = min(max(x, 0.0), width), min(max(y, 0.0), height)
    on_rim = [(0.0, y), (x, 0.0), (width, y), (x, height)][edge]
    return edge, (y if edge in (0, 2) else x), *on_rim


def _actions(moves: Sequence[Move]) -> Iterator[_Action]:
    """Group moves: an overrun and the way back from it belong to the line it closes.

    So does the way back from a parting cut to that cut.
    """
    pending: _Action | None = None
    overrun = False
    parting_mm = 0.0
    for move in moves:
        # Leaning over and standing up again are told with the line that they lead to.
        if move.length_mm == 0 or (move.far is not None and move.kind in ("link", "slot")):
            overrun = False
            continue
        if move.kind == "overrun" and pending is not None:
            pending = replace(pending, run_on_mm=move.length_mm)
            overrun = True
            continue
        if move.kind == "slot" and overrun and pending is not None:
            overrun = False
            if abs(move.length_mm - pending.run_on_mm) < SAME_MM:
                continue
        if move.kind == "slot" and parting_mm and abs(move.line.length - parting_mm) < SAME_MM:
            parting_mm = 0.0
            continue
        parting_mm = float(move.line.length) if move.kind == "parting" else 0.0
        same = pending is not None and (move.kind, move.piece) == (pending.kind, pending.piece)
        if pending is not None and same and move.kind in ("slot", "air", "outline", "hole"):
            pending = replace(pending, moves=(*pending.moves, move))
            continue
        if pending is not None:
            yield pending
        pending = _Action(kind=move.kind, moves=(move,), piece=move.piece)
    if pending is not None:
        yield pending


def _with_ways_in(actions: Iterable[_Action]) -> Iterator[_Action]:
    """Put a way in of no length where the wire goes from air straight to a line at the rim."""
    in_air = True
    for action in actions:
        if in_air and action.kind not in ("air", "entry", "thread"):
            at = action.moves[0].line.coords[0]
            stay = replace(action.moves[0], kind="entry", line=LineString([at, at]), piece=None)
            yield _Action(kind="entry", moves=(stay,), piece=None)
        in_air = action.kind == "air"
        yield action


def _with_rings(actions: list[_Action]) -> list[_Action]:
    """Tell which stretches make up one closed line: each goes on where another ended."""
    open_lines: dict[tuple[str, int | None], list[list[int]]] = {}
    for i, action in enumerate(actions):
        if action.kind not in ("outline", "hole"):
            continue
        chains = open_lines.setdefault((action.kind, action.piece), [])
        begin = action.points[0]
        for chain in chains:
            if _same(actions[chain[-1]].end, begin):
                break
        else:
            chain = []
            chains.append(chain)
        chain.append(i)
        if _same(action.end, actions[chain[0]].points[0]):
            ring = np.concatenate([actions[k].points for k in chain])
            for k in chain:
                actions[k] = replace(actions[k], first=k == chain[0], last=k == i, ring=ring)
            chains.remove(chain)
    for chains in open_lines.values():
        for chain in chains:
            line = np.concatenate([actions[k].points for k in chain])
            for k in chain:
                actions[k] = replace(actions[k], first=k == chain[0], ring=line)
    return actions


def _with_shared(actions: list[_Action], plan: Plan, layout: Layout) -> list[_Action]:
    """Tell of lines that other lines' cuts are parts of: their sense, and their last stretch.

    Such a line never closes by itself. Its piece comes free with the last stretch that is
    told as its own; corners shorter than two kerfs, where slots cross, are none.
    """
    borders = {
        lie.piece: LineString(ring.coords if ring.is_ccw else ring.coords[::-1])
        for lie, ring in zip(
            layout.placements,
            (one.exterior for one in place_all(layout, plan.pieces)),
            strict=True,
        )
    }
    kerf_mm = plan.workshop.cutting.kerf_mm
    parts: dict[int, list[int]] = {}
    for i, action in enumerate(actions):
        if action.kind == "outline" and action.piece in borders:
            parts.setdefault(action.piece, []).append(i)
    for piece, own in parts.items():
        if any(actions[i].last or actions[i].moves[0].far is not None for i in own):
            continue
        cuts = shapely.multilinestrings(
            [LineString(a.points) for a in actions if a.kind == "outline"]
        )
        around = shapely.segmentize(borders[piece], kerf_mm)
        if not shapely.dwithin(shapely.points(around.coords), cuts, kerf_mm).all():
            continue
        long = [i for i in own if actions[i].length_mm > 2 * kerf_mm]
        last = (long or own)[-1]
        for i in own:
            ring = shapely.get_coordinates(borders[piece])
            if not _runs_along(borders[piece], actions[i].points):
                ring = ring[::-1]
            actions[i] = replace(
                actions[i], ring=ring, last=i == last, first=i == own[0], closes=False
            )
    return actions


def _runs_along(ring: LineString, points: Points) -> bool:
    """Return whether a line beside a closed one runs the same way round at its start."""
    start = LineString(points)
    ends = shapely.line_interpolate_point(start, [0.0, min(start.length / 2, 5.0)])
    there, on = (float(shapely.line_locate_point(ring, end)) for end in ends)
    return (on - there) % float(ring.length) < float(ring.length) / 2


def _same(a: Points, b: Points) -> bool:
    return bool(np.hypot(*(a - b)) < SAME_MM)


def _told(
    plan: Plan,
    frame: _Frame,
    actions: Sequence[_Action],
    i: int,
    number: int,
    entry: int,
    is_first: bool,
    words: Words,
) -> Iterator[Step]:
    """Give the step of action `i`; none for a mere lead-in, which the way in speaks of."""
    action, layout = actions[i], frame.layout
    target = next((a for a in actions[i + 1 :] if a.kind in ("outline", "hole")), None)
    name = piece_name(plan.piece(target.piece), words) if target and target.piece else ""
    to_hole = target is not None and target.kind == "hole"
    mm = beside(whole(action.length_mm), action.length_mm, plan.workshop.paper)
    step = Step(
        number=number,
        kind=action.kind,
        text="",
        points=action.points,
        piece=action.piece,
        seconds=sum(move.seconds for move in action.moves),
    )
    match action.kind:
        case "air":
            waits = plan.workshop.rig.waits_at
            more = any(after.kind == "entry" for after in actions[i + 1 :])
            text = words.step_air.format(number=entry + 1) if more else words.step_out
            if waits is not None and (i == 0 or not more):
                template = words.step_from_waiting if i == 0 else words.step_to_waiting
                paper = plan.workshop.paper
                x, y = (measure(value, paper) for value in waits)
                text = template.format(x=x, y=y, number=entry + 1)
            elif i == 0:
                return
        case "entry":
            edge, distance = frame.entry(step.start)
            place = words.up if edge in (0, 2) else words.across
            template = words.step_in_first if is_first else words.step_in
            if layout.fence_cuts:
                template = FENCE[plan.workshop.paper.language].go_in
            text = template.format(
                number=entry,
                edge=words.edges[edge],
                place=place.format(mm=beside(whole(distance), distance, plan.workshop.paper)),
                piece=name,
            )
            step = replace(step, entry=entry)
        case "thread":
            text = words.step_thread_in.format(mm=mm, piece=name)
        case "link":
            text = (words.step_way_to_hole if to_hole else words.step_way).format(mm=mm, piece=name)
        case "parting":
            text = words.step_parting.format(mm=mm)
        case "slit":
            text = words.step_slit.format(mm=mm, piece=name)
        case "slot" | "overrun":
            following = actions[i + 1] if i + 1 < len(actions) else None
            if following is None or following.kind == "air" or target is None:
                text = words.step_back
            else:
                text = (words.step_back_to_hole if to_hole else words.step_back_to).format(
                    piece=name
                )
        case "outline" | "hole":
            step = replace(step, freed=action.ring if action.last else None)
            text = _round(plan, action, number, layout, words)
            if action.first and action.moves[0].far is not None:
                text = f"{_lean_over(plan, layout, action, words)} {text}"
    if _is_beside_thin(plan, layout, action):
        text = f"{text} {words.step_thin}"
    yield replace(step, text=text)


def _is_beside_thin(plan: Plan, layout: Layout, action: _Action) -> bool:
    """Return whether the plan tells of waste beside an action so thin that it may break.

    Of a taper's line, beside the wire's ways to lean over to it and to stand up again.
    """
    if not layout.thin_waste:
        return False
    ways = [LineString(action.points)] if action.kind in ("entry", "link") else []
    if action.moves[0].far is not None and (action.first or not action.last):
        tips = shapely.multipoints(action.points[[0, -1] if action.first else [-1]])
        leaning = [
            move.line
            for one in plan.passes
            if one.layout == layout.number
            for move in one.moves
            if move.kind == "link" and move.far is not None
        ]
        ways += [way for way in leaning if shapely.dwithin(way, tips, SAME_MM)]
    spots = shapely.multipoints(np.array(layout.thin_waste))
    return bool(shapely.dwithin(np.array(ways, dtype=object), spots, SAME_MM).any())


def _lean_over(plan: Plan, layout: Layout, action: _Action, words: Words) -> str:
    """Return the words for leaning the wire over to a taper's line, near which station."""
    assert action.piece is not None
    piece = plan.piece(action.piece)
    (placement,) = (one for one in layout.placements if one.piece == piece.number)
    marks = placed_stations(piece, placement, plan.workshop.cutting)[:-1]
    nearest = min(marks, key=lambda mark: math.dist(mark.near, action.points[0]))
    return words.step_taper.format(piece=piece_name(piece, words), station=nearest.number)


def _round(plan: Plan, action: _Action, number: int, layout: Layout, words: Words) -> str:
    """Return the words for a stretch of a piece's line."""
    hole = action.kind == "hole"
    whole_line, stretch, on, rest = (
        (
            words.step_round_hole,
            words.step_along_hole,
            words.step_on_hole,
            words.step_round_rest_hole,
        )
        if hole
        else (words.step_round, words.step_along, words.step_on, words.step_round_rest)
    )
    template = (
        (whole_line if action.first else rest) if action.last else (stretch if action.first else on)
    )
    if action.last and not action.closes:
        template = words.step_last
    assert action.piece is not None
    assert action.ring is not None
    piece = plan.piece(action.piece)
    text = template.format(
        piece=piece_name(piece, words),
        sense=words.anticlockwise if _is_ccw(action.ring) else words.clockwise,
        next=number + 1,
    )
    if not action.last:
        return text
    if action.run_on_mm:
        text += " " + words.step_run_on.format(mm=short(action.run_on_mm))
    if hole:
        return f"{text} {words.step_plug}"
    weight = dict(plan.estimate.piece_weights_kg).get(piece.number, 0.0)
    who = who_lifts(plan, weight, words)
    free = words.step_free
    if who is not None:
        free = words.step_free_heavy.format(weight=kilos(weight), who=who)
    if piece.number in layout.held:
        free = f"{free} {words.step_hold}"
    if piece.number in layout.drawn_out:
        free = f"{free} {words.step_draw_out}"
    if piece.number in layout.scarred:
        free = f"{free} {words.step_scar}"
    return f"{text} {free}"


def _is_ccw(points: Points) -> bool:
    x, y = (points - points[0]).T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) > 0
