"""Options that several commands take, and what they say put together."""

from __future__ import annotations

import json
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cutopt.errors import InputError
from cutopt.units import Units

if TYPE_CHECKING:
    from cutopt.pipeline import Printing


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
DxfOption = Annotated[
    bool, typer.Option("--dxf", help="Write DXF drawings of parts and sheets, for CNC and laser.")
]
QrOption = Annotated[
    bool, typer.Option("--qr", help="Put a QR code with name, size and group on each label.")
]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Write into a folder that holds other files.")
]
QuietOption = Annotated[bool, typer.Option("--quiet", "-q", help="Say only what is wrong.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]


def printing_of(
    paper: PaperSize, units: Units | None, labels: str, first_label: int, *, dxf: bool, qr: bool
) -> Printing:
    """Give how to print.

    Raises:
        InputError: there is no such label stock, or no such place on it.
    """
    from cutopt.draw.frame import Paper
    from cutopt.draw.label_pages import label_sheet
    from cutopt.pipeline import Printing

    printing = Printing(Paper(paper.value), units, labels, first_label, dxf, qr)
    places = label_sheet(labels, printing.paper).count
    if first_label > places:
        raise InputError(f"--first-label {first_label}: a sheet has {places} labels")
    return printing


def summary_of(folder: Path) -> dict[str, object]:
    """Give what a batch wants of a plan: its own totals, materials and warnings."""
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    told = ("job", "settings", "totals", "materials", "warnings", "replans")
    return {"folder": str(folder), **{key: plan[key] for key in told if key in plan}}
