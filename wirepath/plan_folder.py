"""The folder a plan is written to: all its files, or none; and the proof of what was written."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from wirepath.beside import beside
from wirepath.checking import (
    Finding,
    check_files,
    check_plan,
    check_restocked,
    check_rough_forms,
    check_roughing_files,
)
from wirepath.coordinates import (
    CoordinateFile,
    RoughingFile,
    read_coordinates,
    read_roughing_coordinates,
    write_coordinates,
    write_roughing_coordinates,
)
from wirepath.errors import Fault, FileError, ProofError
from wirepath.lists import read_list, write_lists
from wirepath.model import (
    PLAN_VERSION,
    Job,
    Pass,
    Plan,
    RoughedForms,
    RoughingCut,
    RoughingPlan,
    Traced,
)
from wirepath.plan_file import read_plan, read_roughed_forms, write_plan
from wirepath.rack_file import read_rack, write_rack
from wirepath.restocking import rack_after, remarks
from wirepath.workshop import Workshop

if TYPE_CHECKING:
    from wirepath.pictures import PictureKind
    from wirepath.templates import PaperChoice

PLAN_FILE = "plan.json"
RACK_FILE = "rack.toml"
ROUGHING_FILE = "roughing.json"

PICTURES_BESIDE = 12
"""Fewer layouts and roughing cuts are drawn sooner than another process starts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """What a plan's folder holds only when asked for."""

    templates: PaperChoice | None = None
    parts: tuple[str, ...] = ()
    """Patterns of the parts that get templates; empty for all."""
    view: bool = False
    rack: bool = False
    """The rack as it is once the plan is cut."""
    approval: bool = False
    pictures: PictureKind | None = None


NO_EXTRAS = Extras()


def write_folder(
    plan: Plan,
    folder: Path,
    *,
    replace_old: bool,
    extras: Extras = NO_EXTRAS,
    at_once: bool = False,
) -> tuple[Finding, ...]:
    """Write and prove `plan`, then move it to `folder`; return what was proved.

    With `at_once` many sheets are drawn in a process of their own (`beside`) during the proof.
    Nothing is left behind on any fault. Raises FileError where `folder` is in the
    way (a plan's folder gives way if `replace_old`; any other never does) or cannot
    be written, ProofError where what was written does not prove sound.
    """
    findings: tuple[Finding, ...] = ()

    def fill(room: Path) -> None:
        nonlocal findings
        pictures = len(plan.layouts) + sum(len(rough.cuts) for rough in plan.roughing)
        many = at_once and pictures >= PICTURES_BESIDE
        with beside(when=many) as hand_over:
            sheets = hand_over(_draw_sheets, plan, room / "sheets.pdf")
            _write_lists(plan, room, extras)
            findings = prove_folder(room)
            refuse_unsound(findings)
            sheets()
        _write_extras(plan, room, extras)

    _write_whole(folder, fill, mark=PLAN_FILE, replace_old=replace_old)
    return findings


def _draw_sheets(plan: Plan, path: Path) -> None:
    """Write the sheets; what draws them is loaded only where they are drawn."""
    from wirepath.sheets import write_sheets

    write_sheets(plan, path)


def _write_lists(plan: Plan, room: Path, extras: Extras) -> None:
    """Write all that is proved from the folder: the plan, its lists and coordinate files."""
    (room / "coordinates").mkdir()
    write_plan(plan, room / PLAN_FILE)
    write_lists(plan, room)
    write_coordinates(plan, room / "coordinates")
    if extras.rack:
        write_rack(rack_after(plan), room / RACK_FILE, remarks=tuple(remarks(plan)))
    write_roughing_coordinates(
        plan.job, plan.workshop, plan.roughing, room / "coordinates", pieces=plan.pieces
    )


def write_roughing_folder(
    job: Job,
    workshop: Workshop,
    traced: Traced,
    plans: Sequence[RoughingPlan],
    folder: Path,
    *,
    replace_old: bool,
) -> tuple[Finding, ...]:
    """Prove the roughing of a job, write it to `folder`, and return what was proved.

    roughing.json holds the plans and what proves them, roughing.pdf the sheets, coordinates/ a
    table's cuts: what is proved is read back from there. Raises as `write_folder` does.
    """
    findings: tuple[Finding, ...] = ()

    def fill(room: Path) -> None:
        from wirepath.sheets.roughing_file import write_roughing

        nonlocal findings
        (room / "coordinates").mkdir()
        write_roughing_coordinates(job, workshop, plans, room / "coordinates")
        roughed = RoughedForms(
            version=PLAN_VERSION,
            job=job,
            workshop=workshop,
            traced=traced,
            roughing=tuple(plans),
        )
        write_plan(roughed, room / ROUGHING_FILE)
        findings = prove_folder(room)
        refuse_unsound(findings)
        if not any((room / "coordinates").iterdir()):
            (room / "coordinates").rmdir()
        write_roughing(job, workshop, plans, room / "roughing.pdf")

    _write_whole(folder, fill, mark=ROUGHING_FILE, replace_old=replace_old)
    return findings


def _write_whole(
    folder: Path, fill: Callable[[Path], None], *, mark: str, replace_old: bool
) -> None:
    """Have `fill` write into a room beside `folder`, then move that into its place."""
    refuse_existing(folder, mark=mark, replace_old=replace_old)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".wirepath-", dir=folder.parent) as room:
            fresh = Path(room) / "fresh"
            fresh.mkdir()
            fill(fresh)
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


def refuse_existing(folder: Path, *, mark: str = PLAN_FILE, replace_old: bool) -> None:
    """Raise FileError where something stands at `folder` that may not be replaced.

    A folder that holds the file `mark` is of the kind that is written here.
    """
    if not folder.exists():
        return
    if not (folder / mark).is_file():
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
    """Return what can be proved of a plan, or a roughing, from its files alone, by promise.

    The wire's way is taken from the coordinate files, not from plan.json: what is
    proved is what a table will follow. Raises FileError where a file is missing or
    damaged.
    """
    cuts = [
        read_roughing_coordinates(path)
        for path in sorted((folder / "coordinates").glob("roughing-*.csv"))
    ]
    if (folder / ROUGHING_FILE).is_file():
        own = read_roughed_forms(folder / ROUGHING_FILE)
        roughing = _as_filed(own.roughing, cuts)
        findings = check_rough_forms(own.job, own.workshop, own.traced, roughing)
        return findings + check_roughing_files(own.workshop, own.roughing, cuts)
    plan = read_plan(folder / PLAN_FILE)
    files = [
        read_coordinates(path) for path in sorted((folder / "coordinates").glob("block-*.csv"))
    ]
    passes = _passes_by_layout(files)
    glued = {blank.layout.number for blank in plan.blanks}
    as_written = replace(
        plan,
        passes=tuple(one for number in sorted(passes.keys() - glued) for one in passes[number]),
        blanks=tuple(
            replace(blank, passes=passes.get(blank.layout.number, ())) for blank in plan.blanks
        ),
    )
    as_written = replace(as_written, roughing=_as_filed(plan.roughing, cuts))
    findings = check_plan(as_written) + check_roughing_files(plan.workshop, plan.roughing, cuts)
    findings += check_files(
        plan,
        passes,
        read_list(folder / "order.csv"),
        read_list(folder / "pieces.csv"),
        read_list(folder / "offcuts.csv"),
        read_list(folder / "rack.csv"),
        read_list(folder / "loads.csv") if plan.loads else (),
        pin_rows=read_list(folder / "pins.csv") if plan.assembly.pins else (),
        setups=[(one.layout, one.setup, one.lies) for one in files],
    )
    if (folder / RACK_FILE).is_file():
        findings += (check_restocked(plan, read_rack(folder / RACK_FILE)),)
    return findings


def _as_filed(
    roughing: Sequence[RoughingPlan], files: Sequence[RoughingFile]
) -> tuple[RoughingPlan, ...]:
    """Return roughing with the ways of its cuts as their files give them."""
    lines = {(one.form, one.cut): one for one in files}

    def filed(form: int, cut: RoughingCut) -> RoughingCut:
        file = lines.get((form, cut.number))
        return replace(cut, lines=file.lines, upper_lines=file.upper_lines) if file else cut

    return tuple(
        replace(rough, cuts=tuple(filed(form, cut) for cut in rough.cuts))
        for form, rough in enumerate(roughing, 1)
    )


def _passes_by_layout(files: Sequence[CoordinateFile]) -> dict[int, tuple[Pass, ...]]:
    """Return the passes of each layout, those of its setups' files in a row."""
    found: dict[int, tuple[Pass, ...]] = {}
    for file in files:
        before = found.get(file.layout, ()) if file.setup is not None else ()
        found[file.layout] = before + file.passes
    return found
