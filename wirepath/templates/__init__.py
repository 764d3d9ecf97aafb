"""Templates at full size: one PDF for each part, tiled over sheets or on one length of roll."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from wirepath.errors import Fault, FileError
from wirepath.model import Plan
from wirepath.sheets.printing import write_pdf
from wirepath.templates.drawing import template_pages
from wirepath.templates.laying import PaperChoice
from wirepath.templates.parts import distinct_parts, faces, join_marks
from wirepath.templates.wording import LANGUAGES

__all__ = ["PaperChoice", "write_templates"]


def write_templates(
    plan: Plan,
    folder: Path,
    *,
    paper: PaperChoice,
    parts: Sequence[str] | None = None,
) -> tuple[Path, ...]:
    """Write one PDF for each distinct part to `folder`, at exactly 1 : 1; return their paths.

    Copies share a template. `parts` are patterns such as `arch-*`; None takes all.
    A bow gets pairs: a near face and a mirrored far one with the same stations; so does
    every taper, whatever holds the wire. Texts
    are in the language of the workshop's paper. The same plan gives the same bytes.
    Raises SettingsError for a pattern that no part answers to, FitError for a roll
    longer than a PDF page may be, FileError where `folder` cannot be written.
    """
    words = LANGUAGES[plan.workshop.paper.language]
    chosen = distinct_parts(plan, parts)
    paired = plan.workshop.rig.kind == "bow"
    cutting = plan.workshop.cutting
    prints = [
        (template_pages(plan, part, drawn, paper, words), part)
        for part in chosen
        for drawn in [faces(part.one, cutting, paired=paired, joins=join_marks(plan, part))]
    ]
    written: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for (pages, part), stem in zip(prints, _stems([part.name for part in chosen]), strict=True):
            path = folder / f"{stem}-{paper}.pdf"
            write_pdf(pages, path, title=words.title.format(part=part.name))
            written.append(path)
    except OSError as error:
        raise FileError(
            Fault(
                f"templates cannot be written: {error.strerror or error}",
                str(folder),
                "choose another folder, or make room",
            )
        ) from error
    return tuple(written)


def _stems(names: Sequence[str]) -> list[str]:
    """Return a file name's stem for each part: plain letters, none twice."""
    stems: list[str] = []
    for name in names:
        plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "part"
        stem, count = plain, 1
        while stem in stems:
            count += 1
            stem = f"{plain}-{count}"
        stems.append(stem)
    return stems
