"""The command line: options in, messages and exit codes out. Nothing is computed here.

Results go to files or standard output; progress, warnings and faults to standard error.
Heavy modules are imported inside the commands, so that --help and --version answer at once.
"""

from __future__ import annotations

import json
import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cutopt import __version__
from cutopt.errors import CutoptError, ExitCode, Fault, InputError
from cutopt.units import Units

if TYPE_CHECKING:
    from cutopt.model.job import Job
    from cutopt.pipeline import Printing

app = typer.Typer(
    name="cutopt",
    help="Plan what to buy and how to saw it, from a bill of parts.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


class PaperSize(StrEnum):
    """Paper to print on."""

    LETTER = "letter"
    A4 = "a4"


JobPath = Annotated[
    Path,
    typer.Argument(
        metavar="JOB", help="job.toml, its folder, a workbook (.xlsx, .ods) or a parts table."
    ),
]
UnitsOption = Annotated[
    Units | None,
    typer.Option(help="What a bare number means in a parts table; for a job, how pages print."),
]
SetOption = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="Change a key of job.toml for this run."),
]
OutsideOption = Annotated[
    bool, typer.Option("--outside", help="Let a job name files outside its own folder.")
]
OutOption = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="Where the pages go.")]
EffortOption = Annotated[
    int, typer.Option(min=0, max=3, help="How hard to search: 0 at once ... 3 long.")
]
PaperOption = Annotated[PaperSize, typer.Option(help="Paper to print on.")]
LabelsOption = Annotated[
    str, typer.Option(help="Label stock: plain, letter-30, a4-21 or a4-24 (labels a sheet).")
]
FirstLabelOption = Annotated[
    int, typer.Option(min=1, help="First free place on a label sheet that is partly used.")
]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Write into a folder that holds other files.")
]
QuietOption = Annotated[bool, typer.Option("--quiet", "-q", help="Say only what is wrong.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]


def _version(*, wanted: bool) -> None:
    if wanted:
        typer.echo(f"cutopt {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    *,
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            callback=lambda v: _version(wanted=v),
            is_eager=True,
            help="Print the version.",
        ),
    ] = False,
) -> None:
    pass


@app.command()
def plan(
    job: JobPath,
    out: OutOption = None,
    effort: EffortOption = 1,
    seed: Annotated[int, typer.Option(min=0, help="Of the search; same seed, same plan.")] = 0,
    paper: PaperOption = PaperSize.LETTER,
    units: UnitsOption = None,
    changes: SetOption = None,
    labels: LabelsOption = "plain",
    first_label: FirstLabelOption = 1,
    *,
    outside: OutsideOption = False,
    force: ForceOption = False,
    strict: Annotated[bool, typer.Option("--strict", help="Exit 1 on warnings.")] = False,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """Plan a job and write its pages.

    What to buy, which cuts the store makes, which are yours, and a label for every part.
    """
    from cutopt.draw.documents import unprintable_names
    from cutopt.pipeline import run_plan
    from cutopt.solve.params import Search
    from cutopt.steps.overview import overview
    from cutopt.terminal import (
        cost_words,
        print_notes,
        print_overview,
        print_warnings,
        stderr,
        stdout,
    )
    from cutopt.watching import watching
    from cutopt.write.output import check_folder, files_written

    printing = _printing(paper, units, labels, first_label)
    folder = out if out is not None else _folder_beside(job)
    check_folder(folder, force=force)
    read = _open(job, units, changes, outside=outside)
    say = stderr()
    if not quiet:
        print_notes(say, read)
    with watching(say, cost_words(read), quiet=quiet or as_json) as watch:
        made = run_plan(read, Search(effort, seed), watch, printing, folder, force=force)
    print_warnings(say, made.warnings)
    for name in unprintable_names(made):
        say.print(f'note: "{name}" has signs that print as empty boxes', markup=False)
    if as_json:
        typer.echo(json.dumps(_summary(folder), indent=2, ensure_ascii=False))
    elif not quiet:
        print_overview(stdout(), overview(made), units or read.units)
        typer.echo(f"\nPages in {folder}: {', '.join(files_written(folder))}")
    if watch.stopped():
        say.print("Stopped early: this is the best plan found so far.")
        raise typer.Exit(ExitCode.INTERRUPTED)
    if strict and made.warnings:
        raise typer.Exit(ExitCode.CANNOT_PLAN)


@app.command()
def check(
    job: JobPath,
    units: UnitsOption = None,
    changes: SetOption = None,
    *,
    outside: OutsideOption = False,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """Read a job, say what was understood, and plan nothing."""
    from cutopt.read.understood import understood
    from cutopt.terminal import print_notes, print_understood, print_warnings, stderr, stdout

    read = _open(job, units, changes, outside=outside)
    if not quiet:
        print_notes(stderr(), read)
    print_warnings(stderr(), read.warnings)
    facts = understood(read)
    if as_json:
        from cutopt.terminal import understood_as_json

        typer.echo(json.dumps(understood_as_json(facts), indent=2, ensure_ascii=False))
    elif not quiet:
        print_understood(stdout(), facts, units or read.units)


@app.command()
def draw(
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN", help="A plan.json.")],
    out: OutOption = None,
    paper: PaperOption = PaperSize.LETTER,
    units: UnitsOption = None,
    labels: LabelsOption = "plain",
    first_label: FirstLabelOption = 1,
    *,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write the pages of a plan again, without planning."""
    from cutopt.pipeline import run_draw
    from cutopt.write.output import files_written

    folder = out if out is not None else plan_file.parent
    printing = _printing(paper, units, labels, first_label)
    run_draw(plan_file, printing, folder, force=force)
    if not quiet:
        typer.echo(f"Pages in {folder}: {', '.join(files_written(folder))}")


@app.command()
def grades(
    job: JobPath,
    out: OutOption = None,
    trip: Annotated[
        str | None, typer.Option(metavar="MONEY", help="What going back to the store costs.")
    ] = None,
    paper: PaperOption = PaperSize.LETTER,
    units: UnitsOption = None,
    changes: SetOption = None,
    *,
    outside: OutsideOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """Say which grade of boards to buy, and how many.

    Counts, by a model of each grade's bad spans, how sure all parts come out of so many boards.
    """
    from cutopt.draw.frame import Paper
    from cutopt.grading import run_grades
    from cutopt.terminal import grades_as_json, print_grades, print_notes, stderr, stdout
    from cutopt.write.grades import GRADES_FILE

    changes = [*(changes or []), *([] if trip is None else [f"trip={trip}"])]
    read = _open(job, units, changes, outside=outside)
    if not quiet:
        print_notes(stderr(), read)
    folder = out if out is not None else _folder_beside(job, "grades")
    found = run_grades(read, Paper(paper.value), units or read.units, folder, force=force)
    if as_json:
        typer.echo(json.dumps(grades_as_json(found), indent=2, ensure_ascii=False))
    elif not quiet:
        print_grades(stdout(), found)
        if found.reports:
            typer.echo(f"\nThe plot is in {folder / GRADES_FILE}")


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Made if it is not there.")],
    units: Annotated[Units, typer.Option(help="Units of the new job.")] = Units.INCH,
) -> None:
    """Write a commented starter job that plans as it is."""
    from cutopt.read.starter import starter_files
    from cutopt.write.output import write_new_files

    write_new_files(folder, starter_files(units))
    typer.echo(f"A starter job is in {folder}. Change its tables, then: cutopt plan {folder}")


PlanPath = Annotated[Path, typer.Argument(metavar="PLAN", help="A plan.json, or its folder.")]
CutOption = Annotated[
    list[str] | None,
    typer.Option("--cut", metavar="PIECE[:CUTS]", help="Cuts made: S1, S1:1-4, S1:store, L2:3."),
]
MadeOption = Annotated[
    list[str] | None,
    typer.Option("--made", metavar="PART", help='A part cut and good: Shelf, "Shelf:2", P3:2.'),
]
SpoiledOption = Annotated[
    list[str] | None,
    typer.Option(
        "--spoiled",
        metavar="PART",
        help='A part that is no good: Shelf, "Shelf:2"; or the piece on the saw for cut 3: S1:3.',
    ),
]
LeftOption = Annotated[
    list[str] | None,
    typer.Option(
        "--left", metavar="SIZE", help="Usable of what is spoiled, length (grain) x width: 20 x 8."
    ),
]
BadOption = Annotated[
    list[str] | None,
    typer.Option(
        "--bad", metavar="PIECE:FROM to TO", help="A split or knot in a board: 'L3:20 to 26'."
    ),
]
NotBoughtOption = Annotated[
    list[str] | None,
    typer.Option("--not-bought", metavar="PIECE", help="A piece still to be bought: S3, or all."),
]
UndoOption = Annotated[
    bool, typer.Option("--undo", help="Take back what was recorded last; may be said again.")
]


@app.command()
def done(
    plan_file: PlanPath,
    cut: CutOption = None,
    made: MadeOption = None,
    spoiled: SpoiledOption = None,
    left: LeftOption = None,
    bad: BadOption = None,
    not_bought: NotBoughtOption = None,
    *,
    undo: UndoOption = False,
    quiet: QuietOption = False,
) -> None:
    """Record what is cut, good or spoiled, and plan nothing.

    Everything in the plan counts as bought, and the store's cuts of it as made, unless
    --not-bought. A cut counts with all cuts before it that its piece came from.
    """
    from cutopt.progress import record
    from cutopt.read.progress_words import Said

    said = Said(cut or (), made or (), spoiled or (), left or (), bad or (), not_bought or ())
    state = record(_plan_in(plan_file), said, undo=undo)
    if not quiet:
        for line in state.words():
            typer.echo(line)


@app.command()
def replan(
    plan_file: PlanPath,
    cut: CutOption = None,
    made: MadeOption = None,
    spoiled: SpoiledOption = None,
    left: LeftOption = None,
    bad: BadOption = None,
    not_bought: NotBoughtOption = None,
    out: OutOption = None,
    effort: EffortOption = 1,
    paper: PaperOption = PaperSize.LETTER,
    units: UnitsOption = None,
    labels: LabelsOption = "plain",
    first_label: FirstLabelOption = 1,
    *,
    undo: UndoOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Go on after a mistake: plan what is still to be made from what lies there.

    What is said here is recorded as by `done`. Without any option it goes on from what is
    recorded. The new plan goes to a folder of its own beside the old one.
    """
    from cutopt.pipeline import run_replan
    from cutopt.progress import record
    from cutopt.read.progress_words import Said
    from cutopt.solve.params import Search
    from cutopt.steps.replan_words import replan_words
    from cutopt.terminal import print_warnings, stderr
    from cutopt.watching import watching
    from cutopt.write.output import check_folder, files_written, next_folder

    source = _plan_in(plan_file)
    printing = _printing(paper, units, labels, first_label)
    folder = out if out is not None else next_folder(source.parent)
    check_folder(folder, force=force)
    said = Said(cut or (), made or (), spoiled or (), left or (), bad or (), not_bought or ())
    state = record(source, said, undo=undo)
    say = stderr()
    with watching(say, lambda _what, cost: str(cost), quiet=True) as watch:
        again = run_replan(
            state, Search(effort, state.plan.settings.seed), watch, printing, folder, force=force
        )
    print_warnings(say, again.warnings)
    if not quiet:
        for line in replan_words(again):
            typer.echo(line)
        typer.echo(f"Pages in {folder}: {', '.join(files_written(folder))}")


def _plan_in(path: Path) -> Path:
    """Give the plan.json that a path names, or that lies in the folder it names."""
    return path / "plan.json" if path.is_dir() else path


def _folder_beside(job: Path, what: str = "plan") -> Path:
    """Give the folder a job's pages go to when nobody says: beside the job, named after it."""
    if job.is_dir():
        return job / f"{job.resolve().name}-{what}"
    stem = job.resolve().parent.name if job.name == "job.toml" else job.stem
    return job.parent / f"{stem}-{what}"


def _open(job: Path, units: Units | None, changes: list[str] | None, *, outside: bool) -> Job:
    from cutopt.read.job import read_job

    overrides: dict[str, str] = {}
    faults: list[Fault] = []
    for change in changes or []:
        key, equals, value = change.partition("=")
        if not equals or not key.strip():
            faults.append(
                Fault("--set takes a key and a value", found=change, help="store.free_cuts=4")
            )
        overrides[key.strip()] = value.strip()
    if faults:
        raise InputError(faults)
    return read_job(job, units=units, overrides=overrides, outside=outside)


def _printing(paper: PaperSize, units: Units | None, labels: str, first_label: int) -> Printing:
    """Give how to print.

    Raises:
        InputError: there is no such label stock, or no such place on it.
    """
    from cutopt.draw.frame import Paper
    from cutopt.draw.label_pages import label_sheet
    from cutopt.pipeline import Printing

    printing = Printing(Paper(paper.value), units, labels, first_label)
    places = label_sheet(labels, printing.paper).count
    if first_label > places:
        raise InputError(f"--first-label {first_label}: a sheet has {places} labels")
    return printing


def _summary(folder: Path) -> dict[str, object]:
    """Give what a batch wants of a plan: its own totals, materials and warnings."""
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    return {
        "folder": str(folder),
        **{key: plan[key] for key in ("job", "settings", "totals", "materials", "warnings")},
    }


def main() -> None:
    """Run the command line; every fault becomes a message and an exit code."""
    try:
        code = app(standalone_mode=False)
    except CutoptError as error:
        for fault in error.faults:
            typer.echo(str(fault), err=True)
        sys.exit(error.exit_code)
    except (KeyboardInterrupt, typer.Abort):
        typer.echo("Interrupted.", err=True)
        sys.exit(ExitCode.INTERRUPTED)
    except BrokenPipeError:
        # Whoever read our output has gone; there is nobody left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(ExitCode.CANNOT_PLAN)
    except Exception as error:  # no traceback ever reaches a user
        show_usage = getattr(error, "show", None)
        if show_usage is not None:  # a wrong command line: the library words it
            show_usage()
            sys.exit(ExitCode.BAD_INPUT)
        if os.environ.get("CUTOPT_TRACEBACK"):
            raise
        typer.echo(
            f"This is a mistake in cutopt, not in your job ({type(error).__name__}: {error}). "
            "Please report it with the job that shows it; CUTOPT_TRACEBACK=1 prints where.",
            err=True,
        )
        sys.exit(ExitCode.CANNOT_PLAN)
    sys.exit(code if isinstance(code, int) else ExitCode.DONE)
