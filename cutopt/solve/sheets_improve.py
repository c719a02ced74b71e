"""Looks for cheaper plans with the kernel: one size of sheet by descent, several by purchases.

Loads compiled code, so it is imported only once a search is needed.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from cutopt.model.job import Favour
from cutopt.solve.bounds import Weighing
from cutopt.solve.sheets_descent import FIRST_TASTES, Descent
from cutopt.solve.sheets_kernel import Kernel
from cutopt.solve.sheets_leftover import Tidying
from cutopt.solve.sheets_several import Several
from cutopt.solve.sheets_sizes import Laid, Sizes, keeps_to, without_extra

_ALL_SHEETS_ROUNDS = 20_000
_RULES_ROUNDS = 2_000


class Improving:
    """The search for cheaper plans of one problem, as many attempts as wanted."""

    def __init__(
        self,
        sizes: Sizes,
        weighings: Sequence[Weighing],
        seed: int,
        cover: float,
        stopped: Callable[[], bool],
    ) -> None:
        """Take a problem.

        Args:
            sizes: the problem.
            weighings: what purchases must meet.
            seed: of the search.
            cover: work of a choice among patterns, in the solver's own units; 0 for none.
            stopped: says whether to end now.
        """
        self.kernel = Kernel(sizes, seed, stopped)
        rng = random.Random(seed)
        self._descent = Descent(self.kernel, rng)
        self._several = Several(self.kernel, weighings, cover, rng)
        self._single = len(sizes.types) == 1

    @property
    def work(self) -> int:
        """Looks spent so far."""
        return self.kernel.work

    def spend(self, looks: int) -> None:
        """Take work done elsewhere into account."""
        self.kernel.work += looks

    def attempt(self, low: int, below: int, limit: int) -> Laid | None:
        """Give a plan that costs less than ``below``, or None this time.

        Args:
            low: no plan costs less.
            below: cost of the best plan.
            limit: of the work, counted from the start.
        """
        self.kernel.limit = limit
        if self._single:
            plan = self._descent.attempt(below, limit)
        else:
            plan = self._several.attempt(low, below, limit)
        if plan is None:
            return None
        # Sheets settled by a dive may overlap in what they make.
        laid = without_extra(self.kernel.sizes, self.kernel.laid(plan))
        return laid if keeps_to(self.kernel.sizes, laid) else None

    def tidied(
        self, laid: Laid, worth_keeping: tuple[int, int, int], favour: Favour, looks: int
    ) -> Laid:
        """Give a tidier plan on the same sheets.

        Args:
            laid: the plan.
            worth_keeping: kerf, and the least long and short side of a leftover that counts.
            favour: what comes first.
            looks: work allowed.
        """
        plan = [(sheet, self.kernel.words_of(root)) for sheet, root in laid]
        found = Tidying(self.kernel, worth_keeping, looks).tidied(plan, favour)
        return self.kernel.laid(found)

    def by_rules(self, laid: Laid) -> Laid | None:
        """Give a plan that keeps the rules, made from one that does not; None if none was found.

        Sheets that break a rule are laid anew, with more of their kind as long as parts are left.
        """
        sizes = self.kernel.sizes
        keeping = [(sheet, root) for sheet, root in laid if sizes.legal(root, sheet)]
        sheets = [sheet for sheet, _ in keeping]
        words = [self.kernel.words_of(root) for _, root in keeping]
        broken = [sheet for sheet, root in laid if not sizes.legal(root, sheet)]
        sheets += broken
        while True:
            taste, heats = FIRST_TASTES[0]
            floor = self.kernel.floor(sheets, words)
            if self.kernel.fill(floor, taste, heats, _RULES_ROUNDS) <= 0.0:
                return self.kernel.laid(self.kernel.words_on(floor))
            more = next((t for t in broken if sheets.count(t) < sizes.types[t].available), None)
            if more is None or self.kernel.stopped() or len(sheets) > 2 * sizes.count:
                return None
            sheets.append(more)

    def on_all(self, sheets: Sequence[int]) -> Laid | None:
        """Give a plan on these sheets (their types), or None if none was found."""
        for taste, heats in FIRST_TASTES:
            floor = self.kernel.floor(sheets)
            if self.kernel.fill(floor, taste, heats, _ALL_SHEETS_ROUNDS) <= 0.0:
                return self.kernel.laid(self.kernel.words_on(floor))
        return None
