"""Reads lines out of a PDF's content streams with pypdf: an outsider's view of a page.

Operators, coordinates and the current transformation matrix: ISO 32000-1, 8.3 and 8.5.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True, slots=True)
class Drawn:
    """A stroked line: points (n, 2) in mm from the page's lower left, pen in mm, dashed or not."""

    points: np.ndarray
    pen_mm: float
    dashed: bool


@dataclass(frozen=True, slots=True)
class PrintedPage:
    """A page's size in mm, its strokes and its text."""

    width_mm: float
    height_mm: float
    strokes: tuple[Drawn, ...]
    text: str


def read_pages(path: Path) -> list[PrintedPage]:
    reader = PdfReader(path)
    pages = []
    for page in reader.pages:
        box = page.mediabox
        strokes = _strokes(page.get_contents(), page["/Resources"], reader, np.eye(3))
        pages.append(
            PrintedPage(
                width_mm=float(box.width) * MM_PER_POINT,
                height_mm=float(box.height) * MM_PER_POINT,
                strokes=tuple(strokes),
                text=page.extract_text(),
            )
        )
    return pages


def _strokes(content, resources, reader, matrix, pen=1.0, dashed=False):
    found, stack, line, lines = [], [], [], []
    forms = resources.get_object().get("/XObject", {})
    for operands, operator in ContentStream(content, reader).operations:
        match operator:
            case b"q":
                stack.append((matrix, pen, dashed))
            case b"Q":
                matrix, pen, dashed = stack.pop()
            case b"cm":
                a, b, c, d, e, f = (float(one) for one in operands)
                matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
            case b"w":
                pen = float(operands[0])
            case b"d":
                dashed = len(operands[0]) > 0
            case b"m":
                line = [[float(one) for one in operands]]
                lines.append(line)
            case b"l":
                line.append([float(one) for one in operands])
            case b"c":
                line.append([float(one) for one in operands[4:]])
            case b"h":
                line.append(line[0])
            case b"S" | b"s" | b"B":
                for one in lines:
                    points = np.c_[np.array(one), np.ones(len(one))] @ matrix
                    found.append(Drawn(points[:, :2] * MM_PER_POINT, pen * MM_PER_POINT, dashed))
                lines = []
            case b"f" | b"n" | b"f*":
                lines = []
            case b"Do":
                form = forms[operands[0]].get_object()
                if form.get("/Subtype") == "/Form":
                    inner = form.get("/Resources", resources)
                    found += _strokes(form, inner, reader, matrix, pen, dashed)
    return found
