"""A boards job in its smallest whole numbers, and ways to fill boards with it.

Every part weighs its length and one kerf; every board has room for its length and one
kerf; then n parts side by side take n - 1 kerfs. All lengths are divided by what divides
all weights, equal parts and equal boards are merged, boards that a longer one at no more
money makes needless are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

from cutopt.solve.knapsack import Counts
from cutopt.solve.params import Item, StockType


@dataclass(frozen=True, slots=True)
class Load:
    """Parts, longest first, and boards, longest first.

    Attributes:
        unit: ticks of one unit of weight and room.
        weights, demands: of each kind of part.
        rooms, costs, supplies: of each kind of board; supplies are finite.
    """

    unit: int
    weights: tuple[int, ...]
    demands: tuple[int, ...]
    rooms: tuple[int, ...]
    costs: tuple[int, ...]
    supplies: tuple[int, ...]

    @property
    def total(self) -> int:
        """Weight of all parts together."""
        return sum(w * d for w, d in zip(self.weights, self.demands, strict=True))

    def cost(self, boards: Sequence[int]) -> int:
        """Give the cost of so many boards of each kind."""
        return sum(c * n for c, n in zip(self.costs, boards, strict=True))

    @property
    def dearest(self) -> int:
        """Highest cost of one board, at least 1."""
        return max(1, *self.costs)


@dataclass(frozen=True, slots=True)
class Filled:
    """One board (index of its kind) and how many of each kind of part come from it."""

    board: int
    counts: Counts


Packing = tuple[Filled, ...]


def cost_of(load: Load, packing: Packing) -> int:
    """Give what the boards of a packing cost together."""
    return sum(load.costs[filled.board] for filled in packing)


def used(load: Load, packing: Packing) -> list[int]:
    """Give how many boards of each kind a packing takes."""
    boards = [0] * len(load.rooms)
    for filled in packing:
        boards[filled.board] += 1
    return boards


def exactly(load: Load, packing: Sequence[Filled]) -> Packing:
    """Take out what a packing makes too many of, and boards left empty by it."""
    missing = list(load.demands)
    kept = []
    for filled in packing:
        counts = []
        for kind, count in enumerate(filled.counts):
            taken = min(count, missing[kind])
            missing[kind] -= taken
            counts.append(taken)
        if any(counts):
            kept.append(Filled(filled.board, tuple(counts)))
    if any(missing):
        raise ValueError("a packing must make every part")
    return tuple(kept)


@dataclass(frozen=True, slots=True)
class Sorted:
    """A load and where its kinds come from.

    Attributes:
        parts: for each kind of part the indices of the items merged in it.
        boards: for each kind of board the indices of the stock types merged in it.
        needless: some kind of board is left out, as a longer one costs no more.
    """

    load: Load
    parts: tuple[tuple[int, ...], ...]
    boards: tuple[tuple[int, ...], ...]
    needless: bool = False


def sort_load(items: Sequence[Item], stock: Sequence[StockType], kerf: int) -> Sorted:
    """Give the load of a problem at one kerf; items longer than all stock are the caller's."""
    by_weight: dict[int, list[int]] = {}
    for index, item in enumerate(items):
        by_weight.setdefault(item.length + kerf, []).append(index)
    weights = sorted(by_weight, reverse=True)
    unit = gcd(*weights)
    copies = sum(item.qty for item in items)

    by_room: dict[tuple[int, int], list[int]] = {}
    for index, kind in enumerate(stock):
        if kind.length + kerf >= weights[-1] and kind.available != 0:
            by_room.setdefault(((kind.length + kerf) // unit, kind.cost), []).append(index)

    def supply(indices: Sequence[int]) -> int:
        counts = [stock[index].available for index in indices]
        return min(copies, sum(copies if count is None else count for count in counts))

    rooms = sorted(by_room, key=lambda key: (-key[0], key[1]))
    kept: list[tuple[int, int]] = []
    for room, cost in rooms:
        if not any(
            other <= cost and supply(by_room[long, other]) == copies for long, other in kept
        ):
            kept.append((room, cost))
    return Sorted(
        Load(
            unit=unit,
            weights=tuple(weight // unit for weight in weights),
            demands=tuple(sum(items[i].qty for i in by_weight[weight]) for weight in weights),
            rooms=tuple(room for room, _ in kept),
            costs=tuple(cost for _, cost in kept),
            supplies=tuple(supply(by_room[key]) for key in kept),
        ),
        tuple(tuple(by_weight[weight]) for weight in weights),
        tuple(tuple(by_room[key]) for key in kept),
        needless=len(kept) < len(rooms),
    )
