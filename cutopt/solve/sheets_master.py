"""The linear programme over whole sheets: which patterns share the parts at least cost.

Rows are kinds of parts, columns are patterns of the pool; those with negative reduced cost
come in a few at a time, and the kernel makes new ones worth more than a sheet at the dual
prices. Its value guides a search; no bound rests on it.

Source: Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions",
1965, doi:10.1287/opre.13.1.94 (columns priced in as needed).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from cutopt.solve.kernel.pool import count_kinds, reduced_costs
from cutopt.solve.sheets_kernel import Kernel, Taste

_BATCH = 150
_MOST_TURNS = 60
_LOOKS_A_PIVOT = 5_000
_LOOKS_A_SOLVE = 400_000
_ROWS = 100
_DRY = 3
_TINY = 1e-7
_TASTES = (
    Taste(taken=3.0),
    Taste(noise=0.1, taken=5.0),
    Taste(noise=0.02, blink=0.0, taken=4.0),
    Taste(noise=0.2, ground=0.1, taken=6.0),
)


class Master:
    """The programme, kept from one solve to the next.

    Attributes:
        value: of the last solve, in prices.
        dual: worth of a part of each kind.
        effective: price of each type, with what its scarcity costs others.
        wanted, available: parts to make by kind, sheets there are by type.
        columns: numbers of the patterns in it.
        use: of each column.
    """

    def __init__(self, kernel: Kernel) -> None:
        """Take a kernel and its pool; every part may be bought alone at the dearest price."""
        self.kernel = kernel
        self.price = np.array([t.cost for t in kernel.sizes.types], np.float64)
        self.value = 0.0
        self.dual = np.zeros(len(kernel.sizes.kinds))
        self.wanted = np.array([kind.qty for kind in kernel.sizes.kinds], np.int64)
        self.available = np.array([t.available for t in kernel.sizes.types], np.int64)
        self.effective = self.price
        self._scarce = [
            t for t, sheet in enumerate(kernel.sizes.types) if sheet.available < kernel.count
        ]
        self._stale = False
        # A pivot takes the more the more rows there are, and is counted for a hundred.
        self._size = max(1.0, len(kernel.sizes.kinds) / _ROWS) ** 2
        self._build([])

    def _build(self, patterns: Sequence[int]) -> None:
        solver: Any = pywraplp.Solver.CreateSolver("GLOP")  # type: ignore[no-untyped-call]
        self._solver = solver
        endless = solver.infinity()
        self._endless = endless
        self._rows = [solver.Constraint(float(many), endless) for many in self.wanted]
        self._objective = solver.Objective()
        self._objective.SetMinimization()
        dearest = float(self.price.max())
        for row in self._rows:
            alone = solver.NumVar(0.0, endless, "")
            row.SetCoefficient(alone, 1.0)
            self._objective.SetCoefficient(alone, dearest)
        self._limits = {
            t: solver.Constraint(-endless, float(self.available[t])) for t in self._scarce
        }
        self.columns: list[int] = []
        self._active = np.zeros(self.kernel.pool.types.shape[0], np.bool_)
        self._variables: list[Any] = []
        self.add(patterns)

    def add(self, patterns: Sequence[int]) -> None:
        """Take patterns in as columns."""
        for pattern in patterns:
            variable = self._solver.NumVar(0.0, self._endless, "")
            sheet = int(self.kernel.pool.types[pattern])
            self._objective.SetCoefficient(variable, float(self.price[sheet]))
            if sheet in self._limits:
                self._limits[sheet].SetCoefficient(variable, 1.0)
            made = self.made(pattern)
            for kind in np.nonzero(made)[0].tolist():
                self._rows[kind].SetCoefficient(variable, float(made[kind]))
            self._variables.append(variable)
            self.columns.append(int(pattern))
            self._active[pattern] = True

    def made(self, pattern: int) -> NDArray[np.int64]:
        """Give how many parts of each kind a pattern makes."""
        made = np.zeros(len(self.kernel.sizes.kinds), np.int64)
        count_kinds(self.kernel.pattern(pattern), made)
        return made

    def want(self, wanted: NDArray[np.int64], available: NDArray[np.int64]) -> None:
        """Set how many parts of each kind are to be made, from how many sheets of each type."""
        for kind in np.nonzero(wanted != self.wanted)[0].tolist():
            self._rows[kind].SetLb(float(wanted[kind]))
            self._stale = True
        for sheet, limit in self._limits.items():
            limit.SetUb(float(available[sheet]))
            self._stale |= bool(available[sheet] != self.available[sheet])
        self.wanted = wanted.copy()
        self.available = available.copy()

    def solve(self) -> float:
        """Give the value over all patterns of the pool."""
        pool = self.kernel.pool
        for _ in range(_MOST_TURNS):
            self._solver.SetSolverSpecificParametersAsString(
                f"use_dual_simplex: {'true' if self._stale else 'false'} use_preprocessing: false"
            )
            self._stale = False
            self._solver.Solve()
            pivots = int(_LOOKS_A_PIVOT * self._solver.iterations() * self._size)
            self.kernel.work += _LOOKS_A_SOLVE + pivots
            self.value = self._objective.Value()
            self.dual = np.maximum([row.dual_value() for row in self._rows], 0.0)
            # A sheet of which there are few costs what leaving it to others is worth, too.
            self.effective = self.price.copy()
            for sheet, limit in self._limits.items():
                self.effective[sheet] += max(0.0, -limit.dual_value())
            count = int(pool.counts[0])
            costs = np.zeros(count)
            reduced_costs(pool, self.effective, self.dual, costs)
            costs[self._active[:count]] = 0.0
            bad = np.nonzero(costs < -_TINY * self.price.max())[0]
            if not len(bad) or self.kernel.spent:
                break
            if len(bad) > _BATCH:
                bad = bad[np.argsort(costs[bad], kind="stable")[:_BATCH]]
            self.add(bad.tolist())
        self.use = np.array([variable.solution_value() for variable in self._variables])
        return self.value

    def improve(self, turns: int, rounds: int) -> float:
        """Give the value after new patterns were priced in, ``turns`` times at most."""
        self.solve()
        dry = 0
        for turn in range(turns):
            new = sum(
                self.kernel.price_patterns(
                    sheet, self.effective, self.dual, rounds, _TASTES[turn % len(_TASTES)]
                )
                for sheet in range(len(self.price))
            )
            if new:
                dry = 0
                self.solve()
            else:
                dry += 1
            if dry == _DRY or self.kernel.spent:
                break
        return self.value

    def shrink(self, most: int) -> None:
        """Let go of all but the best patterns of the pool once there are more."""
        pool = self.kernel.pool
        count = int(pool.counts[0])
        if count <= most:
            return
        costs = np.zeros(count)
        reduced_costs(pool, self.effective, self.dual, costs)
        used = np.zeros(count, np.bool_)
        used[[column for column, use in zip(self.columns, self.use, strict=False) if use > 0]] = (
            True
        )
        costs[used] = -np.inf
        kept = np.sort(np.argsort(costs, kind="stable")[: most // 3])
        active = self._active[kept]
        self.kernel.keep_patterns(kept)
        self._build(np.nonzero(active)[0].tolist()[-_BATCH * 8 :])
        self.solve()
