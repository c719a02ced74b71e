"""What extras and store cuts cost."""

from __future__ import annotations

import pytest
from bench_plan import EIGHTH, SHEET, bench, blank, told, with_job, with_totals
from handmade import REST, Spec, finish, grow, part, rip

from cutopt.model.job import (
    Extra,
    Job,
    Pack,
    Shop,
    Store,
)
from cutopt.model.plan import (
    STORE_SAW,
)
from cutopt.units import Units, inches


@pytest.mark.parametrize(
    ("qty", "packs", "cents"),
    [
        (110, ((50, 500), (100, 800)), 1300),
        (100, ((50, 500), (100, 800)), 800),
        (101, ((50, 300), (100, 800)), 900),
        (1, ((50, 500), (1, 20)), 20),
        (0, ((50, 500),), 0),
        (7, ((3, 100), (5, None)), 300),
        (0, ((5, None),), 0),
        (2, ((0, 1), (1, 30)), 60),
    ],
)
def test_extras_cost_what_the_cheapest_packs_cost(
    qty: int, packs: tuple[tuple[int, int | None], ...], cents: int
):
    extra = Extra("Screws", qty, tuple(Pack(*pack) for pack in packs))
    plan = with_totals(with_job(bench(), extras=(extra,)), extras_cents=cents)
    assert told(plan) == ""
    assert f"extras come to {cents}" in told(with_totals(plan, extras_cents=cents + 1))


def test_free_cuts_are_counted_a_piece_and_not_pooled():
    """Two sheets of three and one store cuts, two free each: one cut is paid."""
    store = Store(EIGHTH, free_cuts=2, fee_per_cut_cents=75)
    strip = blank("P1", "Strip", 6, SHEET.length, inches(10))
    job = Job("Strips", Units.INCH, (strip,), (SHEET,), Shop(EIGHTH), store)
    third = rip(inches(10), part("P1", 3), part_and_rest(4), STORE_SAW)
    four = rip(
        inches(10), part("P1", 1), rip(inches(10), part("P1", 2), third, STORE_SAW), STORE_SAW
    )
    two = rip(inches(10), part("P1", 5), part_and_rest(6), STORE_SAW)
    plan = finish(job, [grow(job, SHEET, four, "S1"), grow(job, SHEET, two, "S2")])
    assert plan.totals.store_fees_cents == 75
    assert told(plan) == ""


def part_and_rest(copy: int) -> Spec:
    return rip(inches(10), part("P1", copy), REST)
