"""Bounds: no purchase that holds the parts is below them."""

from __future__ import annotations

import random

import pytest
from sheet_jobs import least_cost, sheets_of

from cutopt.model.job import Grain
from cutopt.solve.bounds import (
    AREA,
    SIZES,
    area_weighings,
    cheapest_purchase,
    size_weighings,
)
from cutopt.solve.params import Item, Problem, StockType
from cutopt.solve.sheets_listing import judge
from cutopt.solve.sheets_sizes import sizes_of
from cutopt.units import Ticks


def bound_of(problem, most=60):
    sizes = sizes_of(problem, problem.kerf_bound)
    return cheapest_purchase(sizes, area_weighings(sizes) + size_weighings(sizes, most))


def test_area_counts_kerf_once_per_part_and_once_for_the_sheet():
    # Two strips 50 wide from 100 fit only where the blade takes nothing.
    assert bound_of(sheets_of(200, 100, [(200, 50, 2)], kerf=0)).cost == 100
    assert bound_of(sheets_of(200, 100, [(200, 50, 2)], kerf=1)).cost == 200
    assert bound_of(sheets_of(201, 101, [(200, 50, 2)], kerf=1)).cost == 100


def test_parts_over_half_the_sheet_need_a_sheet_each():
    bound = bound_of(sheets_of(100, 100, [(51, 51, 7)]))
    assert (bound.cost, bound.about) == (700, SIZES)


def test_parts_that_only_the_dear_sheet_holds_are_paid_for():
    stock = (
        StockType("small", Ticks(50), Ticks(50), 1),
        StockType("large", Ticks(100), Ticks(100), 100),
    )
    items = (Item("P1", Ticks(90), Ticks(60), 2),)
    bound = bound_of(Problem("ply", items, stock, Ticks(0), Ticks(0)))
    assert bound.cost == 200


def test_stock_that_runs_out_has_no_bound():
    bound = bound_of(sheets_of(100, 100, [(51, 51, 3)], available=2))
    assert (bound.cost, bound.about) == (None, SIZES)
    bound = bound_of(sheets_of(100, 100, [(80, 80, 4)], available=2))
    assert (bound.cost, bound.about) == (None, AREA)


def random_problem(rng):
    parts = tuple(
        Item(
            f"P{n}",
            Ticks(rng.randint(1, 8)),
            Ticks(rng.randint(1, 6)),
            1,
            rng.choice([Grain.ANY, Grain.LENGTH, Grain.WIDTH]),
        )
        for n in range(rng.randint(2, 5))
    )
    stock = [
        StockType(
            f"S{n}",
            Ticks(rng.randint(4, 11)),
            Ticks(rng.randint(4, 9)),
            rng.randint(3, 12),
            None,
            rng.random() < 0.5,
        )
        for n in range(rng.randint(1, 3))
    ]
    stock.append(StockType("any part", Ticks(9), Ticks(9), rng.randint(9, 20)))
    kerf = Ticks(rng.choice([0, 0, 1]))
    return Problem("ply", parts, tuple(stock), kerf, kerf)


# Against exhaustive search, written apart from the engine.
@pytest.mark.parametrize("seed", range(150))
def test_no_bound_is_above_the_exhaustive_optimum(seed):
    problem = random_problem(random.Random(seed))
    optimum = least_cost(problem, problem.kerf)
    sizes = sizes_of(problem, problem.kerf)
    weighings = area_weighings(sizes) + size_weighings(sizes, 60)
    for weighing in weighings:
        assert (cheapest_purchase(sizes, [weighing]).cost or 0) <= optimum
    low = cheapest_purchase(sizes, weighings).cost
    assert low <= optimum
    verdict = judge(sizes, weighings, low, None, 100_000, 5.0, lambda: False)
    assert verdict.low == optimum
    assert sum(sizes.types[sheet].cost for sheet, _ in verdict.laid) == optimum
