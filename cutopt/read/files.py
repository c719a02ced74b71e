"""Files as grids of cells, as people save them.

Text files are comma, semicolon, tab or pipe separated, in UTF-8, UTF-16 or UTF-32 with a byte
order mark, or Windows-1252; workbooks are ``.xlsx`` and ``.ods``.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from pathlib import Path

from cutopt.errors import Fault, InputError
from cutopt.read.grid import MOST_ROWS, Grid
from cutopt.read.table import ROWS_SEARCHED, any_meaning

MOST_BYTES = 20 * 1000 * 1000
WORKBOOKS = frozenset({".xlsx", ".xlsm", ".ods"})
TEXTS = frozenset({".csv", ".tsv", ".txt", ".md"})
_SEPARATORS = (",", ";", "\t", "|")


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
        # The mark of UTF-32 begins like that of UTF-16.
        if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
            return data.decode("utf-32"), ()
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
    head = text.lstrip().split("\n", ROWS_SEARCHED)[:ROWS_SEARCHED]
    separator = max(_SEPARATORS, key=lambda mark: max(_promise(line, mark) for line in head))
    return _separated(text, separator, file)


def _promise(line: str, separator: str) -> tuple[int, int]:
    """Say how well a line reads as a header when parted by a separator."""
    cells = line.split(separator)
    known = sum(any_meaning(cell.strip('" ')) for cell in cells) if len(cells) > 1 else 0
    return known, len(cells) - 1


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
