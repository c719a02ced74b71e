"""What a limit adds is told of the best plan known: one found without it may keep to it."""

from __future__ import annotations

from dataclasses import replace

from sawing_cases import MDF, SHEET, blank, columns, job_of, mm, store

from cutopt.model.job import Carry
from cutopt.model.layout import LaidPiece, LimitPrice, MaterialLayout
from cutopt.steps.joint_planner import Planner

THIRDS = columns(*(blank(name, 800, 1220) for name in "ABC"))
HALVES = columns(blank("A", 1200, 1220), blank("B", 1200, 1220))


def test_a_plan_found_without_a_limit_that_keeps_to_it_is_taken() -> None:
    car = Carry(mm(1250), mm(1250))
    job = job_of([(SHEET, THIRDS)], store=store(fee_per_cut_cents=100), carry=car)
    layouts = iter((THIRDS, HALVES))

    def solve(*_: object, **__: object) -> MaterialLayout:
        return MaterialLayout(MDF, (LaidPiece(SHEET, next(layouts)),), 4000, 4000)

    planner = Planner(job, solve, lambda: False, 0)
    first = planner.first(MDF)
    assert (first.amiss, first.fees) == ((0, 0), 200)
    best = planner.priced(first, first, [("the car is small", replace(job, carry=None))])
    assert best.fees == 100
    assert best.layout.limits == (LimitPrice("the car is small", 0, 0, 100, True),)
