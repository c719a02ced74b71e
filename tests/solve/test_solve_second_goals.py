"""What comes after cost can be left out: same cost, same bound, no work spent on leftovers."""

from __future__ import annotations

import random

import pytest
from sheet_jobs import assert_holds, sheets_of

from cutopt.model.layout import least_size
from cutopt.solve import boards
from cutopt.solve.boards import plan_boards
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.units import Ticks

WITH, WITHOUT = Search(second_goals=True), Search(second_goals=False)


@pytest.mark.parametrize("seed", [1, 2, 4])
def test_a_sheet_is_not_tidied(seed):
    rng = random.Random(seed)
    parts = [(rng.randint(100, 400), rng.randint(80, 300), 1) for _ in range(9)]
    problem = sheets_of(1000, 600, parts, kerf=3)
    tidied, plain = (plan_sheets(problem, search, Unwatched()) for search in (WITH, WITHOUT))

    def strip_left(answer):
        return max(1000 - least_size(pattern.layout, 3)[0] for pattern in answer.patterns)

    assert_holds(problem, plain)
    assert (plain.cost, plain.lower_bound) == (tidied.cost, tidied.lower_bound)
    # Nine parts of one sheet laid to fit, and laid to leave a strip.
    assert strip_left(tidied) > strip_left(plain)


def test_a_board_keeps_the_offcut_it_has(monkeypatch):
    asked = []

    def noted(found, packing, search, watch):
        asked.append(search)
        return packing

    monkeypatch.setattr(boards, "lengthen_offcut", noted)
    parts = tuple(Item(f"P{n}", Ticks(200 + 90 * n), Ticks(50), 2) for n in range(8))
    stock = (StockType("board", Ticks(2400), Ticks(50), 100),)
    problem = Problem("pine", parts, stock, Ticks(3), Ticks(3))
    plain, full = (plan_boards(problem, search, Unwatched()) for search in (WITHOUT, WITH))
    assert asked == [WITH]
    assert (plain.cost, plain.lower_bound) == (full.cost, full.lower_bound)
