"""What sheets and boards of one wood cannot cost less than together, for parts from either.

The dialogue that weighs purchases of boards weighs those of sheets as well: a sheet is one more
type of stock, and gives the parts that only sheets give, too. Two more demands hold of any
purchase: its sheets cost what the parts that only sheets give ask for, its boards likewise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import Grain, Part, Stock
from cutopt.model.job import Kind as StockKind
from cutopt.model.sources import from_either
from cutopt.solve.bounds import SIZES, Weighing
from cutopt.solve.lumber import Lumber
from cutopt.solve.lumber_plan import lumber_bound
from cutopt.solve.params import Problem, Search, Watch
from cutopt.solve.sheets_sizes import Kind, Lay, SheetType, Sizes

MOST_SIZES = 300
"""Sizes each way that a sheet or board is priced by; many more take long on a whole sheet."""


@dataclass(frozen=True, slots=True)
class _Wood(Lumber):
    """A problem of sheets and boards: parts that no board gives may lie turned on sheets.

    Attributes:
        sheets: by stock: it is a sheet.
    """

    sheets: tuple[bool, ...] = ()

    def sizes(self, kerf: int) -> Sizes:
        """Give the sizes to search with at a kerf (ticks)."""
        sizes = Lumber.sizes(self, kerf)
        return replace(
            sizes,
            lays=tuple(
                tuple(
                    (*known, *self._turned(held, kind))
                    for kind, known in zip(sizes.kinds, of_kind, strict=True)
                )
                for held, of_kind in zip(sizes.types, sizes.lays, strict=True)
            ),
        )

    def _turned(self, held: SheetType, kind: Kind) -> tuple[Lay, ...]:
        """Give how a part lies turned on a stock, none where it may not or does not fit."""
        sources = [source[0] for source in kind.sources]
        if not (self.sheets[held.index] and self.suits[held.index][sources[0]]):
            return ()
        along = all(self.problem.items[i].grain is Grain.LENGTH for i in sources)
        if (held.grain and along) or kind.width > held.length or kind.length > held.width:
            return ()
        return ((kind.width, kind.length, True),)


def bound_of_wood(
    problem: Problem,
    rows: Sequence[Stock],
    parts: Sequence[Part],
    own: tuple[int, int],
    cost: int,
    search: Search,
    watch: Watch,
) -> int:
    """Give what no purchase of sheets and boards of one wood costs less than, at most ``cost``.

    Args:
        problem: of all parts and all stock of it.
        rows: that its stock stands for.
        parts: that its items stand for.
        own: what the parts that come from nothing but sheets, and from nothing but boards,
            cannot cost less than.
        cost: of a purchase that does.
        search: how hard to try.
        watch: may end it.
    """
    either = [from_either(rows, part) for part in parts]
    suits = tuple(
        tuple(_suits(row, part, either=free) for part, free in zip(parts, either, strict=True))
        for row in rows
    )
    sheets = tuple(row.kind is StockKind.SHEET for row in rows)
    wood = _Wood(_with_grain(problem, either), suits, sheets)
    known = [
        Weighing(
            tuple(
                held.cost * (sheet is of_sheets)
                for held, sheet in zip(problem.stock, sheets, strict=True)
            ),
            least,
            SIZES,
        )
        for of_sheets, least in zip((True, False), own, strict=True)
        if least
    ]
    return lumber_bound(wood, cost, known, search, watch, MOST_SIZES)


def _suits(row: Stock, part: Part, *, either: bool) -> bool:
    """Say whether a row may give a part, wherever in the plan that is now."""
    if row.kind is StockKind.SHEET:
        return either or part.material.kind is StockKind.SHEET
    if not either and part.material.kind is StockKind.SHEET:
        return False
    return row.width == part.blank_width or (row.rip and row.width > part.blank_width)


def _with_grain(problem: Problem, either: Sequence[bool]) -> Problem:
    """Give the problem with the grain of board parts along them; those of sheets keep theirs."""
    items = tuple(
        replace(item, grain=Grain.LENGTH) if free else item
        for item, free in zip(problem.items, either, strict=True)
    )
    return replace(problem, items=items)
