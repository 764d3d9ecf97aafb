"""Address words: G1 X Y F lines as in ISO 6983, after the NIST RS274/NGC report (2000).

Only what every member of that family shares: absolute straight moves in one plane with
a feed in units per minute, comments in round brackets, no arcs, no rapid moves: in foam
a hot wire must keep its feed, and in air it must keep its line. How units and end are
spelled is a setting. No file claims to fit any controller.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from wirepath.coordinates.heading import fixed, heading
from wirepath.errors import Fault, SettingsError
from wirepath.model import Layout, Pass, Plan
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


def word_text(plan: Plan, layout: Layout) -> str:
    """Return the text of a layout's word file, lines ended by CR LF."""
    files = plan.workshop.files
    lines: list[str] = []
    for number, line in enumerate(_lines(plan, layout), 1):
        counted = f"N{(number - 1) % HIGHEST_NUMBER + 1} " if files.line_numbers else ""
        lines.append(f"{counted}{line}\r\n")
    return "".join(lines)


def _lines(plan: Plan, layout: Layout) -> Iterator[str]:
    files = plan.workshop.files
    for words in heading(plan, layout):
        yield from _comments(words)
    yield from _comments(f"figures of the moves: {files.unit}, feeds in {files.unit} per minute")
    yield f"{files.units_word} G90 G17 G94"
    scale = 1 / MM_PER_UNIT[files.unit]
    for one in plan.passes:
        if one.layout != layout.number:
            continue
        yield from _comments(f"pass {one.number}: {_before(one)}; then go on")
        yield "M0"
        feed_now = ""
        for step, move in enumerate(one.moves, 1):
            yield from _comments(
                f"step {step}: {move.kind}"
                + ("" if move.piece is None else f", piece {move.piece}")
            )
            feed = f" F{fixed(move.feed_mm_per_s * 60 * scale, files.decimals)}"
            for x, y in list(move.line.coords)[0 if step == 1 else 1 :]:
                at = (fixed(value * scale, files.decimals) for value in (x, y))
                yield "G1 X{} Y{}".format(*at) + (feed if feed != feed_now else "")
                feed_now = feed
        if one.is_threaded:
            yield from _comments("power off, wire cold: unhook it, draw it out, hook it up again")
            yield "M0"
    yield files.end_word


def _before(one: Pass) -> str:
    """Return what is to be done by hand before a pass."""
    if one.is_threaded:
        return (
            "power off, wire cold: make a hole through the foam at the next point, unhook the "
            "wire, thread it through there, hook it up"
        )
    return "bring the wire by hand, clear of the foam, to the next point"


def _comments(text: str) -> Iterator[str]:
    """Yield comment lines in plain letters: no brackets inside, none too long."""
    plain = text.translate(str.maketrans("()", "[]")).encode("ascii", "replace").decode()
    room = LONGEST_LINE - len("N99999 ()\r\n")
    for start in range(0, len(plain), room):
        yield f"({plain[start : start + room]})"
