"""Pictures on request: every sheet as SVG or PNG, and one page for the client's approval."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import matplotlib as mpl

from wirepath.errors import Fault, FileError
from wirepath.model import Plan
from wirepath.pictures.approval import approval_page
from wirepath.pictures.wording import LANGUAGES
from wirepath.sheets import sheet_pages
from wirepath.sheets.printing import SETTINGS, figure, write_pdf
from wirepath.wording import LANGUAGES as SHEET_LANGUAGES

PictureKind = Literal["svg", "png"]

PNG_DPI = 150
"""An A4 sheet in 1240 x 1754 points: its smallest figures can be read."""


def write_pictures(plan: Plan, folder: Path, *, kind: PictureKind) -> tuple[Path, ...]:
    """Write every page of the sheets as a picture of its own to `folder`; return the paths.

    SVG holds its letters as outlines, so that it looks alike everywhere. The same plan
    gives the same bytes. Raises FileError where `folder` cannot be written.
    """
    pages = sheet_pages(plan, SHEET_LANGUAGES[plan.workshop.paper.language])
    places = len(str(len(pages)))
    written: list[Path] = []
    # The salt names what SVG refers to inside itself: without one it differs every time.
    settings = SETTINGS | {"svg.fonttype": "path", "svg.hashsalt": "wirepath"}
    about = {"svg": {"Date": None, "Creator": "wirepath"}, "png": {"Software": "wirepath"}}[kind]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with mpl.rc_context(settings):
            for number, page in enumerate(pages, 1):
                path = folder / f"sheet-{number:0{places}d}.{kind}"
                figure(page).savefig(path, format=kind, dpi=PNG_DPI, metadata=about)
                written.append(path)
    except OSError as error:
        raise FileError(_unwritten(error, folder)) from error
    return tuple(written)


def write_approval(plan: Plan, path: Path) -> None:
    """Write the client's page to `path` as PDF: form, size, seams, weight, lines to sign.

    The same plan gives the same bytes. Raises FileError where `path` cannot be written.
    """
    words = LANGUAGES[plan.workshop.paper.language]
    try:
        write_pdf([approval_page(plan, words)], path, title=f"{plan.job.name}: {words.title}")
    except OSError as error:
        raise FileError(_unwritten(error, path)) from error


def _unwritten(error: OSError, place: Path) -> Fault:
    return Fault(
        f"pictures cannot be written: {error.strerror or error}",
        str(place),
        "choose another place, or make room",
    )
