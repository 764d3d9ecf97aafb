"""What a drawing file holds, before anything is joined: raw curves, texts, meshes, counts.

All lengths in this module's nouns are in the drawing's own units.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shapely import LineString

from wirepath.model import EntityCount, Mesh, Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """One curve, flattened, looked at from the front."""

    line: LineString
    layer: str
    kind: str
    """The entity's kind as the file calls it: LINE, ARC, LWPOLYLINE ..."""
    source: int
    """Running number of the entity it comes from; an entity may give several curves."""
    z: float | None = 0.0
    """Its height above the drawing's plane; None where it is not level."""
    hidden: str = ""
    """Why it is not seen on the screen: 'layer is frozen'. Empty when it is."""
    is_border: bool = False
    """The border of a hatched area, which counts as drawn only where it is asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnText:
    """A text and the point it is set at."""

    text: str
    at: tuple[float, float]
    layer: str
    hidden: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Everything found in a drawing file.

    `counts` covers the entities that give no curve; those that do are counted when
    they are traced, because only then it is known what became of them.
    """

    name: str
    curves: tuple[Curve, ...] = ()
    texts: tuple[DrawnText, ...] = ()
    meshes: tuple[Mesh, ...] = ()
    counts: tuple[EntityCount, ...] = ()
    notes: tuple[Note, ...] = ()
    stated_unit: str | None = None
    """The name of the unit the file states; None when it states none."""
    stated_unit_mm: float | None = None
    is_mesh: bool = False
    """Whether the file can hold nothing but a mesh, which then is the form."""


def tally(
    kinds: dict[str, int], ignored: dict[tuple[str, str], int], refused: dict[tuple[str, str], int]
) -> Iterator[EntityCount]:
    """Yield a count for each kind, by name, with every reason in words.

    `kinds` says how many of each kind were read; `ignored` and `refused` how many of
    a kind were not, by reason.
    """
    names = {*kinds, *(kind for kind, _ in ignored), *(kind for kind, _ in refused)}
    for kind in sorted(names):
        left_out = {why: n for (of, why), n in ignored.items() if of == kind}
        turned_down = {why: n for (of, why), n in refused.items() if of == kind}
        reasons = sorted({why for why in (*left_out, *turned_down) if why})
        read = kinds.get(kind, 0)
        yield EntityCount(
            kind=kind,
            found=read + sum(left_out.values()) + sum(turned_down.values()),
            read=read,
            ignored=sum(left_out.values()),
            refused=sum(turned_down.values()),
            why="; ".join(reasons),
        )
