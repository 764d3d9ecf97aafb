# ruff: noqa: E501  (a text is one line)
"""The texts of the sheet that tells how a layout is cut with a bow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class BowWords:
    """All texts of the sheet of passes with the bow in one language."""

    title: str
    summary: str
    one_person: str
    two_people: str
    rules_title: str
    rules: tuple[str, ...]
    rest_rule: str
    table_title: str
    heads: tuple[str, ...]
    way_in: str
    threaded: str
    length: str
    piece: str
    stretch: str
    rest: str


ENGLISH = BowWords(
    title="{name}: passes with the bow",
    summary="Passes: {passes}. The longest is {metres} m through foam: {minutes} min at {feed} mm/s. The wire spans {span} mm, the foam is {thickness} mm thick.",
    one_person="One person holds the bow with both hands, eyes on the near template; the far one guides the wire behind. A second person watches the far end and the switch.",
    two_people="Two people, one at each end of the wire. The one in front, at the near template, leads: calls the number of each station on getting there, and goes on only when the one behind has answered with the same number.",
    rules_title="How each pass goes",
    rules=(
        "Pin the two templates of each piece on the foam, NEAR in front and FAR behind, set square to each other through the foam. Their stations bear the same numbers.",
        "Pull the wire taut, switch on, wait until it is hot. Both ends at the mark where the pass goes in.",
        "An even pace: {seconds} s for every 50 mm. At a corner the wire waits until both are there, no longer: a wire that stands burns a hole.",
        "Bring the bow right out of the foam at the end of a pass. Walk round with the wire off.",
        "Gloves and long sleeves, nobody within the bow's reach, the floor clear where you walk. The switch within reach of the one who leads. Local rules come first.",
    ),
    rest_rule="Rest where the table says: switch off, keep the wire where it is until it is cold, set the bow down on its stand. Then switch on and go on when it is hot. No stretch is longer than {metres} m.",
    table_title="The passes in order",
    heads=("pass", "what", "from station to station", "m so far"),
    way_in="IN {number}: {edge}, {place}",
    threaded="threaded, T {number}",
    length="{metres} m in all, {minutes} min",
    piece="piece {number}",
    stretch="{first} to {last}",
    rest="rest",
)

GERMAN = BowWords(
    title="{name}: Durchgänge mit dem Bogen",
    summary="Durchgänge: {passes}. Der längste ist {metres} m durch Schaum: {minutes} min bei {feed} mm/s. Der Draht spannt {span} mm, der Schaum ist {thickness} mm dick.",
    one_person="Eine Person hält den Bogen mit beiden Händen, die Augen auf der vorderen Schablone; die hintere führt den Draht. Eine zweite Person achtet auf das hintere Ende und den Schalter.",
    two_people="Zwei Personen, eine an jedem Ende des Drahts. Wer vorn an der Schablone NAH steht, führt: ruft die Nummer jeder Station beim Ankommen und geht erst weiter, wenn hinten mit derselben Nummer geantwortet ist.",
    rules_title="So geht jeder Durchgang",
    rules=(
        "Die zwei Schablonen jedes Stücks auf den Schaum heften, NAH vorn und FERN hinten, durch den Schaum rechtwinklig zueinander. Ihre Stationen tragen dieselben Nummern.",
        "Den Draht straff ziehen, einschalten, warten, bis er heiß ist. Beide Enden an die Marke, wo der Durchgang hineingeht.",
        "Ein gleichmäßiges Tempo: {seconds} s für je 50 mm. An einer Ecke wartet der Draht, bis beide da sind, nicht länger: ein stehender Draht brennt ein Loch.",
        "Am Ende eines Durchgangs den Bogen ganz aus dem Schaum führen. Mit ausgeschaltetem Draht herumgehen.",
        "Handschuhe und lange Ärmel, niemand in Reichweite des Bogens, der Boden frei, wo Sie gehen. Der Schalter in Reichweite dessen, der führt. Örtliche Regeln gehen vor.",
    ),
    rest_rule="Rasten, wo die Tabelle es sagt: ausschalten, den Draht an Ort und Stelle lassen, bis er kalt ist, den Bogen auf seinen Ständer setzen. Dann einschalten und weiter, wenn er heiß ist. Keine Strecke ist länger als {metres} m.",
    table_title="Die Durchgänge der Reihe nach",
    heads=("Nr.", "was", "von Station zu Station", "m bis dahin"),
    way_in="IN {number}: {edge}, {place}",
    threaded="eingefädelt, T {number}",
    length="{metres} m im Ganzen, {minutes} min",
    piece="Stück {number}",
    stretch="{first} bis {last}",
    rest="rasten",
)

DUTCH = BowWords(
    title="{name}: gangen met de boog",
    summary="Gangen: {passes}. De langste is {metres} m door schuim: {minutes} min bij {feed} mm/s. De draad overspant {span} mm, het schuim is {thickness} mm dik.",
    one_person="Een persoon houdt de boog met twee handen, ogen op de voorste mal; de achterste leidt de draad. Een tweede let op het achterste eind en de schakelaar.",
    two_people="Twee mensen, een aan elk eind van de draad. Wie vooraan staat, bij de mal NABIJ, leidt: roept het nummer van elk station bij aankomst, en gaat pas verder als achteraan met hetzelfde nummer is geantwoord.",
    rules_title="Zo gaat elke gang",
    rules=(
        "Prik de twee mallen van elk stuk op het schuim, NABIJ voor en VER achter, door het schuim haaks op elkaar. Hun stations dragen dezelfde nummers.",
        "Trek de draad strak, schakel in, wacht tot hij heet is. Beide einden bij het merk waar de gang naar binnen gaat.",
        "Een gelijk tempo: {seconds} s voor elke 50 mm. Bij een hoek wacht de draad tot beiden er zijn, niet langer: een draad die stilstaat brandt een gat.",
        "Breng de boog aan het eind van een gang helemaal uit het schuim. Loop om met de draad uit.",
        "Handschoenen en lange mouwen, niemand binnen bereik van de boog, de vloer vrij waar je loopt. De schakelaar binnen bereik van wie leidt. Plaatselijke regels gaan voor.",
    ),
    rest_rule="Rust waar de tabel het zegt: schakel uit, laat de draad waar hij is tot hij koud is, zet de boog op zijn steun. Schakel dan in en ga verder als hij heet is. Geen stuk weg is langer dan {metres} m.",
    table_title="De gangen op volgorde",
    heads=("gang", "wat", "van station tot station", "m tot daar"),
    way_in="IN {number}: {edge}, {place}",
    threaded="ingestoken, T {number}",
    length="{metres} m in totaal, {minutes} min",
    piece="stuk {number}",
    stretch="{first} tot {last}",
    rest="rusten",
)

BOW: Mapping[Language, BowWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
