"""Fills of sheets with any number of parts of each kind, the most worthy found exactly.

Cuts are looked at only where sizes of parts add up. Where those are too many, sizes are
rounded down to even shares of the sheet: whatever fits still fits.

Source: Gilmore and Gomory, "The theory and computation of knapsack functions", 1966,
doi:10.1287/opre.14.6.1045 (the recursion); Herz, "Recursive computational procedure for
two-dimensional stock cutting", 1972, doi:10.1147/rd.165.0462 (cuts where sizes add up);
Terno, Lindemann and Scheithauer, "Zuschnittprobleme und ihre praktische Lösung", 1987
(raster points: of those, the ones that leave different room).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.pricing import most_worth, parts_of, rest_beside
from cutopt.solve.kernel.tight_blocks import most_around
from cutopt.solve.sheets_mixture import Fill
from cutopt.solve.sheets_sizes import Sizes
from cutopt.solve.slicing import ACROSS, ALONG, Block, joined

Whole = NDArray[np.int64]
Short = NDArray[np.int32]

_STEPS = 256


@dataclass(frozen=True, slots=True)
class _Grid:
    """One type of sheet: sizes to look at, what fits beside, where parts fit; room to work."""

    along: Whole
    across: Whole
    rest_along: Short
    rest_across: Short
    parts: Short
    worth: Whole
    cuts: Short


class UnlimitedFills:
    """What one sheet can give if there were any number of parts of each kind.

    Attributes:
        demands: how many of each kind; 0 for kinds that the rounding makes nothing of.
    """

    def __init__(self, sizes: Sizes, most: int) -> None:
        """Set up for all types, at most so many sizes each way."""
        self.sizes = sizes
        grids = []
        kept = [True] * len(sizes.kinds)
        for sheet, of_kind in zip(sizes.types, sizes.lays, strict=True):
            lays = [(k, lay[0], lay[1]) for k, lays in enumerate(of_kind) for lay in lays]
            table = np.array(lays, np.int64).reshape(-1, 3)
            limits = [(kind.qty) for kind in sizes.kinds]
            copies = [limits[k] for k, _, _ in lays]
            along, lengths = _points(sheet.length, table[:, 1], copies, most)
            across, widths = _points(sheet.width, table[:, 2], copies, most)
            for (kind, _, _), length, width in zip(lays, lengths, widths, strict=True):
                kept[kind] = kept[kind] and bool(length and width)
            parts = np.stack(
                [np.searchsorted(along, lengths), np.searchsorted(across, widths), table[:, 0]],
                axis=1,
            )
            size = (len(along), len(across))
            grids.append(
                _Grid(
                    along,
                    across,
                    rest_beside(along),
                    rest_beside(across),
                    parts.astype(np.int32),
                    np.zeros(size, np.int64),
                    np.zeros(size, np.int32),
                )
            )
        self._grids = grids
        self.demands = tuple(
            kind.qty if keep else 0 for kind, keep in zip(sizes.kinds, kept, strict=True)
        )

    @property
    def work(self) -> int:
        """Work of one round of pricing, counted as listing counts it."""
        steps = [len(g.along) * len(g.across) * (len(g.along) + len(g.across)) for g in self._grids]
        return 1 + sum(steps) // _STEPS

    def reach(self, worths: Whole) -> list[int]:
        """Give by type of sheet the most that it can be worth."""
        return [
            most_worth(
                g.along, g.across, g.rest_along, g.rest_across, g.parts, worths, g.worth, g.cuts
            )
            for g in self._grids
        ]

    def better(self, worths: Whole, floors: Mapping[int, int]) -> list[Fill]:
        """Give the fill worth most of each type that has a floor, where it is over it."""
        found = []
        counts = np.zeros(len(worths), np.int64)
        for sheet, floor in floors.items():
            g = self._grids[sheet]
            if g.worth[-1, -1] > floor:
                parts_of(
                    len(g.along),
                    len(g.across),
                    g.rest_along,
                    g.rest_across,
                    g.worth,
                    g.cuts,
                    counts,
                )
                found.append(Fill(sheet, {int(k): int(counts[k]) for k in np.flatnonzero(counts)}))
        return found

    def lay(self, sheet: int) -> Block | None:
        """Give a type of sheet's fill worth most at the worths last asked for.

        None where it is worth nothing, or where sizes are rounded and it may not fit.
        """
        g = self._grids[sheet]
        whole = self.sizes.types[sheet]
        if g.along[-1] != whole.length or g.across[-1] != whole.width:
            return None
        lays = self.sizes.lays[sheet]

        def block(i: int, j: int) -> Block | None:
            cut = int(g.cuts[i, j])
            if not g.worth[i, j]:
                return None
            if cut >= 0 and not cut & 1:
                kind = cut >> 1
                room = (g.along[i], g.across[j])
                lay = next(lay for lay in lays[kind] if lay[0] <= room[0] and lay[1] <= room[1])
                return self.sizes.part(kind, lay)
            if cut & 1 and cut > 0:
                one = cut >> 1
                way, pair = ALONG, (block(one, j), block(int(g.rest_along[i, one]), j))
            else:
                one = -2 - cut
                way, pair = ACROSS, (block(i, one), block(i, int(g.rest_across[j, one])))
            blocks = [part for part in pair if part is not None]
            return joined(way, blocks)

        return block(len(g.along) - 1, len(g.across) - 1)

    def space_around(self, sheet: int) -> tuple[Short, Short, Whole] | None:
        """Give the most worth around a box on a type of sheet, at the worths last asked for.

        Gives by length and by width, in ticks, the place of the least size looked at that
        holds it, and by both places the most around; None where sizes are rounded.
        """
        g = self._grids[sheet]
        whole = self.sizes.types[sheet]
        if g.along[-1] != whole.length or g.across[-1] != whole.width:
            return None
        around = np.empty_like(g.worth)
        most_around(g.along, g.across, g.rest_along, g.rest_across, g.worth, around)
        return (
            np.searchsorted(g.along, np.arange(whole.length + 1)).astype(np.int32),
            np.searchsorted(g.across, np.arange(whole.width + 1)).astype(np.int32),
            around,
        )


def _points(whole: int, sides: Whole, copies: Sequence[int], most: int) -> tuple[Whole, Whole]:
    """Give the sizes to look at, from 0 to the whole, and the sides in the same measure."""
    limited = _sums(whole, sides.tolist(), copies)
    free = _sums(whole, sides.tolist(), [whole] * len(sides))
    # Of any number of parts, only sums that leave different room need be looked at.
    beside = free[np.searchsorted(free, whole - free, side="right") - 1]
    raster = np.unique(np.append(beside, [0, whole]))
    points = min((np.append(limited, [whole]), raster), key=len)
    if len(points) <= most:
        return np.unique(points).astype(np.int64), sides
    return np.arange(most, dtype=np.int64), sides * (most - 1) // whole


def _sums(whole: int, sides: Sequence[int], copies: Sequence[int]) -> Whole:
    """Give all sums of sides up to the whole, in order, each side so many times at most."""
    sums = 1
    inside = (1 << (whole + 1)) - 1
    for side, count in zip(sides, copies, strict=True):
        for _ in range(min(count, whole // side)):
            more = (sums | sums << side) & inside
            if more == sums:
                break
            sums = more
    raw = np.frombuffer(sums.to_bytes(whole // 8 + 1, "little"), np.uint8)
    return np.flatnonzero(np.unpackbits(raw, bitorder="little"))
