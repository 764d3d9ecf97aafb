"""STL files -> meshes. Both kinds: binary, and text.

The format is that of the StereoLithography Interface Specification (3D Systems, 1989, from
memory): 80 bytes of header, a count, then for each face a normal and three corners in
single precision and two spare bytes; or the words facet, vertex, endfacet between a line that
begins with solid and one that begins with endsolid. It knows no unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wirepath.errors import DrawingError, Fault, FileError
from wirepath.model import EntityCount, Mesh
from wirepath.tracing.drawing import Drawing

HEADER_BYTES = 80
FACE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
FACE_WORDS = ("facet", "vertex", "vertex", "vertex", "endfacet")


def read_stl(path: Path, *, scale: float = 1.0) -> Mesh:
    """Return the mesh in an STL file, its figures times `scale` in mm.

    Corners at one and the same place are one; faces with two such corners are left out. Raises
    FileError where the file cannot be read and DrawingError where it is damaged or cut off.
    """
    return _read(path, scale)[0]


def read_stl_drawing(path: Path) -> Drawing:
    """Return an STL file as a drawing that holds its mesh alone. Raises as `read_stl`."""
    mesh, found = _read(path, 1.0)
    read = len(mesh.faces)
    count = EntityCount(
        kind="face",
        found=found,
        read=read,
        ignored=found - read,
        refused=0,
        why="two corners lie at one place" if read < found else "",
    )
    return Drawing(name=path.name, meshes=(mesh,), counts=(count,), is_mesh=True)


def _read(path: Path, scale: float) -> tuple[Mesh, int]:
    """Return the mesh in an STL file, and how many faces the file holds."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(Fault(f"cannot be read: {error.strerror}", str(path))) from None
    # Binary files may begin with 'solid' as text files do, but text holds no zero bytes.
    is_text = data.lstrip()[:5].lower() == b"solid" and b"\0" not in data
    try:
        corners = _from_text(data) if is_text else _from_binary(data)
        points, places = np.unique(corners.reshape(-1, 3) * scale, axis=0, return_inverse=True)
        faces = places.reshape(-1, 3)
        faces = faces[(faces != np.roll(faces, 1, axis=1)).all(axis=1)]
        if not len(faces):
            raise DrawingError(Fault("the mesh has no faces", "", "export it again"))
        if not np.isfinite(points).all():
            raise DrawingError(Fault("a corner of the mesh is no number", "", "export it again"))
    except DrawingError as error:
        raise DrawingError([fault.inside(path) for fault in error.faults]) from None
    mesh = Mesh(
        layer=path.stem,
        points=tuple(map(tuple, points.tolist())),
        faces=tuple(map(tuple, faces.tolist())),
    )
    return mesh, len(corners)


def _from_binary(data: bytes) -> np.ndarray:
    """Return corners (n, 3, 3). Raises DrawingError where the length does not fit the count."""
    mend = "export the mesh again as STL"
    begin = HEADER_BYTES + 4
    if len(data) < begin:
        raise DrawingError(Fault("is no STL file, or one cut off in its header", "", mend))
    count = int.from_bytes(data[HEADER_BYTES:begin], "little")
    wanted = begin + count * FACE.itemsize
    if len(data) != wanted:
        raise DrawingError(
            Fault(
                "is no STL file, or one cut off or damaged: it counts "
                f"{count} faces, which take {wanted} bytes, but holds {len(data)} bytes, enough "
                f"for {(len(data) - begin) // FACE.itemsize} faces",
                "",
                mend,
            )
        )
    faces = np.frombuffer(data, dtype=FACE, offset=begin)
    return faces["corners"].astype(float)


def _from_text(data: bytes) -> np.ndarray:
    """Return corners (n, 3, 3). Raises DrawingError where a solid does not end, or a face is
    not three corners of three figures."""
    text = data.decode("ascii", errors="replace").lower()
    lines = [line.split() for line in text.splitlines()]
    heads = [line[0] if line else "" for line in lines]
    if heads.count("endsolid") < heads.count("solid"):
        last = max(number for number, line in enumerate(lines, 1) if line)
        raise DrawingError(
            Fault(
                f"the file is cut off: it ends with {' '.join(lines[last - 1])[:60]!r}, not with "
                "'endsolid'",
                f"line {last}, its last",
                "export the mesh again as STL, and let it be written to its end",
            )
        )
    # The names of solids may be any words, those of faces among them.
    inside = [
        (word, number)
        for number, line in enumerate(lines, 1)
        if line and line[0] not in ("solid", "endsolid")
        for word in line
    ]
    words = [word for word, _ in inside]
    marks = [k for k, word in enumerate(words) if word in FACE_WORDS]
    for count, k in enumerate(marks):
        if words[k] != FACE_WORDS[count % len(FACE_WORDS)]:
            raise _faulty(count, inside[k][1])
    if len(marks) % len(FACE_WORDS):
        raise _faulty(len(marks), len(lines))
    spots = [k for k in marks if words[k] == "vertex"]
    return np.array([_figures(words, k, inside[k][1]) for k in spots]).reshape(-1, 3, 3)


def _figures(words: Sequence[str], place: int, line: int) -> list[float]:
    """Return the three figures after the word 'vertex'."""
    try:
        x, y, z = (float(word) for word in words[place + 1 : place + 4])
    except ValueError:
        raise DrawingError(
            Fault(
                "a corner lacks a figure, or has one that is no number",
                f"line {line}",
                "export the mesh again as STL",
            )
        ) from None
    return [x, y, z]


def _faulty(marks: int, line: int) -> DrawingError:
    return DrawingError(
        Fault(
            f"face {marks // len(FACE_WORDS) + 1} lacks a corner or has one too many",
            f"line {line}",
            "export the mesh again as STL, as triangles",
        )
    )
