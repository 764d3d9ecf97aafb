# ruff: noqa: E501  (a text is one line)
"""Every text printed on templates, in one place: English, German, Dutch."""

from __future__ import annotations

from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateWords:
    """All texts of the templates in one language; figures come in ready to print."""

    title: str
    for_pieces: str
    size: str
    invented: str
    print_title: str
    print_steps: tuple[str, ...]
    print_steps_roll: tuple[str, ...]
    join_title: str
    join_steps: tuple[str, ...]
    join_none: str
    lines_title: str
    finished_line: str
    finished_line_allowance: str
    wire_line: str
    wire_line_allowance: str
    wire_line_uneven: str
    wire_line_taper: str
    edge_title: str
    edge: str
    edge_uneven: str
    edge_taper: str
    edge_board: str
    stations_title: str
    stations: str
    stations_pair: str
    join_marks_title: str
    join_marks: str
    join_pins: str
    pair_title: str
    pair_near: str
    pair_far: str
    pair_far_taper: str
    pair_taper: str
    face_down: str
    face_down_title: str
    map_title: str
    map_empty: str
    sheet: str
    place: str
    scale: str
    bar: str
    up: str
    face_single: str
    face_near: str
    face_far: str
    side_single: str
    side_near: str
    side_far: str
    lies_on: str
    goes_under: str
    unnumbered: str
    unnumbered_joins: str


ENGLISH = TemplateWords(
    title="Template: {part}",
    for_pieces="Pieces: {pieces}. {thickness} mm along the wire. Job: {job}.",
    size="Finished line: {width} x {height} mm over all. Measure the joined template.",
    invented="INVENTED DATA",
    print_title="Print",
    print_steps=(
        "Print at 100 % (actual size). Never let the printer fit, shrink or centre.",
        "Measure both bars on every sheet. Each must be 100 mm. If one is not, print again.",
    ),
    print_steps_roll=(
        "Print at 100 % (actual size) on one length of roll. Never let the printer fit or shrink.",
        "Measure both bars. Each must be 100 mm. If one is not, print again.",
    ),
    join_title="Join",
    join_steps=(
        "Cut each sheet along its dotted lines at the left and below, where it says so.",
        "Lay it on its neighbour, cross on cross: prick a pin through both.",
        "Check that the lines run on. Tape.",
    ),
    join_none="One sheet holds it all: nothing to join.",
    lines_title="Lines",
    finished_line="Thick: the finished edge. Check the piece by it. Never lead the wire along it.",
    finished_line_allowance=(
        "Thick: the finished edge. The carver works down to it. Never lead the wire along it."
    ),
    wire_line=(
        "Dashed: the middle of the wire. It runs {offset} mm off the finished edge: "
        "half the kerf of {kerf} mm."
    ),
    wire_line_allowance=(
        "Dashed: the middle of the wire. It runs {offset} mm off the finished edge: "
        "half the kerf of {kerf} mm and {allowance} mm left on for carving."
    ),
    wire_line_uneven="Where thick and dashed run close together nothing is left on, at seams and sides cut finished: there it is {half} mm.",
    wire_line_taper="Dashed: the middle of the wire on this face. How far it runs off the finished edge differs from place to place: a slower end melts a wider slot. The slot is included.",
    edge_title="The edge of a template",
    edge=(
        "To follow a line by eye, mark the dashed line on the foam. "
        "Where the wire slides against a template, its middle keeps half its thickness off the "
        "edge: cut the board {radius} mm inside the dashed line, on the piece's side, "
        "which is {board} mm off the finished edge."
    ),
    edge_uneven="Where nothing is left on, that is {board} mm.",
    edge_taper="To follow a line by eye, mark the dashed line on the foam. Where the wire slides against a template, its middle keeps half its thickness off the edge: cut the board {radius} mm inside the dashed line, on the piece's side.",
    edge_board=(
        "Take a hard, smooth board that neither melts nor burns. "
        "Round no corner. Pin it so that no pin lies in the wire's way."
    ),
    stations_title="Stations",
    stations=(
        "Numbered along the dashed line from 0, the way the small arrow points. "
        "Every corner is a station. Holes have a letter before the number."
    ),
    stations_pair=(
        "Both templates have the same numbers. One person at each end: call each number "
        "and be there together. At a corner wait until the middle of the wire has caught up."
    ),
    join_marks_title="Seams",
    join_marks="A short bar across the edge, with a seam's letter: draw it on the foam and down the seam. It meets the same bar on the next piece.",
    join_pins="A heavy line or ring: a pin, half of it in this piece. Beside it the seam's letter and how high it lies off the back, in mm; of a ring, how high the face lies that it goes through.",
    pair_title="Two templates",
    pair_near="Near face: on the front of the piece, as you look at it. The drawing as it is.",
    pair_far=(
        "Far face: on the back of the piece. MIRRORED, printed side towards you as you look at the "
        "back. Set it square through the block from the near one, station to station."
    ),
    pair_far_taper="Far face: on the back of the piece. MIRRORED, printed side towards you as you look at the back.",
    pair_taper="The two faces differ: this piece tapers. The crosses of both sheets belong to one frame: what has x on the near template lies in front of {width} mm less x on the far one, at the same y. Both ends leave each station together and come to the next together; the shorter way is gone slower.",
    face_down=(
        "These pieces lie with their back to you on the block: {pieces}. "
        "For them turn the template over, printed side down."
    ),
    face_down_title="Face down",
    map_title="Map of the sheets",
    map_empty="Sheets without a line are left out.",
    sheet="sheet {number} of {total}",
    place="column {column}, row {row}",
    scale="scale 1 : 1",
    bar="100 mm: measure this",
    up="UP",
    face_single="FRONT of the piece, to you",
    face_near="NEAR FACE: front of the piece",
    face_far="FAR FACE, MIRRORED: back of the piece",
    side_single="FRONT",
    side_near="NEAR",
    side_far="FAR, MIRRORED",
    lies_on="cut off here, lies on sheet {number}",
    goes_under="goes under sheet {number}",
    unnumbered="no room for the number of station {stations}",
    unnumbered_joins="no room for the letter of {marks}",
)

GERMAN = TemplateWords(
    title="Schablone: {part}",
    for_pieces="Teile: {pieces}. {thickness} mm entlang dem Draht. Auftrag: {job}.",
    size="Fertige Linie: {width} x {height} mm über alles. Die zusammengesetzte Schablone nachmessen.",
    invented="ERFUNDENE DATEN",
    print_title="Drucken",
    print_steps=(
        "Mit 100 % drucken (tatsächliche Größe). Nie anpassen, verkleinern oder zentrieren lassen.",
        "Auf jedem Blatt beide Messstrecken nachmessen. Jede muss 100 mm lang sein. Wenn nicht, neu drucken.",
    ),
    print_steps_roll=(
        "Mit 100 % drucken (tatsächliche Größe), auf ein Stück Rolle. Nie anpassen oder verkleinern lassen.",
        "Beide Messstrecken nachmessen. Jede muss 100 mm lang sein. Wenn nicht, neu drucken.",
    ),
    join_title="Zusammensetzen",
    join_steps=(
        "Jedes Blatt links und unten an den gepunkteten Linien abschneiden, wo es dabeisteht.",
        "Auf den Nachbarn legen, Kreuz auf Kreuz: eine Nadel durch beide stechen.",
        "Prüfen, ob die Linien weiterlaufen. Kleben.",
    ),
    join_none="Alles auf einem Blatt: nichts zusammenzusetzen.",
    lines_title="Linien",
    finished_line="Dick: die fertige Kante. Das Teil daran prüfen. Den Draht nie daran entlangführen.",
    finished_line_allowance="Dick: die fertige Kante. Bis dahin wird geschnitzt. Den Draht nie daran entlangführen.",
    wire_line="Gestrichelt: die Mitte des Drahtes. Sie läuft {offset} mm neben der fertigen Kante: die halbe Schnittfuge von {kerf} mm.",
    wire_line_allowance="Gestrichelt: die Mitte des Drahtes. Sie läuft {offset} mm neben der fertigen Kante: die halbe Schnittfuge von {kerf} mm und {allowance} mm Aufmaß zum Schnitzen.",
    wire_line_uneven="Wo dick und gestrichelt dicht beieinander laufen, an Fugen und fertig geschnittenen Seiten, bleibt nichts stehen: dort sind es {half} mm.",
    wire_line_taper="Gestrichelt: die Mitte des Drahts auf dieser Seite. Ihr Abstand von der fertigen Kante ist nicht überall gleich: das langsamere Ende schmilzt einen breiteren Spalt. Der Spalt ist eingerechnet.",
    edge_title="Die Kante einer Schablone",
    edge="Nach Augenmaß schneiden: die gestrichelte Linie auf den Schaum übertragen. Gleitet der Draht an einer Schablone, bleibt seine Mitte um seine halbe Dicke von der Kante weg: das Brett {radius} mm innerhalb der gestrichelten Linie schneiden, auf der Seite des Teils, das ist {board} mm neben der fertigen Kante.",
    edge_uneven="Wo nichts stehen bleibt, sind es {board} mm.",
    edge_taper="Wer nach Augenmaß einer Linie folgt, reißt die gestrichelte Linie am Schaum an. Gleitet der Draht an einer Schablone, so bleibt seine Mitte um seine halbe Dicke von der Kante: das Brett {radius} mm innerhalb der gestrichelten Linie schneiden, auf der Seite des Teils.",
    edge_board="Ein hartes, glattes Brett nehmen, das weder schmilzt noch brennt. Keine Ecke runden. So feststecken, dass kein Stift im Weg des Drahtes liegt.",
    stations_title="Stationen",
    stations="Entlang der gestrichelten Linie von 0 an gezählt, wie der kleine Pfeil zeigt. Jede Ecke ist eine Station. Löcher haben einen Buchstaben vor der Zahl.",
    stations_pair="Beide Schablonen haben dieselben Zahlen. An jedem Ende eine Person: jede Zahl ausrufen und zugleich dort sein. An Ecken warten, bis die Mitte des Drahtes nachgekommen ist.",
    join_marks_title="Fugen",
    join_marks="Ein kurzer Strich quer über die Kante mit dem Buchstaben der Fuge: auf den Schaum und die Fuge hinab zeichnen. Er trifft denselben Strich am nächsten Teil.",
    join_pins="Eine schwere Linie oder ein Ring: ein Dübel, zur Hälfte in diesem Teil. Daneben der Buchstabe der Fuge und die Höhe über der Rückseite in mm; bei einem Ring die Höhe der Fläche, durch die er geht.",
    pair_title="Zwei Schablonen",
    pair_near="Vordere: auf die Vorderseite des Teils, so wie man sie ansieht. Die Zeichnung, wie sie ist.",
    pair_far="Hintere: auf die Rückseite des Teils. GESPIEGELT, bedruckte Seite zum Betrachter der Rückseite. Rechtwinklig durch den Block zur vorderen ausrichten, Station zu Station.",
    pair_far_taper="Hintere Seite: auf der Rückseite des Teils. GESPIEGELT, bedruckte Seite zu Ihnen, wenn Sie auf die Rückseite sehen.",
    pair_taper="Die beiden Seiten sind verschieden: das Teil verjüngt sich. Die Kreuze beider Blätter gehören zu einem Rahmen: was auf der vorderen Schablone x hat, liegt vor {width} mm weniger x auf der hinteren, bei gleichem y. Beide Enden verlassen jede Station zugleich und kommen zugleich zur nächsten; der kürzere Weg wird langsamer gegangen.",
    face_down="Diese Teile liegen mit dem Rücken zum Betrachter auf dem Block: {pieces}. Für sie die Schablone umdrehen, bedruckte Seite nach unten.",
    face_down_title="Gesicht nach unten",
    map_title="Plan der Blätter",
    map_empty="Blätter ohne Linie fehlen.",
    sheet="Blatt {number} von {total}",
    place="Spalte {column}, Reihe {row}",
    scale="Maßstab 1 : 1",
    bar="100 mm: nachmessen",
    up="OBEN",
    face_single="VORDERSEITE des Teils, zum Betrachter",
    face_near="VORDERE: Vorderseite des Teils",
    face_far="HINTERE, GESPIEGELT: Rückseite des Teils",
    side_single="VORN",
    side_near="VORN",
    side_far="HINTEN, GESP.",
    lies_on="hier abschneiden, liegt auf Blatt {number}",
    goes_under="liegt unter Blatt {number}",
    unnumbered="kein Platz für die Zahl von Station {stations}",
    unnumbered_joins="kein Platz für den Buchstaben von {marks}",
)

DUTCH = TemplateWords(
    title="Mal: {part}",
    for_pieces="Delen: {pieces}. {thickness} mm langs de draad. Opdracht: {job}.",
    size="Afgewerkte lijn: {width} x {height} mm over alles. Meet de samengestelde mal na.",
    invented="VERZONNEN GEGEVENS",
    print_title="Afdrukken",
    print_steps=(
        "Druk af op 100 % (ware grootte). Laat de printer nooit passend maken, verkleinen of centreren.",
        "Meet op elk blad beide maatstrepen na. Elk moet 100 mm zijn. Zo niet, druk opnieuw af.",
    ),
    print_steps_roll=(
        "Druk af op 100 % (ware grootte), op één stuk rol. Laat de printer nooit passend maken of verkleinen.",
        "Meet beide maatstrepen na. Elk moet 100 mm zijn. Zo niet, druk opnieuw af.",
    ),
    join_title="Samenstellen",
    join_steps=(
        "Snijd elk blad links en onder langs de stippellijn af, waar het erbij staat.",
        "Leg het op zijn buur, kruis op kruis: prik een speld door beide.",
        "Kijk of de lijnen doorlopen. Plak vast.",
    ),
    join_none="Alles op één blad: niets samen te stellen.",
    lines_title="Lijnen",
    finished_line="Dik: de afgewerkte kant. Controleer het deel eraan. Leid de draad er nooit langs.",
    finished_line_allowance="Dik: de afgewerkte kant. Tot daar wordt gesneden met de hand. Leid de draad er nooit langs.",
    wire_line="Gestreept: het hart van de draad. Het loopt {offset} mm naast de afgewerkte kant: de halve zaagsnede van {kerf} mm.",
    wire_line_allowance="Gestreept: het hart van de draad. Het loopt {offset} mm naast de afgewerkte kant: de halve zaagsnede van {kerf} mm en {allowance} mm overmaat om te snijden.",
    wire_line_uneven="Waar dik en gestreept dicht bij elkaar lopen, aan naden en afgewerkt gesneden zijden, blijft niets staan: daar is het {half} mm.",
    wire_line_taper="Gestreept: het midden van de draad op deze kant. De afstand tot de afgewerkte rand is niet overal gelijk: het langzamere eind smelt een bredere spleet. De spleet is meegerekend.",
    edge_title="De kant van een mal",
    edge="Op het oog snijden: zet de gestreepte lijn over op het schuim. Glijdt de draad langs een mal, dan blijft zijn hart een halve draaddikte van de kant: snijd de plank {radius} mm binnen de gestreepte lijn, aan de kant van het deel, dat is {board} mm naast de afgewerkte kant.",
    edge_uneven="Waar niets blijft staan, is dat {board} mm.",
    edge_taper="Wie op het oog een lijn volgt, tekent de gestreepte lijn op het schuim af. Glijdt de draad langs een mal, dan blijft zijn midden een halve draaddikte van de rand: zaag de plank {radius} mm binnen de gestreepte lijn, aan de kant van het stuk.",
    edge_board="Neem een harde, gladde plank die niet smelt en niet brandt. Rond geen hoek af. Zet hem zo vast dat er geen pen in de baan van de draad zit.",
    stations_title="Stations",
    stations="Genummerd langs de gestreepte lijn vanaf 0, zoals het pijltje wijst. Elke hoek is een station. Gaten hebben een letter voor het nummer.",
    stations_pair="Beide mallen hebben dezelfde nummers. Aan elk eind iemand: roep elk nummer en wees er tegelijk. Wacht op een hoek tot het midden van de draad bij is.",
    join_marks_title="Naden",
    join_marks="Een kort streepje over de kant met de letter van de naad: teken het op het schuim en langs de naad omlaag. Het komt bij hetzelfde streepje op het volgende deel.",
    join_pins="Een zware lijn of ring: een pen, voor de helft in dit deel. Ernaast de letter van de naad en de hoogte vanaf de rug in mm; bij een ring de hoogte van het vlak waar hij doorheen gaat.",
    pair_title="Twee mallen",
    pair_near="Voorste: op de voorkant van het deel, zoals je ernaar kijkt. De tekening zoals hij is.",
    pair_far="Achterste: op de achterkant van het deel. GESPIEGELD, bedrukte kant naar wie de achterkant ziet. Stel hem haaks door het blok met de voorste, station op station.",
    pair_far_taper="Achterste kant: op de achterkant van het stuk. GESPIEGELD, bedrukte kant naar je toe als je naar de achterkant kijkt.",
    pair_taper="De twee kanten verschillen: het stuk loopt taps toe. De kruisen van beide bladen horen bij één raam: wat op de voorste mal x heeft, ligt voor {width} mm min x op de achterste, bij dezelfde y. Beide einden verlaten elk station tegelijk en komen tegelijk bij het volgende; de kortere weg gaat langzamer.",
    face_down="Deze delen liggen met hun rug naar je toe op het blok: {pieces}. Draai de mal daarvoor om, bedrukte kant naar beneden.",
    face_down_title="Voorkant naar beneden",
    map_title="Kaart van de bladen",
    map_empty="Bladen zonder lijn ontbreken.",
    sheet="blad {number} van {total}",
    place="kolom {column}, rij {row}",
    scale="schaal 1 : 1",
    bar="100 mm: meet dit na",
    up="BOVEN",
    face_single="VOORKANT van het deel, naar je toe",
    face_near="VOORSTE: voorkant van het deel",
    face_far="ACHTERSTE, GESPIEGELD: achterkant van het deel",
    side_single="VOOR",
    side_near="VOOR",
    side_far="ACHTER, GESP.",
    lies_on="hier afsnijden, ligt op blad {number}",
    goes_under="ligt onder blad {number}",
    unnumbered="geen plaats voor het nummer van station {stations}",
    unnumbered_joins="geen plaats voor de letter van {marks}",
)

LANGUAGES: dict[Language, TemplateWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
