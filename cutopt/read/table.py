"""A grid as a table: rows that remember where they stand, under a header that is understood."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from cutopt.errors import Fault
from cutopt.read import headers
from cutopt.read.grid import Grid
from cutopt.units import Units

ROWS_SEARCHED = 20
"""Rows from the top in which a header is looked for."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its header as it stands, what it means, and the unit the header states."""

    header: str
    meaning: str | None
    units: Units | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One row; ``cells`` holds the text of each known column, stripped.

    Attributes:
        number: as a spreadsheet counts.
        others: (header, text) of the cells in columns without a known meaning.
    """

    file: str
    number: int
    cells: Mapping[str, str]
    columns: Mapping[str, Column]
    others: tuple[tuple[str, str], ...] = ()

    def text(self, column: str) -> str:
        """Give the text in a column, "" where there is none."""
        return self.cells.get(column, "")

    def fault(self, column: str, text: str, help: str = "") -> Fault:  # noqa: A002 - as in Fault
        """Give a fault at this row and column, with the text found there."""
        known = self.columns.get(column)
        return Fault(
            text=text,
            file=self.file,
            row=self.number,
            column=known.header if known else column,
            found=self.text(column),
            help=help,
        )


@dataclass(frozen=True, slots=True)
class Table:
    """A table with its header understood.

    Attributes:
        above: rows above the header, as text lines, that were left out.
    """

    file: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    header_row: int
    notes: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = field(default=())

    def has(self, meaning: str) -> bool:
        """Say whether a column of that meaning is there."""
        return any(column.meaning == meaning for column in self.columns)


def tidy(text: str) -> str:
    """Give a text on one line, without control characters and extra spaces."""
    kept = (" " if letter.isspace() else letter for letter in text)
    return " ".join("".join(c for c in kept if unicodedata.category(c) != "Cc").split())


def any_meaning(cell: str) -> bool:
    """Say whether a cell can be a header of any table."""
    bare = headers.without_unit(cell)[0]
    return (
        any(
            headers.meaning_of(bare, known) is not None
            for known in (headers.PARTS, headers.STOCK, headers.CUTOUTS, headers.EXTRAS)
        )
        or headers.measures_in(cell) is not None
        or headers.names_no_order(cell)
    )


def understand(grid: Grid, known: headers.Vocabulary) -> Table | None:
    """Give the grid as a table, its header found in the first rows; None where there is none.

    A header row names at least two known columns (a combined column such as ``L x W``
    counts), or one where the table has one column only.
    """
    for number, cells in _filled(grid, ROWS_SEARCHED):
        columns = tuple(_column(cell, known) for cell in cells)
        meanings = [c for c in columns if c.meaning or headers.names_no_order(c.header)]
        if len(meanings) >= min(2, sum(1 for cell in cells if cell.strip())):
            return _table(grid, columns, number)
    return None


def _filled(grid: Grid, most: int) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield the numbered rows that hold anything, the first ``most`` of them."""
    seen = 0
    for number, cells in enumerate(grid.rows, start=1):
        if any(cell.strip() for cell in cells):
            yield number, cells
            seen += 1
            if seen == most:
                return


def _column(cell: str, known: headers.Vocabulary) -> Column:
    """Give a header cell's column."""
    header = tidy(cell)
    bare, units = headers.without_unit(header)
    if known is headers.PARTS or known is headers.STOCK:
        measures = headers.measures_in(bare)
        if measures is not None:
            return Column(header, " x ".join(measures), units)
    return Column(header, headers.meaning_of(bare, known), units)


def _one_column_a_meaning(
    file: str, columns: tuple[Column, ...], header_row: int
) -> tuple[tuple[Column, ...], list[Fault]]:
    """Give the columns with weaker headers of one meaning unclaimed, and a fault for each tie."""
    faults = []
    first: dict[str, Column] = {}
    ordered = sorted(columns, key=lambda c: headers.weakness(c.header, c.meaning or ""))
    given_way: set[int] = set()
    for column in ordered:
        if column.meaning is None:
            continue
        other = first.setdefault(column.meaning, column)
        if other is column:
            continue
        if headers.weakness(other.header, column.meaning) < headers.weakness(
            column.header, column.meaning
        ):
            given_way.add(id(column))
            continue
        faults.append(
            Fault(
                f'two columns mean the same ({column.meaning}): "{other.header}" and '
                f'"{column.header}"',
                file=file,
                row=header_row,
                help="leave one of them out, or give it another header",
            )
        )
    kept = tuple(
        Column(column.header, None) if id(column) in given_way else column for column in columns
    )
    return kept, faults


def _table(grid: Grid, columns: tuple[Column, ...], header_row: int) -> Table:
    """Give the rows below the header, and a fault for each meaning that two columns claim."""
    columns, faults = _one_column_a_meaning(grid.file, columns, header_row)
    by_meaning = {column.meaning: column for column in columns if column.meaning is not None}
    rows = []
    for number, cells in enumerate(grid.rows[header_row:], start=header_row + 1):
        if not any(cell.strip() for cell in cells):
            continue
        pairs = list(zip(columns, (tidy(cell) for cell in cells), strict=False))
        rows.append(
            Row(
                grid.file,
                number,
                {c.meaning: text for c, text in reversed(pairs) if c.meaning is not None},
                by_meaning,
                tuple(
                    (c.header, text)
                    for c, text in pairs
                    if c.meaning is None and text and not headers.is_running_number(c.header, text)
                ),
            )
        )
        beyond = [cell for cell in cells[len(columns) :] if cell.strip()]
        if beyond:
            faults.append(
                Fault(
                    "this row has more cells than the header",
                    file=grid.file,
                    row=number,
                    found=beyond[0].strip(),
                    help="put a cell that holds the separator in quotes",
                )
            )
    notes = grid.notes
    if any(any(cell.strip() for cell in cells) for cells in grid.rows[: header_row - 1]):
        notes = (*notes, f"{grid.file}: the rows above row {header_row} (the header) were left out")
    return Table(grid.file, columns, tuple(rows), header_row, notes, tuple(faults))
