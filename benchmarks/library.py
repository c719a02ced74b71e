"""What a plain user of the packing library gets: the best of its guillotine variants.

Source: Jylänki, "A thousand ways to pack the bin", 2010 (the rules); the library is rectpack.
"""

from __future__ import annotations

import rectpack
from rectpack.packer import PackerBBF, PackerBFF, newPacker

from benchmarks.cases import Case
from cutopt.model.job import Grain
from cutopt.solve.first_layouts import RULES
from cutopt.solve.params import Problem, StockType

_ORDERS = (
    rectpack.SORT_AREA,
    rectpack.SORT_PERI,
    rectpack.SORT_DIFF,
    rectpack.SORT_SSIDE,
    rectpack.SORT_LSIDE,
    rectpack.SORT_RATIO,
    rectpack.SORT_NONE,
)
_BINS = (rectpack.PackingBin.BBF, rectpack.PackingBin.BFF)


def best_of_library(case: Case) -> int | None:
    """Give the least cost of 252 library runs on each size alone; None where none places all."""
    return cost_by_library(case.problem)


def cost_by_library(problem: Problem) -> int | None:
    """Give the least cost of 252 library runs on each size of sheet alone.

    Like any plan here, a layout counts kerf between parts. Where a part may not turn, the
    library turns none. None where no run places all parts.
    """
    costs = [
        cost
        for stock in problem.stock
        for bins in _BINS
        for rule in RULES
        for order in _ORDERS
        if (cost := _cost(problem, stock, bins, rule, order)) is not None
    ]
    return min(costs, default=None)


def _cost(
    problem: Problem, stock: StockType, bins: object, rule: type, order: object
) -> int | None:
    kerf = problem.kerf
    bound = stock.grain and any(item.grain is not Grain.ANY for item in problem.items)
    packer: PackerBBF | PackerBFF = newPacker(
        bin_algo=bins, pack_algo=rule, sort_algo=order, rotation=not bound
    )
    for item in problem.items:
        swapped = bound and item.grain is Grain.WIDTH
        length, width = (item.width, item.length) if swapped else (item.length, item.width)
        for _ in range(item.qty):
            packer.add_rect(length + kerf, width + kerf)
    packer.add_bin(stock.length + kerf, stock.width + kerf, count=float("inf"))
    packer.pack()
    if sum(len(packed) for packed in packer) < sum(item.qty for item in problem.items):
        return None
    if stock.available is not None and len(packer) > stock.available:
        return None
    return len(packer) * stock.cost
