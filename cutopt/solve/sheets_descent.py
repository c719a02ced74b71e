"""Fewer sheets of one size: all parts on one sheet fewer, from empty, again and again.

The length of an anneal goes by how many parts a sheet holds: sheets of a dozen parts and
more want one long anneal, sheets of a few want many short ones, and dives. Where such sheets
are many, too, one anneal takes most of the work there is, and dives would only take from it.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.sheets_dive import Plan, dive
from cutopt.solve.sheets_kernel import Kernel, Taste
from cutopt.solve.sheets_master import Master

_DENSE = 12.0
_MANY = 150
_AT_LENGTH = 0.6
_FIRST_ROUNDS = 4_000
_LONG_ATTEMPT, _LONG, _AGAIN = 3, 240_000, 200_000
_LEAST_REST = 80_000
_ANEW = 4
_SURE = 0.95
_MILD = (0.06, 0.005)
_MOST_PATTERNS = 12_000
FIRST_TASTES = ((Taste(), (0.1, 0.005)), (Taste(noise=0.1, taken=8.0), (0.3, 0.01)))


_TASTE_AT_LENGTH, _HEATS_AT_LENGTH = Taste(noise=0.1, residual=0.03, taken=4.0), (0.1, 0.005)


def any_taste(rng: random.Random) -> tuple[Taste, tuple[float, float]]:
    """Give one of the settings that do well on some problems, drawn at random."""
    taste = Taste(
        noise=rng.choice((0.05, 0.1, 0.1, 0.15)),
        stop_early=rng.choice((0.25, 0.25, 0.4)),
        whole_sheet=rng.choice((0.03, 0.08, 0.15)),
        ground=rng.choice((0.1, 0.3)),
        residual=rng.choice((0.03, 0.1)),
        taken=rng.choice((4.0, 8.0, 8.0, 14.0, 14.0, 20.0)),
    )
    return taste, rng.choice(((0.1, 0.01), (0.1, 0.005), (0.05, 0.005), (0.05, 0.001), (0.2, 0.01)))


def _dense_taste(number: int) -> tuple[Taste, tuple[float, float]]:
    """Give settings for long anneals of sheets with many parts, by the number of the attempt."""
    stop_early = 0.1 if number % 2 else 0.25
    return Taste(noise=0.1, residual=0.03, stop_early=stop_early, taken=8.0), (0.1, 0.01)


class Descent:
    """The search for one sheet fewer, as many attempts as wanted."""

    def __init__(self, kernel: Kernel, rng: random.Random) -> None:
        """Take a kernel for a problem of one type of sheet."""
        self.kernel = kernel
        self.rng = rng
        self._master: Master | None = None
        self._attempts = 0
        self._goal = 0
        self._least = math.inf
        self._nearest: list[NDArray[np.int32]] = []

    def attempt(self, below: int, limit: int) -> Plan | None:
        """Give a plan of one sheet fewer than ``below`` (a cost) pays for, or None this time.

        Args:
            below: cost of the best plan.
            limit: of the kernel's work, counted from its start.
        """
        kernel, rng = self.kernel, self.rng
        sheet = kernel.sizes.types[0]
        goal = below // sheet.cost - 1
        if goal != self._goal:
            # Attempts with few rounds come first for every number of sheets.
            self._goal = goal
            self._attempts = 0
            self._least, self._nearest = math.inf, []
        number = self._attempts
        self._attempts += 1
        fill = kernel.sizes.area / sheet.area / goal
        dense = kernel.count / goal >= _DENSE
        if dense and kernel.count > _MANY and number >= len(FIRST_TASTES):
            return self._at_length(goal, limit)
        keep = max(0.0, min(0.97, fill - (0.05 if dense else 0.1)))
        if number < len(FIRST_TASTES):
            taste, heats = FIRST_TASTES[number]
            rounds = _FIRST_ROUNDS
        else:
            taste, heats = any_taste(rng)
            rounds = 10_000 if number == 2 else 50_000
            if dense:
                taste, heats = _dense_taste(number)
                rounds = 15_000 if number < _LONG_ATTEMPT else _LONG
                if number >= _LONG_ATTEMPT:
                    keep = min(0.985, fill + 0.002)
        words: list[NDArray[np.int32]] = []
        if number >= len(FIRST_TASTES) and kernel.pace:
            # An anneal cut short finds little: one that fits what is left of the work does.
            possible = int(_SURE * (limit - kernel.work) / kernel.pace)
            if dense and self._nearest and number % _ANEW != _LONG_ATTEMPT:
                # From the plan that left least, with less heat; the last goes on to the end.
                words, heats = self._nearest, _MILD
                rounds = _AGAIN if possible > _AGAIN + _LEAST_REST else possible
            rounds = max(_FIRST_ROUNDS, min(rounds, possible))
        floor = kernel.floor([0] * goal, words)
        left = kernel.fill(
            floor, taste, heats, rounds, keep=keep if dense or number % 2 == 0 else None
        )
        if left <= 0.0:
            return kernel.words_on(floor)
        if dense and number >= _LONG_ATTEMPT and left < self._least:
            self._least = left
            self._nearest = kernel.words_by_sheet(floor)
        # Crowded sheets gain little from dives: long anneals come first.
        if number < 2 or goal == 1 or kernel.work >= limit or (dense and number % 3 != 2):
            return None
        return self._dives(goal, number, keep, limit, dense)

    def _at_length(self, goal: int, limit: int) -> Plan | None:
        """Give a plan by an anneal from empty, then by one from what that left the least of.

        The first takes most of the work that is left, the other the rest.
        """
        kernel = self.kernel
        again = bool(self._nearest)
        heats, share = (_MILD, 1.0) if again else (_HEATS_AT_LENGTH, _AT_LENGTH)
        rounds = int(share * (limit - kernel.work) / max(1.0, kernel.pace))
        floor = kernel.floor([0] * goal, self._nearest)
        left = kernel.fill(floor, _TASTE_AT_LENGTH, heats, max(_FIRST_ROUNDS, rounds))
        self._nearest = kernel.words_by_sheet(floor)
        return kernel.words_on(floor) if left <= 0.0 else None

    def _dives(self, goal: int, number: int, keep: float, limit: int, dense: bool) -> Plan | None:
        kernel, rng = self.kernel, self.rng
        sheet = kernel.sizes.types[0]
        if self._master is None:
            self._master = Master(kernel)
        master = self._master
        master.improve(30 if number == 2 and not dense else 10, 600)
        if master.value > (goal + 0.02) * sheet.cost and number % 4:
            return None
        dives = 3 if dense else 5

        def rest(_: int, most: int, area: float, there: NDArray[np.int64]) -> Sequence[list[int]]:
            count = most // sheet.cost
            return [[0] * count] if area <= count * sheet.area and count <= there[0] else []

        for _ in range(dives):
            if kernel.work >= limit or kernel.stopped():
                break
            least = 1 if goal <= 4 else 2
            most = min(goal - 1, max(2, 3 * goal // 4))
            open_ = rng.randint(least, most) if most >= 2 else 1
            taste, heats = any_taste(rng)
            plan = dive(
                kernel,
                master,
                goal * sheet.cost,
                (goal - open_) * sheet.cost,
                20_000 if number > 3 else 8_000,
                taste,
                heats,
                max(0.0, min(0.97, keep)),
                rest,
                rng,
            )
            if plan is not None:
                return plan
            master.solve()
            master.shrink(_MOST_PATTERNS)
        return None
