"""Address words: G1 X Y F lines as in ISO 6983, after the NIST RS274/NGC report (2000).

Only what every member of that family shares: absolute straight moves in one plane with
a feed in units per minute, comments in round brackets, no arcs, no rapid moves: in foam
a hot wire must keep its feed, and in air it must keep its line. Where the wire's ends
part, the far end has the letters U and V (secondary motions parallel to X and Y, ISO
6983-1), and the feed is given as inverse time, so that both ends arrive together. How
units and end are spelled is a setting. No file claims to fit any controller.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from wirepath.coordinates.heading import heading
from wirepath.coordinates.laying import passes_of
from wirepath.coordinates.spelling import fixed
from wirepath.coordinates.two_ended import about_ends, gaps_of, has_two_ends, ways_of
from wirepath.errors import Fault, SettingsError
from wirepath.model import Layout, Move, Pass, Plan
from wirepath.units import MM_PER_UNIT
from wirepath.workshop import Files

LONGEST_LINE = 256
"""Characters a line may have (RS274/NGC, section 3.3.1)."""

HIGHEST_NUMBER = 99_999
"""Highest line number (RS274/NGC, section 3.3.2); counting begins again after it."""

WORD = re.compile(r"[A-Z]\d{1,3}(\.\d)?")

MM_WORDS, INCH_WORDS = ("G21", "G71"), ("G20", "G70")


def refuse_settings(files: Files) -> None:
    """Raise SettingsError, all faults at once, where word files could not be spelled."""
    faults = [
        Fault(f"{word!r} is no word: a letter and a number", f"files.{key}", "write it as G21")
        for key, word in (("units_word", files.units_word), ("end_word", files.end_word))
        if not WORD.fullmatch(word)
    ]
    wrong = INCH_WORDS if files.unit == "mm" else MM_WORDS
    if files.units_word in wrong:
        faults.append(
            Fault(
                f"{files.units_word} does not say {files.unit}: every length would be wrong",
                "files.units_word",
                f"use {' or '.join(MM_WORDS if files.unit == 'mm' else INCH_WORDS)}, as the "
                "table wants it",
            )
        )
    if files.unit == "inch" and files.decimals < 4:
        faults.append(
            Fault(
                f"{files.decimals} decimals of an inch are too coarse",
                "files.decimals",
                "use 4 or more",
            )
        )
    if not files.ending.isalnum() or files.ending.lower() in ("csv", "dxf"):
        faults.append(
            Fault(
                f"{files.ending!r} is no ending for word files",
                "files.ending",
                "use letters and digits, not csv or dxf",
            )
        )
    if faults:
        raise SettingsError(faults)


def word_text(plan: Plan, layout: Layout, setup: int | None = None) -> str:
    """Return the text of a layout's word file, lines ended by CR LF.

    Or that of one of its setups, by number, in figures of the table.
    """
    files = plan.workshop.files
    lines: list[str] = []
    for number, line in enumerate(_lines(plan, layout, setup), 1):
        counted = f"N{(number - 1) % HIGHEST_NUMBER + 1} " if files.line_numbers else ""
        lines.append(f"{counted}{line}\r\n")
    return "".join(lines)


def _lines(plan: Plan, layout: Layout, setup: int | None) -> Iterator[str]:
    files = plan.workshop.files
    for words in heading(plan, layout, setup):
        yield from _comments(words)
    scale = 1 / MM_PER_UNIT[files.unit]
    two_ended = has_two_ends(plan, layout, setup)
    if two_ended:
        for words in about_ends(gaps_of(plan.workshop.rig, layout)):
            yield from _comments(words)
        yield from _comments(
            f"figures of the moves: {files.unit}; X Y the near end, U V the far end; F: one "
            "divided by the minutes a move takes"
        )
    else:
        yield from _comments(
            f"figures of the moves: {files.unit}, feeds in {files.unit} per minute"
        )
    yield f"{files.units_word} G90 G17 {'G93' if two_ended else 'G94'}"
    for one in passes_of(plan, layout, setup):
        yield from _comments(
            f"pass {one.number}: {_before(one, waits=plan.workshop.rig.waits_at is not None)}; "
            "then go on"
        )
        yield "M0"
        feed_now = ""
        for step, move in enumerate(one.moves, 1):
            yield from _comments(
                f"step {step}: {move.kind}"
                + ("" if move.piece is None else f", piece {move.piece}")
            )
            if two_ended:
                yield from _two_ended_moves(plan, layout, move, step == 1, scale)
                continue
            feed = f" F{fixed(move.feed_mm_per_s * 60 * scale, files.decimals)}"
            for x, y in list(move.line.coords)[0 if step == 1 else 1 :]:
                at = (fixed(value * scale, files.decimals) for value in (x, y))
                yield "G1 X{} Y{}".format(*at) + (feed if feed != feed_now else "")
                feed_now = feed
        if one.is_threaded:
            yield from _comments("power off, wire cold: unhook it, draw it out, hook it up again")
            yield "M0"
    yield files.end_word


def _two_ended_moves(
    plan: Plan, layout: Layout, move: Move, is_first: bool, scale: float
) -> Iterator[str]:
    """Yield the lines of a move of two ends, where they move, each with its time inverted.

    The first point of a pass is one the wire was brought to by hand: a minute is time
    enough to come to it.
    """
    decimals = plan.workshop.files.decimals
    near, far = ways_of(move)
    longer = np.maximum(*(np.hypot(*np.diff(way, axis=0).T) for way in (near, far)))
    minutes = [1.0, *(longer / move.feed_mm_per_s / 60)]
    ends = np.hstack(gaps_of(plan.workshop.rig, layout).at_ends(near, far)) * scale
    for place, minute in list(zip(ends, minutes, strict=True))[0 if is_first else 1 :]:
        at = " ".join(
            f"{letter}{fixed(value, decimals)}" for letter, value in zip("XYUV", place, strict=True)
        )
        yield f"G1 {at} F{fixed(1 / minute, decimals)}"


def _before(one: Pass, *, waits: bool) -> str:
    """Return what is to be done by hand before a pass."""
    if one.is_threaded:
        return (
            "power off, wire cold: make a hole through the foam at the next point, unhook the "
            "wire, thread it through there, hook it up"
        )
    if waits:
        return "the wire waits at the next point, clear of the foam"
    return "bring the wire by hand, clear of the foam, to the next point"


def _comments(text: str) -> Iterator[str]:
    """Yield comment lines in plain letters: no brackets inside, none too long."""
    plain = text.translate(str.maketrans("()", "[]")).encode("ascii", "replace").decode()
    room = LONGEST_LINE - len("N99999 ()\r\n")
    for start in range(0, len(plain), room):
        yield f"({plain[start : start + room]})"
