"""Sheets: layouts that hold every part, at a cost no higher than it must be."""

from __future__ import annotations

from collections import Counter

import pytest

from cutopt.errors import CannotPlanError
from cutopt.model.job import Grain
from cutopt.model.layout import blanks_of, least_size
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.units import Ticks, inches


def sheets_of(length, width, parts, *, kerf=0, kerf_bound=None, grain=False, available=None):
    """A problem of one size of sheet, 100 each; parts are (length, width, qty[, grain])."""
    return Problem(
        "plywood",
        tuple(
            Item(f"P{n + 1}", Ticks(p[0]), Ticks(p[1]), p[2], *p[3:]) for n, p in enumerate(parts)
        ),
        (StockType("sheet", Ticks(length), Ticks(width), 100, available, grain),),
        Ticks(kerf),
        Ticks(kerf if kerf_bound is None else kerf_bound),
    )


def plan(problem: Problem, effort: int = 1, seed: int = 0) -> Answer:
    answer = plan_sheets(problem, Search(effort, seed), Unwatched())
    assert_holds(problem, answer)
    return answer


def assert_holds(problem: Problem, answer: Answer) -> None:
    made: Counter[str] = Counter()
    used: Counter[int] = Counter()
    items = {item.part: item for item in problem.items}
    for pattern in answer.patterns:
        stock = problem.stock[pattern.stock]
        length, width = least_size(pattern.layout, problem.kerf)
        assert length <= stock.length
        assert width <= stock.width
        used[pattern.stock] += 1
        for blank in blanks_of(pattern.layout):
            item = items[blank.part]
            made[blank.part] += 1
            size = (item.width, item.length) if blank.turned else (item.length, item.width)
            assert (blank.length, blank.width) == size
            if stock.grain and item.grain in (Grain.LENGTH, Grain.WIDTH):
                assert blank.turned == (item.grain is Grain.WIDTH)
    assert made == {item.part: item.qty for item in problem.items}
    for index, count in used.items():
        available = problem.stock[index].available
        assert available is None or count <= available
    assert answer.cost == sum(problem.stock[p.stock].cost for p in answer.patterns)
    assert answer.lower_bound <= answer.cost


EIGHTH = inches(0, 1, 8)


# Check values of the trade, recomputed by exact search: 12 x 16 from a 48 x 96 sheet comes out
# 24 times with no kerf and 19 times with 1/8 in; 24 x 24 only 3 times at 1/8 in, but 23-7/8 x
# 23-7/8 8 times; 3 x 2 from 13 x 8: 17 by straight cuts.
@pytest.mark.parametrize(
    ("length", "width", "sheet", "kerf", "most"),
    [
        (inches(12), inches(16), (inches(96), inches(48)), 0, 24),
        (inches(12), inches(16), (inches(96), inches(48)), EIGHTH, 19),
        (inches(24), inches(24), (inches(96), inches(48)), EIGHTH, 3),
        (inches(23, 7, 8), inches(23, 7, 8), (inches(96), inches(48)), EIGHTH, 8),
        (3, 2, (13, 8), 0, 17),
    ],
)
def test_as_many_equal_parts_as_one_sheet_holds(length, width, sheet, kerf, most):
    assert plan(sheets_of(*sheet, [(length, width, most)], kerf=kerf)).cost == 100
    assert plan(sheets_of(*sheet, [(length, width, most + 1)], kerf=kerf)).cost == 200


def test_one_part_as_large_as_the_sheet_needs_no_kerf():
    answer = plan(sheets_of(2440, 1220, [(2440, 1220, 1)], kerf=3))
    assert (answer.cost, answer.lower_bound) == (100, 100)


def test_a_part_larger_than_the_sheet_is_named():
    with pytest.raises(CannotPlanError, match="P2"):
        plan(sheets_of(100, 50, [(10, 10, 1), (101, 10, 1)]))


def test_too_little_stock_by_area_is_said():
    with pytest.raises(CannotPlanError, match="area"):
        plan(sheets_of(100, 50, [(60, 50, 3)], available=1))
