"""Cheaper purchases of several sizes and prices of sheet.

Every purchase between the bound and the best plan is a goal of its own. The likeliest are
searched a little, those that left least are searched longer; in between, dives settle sheets
of the linear programme and buy the rest.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.bounds import Weighing
from cutopt.solve.patterns import cheapest_cover
from cutopt.solve.purchases import Counts, cost_of_counts, purchases_between, purchases_for
from cutopt.solve.sheets_descent import FIRST_TASTES, any_taste
from cutopt.solve.sheets_dive import Plan, dive
from cutopt.solve.sheets_kernel import Kernel
from cutopt.solve.sheets_master import Master

_MOST_PURCHASES = 600
_FIRST = 40
_FEWEST = 6
_FIRST_ROUNDS = 1_500
_MOST_ROUNDS = 60_000
_GROWTH = 2.5
_KEEP = 0.75
_DIVES = 4
_DIVE_ROUNDS = 4_000
_RESTS = 6
_MOST_PATTERNS = 12_000


class Several:
    """The search for a cheaper purchase, as many attempts as wanted."""

    def __init__(
        self, kernel: Kernel, weighings: Sequence[Weighing], cover: float, rng: random.Random
    ) -> None:
        """Take a kernel, what purchases must meet, and the work of a choice among patterns."""
        self.kernel = kernel
        self.weighings = weighings
        self.cover = cover
        self.rng = rng
        self._master: Master | None = None
        self._attempts = 0
        self._left: dict[Counts, float] = {}

    def attempt(self, low: int, below: int, limit: int) -> Plan | None:
        """Give a plan that costs at least ``low`` and less than ``below``, or None this time.

        Args:
            low: the bound.
            below: cost of the best plan.
            limit: of the kernel's work, counted from its start.
        """
        number = self._attempts
        self._attempts += 1
        return self._search(number, low, below, limit) or self._dives(number, below, limit)

    def _search(self, number: int, low: int, below: int, limit: int) -> Plan | None:
        kernel = self.kernel
        sizes = kernel.sizes
        found = purchases_between(sizes, self.weighings, low, below, _MOST_PURCHASES)
        unknown = sizes.area / 20
        found.sort(key=lambda c: (self._left.get(c, unknown), cost_of_counts(sizes, c), c))
        chosen = found[: max(_FEWEST, _FIRST >> number)]
        chosen.sort(key=lambda c: (cost_of_counts(sizes, c), c))
        taste, heats = FIRST_TASTES[number] if number < len(FIRST_TASTES) else any_taste(self.rng)
        rounds = int(min(_MOST_ROUNDS, _FIRST_ROUNDS * _GROWTH**number))
        for counts in chosen:
            if kernel.work >= limit or kernel.stopped():
                return None
            floor = kernel.floor([t for t, many in enumerate(counts) for _ in range(many)])
            left = kernel.fill(floor, taste, heats, rounds, keep=_KEEP)
            if left <= 0.0:
                return kernel.words_on(floor)
            self._left[counts] = min(left, self._left.get(counts, left))
        return None

    def _dives(self, number: int, below: int, limit: int) -> Plan | None:
        kernel, rng = self.kernel, self.rng
        if kernel.work >= limit or kernel.stopped():
            return None
        if self._master is None:
            self._master = Master(kernel)
        master = self._master
        master.improve(25 if number == 0 else 6, 500)
        types = kernel.sizes.types

        def rest(
            low: int, most: int, area: float, there: NDArray[np.int64]
        ) -> Sequence[Sequence[int]]:
            return [
                [t for t, many in enumerate(counts) for _ in range(many)]
                for counts in purchases_for(types, area, low, most, there.tolist(), _RESTS)
            ]

        for _ in range(_DIVES):
            if kernel.work >= limit or kernel.stopped() or master.value > below - 1 + 1e-6 * below:
                break
            taste, heats = any_taste(rng)
            plan = dive(
                kernel,
                master,
                below - 1,
                int(master.value * rng.random()),
                _DIVE_ROUNDS,
                taste,
                heats,
                _KEEP,
                rest,
                rng,
            )
            if plan is not None:
                return plan
            master.solve()
            master.shrink(_MOST_PATTERNS)
        if number and self.cover:
            return cheapest_cover(kernel, master, below, self.cover)
        return None
