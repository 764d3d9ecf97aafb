"""Raw curves -> outlines, contours, seam lines, in mm at finished size, with notes and counts."""

from __future__ import annotations

import functools
from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from wirepath.errors import DrawingError, Fault
from wirepath.geometry import polygons
from wirepath.model import Contour, EntityCount, Mark, Mesh, Note, Outline, Reading, Traced, View
from wirepath.tracing import contours as contour_lines
from wirepath.tracing import edges, facing, naming, sizing, views
from wirepath.tracing.drawing import Curve, Drawing, DrawnText, tally
from wirepath.tracing.faults import Flaw
from wirepath.tracing.joined import EXACT_MM, Joined
from wirepath.tracing.joining import join
from wirepath.tracing.lines import Lines
from wirepath.tracing.regions import Regions, regions

MOST_TOLD = 40
"""Notes of one wording, and flaws of one wording, are told this often; then only counted."""

Status = NDArray[np.int8]
READ, IGNORED, REFUSED = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What could be made of a drawing, and everything that is wrong with it.

    `places` has a place for every fault, in mm in the frame of `traced`, or None;
    `open_lines` are the lines that close nothing, in the same frame.
    """

    traced: Traced
    faults: tuple[Fault, ...] = ()
    places: tuple[tuple[float, float] | None, ...] = ()
    open_lines: tuple[LineString, ...] = ()


def trace(drawing: Drawing, reading: Reading) -> Traced:
    """Return the outlines and contours of `drawing`. Raises DrawingError with all faults."""
    found = survey(drawing, reading)
    if found.faults:
        raise DrawingError(found.faults)
    return found.traced


def survey(drawing: Drawing, reading: Reading) -> Survey:
    """Return what can be made of `drawing` under `reading`, and all its faults."""
    size = sizing.size_up(drawing, reading)
    wanted = sizing.wanted(drawing.curves, reading)
    curves = [curve for curve, wants in zip(drawing.curves, wanted, strict=True) if wants]
    roles = np.array([sizing.role(curve.layer, reading) for curve in curves], dtype=object)
    of_form = np.isin(roles.astype(str), sizing.FORM_ROLES)
    forms = sizing.mesh_forms(drawing, reading)
    lines, corner, back = _to_finished(curves, size.mm_per_unit, of_form, forms)
    # Coordinates are as fine as they were drawn: enlarged, so is what passes for exact.
    exact_mm = EXACT_MM * max(1.0, min(size.scale, 1e4))

    status = np.full(len(curves), READ, dtype=np.int8)
    work = _Work(curves, lines, reading, exact_mm, status)
    texts = _finished_texts(drawing, size.mm_per_unit, corner, reading)
    names = [text for text in texts if not sizing.matches(text.layer, reading.mark_layers)]
    near_names = [text for text in names if not sizing.matches(text.layer, reading.far_layers)]
    far_names = [text for text in names if sizing.matches(text.layer, reading.far_layers)]
    outlines = work.outlines(np.flatnonzero(roles == "outline"), near_names)
    far = work.outlines(np.flatnonzero(roles == "far face"), far_names or near_names)
    if reading.far_layers and not far:
        work.flaws.append(_nothing_far(reading))
    contours = work.contours(np.flatnonzero(roles == "contour"), size.mm_per_unit, outlines)
    seam_lines = work.seam_lines(np.flatnonzero(roles == "seam"))
    keep_clear = work.keep_clear(np.flatnonzero(roles == "keep clear"))
    if contours and not outlines:
        outlines = _outlines_of_lowest(contours)
    finished_lines = work.finished_lines(np.flatnonzero(roles == "finished"), outlines)
    others = drawing.meshes if not forms else ()
    seen = work.views(roles, outlines, names) if reading.side_layers or reading.top_layers else ()
    faced = [
        facing.outward(_finished_mesh(mesh, size.mm_per_unit, (*corner, bottom)))
        for mesh, bottom in (*((one, back) for one in forms), *((one, 0.0) for one in others))
    ]
    work.notes += [note for _, notes in faced for note in notes]
    if reading.mesh_layers and not forms:
        work.flaws.append(_no_mesh(drawing, reading))
    if not outlines and not forms and not work.flaws:
        work.flaws.append(_nothing_found(drawing, reading, curves))
    tilted = sum(curve.z is None for curve in curves)
    if tilted:
        work.notes.append(
            Note(
                kind="warning",
                text=f"curves that are not level, read as they look from the front: {tilted}",
            )
        )
    notes = (*drawing.notes, *size.notes, *_shortened(work.notes), *_left_out(drawing, wanted))
    flaws = _shortened_flaws(work.flaws)
    traced = Traced(
        outlines=outlines,
        contours=contours,
        seam_lines=seam_lines,
        finished_lines=finished_lines,
        keep_clear=keep_clear,
        far=far,
        marks=(
            *work.mark_lines(np.flatnonzero(roles == "mark")),
            *(
                Mark(at=text.at, text=text.text)
                for text in texts
                if sizing.matches(text.layer, reading.mark_layers)
            ),
        ),
        meshes=tuple(mesh for mesh, _ in faced),
        views=seen,
        notes=notes,
        counts=_counts(drawing, wanted, status, reading),
        units=size.units,
        scale=size.scale,
    )
    return Survey(
        traced=traced,
        faults=(*size.faults, *(_fault(f, size.mm_per_unit, corner) for f in flaws)),
        places=(*(None for _ in size.faults), *(flaw.at for flaw in flaws)),
        open_lines=tuple(work.open_lines),
    )


class _Work:
    """The joining of outlines and contours, and everything they leave to tell."""

    def __init__(
        self,
        curves: Sequence[Curve],
        lines: Lines,
        reading: Reading,
        exact_mm: float,
        status: Status,
    ) -> None:
        self.curves, self.lines, self.reading = curves, lines, reading
        self.exact_mm, self.status = exact_mm, status
        self.notes: list[Note] = []
        self.flaws: list[Flaw] = []
        self.open_lines: list[LineString] = []

    def outlines(self, chosen: NDArray[np.intp], texts: Sequence[DrawnText]) -> tuple[Outline, ...]:
        """Return the outlines that the chosen curves make, in reading order, named."""
        layers = [self.curves[i].layer for i in chosen.tolist()]
        found = self._regions(chosen, layers)
        order = naming.reading_order(found.parts)
        parts = [found.parts[i] for i in order]
        part_layers = [_layer_of(found.made_of[i], layers) for i in order]
        names = naming.names(parts, part_layers, texts, self.reading.naming)
        return tuple(
            Outline(name=name, polygon=part, layer=layer)
            for name, part, layer in zip(names, parts, part_layers, strict=True)
        )

    def views(
        self, roles: NDArray[np.object_], fronts: Sequence[Outline], texts: Sequence[DrawnText]
    ) -> tuple[View, ...]:
        """Return the outlines from the front, the side and above, in one frame."""
        sides, tops = (
            self.outlines(np.flatnonzero(roles == role), texts)
            for role in ("side outline", "top outline")
        )
        found = views.aligned(fronts, sides, tops, self.reading)
        self.flaws += found.flaws
        self.notes += found.notes
        return tuple(found.views)

    def mark_lines(self, chosen: NDArray[np.intp]) -> Iterator[Mark]:
        """Give the chosen curves as marks, from end to end; those that end nowhere are flaws."""
        for index in chosen.tolist():
            start, end = self.lines[index].coords[0], self.lines[index].coords[-1]
            if start != end:
                yield Mark(at=(start[0], start[1]), to=(end[0], end[1]))
                continue
            self.status[index] = REFUSED
            self.flaws.append(
                Flaw(
                    what="a closed line on a mark layer joins no two corners",
                    at=(start[0], start[1]),
                    mend="draw a line from a corner of the near face to its partner, or set the "
                    "same number at both",
                )
            )

    def contours(
        self, chosen: NDArray[np.intp], mm_per_unit: float, outlines: Sequence[Outline]
    ) -> tuple[Contour, ...]:
        """Return the contours that the chosen curves make, lowest first."""
        if not len(chosen):
            self._tell_empty("contour_layers", "contour", self.reading.contour_layers)
            return ()
        self.flaws += contour_lines.sense_flaws(self.reading)
        curves = [self.curves[i] for i in chosen.tolist()]
        figures = contour_lines.figures(curves, mm_per_unit, self.reading)
        by_height: defaultdict[float, list[int]] = defaultdict(list)
        for index, figure in zip(chosen.tolist(), figures, strict=True):
            if figure is not None:
                by_height[contour_lines.height_of(figure, self.reading)].append(index)
                continue
            self.status[index] = REFUSED
            x, y = self.lines[index].coords[0]
            self.flaws.append(
                Flaw(
                    what=f"the contour on layer {self.curves[index].layer!r} has no height: "
                    + ("it is not level" if self.curves[index].z is None else "none is given"),
                    at=(x, y),
                    mend="give it an elevation, or name heights by layer with height_pattern "
                    "or layer_heights",
                )
            )
        levels: dict[float, list[Polygon]] = {}
        for height, indexes in by_height.items():
            found = self._regions(np.array(indexes), [""] * len(indexes))
            if found.parts:
                levels[height] = found.parts
        self.flaws += contour_lines.nesting_flaws(
            levels, [one.polygon for one in outlines], self.reading.curve_tolerance_mm
        )
        return contour_lines.in_order(levels)

    def seam_lines(self, chosen: NDArray[np.intp]) -> tuple[LineString, ...]:
        """Return the chosen curves as seam lines, run together where their ends meet."""
        if not len(chosen):
            self._tell_empty("seam_layers", "seam", self.reading.seam_layers)
            return ()
        return tuple(self._run_together(chosen))

    def finished_lines(
        self, chosen: NDArray[np.intp], outlines: Sequence[Outline]
    ) -> tuple[LineString, ...]:
        """Return the stretches of the outlines that the chosen curves run along."""
        if not len(chosen):
            self._tell_empty("finished_layers", "finished", self.reading.finished_layers)
            return ()
        found = edges.run_along(
            self._run_together(chosen), outlines, self.reading.finished_within_mm
        )
        self.flaws += found.flaws
        self.notes += found.notes
        return found.stretches

    def _run_together(self, chosen: NDArray[np.intp]) -> list[LineString]:
        """Return the chosen curves, run together where their ends meet; specks are told."""
        is_speck = shapely.length(self.lines[chosen]) < 2 * self.exact_mm
        self._tell_specks(chosen[is_speck])
        drawn = shapely.union_all(self.lines[chosen[~is_speck]], grid_size=self.exact_mm)
        parts = [
            part
            for part in shapely.get_parts(shapely.line_merge(drawn))
            if isinstance(part, LineString) and not part.is_empty
        ]
        return sorted(parts, key=lambda part: (part.bounds, part.length))

    def keep_clear(self, chosen: NDArray[np.intp]) -> tuple[Polygon, ...]:
        """Return the regions that the chosen curves close; they may overlap."""
        if not len(chosen):
            self._tell_empty("keep_clear_layers", "keep-clear", self.reading.keep_clear_layers)
            return ()
        groups = np.zeros(len(chosen), dtype=np.intp)
        joined = join(self.lines[chosen], groups, self.reading, self.exact_mm)
        self._tell(joined, chosen)
        self.notes += joined.notes
        rings = [shapely.make_valid(Polygon(ring)) for ring in joined.rings]
        found = polygons(shapely.GeometryCollection([*rings, *joined.faces]))
        return tuple(sorted(map(shapely.orient_polygons, found), key=lambda area: area.bounds))

    def _tell_empty(self, key: str, kind: str, patterns: Sequence[str]) -> None:
        """Keep the flaw of layers that are asked for and hold nothing."""
        if patterns:
            self.flaws.append(
                Flaw(
                    what=f"no visible curve lies on a {kind} layer ({', '.join(patterns)})",
                    where=f"read.{key}",
                    mend="check the names with 'wirepath read'",
                )
            )

    def _tell_specks(self, specks: NDArray[np.intp]) -> None:
        if len(specks):
            text = f"curves without length, dropped: {len(specks)}"
            self.notes.append(Note(kind="repair", text=text))
        self.status[specks] = IGNORED

    def _regions(self, chosen: NDArray[np.intp], layers: list[str]) -> Regions:
        """Return the regions that the chosen curves make; keep what is to be told."""
        codes = {layer: code for code, layer in enumerate(dict.fromkeys(layers))}
        groups = np.array([codes[layer] for layer in layers], dtype=np.intp)
        joined = join(self.lines[chosen], groups, self.reading, self.exact_mm)
        found = regions(joined, self.reading.curve_tolerance_mm)
        self._tell(joined, chosen)
        self.notes += [*joined.notes, *found.notes]
        self.flaws += found.flaws
        return found

    def _tell(self, joined: Joined, chosen: NDArray[np.intp]) -> None:
        """Keep what joining left: open lines and the standing of every curve."""
        leave_out = self.reading.open_lines == "leave out"
        self.flaws += [f for f in joined.flaws if not (leave_out and f.is_open_line)]
        self.open_lines += joined.opens
        if joined.opens and leave_out:
            self.notes.append(
                Note(
                    kind="ignored",
                    text=f"open lines left out, as the job says: {len(joined.opens)}",
                )
            )
        if len(joined.doubles):
            self.notes.append(
                Note(kind="repair", text=f"curves drawn twice, taken once: {len(joined.doubles)}")
            )
        self._tell_specks(chosen[joined.specks])
        is_open, is_used = (np.zeros(len(chosen), dtype=bool) for _ in range(2))
        for members in joined.open_of:
            is_open[members] = True
        for members in (*joined.ring_of, *joined.face_of):
            is_used[members] = True
        self.status[chosen[is_open & ~is_used]] = IGNORED if leave_out else REFUSED


Corner = tuple[float, float]


def _to_finished(
    curves: Sequence[Curve],
    mm_per_unit: float,
    of_form: NDArray[np.bool_],
    forms: Sequence[Mesh],
) -> tuple[Lines, Corner, float]:
    """Return the curves in mm, where the corner was that now lies at 0, 0, and what lay at z = 0.

    It is the lower left corner of the meshes `forms`, else of the curves `of_form`: seams may
    run out of the forms. The back is the lowest point of the meshes.
    """
    lines = np.array([curve.line for curve in curves], dtype=object)
    corner = back = None
    if forms:
        points = np.concatenate([np.array(mesh.points) for mesh in forms]) * mm_per_unit
        corner, back = points[:, :2].min(axis=0), float(points[:, 2].min())
    if not len(lines):
        x, y = (0.0, 0.0) if corner is None else corner.tolist()
        return lines, (x, y), back or 0.0
    coordinates, index = shapely.get_coordinates(lines, return_index=True)
    coordinates = coordinates * mm_per_unit
    if corner is None:
        framing = of_form[index] if of_form.any() else np.ones(len(index), dtype=bool)
        corner = coordinates[framing].min(axis=0)
    moved = shapely.linestrings(coordinates - corner, indices=index)
    return np.asarray(moved), (float(corner[0]), float(corner[1])), back or 0.0


def _finished_texts(
    drawing: Drawing, mm_per_unit: float, corner: Corner, reading: Reading
) -> list[DrawnText]:
    """Return the texts that are to be seen, their places in the frame of the finished curves."""
    return [
        replace(
            text,
            at=(text.at[0] * mm_per_unit - corner[0], text.at[1] * mm_per_unit - corner[1]),
        )
        for text in drawing.texts
        if not text.hidden or reading.hidden_layers
    ]


def _finished_mesh(mesh: Mesh, mm_per_unit: float, corner: tuple[float, float, float]) -> Mesh:
    points = np.array(mesh.points) * mm_per_unit - np.array(corner)
    return replace(mesh, points=tuple(map(tuple, points.tolist())))


def _outlines_of_lowest(contours: tuple[Contour, ...]) -> tuple[Outline, ...]:
    """Return the lowest contours as outlines: a relief drawn without one."""
    lowest = [c.region for c in contours if c.height_mm == contours[0].height_mm]
    parts = [lowest[i] for i in naming.reading_order(lowest)]
    names = naming.names(parts, ["relief"] * len(parts), (), "layer")
    return tuple(Outline(name=name, polygon=part) for name, part in zip(names, parts, strict=True))


def _layer_of(members: NDArray[np.intp], layers: list[str]) -> str:
    """Return the layer that most of the pieces lie on; the first drawn where it is a draw."""
    if not len(members):
        return layers[0] if layers else ""
    on: Counter[str] = Counter(layers[i] for i in members.tolist())
    return max(on, key=lambda layer: on[layer])


def _left_out(drawing: Drawing, wanted: list[bool]) -> list[Note]:
    """Return notes on the layers whose curves were not read, with the reason."""
    by_layer: Counter[tuple[str, str]] = Counter(
        (curve.layer, curve.hidden or "")
        for curve, wants in zip(drawing.curves, wanted, strict=True)
        if not wants and not curve.is_border
    )
    return [
        Note(
            kind="ignored",
            text=f"layer {layer!r}: {n} curves are not read, "
            + (why or "the job names other layers"),
        )
        for (layer, why), n in sorted(by_layer.items())
    ]


def _counts(
    drawing: Drawing, wanted: list[bool], status: Status, reading: Reading
) -> tuple[EntityCount, ...]:
    """Return what became of all entities; one that gave several curves counts once."""
    kinds: Counter[str] = Counter()
    ignored: Counter[tuple[str, str]] = Counter()
    refused: Counter[tuple[str, str]] = Counter()
    states = iter(status.tolist())
    worst: dict[int, tuple[int, str, str]] = {}
    for curve, wants in zip(drawing.curves, wanted, strict=True):
        state = next(states) if wants else IGNORED
        if curve.is_border and not reading.hatch_borders:
            why = "a filled area; hatch_borders = true reads its border"
        elif not wants:
            why = curve.hidden or "its layer is not one the job names"
        else:
            why = ("", "it has no length or closes nothing", "it closes nothing")[state]
        before = worst.get(curve.source)
        if before is None or state > before[0]:
            worst[curve.source] = (state, curve.kind, why)
    for state, kind, why in worst.values():
        if state == READ:
            kinds[kind] += 1
        elif state == IGNORED:
            ignored[kind, why] += 1
        else:
            refused[kind, why] += 1
    for count in drawing.counts:
        kinds[count.kind] += count.read
        ignored[count.kind, count.why] += count.ignored
        refused[count.kind, count.why] += count.refused
    return tuple(tally(+kinds, +ignored, +refused))


def _nothing_far(reading: Reading) -> Flaw:
    return Flaw(
        what=f"no closed line lies on a layer of far faces ({', '.join(reading.far_layers)})",
        where="read.far_layers",
        mend="check the names with 'wirepath read'",
    )


def _no_mesh(drawing: Drawing, reading: Reading) -> Flaw:
    layers = sorted({mesh.layer for mesh in drawing.meshes})
    return Flaw(
        what=f"no mesh lies on a layer of meshes ({', '.join(reading.mesh_layers)})",
        where="read.mesh_layers",
        mend=f"use one of: {', '.join(map(repr, layers))}"
        if layers
        else "draw it as a mesh, or as 3D faces: solids of other kinds are not read",
    )


def _nothing_found(drawing: Drawing, reading: Reading, curves: list[Curve]) -> Flaw:
    """Return the flaw of a drawing without any outline, with what it holds instead."""
    holds = []
    hints = []
    hidden = sum(bool(curve.hidden) for curve in drawing.curves)
    borders = sum(curve.is_border for curve in drawing.curves)
    if hidden and not reading.hidden_layers:
        holds.append(f"{hidden} curves out of sight")
        hints.append("show their layers, or write hidden_layers = true")
    if borders and not reading.hatch_borders:
        holds.append(f"{borders} borders of filled areas")
        hints.append("take them as outlines with hatch_borders = true")
    if drawing.curves and not curves and (reading.outline_layers or reading.contour_layers):
        layers = sorted({curve.layer for curve in drawing.curves})[:12]
        holds.append("curves on the layers " + ", ".join(map(repr, layers)))
        hints.append("name one of them in outline_layers")
    faces = sum(len(mesh.faces) for mesh in drawing.meshes)
    if faces:
        holds.append(f"{faces} faces of a mesh")
        hints.append("name their layers in mesh_layers, to make what the mesh shows")
    for count in drawing.counts:
        if count.ignored or count.refused:
            holds.append(f"{count.ignored + count.refused} {count.kind}")
    what = "there is no outline in the drawing"
    if holds:
        what += "; it holds " + ", ".join(holds)
    return Flaw(
        what=what,
        mend="; or ".join(hints) or "draw the outline as closed lines in model space",
    )


def _fault(flaw: Flaw, mm_per_unit: float, corner: Corner) -> Fault:
    """Return a flaw as a message. Where the drawing's own figures differ, both are said."""
    where = flaw.where
    if flaw.at is not None:
        x, y = flaw.at
        near = f"near x {x:.1f}, y {y:.1f} mm"
        own = [
            round((v + low) / mm_per_unit, 6) + 0.0 for v, low in zip(flaw.at, corner, strict=True)
        ]
        if max(abs(own[0] - x), abs(own[1] - y)) > 0.1:
            near += f" (in the drawing x {own[0]:.6g}, y {own[1]:.6g})"
        where = f"{where}, {near}" if where else near
    return Fault(flaw.what, where, flaw.mend)


def _shortened(notes: list[Note]) -> list[Note]:
    """Return the notes, those past `MOST_TOLD` of one kind and wording as a number only."""
    return _first_of_each(
        notes,
        key=lambda note: (note.kind, _wording(note.text)),
        rest=lambda note, n: Note(kind=note.kind, text=f"{n} more such: {_wording(note.text)}"),
    )


def _shortened_flaws(flaws: list[Flaw]) -> list[Flaw]:
    return _first_of_each(
        flaws,
        key=lambda flaw: _wording(flaw.what),
        rest=lambda flaw, n: Flaw(what=f"{n} more such: {_wording(flaw.what)}", mend=flaw.mend),
    )


@functools.lru_cache(maxsize=10_000)
def _wording(text: str) -> str:
    """Return a text with its figures taken out."""
    return " ".join("…" if any(c.isdigit() for c in word) else word for word in text.split())


Thing = TypeVar("Thing")


def _first_of_each(
    things: list[Thing],
    key: Callable[[Thing], Hashable],
    rest: Callable[[Thing, int], Thing],
) -> list[Thing]:
    """Return the first `MOST_TOLD` things of each key, then `rest` of those left out."""
    seen: Counter[Hashable] = Counter()
    kept: list[Thing] = []
    first: dict[Hashable, Thing] = {}
    for thing in things:
        seen[key(thing)] += 1
        first.setdefault(key(thing), thing)
        if seen[key(thing)] <= MOST_TOLD:
            kept.append(thing)
    return kept + [rest(first[k], n - MOST_TOLD) for k, n in seen.items() if n > MOST_TOLD]
