"""Boards already bought and measured: which of the stock list each is, and where it is bad."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutopt.model.job import Kind, Stock
from cutopt.read.cells import Cells, ValueFault, length_of, nearest, quoted
from cutopt.read.gathered import Gathered
from cutopt.read.stock import material_key
from cutopt.read.table import Row, Table
from cutopt.units import Ticks, Units, format_length, plain_text

Span = tuple[Ticks, Ticks]

_ENDS: Mapping[str, str] = {
    **dict.fromkeys(("left", "l", "left end", "left hand"), "left"),
    **dict.fromkeys(("right", "r", "right end", "right hand"), "right"),
}
_INCHES, _MILLIMETRES = re.compile(r"(\"|\bin\.?|\binch(es)?)$"), re.compile(r"\bmm$|(?<=\d)mm$")
_ANY_UNIT = re.compile(r"[a-z\"']\.?$")
_PIECE_ID = re.compile(r"[SL]\d+(-[a-z]+)?", re.IGNORECASE)
_NO_SPAN = "this is no bad span"
_LIKE = 'write from-to, spans parted by semicolons, like 3"-5"; 40 1/2"-41"'


def read_boards(
    table: Table, stock: Sequence[Stock], units: Units | None, like: Units, gathered: Gathered
) -> tuple[Stock, ...]:
    """Give the stock with every measured board as a piece of its own, already in the shop.

    Args:
        table: the boards.
        stock: of the stock list; an owned row has one board less for each that is measured.
        units: what bare numbers mean, or None.
        like: what sizes are said in.
        gathered: takes what is wrong and what is worth saying.
    """
    rows = {material_key(row.name): row for row in stock}
    marks: dict[str, Row] = {}
    boards: list[Stock] = []
    for row in table.rows:
        cells = Cells(row, units, gathered.faults)
        mark = cells.needed("board", "the mark written on the board")
        key = material_key(mark)
        if mark and key in marks:
            cells.fault("board", f"row {marks[key].number} has this mark too", "give each its own")
        elif mark and key in rows:
            cells.fault("board", "a row of the stock list has this name", "give it another mark")
        elif _PIECE_ID.fullmatch(mark):
            cells.fault(
                "board", "pieces to buy are called so in the plan", "mark it otherwise, like A or 1"
            )
        marks.setdefault(key, row)
        board = _board(cells, mark, rows, like, gathered)
        if board is not None:
            boards.append(board)
    if not table.rows:
        gathered.say(f"{table.file} lists no boards: nothing is planned from measured ones")
    elif not table.has("bad"):
        gathered.say(
            f'{table.file} has no column "bad" for bad spans: its boards are taken as clear'
        )
    return (*_left(table, stock, gathered), *boards)


def _board(
    cells: Cells, mark: str, rows: Mapping[str, Stock], like: Units, gathered: Gathered
) -> Stock | None:
    """Give one measured board, or None where something it needs is missing or wrong."""
    kind = _kind_of(cells, rows)
    length = cells.length("length")
    end = cells.word("measured_from", _ENDS, ("left", "right"))
    spans = _spans(cells)
    note = cells.note()
    if not mark or kind is None:
        return None
    if length is None:
        length = kind.length
    if 4 * length > 5 * kind.length:
        bought = format_length(kind.length, like, unit_mark=True)
        cells.fault(
            "length",
            f"boards of this row of the stock list are {bought} long",
            "write the unit, or name the row this board is of",
        )
        return None
    if length <= 2 * kind.trim:
        cells.fault("length", "trimming both ends leaves nothing of it")
        return None
    beyond = [span for span in spans if span[1] > length]
    if beyond:
        most = format_length(length, like, unit_mark=True)
        last = format_length(beyond[0][1], like, unit_mark=True)
        cells.fault(
            "bad",
            f"a bad span ends at {last}, the board is {most} long",
            "correct the span, or write the length of this board",
        )
        return None
    if end == "right":
        spans = [(Ticks(length - to), Ticks(length - start)) for start, to in spans]
    bad = _merged(spans)
    if len(bad) < len(spans):
        gathered.say("bad spans of one board that overlap or touch count as one", mark)
    return replace(
        kind,
        name=mark,
        length=length,
        price_cents=0,
        available=1,
        owned=True,
        note=note,
        bad=bad,
    )


def _kind_of(cells: Cells, rows: Mapping[str, Stock]) -> Stock | None:
    """Give the row of the stock list a board is of; blank will do where that has one of boards."""
    name = cells.text("stock")
    kinds = [row for row in rows.values() if row.kind is Kind.BOARD]
    names = [row.name for row in kinds]
    if not name:
        if len(kinds) == 1:
            return kinds[0]
        cells.fault("stock", "the row of the stock list is missing", f"boards: {quoted(names)}")
        return None
    found = rows.get(material_key(name))
    if found is not None and found.kind is Kind.BOARD:
        return found
    if found is not None:
        cells.fault(
            "stock", "this is a sheet; only boards are measured", f"boards: {quoted(names)}"
        )
        return None
    near = nearest(name, names)
    meant = f'did you mean "{near}"? ' if near else ""
    cells.fault("stock", "the stock list has no such row", f"{meant}boards: {quoted(names)}")
    return None


def _left(table: Table, stock: Sequence[Stock], gathered: Gathered) -> tuple[Stock, ...]:
    """Give the stock list with owned rows less the boards of them that are measured."""
    left = []
    for row in stock:
        measured = [
            line
            for line in table.rows
            if material_key(line.text("stock")) == material_key(row.name)
        ]
        if not row.owned or not measured or row.available is None:
            left.append(row)
            continue
        if len(measured) > row.available:
            extra = measured[row.available]
            gathered.faults.append(
                extra.fault(
                    "stock",
                    f"the stock list has {row.available} of these in the shop, "
                    f"{len(measured)} are measured",
                    "raise how many are available, or name the row they were bought from",
                )
            )
        left.append(replace(row, available=max(0, row.available - len(measured))))
    return tuple(left)


# --- bad spans -----------------------------------------------------------------------------


def _spans(cells: Cells) -> list[Span]:
    """Give the bad spans in a cell, as measured."""
    text = plain_text(cells.text("bad"))
    if text.casefold() in {"", "none", "no", "-", "0"}:
        return []
    known = cells.row.columns.get("bad")
    units = known.units if known is not None and known.units is not None else cells.units
    spans = []
    # A comma with a figure on both sides may be a decimal one.
    apart = r"[;\n&+]|,(?!\d)|(?<!\d),|\band\b"
    if units is Units.INCH:
        apart = r"[;\n&+,]|\band\b"
    for one in re.split(apart, text):
        if not one.strip():
            continue
        try:
            spans.append(_span(one.strip(), units))
        except ValueFault as fault:
            cells.fault("bad", f"{fault.problem}: {one.strip()}", fault.help)
    return spans


def _span(text: str, units: Units | None) -> Span:
    """Give one span.

    Raises:
        ValueFault: it is none, or can be read in two ways.
    """
    parted = re.split(r"\s+to\s+|\.\.+", text, flags=re.IGNORECASE)
    ways = [(parted[0], parted[1])] if len(parted) == 2 else []
    if len(parted) == 1:
        dashes = [place for place, letter in enumerate(text) if letter == "-"]
        ways = [(text[:place], text[place + 1 :]) for place in dashes]
    read: list[Span] = []
    told: ValueFault | None = None
    for first, last in ways:
        try:
            read.append(_ends(first.strip(), last.strip(), units))
        except ValueFault as fault:
            told = fault if told is None or len(ways) == 1 else told
    if len(read) > 1:
        raise ValueFault("this can be read in two ways", "write to between its ends: 3 to 5 1/2")
    if not read:
        if told is not None and len(ways) == 1:
            raise ValueFault(told.problem, told.help or _LIKE)
        raise ValueFault(_NO_SPAN, _LIKE)
    start, end = read[0]
    if start >= end:
        raise ValueFault("a bad span ends where it begins or before", "write from-to: 3-5, not 5-3")
    return start, end


def _ends(first: str, last: str, units: Units | None) -> Span:
    """Give where a span begins and ends; a unit behind both counts for both.

    Raises:
        ValueFault: one of them is no length.
    """
    lower = last.casefold()
    meant = units
    if first and not _ANY_UNIT.search(first.casefold()) and _ANY_UNIT.search(lower):
        if _INCHES.search(lower):
            meant = Units.INCH
        elif _MILLIMETRES.search(lower):
            meant = Units.MM
        elif first != "0":
            raise ValueFault("only one end of this span has a unit", "write the unit of both ends")
    # A zero needs no unit.
    start = Ticks(0) if re.fullmatch(r"0+", first) else length_of(first, meant, zero=True)
    return start, length_of(last, units, zero=True)


def _merged(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Give spans in order, those that overlap or touch as one."""
    merged: list[Span] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return tuple(merged)
