"""Entities of an ezdxf document -> raw curves, texts and meshes, every one of them counted."""

from __future__ import annotations

import math
from array import array
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import shapely
from ezdxf.math import OCS, Matrix44, Vec3

from wirepath.drawing_file.flattening import Points, bulged, spline, sweep
from wirepath.errors import DrawingError, Fault
from wirepath.model import Mesh, Note
from wirepath.tracing.drawing import Curve, DrawnText

MOST_POINTS = 4_000_000
"""Of a whole drawing, inserts opened: about 1 GB while it is traced."""

MOST_DEPTH = 32
"""Inserts within inserts; deeper ones are refused."""

MOST_FIT_POINTS = 2_000
"""Of a spline given by points it passes: finding it takes the square of their number."""

BYBLOCK_LAYER = "0"
"""What a block holds on this layer takes the layer of its insert (DXF reference, BLOCK)."""

_WHY_IGNORED = {
    "TEXT": "text is not cut",
    "MTEXT": "text is not cut",
    "ATTRIB": "text is not cut",
    "ATTDEF": "text is not cut",
    "ARCTEXT": "text is not cut",
    "RTEXT": "text is not cut",
    "TOLERANCE": "text is not cut",
    "DIMENSION": "dimensions are not cut",
    "ARC_DIMENSION": "dimensions are not cut",
    "LARGE_RADIAL_DIMENSION": "dimensions are not cut",
    "LEADER": "leaders are not cut",
    "MLEADER": "leaders are not cut",
    "MULTILEADER": "leaders are not cut",
    "POINT": "a point has no outline",
    "XLINE": "a construction line has no end",
    "RAY": "a construction line has no end",
    "IMAGE": "a picture has no outline",
    "WIPEOUT": "a cover has no outline",
    "VIEWPORT": "a window onto the drawing has no outline",
    "SOLID": "a filled face; draw its border as lines to have it read",
    "TRACE": "a filled face; draw its border as lines to have it read",
    "MLINE": "a multiple line; explode it into lines to have it read",
    "REGION": "a body without lines; explode it to have its border read",
    "BODY": "a body without lines",
    "3DSOLID": "a body without lines",
    "SURFACE": "a body without lines",
    "SHAPE": "a symbol from a shape file",
    "ACAD_TABLE": "a table is not cut",
}


@dataclass(slots=True)
class Gathered:
    """Curves, texts and meshes as they come in; grows, then is turned into nouns.

    Points of all curves stand in one flat array; the other lists have one entry a curve.
    """

    points: array[float] = field(default_factory=lambda: array("d"))
    sizes: list[int] = field(default_factory=list)
    layers: list[str] = field(default_factory=list)
    kinds: list[str] = field(default_factory=list)
    sources: list[int] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)
    borders: list[bool] = field(default_factory=list)
    texts: list[tuple[str, Vec3, str, str]] = field(default_factory=list)
    faces: defaultdict[str, list[Points]] = field(default_factory=lambda: defaultdict(list))
    entities: int = 0
    read: Counter[str] = field(default_factory=Counter)
    ignored: Counter[tuple[str, str]] = field(default_factory=Counter)
    refused: Counter[tuple[str, str]] = field(default_factory=Counter)
    remarks: Counter[str] = field(default_factory=Counter)
    """What a person should look at, and how often it occurs."""

    def add(self, points: Points, layer: str, kind: str, hidden: str, border: bool = False) -> None:
        """Take in one curve of the current entity: (n, 3)."""
        self.points.frombytes(np.ascontiguousarray(points, dtype=np.float64).tobytes())
        self._describe(len(points), layer, kind, hidden, border)

    def add_line(self, start: Vec3, end: Vec3, layer: str, hidden: str) -> None:
        """Take in one LINE: the commonest entity by far, so it goes the short way."""
        self.points.extend((*start.xyz, *end.xyz))
        self._describe(2, layer, "LINE", hidden, False)

    def _describe(self, size: int, layer: str, kind: str, hidden: str, border: bool) -> None:
        self.sizes.append(size)
        self.layers.append(layer)
        self.kinds.append(kind)
        self.sources.append(self.entities)
        self.hidden.append(hidden)
        self.borders.append(border)

    def check_size(self, coming: int = 0) -> None:
        """Raise DrawingError where there are more points, `coming` ones too, than can be held."""
        faces = sum(map(len, self.faces.values())) if self.faces else 0
        if len(self.points) // 3 + len(self.texts) + faces + coming > MOST_POINTS:
            raise DrawingError(
                Fault(
                    f"the drawing comes to more than {MOST_POINTS} points once its inserts "
                    "are opened",
                    mend="erase hatching and repeated detail, or split the drawing",
                )
            )

    def take_in(self, block: Gathered, matrix: Matrix44, layer: str, hidden: str) -> None:
        """Take in everything a block holds, where `matrix` puts it."""
        array_matrix = np.array(list(matrix)).reshape(4, 4)
        turn, shift = array_matrix[:3, :3], array_matrix[3, :3]

        def moved(points: Points) -> Points:
            return np.asarray(points @ turn + shift)

        self.points.frombytes(moved(_as_points(block.points)).tobytes())
        self.sizes += block.sizes
        self.layers += [layer if own == BYBLOCK_LAYER else own for own in block.layers]
        self.kinds += block.kinds
        self.sources += [self.entities + source for source in block.sources]
        self.hidden += [hidden or own for own in block.hidden]
        self.borders += block.borders
        for text, at, own, unseen in block.texts:
            place = layer if own == BYBLOCK_LAYER else own
            self.texts.append((text, matrix.transform(at), place, hidden or unseen))
        for own, faces in block.faces.items():
            self.faces[layer if own == BYBLOCK_LAYER else own] += [moved(face) for face in faces]
        self.entities += block.entities
        self.read.update(block.read)
        self.ignored.update(block.ignored)
        self.refused.update(block.refused)
        self.remarks.update(block.remarks)
        self.check_size()


def gather(document: Any, tolerance: float) -> Gathered:
    """Return everything in the document's model space, curves flattened to `tolerance`."""
    # What overflows here is refused as not finite when it becomes a curve.
    with np.errstate(all="ignore"):
        return _Gatherer(document).layout(document.modelspace(), tolerance, ())


def curves(gathered: Gathered, document: Any) -> tuple[Curve, ...]:
    """Return the curves as nouns; ones with a figure that is not finite are refused, counted."""
    points = _as_points(gathered.points)
    sizes = np.array(gathered.sizes, dtype=np.intp)
    if not len(sizes):
        return ()
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    # Past this, squares of lengths leave the range in which geometry can be trusted.
    bad_points = np.asarray(~(np.abs(points) < 1e12).all(axis=1))
    bad = np.logical_or.reduceat(bad_points, starts)
    for kind in (gathered.kinds[i] for i in np.flatnonzero(bad)):
        gathered.refused[kind, "a coordinate is not a number, or absurdly large"] += 1
    lines: Any = shapely.linestrings(
        np.where(bad_points[:, None], 0.0, points[:, :2]),
        indices=np.repeat(np.arange(len(sizes)), sizes),
    )
    with np.errstate(invalid="ignore"):
        low, high = (op.reduceat(points[:, 2], starts) for op in (np.minimum, np.maximum))
        level = high - low <= 1e-6 * np.maximum(1.0, np.abs(high))
    states = _layer_states(document)
    return tuple(
        Curve(
            line=line,
            layer=readable(layer),
            kind=readable(kind),
            source=source,
            z=z if flat else None,
            hidden=hidden or states.get(layer.casefold(), ""),
            is_border=border,
        )
        for line, layer, kind, source, z, flat, hidden, border, broken in zip(
            lines.tolist(),
            gathered.layers,
            gathered.kinds,
            gathered.sources,
            low.tolist(),
            level.tolist(),
            gathered.hidden,
            gathered.borders,
            bad.tolist(),
            strict=True,
        )
        if not broken
    )


def texts(gathered: Gathered, document: Any) -> tuple[DrawnText, ...]:
    """Return the texts as nouns, without those that say nothing."""
    states = _layer_states(document)
    return tuple(
        DrawnText(
            text=readable(" ".join(text.split())),
            at=(at.x, at.y),
            layer=readable(layer),
            hidden=hidden or states.get(layer.casefold(), ""),
        )
        for text, at, layer, hidden in gathered.texts
        if text.strip() and math.isfinite(at.x) and math.isfinite(at.y)
    )


def meshes(gathered: Gathered) -> tuple[Mesh, ...]:
    """Return all faces, gathered into one mesh a layer."""
    found = []
    for layer, faces in sorted(gathered.faces.items()):
        sound = [face for face in faces if np.isfinite(face).all()]
        if not sound:
            continue
        every, places = np.unique(np.concatenate(sound), axis=0, return_inverse=True)
        ends = np.cumsum([len(face) for face in sound])[:-1]
        corners = np.split(places.reshape(-1), ends)
        found.append(
            Mesh(
                layer=readable(layer),
                points=tuple(map(tuple, every.tolist())),
                faces=tuple(tuple(face.tolist()) for face in corners),
            )
        )
    return tuple(found)


def notes(gathered: Gathered) -> tuple[Note, ...]:
    """Return what a person should look at, with its number."""
    return tuple(
        Note(kind="warning", text=readable(text if n == 1 else f"{text} ({n} times)"))
        for text, n in sorted(gathered.remarks.items())
    )


class _Gatherer:
    """Walks layouts and blocks; a block met twice is read once for a tolerance."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.blocks: dict[tuple[str, int], Gathered] = {}
        self.states = _layer_states(document)
        self.frozen = {
            name for name, state in self.states.items() if state == "its layer is frozen"
        }
        self.readers: dict[str, Callable[[Any, float], Iterable[Points]]] = {
            "ARC": _arc,
            "CIRCLE": _circle,
            "ELLIPSE": _ellipse,
            "SPLINE": _spline,
            "HELIX": _spline,
            "LWPOLYLINE": _lwpolyline,
        }

    def layout(self, layout: Any, tolerance: float, within: tuple[str, ...]) -> Gathered:
        """Return what `layout` holds; `within` names the blocks it is nested in."""
        gathered = Gathered()
        for entity in layout:
            kind = entity.dxftype()
            try:
                dxf = entity.dxf
                layer = dxf.layer
                hidden = "it is marked invisible" if dxf.get("invisible", 0) else ""
                if kind == "LINE":
                    gathered.add_line(dxf.start, dxf.end, layer, hidden)
                elif kind == "INSERT":
                    self.insert(entity, gathered, tolerance, within)
                else:
                    self.other(entity, kind, layer, hidden, gathered, tolerance)
            except DrawingError:
                raise
            except Exception as error:  # ezdxf raises anything on damaged data
                why = str(error) if isinstance(error, ValueError) else type(error).__name__
                gathered.refused[kind, f"damaged: {why[:80]}"] += 1
            gathered.entities += 1
            if not gathered.entities % 1000:
                gathered.check_size()
        gathered.check_size()
        return gathered

    def other(
        self, entity: Any, kind: str, layer: str, hidden: str, gathered: Gathered, tolerance: float
    ) -> None:
        """Take in anything but lines and inserts."""
        reader = self.readers.get(kind)
        if reader:
            found = list(reader(entity, tolerance))
            for points in found:
                gathered.add(points, layer, kind, hidden)
            if not found:
                gathered.ignored[kind, "it has less than two points"] += 1
            self.remark(entity, kind, gathered)
        elif kind == "POLYLINE":
            self.polyline(entity, layer, hidden, gathered, tolerance)
        elif kind in ("HATCH", "MPOLYGON"):
            borders = list(_hatch(entity, tolerance))
            for points in borders:
                gathered.add(points, layer, kind, hidden, border=True)
            if not borders:
                gathered.ignored[kind, "it has no border"] += 1
        elif kind == "3DFACE":
            self.faces([_face(entity)], kind, layer, hidden, gathered)
        elif kind == "MESH":
            corners = [np.array(list(map(tuple, entity.vertices)), dtype=float).reshape(-1, 3)]
            faces = [corners[0][list(face)] for face in entity.faces]
            self.faces(faces, kind, layer, hidden, gathered)
        else:
            if kind in ("TEXT", "ATTRIB", "MTEXT"):
                gathered.texts.append((_plain(entity, kind), _set_at(entity, kind), layer, hidden))
            why = _WHY_IGNORED.get(kind, "this reader knows no such entity")
            gathered.ignored[kind, why] += 1

    def faces(
        self, faces: list[Points], kind: str, layer: str, hidden: str, gathered: Gathered
    ) -> None:
        """Take in faces of a mesh, unless they are out of sight."""
        state = hidden or self.states.get(layer.casefold(), "")
        if state:
            gathered.ignored[kind, state] += 1
            return
        gathered.faces[layer] += faces
        gathered.read[kind] += 1

    def polyline(
        self, entity: Any, layer: str, hidden: str, gathered: Gathered, tolerance: float
    ) -> None:
        """Take in a POLYLINE: a curve in a plane or in space, or one of two kinds of mesh."""
        if entity.is_poly_face_mesh or entity.is_polygon_mesh:
            from ezdxf.render.mesh import MeshBuilder

            mesh = MeshBuilder.from_polyface(entity)
            corners = np.array([v.xyz for v in mesh.vertices]).reshape(-1, 3)
            faces = [corners[list(face)] for face in mesh.faces]
            self.faces(faces, "POLYLINE", layer, hidden, gathered)
            return
        points = _polyline(entity, tolerance)
        if len(points) < 2:
            gathered.ignored["POLYLINE", "it has less than two points"] += 1
            return
        gathered.add(points, layer, "POLYLINE", hidden)
        self.remark(entity, "POLYLINE", gathered)

    def remark(self, entity: Any, kind: str, gathered: Gathered) -> None:
        """Note what a curve has that flattening it does not show."""
        if kind in ("LWPOLYLINE", "POLYLINE") and _width(entity, kind):
            gathered.remarks["a polyline is drawn with a width: its middle line is read"] += 1
        if kind != "SPLINE" and entity.dxf.hasattr("extrusion"):
            normal = Vec3(entity.dxf.extrusion)
            if math.hypot(normal.x, normal.y) > 1e-6 * abs(normal.z):
                gathered.remarks[
                    "a curve lies in a tilted plane: it is read as it looks from the front"
                ] += 1

    def insert(
        self, insert: Any, gathered: Gathered, tolerance: float, within: tuple[str, ...]
    ) -> None:
        """Take in what an INSERT shows: its block as often as its rows and columns say."""
        dxf = insert.dxf
        name = str(dxf.get("name", ""))
        layer = dxf.layer
        block = self.document.blocks.get(name) if name else None
        hidden = "it is marked invisible" if dxf.get("invisible", 0) else ""
        if layer.casefold() in self.frozen:
            hidden = "the layer of its insert is frozen"
        for attrib in insert.attribs:
            gathered.texts.append(
                (_plain(attrib, "ATTRIB"), _set_at(attrib, "ATTRIB"), attrib.dxf.layer, hidden)
            )
            gathered.ignored["ATTRIB", _WHY_IGNORED["ATTRIB"]] += 1
        if block is None:
            gathered.refused["INSERT", f"there is no block {name!r}"] += 1
            return
        if name in within:
            gathered.refused["INSERT", f"block {name!r} holds itself"] += 1
            return
        if len(within) >= MOST_DEPTH:
            gathered.refused["INSERT", f"nested more than {MOST_DEPTH} deep"] += 1
            return
        matrix = _matrix(insert, block)
        stretch = math.sqrt(max(sum(x * x for x in matrix.get_row(i)[:3]) for i in (0, 1)))
        if not 1e-12 < stretch < 1e12:
            gathered.refused["INSERT", "its scale is nought, or not a number"] += 1
            return
        if insert.dxf.hasattr("extrusion") and abs(Vec3(dxf.extrusion).normalize().z) < 1 - 1e-9:
            gathered.remarks["an insert is tilted: it is read as it looks from the front"] += 1
        if getattr(insert, "has_extension_dict", False) and "ACAD_FILTER" in (
            insert.get_extension_dict()
        ):
            gathered.remarks["an insert is clipped: the whole of it is read"] += 1
        content = self.block(block, name, tolerance / stretch, within)
        offsets = _grid(dxf, len(content.points) // 3 + content.entities)
        ocs = insert.ocs()
        gathered.check_size(len(offsets) * (len(content.points) // 3))
        for offset in offsets:
            moved = matrix @ Matrix44.translate(*ocs.to_wcs(offset).xyz)
            gathered.take_in(content, moved, layer, hidden)
        gathered.read["INSERT"] += 1

    def block(self, block: Any, name: str, tolerance: float, within: tuple[str, ...]) -> Gathered:
        """Return what a block holds, to the next finer power of two of `tolerance`."""
        if not math.isfinite(tolerance) or tolerance <= 0:
            raise ValueError("its scale is not a number")
        power = math.floor(math.log2(tolerance))
        key = (name, power)
        if key not in self.blocks:
            self.blocks[key] = self.layout(block, 2.0**power, (*within, name))
        return self.blocks[key]


def _matrix(insert: Any, block: Any) -> Matrix44:
    """Return where an INSERT puts its block's content.

    A z scale of 0, which some programs write for flat blocks, counts as 1.
    """
    dxf = insert.dxf
    ocs = insert.ocs()
    # AutoCAD's own rule, in the DXF reference: scale, turn about z, then into the plane.
    angle = math.radians(dxf.rotation)
    base = Vec3(block.block.dxf.get("base_point", (0, 0, 0)))
    plane = Matrix44.ucs(ux=ocs.ux, uy=ocs.uy, uz=ocs.uz)
    matrix: Matrix44 = (
        Matrix44.translate(-base.x, -base.y, -base.z)
        @ Matrix44.scale(dxf.xscale, dxf.yscale, dxf.zscale or 1.0)
        @ Matrix44.z_rotate(angle)
        @ Matrix44.translate(*Vec3(dxf.get("insert", (0, 0, 0))).xyz)
        @ plane
    )
    return matrix


def _grid(dxf: Any, weight: int) -> list[Vec3]:
    """Return the offsets of the rows and columns of an INSERT, turned with it."""
    rows, columns = (max(1, int(dxf.get(key, 1))) for key in ("row_count", "column_count"))
    if rows * columns * max(weight, 1) > MOST_POINTS:
        raise DrawingError(
            Fault(
                f"an insert of {rows} rows and {columns} columns comes to more than "
                f"{MOST_POINTS} points",
                mend="erase repeated detail, or split the drawing",
            )
        )
    down, across = dxf.get("row_spacing", 0.0), dxf.get("column_spacing", 0.0)
    angle = math.radians(dxf.rotation)
    places = [
        Vec3(column * across, row * down).rotate(angle)
        for row in range(rows)
        for column in range(columns)
    ]
    return list(dict.fromkeys(places))


def _arc(entity: Any, tolerance: float) -> Iterable[Points]:
    dxf = entity.dxf
    start, end = math.radians(dxf.start_angle), math.radians(dxf.end_angle)
    # Counter-clockwise from start to end, a full turn where they are the same.
    span = (end - start) % math.tau or math.tau
    yield _round(entity, start, start + span, tolerance)


def _circle(entity: Any, tolerance: float) -> Iterable[Points]:
    yield _round(entity, 0.0, math.tau, tolerance)


def _round(entity: Any, start: float, end: float, tolerance: float) -> Points:
    dxf = entity.dxf
    radius = abs(dxf.radius)
    if not radius < 1e12:
        raise ValueError("its radius is not a number, or absurdly large")
    points = sweep(
        np.array(Vec3(dxf.center).xyz),
        np.array([radius, 0.0, 0.0]),
        np.array([0.0, radius, 0.0]),
        start,
        end,
        tolerance,
    )
    return _in_world(entity, points)


def _ellipse(entity: Any, tolerance: float) -> Iterable[Points]:
    dxf = entity.dxf
    start, end = dxf.start_param, dxf.end_param
    span = (end - start) % math.tau
    if span < 1e-9:
        span = math.tau
    yield sweep(
        np.array(Vec3(dxf.center).xyz),
        np.array(Vec3(dxf.major_axis).xyz),
        np.array(entity.minor_axis.xyz),
        start,
        start + span,
        tolerance,
    )


def _spline(entity: Any, tolerance: float) -> Iterable[Points]:
    if not entity.control_point_count() and entity.fit_point_count() > MOST_FIT_POINTS:
        raise ValueError(f"it has more than {MOST_FIT_POINTS} fit points; make it a polyline")
    if entity.dxf.degree > 25:
        raise ValueError("its degree is more than 25")
    yield spline(entity.construction_tool(), tolerance)


def _lwpolyline(entity: Any, tolerance: float) -> Iterable[Points]:
    values = np.asarray(entity.lwpoints.values, dtype=np.float64).reshape(-1, 5)
    if len(values) < 2:
        return
    flat = bulged(values[:, :2], values[:, 4], bool(entity.closed), tolerance)
    yield _in_world(entity, _at_height(flat, float(entity.dxf.elevation)))


def _polyline(entity: Any, tolerance: float) -> Points:
    """Return the points of a POLYLINE that is a curve: (n, 3).

    The frame of a smoothed polyline (vertex flag 16) is no part of its curve.
    """
    vertices = [v.dxf for v in entity.vertices if not v.dxf.get("flags", 0) & 16]
    places = np.array([Vec3(v.location).xyz for v in vertices]).reshape(-1, 3)
    if len(places) < 2:
        return places
    if entity.is_3d_polyline:
        return np.vstack([places, places[:1]]) if entity.is_closed else places
    bulges = np.array([v.get("bulge", 0.0) for v in vertices])
    flat = bulged(places[:, :2], bulges, bool(entity.is_closed), tolerance)
    height = Vec3(entity.dxf.get("elevation", (0, 0, 0))).z or float(places[0, 2])
    return _in_world(entity, _at_height(flat, height))


def _hatch(entity: Any, tolerance: float) -> Iterable[Points]:
    """Yield the borders of a HATCH, each closed: (n, 3)."""
    height = Vec3(entity.dxf.get("elevation", (0, 0, 0))).z
    for path in entity.paths:
        if hasattr(path, "vertices"):
            corners = np.array(path.vertices, dtype=np.float64).reshape(-1, 3)
            if len(corners) > 1:
                flat = bulged(corners[:, :2], corners[:, 2], True, tolerance)
                yield _in_world(entity, _at_height(flat, height))
            continue
        for edge in path.edges:
            flat = _hatch_edge(edge, tolerance)
            yield _in_world(entity, _at_height(flat, height))


def _hatch_edge(edge: Any, tolerance: float) -> Points:
    if hasattr(edge, "end_angle"):
        start, end = math.radians(edge.start_angle), math.radians(edge.end_angle)
        centre = np.array(edge.center)
        if hasattr(edge, "radius"):
            u = np.array([edge.radius, 0.0])
            v = np.array([0.0, edge.radius])
        else:
            start, end = edge.start_param, edge.end_param
            u = np.array(edge.major_axis)
            v = np.array([-u[1], u[0]]) * edge.ratio
        span = (end - start) % math.tau
        return sweep(centre, u, v, start, start + (span if span > 1e-9 else math.tau), tolerance)
    if hasattr(edge, "control_points"):
        return spline(edge.construction_tool(), tolerance)[:, :2]
    return np.array([tuple(edge.start)[:2], tuple(edge.end)[:2]])


def _face(entity: Any) -> Points:
    corners = np.array([Vec3(v).xyz for v in entity.wcs_vertices()])
    return corners[:3] if len(corners) > 3 and (corners[2] == corners[3]).all() else corners


def _at_height(flat: Points, height: float) -> Points:
    return np.column_stack([flat, np.full(len(flat), height)])


def _in_world(entity: Any, points: Points) -> Points:
    """Return points given in an entity's own plane as they stand in the drawing."""
    if not entity.dxf.hasattr("extrusion"):
        return points
    ocs = OCS(entity.dxf.extrusion)
    if not ocs.transform:
        return points
    return np.asarray(points @ np.array([ocs.ux.xyz, ocs.uy.xyz, ocs.uz.xyz]))


def _width(entity: Any, kind: str) -> bool:
    if kind == "LWPOLYLINE":
        return bool(entity.lwpoints.values[:, 2:4].any() or entity.dxf.get("const_width", 0))
    dxf = entity.dxf
    return bool(
        dxf.get("default_start_width", 0)
        or dxf.get("default_end_width", 0)
        or any(v.dxf.get("start_width", 0) or v.dxf.get("end_width", 0) for v in entity.vertices)
    )


@cache
def readable(text: str) -> str:
    """Return `text` with bytes that are not of the file's encoding read as Windows-1252.

    ezdxf passes such bytes on as lone surrogates, which can be neither printed nor
    written. They come from programs that wrote the Windows code page all the same.
    """
    return "".join(
        letter.encode("ascii", "surrogateescape").decode("cp1252", "replace")
        if "\udc80" <= letter <= "\udcff"
        else letter
        for letter in text
    )


def _plain(entity: Any, kind: str) -> str:
    return str(entity.plain_text() if kind in ("TEXT", "MTEXT", "ATTRIB") else entity.dxf.text)


def _set_at(entity: Any, kind: str) -> Vec3:
    dxf = entity.dxf
    if kind == "MTEXT":
        return Vec3(dxf.insert)
    has_second = dxf.get("halign", 0) or dxf.get("valign", 0)
    at = dxf.align_point if has_second and dxf.hasattr("align_point") else dxf.insert
    return Vec3(entity.ocs().to_wcs(Vec3(at)))


def _layer_states(document: Any) -> dict[str, str]:
    """Return why a layer is not seen, by its name in lower case; seen layers are left out."""
    states = {"defpoints": "its layer is never printed"}
    for layer in document.layers:
        try:
            name = layer.dxf.name.casefold()
            if layer.is_frozen():
                states[name] = "its layer is frozen"
            elif layer.is_off():
                states[name] = "its layer is off"
        except Exception:  # a damaged layer hides nothing
            continue
    return states


def _as_points(values: array[float]) -> Points:
    return np.frombuffer(values, dtype=np.float64).reshape(-1, 3) if values else np.zeros((0, 3))
