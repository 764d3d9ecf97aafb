"""In which order pieces are glued: the pieces of a row, row on row, layer on layer."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from wirepath.model import GlueStep, Piece, Seam
from wirepath.sectioning import reading_rows

Lump = frozenset[int]
"""Numbers of the pieces that are one lump."""


def glue_steps(pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[GlueStep, ...]:
    """Return the steps that make every parted form one lump, each seam closed in one of them.

    Form by form; in a form group by group, in a group layer by layer from the back, in a
    layer row by row from the bottom, in a row piece by piece from the left, each glued to
    those it touches. A form whose pieces do not all touch ends as several lumps.
    """
    between: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, seam in enumerate(seams, 1):
        between[min(seam.pieces), max(seam.pieces)].append(number)
    forms: dict[str, dict[int, list[Piece]]] = defaultdict(lambda: defaultdict(list))
    for piece in pieces:
        if piece.section_of is not None:
            forms[piece.section_of][piece.group or 0].append(piece)
    steps: list[GlueStep] = []
    for form, groups in forms.items():
        lumps: list[Lump] = []
        for _, parts in sorted(groups.items()):
            lumps += _group(parts, form, between, steps)
        _gathered(lumps, form, between, steps)
    return tuple(steps)


def _group(
    parts: Sequence[Piece],
    form: str,
    between: dict[tuple[int, int], list[int]],
    steps: list[GlueStep],
) -> list[Lump]:
    """Glue the parts row by row and layer by layer; return the lumps that makes."""
    layers: dict[float, list[Piece]] = defaultdict(list)
    for piece in parts:
        layers[round(piece.from_mm, 3)].append(piece)
    lumps: list[Lump] = []
    for low in sorted(layers):
        rows = [
            [frozenset({layers[low][k].number}) for k in row]
            for row in reading_rows([piece.outline for piece in layers[low]])
        ]
        in_rows = [lump for row in rows for lump in _gathered(row, form, between, steps)]
        lumps += _gathered(in_rows, form, between, steps)
    return _gathered(lumps, form, between, steps)


def _gathered(
    lumps: Sequence[Lump],
    form: str,
    between: dict[tuple[int, int], list[int]],
    steps: list[GlueStep],
) -> list[Lump]:
    """Glue each lump to those before it that it touches, adding to `steps`; return what is left."""
    done: list[Lump] = []
    for lump in lumps:
        touched = [(other, met) for other in done if (met := _met(other, lump, between))]
        if not touched:
            done.append(lump)
            continue
        whole, met = touched[0]
        _add(steps, form, lump, whole, met)
        place = done.index(whole)
        whole |= lump
        for other, _ in touched[1:]:
            _add(steps, form, other, whole, _met(whole, other, between))
            whole |= other
            done.remove(other)
        done[place] = whole
    return done


def _met(one: Lump, other: Lump, between: dict[tuple[int, int], list[int]]) -> tuple[int, ...]:
    """Return the numbers of the seams between two lumps."""
    pairs = ((min(a, b), max(a, b)) for a in one for b in other)
    return tuple(sorted(number for pair in pairs for number in between.get(pair, ())))


def _add(steps: list[GlueStep], form: str, moved: Lump, onto: Lump, seams: tuple[int, ...]) -> None:
    steps.append(
        GlueStep(
            number=len(steps) + 1,
            form=form,
            moved=tuple(sorted(moved)),
            onto=tuple(sorted(onto)),
            seams=seams,
        )
    )
