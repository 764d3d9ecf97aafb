"""The whole way from a path to what is drawn, and on to outlines and contours."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

from wirepath.drawing_file import entities, loading
from wirepath.errors import DrawingError
from wirepath.mesh_file import read_stl_drawing
from wirepath.model import Note, Reading, Traced
from wirepath.tracing import Drawing, Survey, mm_per_unit, survey, trace
from wirepath.tracing.drawing import tally


def read_traced(path: Path, reading: Reading) -> Traced:
    """Return the outlines and contours of the drawing at `path`, in mm at finished size.

    Raises FileError where it cannot be read, DrawingError with all faults where it is
    no drawing, or where what it holds cannot be made.
    """
    with loading.no_garbage_collection():
        drawing = read_drawing(path, reading)
        try:
            return trace(drawing, reading)
        except DrawingError as error:
            raise DrawingError([fault.inside(path) for fault in error.faults]) from None


def read_survey(path: Path, reading: Reading) -> Survey:
    """Return what could be made of the drawing at `path` together with all its faults.

    Raises FileError and DrawingError only where there is nothing to show: the file
    cannot be read or is no drawing.
    """
    with loading.no_garbage_collection():
        return survey(read_drawing(path, reading), reading)


def read_drawing(path: Path, reading: Reading) -> Drawing:
    """Return the raw curves of the drawing at `path`, in its own units, nothing joined.

    Curves are flattened so that at finished size they stray by no more than
    `reading.curve_tolerance_mm`. Raises FileError, DrawingError.
    """
    if path.suffix.casefold() == ".stl":
        return read_stl_drawing(path)
    if path.suffix.casefold() == ".svg":
        from wirepath.drawing_file.svg import read_svg

        return read_svg(path, reading)
    with loading.no_garbage_collection():
        return _read_dxf(path, reading)


def _read_dxf(path: Path, reading: Reading) -> Drawing:
    loaded = loading.load(path)
    stated = loading.UNIT_NAMES.get(loaded.unit_code or 0)
    try:
        # Curves as coarse as they may be tell the size well enough to choose a tolerance.
        coarse = _drawing(path, loaded, stated, tolerance=1e9)
        unit_mm = mm_per_unit(coarse, reading)
        if not any(c.kind not in ("LINE", "3DFACE") for c in coarse.curves):
            return coarse
        return _drawing(path, loaded, stated, tolerance=reading.curve_tolerance_mm / unit_mm)
    except DrawingError as error:
        raise DrawingError([fault.inside(path) for fault in error.faults]) from None


def _drawing(path: Path, loaded: loading.Loaded, stated: str | None, tolerance: float) -> Drawing:
    document = loaded.document
    gathered = entities.gather(document, tolerance)
    lost = _lost(loaded)
    for kind, count in lost.items():
        gathered.refused[kind, "too damaged to be loaded"] += count
    curves = entities.curves(gathered, document)
    return Drawing(
        name=path.name,
        curves=curves,
        texts=entities.texts(gathered, document),
        meshes=entities.meshes(gathered),
        counts=tuple(
            replace(count, kind=entities.readable(count.kind), why=entities.readable(count.why))
            for count in tally(gathered.read, gathered.ignored, gathered.refused)
        ),
        notes=(*_notes(loaded, lost, stated), *entities.notes(gathered)),
        stated_unit=stated,
        stated_unit_mm=loading.UNIT_MM[stated] if stated else None,
    )


def _lost(loaded: loading.Loaded) -> Counter[str]:
    """Return the entities that stand in the file but not in the document, by kind."""
    kept: Counter[str] = Counter()
    layouts: list[Any] = [loaded.document.modelspace(), *_sheets(loaded.document)]
    for layout in layouts:
        kept.update(entity.dxftype() for entity in layout)
    return loaded.found - kept


def _sheets(document: Any) -> list[Any]:
    return [layout for layout in document.layouts if layout.name != "Model"]


def _notes(loaded: loading.Loaded, lost: Counter[str], stated: str | None) -> list[Note]:
    notes = []
    if loaded.mended == "recovered":
        notes.append(
            Note(
                kind="warning",
                text="the file is damaged and was read as far as it goes: look at the picture",
            )
        )
    if loaded.mended == "patched":
        notes.append(
            Note(
                kind="repair",
                text="the file is damaged or lacks marks its version demands; what is sound in it "
                "was read",
            )
        )
    if not loaded.has_end:
        notes.append(
            Note(kind="warning", text="the file has no end mark: it may be cut short, look closely")
        )
    if lost:
        names = ", ".join(f"{count} {kind}" for kind, count in sorted(lost.items()))
        notes.append(Note(kind="warning", text=f"too damaged to be loaded: {names}"))
    on_sheets = sum(
        entity.dxftype() not in ("VIEWPORT",)
        for sheet in _sheets(loaded.document)
        for entity in sheet
    )
    if on_sheets:
        notes.append(
            Note(
                kind="ignored",
                text=f"{on_sheets} entities stand on printed sheets (paper space), "
                "which are not read",
            )
        )
    metric_names = ("mm", "cm", "m", "km", "dm", "micron")
    if stated and loaded.metric is not None and (stated in metric_names) != bool(loaded.metric):
        other = "metric" if loaded.metric else "imperial"
        notes.append(
            Note(
                kind="warning",
                text=f"the drawing states {stated} as its unit, but {other} measures "
                "elsewhere: look at the size",
            )
        )
    return notes
