# ruff: noqa: E501  (a text is one line)
"""The texts of the test cut's sheet, and of the same advice on the screen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class TestCutWords:
    """All texts of the test cut's sheet in one language."""

    __test__ = False

    title: str
    why: str
    steps_title: str
    steps: tuple[str, ...]
    rest: str
    slot: str
    feed: str
    measure: str
    cut_in: str
    foam_line: str
    write_title: str
    heads: tuple[str, ...]
    lag: str
    then_title: str
    then: str
    caution: str
    blank: str


ENGLISH = TestCutWords(
    title="The test cut: how wide your slot is",
    why="The wire melts a slot wider than itself. How wide depends on wire, current, foam and feed, and only a cut tells. Ten minutes and a strip of scrap.",
    steps_title="What to do",
    steps=(
        "Take scrap of the foam and thickness you will cut, and the wire at the current you will use.",
        "Extraction on. Hands never near the wire's line. Let the wire settle for a minute.",
        "Cut each slot straight in, 200 mm long, at its own steady feed. Do not stop in it. Come back out through it at the same feed or faster.",
        "Look along the wire: note how far its middle lags behind its ends. More than a hundredth of the wire's length is too fast: leave that slot out.",
        "Let the foam cool. Measure the full width of each slot halfway along, on the front and on the back, with feeler gauges or a caliper held loosely. The mean counts.",
        "Write feed and width down here, then into the workshop file.",
    ),
    rest="Do it again for every foam, wire and current, and after changing the wire.",
    slot="slot {number}",
    feed="{feed} mm/s",
    measure="measure the full width here, front and back",
    cut_in="cut in from this edge",
    foam_line="Foam, from the label",
    write_title="What to write down",
    heads=(
        "slot",
        "feed, mm/s",
        "width in front, mm",
        "width at the back, mm",
        "mean, mm",
        "lag, mm",
    ),
    lag="lag: how far the wire's middle stays behind",
    then_title="Then into the workshop file, one table for each slot",
    then="Leave kerf_mm and estimate_kerf out. Three slots or more show how well the law holds; wirepath tells.",
    caution="The wire is at 200 to 400 °C: any touch burns. Only EPS and XPS. Extract the fumes at the wire. Never leave a hot wire standing in foam or alone. Extinguisher at hand. Local rules come first.",
    blank="current, A: ________     wire, mm: ________     date: ____________",
)

GERMAN = TestCutWords(
    title="Der Probeschnitt: wie breit Ihre Fuge ist",
    why="Der Draht schmilzt eine Fuge, breiter als er selbst. Wie breit, hängt von Draht, Strom, Schaum und Vorschub ab, und nur ein Schnitt sagt es. Zehn Minuten und ein Streifen Rest.",
    steps_title="Was zu tun ist",
    steps=(
        "Einen Rest vom Schaum nehmen, den Sie schneiden werden, gleich dick, und den Draht mit dem Strom, den Sie nehmen werden.",
        "Absaugung an. Hände nie nahe der Drahtlinie. Den Draht eine Minute heiß werden lassen.",
        "Jede Fuge gerade hinein, 200 mm lang, mit eigenem, gleichmäßigem Vorschub. Nicht darin anhalten. Durch die Fuge zurück, gleich schnell oder schneller.",
        "Am Draht entlang sehen: notieren, wie weit seine Mitte hinter den Enden bleibt. Mehr als ein Hundertstel der Drahtlänge ist zu schnell: diese Fuge weglassen.",
        "Den Schaum abkühlen lassen. Die volle Breite jeder Fuge auf halber Länge messen, vorn und hinten, mit Fühlerlehren oder locker gehaltenem Messschieber. Es zählt das Mittel.",
        "Vorschub und Breite hier eintragen, dann in die Werkstattdatei.",
    ),
    rest="Für jeden Schaum, Draht und Strom neu, und nach jedem Drahtwechsel.",
    slot="Fuge {number}",
    feed="{feed} mm/s",
    measure="hier die volle Breite messen, vorn und hinten",
    cut_in="von dieser Kante hinein",
    foam_line="Schaum, laut Etikett",
    write_title="Was einzutragen ist",
    heads=(
        "Fuge",
        "Vorschub, mm/s",
        "Breite vorn, mm",
        "Breite hinten, mm",
        "Mittel, mm",
        "Rückstand, mm",
    ),
    lag="Rückstand: wie weit die Mitte des Drahts zurückbleibt",
    then_title="Dann in die Werkstattdatei, eine Tabelle für jede Fuge",
    then="kerf_mm und estimate_kerf weglassen. Ab drei Fugen zeigt sich, wie gut das Gesetz gilt; wirepath sagt es.",
    caution="Der Draht hat 200 bis 400 °C: jede Berührung verbrennt. Nur EPS und XPS. Dämpfe am Draht absaugen. Einen heißen Draht nie im Schaum stehen oder allein lassen. Feuerlöscher zur Hand. Örtliche Vorschriften gehen vor.",
    blank="Strom, A: ________     Draht, mm: ________     Datum: ____________",
)

DUTCH = TestCutWords(
    title="De proefsnede: hoe breed uw zaagsnede is",
    why="De draad smelt een snede die breder is dan hijzelf. Hoe breed hangt af van draad, stroom, schuim en voeding, en alleen een snede zegt het. Tien minuten en een strook restschuim.",
    steps_title="Wat te doen",
    steps=(
        "Neem een rest van het schuim dat u gaat snijden, even dik, en de draad bij de stroom die u gaat gebruiken.",
        "Afzuiging aan. Handen nooit bij de lijn van de draad. Laat de draad een minuut op temperatuur komen.",
        "Snijd elke snede recht naar binnen, 200 mm lang, elk met een eigen, gelijkmatige voeding. Stop er niet in. Ga door de snede terug, even snel of sneller.",
        "Kijk langs de draad: noteer hoe ver het midden achterblijft bij de einden. Meer dan een honderdste van de draadlengte is te snel: laat die snede weg.",
        "Laat het schuim afkoelen. Meet de volle breedte van elke snede halverwege, voor en achter, met voelmaten of een losjes gehouden schuifmaat. Het gemiddelde telt.",
        "Schrijf voeding en breedte hier op, en dan in het werkplaatsbestand.",
    ),
    rest="Doe het opnieuw voor elk schuim, elke draad en stroom, en na het wisselen van de draad.",
    slot="snede {number}",
    feed="{feed} mm/s",
    measure="meet hier de volle breedte, voor en achter",
    cut_in="snijd in vanaf deze rand",
    foam_line="Schuim, volgens het etiket",
    write_title="Wat op te schrijven",
    heads=(
        "snede",
        "voeding, mm/s",
        "breedte voor, mm",
        "breedte achter, mm",
        "gemiddeld, mm",
        "achterstand, mm",
    ),
    lag="achterstand: hoe ver het midden van de draad achterblijft",
    then_title="Dan in het werkplaatsbestand, één tabel per snede",
    then="Laat kerf_mm en estimate_kerf weg. Drie sneden of meer tonen hoe goed de wet klopt; wirepath zegt het.",
    caution="De draad is 200 tot 400 °C: elke aanraking brandt. Alleen EPS en XPS. Zuig de dampen bij de draad af. Laat een hete draad nooit in schuim stilstaan of alleen. Brandblusser bij de hand. Plaatselijke regels gaan voor.",
    blank="stroom, A: ________     draad, mm: ________     datum: ____________",
)

TEST_CUT: Mapping[Language, TestCutWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
