"""STL files -> meshes. Both kinds: binary, and text.

The format is that of the StereoLithography Interface Specification (3D Systems, 1989, from
memory): 80 bytes of header, a count, then for each face a normal and three corners in
single precision and two spare bytes; or the words facet, vertex, endfacet. It knows no unit.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from wirepath.errors import DrawingError, Fault, FileError
from wirepath.model import EntityCount, Mesh
from wirepath.tracing.drawing import Drawing

HEADER_BYTES = 80
FACE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def read_stl(path: Path, *, scale: float = 1.0) -> Mesh:
    """Return the mesh in an STL file, its figures times `scale` in mm.

    Corners at one and the same place are one. Raises FileError where the file cannot be
    read and DrawingError where it is damaged.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(Fault(f"cannot be read: {error.strerror}", str(path))) from None
    corners = _from_binary(data)
    if corners is None:
        corners = _from_text(data, path)
    if not len(corners):
        raise DrawingError(Fault("the mesh has no faces", str(path), "export it again"))
    if not np.isfinite(corners).all():
        raise DrawingError(Fault("a corner of the mesh is no number", str(path), "export it again"))
    points, places = np.unique(corners.reshape(-1, 3) * scale, axis=0, return_inverse=True)
    return Mesh(
        layer=path.stem,
        points=tuple(map(tuple, points.tolist())),
        faces=tuple(map(tuple, places.reshape(-1, 3).tolist())),
    )


def read_stl_drawing(path: Path) -> Drawing:
    """Return an STL file as a drawing that holds its mesh alone. Raises as `read_stl`."""
    mesh = read_stl(path)
    count = len(mesh.faces)
    return Drawing(
        name=path.name,
        meshes=(mesh,),
        counts=(EntityCount(kind="face", found=count, read=count, ignored=0, refused=0),),
        is_mesh=True,
    )


def _from_binary(data: bytes) -> np.ndarray | None:
    """Return corners (n, 3, 3), or None where the length does not fit the count of faces.

    Binary files may begin with 'solid' as text files do: only the length tells.
    """
    if len(data) < HEADER_BYTES + 4:
        return None
    count = int.from_bytes(data[HEADER_BYTES : HEADER_BYTES + 4], "little")
    if len(data) != HEADER_BYTES + 4 + count * FACE.itemsize:
        return None
    faces = np.frombuffer(data, dtype=FACE, offset=HEADER_BYTES + 4)
    return faces["corners"].astype(float)


def _from_text(data: bytes, path: Path) -> np.ndarray:
    words = data.decode("ascii", errors="replace").split()
    if not words or words[0].lower() != "solid":
        raise DrawingError(
            Fault("is no STL file, or a damaged one", str(path), "export the mesh again as STL")
        )
    places = [k for k, word in enumerate(words) if word.lower() == "vertex"]
    try:
        corners = np.array([[float(value) for value in words[k + 1 : k + 4]] for k in places])
    except ValueError:
        corners = np.empty(0)
    if not len(places) or corners.shape != (len(places), 3) or len(places) % 3:
        raise DrawingError(
            Fault("a face lacks a corner or a figure", str(path), "export the mesh again as STL")
        )
    return corners.reshape(-1, 3, 3)
