"""Choosing whole numbers of known fills that make every part from given boards.

Two solvers, good at different questions: one that proves in whole numbers that there is no
choice, and one that branches on the relaxation and finds choices where next to nothing may be
wasted. The second works in floats, so only what it finds counts, never what it denies.

Source: Achterberg, T., "SCIP: solving constraint integer programs", Mathematical Programming
Computation 1 (2009), doi:10.1007/s12532-008-0001-1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import Enum
from typing import Any

from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from cutopt.solve.boards_load import Filled, Load, Packing, exactly
from cutopt.solve.choosing import repeatable_solver

_MOST_SEARCHED = 3_000
"""Fills branched over; with more the first relaxation alone may take half a minute."""
_MOST_PIVOTS = 50_000
"""Steps of one relaxation; the branches are counted, each has a bounded number of these."""
_SEARCH = """limits/nodes = {branches}
lp/iterlim = {pivots}
lp/rootiterlim = {pivots}
separating/maxrounds = 10
separating/maxroundsroot = 100
presolving/maxrestarts = 1
misc/catchctrlc = FALSE
"""


class Doubt(Enum):
    """What is left where there is neither a packing nor a cut."""

    NO_PACKING = "these boards do not hold the parts"
    OPEN = "not decided within the work allowed"


def choose_fills(
    load: Load,
    fills: Sequence[Filled],
    demands: Sequence[int],
    boards: Sequence[int],
    choice_time: float,
) -> Packing | Doubt:
    """Choose whole numbers of fills that make every part; NO_PACKING is proved for these fills.

    Args:
        load: parts and boards.
        fills: to choose from.
        demands: how many of each part are made.
        boards: how many of each board there are.
        choice_time: limit in the solver's own deterministic units.
    """
    model = cp_model.CpModel()
    makes: list[list[cp_model.LinearExpr]] = [[] for _ in load.demands]
    takes: list[list[cp_model.IntVar]] = [[] for _ in boards]
    times = []
    for filled in fills:
        most = min(
            boards[filled.board],
            max(-(-demands[k] // c) for k, c in enumerate(filled.counts) if c),
        )
        amount = model.new_int_var(0, most, "")
        times.append(amount)
        takes[filled.board].append(amount)
        for kind, count in enumerate(filled.counts):
            if count:
                makes[kind].append(count * amount)
    for terms, demand in zip(makes, demands, strict=True):
        if not demand:
            continue
        if not terms:
            return Doubt.NO_PACKING
        model.add(cp_model.LinearExpr.sum(terms) >= demand)
    for amounts, count in zip(takes, boards, strict=True):
        if amounts:
            model.add(cp_model.LinearExpr.sum(amounts) <= count)
    solver = repeatable_solver(choice_time, linearization=2)
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        chosen = [
            filled
            for filled, amount in zip(fills, times, strict=True)
            for _ in range(solver.value(amount))
        ]
        return exactly(replace(load, demands=tuple(demands)), chosen)
    return Doubt.NO_PACKING if status == cp_model.INFEASIBLE else Doubt.OPEN


def search_fills(
    load: Load, fills: Sequence[Filled], boards: Sequence[int], most_branches: int
) -> Packing | None:
    """Give whole numbers of fills that make every part, if branching finds them.

    Args:
        load: parts and boards.
        fills: to choose from.
        boards: how many of each board there are.
        most_branches: looked at, times the number of fills: larger ones take longer. None is
            where there are more fills than can be branched over.
    """
    if len(fills) > _MOST_SEARCHED:
        return None
    create: Any = pywraplp.Solver.CreateSolver  # OR-Tools leaves it untyped
    solver = create("SCIP")
    makes = [solver.Constraint(demand, solver.infinity()) for demand in load.demands]
    takes = [solver.Constraint(0, count) for count in boards]
    times = []
    for filled in fills:
        amount = solver.IntVar(0, boards[filled.board], "")
        takes[filled.board].SetCoefficient(amount, 1)
        for kind, count in enumerate(filled.counts):
            if count:
                makes[kind].SetCoefficient(amount, count)
        times.append(amount)
    branches = max(1, most_branches // max(1, len(fills)))
    limits = _SEARCH.format(branches=branches, pivots=_MOST_PIVOTS)
    if not solver.SetSolverSpecificParametersAsString(limits):
        raise RuntimeError("the branching search does not know its limits")
    if solver.Solve() not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return None
    chosen = [
        filled
        for filled, amount in zip(fills, times, strict=True)
        for _ in range(round(amount.solution_value()))
    ]
    made = [sum(filled.counts[kind] for filled in chosen) for kind in range(len(load.demands))]
    taken = [sum(filled.board == board for filled in chosen) for board in range(len(boards))]
    enough = all(m >= d for m, d in zip(made, load.demands, strict=True))
    return exactly(load, chosen) if enough and all(map(int.__le__, taken, boards)) else None
