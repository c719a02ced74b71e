"""Why the store makes its cuts: the car, the saws at home, and what a builder is spared."""

from __future__ import annotations

from sawing_cases import SHEET, TABLE, TRACK, blank, columns, mm, plan_of, store

from cutopt.model.job import Carry
from cutopt.steps.store_reasons import store_reasons

HALVES = columns(blank("A", 1200, 1220), blank("B", 1200, 1220))
THIRDS = columns(*(blank(name, 800, 1220) for name in "ABC"))


def test_what_gets_into_the_car_only_cut_is_said() -> None:
    plan = plan_of([(SHEET, THIRDS)] * 2, store=store(), carry=Carry(mm(1250), mm(1250)))
    # The third cut takes waste off the end: the car took the piece before it, too.
    assert plan.warnings == ()
    (words,) = store_reasons(plan)
    assert words.startswith("S1 S2: cuts 1 and 2 so that it fits the car")


def test_what_no_saw_at_home_makes_is_said() -> None:
    paid = store(fee_per_cut_cents=100)
    plan = plan_of([(SHEET, HALVES)], (TABLE,), store=paid)
    (words,) = store_reasons(plan)
    assert "because no saw of yours can" in words
    assert "car" not in words


def test_free_cuts_spare_work() -> None:
    plan = plan_of([(SHEET, HALVES)], (TRACK,), store=store(free_cuts=1, fee_per_cut_cents=100))
    assert store_reasons(plan) == ("S1: cut 1 to spare you a piece that two people lift",)


def test_where_the_store_cuts_nothing_nothing_is_said() -> None:
    assert store_reasons(plan_of([(SHEET, HALVES)])) == ()
