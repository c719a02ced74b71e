"""Mixtures of fills: the linear relaxation of cutting boards, and the proofs it yields.

Fractions of fills must make every part; new fills come from the knapsack at the parts'
dual worths. Whatever the worths u, with V the most any fill of a board is worth, every
purchase n that makes all parts satisfies sum n V >= sum u d. Worths are rounded to whole
numbers first and V is exact (or over), so that this ``Cut`` holds without any float.

Source: Gilmore, P. C. and Gomory, R. E., "A linear programming approach to the
cutting-stock problem", Operations Research 9 (1961), doi:10.1287/opre.9.6.849.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

from ortools.linear_solver import pywraplp

from cutopt.solve.boards_load import Filled, Load
from cutopt.solve.knapsack import BestFill, best_fills
from cutopt.solve.params import Watch

SCALE = 10**7
_TINY = 1e-7


@dataclass(frozen=True, slots=True)
class Cut:
    """Boards n make all parts only where the sum of n times ``reach`` is at least ``need``.

    Attributes:
        values: whole worth of each part; ``need`` is their sum over all parts.
        reach: the most any fill of each board is worth, or more.
    """

    values: tuple[int, ...]
    reach: tuple[int, ...]
    need: int

    def slack(self, boards: Sequence[int]) -> int:
        """Give what these boards reach beyond the need; negative: they are too few."""
        return sum(v * n for v, n in zip(self.reach, boards, strict=True)) - self.need

    def least_cost(self, load: Load) -> int:
        """Give a cost that no purchase undercuts, by this cut alone."""
        free = sum(
            reach * supply
            for reach, supply, cost in zip(self.reach, load.supplies, load.costs, strict=True)
            if cost == 0
        )
        missing = self.need - free
        if missing <= 0:
            return 0
        return min(
            (
                -(-missing * cost // reach)
                for reach, cost in zip(self.reach, load.costs, strict=True)
                if cost > 0 and reach > 0
            ),
            default=0,
        )


def length_cut(load: Load) -> Cut:
    """Give the cut by length alone: boards together at least as long as the parts."""
    return Cut(load.weights, load.rooms, load.total)


@dataclass(frozen=True, slots=True)
class Blend:
    """A solution of the relaxation: worths of parts, rents of boards, amounts of fills."""

    objective: float
    worths: tuple[float, ...]
    rents: tuple[float, ...]
    amounts: tuple[float, ...]


class Mixture:
    """The relaxation over the fills known so far.

    Priced, it makes the parts at least cost; else it asks how far given boards fall short.
    """

    def __init__(self, load: Load, *, priced: bool) -> None:
        """Set up with no fills: every part is missing, at a price."""
        self.load = load
        self.priced = priced
        self.fills: list[Filled] = []
        self._known: set[Filled] = set()
        create: Any = pywraplp.Solver.CreateSolver  # OR-Tools leaves it untyped
        self._solver = create("GLOP")
        self._objective = self._solver.Objective()
        infinity = self._solver.infinity()
        self._parts = [self._solver.Constraint(float(d), infinity) for d in load.demands]
        self._boards = [self._solver.Constraint(-infinity, float(s)) for s in load.supplies]
        self._amounts: list[Any] = []
        for weight, row in zip(load.weights, self._parts, strict=True):
            missing = self._solver.NumVar(0, infinity, "")
            self._objective.SetCoefficient(missing, 10.0 if priced else weight / load.weights[0])
            row.SetCoefficient(missing, 1)
        self._objective.SetMinimization()

    def add(self, filled: Filled) -> bool:
        """Add a fill; False where it is known."""
        if filled in self._known:
            return False
        self._known.add(filled)
        self.fills.append(filled)
        amount = self._solver.NumVar(0, self._solver.infinity(), "")
        for row, count in zip(self._parts, filled.counts, strict=True):
            if count:
                row.SetCoefficient(amount, count)
        self._boards[filled.board].SetCoefficient(amount, 1)
        if self.priced:
            price = self.load.costs[filled.board] / self.load.dearest
            self._objective.SetCoefficient(amount, price)
        self._amounts.append(amount)
        return True

    def set_bounds(self, demands: Sequence[int], boards: Sequence[int]) -> None:
        """Ask for these parts from these boards from now on."""
        for row, demand in zip(self._parts, demands, strict=True):
            row.SetLb(float(demand))
        for row, count in zip(self._boards, boards, strict=True):
            row.SetUb(float(count))

    def solve(self) -> Blend | None:
        """Give the best mixture of the fills known; None where the arithmetic failed."""
        if self._solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        return Blend(
            self._objective.Value(),
            tuple(max(0.0, row.dual_value()) for row in self._parts),
            tuple(min(0.0, row.dual_value()) for row in self._boards),
            tuple(max(0.0, amount.solution_value()) for amount in self._amounts),
        )

    def price(self, blend: Blend, demands: Sequence[int], boards: Sequence[int]) -> tuple[int, Cut]:
        """Add fills that improve on a blend; give how many, and the cut its worths prove.

        The cut holds for the whole load only where ``demands`` are the load's own.
        """
        load = self.load
        values = [round(worth * SCALE) for worth in blend.worths]
        limits = list(demands)
        added = 0
        cut: Cut | None = None
        for _ in range(1 if len(values) < 30 else 4):
            fills = best_fills(load.rooms, load.weights, values, limits)
            if cut is None:
                need = sum(v * d for v, d in zip(values, demands, strict=True))
                cut = Cut(tuple(values), tuple(fill.ceiling for fill in fills), need)
            fresh = [
                Filled(board, fill.counts)
                for board, fill in enumerate(fills)
                if fill.counts is not None and self._improves(blend, board, fill, boards)
            ]
            if not fresh:
                break
            for filled in fresh:
                added += self.add(filled)
                for kind, count in enumerate(filled.counts):
                    if count:
                        limits[kind] = 0
            if not any(limits):
                break
        if cut is None:
            raise RuntimeError("pricing always proves a cut")
        return added, cut

    def _improves(self, blend: Blend, board: int, fill: BestFill, boards: Sequence[int]) -> bool:
        if boards[board] == 0:
            return False
        price = self.load.costs[board] / self.load.dearest if self.priced else 0.0
        return fill.value > ceil((price - blend.rents[board]) * SCALE) + 20


def cheapest_mixture(
    mixture: Mixture, known_cost: int | None, most_rounds: int, watch: Watch
) -> Cut | None:
    """Price fills until none helps; give the best cut by cost.

    Stops early once the cut shows that ``known_cost`` cannot be undercut.
    """
    load = mixture.load
    best: Cut | None = None
    best_cost = -1
    for _ in range(most_rounds):
        if watch.stopped():
            break
        blend = mixture.solve()
        if blend is None:
            break
        added, cut = mixture.price(blend, load.demands, load.supplies)
        cost = cut.least_cost(load)
        if cost >= best_cost:
            best, best_cost = cut, cost
        if not added or (known_cost is not None and cost >= known_cost):
            break
    return best


def mixture_within(
    mixture: Mixture, demands: Sequence[int], boards: Sequence[int], most_rounds: int
) -> Cut | Blend | None:
    """Say whether mixtures of fills make ``demands`` from ``boards``: a blend, or a cut if not.

    None where neither came out within the rounds.
    """
    mixture.set_bounds(demands, boards)
    for _ in range(most_rounds):
        blend = mixture.solve()
        if blend is None:
            return None
        if blend.objective < _TINY:
            return blend
        added, cut = mixture.price(blend, demands, boards)
        if cut.slack(boards) < 0:
            return cut
        if not added:
            return None
    return None
