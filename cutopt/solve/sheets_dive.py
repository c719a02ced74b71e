"""A dive: whole sheets of the linear programme are settled one by one, the kernel does the rest.

After each the programme is solved again for the parts still to make, with new patterns
priced in; the last few sheets, their number drawn at random, are searched directly.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.sheets_kernel import Kernel, Taste
from cutopt.solve.sheets_master import Master

Words = NDArray[np.int32]
Plan = list[tuple[int, Words]]
"""Sheets: (type, pattern in words); a part made too often is left out when laid."""

Purchases = Callable[[int, int, float, NDArray[np.int64]], Sequence[Sequence[int]]]
"""Gives sheets to buy for the rest, as lists of types, likeliest first: least cost, most cost,
area of the rest, sheets there are by type."""

_TURNS = 2
_PRICING_ROUNDS = 400
_TOO_DEAR = 0.6
_NEAR = 0.2
_REPAIR_ROUNDS = 8_000


def dive(
    kernel: Kernel,
    master: Master,
    most: int,
    settle: int,
    rounds: int,
    taste: Taste,
    heats: tuple[float, float],
    keep: float,
    purchases: Purchases,
    rng: random.Random,
) -> Plan | None:
    """Give a plan of all parts that costs at most ``most``, or None.

    Args:
        kernel: for pricing and the rest.
        master: the programme; wants all parts again afterwards.
        most: cost allowed.
        settle: cost of sheets to take from the programme.
        rounds: of ruin and recreate for the rest.
        taste: of that search.
        heats: first and last of that search, in mean part areas.
        keep: least fill of sheets that go to the pool.
        purchases: gives what to buy for the rest.
        rng: of this search.
    """
    every, there = master.wanted.copy(), master.available.copy()
    try:
        settled, spent = _settle(kernel, master, most, settle, rng)
        wanted, available = master.wanted.copy(), master.available.copy()
    finally:
        master.want(every, there)
    if settled is None:
        return None
    if not wanted.any():
        return settled
    area = float((wanted * kernel.area).sum())
    smallest = min(t.area for t in kernel.sizes.types)
    for types in purchases(0, most - spent, area, available):
        if kernel.stopped():
            return None
        floor = kernel.floor(types, left=wanted.tolist())
        left = kernel.fill(floor, taste, heats, rounds, keep=keep)
        rest = kernel.words_on(floor)
        plan = [*settled, *rest]
        if left <= 0.0:
            return plan
        if settled and left < _NEAR * smallest and rng.random() < 0.5:
            whole = kernel.floor(
                [*(sheet for sheet, _ in plan), *_not_used(types, rest)],
                [words for _, words in plan],
            )
            if kernel.fill(whole, taste, (0.15, 0.01), _REPAIR_ROUNDS, keep=keep) <= 0.0:
                return kernel.words_on(whole)
    return None


def _not_used(types: Sequence[int], rest: Plan) -> list[int]:
    """Give the types of the sheets on which nothing was laid."""
    left = list(types)
    for sheet, _ in rest:
        left.remove(sheet)
    return left


def _settle(
    kernel: Kernel, master: Master, most: int, settle: int, rng: random.Random
) -> tuple[Plan | None, int]:
    """Settle sheets; give them and their cost, or None where it cannot be done for the cost."""
    types = kernel.sizes.types
    areas = np.array([t.area for t in types], np.float64)
    slack = _TOO_DEAR * float(master.price[master.price > 0].min(initial=master.price.max()))
    settled: Plan = []
    spent = 0
    while True:
        master.improve(_TURNS, _PRICING_ROUNDS)
        if spent + master.value > most + slack or kernel.spent:
            return None, spent
        if spent >= settle:
            return settled, spent
        best, chosen, best_use = -1.0, -1, 0.0
        for place in np.nonzero(master.use > 1e-6)[0].tolist():
            pattern = master.columns[place]
            made = np.minimum(master.made(pattern), master.wanted)
            share = float((made * kernel.area).sum()) / areas[kernel.pool.types[pattern]]
            value = float(master.use[place]) * share**2 * rng.uniform(0.4, 1.0)
            sheet = int(kernel.pool.types[pattern])
            if value > best and spent + types[sheet].cost <= most and master.available[sheet] > 0:
                best, chosen = value, pattern
                best_use = float(master.use[place])
        if chosen < 0 or best <= 0.0:
            return settled, spent
        sheet = int(kernel.pool.types[chosen])
        cost = types[sheet].cost
        # Where a sheet is wanted several times over, so many are settled at once.
        made = master.made(chosen)
        many = min(int(best_use + 1e-6), int(master.available[sheet]))
        many = min(many, int((master.wanted[made > 0] // made[made > 0]).min()))
        if cost:
            many = min(many, (most - spent) // cost, 1 + (settle - spent) // cost)
        many = max(1, many)
        settled += [(sheet, kernel.pattern(chosen).copy())] * many
        spent += many * cost
        available = master.available.copy()
        available[sheet] -= many
        master.want(np.maximum(master.wanted - many * made, 0), available)
        if not master.wanted.any():
            return settled, spent
