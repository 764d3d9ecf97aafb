"""The folder a plan is written to: all its files, or none; and the proof of what was written."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from wirepath.checking import Finding, check_files, check_plan
from wirepath.coordinates import read_coordinates, write_coordinates
from wirepath.errors import Fault, FileError, ProofError
from wirepath.lists import read_list, write_lists
from wirepath.model import Pass, Plan
from wirepath.plan_file import read_plan, write_plan

if TYPE_CHECKING:
    from wirepath.pictures import PictureKind
    from wirepath.templates import PaperChoice

PLAN_FILE = "plan.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """What a plan's folder holds only when asked for."""

    templates: PaperChoice | None = None
    parts: tuple[str, ...] = ()
    """Patterns of the parts that get templates; empty for all."""
    view: bool = False
    approval: bool = False
    pictures: PictureKind | None = None


NO_EXTRAS = Extras()


def write_folder(
    plan: Plan,
    folder: Path,
    *,
    replace_old: bool,
    extras: Extras = NO_EXTRAS,
) -> tuple[Finding, ...]:
    """Write and prove `plan`, then move it to `folder`; return what was proved.

    Nothing is left behind on any fault. Raises FileError where `folder` is in the
    way (a plan's folder gives way if `replace_old`; any other never does) or cannot
    be written, ProofError where what was written does not prove sound.
    """
    from wirepath.sheets import write_sheets

    refuse_existing(folder, replace_old=replace_old)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".wirepath-", dir=folder.parent) as room:
            fresh = Path(room) / "plan"
            (fresh / "coordinates").mkdir(parents=True)
            write_plan(plan, fresh / PLAN_FILE)
            write_lists(plan, fresh)
            write_coordinates(plan, fresh / "coordinates")
            findings = prove_folder(fresh)
            refuse_unsound(findings)
            write_sheets(plan, fresh / "sheets.pdf")
            _write_extras(plan, fresh, extras)
            if folder.exists():
                folder.rename(Path(room) / "old")
            fresh.rename(folder)
    except OSError as error:
        raise FileError(
            Fault(
                f"the plan cannot be written: {error.strerror or error}",
                str(folder),
                "choose another folder with --out, or make room",
            )
        ) from error
    return findings


def _write_extras(plan: Plan, folder: Path, extras: Extras) -> None:
    if extras.templates:
        from wirepath.templates import write_templates

        write_templates(
            plan, folder / "templates", paper=extras.templates, parts=extras.parts or None
        )
    if extras.view:
        from wirepath.view import write_view

        write_view(plan, folder / "view.html")
    if extras.approval or extras.pictures:
        from wirepath.pictures import write_approval, write_pictures

        if extras.approval:
            write_approval(plan, folder / "approval.pdf")
        if extras.pictures:
            write_pictures(plan, folder / "pictures", kind=extras.pictures)


def refuse_existing(folder: Path, *, replace_old: bool) -> None:
    """Raise FileError where something stands at `folder` that a plan may not replace."""
    if not folder.exists():
        return
    if not (folder / PLAN_FILE).is_file():
        raise FileError(
            Fault("this is in the way and is no plan", str(folder), "name another folder: --out")
        )
    if not replace_old:
        raise FileError(
            Fault(
                "a plan is there already",
                str(folder),
                "add --replace to replace it, or name another folder with --out",
            )
        )


def refuse_unsound(findings: Iterable[Finding]) -> None:
    """Raise ProofError with every fault of the promises that were not kept."""
    faults = [fault for finding in findings if not finding.passed for fault in finding.faults]
    if faults:
        raise ProofError(faults)


def prove_folder(folder: Path) -> tuple[Finding, ...]:
    """Return what can be proved of a plan from its files alone, promise by promise.

    The wire's way is taken from the coordinate files, not from plan.json: what is
    proved is what a table will follow. Raises FileError where a file is missing or
    damaged.
    """
    plan = read_plan(folder / PLAN_FILE)
    passes = _passes_by_layout(folder / "coordinates")
    as_written = replace(
        plan, passes=tuple(one for number in sorted(passes) for one in passes[number])
    )
    return check_plan(as_written) + check_files(
        plan,
        passes,
        read_list(folder / "order.csv"),
        read_list(folder / "pieces.csv"),
        read_list(folder / "offcuts.csv"),
    )


def _passes_by_layout(folder: Path) -> dict[int, tuple[Pass, ...]]:
    files = [read_coordinates(path) for path in sorted(folder.glob("*.csv"))]
    return {file.layout: file.passes for file in files}
