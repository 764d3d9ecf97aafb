"""What outlines are called: after a text inside, their layer, or their place."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

import numpy as np
from shapely import Point, Polygon, STRtree

from wirepath.model import Naming
from wirepath.tracing.drawing import DrawnText


def reading_order(parts: Sequence[Polygon]) -> list[int]:
    """Return the parts' indexes in rows from the top down, each from left to right.

    A part belongs to a row if its middle is no lower than the bottom of the part the
    row begins with, the one whose middle is highest.
    """
    boxes = [part.bounds for part in parts]
    by_height = sorted(range(len(parts)), key=lambda i: (-(boxes[i][1] + boxes[i][3]), boxes[i][0]))
    rows: list[list[int]] = []
    bottom = float("inf")
    for index in by_height:
        _, low, _, high = boxes[index]
        if (low + high) / 2 < bottom or not rows:
            rows.append([])
            bottom = low
        rows[-1].append(index)
    return [i for row in rows for i in sorted(row, key=lambda i: (boxes[i][0], boxes[i][1]))]


def names(
    parts: Sequence[Polygon], layers: Sequence[str], texts: Sequence[DrawnText], naming: Naming
) -> list[str]:
    """Return a name for each part, no two alike; `parts` come in reading order.

    By default the only text inside a part, else its layer if the layer holds no other
    part, else layer and number. Parts that would be called alike are numbered.
    """
    inside = _texts_inside(parts, texts) if naming in ("text", "first that fits") else {}
    per_layer = Counter(layers)
    wanted: list[str] = []
    numbered: set[str] = set()
    for index, layer in enumerate(layers):
        own = inside.get(index, [])
        if naming == "position":
            wanted.append(f"part {index + 1}")
        elif len(own) == 1:
            wanted.append(own[0])
        else:
            wanted.append(layer or "part")
            if per_layer[layer] > 1:
                numbered.add(wanted[-1])
    return _told_apart(wanted, numbered)


def _texts_inside(parts: Sequence[Polygon], texts: Sequence[DrawnText]) -> dict[int, list[str]]:
    """Return the texts that stand inside each part or its holes, each in the innermost one."""
    if not parts or not texts:
        return {}
    solid = np.array([Polygon(part.exterior) for part in parts], dtype=object)
    size = np.array([area.area for area in solid])
    points = np.array([Point(text.at) for text in texts], dtype=object)
    text_index, part_index = STRtree(solid).query(points, predicate="within")
    innermost: dict[int, int] = {}
    for text, part in zip(text_index.tolist(), part_index.tolist(), strict=True):
        if text not in innermost or size[part] < size[innermost[text]]:
            innermost[text] = part
    found: defaultdict[int, list[str]] = defaultdict(list)
    for text, part in sorted(innermost.items()):
        found[part].append(texts[text].text)
    return dict(found)


def _told_apart(wanted: list[str], numbered: set[str]) -> list[str]:
    """Return the names with a number after each that occurs twice, or is in `numbered`."""
    count = Counter(wanted)
    taken = set(wanted)
    so_far: Counter[str] = Counter()
    told = []
    for name in wanted:
        if count[name] == 1 and name not in numbered:
            told.append(name)
            continue
        so_far[name] += 1
        while (candidate := f"{name} {so_far[name]}") in taken:
            so_far[name] += 1
        taken.add(candidate)
        told.append(candidate)
    return told
