"""SVG files -> raw curves, in mm where the file says its real size, else in its own units.

The parsing (units, viewBox, transforms, use, the path language) is svgelements'; what is
added: points near enough together, groups as layers, y up, counts.
"""

from __future__ import annotations

import io
import itertools
import math
import re
import xml.etree.ElementTree as Tree
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import svgelements
from shapely import LineString

from wirepath.drawing_file.flattening import MOST_POINTS, Points, sweep
from wirepath.drawing_file.loading import MOST_ENTITIES, read_bytes
from wirepath.errors import DrawingError, Fault
from wirepath.model import Reading
from wirepath.tracing import Curve, Drawing, DrawnText, mm_per_unit
from wirepath.tracing.drawing import tally

PX_PER_MM = 96 / 25.4
"""CSS pixels a millimetre: 96 to the inch (CSS Values and Units 3, section 6.2)."""

_REAL_UNITS = ("mm", "cm", "in", "pt", "pc", "q")
_SHAPES = ("path", "circle", "ellipse", "rect", "line", "polyline", "polygon")
_OTHERS = {"text": "text is not cut", "image": "a picture has no outline"}


def read_svg(path: Path, reading: Reading) -> Drawing:
    """Return the raw curves of the SVG at `path`. Raises FileError, DrawingError."""
    data = read_bytes(path)
    try:
        root = Tree.fromstring(data)
        tags = Counter(_tag(element) for element in root.iter())
        if _tag(root) != "svg":
            raise ValueError("it has no svg element")
        if sum(tags.values()) > MOST_ENTITIES:
            raise ValueError(f"it holds more than {MOST_ENTITIES} elements")
        is_real, size = _size(root)
        document = svgelements.SVG.parse(io.BytesIO(data), reify=True, **size)
        # The parser itself raises nearly anything on damaged input.
    except (Exception, RecursionError) as error:
        raise DrawingError(
            Fault(
                f"this is not a sound SVG ({str(error)[:120] or type(error).__name__})",
                str(path),
                "open it in a drawing program and save it again, as plain SVG or DXF",
            )
        ) from None
    unit = 1 / PX_PER_MM if is_real else 1.0
    coarse = _drawing(path, document, tags, unit, is_real, tolerance=1e9)
    fine = reading.curve_tolerance_mm / mm_per_unit(coarse, reading)
    return _drawing(path, document, tags, unit, is_real, tolerance=fine)


def _size(root: Tree.Element) -> tuple[bool, dict[str, float]]:
    """Return whether the file states its real size, and the size to parse it with.

    Without a width a viewBox is as large as it says, in units nobody has named.
    """
    width = (root.get("width") or "").strip().casefold()
    if re.fullmatch(r"[-+.\de]+\s*(" + "|".join(_REAL_UNITS) + ")", width):
        return True, {}
    box = [float(part) for part in re.split(r"[\s,]+", (root.get("viewBox") or "").strip()) if part]
    if len(box) == 4 and (not width or width.endswith("%")):
        return False, {"width": box[2], "height": box[3]}
    return False, {}


def _drawing(
    path: Path, document: Any, tags: Counter[str], unit: float, is_real: bool, tolerance: float
) -> Drawing:
    curves: list[Curve] = []
    texts: list[DrawnText] = []
    read: Counter[str] = Counter()
    refused: Counter[tuple[str, str]] = Counter()
    for source, (element, layer) in enumerate(_elements(document, "")):
        hidden = "it is marked invisible" if _is_hidden(element) else ""
        if isinstance(element, svgelements.Text):
            at = element.transform.point_in_matrix_space((element.x, element.y))
            if math.isfinite(at.x) and math.isfinite(at.y) and (element.text or "").strip():
                words = " ".join(element.text.split())
                texts.append(DrawnText(text=words, at=(at.x * unit, -at.y * unit), layer=layer))
            continue
        if not isinstance(element, svgelements.Shape):
            continue
        kind = str(element.values.get("tag", "path"))
        try:
            strokes = _lines(element.segments(transformed=True), tolerance / unit)
            lines = [line * unit * [1, -1] for line in strokes]
        except (ArithmeticError, ValueError, TypeError, AttributeError):
            refused[kind, "damaged"] += 1
            continue
        if not all(np.isfinite(line).all() and np.abs(line).max() < 1e12 for line in lines):
            refused[kind, "a coordinate is not a number, or absurdly large"] += 1
            continue
        read[kind] += bool(lines)
        curves += [
            Curve(line=LineString(line), layer=layer, kind=kind, source=source, hidden=hidden)
            for line in lines
        ]
    ignored: Counter[tuple[str, str]] = Counter()
    for kind in _SHAPES:
        met = read[kind] + sum(count for (of, _), count in refused.items() if of == kind)
        if tags[kind] > met:
            ignored[kind, "it is not drawn: hidden, empty or only defined"] = tags[kind] - met
    for kind, why in _OTHERS.items():
        if tags[kind]:
            ignored[kind, why] = tags[kind]
    return Drawing(
        name=path.name,
        curves=tuple(curves),
        texts=tuple(texts),
        counts=tuple(tally({}, dict(ignored), dict(refused))),
        stated_unit="mm" if is_real else None,
        stated_unit_mm=1.0 if is_real else None,
    )


def _elements(group: Any, layer: str) -> Iterator[tuple[Any, str]]:
    """Yield every element with the name of the innermost named group it stands in."""
    for element in group:
        if isinstance(element, list):
            yield from _elements(element, _name(element) or layer)
        else:
            yield element, layer


def _name(group: Any) -> str:
    attributes = group.values.get("attributes", {})
    labels = [value for key, value in attributes.items() if key.endswith("label")]
    return str(labels[0] if labels else attributes.get("id", "") or "")


def _is_hidden(element: Any) -> bool:
    values = element.values
    return values.get("visibility") in ("hidden", "collapse") or values.get("display") == "none"


def _lines(path: Any, tolerance: float) -> list[Points]:
    """Return each stroke of a path as points: (n, 2), closed where the path closes it."""
    lines: list[Points] = []
    points: list[Points] = []
    for segment in path:
        if isinstance(segment, svgelements.Move):
            _finish(points, lines)
            points = [_at(segment.end)]
        elif segment.start is not None and segment.end is not None:
            points = points or [_at(segment.start)]
            points.append(_flat(segment, tolerance)[1:])
        if isinstance(segment, svgelements.Close):
            _finish(points, lines)
            points = []
    _finish(points, lines)
    return lines


def _finish(points: list[Points], lines: list[Points]) -> None:
    if points:
        line = np.concatenate(points)
        if len(line) > 1:
            lines.append(line)


def _flat(segment: Any, tolerance: float) -> Points:
    """Return points on one segment of a path, its two ends included: (n, 2)."""
    ends = np.concatenate([_at(segment.start), _at(segment.end)])
    if isinstance(segment, svgelements.Arc):
        return _arc(segment, ends, tolerance)
    if isinstance(segment, svgelements.QuadraticBezier):
        return _bezier(np.concatenate([ends[:1], _at(segment.control), ends[1:]]), tolerance)
    if isinstance(segment, svgelements.CubicBezier):
        controls = [_at(segment.control1), _at(segment.control2)]
        return _bezier(np.concatenate([ends[:1], *controls, ends[1:]]), tolerance)
    return ends


def _arc(segment: Any, ends: Points, tolerance: float) -> Points:
    centre = _at(segment.center)[0]
    if not segment.rx or not segment.ry:
        return ends
    u, v = (_at(point)[0] - centre for point in (segment.prx, segment.pry))
    start = float(segment.get_start_t())
    points = sweep(centre, u, v, start, start + float(segment.sweep), tolerance)
    points[[0, -1]] = ends
    return points


def _bezier(control: Points, tolerance: float) -> Points:
    """Return points on a Bezier curve of any degree: (n, 2).

    Wang's bound: n pieces stray by at most d (d - 1) / 8 of the largest second difference
    of the control points, over n squared.
    """
    degree = len(control) - 1
    second = np.linalg.norm(np.diff(control, n=2, axis=0), axis=1).max()
    size = float(np.linalg.norm(np.ptp(control, axis=0)))
    if not size:
        return control[[0, -1]]
    fine = min(tolerance, size / 500)
    pieces = math.ceil(math.sqrt(degree * (degree - 1) / 8 * second / fine)) or 1
    t = np.linspace(0, 1, min(pieces, MOST_POINTS) + 1)[:, None]
    layers = [control[k] * np.ones_like(t) for k in range(degree + 1)]
    while len(layers) > 1:
        layers = [(1 - t) * a + t * b for a, b in itertools.pairwise(layers)]
    points = layers[0]
    points[[0, -1]] = control[[0, -1]]
    return np.asarray(points)


def _at(point: Any) -> Points:
    return np.array([[float(point.x), float(point.y)]])


def _tag(element: Tree.Element) -> str:
    return str(element.tag).rpartition("}")[2]
