# ruff: noqa: E501  (a text is one line)
"""The texts that tell how a block is moved on the table between two setups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupWords:
    """All texts of a step that moves the block, and of the picture beside it, in one language."""

    at_datum: str
    first_pushed: str
    clear: str
    half: str
    left: str
    right: str
    pushed: str
    put_back: str
    draw: str
    drawn: str
    line_at_datum: str
    line_right: str
    line_up: str
    both: str
    overhang: str
    shift_error: str
    as_drawn: str
    file: str
    picture: str
    picture_clamps: str
    picture_waits: str


ENGLISH = SetupWords(
    at_datum="Setup {number} of {count}. Lay the block with its edges against the table's datum corner.",
    first_pushed="Setup {number} of {count}. Lay the block with its edges against the table's datum corner. Then take the stop in its way off.",
    clear="Setup {number} of {count}. Wire off. Take out every piece and every loose lump that has come free, then move the block; where it is weak, slide it on a board.",
    half="Turn it end for end on the table, the same face towards you.",
    left="Turn it on the table by a quarter to the left (anticlockwise), the same face towards you.",
    right="Turn it on the table by a quarter to the right (clockwise), the same face towards you.",
    pushed="Push it along the stops until {lines}.",
    put_back="Lay it with its edges against the table's datum corner.",
    draw="Before the first cut draw the pencil lines for later: {lines}.",
    drawn="{mark}: {edge}, {place}",
    line_at_datum="pencil line {mark} ({edge}, {place}) meets the table's datum corner",
    line_right="pencil line {mark} ({edge}, {place}) stands {mm} mm right of the table's datum corner",
    line_up="pencil line {mark} ({edge}, {place}) stands {mm} mm above the table's datum corner",
    both="{one}, and {other}",
    overhang="Hold up what reaches over the table.",
    shift_error="Its edges must lie within {mm} mm of where they should: no piece is cut in two setups, so what the block lies off moves whole pieces.",
    as_drawn="The steps name edges and places as the large picture shows the block.",
    file="Passes {passes}, file {file}.",
    picture="Table from above: dashed, where the wire gets; thick, the block; the filled corner is its datum corner, the dot the table's; numbered, what is cut now",
    picture_clamps="black, the clamps",
    picture_waits="W, where the wire waits",
)

GERMAN = SetupWords(
    at_datum="Aufspannung {number} von {count}. Den Block mit seinen Kanten an die Bezugsecke des Tischs legen.",
    first_pushed="Aufspannung {number} von {count}. Den Block mit seinen Kanten an die Bezugsecke des Tischs legen. Dann den Anschlag abnehmen, der im Weg ist.",
    clear="Aufspannung {number} von {count}. Draht aus. Jedes Teil und jeden losen Brocken herausnehmen, dann den Block bewegen; wo er schwach ist, auf einem Brett schieben.",
    half="Auf dem Tisch um eine halbe Drehung wenden, dieselbe Seite zu dir.",
    left="Auf dem Tisch um eine Vierteldrehung nach links drehen (gegen den Uhrzeiger), dieselbe Seite zu dir.",
    right="Auf dem Tisch um eine Vierteldrehung nach rechts drehen (mit dem Uhrzeiger), dieselbe Seite zu dir.",
    pushed="An den Anschlägen entlang schieben: {lines}.",
    put_back="Mit seinen Kanten an die Bezugsecke des Tischs legen.",
    draw="Vor dem ersten Schnitt die Bleistiftstriche für später zeichnen: {lines}.",
    drawn="{mark}: {edge}, {place}",
    line_at_datum="Bleistiftstrich {mark} ({edge}, {place}) steht an der Bezugsecke des Tischs",
    line_right="Bleistiftstrich {mark} ({edge}, {place}) steht {mm} mm rechts von der Bezugsecke des Tischs",
    line_up="Bleistiftstrich {mark} ({edge}, {place}) steht {mm} mm über der Bezugsecke des Tischs",
    both="{one} und {other}",
    overhang="Stützen, was über den Tisch hinausragt.",
    shift_error="Seine Kanten müssen auf {mm} mm genau liegen: kein Teil wird in zwei Aufspannungen geschnitten, ein Versatz verschiebt also ganze Teile.",
    as_drawn="Die Schritte nennen Kanten und Orte so, wie das große Bild den Block zeigt.",
    file="Durchgänge {passes}, Datei {file}.",
    picture="Tisch von oben: gestrichelt, wohin der Draht reicht; dick der Block; die gefüllte Ecke ist seine Bezugsecke, der Punkt die des Tischs; mit Nummern, was jetzt geschnitten wird",
    picture_clamps="schwarz die Spanner",
    picture_waits="W, wo der Draht wartet",
)

DUTCH = SetupWords(
    at_datum="Opspanning {number} van {count}. Leg het blok met zijn randen tegen de basishoek van de tafel.",
    first_pushed="Opspanning {number} van {count}. Leg het blok met zijn randen tegen de basishoek van de tafel. Neem dan de aanslag weg die in de weg zit.",
    clear="Opspanning {number} van {count}. Draad uit. Neem elk stuk en elke losse brok eruit, verplaats dan het blok; schuif het op een plank waar het zwak is.",
    half="Draai het op de tafel een halve slag, dezelfde kant naar je toe.",
    left="Draai het op de tafel een kwartslag naar links (tegen de klok in), dezelfde kant naar je toe.",
    right="Draai het op de tafel een kwartslag naar rechts (met de klok mee), dezelfde kant naar je toe.",
    pushed="Schuif het langs de aanslagen: {lines}.",
    put_back="Leg het met zijn randen tegen de basishoek van de tafel.",
    draw="Teken voor de eerste snede de potloodstrepen voor later: {lines}.",
    drawn="{mark}: {edge}, {place}",
    line_at_datum="potloodstreep {mark} ({edge}, {place}) staat bij de basishoek van de tafel",
    line_right="potloodstreep {mark} ({edge}, {place}) staat {mm} mm rechts van de basishoek van de tafel",
    line_up="potloodstreep {mark} ({edge}, {place}) staat {mm} mm boven de basishoek van de tafel",
    both="{one} en {other}",
    overhang="Ondersteun wat over de tafel uitsteekt.",
    shift_error="Zijn randen moeten op {mm} mm goed liggen: geen stuk wordt in twee opspanningen gesneden, een afwijking verschuift dus hele stukken.",
    as_drawn="De stappen noemen randen en plaatsen zoals de grote tekening het blok toont.",
    file="Gangen {passes}, bestand {file}.",
    picture="Tafel van boven: gestreept, waar de draad komt; dik het blok; de gevulde hoek is zijn basishoek, de stip die van de tafel; genummerd, wat nu gesneden wordt",
    picture_clamps="zwart de klemmen",
    picture_waits="W, waar de draad wacht",
)

SETUPS: Mapping[Language, SetupWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
