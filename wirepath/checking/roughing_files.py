"""Promise 6 for roughing: the files of a table's cuts say what the plan says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

import numpy as np
import shapely
from shapely import LineString

from wirepath.checking.cut_plane import face_stood_on
from wirepath.checking.files import POINT_MM
from wirepath.checking.finding import EXACT_MM, Finding, found
from wirepath.errors import Fault
from wirepath.model import RoughingCut, RoughingPlan
from wirepath.workshop import Workshop


class FiledCut(Protocol):
    """A cut as its file gives it."""

    @property
    def form(self) -> int:
        """Number of the form's roughing in the plan, from 1."""

    @property
    def cut(self) -> int:
        """The cut's number."""

    @property
    def turn_deg(self) -> float:
        """How far the block is turned."""

    @property
    def tilt_deg(self) -> float:
        """How far the wire rises."""

    @property
    def stands_on(self) -> str:
        """The narrow face that the block stands on, if it does."""

    @property
    def lines(self) -> tuple[LineString, ...]:
        """The wire's lines, of slanted edges those of its lower end."""

    @property
    def upper_lines(self) -> tuple[LineString, ...]:
        """Of slanted edges, those of its upper end."""


def check_roughing_files(
    workshop: Workshop, roughing: Sequence[RoughingPlan], files: Sequence[FiledCut]
) -> tuple[Finding, ...]:
    """Return whether each roughing cut on a table has a file that says the same; nothing where
    nothing is roughed."""
    if not roughing:
        return ()
    asked = {
        (form, cut.number): cut
        for form, rough in enumerate(roughing, 1)
        for cut in rough.cuts
        if workshop.rig.kind == "table"
    }
    there = [(one.form, one.cut) for one in files]
    faults = [
        Fault("has no file, or two, or is not in the plan", f"roughing {form}, cut {number}")
        for form, number in sorted({*asked, *there})
        if there.count((form, number)) != 1 or (form, number) not in asked
    ]
    for one in files:
        if (one.form, one.cut) in asked:
            faults += _differs(asked[one.form, one.cut], one)
    return (
        found(
            6,
            "The files of roughing cuts say what the plan says",
            f"{len(files)} files compared to {POINT_MM} mm",
            faults,
        ),
    )


def _differs(cut: RoughingCut, file: FiledCut) -> Iterator[Fault]:
    where = f"roughing {file.form}, cut {file.cut}"
    if max(abs(cut.turn_deg - file.turn_deg), abs(cut.tilt_deg - file.tilt_deg)) > EXACT_MM:
        yield Fault("is set up at another turn or tilt in its file", where)
    if file.stands_on != face_stood_on(cut):
        yield Fault("stands on another face in its file", where)
    for word, here, filed in (
        ("line", cut.lines, file.lines),
        ("upper line", cut.upper_lines, file.upper_lines),
    ):
        if [len(line.coords) for line in here] != [len(line.coords) for line in filed]:
            yield Fault(f"has another number of points on a {word} in its file", where)
            continue
        for one, other in zip(here, filed, strict=True):
            far = np.abs(shapely.get_coordinates(one) - shapely.get_coordinates(other))
            if far.max() > POINT_MM:
                x, y = shapely.get_coordinates(one)[int(far.max(axis=1).argmax())]
                yield Fault(f"another point on a {word} in its file, near {x:.1f}, {y:.1f}", where)
