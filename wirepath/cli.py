"""The command line: a skin. It reads options, calls the library, prints, and sets exit codes."""

from __future__ import annotations

import json
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from wirepath import __version__
from wirepath.errors import DrawingError, Fault, FileError, SettingsError, WirepathError

if TYPE_CHECKING:
    from wirepath.model import Job, Plan, Reading, Traced
    from wirepath.workshop import TestCut, Workshop

EXIT_CODES = """\
Exit codes: 0 done, 1 a file cannot be read or written, 2 wrong call, 3 job or workshop
file faulty, 4 drawing not usable, 5 the work does not fit block, wire or kerf,
6 refused as dangerous, 7 a plan failed its own check (our fault), 130 stopped by you.
"""

Choice = TypeVar("Choice", bound=str)

app = typer.Typer(
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    help="Plan the hot-wire foam stage: from an outline to blocks, wire paths and cut sheets.\n\n"
    "  wirepath start commission          a job and a workshop file to begin from\n\n"
    "  wirepath read drawing.dxf          what the drawing holds, in mm\n\n"
    "  wirepath order commission/job.toml how many blocks, what waste, what price\n\n"
    "  wirepath plan commission/job.toml  cut sheets, coordinate files and all lists\n\n"
    "  wirepath whatif commission/job.toml what other blocks, seams or sizes would cost\n\n"
    "  wirepath rough commission/job.toml take the bulk off a relief with few straight cuts\n\n"
    "  wirepath check commission/job-plan prove a written plan again\n\n"
    "  wirepath kerf 4:1.6 8:1.0          the kerf from your own test slots\n\n"
    "  wirepath wire commission/workshop.toml  a card of the wire: volts, amperes, tension\n\n"
    + EXIT_CODES,
)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file (TOML).")]
Seed = Annotated[int, typer.Option(min=0, help="Same seed, same plan.")]
Seconds = Annotated[float | None, typer.Option(min=0, help="How long to look for a better layout.")]
Workers = Annotated[
    int,
    typer.Option(min=1, max=8, help="How many searches at once, each a process; the best is kept."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the result as JSON, for scripts.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="No progress on the error stream.")]


def main() -> None:
    """Run the command line; turn a user's fault into a message and an exit code."""
    debug = "--debug" in sys.argv
    arguments = [word for word in sys.argv[1:] if word != "--debug"]
    try:
        app(arguments)
    except WirepathError as error:
        if debug:
            raise
        _show_faults(error, as_json="--json" in arguments)
        sys.exit(error.exit_code)


@app.callback(invoke_without_command=True)
def _top(
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
    debug: Annotated[
        bool, typer.Option("--debug", help="Show where in the program a fault arose.")
    ] = False,
) -> None:
    if version:
        print(__version__)
        raise typer.Exit


@app.command()
def plan(
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write; by default JOB-plan beside the job.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace a plan that is there already.")
    ] = False,
    templates: Annotated[
        str | None, typer.Option(help="Add full-size templates on A4, A3 or one long roll.")
    ] = None,
    parts: Annotated[
        list[str] | None, typer.Option(help="Templates only of these parts; may be a pattern.")
    ] = None,
    view: Annotated[
        bool, typer.Option("--view", help="Add view.html, for a phone or tablet at the bench.")
    ] = False,
    approval: Annotated[
        bool, typer.Option("--approval", help="Add approval.pdf, a page for the client to sign.")
    ] = False,
    pictures: Annotated[
        str | None, typer.Option(help="Add every sheet as a picture: svg or png.")
    ] = None,
    rack: Annotated[
        bool,
        typer.Option("--rack", help="Add rack.toml: the rack once this is cut, for the next job."),
    ] = False,
    seed: Seed = 0,
    seconds: Seconds = None,
    workers: Workers = 1,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Write the plan of a job: sheets, coordinate files, order and lists.

    Nothing is written unless everything is proved. Ctrl-C ends the search for a better
    layout and goes on with the best so far; a second Ctrl-C stops.

      wirepath plan demo_shapes/letters.toml

      wirepath plan pear.toml --out plans/pear --replace --seconds 30

      wirepath plan demo_shapes/arch.toml --templates A4 --view

      wirepath plan demo_shapes/arch.toml --rack
    """
    from wirepath import plan_folder, report

    extras = plan_folder.Extras(
        templates=_one_of(templates, ("A4", "A3", "roll"), "--templates"),
        parts=tuple(parts or ()),
        view=view,
        rack=rack,
        approval=approval,
        pictures=_one_of(pictures, ("svg", "png"), "--pictures"),
    )
    folder = out or job.with_name(f"{job.stem}-plan")
    plan_folder.refuse_existing(folder, replace_old=replace)
    tell = _progress(quiet)
    made = _make_plan(job, seed, seconds, workers, tell)
    tell("writing and proving the plan")
    findings = plan_folder.write_folder(
        made, folder, replace_old=replace, extras=extras, at_once=True
    )
    if as_json:
        data = report.order_data(made)
        _print_json({**data, "folder": str(folder), "proof": report.proof_data(findings)})
        return
    _print_lines(report.plan_lines(made))
    print()
    _print_lines(report.proof_lines(findings))
    lines = "for a wire table" if made.workshop.rig.kind == "table" else "of every line"
    print(f"\nwritten to {folder}: sheets.pdf to cut from, coordinates/ {lines}")


@app.command()
def read(
    drawing: Annotated[
        Path, typer.Argument(help="A drawing; or a job file, to read its drawing as it says.")
    ],
    units: Annotated[
        str | None, typer.Option(help="mm, cm, m, inch or foot: overrides the drawing's own unit.")
    ] = None,
    scale: Annotated[float | None, typer.Option(help="Finished size : drawn size.")] = None,
    finished_width_mm: Annotated[
        float | None, typer.Option(help="Instead of --scale: how wide all that is read becomes.")
    ] = None,
    finished_height_mm: Annotated[
        float | None, typer.Option(help="Instead of --scale: how high all that is read becomes.")
    ] = None,
    layer: Annotated[
        list[str] | None, typer.Option(help="Layer of outlines, by name or pattern; repeatable.")
    ] = None,
    contour_layer: Annotated[
        list[str] | None, typer.Option(help="Layer of contours, by name or pattern; repeatable.")
    ] = None,
    seam_layer: Annotated[
        list[str] | None, typer.Option(help="Layer of seam lines, by name or pattern; repeatable.")
    ] = None,
    keep_clear_layer: Annotated[
        list[str] | None, typer.Option(help="Layer of places without seams; repeatable.")
    ] = None,
    heights: Annotated[
        str | None, typer.Option(help='What a contour tells: "from the back" or "from the front".')
    ] = None,
    gap_mm: Annotated[
        float | None, typer.Option(help="Join loose ends nearer than this, at finished size.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option(help="Draw what was read, faults numbered (PDF, PNG or SVG).")
    ] = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Tell what a drawing holds: outlines with sizes in mm, repairs, refusals.

    Ends with exit code 4 where the drawing cannot be planned as it stands.

      wirepath read demo_shapes/letters.toml

      wirepath read demo_shapes/pear.toml --picture pear.png

      wirepath read sketch.dxf --units inch --finished-height-mm 2600
    """
    from wirepath import report
    from wirepath.drawing_file import read_survey

    given = {
        "units": units,
        "scale": scale,
        "finished_width_mm": finished_width_mm,
        "finished_height_mm": finished_height_mm,
        "outline_layers": layer,
        "contour_layers": contour_layer,
        "seam_layers": seam_layer,
        "keep_clear_layers": keep_clear_layer,
        "heights": heights,
        "gap_mm": gap_mm,
    }
    path, reading, job = _what_to_read(drawing, {k: v for k, v in given.items() if v is not None})
    _progress(quiet)(f"reading {path}")
    survey = read_survey(path, reading)
    if picture:
        from wirepath.drawing_picture import write_picture

        write_picture(survey, picture)
    if as_json:
        _print_json(report.drawing_data(survey.traced, survey.faults, job))
    else:
        _print_lines(report.drawing_lines(survey.traced, survey.faults, job))
    if survey.faults:
        raise typer.Exit(DrawingError.exit_code)


@app.command()
def order(
    job: JobFile,
    seed: Seed = 0,
    seconds: Seconds = None,
    workers: Workers = 1,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Tell how many blocks to order, what is wasted and what it costs. Writes nothing.

    The plan behind the answer is made and proved as `plan` does.

      wirepath order demo_shapes/arch.toml

      wirepath order demo_shapes/arch.toml --json
    """
    from wirepath import checking, plan_folder, report

    made = _make_plan(job, seed, seconds, workers, _progress(quiet))
    plan_folder.refuse_unsound(checking.check_plan(made))
    if as_json:
        _print_json(report.order_data(made))
    else:
        _print_lines(report.order_lines(made.estimate, setup_price=made.workshop.setup_price))
        print()
        _print_lines(report.way_lines(made))


@app.command()
def whatif(
    job: JobFile,
    by: Annotated[
        float, typer.Option(min=0.1, max=50, help="How much sizes change, in per cent.")
    ] = 5.0,
    picture: Annotated[
        Path | None, typer.Option(help="Draw the prices side by side (PDF, PNG or SVG).")
    ] = None,
    seed: Seed = 0,
    seconds: Seconds = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Tell what the job would take with other blocks, seams, allowance or scale.

    Makes and proves the plan again with each change by itself. Writes no plan.

      wirepath whatif demo_shapes/pear.toml

      wirepath whatif demo_shapes/pear.toml --by 10 --picture pear-changes.png
    """
    from wirepath import report
    from wirepath.plain_data import to_plain
    from wirepath.planning import LAYOUT_SECONDS
    from wirepath.varying import compare_changes

    if picture:
        from wirepath.picture_file import refuse_ending

        refuse_ending(picture)
    tell = _progress(quiet)
    asked, workshop, traced = _read(job, tell)
    limit = LAYOUT_SECONDS if seconds is None else seconds
    rows = compare_changes(
        asked, workshop, traced, share=by / 100, seed=seed, seconds=limit, tell=tell
    )
    if picture:
        from wirepath.change_picture import change_figure
        from wirepath.picture_file import save_figure

        save_figure(change_figure(rows, job=asked, currency=workshop.order.currency), picture)
    if as_json:
        _print_json({"job": asked.name, "by_percent": by, "changes": to_plain(rows)})
    else:
        _print_lines(report.change_lines(rows, workshop.order.currency))


@app.command()
def rough(
    job: JobFile,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write; by default JOB-roughing beside the job.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace a roughing that is there already.")
    ] = False,
    way: Annotated[
        str | None, typer.Option(help="Work out this way of the comparison, by its name.")
    ] = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Plan the straight cuts that take the bulk off a relief before it is carved.

    Compares ways to do it, works one out with sheets to cut from, and proves that no
    cut goes below the form and its carving allowance.

      wirepath rough demo_shapes/pear.toml

      wirepath rough demo_shapes/pear.toml --way outline --replace
    """
    from wirepath import plan_folder, report
    from wirepath.plain_data import to_plain
    from wirepath.roughing import rough_forms

    folder = out or job.with_name(f"{job.stem}-roughing")
    plan_folder.refuse_existing(folder, mark=plan_folder.ROUGHING_FILE, replace_old=replace)
    tell = _progress(quiet)
    asked, workshop, traced = _read(job, tell)
    tell("comparing ways to rough the form")
    plans = rough_forms(asked, workshop, traced, way=way)
    if not plans:
        raise SettingsError(
            Fault(
                f"a {asked.form.kind} form is cut to size by its outline: nothing is to be roughed",
                f"{job}, form.kind",
                "give a job whose form is a relief or full round",
            )
        )
    tell("proving and writing the roughing")
    findings = plan_folder.write_roughing_folder(
        asked, workshop, traced, plans, folder, replace_old=replace
    )
    if as_json:
        _print_json({"roughing": to_plain(plans), "proof": report.proof_data(findings)})
        return
    for made in plans:
        _print_lines(report.roughing_lines(made))
        print()
    _print_lines(report.proof_lines(findings))
    print(f"\nwritten to {folder}: roughing.pdf to cut from")


@app.command()
def start(
    folder: Annotated[Path, typer.Argument(help="Where to lay the files; made if needed.")],
) -> None:
    """Lay down a commented job file and workshop file to begin from.

    Files that are there already are never touched.

      wirepath start commission
    """
    source = resources.files("wirepath") / "start_files"
    names = ("job.toml", "workshop.toml")
    there = [name for name in names if (folder / name).exists()]
    if there:
        raise FileError(
            [Fault("is there already", str(folder / n), "name another folder") for n in there]
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in names:
            (folder / name).write_bytes((source / name).read_bytes())
    except OSError as error:
        raise FileError(
            Fault(f"cannot be written: {error.strerror}", str(folder), "name another folder")
        ) from error
    print(f"{folder / 'job.toml'} and {folder / 'workshop.toml'} are there.")
    print("Put your drawing beside them, write its name and your figures in, then:")
    print(f"  wirepath plan {folder / 'job.toml'}")


@app.command()
def check(
    folder: Annotated[Path, typer.Argument(help="A folder that `plan` or `rough` wrote.")],
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Prove a written plan or roughing again, from its files alone.

    wirepath check demo_shapes/letters-plan

    wirepath check demo_shapes/pear-roughing
    """
    from wirepath import plan_folder, report
    from wirepath.errors import ProofError

    _progress(quiet)(f"proving {folder}")
    findings = plan_folder.prove_folder(folder)
    if as_json:
        _print_json({"folder": str(folder), "proof": report.proof_data(findings)})
    else:
        _print_lines(report.proof_lines(findings))
    if not all(finding.passed for finding in findings):
        raise typer.Exit(ProofError.exit_code)


@app.command()
def wire(
    workshop: Annotated[Path, typer.Argument(metavar="WORKSHOP", help="The workshop file (TOML).")],
    temperature_c: Annotated[
        float, typer.Option(help="How hot the wire is to be, in still air.")
    ] = 300.0,
    as_json: AsJson = False,
) -> None:
    """Print a card of the workshop's wire: ohms, amperes, volts, watts, stretch, tension.

    Refuses what would need more than extra-low voltage, or light the foam.

      wirepath wire demo_shapes/workshop.toml

      wirepath wire demo_shapes/workshop.toml --temperature-c 250
    """
    from wirepath import report
    from wirepath.plain_data import to_plain
    from wirepath.wire import wire_card
    from wirepath.workshop_file import read_workshop

    card = wire_card(read_workshop(workshop).wire, temperature_c)
    if as_json:
        _print_json(to_plain(card))
    else:
        _print_lines(report.card_lines(card))


@app.command()
def kerf(
    cuts: Annotated[
        list[str] | None,
        typer.Argument(metavar="FEED:WIDTH...", help="Test slots: feed in mm/s, width in mm."),
    ] = None,
    wire_mm: Annotated[
        float | None, typer.Option(help="Diameter of the wire, to judge the fit by.")
    ] = None,
    want_mm: Annotated[
        float | None, typer.Option(help="Tell the feed that gives a slot this wide.")
    ] = None,
    workshop: Annotated[
        Path | None, typer.Option(help="Fit the test cuts of this workshop file, foam by foam.")
    ] = None,
    sheet: Annotated[
        Path | None, typer.Option(help="Write a page that shows how to cut them (PDF).")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Fit the kerf to your own test slots; without slots, tell how to cut them.

    wirepath kerf --sheet test-cut.pdf

    wirepath kerf 4:1.6 6:1.22 8:1.0 --wire-mm 0.5 --want-mm 1.2

    wirepath kerf --workshop demo_shapes/workshop.toml
    """
    from wirepath import report
    from wirepath.kerf import fit_kerf
    from wirepath.plain_data import to_plain

    shop = _workshop(workshop) if workshop else None
    if sheet:
        _write_test_cut(sheet, shop)
        return
    if shop and not cuts:
        _show_kerfs(shop, as_json)
        return
    if not cuts:
        _print_lines(report.test_cut_lines())
        return
    fit = fit_kerf([_test_cut(cut) for cut in cuts], wire_mm=wire_mm)
    feed = None if want_mm is None else fit.law.feed_mm_per_s(want_mm)
    if as_json:
        _print_json({**to_plain(fit), "wanted_kerf_mm": want_mm, "feed_mm_per_s": feed})
    else:
        _print_lines(report.kerf_lines(fit, want_mm))
        print("In the workshop file the slots stand as [[cutting.test_cuts]]: docs/files.md")


def _workshop(path: Path) -> Workshop:
    from wirepath.workshop_file import read_workshop

    return read_workshop(path)


def _write_test_cut(path: Path, workshop: Workshop | None) -> None:
    from wirepath.sheets.test_cut_sheet import write_test_cut
    from wirepath.workshop import Cutting, Paper

    try:
        write_test_cut(
            path,
            paper=workshop.paper if workshop else Paper(),
            feed_mm_per_s=(workshop.cutting if workshop else Cutting()).feed_mm_per_s,
            wire_mm=workshop.wire.diameter_mm if workshop else None,
            foam=workshop.foams[0].name if workshop else None,
        )
    except OSError as error:
        raise FileError(
            Fault(f"cannot be written: {error.strerror}", str(path), "name another file")
        ) from error
    print(f"written to {path}: print it and take it to the wire")


def _show_kerfs(workshop: Workshop, as_json: bool) -> None:
    from wirepath import report
    from wirepath.kerf import kerf_basis
    from wirepath.plain_data import to_plain

    found = {foam.name: kerf_basis(workshop, foam.name) for foam in workshop.foams}
    if as_json:
        _print_json({name: to_plain(basis) for name, basis in found.items()})
        return
    for name, basis in found.items():
        _print_lines(report.basis_lines(name, basis, workshop.wire))


def _test_cut(text: str) -> TestCut:
    from wirepath.workshop import TestCut

    feed, _, width = text.partition(":")
    try:
        return TestCut(feed_mm_per_s=float(feed), kerf_mm=float(width))
    except ValueError:
        raise typer.BadParameter(
            f"{text!r} is no slot; write feed:width, such as 4:1.6", param_hint="FEED:WIDTH"
        ) from None


def _one_of(text: str | None, choices: tuple[Choice, ...], option: str) -> Choice | None:
    if text is None:
        return None
    for choice in choices:
        if text.lower() == choice.lower():
            return choice
    raise typer.BadParameter(f"{text!r} is none of {', '.join(choices)}", param_hint=option)


def _what_to_read(path: Path, given: dict[str, Any]) -> tuple[Path, Reading, Job | None]:
    """Return the drawing's path, how to read it (as the job file says, options first), and the
    job, if `path` is a job file."""
    from wirepath.job_file import SIZE_KEYS, drawing_path, read_job, size_faults
    from wirepath.model import Reading
    from wirepath.plain_data import from_plain, to_plain

    settings: dict[str, Any] = {}
    job: Job | None = None
    if path.suffix.lower() == ".toml":
        job, _ = read_job(path)
        path, settings = drawing_path(path, job), to_plain(job.read)
    if given.keys() & set(SIZE_KEYS):
        settings = {key: value for key, value in settings.items() if key not in SIZE_KEYS}
    reading, faults = from_plain({**settings, **given}, Reading)
    if reading is None:
        options = (Fault(f.what, f"--{f.where.replace('_', '-')}", f.mend) for f in faults)
        raise SettingsError(tuple(options))
    faults = tuple(size_faults(reading))
    if faults:
        raise SettingsError(faults)
    return path, reading, job


def _make_plan(
    job_path: Path,
    seed: int,
    seconds: float | None,
    workers: int,
    tell: Callable[[str], None],
) -> Plan:
    from wirepath.planning import LAYOUT_SECONDS, make_plan

    job, workshop, traced = _read(job_path, tell)
    limit = LAYOUT_SECONDS if seconds is None else seconds
    with _ctrl_c_ends_search(tell):
        return make_plan(
            job,
            workshop,
            traced,
            seed=seed,
            seconds=limit,
            workers=workers,
            both_at_once=True,
            tell=tell,
        )


@contextmanager
def _ctrl_c_ends_search(tell: Callable[[str], None]) -> Iterator[None]:
    """Let the first Ctrl-C end the search for a layout only; the second raises as ever."""
    from wirepath.nesting.stopping import stoppable

    end = threading.Event()

    def ask(number: int, frame: FrameType | None) -> None:
        signal.signal(number, before)
        end.set()
        tell("Ctrl-C: going on with the best layout so far; once more stops")

    before = signal.signal(signal.SIGINT, ask)
    try:
        with stoppable(end):
            yield
    finally:
        signal.signal(signal.SIGINT, before)


def _read(job_path: Path, tell: Callable[[str], None]) -> tuple[Job, Workshop, Traced]:
    from wirepath.drawing_file import read_traced
    from wirepath.job_file import drawing_path, read_job
    from wirepath.slicing import shaped

    job, workshop = read_job(job_path)
    tell(f"reading {job.drawing}")
    shape, traced = shaped(job, read_traced(drawing_path(job_path, job), job.read))
    return shape, workshop, traced


def _progress(quiet: bool) -> Callable[[str], None]:
    def tell(text: str) -> None:
        if not quiet:
            print(f"  {text} ...", file=sys.stderr, flush=True)

    return tell


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


def _print_json(data: Any) -> None:
    print(json.dumps(data, ensure_ascii=False, indent=2))


def _show_faults(error: WirepathError, *, as_json: bool) -> None:
    if as_json:
        faults = [{"what": f.what, "where": f.where, "mend": f.mend} for f in error.faults]
        _print_json({"exit_code": error.exit_code, "faults": faults})
    for fault in error.faults:
        print(fault, file=sys.stderr)


if __name__ == "__main__":
    main()
