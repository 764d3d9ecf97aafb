# ruff: noqa: E501  (a text is one line)
"""The texts of the sheet that tells how a slab is cut along a fence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class FenceWords:
    """All texts of the sheet of cuts along a fence in one language."""

    title: str
    summary: str
    safety_title: str
    safety: tuple[str, ...]
    steps_title: str
    steps: tuple[str, ...]
    picture: str
    table_title: str
    heads: tuple[str, ...]
    slab: str
    part: str
    piece: str
    piece_by_hand: str
    waste: str
    offcut: str
    nothing: str
    rest: str
    first: str
    go_in: str
    thread: str


ENGLISH = FenceWords(
    title="{name}: cuts along the fence",
    summary="{cuts} straight cuts with {settings} settings of the fence free {pieces} rectangles. {hand} of them are then cut by hand.",
    safety_title="Hands",
    safety=(
        "The wire stands still and hot. Set the guard above the foam. Current off before you set the fence or reach for a part beyond the wire.",
        "Push with a block of wood wherever a hand would come nearer to the wire than 150 mm, and for all strips narrower than that (common practice, no source). Never pull foam from behind the wire.",
        "A part longer than your table: a second person or a stand takes it on the other side. Local rules come first.",
    ),
    steps_title="How each cut goes",
    steps=(
        "Wire cold. Set the fence: measure from it to the near side of the wire, at the table. It must be straight, square to the table, and the wire upright.",
        "Wire hot. Lay the part down front up and turn it, never over, until the side named lies against the fence all along.",
        "Push it past the wire in one go at {feed} mm/s, pressed to the fence. Do not stop in the foam: a wire that stands burns a hole.",
        "Write the number of the part on what comes off by the fence and beyond the wire.",
        "The slot is {kerf} mm wide, and allowed for. The first part measured tells whether the fence stands right: it must be as wide as the table says.",
    ),
    picture="Thick: the cuts, numbered in order. Thin: the pieces. Small figures: the pieces. Scale 1 : {scale}.",
    table_title="The cuts in order",
    heads=(
        "cut",
        "fence to\nnear side\nof wire, mm",
        "part\nin hand",
        "its size,\nmm",
        "side\nagainst\nthe fence",
        "then\nby the\nfence",
        "then\nbeyond\nthe wire",
    ),
    slab="the slab",
    part="part {number}",
    piece="piece {number}",
    piece_by_hand="piece {number} *",
    waste="waste",
    offcut="offcut {name}",
    nothing="nothing",
    rest="* The rectangle of a piece that is not done yet: cut the rest by hand against the same wire, fence moved away, along a full-size template on the foam. The steps stand on the sheet '{sheet}'.",
    first="First make the cuts on the sheet '{sheet}'. Then take one rectangle after the other.",
    go_in="Wire on. Lay the template on the rectangle of {piece}. Go in at mark IN {number}: {edge} of the rectangle, {place}.",
    thread="Make a hole for the wire through the rectangle of {piece}, at mark T {number}: {across}, {up} from its lower left corner, at most {widest} mm wide. Power off, wire cold: unhook it, thread it, hook it up.",
)

GERMAN = FenceWords(
    title="{name}: Schnitte am Anschlag",
    summary="{cuts} gerade Schnitte mit {settings} Einstellungen des Anschlags lösen {pieces} Rechtecke. {hand} davon werden danach von Hand geschnitten.",
    safety_title="Hände",
    safety=(
        "Der Draht steht still und ist heiß. Die Schutzhaube über dem Schaum einstellen. Strom aus, bevor der Anschlag verstellt oder hinter den Draht gegriffen wird.",
        "Mit einem Holz schieben, wo eine Hand dem Draht näher als 150 mm käme, und alle schmaleren Streifen (üblich, ohne Quelle). Nie von hinter dem Draht ziehen.",
        "Ist ein Teil länger als der Tisch, nimmt es drüben eine zweite Person oder ein Bock ab. Örtliche Regeln gehen vor.",
    ),
    steps_title="So geht jeder Schnitt",
    steps=(
        "Draht kalt. Anschlag einstellen: von ihm zur nahen Seite des Drahts messen, am Tisch. Er muss gerade sein, rechtwinklig zum Tisch, und der Draht senkrecht.",
        "Draht heiß. Das Teil mit der Vorderseite nach oben hinlegen und drehen, nie wenden, bis die genannte Seite ganz am Anschlag liegt.",
        "In einem Zug mit {feed} mm/s am Draht vorbeischieben, an den Anschlag gedrückt. Nicht im Schaum anhalten: ein stehender Draht brennt ein Loch.",
        "Die Nummer auf beide Teile schreiben, auf das am Anschlag und das jenseits des Drahts.",
        "Der Spalt ist {kerf} mm breit und eingerechnet. Das erste gemessene Teil zeigt, ob der Anschlag stimmt: es muss so breit sein, wie die Tabelle sagt.",
    ),
    picture="Dick: die Schnitte, der Reihe nach nummeriert. Dünn: die Umrisse. Kleine Zahlen: die Stücke. Maßstab 1 : {scale}.",
    table_title="Die Schnitte der Reihe nach",
    heads=(
        "Schnitt",
        "Anschlag\nbis nahe\nSeite\nDraht, mm",
        "Teil in\nder Hand",
        "seine\nGröße, mm",
        "Seite am\nAnschlag",
        "dann am\nAn-\nschlag",
        "dann\njenseits\ndes\nDrahts",
    ),
    slab="die Platte",
    part="Teil {number}",
    piece="Stück {number}",
    piece_by_hand="Stück {number} *",
    waste="Abfall",
    offcut="Reststück {name}",
    nothing="nichts",
    rest="* Das Rechteck eines Stücks, das noch nicht fertig ist: den Rest von Hand am selben Draht schneiden, Anschlag weggerückt, an einer Schablone in voller Größe auf dem Schaum entlang. Die Schritte stehen auf dem Blatt '{sheet}'.",
    first="Zuerst die Schnitte auf dem Blatt '{sheet}'. Dann ein Rechteck nach dem anderen.",
    go_in="Draht an. Die Schablone auf das Rechteck von {piece} legen. Hinein bei Marke IN {number}: {edge} des Rechtecks, {place}.",
    thread="Ein Loch für den Draht durch das Rechteck von {piece} machen, bei Marke T {number}: {across}, {up} von seiner Ecke links unten, höchstens {widest} mm weit. Strom aus, Draht kalt: aushängen, durchfädeln, einhängen.",
)

DUTCH = FenceWords(
    title="{name}: sneden langs de aanslag",
    summary="{cuts} rechte sneden met {settings} standen van de aanslag maken {pieces} rechthoeken vrij. {hand} daarvan worden daarna met de hand gesneden.",
    safety_title="Handen",
    safety=(
        "De draad staat stil en is heet. Zet de beschermkap boven het schuim. Stroom uit voor je de aanslag verzet of achter de draad grijpt.",
        "Duw met een blok hout waar een hand dichter dan 150 mm bij de draad zou komen, en bij alle smallere stroken (gebruikelijk, zonder bron). Trek nooit van achter de draad.",
        "Is een deel langer dan de tafel, dan neemt een tweede persoon of een bok het aan de andere kant aan. Plaatselijke regels gaan voor.",
    ),
    steps_title="Zo gaat elke snede",
    steps=(
        "Draad koud. Stel de aanslag in: meet ervan tot de nabije kant van de draad, aan de tafel. Hij moet recht zijn, haaks op de tafel, en de draad loodrecht.",
        "Draad heet. Leg het deel met de voorkant boven en draai het, nooit om, tot de genoemde kant helemaal tegen de aanslag ligt.",
        "Duw het in een keer met {feed} mm/s langs de draad, tegen de aanslag gedrukt. Stop niet in het schuim: een draad die stilstaat brandt een gat.",
        "Schrijf het nummer op beide delen, op dat bij de aanslag en dat voorbij de draad.",
        "De spleet is {kerf} mm breed en meegerekend. Het eerste gemeten deel zegt of de aanslag goed staat: het moet zo breed zijn als de tabel zegt.",
    ),
    picture="Dik: de sneden, op volgorde genummerd. Dun: de stukken. Kleine cijfers: de stukken. Schaal 1 : {scale}.",
    table_title="De sneden op volgorde",
    heads=(
        "snede",
        "aanslag\ntot nabije\nkant\ndraad, mm",
        "deel in\nde hand",
        "zijn maat,\nmm",
        "kant\ntegen de\naanslag",
        "dan\nbij de\naanslag",
        "dan\nvoorbij\nde draad",
    ),
    slab="de plaat",
    part="deel {number}",
    piece="stuk {number}",
    piece_by_hand="stuk {number} *",
    waste="afval",
    offcut="restant {name}",
    nothing="niets",
    rest="* De rechthoek van een stuk dat nog niet klaar is: snijd de rest met de hand langs dezelfde draad, aanslag weggezet, langs een mal op ware grootte op het schuim. De stappen staan op het blad '{sheet}'.",
    first="Maak eerst de sneden op het blad '{sheet}'. Neem dan de ene rechthoek na de andere.",
    go_in="Draad aan. Leg de mal op de rechthoek van {piece}. Ga naar binnen bij merk IN {number}: {edge} van de rechthoek, {place}.",
    thread="Maak een gat voor de draad door de rechthoek van {piece}, bij merk T {number}: {across}, {up} vanaf zijn hoek linksonder, hoogstens {widest} mm wijd. Stroom uit, draad koud: haak hem los, steek hem door, haak hem aan.",
)

FENCE: Mapping[Language, FenceWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
