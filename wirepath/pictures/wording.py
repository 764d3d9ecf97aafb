"""Every text of the picture for approval, in one place, so that it can be translated."""

from __future__ import annotations

from dataclasses import dataclass


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
