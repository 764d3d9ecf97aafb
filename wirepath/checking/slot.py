"""Promise 2: the slot spares every piece, follows it, and sets it and its plugs free."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry, LineString, MultiLineString, Polygon, STRtree

from wirepath import overlay
from wirepath.checking.finding import (
    BUFFER_SHARE,
    CRUMB_MM2,
    DEPTH_MM,
    EXACT_MM,
    FLAKE_MM,
    Finding,
    found,
    place_of,
)
from wirepath.checking.scene import (
    FEED_MM_PER_S,
    SLOT_QUAD_SEGS,
    Scene,
    inside_point,
    lines_of,
    objects,
)
from wirepath.errors import Fault
from wirepath.model import Piece

LEFT_ON_TAPER = 1.0
"""Half kerfs that may stay on a taper besides: a straight wire spares a twisted facet, and its
neighbours, only if it keeps off further in places."""

SHARP_DEG = 65.0
"""Corners of tapers sharper than 60 degrees are cut across; with room for their leaning faces."""

BITE_STEPS = 400
"""Steps round a bite of the slot in which its depth is looked for, to tell it in words."""


def check_slot(
    scenes: Sequence[Scene],
    feed_mm_per_s: float,
    corner_feed_mm_per_s: float | None = None,
    slot_feed_mm_per_s: float | None = None,
) -> tuple[Finding, Finding]:
    """Return what the slot does to the pieces, and whether all come free.

    The feeds are those that a kerf is known for: elsewhere and near corners; and the one
    asked for on ways back through slots.
    """
    spared: list[Fault] = []
    freed: list[Fault] = []
    count = plugs = 0
    for scene in scenes:
        cores = shapely.buffer(objects(scene.placed), -DEPTH_MM)
        spared += scene.told(
            [
                *_intrusions(scene, cores),
                *_strays(scene),
                *_wrong_feeds(scene, feed_mm_per_s, corner_feed_mm_per_s, slot_feed_mm_per_s),
            ]
        )
        freed += scene.told([*_too_narrow(scene), *_held_fast(scene, cores)])
        if scene.is_first:
            count += len(scene.placed)
            plugs += sum(len(piece.interiors) for piece in scene.placed)
    return (
        found(
            2,
            "The slot spares every piece and follows its outline",
            f"{count} pieces: no slot reaches more than {DEPTH_MM} mm into one, or keeps off it "
            f"by more where the round slot can follow"
            if not spared
            else f"{count} pieces, {len(spared)} faults",
            spared,
        ),
        found(
            2,
            "Every piece and every plug of a hole comes free",
            f"{count} pieces and {plugs} holes"
            + (" are parts of their own once the slot is out" if not freed else ""),
            freed,
        ),
    )


# --- The slot spares the pieces ----------------------------------------------------


def _intrusions(scene: Scene, cores: NDArray[np.object_]) -> list[Fault]:
    """Return moves whose slot reaches more than `DEPTH_MM` into a piece.

    A core is a piece less `DEPTH_MM` all round. The slot reaches into the core where
    the wire's line comes nearer to it than half the kerf: exact, no offset is drawn.
    """
    lines = lines_of(scene.moves)
    reaches = scene.half_widths_mm - EXACT_MM
    chains = _slit_chains(scene)
    faults = []
    for move_index, index in STRtree(cores).query(lines, predicate="dwithin", distance=reaches).T:
        move, piece = scene.moves[move_index], scene.pieces[index]
        own = overlay.union([chain for number, chain in chains if number == piece.number])
        if move.kind == "slit" and move.piece == piece.number:
            continue
        line: Geometry = move.line
        if move.kind in ("slot", "overrun") and not own.is_empty:
            line = overlay.difference(line, shapely.buffer(own, DEPTH_MM))
            if not shapely.dwithin(line, cores[index], reaches[move_index]):
                continue
        faults.append(_intrusion(scene, line, move_index, index))
    return faults + _aimless_slits(scene, chains)


def _intrusion(scene: Scene, line: Geometry, move_index: int, index: int) -> Fault:
    """Return the fault of one move, with the deepest point its slot reaches in the piece."""
    placed = scene.placed[index]
    half = float(scene.half_widths_mm[move_index])
    swept = shapely.buffer(line, half, quad_segs=SLOT_QUAD_SEGS)
    bite = overlay.intersection(swept, placed)
    # The deepest point need not be a corner: look along the bite's edge in small steps.
    steps = shapely.segmentize(bite, shapely.length(bite) / BITE_STEPS)
    corners = shapely.get_coordinates(steps)
    depths = shapely.distance(shapely.points(corners), placed.boundary)
    x, y = corners[int(depths.argmax())]
    return Fault(
        f"the slot of a move '{scene.moves[move_index].kind}' reaches {depths.max():.2f} mm into "
        f"the piece ({DEPTH_MM} mm allowed)",
        place_of(scene.layout.number, piece=scene.pieces[index].number, at=(float(x), float(y))),
    )


def _slit_chains(scene: Scene) -> list[tuple[int, LineString]]:
    """Return (piece number, line) of every slit; moves on end make one slit."""
    chains: list[tuple[int, LineString]] = []
    for one in scene.passes:
        before: int | None = None
        for move in one.moves:
            number = move.piece if move.kind == "slit" else None
            if number is not None and number == before:
                last = chains.pop()[1]
                chains.append((number, LineString([*last.coords, *move.line.coords])))
            elif number is not None:
                chains.append((number, move.line))
            before = number
    return chains


def _aimless_slits(scene: Scene, chains: list[tuple[int, LineString]]) -> list[Fault]:
    """Return slits that do not run from waste to a hole of their own piece."""
    places = {piece.number: index for index, piece in enumerate(scene.pieces)}
    faults = [
        Fault("a slit names no piece of this layout", place_of(scene.layout.number))
        for move in scene.moves
        if move.kind == "slit" and move.piece not in places
    ]
    for number, chain in chains:
        if number not in places:
            continue
        placed = scene.placed[places[number]]
        ends = shapely.get_point(chain, [0, -1])
        holes = overlay.union([Polygon(ring) for ring in placed.interiors])
        at = (float(chain.coords[0][0]), float(chain.coords[0][1]))
        where = place_of(scene.layout.number, piece=number, at=at)
        if shapely.dwithin(placed, ends, 0).any():
            faults.append(Fault("a slit ends inside the piece, not in a hole", where))
        elif not shapely.intersects(holes, ends).any():
            faults.append(Fault("a slit leads to no hole of the piece", where))
    return faults


def _wrong_feeds(
    scene: Scene, feed_mm_per_s: float, slow_mm_per_s: float | None, back_mm_per_s: float | None
) -> list[Fault]:
    """Return moves in foam at a feed that the kerf is not stated for.

    Slower melts a wider slot, faster a narrower one. Back through a slot the wire may
    go faster: it melts nothing.
    """
    faults = []
    for move in scene.moves:
        if move.kind == "air" or abs(move.feed_mm_per_s - feed_mm_per_s) <= FEED_MM_PER_S:
            continue
        if slow_mm_per_s and abs(move.feed_mm_per_s - slow_mm_per_s) <= FEED_MM_PER_S:
            continue
        if move.kind in ("slot", "overrun") and move.feed_mm_per_s > feed_mm_per_s:
            # The end of a leaning wire that goes farther goes faster; an upright one as asked.
            if move.far is not None:
                continue
            if back_mm_per_s and abs(move.feed_mm_per_s - back_mm_per_s) <= FEED_MM_PER_S:
                continue
        x, y = move.line.coords[0]
        faults.append(
            Fault(
                f"a move '{move.kind}' runs at {move.feed_mm_per_s:g} mm/s; the kerf is known "
                f"at {feed_mm_per_s:g} mm/s only",
                place_of(scene.layout.number, piece=move.piece, at=(float(x), float(y))),
            )
        )
    return faults


def _strays(scene: Scene) -> list[Fault]:
    """Return pieces that the slot does not follow: foam left on along the outline.

    Corners and middles of the piece's edges must lie on the slot's side to `DEPTH_MM`,
    where a round slot can touch them at all (not deep in an inner corner), and where
    they do not stand on the block's own face.
    """
    lines = lines_of(scene.moves)
    tree = STRtree(lines)
    edge = scene.face.boundary
    shapely.prepare(edge)
    halves = scene.half_widths_mm
    faults = []
    for piece, placed in zip(scene.pieces, scene.placed, strict=True):
        half = scene.widest_mm if piece.taper is None else _off_mm(scene, piece)
        slack = half * BUFFER_SHARE + EXACT_MM
        # A taper's wire turns its corners sharp, so those are no measure of how far it is off.
        edge_points = _edge_points(placed) if piece.taper is None else _edge_middles(placed)
        points = np.asarray(shapely.points(edge_points))
        offset = placed.buffer(half, quad_segs=SLOT_QUAD_SEGS).boundary
        shapely.prepare(offset)
        wanted = shapely.dwithin(offset, points, half + slack)
        wanted &= ~shapely.dwithin(edge, points, DEPTH_MM)
        near = tree.query(placed.buffer(2 * half + DEPTH_MM))
        # One line for each width of slot: to be within reach of one is enough.
        wires = [
            (own, MultiLineString(list(lines[near[halves[near] == own]])))
            for own in np.unique(halves[near])
        ]
        if piece.taper is None:
            for own, wire in wires:
                wanted &= ~shapely.dwithin(wire, points, own + slack + DEPTH_MM)
        else:
            more = scene.half_kerf_mm * LEFT_ON_TAPER + DEPTH_MM
            wanted &= ~_reached(scene, piece, points, slack + more)
        missed = points[wanted]
        if not len(missed):
            continue
        how_far, worst = "altogether", missed[0]
        if wires:
            away = np.min([shapely.distance(missed, wire) - own for own, wire in wires], axis=0)
            how_far, worst = f"by {away.max():.2f} mm", missed[int(away.argmax())]
        faults.append(
            Fault(
                f"the slot misses the outline {how_far}",
                place_of(scene.layout.number, piece=piece.number, at=(worst.x, worst.y)),
            )
        )
    return faults


def _off_mm(scene: Scene, piece: Piece) -> float:
    """Return how far off a piece the wire's line may lie at most: of a taper, on its widest step.

    A taper's wire is straight from face to face, so between them it may have to keep off
    further than half its slot there.
    """
    if piece.taper is None:
        return scene.half_kerf_mm
    return float(scene.off_mm[_own_moves(scene, piece)].max(initial=scene.half_kerf_mm))


def _own_moves(scene: Scene, piece: Piece) -> list[int]:
    return [
        index
        for index, move in enumerate(scene.moves)
        if move.kind == "outline" and move.piece == piece.number
    ]


def _reached(
    scene: Scene, piece: Piece, points: NDArray[np.object_], slack_mm: float
) -> NDArray[np.bool_]:
    """Return which points have the wire as near as the moves round there may keep it, (n,)."""
    most = _off_mm(scene, piece) + slack_mm
    lines = lines_of(scene.moves)
    point, move = STRtree(lines).query(points, predicate="dwithin", distance=2 * most)
    gaps = np.full(len(points), np.inf)
    np.minimum.at(gaps, point, shapely.distance(points[point], lines[move]))
    offs = np.zeros(len(points))
    np.maximum.at(offs, point, scene.off_mm[move])
    reached: NDArray[np.bool_] = gaps <= offs + slack_mm
    return reached


def _edge_points(piece: Polygon) -> NDArray[np.float64]:
    """Return the corners of all rings of a piece and the middles of its edges, (n, 2)."""
    rings = [shapely.get_coordinates(ring) for ring in (piece.exterior, *piece.interiors)]
    return np.concatenate([*rings, _edge_middles(piece)])


def _edge_middles(piece: Polygon) -> NDArray[np.float64]:
    """Return the middles of all edges of a piece, (n, 2)."""
    rings = [shapely.get_coordinates(ring) for ring in (piece.exterior, *piece.interiors)]
    return np.concatenate([(ring[1:] + ring[:-1]) / 2 for ring in rings])


# --- Everything comes free ---------------------------------------------------------


def _left_on_taper(scene: Scene, placed: Polygon, filled: Geometry, piece: Piece) -> Geometry:
    """Return what may stay on a taper: inner corners, what a straight wire keeps off, tips.

    A corner sharper than `SHARP_DEG` is cut across, a little outside its tip.
    """
    off = _off_mm(scene, piece)
    own = _own_moves(scene, piece)
    kept_off = float((scene.off_mm[own] - scene.half_widths_mm[own]).max(initial=0))
    kept_off += scene.half_kerf_mm * LEFT_ON_TAPER + DEPTH_MM
    wider = shapely.buffer(placed, kept_off, join_style="mitre", mitre_limit=3)
    ring = shapely.get_coordinates(placed.exterior)[:-1]
    back, on = np.roll(ring, 1, axis=0) - ring, np.roll(ring, -1, axis=0) - ring
    cosine = (back * on).sum(axis=1) / np.maximum(np.hypot(*back.T) * np.hypot(*on.T), 1e-12)
    tips = ring[cosine > np.cos(np.radians(SHARP_DEG))]
    discs = shapely.buffer(shapely.points(tips), 1.5 * off)
    left: Geometry = overlay.union([filled, wider, *discs])
    return left


def _too_narrow(scene: Scene) -> list[Fault]:
    """Return holes that the slot does not fit into, so that they stay shut."""
    faults = []
    for piece, placed in zip(scene.pieces, scene.placed, strict=True):
        for ring in placed.interiors:
            hole = Polygon(ring)
            if hole.buffer(EXACT_MM - scene.half_kerf_mm).is_empty:
                at = (float(hole.centroid.x), float(hole.centroid.y))
                faults.append(
                    Fault(
                        f"a hole is narrower than the kerf of {2 * scene.half_kerf_mm:g} mm",
                        place_of(scene.layout.number, piece=piece.number, at=at),
                    )
                )
    return faults


def _held_fast(scene: Scene, cores: NDArray[np.object_]) -> list[Fault]:
    """Return pieces that are not one part of their own once the slot is out of the face."""
    number = scene.layout.number
    parts = objects(scene.parts)
    piece_index, part_index = STRtree(parts).query(cores, predicate="intersects")
    shared = shapely.area(overlay.intersection(cores[piece_index], parts[part_index]))
    real = shared > CRUMB_MM2
    piece_index, part_index = piece_index[real], part_index[real]
    # What a round slot must leave on a piece: its inner corners, filled.
    halves = np.array(
        [scene.widest_mm if p.taper is None else _off_mm(scene, p) for p in scene.pieces]
    )
    grown = shapely.buffer(objects(scene.placed), halves, quad_segs=SLOT_QUAD_SEGS)
    allowed = shapely.buffer(grown, DEPTH_MM - halves, quad_segs=SLOT_QUAD_SEGS)
    for index, piece in enumerate(scene.pieces):
        if piece.taper is not None:
            allowed[index] = _left_on_taper(scene, scene.placed[index], allowed[index], piece)
    faults = []
    for index, (piece, placed) in enumerate(zip(scene.pieces, scene.placed, strict=True)):
        own = part_index[piece_index == index]
        if len(own) != 1:
            faults.append(
                Fault(
                    f"the piece falls into {len(own)} parts" if len(own) else "the piece is gone",
                    place_of(number, piece=piece.number, at=inside_point(placed)),
                )
            )
        for part in own:
            others = set(piece_index[part_index == part]) - {index}
            extra = overlay.difference(parts[part], allowed[index]).buffer(-FLAKE_MM / 2)
            if others:
                names = ", ".join(str(scene.pieces[i].number) for i in sorted(others))
                what = f"the piece hangs together with piece {names}"
            elif extra.is_empty:
                continue
            elif any(Polygon(ring).intersects(extra) for ring in placed.interiors):
                what = f"the plug of a hole hangs on the piece, {extra.area:.1f} mm2"
            else:
                what = f"waste hangs on the piece, {extra.area:.1f} mm2"
            at = inside_point(extra if not extra.is_empty else placed)
            faults.append(Fault(what, place_of(number, piece=piece.number, at=at)))
    return faults
