"""Complete lists of the sets of chosen parts as fills of sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.part_sets import PartSets
from cutopt.solve.sheets_choice import worth_most
from cutopt.solve.sheets_mixture import Fill
from cutopt.solve.sheets_sizes import Sizes
from cutopt.solve.slicing import Block

Whole = NDArray[np.int64]

_SETS = 8


class ListedFills:
    """The sets of one choice of parts, by type of sheet.

    Attributes:
        demands: how many parts of each kind were chosen.
        complete: all parts were.
    """

    def __init__(self, sizes: Sizes, listings: Sequence[PartSets]) -> None:
        """Take complete lists, one for each group of types that are listed."""
        self.sizes = sizes
        self.listings = listings
        self.demands = listings[0].counts
        self.complete = sum(self.demands) == sizes.count
        self._listing = {sheet: listing for listing in listings for sheet in listing.types}
        self._full = {sheet: listing.full(sheet) for sheet, listing in self._listing.items()}
        self._weights: dict[int, Whole] = {}

    @property
    def work(self) -> int:
        """Work of one round of pricing, counted as listing counts it."""
        return 1 + sum(len(listing) for listing in self.listings) // _SETS

    def reach(self, worths: Whole) -> list[int]:
        """Give by type of sheet the most that a set on it is worth.

        A type that is not listed may give all parts, for all that is known.
        """
        for listing in self.listings:
            weights = listing.weights(worths)
            for sheet in listing.types:
                self._weights[sheet] = weights[self._full[sheet]]
        most = int(worths @ np.array(self.demands, np.int64))
        return [
            int(self._weights[sheet].max(initial=0)) if sheet in self._weights else most
            for sheet in range(len(self.sizes.types))
        ]

    def better(self, worths: Whole, floors: Mapping[int, int]) -> list[Fill]:
        """Give the sets worth most over the floor of their type."""
        del worths
        return worth_most(self, floors)

    def weights_on(self, sheet: int) -> Whole:
        """Give what the full sets of a type are worth, at the worths last asked for."""
        return self._weights[sheet]

    def counts_on(self, sheet: int, place: int) -> dict[int, int]:
        """Give what one of them makes, by kind."""
        return self._listing[sheet].counts_of(int(self._full[sheet][place]))

    def lay(self, sheet: int, place: int) -> Block:
        """Give a layout of one of them."""
        of = self.sizes.types[sheet]
        one = int(self._full[sheet][place])
        return self._listing[sheet].lay(one, of.length, of.width, self.sizes)
