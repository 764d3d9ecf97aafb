"""What the roughing sheets say, in English."""

from __future__ import annotations

from dataclasses import dataclass

from wirepath.model import FaceName, RoughingKind


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingWords:
    """Sentences with their gaps in braces."""

    front_title: str = "Roughing: read this first"
    front_text: str = (
        "These cuts take the bulk off a relief before it is carved. They start from blocks of "
        "their own, whose sizes stand below, and end with the outline: they take "
        "the place of the outline cut on the cut sheets. What they leave is the form and the "
        "foam to carve. Cut in the order of the sheets, while the faces are still square."
    )
    blanks: str = "Blocks to start from, sizes as the form stands"
    blanks_heads: tuple[str, ...] = ("form", "block", "width, mm", "height, mm", "depth, mm")
    title: str = "Roughing {name}"
    cut_title: str = "Roughing {name}: cut {number} of {total}, {kind}"
    map_title: str = "Roughing {name}: left to carve"
    kinds: tuple[tuple[RoughingKind, str], ...] = (
        ("outline", "outline from the back"),
        ("profile", "profile"),
        ("tilted profile", "tilted profile"),
        ("corner", "flat cut"),
        ("slab", "slab, square edge"),
        ("slanted slab", "slab, slanted edge"),
        ("hole", "holes in a slab"),
    )
    faces: tuple[tuple[FaceName, str], ...] = (
        ("left", "left"),
        ("right", "right"),
        ("bottom", "bottom"),
        ("top", "top"),
        ("back", "back"),
        ("front", "front"),
    )
    picked: str = (
        "{way}: {cuts} cuts take {off} of {removable} litres of bulk, {share} %. Straight wires "
        "could take {hull} litres from the whole block."
    )
    left: str = "Left to carve: {least} to {most} litres, as high or as low as the form may stand."
    ways: str = "Ways compared"
    ways_heads: tuple[str, ...] = (
        "way",
        "blanks",
        "litres\noff",
        "left to\ncarve, l",
        "cuts",
        "metres",
        "longest\nwire, mm",
        "seams,\nm2",
        "",
    )
    too_short: str = "wire too short"
    order: str = "Order of work"
    order_heads: tuple[str, ...] = ("cut", "of", "kind", "litres", "wire, mm", "m", "offcuts")
    order_why: str = (
        "Profiles come first, while the block's faces are square for the marks. Lay every offcut "
        "back in its place: it keeps the faces and carries the form like a cradle. The outline "
        "comes last."
    )
    order_why_pieces: str = (
        "The cut sheets come first: each piece is cut out of its slab by its outline. Then it is "
        "roughed by itself, before anything is glued. A piece that does not fill its box lies back "
        "in its offcuts, tied or pinned round it: they give its faces for the marks and carry "
        "it like a cradle. Lay back what each cut takes off too, until the piece is done."
    )
    order_why_glued: str = (
        "The cut sheets come first, then the pieces are glued, with nothing hard in the way of "
        "the cuts. The glued form lies in offcuts that fill up its box while it is roughed."
    )
    no_cuts: str = "No straight cut is worth making on these pieces. They go to the carver as cut."
    copies: str = "Do the same with each of: {names}. Pieces are named by those of the first."
    piece: str = "piece {number} {name}"
    block: str = "block {number}"
    glued_form: str = "the glued form"
    take_piece: str = (
        "Take {what}, cut out by its outline. It is a square block of {size} mm as the form "
        "stands: width, height, thickness."
    )
    cradle_piece: str = (
        "Take {what}, cut out by its outline. Lay its offcuts back round it, or scrap in their "
        "stead, till it lies fast in a square box of {size} mm as the form stands: width, height, "
        "thickness. Tie or pin it together, no pin where the wire will pass."
    )
    faces_named: str = (
        "Faces are named as you look at the front, the block standing as the drawing does. On "
        "left, right, bottom and top: first figure from the face's lower or left edge, second "
        "figure up from the back. On back and front: first figure from the LEFT edge as seen from "
        "the front, second figure up from the bottom edge. All in mm."
    )
    before: str = "before this cut, wire's ends drawn thick"
    after: str = "after it"
    steps: str = "Do this"
    step_mark: str = (
        "Mark the stations on the faces from the table, numbers beside them: first end on {first}, "
        "second end on {second}. Join the marks of each end with straight lines."
    )
    step_mark_back: str = (
        "Tie the offcuts back on and stand the block on its long edge, so that one person sees its "
        "front and one its back. On the back the left edge as seen from the front is on your "
        "RIGHT: measure from there."
    )
    step_cut: str = (
        "Two people hold the wire taut, one at each end. Start in air before station 1. Call the "
        "numbers: both ends reach each mark together and move evenly in between. Go on until the "
        "wire is in air again."
    )
    step_table: str = (
        "Stand the block so that the wire lies along it: turn it {turn} degrees clockwise, seen "
        "from the front; the wire rises {tilt} degrees out of the plane of the face. Datum: the "
        "left and lower end of its outline, seen along the wire. Follow the points in the "
        "table; allowance and kerf are in them."
    )
    step_slab: str = (
        "Slab {number} from the back, {thickness} mm thick, from {low} to {high} mm over the back. "
        "Measure from its left and bottom edges."
    )
    step_both: str = (
        "The wire's lower end (back of the slab) follows the first pair of figures, the upper end "
        "the second; both reach each number together."
    )
    step_wire: str = "The wire is in {wire} mm of foam at most; the cut is {length} m long."
    step_off: str = (
        "Take off offcut {number}: {litres} litres, {weight} kg, fits in {size} mm.{keep}{people}"
    )
    keep: str = " Worth keeping."
    two: str = " Two people lift it."
    more: str = " TOO HEAVY for two: part it first."
    lay_back: str = "Lay the offcuts back in their places before the next cut."
    marks: str = "Stations"
    marks_heads: tuple[str, ...] = (
        "no",
        "first end",
        "along, mm",
        "up, mm",
        "second end",
        "along, mm",
        "up, mm",
    )
    points: str = "Points in the cutting plane, from the datum"
    points_heads: tuple[str, ...] = ("no", "right, mm", "up, mm")
    ruled_heads: tuple[str, ...] = ("no", "lower x", "lower y", "upper x", "upper y")
    first_end: str = "first end: {face} face, from the black corner"
    second_end: str = "second end: {face} face, from the black corner"
    plane: str = "the cutting plane, seen along the wire; hatched: what stays"
    plot: str = "Litres off against cuts made"
    depth: str = (
        "How deep the carver has to go at most, in mm, over squares of {cell} mm. Lines part "
        "depths of {steps} mm; darker is deeper."
    )
    cautions: str = (
        "Hot wire: air the room, no flame, gloves that do not melt, never leave it switched on. "
        "Local rules and your foam's safety sheet come before this page."
    )


ENGLISH = RoughingWords()
