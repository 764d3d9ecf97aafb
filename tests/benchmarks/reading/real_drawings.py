"""The table of real drawings in docs/drawings.md: what the reader makes of each.

    python tests/benchmarks/reading/real_drawings.py

Reads what lies in ../shared/drawings; nothing of their content is copied but counts.
"""

from __future__ import annotations

import sys
from pathlib import Path

from wirepath.drawing_file import read_survey
from wirepath.errors import WirepathError
from wirepath.model import Reading

REAL = Path(__file__).resolve().parents[4] / "shared" / "drawings"


def row(path: Path) -> str:
    """Return the line of the table for one drawing, read without any setting."""
    try:
        found = read_survey(path, Reading())
    except WirepathError as error:
        return f"| `{path.name}` | | | | refused: {error.faults[0].what} |"
    traced = found.traced
    holes = sum(len(outline.polygon.interiors) for outline in traced.outlines)
    outcome = "answer"
    if found.faults:
        outcome = f"refused: {found.faults[0].what}"
        if len(found.faults) > 1:
            outcome += f" (and {len(found.faults) - 1} more)"
    unit = traced.units.partition(" (")[0] + ("?" if "assumed" in traced.units else "")
    return f"| `{path.name}` | {unit} | {len(traced.outlines)} | {holes} | {outcome} |"


def main() -> None:
    """Write the table."""
    sys.stdout.write(
        "| file | unit | outlines | holes | without any setting |\n|---|---|---|---|---|\n"
    )
    for path in sorted(REAL.glob("*.[dD][xX][fF]")):
        sys.stdout.write(row(path) + "\n")


if __name__ == "__main__":
    main()
