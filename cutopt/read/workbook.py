"""The sheets of an ``.xlsx`` or ``.ods`` workbook as grids of text."""

from __future__ import annotations

import datetime as dt
import io
import zipfile

import pandas as pd

from cutopt.errors import Fault, InputError
from cutopt.read.grid import MOST_ROWS, Grid

_MOST_UNPACKED = 400 * 1000 * 1000


def read_workbook(data: bytes, file: str) -> dict[str, Grid]:
    """Give every sheet of a workbook by its name.

    Raises:
        InputError: the file is no workbook, or a sheet has more than 100,000 rows.
    """
    _refuse_bombs(data, file)
    try:
        frames = pd.read_excel(
            io.BytesIO(data),
            sheet_name=None,
            header=None,
            dtype=object,
            engine="odf" if file.lower().endswith(".ods") else "openpyxl",
            keep_default_na=False,
        )
    except Exception as error:  # the engines raise whatever a broken file leads them to
        raise _unreadable(file) from error
    grids = {}
    for name, frame in frames.items():
        if len(frame) > MOST_ROWS:
            raise InputError(
                [Fault("the sheet has more than 100,000 rows", file=f"{file}, {name}")]
            )
        rows = tuple(
            tuple(cell_text(cell) for cell in row)
            for row in frame.itertuples(index=False, name=None)
        )
        grids[str(name)] = Grid(f"{file}, sheet {name}" if len(frames) > 1 else file, rows)
    return grids


def _unreadable(file: str) -> InputError:
    """Give the fault of a file that is no workbook."""
    what = "this is not a workbook that can be read"
    return InputError([Fault(what, file=file, help="save it anew as .xlsx")])


def _refuse_bombs(data: bytes, file: str) -> None:
    """Raise InputError where a workbook is no zip archive or unpacks to more than 400 MB."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(entry.file_size for entry in packed.infolist())
    except zipfile.BadZipFile as error:
        raise _unreadable(file) from error
    if size > _MOST_UNPACKED:
        raise InputError([Fault("the workbook is too large when unpacked", file=file)])


def cell_text(cell: object) -> str:
    """Give a cell as its user would type it: 23.5, not 23.500000000000004."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return "" if cell != cell else f"{cell:.12g}"  # noqa: PLR0124 - only NaN differs from itself
    if isinstance(cell, dt.time | dt.date):
        return cell.isoformat()
    return "" if cell is None or cell is pd.NaT else str(cell)
