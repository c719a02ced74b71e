"""What any purchase that gives a chance costs at least.

A purchase is ruled out where, in too many scenarios, its boards are not worth what the parts
are: by length, by how many long parts they give, by length for the long ones. What is left of
the money after some boards are chosen counts, in each scenario, for the best it could buy there.
The purchase that really is the cheapest for the chance is ruled out by bad luck of the draw in
at most 5 of 100 cases: so the bound holds with 95 % confidence, however many are looked at.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.chances import too_many_misses
from cutopt.solve.grades_question import Boards, Question
from cutopt.solve.kernel.board_worths import Worth, board_worths, worth_for_money

_MOST_UNITS = 4096
_MONEY = 400
"""Steps that money is counted in beyond the boards already chosen."""
_GUIDES = 2
"""Values that the money left is looked up for."""
_LONGEST = 6
"""Sizes of parts that are counted by themselves."""
_MOST_NODES = 3000
"""Purchases, or beginnings of them, looked at for one bound."""
_NEAR = 400
"""A bound within one part of so many of the cost is not looked for more closely."""

Short = Callable[[tuple[int, ...], float], bool]


class Worths:
    """What boards are worth in each scenario, for purchases up to a cost."""

    def __init__(
        self, question: Question, boards: Boards, seed: int, scenarios: int, limit: int
    ) -> None:
        """Take the question, the scenarios, and what purchases cost at most."""
        self.question = question
        self.limit = limit
        self.scenarios = scenarios
        items = _Items(question, boards)
        self.need = items.need
        self.owned = items.owned(boards.first)
        self.tables: list[Worth] = []
        for row, offer in enumerate(question.offers):
            most = limit // offer.cost
            if offer.stock.available is not None:
                most = min(most, offer.stock.available)
            worths = items.worths(int(boards.rows[row, -1]) + question.kerf)
            self.tables.append(
                board_worths(
                    seed, scenarios, boards.rows, boards.odds, row, most, question.kerf,
                    worths[:-1], worths[-1], items.unit,
                )
            )  # fmt: skip

    def misses(self, counts: Sequence[int]) -> int:
        """Give in how many scenarios a purchase surely falls short; 0 past the limit of cost."""
        if any(n >= len(table) for n, table in zip(counts, self.tables, strict=True)):
            return 0
        worth = self.owned[:, None]
        for count, table in zip(counts, self.tables, strict=True):
            if count:
                worth = worth + table[count]
        return int((worth < self.need[:, None]).any(axis=0).sum())


class _Items:
    """Parts and what each counts for."""

    def __init__(self, question: Question, boards: Boards) -> None:
        clear, every = boards.weights, np.concatenate([boards.weights, boards.rest])
        room = int(boards.rows[:, 0].max(initial=0)) + question.kerf
        for first in boards.first:
            room = max(room, int(first[4] - first[3]) + question.kerf)
        self.unit = max(math.gcd(*map(int, every)), -(-room // _MOST_UNITS))
        self.units = room // self.unit + 1
        self.kerf = question.kerf
        self.clear, self.every = clear, every
        sizes = sorted({int(weight) for weight in clear})
        few = sizes[:: -(-len(sizes) // _LONGEST)] if sizes else []
        units = clear // self.unit
        self.values = [np.ones_like(units) * (clear >= size) for size in few]
        self.values += [units * (clear >= size) for size in few]
        self.need = np.array(
            [*(value.sum() for value in self.values), (every // self.unit).sum()], np.int64
        )

    def worths(self, longest: int) -> NDArray[np.int64]:
        """Give for each value and each room the most that fits; no part is over ``longest``."""
        found = [self._most(self.clear, value, longest) for value in self.values]
        return np.array([*found, self._most(self.every, self.every // self.unit, longest)])

    def _most(
        self, weights: NDArray[np.int64], values: NDArray[np.int64], longest: int
    ) -> NDArray[np.int64]:
        most = np.zeros(self.units, np.int64)
        for weight, value in zip(weights, values, strict=True):
            size = int(weight) // self.unit
            if value and weight <= longest and size < self.units:
                most[size:] = np.maximum(most[size:], most[: self.units - size] + value)
        return most

    def owned(self, first: NDArray[np.int64]) -> NDArray[np.int64]:
        """Give what the runs of boards in the shop are worth."""
        worths = self.worths(self.unit * self.units)
        total = np.zeros(len(self.need), np.int64)
        grounds = {int(run[2]): int(run[4] - run[3]) for run in first}
        for run in first:
            total[:-1] += worths[:-1, int(run[1] - run[0] + self.kerf) // self.unit]
        for ground in grounds.values():
            total[-1] += worths[-1, (ground + self.kerf) // self.unit]
        return total


@dataclass(frozen=True, slots=True)
class _Chosen:
    """Boards of the first rows in the order, what they cost and are worth."""

    counts: tuple[int, ...]
    cost: int
    worth: NDArray[np.int64]

    def with_boards(self, count: int, each: int, table: Worth) -> _Chosen:
        worth = self.worth + table[count] if count else self.worth
        return _Chosen((*self.counts, count), self.cost + count * each, worth)


class Floor:
    """Looks for what purchases that are not ruled out cost at least."""

    def __init__(self, worths: Worths, probes: Sequence[Sequence[int]]) -> None:
        """Take the worths, and purchases that just fall short, to see which values tell most."""
        self.worths = worths
        offers = worths.question.offers
        # Dear boards first; the boards that give most for the money come last.
        value = [table[-1][-1].mean() / max(1, len(table) - 1) for table in worths.tables]
        self.order = sorted(
            (row for row, table in enumerate(worths.tables) if len(table) > 1),
            key=lambda row: (value[row] / offers[row].cost, row),
        )
        self.unit = _unit([offers[row].cost for row in self.order], worths.limit)
        self.guides = self._guides(probes)
        self.after = [self._after(guide) for guide in self.guides]
        self._left = 0

    def _guides(self, probes: Sequence[Sequence[int]]) -> list[int]:
        """Give the values by which most scenarios of the probes fall short."""
        w = self.worths
        short = np.zeros((len(w.need), 0), bool)
        for counts in probes:
            worth = w.owned[:, None] + sum(
                table[min(n, len(table) - 1)] for n, table in zip(counts, w.tables, strict=True)
            )
            short = np.concatenate([short, worth < w.need[:, None]], axis=1)
        guides: list[int] = []
        for _ in range(_GUIDES):
            guide = int(short.sum(axis=1).argmax())
            if guide in guides:
                break
            guides.append(guide)
            short = short & ~short[guide]
        return guides

    def _after(self, guide: int) -> list[Worth]:
        """Give what money buys of the rows from each place in the order on."""
        w = self.worths
        money = w.limit // self.unit + 1
        after = [np.zeros((w.scenarios, money), np.int32)]
        for row in reversed(self.order):
            worths = np.ascontiguousarray(w.tables[row][:, guide])
            cost = w.question.offers[row].cost // self.unit
            after.append(worth_for_money(worths, cost, after[-1]))
        return after[::-1]

    def least(self, share: float, known: int, short: Short) -> int:
        """Give a cost under which no purchase gives all parts with a chance.

        Args:
            share: the chance.
            known: what a purchase costs that gives it; at most the limit of the worths.
            short: tells of a purchase that it does not, by packing its boards.
        """
        misses = too_many_misses(share, self.worths.scenarios)
        low, high = 0, known
        trial = known - 1
        self._left = _MOST_NODES
        while low < high and (trial == known - 1 or _NEAR * (high - low) > known):
            found = self._survivor(trial, misses, lambda counts: short(counts, share))
            if found is None:
                low = trial + 1
            else:
                high = min(trial, found)
            trial = (low + high) // 2
        return low

    def _survivor(
        self, limit: int, misses: int, short: Callable[[tuple[int, ...]], bool]
    ) -> int | None:
        """Give the cost of a purchase within a limit that is not ruled out; None where all are.

        The limit itself where the work allowed does not tell.
        """
        w, order = self.worths, self.order
        if not order:
            return limit
        waiting = [_Chosen((), 0, np.repeat(w.owned[:, None], w.scenarios, axis=1))]
        while waiting:
            chosen = waiting.pop()
            self._left -= 1
            if self._left < 0:
                return limit
            place, money = len(chosen.counts), limit - chosen.cost
            if not self._may_do(place, money, chosen.worth, misses):
                continue
            row = order[place]
            table, each = w.tables[row], w.question.offers[row].cost
            most = min(len(table) - 1, money // each)
            if place + 1 < len(order):
                waiting += [chosen.with_boards(n, each, table) for n in range(most + 1)]
                continue
            full = chosen.with_boards(most, each, table)
            fails = int((full.worth < w.need[:, None]).any(axis=0).sum())
            if fails < misses and not short(self._counts(full.counts)):
                return full.cost
        return None

    def _counts(self, in_order: Sequence[int]) -> tuple[int, ...]:
        counts = [0] * len(self.worths.tables)
        for row, count in zip(self.order, in_order, strict=True):
            counts[row] = count
        return tuple(counts)

    def _may_do(self, place: int, money: int, worth: NDArray[np.int64], misses: int) -> bool:
        short = np.zeros(self.worths.scenarios, bool)
        for guide, after in zip(self.guides, self.after, strict=True):
            reach = worth[guide] + after[place][:, money // self.unit]
            short |= reach < self.worths.need[guide]
        return int(short.sum()) < misses


def _unit(costs: Sequence[int], limit: int) -> int:
    """Give the step of money that wastes least where costs are counted in whole steps."""
    coarse = max(1, -(-limit // _MONEY))
    if coarse == 1:
        return 1
    low = min([*costs, 2 * coarse])
    steps = range(coarse, max(coarse, low) + 1) if low >= coarse else range(1, 2)
    return min(
        steps,
        key=lambda step: (max((cost % step) / cost for cost in costs), step),
    )
