"""Compiles the search once, so that no plan waits for it: ``python -m cutopt.solve.warm``."""

from __future__ import annotations

from random import Random

import numpy as np

from cutopt.model.grade import Grade
from cutopt.model.job import Favour, Grain, Kind, Material, Stock
from cutopt.model.plan import Measure
from cutopt.solve.boards_fill import fill_boards, fill_tightly
from cutopt.solve.boards_load import Load
from cutopt.solve.bounds import area_weighings
from cutopt.solve.grades import Chances
from cutopt.solve.grades_question import Offer, Question
from cutopt.solve.kernel.compiling import note_compiled
from cutopt.solve.knapsack import Need, best_fills, list_fills
from cutopt.solve.measured_fills import best_fill, list_board
from cutopt.solve.measured_load import measure_load
from cutopt.solve.params import Item, Problem, StockType
from cutopt.solve.part_sets import list_part_sets
from cutopt.solve.sheets_improve import Improving
from cutopt.solve.sheets_kernel import Taste
from cutopt.solve.sheets_listing import judge
from cutopt.solve.sheets_sizes import Sizes, sizes_of
from cutopt.units import Ticks


def warm() -> None:
    """Run every compiled function once on a problem of a few parts."""
    items = tuple(
        Item(f"P{number}", Ticks(7 + number), Ticks(4), 3, Grain.LENGTH) for number in range(4)
    )
    stock = (StockType("sheet", Ticks(20), Ticks(12), 100, None, grain=True),)
    sizes = sizes_of(Problem("plywood", items, stock, Ticks(1), Ticks(1)), 1)
    weighings = area_weighings(sizes)
    search = Improving(sizes, weighings, 0, 0.1, _never)
    kernel = search.kernel
    floor = kernel.floor([0, 0])
    kernel.fill(floor, Taste(), (0.1, 0.01), 50, keep=0.1)
    kernel.floor([0, 0], [words for _, words in kernel.words_on(floor)])
    kernel.price_patterns(0, np.array([100.0]), np.full(len(sizes.kinds), 20.0), 20, Taste())
    for _ in range(3):
        search.attempt(0, 300, 10_000_000)
    kernel.keep_patterns(np.arange(1))
    plan = kernel.words_on(kernel.floor([0], [kernel.pattern(0)]))
    search.tidied(kernel.laid(plan), (1, 0, 0), Favour.OFFCUTS, 100_000)
    _warm_proofs(sizes)
    _warm_boards()
    _warm_grades()
    note_compiled()


def _warm_proofs(sizes: Sizes) -> None:
    judge(sizes, area_weighings(sizes), 0, 400, 1_000, 0.1, _never)
    # The judge needs no lists for so small a problem.
    counts = tuple(kind.qty for kind in sizes.kinds)
    listed, _ = list_part_sets(sizes, (0,), counts, 10_000, 1_000_000, _never)
    if listed is not None:
        listed.weights(np.array(counts, np.int64))
        listed.lay(len(listed) - 1, sizes.types[0].length, sizes.types[0].width, sizes)


def _warm_boards() -> None:
    weights, demands = (7, 5, 3), (4, 3, 2)
    load = Load(1, weights, demands, (20, 12), (100, 70), (9, 9))
    fill_boards(load, demands, load.supplies, (7.0, 5.0, 3.0), 1, Random(0))
    fill_tightly(load, demands, load.supplies, 1, Random(0))
    best_fills(load.rooms, weights, weights, demands)
    list_fills(20, weights, demands, [Need(weights, 15)], 100)
    bad = ((Ticks(5), Ticks(7)),)
    board = StockType("A", Ticks(20), Ticks(4), 0, 1, grain=True, bad=bad)
    items = (Item("P", Ticks(4), Ticks(4), 2), Item("Q", Ticks(6), Ticks(4), 2, knots_ok=True))
    measured = measure_load(Problem("pine", items, (board,), Ticks(1), Ticks(1)), 1)
    best_fill(measured, 0, (7, 5), (2, 2))
    list_board(measured, 0, (2, 2), [Need((7, 5), 12)], 100)


def _warm_grades() -> None:
    row = Stock("1x4", Material("pine", Kind.BOARD, Ticks(3), "1x4"), Ticks(90), Ticks(12))
    grade = Grade("common", 1.0, Ticks(1), Ticks(2), 0.2, Ticks(1), Ticks(3), Ticks(60))
    offer = Offer(row, grade, 100, described=True)
    asked = Question(row.material, Measure.PRICE, 1, (offer,), (30, 20, 20), (25,))
    chances = Chances(asked)
    chances.passes((2,), 0.9)
    chances.needed((0,), 0, of=3)


def _never() -> bool:
    return False


if __name__ == "__main__":
    warm()
