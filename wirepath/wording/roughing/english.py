"""What is said of roughing, in English."""

from __future__ import annotations

from wirepath.wording.roughing.words import RoughingWords

ENGLISH = RoughingWords(
    front_title="Roughing: read this first",
    front_text=(
        "These cuts take the bulk off a form before it is carved. They start from blocks of "
        "their own, whose sizes stand below, and end with the outline: they take "
        "the place of the outline cut on the cut sheets. What they leave is the form and the "
        "foam to carve. Cut in the order of the sheets, while the faces are still square."
    ),
    blanks="Blocks to start from, sizes as the form stands",
    blanks_heads=("form", "block", "width, mm", "height, mm", "depth, mm"),
    title="Roughing {name}",
    cut_title="Roughing, cut {number} of {total}: {what}, {kind}",
    map_title="Roughing {name}: left to carve",
    kinds=(
        ("outline", "outline"),
        ("profile", "profile"),
        ("tilted profile", "tilted profile"),
        ("standing profile", "profile, block on edge"),
        ("corner", "flat cut"),
        ("slab", "slab, square edge"),
        ("slanted slab", "slab, slanted edge"),
        ("hole", "holes in a slab"),
    ),
    faces=(
        ("left", "left"),
        ("right", "right"),
        ("bottom", "bottom"),
        ("top", "top"),
        ("back", "back"),
        ("front", "front"),
    ),
    way_names=(
        ("outline", "outline"),
        ("outline and two profiles", "outline and two profiles"),
        ("with diagonals", "with diagonals"),
        ("with tilted profiles", "with tilted profiles"),
        ("with standing profiles", "with profiles, on edge too"),
        ("flat cuts only", "flat cuts only"),
        ("slabs of {} mm, straight edges", "slabs of {} mm, straight edges"),
        ("slabs of {} mm, slanted edges", "slabs of {} mm, slanted edges"),
        ("{} pieces, then profiles", "{} pieces, then profiles"),
        ("{} strips across, then profiles", "{} strips across, then profiles"),
        ("{} strips upright, then profiles", "{} strips upright, then profiles"),
        ("pieces as planned", "pieces as planned"),
        ("pieces as planned, then two profiles", "pieces as planned, then two profiles"),
        ("pieces as planned, then profiles", "pieces as planned, then profiles"),
        ("pieces as planned, then tilted profiles", "pieces as planned, then tilted profiles"),
        (
            "pieces as planned, then standing profiles",
            "pieces as planned, then profiles, on edge too",
        ),
        ("glued form as cut", "glued form as cut"),
        ("glued, then profiles", "glued, then profiles"),
        ("{} pieces, then flat cuts", "{} pieces, then flat cuts"),
        ("pieces as planned, then flat cuts", "pieces as planned, then flat cuts"),
        ("glued, then flat cuts", "glued, then flat cuts"),
    ),
    notes=(
        ("mirrored", "Cut from the back, last: the line is drawn mirrored there."),
        (
            "seen through",
            "A hole of {0:.2f} m2 is seen right through the form along this wire: it needs a slit "
            "or a threaded wire, and is left in here.",
        ),
        ("two people", "Offcut {0:.0f} weighs {1:.0f} kg: two people."),
        (
            "more than two",
            "Offcut {0:.0f} weighs {1:.0f} kg: more than two people, or part it first.",
        ),
        (
            "thin",
            "Foam thinner than {1:.0f} mm is left along this wire, at {0:.0f} places: handle it "
            "with care.",
        ),
        (
            "glue line",
            "The wire crosses the seam of pieces {0:.0f} and {1:.0f}: glue only where the sheet of "
            "gluing says.",
        ),
        ("both ends", "Both ends follow lines of their own: call the numbers together."),
        (
            "ring",
            "A ring, its holes {0:.0f}: reach each by a slit, to be glued after, or by threading "
            "the wire.",
        ),
        (
            "hollow",
            "A hollow of {0:.0f} litres near x {1:.0f}, y {2:.0f} mm: no straight wire reaches "
            "its bottom from outside.",
        ),
        (
            "hollow form",
            "The form is hollow: straight wires could take at most {0:.0f} % of the bulk as it "
            "stands; seams through the hollow, or slabs, open it to the wire.",
        ),
        (
            "holes",
            "The form has holes right through: each needs a slit to glue, or a threaded wire; "
            "they are left in by roughing.",
        ),
        ("short wire", "With {0:.0f} mm of wire, on this rig, these ways do not go: {ways}."),
        (
            "slopes",
            "The surface was taken as straight slopes between contours, as the job asks: where the "
            "form bulges, less than the allowance may be left.",
        ),
    ),
    picked=(
        "{way}, cuts: {cuts}. Off: {off} of {removable} litres of bulk, {share} %. Straight wires "
        "could take {hull} litres from the whole."
    ),
    bound_blanks="From its {count} blocks, each by itself, this rig could take {hull} litres.",
    bound_rig="With this rig it is {hull} litres at most.",
    left="Left to carve: {least} to {most} litres, as high or as low as the form may stand.",
    left_known="Left to carve: {litres} litres.",
    left_hours="That is {least} to {most} hours at {rate} litres an hour.",
    left_hours_known="That is {hours} hours at {rate} litres an hour.",
    ways="Ways compared",
    ways_heads=(
        "way",
        "blanks",
        "foam,\nlitres",
        "litres\noff",
        "left to\ncarve, l",
        "cuts",
        "metres",
        "longest\nwire, mm",
        "seams,\nm2",
    ),
    order="Order of work",
    order_heads=("cut", "of", "kind", "litres", "wire, mm", "m", "offcuts"),
    order_why=(
        "Profiles come first, while the block's faces are square for the marks. Lay every offcut "
        "back in its place: it keeps the faces and carries the form like a cradle. The outline "
        "comes last."
    ),
    order_why_pieces=(
        "The cut sheets come first: each piece is cut out of its slab by its outline. Then it is "
        "roughed by itself, before anything is glued. A piece that does not fill its box lies back "
        "in its offcuts, tied or pinned round it: they give its faces for the marks and carry "
        "it like a cradle. Lay back what each cut takes off too, until the piece is done."
    ),
    order_why_glued=(
        "The form is roughed as one, once it is glued and its outline is cut: cut sheets and "
        "gluing come first, and no pin nor glue may lie in the way of these cuts. The glued form "
        "lies in offcuts that fill up its box while it is roughed."
    ),
    no_cuts="No straight cut is worth making on these pieces. They go to the carver as cut.",
    copies="Do the same with each of: {names}. Pieces are named by those of the first.",
    piece="piece {number} {name}",
    block="block {number}",
    glued_form="the glued form",
    take_piece=(
        "Take {what}, cut out by its outline. It is a square block of {size} mm as the form "
        "stands: width, height, thickness."
    ),
    cradle_piece=(
        "Take {what}, cut out by its outline. Lay its offcuts back round it, or scrap in their "
        "stead, till it lies fast in a square box of {size} mm as the form stands: width, height, "
        "thickness. Tie or pin it together, no pin where the wire will pass."
    ),
    faces_named=(
        "Faces are named as you look at the front, the block standing as the drawing does. On "
        "left, right, bottom and top: first figure from the face's lower or left edge, second "
        "figure up from the back. On back and front: first figure from the LEFT edge as seen from "
        "the front, second figure up from the bottom edge. All in mm."
    ),
    before="before this cut, wire's ends thick",
    after="after it",
    steps="Do this",
    step_mark=(
        "Mark the stations on the faces from the table, numbers beside them: first end on {first}, "
        "second end on {second}. Join the marks of each end with straight lines."
    ),
    step_mark_back=(
        "Tie the offcuts back on and stand the block on its long edge, so that one person sees its "
        "front and one its back. On the back the left edge as seen from the front is on your "
        "RIGHT: measure from there."
    ),
    step_cut=(
        "Two people hold the wire taut, one at each end. Start in air before station 1. Call the "
        "numbers: both ends reach each mark together and move evenly in between. Go on until the "
        "wire is in air again. Wire off."
    ),
    edge_places=(
        ("front", "left", "on the left edge, {mm} mm up"),
        ("front", "right", "on the right edge, {mm} mm up"),
        ("front", "bottom", "on the bottom edge, {mm} mm from the left"),
        ("front", "top", "on the top edge, {mm} mm from the left"),
        ("top", "left", "on its left edge, {mm} mm from the back"),
        ("top", "right", "on its right edge, {mm} mm from the back"),
        ("top", "back", "on its back edge, {mm} mm from the left"),
        ("top", "front", "on its front edge, {mm} mm from the left"),
        ("right", "back", "on its back edge, {mm} mm from the bottom"),
        ("right", "front", "on its front edge, {mm} mm from the bottom"),
        ("right", "bottom", "on its bottom edge, {mm} mm from the back"),
        ("right", "top", "on its top edge, {mm} mm from the back"),
    ),
    step_lines=(
        ("front", "Pencil a line over the front of the block: from A {first}, to B {second}."),
        ("top", "Pencil a line over the block's top face: from A {first}, to B {second}."),
        ("right", "Pencil a line over the block's right face: from A {first}, to B {second}."),
    ),
    step_table=(
        "Set the block so that this line lies along the wire, A at your end. It is then turned "
        "{turn} degrees clockwise, seen from the front.{tilt} Datum: the left and lower end of the "
        "block, seen from A towards B.{beside} Follow the points in the table; allowance and kerf "
        "are in them."
    ),
    step_standing=(
        (
            "top",
            "Stand the block on its bottom face, offcuts back in place, and hold it so that it "
            "cannot tip. Turn it until the line on top lies along the wire, A at your end. Nothing "
            "is tilted; with an upright wire lay the bottom face along the wire instead. Datum: "
            "the left and lower end of the block, seen from A towards B.{beside} Follow the points "
            "in the table; allowance and kerf are in them.",
        ),
        (
            "right",
            "Stand the block on its left face, offcuts back in place, and hold it so that it "
            "cannot tip. Turn it until the line on top lies along the wire, A at your end. Nothing "
            "is tilted; with an upright wire lay the left face along the wire instead. Datum: the "
            "left and lower end of the block, seen from A towards B.{beside} Follow the points in "
            "the table; allowance and kerf are in them.",
        ),
    ),
    step_tilt=" Tilt block or wire: towards B the wire rises {tilt} degrees, from back to front.",
    step_beside=" The line lies {right} mm to the right of it.",
    step_square=(
        "Set the block so that the wire stands square to its front. Datum: its left and lower end, "
        "seen from the front. Follow the points in the table; allowance and kerf are in them."
    ),
    line_captions=(
        ("front", "front: the line to set it by"),
        ("top", "top face, its back drawn above"),
        ("right", "right face, its front on the left"),
    ),
    step_file="The points stand in coordinates/{file} too.",
    step_slab=(
        "Slab {number} from the back, {thickness} mm thick, sawn from a block or bought as a "
        "board: from {low} to {high} mm over the back. Measure from its left and bottom edges."
    ),
    step_slit=(
        "Slit to hole {number}: with the wire square to the slab cut straight in from {x0} mm from "
        "the left, {y0} mm from the bottom edge to {x1} and {y1} mm: {length} mm. Go round the "
        "hole, leave by the slit, take out the plug. Glue the slit before the slab is glued in."
    ),
    step_both=(
        "The wire's lower end (back of the slab) follows the first pair of figures, the upper end "
        "the second; both reach each number together."
    ),
    step_wire="The wire is in {wire} mm of foam at most; the cut is {length} m long.",
    step_off=(
        "Take off offcut {number}: {litres} litres, {weight} kg, fits in {size} mm.{keep}{people}"
    ),
    step_off_small="Take off what else comes free: {litres} litres in small lumps.",
    keep=" Worth keeping.",
    two=" Two people lift it.",
    more=" TOO HEAVY for two: part it first.",
    lay_back="Lay the offcuts back in their places before the next cut.",
    marks="Stations",
    marks_on="First end on the {first} face, second end on the {second} face, mm",
    marks_heads=("no", "first,\nalong", "up", "second,\nalong", "up"),
    points="Points in the cutting plane, from the datum, mm",
    points_heads=("no", "right", "up"),
    ruled_heads=("no", "lower\nx", "y", "upper\nx", "y"),
    first_end="first end: {face} face, from the black corner",
    second_end="second end: {face} face, from the black corner",
    plane=(
        "the cutting plane, seen along the wire; hatched: what stays; datum: the black corner; "
        "numbers: table"
    ),
    plot="Litres off against cuts made",
    depth=(
        "How deep the carver has to go at most, in mm, over squares of {cell} mm. A "
        "line joins places of one depth, its figure bold: {steps} mm. The denser the hatching, "
        "the deeper."
    ),
    cautions=(
        "Hot wire: air the room, no flame, gloves that do not melt, never leave it switched on. "
        "Local rules and your foam's safety sheet come before this page."
    ),
)
