"""A drawn figure to a file: PDF, PNG or SVG by its ending, the same bytes every time."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from matplotlib import rc_context
from matplotlib.figure import Figure

from wirepath.errors import Fault, FileError


def refuse_ending(path: Path) -> None:
    """Raise FileError where `path` has an ending that no picture is written with."""
    if _kind(path) not in ("pdf", "png", "svg"):
        raise FileError(
            Fault("a picture is written as PDF, PNG or SVG", str(path), "name it so: picture.png")
        )


def save_figure(figure: Figure, path: Path) -> None:
    """Write `figure` to `path`. Raises FileError where it cannot be written."""
    refuse_ending(path)
    kind = _kind(path)
    # Without dates and random names, the same figure gives the same bytes.
    metadata: dict[str, Any] = {"pdf": {"CreationDate": None}, "svg": {"Date": None}}.get(kind, {})
    try:
        with rc_context({"svg.hashsalt": "wirepath", "path.simplify": False}):
            figure.savefig(path, format=kind, dpi=150, metadata=metadata)
    except OSError as error:
        raise FileError(
            Fault(
                f"cannot be written: {error.strerror or error}",
                str(path),
                "check folder and rights",
            )
        ) from error


def _kind(path: Path) -> str:
    return path.suffix.casefold().lstrip(".")
