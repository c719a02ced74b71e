"""Everything a run leaves in its folder, written so that nothing half-made or stale remains."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from cutopt.draw.documents import Document
from cutopt.draw.dxf_drawings import DxfDrawing
from cutopt.draw.file_names import file_name
from cutopt.draw.frame import Look
from cutopt.errors import Fault, InputError
from cutopt.model.plan import Plan
from cutopt.read.progress import PROGRESS_FILE
from cutopt.write.atomic import write_bytes
from cutopt.write.pdf import pdf_bytes
from cutopt.write.phone import phone_html
from cutopt.write.svg import svg_text
from cutopt.write.tables import buy_list_csv, cut_list_csv

PLAN_FILE = "plan.json"
PHONE_FILE = "plan.html"
DRAWINGS = "drawings"
DXF = "dxf"
FOLDERS = {DRAWINGS: re.compile(r".*\.svg"), DXF: re.compile(r"[PS]\d+(_.*)?\.dxf")}
"""Folders of its own, and what its own files in them are called."""
OWN_FILES = frozenset(
    {
        PLAN_FILE,
        PHONE_FILE,
        "store.pdf",
        "shop.pdf",
        "labels.pdf",
        "buy-list.pdf",
        "buy-list.csv",
        "cut-list.csv",
    }
)
KEPT_FILES = frozenset({PROGRESS_FILE})
"""What a builder recorded beside a plan: never replaced or removed."""


@dataclass(frozen=True, slots=True)
class Output:
    """A plan and all that is printed of it.

    Attributes:
        look: what its pages share.
        dxf: drawings for a CNC router or laser; none where nobody asks for them.
    """

    plan_text: str
    documents: tuple[Document, ...]
    plan: Plan
    look: Look
    dxf: tuple[DxfDrawing, ...] = ()


def foreign_files(folder: Path) -> tuple[str, ...]:
    """Give names in a folder that no run of this program wrote, in order."""
    if not folder.is_dir():
        return ()
    strange = []
    for path in sorted(folder.iterdir()):
        if path.name in FOLDERS and path.is_dir():
            strange += [
                f"{path.name}/{inner.name}"
                for inner in sorted(path.iterdir())
                if not FOLDERS[path.name].fullmatch(inner.name) or inner.is_dir()
            ]
        elif path.name not in OWN_FILES | KEPT_FILES or path.is_dir():
            strange.append(path.name)
    return tuple(strange)


def check_folder(folder: Path, *, force: bool, redraw: bool = False) -> None:
    """Raise InputError where ``folder`` cannot take the output of a run.

    A folder whose plan is being cut takes that very plan again (``redraw``), and no other.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError([Fault(f"{folder} is a file, not a folder", help="give --out a folder")])
    if (folder / PROGRESS_FILE).exists() and not (force or redraw):
        raise InputError(
            [
                Fault(
                    f"what was cut of the plan in {folder} is recorded there",
                    help="cutopt replan goes on from it; or give --out another folder",
                )
            ]
        )
    strange = foreign_files(folder)
    if strange and not force:
        shown = ", ".join(strange[:4]) + (" ..." if len(strange) > 4 else "")
        raise InputError(
            [
                Fault(
                    f"the folder {folder} holds files that are not from here: {shown}",
                    help="give --out another folder, or --force to write beside them",
                )
            ]
        )


def write_output(output: Output, folder: Path, *, force: bool) -> None:
    """Write plan.json first, then pages, drawings and lists; remove what an earlier run left over.

    Raises:
        InputError: the folder holds foreign files (without ``force``) or cannot be written.
    """
    plan_file = folder / PLAN_FILE
    same = plan_file.is_file() and plan_file.read_bytes() == output.plan_text.encode()
    check_folder(folder, force=force, redraw=same)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_bytes(folder / PLAN_FILE, output.plan_text.encode())
        written = {PLAN_FILE}
        for name, content in _contents(output).items():
            target = folder / name
            target.parent.mkdir(exist_ok=True)
            write_bytes(target, content)
            written.add(name)
        _remove_stale(folder, written)
    except OSError as error:
        raise InputError(
            [Fault(f"cannot write to {folder}: {error.strerror}", help="give --out another place")]
        ) from error


def _contents(output: Output) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for document in output.documents:
        files[f"{document.name}.pdf"] = pdf_bytes(document.pages, document.title)
        if document.name in {"store", "shop"}:
            for page in document.pages:
                name = file_name(page.name)
                files[f"{DRAWINGS}/{name}.svg"] = svg_text(page).encode()
    if output.dxf:
        from cutopt.write.dxf import dxf_bytes  # noqa: PLC0415 - most runs do without its library

        for drawing in output.dxf:
            files[f"{DXF}/{drawing.name}.dxf"] = dxf_bytes(drawing)
    files["buy-list.csv"] = buy_list_csv(output.plan, output.look.units).encode()
    files["cut-list.csv"] = cut_list_csv(output.plan, output.look.units).encode()
    files[PHONE_FILE] = phone_html(output.plan, output.look, output.documents).encode()
    return files


def _remove_stale(folder: Path, written: set[str]) -> None:
    for name in sorted(OWN_FILES - written):
        (folder / name).unlink(missing_ok=True)
    for name, own in FOLDERS.items():
        inner = folder / name
        for path in sorted(inner.glob("*")):
            if own.fullmatch(path.name) and f"{name}/{path.name}" not in written:
                path.unlink()
        if name == DXF and inner.is_dir() and not any(inner.iterdir()):
            inner.rmdir()


def next_folder(folder: Path) -> Path:
    """Give the first folder beside a plan's own that is not there: "bench-plan-2"."""
    here = folder.resolve()
    stem, _, number = here.name.rpartition("-")
    stem = stem if stem and number.isdigit() else here.name
    last = int(number) if stem != here.name else 1
    while (folder.parent / f"{stem}-{last + 1}").exists():
        last += 1
    return here.parent / f"{stem}-{last + 1}"


def files_written(folder: Path) -> tuple[str, ...]:
    """Give the names of a run's files in a folder, pages first."""
    names = [name for name in sorted(OWN_FILES) if (folder / name).is_file()]
    names.sort(key=lambda name: not name.endswith((".pdf", ".html")))
    return (*names, *(name for name in FOLDERS if (folder / name).is_dir()))


def write_new_files(folder: Path, texts: Mapping[str, str]) -> None:
    """Write text files into a folder, all or none.

    Raises:
        InputError: one of them is there already, or the folder cannot be written.
    """
    there = [name for name in texts if (folder / name).exists()]
    if there:
        raise InputError(
            [Fault(f"{folder / name} is there already", help="give a new folder") for name in there]
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            write_bytes(folder / name, text.encode())
    except OSError as error:
        raise InputError(
            [Fault(f"cannot write to {folder}: {error.strerror}", help="give another place")]
        ) from error
