"""Jobs drawn at random, with store, car and saws drawn at random, planned and replayed."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from cutopt.check.replay import check_plan
from cutopt.errors import CannotPlanError
from cutopt.model.job import (
    Carry,
    Grain,
    Job,
    Kind,
    Material,
    Part,
    Saw,
    SawKind,
    Shop,
    Stock,
    Store,
)
from cutopt.model.plan import ANY_SAW, Maker
from cutopt.pipeline import make_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.units import Ticks, Units, inches

PLY = Material("birch ply", Kind.SHEET, inches(0, 3, 4))
PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
SHEET = Stock("8x4", PLY, inches(96), inches(48), 6200, grain=Grain.LENGTH)
HALF = Stock("4x4", PLY, inches(48), inches(48), 3600, grain=Grain.LENGTH)
BOARD = Stock("1x4 8 ft", PINE, inches(96), inches(3, 1, 2), 648, grain=Grain.LENGTH)


def eighths(dice: Random, low: int, high: int) -> Ticks:
    """Give a length between two whole inches, in eighths."""
    return inches(0, dice.randint(8 * low, 8 * high), 8)


def maybe(dice: Random, low: int, high: int) -> Ticks | None:
    return inches(dice.randint(low, high)) if dice.random() < 0.6 else None


def drawn(seed: int) -> Job:
    """Give an invented job of sheets and boards, a store, a car and saws."""
    dice = Random(seed)
    parts = []
    for number in range(1, dice.randint(2, 9)):
        if dice.random() < 0.7:
            size = eighths(dice, 4, 60), eighths(dice, 2, 30)
            material, grain = PLY, dice.choice([Grain.ANY, Grain.LENGTH])
        else:
            size = eighths(dice, 6, 80), BOARD.width
            material, grain = PINE, Grain.LENGTH
        parts.append(
            Part(
                f"P{number}",
                f"Part {number}",
                dice.randint(1, 3),
                *size,
                material.thickness,
                *size,
                material,
                grain=grain,
            )
        )
    kerf = inches(0, 1, 8)
    saws = (
        Saw("table saw", SawKind.TABLE, inches(0, 3, 32), rip_capacity=maybe(dice, 12, 36)),
        Saw("mitre saw", SawKind.MITRE, kerf, crosscut_capacity=inches(dice.randint(4, 14))),
        Saw("track saw", SawKind.TRACK, inches(0, 1, 16), cut_length=maybe(dice, 30, 100)),
    )
    store = Store(
        kerf,
        accuracy=kerf,
        free_cuts=dice.randint(0, 3),
        fee_per_cut_cents=dice.choice([0, 50, 100]),
        most_cuts=dice.choice([None, 2, 4, 8]),
        smallest_piece=inches(dice.choice([0, 6, 12])),
        rough=dice.random() < 0.6,
        allowance=inches(0, 1, 4),
        crosscuts_boards=dice.random() < 0.5,
    )
    return Job(
        "Drawn",
        Units.INCH,
        tuple(parts),
        (replace(SHEET, trim=dice.choice([Ticks(0), inches(0, 1, 4)])), HALF, BOARD),
        Shop(kerf, saws=tuple(dice.sample(saws, dice.randint(0, 3)))),
        store if dice.random() < 0.8 else None,
        Carry(maybe(dice, 40, 90), maybe(dice, 24, 48), maybe(dice, 48, 96)),
    )


def assert_can_be_sawn(seed: int) -> None:
    job = drawn(seed)
    try:
        plan = make_plan(job, Search(effort=0), Unwatched())
    except CannotPlanError:
        widest = min(SHEET.width, HALF.width)
        assert any(min(part.length, part.width) > widest - inches(1) for part in job.parts)
        return
    assert check_plan(plan) == ()
    warned = {warning.about for warning in plan.warnings}
    if job.shop.saws and "saw" not in warned:
        cuts = [cut for piece in plan.pieces for cut in piece.cuts() if cut.by is Maker.SHOP]
        assert all(cut.saw != ANY_SAW for cut in cuts)
    assert all(result.lower_bound <= result.cost for result in plan.materials)


@pytest.mark.parametrize("seed", range(12))
def test_drawn_jobs_can_be_sawn_as_planned(seed: int) -> None:
    assert_can_be_sawn(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12, 200))
def test_many_drawn_jobs_can_be_sawn_as_planned(seed: int) -> None:
    assert_can_be_sawn(seed)
