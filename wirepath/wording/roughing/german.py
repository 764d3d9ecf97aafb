"""What is said of roughing, in German."""

from __future__ import annotations

from wirepath.wording.roughing.words import RoughingWords

GERMAN = RoughingWords(
    front_title="Grobschnitt: zuerst lesen",
    front_text=(
        "Diese Schnitte nehmen einer Form die Masse ab, bevor sie geschnitzt wird. Sie beginnen "
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
        ("outline", "Umriss"),
        ("profile", "Profil"),
        ("tilted profile", "geneigtes Profil"),
        ("standing profile", "Profil, Block hochkant"),
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
        ("with standing profiles", "mit Profilen, auch hochkant"),
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
        (
            "pieces as planned, then standing profiles",
            "Stücke wie geplant, dann Profile, auch hochkant",
        ),
        ("glued form as cut", "verklebte Form wie geschnitten"),
        ("glued, then profiles", "verklebt, dann Profile"),
        ("{} pieces, then flat cuts", "{} Stücke, dann ebene Schnitte"),
        ("pieces as planned, then flat cuts", "Stücke wie geplant, dann ebene Schnitte"),
        ("glued, then flat cuts", "verklebt, dann ebene Schnitte"),
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
            "Der Draht kreuzt die Klebefuge der Stücke {0:.0f} und {1:.0f}: Kleber nur dort, wo "
            "das Blatt zum Kleben es sagt.",
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
        ("short wire", "Mit {0:.0f} mm Draht gehen diese Arten auf dieser Maschine nicht: {ways}."),
        (
            "slopes",
            "Zwischen den Höhenlinien gilt die Oberfläche als gerade Schräge, wie im Auftrag "
            "verlangt: wo die Form bauchig ist, bleibt vielleicht weniger Aufmaß.",
        ),
    ),
    picked=(
        "{way}, Schnitte: {cuts}. Ab gehen {off} von {removable} Litern Masse, {share} %. Gerade "
        "Drähte könnten vom Ganzen {hull} Liter abnehmen."
    ),
    bound_blanks="Von den {count} Blöcken einzeln: mit dieser Maschine höchstens {hull} Liter.",
    bound_rig="Mit dieser Maschine sind es höchstens {hull} Liter.",
    left="Bleibt zum Schnitzen: {least} bis {most} Liter, je nachdem wie hoch die Form steht.",
    left_known="Bleibt zum Schnitzen: {litres} Liter.",
    left_hours="Das sind {least} bis {most} Stunden bei {rate} Litern in der Stunde.",
    left_hours_known="Das sind {hours} Stunden bei {rate} Litern in der Stunde.",
    ways="Arten im Vergleich",
    ways_heads=(
        "Art",
        "Blöcke",
        "Schaum,\nLiter",
        "Liter\nab",
        "bleibt,\nLiter",
        "Schnitte",
        "Meter",
        "längster\nDraht, mm",
        "Fugen,\nm2",
    ),
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
        "Die Form wird als Ganzes grob geschnitten, wenn sie verklebt und ihr Umriss geschnitten "
        "ist: Schnittblätter und Kleben kommen zuerst, und weder Dübel noch Kleber dürfen im Weg "
        "dieser Schnitte liegen. Die verklebte Form liegt dabei in Abschnitten, die ihren Kasten "
        "füllen."
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
    before="davor, die Enden des Drahtes dick",
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
        "gleichmäßig. Weiter, bis der Draht wieder in der Luft ist. Draht aus."
    ),
    edge_places=(
        ("front", "left", "an der linken Kante, {mm} mm von unten"),
        ("front", "right", "an der rechten Kante, {mm} mm von unten"),
        ("front", "bottom", "an der unteren Kante, {mm} mm von links"),
        ("front", "top", "an der oberen Kante, {mm} mm von links"),
        ("top", "left", "an ihrer linken Kante, {mm} mm von hinten"),
        ("top", "right", "an ihrer rechten Kante, {mm} mm von hinten"),
        ("top", "back", "an ihrer hinteren Kante, {mm} mm von links"),
        ("top", "front", "an ihrer vorderen Kante, {mm} mm von links"),
        ("right", "back", "an ihrer hinteren Kante, {mm} mm von unten"),
        ("right", "front", "an ihrer vorderen Kante, {mm} mm von unten"),
        ("right", "bottom", "an ihrer unteren Kante, {mm} mm von hinten"),
        ("right", "top", "an ihrer oberen Kante, {mm} mm von hinten"),
    ),
    step_lines=(
        (
            "front",
            "Ziehen Sie mit dem Bleistift eine Linie über die Vorderseite des Blocks: von A "
            "{first}, nach B {second}.",
        ),
        (
            "top",
            "Ziehen Sie mit dem Bleistift eine Linie über die Oberseite des Blocks: von A "
            "{first}, nach B {second}.",
        ),
        (
            "right",
            "Ziehen Sie mit dem Bleistift eine Linie über die rechte Seite des Blocks: von A "
            "{first}, nach B {second}.",
        ),
    ),
    step_table=(
        "Setzen Sie den Block so, dass diese Linie längs des Drahtes liegt, A bei Ihnen. Er ist "
        "dann um {turn} Grad im Uhrzeigersinn gedreht, von vorn gesehen.{tilt} Nullpunkt: linkes "
        "und unteres Ende des Blocks, von A nach B gesehen.{beside} Den Punkten der Tabelle "
        "folgen; Zugabe und Schnittfuge sind darin."
    ),
    step_standing=(
        (
            "top",
            "Stellen Sie den Block auf seine untere Seite, die Abschnitte wieder an ihrem Platz, "
            "und halten Sie ihn so, dass er nicht kippen kann. Drehen Sie ihn, bis die Linie oben "
            "längs des Drahtes liegt, A bei Ihnen. Nichts wird geneigt; bei stehendem Draht legen "
            "Sie stattdessen die untere Seite längs des Drahtes. Nullpunkt: linkes und unteres "
            "Ende des Blocks, von A nach B gesehen.{beside} Den Punkten der Tabelle folgen; Zugabe "
            "und Schnittfuge sind darin.",
        ),
        (
            "right",
            "Stellen Sie den Block auf seine linke Seite, die Abschnitte wieder an ihrem Platz, "
            "und halten Sie ihn so, dass er nicht kippen kann. Drehen Sie ihn, bis die Linie oben "
            "längs des Drahtes liegt, A bei Ihnen. Nichts wird geneigt; bei stehendem Draht legen "
            "Sie stattdessen die linke Seite längs des Drahtes. Nullpunkt: linkes und unteres "
            "Ende des Blocks, von A nach B gesehen.{beside} Den Punkten der Tabelle folgen; Zugabe "
            "und Schnittfuge sind darin.",
        ),
    ),
    step_tilt=(
        " Block oder Draht kippen: nach B hin steigt der Draht um {tilt} Grad, von hinten nach "
        "vorn."
    ),
    step_beside=" Die Linie liegt {right} mm rechts davon.",
    step_square=(
        "Setzen Sie den Block so, dass der Draht senkrecht auf seiner Vorderseite steht. "
        "Nullpunkt: sein linkes und unteres Ende, von vorn gesehen. Den Punkten der Tabelle "
        "folgen; Zugabe und Schnittfuge sind darin."
    ),
    line_captions=(
        ("front", "vorn: die Linie zum Ausrichten"),
        ("top", "Oberseite, hinten ist oben"),
        ("right", "rechte Seite, vorn ist links"),
    ),
    step_file="Die Punkte stehen auch in coordinates/{file}.",
    step_slab=(
        "Scheibe {number} von hinten, {thickness} mm dick, aus einem Block gesägt oder als Platte "
        "gekauft: von {low} bis {high} mm über der Rückseite. Von ihrer linken und "
        "unteren Kante messen."
    ),
    step_slit=(
        "Schlitz zu Loch {number}: mit dem Draht senkrecht zur Scheibe gerade hineinschneiden, von "
        "{x0} mm von links, {y0} mm von unten bis {x1} und {y1} mm: {length} mm. Um das Loch "
        "fahren, durch den Schlitz zurück, den Kern herausnehmen. Den Schlitz kleben, bevor die "
        "Scheibe verklebt wird."
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
    plane=(
        "die Schnittebene längs des Drahtes; schraffiert: was bleibt; Nullpunkt: schwarze Ecke; "
        "Nummern: Tabelle"
    ),
    plot="Liter ab je Zahl der Schnitte",
    depth=(
        "Wie tief höchstens zu schnitzen ist, in mm, über Quadraten von {cell} mm. Eine "
        "Linie verbindet gleiche Tiefen, ihre Zahl ist fett: {steps} mm. Je dichter schraffiert, "
        "desto tiefer."
    ),
    cautions=(
        "Heißer Draht: lüften, keine Flamme, Handschuhe, die nicht schmelzen, nie eingeschaltet "
        "allein lassen. Örtliche Regeln und das Sicherheitsblatt des Schaums gehen vor."
    ),
)
