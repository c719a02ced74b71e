"""The most valuable sheet against every way there is, and against plain counting."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest
from sheet_jobs import least_cost, sheets_of

from cutopt.model.job import Grain
from cutopt.model.layout import blanks_of, least_size
from cutopt.solve import one_sheet
from cutopt.solve.one_sheet import most_valuable_sheet
from cutopt.solve.params import Item, Problem, Search, Unwatched
from cutopt.units import Ticks

GRAINS = (Grain.ANY, Grain.LENGTH, Grain.WIDTH)


@cache
def most_there_is(seed):
    """The most value, by trying every set of parts and every way to cut it."""
    problem, values = random_sheet(seed)
    parts = [
        (item, v) for item, v in zip(problem.items, values, strict=True) for _ in range(item.qty)
    ]
    most = 0
    for picked in range(1, 2 ** len(parts)):
        chosen = [part for n, part in enumerate(parts) if picked >> n & 1]
        value = sum(v for _, v in chosen)
        if value > most:
            items = tuple(
                Item(str(n), i.length, i.width, 1, i.grain) for n, (i, _) in enumerate(chosen)
            )
            alone = Problem("ply", items, problem.stock, problem.kerf, problem.kerf)
            if least_cost(alone, problem.kerf) == problem.stock[0].cost:
                most = value
    return most


def random_sheet(seed):
    rng = random.Random(f"one sheet {seed}")
    parts = [
        (rng.randint(1, 8), rng.randint(1, 6), rng.choice([1, 1, 2]), rng.choice(GRAINS))
        for _ in range(rng.randint(2, 4))
    ]
    # Parts of one size that are not worth the same.
    parts.append(parts[0])
    problem = sheets_of(
        rng.randint(5, 10), rng.randint(4, 8), parts, kerf=rng.choice([0, 1]), grain=seed % 2
    )
    return problem, [rng.choice([0, 5, rng.randint(1, 40)]) for _ in parts]


def assert_holds(problem, values, found):
    """The parts are there, fit the sheet, and are worth what is said."""
    worth = {item.part: value for item, value in zip(problem.items, values, strict=True)}
    blanks = [] if found.pattern is None else list(blanks_of(found.pattern.layout))
    if blanks:
        length, width = least_size(found.pattern.layout, problem.kerf)
        assert length <= problem.stock[0].length
        assert width <= problem.stock[0].width
    made = Counter(blank.part for blank in blanks)
    assert all(made[item.part] <= item.qty for item in problem.items)
    assert sum(worth[blank.part] for blank in blanks) == found.value <= found.bound


SLOW_TO_JUDGE = {25, 28, 35}
"""Cases the exhaustive search takes seconds for."""


@pytest.mark.parametrize(
    "seed",
    [
        pytest.param(seed, marks=pytest.mark.slow) if seed in SLOW_TO_JUDGE else seed
        for seed in range(40)
    ],
)
def test_it_is_the_most_there_is(seed):
    problem, values = random_sheet(seed)
    found = most_valuable_sheet(problem, values, Search(1), Unwatched())
    assert_holds(problem, values, found)
    assert found.value == found.bound == most_there_is(seed)


@pytest.mark.parametrize("seed", range(40))
def test_without_a_list_the_search_finds_it_and_the_bound_holds(seed, monkeypatch):
    monkeypatch.setattr(one_sheet._Looking, "_list_sets", lambda looking: None)
    problem, values = random_sheet(seed)
    found = most_valuable_sheet(problem, values, Search(0), Unwatched())
    assert_holds(problem, values, found)
    assert found.value == most_there_is(seed)


def test_parts_that_do_not_fit_are_worth_nothing():
    problem = sheets_of(10, 10, [(20, 20, 1)])
    assert most_valuable_sheet(problem, [7], Search(1), Unwatched()).pattern is None


def test_as_many_as_there_are_and_no_more():
    # Sixteen fit, nine are there.
    problem = sheets_of(40, 40, [(10, 10, 9)])
    found = most_valuable_sheet(problem, [3], Search(1), Unwatched())
    assert (found.value, found.bound) == (27, 27)
    assert len(list(blanks_of(found.pattern.layout))) == 9


def test_one_sheet_and_a_value_for_each_item_are_asked_for():
    problem = sheets_of(10, 10, [(2, 2, 1)])
    with pytest.raises(ValueError, match="a value for each item"):
        most_valuable_sheet(problem, [1, 2], Search(1), Unwatched())
    two = replace(problem, stock=(*problem.stock, replace(problem.stock[0], length=Ticks(9))))
    with pytest.raises(ValueError, match="one type of stock"):
        most_valuable_sheet(two, [1], Search(1), Unwatched())
