"""What a sawn job costs: measures, shares, fees, totals."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from sawing_cases import BOARD, FIR, MDF, SHEET, blank, columns, job_of, mm, plan_of, store

from cutopt.model.job import Carry, Extra, Material, Pack
from cutopt.model.layout import LaidPiece, MaterialLayout
from cutopt.model.plan import Measure, Settings
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.steps.joint import saw_job
from cutopt.steps.summary import summarise
from cutopt.units import Ticks


def test_shares_are_of_the_area_used_and_add_to_one() -> None:
    (result,) = plan_of(
        [(SHEET, columns(blank("A", 1000, 1220), blank("B", 1000, 1220)))]
    ).materials
    shares = result.shares
    # 2 x 1000 of 2440 are parts, two kerfs of 3, the other 434 an offcut.
    assert shares.parts == pytest.approx(2000 / 2440, abs=1e-6)
    assert shares.kerf == pytest.approx(6 / 2440, abs=1e-6)
    assert shares.offcuts == pytest.approx(434 / 2440, abs=1e-6)
    assert shares.waste == 0
    figures = (shares.parts, shares.offcuts, shares.kerf, shares.waste)
    assert sum(Decimal(repr(share)) for share in figures) == 1


def test_stock_without_prices_is_measured_by_amount() -> None:
    plan = plan_of(
        [
            (replace(SHEET, price_cents=None), blank("Top", 700, 500)),
            (replace(BOARD, price_cents=None), blank("Leg", 700, 90)),
        ]
    )
    by_material = {result.material: result for result in plan.materials}
    assert by_material[MDF].measure is Measure.AREA
    assert by_material[MDF].cost == SHEET.length * SHEET.width
    assert by_material[FIR].measure is Measure.LENGTH
    assert by_material[FIR].cost == BOARD.length
    assert plan.totals.unpriced
    assert plan.totals.stock_cents == 0


def test_owned_stock_costs_nothing_and_is_counted_apart() -> None:
    owned = replace(SHEET, name="own", owned=True, price_cents=0, available=1)
    layout = blank("Top", 700, 500)
    (result,) = plan_of([(owned, layout), (SHEET, layout)]).materials
    assert (result.cost, result.bought, result.owned_used) == (4000, 1, 1)


def test_free_cuts_are_not_pooled_between_sheets() -> None:
    # One sheet needs two cuts for the car, the other none: of its free cuts none is lent.
    three = columns(*[blank(name, 811, 1220) for name in "ABC"])
    small = replace(SHEET, name="small", length=mm(800), price_cents=1500)
    plan = plan_of(
        [(SHEET, three), (small, blank("D", 800, 1220))],
        store=store(free_cuts=1, fee_per_cut_cents=70),
        carry=Carry(mm(1220), mm(820)),
    )
    assert plan.totals.store_cuts == 2
    assert plan.totals.store_fees_cents == 70
    assert plan.totals.stock_cents == 5500
    assert plan.totals.grand_total_cents == 5570


def test_extras_are_bought_in_the_cheapest_packs() -> None:
    job = job_of([(SHEET, blank("Top", 700, 500))])
    extras = (
        Extra("screws", 60, (Pack(25, 300), Pack(100, 750))),
        Extra("glue", 1, (Pack(1, None),)),
    )
    job = replace(job, extras=extras)

    def solve(
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        return MaterialLayout(material, (LaidPiece(SHEET, blank("Top", 700, 500)),), 4000, 4000)

    plan = summarise(job, Settings(), saw_job(job, solve))
    assert plan.totals.extras_cents == 750
    assert plan.totals.unpriced
    assert plan.materials[0].proven
