"""Parts that may come from a board or from a sheet of their material, where both are sold.

A part is like a board's where a board gives it without glueing: as wide as the part, or wider
where it may be ripped. Such a part may come from sheets of the same material and thickness too,
where their rows allow it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from cutopt.model.job import Grain, Kind, Material, Part, Stock


def same_wood(material: Material, other: Material) -> bool:
    """Say whether two materials, sheets or boards, have one name and one thickness."""
    return (material.name, material.thickness) == (other.name, other.thickness)


def board_gives(board: Stock, length: int, width: int) -> bool:
    """Say whether a board gives a blank (ticks): long enough, and as wide or wider and ripped."""
    wide = board.width == width or (board.rip and board.width > width)
    return wide and _there(board) and board.length - 2 * board.trim >= length


def sheet_gives(sheet: Stock, length: int, width: int) -> bool:
    """Say whether a sheet may give a blank (ticks) that a board gives too, along its grain."""
    left, right, near, far = sheet.clean_up
    clean = (sheet.length - left - right, sheet.width - near - far)
    ways = [(length, width)]
    if sheet.grain is not Grain.LENGTH:
        ways.append((width, length))
    fits = any(along <= clean[0] and across <= clean[1] for along, across in ways)
    return sheet.rip and _there(sheet) and fits


def _there(row: Stock) -> bool:
    return row.available != 0


def stays_a_sheet_part(grain: Grain, match: str) -> bool:
    """Say whether a part is no board's whatever its width: grain across it, or a run."""
    return grain is Grain.WIDTH or bool(match)


def from_either(stock: Sequence[Stock], part: Part) -> bool:
    """Say whether a part may come from a board and from a sheet of its material as well."""
    if part.section_named or stays_a_sheet_part(part.grain, part.match):
        return False
    size = part.blank_length, part.blank_width
    kin = [row for row in stock if same_wood(row.material, part.material)]
    return any(board_gives(row, *size) for row in boards_among(kin)) and any(
        sheet_gives(row, *size) for row in sheets_among(kin)
    )


def boards_alone(stock: Iterable[Stock]) -> tuple[Stock, ...]:
    """Give a stock list whose sheets give no parts that boards give."""
    return tuple(replace(row, rip=row.rip and row.kind is Kind.BOARD) for row in stock)


def boards_among(stock: Iterable[Stock]) -> list[Stock]:
    """Give the rows that are boards."""
    return [row for row in stock if row.kind is Kind.BOARD]


def sheets_among(stock: Iterable[Stock]) -> list[Stock]:
    """Give the rows that are sheets."""
    return [row for row in stock if row.kind is Kind.SHEET]
