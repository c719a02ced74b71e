"""Measure what ripping saves: ``python -m benchmarks.run_ripping --help``.

Made-up jobs of parts in four widths are planned twice: each width bought by itself, and
strips ripped from whatever boards are cheapest together. Prices are invented; what matters
is how they grow with the width.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random
from statistics import fmean, median
from time import process_time

from cutopt.model.job import Grain
from cutopt.solve.boards import plan_boards
from cutopt.solve.lumber import Lumber
from cutopt.solve.lumber_plan import plan_lumber
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.warm import warm
from cutopt.units import Ticks, inches

KERF = inches(0, 1, 8)
WIDTHS = (inches(1, 1, 2), inches(2, 1, 2), inches(3, 1, 2), inches(5, 1, 2),
          inches(7, 1, 4), inches(9, 1, 4), inches(11, 1, 4))  # fmt: skip
PRICES = {
    "narrow stock dear": (260, 390, 480, 690, 820, 1050, 1290),
    "one price per width": (180, 300, 420, 660, 870, 1110, 1350),
    "wide stock dear": (170, 280, 400, 680, 980, 1350, 1800),
}
"""Cents for 8 ft of each width; invented."""

LENGTHS = {6: 104, 8: 100, 12: 105}
"""Feet, and the price of a foot in percent of that of an 8 ft board."""

HEADS = (
    "prices", "jobs", "parts", "saving", "taken at 10 %", "gap", "proven",
    "CPU, median s", "CPU, most s", "as narrow sheets",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measured:
    """One job both ways.

    Attributes:
        alone, ripped, bound: cents.
        seconds: of processor time, ripping alone.
        sheets: of boards laid out as narrow sheets; None where not asked for.
    """

    parts: int
    alone: int
    ripped: int
    bound: int
    seconds: float
    sheets: int | None


def lumber_of(seed: int, prices: Sequence[int], kinds: int) -> Lumber:
    """Give a made-up job: parts of 10 to 80 in, one to four of a kind, in the four widths."""
    random = Random(seed)
    items = tuple(
        Item(
            f"P{number + 1}",
            Ticks(random.randint(160, 1280) * inches(0, 1, 16)),
            random.choice(WIDTHS[:4]),
            random.choice((1, 2, 2, 4)),
            Grain.LENGTH,
        )
        for number in range(kinds)
    )
    stock = tuple(
        StockType(
            f"{number + 1} x {feet} ft",
            inches(12 * feet),
            width,
            price * feet * per_foot // 800,
            None,
            grain=True,
        )
        for number, (width, price) in enumerate(zip(WIDTHS, prices, strict=True))
        for feet, per_foot in LENGTHS.items()
    )
    suits = tuple(tuple(item.width <= held.width for item in items) for held in stock)
    return Lumber(Problem("made up", items, stock, KERF, KERF), suits)


def alone(problem: Problem, search: Search) -> int:
    """Give what it costs to buy each width by itself."""
    cost = 0
    for width in sorted({item.width for item in problem.items}):
        own = replace(
            problem,
            items=tuple(item for item in problem.items if item.width == width),
            stock=tuple(held for held in problem.stock if held.width == width),
        )
        cost += plan_boards(own, search, Unwatched()).cost
    return cost


def measure(lumber: Lumber, search: Search, *, as_sheets: bool) -> Measured:
    """Give one job planned both ways; raises ValueError where one way finds nothing."""
    began = process_time()
    ripped = plan_lumber(lumber, search, Unwatched())
    seconds = process_time() - began
    if ripped is None:
        raise ValueError("no boards were found")
    sheets = plan_sheets(lumber.problem, search, Unwatched()).cost if as_sheets else None
    by_itself = alone(lumber.problem, search)
    return Measured(
        sum(item.qty for item in lumber.problem.items),
        by_itself,
        min(ripped.cost, by_itself),
        ripped.lower_bound,
        seconds,
        sheets,
    )


def line(prices: str, jobs: Sequence[Measured]) -> str:
    """Give a row of the table."""
    all_alone, ripped = sum(job.alone for job in jobs), sum(job.ripped for job in jobs)
    sheets = [job.sheets for job in jobs if job.sheets is not None]
    said = (
        prices,
        str(len(jobs)),
        f"{fmean(job.parts for job in jobs):.0f}",
        f"{100 * (all_alone - ripped) / all_alone:.1f} %",
        str(sum(10 * (job.alone - job.ripped) >= job.alone for job in jobs)),
        f"{fmean(100 * (job.ripped - job.bound) / job.bound for job in jobs):.1f} %",
        str(sum(job.ripped == job.bound for job in jobs)),
        f"{median(job.seconds for job in jobs):.2f}",
        f"{max(job.seconds for job in jobs):.2f}",
        f"{100 * (sum(sheets) - ripped) / ripped:+.1f} %" if sheets else "",
    )
    return f"| {' | '.join(said)} |"


def main(arguments: list[str] | None = None) -> int:
    """Plan the jobs and print a row for each table of prices."""
    parser = argparse.ArgumentParser(description="Measure what ripping saves.")
    parser.add_argument("--jobs", type=int, default=100)
    parser.add_argument("--kinds", type=int, default=14, help="kinds of parts a job")
    parser.add_argument("--effort", type=int, default=1, choices=range(4))
    parser.add_argument("--prices", choices=list(PRICES), action="append")
    parser.add_argument("--sheets", action="store_true", help="also as narrow sheets")
    asked = parser.parse_args(arguments)
    warm()
    search = Search(asked.effort, second_goals=False)
    sys.stdout.write(f"| {' | '.join(HEADS)} |\n|{' --- |' * len(HEADS)}\n")
    for name in asked.prices or PRICES:
        lumbers = [lumber_of(seed, PRICES[name], asked.kinds) for seed in range(asked.jobs)]
        jobs = [measure(lumber, search, as_sheets=asked.sheets) for lumber in lumbers]
        sys.stdout.write(line(name, jobs) + "\n")
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
