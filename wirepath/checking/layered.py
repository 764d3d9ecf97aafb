"""Promise 9 for full-round forms: their layers are pieces of one form, each in its place."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from wirepath.errors import Fault
from wirepath.model import Piece, Plan


def own_pieces(plan: Plan, pieces: Sequence[Piece]) -> dict[str, list[Piece]]:
    """Return a form's pieces by their outline, as they stand off the back of that outline.

    A layer's back is where it was read, the allowance behind the form's lowest point
    being the back of all. Other outlines stand on the back.
    """
    backs: dict[str, float] = {}
    if plan.job.form.kind == "full round":
        behind = plan.job.form.allowance_mm
        backs = {one.name: one.from_mm + behind for one in plan.traced.outlines}
    found: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        back = backs.get(piece.part, 0.0)
        found[piece.part].append(replace(piece, from_mm=piece.from_mm - back))
    return dict(found)


def lost_layers(plan: Plan) -> Iterator[Fault]:
    """Give layers of no form, and full-round forms that lack a layer or hold one of another."""
    if plan.job.form.kind != "full round":
        return
    layers: dict[str, set[str]] = defaultdict(set)
    for outline in plan.traced.outlines:
        layers[outline.layer].add(outline.name)
    forms: dict[str, set[str]] = defaultdict(set)
    for piece in plan.pieces:
        if piece.section_of is None:
            yield Fault("it is a layer of no form", f"piece {piece.number}")
        else:
            forms[piece.section_of].add(piece.part)
    for name, parts in forms.items():
        if parts not in layers.values():
            whole = max(layers.values(), key=lambda one: len(one & parts), default=set())
            lacking, strange = sorted(whole - parts), sorted(parts - whole)
            what = "; ".join(
                f"{word} {', '.join(names)}"
                for word, names in (("it lacks", lacking), ("it is given", strange))
                if names
            )
            yield Fault(what, f"form {name!r}")
