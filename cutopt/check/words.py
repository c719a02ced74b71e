"""How the check names lengths, cuts and parts to a builder."""

from __future__ import annotations

from cutopt.model.job import Part
from cutopt.model.plan import Cut, StockPiece
from cutopt.units import TICKS_PER_INCH, Units, format_length, prints_exactly, to_mm


def length_text(ticks: int, units: Units) -> str:
    """Give a length so that one tick more or less reads differently.

    Whole 1/64 in or 0.1 mm as builders write them, anything finer in decimals.
    """
    if prints_exactly(ticks, units):
        return format_length(ticks, units, unit_mark=True)
    if units is Units.MM:
        return f"{to_mm(ticks):.6f} mm"
    return f'{ticks / TICKS_PER_INCH:.4f}"'


def size_text(length: int, width: int, units: Units) -> str:
    """Give length x width of a piece."""
    return f"{length_text(length, units)} x {length_text(width, units)}"


def cut_text(piece: StockPiece, cut: Cut) -> str:
    """Name a cut by its piece of stock and its step."""
    return f"{piece.id}, cut {cut.step}"


def copy_text(part: Part, copy: int) -> str:
    """Name one copy of a part."""
    return f"{part.name}, {copy} of {part.qty}"
