"""The benchmark of ripping plans the same parts both ways."""

from __future__ import annotations

from benchmarks.run_ripping import HEADS, PRICES, Measured, line, lumber_of, measure
from cutopt.solve.params import Search


def test_ripping_never_costs_more_than_buying_each_width() -> None:
    lumber = lumber_of(0, PRICES["narrow stock dear"], kinds=5)
    measured = measure(lumber, Search(effort=0), as_sheets=True)
    assert measured.bound <= measured.ripped <= measured.alone
    assert measured.sheets is not None
    assert measured.bound <= measured.sheets


def test_a_row_gives_sums_and_means() -> None:
    jobs = [Measured(10, 1000, 800, 800, 0.5, 880), Measured(20, 1000, 1000, 800, 1.5, 920)]
    row = line("prices", jobs)
    assert row == "| prices | 2 | 15 | 10.0 % | 1 | 12.5 % | 1 | 1.00 | 1.50 | +0.0 % |"
    assert row.count("|") == len(HEADS) + 1
