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
import re
from collections import Counter
from collections.abc import Iterator
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
    *(b"POLYLINE", b"VERTEX", b"SEQEND", b"INSERT", b"BLOCK", b"ENDBLK", b"TEXT", b"3DFACE"),
    b"ENDSEC",
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
    with _no_garbage_collection():
        document, mended = _open(path, data, is_binary)
    return Loaded(
        document=document,
        mended=mended,
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
    for mended, opening in (
        ("", lambda: ezdxf.filemanagement.readfile(path)),
        ("recovered", lambda: ezdxf.recover.read(io.BytesIO(data))[0]),
        ("patched", lambda: _open_patched(data, is_binary)),
    ):
        try:
            return opening(), mended
        except (Exception, RecursionError) as error:  # see above
            reasons.append(f"{error}".strip() or type(error).__name__)
    raise DrawingError(
        Fault(
            f"this DXF is damaged beyond reading ({reasons[0][:200]})",
            str(path),
            "open it in a drawing program and save it again as DXF, version 2000 or later",
        )
    )


def _open_patched(data: bytes, is_binary: bool) -> Any:
    """Return the document after giving its entities the markers its version demands."""
    if is_binary:
        raise ValueError("a binary file cannot be patched as text")
    lines = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    start = next((i for i in range(0, len(lines) - 1) if lines[i].strip() == b"0"), 0)
    tags = [
        (lines[i].strip(), lines[i + 1])
        for i in range(start, len(lines) - 1, 2)
        if lines[i].strip()
    ]
    patched = list(_with_markers(tags))
    text = b"".join(code + b"\n" + value + b"\n" for code, value in patched)
    return ezdxf.recover.read(io.BytesIO(text))[0]


def _with_markers(tags: list[tuple[bytes, bytes]]) -> Iterator[tuple[bytes, bytes]]:
    """Yield the tags of header and entities, with version 2000 and subclass markers.

    Only the sections a drawing cannot do without are kept: what is broken elsewhere
    (tables, objects) would stop the reader and holds no curve.
    """
    yield from ((b"0", b"SECTION"), (b"2", b"HEADER"), (b"9", b"$ACADVER"), (b"1", b"AC1015"))
    yield (b"0", b"ENDSEC")
    section = b""
    entity: list[tuple[bytes, bytes]] = []
    for code, value in [*tags, (b"0", b"EOF")]:
        word = value.strip()
        if code == b"0":
            if section in (b"ENTITIES", b"BLOCKS"):
                yield from _marked(entity)
            entity = [(code, word)]
            if word == b"ENDSEC":
                if section in (b"ENTITIES", b"BLOCKS"):
                    yield (b"0", b"ENDSEC")
                section, entity = b"", []
            elif word in (b"SECTION", b"EOF"):
                entity = []
                section = b"?" if word == b"SECTION" else b""
        elif section == b"?" and code == b"2":
            section = word
            if section in (b"ENTITIES", b"BLOCKS"):
                yield from ((b"0", b"SECTION"), (b"2", section))
        else:
            entity.append((code, value))
    yield (b"0", b"EOF")


def _marked(entity: list[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    """Return the tags of one entity with the subclass markers of its kind, in their place."""
    if not entity or entity[0][1] not in _BARE_KINDS:
        return entity if entity and entity[0][1] in _KEPT_KINDS else []
    name = _BARE_KINDS[entity[0][1]]
    tags = [tag for tag in entity[1:] if tag[0] not in (b"100", b"5", b"330")]
    head = [tag for tag in tags if tag[0] in _COMMON_CODES]
    body = [tag for tag in tags if tag[0] not in _COMMON_CODES]
    marked = [entity[0], (b"100", b"AcDbEntity"), *head, (b"100", name)]
    if entity[0][1] == b"ARC":
        split = next((i for i, tag in enumerate(body) if tag[0] in (b"50", b"51")), len(body))
        return [*marked, *body[:split], (b"100", b"AcDbArc"), *body[split:]]
    return [*marked, *body]


def _entities_in(data: bytes) -> Counter[str]:
    """Return how many entities of each kind the ENTITIES section holds, by its own bytes.

    A line '0' followed by a word always starts an entity: as the value of another
    group it would be followed by the next group's number.
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
def _no_garbage_collection() -> Iterator[None]:
    """Hold the collector back: a document is a hundred thousand objects that all stay alive."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
