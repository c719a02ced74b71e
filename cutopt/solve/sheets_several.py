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
from cutopt.solve.purchases import (
    Counts,
    area_of_counts,
    cost_of_counts,
    purchases_between,
    purchases_for,
)
from cutopt.solve.sheets_descent import FIRST_TASTES, any_taste
from cutopt.solve.sheets_dive import Plan, dive
from cutopt.solve.sheets_kernel import Kernel, Taste
from cutopt.solve.sheets_master import Master

_MOST_PURCHASES = 600
_FIRST = 40
_FIRST_ROUNDS = 1_500
_LONG_ROUNDS = 12_000
_MOST_ROUNDS = 240_000
_GROWTH = 2.5
_FEW = 6
_FEWEST = 2
_FEW_PARTS = 60
_FEWEST_OF_MANY = 6
_MOST_ROUNDS_OF_MANY = 60_000
_HOPELESS = 0.04
_SHARES = 3
_KEEP = 0.75
_DIVES = 4
_DIVE_ROUNDS = 4_000
_RESTS = 6
_MOST_PATTERNS = 12_000

_LONG = (
    (Taste(noise=0.1, residual=0.03, taken=8.0), (0.1, 0.01)),
    (Taste(noise=0.1, residual=0.03, stop_early=0.1, taken=8.0), (0.1, 0.01)),
    (Taste(noise=0.1, taken=14.0), (0.1, 0.01)),
    (Taste(noise=0.1, residual=0.03, taken=8.0), (0.05, 0.002)),
)
"""Settings of long searches of one purchase, in turn."""


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
        self._found: tuple[int, int, list[Counts]] | None = None

    def attempt(self, low: int, below: int, limit: int) -> Plan | None:
        """Give a plan that costs at least ``low`` and less than ``below``, or None this time.

        Args:
            low: the bound.
            below: cost of the best plan.
            limit: of the kernel's work, counted from its start.
        """
        number = self._attempts
        self._attempts += 1
        if self.kernel.count > _FEW_PARTS:
            # Long searches gain little where parts are many: dives come first.
            return self._search(number, low, below, limit) or self._dives(number, below, limit)
        found = self._between(low, below)
        if not number:
            return self._try_all(found, limit)
        # No attempt takes all that is left of the work: proofs want some of it.
        limit = self.kernel.work + (limit - self.kernel.work) // _SHARES
        turn, place = divmod(number, 3)
        if not place:
            return self._dives(turn - 1, below, limit)
        return self._try_best(found, 2 * turn + place - 1, limit)

    def _between(self, low: int, below: int) -> list[Counts]:
        """Give purchases worth a try; gone through again only once the limits change."""
        if self._found is None or self._found[:2] != (low, below):
            sizes = self.kernel.sizes
            found = purchases_between(sizes, self.weighings, low, below, _MOST_PURCHASES)
            self._found = (low, below, found)
        return self._found[2]

    def _search(self, number: int, low: int, below: int, limit: int) -> Plan | None:
        """Search the likeliest purchases, or those not tried yet, cheapest first."""
        kernel = self.kernel
        sizes = kernel.sizes
        found = list(self._between(low, below))
        unknown = sizes.area / 20
        found.sort(key=lambda c: (self._left.get(c, unknown), cost_of_counts(sizes, c), c))
        chosen = found[: max(_FEWEST_OF_MANY, _FIRST >> number)]
        chosen.sort(key=lambda c: (cost_of_counts(sizes, c), c))
        taste, heats = FIRST_TASTES[number] if number < len(FIRST_TASTES) else any_taste(self.rng)
        rounds = int(min(_MOST_ROUNDS_OF_MANY, _FIRST_ROUNDS * _GROWTH**number))
        for counts in chosen:
            if kernel.work >= limit or kernel.stopped():
                return None
            plan = self._fill(counts, taste, heats, rounds)
            if plan is not None:
                return plan
        return None

    def _try_all(self, found: Sequence[Counts], limit: int) -> Plan | None:
        """Search purchases a little, some of them where there are many, cheapest first."""
        sizes = self.kernel.sizes
        found = sorted(found, key=lambda c: (cost_of_counts(sizes, c), c))
        step = max(1, -(-len(found) // _FIRST))
        rounds = _FIRST_ROUNDS
        taste, heats = FIRST_TASTES[0]
        for counts in found[::step]:
            if self.kernel.work >= limit or self.kernel.stopped():
                return None
            plan = self._fill(counts, taste, heats, rounds)
            if plan is not None:
                return plan
        return None

    def _try_best(self, found: Sequence[Counts], turn: int, limit: int) -> Plan | None:
        """Search the likeliest purchases for longer, fewer of them each time."""
        kernel = self.kernel
        hopeless = _HOPELESS * kernel.sizes.area
        guesses = {counts: self._guess(counts) for counts in found}
        likely = [counts for counts in found if guesses[counts] < hopeless]
        likely.sort(key=lambda c: (guesses[c], cost_of_counts(kernel.sizes, c), c))
        chosen = likely[: max(_FEWEST, _FEW >> turn)]
        chosen.sort(key=lambda c: (cost_of_counts(kernel.sizes, c), c))
        taste, heats = _LONG[turn % len(_LONG)]
        rounds = int(min(_MOST_ROUNDS, _LONG_ROUNDS * _GROWTH**turn))
        for place, counts in enumerate(chosen):
            if kernel.work >= limit or kernel.stopped():
                return None
            # A search cut short finds little: one that fits what is left of the work does.
            each = (limit - kernel.work) / (len(chosen) - place) / max(1.0, kernel.pace)
            plan = self._fill(counts, taste, heats, min(rounds, max(_FIRST_ROUNDS, int(each))))
            if plan is not None:
                return plan
        return None

    def _guess(self, counts: Counts) -> float:
        """Give the area that was left of a purchase, or of the one nearest to it in area."""
        sizes = self.kernel.sizes
        area = area_of_counts(sizes, counts)
        known = self._left.get(counts)
        if known is not None or not self._left:
            return known or 0.0
        nearest = min(self._left, key=lambda c: (abs(area_of_counts(sizes, c) - area), c))
        return max(0.0, self._left[nearest] + area_of_counts(sizes, nearest) - area)

    def _fill(
        self, counts: Counts, taste: Taste, heats: tuple[float, float], rounds: int
    ) -> Plan | None:
        kernel = self.kernel
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
