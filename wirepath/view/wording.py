# ruff: noqa: E501  (a text is one line)
"""Every text of the view that the sheets do not share: English, German, Dutch."""

from __future__ import annotations

from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewWords:
    """All texts of the view in one language. `lang` is the language's tag (BCP 47)."""

    lang: str
    no_script: str
    sections: str
    invented: str

    nav_job: str
    nav_cut: str
    nav_rough: str
    nav_solid: str
    nav_pieces: str
    nav_order: str

    cautions_title: str
    lifts_title: str
    notes_title: str
    drawing: str
    date: str
    workshop: str
    wire: str
    wire_value: str
    kerf: str
    kerf_value: str
    allowance: str
    blocks: str
    blocks_value: str
    pieces: str
    time: str
    time_value: str
    waste: str
    waste_value: str
    price: str

    layout: str
    layout_about: str
    piece_about: str
    picture_of_layout: str
    zoom_in: str
    zoom_out: str
    zoom_all: str
    key_to_come: str
    key_done: str
    key_now: str
    key_air: str
    key_offcut: str
    step_of: str
    step_slider: str
    back: str
    play: str
    pause: str
    next: str
    speed: str
    speed_real: str
    speed_times: str
    wire_caution: str
    all_steps: str
    tick_piece: str

    shown: str
    form_shown: str
    whole_shown: str
    picture_of_solid: str
    solid_hint: str
    turn_left: str
    turn_right: str
    turn_up: str
    turn_down: str
    turn_front: str
    show_before: str
    show_after: str
    show_form: str

    form: str
    picture_of_roughing: str
    cutting_plane: str
    picture_of_cutting_plane: str
    cut_of: str
    all_cuts: str
    cut_title: str
    cut_kinds: tuple[tuple[str, str], ...]
    cut_turn: str
    cut_tilt: str
    cut_wire: str
    cut_off: str
    cut_mirrored: str
    cut_lift: str
    cut_lift_more: str
    mark_heads: tuple[str, str, str]
    mark: str
    mark_flat: str
    faces: tuple[tuple[str, str], ...]
    rough_way: str
    rough_off: str
    rough_off_value: str
    rough_left: str
    rough_left_value: str

    ticked: str
    ticks_lost: str
    clear_ticks: str
    clear_sure: str

    order_heads: tuple[str, ...]
    order_total: str
    offcuts_title: str
    offcuts_none: str
    offcut_heads: tuple[str, ...]


ENGLISH = ViewWords(
    lang="en",
    no_script="This page needs JavaScript. It loads nothing from anywhere.",
    sections="Sections",
    invented="INVENTED DATA",
    nav_job="Job",
    nav_cut="Cut",
    nav_rough="Rough",
    nav_solid="Solid",
    nav_pieces="Pieces",
    nav_order="Order",
    cautions_title="Before the wire is hot",
    lifts_title="Heavy",
    notes_title="What was done to the drawing",
    drawing="Drawing",
    date="Date",
    workshop="Workshop",
    wire="Wire",
    wire_value="{alloy}, {diameter} mm thick, {length} mm long, {volts} V {kind}",
    kerf="Kerf",
    kerf_value="{kerf} mm at {feed} mm/s",
    allowance="Left on for carving",
    blocks="Blocks",
    blocks_value="{needed} to buy; never fewer than {fewest}",
    pieces="Pieces",
    time="Time",
    time_value="about {cutting} min cutting, {setup} min setting up",
    waste="Waste",
    waste_value="{share} % of {bought} litres taken",
    price="Price",
    layout="Foam",
    layout_about=(
        "{stock}, {foam}. {width} x {height} mm, {thickness} mm along the wire, {weight} kg{lift}. "
        "The black angle is the datum corner."
    ),
    piece_about="{layout}. {width} x {height} x {thickness} mm, {foam}, {weight} kg{lift}",
    picture_of_layout=(
        "The foam from its front, the pieces, the wire's way. "
        "Keys: left and right for steps, space to play, plus and minus to zoom, 0 for all."
    ),
    zoom_in="Larger",
    zoom_out="Smaller",
    zoom_all="All",
    key_to_come="to come",
    key_done="cut",
    key_now="now",
    key_air="outside the foam",
    key_offcut="offcut to keep",
    step_of="Step {number} of {total}",
    step_slider="Drag to any step",
    back="Back",
    play="Play",
    pause="Pause",
    next="Next",
    speed="Speed",
    speed_real="as the wire cuts",
    speed_times="{times} times as fast",
    wire_caution=(
        "The wire burns at any touch. Wire off before you reach in. "
        "Never leave it hot and standing in foam, or alone."
    ),
    all_steps="All steps",
    tick_piece="Tick {piece}",
    shown="Shown",
    whole_shown="All pieces, as they stand",
    form_shown="{part}, as its contours bound it",
    picture_of_solid="The block with its pieces. Turn it with the arrow keys.",
    solid_hint="Drag to turn. Nothing here is for measuring.",
    turn_left="Turn left",
    turn_right="Turn right",
    turn_up="Turn up",
    turn_down="Turn down",
    turn_front="Front",
    show_before="Before this cut",
    show_after="After it",
    show_form="The form",
    form="Form",
    picture_of_roughing=(
        "The form in its block, and the wire on this cut. Turn it with the arrow keys."
    ),
    cutting_plane="Looking along the wire",
    picture_of_cutting_plane="The block's shadow, what stays, and the wire's way.",
    cut_of="Cut {number} of {total}",
    all_cuts="All cuts",
    cut_title="{kind}, {what}",
    cut_kinds=(
        ("outline", "Outline"),
        ("profile", "Profile"),
        ("tilted profile", "Tilted profile"),
        ("corner", "Corner"),
        ("slab", "Slab"),
        ("slanted slab", "Slanted slab"),
        ("hole", "Hole"),
    ),
    cut_turn="Turn the block {turn}° clockwise, seen from the front.",
    cut_tilt="The wire rises {tilt}° out of the plane of the face.",
    cut_wire="Up to {wire} mm of wire lie in foam.",
    cut_off="Takes off {litres} litres.",
    cut_mirrored="Draw it on the back: left and right change sides.",
    cut_lift="Lump {number} comes free: {weight} kg. People to hold it: {people}.",
    cut_lift_more="Lump {number} comes free: {weight} kg. More than two people, or a hoist.",
    mark_heads=("mark", "one end", "other end"),
    mark="{face}: {along} along, {height} from the back",
    mark_flat="{face}: {along} across, {height} up",
    faces=(
        ("left", "left"),
        ("right", "right"),
        ("bottom", "bottom"),
        ("top", "top"),
        ("back", "back"),
        ("front", "front"),
    ),
    rough_way="Way",
    rough_off="Taken off",
    rough_off_value=(
        "{litres} litres, {share} % of the bulk; a straight wire cannot take more than {bound}"
    ),
    rough_left="Left to carve",
    rough_left_value="{least} to {most} litres",
    ticked="{done} of {total} pieces ticked",
    ticks_lost="This device keeps nothing for this page: ticks are lost when it is closed.",
    clear_ticks="Clear all ticks",
    clear_sure="Press again to clear all",
    order_heads=("block", "foam", "size, mm", "order", "price"),
    order_total="together, {currency}",
    offcuts_title="Offcuts to keep",
    offcuts_none="None is large enough to keep.",
    offcut_heads=("name", "from", "size, mm", "litres"),
)

GERMAN = ViewWords(
    lang="de",
    no_script="Diese Seite braucht JavaScript. Sie lädt nichts von außen.",
    sections="Abschnitte",
    invented="ERFUNDENE DATEN",
    nav_job="Auftrag",
    nav_cut="Schnitt",
    nav_rough="Grob",
    nav_solid="Körper",
    nav_pieces="Teile",
    nav_order="Kauf",
    cautions_title="Bevor der Draht heiß ist",
    lifts_title="Schwer",
    notes_title="Was an der Zeichnung geschah",
    drawing="Zeichnung",
    date="Datum",
    workshop="Werkstatt",
    wire="Draht",
    wire_value="{alloy}, {diameter} mm dick, {length} mm lang, {volts} V {kind}",
    kerf="Schnittfuge",
    kerf_value="{kerf} mm bei {feed} mm/s",
    allowance="Aufmaß zum Schnitzen",
    blocks="Blöcke",
    blocks_value="{needed} zu kaufen; nie weniger als {fewest}",
    pieces="Teile",
    time="Zeit",
    time_value="etwa {cutting} min Schneiden, {setup} min Einrichten",
    waste="Verlust",
    waste_value="{share} % von {bought} verbrauchten Litern",
    price="Preis",
    layout="Schaum",
    layout_about="{stock}, {foam}. {width} x {height} mm, {thickness} mm entlang dem Draht, {weight} kg{lift}. Der schwarze Winkel ist die Bezugsecke.",
    piece_about="{layout}. {width} x {height} x {thickness} mm, {foam}, {weight} kg{lift}",
    picture_of_layout="Der Schaum von vorn, die Teile, der Weg des Drahtes. Tasten: links und rechts für Schritte, Leertaste zum Abspielen, Plus und Minus für die Größe, 0 für alles.",
    zoom_in="Größer",
    zoom_out="Kleiner",
    zoom_all="Alles",
    key_to_come="kommt noch",
    key_done="geschnitten",
    key_now="jetzt",
    key_air="außerhalb des Schaums",
    key_offcut="Rest zum Aufheben",
    step_of="Schritt {number} von {total}",
    step_slider="Zu einem Schritt ziehen",
    back="Zurück",
    play="Abspielen",
    pause="Pause",
    next="Weiter",
    speed="Tempo",
    speed_real="wie der Draht schneidet",
    speed_times="{times}-mal so schnell",
    wire_caution="Der Draht verbrennt bei jeder Berührung. Draht aus, bevor man hineingreift. Ihn nie heiß im Schaum stehen oder allein lassen.",
    all_steps="Alle Schritte",
    tick_piece="{piece} abhaken",
    shown="Gezeigt",
    whole_shown="Alle Teile, wie sie stehen",
    form_shown="{part}, wie die Höhenlinien es begrenzen",
    picture_of_solid="Der Block mit seinen Teilen. Mit den Pfeiltasten drehen.",
    solid_hint="Ziehen dreht. Nichts hier ist zum Messen.",
    turn_left="Nach links drehen",
    turn_right="Nach rechts drehen",
    turn_up="Nach oben drehen",
    turn_down="Nach unten drehen",
    turn_front="Vorn",
    show_before="Vor dem Schnitt",
    show_after="Danach",
    show_form="Die Form",
    form="Form",
    picture_of_roughing="Die Form in ihrem Block und der Draht bei diesem Schnitt. Mit den Pfeiltasten drehen.",
    cutting_plane="Blick entlang dem Draht",
    picture_of_cutting_plane="Der Schatten des Blocks, was stehen bleibt, und der Weg des Drahtes.",
    cut_of="Schnitt {number} von {total}",
    all_cuts="Alle Schnitte",
    cut_title="{kind}, {what}",
    cut_kinds=(
        ("outline", "Umriss"),
        ("profile", "Profil"),
        ("tilted profile", "Schräges Profil"),
        ("corner", "Ecke"),
        ("slab", "Platte"),
        ("slanted slab", "Schräge Platte"),
        ("hole", "Loch"),
    ),
    cut_turn="Den Block um {turn}° im Uhrzeigersinn drehen, von vorn gesehen.",
    cut_tilt="Der Draht steigt {tilt}° aus der Ebene der Fläche.",
    cut_wire="Bis zu {wire} mm Draht liegen im Schaum.",
    cut_off="Nimmt {litres} Liter ab.",
    cut_mirrored="Auf die Rückseite zeichnen: links und rechts tauschen.",
    cut_lift="Stück {number} kommt frei: {weight} kg. Personen zum Halten: {people}.",
    cut_lift_more="Stück {number} kommt frei: {weight} kg. Mehr als zwei Personen oder ein Hebezeug.",
    mark_heads=("Marke", "ein Ende", "anderes Ende"),
    mark="{face}: {along} entlang, {height} von der Rückseite",
    mark_flat="{face}: {along} quer, {height} hoch",
    faces=(
        ("left", "links"),
        ("right", "rechts"),
        ("bottom", "unten"),
        ("top", "oben"),
        ("back", "hinten"),
        ("front", "vorn"),
    ),
    rough_way="Art",
    rough_off="Abgenommen",
    rough_off_value="{litres} Liter, {share} % des Überschusses; ein gerader Draht kann höchstens {bound} abnehmen",
    rough_left="Bleibt zum Schnitzen",
    rough_left_value="{least} bis {most} Liter",
    ticked="{done} von {total} Teilen abgehakt",
    ticks_lost="Dieses Gerät merkt sich für diese Seite nichts: die Haken gehen beim Schließen verloren.",
    clear_ticks="Alle Haken löschen",
    clear_sure="Nochmals drücken löscht alle",
    order_heads=("Block", "Schaum", "Maße, mm", "bestellen", "Preis"),
    order_total="zusammen, {currency}",
    offcuts_title="Reste zum Aufheben",
    offcuts_none="Keiner ist groß genug zum Aufheben.",
    offcut_heads=("Name", "aus", "Maße, mm", "Liter"),
)

DUTCH = ViewWords(
    lang="nl",
    no_script="Deze pagina heeft JavaScript nodig. Ze laadt niets van buiten.",
    sections="Onderdelen",
    invented="VERZONNEN GEGEVENS",
    nav_job="Werk",
    nav_cut="Snijden",
    nav_rough="Ruw",
    nav_solid="Vorm",
    nav_pieces="Delen",
    nav_order="Koop",
    cautions_title="Voor de draad heet is",
    lifts_title="Zwaar",
    notes_title="Wat er met de tekening gedaan is",
    drawing="Tekening",
    date="Datum",
    workshop="Werkplaats",
    wire="Draad",
    wire_value="{alloy}, {diameter} mm dik, {length} mm lang, {volts} V {kind}",
    kerf="Zaagsnede",
    kerf_value="{kerf} mm bij {feed} mm/s",
    allowance="Overmaat om te snijden",
    blocks="Blokken",
    blocks_value="{needed} te kopen; nooit minder dan {fewest}",
    pieces="Delen",
    time="Tijd",
    time_value="ongeveer {cutting} min snijden, {setup} min instellen",
    waste="Verlies",
    waste_value="{share} % van {bought} gebruikte liters",
    price="Prijs",
    layout="Schuim",
    layout_about="{stock}, {foam}. {width} x {height} mm, {thickness} mm langs de draad, {weight} kg{lift}. De zwarte hoek is de basishoek.",
    piece_about="{layout}. {width} x {height} x {thickness} mm, {foam}, {weight} kg{lift}",
    picture_of_layout="Het schuim van voren, de delen, de weg van de draad. Toetsen: links en rechts voor stappen, spatie om af te spelen, plus en min voor de grootte, 0 voor alles.",
    zoom_in="Groter",
    zoom_out="Kleiner",
    zoom_all="Alles",
    key_to_come="komt nog",
    key_done="gesneden",
    key_now="nu",
    key_air="buiten het schuim",
    key_offcut="rest om te bewaren",
    step_of="Stap {number} van {total}",
    step_slider="Sleep naar een stap",
    back="Terug",
    play="Afspelen",
    pause="Pauze",
    next="Verder",
    speed="Tempo",
    speed_real="zoals de draad snijdt",
    speed_times="{times} keer zo snel",
    wire_caution="De draad brandt bij elke aanraking. Draad uit voor je erin grijpt. Laat hem nooit heet in het schuim staan of alleen.",
    all_steps="Alle stappen",
    tick_piece="Vink {piece} af",
    shown="Te zien",
    whole_shown="Alle delen, zoals ze staan",
    form_shown="{part}, zoals de hoogtelijnen het begrenzen",
    picture_of_solid="Het blok met zijn delen. Draai het met de pijltoetsen.",
    solid_hint="Sleep om te draaien. Niets hier is om te meten.",
    turn_left="Naar links draaien",
    turn_right="Naar rechts draaien",
    turn_up="Naar boven draaien",
    turn_down="Naar beneden draaien",
    turn_front="Voor",
    show_before="Voor deze snede",
    show_after="Erna",
    show_form="De vorm",
    form="Vorm",
    picture_of_roughing="De vorm in zijn blok en de draad bij deze snede. Draai het met de pijltoetsen.",
    cutting_plane="Kijkend langs de draad",
    picture_of_cutting_plane="De schaduw van het blok, wat blijft staan, en de weg van de draad.",
    cut_of="Snede {number} van {total}",
    all_cuts="Alle sneden",
    cut_title="{kind}, {what}",
    cut_kinds=(
        ("outline", "Omtrek"),
        ("profile", "Profiel"),
        ("tilted profile", "Schuin profiel"),
        ("corner", "Hoek"),
        ("slab", "Plaat"),
        ("slanted slab", "Schuine plaat"),
        ("hole", "Gat"),
    ),
    cut_turn="Draai het blok {turn}° met de klok mee, van voren gezien.",
    cut_tilt="De draad stijgt {tilt}° uit het vlak van de voorkant.",
    cut_wire="Tot {wire} mm draad ligt in schuim.",
    cut_off="Neemt {litres} liter weg.",
    cut_mirrored="Teken het op de achterkant: links en rechts wisselen.",
    cut_lift="Stuk {number} komt los: {weight} kg. Mensen om het vast te houden: {people}.",
    cut_lift_more="Stuk {number} komt los: {weight} kg. Meer dan twee mensen, of een takel.",
    mark_heads=("merk", "ene eind", "andere eind"),
    mark="{face}: {along} langs, {height} vanaf de rug",
    mark_flat="{face}: {along} dwars, {height} omhoog",
    faces=(
        ("left", "links"),
        ("right", "rechts"),
        ("bottom", "onder"),
        ("top", "boven"),
        ("back", "achter"),
        ("front", "voor"),
    ),
    rough_way="Manier",
    rough_off="Weggenomen",
    rough_off_value="{litres} liter, {share} % van het teveel; een rechte draad kan niet meer wegnemen dan {bound}",
    rough_left="Blijft om te snijden",
    rough_left_value="{least} tot {most} liter",
    ticked="{done} van {total} delen afgevinkt",
    ticks_lost="Dit apparaat bewaart niets voor deze pagina: vinkjes gaan verloren bij het sluiten.",
    clear_ticks="Alle vinkjes wissen",
    clear_sure="Druk nog eens om alles te wissen",
    order_heads=("blok", "schuim", "maten, mm", "bestel", "prijs"),
    order_total="samen, {currency}",
    offcuts_title="Resten om te bewaren",
    offcuts_none="Geen is groot genoeg om te bewaren.",
    offcut_heads=("naam", "uit", "maten, mm", "liter"),
)

LANGUAGES: dict[Language, ViewWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
