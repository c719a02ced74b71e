"""The clear runs of a measured board, and parts side by side on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.solve.params import StockType
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of a board between bad spans, ticks from its clean left end."""

    start: Ticks
    end: Ticks


def clear_runs(stock: StockType) -> tuple[Run, ...]:
    """Give the clear runs of a board from left to right; those of no length are not among them."""
    starts = [Ticks(0), *(end for _, end in stock.bad)]
    ends = [*(start for start, _ in stock.bad), stock.length]
    return tuple(Run(a, b) for a, b in zip(starts, ends, strict=True) if b > a)


def side_by_side(blanks: Sequence[Blank]) -> Layout:
    """Give the layout of parts in their order along a board."""
    if len(blanks) == 1:
        return blanks[0]
    return Split(Direction.CROSSCUT, tuple(blanks), ordered=True)
