"""Fills of one measured board, against every order and every place tried out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from random import Random

from cutopt.solve.knapsack import Counts, Need
from cutopt.solve.measured_fills import best_fill, list_board, places
from cutopt.solve.measured_load import MeasuredLoad, measure_load, with_leftover
from cutopt.solve.measured_runs import clear_runs
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks

WIDTH = Ticks(10)
EVERY = 100_000


def random_board(random: Random) -> Problem:
    items = tuple(
        Item(f"P{n}", Ticks(length), WIDTH, random.randint(1, 2), knots_ok=random.random() < 0.5)
        for n, length in enumerate(random.sample(range(4, 20), 3))
    )
    length = random.randint(25, 45)
    at = sorted(random.sample(range(length + 1), 4))
    bad = ((Ticks(at[0]), Ticks(at[1])), (Ticks(at[2]), Ticks(at[3])))
    stock = StockType("A", Ticks(length), WIDTH, 0, 1, grain=True, bad=bad)
    kerf = Ticks(random.choice([0, 1, 2]))
    return Problem("pine", items, (stock,), kerf, kerf)


def holds(problem: Problem, parts: tuple[Item, ...], free: int = 0) -> bool:
    """Say whether the board holds the parts from ``free`` on, by trying each one next."""
    if not parts:
        return True
    stock = problem.stock[0]
    for number, part in enumerate(parts):
        begins = [free] if part.knots_ok else [max(free, run.start) for run in clear_runs(stock)]
        for start in begins:
            end = start + part.length
            clear = part.knots_ok or all(end <= a or b <= start for a, b in stock.bad)
            if end <= stock.length and clear:
                rest = (*parts[:number], *parts[number + 1 :])
                if holds(problem, rest, end + problem.kerf):
                    return True
    return False


def parts_of(problem: Problem, load: MeasuredLoad, counts: Sequence[int]) -> tuple[Item, ...]:
    kinds = [problem.items[indices[0]] for indices in load.parts]
    return tuple(kind for kind, count in zip(kinds, counts, strict=True) for _ in range(count))


def fills_tried_out(problem: Problem, load: MeasuredLoad) -> set[Counts]:
    every = product(*(range(demand + 1) for demand in load.load.demands))
    return {counts for counts in every if holds(problem, parts_of(problem, load, counts))}


def test_full_fills_listed_are_those_that_trying_everything_finds():
    for seed in range(60):
        problem = random_board(Random(seed))
        load = measure_load(problem, problem.kerf)
        demands = load.load.demands
        fits = fills_tried_out(problem, load)
        full = {
            counts
            for counts in fits
            if not any(
                (*counts[:k], counts[k] + 1, *counts[k + 1 :]) in fits for k in range(len(counts))
            )
        }
        listed = list_board(load, 0, demands, (), EVERY)
        assert listed is not None
        assert sorted(listed) == sorted(full), seed
        values = tuple(Random(seed).sample(range(1, 100), len(demands)))
        worths = {counts: sum(map(int.__mul__, counts, values)) for counts in full}
        most = max(worths.values())
        best = best_fill(load, 0, values, demands)
        assert (best.value, best.ceiling) == (most, most), seed
        enough = list_board(load, 0, demands, [Need(values, most * 3 // 4)], EVERY)
        assert enough is not None
        assert sorted(enough) == sorted(c for c in full if worths[c] >= most * 3 // 4), seed


def test_a_listed_fill_can_be_laid_on_its_board():
    for seed in range(60):
        problem = random_board(Random(seed))
        load = measure_load(problem, problem.kerf)
        for counts in list_board(load, 0, load.load.demands, (), EVERY) or ():
            free = 0
            for kind, at in places(load, 0, counts):
                part, start = problem.items[load.parts[kind][0]], at * load.load.unit
                end = start + part.length
                assert free <= start
                assert end <= problem.stock[0].length
                assert part.knots_ok or all(end <= a or b <= start for a, b in problem.stock[0].bad)
                free = end + problem.kerf


def test_a_leftover_lies_clear_beside_the_parts():
    items = (Item("slat", Ticks(28), WIDTH, 1, knots_ok=True),)
    bad = ((Ticks(70), Ticks(80)),)
    stock = (StockType("A", Ticks(100), WIDTH, 0, 1, grain=True, bad=bad),)
    load = measure_load(Problem("pine", items, stock, Ticks(2), Ticks(2)), 2)
    unit = load.load.unit
    assert best_fill(with_leftover(load, 72 // unit), 0, (1, 1), (1, 1)).value == 2
    assert best_fill(with_leftover(load, 74 // unit), 0, (1, 1), (1, 1)).value == 1
