"""Fills of sheets on which next to nothing is lost, all of them.

Where mixtures show that a purchase barely suffices, no sheet of it may be worth much less
than a sheet can be. Blocks are built up from single parts, side by side along or across,
and dropped as soon as they and the most around them are worth too little.

Source: Wang, "Two algorithms for constrained two-dimensional cutting stock problems", 1983,
doi:10.1287/opre.31.3.573 (building up with a limit on what is lost).
Worths from the duals, and the most that can be around a block, are this project's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.bounds import AREA, Weighing
from cutopt.solve.exact_pricing import UnlimitedFills
from cutopt.solve.kernel.tight_blocks import DONE, FIRST, MADE, SECOND, build
from cutopt.solve.purchases import Counts
from cutopt.solve.sheets_choice import worth_most
from cutopt.solve.sheets_mixture import Fill, Shortage
from cutopt.solve.sheets_sizes import Sizes
from cutopt.solve.slicing import ACROSS, ALONG, Block, joined

Whole = NDArray[np.int64]
Short = NDArray[np.int32]
Space = tuple[Short, Short, Whole]
"""Places by length and by width, and by both the most around a box."""

MOST_PARTS = 124
_FIRST_HALF = 62
_MOST_BLOCKS = 1 << 17
_PAIRS = 32


class TightFills:
    """All fills that a purchase may consist of.

    Attributes:
        demands: how many parts of each kind; 0 for kinds worth nothing, which are left out.
        complete: none is left out.
        work: of one round of pricing, counted as listing counts it.
    """

    def __init__(
        self, sizes: Sizes, demands: tuple[int, ...], blocks: Mapping[int, _Blocks]
    ) -> None:
        """Take the blocks on each type of sheet that is bought."""
        self.sizes = sizes
        self.demands = demands
        self.complete = sum(demands) == sizes.count
        self._blocks = blocks
        self._weights: dict[int, Whole] = {}
        self.work = 1 + sum(len(of.fills) for of in blocks.values()) * len(sizes.kinds) // 16

    def reach(self, worths: Whole) -> list[int]:
        """Give by type of sheet the most that one of its fills is worth, 0 if not bought."""
        for sheet, of in self._blocks.items():
            self._weights[sheet] = of.counts @ worths
        return [
            int(self._weights[sheet].max(initial=0)) if sheet in self._blocks else 0
            for sheet in range(len(self.sizes.types))
        ]

    def better(self, worths: Whole, floors: Mapping[int, int]) -> list[Fill]:
        """Give the fills worth most over the floor of their type."""
        del worths
        return worth_most(self, floors)

    def weights_on(self, sheet: int) -> Whole:
        """Give what the fills of a type are worth, at the worths last asked for."""
        return self._weights[sheet]

    def counts_on(self, sheet: int, place: int) -> dict[int, int]:
        """Give what one of them makes, by kind."""
        counts = self._blocks[sheet].counts[place]
        return {int(kind): int(counts[kind]) for kind in np.flatnonzero(counts)}

    def lay(self, sheet: int, place: int) -> Block:
        """Give a layout of one of them."""
        of = self._blocks[sheet]
        return of.lay(int(of.fills[place]), self.sizes)


class _Blocks:
    """Blocks on one type of sheet, and which of them fill it."""

    def __init__(
        self,
        sizes: Sizes,
        sheet: int,
        kinds: list[int],
        parts: Whole,
        masks: Whole,
        made: Short,
        fills: Whole,
    ) -> None:
        self.sheet = sheet
        self.made = made
        self.parts = parts
        self.fills = fills
        self.kinds = kinds
        bits = np.arange(len(kinds))
        held = masks[fills][:, (bits >= _FIRST_HALF).astype(np.int64)]
        inside = held >> np.where(bits < _FIRST_HALF, bits, bits - _FIRST_HALF) & 1
        self.counts = np.zeros((len(fills), len(sizes.kinds)), np.int64)
        for kind in range(len(sizes.kinds)):
            self.counts[:, kind] = inside[:, np.equal(kinds, kind)].sum(axis=1)

    def lay(self, block: int, sizes: Sizes) -> Block:
        """Give a block as a tree."""
        way, first, second = (int(self.made[block, row]) for row in (MADE, FIRST, SECOND))
        if way == 0:
            number, length, width, _ = (int(value) for value in self.parts[first])
            kind = self.kinds[number]
            lay = next(
                lay for lay in sizes.lays[self.sheet][kind] if (lay[0], lay[1]) == (length, width)
            )
            return sizes.part(kind, lay)
        return joined(
            ALONG if way == 1 else ACROSS, (self.lay(first, sizes), self.lay(second, sizes))
        )


def tight_fills(
    fills: UnlimitedFills, purchase: Counts, shortage: Shortage, limit: int
) -> tuple[TightFills | None, int]:
    """Give all fills that a purchase may consist of, or None past the work; and the work done.

    Args:
        fills: what the weighing was made with.
        purchase: how many sheets of each type.
        shortage: a weighing that the purchase meets.
        limit: work allowed, counted as listing counts it.
    """
    fills.reach(shortage.worths)
    return _fills_of(fills.sizes, purchase, shortage, fills.space_around, limit)


def close_fills(sizes: Sizes, purchase: Counts, limit: int) -> tuple[TightFills | None, int]:
    """Give all fills that waste no more area than a purchase has over, and the work done.

    Where next to no area is over, nearly only parts of the very same length or width come
    side by side, and few blocks there are; else the work is soon up, and it is None.

    Args:
        sizes: the problem.
        purchase: how many sheets of each type.
        limit: work allowed, counted as listing counts it.
    """
    area = Weighing(tuple(sheet.area for sheet in sizes.types), sizes.area, AREA)
    worths = np.array([kind.area for kind in sizes.kinds], np.int64)

    def whole_rest(sheet: int) -> Space:
        whole = sizes.types[sheet]
        return (
            np.zeros(whole.length + 1, np.int32),
            np.zeros(whole.width + 1, np.int32),
            np.array([[whole.area]], np.int64),
        )

    return _fills_of(sizes, purchase, Shortage(area, worths, False, 0), whole_rest, limit)


def _fills_of(
    sizes: Sizes,
    purchase: Counts,
    shortage: Shortage,
    space_around: Callable[[int], Space | None],
    limit: int,
) -> tuple[TightFills | None, int]:
    """Build blocks on every type of sheet bought; ``space_around`` gives the most around them."""
    kinds = [kind for kind in sizes.all_parts() if shortage.worths[kind]]
    if len(kinds) > MOST_PARTS:
        return None, 0
    reach = shortage.weighing.capacities
    slack = sum(r * n for r, n in zip(reach, purchase, strict=True)) - shortage.weighing.demand
    blocks = {}
    work = 0
    for sheet, count in enumerate(purchase):
        if not count:
            continue
        asked = reach[sheet] - slack
        space = space_around(sheet)
        if asked <= 0 or space is None:
            return None, work
        parts = np.array(
            [
                (number, lay[0], lay[1], shortage.worths[kind])
                for number, kind in enumerate(kinds)
                for lay in sizes.lays[sheet][kind]
            ],
            np.int64,
        ).reshape(-1, 4)
        masks = np.empty((_MOST_BLOCKS, 2), np.int64)
        dims = np.empty((_MOST_BLOCKS, 2), np.int32)
        worths = np.empty(_MOST_BLOCKS, np.int64)
        made = np.empty((_MOST_BLOCKS, 4), np.int32)
        heads = np.full(4 * _MOST_BLOCKS, -1, np.int32)
        state = np.zeros(3, np.int64)
        status = build(
            parts,
            *space,
            asked,
            masks,
            dims,
            worths,
            made,
            heads,
            state,
            (limit - work) * _PAIRS,
        )
        work += int(state[2]) // _PAIRS
        if status != DONE:
            return None, work
        # One block for each set of parts: the one its chain starts with.
        first = np.sort(heads[heads >= 0]).astype(np.int64)
        blocks[sheet] = _Blocks(
            sizes, sheet, kinds, parts, masks, made, first[worths[first] >= asked]
        )
    demands = tuple(
        kind.qty if worth else 0 for kind, worth in zip(sizes.kinds, shortage.worths, strict=True)
    )
    return TightFills(sizes, demands, blocks), work
