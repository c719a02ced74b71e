"""The sheets of an ``.xlsx`` or ``.ods`` workbook as grids of text."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile

import openpyxl
import pandas as pd
from openpyxl.utils import get_column_letter

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
    formulas = _formulas(data, file)
    for name, frame in frames.items():
        if len(frame) > MOST_ROWS:
            raise InputError(
                [Fault("the sheet has more than 100,000 rows", file=f"{file}, {name}")]
            )
        rows = tuple(
            tuple(cell_text(cell) for cell in row)
            for row in frame.itertuples(index=False, name=None)
        )
        called = f"{file}, sheet {name}" if len(frames) > 1 else file
        faults = _without_value(formulas.get(str(name), {}), rows, called)
        grids[str(name)] = Grid(called, rows, faults=faults)
    return grids


_Formulas = dict[tuple[int, int], str]
"""By row and column from 1."""


def _formulas(data: bytes, file: str) -> dict[str, _Formulas]:
    """Give the formulas of an Excel workbook by the name of their sheet."""
    if file.lower().endswith(".ods"):
        return {}
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        sheets = (name for name in packed.namelist() if name.startswith("xl/worksheets/"))
        if not any(re.search(rb"<f[ >/]", packed.read(name)) for name in sheets):
            return {}
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
    return {
        sheet.title: {
            (row, column): str(getattr(cell.value, "text", cell.value))
            for row, cells in enumerate(sheet.iter_rows(), start=1)
            for column, cell in enumerate(cells, start=1)
            if cell.data_type == "f"
        }
        for sheet in book.worksheets
    }


def _without_value(
    formulas: _Formulas, rows: tuple[tuple[str, ...], ...], file: str
) -> tuple[Fault, ...]:
    """Give a fault for the first formula without a stored value, the others counted."""

    def has_value(row: int, column: int) -> bool:
        return row <= len(rows) and column <= len(rows[row - 1]) and bool(rows[row - 1][column - 1])

    blank = [place for place in formulas if not has_value(*place)]
    if not blank:
        return ()
    others = len(blank) - 1
    more = f"; {others} more {'has' if others == 1 else 'have'} none either" if others else ""
    row, column = blank[0]
    return (
        Fault(
            f"the formula has no stored value{more}",
            file,
            row,
            get_column_letter(column),
            found=formulas[row, column],
            help="open and save the file in the spreadsheet",
        ),
    )


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
