"""Every text printed on templates, in one place, so that it can be translated."""

from __future__ import annotations

from dataclasses import dataclass


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
    edge_title: str
    edge: str
    edge_board: str
    stations_title: str
    stations: str
    stations_pair: str
    pair_title: str
    pair_near: str
    pair_far: str
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
    edge_title="The edge of a template",
    edge=(
        "To follow a line by eye, mark the dashed line on the foam. "
        "Where the wire slides against a template, its middle keeps half its thickness off the "
        "edge: cut the board {radius} mm inside the dashed line, on the piece's side, "
        "which is {board} mm off the finished edge."
    ),
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
    pair_title="Two templates",
    pair_near="Near face: on the front of the piece, as you look at it. The drawing as it is.",
    pair_far=(
        "Far face: on the back of the piece. MIRRORED, printed side towards you as you look at the "
        "back. Set it square through the block from the near one, station to station."
    ),
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
)
