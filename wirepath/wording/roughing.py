"""What is said of roughing, on paper, on the phone and on the screen, in each language.

Ways are known by their English names, which a job file may give; figures in them are
lifted out, so that one text serves `3 strips across` and `4 strips across` alike.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from wirepath.model import Blank, FaceName, RoughingKind, RoughingNote, RoughingNoteKind
from wirepath.workshop import Language

FIGURE = re.compile(r"\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingWords:
    """Sentences with their gaps in braces."""

    front_title: str
    front_text: str
    blanks: str
    blanks_heads: tuple[str, ...]
    title: str
    cut_title: str
    map_title: str
    kinds: tuple[tuple[RoughingKind, str], ...]
    faces: tuple[tuple[FaceName, str], ...]
    way_names: tuple[tuple[str, str], ...]
    """English name, its figures as {}; what it is called."""
    notes: tuple[tuple[RoughingNoteKind, str], ...]
    picked: str
    left: str
    left_hours: str
    ways: str
    ways_heads: tuple[str, ...]
    too_short: str
    order: str
    order_heads: tuple[str, ...]
    order_why: str
    order_why_pieces: str
    order_why_glued: str
    no_cuts: str
    copies: str
    piece: str
    block: str
    glued_form: str
    take_piece: str
    cradle_piece: str
    faces_named: str
    before: str
    after: str
    steps: str
    step_mark: str
    step_mark_back: str
    step_cut: str
    step_table: str
    step_file: str
    step_slab: str
    step_both: str
    step_wire: str
    step_off: str
    step_off_small: str
    keep: str
    two: str
    more: str
    lay_back: str
    marks: str
    marks_on: str
    marks_heads: tuple[str, ...]
    points: str
    points_heads: tuple[str, ...]
    ruled_heads: tuple[str, ...]
    first_end: str
    second_end: str
    plane: str
    plot: str
    depth: str
    cautions: str


def way_name(way: str, words: RoughingWords) -> str:
    """Return what a way of roughing is called; its own name where the language has none."""
    named = dict(words.way_names).get(FIGURE.sub("{}", way), FIGURE.sub("{}", way))
    return named.format(*FIGURE.findall(way))


def note_text(note: RoughingNote, words: RoughingWords) -> str:
    """Return a note as a sentence."""
    ways = ", ".join(way_name(way, words) for way in note.ways)
    return dict(words.notes)[note.kind].format(*note.values, ways=ways)


def blank_name(blank: Blank, names: Mapping[int, str], words: RoughingWords) -> str:
    """Return what is cut: a piece by its name, else a block of the roughing's own."""
    if not blank.pieces:
        return words.block.format(number=blank.number)
    if len(blank.pieces) > 1:
        return words.glued_form
    number = blank.pieces[0]
    return words.piece.format(number=number, name=names.get(number, ""))


ENGLISH = RoughingWords(
    front_title="Roughing: read this first",
    front_text=(
        "These cuts take the bulk off a relief before it is carved. They start from blocks of "
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
        ("outline", "outline from the back"),
        ("profile", "profile"),
        ("tilted profile", "tilted profile"),
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
        ("glued, then profiles", "glued, then profiles"),
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
            "The wire crosses the glue line of pieces {0:.0f} and {1:.0f}: use a glue that the "
            "wire melts, or keep it 30 mm off this cut.",
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
        ("short wire", "With {0:.0f} mm of wire these ways do not go: {ways}."),
    ),
    picked=(
        "{way}: {cuts} cuts take {off} of {removable} litres of bulk, {share} %. Straight wires "
        "could take {hull} litres from the whole."
    ),
    left="Left to carve: {least} to {most} litres, as high or as low as the form may stand.",
    left_hours="That is {least} to {most} hours at {rate} litres an hour.",
    ways="Ways compared",
    ways_heads=(
        "way",
        "blanks",
        "litres\noff",
        "left to\ncarve, l",
        "cuts",
        "metres",
        "longest\nwire, mm",
        "seams,\nm2",
        "",
    ),
    too_short="wire too short",
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
        "The cut sheets come first, then the pieces are glued, with nothing hard in the way of "
        "the cuts. The glued form lies in offcuts that fill up its box while it is roughed."
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
    before="before this cut, wire's ends drawn thick",
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
        "wire is in air again."
    ),
    step_table=(
        "Stand the block so that the wire lies along it: turn it {turn} degrees clockwise, seen "
        "from the front; the wire rises {tilt} degrees out of the plane of the face. Datum: the "
        "left and lower end of its outline, seen along the wire. Follow the points in the "
        "table; allowance and kerf are in them."
    ),
    step_file="The points stand in coordinates/{file} too.",
    step_slab=(
        "Slab {number} from the back, {thickness} mm thick, from {low} to {high} mm over the back. "
        "Measure from its left and bottom edges."
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
    plane="the cutting plane, seen along the wire; hatched: what stays; numbers as in the table",
    plot="Litres off against cuts made",
    depth=(
        "How deep the carver has to go at most, in mm, over squares of {cell} mm. Lines part "
        "depths of {steps} mm; the denser the hatching, the deeper."
    ),
    cautions=(
        "Hot wire: air the room, no flame, gloves that do not melt, never leave it switched on. "
        "Local rules and your foam's safety sheet come before this page."
    ),
)

GERMAN = RoughingWords(
    front_title="Grobschnitt: zuerst lesen",
    front_text=(
        "Diese Schnitte nehmen einem Relief die Masse ab, bevor es geschnitzt wird. Sie beginnen "
        "mit eigenen Blöcken, deren Maße unten stehen, und enden mit dem Umriss: Sie ersetzen den "
        "Umrissschnitt der Schnittblätter. Übrig bleibt die Form mit dem Schaum zum Schnitzen. "
        "Schneiden Sie in der Reihenfolge der Blätter, solange die Flächen rechtwinklig sind."
    ),
    blanks="Blöcke am Anfang, Maße so, wie die Form steht",
    blanks_heads=("Form", "Block", "Breite, mm", "Höhe, mm", "Tiefe, mm"),
    title="Grobschnitt {name}",
    cut_title="Grobschnitt {number} von {total}: {what}, {kind}",
    map_title="Grobschnitt {name}: bleibt zum Schnitzen",
    kinds=(
        ("outline", "Umriss von hinten"),
        ("profile", "Profil"),
        ("tilted profile", "geneigtes Profil"),
        ("corner", "ebener Schnitt"),
        ("slab", "Scheibe, gerader Rand"),
        ("slanted slab", "Scheibe, schräger Rand"),
        ("hole", "Löcher in einer Scheibe"),
    ),
    faces=(
        ("left", "links"),
        ("right", "rechts"),
        ("bottom", "unten"),
        ("top", "oben"),
        ("back", "hinten"),
        ("front", "vorn"),
    ),
    way_names=(
        ("outline", "Umriss"),
        ("outline and two profiles", "Umriss und zwei Profile"),
        ("with diagonals", "mit Diagonalen"),
        ("with tilted profiles", "mit geneigten Profilen"),
        ("flat cuts only", "nur ebene Schnitte"),
        ("slabs of {} mm, straight edges", "Scheiben zu {} mm, gerade Ränder"),
        ("slabs of {} mm, slanted edges", "Scheiben zu {} mm, schräge Ränder"),
        ("{} pieces, then profiles", "{} Stücke, dann Profile"),
        ("{} strips across, then profiles", "{} Streifen quer, dann Profile"),
        ("{} strips upright, then profiles", "{} Streifen hochkant, dann Profile"),
        ("pieces as planned", "Stücke wie geplant"),
        ("pieces as planned, then two profiles", "Stücke wie geplant, dann zwei Profile"),
        ("pieces as planned, then profiles", "Stücke wie geplant, dann Profile"),
        ("pieces as planned, then tilted profiles", "Stücke wie geplant, dann geneigte Profile"),
        ("glued, then profiles", "verklebt, dann Profile"),
    ),
    notes=(
        ("mirrored", "Zuletzt und von hinten schneiden: Dort steht die Linie seitenverkehrt."),
        (
            "seen through",
            "Ein Loch von {0:.2f} m2 ist längs dieses Drahtes ganz durch die Form zu sehen: Es "
            "braucht einen Schlitz oder einen eingefädelten Draht und bleibt hier stehen.",
        ),
        ("two people", "Abschnitt {0:.0f} wiegt {1:.0f} kg: zu zweit."),
        (
            "more than two",
            "Abschnitt {0:.0f} wiegt {1:.0f} kg: mehr als zwei Leute, oder vorher teilen.",
        ),
        (
            "thin",
            "Längs dieses Drahtes bleibt an {0:.0f} Stellen Schaum dünner als {1:.0f} mm: "
            "vorsichtig anfassen.",
        ),
        (
            "glue line",
            "Der Draht kreuzt die Klebefuge der Stücke {0:.0f} und {1:.0f}: einen Kleber nehmen, "
            "den der Draht schmilzt, oder 30 mm Abstand zu diesem Schnitt halten.",
        ),
        ("both ends", "Beide Enden folgen eigenen Linien: die Nummern gemeinsam ansagen."),
        (
            "ring",
            "Ein Ring mit {0:.0f} Löchern: jedes über einen Schlitz erreichen, der danach "
            "verklebt wird, oder den Draht einfädeln.",
        ),
        (
            "hollow",
            "Eine Mulde von {0:.0f} Litern bei x {1:.0f}, y {2:.0f} mm: Kein gerader Draht "
            "kommt von außen an ihren Grund.",
        ),
        (
            "hollow form",
            "Die Form ist hohl: Gerade Drähte könnten so höchstens {0:.0f} % der Masse abnehmen; "
            "Fugen durch die Mulde oder Scheiben öffnen sie dem Draht.",
        ),
        (
            "holes",
            "Die Form hat durchgehende Löcher: Jedes braucht einen Schlitz zum Verkleben oder "
            "einen eingefädelten Draht; der Grobschnitt lässt sie stehen.",
        ),
        ("short wire", "Mit {0:.0f} mm Draht gehen diese Arten nicht: {ways}."),
    ),
    picked=(
        "{way}: {cuts} Schnitte nehmen {off} von {removable} Litern Masse ab, {share} %. Gerade "
        "Drähte könnten vom Ganzen {hull} Liter abnehmen."
    ),
    left="Bleibt zum Schnitzen: {least} bis {most} Liter, je nachdem wie hoch die Form steht.",
    left_hours="Das sind {least} bis {most} Stunden bei {rate} Litern in der Stunde.",
    ways="Arten im Vergleich",
    ways_heads=(
        "Art",
        "Blöcke",
        "Liter\nab",
        "bleibt\nzum Schnitzen, l",
        "Schnitte",
        "Meter",
        "längster\nDraht, mm",
        "Fugen,\nm2",
        "",
    ),
    too_short="Draht zu kurz",
    order="Reihenfolge der Arbeit",
    order_heads=("Schnitt", "von", "Art", "Liter", "Draht, mm", "m", "Abschnitte"),
    order_why=(
        "Zuerst kommen die Profile, solange die Flächen des Blocks für die Marken rechtwinklig "
        "sind. Legen Sie jeden Abschnitt an seinen Platz zurück: Er erhält die Flächen und trägt "
        "die Form wie eine Wiege. Der Umriss kommt zuletzt."
    ),
    order_why_pieces=(
        "Zuerst die Schnittblätter: Jedes Stück wird mit seinem Umriss aus der Scheibe "
        "geschnitten. Dann wird es für sich grob geschnitten, bevor etwas verklebt wird. Ein "
        "Stück, das seinen Kasten nicht füllt, liegt wieder in seinen Abschnitten, rundum "
        "gebunden oder gesteckt: Sie geben die Flächen für die Marken und tragen es wie eine "
        "Wiege. Auch was jeder Schnitt abnimmt, kommt zurück, bis das Stück fertig ist."
    ),
    order_why_glued=(
        "Zuerst die Schnittblätter, dann werden die Stücke verklebt; nichts Hartes darf im Weg "
        "der Schnitte liegen. Die verklebte Form liegt beim Grobschnitt in Abschnitten, die ihren "
        "Kasten füllen."
    ),
    no_cuts="Kein gerader Schnitt lohnt sich an diesen Stücken. Sie gehen so zum Schnitzen.",
    copies="Ebenso mit jedem von: {names}. Die Stücke heißen nach denen des ersten.",
    piece="Stück {number} {name}",
    block="Block {number}",
    glued_form="die verklebte Form",
    take_piece=(
        "Nehmen Sie {what}, am Umriss ausgeschnitten. Es ist ein rechtwinkliger Block von {size} "
        "mm, wie die Form steht: Breite, Höhe, Dicke."
    ),
    cradle_piece=(
        "Nehmen Sie {what}, am Umriss ausgeschnitten. Legen Sie seine Abschnitte wieder darum, "
        "oder Reste an ihrer Stelle, bis es fest in einem rechtwinkligen Kasten von {size} mm "
        "liegt, wie die Form steht: Breite, Höhe, Dicke. Binden oder stecken, keine Nadel im Weg "
        "des Drahtes."
    ),
    faces_named=(
        "Die Flächen heißen so, wie Sie auf die Vorderseite sehen, der Block steht wie die "
        "Zeichnung. Links, rechts, unten und oben: erste Zahl von der unteren oder linken Kante "
        "der Fläche, zweite Zahl von hinten nach vorn. Hinten und vorn: erste Zahl von der LINKEN "
        "Kante, von vorn gesehen, zweite Zahl von der Unterkante. Alles in mm."
    ),
    before="vor diesem Schnitt, die Enden des Drahtes dick",
    after="danach",
    steps="So geht es",
    step_mark=(
        "Zeichnen Sie die Marken der Tabelle auf die Flächen, die Nummern daneben: erstes Ende "
        "{first}, zweites Ende {second}. Verbinden Sie die Marken jedes Endes mit Geraden."
    ),
    step_mark_back=(
        "Binden Sie die Abschnitte wieder an und stellen Sie den Block auf die lange Kante, so "
        "dass einer die Vorderseite und einer die Rückseite sieht. Auf der Rückseite liegt die "
        "linke Kante, von vorn gesehen, RECHTS von Ihnen: von dort messen."
    ),
    step_cut=(
        "Zu zweit den Draht straff halten, einer an jedem Ende. Vor Marke 1 in der Luft beginnen. "
        "Nummern ansagen: Beide Enden erreichen jede Marke zugleich und gehen dazwischen "
        "gleichmäßig. Weiter, bis der Draht wieder in der Luft ist."
    ),
    step_table=(
        "Stellen Sie den Block so, dass der Draht längs liegt: um {turn} Grad im Uhrzeigersinn "
        "gedreht, von vorn gesehen; der Draht steigt {tilt} Grad aus der Ebene der Fläche. "
        "Nullpunkt: linkes und unteres Ende seines Umrisses, längs des Drahtes gesehen. Den "
        "Punkten der Tabelle folgen; Zugabe und Schnittfuge sind darin."
    ),
    step_file="Die Punkte stehen auch in coordinates/{file}.",
    step_slab=(
        "Scheibe {number} von hinten, {thickness} mm dick, von {low} bis {high} mm über der "
        "Rückseite. Von ihrer linken und unteren Kante messen."
    ),
    step_both=(
        "Das untere Ende des Drahtes (Rückseite der Scheibe) folgt dem ersten Zahlenpaar, das "
        "obere dem zweiten; beide erreichen jede Nummer zugleich."
    ),
    step_wire="Höchstens {wire} mm Draht liegen im Schaum; der Schnitt ist {length} m lang.",
    step_off=(
        "Abschnitt {number} abnehmen: {litres} Liter, {weight} kg, passt in {size} mm."
        "{keep}{people}"
    ),
    step_off_small="Abnehmen, was sonst frei wird: {litres} Liter in kleinen Stücken.",
    keep=" Aufheben lohnt sich.",
    two=" Zu zweit heben.",
    more=" ZU SCHWER für zwei: vorher teilen.",
    lay_back="Vor dem nächsten Schnitt die Abschnitte an ihre Plätze zurücklegen.",
    marks="Marken",
    marks_on="Erstes Ende auf der Fläche {first}, zweites Ende auf der Fläche {second}, mm",
    marks_heads=("Nr.", "erstes,\nlängs", "hoch", "zweites,\nlängs", "hoch"),
    points="Punkte in der Schnittebene, vom Nullpunkt, mm",
    points_heads=("Nr.", "rechts", "hoch"),
    ruled_heads=("Nr.", "unten\nx", "y", "oben\nx", "y"),
    first_end="erstes Ende: Fläche {face}, von der schwarzen Ecke",
    second_end="zweites Ende: Fläche {face}, von der schwarzen Ecke",
    plane="die Schnittebene, längs des Drahtes gesehen; schraffiert: was bleibt; Nummern: Tabelle",
    plot="Liter ab je Zahl der Schnitte",
    depth=(
        "Wie tief höchstens zu schnitzen ist, in mm, über Quadraten von {cell} mm. Linien trennen "
        "Tiefen von {steps} mm; je dichter schraffiert, desto tiefer."
    ),
    cautions=(
        "Heißer Draht: lüften, keine Flamme, Handschuhe, die nicht schmelzen, nie eingeschaltet "
        "allein lassen. Örtliche Regeln und das Sicherheitsblatt des Schaums gehen vor."
    ),
)

DUTCH = RoughingWords(
    front_title="Ruw snijden: eerst lezen",
    front_text=(
        "Deze sneden nemen de massa van een reliëf voordat het wordt uitgesneden. Ze beginnen met "
        "eigen blokken, waarvan de maten hieronder staan, en eindigen met de omtrek: ze komen in "
        "de plaats van de omtreksnede op de snijbladen. Wat overblijft is de vorm met het schuim "
        "om weg te snijden. Snijd in de volgorde van de bladen, zolang de vlakken haaks zijn."
    ),
    blanks="Blokken om mee te beginnen, maten zoals de vorm staat",
    blanks_heads=("vorm", "blok", "breedte, mm", "hoogte, mm", "diepte, mm"),
    title="Ruw snijden {name}",
    cut_title="Ruwe snede {number} van {total}: {what}, {kind}",
    map_title="Ruw snijden {name}: blijft over om weg te snijden",
    kinds=(
        ("outline", "omtrek van achteren"),
        ("profile", "profiel"),
        ("tilted profile", "gekanteld profiel"),
        ("corner", "vlakke snede"),
        ("slab", "plak, rechte rand"),
        ("slanted slab", "plak, schuine rand"),
        ("hole", "gaten in een plak"),
    ),
    faces=(
        ("left", "links"),
        ("right", "rechts"),
        ("bottom", "onder"),
        ("top", "boven"),
        ("back", "achter"),
        ("front", "voor"),
    ),
    way_names=(
        ("outline", "omtrek"),
        ("outline and two profiles", "omtrek en twee profielen"),
        ("with diagonals", "met diagonalen"),
        ("with tilted profiles", "met gekantelde profielen"),
        ("flat cuts only", "alleen vlakke sneden"),
        ("slabs of {} mm, straight edges", "plakken van {} mm, rechte randen"),
        ("slabs of {} mm, slanted edges", "plakken van {} mm, schuine randen"),
        ("{} pieces, then profiles", "{} stukken, dan profielen"),
        ("{} strips across, then profiles", "{} stroken dwars, dan profielen"),
        ("{} strips upright, then profiles", "{} stroken rechtop, dan profielen"),
        ("pieces as planned", "stukken zoals gepland"),
        ("pieces as planned, then two profiles", "stukken zoals gepland, dan twee profielen"),
        ("pieces as planned, then profiles", "stukken zoals gepland, dan profielen"),
        (
            "pieces as planned, then tilted profiles",
            "stukken zoals gepland, dan gekantelde profielen",
        ),
        ("glued, then profiles", "gelijmd, dan profielen"),
    ),
    notes=(
        ("mirrored", "Als laatste en van achteren snijden: daar staat de lijn gespiegeld."),
        (
            "seen through",
            "Een gat van {0:.2f} m2 is langs deze draad dwars door de vorm te zien: het vraagt "
            "een sleuf of een ingeregen draad en blijft hier staan.",
        ),
        ("two people", "Reststuk {0:.0f} weegt {1:.0f} kg: met twee mensen."),
        (
            "more than two",
            "Reststuk {0:.0f} weegt {1:.0f} kg: meer dan twee mensen, of eerst delen.",
        ),
        (
            "thin",
            "Langs deze draad blijft op {0:.0f} plaatsen schuim dunner dan {1:.0f} mm: wees er "
            "voorzichtig mee.",
        ),
        (
            "glue line",
            "De draad kruist de lijmnaad van stukken {0:.0f} en {1:.0f}: neem een lijm die de "
            "draad smelt, of blijf er 30 mm van deze snede mee weg.",
        ),
        ("both ends", "Beide einden volgen eigen lijnen: roep de nummers samen af."),
        (
            "ring",
            "Een ring met {0:.0f} gaten: elk bereiken door een sleuf, die daarna gelijmd wordt, "
            "of de draad inrijgen.",
        ),
        (
            "hollow",
            "Een holte van {0:.0f} liter bij x {1:.0f}, y {2:.0f} mm: geen rechte draad komt "
            "van buiten bij de bodem.",
        ),
        (
            "hollow form",
            "De vorm is hol: rechte draden kunnen zo hoogstens {0:.0f} % van de massa wegnemen; "
            "naden door de holte, of plakken, openen die voor de draad.",
        ),
        (
            "holes",
            "De vorm heeft gaten dwars erdoorheen: elk vraagt een sleuf om te lijmen, of een "
            "ingeregen draad; het ruw snijden laat ze staan.",
        ),
        ("short wire", "Met {0:.0f} mm draad gaan deze manieren niet: {ways}."),
    ),
    picked=(
        "{way}: {cuts} sneden nemen {off} van {removable} liter massa weg, {share} %. Rechte "
        "draden kunnen van het geheel {hull} liter wegnemen."
    ),
    left="Blijft over om weg te snijden: {least} tot {most} liter, naar hoe hoog de vorm staat.",
    left_hours="Dat is {least} tot {most} uur bij {rate} liter per uur.",
    ways="Manieren vergeleken",
    ways_heads=(
        "manier",
        "blokken",
        "liter\nweg",
        "blijft\nover, l",
        "sneden",
        "meter",
        "langste\ndraad, mm",
        "naden,\nm2",
        "",
    ),
    too_short="draad te kort",
    order="Volgorde van het werk",
    order_heads=("snede", "van", "soort", "liter", "draad, mm", "m", "reststukken"),
    order_why=(
        "Eerst de profielen, zolang de vlakken van het blok haaks zijn voor de merktekens. Leg elk "
        "reststuk terug op zijn plaats: het houdt de vlakken heel en draagt de vorm als een wieg. "
        "De omtrek komt als laatste."
    ),
    order_why_pieces=(
        "Eerst de snijbladen: elk stuk wordt langs zijn omtrek uit de plak gesneden. Dan wordt het "
        "apart ruw gesneden, voordat er iets wordt gelijmd. Een stuk dat zijn kist niet vult, ligt "
        "terug in zijn reststukken, eromheen gebonden of gespeld: ze geven de vlakken voor de "
        "merktekens en dragen het als een wieg. Leg ook terug wat elke snede wegneemt, tot het "
        "stuk klaar is."
    ),
    order_why_glued=(
        "Eerst de snijbladen, dan worden de stukken gelijmd, met niets hards in de weg van de "
        "sneden. De gelijmde vorm ligt bij het ruw snijden in reststukken die zijn kist vullen."
    ),
    no_cuts="Geen rechte snede loont op deze stukken. Ze gaan zo naar wie de vorm uitsnijdt.",
    copies="Doe hetzelfde met elk van: {names}. De stukken heten naar die van de eerste.",
    piece="stuk {number} {name}",
    block="blok {number}",
    glued_form="de gelijmde vorm",
    take_piece=(
        "Neem {what}, langs de omtrek uitgesneden. Het is een haaks blok van {size} mm zoals de "
        "vorm staat: breedte, hoogte, dikte."
    ),
    cradle_piece=(
        "Neem {what}, langs de omtrek uitgesneden. Leg de reststukken er weer omheen, of restjes "
        "in hun plaats, tot het vast in een haakse kist van {size} mm ligt zoals de vorm staat: "
        "breedte, hoogte, dikte. Bind of speld het samen, geen speld in de weg van de draad."
    ),
    faces_named=(
        "De vlakken heten zoals u op de voorkant kijkt, het blok staat zoals de tekening. Links, "
        "rechts, onder en boven: eerste getal vanaf de onder- of linkerrand van het vlak, tweede "
        "getal vanaf de achterkant. Achter en voor: eerste getal vanaf de LINKERRAND, van voren "
        "gezien, tweede getal vanaf de onderrand. Alles in mm."
    ),
    before="voor deze snede, de einden van de draad dik",
    after="erna",
    steps="Doe dit",
    step_mark=(
        "Zet de merktekens uit de tabel op de vlakken, nummers ernaast: eerste einde {first}, "
        "tweede einde {second}. Verbind de merktekens van elk einde met rechte lijnen."
    ),
    step_mark_back=(
        "Bind de reststukken weer vast en zet het blok op zijn lange kant, zodat de een de "
        "voorkant en de ander de achterkant ziet. Op de achterkant ligt de linkerrand, van voren "
        "gezien, RECHTS van u: meet vandaar."
    ),
    step_cut=(
        "Houd de draad met twee mensen strak, een aan elk einde. Begin in de lucht voor teken 1. "
        "Roep de nummers af: beide einden bereiken elk teken samen en gaan ertussen gelijkmatig. "
        "Ga door tot de draad weer in de lucht is."
    ),
    step_table=(
        "Zet het blok zo dat de draad erlangs ligt: draai het {turn} graden met de klok mee, van "
        "voren gezien; de draad stijgt {tilt} graden uit het vlak. Nulpunt: het linker- en "
        "ondereinde van zijn omtrek, langs de draad gezien. Volg de punten in de tabel; toeslag "
        "en snijvoeg zitten erin."
    ),
    step_file="De punten staan ook in coordinates/{file}.",
    step_slab=(
        "Plak {number} van achteren, {thickness} mm dik, van {low} tot {high} mm boven de "
        "achterkant. Meet vanaf de linker- en onderrand."
    ),
    step_both=(
        "Het ondereinde van de draad (achterkant van de plak) volgt het eerste paar getallen, het "
        "boveneinde het tweede; beide bereiken elk nummer samen."
    ),
    step_wire="Er ligt hoogstens {wire} mm draad in schuim; de snede is {length} m lang.",
    step_off=(
        "Neem reststuk {number} weg: {litres} liter, {weight} kg, past in {size} mm.{keep}{people}"
    ),
    step_off_small="Neem weg wat verder loskomt: {litres} liter in kleine stukken.",
    keep=" Bewaren loont.",
    two=" Met twee mensen tillen.",
    more=" TE ZWAAR voor twee: eerst delen.",
    lay_back="Leg de reststukken terug op hun plaats voor de volgende snede.",
    marks="Merktekens",
    marks_on="Eerste einde op vlak {first}, tweede einde op vlak {second}, mm",
    marks_heads=("nr.", "eerste,\nlangs", "op", "tweede,\nlangs", "op"),
    points="Punten in het snijvlak, vanaf het nulpunt, mm",
    points_heads=("nr.", "rechts", "op"),
    ruled_heads=("nr.", "onder\nx", "y", "boven\nx", "y"),
    first_end="eerste einde: vlak {face}, vanaf de zwarte hoek",
    second_end="tweede einde: vlak {face}, vanaf de zwarte hoek",
    plane="het snijvlak, langs de draad gezien; gearceerd: wat blijft; nummers als in de tabel",
    plot="Liter weg per aantal sneden",
    depth=(
        "Hoe diep er hoogstens gesneden moet worden, in mm, over vierkanten van {cell} mm. Lijnen "
        "scheiden diepten van {steps} mm; hoe dichter gearceerd, hoe dieper."
    ),
    cautions=(
        "Hete draad: lucht de ruimte, geen vlam, handschoenen die niet smelten, nooit ingeschakeld "
        "achterlaten. Plaatselijke regels en het veiligheidsblad van het schuim gaan voor."
    ),
)

ROUGHING: dict[Language, RoughingWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
