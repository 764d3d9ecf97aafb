"""A file on disk -> an ezdxf document, by whichever way it can still be read.

In this order: as it is; with ezdxf's recovery; as text to which the markers that its
version demands are added. What is lost on the way is counted from the bytes, which
no library had its hands on.
"""

from __future__ import annotations

import contextlib
import gc
import io
import logging
import math
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ezdxf.filemanagement
import ezdxf.recover

from wirepath.errors import DrawingError, Fault, FileError

MOST_BYTES = 300_000_000
"""Larger files are refused: ezdxf takes about ten times the file's size in memory."""

MOST_ENTITIES = 400_000
"""More are refused: ezdxf needs about 30 s and 2 GB for so many."""

BINARY_MARK = b"AutoCAD Binary DXF\r\n\x1a\x00"
"""The first 22 bytes of a binary DXF, as the DXF reference prints them."""

UNIT_NAMES = {
    1: "inch",
    2: "foot",
    3: "mile",
    4: "mm",
    5: "cm",
    6: "m",
    7: "km",
    8: "microinch",
    9: "mil",
    10: "yard",
    11: "angstrom",
    12: "nm",
    13: "micron",
    14: "dm",
    15: "dam",
    16: "hm",
    17: "Gm",
    18: "au",
    19: "ly",
    20: "pc",
    21: "US survey foot",
    22: "US survey inch",
    23: "US survey yard",
    24: "US survey mile",
}
"""Codes of the header variable $INSUNITS, as the DXF reference lists them; 0 is 'unitless'."""

UNIT_MM = {
    "inch": 25.4,
    "foot": 304.8,
    "mile": 1_609_344.0,
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "km": 1e6,
    "microinch": 25.4e-6,
    "mil": 0.0254,
    "yard": 914.4,
    "angstrom": 1e-7,
    "nm": 1e-6,
    "micron": 1e-3,
    "dm": 100.0,
    "dam": 1e4,
    "hm": 1e5,
    "Gm": 1e12,
    "au": 1.495978707e14,
    "ly": 9.4607304725808e18,
    "pc": 3.0856775814913673e19,
    "US survey foot": 1200_000 / 3937,
    "US survey inch": 100_000 / 3937,
    "US survey yard": 3_600_000 / 3937,
    "US survey mile": 1200_000 / 3937 * 5280,
}
"""Millimetres: international inch, foot, yard and mile (1959), SI, IAU 2012 for au; the US
survey foot is 1200/3937 m by definition."""

Tag = tuple[bytes, bytes]
"""A group of a DXF: its number and its value, as they stand in the file."""

_ENTITY_START = re.compile(rb"(?m)^[ \t]*0[ \t]*\r?\n(?=[ \t]*[A-Z0-9_]*[A-Z])")
"""A line '0' before a word always starts something: as a value it would stand before a
number. So this finds its feet again after any damage."""

_BARE_KINDS = {
    b"LWPOLYLINE": b"AcDbPolyline",
    b"SPLINE": b"AcDbSpline",
    b"ELLIPSE": b"AcDbEllipse",
    b"LINE": b"AcDbLine",
    b"CIRCLE": b"AcDbCircle",
    b"ARC": b"AcDbCircle",
    b"POINT": b"AcDbPoint",
}

_KEPT_KINDS = {
    *(b"POLYLINE", b"VERTEX", b"SEQEND", b"INSERT", b"ATTRIB", b"BLOCK", b"ENDBLK"),
    *(b"TEXT", b"3DFACE"),
}
"""Kinds that need no marker. Others are lost on the last way of reading, and counted."""

_COMMON_CODES = {b"8", b"6", b"62", b"60", b"48", b"67", b"410", b"370", b"420"}
"""Groups that every entity may have: layer, linetype, colour, visibility, space ..."""

# ezdxf reports what it mends on its log; the counts below tell the user instead.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """An opened document and how it came to be."""

    document: Any
    mended: str
    """How it was read, if not as it is: 'recovered', 'patched'; else empty."""
    unit_code: int | None
    """The header's $INSUNITS; None where the file has none (ezdxf then makes one up)."""
    metric: int | None
    """The header's $MEASUREMENT: 0 imperial, 1 metric."""
    has_end: bool
    """Whether the file ends with its end mark; one cut short does not."""
    found: Counter[str]
    """Entities of each kind standing in the file's ENTITIES section; empty for binary files."""


def load(path: Path) -> Loaded:
    """Return the document at `path`.

    Raises FileError where the file cannot be read, DrawingError where it is no DXF or
    larger than `MOST_BYTES` or `MOST_ENTITIES`.
    """
    data = read_bytes(path)
    is_binary = data.startswith(BINARY_MARK)
    if not is_binary and not re.search(rb"(?m)^\s*SECTION\s*$", data):
        raise DrawingError(_not_dxf(path, data))
    found = Counter() if is_binary else _entities_in(data)
    if found.total() > MOST_ENTITIES:
        raise DrawingError(
            Fault(
                f"the drawing holds {found.total()} entities; {MOST_ENTITIES} are the most "
                "that are read",
                str(path),
                "join lines into polylines, simplify traced outlines, or split the drawing",
            )
        )
    document, mended = _open(path, data, is_binary)
    return Loaded(
        document=document,
        mended=mended,
        has_end=data.rstrip(b"\x00\x1a\r\n\t ").endswith(b"EOF"),
        unit_code=_header_number(data, b"$INSUNITS", is_binary),
        metric=_header_number(data, b"$MEASUREMENT", is_binary),
        found=found,
    )


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a drawing. Raises FileError, or DrawingError past `MOST_BYTES`."""
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise DrawingError(
                Fault(
                    f"the file has {size / 1e6:.0f} MB; {MOST_BYTES / 1e6:.0f} MB is the most "
                    "that is read",
                    str(path),
                    "simplify traced outlines, or split the drawing",
                )
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise FileError(
            Fault("there is no such file", str(path), "check the name and the folder")
        ) from None
    except IsADirectoryError:
        raise FileError(
            Fault("this is a folder, not a file", str(path), "give the file's own name")
        ) from None
    except OSError as error:
        raise FileError(
            Fault(f"cannot be read: {error.strerror or error}", str(path), "check its permissions")
        ) from error


def _open(path: Path, data: bytes, is_binary: bool) -> tuple[Any, str]:
    """Return the document and how it was mended.

    A damaged file makes ezdxf raise nearly anything, so every Exception leads to the
    next way of reading it and the last one to a plain refusal.
    """
    reasons = []
    for mended, opening in _ways(path, data, is_binary):
        try:
            document = opening()
            document.modelspace()  # a damaged file may load without one
            return document, mended
        except (Exception, RecursionError) as error:  # see above
            reasons.append(f"{error}".strip() or type(error).__name__)
    raise DrawingError(
        Fault(
            f"this DXF is damaged beyond reading ({reasons[0][:200]})",
            str(path),
            "open it in a drawing program and save it again as DXF, version 2000 or later",
        )
    )


def _ways(path: Path, data: bytes, is_binary: bool) -> Iterator[tuple[str, Callable[[], Any]]]:
    """Yield how to open the file, most faithful first, each with what to call it."""
    yield "", lambda: ezdxf.filemanagement.readfile(path)
    recovered = ("recovered", lambda: ezdxf.recover.read(io.BytesIO(data))[0])
    if is_binary:
        yield recovered
        return
    # Recovery drops a broken figure and keeps the rest of the entity, whose shape is then
    # another. Where there is such a figure, the entity is left out whole instead.
    patched = ("patched", lambda: _open_patched(data))
    has_broken = None in [_chunk(part) for part in re.split(_ENTITY_START, data)[1:]]
    yield from (patched, recovered) if has_broken else (recovered, patched)


def _open_patched(data: bytes) -> Any:
    """Return the document made of what is sound in header, blocks and entities.

    Other sections are left out: what is broken there would stop the reader and holds no
    curve. Entities with a broken group are left out whole, and counted by the caller.
    """
    chunks = [_chunk(part) for part in re.split(_ENTITY_START, data)[1:]]
    kept = [tag for group in _sound_groups(chunks) for chunk in group for tag in chunk]
    version = [(b"0", b"SECTION"), (b"2", b"HEADER"), (b"9", b"$ACADVER"), (b"1", b"AC1015")]
    tags = [*version, (b"0", b"ENDSEC"), *kept, (b"0", b"EOF")]
    text = b"".join(code + b"\n" + value + b"\n" for code, value in tags)
    return ezdxf.recover.read(io.BytesIO(text))[0]


def _chunk(part: bytes) -> list[Tag] | None:
    """Return the tags from one '0' to the next, its own first; None where one is broken."""
    lines = part.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    while lines and not lines[-1].strip():
        lines.pop()
    kind, *rest = lines
    codes = [line.strip() for line in rest[0::2]]
    values = [*rest[1::2], b""][: len(codes)]
    tags = list(zip(codes, values, strict=True))
    count = Counter(code for code, _ in tags)
    # Points are groups 10-18 with their y in 20-28; old programs write all x first.
    paired = all(count[b"%d" % x] == count[b"%d" % (x + 10)] for x in range(10, 19))
    return [(b"0", kind.strip()), *tags] if paired and all(map(_is_sound, tags)) else None


def _is_sound(tag: Tag) -> bool:
    """Return whether a group's number is one and its value of the type that number means.

    Ranges as the DXF reference gives them: 10-59, 110-149 and 210-239 hold figures with a
    decimal point, 60-79 and 90-99 whole numbers.
    """
    code, value = tag
    if not code.isdigit() or len(code) > 4:
        return False
    number = int(code)
    try:
        if 10 <= number <= 59 or 110 <= number <= 149 or 210 <= number <= 239:
            return math.isfinite(float(value))
        if 60 <= number <= 79 or 90 <= number <= 99:
            int(value)
    except ValueError:
        return False
    return True


def _sound_groups(chunks: list[list[Tag] | None]) -> Iterator[list[list[Tag]]]:
    """Yield the entities of blocks and model with what belongs to them, markers added.

    A polyline with a broken vertex is left out as a whole: it would change its shape.
    """
    section = b""
    group: list[list[Tag] | None] = []
    for chunk in [*chunks, [(b"0", b"EOF")]]:
        kind = chunk[0][1] if chunk else b""
        if chunk and kind in (b"VERTEX", b"ATTRIB", b"SEQEND") and group:
            group.append(chunk)
            continue
        if chunk is None and group and group[0] and group[0][0][1] in (b"POLYLINE", b"INSERT"):
            group.append(None)
            continue
        sound = [_marked(part) for part in group if part]
        if len(sound) == len(group) and all(sound):
            yield sound
        group = []
        if kind == b"SECTION":
            names = [value.strip() for code, value in chunk or () if code == b"2"]
            section = names[0] if names else b""
            if section in (b"ENTITIES", b"BLOCKS"):
                yield [[(b"0", kind), (b"2", section)]]
        elif kind == b"ENDSEC":
            if section in (b"ENTITIES", b"BLOCKS"):
                yield [[(b"0", kind)]]
            section = b""
        elif section in (b"ENTITIES", b"BLOCKS") and chunk:
            group = [chunk]


def _marked(entity: list[Tag]) -> list[Tag]:
    """Return the tags of one entity with the subclass markers of its kind, in their place."""
    kind = entity[0][1]
    if kind not in _BARE_KINDS:
        return entity if kind in _KEPT_KINDS else []
    tags = [tag for tag in entity[1:] if tag[0] not in (b"100", b"5", b"330")]
    head = [tag for tag in tags if tag[0] in _COMMON_CODES]
    body = [tag for tag in tags if tag[0] not in _COMMON_CODES]
    marked = [entity[0], (b"100", b"AcDbEntity"), *head, (b"100", _BARE_KINDS[kind])]
    if kind == b"ARC":
        split = next((i for i, tag in enumerate(body) if tag[0] in (b"50", b"51")), len(body))
        return [*marked, *body[:split], (b"100", b"AcDbArc"), *body[split:]]
    return [*marked, *body]


def _entities_in(data: bytes) -> Counter[str]:
    """Return how many entities of each kind the ENTITIES section holds, by its own bytes.

    Counted as `_ENTITY_START` finds them.
    """
    start = re.search(rb"(?m)^[ \t]*2[ \t]*\r?\n[ \t]*ENTITIES[ \t]*\r?$", data)
    if not start:
        return Counter()
    end = re.compile(rb"(?m)^[ \t]*0[ \t]*\r?\n[ \t]*ENDSEC[ \t]*\r?$").search(data, start.end())
    part = data[start.end() : end.start() if end else len(data)]
    words = re.findall(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*([A-Z0-9_]*[A-Z][A-Z0-9_]*)", part)
    counts = Counter(word.decode("ascii") for word in words)
    for part_of_another in ("VERTEX", "SEQEND", "ATTRIB", "ENDSEC", "EOF", "SECTION"):
        counts.pop(part_of_another, None)
    return counts


def _header_number(data: bytes, name: bytes, is_binary: bool) -> int | None:
    """Return a whole number from the header, read from the bytes; None where it is absent.

    ezdxf fills in a header variable that the file does not have, so it cannot be asked.
    """
    if is_binary:
        match = re.search(re.escape(name) + rb"\x00F\x00?(..)", data, re.DOTALL)
        return int.from_bytes(match[1], "little") if match else None
    match = re.search(re.escape(name) + rb"[ \t]*\r?\n[ \t]*70[ \t]*\r?\n[ \t]*(\d{1,4})\b", data)
    return int(match[1]) if match else None


def _not_dxf(path: Path, data: bytes) -> Fault:
    if not data.strip():
        return Fault("the file is empty", str(path), "save the drawing again as DXF")
    if data[:2] == b"AC" and data[2:6].isdigit():
        return Fault(
            "this is a DWG, not a DXF",
            str(path),
            "save the drawing as DXF (ASCII or binary) in the program it was made with",
        )
    return Fault("this is not a DXF", str(path), "save the drawing as DXF")


@contextlib.contextmanager
def no_garbage_collection() -> Iterator[None]:
    """Hold the collector back: a drawing is a hundred thousand objects that all stay alive.

    Searching them for rubbish, of which there is none, would take a third of the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
