# ruff: noqa: E501  (a text is one line)
"""Every text of the picture for approval, in one place: English, German, Dutch."""

from __future__ import annotations

from dataclasses import dataclass

from wirepath.workshop import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class ApprovalWords:
    """All texts of the approval page in one language; figures come in ready to print."""

    title: str
    invented: str
    size: str
    size_value: str
    pieces: str
    weight: str
    weight_value: str
    weight_left: str
    foam: str
    seams: str
    seams_none: str
    seams_shown: str
    contours: str
    contours_shown: str
    date: str
    scale: str
    bar_metre: str
    bar_small: str
    not_shown: str
    approved: str
    name: str
    on: str


ENGLISH = ApprovalWords(
    title="For approval",
    invented="INVENTED DATA",
    size="Size",
    size_value="{width} x {height} x {depth} mm",
    pieces="Pieces of foam",
    weight="Weight",
    weight_value="{weight} kg of foam",
    weight_left="{weight} kg of foam as it is cut, before carving",
    foam="Foam",
    seams="Seams",
    seams_none="none but the joints drawn",
    seams_shown="dashed: foam is glued there",
    contours="Height",
    contours_shown="thin lines join places of one height",
    date="Date",
    scale="Scale",
    bar_metre="1 m",
    bar_small="100 mm",
    not_shown="Colour, coating, fixings and weight of the coating are not in this picture.",
    approved="Approved as drawn",
    name="name",
    on="date",
)

GERMAN = ApprovalWords(
    title="Zur Freigabe",
    invented="ERFUNDENE DATEN",
    size="Größe",
    size_value="{width} x {height} x {depth} mm",
    pieces="Teile aus Schaum",
    weight="Gewicht",
    weight_value="{weight} kg Schaum",
    weight_left="{weight} kg Schaum, geschnitten, vor dem Schnitzen",
    foam="Schaum",
    seams="Fugen",
    seams_none="keine außer den gezeichneten",
    seams_shown="gestrichelt: dort ist geklebt",
    contours="Höhe",
    contours_shown="dünne Linien verbinden gleiche Höhen",
    date="Datum",
    scale="Maßstab",
    bar_metre="1 m",
    bar_small="100 mm",
    not_shown="Farbe, Beschichtung, Befestigung und Gewicht der Beschichtung sind nicht dargestellt.",
    approved="Freigegeben wie gezeichnet",
    name="Name",
    on="Datum",
)

DUTCH = ApprovalWords(
    title="Ter goedkeuring",
    invented="VERZONNEN GEGEVENS",
    size="Maat",
    size_value="{width} x {height} x {depth} mm",
    pieces="Delen van schuim",
    weight="Gewicht",
    weight_value="{weight} kg schuim",
    weight_left="{weight} kg schuim, gesneden, voor de afwerking",
    foam="Schuim",
    seams="Naden",
    seams_none="geen behalve de getekende",
    seams_shown="gestreept: daar is gelijmd",
    contours="Hoogte",
    contours_shown="dunne lijnen verbinden gelijke hoogten",
    date="Datum",
    scale="Schaal",
    bar_metre="1 m",
    bar_small="100 mm",
    not_shown="Kleur, deklaag, bevestiging en gewicht van de deklaag staan niet op deze tekening.",
    approved="Goedgekeurd zoals getekend",
    name="naam",
    on="datum",
)

LANGUAGES: dict[Language, ApprovalWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}
