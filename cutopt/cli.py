"""The command line: options in, messages and exit codes out. Nothing is computed here.

Results go to files or standard output; progress, warnings and faults to standard error.
Heavy modules are imported inside the commands, so that --help and --version answer at once.
"""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cutopt import __version__
from cutopt.errors import CutoptError, ExitCode, Fault, InputError
from cutopt.going_on import done, replan
from cutopt.options import (
    DxfOption,
    EffortOption,
    FirstLabelOption,
    ForceOption,
    JobPath,
    JsonOption,
    LabelsOption,
    OutOption,
    OutsideOption,
    PaperOption,
    PaperSize,
    QrOption,
    QuietOption,
    SetOption,
    UnitsOption,
    printing_of,
    summary_of,
)
from cutopt.units import Units

if TYPE_CHECKING:
    from cutopt.model.job import Job

app = typer.Typer(
    name="cutopt",
    help="Plan what to buy and how to saw it, from a bill of parts.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


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
    dxf: DxfOption = False,
    qr: QrOption = False,
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

    printing = printing_of(paper, units, labels, first_label, dxf=dxf, qr=qr)
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
        typer.echo(json.dumps(summary_of(folder), indent=2, ensure_ascii=False))
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
    dxf: DxfOption = False,
    qr: QrOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write the pages of a plan again, without planning."""
    from cutopt.pipeline import run_draw
    from cutopt.write.output import files_written

    folder = out if out is not None else plan_file.parent
    printing = printing_of(paper, units, labels, first_label, dxf=dxf, qr=qr)
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


app.command()(done)
app.command()(replan)


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
