"""Promise 8: nothing is dropped in silence, from the drawing's entities to the pieces."""

from __future__ import annotations

from collections import Counter

from wirepath.checking.drawn import grown, same_region, taper_faults
from wirepath.checking.finding import DEPTH_MM, Finding, found
from wirepath.checking.levels import beyond, heights_asked, over_front_mm, settings_of
from wirepath.errors import Fault
from wirepath.model import EntityCount, Outline, Piece, Plan


def check_nothing_dropped(plan: Plan) -> Finding:
    """Return whether entities add up and every outline became its pieces."""
    faults = [fault for count in plan.traced.counts for fault in _count_faults(count)]
    if plan.traced.outlines and not any(count.read for count in plan.traced.counts):
        faults.append(Fault("there are outlines, but no entity is counted as read", "drawing"))
    faults += _copies(plan)
    for piece in plan.pieces:
        faults += _made_as_asked(plan, piece)
    entities = sum(count.found for count in plan.traced.counts)
    return found(
        8,
        "Nothing is dropped in silence",
        f"{entities} entities, {len(plan.traced.outlines)} outlines, {len(plan.pieces)} pieces",
        faults,
    )


def _count_faults(count: EntityCount) -> list[Fault]:
    """Return what is wrong with the count of one kind of entity."""
    where = f"drawing, {count.kind}"
    faults = []
    told = count.read + count.ignored + count.refused
    if told != count.found or min(count.found, count.read, count.ignored, count.refused) < 0:
        faults.append(
            Fault(
                f"{count.found} found, but {count.read} read + {count.ignored} ignored + "
                f"{count.refused} refused = {told}",
                where,
            )
        )
    if count.ignored + count.refused > 0 and not count.why.strip():
        faults.append(Fault("some were not read and it is not said why", where))
    return faults


def _copies(plan: Plan) -> list[Fault]:
    """Return outlines without the forms they ask for, and pieces without an outline.

    A form is a piece, or all the pieces it is parted into.
    """
    whole = [piece.part for piece in plan.pieces if piece.section_of is None]
    parted = {
        (piece.part, piece.section_of) for piece in plan.pieces if piece.section_of is not None
    }
    pieces = Counter([*whole, *(part for part, _ in parted)])
    behind = {piece.taper.far for piece in plan.pieces if piece.taper is not None}
    used = behind & {one.far for one in plan.job.tapers}
    outlines = Counter(outline.name for outline in plan.traced.outlines if outline.name not in used)
    faults = [
        Fault("it is the far face of no piece", f"far outline {outline.name!r}")
        for outline in plan.traced.far
        if outline.name not in behind
    ]
    faults += [
        Fault(f"no outline is called {name!r}", f"piece of part {name!r}")
        for name in pieces
        if name not in outlines
    ]
    for name, count in outlines.items():
        asked = {count * part.copies for part in settings_of(plan.job, name)} or {count}
        if pieces[name] not in asked:
            words = " or ".join(str(number) for number in sorted(asked))
            faults.append(
                Fault(f"{pieces[name]} forms are made, {words} asked for", f"outline {name!r}")
            )
    return faults


def _made_as_asked(plan: Plan, piece: Piece) -> list[Fault]:
    """Return where a piece differs from its outline or from what the job asks for it."""
    job, where = plan.job, f"piece {piece.number}"
    parts = settings_of(plan.job, piece.part)
    faults = []
    if piece.section_of is None:  # a part of a form is proved with the others, promise 9
        faults += _whole_as_asked(plan, piece, where)
    if abs(piece.allowance_mm - job.form.allowance_mm) > DEPTH_MM:
        what = f"its allowance is {piece.allowance_mm:g} mm, {job.form.allowance_mm:g} mm asked"
        faults.append(Fault(what, where))
    if piece.foam != job.form.foam:
        faults.append(Fault(f"it is of {piece.foam!r}, {job.form.foam!r} asked", where))
    turnings = {part.turning for part in parts if part.turning} or {job.layout.turning}
    if piece.turning not in turnings or piece.flip != job.layout.flip:
        faults.append(Fault("it may be turned or flipped otherwise than the job says", where))
    return faults


def _whole_as_asked(plan: Plan, piece: Piece, where: str) -> list[Fault]:
    """Return where a piece that is a form by itself is not as drawn, or not as thick."""
    faults = drawn_faults(plan, piece, where)
    thick = {height + over_front_mm(plan) for height in heights_asked(plan.job, piece.part)}
    if all(abs(piece.thickness_mm - asked) > DEPTH_MM for asked in thick):
        words = " or ".join(f"{asked:g}" for asked in sorted(thick))
        faults.append(Fault(f"it is {piece.thickness_mm:g} mm thick, {words} mm asked", where))
    return faults


def drawn_faults(plan: Plan, piece: Piece, where: str) -> list[Fault]:
    """Return where a piece's outline is not one that was read, with its allowance."""
    faults = []
    drawn = [outline for outline in plan.traced.outlines if outline.name == piece.part]
    if piece.taper is not None:
        return taper_faults(plan, piece, piece.taper, drawn, where)
    if drawn and not any(same_region(outline.polygon, piece.finished) for outline in drawn):
        faults.append(Fault("its finished outline is not the one that was read", where))
    bare = beyond(plan, Outline(name=piece.part, polygon=piece.finished))
    if not grown(piece.finished, piece.outline, piece.allowance_mm, bare):
        faults.append(
            Fault(f"it is not its finished outline plus {piece.allowance_mm:g} mm", where)
        )
    return faults
