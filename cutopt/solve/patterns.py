"""The cheapest choice among patterns seen that makes every part.

Choosing whole sheets is a set cover: each pattern makes some parts at the price of its sheet.

Source: Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions",
1965, doi:10.1287/opre.13.1.94 (patterns as columns of an integer programme).
"""

from __future__ import annotations

import numpy as np
from ortools.sat.python import cp_model

from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.kernel.pool import reduced_costs
from cutopt.solve.sheets_dive import Plan
from cutopt.solve.sheets_kernel import Kernel
from cutopt.solve.sheets_master import Master

_MOST = 4_000
_LOOKS_A_SECOND = 400_000_000


def cheapest_cover(kernel: Kernel, master: Master, below: int, work: float) -> Plan | None:
    """Give sheets that make all parts and cost less than ``below``, or None if none was found.

    Args:
        kernel: whose pool to choose from.
        master: solved; patterns whose reduced cost is more than the gap cannot be of use.
        below: the cost to beat.
        work: limit in the solver's own deterministic units.
    """
    sizes, pool = kernel.sizes, kernel.pool
    costs = np.zeros(int(pool.counts[0]))
    reduced_costs(pool, master.effective, master.dual, costs)
    order = np.argsort(costs, kind="stable")[:_MOST]
    chosen = [int(p) for p in order if costs[p] <= below - 1 - master.value + 1e-6 * below]
    made = [
        {kind: many for kind, many in enumerate(master.made(pattern).tolist()) if many}
        for pattern in chosen
    ]
    sheets = [int(pool.types[pattern]) for pattern in chosen]
    model = cp_model.CpModel()
    uses = []
    for sheet, count in zip(sheets, made, strict=True):
        most = max(-(-sizes.kinds[kind].qty // many) for kind, many in count.items())
        uses.append(model.new_int_var(0, min(most, sizes.types[sheet].available), ""))
    for kind, wanted in enumerate(sizes.kinds):
        terms = [use * count[kind] for use, count in zip(uses, made, strict=True) if kind in count]
        if not terms:
            return None
        model.add(sum(terms) >= wanted.qty)
    for number, stock in enumerate(sizes.types):
        of_type = [use for use, t in zip(uses, sheets, strict=True) if t == number]
        if of_type and stock.available < sizes.count:
            model.add(sum(of_type) <= stock.available)
    cost = sum(use * sizes.types[sheet].cost for use, sheet in zip(uses, sheets, strict=True))
    model.add(cost <= below - 1)
    model.minimize(cost)
    solver = repeatable_solver(work, linearization=2)
    status = solver.solve(model)
    kernel.work += int(solver.deterministic_time * _LOOKS_A_SECOND)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    bought = [
        (sheet, kernel.pattern(pattern).copy())
        for sheet, pattern, use in zip(sheets, chosen, uses, strict=True)
        for _ in range(solver.value(use))
    ]
    floor = kernel.floor([sheet for sheet, _ in bought], [words for _, words in bought])
    return kernel.words_on(floor)
