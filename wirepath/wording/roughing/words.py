"""What is said of roughing, on paper, on the phone and on the screen, in each language.

Ways are known by their English names, which a job file may give; figures in them are
lifted out, so that one text serves `3 strips across` and `4 strips across` alike.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from wirepath.model import Blank, FaceName, RoughingKind, RoughingNote, RoughingNoteKind

FIGURE = re.compile(r"\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughingWords:
    """Sentences with their gaps in braces."""

    front_title: str
    front_text: str
    blanks: str
    blanks_heads: tuple[str, ...]
    title: str
    cut_title: str
    map_title: str
    kinds: tuple[tuple[RoughingKind, str], ...]
    faces: tuple[tuple[FaceName, str], ...]
    way_names: tuple[tuple[str, str], ...]
    """English name, its figures as {}; what it is called."""
    notes: tuple[tuple[RoughingNoteKind, str], ...]
    picked: str
    bound_blanks: str
    bound_rig: str
    """Of one block, where the rig reaches less than straight wires anywhere."""
    left: str
    left_known: str
    """Where the form's volume is known, so that both figures of `left` are one."""
    left_hours: str
    left_hours_known: str
    ways: str
    ways_heads: tuple[str, ...]
    order: str
    order_heads: tuple[str, ...]
    order_why: str
    order_why_pieces: str
    order_why_glued: str
    no_cuts: str
    copies: str
    piece: str
    block: str
    glued_form: str
    take_piece: str
    cradle_piece: str
    faces_named: str
    before: str
    after: str
    steps: str
    step_mark: str
    step_mark_back: str
    step_cut: str
    edge_places: tuple[tuple[str, str, str], ...]
    """Where on an edge of a face something is: (face, edge, text)."""
    step_lines: tuple[tuple[str, str], ...]
    """Which line to draw on a face: (face, text)."""
    step_table: str
    step_standing: tuple[tuple[str, str], ...]
    """How a block is set that stands on an edge, by the face that then lies on top."""
    step_tilt: str
    step_beside: str
    step_square: str
    line_captions: tuple[tuple[str, str], ...]
    """By the face that the line is drawn on."""
    step_file: str
    step_slab: str
    step_slit: str
    step_both: str
    step_wire: str
    step_off: str
    step_off_small: str
    keep: str
    two: str
    more: str
    lay_back: str
    marks: str
    marks_on: str
    marks_heads: tuple[str, ...]
    points: str
    points_heads: tuple[str, ...]
    ruled_heads: tuple[str, ...]
    first_end: str
    second_end: str
    plane: str
    plot: str
    depth: str
    cautions: str


def way_name(way: str, words: RoughingWords) -> str:
    """Return what a way of roughing is called; its own name where the language has none."""
    named = dict(words.way_names).get(FIGURE.sub("{}", way), FIGURE.sub("{}", way))
    return named.format(*FIGURE.findall(way))


def note_text(note: RoughingNote, words: RoughingWords) -> str:
    """Return a note as a sentence."""
    ways = ", ".join(way_name(way, words) for way in note.ways)
    return dict(words.notes)[note.kind].format(*note.values, ways=ways)


def blank_name(blank: Blank, names: Mapping[int, str], words: RoughingWords) -> str:
    """Return what is cut: a piece by its name, else a block of the roughing's own."""
    if not blank.pieces:
        return words.block.format(number=blank.number)
    if len(blank.pieces) > 1:
        return words.glued_form
    number = blank.pieces[0]
    return words.piece.format(number=number, name=names.get(number, ""))
