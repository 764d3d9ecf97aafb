"""The CSV: comment lines in words, a header row, one row for each point; and its reader.

RFC 4180, after comment lines that begin with '#'. The reader takes the moves from the
rows alone, so that the check proves what was written.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from typing import get_args

from shapely import LineString

from wirepath.coordinates import two_ended
from wirepath.coordinates.heading import heading
from wirepath.coordinates.laying import SETUP_MARK, passes_of, put_back, read_setup
from wirepath.coordinates.spelling import fixed
from wirepath.coordinates.two_ended import Gaps
from wirepath.errors import Fault, FileError
from wirepath.model import Layout, Move, MoveKind, Pass, Plan, Setup

COLUMNS = ("pass", "step", "move", "piece", "x_mm", "y_mm", "feed_mm_per_s")

KINDS: dict[str, MoveKind] = {kind: kind for kind in get_args(MoveKind)}

COMMA = re.compile(r",-?\d+,\d{3},-?\d+,\d{3},\d+,\d{3}\b")
"""Three figures of a row, as written but for the decimal sign."""

MOST_DIGITS = 15
"""No figure of a file has more: so many a double number holds exactly."""

LAYOUT_MARK = "# layout: "
"""The one comment line that the reader needs: the number of the layout."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoordinateFile:
    """What one coordinate file says: the passes over one layout, in the layout's frame.

    `gaps` says where the wire's two ends move, in a file for two ends. `setup` is the number
    of the setup that a file is for, `lies` how the block lies in it.
    """

    layout: int
    passes: tuple[Pass, ...]
    gaps: Gaps | None = None
    setup: int | None = None
    lies: Setup | None = None


def coordinate_text(plan: Plan, layout: Layout, setup: int | None = None) -> str:
    """Return the text of a layout's coordinate file, lines ended by CR LF.

    Or that of one of its setups, by number, in figures of the table.
    """
    text = io.StringIO()
    for line in heading(plan, layout, setup):
        text.write(f"# {line}\r\n" if line else "#\r\n")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for one in passes_of(plan, layout, setup):
        writer.writerows(_rows(one))
    return text.getvalue()


def read_coordinates(path: Path) -> CoordinateFile:
    """Return what the coordinate file at `path` says.

    Raises FileError, with the line and all faults of the rows at once, where the file
    cannot be read or does not hold together.
    """
    try:
        text = path.read_bytes().decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(Fault(f"cannot be read: {error}", str(path), MEND)) from error
    return _Reader(str(path)).read(text)


MEND = "make the plan again; do not edit coordinate files by hand"


# --- Writing -----------------------------------------------------------------------


def _rows(one: Pass) -> Iterator[Sequence[object]]:
    for step, move in enumerate(one.moves, 1):
        feed = fixed(move.feed_mm_per_s)
        piece = "" if move.piece is None else move.piece
        for x, y in list(move.line.coords)[0 if step == 1 else 1 :]:
            yield one.number, step, move.kind, piece, fixed(x), fixed(y), feed


# --- Reading -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    number: int
    step: int
    kind: MoveKind
    piece: int | None
    at: tuple[float, float]
    feed: float

    @property
    def label(self) -> tuple[int, int, MoveKind, int | None, float]:
        """What all rows of a move share."""
        return self.number, self.step, self.kind, self.piece, self.feed


class _Reader:
    """Reads one file; collects the faults of its rows."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.faults: list[Fault] = []

    def read(self, text: str) -> CoordinateFile:
        self._refuse_saved_by_others(text)
        lines = text.splitlines()
        head = [line for line in lines if line.startswith("#")]
        layout = self._layout(head)
        number, lies = self._setup(head)
        # Comments stand only before the header row: what follows is counted from there.
        first = next((i for i, line in enumerate(lines) if not line.startswith("#")), len(lines))
        if any(line.startswith(two_ended.GAPS_MARK) for line in head):
            file = self._two_ended(head, lines[first:], first, layout, in_setup=lies is not None)
        else:
            rows = list(self._rows(lines[first:], first))
            passes = self._passes(layout, rows, in_setup=lies is not None)
            read = () if self.faults else tuple(passes)
            if self.faults:
                raise FileError(self.faults)
            file = CoordinateFile(layout=layout, passes=read)
        if number is None or lies is None:
            return file
        moved = put_back(file.passes, number, lies)
        return replace(file, passes=moved, setup=number, lies=lies)

    def _refuse_saved_by_others(self, text: str) -> None:
        """Raise FileError for what spreadsheets and editors make of a file as a whole.

        Told row by row it would be one fault a hundred times.
        """
        rows = [line for line in text.splitlines() if not line.startswith("#")]
        if not text.strip():
            self._fault("the file is empty")
        elif text.startswith("\ufeff"):
            self._fault("begins with a byte order mark, which an editor has put there", 1)
        elif rows and ";" in rows[0] and "," not in rows[0]:
            self._fault("semicolons part the columns: a spreadsheet has saved it")
        elif len(rows) > 1 and all(COMMA.search(row) for row in rows[1:]):
            self._fault("figures have decimal commas: a spreadsheet has saved it")
        if self.faults:
            raise FileError(self.faults)

    def _fault(self, what: str, line: int | None = None) -> None:
        where = self.name if line is None else f"{self.name}, line {line}"
        self.faults.append(Fault(what, where, MEND))

    def _layout(self, head: Sequence[str]) -> int:
        marks = [line.removeprefix(LAYOUT_MARK) for line in head if line.startswith(LAYOUT_MARK)]
        if len(marks) == 1:
            try:
                return _count(marks[0].strip())
            except ValueError:
                pass
        self._fault(f"one comment line must say the layout: '{LAYOUT_MARK}' and a number")
        return 0

    def _setup(self, head: Sequence[str]) -> tuple[int | None, Setup | None]:
        """Return which setup a file is for and how the block lies; None twice for none."""
        marks = [line for line in head if line.startswith(SETUP_MARK)]
        if not marks:
            return None, None
        try:
            (mark,) = marks
            return read_setup(mark)
        except ValueError as error:
            self._fault(str(error) if len(marks) == 1 else "two comment lines name a setup")
            return None, None

    def _two_ended(
        self, head: Sequence[str], lines: Sequence[str], first: int, layout: int, *, in_setup: bool
    ) -> CoordinateFile:
        """Return what a file for two ends says."""
        try:
            (mark,) = (line for line in head if line.startswith(two_ended.GAPS_MARK))
            gaps = two_ended.gaps_from(mark)
            rows = list(self._two_ended_rows(lines, first))
            passes = (
                ()
                if self.faults
                else tuple(two_ended.passes_from(rows, layout, gaps, in_setup=in_setup))
            )
        except ValueError as error:
            self._fault(str(error))
        if self.faults:
            raise FileError(self.faults)
        return CoordinateFile(layout=layout, passes=passes, gaps=gaps)

    def _two_ended_rows(self, lines: Sequence[str], offset: int) -> Iterator[two_ended.Row]:
        for line, fields in self._fields(lines, offset, two_ended.COLUMNS):
            label = self._row([*fields[:4], *fields[5:7], fields[4]], line)
            if label is None:
                continue
            try:
                near_feed, x, y, far_feed = (_number(field) for field in fields[7:])
            except ValueError as error:
                self._fault(str(error), line)
                continue
            yield two_ended.Row(
                number=label.number,
                step=label.step,
                kind=label.kind,
                piece=label.piece,
                feed=label.feed,
                near=label.at,
                near_feed=near_feed,
                far=(x, y),
                far_feed=far_feed,
            )

    def _rows(self, lines: Sequence[str], offset: int) -> Iterator[_Row]:
        for line, fields in self._fields(lines, offset, COLUMNS):
            row = self._row(fields, line)
            if row is not None:
                yield row

    def _fields(
        self, lines: Sequence[str], offset: int, columns: Sequence[str]
    ) -> Iterator[tuple[int, list[str]]]:
        """Yield each row's line number and fields, as many as there are `columns`."""
        reader = csv.reader(lines, strict=True)
        try:
            if next(reader, []) != list(columns):
                self._fault(f"the header row must read {','.join(columns)}", offset + 1)
                return
            for fields in reader:
                line = offset + reader.line_num
                if len(fields) == len(columns):
                    yield line, fields
                else:
                    self._fault(f"has {len(fields)} fields instead of {len(columns)}", line)
        except csv.Error as error:
            self._fault(f"is no CSV: {error}", offset + reader.line_num)

    def _row(self, fields: Sequence[str], line: int) -> _Row | None:
        number, step, move, piece, x, y, feed = fields
        kind = KINDS.get(move)
        if kind is None:
            self._fault(f"move {move!r} is unknown", line)
            return None
        try:
            row = _Row(
                number=_count(number),
                step=_count(step),
                kind=kind,
                piece=_count(piece) if piece else None,
                at=(_number(x), _number(y)),
                feed=_number(feed),
            )
        except ValueError as error:
            self._fault(str(error), line)
            return None
        if row.feed <= 0:
            self._fault(f"feed_mm_per_s must be more than 0, is {feed}", line)
            return None
        return row

    def _passes(self, layout: int, rows: Sequence[_Row], *, in_setup: bool) -> Iterator[Pass]:
        # The passes of a layout are counted on from one setup's file to the next.
        first = rows[0].number if in_setup and rows else 1
        for count, (number, group) in enumerate(groupby(rows, key=lambda row: row.number), first):
            if number != count:
                self._fault(f"pass {count} is missing: pass {number} comes in its place")
                return
            moves = tuple(self._moves(number, list(group)))
            yield Pass(layout=layout, number=number, moves=moves)

    def _moves(self, number: int, rows: Sequence[_Row]) -> Iterator[Move]:
        here: list[tuple[float, float]] = []
        for count, (label, group) in enumerate(groupby(rows, key=lambda row: row.label), 1):
            _, step, kind, piece, feed = label
            points = here + [row.at for row in group]
            if step != count:
                self._fault(f"pass {number}: step {step} comes where step {count} should")
                return
            if len(points) < 2:
                self._fault(f"pass {number}: the first step has a single point")
                return
            yield Move(kind=kind, line=LineString(points), feed_mm_per_s=feed, piece=piece)
            here = points[-1:]


def _count(text: str) -> int:
    """Return a number that counts from 1; ValueError otherwise."""
    digits = text.isascii() and text.isdecimal() and len(text) <= MOST_DIGITS
    if not (digits and int(text) > 0):
        raise ValueError(f"{text!r} is no number that counts from 1")
    return int(text)


def _number(text: str) -> float:
    """Return a plain decimal number; ValueError for anything else, such as 1e3 or nan."""
    digits = text.removeprefix("-").replace(".", "", 1)
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= MOST_DIGITS):
        raise ValueError(f"{text!r} is no plain decimal number")
    return float(text)
