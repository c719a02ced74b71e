"""Complete lists of part sets as fills of sheets, and the choice among them.

A purchase suffices for the chosen parts exactly where so many sets cover them: whatever is
cut is part of some full set. Which sets can take part at all, a weighing says: sheets
weigh little more than the parts demand, so no sheet may be filled much below its capacity.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.part_sets import PartSets
from cutopt.solve.purchases import Counts
from cutopt.solve.sheets_mixture import Fill, Shortage
from cutopt.solve.sheets_sizes import Laid, Sizes

Whole = NDArray[np.int64]

_AT_ONCE = 100
_SETS = 8


class Choice(Enum):
    """Whether sheets of a purchase can be chosen so that all chosen parts are made."""

    NONE = "none"
    FOUND = "found"
    OPEN = "open"


class ListedFills:
    """The sets of one choice of parts, by type of sheet.

    Attributes:
        demands: how many parts of each kind were chosen.
        complete: all parts were.
    """

    def __init__(self, sizes: Sizes, listings: Sequence[PartSets]) -> None:
        """Take complete lists, one for each group of types."""
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
        """Give by type of sheet the most that a set on it is worth."""
        for listing in self.listings:
            weights = listing.weights(worths)
            for sheet in listing.types:
                self._weights[sheet] = weights[self._full[sheet]]
        return [int(self._weights[sheet].max(initial=0)) for sheet in range(len(self.sizes.types))]

    def better(self, worths: Whole, floors: Mapping[int, int]) -> list[Fill]:
        """Give the sets worth most over the floor of their type."""
        del worths
        found = []
        for sheet, floor in floors.items():
            weights = self._weights[sheet]
            above = np.flatnonzero(weights > floor)
            best = above[np.argsort(-weights[above], kind="stable")[:_AT_ONCE]]
            found += [Fill(sheet, self._counts(sheet, int(place))) for place in best]
        return found

    def _counts(self, sheet: int, place: int) -> dict[int, int]:
        return self._listing[sheet].counts_of(int(self._full[sheet][place]))

    def choose(
        self, purchase: Counts, shortage: Shortage, most: int, work: float
    ) -> tuple[Choice, Laid]:
        """Say whether the sheets of a purchase give all chosen parts, and lay them if so.

        Args:
            purchase: how many sheets of each type.
            shortage: a weighing that the purchase meets; ``reach`` was asked for its worths.
            most: sets to choose among.
            work: limit in the solver's own units.
        """
        reach = shortage.weighing.capacities
        slack = sum(r * n for r, n in zip(reach, purchase, strict=True))
        slack -= shortage.weighing.demand
        self.reach(shortage.worths)
        choices = [
            (sheet, int(place))
            for sheet, count in enumerate(purchase)
            if count
            for place in np.flatnonzero(self._weights[sheet] >= reach[sheet] - slack)[: most + 1]
        ]
        if len(choices) > most:
            return Choice.OPEN, []
        model = cp_model.CpModel()
        uses: list[cp_model.IntVar] = []
        having: list[list[tuple[int, cp_model.IntVar]]] = [[] for _ in self.demands]
        of_type: list[list[cp_model.IntVar]] = [[] for _ in purchase]
        single = [count == 1 for count in self.demands]
        for sheet, place in choices:
            held = self._counts(sheet, place)
            enough = max(-(-self.demands[kind] // many) for kind, many in held.items())
            enough = min(enough, purchase[sheet])
            use = model.new_bool_var("") if enough == 1 else model.new_int_var(0, enough, "")
            uses.append(use)
            of_type[sheet].append(use)
            for kind, many in held.items():
                having[kind].append((many, use))
                single[kind] = single[kind] and enough == 1
        for kind, count in enumerate(self.demands):
            if not count:
                continue
            if single[kind]:
                # A clause, which the solver reasons on best.
                model.add_bool_or([use for _, use in having[kind]])
            else:
                model.add(sum(many * use for many, use in having[kind]) >= count)
        for sheet, count in enumerate(purchase):
            model.add(sum(of_type[sheet]) <= count)
        solver = repeatable_solver(work, linearization=2)
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE:
            return Choice.NONE, []
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Choice.OPEN, []
        if not self.complete:
            return Choice.FOUND, []
        laid = []
        for (sheet, place), use in zip(choices, uses, strict=True):
            of = self.sizes.types[sheet]
            one = int(self._full[sheet][place])
            for _ in range(solver.value(use)):
                block = self._listing[sheet].lay(one, of.length, of.width, self.sizes)
                laid.append((sheet, block))
        return Choice.FOUND, laid
