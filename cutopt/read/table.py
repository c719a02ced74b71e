"""A file as a table: rows that remember where they stand.

Text files are comma, semicolon, tab or pipe separated, in UTF-8, UTF-16 with a byte order
mark, or Windows-1252; workbooks are ``.xlsx`` and ``.ods``.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from cutopt.errors import Fault, InputError
from cutopt.read import headers
from cutopt.units import Units

MOST_BYTES = 20 * 1000 * 1000
MOST_ROWS = 100_000
WORKBOOKS = frozenset({".xlsx", ".xlsm", ".ods"})
TEXTS = frozenset({".csv", ".tsv", ".txt", ".md"})
_SEPARATORS = (",", ";", "\t", "|")
_ROWS_SEARCHED = 20


@dataclass(frozen=True, slots=True)
class Grid:
    """The bare cells of one sheet or file: ``rows[0]`` is the first row of the file.

    Attributes:
        lines: the lines as they stand, of a text file only.
    """

    file: str
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()


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


def read_bytes(path: Path) -> bytes:
    """Give the bytes of a file of at most 20 MB.

    Raises:
        InputError: no such file, not readable, or too large.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError([Fault("the file is larger than 20 MB", file=path.name)])
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError([Fault("there is no such file", file=str(path))]) from None
    except OSError as error:
        why = error.strerror or "it cannot be read"
        raise InputError([Fault(f"the file cannot be read: {why}", file=str(path))]) from error


def decode(data: bytes, file: str) -> tuple[str, tuple[str, ...]]:
    """Give the text of a file's bytes, and a note where the encoding was taken to be an old one.

    Raises:
        InputError: the bytes are no text.
    """
    notes: tuple[str, ...] = ()
    try:
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return data.decode("utf-16"), ()
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            text = data.decode("cp1252")
        except UnicodeDecodeError:
            text = "\0"
        notes = (f"{file} is not UTF-8; it was read as Windows-1252 (check accents and fractions)",)
    if "\0" in text:
        raise InputError(
            [
                Fault(
                    "this is not a text file",
                    file=file,
                    help="save it as CSV (UTF-8), .xlsx or .ods",
                )
            ]
        )
    return text, notes


def read_grids(path: Path) -> dict[str, Grid]:
    """Give the sheets of a workbook by name, or a text file as the one sheet "".

    Raises:
        InputError: the file cannot be read, is of no known kind, or is too large.
    """
    data = read_bytes(path)
    ending = path.suffix.lower()
    if ending in WORKBOOKS:
        from cutopt.read import workbook  # noqa: PLC0415 - pandas takes its time, CSV jobs need none

        return workbook.read_workbook(data, path.name)
    if ending not in TEXTS:
        raise InputError(
            [
                Fault(
                    f'a file ending in "{ending}" is not read',
                    file=path.name,
                    help="a table is .csv, .tsv, .txt, .xlsx or .ods",
                )
            ]
        )
    text, notes = decode(data, path.name)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return {"": Grid(path.name, text_rows(text, path.name), notes, tuple(text.split("\n")))}


def text_rows(text: str, file: str) -> tuple[tuple[str, ...], ...]:
    """Give the rows of separated text, choosing the separator that makes the best header.

    Raises:
        InputError: a quoted cell never ends, or there are more than 100,000 rows.
    """
    named = re.match(r"sep=(.)\n", text, re.IGNORECASE)
    if named is not None:
        return _separated(text[named.end() :], named[1], file)
    head = text.lstrip().split("\n", _ROWS_SEARCHED)[:_ROWS_SEARCHED]
    separator = max(_SEPARATORS, key=lambda mark: max(_promise(line, mark) for line in head))
    return _separated(text, separator, file)


def _promise(line: str, separator: str) -> tuple[int, int]:
    """Say how well a line reads as a header when parted by a separator."""
    cells = line.split(separator)
    known = sum(any_meaning(cell.strip('" ')) for cell in cells) if len(cells) > 1 else 0
    return known, len(cells) - 1


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


def _separated(text: str, separator: str, file: str) -> tuple[tuple[str, ...], ...]:
    """Give rows of cells; blank lines stay, so that rows keep their numbers."""
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=True)
    rows: list[tuple[str, ...]] = []
    try:
        for cells in reader:
            if len(rows) >= MOST_ROWS:
                raise InputError([Fault("the table has more than 100,000 rows", file=file)])
            rows.append(tuple(cells))
    except csv.Error as error:
        raise InputError(
            [
                Fault(
                    "a quoted cell does not end where it should",
                    file=file,
                    row=len(rows) + 1,
                    help='inside quotes an inch mark is written twice ("23-1/2"""); '
                    "or leave the quotes out",
                )
            ]
        ) from error
    if separator == "|":
        rows = [_without_rims(cells) for cells in rows]
    return tuple(rows)


def _without_rims(cells: tuple[str, ...]) -> tuple[str, ...]:
    """Give a piped row without the empty cells outside its first and last pipe."""
    if cells and all(re.fullmatch(r"\s*:?-*:?\s*", cell) for cell in cells):
        return ()
    first = 1 if cells and not cells[0].strip() else 0
    last = len(cells) - (1 if len(cells) > 1 and not cells[-1].strip() else 0)
    return cells[first:last]


def understand(grid: Grid, known: headers.Vocabulary) -> Table | None:
    """Give the grid as a table, its header found in the first rows; None where there is none.

    A header row names at least two known columns (a combined column such as ``L x W``
    counts), or one where the table has one column only.
    """
    for number, cells in _filled(grid, _ROWS_SEARCHED):
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
    header = " ".join(cell.split())
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
        pairs = list(zip(columns, (" ".join(cell.split()) for cell in cells), strict=False))
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
