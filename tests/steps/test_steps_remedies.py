"""What would put right what is amiss is tried out: the least that does, and that it does."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sawing_cases import MITRE, SHEET, TABLE, TRACK, blank, columns, mm, plan_of, store, strips

from cutopt.model.job import Carry, Saw
from cutopt.model.plan import Plan
from cutopt.steps.remedies import Change, least_that_does

THIRDS = columns(*(blank(name, 800, 1220) for name in "ABC"))
PANEL = blank("Panel", 1500, 1000)
CAR = Carry(mm(1250), mm(1250))


def told(plan: Plan) -> str:
    (warning,) = plan.warnings
    return warning.text.partition("; ")[2]


def test_more_store_cuts_come_first_with_their_fee() -> None:
    keys = {"fee_per_cut_cents": 150}
    plan = plan_of([(SHEET, THIRDS)], store=store(most_cuts=1, **keys), carry=CAR)
    # One cut alone is of no use, so that none is made: both are paid for.
    cuts = "with 2 cuts at the store instead of 1 ($3.00 more)"
    # Two thirds and a kerf, or what is left beside one, are wider than the car.
    car = "with a car that takes 1610 mm x 1250 mm"
    assert told(plan) == f"it all fits {cuts}, {car} or delivered"
    assert plan_of([(SHEET, THIRDS)], store=store(most_cuts=2), carry=CAR).warnings == ()
    wider = Carry(mm(1610), mm(1250))
    assert plan_of([(SHEET, THIRDS)], store=store(most_cuts=1), carry=wider).warnings == ()


def test_a_car_longer_and_wider_is_told_where_neither_alone_does() -> None:
    plan = plan_of([(SHEET, PANEL)], carry=Carry(mm(1250), mm(900)))
    assert told(plan) == "it all fits with a car that takes 2440 mm x 1220 mm or delivered"


def test_the_least_saw_that_does_is_told() -> None:
    plan = plan_of([(SHEET, PANEL)], (TABLE,))
    saws = "a table saw that rips 1500 mm or with a track saw that cuts 1500 mm long"
    assert told(plan) == f"every cut can be made with {saws}"
    for saw, does in ((1500, True), (1490, False)):
        wider = replace(TABLE, rip_capacity=mm(saw))
        assert (plan_of([(SHEET, PANEL)], (wider,)).warnings == ()) is does


@pytest.mark.parametrize(("length", "does"), [(1500, True), (1490, False)])
def test_the_track_saw_told_makes_the_cuts(length: float, does: bool) -> None:
    saws = (TABLE, replace(TRACK, cut_length=mm(length)))
    assert (plan_of([(SHEET, PANEL)], saws).warnings == ()) is does


@pytest.mark.parametrize("saw", [MITRE, replace(TRACK, cut_length=mm(900))])
def test_saws_the_shop_has_are_told_with_more_reach(saw: Saw) -> None:
    plan = plan_of([(SHEET, strips(PANEL))], (saw,))
    assert "with a track saw that cuts" in told(plan)


def test_no_change_is_told_that_does_not_do() -> None:
    job = plan_of([(SHEET, PANEL)]).job
    change = Change(range(5), lambda amount: (str(amount), replace(job, name=str(amount))))
    assert least_that_does(change, lambda _: None) is None
    found = least_that_does(change, lambda job: 7 if int(job.name) >= 3 else None)
    assert found is not None
    assert (found[0], found[2]) == ("3", 7)
