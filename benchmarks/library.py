"""What a plain user of the packing library gets: the best of its guillotine variants.

Source: Jylänki, "A thousand ways to pack the bin", 2010 (the rules); the library is rectpack.
"""

from __future__ import annotations

import rectpack
from rectpack.packer import PackerBBF, PackerBFF, newPacker

from benchmarks.cases import ORIENTED, Case
from cutopt.solve.first_layouts import RULES

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
    """Give the least sheets of 252 library runs; None where there are several sizes.

    Like any plan here, a layout counts kerf between parts.
    """
    problem = case.problem
    if len(problem.stock) > 1:
        return None
    kerf = problem.kerf
    stock = problem.stock[0]
    best = None
    for bins in _BINS:
        for rule in RULES:
            for order in _ORDERS:
                packer: PackerBBF | PackerBFF = newPacker(
                    bin_algo=bins,
                    pack_algo=rule,
                    sort_algo=order,
                    rotation=case.variant != ORIENTED,
                )
                for item in problem.items:
                    for _ in range(item.qty):
                        packer.add_rect(item.length + kerf, item.width + kerf)
                packer.add_bin(stock.length + kerf, stock.width + kerf, count=float("inf"))
                packer.pack()
                used = len(packer) * stock.cost
                if sum(len(packed) for packed in packer) == sum(i.qty for i in problem.items):
                    best = used if best is None else min(best, used)
    return best
