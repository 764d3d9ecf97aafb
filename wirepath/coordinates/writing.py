"""Which files a plan's layouts get, and what they are called."""

from __future__ import annotations

from pathlib import Path

from wirepath.coordinates.table import coordinate_text
from wirepath.coordinates.two_ended import has_two_ends, two_ended_text
from wirepath.coordinates.words import refuse_settings, word_text
from wirepath.model import Plan


def write_coordinates(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Write the coordinate files of every layout into `folder`; return their paths in order.

    CSV always; DXF and word files where the workshop file asks for them. One for each setup
    where there are several. Named by block and layout, so that they sort in order of cutting.
    Raises SettingsError where the settings of word files contradict each other.
    """
    plan = plan.with_blanks()
    files = plan.workshop.files
    if "words" in files.also:
        refuse_settings(files)
    paths = []
    for layout in plan.layouts:
        for setup in range(1, len(layout.setups) + 1) if layout.setups else (None,):
            stem = f"block-{layout.block:02}-layout-{layout.number:02}"
            name = folder / (stem if setup is None else f"{stem}-setup-{setup}")
            text = two_ended_text if has_two_ends(plan, layout, setup) else coordinate_text
            paths.append(_write(name.with_suffix(".csv"), text(plan, layout, setup)))
            if "DXF" in files.also:
                from wirepath.coordinates.drawn import dxf_text

                paths.append(_write(name.with_suffix(".dxf"), dxf_text(plan, layout, setup)))
            if "words" in files.also:
                words = word_text(plan, layout, setup)
                paths.append(_write(name.with_suffix(f".{files.ending}"), words))
    return tuple(paths)


def _write(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8", newline="")
    return path
