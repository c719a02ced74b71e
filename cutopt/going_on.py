"""The commands that go on after a mistake: done records it, replan plans again.

Both take the same options for what is said; these stand once, in ``_said``.
"""

from __future__ import annotations

import inspect
import json
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from cutopt.options import (
    DxfOption,
    EffortOption,
    FirstLabelOption,
    ForceOption,
    JsonOption,
    LabelsOption,
    OutOption,
    PaperOption,
    PaperSize,
    QrOption,
    QuietOption,
    UnitsOption,
    printing_of,
    summary_of,
)
from cutopt.read.progress_words import Said

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


def _said(
    cut: CutOption = None,
    made: MadeOption = None,
    spoiled: SpoiledOption = None,
    left: LeftOption = None,
    bad: BadOption = None,
    not_bought: NotBoughtOption = None,
) -> Said:
    return Said(cut or (), made or (), spoiled or (), left or (), bad or (), not_bought or ())


def _taking_what_is_said(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of ``_said`` in place of its argument ``said``."""
    words = inspect.signature(_said, eval_str=True).parameters
    own = inspect.signature(command, eval_str=True).parameters
    taken = [
        option.replace(kind=inspect.Parameter.KEYWORD_ONLY)
        for name, one in own.items()
        for option in (words.values() if name == "said" else [one])
    ]

    def with_options(**options: Any) -> None:  # noqa: ANN401
        said = _said(**{name: options.pop(name) for name in words})
        command(said=said, **options)

    with_options.__name__, with_options.__doc__ = command.__name__, command.__doc__
    with_options.__annotations__ = {option.name: option.annotation for option in taken}
    vars(with_options)["__signature__"] = inspect.Signature(taken)
    return with_options


@_taking_what_is_said
def done(
    plan_file: PlanPath,
    said: Said,
    *,
    undo: UndoOption = False,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """Record what is cut, good or spoiled, and plan nothing.

    Everything in the plan counts as bought, and the store's cuts of it as made, unless
    --not-bought. A cut counts with all cuts before it that its piece came from.
    """
    from cutopt.progress import record

    state = record(_plan_in(plan_file), said, undo=undo)
    if as_json:
        typer.echo(json.dumps(state.as_json(), indent=2, ensure_ascii=False))
    elif not quiet:
        for line in state.words():
            typer.echo(line)


@_taking_what_is_said
def replan(
    plan_file: PlanPath,
    said: Said,
    out: OutOption = None,
    effort: EffortOption = 1,
    paper: PaperOption = PaperSize.LETTER,
    units: UnitsOption = None,
    labels: LabelsOption = "plain",
    first_label: FirstLabelOption = 1,
    *,
    dxf: DxfOption = False,
    qr: QrOption = False,
    undo: UndoOption = False,
    force: ForceOption = False,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """Go on after a mistake: plan what is still to be made from what lies there.

    What is said here is recorded as by `done`. Without any option it goes on from what is
    recorded. The new plan goes to a folder of its own beside the old one.
    """
    from cutopt.pipeline import run_replan
    from cutopt.progress import record
    from cutopt.solve.params import Search
    from cutopt.steps.replan_words import replan_words
    from cutopt.terminal import print_warnings, stderr
    from cutopt.watching import watching
    from cutopt.write.output import check_folder, files_written, next_folder

    source = _plan_in(plan_file)
    printing = printing_of(paper, units, labels, first_label, dxf=dxf, qr=qr)
    folder = out if out is not None else next_folder(source.parent)
    check_folder(folder, force=force)
    state = record(source, said, undo=undo)
    say = stderr()
    with watching(say, lambda _what, cost: str(cost), quiet=True) as watch:
        again = run_replan(
            state, Search(effort, state.plan.settings.seed), watch, printing, folder, force=force
        )
    print_warnings(say, again.warnings)
    lines = replan_words(again)
    if as_json:
        summary = {**summary_of(folder), "says": lines}
        typer.echo(json.dumps(summary, indent=2, ensure_ascii=False))
    elif not quiet:
        for line in lines:
            typer.echo(line)
        typer.echo(f"Pages in {folder}: {', '.join(files_written(folder))}")


def _plan_in(path: Path) -> Path:
    """Give the plan.json that a path names, or that lies in the folder it names."""
    return path / "plan.json" if path.is_dir() else path
