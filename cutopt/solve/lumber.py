"""All boards of one lumber, several widths together: what may come from what, and what is worth.

A board gives parts as wide as it is; one that may be ripped gives narrower parts, too, by
any straight cuts from edge to edge. The most that a board can be worth is found exactly for
boards that are only crosscut, and with any number of parts of each kind for those that are
ripped, which is no less than it can be.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.exact_pricing import UnlimitedFills
from cutopt.solve.knapsack import BestFill, best_fills
from cutopt.solve.params import Problem
from cutopt.solve.sheets_mixture import Fill
from cutopt.solve.sheets_sizes import Kind, SheetType, Sizes
from cutopt.solve.slicing import Block

Whole = NDArray[np.int64]

MOST_SIZES = 2_400
"""Sizes each way that a board is priced by at most; beyond, they are rounded."""

_MOST_STEPS = 20_000


@dataclass(frozen=True, slots=True)
class Lumber:
    """A problem of boards: which items may come from which stock.

    Attributes:
        problem: items and stock, along the grain.
        suits: by stock, by item: the stock may give the item.
    """

    problem: Problem
    suits: tuple[tuple[bool, ...], ...]

    def sizes(self, kerf: int) -> Sizes:
        """Give the sizes to search with at a kerf (ticks): equal items are one kind."""
        items, stock = self.problem.items, self.problem.stock
        alike: dict[tuple[int, int, tuple[bool, ...]], list[int]] = {}
        for i, item in enumerate(items):
            key = (-item.width, -item.length, tuple(row[i] for row in self.suits))
            alike.setdefault(key, []).append(i)
        merged = [alike[key] for key in sorted(alike)]
        kinds = tuple(
            Kind(
                items[same[0]].length + kerf,
                items[same[0]].width + kerf,
                True,
                sum(items[i].qty for i in same),
                tuple((i, items[i].qty, False) for i in same),
            )
            for same in merged
        )
        count = sum(kind.qty for kind in kinds)
        types = tuple(
            SheetType(
                i,
                held.length + kerf,
                held.width + kerf,
                held.cost,
                count if held.available is None else min(count, held.available),
                True,
            )
            for i, held in enumerate(stock)
        )
        lays = tuple(
            tuple(
                ((kind.length, kind.width, False),)
                if row[same[0]] and kind.length <= held.length and kind.width <= held.width
                else ()
                for kind, same in zip(kinds, merged, strict=True)
            )
            for held, row in zip(types, self.suits, strict=True)
        )
        return Sizes(kinds, types, lays, tuple(range(len(kinds))), kerf)


class LumberFills:
    """What one board can give, asked for by worth.

    Attributes:
        demands: how many of each kind.
    """

    def __init__(self, sizes: Sizes, most: int = MOST_SIZES) -> None:
        """Set up for all boards, at most so many sizes each way."""
        self.sizes = sizes
        self.demands: Sequence[int] = tuple(kind.qty for kind in sizes.kinds)
        self._crosscut = [
            [k for k, lays in enumerate(of_kind) if lays]
            if all(lay[1] == held.width for lays in of_kind for lay in lays)
            else None
            for held, of_kind in zip(sizes.types, sizes.lays, strict=True)
        ]
        ripped = [t for t, kinds in enumerate(self._crosscut) if kinds is None]
        self._place = {t: place for place, t in enumerate(ripped)}
        self._ripped = UnlimitedFills(
            Sizes(
                sizes.kinds,
                tuple(sizes.types[t] for t in ripped),
                tuple(sizes.lays[t] for t in ripped),
                sizes.marks,
                sizes.kerf,
            ),
            most,
        )
        self._best: list[BestFill | None] = []

    @property
    def work(self) -> int:
        """Work of one round of pricing, counted as listing counts it."""
        return self._ripped.work + sum(kinds is not None for kinds in self._crosscut)

    def reach(self, worths: Whole) -> list[int]:
        """Give by board the most that it can be worth, or more."""
        free = self._ripped.reach(worths)
        self._best = [
            None if kinds is None else self._fill(t, kinds, worths)
            for t, kinds in enumerate(self._crosscut)
        ]
        return [
            free[self._place[t]] if best is None else best.ceiling
            for t, best in enumerate(self._best)
        ]

    def _fill(self, board: int, kinds: Sequence[int], worths: Whole) -> BestFill:
        if not kinds:
            return BestFill(0, None, 0)
        sizes = self.sizes
        (best,) = best_fills(
            [sizes.types[board].length],
            [sizes.kinds[k].length for k in kinds],
            [int(worths[k]) for k in kinds],
            [sizes.kinds[k].qty for k in kinds],
            _MOST_STEPS,
        )
        return best

    def better(self, worths: Whole, floors: Mapping[int, int]) -> list[Fill]:
        """Give the fill worth most of each board that has a floor, where it is over it."""
        asked = {self._place[t]: floor for t, floor in floors.items() if t in self._place}
        ripped = {place: t for t, place in self._place.items()}
        found = [
            Fill(ripped[fill.sheet], fill.counts) for fill in self._ripped.better(worths, asked)
        ]
        for t, floor in floors.items():
            best, kinds = self._best[t], self._crosscut[t]
            if best is not None and kinds is not None and best.counts and best.value > floor:
                counts = {k: n for k, n in zip(kinds, best.counts, strict=True) if n}
                found.append(Fill(t, counts))
        return found

    def lay(self, board: int) -> Block | None:
        """Give how a ripped board's fill worth most lies; None where it may not fit."""
        return self._ripped.lay(self._place[board]) if board in self._place else None
