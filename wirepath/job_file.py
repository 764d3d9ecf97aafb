"""Job file (TOML) -> `Job`, with its workshop, checked as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from wirepath.errors import Fault, SettingsError, WirepathError
from wirepath.kerf.settling import settled
from wirepath.model import Job, Reading
from wirepath.plain_data import from_plain, read_toml
from wirepath.workshop import Workshop
from wirepath.workshop_file import read_workshop

CARVED = ("relief", "full round")
"""Kinds of forms whose surface is carved, not cut."""

VIEWS = ("side_layers", "top_layers")
"""Keys of [read] that name outlines from other sides."""

SIZE_KEYS = ("scale", "finished_width_mm", "finished_height_mm", "known_length")
"""The keys of [read] that fix how large the drawing is made: one at most."""


def read_job(path: Path) -> tuple[Job, Workshop]:
    """Return the job at `path` and the workshop it names, its kerf settled for the job's foam.

    Raises FileError where a file cannot be read, SettingsError with every fault of
    the job file and, in the same go, of the workshop file.
    """
    job, faults = from_plain(read_toml(path), Job)
    if job is None:
        raise SettingsError([fault.inside(path) for fault in faults])
    found = [fault.inside(path) for fault in _contradictions(job)]
    try:
        workshop = read_workshop(path.parent / job.workshop)
    except WirepathError as error:
        if not found:
            raise
        raise SettingsError([*found, *error.faults]) from error
    found += [fault.inside(path) for fault in _unknown_to(job, workshop)]
    if found:
        raise SettingsError(found)
    try:
        return job, settled(workshop, job.form.foam)
    except WirepathError as error:
        place = path.parent / job.workshop
        raise SettingsError([fault.inside(place) for fault in error.faults]) from error


def drawing_path(path: Path, job: Job) -> Path:
    """Return where the drawing of the job file at `path` lies."""
    return path.parent / job.drawing


def is_mesh(job: Job) -> bool:
    """Return whether the job's form comes as a mesh."""
    return bool(job.read.mesh_layers) or job.drawing.lower().endswith(".stl")


def size_faults(reading: Reading) -> Iterator[Fault]:
    """Give the fault of more than one key that fixes the size."""
    given = [key for key in SIZE_KEYS if getattr(reading, key) is not None]
    if len(given) > 1:
        yield Fault(
            f"{' and '.join(given)} are all given, but each fixes the size",
            "read",
            "keep one of them",
        )


def _contradictions(job: Job) -> Iterator[Fault]:
    yield from size_faults(job.read)
    yield from _taper_faults(job)
    for index, part in enumerate(job.parts):
        if part.entry is not None and part.entry_at is not None:
            yield Fault(
                "entry and entry_at are both given, but each says where the wire begins",
                f"parts[{index}]",
                "keep one of them",
            )
    form = job.form
    wanted = {
        "flat": "thickness_mm",
        "profile": "length_mm",
        "relief": "peak_mm",
        "full round": "layer_mm",
    }
    if form.finished_sides and form.kind in CARVED:
        yield Fault(
            f"a {form.kind} form has no side that the wire cuts finished: its bulk is roughed off "
            "all round",
            "form.finished_sides",
            "remove it; leave allowance_mm on, and carve that side flat",
        )
    yield from _finished_faults(job)
    own = wanted[form.kind]
    if is_mesh(job):
        yield from _given_faults(job, "the form comes as a mesh", ("outline_layers", *VIEWS))
    elif any(getattr(job.read, key) for key in VIEWS):
        yield from _given_faults(job, "outlines from several sides tell the form")
    elif form.kind == "full round":
        yield Fault(
            "a full round form comes as a mesh, or as outlines from several sides",
            "form.kind",
            "name an STL file as drawing, layers of a DXF in mesh_layers, or side_layers and "
            "top_layers",
        )
    elif getattr(form, own) is None:
        yield Fault(f"a {form.kind} form needs {own}", "form", f"add {own}")
    for kind, key in wanted.items():
        if key != own and getattr(form, key) is not None:
            yield Fault(
                f"{key} belongs to a {kind} form, but this form is {form.kind}",
                f"form.{key}",
                f"remove it, or write kind = {kind!r}",
            )


def _given_faults(job: Job, why: str, others: tuple[str, ...] = ()) -> Iterator[Fault]:
    """Give what does not go together with a form that is given in space."""
    if job.form.kind not in CARVED:
        yield Fault(
            f"{why}, but a {job.form.kind} form is made from outlines alone",
            "form.kind",
            "write kind = 'relief' or 'full round', or name a drawing with outlines",
        )
    elif job.form.peak_mm is not None:
        yield Fault(f"{why}, and so its peak", "form.peak_mm", "remove it")
    for key in (*others, "contour_layers", "far_layers", "mark_layers"):
        if getattr(job.read, key):
            yield Fault(
                f"{key} is given, but {why}",
                f"read.{key}",
                "remove it, or make what is drawn there in a job of its own",
            )


def _finished_faults(job: Job) -> Iterator[Fault]:
    """Give what contradicts lines drawn along the edges to be cut finished."""
    if not job.read.finished_layers:
        return
    sided = ["form"] if job.form.finished_sides else []
    sided += [f"parts[{k}]" for k, part in enumerate(job.parts) if part.finished_sides]
    for where in sided:
        yield Fault(
            "finished_sides and finished_layers are both given, but each says which edges are "
            "cut finished",
            f"{where}.finished_sides",
            "keep one of them",
        )
    if is_mesh(job) or job.form.kind == "full round" or any(getattr(job.read, k) for k in VIEWS):
        yield Fault(
            "finished_layers is given, but the form's outline is worked out, not drawn: its "
            "allowance stands all round",
            "read.finished_layers",
            "remove it",
        )


def _taper_faults(job: Job) -> Iterator[Fault]:
    if job.form.kind in CARVED and (job.tapers or job.read.far_layers):
        yield Fault(
            f"a {job.form.kind} form does not taper: it is carved",
            "tapers" if job.tapers else "read.far_layers",
            "remove it, or make the tapered pieces in a job of their own, kind = 'flat'",
        )
    for index, one in enumerate(job.tapers):
        given = [key for key in ("far", "draft_mm", "draft_deg") if getattr(one, key) is not None]
        if len(given) > 1:
            yield Fault(
                f"{' and '.join(given)} are all given, but each says what the far face is",
                f"tapers[{index}]",
                "keep one of them",
            )
        elif not given and not job.read.far_layers:
            yield Fault(
                f"nothing says what the far face of {one.near!r} is",
                f"tapers[{index}]",
                "add far (an outline's name), draft_mm or draft_deg, or name far_layers in [read]",
            )


def _unknown_to(job: Job, workshop: Workshop) -> Iterator[Fault]:
    rig = workshop.rig
    if (job.tapers or job.read.far_layers) and rig.kind == "table" and not rig.two_ended:
        yield Fault(
            "the job has tapers, for which the wire's two ends go different ways; this table "
            "moves both alike",
            "tapers" if job.tapers else "read.far_layers",
            "write two_ended = true under [rig] if the table can move each end by itself; or cut "
            "with a bow along two templates: kind = 'bow'",
        )
    foams = sorted(foam.name for foam in workshop.foams)
    if job.form.foam not in foams:
        yield Fault(
            f"foam {job.form.foam!r} is not in the workshop file",
            "form.foam",
            f"use one of: {', '.join(foams)}",
        )
    elif not any(stock.foam == job.form.foam for stock in workshop.stock):
        yield Fault(
            f"the workshop file has no stock of foam {job.form.foam!r}",
            "form.foam",
            "add a [[stock]] table of that foam, or use another foam",
        )
