"""Purchases worth a try: counts of sheets that cost less than a plan and could be enough."""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.solve.bounds import Weighing
from cutopt.solve.sheets_sizes import SheetType, Sizes

_MOST_STEPS = 100_000

Counts = tuple[int, ...]
"""How many sheets of each type."""


def cost_of_counts(sizes: Sizes, counts: Counts) -> int:
    """Give the cost of a purchase."""
    return sum(t.cost * n for t, n in zip(sizes.types, counts, strict=True))


def area_of_counts(sizes: Sizes, counts: Counts) -> int:
    """Give the area of a purchase."""
    return sum(t.area * n for t, n in zip(sizes.types, counts, strict=True))


def purchases_between(
    sizes: Sizes, weighings: Sequence[Weighing], low: int, high: int, most: int
) -> list[Counts]:
    """Give purchases with low <= cost < high that meet every weighing, roomiest first.

    Free sheets are all taken: those not needed are put back afterwards. Where there are more
    than ``most``, or too many to go through, some are left out.
    """
    types = sizes.types
    order = sorted(range(len(types)), key=lambda t: (-types[t].cost, t))
    found: list[Counts] = []
    counts = [0] * len(types)
    steps = 0

    def choose(place: int, cost: int) -> None:
        nonlocal steps
        steps += 1
        if steps > _MOST_STEPS:
            return
        if place == len(order):
            if cost >= low and all(
                sum(c * n for c, n in zip(w.capacities, counts, strict=True)) >= w.demand
                for w in weighings
            ):
                found.append(tuple(counts))
            return
        sheet = types[order[place]]
        if sheet.cost == 0:
            counts[order[place]] = sheet.available
            choose(place + 1, cost)
            return
        for count in range(min(sheet.available, (high - 1 - cost) // sheet.cost) + 1):
            counts[order[place]] = count
            choose(place + 1, cost + count * sheet.cost)
        counts[order[place]] = 0

    choose(0, 0)
    found.sort(key=lambda c: (-area_of_counts(sizes, c), c))
    return found[:most]


def purchases_for(
    types: Sequence[SheetType],
    area: float,
    low: int,
    high: int,
    available: Sequence[int],
    most: int,
) -> list[Counts]:
    """Give the ``most`` cheapest purchases of at least an area, low <= cost <= high.

    Free sheets are all taken. Where there are too many to go through, some are left out.
    """
    order = sorted(range(len(types)), key=lambda t: (-types[t].cost, t))
    found: list[tuple[int, Counts]] = []
    counts = [0] * len(types)
    steps = 0

    def choose(place: int, cost: int, missing: float) -> None:
        nonlocal steps
        steps += 1
        if steps > _MOST_STEPS // 10:
            return
        if place == len(order):
            if cost >= low and missing <= 0:
                found.append((cost, tuple(counts)))
            return
        number = order[place]
        sheet = types[number]
        if sheet.cost == 0:
            counts[number] = available[number]
            choose(place + 1, cost, missing - available[number] * sheet.area)
            return
        for count in range(min(available[number], (high - cost) // sheet.cost) + 1):
            counts[number] = count
            choose(place + 1, cost + count * sheet.cost, missing - count * sheet.area)
        counts[number] = 0

    choose(0, 0, area)
    found.sort()
    return [purchase for _, purchase in found[:most]]
