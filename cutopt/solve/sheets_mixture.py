"""Mixtures of fills: does a purchase of sheets suffice if sheets may be cut in fractions?

A fill is what one sheet can give, or more than it can. The linear programme asks how many
times over a purchase would have to be bought; its duals are worths of the parts. Whatever
the worths, the most that any fill of a sheet is worth is a capacity that no layout exceeds:
worths rounded down to whole numbers give a weighing that holds without any float.

Source: Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions",
1965, doi:10.1287/opre.13.1.94 (fills as columns, priced by the duals); Farley, "A note on
bounding a class of linear programming problems, including cutting stock problems", 1990,
doi:10.1287/opre.38.5.922 (a bound at every step, not only at the last).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from cutopt.solve.bounds import LISTED, Weighing
from cutopt.solve.purchases import Counts

Whole = NDArray[np.int64]

SCALE = 10**12
_ENOUGH = 1.0 + 1e-9
_GAIN = 1e-7
_MISSING = 2.0  # more than once the purchase, which makes any part that it can make


@dataclass(frozen=True, slots=True)
class Fill:
    """What one sheet of a type gives: how many parts by kind."""

    sheet: int
    counts: Mapping[int, int]


class Fills(Protocol):
    """All fills of every type of sheet, or more than all, asked for by worth."""

    @property
    def demands(self) -> Sequence[int]:
        """How many of each kind must be made."""

    @property
    def work(self) -> int:
        """Work of one round of pricing, counted as listing counts it."""

    def reach(self, worths: Whole) -> list[int]:
        """Give by type of sheet the most that a fill is worth, exactly."""

    def better(self, worths: Whole, floors: Mapping[int, int]) -> list[Fill]:
        """Give fills worth more than the floor of their type, for the types that have one.

        Asked only for the worths that ``reach`` was asked for last.
        """


@dataclass(frozen=True, slots=True)
class Shortage:
    """What a purchase shows against the fills.

    Attributes:
        weighing: at the last worths.
        worths: of one part of each kind.
        proved: the purchase falls short of the weighing.
        rounds: of pricing.
    """

    weighing: Weighing
    worths: Whole
    proved: bool
    rounds: int


class Mixture:
    """The linear programme over the fills known so far."""

    def __init__(self, types: int, fills: Fills) -> None:
        """Set up with no fills: every part is missing, at more than any purchase takes."""
        self.fills = fills
        self.demands = np.array(fills.demands, np.int64)
        create: Any = pywraplp.Solver.CreateSolver  # OR-Tools leaves it untyped
        self._solver = create("GLOP")
        # Presolved, such programmes at times end as "abnormal"; it also spoils warm starts.
        self._solver.SetSolverSpecificParametersAsString("use_preprocessing:false")
        infinity = self._solver.infinity()
        self._parts = {
            kind: self._solver.Constraint(float(count), infinity)
            for kind, count in enumerate(fills.demands)
            if count
        }
        self._sheets = [self._solver.Constraint(-infinity, 0.0) for _ in range(types)]
        self._times = self._solver.NumVar(0, infinity, "")
        objective = self._solver.Objective()
        objective.SetCoefficient(self._times, 1.0)
        for row in self._parts.values():
            missing = self._solver.NumVar(0, infinity, "")
            objective.SetCoefficient(missing, _MISSING)
            row.SetCoefficient(missing, 1)
        objective.SetMinimization()
        self._known: set[tuple[int, tuple[tuple[int, int], ...]]] = set()

    def add(self, fill: Fill) -> bool:
        """Add a fill; False where it is known."""
        key = (fill.sheet, tuple(sorted(fill.counts.items())))
        if key in self._known:
            return False
        self._known.add(key)
        amount = self._solver.NumVar(0, self._solver.infinity(), "")
        for kind, count in fill.counts.items():
            self._parts[kind].SetCoefficient(amount, count)
        self._sheets[fill.sheet].SetCoefficient(amount, 1)
        return True

    def weigh(
        self, purchase: Counts, most: int, stopped: Callable[[], bool], *, through: bool = False
    ) -> Shortage | None:
        """Give the weighing that shows a purchase too small, or the last one that does not.

        None where the linear programme failed.

        Args:
            purchase: how many sheets of each type.
            most: rounds of pricing.
            stopped: says whether to end now.
            through: go on to the best worths even where the purchase is seen to suffice.
        """
        for row, count in zip(self._sheets, purchase, strict=True):
            row.SetCoefficient(self._times, -float(count))
        last: Shortage | None = None
        for round_ in range(1, most + 1):
            if self._solver.Solve() != pywraplp.Solver.OPTIMAL:
                return last
            worths = np.zeros(len(self.demands), np.int64)
            duals = np.array([max(0.0, row.dual_value()) for row in self._parts.values()])
            if not duals.max(initial=0.0):
                return last
            unit = SCALE / duals.max()
            worths[list(self._parts)] = np.floor(duals * unit).astype(np.int64)
            reach = self.fills.reach(worths)
            weighing = Weighing(tuple(reach), int(worths @ self.demands), LISTED)
            held = sum(r * n for r, n in zip(reach, purchase, strict=True))
            last = Shortage(weighing, worths, held < weighing.demand, round_)
            suffices = self._solver.Objective().Value() <= _ENOUGH and not through
            if last.proved or suffices or stopped():
                return last
            floors = {
                sheet: int((_GAIN - row.dual_value()) * unit)
                for sheet, row in enumerate(self._sheets)
                if purchase[sheet]
            }
            if not sum([self.add(fill) for fill in self.fills.better(worths, floors)]):
                return last
        return last
